//! Set-ups: where the launcher stands, how high its outlet is, which way it looks.
//!
//! Heights and distances follow from the flight of real services (a service peaks 0.18 to 0.245 m
//! above the surface between its bounces, which no outlet above 0.30 m can copy); the places
//! themselves are common practice.

use serde::Serialize;

use crate::base::words;
use crate::game::{From, Hand, server_y_m};
use crate::launcher::ThrowingMachine;

/// The highest outlet, metres above the surface, from which a ball can still look like a service.
///
/// # Source
/// Lowest apex by outlet height, computed with the drag and lift of 182 measured services.
pub const REALISTIC_OUTLET_M: f64 = 0.30;

/// The outlet height aimed for where the legs allow a choice, metres.
const WANTED_OUTLET_M: f64 = 0.25;

words! {
    /// The place a launcher stands at.
    pub enum Stand : "set-up" {
        /// Where the server stands: their backhand corner unless the deck says otherwise.
        Corner = "corner" "at the server's corner",
        /// Farther behind, for fast long serves.
        FartherBehind = "farther_behind" "farther behind the end line",
        /// On the table, halfway to the net, for short balls that bounce once.
        OnTable = "on_table" "on the table, halfway to the net",
        /// Far back, for loops and chops and for practice with more time.
        FarBack = "far_back" "far back",
    }
}

impl Stand {
    /// Distance of the outlet behind the launcher's end line, metres; negative on the table.
    pub const fn behind_line_m(self) -> f64 {
        match self {
            Self::Corner => 0.20,
            Self::FartherBehind => 0.40,
            Self::OnTable => -0.60,
            Self::FarBack => 1.50,
        }
    }
}

/// Where the launcher stands.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct SetUp {
    pub stand: Stand,
    /// The server's place it copies.
    pub from: From,
    /// Distance of the outlet behind the launcher's end line, metres; negative on the table.
    pub behind_line_m: f64,
    /// Distance of the outlet from the centre line, metres; + to the launcher's left.
    pub across_m: f64,
    /// Height of the outlet above the surface, metres; none for a person.
    pub outlet_height_m: Option<f64>,
    /// True when the legs are short and it stands on a chair.
    pub on_chair: bool,
}

impl SetUp {
    /// A person's place: where the server stands, or a hand's width beside it for a feeder.
    pub fn of_person(from: From, server: Hand) -> Self {
        Self {
            stand: Stand::Corner,
            from,
            behind_line_m: Stand::Corner.behind_line_m(),
            across_m: server_y_m(from, server),
            outlet_height_m: None,
            on_chair: false,
        }
    }

    /// The set-up of a machine at a place, with the lowest useful outlet it has there.
    pub fn of_machine(machine: &ThrowingMachine, stand: Stand, from: From, server: Hand) -> Self {
        let legs = machine.outlet_height_m;
        let low = legs.nearest(WANTED_OUTLET_M);
        let chair = machine.chair_height_m.filter(|height| *height < low);
        let (height, on_chair) = match (stand, machine.on_table_height_m, chair) {
            (Stand::OnTable, Some(height), _) => (height, false),
            (Stand::FarBack, ..) => (low, false),
            (_, _, Some(height)) if low > REALISTIC_OUTLET_M => (height, true),
            _ => (low, false),
        };
        let place = Self::of_person(from, server);
        let is_aside = matches!(stand, Stand::Corner | Stand::FartherBehind);
        Self {
            stand,
            behind_line_m: stand.behind_line_m(),
            across_m: if is_aside { place.across_m } else { 0.0 },
            outlet_height_m: Some(height),
            on_chair,
            ..place
        }
    }

    /// True when the outlet is low enough for a ball that looks like a service.
    pub fn is_low_enough(&self) -> bool {
        self.outlet_height_m.is_none_or(|height| height <= REALISTIC_OUTLET_M + 1e-9)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::launcher::{Span, capability::tests::machine};

    #[test]
    fn a_high_launcher_goes_onto_a_chair_with_its_legs_short() {
        let mut high = machine();
        high.outlet_height_m = Span::new(0.40, 0.60);
        let at = |machine: &ThrowingMachine| {
            SetUp::of_machine(machine, Stand::Corner, From::BackhandCorner, Hand::Right)
        };
        assert!(!at(&high).is_low_enough());
        high.chair_height_m = Some(0.28);
        let chair = at(&high);
        assert!(chair.on_chair && chair.is_low_enough());
    }

    #[test]
    fn the_corner_of_a_left_hander_lies_on_the_other_side() {
        let across = |hand| {
            SetUp::of_machine(&machine(), Stand::Corner, From::BackhandCorner, hand).across_m
        };
        assert!(across(Hand::Right) > 0.0);
        assert_eq!(across(Hand::Left), -across(Hand::Right));
    }
}

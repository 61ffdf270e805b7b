//! Set-ups: where the launcher stands, how high its outlet is, which way it looks.
//!
//! The places are common practice; whether a ball that looks like a service leaves one of them is
//! asked of the solver, and no height is ruled out here.

use serde::Serialize;

use crate::base::words;
use crate::game::{From, Hand, server_y_m};
use crate::launcher::ThrowingMachine;

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
    }
}

impl Stand {
    /// Distance of the outlet behind the launcher's end line, metres; negative on the table.
    pub const fn behind_line_m(self) -> f64 {
        match self {
            Self::Corner => 0.20,
            Self::FartherBehind => 0.40,
            Self::OnTable => -0.60,
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

    /// The set-up of a machine at a place, as near the height of a service as it gets there.
    pub fn of_machine(machine: &ThrowingMachine, stand: Stand, from: From, server: Hand) -> Self {
        let legs_m = machine.outlet_height_m.nearest(WANTED_OUTLET_M);
        let height_m = match stand {
            Stand::OnTable => machine.on_table_height_m.unwrap_or(legs_m),
            _ => legs_m,
        };
        let place = Self::of_person(from, server);
        let is_aside = matches!(stand, Stand::Corner | Stand::FartherBehind);
        Self {
            stand,
            behind_line_m: stand.behind_line_m(),
            across_m: if is_aside { place.across_m } else { 0.0 },
            outlet_height_m: Some(height_m),
            ..place
        }
    }

    /// On the table, when it can stand there.
    pub fn on_table(machine: &ThrowingMachine, from: From, server: Hand) -> Option<Self> {
        machine.on_table_height_m?;
        Some(Self::of_machine(machine, Stand::OnTable, from, server))
    }

    /// Every place a machine serves from, the usual one first: on its legs, on them at their
    /// shortest and on a chair, the height of a service first.
    pub fn all_of_machine(
        machine: &ThrowingMachine,
        is_farther_first: bool,
        from: From,
        server: Hand,
    ) -> Vec<Self> {
        let legs = machine.outlet_height_m;
        let mut heights = vec![(legs.nearest(WANTED_OUTLET_M), false), (legs.least, false)];
        heights.extend(machine.chair_height_m.map(|chair_m| (chair_m, true)));
        heights.dedup();
        let from_wanted = |height: &(f64, bool)| (height.0 - WANTED_OUTLET_M).abs();
        heights.sort_by(|a, b| from_wanted(a).total_cmp(&from_wanted(b)));
        let mut stands = [Stand::Corner, Stand::FartherBehind];
        if is_farther_first {
            stands.reverse();
        }
        let at = |(height_m, on_chair)| {
            stands.map(|stand| Self {
                outlet_height_m: Some(height_m),
                on_chair,
                ..Self::of_machine(machine, stand, from, server)
            })
        };
        heights.into_iter().flat_map(at).collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::launcher::{Span, capability::tests::machine};

    #[test]
    fn a_high_launcher_is_tried_on_a_chair_first() {
        let mut high = machine();
        high.outlet_height_m = Span::new(0.40, 0.60);
        high.chair_height_m = Some(0.28);
        let places = SetUp::all_of_machine(&high, false, From::BackhandCorner, Hand::Right);
        let heights: Vec<_> = places.iter().filter_map(|place| place.outlet_height_m).collect();
        assert_eq!(heights, [0.28, 0.28, 0.40, 0.40]);
        assert!(places[0].on_chair && !places[2].on_chair);
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

//! A launcher from what anybody sees who stands beside it with a tape: wheels, knobs, how far it
//! tilts. What nobody can read off, its speeds and spins, is supposed: common practice.

use crate::base::words;
use crate::launcher::{
    Dial, FORMAT, HeadTurn, Launcher, LauncherKind, Span, ThrowingMachine, Tied, Wheels,
};

words! {
    /// Whether the head swings from side to side.
    pub enum Swing : "way of swinging" {
        /// It stays where the launcher is turned to.
        No = "no" "does not",
        /// By hand, between blocks.
        ByHand = "by_hand" "by hand" | "hand",
        /// By itself, from ball to ball.
        Itself = "by_itself" "by itself" | "itself" | "yes",
    }
}

/// What was read off a launcher.
#[derive(Debug, Clone, PartialEq)]
pub struct Described {
    pub wheels: Wheels,
    pub head: HeadTurn,
    /// One wheel: the spin of its slowest and of its fastest ball, rev/s, + topspin.
    pub tied_rev_s: [f64; 2],
    pub knobs: Vec<Dial>,
    /// Pointed down as far as it goes, this much lower a metre ahead, centimetres.
    pub tilt_cm: f64,
    pub swing: Swing,
    pub stored_balls: u32,
    /// Lowest nozzle above the table, centimetres.
    pub lowest_cm: f64,
    pub slowest_a_minute: f64,
}

/// Speeds a launcher reaches, m/s, and spins of two wheels, rev/s.
const SPEED_M_S: Span = Span::new(3.5, 14.0);
const SPIN_REV_S: Span = Span::new(-45.0, 60.0);
/// As far as a head that does not turn is off by itself, degrees.
const STILL_DEG: f64 = 1.0;

impl Described {
    /// The launcher.
    pub fn build(self, name: String) -> Launcher {
        let kind = match (self.stored_balls, self.swing) {
            (1.., _) => LauncherKind::PerBall,
            (0, Swing::Itself) => LauncherKind::Oscillating,
            _ => LauncherKind::Fixed,
        };
        let down_deg = (self.tilt_cm / 100.0).atan().to_degrees().round();
        let elevation_deg = if self.tilt_cm > 0.0 {
            Span::new(-down_deg, 35.0)
        } else {
            Span::new(-STILL_DEG, STILL_DEG)
        };
        let aside_deg = if self.swing == Swing::No { STILL_DEG } else { 25.0 };
        let [slow, fast] = self.tied_rev_s;
        let is_one = self.wheels == Wheels::One;
        let ends = [(SPEED_M_S.least, slow), (SPEED_M_S.most, fast)];
        let tied = ends.map(|(speed_m_s, spin_rev_s)| Tied { speed_m_s, spin_rev_s });
        let lowest_m = self.lowest_cm / 100.0;
        let machine = ThrowingMachine {
            wheels: self.wheels,
            head: self.head,
            speed_m_s: SPEED_M_S,
            spin_rev_s: if is_one { Span::new(slow.min(fast), slow.max(fast)) } else { SPIN_REV_S },
            tied: if is_one { tied.to_vec() } else { Vec::new() },
            elevation_deg,
            azimuth_deg: Span::new(-aside_deg, aside_deg),
            outlet_height_m: Span::new(lowest_m, lowest_m + 0.20),
            chair_height_m: None,
            on_table_height_m: None,
            rate_a_minute: Span::new(self.slowest_a_minute, self.slowest_a_minute.max(60.0)),
            start_delay_s: 5.0,
            stored_balls: self.stored_balls,
            hopper_balls: 60,
            scatter: None,
        };
        Launcher {
            format: FORMAT,
            name,
            source: None,
            kind,
            hand: None,
            machine: Some(machine),
            dials: self.knobs,
            calibrated: None,
            kept: Vec::new(),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn described() -> Described {
        Described {
            wheels: Wheels::Two,
            head: HeadTurn::ByHand,
            tied_rev_s: [0.0; 2],
            knobs: Vec::new(),
            tilt_cm: 30.0,
            swing: Swing::No,
            stored_balls: 0,
            lowest_cm: 28.0,
            slowest_a_minute: 25.0,
        }
    }

    #[test]
    fn what_it_stores_and_how_it_swings_make_its_kind() {
        let kind = |swing, stored_balls| {
            Described { swing, stored_balls, ..described() }.build("a".to_owned()).kind
        };
        assert_eq!(kind(Swing::No, 0), LauncherKind::Fixed);
        assert_eq!(kind(Swing::Itself, 0), LauncherKind::Oscillating);
        assert_eq!(kind(Swing::Itself, 8), LauncherKind::PerBall);
    }

    #[test]
    fn thirty_centimetres_down_in_a_metre_are_seventeen_degrees() {
        // atan(0.3) = 16.70 degrees, said as 17.
        let machine = described().build("a".to_owned()).machine.unwrap();
        assert_eq!(machine.elevation_deg.least, -17.0);
    }

    #[test]
    fn one_wheel_has_the_spins_of_its_slowest_and_fastest_ball() {
        let one = Described { wheels: Wheels::One, tied_rev_s: [20.0, 50.0], ..described() };
        let machine = one.build("a".to_owned()).machine.unwrap();
        assert_eq!([3.5, 14.0].map(|speed| machine.tied_spin(speed)), [Some(20.0), Some(50.0)]);
    }
}

//! Trimming by eye: what was seen of a ball, and the one notch to turn for the next.
//!
//! Which dial helps is asked of the flight: every single notch is flown under the model, and of those that move
//! the ball the way that is wanted the one is taken that disturbs least. The model may be off by a
//! hand's width; the *direction* of a notch is right, so a few balls suffice. A notch that went too far is not
//! simply taken back: the next finer way is tried, and when there is none the ball is as near as
//! this launcher gets.

use serde::Serialize;

use crate::base::{text, words};
use crate::flight::aim::Outcome;
use crate::flight::path::{STEP_S, Until, follow};
use crate::flight::{self, Constants, DepthRule, Launch};
use crate::game::Depth;
use crate::launcher::dials::{Feature, Quantity};
use crate::launcher::{AimedBall, Control, Dial, Launcher, Throw};

/// Balls after which trimming ends.
pub const MOST_BALLS: usize = 5;

words! {
    /// What was seen of a ball, from behind the launcher.
    pub enum Seen : "thing seen" {
        /// As wanted.
        Good = "good" "as wanted",
        /// The second bounce came too early.
        Short = "short" "too short",
        /// The second bounce came too late, or not at all.
        Long = "long" "too long",
        /// It landed too far left.
        Left = "left" "too far left",
        /// It landed too far right.
        Right = "right" "too far right",
        /// It hit the net.
        Net = "net" "into the net",
        /// It flew too high over the net.
        High = "high" "too high",
    }
}

/// One turn of one thing.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Turn {
    /// What is turned.
    pub what: Quantity,
    /// Up or down in the physics: faster, upwards, to the left.
    pub is_more: bool,
    /// The size of the notch, in the unit of the quantity.
    pub notch: f64,
    /// The same in words, dial values included when they are known.
    pub words: String,
    /// What it should do to the next ball.
    pub expect: String,
}

/// What comes after a ball.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Step {
    /// Turn this, then throw the next.
    Turn(Turn),
    /// It is trimmed.
    Done(String),
    /// Nothing finer is left, or five balls are thrown.
    Enough(String),
}

/// A ball being trimmed.
#[derive(Debug, Clone)]
pub struct Trim {
    launch: Launch,
    throw: flight::Throw,
    depth: Depth,
    constants: Constants,
    /// Quantity, notch in its unit, and dial name with value and change a notch when calibrated.
    knobs: Vec<Knob>,
    balls: usize,
    last: Option<(usize, f64)>,
    spent: Vec<usize>,
    /// How far each knob is from where it began, in notches, ball by ball; the last is how it stands.
    thrown: Vec<Vec<f64>>,
}

/// Something that can be turned.
#[derive(Debug, Clone)]
struct Knob {
    what: Quantity,
    notch: f64,
    dial: Option<DialAt>,
    /// What turns it, where nobody knows how much: its dial, or the dials of both wheels.
    on: Option<String>,
}

/// The dials that turn a quantity, in words.
fn turned_by(what: Quantity, dials: &[Dial]) -> Option<String> {
    let named = |sets: Control| {
        let dial = dials.iter().find(|dial| dial.sets == sets)?;
        Some(format!("`{}`", text::one_line(&dial.name)))
    };
    match what {
        Quantity::Speed => named(Control::Speed).or_else(|| {
            let (upper, lower) = (named(Control::UpperWheel)?, named(Control::LowerWheel)?);
            Some(format!("both {upper} and {lower}"))
        }),
        Quantity::Elevation => named(Control::Elevation),
        Quantity::Azimuth => named(Control::Azimuth),
        Quantity::TopSpin | Quantity::SideSpin => None,
    }
}

/// A dial as it stands.
#[derive(Debug, Clone)]
struct DialAt {
    name: String,
    value: f64,
    notch: f64,
    /// +1 when turning up makes more.
    way: f64,
    range: (f64, f64),
}

/// A notch when nothing is known about the dials: m/s, degrees.
const fn usual_notch(what: Quantity) -> f64 {
    match what {
        Quantity::Speed => 0.2,
        Quantity::TopSpin | Quantity::SideSpin => 5.0,
        Quantity::Elevation | Quantity::Azimuth => 1.0,
    }
}

impl Trim {
    /// Starts from a computed ball.
    pub fn new(
        launcher: &Launcher,
        ball: &AimedBall,
        throw: Throw,
        depth: Depth,
        constants: &Constants,
    ) -> Self {
        let wheels = launcher.machine.as_ref().map(|machine| machine.wheels);
        let knobs = [Quantity::Speed, Quantity::Elevation, Quantity::Azimuth]
            .into_iter()
            .map(|what| {
                let feature = wheels.and_then(|own| Feature::of(what, &launcher.dials, own));
                let curve = launcher.calibrated.as_ref().and_then(|own| own.curve(what));
                let (Some(Feature::One(at)), Some(curve)) = (feature, curve) else {
                    let on = turned_by(what, &launcher.dials);
                    return Knob { what, notch: usual_notch(what), dial: None, on };
                };
                let dial = &launcher.dials[at];
                let value = ball
                    .settings
                    .dials
                    .iter()
                    .find(|set| set.name == dial.name)
                    .map_or(dial.least, |set| set.value);
                let makes = curve.makes(value + dial.notch) - curve.makes(value);
                Knob {
                    what,
                    on: None,
                    notch: makes.abs().max(1e-3),
                    dial: Some(DialAt {
                        name: dial.name.clone(),
                        value,
                        notch: dial.notch,
                        way: makes.signum(),
                        range: (dial.least, dial.most),
                    }),
                }
            })
            .collect();
        let throw = match throw {
            Throw::Serve => flight::Throw::Service,
            Throw::Feed => flight::Throw::Feed,
        };
        Self {
            launch: ball.launch,
            throw,
            depth,
            constants: *constants,
            thrown: vec![vec![0.0; 3]],
            knobs,
            balls: 0,
            last: None,
            spent: Vec::new(),
        }
    }

    /// What to look at before the first ball.
    pub fn look_at(&self) -> &'static str {
        match self.depth {
            Depth::Short => {
                "let the ball go: its second bounce belongs on the table, a hand's width inside the edge"
            }
            Depth::HalfLong => "let the ball go: its second bounce meets the edge of the table",
            Depth::Long => "let the ball go: it leaves the table well before a second bounce",
        }
    }

    /// Takes what was seen of the next ball.
    pub fn see(&mut self, seen: Seen) -> Step {
        self.balls += 1;
        if seen == Seen::Good {
            return Step::Done(format!(
                "trimmed in {}: throw three more, then begin the block",
                crate::base::text::count(self.balls, "ball")
            ));
        }
        if self.balls >= MOST_BALLS {
            return Step::Enough(format!(
                "{MOST_BALLS} balls are enough: keep the nearest, or calibrate this launcher once"
            ));
        }
        let Some((knob, way)) = self.choose(seen, 1.0).or_else(|| self.choose(seen, 0.5)) else {
            return Step::Enough(
                "no single notch brings it nearer: keep this one; the next finer change is to move the \
                 launcher by a hand's width"
                    .to_owned(),
            );
        };
        Step::Turn(self.turn(knob, way, seen))
    }

    /// The knob and way that help most, by this much of a notch, those that already went too far left out.
    fn choose(&mut self, seen: Seen, part: f64) -> Option<(usize, f64)> {
        let now = self.outcome(&self.launch)?;
        let mut best: Option<(f64, usize, f64)> = None;
        for (place, way) in (0..self.knobs.len()).flat_map(|knob| [(knob, part), (knob, -part)]) {
            // Direction answers for left and right, and for nothing else.
            let is_across = matches!(seen, Seen::Left | Seen::Right);
            if is_across != (self.knobs[place].what == Quantity::Azimuth) {
                continue;
            }
            // Back where it came from: the wanted place lies between two notches of this knob. A ball in
            // the net is no ball, so then everything may be turned.
            let is_back = self.last.is_some_and(|(last, by)| last == place && by * way < 0.0)
                || self.spent.contains(&place);
            if is_back && seen != Seen::Net && part >= 1.0 {
                continue;
            }
            // A setting that was thrown already was not good, whatever is seen now.
            if self.thrown.contains(&self.offsets(place, way)) {
                continue;
            }
            // A dial has no half notches.
            if !self.knobs[place].can_turn(way) || part < 1.0 && self.knobs[place].dial.is_some() {
                continue;
            }
            let Some(then) = self.outcome(&self.turned(place, way)) else { continue };
            let Some(worth) = worth(seen, self.throw, &now, &then) else { continue };
            if best.is_none_or(|(most, ..)| worth > most) {
                best = Some((worth, place, way));
            }
        }
        let (_, place, way) = best?;
        if let Some((last, _)) = self.last
            && last != place
            && matches!(seen, Seen::Short | Seen::Long)
        {
            self.spent.push(last);
        }
        Some((place, way))
    }

    /// How the knobs would stand with one of them turned.
    fn offsets(&self, place: usize, way: f64) -> Vec<f64> {
        let mut offsets = self.thrown.last().cloned().unwrap_or_default();
        if let Some(offset) = offsets.get_mut(place) {
            *offset += way;
        }
        offsets
    }

    /// The launch with one knob turned by so many notches.
    fn turned(&self, place: usize, way: f64) -> Launch {
        let knob = &self.knobs[place];
        let by = knob.notch * way;
        let mut launch = self.launch;
        match knob.what {
            Quantity::Speed => launch.speed_m_s += by,
            Quantity::Elevation => launch.elevation_deg += by,
            Quantity::Azimuth => launch.azimuth_deg += by,
            Quantity::TopSpin => launch.spin.top_rev_s += by,
            Quantity::SideSpin => launch.spin.side_rev_s += by,
        }
        launch
    }

    fn outcome(&self, launch: &Launch) -> Option<Outcome> {
        let until = Until { bounces: self.throw.own_bounces() + 2, time_s: 6.0 };
        let path = follow(&launch.motion(), &self.constants, until, STEP_S);
        Outcome::of(&path, self.throw, &DepthRule::default())
    }

    fn turn(&mut self, place: usize, way: f64, seen: Seen) -> Turn {
        self.launch = self.turned(place, way);
        self.last = Some((place, way));
        self.thrown.push(self.offsets(place, way));
        let notch = if way.abs() < 1.0 { "half a notch" } else { "one notch" };
        let knob = &mut self.knobs[place];
        let words = match (&mut knob.dial, knob.what) {
            (Some(dial), _) => {
                let from = dial.value;
                dial.value = ((from + way * dial.way * dial.notch) * 1e6).round() / 1e6;
                format!("dial `{}` from {from} to {}", dial.name, dial.value)
            }
            (None, Quantity::Speed) => {
                let what = knob.on.as_deref().unwrap_or("speed");
                format!("{what} {notch} {}", if way > 0.0 { "up" } else { "down" })
            }
            (None, Quantity::Elevation) => {
                format!("point it {notch} {}", if way > 0.0 { "higher" } else { "lower" })
            }
            (None, Quantity::Azimuth) => {
                format!("turn it {notch} to the {}", if way > 0.0 { "left" } else { "right" })
            }
            (None, what) => format!("{what} {notch} {}", if way > 0.0 { "up" } else { "down" }),
        };
        let expect = match seen {
            Seen::Short => "the second bounce moves away from the net",
            Seen::Long => "the second bounce comes nearer to the net",
            Seen::Left => "the landing moves to the right",
            Seen::Right => "the landing moves to the left",
            Seen::Net => "more air over the net",
            Seen::High => "less air over the net",
            Seen::Good => "the same again",
        };
        Turn {
            what: knob.what,
            is_more: way > 0.0,
            notch: knob.notch * way.abs(),
            words,
            expect: expect.to_owned(),
        }
    }
}

impl Knob {
    fn can_turn(&self, way: f64) -> bool {
        self.dial.as_ref().is_none_or(|dial| {
            let there = dial.value + way * dial.way * dial.notch;
            (dial.range.0 - 1e-9..=dial.range.1 + 1e-9).contains(&there)
        })
    }
}

/// How good a notch is for what was seen: what it moves the right way, less what it disturbs; none when it
/// moves the wrong way or endangers the ball. Metres.
fn worth(seen: Seen, throw: flight::Throw, now: &Outcome, then: &Outcome) -> Option<f64> {
    let along = then.next_bounce_x_m - now.next_bounce_x_m;
    let across = then.bounce_m[1] - now.bounce_m[1];
    let air = then.net_clearance_m - now.net_clearance_m;
    let first = match (throw, now.first_bounce_m, then.first_bounce_m) {
        (flight::Throw::Service, Some(now), Some(then)) => (then[0] - now[0]).abs(),
        _ => 0.0,
    };
    // A net is an end to every ball; height over it is worth ten times a length on the table.
    let risk = if seen == Seen::Net { 0.0 } else { 10.0 * (-air).max(0.0) };
    let (moved, disturbed) = match seen {
        Seen::Short => (along, across.abs() + risk),
        Seen::Long => (-along, across.abs() + risk),
        Seen::Left => (-across, along.abs() + risk),
        Seen::Right => (across, along.abs() + risk),
        Seen::Net => (10.0 * air, 0.3 * (along.abs() + across.abs())),
        Seen::High => (-10.0 * air, along.abs() + across.abs()),
        Seen::Good => return None,
    };
    let is_right_way = moved > 5e-3;
    // Small movements are taken only when nothing larger helps: one notch, one ball.
    is_right_way.then_some(moved - 0.5 * disturbed - 0.3 * first)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::flight::SpinRate;
    use crate::flight::aim::Share;
    use crate::launcher::capability::tests::launcher;
    use crate::launcher::{Kind, Settings};

    fn trim() -> Trim {
        let launch = Launch {
            outlet_m: [-0.1, 0.0, 0.2],
            speed_m_s: 5.7,
            elevation_deg: -15.0,
            azimuth_deg: 0.0,
            spin: SpinRate::top(-40.0),
        };
        let path = flight::fly(&launch, &Constants::default(), Until::default()).unwrap();
        let outcome = Outcome::of(&path, flight::Throw::Service, &DepthRule::default()).unwrap();
        let ball = AimedBall {
            settings: Settings {
                speed_m_s: 5.7,
                elevation_deg: -15.0,
                azimuth_deg: 0.0,
                top_rev_s: -40.0,
                side_rev_s: 0.0,
                dials: Vec::new(),
                guess: None,
            },
            launch,
            outcome,
            keeps: Share { kept: 0, thrown: 0 },
            notes: Vec::new(),
        };
        let launcher = launcher(Kind::Fixed);
        Trim::new(&launcher, &ball, Throw::Serve, Depth::HalfLong, &Constants::default())
    }

    fn turn(step: Step) -> Turn {
        match step {
            Step::Turn(turn) => turn,
            other => unreachable!("{other:?}"),
        }
    }

    #[test]
    fn a_long_ball_gets_shorter_and_a_left_one_turns_right() {
        let mut long = trim();
        let before = long.outcome(&long.launch).unwrap().next_bounce_x_m;
        turn(long.see(Seen::Long));
        assert!(long.outcome(&long.launch).unwrap().next_bounce_x_m < before - 0.02);
        let left = turn(trim().see(Seen::Left));
        assert_eq!((left.what, left.is_more), (Quantity::Azimuth, false));
    }

    #[test]
    fn a_ball_in_the_net_gets_air() {
        let mut net = trim();
        turn(net.see(Seen::Long));
        turn(net.see(Seen::Short));
        let before = net.outcome(&net.launch).unwrap().net_clearance_m;
        let said = turn(net.see(Seen::Net));
        assert_ne!(said.what, Quantity::Azimuth, "{said:?}");
        assert!(net.outcome(&net.launch).unwrap().net_clearance_m > before + 0.002);
    }

    #[test]
    fn a_notch_that_went_too_far_is_not_taken_back_for_ever() {
        let mut trim = trim();
        let first = turn(trim.see(Seen::Long));
        let second = turn(trim.see(Seen::Short));
        assert!(first.what != second.what, "{first:?} {second:?}");
    }

    #[test]
    fn no_turn_goes_back_to_a_setting_that_was_thrown_already() {
        let all = [Seen::Long, Seen::Short, Seen::Net, Seen::High, Seen::Left, Seen::Right];
        for first in all {
            for second in all {
                for third in all {
                    let mut trim = trim();
                    let mut launches = vec![trim.launch];
                    for seen in [first, second, third] {
                        if !matches!(trim.see(seen), Step::Turn(_)) {
                            break;
                        }
                        let near = |other: &Launch| {
                            (other.speed_m_s - trim.launch.speed_m_s).abs() < 1e-9
                                && (other.elevation_deg - trim.launch.elevation_deg).abs() < 1e-9
                                && (other.azimuth_deg - trim.launch.azimuth_deg).abs() < 1e-9
                        };
                        assert!(!launches.iter().any(near), "{first} {second} {third}");
                        launches.push(trim.launch);
                    }
                }
            }
        }
    }

    #[test]
    fn a_ball_in_the_net_after_a_long_one_is_not_made_long_again() {
        let mut trim = trim();
        let first = turn(trim.see(Seen::Long));
        let second = turn(trim.see(Seen::Net));
        assert!(first.what != second.what || second.notch < first.notch, "{first:?} {second:?}");
    }

    #[test]
    fn it_ends_after_five_balls_or_when_it_is_good() {
        let mut never = trim();
        let steps: Vec<Step> = (0..MOST_BALLS).map(|_| never.see(Seen::Long)).collect();
        assert!(matches!(steps[MOST_BALLS - 1], Step::Enough(_)), "{steps:?}");
        let mut soon = trim();
        soon.see(Seen::Long);
        assert!(matches!(soon.see(Seen::Good), Step::Done(said) if said.contains("2 balls")));
    }
}

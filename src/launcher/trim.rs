//! Trimming by eye: what was seen of a ball, and the one notch to turn for the next.
//!
//! Which dial helps is asked of the flight: every single notch is flown under the model, and of
//! those that move the ball the way that is wanted the one is taken that disturbs least. The model
//! may be off by a hand's width; the *direction* of a notch is right, so a few balls suffice. A
//! notch that went too far is not simply taken back: the next finer way is tried, and when there is
//! none the ball is as near as this launcher gets.

use crate::flight::aim::BallOutcome;
use crate::flight::path::{STEP_S, Until, follow};
use crate::flight::{Constants, Launch, Throw};
use crate::launcher::Launcher;
use crate::launcher::aiming::AimedBall;
use crate::launcher::dials::without_dust;
use crate::launcher::knob::Knob;
use crate::launcher::settings::{DialSetting, Quantity};
use crate::launcher::sight::{Sight, worth};

/// Balls after which trimming ends.
pub const MOST_BALLS: usize = 5;

/// One turn of one thing.
#[derive(Debug, Clone, PartialEq)]
pub struct Turn {
    pub what: Quantity,
    /// Up or down in the physics: faster, upwards, to the left.
    pub is_more: bool,
    /// In the unit of the quantity.
    pub notch: f64,
    pub is_half_a_notch: bool,
    pub on: TurnedOn,
    /// What was seen of the ball it is turned for.
    pub seen: Sight,
}

/// Where a quantity is turned.
#[derive(Debug, Clone, PartialEq)]
pub enum TurnedOn {
    /// Dials, each with its name, from a value to another.
    Dials(Vec<(String, [f64; 2])>),
    /// The head, or the whole launcher where its head stays.
    ByHand { is_whole: bool },
}

/// What comes after a ball.
#[derive(Debug, Clone, PartialEq)]
pub enum TrimStep {
    /// Turn this, then throw the next.
    Turn(Turn),
    /// It is trimmed, with so many balls.
    Done { balls: usize },
    /// [`MOST_BALLS`] are thrown.
    EnoughBalls,
    /// Nothing finer is left.
    NoFinerNotch,
}

/// A ball being trimmed.
#[derive(Debug, Clone)]
pub struct Trim {
    launch: Launch,
    throw: Throw,
    constants: Constants,
    knobs: Vec<Knob>,
    /// The dials as they stand, in entry order.
    dials: Vec<DialSetting>,
    balls: usize,
    last: Option<(usize, f64)>,
    spent: Vec<usize>,
    /// How far each knob is from where it began, in notches.
    turned: [f64; 3],
    /// The same of every ball thrown.
    thrown: Vec<[f64; 3]>,
}

impl Trim {
    /// Starts from a computed ball.
    pub fn new(launcher: &Launcher, ball: &AimedBall, throw: Throw, constants: &Constants) -> Self {
        let knobs = [Quantity::Speed, Quantity::Elevation, Quantity::Azimuth];
        Self {
            launch: ball.launch,
            throw,
            constants: *constants,
            knobs: knobs.into_iter().filter_map(|what| Knob::find(what, launcher, ball)).collect(),
            dials: ball.settings.start().to_vec(),
            balls: 0,
            last: None,
            spent: Vec::new(),
            turned: [0.0; 3],
            thrown: vec![[0.0; 3]],
        }
    }

    /// The dials as they stand.
    pub fn dials(&self) -> &[DialSetting] {
        &self.dials
    }

    /// Takes what was seen of the next ball.
    pub fn see(&mut self, seen: Sight) -> TrimStep {
        self.balls += 1;
        if seen == Sight::Good {
            return TrimStep::Done { balls: self.balls };
        }
        if self.balls >= MOST_BALLS {
            return TrimStep::EnoughBalls;
        }
        match self.choose(seen, 1.0).or_else(|| self.choose(seen, 0.5)) {
            Some((knob, way)) => TrimStep::Turn(self.turn(knob, way, seen)),
            None => TrimStep::NoFinerNotch,
        }
    }

    /// The knob and way that help most, by this much of a notch, those that already went too far
    /// left out.
    fn choose(&self, seen: Sight, part: f64) -> Option<(usize, f64)> {
        let now = self.outcome(&self.launch)?;
        let ways = (0..self.knobs.len()).flat_map(|knob| [(knob, part), (knob, -part)]);
        let worths =
            ways.filter(|&(place, way)| self.is_open(seen, place, way)).filter_map(|turn| {
                let then = self.outcome(&self.launch_turned(turn.0, turn.1))?;
                Some((worth(seen, self.throw, &now, &then)?, turn))
            });
        let best = worths.reduce(|best, other| if other.0 > best.0 { other } else { best });
        best.map(|(_, turn)| turn)
    }

    fn is_open(&self, seen: Sight, place: usize, way: f64) -> bool {
        let knob = &self.knobs[place];
        // Direction answers for left and right, and for nothing else.
        let is_across = matches!(seen, Sight::Left | Sight::Right);
        // Back where it came from: the wanted place lies between two notches of this knob. A ball
        // in the net is no ball, so then everything may be turned.
        let is_back = self.last.is_some_and(|(last, by)| last == place && by * way < 0.0)
            || self.spent.contains(&place);
        is_across == (knob.what == Quantity::Azimuth)
            && !(is_back && seen != Sight::Net && way.abs() >= 1.0)
            // A setting that was thrown already was not good, whatever is seen now.
            && !self.thrown.contains(&self.offsets(place, way))
            && knob.can_turn(way)
    }

    /// How the knobs would stand with one of them turned.
    fn offsets(&self, place: usize, way: f64) -> [f64; 3] {
        let mut offsets = self.turned;
        offsets[place] += way;
        offsets
    }

    /// The launch with one knob turned by so many notches.
    fn launch_turned(&self, place: usize, way: f64) -> Launch {
        let knob = &self.knobs[place];
        let by = knob.notch * way;
        let mut launch = self.launch;
        match knob.what {
            Quantity::Speed => launch.speed_m_s += by,
            Quantity::Elevation => launch.elevation_deg += by,
            _ => launch.azimuth_deg += by,
        }
        launch
    }

    fn outcome(&self, launch: &Launch) -> Option<BallOutcome> {
        let until = Until { bounces: self.throw.own_bounces() + 2, time_s: 6.0 };
        let path = follow(&launch.motion(), &self.constants, until, STEP_S);
        BallOutcome::read_path(&path, self.throw)
    }

    fn turn(&mut self, place: usize, way: f64, seen: Sight) -> Turn {
        let last = self.last.replace((place, way)).map(|(last, _)| last);
        if matches!(seen, Sight::Short | Sight::Long) {
            self.spent.extend(last.filter(|last| *last != place));
        }
        self.launch = self.launch_turned(place, way);
        self.turned = self.offsets(place, way);
        self.thrown.push(self.turned);
        let knob = &mut self.knobs[place];
        let mut turned = Vec::new();
        for at in &mut knob.dials {
            let from = at.value;
            at.value = without_dust(from + way * at.way * at.dial.notch);
            turned.push((at.dial.name.clone(), [from, at.value]));
        }
        for (name, [_, to]) in &turned {
            if let Some(set) = self.dials.iter_mut().find(|set| set.name == *name) {
                set.value = *to;
            }
        }
        let on = if turned.is_empty() {
            TurnedOn::ByHand { is_whole: knob.is_whole }
        } else {
            TurnedOn::Dials(turned)
        };
        Turn {
            what: knob.what,
            is_more: way > 0.0,
            notch: knob.notch * way.abs(),
            is_half_a_notch: way.abs() < 1.0,
            on,
            seen,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::flight::aim::Share;
    use crate::flight::constants::tests::worked_out_on;
    use crate::flight::{SpinRate, fly};
    use crate::launcher::capability::tests::launcher;
    use crate::launcher::{LauncherKind, Settings};

    fn trim() -> Trim {
        let launch = Launch {
            outlet_m: [-0.1, 0.0, 0.2],
            speed_m_s: 5.7,
            elevation_deg: -15.0,
            azimuth_deg: 0.0,
            spin: SpinRate::top(-40.0),
        };
        let path = fly(&launch, &worked_out_on(), Until::default()).unwrap();
        let outcome = BallOutcome::read_path(&path, Throw::Serve).unwrap();
        let ball = AimedBall {
            settings: Settings {
                speed_m_s: 5.7,
                elevation_deg: -15.0,
                azimuth_deg: 0.0,
                top_rev_s: -40.0,
                side_rev_s: 0.0,
                dials: Vec::new(),
                guess: None,
                by_eye: None,
                last: None,
            },
            launch,
            outcome,
            keeps: Share { kept: 0, thrown: 0 },
            notes: Vec::new(),
        };
        let launcher = launcher(LauncherKind::Fixed);
        Trim::new(&launcher, &ball, Throw::Serve, &worked_out_on())
    }

    fn turn(step: TrimStep) -> Turn {
        match step {
            TrimStep::Turn(turn) => turn,
            other => unreachable!("{other:?}"),
        }
    }

    #[test]
    fn a_long_ball_gets_shorter_and_a_left_one_turns_right() {
        let mut long = trim();
        let before = long.outcome(&long.launch).unwrap().next_bounce_x_m;
        turn(long.see(Sight::Long));
        assert!(long.outcome(&long.launch).unwrap().next_bounce_x_m < before - 0.02);
        let left = turn(trim().see(Sight::Left));
        assert_eq!((left.what, left.is_more), (Quantity::Azimuth, false));
    }

    #[test]
    fn a_ball_in_the_net_gets_air() {
        let mut net = trim();
        turn(net.see(Sight::Long));
        turn(net.see(Sight::Short));
        let before = net.outcome(&net.launch).unwrap().net_clearance_m;
        let said = turn(net.see(Sight::Net));
        assert_ne!(said.what, Quantity::Azimuth, "{said:?}");
        assert!(net.outcome(&net.launch).unwrap().net_clearance_m > before + 0.002);
    }

    #[test]
    fn a_notch_that_went_too_far_is_not_taken_back_for_ever() {
        let mut trim = trim();
        let first = turn(trim.see(Sight::Long));
        let second = turn(trim.see(Sight::Short));
        assert!(first.what != second.what, "{first:?} {second:?}");
    }

    #[test]
    fn no_turn_goes_back_to_a_setting_that_was_thrown_already() {
        let all = [Sight::Long, Sight::Short, Sight::Net, Sight::High, Sight::Left, Sight::Right];
        for first in all {
            for second in all {
                for third in all {
                    let mut trim = trim();
                    let mut launches = vec![trim.launch];
                    for seen in [first, second, third] {
                        if !matches!(trim.see(seen), TrimStep::Turn(_)) {
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
        let first = turn(trim.see(Sight::Long));
        let second = turn(trim.see(Sight::Net));
        assert!(first.what != second.what || second.notch < first.notch, "{first:?} {second:?}");
    }

    #[test]
    fn it_ends_after_five_balls_or_when_it_is_good() {
        let mut never = trim();
        let steps: Vec<TrimStep> = (0..MOST_BALLS).map(|_| never.see(Sight::Long)).collect();
        assert_eq!(steps[MOST_BALLS - 1], TrimStep::EnoughBalls, "{steps:?}");
        let mut soon = trim();
        soon.see(Sight::Long);
        assert_eq!(soon.see(Sight::Good), TrimStep::Done { balls: 2 });
    }
}

//! From the ball a launcher is to throw to its settings.
//!
//! [`aim_thrown`] asks `flight` for the launch inside this launcher's ranges; pace and the look of a serve
//! give way before the ball does, and that is noted. Whole decks are `aim_deck`'s, which ball replaces a
//! serve that cannot be thrown is `fit`'s, and dials are `dials`'.

use rayon::prelude::*;

use crate::flight::aim::{
    Aimed, Band, FirstAimed, Measure, Outcome, Refusal, Request, Share, aim_first,
};
use crate::flight::service::{ServeBall, spin_of};
use crate::flight::{Constants, DepthRule, Fault, Launch, SpinRate, Throw, Until, fly};
use crate::game::{Depth, Hand, Pace, lane_y_m};
use crate::launcher::dials::{Beyond, enter, guess_dials};
use crate::launcher::{
    Launcher, REALISTIC_OUTLET_M, SetUp, Settings, Shade, Span, ThrowingMachine, Thrown,
};

/// How far a landing may be off as long as table and dials are not calibrated, metres.
///
/// # Source
/// Errors of the constants alone (friction 0.05, restitution 0.03, drag 0.04) move the next bounce by 0.05 to
/// 0.21 m.
pub const TRUST_WITHOUT_CALIBRATION_M: f64 = 0.15;

/// A hand's width, metres.
const HAND_M: f64 = 0.10;
/// A little less spin.
const LIGHTER: f64 = 0.85;
/// How far from the edge of a depth class a shaded ball stays, metres.
const INSIDE_M: f64 = 0.03;
/// Rounds in which speed and tied spin of one wheel have to agree.
const TIED_ROUNDS: usize = 8;

/// Who receives, who serves, on what.
#[derive(Debug, Clone, Copy)]
pub struct Table {
    /// Ball, air and table.
    pub constants: Constants,
    /// The hand of the player who receives.
    pub receiver: Hand,
    /// The hand of the opponent.
    pub server: Hand,
    /// The seed of the simulated throws.
    pub seed: u64,
}

/// A ball with its settings.
#[derive(Debug, Clone, PartialEq)]
pub struct AimedBall {
    /// What is entered.
    pub settings: Settings,
    /// How the ball leaves.
    pub launch: Launch,
    /// What it then does.
    pub outcome: Outcome,
    /// Simulated throws with the launcher's scatter that stay legal and keep the depth.
    pub keeps: Share,
    /// What was let go so that a ball exists, and what to mind when entering it.
    pub notes: Vec<AimNote>,
}

/// What was let go so that a ball exists, or what to mind when entering it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum AimNote {
    /// Not at the pace of the serve; seconds to the landing instead.
    OtherPace { pace: Pace, time_s: f64 },
    /// Higher and later than a real serve; metres at its top.
    Higher { apex_m: f64 },
    /// No room for the small change that was asked for.
    Unshaded,
    /// The head does not turn that far: degrees for the whole launcher.
    TurnWhole { deg: f64, to_left: bool },
    /// A dial value outside what was calibrated.
    Uncalibrated(Beyond),
    /// At the nearest notches it is no legal ball.
    FaultAtNotches(Fault),
    /// The nearest notches move the next bounce, + farther.
    MovedByNotches { depth: Depth, by_m: f64 },
}

/// Why this launcher has no such ball.
#[derive(Debug, Clone, PartialEq)]
pub enum NoBall {
    Person,
    Refused(Box<Refusal>),
}

/// How much was given up for a ball; less is better.
pub(super) type Rank = usize;

/// What one ball asks for, apart from its spin.
struct Asked<'a> {
    machine: &'a ThrowingMachine,
    set_up: &'a SetUp,
    throw: Throw,
    depth: Depth,
    pace: Pace,
    across_m: f64,
    next_m: Option<f64>,
}

impl Asked<'_> {
    /// The request at a pace, fully or only that early.
    fn request(&self, spin: SpinRate, pace: AtPace) -> Request {
        let set_up = self.set_up;
        let outlet = [
            -set_up.behind_line_m,
            set_up.across_m,
            set_up.outlet_height_m.unwrap_or(REALISTIC_OUTLET_M),
        ];
        let span = |span: Span| Band::between(span.least, span.most);
        let request = match self.throw {
            Throw::Serve => {
                let ball = ServeBall {
                    spin,
                    across_m: self.across_m,
                    depth: self.depth,
                    pace: Some(self.pace),
                    supposed: Vec::new(),
                };
                let request = ball.request(outlet);
                match pace {
                    AtPace::Fully => ball.at_its_pace(request),
                    AtPace::Within(time_s) => {
                        request.wish(Measure::ReleaseToBounce, Band::at_most(time_s))
                    }
                    AtPace::Any => request,
                }
            }
            Throw::Feed => Request::feed(outlet, spin).across(self.across_m).depth(self.depth),
        };
        let mut request = request
            .launcher_limit(Measure::Speed, span(self.machine.speed_m_s))
            .launcher_limit(Measure::Elevation, span(self.machine.elevation_deg))
            .like_a_serve();
        if let Some(next_m) = self.next_m {
            request = request.wish(
                Measure::NextBounceX,
                Band::between(next_m - 0.5 * INSIDE_M, next_m + 0.5 * INSIDE_M),
            );
        }
        request.scatter = self.machine.flight_scatter();
        request
    }
}

/// How much of its pace a ball has to keep.
#[derive(Debug, Clone, Copy, PartialEq)]
enum AtPace {
    /// All of it.
    Fully,
    /// So many seconds to the landing at most.
    Within(f64),
    /// Nothing.
    Any,
}

/// What is tried for a pace, best first.
const fn tries(pace: Pace) -> &'static [AtPace] {
    match pace {
        Pace::Fast => &[
            AtPace::Fully,
            AtPace::Within(0.47),
            AtPace::Within(0.50),
            AtPace::Within(0.53),
            AtPace::Any,
        ],
        Pace::Slow => &[AtPace::Fully, AtPace::Any],
        Pace::Medium => &[AtPace::Any],
    }
}

/// A launch with what was let go for it.
#[derive(Clone)]
struct Found {
    aimed: Aimed,
    notes: Vec<AimNote>,
    rank: Rank,
}

/// The best ball of this spin.
fn find(asked: &Asked<'_>, spin: SpinRate, table: &Table) -> Result<Found, NoBall> {
    let paces = tries(if asked.throw == Throw::Serve { asked.pace } else { Pace::Medium });
    let requests: Vec<Request> = paces.iter().map(|&pace| asked.request(spin, pace)).collect();
    let FirstAimed { place, aimed, looks_like_a_serve } =
        aim_first(&requests, &table.constants, table.seed).map_err(NoBall::Refused)?;
    let outcome = &aimed.outcome;
    let note = if !looks_like_a_serve {
        Some(AimNote::Higher { apex_m: outcome.apex_m })
    } else if place > 0 {
        Some(AimNote::OtherPace { pace: asked.pace, time_s: outcome.release_to_bounce_s })
    } else {
        None
    };
    let rank = place + if looks_like_a_serve { 0 } else { 10 };
    Ok(Found { aimed, notes: note.into_iter().collect(), rank })
}

/// The spin of a ball, about the axes of the launch.
fn spin(thrown: &Thrown) -> SpinRate {
    let factor = if thrown.shade == Some(Shade::Lighter) { LIGHTER } else { 1.0 };
    spin_of(thrown.spin, thrown.rev_s * factor, thrown.breaks)
}

/// Where across the table the ball lands, its small change included, metres.
fn across_m(thrown: &Thrown, receiver: Hand) -> f64 {
    let plain = lane_y_m(thrown.lane, receiver);
    match thrown.shade {
        Some(Shade::Inwards) => plain - HAND_M.min(plain.abs()) * plain.signum(),
        // The receiver's right is the launcher's left.
        Some(Shade::Right) => plain + HAND_M,
        Some(Shade::Left) => plain - HAND_M,
        _ => plain,
    }
}

/// Settings for a ball thrown from a set-up.
///
/// # Errors
/// [`NoBall`] when nothing this launcher can do comes near enough.
pub fn aim_thrown(
    launcher: &Launcher,
    thrown: &Thrown,
    set_up: &SetUp,
    table: &Table,
) -> Result<AimedBall, NoBall> {
    aim_ranked(launcher, thrown, set_up, table).map(|(ball, _)| ball)
}

/// [`aim_thrown`], and how much was given up for it.
pub(super) fn aim_ranked(
    launcher: &Launcher,
    thrown: &Thrown,
    set_up: &SetUp,
    table: &Table,
) -> Result<(AimedBall, Rank), NoBall> {
    let found = aim_plain(launcher, thrown, set_up, table)?;
    aim_shaded(launcher, thrown, set_up, found, table)
}

/// Settings for every ball of a list, in its order; the same as [`aim_thrown`] for each. A ball that is
/// to bounce longer or shorter starts from the plain one, which is aimed once for all of them.
pub fn aim_all(
    launcher: &Launcher,
    balls: &[(Thrown, SetUp)],
    table: &Table,
) -> Vec<Result<AimedBall, NoBall>> {
    let mut plain: Vec<(Thrown, SetUp)> = Vec::new();
    for ball in balls.iter().map(without_length) {
        if !plain.contains(&ball) {
            plain.push(ball);
        }
    }
    let found: Vec<Result<Found, NoBall>> = plain
        .par_iter()
        .map(|(thrown, set_up)| aim_plain(launcher, thrown, set_up, table))
        .collect();
    let aim = |ball: &(Thrown, SetUp)| {
        let place = plain.iter().position(|plain| *plain == without_length(ball));
        let found = match place {
            Some(place) => found[place].clone()?,
            None => aim_plain(launcher, &ball.0, &ball.1, table)?,
        };
        aim_shaded(launcher, &ball.0, &ball.1, found, table).map(|(aimed, _)| aimed)
    };
    balls.par_iter().map(aim).collect()
}

/// The ball from which a longer or shorter one starts; any other one starts from itself.
fn without_length((thrown, set_up): &(Thrown, SetUp)) -> (Thrown, SetUp) {
    let is_moved = matches!(thrown.shade, Some(Shade::Longer | Shade::Shorter));
    (Thrown { shade: thrown.shade.filter(|_| !is_moved), ..*thrown }, *set_up)
}

fn machine_of(launcher: &Launcher) -> Result<&ThrowingMachine, NoBall> {
    launcher.throwing_machine().ok_or(NoBall::Person)
}

/// What a ball asks for, wherever its next bounce is.
fn asked<'a>(
    machine: &'a ThrowingMachine,
    thrown: &Thrown,
    set_up: &'a SetUp,
    receiver: Hand,
) -> Asked<'a> {
    Asked {
        machine,
        set_up,
        throw: thrown.throw,
        depth: thrown.depth,
        pace: thrown.pace,
        across_m: across_m(thrown, receiver),
        next_m: None,
    }
}

/// The launch of a ball before it is made longer or shorter.
fn aim_plain(
    launcher: &Launcher,
    thrown: &Thrown,
    set_up: &SetUp,
    table: &Table,
) -> Result<Found, NoBall> {
    let machine = machine_of(launcher)?;
    let asked = asked(machine, thrown, set_up, table.receiver);
    let mut spin = spin(thrown);
    let mut found = find(&asked, spin, table)?;
    for _ in 0..TIED_ROUNDS {
        let Some(tied) = machine.tied_spin(found.aimed.launch.speed_m_s) else { break };
        if (tied - spin.top_rev_s).abs() < 0.1 {
            break;
        }
        spin = SpinRate::top(tied);
        found = find(&asked, spin, table)?;
    }
    Ok(found)
}

/// The ball, longer or shorter than the plain one where it is to be.
fn aim_shaded(
    launcher: &Launcher,
    thrown: &Thrown,
    set_up: &SetUp,
    mut found: Found,
    table: &Table,
) -> Result<(AimedBall, Rank), NoBall> {
    let machine = machine_of(launcher)?;
    let by_m = match thrown.shade {
        Some(Shade::Longer) => HAND_M,
        Some(Shade::Shorter) => -HAND_M,
        _ => 0.0,
    };
    if by_m != 0.0 {
        let mut asked = asked(machine, thrown, set_up, table.receiver);
        asked.next_m = Some(shaded_m(found.aimed.outcome.next_bounce_x_m + by_m, thrown.depth));
        match find(&asked, found.aimed.launch.spin, table) {
            Ok(shaded) => found = shaded,
            Err(_) => found.notes.push(AimNote::Unshaded),
        }
    }
    let rank = found.rank + if thrown.throw == Throw::Feed { 100 } else { 0 };
    Ok((finish(launcher, machine, found, table), rank))
}

/// A place for the next bounce that stays in its depth class.
fn shaded_m(wanted_m: f64, depth: Depth) -> f64 {
    let rule = DepthRule::default();
    match depth {
        Depth::Short => wanted_m.min(rule.half_long_from_m - INSIDE_M),
        Depth::HalfLong => {
            wanted_m.clamp(rule.half_long_from_m + INSIDE_M, rule.long_beyond_m - INSIDE_M)
        }
        Depth::Long => wanted_m.max(rule.long_beyond_m + INSIDE_M),
    }
}

/// The ball with its dials and what to mind.
fn finish(
    launcher: &Launcher,
    machine: &ThrowingMachine,
    found: Found,
    table: &Table,
) -> AimedBall {
    let Found { aimed, mut notes, .. } = found;
    let launch = aimed.launch;
    let mut settings = Settings {
        speed_m_s: launch.speed_m_s,
        elevation_deg: launch.elevation_deg,
        azimuth_deg: launch.azimuth_deg,
        top_rev_s: launch.spin.top_rev_s,
        side_rev_s: launch.spin.side_rev_s,
        dials: Vec::new(),
        guess: None,
    };
    let beyond_deg = launch.azimuth_deg - machine.azimuth_deg.nearest(launch.azimuth_deg);
    if beyond_deg.abs() > 0.05 {
        let (deg, to_left) = (beyond_deg.abs().ceil(), beyond_deg > 0.0);
        notes.push(AimNote::TurnWhole { deg, to_left });
    }
    if let Some(entered) = enter(launcher, &settings) {
        notes.extend(entered.beyond.iter().copied().map(AimNote::Uncalibrated));
        notes.extend(by_notches(&aimed, &entered.makes, table));
        settings.dials = entered.dials;
    }
    settings.guess = guess_dials(launcher, &settings);
    AimedBall { settings, launch, outcome: aimed.outcome, keeps: aimed.keeps, notes }
}

/// What the nearest notches change, when it matters.
fn by_notches(aimed: &Aimed, makes: &Settings, table: &Table) -> Option<AimNote> {
    let launch = Launch {
        speed_m_s: makes.speed_m_s,
        elevation_deg: makes.elevation_deg,
        azimuth_deg: makes.azimuth_deg,
        spin: makes.spin(),
        ..aimed.launch
    };
    let until = Until { bounces: aimed.throw.own_bounces() + 2, time_s: 6.0 };
    let path = fly(&launch, &table.constants, until).ok()?;
    if let Some(fault) = path.fault(aimed.throw) {
        return Some(AimNote::FaultAtNotches(fault));
    }
    let depth = path.depth(aimed.throw, &DepthRule::default())?;
    let by_m = path.next_bounce(aimed.throw)?.x_m() - aimed.outcome.next_bounce_x_m;
    let matters = depth != aimed.outcome.depth || by_m.abs() > 0.10;
    matters.then_some(AimNote::MovedByNotches { depth, by_m })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::game::{Lane, Serve, Spin};
    use crate::launcher::capability::tests::launcher;
    use crate::launcher::{LauncherKind, fit};

    #[test]
    fn many_balls_are_aimed_as_each_is_alone() {
        let table = Table {
            constants: Constants::default(),
            receiver: Hand::Right,
            server: Hand::Left,
            seed: 1,
        };
        let launcher = launcher(LauncherKind::PerBall);
        let mut serve = Serve::unknown("a".parse().unwrap());
        (serve.depth, serve.spin) = (Some(Depth::HalfLong), Some(Spin::Backspin));
        serve.lane = Some(Lane::Forehand);
        let fit = fit(&launcher, &serve, Hand::Left, false, None);
        let shades = [Some(Shade::Longer), None, Some(Shade::Inwards), Some(Shade::Shorter)];
        let balls = shades.map(|shade| (Thrown { shade, ..fit.thrown }, fit.set_up));
        let alone = balls.map(|(thrown, set_up)| aim_thrown(&launcher, &thrown, &set_up, &table));
        assert_eq!(aim_all(&launcher, &balls, &table), alone);
        assert!(alone.iter().all(Result::is_ok), "{alone:?}");
        assert_ne!(alone[0], alone[1]);
    }
}

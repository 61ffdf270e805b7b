//! From the ball a launcher is to throw to its settings.
//!
//! [`aim_thrown`] asks `flight` for the launch inside this launcher's ranges; pace and the look of a serve
//! give way before the ball does, and that is said. Whole decks are `deck`'s, lists of balls `many`'s, which ball replaces a serve
//! that cannot be thrown is `fit`'s, and dials are `dials`'.

mod deck;
mod many;

pub use deck::{Cannot, DeckAim, Group, ServeAim, aim_deck};
pub use many::aim_all;

use serde::Serialize;

use crate::flight::aim::{
    AimError, Aimed, Band, Measure, Outcome, Refusal, Request, Scatter, Share, aim_first,
};
use crate::flight::service::{self, spin_of};
use crate::flight::{self, Constants, DepthRule, Launch, SpinRate, Until};
use crate::game::{Depth, Hand, Pace, lane_y_m};
use crate::launcher::dials::{Quantity, physics, place};
use crate::launcher::{
    Launcher, Machine, REALISTIC_OUTLET_M, SetUp, Settings, Shade, Throw, Thrown, enter,
    starting_dials,
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
#[derive(Debug, Clone, PartialEq, Serialize)]
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
    pub notes: Vec<String>,
}

/// Why this launcher has no such ball, and the nearest one.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct NoBall {
    /// Why.
    pub why: String,
    /// The nearest thing, when anything legal is near.
    pub nearest: Option<String>,
}

/// How much was given up for a ball; less is better.
type Rank = u32;

/// The scatter of a machine as the aim takes it.
fn scatter(machine: &Machine) -> Scatter {
    machine.scatter.map_or_else(Scatter::default, |own| Scatter {
        speed_share: own.speed_percent / 100.0,
        angle_deg: own.elevation_deg.max(own.azimuth_deg),
        spin_share: own.spin_percent / 100.0,
    })
}

/// What one ball asks for, apart from its spin.
struct Asked<'a> {
    machine: &'a Machine,
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
        let span = |span: crate::launcher::Span| Band::between(span.least, span.most);
        let request = match self.throw {
            Throw::Serve => {
                let ball = service::ServeBall {
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
        request.scatter = scatter(self.machine);
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
    notes: Vec<String>,
    rank: Rank,
}

/// The best ball of this spin.
fn find(asked: &Asked<'_>, spin: SpinRate, table: &Table) -> Result<Found, Box<Refusal>> {
    let paces = tries(if asked.throw == Throw::Serve { asked.pace } else { Pace::Medium });
    let requests: Vec<Request> = paces.iter().map(|&pace| asked.request(spin, pace)).collect();
    let errors = match aim_first(&requests, &table.constants, table.seed) {
        Ok((place, aimed)) => {
            let note = format!(
                "not as {} as the serve from there: {:.2} s to the landing is what it has",
                asked.pace, aimed.outcome.release_to_bounce_s
            );
            let notes = if place > 0 { vec![note] } else { Vec::new() };
            return Ok(Found { aimed, notes, rank: Rank::try_from(place).unwrap_or(Rank::MAX) });
        }
        Err(errors) => errors,
    };
    let mut higher: Option<Found> = None;
    let mut refused = None;
    for (error, rank) in errors.into_iter().zip(0..) {
        let AimError::Refused(refusal) = error else { continue };
        let only_look = refusal.is_only_unlike_a_serve();
        if let Some(aimed) = refusal.nearest.filter(|_| only_look) {
            let is_earlier = higher.as_ref().is_none_or(|best| {
                aimed.outcome.release_to_bounce_s < best.aimed.outcome.release_to_bounce_s
            });
            if is_earlier {
                let notes = vec![format!(
                    "flies higher and later than a real serve: {:.0} cm at its top",
                    aimed.outcome.apex_m * 100.0
                )];
                higher = Some(Found { aimed, notes, rank: rank + 10 });
            }
        }
        refused = Some(refusal);
    }
    match (higher, refused) {
        (Some(found), _) => Ok(found),
        (None, Some(refusal)) => Err(refusal),
        // Numbers out of bounds in a judged launcher file: nothing is near.
        (None, None) => {
            Err(Box::new(Refusal { limits: Vec::new(), misses: Vec::new(), nearest: None }))
        }
    }
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
    ranked(launcher, thrown, set_up, table).map(|(ball, _)| ball)
}

fn ranked(
    launcher: &Launcher,
    thrown: &Thrown,
    set_up: &SetUp,
    table: &Table,
) -> Result<(AimedBall, Rank), NoBall> {
    let found = plain(launcher, thrown, set_up, table)?;
    shaded(launcher, &(*thrown, *set_up), found, table)
}

/// The machine that throws.
fn machine(launcher: &Launcher) -> Result<&Machine, NoBall> {
    launcher.machine.as_ref().filter(|_| !launcher.kind.is_person()).ok_or_else(|| NoBall {
        why: "a person has no settings".to_owned(),
        nearest: Some("feed or serve it from the call sheet: secondball rehearse".to_owned()),
    })
}

/// What a ball asks for, wherever its next bounce is.
fn asked<'a>(
    machine: &'a Machine,
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

/// The launch of a ball before it is made longer or shorter, and its spin.
fn plain(
    launcher: &Launcher,
    thrown: &Thrown,
    set_up: &SetUp,
    table: &Table,
) -> Result<(Found, SpinRate), NoBall> {
    let machine = machine(launcher)?;
    let asked = asked(machine, thrown, set_up, table.receiver);
    let refuse = |refusal: Box<Refusal>| no_ball(&refusal);
    let mut spin = spin(thrown);
    let mut found = find(&asked, spin, table).map_err(refuse)?;
    for _ in 0..TIED_ROUNDS {
        let Some(tied) = machine.tied_spin(found.aimed.launch.speed_m_s) else { break };
        if (tied - spin.top_rev_s).abs() < 0.1 {
            break;
        }
        spin = SpinRate::top(tied);
        found = find(&asked, spin, table).map_err(refuse)?;
    }
    Ok((found, spin))
}

/// The ball, longer or shorter than the plain one where it is to be.
fn shaded(
    launcher: &Launcher,
    (thrown, set_up): &(Thrown, SetUp),
    (mut found, spin): (Found, SpinRate),
    table: &Table,
) -> Result<(AimedBall, Rank), NoBall> {
    let machine = machine(launcher)?;
    let by = match thrown.shade {
        Some(Shade::Longer) => HAND_M,
        Some(Shade::Shorter) => -HAND_M,
        _ => 0.0,
    };
    if by != 0.0 {
        let mut asked = asked(machine, thrown, set_up, table.receiver);
        asked.next_m = Some(shaded_m(found.aimed.outcome.next_bounce_x_m + by, thrown.depth));
        match find(&asked, spin, table) {
            Ok(shaded) => found = shaded,
            Err(_) => found.notes.push("no room for the small change: the plain ball".to_owned()),
        }
    }
    let rank = found.rank + u32::from(thrown.throw == Throw::Feed) * 100;
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
fn finish(launcher: &Launcher, machine: &Machine, found: Found, table: &Table) -> AimedBall {
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
        let side = if beyond_deg > 0.0 { "left" } else { "right" };
        notes.push(format!(
            "its head does not turn that far: turn the whole launcher {:.0} degrees to the {side}",
            beyond_deg.abs().ceil()
        ));
    }
    if let Some(entered) = enter(launcher, &settings) {
        notes.extend(entered.warnings.iter().cloned());
        notes.extend(by_notches(&aimed, &settings, &entered.makes, table));
        settings.dials = entered.dials;
    }
    settings.guess = starting_dials(launcher, &settings);
    AimedBall { settings, launch, outcome: aimed.outcome, keeps: aimed.keeps, notes }
}

/// What the nearest notches change, when it matters.
fn by_notches(aimed: &Aimed, wanted: &Settings, makes: &Settings, table: &Table) -> Option<String> {
    // Quantities no dial sets stay as they were asked.
    let mut real = wanted.clone();
    for &quantity in Quantity::ALL {
        *place(&mut real, quantity) = physics(makes, quantity);
    }
    let launch = Launch {
        speed_m_s: real.speed_m_s,
        elevation_deg: real.elevation_deg,
        azimuth_deg: real.azimuth_deg,
        spin: real.spin(),
        ..aimed.launch
    };
    let until = Until { bounces: aimed.throw.own_bounces() + 2, time_s: 6.0 };
    let path = flight::fly(&launch, &table.constants, until).ok()?;
    if let Some(fault) = path.fault(aimed.throw) {
        return Some(format!("at the nearest notches it {fault}: trim before the block"));
    }
    let depth = path.depth(aimed.throw, &DepthRule::default())?;
    let next_m = path.next_bounce(aimed.throw)?.x_m();
    let off_m = next_m - aimed.outcome.next_bounce_x_m;
    (depth != aimed.outcome.depth || off_m.abs() > 0.10).then(|| {
        format!(
            "the nearest notches make it {depth}: its next bounce {:.0} cm {}",
            off_m.abs() * 100.0,
            if off_m > 0.0 { "farther" } else { "shorter" }
        )
    })
}

fn no_ball(refusal: &Refusal) -> NoBall {
    let nearest = refusal.nearest.as_ref().map(|near| {
        format!(
            "{}, landing {:.2} m and next {:.2} m from its end line, {:.1} m/s at {:.0} degrees",
            near.outcome.depth,
            near.outcome.bounce_m[0],
            near.outcome.next_bounce_x_m,
            near.launch.speed_m_s,
            near.launch.elevation_deg
        )
    });
    NoBall { why: refusal.to_string(), nearest }
}

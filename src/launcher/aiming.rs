//! From the ball a launcher is to throw to its settings, for one ball and for a whole deck.
//!
//! [`aim_thrown`] asks `flight` for the launch inside this launcher's ranges; pace and the look of a serve
//! give way before the ball does, and that is said. [`aim_deck`] does it for every serve of a deck and groups
//! them so that the launcher moves as rarely as possible. Which ball replaces a serve that
//! cannot be thrown is `fit`'s; dials are `dials`'.

use serde::Serialize;

use crate::flight::aim::{
    AimError, Aimed, Band, Measure, Outcome, Refusal, Request, Scatter, Share, aim,
};
use crate::flight::service::{self, spin_of};
use crate::flight::{self, Constants, DepthRule, Launch, SpinRate, Until};
use crate::game::{Depth, Hand, Pace, Serve, ServeId, Side, Weight, lane_y_m};
use crate::launcher::dials::{Quantity, physics, place};
use crate::launcher::{
    Launcher, Limit, Machine, REALISTIC_OUTLET_M, SetUp, Settings, Shade, Stand, Throw, Thrown,
    enter, fit,
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

/// One serve of a deck with its settings.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct ServeAim {
    /// The serve.
    pub serve: ServeId,
    /// The serve in words.
    pub words: String,
    /// The ball that is thrown for it.
    pub thrown: Thrown,
    /// What of the serve is lost.
    pub limits: Vec<Limit>,
    /// The ball.
    pub ball: AimedBall,
}

/// Serves thrown from one set-up.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Group {
    /// Where the launcher stands.
    pub set_up: SetUp,
    /// The same in words.
    pub words: String,
    /// The serves.
    pub serves: Vec<ServeAim>,
}

/// A serve this launcher cannot throw at all.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Cannot {
    /// The serve.
    pub serve: ServeId,
    /// The serve in words.
    pub words: String,
    /// Why, and the nearest thing.
    pub no_ball: NoBall,
}

/// The settings of a deck.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct DeckAim {
    /// Set-ups, the one with most serves first.
    pub groups: Vec<Group>,
    /// Serves that cannot be thrown.
    pub cannot: Vec<Cannot>,
    /// Why the outlet has to be low, when this launcher makes it matter.
    pub height: Option<String>,
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
                let ball = service::Ball {
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
struct Found {
    aimed: Aimed,
    notes: Vec<String>,
    rank: Rank,
}

/// The best ball of this spin.
fn find(asked: &Asked<'_>, spin: SpinRate, table: &Table) -> Result<Found, Box<Refusal>> {
    let paces = tries(if asked.throw == Throw::Serve { asked.pace } else { Pace::Medium });
    let mut higher: Option<Found> = None;
    let mut refused = None;
    for (&pace, rank) in paces.iter().zip(0..) {
        let mut notes = Vec::new();
        match aim(&asked.request(spin, pace), &table.constants, table.seed) {
            Ok(aimed) => {
                if rank > 0 {
                    notes.push(format!(
                        "not as {} as the serve from there: {:.2} s to the landing is what it has",
                        asked.pace, aimed.outcome.release_to_bounce_s
                    ));
                }
                return Ok(Found { aimed, notes, rank });
            }
            Err(AimError::Refused(refusal)) => {
                let only_look = refusal.is_only_unlike_a_serve();
                if let Some(aimed) = refusal.nearest.filter(|_| only_look) {
                    let is_earlier = higher.as_ref().is_none_or(|best| {
                        aimed.outcome.release_to_bounce_s < best.aimed.outcome.release_to_bounce_s
                    });
                    if is_earlier {
                        notes.push(format!(
                            "flies higher and later than a real serve: {:.0} cm at its top",
                            aimed.outcome.apex_m * 100.0
                        ));
                        higher = Some(Found { aimed, notes, rank: rank + 10 });
                    }
                }
                refused = Some(refusal);
            }
            Err(AimError::Numbers(_)) => {}
        }
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
    let side = thrown.breaks.unwrap_or(Side::Left);
    spin_of(thrown.spin, Weight::RevS(thrown.rev_s * factor), side)
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
    let Some(machine) = launcher.machine.as_ref().filter(|_| !launcher.kind.is_person()) else {
        return Err(NoBall {
            why: "a person has no settings".to_owned(),
            nearest: Some("feed or serve it from the call sheet: secondball rehearse".to_owned()),
        });
    };
    let mut asked = Asked {
        machine,
        set_up,
        throw: thrown.throw,
        depth: thrown.depth,
        pace: thrown.pace,
        across_m: across_m(thrown, table.receiver),
        next_m: None,
    };
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
    let by = match thrown.shade {
        Some(Shade::Longer) => HAND_M,
        Some(Shade::Shorter) => -HAND_M,
        _ => 0.0,
    };
    if by != 0.0 {
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

/// A serve thrown from one place.
struct Tried {
    set_up: SetUp,
    aim: ServeAim,
    rank: Rank,
}

fn tried(
    launcher: &Launcher,
    serve: &Serve,
    forced: Option<SetUp>,
    table: &Table,
) -> Result<Tried, NoBall> {
    let fit = fit(launcher, serve, table.server, false, forced);
    let (ball, rank) = ranked(launcher, &fit.thrown, &fit.set_up, table)?;
    let aim = ServeAim {
        serve: serve.id.clone(),
        words: serve.shown(),
        thrown: fit.thrown,
        limits: fit.limits,
        ball,
    };
    Ok(Tried { set_up: fit.set_up, aim, rank })
}

/// Settings for the serves of a deck, grouped by where the launcher stands.
pub fn aim_deck(launcher: &Launcher, serves: &[&Serve], table: &Table) -> DeckAim {
    let mut done: Vec<Tried> = Vec::new();
    let mut cannot = Vec::new();
    for &serve in serves {
        match elsewhere_too(launcher, serve, table) {
            Ok(one) => done.push(one),
            Err(no_ball) => {
                cannot.push(Cannot { serve: serve.id.clone(), words: serve.shown(), no_ball });
            }
        }
    }
    gather(launcher, serves, &mut done, table);
    let mut groups: Vec<Group> = Vec::new();
    for one in done {
        match groups.iter_mut().find(|group| group.set_up == one.set_up) {
            Some(group) => group.serves.push(one.aim),
            None => groups.push(Group {
                set_up: one.set_up,
                words: one.set_up.shown(),
                serves: vec![one.aim],
            }),
        }
    }
    groups.sort_by_key(|group| std::cmp::Reverse(group.serves.len()));
    DeckAim { height: height(launcher, &groups), groups, cannot }
}

/// The serve from where it is usually thrown; from another place when that gives up less.
fn elsewhere_too(launcher: &Launcher, serve: &Serve, table: &Table) -> Result<Tried, NoBall> {
    let usual = tried(launcher, serve, None, table);
    let Some(machine) = launcher.machine.as_ref() else { return usual };
    let is_perfect = |one: &Result<Tried, NoBall>| one.as_ref().is_ok_and(|one| one.rank == 0);
    if is_perfect(&usual) {
        return usual;
    }
    let from = serve.from.unwrap_or(crate::game::From::BackhandCorner);
    let mut best = usual;
    for stand in [Stand::Corner, Stand::FartherBehind] {
        let there = SetUp::of_machine(machine, stand, from, table.server);
        if best.as_ref().is_ok_and(|one| one.set_up == there) {
            continue;
        }
        let other = tried(launcher, serve, Some(there), table);
        let is_better = match (&other, &best) {
            (Ok(other), Ok(best)) => other.rank < best.rank,
            (Ok(_), Err(_)) => true,
            (Err(_), _) => false,
        };
        if is_better {
            best = other;
        }
    }
    best
}

/// Moves serves out of small groups into larger ones where nothing more is given up for it.
fn gather(launcher: &Launcher, serves: &[&Serve], done: &mut [Tried], table: &Table) {
    let mut places: Vec<(SetUp, usize)> = Vec::new();
    for one in done.iter() {
        match places.iter_mut().find(|(set_up, _)| *set_up == one.set_up) {
            Some((_, count)) => *count += 1,
            None => places.push((one.set_up, 1)),
        }
    }
    places.sort_by_key(|&(_, count)| std::cmp::Reverse(count));
    // From the smallest group on; a group moves as a whole or not at all, or nothing is saved.
    for (from, _) in places.iter().rev() {
        for (to, _) in places.iter().take_while(|(to, _)| to != from) {
            let moved: Option<Vec<(usize, Tried)>> = done
                .iter()
                .enumerate()
                .filter(|(_, one)| one.set_up == *from)
                .map(|(at, one)| {
                    let serve = serves.iter().find(|serve| serve.id == one.aim.serve)?;
                    let there = tried(launcher, serve, Some(*to), table).ok()?;
                    let as_good =
                        there.rank <= one.rank && there.aim.limits.len() <= one.aim.limits.len();
                    as_good.then_some((at, there))
                })
                .collect();
            if let Some(moved) = moved {
                for (at, there) in moved {
                    done[at] = there;
                }
                break;
            }
        }
    }
}

/// Why the outlet has to be low, in one line, when this launcher's own legs are too high.
fn height(launcher: &Launcher, groups: &[Group]) -> Option<String> {
    let machine = launcher.machine.as_ref()?;
    let lowest = machine.outlet_height_m.least;
    if lowest <= REALISTIC_OUTLET_M {
        return None;
    }
    let way = match machine.chair_height_m {
        Some(chair) if chair <= REALISTIC_OUTLET_M => {
            format!("hence the short legs on a wedged chair ({:.0} cm)", chair * 100.0)
        }
        _ if groups.iter().any(|group| group.set_up.stand == Stand::OnTable) => {
            "hence balls that bounce once, thrown from the table".to_owned()
        }
        _ => "shorter legs on a wedged chair would do it".to_owned(),
    };
    Some(format!(
        "A serve peaks 18 to 25 cm above the table between its bounces; from an outlet at {:.0} cm no \
         ball does, from 30 cm or lower it can: {way}.",
        lowest * 100.0
    ))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::game::{Lane, Spin};
    use crate::launcher::capability::tests::launcher;
    use crate::launcher::{At, Calibrated, Control, Curve, Dial, Kind, Span, Tied, Wheels};

    fn table() -> Table {
        Table {
            constants: Constants::default(),
            receiver: Hand::Right,
            server: Hand::Right,
            seed: 1,
        }
    }

    fn serve(id: &str, depth: Depth, spin: Spin) -> Serve {
        let mut serve = Serve::unknown(id.parse().unwrap());
        (serve.lane, serve.depth, serve.spin) = (Some(Lane::Forehand), Some(depth), Some(spin));
        serve
    }

    #[test]
    fn the_settings_of_a_short_backspin_serve_fly_to_the_forehand_and_stay_short() {
        let deck = [serve("a", Depth::Short, Spin::Backspin)];
        let aimed = aim_deck(&launcher(Kind::PerBall), &[&deck[0]], &table());
        let ball = &aimed.groups[0].serves[0].ball;
        let path = flight::fly(&ball.launch, &Constants::default(), Until::default()).unwrap();
        assert_eq!(path.fault(flight::Throw::Service), None);
        assert_eq!(path.depth(flight::Throw::Service, &DepthRule::default()), Some(Depth::Short));
        let lands = path.receiver_bounce(flight::Throw::Service).unwrap();
        assert!((lands.y_m() - lane_y_m(Lane::Forehand, Hand::Right)).abs() < 1e-3);
        assert!(ball.launch.elevation_deg >= -20.0, "{:?}", ball.launch);
    }

    #[test]
    fn a_launcher_that_need_not_move_does_not() {
        let mut fast = serve("b", Depth::Long, Spin::Topspin);
        fast.pace = Some(Pace::Fast);
        let deck = [serve("a", Depth::Short, Spin::Backspin), fast];
        let both: Vec<&Serve> = deck.iter().collect();
        let aimed = aim_deck(&launcher(Kind::PerBall), &both, &table());
        let thrown: usize = aimed.groups.iter().map(|group| group.serves.len()).sum();
        assert_eq!(thrown + aimed.cannot.len(), 2);
        // A second place is worth a walk only when it gives up less than the first.
        for group in &aimed.groups[1..] {
            for one in &group.serves {
                let kept = deck.iter().find(|serve| serve.id == one.serve).unwrap();
                let here =
                    tried(&launcher(Kind::PerBall), kept, Some(aimed.groups[0].set_up), &table());
                let there =
                    tried(&launcher(Kind::PerBall), kept, Some(group.set_up), &table()).unwrap();
                assert!(here.is_err() || here.is_ok_and(|here| here.rank > there.rank));
            }
        }
    }

    #[test]
    fn a_longer_shade_bounces_farther_and_keeps_its_depth() {
        let launcher = launcher(Kind::PerBall);
        let serve = serve("a", Depth::HalfLong, Spin::Backspin);
        let fit = fit(&launcher, &serve, Hand::Right, false, None);
        let plain = aim_thrown(&launcher, &fit.thrown, &fit.set_up, &table()).unwrap();
        let shorter = Thrown { shade: Some(Shade::Shorter), ..fit.thrown };
        let shorter = aim_thrown(&launcher, &shorter, &fit.set_up, &table()).unwrap();
        assert!(shorter.outcome.next_bounce_x_m < plain.outcome.next_bounce_x_m - 0.02);
        assert_eq!(shorter.outcome.depth, Depth::HalfLong);
    }

    #[test]
    fn one_wheel_throws_the_spin_its_own_speed_makes() {
        let mut one = launcher(Kind::Fixed);
        let machine = one.machine.as_mut().unwrap();
        machine.wheels = Wheels::One;
        machine.tied = vec![
            Tied { speed_m_s: 4.0, spin_rev_s: 8.0 },
            Tied { speed_m_s: 10.0, spin_rev_s: 32.0 },
        ];
        let deck = [serve("a", Depth::Long, Spin::Topspin)];
        let aimed = aim_deck(&one, &[&deck[0]], &table());
        let launch = aimed.groups[0].serves[0].ball.launch;
        let tied = one.machine.unwrap().tied_spin(launch.speed_m_s).unwrap();
        assert!((launch.spin.top_rev_s - tied).abs() < 0.2, "{launch:?} {tied}");
    }

    #[test]
    fn a_high_launcher_says_why_it_stands_on_a_chair() {
        let mut high = launcher(Kind::Fixed);
        let machine = high.machine.as_mut().unwrap();
        machine.outlet_height_m = Span::new(0.40, 0.60);
        machine.chair_height_m = Some(0.28);
        let deck = [serve("a", Depth::Short, Spin::Backspin)];
        let said = aim_deck(&high, &[&deck[0]], &table()).height.unwrap();
        assert!(said.contains("40 cm") && said.contains("chair (28 cm)"), "{said}");
        assert_eq!(aim_deck(&launcher(Kind::Fixed), &[&deck[0]], &table()).height, None);
    }

    #[test]
    fn a_coarse_notch_that_changes_the_ball_is_said() {
        let mut coarse = launcher(Kind::PerBall);
        coarse.dials = vec![Dial {
            name: "speed".to_owned(),
            sets: Control::Speed,
            least: 0.0,
            most: 10.0,
            notch: 2.5,
        }];
        let at = |dial, makes| At { dial, makes, give_or_take: 0.1 };
        let speed = Curve { sets: Quantity::Speed, points: vec![at(0.0, 3.0), at(10.0, 11.0)] };
        coarse.calibrated = Some(Calibrated { balls: 9, landing_off_m: 0.05, curves: vec![speed] });
        let deck = [serve("a", Depth::Short, Spin::Backspin)];
        let ball = &aim_deck(&coarse, &[&deck[0]], &table()).groups[0].serves[0].ball.clone();
        assert_eq!(ball.settings.dials.len(), 1);
        assert!(ball.notes.iter().any(|note| note.contains("nearest notches")), "{ball:?}");
    }
}

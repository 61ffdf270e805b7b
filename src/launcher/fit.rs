//! What this launcher throws in place of a serve, and everything that is lost on the way.
//!
//! Every loss is a [`Limit`]: what cannot be done, why, and the nearest thing that can. What a
//! serve does not say is assumed, and that is a limit too. Which spins there are follows from the
//! wheels; whether a ball exists is asked of the solver, from every place the launcher has, until
//! one does. Given up in this order: pace, the look of a serve (a little), weight of spin, depth,
//! and last the bounce on its own half.

use crate::flight::Throw;
use crate::flight::service::rev_s_of;
use crate::flight::{FullServe, Supposed};
use crate::game::{Depth, From, Hand, Lane, Pace, Serve, Spin, Weight};
use crate::launcher::aiming::plain_ball;
use crate::launcher::limit::Limit;
use crate::launcher::obstacle::{obstacle, too_high};
use crate::launcher::wheels::{fit_spin, tie};
use crate::launcher::wish::{BallWish, Found, NoBall, Table};
use crate::launcher::{Launcher, LauncherKind, SetUp, Stand, Thrown};

/// The nearest ball to a serve, where the launcher stands for it, and what is lost.
#[derive(Debug, Clone, PartialEq)]
pub struct Fit {
    pub thrown: Thrown,
    pub set_up: SetUp,
    /// What is lost, worst first.
    pub limits: Vec<Limit>,
    /// How much is given up; less is better.
    pub rank: usize,
}

/// How much is given up with each step to a lighter spin, to another depth, and with the bounce on
/// its own half; pace and look come before them.
const LIGHTER: usize = 30;
const OTHER_DEPTH: usize = 100;
const OWN_HALF: usize = 300;

/// What `launcher` throws for `serve` on a table. `within_a_block` asks for a ball that takes turns
/// with others; `forced` keeps the launcher where it stands.
pub fn fit(
    launcher: &Launcher,
    serve: &Serve,
    table: &Table,
    within_a_block: bool,
    forced: Option<SetUp>,
) -> Fit {
    fit_and_aim(launcher, serve, table, within_a_block, forced).0
}

/// The same with its launch, which deciding it has found.
pub(super) fn fit_and_aim(
    launcher: &Launcher,
    serve: &Serve,
    table: &Table,
    within_a_block: bool,
    forced: Option<SetUp>,
) -> (Fit, Result<Found, NoBall>) {
    let (mut thrown, mut limits) = plain(serve, table.server);
    let from = serve.from.unwrap_or(From::BackhandCorner);
    let Some(machine) = launcher.throwing_machine() else {
        if launcher.kind == LauncherKind::Feeder && thrown.spin == Spin::Corkscrew {
            limits.push(Limit::FedCorkscrew);
            thrown.spin = Spin::Sidespin;
        }
        let set_up = forced.unwrap_or_else(|| SetUp::of_person(from, table.server));
        return (Fit { thrown, set_up, limits, rank: 0 }, Err(NoBall::Person));
    };
    let mut of_spin = Vec::new();
    fit_spin(machine, &mut thrown, within_a_block, &mut of_spin);
    let is_fast_long = thrown.depth == Depth::Long && thrown.pace == Pace::Fast;
    let places = forced.map_or_else(
        || SetUp::all_of_machine(machine, is_fast_long, from, table.server),
        |forced| vec![forced],
    );
    let wish = BallWish { launcher, machine, thrown: &thrown, set_up: &places[0], table };
    let mut best: Option<Served> = None;
    for (at, set_up) in places.iter().enumerate() {
        let here = BallWish { set_up, ..wish };
        let worth = best.as_ref().map_or(usize::MAX, |best| best.rank);
        // A place that no service leaves from costs one question, not a search for each spin.
        if worth > 0 && (at == 0 || here.is_served(None)) {
            best = serve_from(&here).filter(|served| served.rank < worth).or(best);
        }
    }
    let (mut fit, found) = match best {
        Some(Served { thrown: as_served, set_up, found, rank }) => {
            limits.extend(lost(&BallWish { set_up: &set_up, ..wish }, &as_served, rank));
            (Fit { thrown: as_served, set_up, limits, rank }, Ok(found))
        }
        None => feed(&wish, forced.is_some(), limits),
    };
    fit.limits.extend(of_spin);
    if let Ok(found) = &found {
        fit.limits.extend(tie(machine, &mut fit.thrown, found.aimed.launch.spin.top_rev_s));
    }
    (fit, found)
}

/// A service that is thrown for a serve.
struct Served {
    thrown: Thrown,
    set_up: SetUp,
    found: Found,
    rank: usize,
}

/// The service from one place that gives up least.
fn serve_from(wish: &BallWish<'_>) -> Option<Served> {
    if wish.set_up.stand == Stand::OnTable {
        return None;
    }
    let asked = wish.thrown;
    let lighter = [Weight::Medium, Weight::Light].map(rev_s_of).into_iter();
    let lighter = lighter.filter(|rev_s| *rev_s < asked.rev_s && !wish.is_tied());
    let spins: Vec<f64> = [asked.rev_s].into_iter().chain(lighter).collect();
    let depths: &[Depth] = match asked.depth {
        Depth::Short => &[Depth::Short, Depth::HalfLong, Depth::Long],
        Depth::HalfLong => &[Depth::HalfLong, Depth::Long],
        Depth::Long => &[Depth::Long, Depth::HalfLong],
    };
    for (steps, &depth) in depths.iter().enumerate() {
        for (less, &rev_s) in spins.iter().enumerate() {
            let thrown = Thrown { depth, rev_s, ..*asked };
            let here = BallWish { thrown: &thrown, ..*wish };
            let is_first = steps + less == 0;
            if !is_first && !here.is_served(Some(depth)) {
                continue;
            }
            let found = plain_ball(&here).ok().filter(Found::is_nearly_a_serve);
            if let Some(found) = found {
                let rank = found.rank + less * LIGHTER + steps * OTHER_DEPTH;
                return Some(Served { thrown, set_up: *wish.set_up, found, rank });
            }
            if is_first && !wish.is_served(None) {
                return None;
            }
        }
    }
    None
}

/// What a service gave up, and what would change that.
fn lost(asked: &BallWish<'_>, served: &Thrown, rank: usize) -> Option<Limit> {
    if rank == 0 {
        return None;
    }
    let Thrown { depth, rev_s, .. } = *asked.thrown;
    if served.depth == depth && served.rev_s >= rev_s {
        // Which pace or height it has is noted with the ball; here only whether it stands too high.
        return too_high(asked).map(Limit::NotAsServed);
    }
    let why = obstacle(asked);
    if served.depth != depth {
        return Some(Limit::OtherDepth { why, depth, instead: served.depth });
    }
    Some(Limit::LighterSpin { why, rev_s, instead_rev_s: served.rev_s })
}

/// The ball straight onto the receiver's half, where no service is thrown.
fn feed(
    wish: &BallWish<'_>,
    is_forced: bool,
    mut limits: Vec<Limit>,
) -> (Fit, Result<Found, NoBall>) {
    let (depth, behind) = (wish.thrown.depth, *wish.set_up);
    let mut tries = vec![(depth, behind)];
    if depth == Depth::Short {
        let table = SetUp::on_table(wish.machine, behind.from, wish.table.server);
        if let Some(table) = table.filter(|_| !is_forced) {
            tries.insert(0, (depth, table));
        }
        tries.push((Depth::HalfLong, behind));
    }
    let why = obstacle(wish);
    let mut last = None;
    for (fed, set_up) in tries {
        let thrown = Thrown { throw: Throw::Feed, depth: fed, ..*wish.thrown };
        let found = plain_ball(&BallWish { thrown: &thrown, set_up: &set_up, ..*wish });
        let is_one = found.as_ref().is_ok_and(|found| found.is_like_a_serve);
        last = Some((thrown, set_up, found));
        if is_one {
            break;
        }
    }
    // There is always one try, so the defaults are never seen.
    let (thrown, set_up, found) = last.unwrap_or((*wish.thrown, behind, Err(NoBall::Person)));
    let is_from_table = set_up.stand == Stand::OnTable;
    limits.push(Limit::OwnHalf { why, depth, fed: thrown.depth, is_from_table });
    let rank = OWN_HALF + found.as_ref().map_or(0, |found| found.rank);
    (Fit { thrown, set_up, limits, rank }, found)
}

/// Whether any ball that looks like a service leaves a launcher.
pub fn can_serve(launcher: &Launcher, table: &Table) -> bool {
    let Some(machine) = launcher.throwing_machine() else { return true };
    let places = SetUp::all_of_machine(machine, false, From::BackhandCorner, table.server);
    let looks = |depth, spin, set_up: &SetUp| {
        let rev_s = rev_s_of(Weight::Light);
        let (throw, lane, pace) = (Throw::Serve, Lane::Middle, Pace::Medium);
        let thrown = Thrown { throw, lane, depth, spin, rev_s, breaks: None, pace, shade: None };
        BallWish { launcher, machine, thrown: &thrown, set_up, table }.is_like_a_serve()
    };
    let spins = [Spin::Dead, Spin::Backspin, Spin::Topspin];
    let balls = Depth::ALL.iter().flat_map(|&depth| spins.map(|spin| (depth, spin)));
    balls.into_iter().any(|(depth, spin)| places.iter().any(|at| looks(depth, spin, at)))
}

/// The serve itself, what is not known supposed.
fn plain(serve: &Serve, server: Hand) -> (Thrown, Vec<Limit>) {
    let full = FullServe::fill_in(serve, server);
    let unseen = [
        (Supposed::Lane, Some(Limit::UnseenLane(full.lane))),
        (Supposed::Depth, Some(Limit::UnseenDepth(full.depth))),
        (Supposed::Spin, Some(Limit::UnseenSpin(full.spin))),
        (Supposed::Breaks, full.breaks.map(Limit::UnseenBreak)),
    ];
    let unseen = unseen.into_iter().filter(|(part, _)| full.supposed.contains(part));
    let thrown = Thrown {
        throw: Throw::Serve,
        lane: full.lane,
        depth: full.depth,
        spin: full.spin,
        rev_s: if full.spin == Spin::Dead { 0.0 } else { rev_s_of(full.weight) },
        breaks: full.breaks,
        pace: full.pace.unwrap_or(Pace::Medium),
        shade: None,
    };
    (thrown, unseen.filter_map(|(_, limit)| limit).collect())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::flight::Constants;
    use crate::flight::service::flight_of;
    use crate::game::{Motion, Side};
    use crate::launcher::Obstacle;
    use crate::launcher::aiming::aim_thrown;
    use crate::launcher::capability::tests::launcher;
    use crate::launcher::{HeadTurn, Span, ThrowingMachine, Tied, Wheels};

    fn serve(depth: Depth, spin: Spin) -> Serve {
        let mut serve = Serve::unknown("a".parse().unwrap());
        serve.motion = Some(Motion::Pendulum);
        serve.lane = Some(Lane::Forehand);
        (serve.depth, serve.spin) = (Some(depth), Some(spin));
        serve
    }

    fn table(server: Hand) -> Table {
        Table { constants: Constants::default(), receiver: Hand::Right, server, seed: 1 }
    }

    fn with(change: impl FnOnce(&mut ThrowingMachine), serve: &Serve) -> Fit {
        let mut launcher = launcher(LauncherKind::PerBall);
        change(launcher.machine.as_mut().unwrap());
        fit(&launcher, serve, &table(Hand::Right), true, None)
    }

    #[test]
    fn a_plain_backspin_serve_is_thrown_as_it_is() {
        let fit = with(|_| {}, &serve(Depth::Short, Spin::Backspin));
        assert_eq!(fit.limits, []);
        assert_eq!((fit.thrown.throw, fit.thrown.spin), (Throw::Serve, Spin::Backspin));
        assert_eq!(fit.thrown.rev_s, 35.0);
    }

    #[test]
    fn two_wheels_without_a_turning_head_make_no_side_spin() {
        let side = serve(Depth::Short, Spin::SideBackspin);
        let flat = with(|_| {}, &side);
        assert_eq!((flat.thrown.spin, flat.thrown.breaks), (Spin::Backspin, None));
        assert!(
            matches!(flat.limits[0], Limit::SideSpin { wheels: Wheels::Two, .. }),
            "{:?}",
            flat.limits
        );
        let turned = with(|machine| machine.head = HeadTurn::PerBall, &side);
        assert_eq!(turned.thrown.spin, Spin::SideBackspin);
        assert_eq!(turned.thrown.breaks, Some(Side::Left));
        assert_eq!(turned.limits, []);
    }

    #[test]
    fn no_wheels_make_a_corkscrew() {
        for wheels in [Wheels::Two, Wheels::Three] {
            let fit = with(|machine| machine.wheels = wheels, &serve(Depth::Long, Spin::Corkscrew));
            assert_ne!(fit.thrown.spin, Spin::Corkscrew);
            assert!(!fit.limits.is_empty());
        }
    }

    #[test]
    fn an_outlet_too_high_for_a_service_says_from_which_height_it_can() {
        let short = serve(Depth::Short, Spin::Backspin);
        let high = |machine: &mut ThrowingMachine| machine.outlet_height_m = Span::new(0.45, 0.60);
        let on_table = with(high, &short);
        assert_eq!(on_table.thrown.throw, Throw::Feed);
        assert_eq!((on_table.set_up.stand, on_table.thrown.depth), (Stand::OnTable, Depth::Short));
        let floor_only = with(
            |machine| {
                high(machine);
                machine.on_table_height_m = None;
            },
            &short,
        );
        assert_eq!(floor_only.thrown.throw, Throw::Feed);
        let Limit::OwnHalf { why: Obstacle::Height { height_m, would_do_m }, .. } =
            floor_only.limits[0]
        else {
            unreachable!("{:?}", floor_only.limits)
        };
        assert_eq!(height_m, 0.45);
        // From there it can, and from a hand's width higher it cannot.
        let from = |height_m| {
            with(|machine| machine.outlet_height_m = Span::new(height_m, height_m), &short)
        };
        assert_eq!(from(would_do_m).rank, 0, "{would_do_m}");
        assert_ne!(from(would_do_m + 0.10).rank, 0, "{would_do_m}");
    }

    #[test]
    fn a_machine_that_cannot_point_down_feeds_instead_of_serving() {
        let fit =
            with(|machine| machine.elevation_deg.least = 25.0, &serve(Depth::Long, Spin::Topspin));
        assert_eq!(fit.thrown.throw, Throw::Feed, "{fit:?}");
        let Limit::OwnHalf { why: Obstacle::NotDown { least_deg, would_do_deg }, .. } =
            fit.limits[0]
        else {
            unreachable!("{:?}", fit.limits)
        };
        assert!(least_deg == 25.0 && (-12.0..8.0).contains(&would_do_deg), "{would_do_deg}");
    }

    #[test]
    fn a_launcher_that_points_ten_degrees_down_serves_half_long() {
        // A table of angles gave its own half up, though 5.8 m/s at -9.4 degrees does it.
        let serve = serve(Depth::HalfLong, Spin::Backspin);
        let fit = with(|machine| machine.elevation_deg.least = -10.0, &serve);
        assert_eq!((fit.thrown.throw, fit.thrown.depth), (Throw::Serve, Depth::HalfLong));
        assert_eq!(fit.limits, []);
    }

    #[test]
    fn one_wheel_gives_the_spin_its_speed_has() {
        let fit = with(
            |machine| {
                machine.wheels = Wheels::One;
                machine.tied = vec![
                    Tied { speed_m_s: 4.0, spin_rev_s: 10.0 },
                    Tied { speed_m_s: 10.0, spin_rev_s: 40.0 },
                ];
            },
            &serve(Depth::Short, Spin::Backspin),
        );
        assert_eq!(fit.thrown.spin, Spin::Topspin);
        assert!(
            matches!(fit.limits[0], Limit::TiedSpin { has: Spin::Topspin, .. }),
            "{:?}",
            fit.limits
        );
    }

    #[test]
    fn what_nobody_has_seen_is_assumed_aloud() {
        let fit = with(|_| {}, &Serve::unknown("a".parse().unwrap()));
        let unseen = [
            Limit::UnseenLane(Lane::Middle),
            Limit::UnseenDepth(Depth::HalfLong),
            Limit::UnseenSpin(Spin::Dead),
        ];
        assert_eq!(fit.limits, unseen);
    }

    #[test]
    fn a_side_nobody_has_seen_is_thrown_as_it_is_drawn() {
        // A left-hander's shovel may break either way: the drawn ball and the thrown one supposed
        // other sides.
        let mut shovel = serve(Depth::HalfLong, Spin::Sidespin);
        shovel.motion = Some(Motion::Shovel);
        let mut turning = launcher(LauncherKind::PerBall);
        turning.machine.as_mut().unwrap().head = HeadTurn::PerBall;
        for server in [Hand::Left, Hand::Right] {
            let drawn = flight_of(&shovel, server, Hand::Right, &Constants::default());
            let fit = fit(&turning, &shovel, &table(server), true, None);
            let thrown = aim_thrown(&turning, &fit.thrown, &fit.set_up, &table(server)).unwrap();
            let bends = thrown.launch.spin.side_rev_s * drawn.launch.spin.side_rev_s;
            assert!(bends > 0.0, "{server}: {:?} {:?}", thrown.launch, drawn.launch);
        }
    }

    #[test]
    fn a_partner_has_no_limits_of_a_machine() {
        let partner = Launcher::person(LauncherKind::Partner, "Partner", Some(Hand::Right));
        let corkscrew = serve(Depth::Short, Spin::Corkscrew);
        let fit = fit(&partner, &corkscrew, &table(Hand::Left), true, None);
        assert_eq!(fit.limits, []);
        assert_eq!(fit.thrown.breaks, Some(Side::Right));
    }
}

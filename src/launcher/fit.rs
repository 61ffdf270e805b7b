//! What this launcher throws in place of a serve, and everything that is lost on the way.
//!
//! Every loss is a [`Limit`]: what cannot be done, why, and the nearest thing that can. What a
//! serve does not say is assumed, and that is a limit too. Speeds and elevations a real service
//! needs come from computed flights (a flat push at -10 to -22 degrees, 5.2 to 9.2 m/s); rev/s for
//! the words of spin are those of `game`.

use serde::{Deserialize, Serialize};

use crate::base::words;
use crate::flight::service::rev_s_of;
use crate::flight::{FullServe, Supposed, Throw};
use crate::game::{Depth, From, Hand, Lane, Pace, Serve, Side, Spin};
use crate::launcher::limit::{Limit, NoOwnHalf, SHORT_TOPSPIN_REV_S};
use crate::launcher::{Launcher, LauncherKind, SetUp, Span, Stand, ThrowingMachine};

words! {
    /// A small change, so that no setting comes too often.
    pub enum Shade : "small change" {
        /// The landing moves a hand's width towards the middle.
        Inwards = "inwards" "a hand's width towards the middle",
        /// The landing moves a hand's width to the receiver's right, the launcher's left.
        Right = "right" "a hand's width to the launcher's left",
        /// The landing moves a hand's width to the receiver's left, the launcher's right.
        Left = "left" "a hand's width to the launcher's right",
        /// A little longer.
        Longer = "longer" "a hand's width longer",
        /// A little shorter.
        Shorter = "shorter" "a hand's width shorter",
        /// A little less spin.
        Lighter = "lighter" "a little less spin",
    }
}

/// A ball as a launcher is to throw it, in trade words and rev/s; the lane is the receiver's own.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Thrown {
    pub throw: Throw,
    pub lane: Lane,
    pub depth: Depth,
    pub spin: Spin,
    /// How much, rev/s, never negative; about 0 for a dead ball.
    pub rev_s: f64,
    /// The side its path bends to, as the receiver sees it.
    pub breaks: Option<Side>,
    pub pace: Pace,
    /// A small change against the plain ball.
    pub shade: Option<Shade>,
}

/// The nearest ball to a serve, where the launcher stands for it, and what is lost.
#[derive(Debug, Clone, PartialEq)]
pub struct Fit {
    pub thrown: Thrown,
    pub set_up: SetUp,
    /// What is lost, worst first.
    pub limits: Vec<Limit>,
}

/// Speed a real service of this kind leaves with, m/s (computed flights from 0.20 m height).
pub(crate) const fn usual_speed_m_s(depth: Depth, pace: Pace) -> f64 {
    match (depth, pace) {
        (Depth::Long, Pace::Fast) => 9.2,
        (Depth::Long, _) => 6.6,
        (Depth::HalfLong, _) => 5.8,
        (Depth::Short, _) => 5.3,
    }
}

impl Thrown {
    /// The side its path bends to for whoever throws it, facing the receiver: launcher, feeder or
    /// server.
    pub fn bends_for_thrower(&self) -> Option<Side> {
        self.breaks.map(Side::other)
    }

    /// Lane and depth in words: `short to the forehand`.
    pub fn zone_shown(&self) -> String {
        format!("{} to the {}", self.depth, self.lane)
    }
}

/// What `launcher` throws for `serve`, served by an opponent of this hand. `within_a_block` asks
/// for a ball that takes turns with others; `forced` keeps the launcher where it stands.
pub fn fit(
    launcher: &Launcher,
    serve: &Serve,
    server: Hand,
    within_a_block: bool,
    forced: Option<SetUp>,
) -> Fit {
    let (mut thrown, mut limits) = plain(serve, server);
    let from = serve.from.unwrap_or(From::BackhandCorner);
    let Some(machine) = launcher.throwing_machine() else {
        if launcher.kind == LauncherKind::Feeder && thrown.spin == Spin::Corkscrew {
            limits.push(Limit::FedCorkscrew);
            thrown.spin = Spin::Sidespin;
        }
        let set_up = forced.unwrap_or_else(|| SetUp::of_person(from, server));
        return Fit { thrown, set_up, limits };
    };
    let is_fast_long = thrown.depth == Depth::Long && thrown.pace == Pace::Fast;
    let stand = if is_fast_long { Stand::FartherBehind } else { Stand::Corner };
    let place = |stand| forced.unwrap_or_else(|| SetUp::of_machine(machine, stand, from, server));
    let mut set_up = place(stand);
    fit_speed(machine, &mut thrown, &mut limits);
    if let Some(why) = no_own_half(machine, &thrown, &set_up) {
        thrown.throw = Throw::Feed;
        let depth = thrown.depth;
        let has_table = match forced {
            Some(forced) => forced.stand == Stand::OnTable,
            None => machine.on_table_height_m.is_some(),
        };
        let is_from_table = depth == Depth::Short && has_table;
        if is_from_table {
            set_up = place(Stand::OnTable);
        } else if depth == Depth::Short {
            thrown.depth = Depth::HalfLong;
        }
        limits.push(Limit::OwnHalf { why, depth, is_from_table });
    }
    fit_spin(machine, &mut thrown, within_a_block, &mut limits);
    Fit { thrown, set_up, limits }
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

fn no_own_half(machine: &ThrowingMachine, thrown: &Thrown, set_up: &SetUp) -> Option<NoOwnHalf> {
    // The flattest push that still works, by kind of service; computed flights.
    let needed_deg = match (thrown.depth, thrown.pace) {
        (Depth::Long, Pace::Fast) => -9.0,
        (Depth::Long, _) => -11.0,
        _ => -12.0,
    };
    let least_deg = machine.elevation_deg.least;
    if set_up.stand == Stand::OnTable {
        Some(NoOwnHalf::OnTable)
    } else if !set_up.is_low_enough() {
        Some(NoOwnHalf::HighOutlet(set_up.outlet_height_m.unwrap_or_default()))
    } else {
        (least_deg > needed_deg).then_some(NoOwnHalf::NotDown { least_deg, needed_deg })
    }
}

fn fit_speed(machine: &ThrowingMachine, thrown: &mut Thrown, limits: &mut Vec<Limit>) {
    let usual_m_s = usual_speed_m_s(thrown.depth, thrown.pace);
    let Span { least: least_m_s, most: most_m_s } = machine.speed_m_s;
    if usual_m_s > most_m_s {
        limits.push(Limit::TooFast { pace: thrown.pace, most_m_s, usual_m_s });
        thrown.pace = if thrown.pace == Pace::Fast { Pace::Medium } else { Pace::Slow };
    } else if usual_m_s < least_m_s - 0.2 {
        let instead = if least_m_s <= 6.0 { Depth::HalfLong } else { Depth::Long };
        limits.push(Limit::TooSlow { depth: thrown.depth, least_m_s, usual_m_s, instead });
        thrown.depth = instead;
    }
}

/// The spin without its sideways part.
const fn without_side(spin: Spin) -> Spin {
    match spin {
        Spin::SideBackspin => Spin::Backspin,
        Spin::SideTopspin => Spin::Topspin,
        Spin::Sidespin | Spin::Corkscrew => Spin::Dead,
        other => other,
    }
}

fn fit_spin(
    machine: &ThrowingMachine,
    thrown: &mut Thrown,
    within_a_block: bool,
    limits: &mut Vec<Limit>,
) {
    let makes_side = machine.makes_side_spin(within_a_block);
    if thrown.spin == Spin::Corkscrew && makes_side {
        limits.push(Limit::Corkscrew);
        thrown.spin = Spin::Sidespin;
    }
    if thrown.spin.is_sideways() && !makes_side {
        let instead = without_side(thrown.spin);
        let (wheels, head) = (machine.wheels, machine.head);
        limits.push(Limit::SideSpin { spin: thrown.spin, wheels, head, instead });
        thrown.spin = instead;
        thrown.breaks = None;
        if instead == Spin::Dead {
            thrown.rev_s = 0.0;
        }
    }
    if let Some(tied) = machine.tied_spin(usual_speed_m_s(thrown.depth, thrown.pace)) {
        let has = match tied {
            tied if tied.abs() < 5.0 => Spin::Dead,
            tied if tied > 0.0 => Spin::Topspin,
            _ => Spin::Backspin,
        };
        let has_rev_s = tied.abs();
        if has != thrown.spin || (has_rev_s - thrown.rev_s).abs() > 10.0 {
            let (spin, rev_s) = (thrown.spin, thrown.rev_s);
            limits.push(Limit::TiedSpin { spin, rev_s, has, has_rev_s });
            (thrown.spin, thrown.rev_s, thrown.breaks) = (has, has_rev_s, None);
        }
        return;
    }
    let most_rev_s = match thrown.spin {
        Spin::Dead => return,
        spin if spin.has_backspin() => -machine.spin_rev_s.least,
        spin if spin.has_topspin() => machine.spin_rev_s.most,
        _ => machine.strongest_rev_s(),
    };
    if most_rev_s < 5.0 {
        limits.push(Limit::WrongWay(thrown.spin));
        (thrown.spin, thrown.rev_s, thrown.breaks) = (Spin::Dead, 0.0, None);
    } else if thrown.rev_s > most_rev_s {
        limits.push(Limit::TooMuchSpin { rev_s: thrown.rev_s, most_rev_s });
        thrown.rev_s = most_rev_s;
    }
    let is_short_topspin = thrown.spin.has_topspin() && thrown.depth == Depth::Short;
    if is_short_topspin && thrown.rev_s > SHORT_TOPSPIN_REV_S {
        limits.push(Limit::ShortTopspin);
        thrown.rev_s = SHORT_TOPSPIN_REV_S;
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::flight::Constants;
    use crate::flight::service::flight_of;
    use crate::game::Motion;
    use crate::launcher::aiming::aim_thrown;
    use crate::launcher::capability::tests::launcher;
    use crate::launcher::{HeadTurn, Table, Tied, Wheels};

    fn serve(depth: Depth, spin: Spin) -> Serve {
        let mut serve = Serve::unknown("a".parse().unwrap());
        serve.motion = Some(Motion::Pendulum);
        serve.lane = Some(Lane::Forehand);
        (serve.depth, serve.spin) = (Some(depth), Some(spin));
        serve
    }

    fn with(change: impl FnOnce(&mut ThrowingMachine), serve: &Serve) -> Fit {
        let mut launcher = launcher(LauncherKind::PerBall);
        change(launcher.machine.as_mut().unwrap());
        fit(&launcher, serve, Hand::Right, true, None)
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
    fn an_outlet_above_thirty_centimetres_cannot_serve() {
        let short = serve(Depth::Short, Spin::Backspin);
        let high = |machine: &mut ThrowingMachine| machine.outlet_height_m = Span::new(0.40, 0.60);
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
        assert_eq!(floor_only.thrown.depth, Depth::HalfLong);
        let why = NoOwnHalf::HighOutlet(0.40);
        let limit = Limit::OwnHalf { why, depth: Depth::Short, is_from_table: false };
        assert_eq!(floor_only.limits, [limit]);
    }

    #[test]
    fn a_machine_that_cannot_point_down_feeds_instead_of_serving() {
        let fit =
            with(|machine| machine.elevation_deg.least = -3.0, &serve(Depth::Long, Spin::Topspin));
        assert_eq!(fit.thrown.throw, Throw::Feed);
        let why = NoOwnHalf::NotDown { least_deg: -3.0, needed_deg: -11.0 };
        let limit = Limit::OwnHalf { why, depth: Depth::Long, is_from_table: false };
        assert_eq!(fit.limits, [limit]);
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
            let fit = fit(&turning, &shovel, server, true, None);
            let table =
                Table { constants: Constants::default(), receiver: Hand::Right, server, seed: 1 };
            let thrown = aim_thrown(&turning, &fit.thrown, &fit.set_up, &table).unwrap();
            let bends = thrown.launch.spin.side_rev_s * drawn.launch.spin.side_rev_s;
            assert!(bends > 0.0, "{server}: {:?} {:?}", thrown.launch, drawn.launch);
        }
    }

    #[test]
    fn a_partner_has_no_limits_of_a_machine() {
        let partner = Launcher::person(LauncherKind::Partner, "Partner", Some(Hand::Right));
        let fit = fit(&partner, &serve(Depth::Short, Spin::Corkscrew), Hand::Left, true, None);
        assert_eq!(fit.limits, []);
        assert_eq!(fit.thrown.breaks, Some(Side::Right));
    }
}

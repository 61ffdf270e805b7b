//! What this launcher throws in place of a serve, and everything that is lost on the way.
//!
//! Every loss is a [`Limit`]: what cannot be done, why, and the nearest thing that can. What a serve does
//! not say is assumed, and that is a limit too. Speeds and elevations a real service needs come from
//! computed flights (a flat push at -10 to -22 degrees, 5.2 to 9.2 m/s); rev/s for the words of spin
//! are those of `game`.

use serde::{Deserialize, Serialize};

use crate::base::words;
use crate::flight::service::rev_s_of;
use crate::flight::{FullServe, Supposed};
use crate::game::{Depth, From, Hand, Lane, Pace, Serve, Side, Spin};
use crate::launcher::{Kind, Launcher, Machine, SetUp, Stand};

words! {
    /// How a ball reaches the receiver's half.
    pub enum Throw : "way to throw" {
        /// On the launcher's own half first, as a service does.
        Serve = "serve" "bounces on its own half first",
        /// Straight onto the receiver's half.
        Feed = "feed" "straight onto the receiver's half",
    }
}

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
    /// On its own half first, or straight.
    pub throw: Throw,
    /// The lane.
    pub lane: Lane,
    /// The depth.
    pub depth: Depth,
    /// The kind of spin.
    pub spin: Spin,
    /// How much, rev/s, never negative; about 0 for a dead ball.
    pub rev_s: f64,
    /// The side its path bends to, as the receiver sees it.
    pub breaks: Option<Side>,
    /// The pace.
    pub pace: Pace,
    /// A small change against the plain ball.
    pub shade: Option<Shade>,
}

/// Something of a serve that this launcher cannot do.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Limit {
    /// What is lost.
    pub what: String,
    /// Why.
    pub why: String,
    /// The nearest thing, which is what will be thrown.
    pub nearest: String,
}

/// The nearest ball to a serve, where the launcher stands for it, and what is lost.
#[derive(Debug, Clone, PartialEq)]
pub struct Fit {
    /// The ball.
    pub thrown: Thrown,
    /// The set-up it is thrown from.
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
    /// The spin as a sentence part: `backspin about 35 rev/s`, `dead`.
    pub fn spin_shown(&self) -> String {
        match self.spin {
            Spin::Dead => "dead".to_owned(),
            spin => format!("{spin} about {:.0} rev/s", self.rev_s),
        }
    }

    /// The side its path bends to for whoever throws it, facing the receiver: launcher, feeder or server.
    pub fn bends_for_thrower(&self) -> Option<Side> {
        self.breaks.map(Side::other)
    }

    /// Lane and depth in words: `short to the forehand`.
    pub fn zone_shown(&self) -> String {
        format!("{} to the {}", self.depth, self.lane)
    }
}

/// What `launcher` throws for `serve`, served by an opponent of this hand. `within_a_block` asks for a
/// ball that takes turns with others; `forced` keeps the launcher where it stands.
pub fn fit(
    launcher: &Launcher,
    serve: &Serve,
    server: Hand,
    within_a_block: bool,
    forced: Option<SetUp>,
) -> Fit {
    let mut limits = Vec::new();
    let mut thrown = plain(serve, server, &mut limits);
    let from = serve.from.unwrap_or(From::BackhandCorner);
    let set_up = match &launcher.machine {
        Some(machine) if !launcher.kind.is_person() => {
            by_machine(machine, &mut thrown, from, server, within_a_block, forced, &mut limits)
        }
        _ => {
            by_person(launcher.kind, &mut thrown, &mut limits);
            forced.unwrap_or_else(|| SetUp::of_person(from, server))
        }
    };
    Fit { thrown, set_up, limits }
}

/// The serve itself, what is not known supposed.
fn plain(serve: &Serve, server: Hand, limits: &mut Vec<Limit>) -> Thrown {
    let full = FullServe::fill_in(serve, server);
    let mut say = |supposed, part: &str, nearest: String| {
        if full.supposed.contains(&supposed) {
            limits.push(Limit {
                what: format!("the {part}"),
                why: "nobody has seen it yet".to_owned(),
                nearest,
            });
        }
    };
    say(Supposed::Lane, "lane", format!("to the {}", full.lane));
    say(Supposed::Depth, "depth", full.depth.to_string());
    say(Supposed::Spin, "spin", full.spin.to_string());
    if let Some(side) = full.breaks {
        say(Supposed::Breaks, "side its spin bends to", format!("to the receiver's {side}"));
    }
    Thrown {
        throw: Throw::Serve,
        lane: full.lane,
        depth: full.depth,
        spin: full.spin,
        rev_s: if full.spin == Spin::Dead { 0.0 } else { rev_s_of(full.weight) },
        breaks: full.breaks,
        pace: full.pace.unwrap_or(Pace::Medium),
        shade: None,
    }
}

fn by_person(kind: Kind, thrown: &mut Thrown, limits: &mut Vec<Limit>) {
    if kind == Kind::Feeder && thrown.spin == Spin::Corkscrew {
        limits.push(Limit {
            what: "corkscrew spin".to_owned(),
            why: "a feed from the hand has no swing around the line of flight".to_owned(),
            nearest: "side spin with the same bend".to_owned(),
        });
        thrown.spin = Spin::Sidespin;
    }
}

fn by_machine(
    machine: &Machine,
    thrown: &mut Thrown,
    from: From,
    server: Hand,
    within_a_block: bool,
    forced: Option<SetUp>,
    limits: &mut Vec<Limit>,
) -> SetUp {
    let is_fast_long = thrown.depth == Depth::Long && thrown.pace == Pace::Fast;
    let stand = if is_fast_long { Stand::FartherBehind } else { Stand::Corner };
    let mut set_up = forced.unwrap_or_else(|| SetUp::of_machine(machine, stand, from, server));
    speed(machine, thrown, limits);
    if let Some((what, why)) = no_own_half(machine, thrown, &set_up) {
        thrown.throw = Throw::Feed;
        let on_table = machine.on_table_height_m.is_some() && forced.is_none();
        let nearest = match (thrown.depth, on_table || set_up.stand == Stand::OnTable) {
            (Depth::Short, true) => {
                if forced.is_none() {
                    set_up = SetUp::of_machine(machine, Stand::OnTable, from, server);
                }
                "a short ball that bounces once, thrown from the table".to_owned()
            }
            (Depth::Short, false) => {
                thrown.depth = Depth::HalfLong;
                "a half-long ball that bounces once: a short one cannot be fed from behind the line"
                    .to_owned()
            }
            (depth, _) => format!("a {depth} ball that bounces once"),
        };
        limits.push(Limit { what, why, nearest });
    }
    spin(machine, thrown, within_a_block, limits);
    set_up
}

/// Why this machine cannot bounce the ball on its own half first, when it cannot.
fn no_own_half(machine: &Machine, thrown: &Thrown, set_up: &SetUp) -> Option<(String, String)> {
    let what = "the bounce on its own half".to_owned();
    // The flattest push that still works, by kind of service; computed flights.
    let needed_deg = match (thrown.depth, thrown.pace) {
        (Depth::Long, Pace::Fast) => -9.0,
        (Depth::Long, _) => -11.0,
        _ => -12.0,
    };
    if !set_up.is_low_enough() || set_up.stand == Stand::OnTable {
        let height = set_up.outlet_height_m.unwrap_or_default() * 100.0;
        let why = if set_up.stand == Stand::OnTable {
            "it stands on the table".to_owned()
        } else {
            format!(
                "the outlet is {height:.0} cm above the table: from above 30 cm the ball peaks far \
                 higher than any service"
            )
        };
        return Some((what, why));
    }
    (machine.elevation_deg.least > needed_deg).then(|| {
        let why = format!(
            "it points {:.0} degrees down at most, {:.0} are needed",
            (-machine.elevation_deg.least).max(0.0),
            -needed_deg
        );
        (what, why)
    })
}

fn speed(machine: &Machine, thrown: &mut Thrown, limits: &mut Vec<Limit>) {
    let wanted = usual_speed_m_s(thrown.depth, thrown.pace);
    if wanted > machine.speed_m_s.most {
        limits.push(Limit {
            what: format!("the {} pace", thrown.pace),
            why: format!(
                "it throws {:.1} m/s at most, such a serve leaves with about {wanted:.1}",
                machine.speed_m_s.most
            ),
            nearest: "the same ball slower; stand half a step closer".to_owned(),
        });
        thrown.pace = if thrown.pace == Pace::Fast { Pace::Medium } else { Pace::Slow };
    } else if wanted < machine.speed_m_s.least - 0.2 {
        let depth = if machine.speed_m_s.least <= 6.0 { Depth::HalfLong } else { Depth::Long };
        limits.push(Limit {
            what: format!("a {} ball", thrown.depth),
            why: format!(
                "it throws {:.1} m/s at least, such a serve leaves with about {wanted:.1}",
                machine.speed_m_s.least
            ),
            nearest: format!("the same ball {depth}"),
        });
        thrown.depth = depth;
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

fn spin(machine: &Machine, thrown: &mut Thrown, within_a_block: bool, limits: &mut Vec<Limit>) {
    let makes_side = machine.makes_side_spin(within_a_block);
    if thrown.spin == Spin::Corkscrew && makes_side {
        limits.push(Limit {
            what: "corkscrew spin".to_owned(),
            why: "wheels cannot turn the ball about its line of flight".to_owned(),
            nearest: "side spin: it swerves in the air but does not jump at the bounce".to_owned(),
        });
        thrown.spin = Spin::Sidespin;
    }
    if thrown.spin.is_sideways() && !makes_side {
        let plain = without_side(thrown.spin);
        let why = if machine.makes_side_spin(false) {
            format!("{} make it only after the head is turned by hand", machine.wheels)
        } else {
            format!("{} and {} make none", machine.wheels, machine.head)
        };
        limits.push(Limit {
            what: format!("the side spin of {}", thrown.spin),
            why,
            nearest: format!("{plain} with the same receive; keep the bat angle you would need"),
        });
        thrown.spin = plain;
        thrown.breaks = None;
        if plain == Spin::Dead {
            thrown.rev_s = 0.0;
        }
    }
    if let Some(tied) = machine.tied_spin(usual_speed_m_s(thrown.depth, thrown.pace)) {
        let has = match tied {
            tied if tied.abs() < 5.0 => Spin::Dead,
            tied if tied > 0.0 => Spin::Topspin,
            _ => Spin::Backspin,
        };
        if has != thrown.spin || (tied.abs() - thrown.rev_s).abs() > 10.0 {
            limits.push(Limit {
                what: format!("{} of its own choice", thrown.spin_shown()),
                why: "one wheel ties spin to speed".to_owned(),
                nearest: format!("{has}, about {:.0} rev/s at this speed", tied.abs()),
            });
            (thrown.spin, thrown.rev_s, thrown.breaks) = (has, tied.abs(), None);
        }
        return;
    }
    let most = match thrown.spin {
        Spin::Dead => return,
        spin if spin.has_backspin() => -machine.spin_rev_s.least,
        spin if spin.has_topspin() => machine.spin_rev_s.most,
        _ => machine.spin_rev_s.most.max(-machine.spin_rev_s.least),
    };
    if most < 5.0 {
        limits.push(Limit {
            what: thrown.spin.shown().to_owned(),
            why: "its wheels do not turn that way".to_owned(),
            nearest: "dead".to_owned(),
        });
        (thrown.spin, thrown.rev_s, thrown.breaks) = (Spin::Dead, 0.0, None);
    } else if thrown.rev_s > most {
        limits.push(Limit {
            what: format!("{:.0} rev/s", thrown.rev_s),
            why: format!("it makes {most:.0} rev/s at most"),
            nearest: format!("the same spin at {most:.0} rev/s"),
        });
        thrown.rev_s = most;
    }
    // A short service with heavy topspin exists only as a lob (computed flights).
    if thrown.spin.has_topspin() && thrown.depth == Depth::Short && thrown.rev_s > 30.0 {
        limits.push(Limit {
            what: "a short ball with heavy topspin".to_owned(),
            why: "thrown flat, topspin carries it off the table".to_owned(),
            nearest: "the same ball at 30 rev/s".to_owned(),
        });
        thrown.rev_s = 30.0;
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::flight::Constants;
    use crate::flight::service::flight_of;
    use crate::game::Motion;
    use crate::launcher::capability::tests::launcher;
    use crate::launcher::{Head, Span, Table, Tied, Wheels, aim_thrown};

    fn serve(depth: Depth, spin: Spin) -> Serve {
        let mut serve = Serve::unknown("a".parse().unwrap());
        serve.motion = Some(Motion::Pendulum);
        serve.lane = Some(Lane::Forehand);
        (serve.depth, serve.spin) = (Some(depth), Some(spin));
        serve
    }

    fn with(change: impl FnOnce(&mut Machine), serve: &Serve) -> Fit {
        let mut launcher = launcher(Kind::PerBall);
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
        assert!(flat.limits[0].why.contains("two wheels"), "{:?}", flat.limits);
        let turned = with(|machine| machine.head = Head::PerBall, &side);
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
        let high = |machine: &mut Machine| machine.outlet_height_m = Span::new(0.40, 0.60);
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
        assert!(floor_only.limits[0].why.contains("40 cm"), "{:?}", floor_only.limits);
    }

    #[test]
    fn a_machine_that_cannot_point_down_feeds_instead_of_serving() {
        let fit =
            with(|machine| machine.elevation_deg.least = -3.0, &serve(Depth::Long, Spin::Topspin));
        assert_eq!(fit.thrown.throw, Throw::Feed);
        assert!(fit.limits[0].why.contains("3 degrees down at most"), "{:?}", fit.limits);
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
        assert!(fit.limits[0].why.contains("one wheel"), "{:?}", fit.limits);
    }

    #[test]
    fn what_nobody_has_seen_is_assumed_aloud() {
        let fit = with(|_| {}, &Serve::unknown("a".parse().unwrap()));
        let what: Vec<_> = fit.limits.iter().map(|limit| limit.what.as_str()).collect();
        assert_eq!(what, ["the lane", "the depth", "the spin"]);
    }

    #[test]
    fn a_side_nobody_has_seen_is_thrown_as_it_is_drawn() {
        // A left-hander's shovel may break either way: the drawn ball and the thrown one supposed other sides.
        let mut shovel = serve(Depth::HalfLong, Spin::Sidespin);
        shovel.motion = Some(Motion::Shovel);
        let mut turning = launcher(Kind::PerBall);
        turning.machine.as_mut().unwrap().head = Head::PerBall;
        for server in [Hand::Left, Hand::Right] {
            let drawn = flight_of(&shovel, server, Hand::Right, &Constants::default());
            let fit = fit(&turning, &shovel, server, true, None);
            let table = Table { constants: Constants::default(), receiver: Hand::Right, server, seed: 1 };
            let thrown = aim_thrown(&turning, &fit.thrown, &fit.set_up, &table).unwrap();
            let bends = thrown.launch.spin.side_rev_s * drawn.launch.spin.side_rev_s;
            assert!(bends > 0.0, "{server}: {:?} {:?}", thrown.launch, drawn.launch);
        }
    }

    #[test]
    fn a_partner_has_no_limits_of_a_machine() {
        let partner = Launcher::person(Kind::Partner, "Partner", Some(Hand::Right));
        let fit = fit(&partner, &serve(Depth::Short, Spin::Corkscrew), Hand::Left, true, None);
        assert_eq!(fit.limits, []);
        assert_eq!(fit.thrown.breaks, Some(Side::Right));
    }
}

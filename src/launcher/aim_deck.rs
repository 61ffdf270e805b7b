//! The settings of a whole deck: every serve from where it gives up least, grouped so that the
//! launcher moves as rarely as possible.

use std::cmp::Reverse;

use rayon::prelude::*;
use serde::Serialize;

use crate::game::{Serve, ServeId};
use crate::launcher::aiming::{AimedBall, shaded};
use crate::launcher::fit::fit_and_aim;
use crate::launcher::wish::{BallWish, NoBall, Table};
use crate::launcher::{Fit, Launcher, Limit, SetUp, Thrown};

/// One serve of a deck with its settings.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct ServeAim {
    /// The serve.
    pub serve: ServeId,
    /// The serve in words.
    pub words: String,
    #[serde(skip)]
    pub set_up: SetUp,
    /// The ball that is thrown for it.
    pub thrown: Thrown,
    /// What of the serve is lost.
    pub limits: Vec<Limit>,
    /// The ball.
    pub ball: AimedBall,
    /// How much was given up for it; less is better.
    #[serde(skip)]
    pub rank: usize,
}

/// Serves thrown from one set-up.
#[derive(Debug, Clone, PartialEq)]
pub struct SetUpGroup {
    pub set_up: SetUp,
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

/// Why a launcher stands on a chair, heights above the table in metres.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ChairNeeded {
    /// Of its own legs at their shortest.
    pub lowest_m: f64,
    /// From where the first serve that needs it can be thrown, when height alone decides.
    pub would_do_m: Option<f64>,
    pub chair_m: f64,
}

/// The settings of a deck.
#[derive(Debug, Clone, PartialEq)]
pub struct DeckAim {
    /// Set-ups, the one with most serves first.
    pub groups: Vec<SetUpGroup>,
    /// Serves that cannot be thrown.
    pub cannot: Vec<Cannot>,
    pub chair: Option<ChairNeeded>,
}

/// A serve thrown from one place.
fn tried(
    launcher: &Launcher,
    serve: &Serve,
    forced: Option<SetUp>,
    table: &Table,
) -> Result<ServeAim, NoBall> {
    let (Fit { thrown, set_up, limits, rank }, found) =
        fit_and_aim(launcher, serve, table, false, forced);
    let ball = shaded(&BallWish::ask(launcher, &thrown, &set_up, table)?, found?);
    let (serve, words) = (serve.id.clone(), serve.shown());
    Ok(ServeAim { serve, words, set_up, thrown, limits, ball, rank })
}

/// Settings for the serves of a deck, grouped by where the launcher stands.
pub fn aim_deck(launcher: &Launcher, serves: &[&Serve], table: &Table) -> DeckAim {
    let aimed = serves.par_iter().map(|serve| {
        tried(launcher, serve, None, table).map_err(|no_ball| Cannot {
            serve: serve.id.clone(),
            words: serve.shown(),
            no_ball,
        })
    });
    let (mut done, mut cannot) = (Vec::new(), Vec::new());
    for one in aimed.collect::<Vec<_>>() {
        match one {
            Ok(one) => done.push(one),
            Err(one) => cannot.push(one),
        }
    }
    gather(launcher, serves, &mut done, table);
    let mut groups: Vec<SetUpGroup> = Vec::new();
    for one in done {
        match groups.iter_mut().find(|group| group.set_up == one.set_up) {
            Some(group) => group.serves.push(one),
            None => groups.push(SetUpGroup { set_up: one.set_up, serves: vec![one] }),
        }
    }
    groups.sort_by_key(|group| Reverse(group.serves.len()));
    DeckAim { chair: chair_needed(launcher, serves, &groups, table), groups, cannot }
}

/// Moves serves out of small groups into larger ones where nothing more is given up for it.
fn gather(launcher: &Launcher, serves: &[&Serve], done: &mut [ServeAim], table: &Table) {
    let mut places: Vec<(SetUp, usize)> = Vec::new();
    for one in done.iter() {
        match places.iter_mut().find(|(set_up, _)| *set_up == one.set_up) {
            Some((_, count)) => *count += 1,
            None => places.push((one.set_up, 1)),
        }
    }
    places.sort_by_key(|&(_, count)| Reverse(count));
    // From the smallest group on; a group moves as a whole or not at all, or nothing is saved.
    for (from, _) in places.iter().rev() {
        for (to, _) in places.iter().take_while(|(to, _)| to != from) {
            let of_group = done.iter().enumerate().filter(|(_, one)| one.set_up == *from);
            let moved = of_group.map(|(at, one)| {
                let serve = serves.iter().find(|serve| serve.id == one.serve)?;
                let there = tried(launcher, serve, Some(*to), table).ok()?;
                let as_good = there.rank <= one.rank && there.limits.len() <= one.limits.len();
                as_good.then_some((at, there))
            });
            if let Some(moved) = moved.collect::<Option<Vec<_>>>() {
                for (at, there) in moved {
                    done[at] = there;
                }
                break;
            }
        }
    }
}

/// Why it stands on a chair, where it does.
fn chair_needed(
    launcher: &Launcher,
    serves: &[&Serve],
    groups: &[SetUpGroup],
    table: &Table,
) -> Option<ChairNeeded> {
    let machine = launcher.machine.as_ref()?;
    let group = groups.iter().find(|group| group.set_up.on_chair)?;
    let lowest_m = machine.outlet_height_m.least;
    let legs = SetUp { outlet_height_m: Some(lowest_m), on_chair: false, ..group.set_up };
    let mut would_do = group.serves.iter().filter_map(|one| {
        let serve = serves.iter().find(|serve| serve.id == one.serve)?;
        let there = fit_and_aim(launcher, serve, table, false, Some(legs)).0;
        there.limits.iter().find_map(Limit::would_do_m)
    });
    let chair_m = group.set_up.outlet_height_m?;
    Some(ChairNeeded { lowest_m, would_do_m: would_do.next(), chair_m })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::flight::constants::tests::worked_out_on;
    use crate::flight::{self, Throw, Until};
    use crate::game::{Depth, Hand, Lane, Pace, Spin, lane_y_m};
    use crate::launcher::aiming::aim_thrown;
    use crate::launcher::capability::tests::launcher;
    use crate::launcher::{
        AimNote, At, Calibrated, Control, Curve, Dial, LauncherKind, Quantity, Shade, Span, Tied,
        Wheels, fit,
    };

    fn table() -> Table {
        Table { constants: worked_out_on(), receiver: Hand::Right, server: Hand::Right, seed: 1 }
    }

    fn serve(id: &str, depth: Depth, spin: Spin) -> Serve {
        let mut serve = Serve::unknown(id.parse().unwrap());
        (serve.lane, serve.depth, serve.spin) = (Some(Lane::Forehand), Some(depth), Some(spin));
        serve
    }

    #[test]
    fn the_settings_of_a_short_backspin_serve_fly_to_the_forehand_and_stay_short() {
        let deck = [serve("a", Depth::Short, Spin::Backspin)];
        let aimed = aim_deck(&launcher(LauncherKind::PerBall), &[&deck[0]], &table());
        let ball = &aimed.groups[0].serves[0].ball;
        let path = flight::fly(&ball.launch, &table().constants, Until::default()).unwrap();
        assert_eq!(path.fault(Throw::Serve), None);
        assert_eq!(path.depth(Throw::Serve), Some(Depth::Short));
        let lands = path.receiver_bounce(Throw::Serve).unwrap();
        assert!((lands.y_m() - lane_y_m(Lane::Forehand, Hand::Right)).abs() < 1e-3);
        assert!(ball.launch.elevation_deg >= -20.0, "{:?}", ball.launch);
    }

    #[test]
    fn a_launcher_that_need_not_move_does_not() {
        let mut fast = serve("b", Depth::Long, Spin::Topspin);
        fast.pace = Some(Pace::Fast);
        let deck = [serve("a", Depth::Short, Spin::Backspin), fast];
        let both: Vec<&Serve> = deck.iter().collect();
        let aimed = aim_deck(&launcher(LauncherKind::PerBall), &both, &table());
        let thrown: usize = aimed.groups.iter().map(|group| group.serves.len()).sum();
        assert_eq!(thrown + aimed.cannot.len(), 2);
        // A second place is worth a walk only when it gives up less than the first.
        for group in &aimed.groups[1..] {
            for one in &group.serves {
                let kept = deck.iter().find(|serve| serve.id == one.serve).unwrap();
                let here = tried(
                    &launcher(LauncherKind::PerBall),
                    kept,
                    Some(aimed.groups[0].set_up),
                    &table(),
                );
                let there =
                    tried(&launcher(LauncherKind::PerBall), kept, Some(group.set_up), &table())
                        .unwrap();
                assert!(here.is_err() || here.is_ok_and(|here| here.rank > there.rank));
            }
        }
    }

    #[test]
    fn a_longer_shade_bounces_farther_and_keeps_its_depth() {
        let launcher = launcher(LauncherKind::PerBall);
        let serve = serve("a", Depth::HalfLong, Spin::Backspin);
        let fit = fit(&launcher, &serve, &table(), false, None);
        let plain = aim_thrown(&launcher, &fit.thrown, &fit.set_up, &table()).unwrap();
        let shorter = Thrown { shade: Some(Shade::Shorter), ..fit.thrown };
        let shorter = aim_thrown(&launcher, &shorter, &fit.set_up, &table()).unwrap();
        assert!(shorter.outcome.next_bounce_x_m < plain.outcome.next_bounce_x_m - 0.02);
        assert_eq!(shorter.outcome.depth, Depth::HalfLong);
    }

    #[test]
    fn one_wheel_throws_the_spin_its_own_speed_makes() {
        let mut one = launcher(LauncherKind::Fixed);
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
        let mut high = launcher(LauncherKind::Fixed);
        let machine = high.machine.as_mut().unwrap();
        machine.outlet_height_m = Span::new(0.40, 0.60);
        machine.chair_height_m = Some(0.28);
        let deck = [serve("a", Depth::Short, Spin::Backspin)];
        let chair = aim_deck(&high, &[&deck[0]], &table()).chair.unwrap();
        assert_eq!((chair.lowest_m, chair.chair_m), (0.40, 0.28));
        // Lower than the legs, and the chair is low enough.
        assert!(chair.would_do_m.is_some_and(|m| (0.28..0.40).contains(&m)), "{chair:?}");
        let low = launcher(LauncherKind::Fixed);
        assert_eq!(aim_deck(&low, &[&deck[0]], &table()).chair, None);
    }

    #[test]
    fn a_coarse_notch_that_changes_the_ball_is_said() {
        let mut coarse = launcher(LauncherKind::PerBall);
        coarse.dials = vec![Dial {
            name: "speed".to_owned(),
            sets: Control::Speed,
            least: 0.0,
            most: 10.0,
            notch: 2.5,
        }];
        let at = |dial, makes| At { dial, makes, give_or_take: 0.1 };
        let points = vec![at(0.0, 3.0), at(10.0, 11.0)];
        let speed = Curve { sets: Quantity::Speed, points, moved: Vec::new() };
        coarse.calibrated = Some(Calibrated { balls: 9, landing_off_m: 0.05, curves: vec![speed] });
        let deck = [serve("a", Depth::Short, Spin::Backspin)];
        let ball = &aim_deck(&coarse, &[&deck[0]], &table()).groups[0].serves[0].ball.clone();
        assert_eq!(ball.settings.dials.len(), 1);
        let is_of_notches = |note: &AimNote| {
            matches!(note, AimNote::MovedByNotches { .. } | AimNote::FaultAtNotches(_))
        };
        assert!(ball.notes.iter().any(is_of_notches), "{ball:?}");
    }
}

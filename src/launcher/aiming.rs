//! From the ball a launcher is to throw to its settings.
//!
//! The launch is `wish`'s. Whole decks are `aim_deck`'s, which ball replaces a
//! serve that cannot be thrown is `fit`'s, and dials are `dials`'.

use rayon::prelude::*;
use serde::Serialize;

use crate::flight::aim::{Aimed, BallOutcome, Share};
use crate::flight::{Launch, SpinRate, Until, fly};
use crate::game::{Depth, half_long_m};
use crate::launcher::dials::enter;
use crate::launcher::guess::guess_dials;
use crate::launcher::wish::{AimNote, BallWish, Found, HAND_M, INSIDE_M, NoBall, Table};
use crate::launcher::{ByEye, Launcher, SetUp, Settings, Shade, Thrown};

/// Rounds in which speed and tied spin of one wheel have to agree.
const TIED_ROUNDS: usize = 8;

/// A ball with its settings.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct AimedBall {
    /// What is entered.
    pub settings: Settings,
    /// How the ball leaves.
    pub launch: Launch,
    /// What it then does.
    pub outcome: BallOutcome,
    /// Simulated throws with the launcher's scatter that stay legal and keep the depth.
    pub keeps: Share,
    /// What was let go so that a ball exists, and what to mind when entering it.
    pub notes: Vec<AimNote>,
}

/// Settings for a ball thrown from a set-up.
///
/// # Errors
/// [`NoBall`] when nothing this launcher can do comes near enough.
#[cfg(test)]
pub(super) fn aim_thrown(
    launcher: &Launcher,
    thrown: &Thrown,
    set_up: &SetUp,
    table: &Table,
) -> Result<AimedBall, NoBall> {
    let wish = BallWish::ask(launcher, thrown, set_up, table)?;
    Ok(shaded(&wish, plain_ball(&wish)?))
}

/// Settings for every ball of a list, in its order; the same as for each alone. A ball
/// that is to bounce longer or shorter starts from the plain one, which is aimed once for all of
/// them.
pub fn aim_all(
    launcher: &Launcher,
    balls: &[(Thrown, SetUp)],
    table: &Table,
) -> Vec<Result<AimedBall, NoBall>> {
    let mut starts: Vec<(Thrown, SetUp)> = Vec::new();
    for ball in balls.iter().map(without_length) {
        if !starts.contains(&ball) {
            starts.push(ball);
        }
    }
    let found: Vec<Result<Found, NoBall>> = starts
        .par_iter()
        .map(|(thrown, set_up)| plain_ball(&BallWish::ask(launcher, thrown, set_up, table)?))
        .collect();
    let aim = |ball: &(Thrown, SetUp)| {
        let place = starts.iter().position(|start| *start == without_length(ball));
        let found = place.map_or(Err(NoBall::Person), |place| found[place].clone())?;
        Ok(shaded(&BallWish::ask(launcher, &ball.0, &ball.1, table)?, found))
    };
    balls.par_iter().map(aim).collect()
}

/// The ball from which a longer or shorter one starts; any other one starts from itself.
fn without_length((thrown, set_up): &(Thrown, SetUp)) -> (Thrown, SetUp) {
    let is_moved = matches!(thrown.shade, Some(Shade::Longer | Shade::Shorter));
    (Thrown { shade: thrown.shade.filter(|_| !is_moved), ..*thrown }, *set_up)
}

/// The launch of a ball before it is made longer or shorter.
pub(super) fn plain_ball(wish: &BallWish<'_>) -> Result<Found, NoBall> {
    let mut spin = wish.spin();
    let mut found = wish.find(spin, None)?;
    for _ in 0..TIED_ROUNDS {
        let Some(tied) = wish.machine.tied_spin(found.aimed.launch.speed_m_s) else { break };
        if (tied - spin.top_rev_s).abs() < 0.1 {
            break;
        }
        spin = SpinRate::top(tied);
        found = wish.find(spin, None)?;
    }
    Ok(found)
}

/// The ball, longer or shorter than the plain one where it is to be.
pub(super) fn shaded(wish: &BallWish<'_>, mut found: Found) -> AimedBall {
    let by_m = match wish.thrown.shade {
        Some(Shade::Longer) => HAND_M,
        Some(Shade::Shorter) => -HAND_M,
        _ => 0.0,
    };
    if by_m != 0.0 {
        let Found { aimed, .. } = &found;
        let next_m = shaded_m(aimed.outcome.next_bounce_x_m + by_m, wish.thrown.depth);
        match wish.find(aimed.launch.spin, Some(next_m)) {
            Ok(shaded) => found = shaded,
            Err(_) => found.notes.push(AimNote::Unshaded),
        }
    }
    finish(wish, found)
}

/// A place for the next bounce that stays in its depth class.
fn shaded_m(wanted_m: f64, depth: Depth) -> f64 {
    let (half_long_m, long_m) = half_long_m();
    match depth {
        Depth::Short => wanted_m.min(half_long_m - INSIDE_M),
        Depth::HalfLong => wanted_m.clamp(half_long_m + INSIDE_M, long_m - INSIDE_M),
        Depth::Long => wanted_m.max(long_m + INSIDE_M),
    }
}

/// The ball with its dials and what to mind.
fn finish(wish: &BallWish<'_>, found: Found) -> AimedBall {
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
        by_eye: None,
        last: wish.launcher.kept_of(wish.thrown, launch.outlet_m).cloned(),
    };
    let by_eye = ByEye::tell(wish.launcher, &settings, &aimed, &wish.table.constants);
    if let Some(entered) = enter(wish.launcher, &settings) {
        notes.extend(entered.beyond.iter().copied().map(AimNote::Uncalibrated));
        notes.extend(by_notches(&aimed, &entered.makes, wish.table));
        settings.dials = entered.dials;
    }
    settings.guess = guess_dials(wish.launcher, &settings);
    settings.by_eye = Some(by_eye);
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
    let depth = path.depth(aimed.throw)?;
    let by_m = path.next_bounce(aimed.throw)?.x_m() - aimed.outcome.next_bounce_x_m;
    let matters = depth != aimed.outcome.depth || by_m.abs() > 0.10;
    matters.then_some(AimNote::MovedByNotches { depth, by_m })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::flight::Constants;
    use crate::game::{Hand, Lane, Serve, Spin};
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
        let fit = fit(&launcher, &serve, &table, false, None);
        let shades = [Some(Shade::Longer), None, Some(Shade::Inwards), Some(Shade::Shorter)];
        let balls = shades.map(|shade| (Thrown { shade, ..fit.thrown }, fit.set_up));
        let alone = balls.map(|(thrown, set_up)| aim_thrown(&launcher, &thrown, &set_up, &table));
        assert_eq!(aim_all(&launcher, &balls, &table), alone);
        assert!(alone.iter().all(Result::is_ok), "{alone:?}");
        assert_ne!(alone[0], alone[1]);
    }
}

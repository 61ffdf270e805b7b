//! Settings for many balls: each is a matter of its own, so they are aimed on all cores.
//!
//! A ball that is to bounce a little longer or shorter starts from the plain one, which is aimed once for all of them.

use rayon::prelude::*;

use super::{AimedBall, Found, NoBall, Table, plain, shaded};
use crate::flight::SpinRate;
use crate::launcher::{Launcher, SetUp, Shade, Thrown};

/// Settings for every ball of a list, in its order; the same as [`super::aim_thrown`] for each.
pub fn aim_all(
    launcher: &Launcher,
    balls: &[(Thrown, SetUp)],
    table: &Table,
) -> Vec<Result<AimedBall, NoBall>> {
    let mut asked: Vec<(Thrown, SetUp)> = Vec::new();
    for ball in balls.iter().map(plain_of) {
        if !asked.contains(&ball) {
            asked.push(ball);
        }
    }
    let found: Vec<Result<(Found, SpinRate), NoBall>> =
        asked.par_iter().map(|(ball, set_up)| plain(launcher, ball, set_up, table)).collect();
    let aimed = balls.par_iter().map(|ball| {
        let place = asked.iter().position(|asked| *asked == plain_of(ball));
        let found = match place.and_then(|place| found.get(place)) {
            Some(found) => found.clone()?,
            None => plain(launcher, &ball.0, &ball.1, table)?,
        };
        shaded(launcher, ball, found, table).map(|(aimed, _)| aimed)
    });
    aimed.collect()
}

/// The ball from which a longer or shorter one starts; any other one starts from itself.
fn plain_of((thrown, set_up): &(Thrown, SetUp)) -> (Thrown, SetUp) {
    let is_moved = matches!(thrown.shade, Some(Shade::Longer | Shade::Shorter));
    (Thrown { shade: thrown.shade.filter(|_| !is_moved), ..*thrown }, *set_up)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::flight::Constants;
    use crate::game::{Depth, Hand, Lane, Serve, Spin};
    use crate::launcher::capability::tests::launcher;
    use crate::launcher::{Kind, aim_thrown, fit};

    #[test]
    fn many_balls_are_aimed_as_each_is_alone() {
        let table = Table {
            constants: Constants::default(),
            receiver: Hand::Right,
            server: Hand::Left,
            seed: 1,
        };
        let launcher = launcher(Kind::PerBall);
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

//! The spin of a serve, weighed from what the receiver's own balls did.
//!
//! Seven spins by three sides are held against each other. How often a ball of each goes high,
//! into the net and so on, by the way the bat meets it, stands in one table: common practice, put
//! in order by the laws of the bat (a push made for backspin pops up on a ball without spin; no
//! passive block lifts backspin; what brushes hard minds the spin least). Early contact lifts and
//! late contact drops any ball, so those say less. One ball is never enough to be sure.

use crate::game::{Depth, Side, Spin, Stroke, Timing, UpOrDown, WeightName, YourBall};

/// A spin with its amount, the side apart.
pub type SpinAmount = (Spin, Option<WeightName>);

/// The spins that are told apart, and how often each is met before anything is known of it.
const SPINS: [(SpinAmount, f64); 7] = [
    ((Spin::Backspin, Some(WeightName::Heavy)), 0.15),
    ((Spin::Backspin, Some(WeightName::Medium)), 0.22),
    ((Spin::Backspin, Some(WeightName::Light)), 0.17),
    ((Spin::Dead, None), 0.20),
    ((Spin::Topspin, Some(WeightName::Light)), 0.10),
    ((Spin::Topspin, Some(WeightName::Medium)), 0.10),
    ((Spin::Topspin, Some(WeightName::Heavy)), 0.06),
];

/// How often of a hundred a ball pops up, goes into the net, falls short, flies long or goes as
/// meant, for each of the spins.
type Outcomes = [[f64; 5]; 7];

/// The bat open under the ball, made for backspin.
const OPEN: Outcomes = [
    [2.0, 45.0, 25.0, 1.0, 27.0],
    [8.0, 12.0, 12.0, 4.0, 64.0],
    [38.0, 4.0, 4.0, 8.0, 46.0],
    [55.0, 2.0, 2.0, 21.0, 20.0],
    [42.0, 1.0, 1.0, 46.0, 10.0],
    [22.0, 1.0, 1.0, 72.0, 4.0],
    [10.0, 1.0, 1.0, 86.0, 2.0],
];

/// Closed and hardly moving, made for topspin.
const STILL: Outcomes = [
    [1.0, 85.0, 10.0, 1.0, 3.0],
    [1.0, 75.0, 17.0, 1.0, 6.0],
    [2.0, 55.0, 28.0, 2.0, 13.0],
    [2.0, 35.0, 37.0, 4.0, 22.0],
    [6.0, 12.0, 22.0, 8.0, 52.0],
    [15.0, 4.0, 5.0, 15.0, 61.0],
    [35.0, 2.0, 2.0, 41.0, 20.0],
];

/// Hit flat, made for little spin.
const FLAT: Outcomes = [
    [1.0, 80.0, 12.0, 2.0, 5.0],
    [2.0, 62.0, 16.0, 3.0, 17.0],
    [4.0, 30.0, 15.0, 8.0, 43.0],
    [8.0, 8.0, 8.0, 14.0, 62.0],
    [12.0, 3.0, 4.0, 30.0, 51.0],
    [15.0, 1.0, 2.0, 52.0, 30.0],
    [16.0, 1.0, 1.0, 72.0, 10.0],
];

/// Brushed upwards, made for backspin.
const BRUSHED: Outcomes = [
    [2.0, 45.0, 18.0, 2.0, 33.0],
    [4.0, 15.0, 9.0, 6.0, 66.0],
    [8.0, 6.0, 5.0, 16.0, 65.0],
    [14.0, 4.0, 4.0, 30.0, 48.0],
    [18.0, 2.0, 2.0, 48.0, 30.0],
    [18.0, 1.0, 1.0, 65.0, 15.0],
    [15.0, 1.0, 1.0, 76.0, 7.0],
];

/// Long pimples turn the spin round and mind it little.
const PIMPLES: Outcomes = [
    [18.0, 8.0, 6.0, 30.0, 38.0],
    [15.0, 8.0, 8.0, 20.0, 49.0],
    [12.0, 10.0, 10.0, 14.0, 54.0],
    [12.0, 12.0, 12.0, 12.0, 52.0],
    [8.0, 18.0, 18.0, 8.0, 48.0],
    [6.0, 25.0, 22.0, 6.0, 41.0],
    [4.0, 34.0, 25.0, 4.0, 33.0],
];

const fn outcomes(stroke: Stroke) -> &'static Outcomes {
    match stroke {
        Stroke::Touch | Stroke::Push | Stroke::SidespinPush | Stroke::Chop => &OPEN,
        Stroke::Block => &STILL,
        Stroke::Drive | Stroke::Flick | Stroke::FastLoop => &FLAT,
        Stroke::BananaFlick | Stroke::ReverseFlick | Stroke::SlowLoop => &BRUSHED,
        Stroke::Bump => &PIMPLES,
    }
}

/// How much the height of a ball says when the timing made some of it.
const MADE_BY_THE_TIMING: f64 = 0.5;

/// Share above which one spin, or one side, is taken for it.
const CLEAR: f64 = 0.75;

/// The spin that some balls speak for.
#[derive(Debug, Clone, PartialEq)]
pub struct SpinGuess {
    /// The likeliest spin, and how much of it when that is clear.
    pub spin: SpinAmount,
    /// Another kind of spin that is not ruled out.
    pub or: Option<SpinAmount>,
    /// The way the serve breaks, when the balls jumped to a side: the other one.
    pub breaks: Option<Side>,
    /// What the next ball should test; none when it is sure.
    pub test: Option<SpinTest>,
}

/// A stroke that tells the spin from another.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct SpinTest {
    /// The stroke to play.
    pub stroke: Stroke,
    /// What the ball then does if it is the likeliest spin.
    pub likeliest: UpOrDown,
    /// The other spin it is told from.
    pub other: SpinAmount,
    /// What the ball does if it is that.
    pub otherwise: UpOrDown,
}

impl SpinGuess {
    /// The spin that balls of one serve speak for together; none without a ball. The depth, where
    /// it is known, says which stroke can be tried next.
    pub fn from_balls(balls: &[YourBall], depth: Option<Depth>) -> Option<Self> {
        let first = balls.first()?;
        let breaks = breaks_of(balls);
        let shares = shares_of(balls);
        let by_share = |a: &usize, b: &usize| shares[*a].total_cmp(&shares[*b]);
        let spin_of = |place: usize| SPINS[place].0.0;
        let likeliest = (0..SPINS.len()).max_by(by_share)?;
        let of_kind = |spin: Spin| -> f64 {
            (0..SPINS.len()).filter(|place| spin_of(*place) == spin).map(|at| shares[at]).sum()
        };
        let other =
            (0..SPINS.len()).filter(|at| spin_of(*at) != spin_of(likeliest)).max_by(by_share)?;
        let share = of_kind(spin_of(likeliest));
        let is_clear = share >= CLEAR;
        let amount = SPINS[likeliest].0.1.filter(|_| shares[likeliest] >= share / 2.0);
        let with_side = |(spin, amount): SpinAmount| match (breaks, spin) {
            (None, spin) => (spin, amount),
            (Some(_), Spin::Backspin) => (Spin::SideBackspin, amount),
            (Some(_), Spin::Topspin) => (Spin::SideTopspin, amount),
            (Some(_), _) => (Spin::Sidespin, None),
        };
        let is_sure = is_clear && balls.len() > 1;
        Some(Self {
            spin: with_side((spin_of(likeliest), amount)),
            or: (!is_clear).then(|| with_side(SPINS[other].0)),
            breaks,
            test: (!is_sure).then(|| {
                let mut test = test_of(likeliest, other, first.stroke, depth);
                test.other = with_side(test.other);
                test
            }),
        })
    }
}

/// The share of each spin after these balls.
fn shares_of(balls: &[YourBall]) -> [f64; 7] {
    let mut shares = SPINS.map(|(_, before)| before);
    for ball in balls {
        let table = outcomes(ball.stroke);
        let by_timing = match ball.timing {
            Some(Timing::Early) => matches!(ball.went, UpOrDown::PoppedUp | UpOrDown::FlewLong),
            Some(Timing::Late) => matches!(ball.went, UpOrDown::IntoTheNet | UpOrDown::FellShort),
            Some(Timing::Top) | None => false,
        };
        let says = if by_timing { MADE_BY_THE_TIMING } else { 1.0 };
        for (share, row) in shares.iter_mut().zip(table) {
            *share *= (row[ball.went as usize] / 100.0).powf(says);
        }
    }
    let sum: f64 = shares.iter().sum();
    shares.map(|share| share / sum)
}

/// The way the serve breaks when its balls jump to a side: the other one. What brushes round the
/// ball sends it aside by itself.
fn breaks_of(balls: &[YourBall]) -> Option<Side> {
    let weigh = |breaks: Option<Side>| {
        let before = if breaks.is_some() { 0.25 } else { 0.5 };
        let seen = balls.iter().map(|ball| {
            let own_side = matches!(
                ball.stroke,
                Stroke::SidespinPush | Stroke::BananaFlick | Stroke::ReverseFlick
            );
            let likely = match (breaks, ball.jumped) {
                (None, None) => [0.85; 2],
                (None, Some(_)) => [0.075, 0.2],
                (Some(_), None) => [0.35; 2],
                (Some(breaks), Some(jumped)) if jumped != breaks => [0.75, 0.5],
                (Some(_), Some(_)) => [0.05, 0.15],
            };
            likely[usize::from(own_side)]
        });
        before * seen.product::<f64>()
    };
    let (left, right) = (weigh(Some(Side::Left)), weigh(Some(Side::Right)));
    let side = if left > right { Side::Left } else { Side::Right };
    (left.max(right) > weigh(None).max(left.min(right))).then_some(side)
}

/// The stroke, of those that can be played at this depth, whose outcomes differ most between two
/// spins.
fn test_of(one: usize, other: usize, played: Stroke, depth: Option<Depth>) -> SpinTest {
    let candidates: &[Stroke] = match depth {
        Some(Depth::Short) => &[Stroke::Push, Stroke::Flick],
        Some(Depth::HalfLong) => &[Stroke::Push, Stroke::SlowLoop],
        Some(Depth::Long) => &[Stroke::Push, Stroke::Block, Stroke::Drive, Stroke::SlowLoop],
        // What was played can be played again.
        None => &[Stroke::Push, played],
    };
    let differ = |stroke: Stroke| {
        let table = outcomes(stroke);
        std::array::from_fn::<f64, 5, _>(|at| table[one][at] - table[other][at])
    };
    let apart = |stroke: &Stroke| differ(*stroke).iter().map(|by| by.abs()).sum::<f64>();
    let stroke = candidates.iter().copied().max_by(|a, b| apart(a).total_cmp(&apart(b)));
    let stroke = stroke.unwrap_or(played);
    let most = |sign: f64| {
        let by = differ(stroke);
        let most = UpOrDown::ALL
            .iter()
            .max_by(|a, b| (sign * by[**a as usize]).total_cmp(&(sign * by[**b as usize])));
        most.copied().unwrap_or(UpOrDown::AsMeant)
    };
    SpinTest { stroke, likeliest: most(1.0), other: SPINS[other].0, otherwise: most(-1.0) }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::game::leaves_your_bat;

    fn guess(said: &str) -> SpinGuess {
        SpinGuess::from_balls(&YourBall::several(said).unwrap(), None).unwrap()
    }

    #[test]
    fn every_row_of_the_tables_is_a_hundred_balls() {
        for row in [OPEN, STILL, FLAT, BRUSHED, PIMPLES].as_flattened() {
            assert!((row.iter().sum::<f64>() - 100.0).abs() < 1e-9, "{row:?}");
        }
    }

    /// Facts of the trade, common practice; the laws of the bat agree (see the opening comment).
    #[test]
    fn what_the_trade_says_of_a_stroke_and_a_spin_is_what_happens_most() {
        let most = |stroke: Stroke, spin: SpinAmount| {
            let at = SPINS.iter().position(|(known, _)| *known == spin).unwrap();
            let row = outcomes(stroke)[at];
            *UpOrDown::ALL
                .iter()
                .max_by(|a, b| row[**a as usize].total_cmp(&row[**b as usize]))
                .unwrap()
        };
        let heavy = (Spin::Backspin, Some(WeightName::Heavy));
        let (dead, top) = ((Spin::Dead, None), (Spin::Topspin, Some(WeightName::Heavy)));
        assert_eq!(most(Stroke::Push, dead), UpOrDown::PoppedUp);
        assert_eq!(most(Stroke::Push, heavy), UpOrDown::IntoTheNet);
        assert_eq!(most(Stroke::Push, top), UpOrDown::FlewLong);
        for flat in [Stroke::Drive, Stroke::Flick, Stroke::Block] {
            assert_eq!(most(flat, heavy), UpOrDown::IntoTheNet, "{flat}");
        }
        assert_eq!(
            most(Stroke::SlowLoop, (Spin::Backspin, Some(WeightName::Medium))),
            UpOrDown::AsMeant
        );
        // Brushing makes the spin matter less than hitting flat.
        let lost = |stroke: Stroke| 100.0 - outcomes(stroke)[0][UpOrDown::AsMeant as usize];
        assert!(lost(Stroke::SlowLoop) < lost(Stroke::Drive));
    }

    #[test]
    fn one_ball_is_never_enough_and_two_that_agree_are() {
        for &stroke in Stroke::ALL {
            for went in UpOrDown::ALL {
                let ball = format!("{stroke}, {}", went.word());
                assert!(guess(&ball).test.is_some(), "{ball}");
            }
        }
        let sure = guess("push, into the net; block, into the net");
        assert_eq!((sure.spin, sure.or), ((Spin::Backspin, Some(WeightName::Heavy)), None));
        assert_eq!(sure.test, None);
        let against = guess("push, into the net; push, popped up");
        assert!(against.test.is_some(), "{against:?}");
    }

    #[test]
    fn a_push_that_popped_up_is_no_spin_or_light_and_the_pair_is_told_apart_by_another_push() {
        let guess = guess("push, popped up");
        assert_eq!(guess.spin, (Spin::Dead, None));
        assert_eq!(guess.or, Some((Spin::Backspin, Some(WeightName::Light))));
        let test = guess.test.unwrap();
        assert_eq!(
            (test.stroke, test.likeliest, test.otherwise),
            (Stroke::Push, UpOrDown::PoppedUp, UpOrDown::AsMeant)
        );
    }

    #[test]
    fn a_push_that_popped_up_and_jumped_aside_is_pure_sidespin_first() {
        let guess = guess("push, popped up, left");
        assert_eq!((guess.spin, guess.breaks), ((Spin::Sidespin, None), Some(Side::Right)));
        let or = Some((Spin::SideBackspin, Some(WeightName::Light)));
        assert_eq!(guess.or, or);
    }

    #[test]
    fn the_same_flight_means_the_opposite_on_a_closed_bat() {
        assert_eq!(guess("block, popped up").spin.0, Spin::Topspin);
        assert_eq!(guess("block, into the net").spin.0, Spin::Backspin);
        assert_eq!(guess("slow loop, flew long").spin.0, Spin::Topspin);
        assert_eq!(guess("drive, into the net").spin.0, Spin::Backspin);
    }

    #[test]
    fn a_ball_that_the_timing_made_high_or_low_says_less() {
        let share = |said: &str, at: usize| shares_of(&YourBall::several(said).unwrap())[at];
        assert!(share("push, popped up", 3) > share("push on the rise, popped up", 3));
        assert!(share("push, into the net", 0) > share("push late, into the net", 0));
        assert_eq!(share("push, popped up", 3), share("push at the top, popped up", 3));
    }

    #[test]
    fn a_ball_that_jumped_aside_broke_to_the_other_side() {
        for &side in Side::ALL {
            let guess = guess(&format!("push, into the net, {side}"));
            assert_eq!(guess.spin.0, Spin::SideBackspin);
            assert_eq!(guess.breaks.map(leaves_your_bat), Some(side));
        }
        assert_eq!(guess("push, left; push, right").breaks, None);
        assert_eq!(guess("push; push; push, left").breaks, None, "one in three was the hand");
    }

    #[test]
    fn every_guess_can_stand_in_a_deck_and_a_test_tells_two_things_apart() {
        for &stroke in Stroke::ALL {
            for &went in UpOrDown::ALL {
                for jumped in [None, Some(Side::Left), Some(Side::Right)] {
                    let ball = YourBall { stroke, timing: None, went, jumped };
                    for depth in
                        [None, Some(Depth::Short), Some(Depth::HalfLong), Some(Depth::Long)]
                    {
                        let guess = SpinGuess::from_balls(&[ball], depth).unwrap();
                        assert_eq!(guess.spin.0.is_sideways(), guess.breaks.is_some(), "{guess:?}");
                        assert!(guess.spin.0 != Spin::Dead || guess.spin.1.is_none(), "{guess:?}");
                        let test = guess.test.unwrap();
                        assert_ne!(test.likeliest, test.otherwise, "{guess:?}");
                        assert_ne!(test.other.0, guess.spin.0, "{guess:?}");
                    }
                }
            }
        }
    }
}

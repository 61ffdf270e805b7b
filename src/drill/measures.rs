//! What a switch costs: from the balls of a switch round to numbers.
//!
//! Difference of differences between the switched and the kept serves, so that getting tired, or
//! quicker, is not taken for the switch:
//!
//! cost = (switched after - switched before) - (kept after - kept before)
//!
//! of the mean time of right answers (ms), and of the share of wrong answers. Collateral cost =
//! kept after - kept before. Every number stands with the balls behind it, and none is given when
//! one of its parts has fewer than six.

use serde::Serialize;

use super::script::RoundPart;
use super::taken::{Gave, Taken};
/// Fewest balls behind any part of a number.
pub const LEAST_BALLS: usize = 6;
/// Clean answers in a row that end the cost of a switch.
pub const CLEAN_IN_A_ROW: usize = 3;

/// A number and the fewest balls behind any of its parts.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Measured {
    /// The number; none when too few balls stand behind it.
    pub value: Option<f64>,
    /// Balls behind its weakest part.
    pub balls: usize,
}

/// How one group of serves went in one part of the round.
#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize)]
pub struct Group {
    /// Balls answered, lets left out.
    pub balls: usize,
    /// Of them right, in whatever time.
    pub right: usize,
    /// Of the wrong ones: old answers.
    pub old_answers: usize,
    /// Of the wrong ones: spills.
    pub spills: usize,
    /// Mean time of the right ones, milliseconds.
    pub mean_ms: Option<f64>,
}

impl Group {
    fn from_answers<'a>(taken: impl Iterator<Item = &'a Taken>) -> Self {
        let mut group = Self::default();
        let mut sum = 0.0;
        for one in taken.filter(|one| one.counts()) {
            group.balls += 1;
            if one.is_recalled() {
                group.right += 1;
                sum += f64::from(one.ms);
            }
            group.old_answers += usize::from(one.gave == Gave::OldAnswer);
            group.spills += usize::from(one.gave == Gave::Spill);
        }
        group.mean_ms = (group.right > 0).then(|| sum / group.right as f64);
        group
    }

    /// Share of wrong answers.
    fn wrong_share(&self) -> Option<f64> {
        (self.balls >= LEAST_BALLS).then(|| (self.balls - self.right) as f64 / self.balls as f64)
    }

    /// Mean time, when enough right answers stand behind it.
    fn firm_ms(&self) -> Option<f64> {
        self.mean_ms.filter(|_| self.right >= LEAST_BALLS)
    }
}

/// What a switch round measured.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct SwitchMeasures {
    /// The switched serves before the call.
    pub switched_before: Group,
    /// The switched serves after it.
    pub switched_after: Group,
    /// The kept serves before the call.
    pub kept_before: Group,
    /// The kept serves after it.
    pub kept_after: Group,
    /// Switch cost in time, milliseconds.
    pub cost_ms: Measured,
    /// Switch cost in wrong answers, as a share of the balls.
    pub cost_wrong: Measured,
    /// What the kept serves lost, milliseconds.
    pub collateral_ms: Measured,
    /// What the kept serves lost, as a share of wrong answers.
    pub collateral_wrong: Measured,
    /// Balls of the switched serve after the call until three in a row were clean, those three
    /// included; none when that never happened.
    pub balls_until_clean: Option<usize>,
    /// The same after switching back.
    pub balls_until_clean_back: Option<usize>,
}

impl SwitchMeasures {
    /// From the answers of a round and which of its serves the switch changes.
    pub fn from_answers(taken: &[Taken], is_switched: impl Fn(usize) -> bool) -> Self {
        let group = |switched: bool, part: RoundPart| {
            Group::from_answers(
                taken.iter().filter(|one| one.part == part && is_switched(one.serve) == switched),
            )
        };
        let switched = [RoundPart::Before, RoundPart::After].map(|part| group(true, part));
        let kept = [RoundPart::Before, RoundPart::After].map(|part| group(false, part));
        let fewest = |groups: &[Group], count: fn(&Group) -> usize| {
            groups.iter().map(count).min().unwrap_or_default()
        };
        let lost = |number: fn(&Group) -> Option<f64>, [before, after]: &[Group; 2]| {
            Some(number(after)? - number(before)?)
        };
        let measured = |number: fn(&Group) -> Option<f64>, count: fn(&Group) -> usize| {
            let collateral = lost(number, &kept);
            let cost = lost(number, &switched).zip(collateral).map(|(own, kept)| own - kept);
            let balls = fewest(&kept, count);
            [
                Measured { value: cost, balls: balls.min(fewest(&switched, count)) },
                Measured { value: collateral, balls },
            ]
        };
        let [cost_ms, collateral_ms] = measured(Group::firm_ms, |group| group.right);
        let [cost_wrong, collateral_wrong] = measured(Group::wrong_share, |group| group.balls);
        let until_clean = |part: RoundPart| {
            let mut run = 0;
            taken
                .iter()
                .filter(|one| one.part == part && is_switched(one.serve) && one.counts())
                .position(|one| {
                    run = if one.is_clean() { run + 1 } else { 0 };
                    run == CLEAN_IN_A_ROW
                })
                .map(|place| place + 1)
        };
        Self {
            cost_ms,
            cost_wrong,
            collateral_ms,
            collateral_wrong,
            balls_until_clean: until_clean(RoundPart::After),
            balls_until_clean_back: until_clean(RoundPart::Back),
            switched_before: switched[0],
            switched_after: switched[1],
            kept_before: kept[0],
            kept_after: kept[1],
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::memory::{Grade, Outcome};

    fn ball(serve: usize, part: RoundPart, gave: Gave, ms: u32) -> Taken {
        let grade = match gave {
            Gave::Right if ms <= 1000 => Grade::InTime,
            Gave::Right if ms <= 2000 => Grade::Late,
            _ => Grade::Wrong,
        };
        Taken {
            serve,
            part,
            gave,
            given: None,
            ms,
            window_ms: 1000,
            outcome: Outcome::Graded(grade),
            built: None,
            is_recognised: None,
        }
    }

    fn right(serve: usize, part: RoundPart, times_ms: &[u32]) -> Vec<Taken> {
        times_ms.iter().map(|&ms| ball(serve, part, Gave::Right, ms)).collect()
    }

    /// Serve 0 is switched, serve 1 kept. Worked by hand:
    ///
    /// switched before 500, 520, 540, 560, 580, 600: mean 550, none wrong of 6.
    /// switched after: two old answers, then 700, 720, 740, 1100, 780, 760, 740: mean
    /// 5540 / 7 = 791.43, wrong 2 of 9 = 0.2222.
    /// kept before 500 six times, one wrong: mean 500, wrong 1 of 7 = 0.1429.
    /// kept after 530 six times, one spill, one other: mean 530, wrong 2 of 8 = 0.25.
    /// cost ms = (791.43 - 550) - (530 - 500) = 211.43
    /// cost wrong = (0.2222 - 0) - (0.25 - 0.142857) = 0.115079
    /// clean: after the two old answers 700, 720, 740 are three in a row: the fifth ball.
    fn scripted() -> Vec<Taken> {
        let mut taken = right(0, RoundPart::Before, &[500, 520, 540, 560, 580, 600]);
        taken.extend(right(1, RoundPart::Before, &[500; 6]));
        taken.push(ball(1, RoundPart::Before, Gave::Other, 640));
        taken.push(ball(0, RoundPart::After, Gave::OldAnswer, 510));
        taken.push(ball(0, RoundPart::After, Gave::OldAnswer, 520));
        taken.extend(right(0, RoundPart::After, &[700, 720, 740, 1100, 780, 760, 740]));
        taken.extend(right(1, RoundPart::After, &[530; 6]));
        taken.push(ball(1, RoundPart::After, Gave::Spill, 500));
        taken.push(ball(1, RoundPart::After, Gave::Nothing, 2000));
        taken
    }

    fn near(measured: Measured, value: f64) -> bool {
        measured.value.is_some_and(|have| (have - value).abs() < 1e-3)
    }

    #[test]
    fn the_measures_equal_those_worked_by_hand() {
        let measures = SwitchMeasures::from_answers(&scripted(), |serve| serve == 0);
        assert!(near(measures.cost_ms, 211.4286), "{:?}", measures.cost_ms);
        assert_eq!(measures.cost_ms.balls, 6);
        assert!(near(measures.cost_wrong, 0.115_079), "{:?}", measures.cost_wrong);
        assert!(near(measures.collateral_ms, 30.0), "{:?}", measures.collateral_ms);
        assert!(near(measures.collateral_wrong, 0.107_143), "{:?}", measures.collateral_wrong);
        assert_eq!((measures.switched_after.old_answers, measures.kept_after.spills), (2, 1));
        assert_eq!(measures.balls_until_clean, Some(5));
        assert_eq!(measures.balls_until_clean_back, None);
    }

    #[test]
    fn no_number_is_given_with_fewer_than_six_balls_behind_it() {
        let mut taken = scripted();
        let first_kept = taken.iter().position(|one| one.serve == 1).unwrap();
        taken.remove(first_kept);
        let measures = SwitchMeasures::from_answers(&taken, |serve| serve == 0);
        assert_eq!(measures.cost_ms, Measured { value: None, balls: 5 });
        // Six balls are left for the share of wrong ones.
        assert_eq!(measures.cost_wrong.balls, 6);
        assert!(measures.cost_wrong.value.is_some());
    }

    #[test]
    fn lets_are_no_balls() {
        let mut taken = scripted();
        let whole = SwitchMeasures::from_answers(&taken, |serve| serve == 0);
        taken.insert(3, Taken { outcome: Outcome::Let, ..taken[0] });
        assert_eq!(SwitchMeasures::from_answers(&taken, |serve| serve == 0), whole);
    }
}

//! When to make the switch: exact induction over games, score, server and balls seen.
//!
//! The answer in force wins `fresh` until the server has seen it [`Story::read_after`] times, then `read`; the new
//! one wins `new_fresh` for its first [`Story::new_read_after`] balls, then `new_read`. After the switch the old answer
//! still slips out with chance `slip` (and wins what a read one wins), and the serves that were kept lose
//! `spill`. One switch, never back. The best moment is found over every policy that knows the score
//! and the balls seen; the named triggers are single policies of that kind.
//!
//! A tie that needs two clear points is one state whose value is iterated to a fixed point (each round
//! of two points decides with positive chance, so it converges geometrically).

use crate::base::order::largest_first;
use crate::game::{End, Game, MatchLength};
use crate::tactics::chance::{Chances, GameLaw};
use crate::tactics::fault::{TacticsError, chance, within};

/// Most balls of one serve that are told apart.
pub const MOST_SEEN: usize = 60;

/// The assumptions about one serve, its answer and the reserve.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Story {
    /// Chance of a point on one's own serve (`ps`).
    pub serve: f64,
    /// How often this serve comes among the opponent's (`f`).
    pub frequency: f64,
    /// Chance of the point on his other serves (`w`).
    pub rest: f64,
    /// The answer in force before it is read (`m0`).
    pub fresh: f64,
    /// The same once read (`m1`).
    pub read: f64,
    /// Balls until it is read (`J`).
    pub read_after: usize,
    /// The new answer before it is read (`g0`).
    pub new_fresh: f64,
    /// The same once read (`g1`).
    pub new_read: f64,
    /// Balls until the new answer is read (`K`).
    pub new_read_after: usize,
    /// Chance that the old answer slips out after the switch (`eps`).
    pub slip: f64,
    /// What the switch costs on the serves that were kept (`eta`).
    pub spill: f64,
}

/// What sets the switch off.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Trigger {
    /// It is kept in reserve for ever.
    Never,
    /// From the first ball.
    FromTheStart,
    /// With the second game.
    SecondGame,
    /// With the deciding game.
    Decider,
    /// When either player has this many points in a game.
    EitherAt(u32),
    /// When the player has this many points in a game.
    OwnAt(u32),
    /// After this many balls of the serve.
    AfterBalls(usize),
    /// As soon as the answer is read.
    OnceRead,
    /// The best of all plans that switch only before a game.
    BestGameStart,
    /// The best of all plans.
    Best,
}

impl Trigger {
    /// The words a player reads.
    pub fn words(self) -> String {
        match self {
            Self::Never => "never".to_owned(),
            Self::FromTheStart => "from the first ball".to_owned(),
            Self::SecondGame => "with the second game".to_owned(),
            Self::Decider => "in the decider".to_owned(),
            Self::EitherAt(points) => format!("when either has {points}"),
            Self::OwnAt(points) => format!("when you have {points}"),
            Self::AfterBalls(balls) => format!("after {balls} of that serve"),
            Self::OnceRead => "as soon as it is read".to_owned(),
            Self::BestGameStart => "between games, at the best one".to_owned(),
            Self::Best => "at the best moment".to_owned(),
        }
    }
}

/// What a policy does at a score before the switch.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Order {
    /// Switches when so many balls have been seen.
    From(usize),
    /// Whatever is better.
    Free,
}

/// A value for every number of balls seen: before the switch, and after it.
#[derive(Clone, Debug)]
struct Values {
    before: Vec<f64>,
    after: Vec<f64>,
}

impl Values {
    /// How far the two lie apart where they do most.
    fn farthest(&self, other: &Self) -> f64 {
        let apart = |ours: &[f64], theirs: &[f64]| {
            ours.iter().zip(theirs).fold(0.0, |most: f64, (a, b)| most.max((a - b).abs()))
        };
        apart(&self.before, &other.before).max(apart(&self.after, &other.after))
    }
}

impl Story {
    /// # Errors
    /// A number that is not a chance, more balls than [`MOST_SEEN`], a match in which no game would end.
    pub fn checked(self) -> Result<Self, TacticsError> {
        for (what, value) in [
            ("frequency", self.frequency),
            ("rest", self.rest),
            ("fresh", self.fresh),
            ("read", self.read),
            ("new_fresh", self.new_fresh),
            ("new_read", self.new_read),
            ("slip", self.slip),
        ] {
            chance(what, value)?;
        }
        within("spill", self.spill, 0.0, self.rest)?;
        for (what, balls) in
            [("read_after", self.read_after), ("new_read_after", self.new_read_after)]
        {
            within(what, balls as f64, 0.0, MOST_SEEN as f64)?;
        }
        for (answer, rest) in [
            (self.fresh, self.rest),
            (self.read, self.rest),
            (self.new_answer(0), self.rest - self.spill),
            (self.new_answer(self.new_read_after), self.rest - self.spill),
        ] {
            Chances::new(self.serve, self.frequency * answer + (1.0 - self.frequency) * rest)?;
        }
        Ok(self)
    }

    fn old_answer(&self, seen: usize) -> f64 {
        if seen < self.read_after { self.fresh } else { self.read }
    }

    fn new_answer(&self, seen: usize) -> f64 {
        let plain = if seen < self.new_read_after { self.new_fresh } else { self.new_read };
        (1.0 - self.slip) * plain + self.slip * self.read
    }

    /// Chance of the match from its first ball when the switch is made by this trigger.
    ///
    /// # Errors
    /// As [`Story::checked`].
    pub fn win(
        &self,
        length: MatchLength,
        first_server: End,
        trigger: Trigger,
    ) -> Result<f64, TacticsError> {
        Ok(Induction { story: self.checked()?, length, first_server, trigger }.solve())
    }

    /// The usual triggers, best first, with their chance of the match.
    ///
    /// # Errors
    /// As [`Story::checked`].
    pub fn table(
        &self,
        length: MatchLength,
        first_server: End,
    ) -> Result<Vec<(Trigger, f64)>, TacticsError> {
        let mut rows = [
            Trigger::Never,
            Trigger::FromTheStart,
            Trigger::SecondGame,
            Trigger::OnceRead,
            Trigger::EitherAt(8),
            Trigger::BestGameStart,
            Trigger::Decider,
            Trigger::Best,
        ]
        .into_iter()
        .map(|trigger| Ok((trigger, self.win(length, first_server, trigger)?)))
        .collect::<Result<Vec<_>, TacticsError>>()?;
        largest_first(&mut rows, |(_, chance)| *chance);
        Ok(rows)
    }
}

struct Induction {
    story: Story,
    length: MatchLength,
    first_server: End,
    trigger: Trigger,
}

impl Induction {
    fn solve(&self) -> f64 {
        let needed = self.length.to_win();
        let side = needed as usize + 1;
        let mut starts: Vec<Option<Values>> = vec![None; side * side];
        for n in 0..=needed {
            starts[n as usize + needed as usize * side] = Some(self.certain(0.0));
            starts[needed as usize + n as usize * side] = Some(self.certain(1.0));
        }
        for own in (0..needed).rev() {
            for theirs in (0..needed).rev() {
                let at = |a: u32, b: u32| starts[a as usize + b as usize * side].as_ref();
                let (Some(won), Some(lost)) = (at(own + 1, theirs), at(own, theirs + 1)) else {
                    continue;
                };
                let values = self.game((own, theirs), won, lost);
                starts[own as usize + theirs as usize * side] = Some(values);
            }
        }
        starts[0].as_ref().map_or(0.0, |values| values.before[0])
    }

    fn certain(&self, value: f64) -> Values {
        Values {
            before: vec![value; self.story.read_after + 1],
            after: vec![value; self.story.new_read_after + 1],
        }
    }

    /// Values at 0-0 of a game, from the values after winning and after losing it.
    fn game(&self, games: (u32, u32), won: &Values, lost: &Values) -> Values {
        let law = GameLaw::ELEVEN;
        let tie = law.points() - 1;
        let first = if (games.0 + games.1).is_multiple_of(2) {
            self.first_server
        } else {
            self.first_server.other()
        };
        let level = self.tie(games, first, won, lost);
        // One row of scores at a time, from the tie downwards, each written over the last but one.
        let mut below: Vec<Values> = vec![level; tie as usize + 1];
        let mut row = below.clone();
        for own in (0..=tie).rev() {
            for theirs in (0..=tie).rev() {
                if own == tie && theirs == tie {
                    continue;
                }
                let (here, behind) = row.split_at_mut(theirs as usize + 1);
                let win = if own == tie { won } else { &below[theirs as usize] };
                let loss = behind.first().unwrap_or(lost);
                let i_serve = law.i_serve(Game { me: own, them: theirs, first_server: first });
                self.point((games, (own, theirs), i_serve), win, loss, &mut here[theirs as usize]);
            }
            std::mem::swap(&mut below, &mut row);
        }
        below.swap_remove(0)
    }

    /// Values at 10-10, by iterating 10-10 -> 11-10 or 10-11 -> 10-10 until nothing moves.
    fn tie(&self, games: (u32, u32), first: End, won: &Values, lost: &Values) -> Values {
        let law = GameLaw::ELEVEN;
        let tie = law.points() - 1;
        let serves = |own, theirs| {
            (games, (own, theirs), law.i_serve(Game { me: own, them: theirs, first_server: first }))
        };
        let mut level = self.certain(0.5);
        let [mut ahead, mut behind, mut next] = [(); 3].map(|()| level.clone());
        for _ in 0..10_000 {
            self.point(serves(tie + 1, tie), won, &level, &mut ahead);
            self.point(serves(tie, tie + 1), &level, lost, &mut behind);
            self.point(serves(tie, tie), &ahead, &behind, &mut next);
            let moved = next.farthest(&level);
            std::mem::swap(&mut level, &mut next);
            if moved < 1e-15 {
                break;
            }
        }
        level
    }

    /// Values before one point, from those after winning and after losing it, written into `before_it`; the games, the
    /// score and whether it is the own serve say which point.
    fn point(
        &self,
        (games, score, i_serve): ((u32, u32), (u32, u32), bool),
        won: &Values,
        lost: &Values,
        before_it: &mut Values,
    ) {
        let story = &self.story;
        let mixed = |p: f64, win: f64, loss: f64| p * win + (1.0 - p) * loss;
        let play = |answer: f64, rest: f64, seen: usize, win: &[f64], loss: &[f64]| {
            if i_serve {
                return mixed(story.serve, win[seen], loss[seen]);
            }
            let next = (seen + 1).min(win.len() - 1);
            story.frequency * mixed(answer, win[next], loss[next])
                + (1.0 - story.frequency) * mixed(rest, win[seen], loss[seen])
        };
        for (seen, value) in before_it.after.iter_mut().enumerate() {
            let answer = story.new_answer(seen);
            *value = play(answer, story.rest - story.spill, seen, &won.after, &lost.after);
        }
        let go = before_it.after[0];
        let order = self.order(games, score);
        for (seen, value) in before_it.before.iter_mut().enumerate() {
            let stay = || play(story.old_answer(seen), story.rest, seen, &won.before, &lost.before);
            *value = match order {
                Order::From(balls) if seen < balls => stay(),
                Order::From(_) => go,
                Order::Free => stay().max(go),
            };
        }
    }

    fn order(&self, games: (u32, u32), score: (u32, u32)) -> Order {
        let last = self.length.to_win() - 1;
        let go = match self.trigger {
            Trigger::Best => return Order::Free,
            Trigger::BestGameStart if score == (0, 0) => return Order::Free,
            Trigger::AfterBalls(balls) => return Order::From(balls.min(self.story.read_after)),
            Trigger::OnceRead => return Order::From(self.story.read_after),
            Trigger::BestGameStart | Trigger::Never => false,
            Trigger::FromTheStart => true,
            Trigger::SecondGame => games.0 + games.1 >= 1,
            Trigger::Decider => games == (last, last),
            Trigger::EitherAt(points) => score.0.max(score.1) >= points,
            Trigger::OwnAt(points) => score.0 >= points,
        };
        Order::From(if go { 0 } else { usize::MAX })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn story() -> Story {
        Story {
            serve: 0.55,
            frequency: 0.4,
            rest: 0.47,
            fresh: 0.5,
            read: 0.5,
            read_after: 6,
            new_fresh: 0.58,
            new_read: 0.46,
            new_read_after: 4,
            slip: 0.05,
            spill: 0.005,
        }
    }

    #[test]
    fn a_pure_surprise_is_kept_for_the_decider() {
        let story = story();
        let win = |trigger| story.win(MatchLength::best_of(5).unwrap(), End::Me, trigger).unwrap();
        assert!(win(Trigger::Decider) > win(Trigger::FromTheStart));
        assert!(win(Trigger::Decider) > win(Trigger::Never));
    }

    #[test]
    fn a_lasting_improvement_is_made_as_soon_as_the_old_answer_is_read() {
        let story = Story { read: 0.38, new_fresh: 0.54, new_read: 0.52, ..story() };
        let win = |trigger| story.win(MatchLength::best_of(5).unwrap(), End::Me, trigger).unwrap();
        assert!(win(Trigger::OnceRead) > win(Trigger::SecondGame));
        assert!(win(Trigger::OnceRead) > win(Trigger::Decider));
    }

    #[test]
    fn nothing_beats_the_best_moment() {
        let seven = MatchLength::best_of(7).unwrap();
        let table = story().table(seven, End::Them).unwrap();
        assert_eq!(table[0].1, story().win(seven, End::Them, Trigger::Best).unwrap());
    }
}

//! When to make the switch: exact induction over games, score, server and balls seen.
//!
//! The answer in force wins `fresh` until the server has seen it [`Story::read_after`] times, then
//! `read`; the new one wins `new_fresh` for its first [`Story::new_read_after`] balls, then
//! `new_read`. After the switch the old answer still slips out with chance `slip` (and wins what a
//! read one wins), and the serves that were kept lose
//! `spill`. One switch, never back. The best moment is found over every policy that knows the score
//! and the balls seen; the named triggers are single policies of that kind.
//!
//! A tie that needs two clear points is one state whose value is iterated to a fixed point (each
//! round of two points decides with positive chance, so it converges geometrically).

use crate::game::{End, Game, MatchLength};
use crate::tactics::chance::GameLaw;

/// The assumptions about one serve, its answer and the reserve; all chances are zero to one.
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
    /// What the switch costs on the serves that were kept (`eta`), at most `rest`.
    pub spill: f64,
}

/// What sets the switch off.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
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
    /// As soon as the answer is read.
    OnceRead,
    /// The best of all plans.
    Best,
}

impl Trigger {
    fn order(self, story: &Story, length: MatchLength, at: MatchScore) -> Order {
        let last = length.to_win() - 1;
        let go = match self {
            Self::Best => return Order::Free,
            Self::OnceRead => return Order::From(story.read_after),
            Self::Never => false,
            Self::FromTheStart => true,
            Self::SecondGame => at.games.0 + at.games.1 >= 1,
            Self::Decider => at.games == (last, last),
            Self::EitherAt(points) => at.score.me.max(at.score.them) >= points,
        };
        Order::From(if go { 0 } else { usize::MAX })
    }
}

/// What a policy does at a score before the switch.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Order {
    /// Switches when so many balls have been seen.
    From(usize),
    /// Whatever is better.
    Free,
}

/// A score before a point: games, and the running game.
#[derive(Clone, Copy, Debug)]
pub struct MatchScore {
    /// Games won by the player, and by the opponent.
    pub games: (u32, u32),
    /// The running game.
    pub score: Game,
}

/// A value for every number of balls seen: before the switch, and after it.
#[derive(Clone, Debug)]
struct Values {
    before: Vec<f64>,
    after: Vec<f64>,
}

impl Story {
    fn old_answer(&self, seen: usize) -> f64 {
        if seen < self.read_after { self.fresh } else { self.read }
    }

    fn new_answer(&self, seen: usize) -> f64 {
        let plain = if seen < self.new_read_after { self.new_fresh } else { self.new_read };
        (1.0 - self.slip) * plain + self.slip * self.read
    }

    /// Chance of the match from its first ball when the switch is made by this trigger.
    pub fn win(&self, length: MatchLength, first_server: End, trigger: Trigger) -> f64 {
        self.win_by(length, first_server, &|at| trigger.order(self, length, at))
    }

    /// The same by any policy.
    pub fn win_by(
        &self,
        length: MatchLength,
        first_server: End,
        policy: &dyn Fn(MatchScore) -> Order,
    ) -> f64 {
        Induction { story: self, length, first_server, policy }.solve()
    }
}

struct Induction<'a> {
    story: &'a Story,
    length: MatchLength,
    first_server: End,
    policy: &'a dyn Fn(MatchScore) -> Order,
}

impl Induction<'_> {
    fn solve(&self) -> f64 {
        let needed = self.length.to_win();
        let games = needed as usize;
        // Values at the start of a game, by games won and lost.
        let mut starts = vec![vec![self.certain(0.0); games + 1]; games];
        starts.push(vec![self.certain(1.0); games + 1]);
        for own in (0..needed).rev() {
            for theirs in (0..needed).rev() {
                let (me, them) = (own as usize, theirs as usize);
                let (won, lost) = (&starts[me + 1][them], &starts[me][them + 1]);
                starts[me][them] = self.game((own, theirs), won, lost);
            }
        }
        starts[0][0].before[0]
    }

    fn certain(&self, value: f64) -> Values {
        Values {
            before: vec![value; self.story.read_after + 1],
            after: vec![value; self.story.new_read_after + 1],
        }
    }

    /// Values at 0-0 of a game, from the values after winning and after losing it.
    fn game(&self, games: (u32, u32), won: &Values, lost: &Values) -> Values {
        let is_even = (games.0 + games.1).is_multiple_of(2);
        let first_server = if is_even { self.first_server } else { self.first_server.other() };
        let at = |me, them| MatchScore { games, score: Game { me, them, first_server } };
        let tie = GameLaw::ELEVEN.points - 1;
        let level = self.tie(at, won, lost);
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
                self.point(at(own, theirs), win, loss, &mut here[theirs as usize]);
            }
            std::mem::swap(&mut below, &mut row);
        }
        below.swap_remove(0)
    }

    /// Values at 10-10, by iterating 10-10 -> 11-10 or 10-11 -> 10-10 until nothing moves.
    fn tie(&self, at: impl Fn(u32, u32) -> MatchScore, won: &Values, lost: &Values) -> Values {
        let tie = GameLaw::ELEVEN.points - 1;
        let mut level = self.certain(0.5);
        let [mut ahead, mut behind, mut next] = [(); 3].map(|()| level.clone());
        for _ in 0..10_000 {
            self.point(at(tie + 1, tie), won, &level, &mut ahead);
            self.point(at(tie, tie + 1), &level, lost, &mut behind);
            self.point(at(tie, tie), &ahead, &behind, &mut next);
            let before = next.before.iter().zip(&level.before);
            let both = before.chain(next.after.iter().zip(&level.after));
            let moved = both.fold(0.0, |most: f64, (a, b)| most.max((a - b).abs()));
            std::mem::swap(&mut level, &mut next);
            if moved < 1e-15 {
                break;
            }
        }
        level
    }

    /// Values before one point, from those after winning and after losing it, written into
    /// `before_it`.
    fn point(&self, at: MatchScore, won: &Values, lost: &Values, before_it: &mut Values) {
        let story = self.story;
        let mixed = |p: f64, win: f64, loss: f64| p * win + (1.0 - p) * loss;
        let play = |answer: f64, rest: f64, seen: usize, win: &[f64], loss: &[f64]| {
            if GameLaw::ELEVEN.i_serve(at.score) {
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
        let order = (self.policy)(at);
        for (seen, value) in before_it.before.iter_mut().enumerate() {
            let stay = || play(story.old_answer(seen), story.rest, seen, &won.before, &lost.before);
            *value = match order {
                Order::From(balls) if seen < balls => stay(),
                Order::From(_) => go,
                Order::Free => stay().max(go),
            };
        }
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
        let win = |trigger| story.win(MatchLength::best_of(5).unwrap(), End::Me, trigger);
        assert!(win(Trigger::Decider) > win(Trigger::FromTheStart));
        assert!(win(Trigger::Decider) > win(Trigger::Never));
    }

    #[test]
    fn a_lasting_improvement_is_made_as_soon_as_the_old_answer_is_read() {
        let story = Story { read: 0.38, new_fresh: 0.54, new_read: 0.52, ..story() };
        let win = |trigger| story.win(MatchLength::best_of(5).unwrap(), End::Me, trigger);
        assert!(win(Trigger::OnceRead) > win(Trigger::SecondGame));
        assert!(win(Trigger::OnceRead) > win(Trigger::Decider));
    }

    #[test]
    fn nothing_beats_the_best_moment() {
        let seven = MatchLength::best_of(7).unwrap();
        let win = |trigger| story().win(seven, End::Them, trigger);
        for trigger in [Trigger::Never, Trigger::OnceRead, Trigger::Decider] {
            assert!(win(trigger) <= win(Trigger::Best));
        }
    }
}

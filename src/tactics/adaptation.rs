//! Has this answer been read? A filter that decides without pretending to prove.
//!
//! Ten points carry about 0.8 nats, far too little for proof. So the tool keeps a joint belief over the
//! unread rate and over "he waits for it now", moves it with every ball, and asks only one thing:
//! how likely is the alternative better *now*? From [`WORTH_SWITCHING`] on a switch is worth making.
//! A loose or missed receive is execution and never gets here.

use crate::tactics::fault::{TacticsError, chance, within};
use crate::tactics::rates::Belief;

/// Chance that the alternative is better from which a switch is worth making.
pub const WORTH_SWITCHING: f64 = 0.65;
/// Chance that an answer is read before its first ball. Assumption.
pub const READ_AT_START: f64 = 0.1;
/// Chance that the server catches on between two balls. Assumption.
pub const READ_LATER: f64 = 0.05;
/// How often a player who says "he was waiting" is right, and how often one who says he was not. Assumption.
pub const WAITING_SEEN: f64 = 0.75;

/// Chance of being read from which it is a suspicion.
const SUSPECTED: f64 = 0.25;

/// Cells of the rate grid, in hundredths.
const CELLS: usize = 100;
/// A read receive still wins now and then.
const LEAST_RATE: f64 = 0.02;

/// What the filter assumes before the first ball.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Assumptions {
    /// Belief about the unread rate.
    pub unread: Belief,
    /// What is lost when read.
    pub drop: f64,
    /// Chance of being read before the first ball.
    pub read_at_start: f64,
    /// Chance of becoming read between two balls.
    pub read_later: f64,
}

impl Assumptions {
    /// The tool's assumptions for a receive with this belief and this drop.
    pub fn usual(unread: Belief, drop: f64) -> Self {
        Self { unread, drop, read_at_start: READ_AT_START, read_later: READ_LATER }
    }
}

/// One cleanly played ball of a pattern: the receive came as intended.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Exposure {
    /// Whether the point was won.
    pub won: bool,
    /// Whether the opponent was waiting, when it was noted.
    pub waiting: Option<bool>,
}

impl Exposure {
    /// A ball of which only the outcome is known.
    pub fn outcome(won: bool) -> Self {
        Self { won, waiting: None }
    }
}

/// The filter: a weight for every (rate, read?).
#[derive(Clone, Debug)]
pub struct Filter {
    free: [f64; CELLS],
    read: [f64; CELLS],
    drop: f64,
    read_later: f64,
    balls: u32,
}

/// What the filter says about the *next* ball.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Outlook {
    /// Chance that the server waits for this answer now.
    pub read: f64,
    /// Chance of winning the next point with it.
    pub win: f64,
    /// Chance that the alternative wins more often now.
    pub other_better: f64,
}

impl Filter {
    /// Before the first ball.
    ///
    /// # Errors
    /// An assumption that is not a chance.
    pub fn new(assumed: Assumptions) -> Result<Self, TacticsError> {
        let start = chance("read_at_start", assumed.read_at_start)?;
        let read_later = chance("read_later", assumed.read_later)?;
        let drop = within("drop", assumed.drop, 0.0, 0.9)?;
        let mut prior = [0.0; CELLS];
        for (cell, weight) in prior.iter_mut().enumerate() {
            *weight = assumed.unread.weight(rate(cell));
        }
        let sum: f64 = prior.iter().sum();
        Ok(Self {
            free: prior.map(|weight| weight / sum * (1.0 - start)),
            read: prior.map(|weight| weight / sum * start),
            drop,
            read_later,
            balls: 0,
        })
    }

    /// After one more ball; the chance of becoming read is applied for the next one.
    pub fn see(&mut self, ball: Exposure) {
        let (when_free, when_read) = match ball.waiting {
            None => (1.0, 1.0),
            Some(true) => (1.0 - WAITING_SEEN, WAITING_SEEN),
            Some(false) => (WAITING_SEEN, 1.0 - WAITING_SEEN),
        };
        let mut sum = 0.0;
        for cell in 0..CELLS {
            let (free, read) = (rate(cell), self.read_rate(cell));
            self.free[cell] *= when_free * if ball.won { free } else { 1.0 - free };
            self.read[cell] *= when_read * if ball.won { read } else { 1.0 - read };
            sum += self.free[cell] + self.read[cell];
        }
        for cell in 0..CELLS {
            let (free, read) = (self.free[cell] / sum, self.read[cell] / sum);
            self.free[cell] = free * (1.0 - self.read_later);
            self.read[cell] = read + free * self.read_later;
        }
        self.balls += 1;
    }

    /// After a remark that he was (not) waiting, with no ball of its own: as told in a debrief.
    pub fn notice(&mut self, waiting: bool) {
        let (when_free, when_read) = if waiting {
            (1.0 - WAITING_SEEN, WAITING_SEEN)
        } else {
            (WAITING_SEEN, 1.0 - WAITING_SEEN)
        };
        let mut sum = 0.0;
        for cell in 0..CELLS {
            self.free[cell] *= when_free;
            self.read[cell] *= when_read;
            sum += self.free[cell] + self.read[cell];
        }
        for cell in 0..CELLS {
            self.free[cell] /= sum;
            self.read[cell] /= sum;
        }
    }

    /// Balls seen so far.
    pub fn balls(&self) -> u32 {
        self.balls
    }

    /// What it says about the next ball, compared with an alternative that is not read.
    pub fn outlook(&self, alternative: Belief) -> Outlook {
        let mut outlook = Outlook { read: 0.0, win: 0.0, other_better: 0.0 };
        for cell in 0..CELLS {
            let (free, read) = (rate(cell), self.read_rate(cell));
            outlook.read += self.read[cell];
            outlook.win += self.free[cell] * free + self.read[cell] * read;
            outlook.other_better += self.free[cell] * (1.0 - alternative.below(free))
                + self.read[cell] * (1.0 - alternative.below(read));
        }
        outlook
    }

    fn read_rate(&self, cell: usize) -> f64 {
        (rate(cell) - self.drop).max(LEAST_RATE)
    }
}

impl Outlook {
    /// Whether a switch is worth making.
    pub fn is_worth_switching(self) -> bool {
        self.other_better >= WORTH_SWITCHING
    }

    /// Whether there is any suspicion that the answer is read.
    pub fn is_suspected(self) -> bool {
        self.read >= SUSPECTED
    }

    /// How strong the suspicion is, in words; never more than suspicion.
    pub fn suspicion(self) -> &'static str {
        if self.read < SUSPECTED {
            "no sign that it is read"
        } else if self.read < 0.5 {
            "may be read"
        } else if self.read < 0.75 {
            "probably read"
        } else {
            "very probably read"
        }
    }
}

/// Middle of a cell.
fn rate(cell: usize) -> f64 {
    (cell as f64 + 0.5) / CELLS as f64
}

#[cfg(test)]
mod tests {
    use super::*;

    fn filter() -> Filter {
        Filter::new(Assumptions::usual(Belief::new(11.0, 9.0).unwrap(), 0.2)).unwrap()
    }

    #[test]
    fn losing_while_he_waited_raises_suspicion_more_than_losing() {
        let alternative = Belief::new(4.8, 5.2).unwrap();
        let (mut plain, mut waited, mut surprised) = (filter(), filter(), filter());
        plain.see(Exposure::outcome(false));
        waited.see(Exposure { won: false, waiting: Some(true) });
        surprised.see(Exposure { won: false, waiting: Some(false) });
        let read = |f: &Filter| f.outlook(alternative).read;
        assert!(read(&waited) > read(&plain));
        assert!(read(&plain) > read(&surprised));
    }

    #[test]
    fn a_winning_answer_is_not_switched() {
        let mut filter = filter();
        for _ in 0..6 {
            filter.see(Exposure::outcome(true));
        }
        let outlook = filter.outlook(Belief::new(4.8, 5.2).unwrap());
        assert!(!outlook.is_worth_switching());
        assert_eq!(outlook.suspicion(), "no sign that it is read");
    }
}

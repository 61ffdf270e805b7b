//! Has this answer been read? A filter that decides without pretending to prove.
//!
//! Ten points carry about 0.8 nats, far too little for proof. So the tool keeps a joint belief over
//! the unread rate and over "he waits for it now", moves it with every ball, and asks only one
//! thing: how likely is the alternative better *now*? From [`WORTH_SWITCHING`] on a switch is worth
//! making. A loose or missed receive is execution and never gets here.

use crate::tactics::rates::Belief;

/// Chance that the alternative is better from which a switch is worth making.
pub const WORTH_SWITCHING: f64 = 0.65;
/// Chance that an answer is read before its first ball. Assumption.
pub const READ_AT_START: f64 = 0.1;
/// Chance that the server catches on between two balls. Assumption.
pub const READ_LATER: f64 = 0.05;
/// Chance that an answer read in one match is still read at the start of the next. Assumption.
pub const READ_CARRIED: f64 = 0.95;
/// How often a player who says "he was waiting" is right, and how often one who says he was not.
/// Assumption.
pub const WAITING_SEEN: f64 = 0.75;

/// Chance of being read from which it is a suspicion.
pub const SUSPECTED: f64 = 0.25;

/// Cells of the rate grid, in hundredths.
const CELLS: usize = 100;
/// A read receive still wins now and then.
const LEAST_RATE: f64 = 0.02;

/// What the filter assumes before the first ball.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Assumptions {
    /// Belief about the unread rate.
    pub unread: Belief,
    /// What is lost when read, 0 to 0.9.
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

/// The filter: a weight for every (rate, read?).
#[derive(Clone, Debug)]
pub struct Filter {
    prior: [f64; CELLS],
    free: [f64; CELLS],
    read: [f64; CELLS],
    assumptions: Assumptions,
    /// Chance of being read as assumed of any answer, whatever its balls showed.
    assumed: f64,
}

/// What the filter says about the *next* ball.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Outlook {
    /// Chance that the server waits for this answer now.
    pub read: f64,
    /// The same as assumed of any answer after so many balls of a match, whatever happened in them.
    pub assumed: f64,
    /// Chance of winning the next point with it.
    pub win: f64,
    /// Chance that the alternative wins more often now.
    pub other_better: f64,
}

impl Filter {
    /// Before the first ball.
    pub fn new(assumptions: Assumptions) -> Self {
        let Assumptions { unread, read_at_start, .. } = assumptions;
        let mut prior = std::array::from_fn(|cell| unread.density(rate(cell)));
        set_mass(&mut prior, 1.0);
        Self {
            prior,
            free: prior.map(|weight| weight * (1.0 - read_at_start)),
            read: prior.map(|weight| weight * read_at_start),
            assumptions,
            assumed: read_at_start,
        }
    }

    /// Between two matches: what is known of the rate fades towards the prior (by `fading`, 0 to
    /// 1), and an answer that the balls showed to be read is still read with chance
    /// [`READ_CARRIED`], else all begins as before the first ball.
    pub fn next_match(&mut self, fading: f64) {
        // Only what the balls showed is carried over, not what is assumed of any answer seen so
        // often.
        let odds = |chance: f64| chance / (1.0 - chance).max(f64::EPSILON);
        let shown = odds(self.chance_read()) / odds(self.assumed).max(f64::EPSILON);
        let still = odds(self.assumptions.read_at_start) * shown;
        let still = still / (1.0 + still);
        let read = READ_CARRIED * still + (1.0 - READ_CARRIED) * self.assumptions.read_at_start;
        self.assumed = self.assumptions.read_at_start;
        let prior = self.prior;
        for (cells, mass) in [(&mut self.free, 1.0 - read), (&mut self.read, read)] {
            let sum: f64 = cells.iter().sum();
            for (cell, prior) in cells.iter_mut().zip(prior) {
                let known = if sum > 0.0 { *cell / sum } else { prior };
                *cell = prior.powf(1.0 - fading) * known.powf(fading);
            }
            set_mass(cells, mass);
        }
    }

    /// After points told from memory, so many of them won: they move the rate, but say nothing
    /// about being read.
    pub fn hear(&mut self, won: f64, lost: f64) {
        let chance_read = self.chance_read();
        for cell in 0..CELLS {
            let (free, read) = (rate(cell), self.read_rate(cell));
            self.free[cell] *= free.powf(won) * (1.0 - free).powf(lost);
            self.read[cell] *= read.powf(won) * (1.0 - read).powf(lost);
        }
        set_mass(&mut self.free, 1.0 - chance_read);
        set_mass(&mut self.read, chance_read);
    }

    fn chance_read(&self) -> f64 {
        let (free, read) = (self.free.iter().sum::<f64>(), self.read.iter().sum::<f64>());
        read / (free + read)
    }

    /// After one more ball; the chance of becoming read is applied for the next one. Gives how
    /// likely the ball was.
    pub fn see(&mut self, ball: Exposure) -> f64 {
        let (when_free, when_read) = ball.waiting.map_or((1.0, 1.0), seen_waiting);
        let mut sum = 0.0;
        for cell in 0..CELLS {
            let (free, read) = (rate(cell), self.read_rate(cell));
            self.free[cell] *= when_free * if ball.won { free } else { 1.0 - free };
            self.read[cell] *= when_read * if ball.won { read } else { 1.0 - read };
            sum += self.free[cell] + self.read[cell];
        }
        self.free.iter_mut().chain(&mut self.read).for_each(|cell| *cell /= sum);
        self.ball_over();
        sum
    }

    /// After a ball with the same receive against another serve, where it wins with chance `unread`
    /// when nobody waits: it speaks about being read, not about the rate of this serve. Gives how
    /// likely it was.
    pub fn see_elsewhere(&mut self, ball: Exposure, unread: f64) -> f64 {
        let read = (unread - self.assumptions.drop).max(LEAST_RATE);
        let (when_free, when_read) = ball.waiting.map_or((1.0, 1.0), seen_waiting);
        let likely = self.weigh(
            when_free * if ball.won { unread } else { 1.0 - unread },
            when_read * if ball.won { read } else { 1.0 - read },
        );
        self.ball_over();
        likely
    }

    /// After a remark that he was (not) waiting, with no ball of its own: as told in a debrief.
    pub fn notice(&mut self, waiting: bool) {
        let (when_free, when_read) = seen_waiting(waiting);
        self.weigh(when_free, when_read);
    }

    /// Weighs "free" against "read" by how likely each makes what was seen; gives how likely it
    /// was.
    fn weigh(&mut self, when_free: f64, when_read: f64) -> f64 {
        let chance_read = self.chance_read();
        let (free, read) = ((1.0 - chance_read) * when_free, chance_read * when_read);
        if free + read > 0.0 {
            set_mass(&mut self.free, free / (free + read));
            set_mass(&mut self.read, read / (free + read));
        }
        free + read
    }

    /// The server may catch on between two balls.
    fn ball_over(&mut self) {
        let later = self.assumptions.read_later;
        for (free, read) in self.free.iter_mut().zip(&mut self.read) {
            *read += *free * later;
            *free *= 1.0 - later;
        }
        self.assumed += (1.0 - self.assumed) * later;
    }

    /// What it says about the next ball, compared with an alternative that is not read.
    pub fn outlook(&self, alternative: Belief) -> Outlook {
        let mut outlook = Outlook { read: 0.0, assumed: self.assumed, win: 0.0, other_better: 0.0 };
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
        (rate(cell) - self.assumptions.drop).max(LEAST_RATE)
    }
}

impl Outlook {
    /// Whether a switch is worth making.
    pub fn is_worth_switching(self) -> bool {
        self.other_better >= WORTH_SWITCHING
    }

    /// Whether there is any suspicion that the answer is read: likely enough, and more than is
    /// assumed of any answer.
    pub fn is_suspected(self) -> bool {
        self.read >= SUSPECTED && self.read > self.assumed
    }
}

/// How likely "he was (not) waiting" is noted when the answer is free, and when it is read.
fn seen_waiting(waiting: bool) -> (f64, f64) {
    if waiting { (1.0 - WAITING_SEEN, WAITING_SEEN) } else { (WAITING_SEEN, 1.0 - WAITING_SEEN) }
}

/// Scales the cells so that they sum to `mass`.
fn set_mass(cells: &mut [f64; CELLS], mass: f64) {
    let sum: f64 = cells.iter().sum();
    if sum > 0.0 {
        for cell in cells {
            *cell *= mass / sum;
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
        Filter::new(Assumptions::usual(Belief::from_mean(0.55, 20.0), 0.2))
    }

    fn outcome(won: bool) -> Exposure {
        Exposure { won, waiting: None }
    }

    #[test]
    fn losing_while_he_waited_raises_suspicion_more_than_losing() {
        let alternative = Belief::from_mean(0.48, 10.0);
        let (mut plain, mut waited, mut surprised) = (filter(), filter(), filter());
        plain.see(outcome(false));
        waited.see(Exposure { won: false, waiting: Some(true) });
        surprised.see(Exposure { won: false, waiting: Some(false) });
        let read = |f: &Filter| f.outlook(alternative).read;
        assert!(read(&waited) > read(&plain));
        assert!(read(&plain) > read(&surprised));
    }

    #[test]
    fn what_was_read_is_probably_still_read_at_the_next_meeting() {
        let alternative = Belief::from_mean(0.48, 10.0);
        let read = |filter: &Filter| filter.outlook(alternative).read;
        let mut filter = filter();
        filter.next_match(0.8);
        assert!((read(&filter) - READ_AT_START).abs() < 1e-12, "nothing was carried over");
        for _ in 0..9 {
            filter.see(Exposure { won: false, waiting: Some(true) });
        }
        filter.next_match(0.8);
        let most = READ_CARRIED + (1.0 - READ_CARRIED) * READ_AT_START;
        assert!(read(&filter) > 0.8 && read(&filter) <= most, "{}", read(&filter));
        let mass: f64 = filter.free.iter().chain(&filter.read).sum();
        assert!((mass - 1.0).abs() < 1e-12);
    }

    #[test]
    fn many_balls_that_show_nothing_do_not_add_up_to_a_suspicion() {
        let alternative = Belief::from_mean(0.48, 10.0);
        let mut filter = filter();
        for of_match in 0..8 {
            for ball in 0..12 {
                filter.see(outcome(ball % 5 > 1));
            }
            assert!(!filter.outlook(alternative).is_suspected(), "match {of_match}");
            filter.next_match(0.8);
        }
        assert!(filter.outlook(alternative).read <= READ_AT_START + 0.02);
    }

    #[test]
    fn points_told_from_memory_move_the_rate_and_never_the_suspicion() {
        let alternative = Belief::from_mean(0.48, 10.0);
        let (mut well, mut badly) = (filter(), filter());
        well.hear(5.0, 2.0);
        badly.hear(2.0, 5.0);
        let (well, badly) = (well.outlook(alternative), badly.outlook(alternative));
        assert!((well.read - READ_AT_START).abs() < 1e-12);
        assert!((badly.read - READ_AT_START).abs() < 1e-12);
        assert!(well.win > badly.win);
    }

    #[test]
    fn a_ball_against_another_serve_speaks_of_reading_but_not_of_this_rate() {
        let alternative = Belief::from_mean(0.48, 10.0);
        let mut filter = filter();
        for _ in 0..6 {
            filter.see_elsewhere(Exposure { won: false, waiting: Some(true) }, 0.55);
        }
        assert!(filter.outlook(alternative).read > 0.8);
        let free: f64 = filter.free.iter().sum();
        let mean = filter.free.iter().enumerate().map(|(at, w)| rate(at) * w).sum::<f64>() / free;
        assert!((mean - 0.55).abs() < 1e-3, "{mean}");
    }

    #[test]
    fn a_match_without_a_ball_fades_the_rate_like_a_weighted_count() {
        // Tempering a Beta posterior towards its Beta prior is the count weighted once more.
        let (prior, seen) = (Belief::from_mean(0.5, 8.0), (6.0, 2.0));
        let assumed =
            Assumptions { read_at_start: 0.0, read_later: 0.0, ..Assumptions::usual(prior, 0.2) };
        let mut filter = Filter::new(assumed);
        filter.hear(seen.0, seen.1);
        filter.next_match(0.8);
        let expected = (4.0 + 0.8 * seen.0) / (8.0 + 0.8 * (seen.0 + seen.1));
        assert!((filter.outlook(prior).win - expected).abs() < 2e-4);
    }

    #[test]
    fn a_winning_answer_is_not_switched() {
        let mut filter = filter();
        for _ in 0..6 {
            filter.see(outcome(true));
        }
        let outlook = filter.outlook(Belief::from_mean(0.48, 10.0));
        assert!(!outlook.is_worth_switching());
        assert!(outlook.read < SUSPECTED);
    }
}

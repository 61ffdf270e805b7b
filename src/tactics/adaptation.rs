//! What the clean balls against one opponent say of the answers now: is one read, and which of
//! two wins more.
//!
//! Ten points carry about 0.8 nats, far too little for proof, so nothing is declared: a joint
//! belief over the kind of opponent and the rate of each answer is moved by every ball.
//!
//! ```text
//! opponent   never reads .30; never, but the player has bad spells .10;
//!            reads with chance h a ball: h = .03, .08, .16, each .20
//! notes      "they waited" tells much .20, is said seldom and tells .15, or says nothing .65
//! answer     rate u, 13 steps from .14 to .86; drop d .12, .22, .32; read now (in a bad spell)?
//! ```
//!
//! All answers weigh the same kinds of opponent: so balls of one serve speak for another. Notes
//! earn their weight: where they only follow the score they soon say nothing. A loose or missed
//! receive is execution and never gets here. The constants are assumptions, chosen by simulation
//! (`examples/meetings.rs` plays them).

use serde::Serialize;

use super::rate_grid::{Kind, RateGrid};

/// Kinds of opponent, with their weights before the first ball.
const KINDS: [(Kind, f64); 5] = [
    (Kind::NeverReads, 0.30),
    (Kind::BadSpells, 0.10),
    (Kind::Reads(0.03), 0.20),
    (Kind::Reads(0.08), 0.20),
    (Kind::Reads(0.16), 0.20),
];
/// How often "they waited" is noted of an answer that is read, and of one that is not, with the
/// weight before the first note; none: it tells nothing of that.
const NOTES: [(Option<(f64, f64)>, f64); 3] =
    [(Some((0.75, 0.25)), 0.20), (Some((0.70, 0.10)), 0.15), (None, 0.65)];
/// Fewest lost in a row that a card asks for, and the number from which it says "stay".
const LOST_IN_A_ROW: (u32, u32) = (2, 6);

/// One cleanly played ball of a pattern: the receive came as intended.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Exposure {
    /// Whether the point was won.
    pub won: bool,
    /// Whether the opponent was waiting, when it was noted.
    pub waiting: Option<bool>,
}

/// One kind of opponent and of notes, with what it makes of every answer.
#[derive(Clone, Debug)]
struct Hypothesis {
    kind: Kind,
    noted: Option<(f64, f64)>,
    weight: f64,
    answers: Vec<RateGrid>,
}

/// Notes that tell nothing: they follow the score, or come at random; as whole sequences.
#[derive(Clone, Debug)]
struct IdleNotes {
    /// Weights of the two.
    follow: f64,
    random: f64,
    /// "They waited" and all notes so far: after lost balls, after won ones, at random.
    counts: [(f64, f64); 3],
}

impl IdleNotes {
    const START: Self =
        Self { follow: 0.5, random: 0.5, counts: [(4.0, 6.0), (1.5, 6.0), (1.0, 2.0)] };

    /// How likely this note was; counts it.
    fn see(&mut self, won: bool, waiting: bool) -> f64 {
        let one = |(yes, all): &mut (f64, f64)| {
            let likely = if waiting { *yes / *all } else { 1.0 - *yes / *all };
            *yes += f64::from(u8::from(waiting));
            *all += 1.0;
            likely
        };
        self.follow *= one(&mut self.counts[usize::from(won)]);
        self.random *= one(&mut self.counts[2]);
        let likely = self.follow + self.random;
        self.follow /= likely;
        self.random /= likely;
        likely
    }
}

/// An answer to a serve, as the belief starts from it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct AnswerTo {
    /// Which serve; answers of one serve are let go of while another is played.
    pub serve: usize,
    /// Mean rate before its own balls, strictly between 0.05 and 0.95.
    pub mean: f64,
}

/// The belief about one opponent and the answers to their serves.
#[derive(Clone, Debug)]
pub struct Adaptation {
    answers: Vec<AnswerTo>,
    hypotheses: Vec<Hypothesis>,
    notes: IdleNotes,
}

/// What is said of an answer and another one to the same serve, about the next ball.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Outlook {
    /// Chance that the answer is read now.
    pub read: f64,
    /// Chance of winning the next clean point with it, and with the other.
    #[serde(skip)]
    pub now: [f64; 2],
    /// Chance that the other wins more often now.
    pub other_better: f64,
}

/// What to do at the table without counting anything but points lost in a row with an answer; the
/// count starts anew after a won point and after a change.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
pub struct Card {
    /// The other answer is the one to start with.
    pub starts_with_other: bool,
    /// So many lost in a row: change to the second answer; none: stay.
    pub change_after: Option<u32>,
    /// So many lost in a row with the second: back to the first; none: stay.
    pub back_after: Option<u32>,
}

impl Adaptation {
    /// Before the first ball.
    pub fn new(answers: Vec<AnswerTo>) -> Self {
        let hypotheses = KINDS.into_iter().flat_map(|(kind, weight)| {
            let grids: Vec<RateGrid> =
                answers.iter().map(|of| RateGrid::new(of.mean, kind)).collect();
            NOTES.map(|(noted, share)| Hypothesis {
                kind,
                noted,
                weight: weight * share,
                answers: grids.clone(),
            })
        });
        Self { hypotheses: hypotheses.collect(), answers, notes: IdleNotes::START }
    }

    /// A new match begins: what is known of an answer's rate fades towards the start (by `fading`,
    /// 0 to 1; over several matches without it, by their product), and where it starts `anew`,
    /// nothing is read yet.
    pub fn next_match(&mut self, answer: usize, fading: f64, is_anew: bool) {
        // Every kind starts from the same rates.
        let start = RateGrid::new(self.answers[answer].mean, Kind::NeverReads).0;
        let start = start.as_flattened().as_flattened().iter().step_by(2);
        let start: Vec<f64> = start.map(|cell| cell.powf(1.0 - fading)).collect();
        for Hypothesis { kind, answers, .. } in &mut self.hypotheses {
            let mut start = start.iter();
            answers[answer].change(|_, _, [free, read]| {
                let known = free + read;
                let both = known.powf(fading) * start.next().unwrap_or(&0.0);
                let is_read = if is_anew || known <= 0.0 { kind.at_start() } else { read / known };
                [both * (1.0 - is_read), both * is_read]
            });
        }
    }

    /// One more ball with an answer. The other answers stay as they were last seen.
    pub fn see(&mut self, answer: usize, ball: Exposure) {
        self.weigh(answer, |rate| if ball.won { rate } else { 1.0 - rate });
        if let Some(waiting) = ball.waiting {
            self.note(answer, ball.won, waiting);
        }
        self.pass(answer, true);
    }

    /// The other answers to its serve are let go of while it is played.
    pub fn let_go_of_others(&mut self, answer: usize) {
        let serve = self.answers[answer].serve;
        for at in (0..self.answers.len()).filter(|at| *at != answer) {
            if self.answers[at].serve == serve {
                self.pass(at, false);
            }
        }
    }

    /// From one ball to the next, read answers are let go of and others become read.
    fn pass(&mut self, answer: usize, is_played: bool) {
        for Hypothesis { kind, answers, .. } in &mut self.hypotheses {
            let (caught, let_go) = kind.moves(is_played);
            answers[answer].change(|_, _, [free, read]| {
                let (to_read, to_free) = (free * caught, read * let_go);
                [free - to_read + to_free, read - to_free + to_read]
            });
        }
    }

    /// Points told from memory: they move the rate, whether it was read or not.
    pub fn hear(&mut self, answer: usize, won: f64, lost: f64) {
        self.change(answer, |_, free, _, cell| {
            cell.map(|weight| weight * free.powf(won) * (1.0 - free).powf(lost))
        });
    }

    /// A note whether they waited for an answer, after a point won or lost.
    pub fn note(&mut self, answer: usize, won: bool, waiting: bool) {
        let idle = self.notes.see(won, waiting);
        let likely = |yes: f64| if waiting { yes } else { 1.0 - yes };
        self.change(answer, |(kind, noted), _, _, [free, read]| match (noted, kind) {
            (Some((when_read, when_free)), Kind::Reads(_)) => {
                [free * likely(when_free), read * likely(when_read)]
            }
            (Some((_, always)), _) => [free * likely(always), read * likely(always)],
            (None, _) => [free * idle, read * idle],
        });
    }

    /// Weighs the rates of an answer by how likely each makes what was seen.
    fn weigh(&mut self, answer: usize, likely: impl Fn(f64) -> f64) {
        self.change(answer, |(kind, _), free, drop, cell| {
            [cell[0] * likely(free), cell[1] * likely(kind.rate_when_read(free, drop))]
        });
    }

    /// Changes an answer in every world (its kind, and what notes tell), which is weighed by how
    /// likely it found that.
    fn change(
        &mut self,
        answer: usize,
        moved: impl Fn((Kind, Option<(f64, f64)>), f64, f64, [f64; 2]) -> [f64; 2],
    ) {
        for Hypothesis { kind, noted, weight, answers } in &mut self.hypotheses {
            let world = (*kind, *noted);
            *weight *= answers[answer].change(|rate, drop, cell| moved(world, rate, drop, cell));
        }
        let sum: f64 = self.hypotheses.iter().map(|world| world.weight).sum();
        self.hypotheses.iter_mut().for_each(|world| world.weight /= sum);
    }

    /// What it says of an answer and another one.
    pub fn outlook(&self, answer: usize, other: usize) -> Outlook {
        let over = |of: &dyn Fn(&Hypothesis) -> f64| {
            self.hypotheses.iter().map(|world| world.weight * of(world)).sum()
        };
        Outlook {
            read: over(&|world| match world.kind {
                Kind::Reads(_) => world.answers[answer].read(),
                _ => 0.0,
            }),
            now: [answer, other].map(|answer| self.now(answer)),
            other_better: over(&|Hypothesis { kind, answers, .. }| {
                answers[other].above(&answers[answer], *kind)
            }),
        }
    }

    fn now(&self, answer: usize) -> f64 {
        self.hypotheses.iter().map(|of| of.weight * of.answers[answer].now(of.kind)).sum()
    }

    /// The card for two answers to one serve.
    pub fn card(&self, answer: usize, other: usize, starts_with_other: bool) -> Card {
        let (first, second) = if starts_with_other { (other, answer) } else { (answer, other) };
        let mut ahead = self.clone();
        let change_after = ahead.lost_until(first, second);
        let back_after = change_after.and_then(|_| ahead.lost_until(second, first));
        Card { starts_with_other, change_after, back_after }
    }

    /// How many lost in a row with `answer` until `other` wins more; plays them.
    fn lost_until(&mut self, answer: usize, other: usize) -> Option<u32> {
        let (fewest, stay) = LOST_IN_A_ROW;
        (1..stay).find(|lost| {
            self.see(answer, Exposure { won: false, waiting: None });
            self.let_go_of_others(answer);
            *lost >= fewest && self.now(other) > self.now(answer)
        })
    }
}

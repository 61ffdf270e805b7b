//! What one answer may win, under one kind of opponent: weights over its rate, what being read
//! costs it, and whether it is read now.

/// What being read costs, of one point, with weights.
const DROPS: [(f64, f64); 3] = [(0.12, 0.3), (0.22, 0.4), (0.32, 0.3)];
/// How many points the common mean is worth for one answer.
const STRENGTH: f64 = 24.0;
/// Steps of the rate.
const RATES: usize = 13;
/// Rates nearer than this are the same.
const TIE: f64 = 1e-9;
/// What a bad spell costs, whichever answer.
const SPELL_DROP: f64 = 0.20;
/// Chance that a bad spell begins, and ends, from one ball to the next.
const SPELL: (f64, f64) = (0.06, 0.15);
/// Chance that an answer is read before the first ball of a match; nothing is carried over.
const READ_AT_START: f64 = 0.07;
/// Share of `h` with which an answer is let go of while another one is played.
const LET_GO: f64 = 0.5;
/// A read answer still wins now and then.
const LEAST_RATE: f64 = 0.02;

const fn rate(step: usize) -> f64 {
    0.14 + 0.06 * step as f64
}

/// A kind of opponent.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Kind {
    NeverReads,
    BadSpells,
    /// With this chance a ball.
    Reads(f64),
}

impl Kind {
    /// Chance to be read, or in a spell, at the start of a match.
    pub(super) fn at_start(self) -> f64 {
        match self {
            Self::NeverReads => 0.0,
            Self::BadSpells => SPELL.0 / (SPELL.0 + SPELL.1),
            Self::Reads(_) => READ_AT_START,
        }
    }

    /// Chances, from one ball to the next, to become read and to be let go: for the answer that is
    /// played, and for another one to the same serve.
    pub(super) fn moves(self, is_played: bool) -> (f64, f64) {
        match self {
            Self::NeverReads => (0.0, 0.0),
            Self::BadSpells => SPELL,
            Self::Reads(h) if is_played => (h, 0.0),
            Self::Reads(h) => (0.0, LET_GO * h),
        }
    }

    pub(super) fn rate_when_read(self, free: f64, drop: f64) -> f64 {
        (free - if self == Self::BadSpells { SPELL_DROP } else { drop }).max(LEAST_RATE)
    }
}

/// Weights of one answer, by rate and drop: free, and read now. They sum to one.
#[derive(Clone, Debug)]
pub(super) struct RateGrid(pub(super) [[[f64; 2]; DROPS.len()]; RATES]);

/// What an answer wins now and unread, with its weight.
#[derive(Clone, Copy)]
struct RateNow {
    now: f64,
    free: f64,
    weight: f64,
}

impl RateGrid {
    /// Before the first ball: a beta of this mean on the steps.
    pub(super) fn new(mean: f64, kind: Kind) -> Self {
        let (won, lost) = (STRENGTH * mean - 1.0, STRENGTH * (1.0 - mean) - 1.0);
        let read = kind.at_start();
        let mut grid = Self(std::array::from_fn(|step| {
            let of_rate = rate(step).powf(won) * (1.0 - rate(step)).powf(lost);
            DROPS.map(|(_, of_drop)| [1.0 - read, read].map(|of_flag| of_rate * of_drop * of_flag))
        }));
        grid.normalise();
        grid
    }

    /// Moves every cell (rate, drop, free and read); gives what the weights summed to.
    pub(super) fn change(&mut self, mut moved: impl FnMut(f64, f64, [f64; 2]) -> [f64; 2]) -> f64 {
        for (step, row) in self.0.iter_mut().enumerate() {
            for (cell, (drop, _)) in row.iter_mut().zip(DROPS) {
                *cell = moved(rate(step), drop, *cell);
            }
        }
        self.normalise()
    }

    fn normalise(&mut self) -> f64 {
        let cells = self.0.as_flattened_mut().as_flattened_mut();
        let sum: f64 = cells.iter().sum();
        for cell in cells.iter_mut() {
            *cell /= sum;
        }
        sum
    }

    pub(super) fn read(&self) -> f64 {
        self.0.as_flattened().iter().map(|cell| cell[1]).sum()
    }

    fn rates_now(&self, kind: Kind) -> impl Iterator<Item = RateNow> {
        self.0.iter().enumerate().flat_map(move |(step, row)| {
            row.iter().zip(DROPS).flat_map(move |([free, read], (drop, _))| {
                let now = kind.rate_when_read(rate(step), drop);
                [(rate(step), *free), (now, *read)].map(|(now, weight)| RateNow {
                    now,
                    free: rate(step),
                    weight,
                })
            })
        })
    }

    /// Chance of winning the next clean point.
    pub(super) fn now(&self, kind: Kind) -> f64 {
        self.rates_now(kind).map(|of| of.now * of.weight).sum()
    }

    /// Chance that it wins more often now than the other, ties half. A bad spell hits both, so
    /// there only the rates without it are compared.
    pub(super) fn above(&self, other: &Self, kind: Kind) -> f64 {
        let sorted = |grid: &Self| {
            let value = |of: RateNow| if kind == Kind::BadSpells { of.free } else { of.now };
            let mut rates: Vec<(f64, f64)> =
                grid.rates_now(kind).map(|of| (value(of), of.weight)).collect();
            rates.sort_by(|a, b| a.0.total_cmp(&b.0));
            rates
        };
        let others = sorted(other);
        let (mut below, mut upto) = ((0.0, 0.0), (0, 0));
        let weight_under = |sum: &mut f64, at: &mut usize, limit: f64| {
            while let Some((_, weight)) = others.get(*at).filter(|of| of.0 < limit) {
                *sum += weight;
                *at += 1;
            }
        };
        let chances = sorted(self).into_iter().map(|(rate, weight)| {
            weight_under(&mut below.0, &mut upto.0, rate - TIE);
            weight_under(&mut below.1, &mut upto.1, rate + TIE);
            weight * (below.0 + below.1) / 2.0
        });
        chances.sum()
    }
}

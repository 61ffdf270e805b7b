//! What all generators of blocks work with: the serves that can be rehearsed, each with its ball,
//! and the picking and sharing out among them.

use crate::base::Dice;
use crate::deck::{Deck, Switch};
use crate::game::{From, Hand, Receive, Serve, ServeId, Stroke, Weight};
use crate::launcher::{Fit, LauncherKind, Limit, SetUp, ThrowingMachine, Thrown, fit};
use crate::receive::Meeting;
use crate::rehearsal::request::{RehearsalError, SessionRequest};
use crate::rehearsal::session::{Block, Refused, Role, ServeLimit, SessionBall, WhyRefused};

/// A serve with its receive and the ball that stands for it.
#[derive(Debug, Clone)]
pub(super) struct TableServe {
    pub(super) serve: Serve,
    pub(super) receive: Receive,
    /// In blocks of its own.
    pub(super) alone: Fit,
    /// Taking turns with others, from the common set-up.
    pub(super) mixed: Thrown,
    /// How often it comes, 0 to 1.
    pub(super) share: f64,
    /// How weak it is, 0 firm to 1.
    pub(super) weakness: f64,
    /// How many balls it gets against the others: often served and weak means more.
    pub(super) weight: f64,
}

impl TableServe {
    pub(super) fn is_banana(&self) -> bool {
        self.receive.stroke == Stroke::BananaFlick
    }

    /// This ball, received as this serve.
    pub(super) fn received(&self, thrown: Thrown) -> SessionBall {
        SessionBall {
            number: None,
            role: Role::Receive,
            serve: Some(self.serve.id.clone()),
            thrown,
            receive: Some(self.receive.clone()),
            stage: None,
            score: None,
            before: Vec::new(),
            settings: None,
        }
    }

    /// Its ball among others, received as planned.
    pub(super) fn among_others(&self) -> SessionBall {
        self.received(self.mixed)
    }
}

/// The serves of a session and where they are thrown from.
#[derive(Clone)]
pub(super) struct Work<'a> {
    pub(super) request: &'a SessionRequest<'a>,
    pub(super) server: Hand,
    pub(super) serves: Vec<TableServe>,
    /// Where mixed blocks are thrown from.
    pub(super) home: SetUp,
    pub(super) refused: Vec<Refused>,
    pub(super) limits: Vec<ServeLimit>,
}

impl<'a> Work<'a> {
    /// Judges every serve of the deck: rehearsed, with what is lost, or refused.
    pub(super) fn begin(request: &'a SessionRequest<'a>) -> Result<Self, RehearsalError> {
        let deck = request.deck;
        let server = deck.hand.unwrap_or(Hand::Right);
        let (mut refused, mut serves) = (Vec::new(), Vec::new());
        for serve in deck.active() {
            match table_serve(request, serve) {
                Ok(known) => serves.push(known),
                Err(why) => refused.push(refusal(deck, &serve.id, why)),
            }
        }
        let home = common_set_up(&serves);
        let mut limits = Vec::new();
        serves.retain_mut(|known: &mut TableServe| {
            let limit = |limit: &_, is_of_mixed_blocks| ServeLimit {
                serve: known.serve.id.clone(),
                is_of_mixed_blocks,
                limit: Clone::clone(limit),
            };
            let alone = &known.alone.limits;
            // A pace let go leaves the ball and its answer what they are: `launcher aim` says it.
            let is_told = |one: &&Limit| !matches!(one, Limit::NotAsServed(_));
            limits.extend(alone.iter().filter(is_told).map(|one| limit(one, false)));
            // A launcher that keeps its setting through a block never mixes: its ball stays its
            // own.
            if request.launcher.kind.mixes_freely() {
                let table = request.table();
                let mixed = fit(request.launcher, &known.serve, &table, true, Some(home));
                let only_mixed = mixed.limits.iter().filter(is_told);
                let only_mixed = only_mixed.filter(|one| !alone.contains(one));
                limits.extend(only_mixed.map(|one| limit(one, true)));
                known.mixed = mixed.thrown;
                if let Some(why) = objected(request, &known.serve, &known.receive, &mixed) {
                    refused.push(refusal(deck, &known.serve.id, why));
                    return false;
                }
            }
            true
        });
        if serves.is_empty() {
            let opponent = deck.opponent.clone();
            return Err(match refused.into_iter().next() {
                None => RehearsalError::NoServes { opponent },
                Some(first) => RehearsalError::NothingLeft { opponent, why: first.why },
            });
        }
        Ok(Self { request, server, serves, home, refused, limits })
    }

    pub(super) const fn kind(&self) -> LauncherKind {
        self.request.launcher.kind
    }

    /// The machine that throws; none for a person.
    pub(super) fn machine(&self) -> Option<&ThrowingMachine> {
        self.request.launcher.machine.as_ref().filter(|_| !self.kind().is_person())
    }

    /// The safe answer to a ball.
    pub(super) fn safe(&self, thrown: &Thrown) -> Option<&Receive> {
        self.request.deck.safe_against(Some(thrown.depth), Some(thrown.pace))
    }

    /// Whether the switch changes this serve to what a coach has nothing against on its ball.
    pub(super) fn is_switched(&self, switch: &Switch, one: &TableServe) -> bool {
        let thrown = if self.kind().mixes_freely() { one.mixed } else { one.alone.thrown };
        let new = switch.changes.get(&one.serve.id);
        new.is_some_and(|new| {
            Meeting::new(&as_serve(&thrown, &one.serve), self.request.deck).passes(new)
        })
    }

    /// Where a block around this serve is thrown from.
    pub(super) fn place(&self, base: &TableServe) -> SetUp {
        if self.kind().mixes_freely() { self.home } else { base.alone.set_up }
    }

    /// Every serve.
    pub(super) fn all(&self) -> Vec<&TableServe> {
        self.serves.iter().collect()
    }

    /// Every serve, the weightiest first.
    pub(super) fn by_weight(&self) -> Vec<&TableServe> {
        let mut all = self.all();
        all.sort_by(|a, b| b.weight.total_cmp(&a.weight));
        all
    }
}

pub(super) fn refusal(deck: &Deck, serve: &ServeId, why: WhyRefused) -> Refused {
    Refused { serve: serve.clone(), called: deck.called(serve), why }
}

/// A serve with its receive and its ball, or why it cannot be rehearsed.
fn table_serve(request: &SessionRequest<'_>, serve: &Serve) -> Result<TableServe, WhyRefused> {
    let deck = request.deck;
    let planned = deck.plan.get(&serve.id).or_else(|| deck.safe_answer(serve));
    let mut receive = planned.ok_or(WhyRefused::NoReceive)?.clone();
    let alone = fit(request.launcher, serve, &request.table(), false, None);
    if let Some(why) = objected(request, serve, &receive, &alone) {
        return Err(why);
    }
    let thrown = alone.thrown;
    // The reason was given for the serve, not for another ball in its place.
    if serve.spin.is_some_and(|spin| !spin.is_like(thrown.spin))
        || serve.depth.is_some_and(|depth| depth != thrown.depth)
    {
        receive.why = None;
    }
    let key = deck.pattern(&serve.id, &receive);
    let weakness = request.weakness.get(&key).copied().unwrap_or(0.5).clamp(0.0, 1.0);
    let share = deck.share(&serve.id);
    Ok(TableServe {
        serve: serve.clone(),
        receive,
        mixed: thrown,
        alone,
        share,
        weakness,
        // A quarter for every serve, however rare; weak up to three times as many.
        weight: (share + 0.25 / deck.active().count() as f64) * (1.0 + 2.0 * weakness),
    })
}

/// Why a coach would not have this receive played to the ball that stands for the serve.
fn objected(
    request: &SessionRequest<'_>,
    serve: &Serve,
    receive: &Receive,
    fit: &Fit,
) -> Option<WhyRefused> {
    let ball = as_serve(&fit.thrown, serve);
    let objection = Meeting::new(&ball, request.deck).objection(receive)?;
    let (serve, stroke, limits) = (serve.id.clone(), receive.stroke, fit.limits.clone());
    Some(WhyRefused::Objection { serve, stroke, objection, limits })
}

/// A ball as a serve, for a coach to judge.
pub(super) fn as_serve(thrown: &Thrown, like: &Serve) -> Serve {
    Serve {
        lane: Some(thrown.lane),
        depth: Some(thrown.depth),
        spin: Some(thrown.spin),
        pace: Some(thrown.pace),
        weight: Some(Weight::RevS(thrown.rev_s)),
        breaks: thrown.breaks,
        ..Serve::unknown(like.id.clone())
    }
}

/// The set-up that suits most balls.
fn common_set_up(serves: &[TableServe]) -> SetUp {
    let weight_at = |set_up: &SetUp| -> f64 {
        serves.iter().filter(|one| one.alone.set_up == *set_up).map(|one| one.weight).sum()
    };
    serves
        .iter()
        .map(|one| one.alone.set_up)
        .reduce(|best, next| if weight_at(&next) > weight_at(&best) { next } else { best })
        .unwrap_or_else(|| SetUp::of_person(From::BackhandCorner, Hand::Right))
}

/// Makes blocks: picks serves by chance, and keeps to the cap on banana flicks.
pub(super) struct Maker<'w> {
    pub(super) work: &'w Work<'w>,
    pub(super) dice: Dice,
    /// Banana flicks in the blocks so far.
    pub(super) bananas: u32,
}

impl Maker<'_> {
    /// One of `among`, by weight, never a third time in a row when there is another, and no banana
    /// flick beyond the cap while there is another receive.
    pub(super) fn pick<'w>(
        &mut self,
        among: &[&'w TableServe],
        before: &[&TableServe],
    ) -> &'w TableServe {
        self.pick_by(among, before, |one| one.weight)
    }

    /// The same with weights of the caller's.
    pub(super) fn pick_by<'w>(
        &mut self,
        among: &[&'w TableServe],
        before: &[&TableServe],
        weight: impl Fn(&TableServe) -> f64,
    ) -> &'w TableServe {
        let is_full = self.bananas >= self.work.request.volumes.banana_flicks
            && !among.iter().all(|one| one.is_banana());
        let is_third = |one: &TableServe| match before {
            [.., first, second] if among.len() > 1 => {
                first.serve.id == second.serve.id && second.serve.id == one.serve.id
            }
            _ => false,
        };
        let weights = |keep_third: bool| -> Vec<f64> {
            let weight_now = |one: &&TableServe| {
                let is_out = is_full && one.is_banana() || !keep_third && is_third(one);
                if is_out { 0.0 } else { weight(one).max(1e-6) }
            };
            among.iter().map(weight_now).collect()
        };
        let place = self
            .dice
            .weighted(&weights(false))
            .or_else(|| self.dice.weighted(&weights(true)))
            .unwrap_or_default();
        self.bananas += u32::from(among[place].is_banana());
        among[place]
    }

    /// So many of `among`, one after the other.
    pub(super) fn pick_many<'w>(
        &mut self,
        among: &[&'w TableServe],
        count: u32,
    ) -> Vec<&'w TableServe> {
        (0..count).fold(Vec::new(), |mut picked, _| {
            picked.push(self.pick(among, &picked));
            picked
        })
    }

    /// `count` of these balls in random order, each about equally often.
    pub(super) fn deal(&mut self, balls: &[SessionBall], count: u32) -> Vec<SessionBall> {
        let mut dealt: Vec<SessionBall> =
            balls.iter().cycle().take(count as usize).cloned().collect();
        self.dice.shuffle(&mut dealt);
        dealt
    }

    /// Blocks that keep to the cap on banana flicks, or none; a plan of banana flicks only is left
    /// alone.
    pub(super) fn within_banana_cap(
        &mut self,
        make: impl FnOnce(&mut Self) -> Vec<Block>,
    ) -> Vec<Block> {
        let before = self.bananas;
        let blocks = make(self);
        let receives = blocks.iter().flat_map(|block| &block.balls).flat_map(|ball| &ball.receive);
        let flicks = receives.filter(|receive| receive.stroke == Stroke::BananaFlick).count();
        let is_all = self.work.serves.iter().all(TableServe::is_banana);
        self.bananas = before.saturating_add(u32::try_from(flicks).unwrap_or(u32::MAX));
        if flicks > 0 && self.bananas > self.work.request.volumes.banana_flicks && !is_all {
            self.bananas = before;
            return Vec::new();
        }
        blocks
    }
}

/// Blocks of fewer balls are not worth a change of setting.
const LEAST_BLOCK: u32 = 6;

/// Shares `total` in proportion to weights, at least `least` each while there is enough; the shares
/// sum to the total (largest remainders).
#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "a share of a u32 total, rounded down, is a u32"
)]
pub(super) fn apportion(total: u32, weights: &[f64], least: u32) -> Vec<u32> {
    let count = u32::try_from(weights.len()).unwrap_or(u32::MAX);
    let sum: f64 = weights.iter().sum();
    if count == 0 || sum <= 0.0 {
        return vec![0; weights.len()];
    }
    let least = least.min(total / count);
    let free = f64::from(total - least * count);
    let exact: Vec<f64> = weights.iter().map(|weight| free * weight / sum).collect();
    let mut shares: Vec<u32> = exact.iter().map(|share| least + share.floor() as u32).collect();
    let mut order: Vec<usize> = (0..weights.len()).collect();
    order.sort_by(|&a, &b| exact[b].fract().total_cmp(&exact[a].fract()));
    let missing = total - shares.iter().sum::<u32>();
    for place in order.into_iter().cycle().take(missing as usize) {
        shares[place] += 1;
    }
    shares
}

/// Each of these with its share of the balls, by weight; what is too few for a block goes to the
/// largest.
pub(super) fn blocks_of<T>(
    total: u32,
    items: &[T],
    weight: impl Fn(&T) -> f64,
) -> impl Iterator<Item = (&T, u32)> {
    let weights: Vec<f64> = items.iter().map(weight).collect();
    let mut shares = apportion(total, &weights, 0);
    if let Some(largest) = (0..shares.len()).max_by_key(|&place| shares[place]) {
        for place in 0..shares.len() {
            if place != largest && shares[place] < LEAST_BLOCK {
                shares[largest] += std::mem::take(&mut shares[place]);
            }
        }
    }
    items.iter().zip(shares).filter(|(_, share)| *share > 0)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn shares_add_up_and_nobody_is_forgotten() {
        for total in 0..60 {
            let shares = apportion(total, &[0.6, 0.3, 0.1, 0.0001], 4);
            assert_eq!(shares.iter().sum::<u32>(), total);
            if total >= 16 {
                assert!(shares.iter().all(|share| *share >= 4), "{shares:?}");
            }
        }
        assert_eq!(apportion(10, &[3.0, 1.0], 0), [8, 2]);
    }
}

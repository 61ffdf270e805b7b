//! From a request to a session: what can be rehearsed, how the balls are shared out, which blocks come.
//!
//! Groove blocks come first, grouped so that the launcher moves as rarely as possible and ends where the
//! mixed blocks are thrown from; then blocks that vary, then match-like ones; a switch round comes last.

use crate::base::order::largest_first;
use crate::base::{Dice, text};
use crate::deck::advice;
use crate::game::{From, Hand, Receive, Serve, Stroke};
use crate::launcher::{Fit, Kind, SetUp, Thrown, fit};
use crate::rehearsal::answer::as_serve;
use crate::rehearsal::settle::{self, Draft};
use crate::rehearsal::{
    Ball, LeftOut, Length, Phase, Refused, RehearsalError, Rehearsed, Request, Role, ServeLimit,
    Session, Variation, calls, coaching, match_like, stand_in, vary,
};

/// The fewest balls of a switch round: six before the call, eight after.
const LEAST_SWITCH_ROUND: u32 = 14;
/// The balls of a full switch round: 18 before, 24 after.
const FULL_SWITCH_ROUND: u32 = 42;

/// A serve with its receive and the ball that stands for it.
#[derive(Debug, Clone)]
pub(super) struct Pattern {
    pub(super) serve: Serve,
    pub(super) receive: Receive,
    /// In blocks of its own.
    pub(super) alone: Fit,
    /// Taking turns with others, from the common set-up.
    pub(super) mixed: Thrown,
    /// How often it comes, 0 to 1.
    pub(super) share: f64,
    /// How many balls it gets against the others: often served and weak in memory means more.
    pub(super) weight: f64,
}

/// What all generators work with.
pub(super) struct Work<'a> {
    pub(super) request: &'a Request<'a>,
    pub(super) server: Hand,
    pub(super) patterns: Vec<Pattern>,
    pub(super) safe: Option<Receive>,
    /// Where mixed blocks are thrown from.
    pub(super) home: SetUp,
    bananas: u32,
}

/// Makes a session.
///
/// # Errors
/// [`RehearsalError`] when nothing can be rehearsed or the request contradicts itself.
pub fn rehearse(request: &Request<'_>) -> Result<Session, RehearsalError> {
    if let Some(minutes) = request.length.minutes {
        Length::MINUTES.check(minutes)?;
    }
    if let Some(balls) = request.length.balls {
        Length::BALLS.check(balls.into())?;
    }
    let Some(minutes) = request.length.minutes else {
        return session(request, request.length.balls.unwrap_or(request.volumes.balls));
    };
    // The most balls that fit into the minutes: halved until found. Changes and rests make the time of a
    // session jump a little, so a few numbers above are tried too.
    let least: u32 = if request.switch.is_some() { LEAST_SWITCH_ROUND } else { 4 };
    let most = request.length.balls.unwrap_or(600).min(600);
    let mut best = None;
    let (mut low, mut high) = (least, most.max(least));
    while low <= high {
        let middle = low.midpoint(high);
        let made = session(request, middle)?;
        if made.minutes <= minutes {
            best = Some(made);
            low = middle + 1;
        } else {
            high = middle - 1;
        }
    }
    for balls in low..(low + 8).min(most) {
        let made = session(request, balls)?;
        if made.minutes <= minutes {
            best = Some(made);
        }
    }
    best.ok_or(RehearsalError::NoTime { minutes, least })
}

fn session(request: &Request<'_>, balls: u32) -> Result<Session, RehearsalError> {
    let (mut work, mut refused, limits) = Work::begin(request)?;
    let mut left_out = Vec::new();
    let drafts = work.drafts(balls, &mut left_out)?;
    let (blocks, minutes) = settle::settle(&work, drafts);
    let mut serves = Vec::new();
    for pattern in &work.patterns {
        let serve = &pattern.serve;
        let is_it =
            |ball: &&Ball| ball.role == Role::Receive && ball.serve.as_ref() == Some(&serve.id);
        let count = blocks.iter().flat_map(|block| &block.balls).filter(is_it).count();
        if count == 0 {
            refused.push(Refused {
                serve: serve.id.clone(),
                why: format!("none of the {balls} balls is left for it"),
                hint: "ask for more balls, or for the groove phase".to_owned(),
            });
            continue;
        }
        let own = request.launcher.hand.filter(|_| request.launcher.kind == Kind::Partner);
        serves.push(Rehearsed {
            serve: serve.id.clone(),
            words: serve.shown(),
            spin: serve.spin,
            bends: serve.breaks_for(Some(work.server)),
            receive: pattern.receive.clone(),
            stand_in: own.map(|own| stand_in(serve, work.server, own)),
            balls: u32::try_from(count).unwrap_or(u32::MAX),
        });
    }
    let launcher = request.launcher;
    let switch = blocks.iter().flat_map(|block| &block.balls).find_map(calls::call_of);
    Ok(Session {
        opponent: request.deck.opponent.clone(),
        deck: request.deck.key.clone(),
        player: request.player,
        server: work.server,
        launcher: launcher.name.clone(),
        kind: launcher.kind,
        hand: launcher.hand.filter(|_| launcher.kind.is_person()),
        wheels: launcher.machine.as_ref().map(|machine| machine.wheels),
        stored_balls: launcher.machine.as_ref().map_or(0, |machine| machine.stored_balls),
        dials: launcher.dials.iter().map(|dial| dial.name.clone()).collect(),
        seed: request.seed,
        number: None,
        warm_up_min: request.volumes.warm_up_min,
        serves,
        blocks,
        switch,
        limits,
        refused,
        left_out,
        cautions: coaching::cautions(launcher.kind),
        minutes,
    })
}

impl<'a> Work<'a> {
    /// Judges every serve of the deck: rehearsed, with what is lost, or refused.
    fn begin(
        request: &'a Request<'a>,
    ) -> Result<(Self, Vec<Refused>, Vec<ServeLimit>), RehearsalError> {
        let deck = request.deck;
        let server = deck.hand.unwrap_or(Hand::Right);
        let typed = text::typed(&deck.opponent);
        let (mut refused, mut patterns) = (Vec::new(), Vec::new());
        for serve in deck.active() {
            let Some(receive) = deck.plan.get(&serve.id).or(deck.safe.as_ref()) else {
                refused.push(Refused {
                    serve: serve.id.clone(),
                    why: "it has no receive in the plan, and the deck no safe one".to_owned(),
                    hint: format!("choose one: secondball plan choose {typed}"),
                });
                continue;
            };
            let alone = fit(request.launcher, serve, server, false, None);
            let ball = as_serve(&alone.thrown, serve);
            let objection = advice::objection(&ball, receive)
                .filter(|_| advice::objection(serve, receive).is_none());
            if let Some(objection) = objection {
                let lost = alone.limits.iter().map(|limit| limit.nearest.as_str());
                refused.push(Refused {
                    serve: serve.id.clone(),
                    why: format!(
                        "the nearest this launcher can do is {}, and that would be {}",
                        crate::base::text::and_list(&lost.collect::<Vec<_>>()),
                        objection.what
                    ),
                    hint: "rehearse it with a person who feeds or serves".to_owned(),
                });
                continue;
            }
            let key = deck.pattern(&serve.id, receive);
            let weakness = request.weakness.get(&key).copied().unwrap_or(0.5);
            let share = deck.share(&serve.id);
            patterns.push(Pattern {
                serve: serve.clone(),
                receive: receive.clone(),
                mixed: alone.thrown,
                alone,
                share,
                // A quarter for every serve, however rare; weak in memory up to three times as many.
                weight: (share + 0.25 / deck.active().count() as f64)
                    * (1.0 + 2.0 * weakness.clamp(0.0, 1.0)),
            });
        }
        if patterns.is_empty() {
            return Err(match refused.into_iter().next() {
                None => RehearsalError::NoServes { opponent: deck.opponent.clone() },
                Some(first) => RehearsalError::NothingLeft {
                    opponent: deck.opponent.clone(),
                    why: first.why,
                    hint: first.hint,
                },
            });
        }
        let home = common_set_up(&patterns);
        let mut limits = Vec::new();
        let mixes = request.launcher.kind.mixes_freely();
        for pattern in &mut patterns {
            let alone = &pattern.alone.limits;
            // A launcher that keeps its setting through a block never mixes: its ball stays its own.
            let mixed = if mixes {
                fit(request.launcher, &pattern.serve, server, true, Some(home))
            } else {
                pattern.alone.clone()
            };
            pattern.mixed = mixed.thrown;
            let only_mixed = mixed.limits.iter().filter(|limit| !alone.contains(limit));
            let only_mixed = only_mixed.map(|limit| crate::launcher::Limit {
                what: format!("in mixed blocks, {}", limit.what),
                ..limit.clone()
            });
            limits.extend(
                alone
                    .iter()
                    .cloned()
                    .chain(only_mixed)
                    .map(|limit| ServeLimit { serve: pattern.serve.id.clone(), limit }),
            );
        }
        let safe = deck.safe.clone();
        Ok((Self { request, server, patterns, safe, home, bananas: 0 }, refused, limits))
    }

    /// The blocks before they are cut to size and numbered.
    fn drafts(
        &mut self,
        balls: u32,
        left_out: &mut Vec<LeftOut>,
    ) -> Result<Vec<Draft>, RehearsalError> {
        let mut left = balls;
        let mut switch_round = 0;
        if let Some(switch) = self.request.switch {
            if balls < LEAST_SWITCH_ROUND {
                return Err(RehearsalError::TooShortForSwitch { balls, least: LEAST_SWITCH_ROUND });
            }
            if !self.patterns.iter().any(|pattern| switch.changes.contains_key(&pattern.serve.id)) {
                return Err(RehearsalError::SwitchOutOfReach { name: switch.name.clone() });
            }
            switch_round = (balls * 2 / 5).clamp(LEAST_SWITCH_ROUND, FULL_SWITCH_ROUND);
            left -= switch_round;
        }
        let phases: Vec<Phase> = Phase::ALL
            .iter()
            .copied()
            .filter(|phase| self.request.phases.is_empty() || self.request.phases.contains(phase))
            .collect();
        let weights: Vec<f64> = phases
            .iter()
            .map(|phase| match phase {
                Phase::Groove => 0.4,
                Phase::Vary | Phase::MatchLike => 0.3,
            })
            .collect();
        let mut shares = apportion(left, &weights, 0);
        // Groove blocks of fewer than six balls groove nothing: they get up to six tenths of all balls.
        let serves = u32::try_from(self.patterns.len()).unwrap_or(u32::MAX);
        let wanted = serves.saturating_mul(6).min(left * 6 / 10);
        if phases.len() > 1 && phases[0] == Phase::Groove && shares[0] < wanted {
            shares[0] = wanted;
            let others = apportion(left - wanted, &weights[1..], 0);
            shares.splice(1.., others);
        }
        let mut drafts = Vec::new();
        for (phase, share) in phases.iter().zip(shares) {
            if share == 0 {
                continue;
            }
            let mut dice = Dice::for_part(self.request.seed, phase.word());
            match phase {
                Phase::Groove => drafts.extend(self.groove(share)),
                Phase::Vary => drafts.extend(vary::drafts(self, share, &mut dice, left_out)),
                Phase::MatchLike => drafts.extend(match_like::drafts(self, share, &mut dice)),
            }
        }
        if let Some(switch) = self.request.switch {
            let mut dice = Dice::for_part(self.request.seed, "switch");
            drafts.extend(calls::switch_round(self, switch, switch_round, &mut dice));
        }
        Ok(drafts)
    }

    /// One serve at a time.
    fn groove(&mut self, balls: u32) -> Vec<Draft> {
        let mut weights: Vec<f64> = self.patterns.iter().map(|pattern| pattern.weight).collect();
        let fair = balls / u32::try_from(self.patterns.len()).unwrap_or(u32::MAX).max(1);
        let mut shares = apportion(balls, &weights, fair.min(4));
        // At most half of the banana flicks allowed go into groove blocks.
        let cap = self.request.volumes.banana_flicks / 2;
        let is_banana = |pattern: &Pattern| pattern.receive.stroke == Stroke::BananaFlick;
        let bananas: u32 =
            self.patterns.iter().zip(&shares).filter(|(p, _)| is_banana(p)).map(|(_, n)| n).sum();
        if bananas > cap && !self.patterns.iter().all(is_banana) {
            let banana_weights: Vec<f64> = self
                .patterns
                .iter()
                .zip(&weights)
                .map(|(pattern, weight)| if is_banana(pattern) { *weight } else { 0.0 })
                .collect();
            for (weight, pattern) in weights.iter_mut().zip(&self.patterns) {
                if is_banana(pattern) {
                    *weight = 0.0;
                }
            }
            let capped = apportion(cap, &banana_weights, 0);
            let others = apportion(balls - cap, &weights, 0);
            shares = capped.iter().zip(others).map(|(one, other)| one + other).collect();
        }
        let mut order: Vec<usize> = (0..self.patterns.len()).filter(|&i| shares[i] > 0).collect();
        // Set-ups in order of first use, the common one last; within one, like settings together.
        let set_ups: Vec<SetUp> = order.iter().map(|&i| self.patterns[i].alone.set_up).collect();
        order.sort_by_key(|&i| {
            let pattern = &self.patterns[i];
            let own = pattern.alone.set_up;
            let first = set_ups.iter().position(|set_up| *set_up == own).unwrap_or_default();
            let ball = &pattern.alone.thrown;
            (own == self.home, first, ball.spin, ball.depth, i)
        });
        order
            .into_iter()
            .map(|place| {
                let pattern = &self.patterns[place];
                let count = shares[place];
                if is_banana(pattern) {
                    self.bananas += count;
                }
                let ball = received(pattern, pattern.alone.thrown);
                Draft {
                    around: Some(pattern.serve.id.clone()),
                    set_up: pattern.alone.set_up,
                    ..Draft::of(
                        Phase::Groove,
                        Variation::OneServe,
                        self.home,
                        vec![ball; count as usize],
                    )
                }
            })
            .collect()
    }

    /// One of `among`, by weight, never a third time in a row when there is another, and no banana flick
    /// beyond the cap while there is another receive.
    pub(super) fn pick(&mut self, among: &[usize], before: &[usize], dice: &mut Dice) -> usize {
        self.pick_by(among, before, dice, |pattern| pattern.weight)
    }

    /// The same with weights of the caller's.
    pub(super) fn pick_by(
        &mut self,
        among: &[usize],
        before: &[usize],
        dice: &mut Dice,
        weight: impl Fn(&Pattern) -> f64,
    ) -> usize {
        let cap = self.request.volumes.banana_flicks;
        let is_banana = |place: usize| self.patterns[place].receive.stroke == Stroke::BananaFlick;
        let is_full = self.bananas >= cap && !among.iter().all(|&place| is_banana(place));
        let third = match before {
            [.., one, other] if one == other && among.len() > 1 => Some(*other),
            _ => None,
        };
        let weights = |keep_third: bool| -> Vec<f64> {
            among
                .iter()
                .map(|&place| {
                    let is_out = is_full && is_banana(place) || !keep_third && Some(place) == third;
                    if is_out { 0.0 } else { weight(&self.patterns[place]).max(1e-6) }
                })
                .collect()
        };
        let picked = dice
            .weighted(&weights(false))
            .or_else(|| dice.weighted(&weights(true)))
            .map_or_else(|| among.first().copied().unwrap_or_default(), |place| among[place]);
        if is_banana(picked) {
            self.bananas += 1;
        }
        picked
    }

    /// Drafts that keep to the cap on banana flicks, or none; a plan of banana flicks only is left alone.
    pub(super) fn within_banana_cap(
        &mut self,
        make: impl FnOnce(&mut Self) -> Vec<Draft>,
    ) -> Vec<Draft> {
        let before = self.bananas;
        let drafts = make(self);
        let is_banana = |receive: &Receive| receive.stroke == Stroke::BananaFlick;
        let flicks = drafts
            .iter()
            .flat_map(|draft| &draft.balls)
            .filter(|ball| ball.receive.as_ref().is_some_and(is_banana))
            .count();
        let after = before.saturating_add(u32::try_from(flicks).unwrap_or(u32::MAX));
        let is_all = self.patterns.iter().all(|pattern| is_banana(&pattern.receive));
        if flicks > 0 && after > self.request.volumes.banana_flicks && !is_all {
            self.bananas = before;
            return Vec::new();
        }
        self.bananas = after;
        drafts
    }

    /// The launcher's kind.
    pub(super) const fn kind(&self) -> Kind {
        self.request.launcher.kind
    }

    /// Where a block around this pattern is thrown from.
    pub(super) fn place(&self, base: usize) -> SetUp {
        if self.kind().mixes_freely() { self.home } else { self.patterns[base].alone.set_up }
    }

    /// Every pattern's place.
    pub(super) fn all(&self) -> Vec<usize> {
        (0..self.patterns.len()).collect()
    }
}

/// A ball to be received as this pattern's serve.
pub(super) fn received(pattern: &Pattern, thrown: Thrown) -> Ball {
    Ball {
        number: None,
        role: Role::Receive,
        serve: Some(pattern.serve.id.clone()),
        thrown,
        receive: Some(pattern.receive.clone()),
        stage: None,
        score: None,
        cues: Vec::new(),
        settings: None,
    }
}

/// The set-up that suits most balls.
fn common_set_up(patterns: &[Pattern]) -> SetUp {
    let weight_at = |set_up: &SetUp| -> f64 {
        patterns.iter().filter(|p| p.alone.set_up == *set_up).map(|p| p.weight).sum()
    };
    patterns
        .iter()
        .map(|pattern| pattern.alone.set_up)
        .reduce(|best, next| if weight_at(&next) > weight_at(&best) { next } else { best })
        .unwrap_or_else(|| SetUp::of_person(From::BackhandCorner, Hand::Right))
}

/// Shares `total` in proportion to weights, at least `least` each while there is enough; the shares sum
/// to the total (largest remainders).
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
    largest_first(&mut order, |&place| exact[place].fract());
    let mut missing = total - shares.iter().sum::<u32>();
    for place in order.into_iter().cycle() {
        if missing == 0 {
            break;
        }
        shares[place] += 1;
        missing -= 1;
    }
    shares
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

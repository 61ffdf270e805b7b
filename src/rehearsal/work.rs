//! What all generators of blocks work with: the serves that can be rehearsed, each with its ball, and the picking among them.

use crate::base::{Dice, text};
use crate::deck::advice;
use crate::game::{From, Hand, Receive, Serve, Stroke};
use crate::launcher::{Fit, Kind, SetUp, Thrown, fit};
use crate::rehearsal::answer::as_serve;
use crate::rehearsal::settle::Draft;
use crate::rehearsal::{Ball, Refused, RehearsalError, Request, Role, ServeLimit};

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
    /// Banana flicks in the blocks so far.
    pub(super) bananas: u32,
}

impl<'a> Work<'a> {
    /// Judges every serve of the deck: rehearsed, with what is lost, or refused.
    pub(super) fn begin(
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
                        text::and_list(&lost.collect::<Vec<_>>()),
                        objection.finding(&serve.id, receive.stroke).what
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

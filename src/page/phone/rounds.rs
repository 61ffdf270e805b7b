//! The lists of the coming days and the rounds of each opponent, as scripts.
//!
//! The list of a later day supposes that the lists before it were answered right: that is what a player
//! who takes the page along is about to do. What was left over is shown by the page itself.

use std::collections::BTreeMap;

use super::document::{PhoneDay, PhoneList, PhoneOpponent, PhoneRound};
use super::pack::Packer;
use super::{PhoneError, PhoneRequest};
use crate::agenda::{Agenda, Due, Lately, Pattern, PatternPart, agenda, patterns};
use crate::base::{Day, Dice, text};
use crate::deck::{Deck, Switch};
use crate::drill::window::tempo_permille;
use crate::drill::{
    Built, DrillError, KeyTime, RoundRequest, Script, ServeOrder, TempoRules, build,
};
use crate::game::ServeId;
use crate::journal::{Answer, Event, EventId, Fact, How, Input};
use crate::memory::{Memories, Model};
use crate::page::today::note_words;

/// How often each pattern of a list is asked: once for memory, once for speed.
const ASKED: usize = 2;
/// Balls of a round beyond the lists.
const ROUND_BALLS: usize = 20;
/// Balls of a round in which serves are told apart.
const READING_BALLS: usize = 12;
/// Orders of a round beyond the lists, played in turn.
const ORDERS: u64 = 3;
/// Orders of a switch round.
const SWITCH_ORDERS: u64 = 2;
/// Days before an event on which the tempo is eased.
const EASED_DAYS: i64 = 2;

/// Makes scripts for one page.
pub(super) struct Rounds<'a> {
    request: &'a PhoneRequest<'a>,
    /// The decks as this player meets them.
    decks: Vec<(&'a str, Deck)>,
    no_flights: BTreeMap<ServeId, crate::drill::Flown>,
    pub(super) packer: Packer,
}

/// What a script is asked for beyond its deck.
struct Wanted<'w> {
    serves: &'w [ServeId],
    how: How,
    order: ServeOrder,
    balls: usize,
    switch: Option<&'w Switch>,
    under: Option<&'w Switch>,
    day: Day,
    seed: u64,
}

impl<'a> Rounds<'a> {
    pub(super) fn new(request: &'a PhoneRequest<'a>) -> Self {
        let seen =
            |(stem, deck): &'a (String, Deck)| (stem.as_str(), deck.seen_by(request.player.hand));
        Self {
            request,
            decks: request.decks.iter().map(seen).collect(),
            no_flights: BTreeMap::new(),
            packer: Packer::default(),
        }
    }

    /// The days, each list supposing that those before it were answered right.
    pub(super) fn days(&mut self) -> Result<Vec<PhoneDay>, PhoneError> {
        let request = self.request;
        let model = Model::default();
        let mut memories = request.memories.clone();
        let lately = Lately::from_events(request.events, request.player, request.today);
        let mut days = Vec::new();
        let mut known = None;
        let mut expected: BTreeMap<Day, usize> = BTreeMap::new();
        for ahead in 0..request.days {
            let day = request.today.plus(ahead);
            let event = request.player.next_event(day);
            let all = patterns(request.player, request.decks, event);
            let (agenda, left) =
                agenda(request.player, request.decks, &memories, day, known.as_ref(), &lately);
            known = left;
            if ahead == 0 {
                let rest = agenda.days.iter().map(|one| (one.day, one.answers));
                expected = rest.chain([(day, agenda.list.len())]).collect();
            }
            let lists = self.lists(&agenda, &all, day);
            for due in &agenda.list {
                let Some(pattern) = all.iter().find(|one| one.key.to_string() == due.pattern)
                else {
                    continue;
                };
                answer_right(&model, &mut memories, pattern, day);
            }
            days.push(PhoneDay {
                day,
                spoken: day.spoken(),
                is_off: agenda.is_off,
                expected: expected.get(&day).copied(),
                lists,
                notes: agenda.notes.iter().map(note_words).collect(),
            });
        }
        Ok(days)
    }

    /// The lists of one day: one an opponent for the plan, and one for each switch.
    fn lists(&mut self, agenda: &Agenda, all: &[Pattern], day: Day) -> Vec<PhoneList> {
        let mut groups: Vec<(&str, &PatternPart, Vec<&Due>)> = Vec::new();
        for due in &agenda.list {
            match groups.iter_mut().find(|(stem, part, _)| *stem == due.deck && *part == &due.part)
            {
                Some((.., dues)) => dues.push(due),
                None => groups.push((&due.deck, &due.part, vec![due])),
            }
        }
        let mut lists = Vec::new();
        for (stem, part, dues) in groups {
            let Some(opponent) = self.decks.iter().position(|(own, _)| *own == stem) else {
                continue;
            };
            let deck = self.decks[opponent].1.clone();
            let under = match part {
                PatternPart::Plan => None,
                PatternPart::Switch(name) => deck.switch_called(name),
            };
            let serves: Vec<ServeId> =
                dues.iter().filter_map(|due| due.serve.parse().ok()).collect();
            let name = under.map_or("plan", |switch| switch.name.as_str());
            let scripts = self.scripts(
                opponent,
                &Wanted {
                    serves: &serves,
                    how: How::Snap,
                    order: ServeOrder::Random,
                    balls: serves.len() * ASKED,
                    switch: None,
                    under,
                    day,
                    seed: self.seed(&format!("{day} {stem} {name}")),
                },
            );
            for script in scripts {
                let asked =
                    |due: &&&Due| script.serves.iter().any(|cue| cue.serve.as_str() == due.serve);
                let known = |due: &&Due| all.iter().any(|one| one.key.to_string() == due.pattern);
                lists.push(PhoneList {
                    opponent,
                    under: under.map(|switch| text::one_line(&switch.name)),
                    patterns: dues
                        .iter()
                        .filter(asked)
                        .copied()
                        .filter(known)
                        .map(|due| due.pattern.clone())
                        .collect(),
                    script: self.packer.add(&script),
                });
            }
        }
        lists
    }

    /// Every opponent with the rounds that can be played at any time.
    pub(super) fn opponents(&mut self) -> Vec<PhoneOpponent> {
        (0..self.decks.len()).map(|place| self.opponent(place)).collect()
    }

    fn opponent(&mut self, place: usize) -> PhoneOpponent {
        let (stem, deck) = (self.decks[place].0, self.decks[place].1.clone());
        let planned = deck.planned().count();
        let mut rounds = Vec::new();
        let today = self.request.today;
        let mut add = |name: String, about: &str, orders: u64, wanted: &Wanted<'_>| {
            let mut scripts = Vec::new();
            for order in 0..orders {
                let seed = self.seed(&format!("{stem} {name} {order}"));
                let made = self.scripts(place, &Wanted { seed, ..*wanted });
                scripts.extend(made.iter().map(|script| self.packer.add(script)));
            }
            if !scripts.is_empty() {
                rounds.push(PhoneRound { name, about: about.to_owned(), scripts });
            }
        };
        let plain = Wanted {
            serves: &[],
            how: How::Snap,
            order: ServeOrder::Random,
            balls: ROUND_BALLS,
            switch: None,
            under: None,
            day: today,
            seed: 0,
        };
        add("Whole plan".to_owned(), "every serve, one tap against the ball", ORDERS, &plain);
        let match_like = Wanted { order: ServeOrder::MatchLike, ..plain };
        add(
            "As in a match".to_owned(),
            "two at a time, as often as they come",
            ORDERS,
            &match_like,
        );
        let think = Wanted { how: How::Think, balls: planned, ..plain };
        add("Think".to_owned(), "no clock: stroke, then target", 1, &think);
        let read = Wanted { how: How::Read, balls: READING_BALLS, ..plain };
        add("Read".to_owned(), "which serve was it, then what you do", 1, &read);
        for switch in &deck.switches {
            let called = Wanted { switch: Some(switch), ..plain };
            let name = format!("Switch: {}", text::one_line(&switch.name));
            add(name, "the plan, the call, then one answer changed", SWITCH_ORDERS, &called);
        }
        PhoneOpponent {
            key: deck.key.clone(),
            name: text::one_line(&deck.opponent),
            serves: deck.active().map(|serve| (serve.id.to_string(), serve.shown())).collect(),
            rounds,
            notes: if self.request.has_notes { notes(&deck) } else { Vec::new() },
        }
    }

    /// The scripts of a wish: more than one when the receives do not fit on one palette. None when the
    /// deck holds nothing of the kind.
    fn scripts(&self, opponent: usize, wanted: &Wanted<'_>) -> Vec<Script> {
        let mut scripts = Vec::new();
        let mut serves = wanted.serves.to_vec();
        let mut balls = wanted.balls;
        while let Ok(Built { script, left }) = self.script(opponent, wanted, &serves, balls) {
            let is_more = !left.is_empty() && wanted.switch.is_none();
            scripts.push(script);
            if !is_more {
                break;
            }
            balls = left.len() * ASKED;
            serves = left;
        }
        scripts
    }

    fn script(
        &self,
        opponent: usize,
        wanted: &Wanted<'_>,
        serves: &[ServeId],
        balls: usize,
    ) -> Result<Built, DrillError> {
        let (stem, deck) = &self.decks[opponent];
        build(&RoundRequest {
            deck,
            hand: self.request.player.hand,
            serves,
            how: wanted.how,
            order: wanted.order,
            balls,
            switch: wanted.switch,
            standing: &[],
            under: wanted.under,
            has_back: wanted.switch.is_some(),
            key_time: KeyTime::default(),
            tempo: self.tempo(deck, wanted.day),
            has_words: true,
            limit_ms: None,
            flights: self.request.flights.get(*stem).unwrap_or(&self.no_flights),
            memories: self.request.memories,
            today: self.request.today,
            seed: wanted.seed,
        })
    }

    /// The tempo: one step easier than at the last tap against this opponent; eased near an event.
    fn tempo(&self, deck: &Deck, day: Day) -> TempoRules {
        let last = self.request.events.iter().rev().find_map(|event| match &event.fact {
            Fact::Answer(answer)
                if answer.deck == deck.key
                    && answer.how == How::Snap
                    && answer.input == Input::Tap
                    && answer.window > 0 =>
            {
                Some(answer)
            }
            _ => None,
        });
        let permille = last.and_then(|answer| {
            let serve = deck.serve_now_or_once(&answer.serve)?;
            let flight_ms = crate::drill::window::FLIGHT_MS;
            let decision_ms =
                crate::drill::window::decision_ms(flight_ms, crate::drill::window::body_ms(serve));
            tempo_permille(answer.window, decision_ms, answer.motor)
        });
        let rules = TempoRules::default();
        let rules = permille.map_or(rules, |permille| rules.resumed(permille));
        let is_near = self
            .request
            .player
            .next_event(day)
            .is_some_and(|event| (0..=EASED_DAYS).contains(&event.day.days_since(day)));
        if is_near { rules.eased() } else { rules }
    }

    fn seed(&self, part: &str) -> u64 {
        Dice::for_part(self.request.seed, &format!("phone {part}")).bits()
    }
}

/// Notes of a deck, which leave home only when they are asked for.
fn notes(deck: &Deck) -> Vec<String> {
    let own = deck.private_note.iter().map(|note| text::one_line(note));
    let of_serves = deck.active().filter_map(|serve| {
        Some(format!("{}: {}", serve.id, text::one_line(serve.note.as_ref()?)))
    });
    own.chain(of_serves).collect()
}

/// Takes a list as answered, for the days behind it.
fn answer_right(model: &Model, memories: &mut Memories, pattern: &Pattern, day: Day) {
    const WINDOW_MS: u32 = 1000;
    let event = Event {
        id: EventId { device: String::new(), n: 1 },
        at_ms: 0,
        day,
        origin: None,
        fact: Fact::Answer(Answer {
            deck: pattern.key.deck.clone(),
            serve: pattern.key.serve.clone(),
            right: pattern.key.receive.clone(),
            given: None,
            how: How::Snap,
            // In time, and not to spare.
            ms: WINDOW_MS,
            window: WINDOW_MS,
            motor: 0,
            input: Input::Simulated,
            is_let: false,
            switch: None,
        }),
    };
    memories.apply(model, &event);
}

//! The lists of the coming days and the rounds of each opponent, as scripts.
//!
//! The list of a later day supposes that the lists before it were answered right: that is what a
//! player who takes the page along is about to do. What was left over is shown by the page
//! itself.

use std::collections::BTreeMap;

use super::document::{PhoneDay, PhoneList, PhoneOpponent, PhoneRound};
use super::pack::Packer;
use super::request::PhoneRequest;
use crate::agenda::{Agenda, Due, Lately, ListNote, Pattern, agenda, patterns};
use crate::base::{Day, Dice, text};
use crate::deck::Deck;
use crate::drill::{RoundRequest, Script, ServeOrder, Speeds, TempoRules, build};
use crate::game::ServeId;
use crate::journal::How;
use crate::memory::result::{Behaviour, Given};
use crate::memory::{History, Item, Memories, Model};
use crate::page::ready::ready_for;
use crate::page::today::note_words;

/// Balls of a day's practice before they begin anew.
const PRACTICE_BALLS: usize = 60;
/// Balls of a round beyond the lists.
const ROUND_BALLS: usize = 20;
/// Balls of a round in which serves are told apart.
const READING_BALLS: usize = 12;
/// Orders of a round beyond the lists, played in turn.
const ORDERS: u64 = 2;
/// Orders of a switch round.
const SWITCH_ORDERS: u64 = 2;

/// What a list of a page is supposed to come to: right in time, and not to spare.
const IN_TIME: Behaviour = Behaviour {
    given: Given::Right,
    raw_ms: 1000,
    window_ms: 1000,
    kind: How::Snap,
    interrupted: false,
};

/// Makes scripts for one page.
pub(super) struct PhoneRounds<'a> {
    request: &'a PhoneRequest<'a>,
    /// The decks as this player meets them.
    pub(super) decks: Vec<(&'a str, Deck)>,
    /// By deck, what its serves were answered at so far.
    speeds: BTreeMap<String, Speeds>,
}

impl<'a> PhoneRounds<'a> {
    pub(super) fn new(request: &'a PhoneRequest<'a>) -> Self {
        let seen =
            |(stem, deck): &'a (String, Deck)| (stem.as_str(), deck.seen_by(request.player.hand));
        let decks = request.decks.iter().map(seen).collect();
        Self { request, decks, speeds: Speeds::by_deck(request.events) }
    }

    /// The days, each list supposing that those before it were answered right.
    pub(super) fn days(&self, packer: &mut Packer) -> Vec<PhoneDay> {
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
            let lists = self.lists(&agenda, &memories, day, packer);
            let ahead = event.filter(|event| event.day > day).map(|event| event.day);
            let right = |memories: &Memories| ahead.map(|on| right_on(&all, &model, memories, on));
            let before = right(&memories);
            for due in &agenda.list {
                if let Some(pattern) = all.iter().find(|one| one.key.to_string() == due.pattern) {
                    memories.begun(pattern.key.clone()).suppose(&model, day.number(), &IN_TIME);
                }
            }
            let right = before.zip(right(&memories)).map(|(before, after)| [before, after]);
            // How an event is added is said at home.
            let said = agenda.notes.iter().filter(|note| !matches!(note, ListNote::NoEvent { .. }));
            days.push(PhoneDay {
                day,
                spoken: day.spoken(),
                is_off: agenda.is_off,
                expected: expected.get(&day).copied(),
                lists,
                ready: ready_for(
                    agenda.answers.iter().map(|it| (it.deck.as_str(), &it.part, it.standing)),
                ),
                right,
                notes: said.map(note_words).collect(),
            });
        }
        days
    }

    /// The lists of one day, one an opponent: what is due, then practice against one of them.
    fn lists(
        &self,
        agenda: &Agenda,
        memories: &Memories,
        day: Day,
        packer: &mut Packer,
    ) -> Vec<PhoneList> {
        let PhoneRequest { player, decks, .. } = self.request;
        let mut lists = Vec::new();
        for round in agenda.rounds(player, decks) {
            let known = self.decks.iter().position(|(stem, _)| *stem == round.stem);
            let Some(opponent) = known else { continue };
            let deck = &self.decks[opponent].1;
            let called = round.called(deck, memories, day);
            let due = called.iter().flat_map(|called| &called.due);
            let due: Vec<ServeId> = round.due.iter().chain(due).cloned().collect();
            let wanted = RoundRequest {
                serves: if round.is_practised { &[] } else { &due },
                due: &round.due,
                called: &called,
                order: ServeOrder::Mixed,
                balls: if round.is_practised { PRACTICE_BALLS } else { 0 },
                limit_ms: round.is_practised.then(|| milliseconds(player.minutes_a_day)),
                repeats: round.is_practised,
                memories,
                today: day,
                seed: self.seed(&format!("{day} {}", round.stem)),
                ..self.plain(opponent, day)
            };
            for script in scripts(wanted) {
                let asked = |due: &&Due| {
                    due.deck == round.stem
                        && script.serves.iter().any(|cue| cue.serve.as_str() == due.serve)
                };
                let patterns = agenda.list.iter().filter(asked).map(|due| due.pattern.clone());
                let patterns = patterns.collect();
                lists.push(PhoneList { opponent, patterns, script: packer.add(&script) });
            }
        }
        lists
    }

    /// An opponent with the rounds that can be played at any time.
    pub(super) fn opponent(&self, place: usize, packer: &mut Packer) -> PhoneOpponent {
        let (stem, deck) = &self.decks[place];
        let mut rounds = Vec::new();
        let mut add = |name: &str, about: &'static str, orders: u64, wanted: RoundRequest<'_>| {
            let mut made = Vec::new();
            for order in 0..orders {
                let seed = self.seed(&format!("{stem} {name} {order}"));
                let scripts = scripts(RoundRequest { seed, ..wanted });
                made.extend(scripts.iter().map(|script| packer.add(script)));
            }
            if !made.is_empty() {
                rounds.push(PhoneRound { name: name.to_owned(), about, scripts: made });
            }
        };
        let plain = RoundRequest { balls: ROUND_BALLS, ..self.plain(place, self.request.today) };
        add("Whole plan", "every serve, one tap against the ball", ORDERS, plain);
        let match_like = RoundRequest { order: ServeOrder::MatchLike, ..plain };
        add("As in a match", "two at a time, as often as they come", ORDERS, match_like);
        let think = RoundRequest { how: How::Think, balls: deck.planned().count(), ..plain };
        add("Think", "no clock: stroke, then target", 1, think);
        let read = RoundRequest { how: How::Read, balls: READING_BALLS, ..plain };
        add("Read", "which serve was it, then what you do", 1, read);
        let tells = RoundRequest { has_tells_only: true, ..read };
        add("Tells", "what gives it away, then which serve it is", 1, tells);
        for switch in &deck.switches {
            let called = RoundRequest { switch: Some(switch), has_back: true, ..plain };
            let name = format!("Switch: {}", text::one_line(&switch.name));
            add(&name, "the plan, the call, then one answer changed", SWITCH_ORDERS, called);
        }
        PhoneOpponent {
            key: deck.key.clone(),
            name: text::one_line(&deck.opponent),
            serves: deck.active().map(|it| (it.id.to_string(), deck.called(&it.id))).collect(),
            rounds,
            notes: if self.request.has_notes { notes(deck) } else { Vec::new() },
        }
    }

    /// A plain round against an opponent on a day.
    fn plain(&self, opponent: usize, day: Day) -> RoundRequest<'_> {
        let PhoneRequest { player, memories, today, .. } = self.request;
        let (stem, deck) = &self.decks[opponent];
        let plain = RoundRequest::plain(deck, player.hand, memories, *today);
        let flights = self.request.flights.get(*stem);
        RoundRequest { tempo: self.tempo(deck, day), flights, ..plain }
    }

    /// The tempo against an opponent: on from the last day; eased near an event.
    fn tempo(&self, deck: &Deck, day: Day) -> TempoRules {
        let rules = self.speeds.get(&deck.key).map(|speeds| speeds.rules(day)).unwrap_or_default();
        let next = self.request.player.next_event(day);
        rules.towards(next.map(|event| event.day.days_since(day)))
    }

    fn seed(&self, part: &str) -> u64 {
        Dice::for_part(self.request.seed, &format!("phone {part}")).bits()
    }
}

/// Of a hundred of their serves, how many will be answered right on a day if nothing more is done.
fn right_on(all: &[Pattern], model: &Model, memories: &Memories, on: Day) -> f64 {
    let (right, of) = all.iter().enumerate().fold((0.0, 0.0), |(right, of), (index, pattern)| {
        let memory = pattern.history(memories).and_then(History::memory);
        let item = Item { index, weight: pattern.weight, memory };
        (right + item.weight * item.recall_on(model, on.number().into()), of + item.weight)
    });
    (right / of.max(f64::MIN_POSITIVE) * 100.0).round()
}

/// The scripts of a wish: more than one when the receives do not fit on one palette. None when the
/// deck holds nothing of the kind.
fn scripts(wanted: RoundRequest<'_>) -> Vec<Script> {
    let (mut serves, mut balls) = (wanted.serves.to_vec(), wanted.balls);
    let mut scripts = Vec::new();
    while let Ok(built) = build(&RoundRequest { serves: &serves, balls, ..wanted }) {
        scripts.push(built.script);
        if built.left.is_empty() || wanted.switch.is_some() {
            break;
        }
        balls = built.left.len();
        serves = built.left;
    }
    scripts
}

#[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "1 to 120 minutes")]
fn milliseconds(minutes: f64) -> u64 {
    (minutes * 60_000.0) as u64
}

/// Notes of a deck, which leave home only when they are asked for.
fn notes(deck: &Deck) -> Vec<String> {
    let of_serves = deck.active().filter_map(|serve| {
        Some(format!("{}: {}", serve.id, text::one_line(serve.note.as_ref()?)))
    });
    deck.private_note.iter().map(|note| text::one_line(note)).chain(of_serves).collect()
}

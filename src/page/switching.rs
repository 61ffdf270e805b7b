//! Switches in reserve: whether each is ready, when to call it and at which moments.

use minijinja::context;
use minijinja::value::{Serde, Value};
use serde::Serialize;

use crate::deck::Deck;
use crate::game::Receive;
use crate::page::verdict_words::{card_says, drill_warning, readiness};
use crate::page::worded::{Says, Worded};
use crate::tactics::reserve::Reserve;
use crate::tactics::verdict::Lesson;

/// A moment at which a switch can be called without breaking play.
#[derive(Debug, Serialize)]
pub(crate) struct ThinkingTime {
    name: &'static str,
    when: &'static str,
}

/// The moments of a match at which there is time to think.
pub(crate) const MOMENTS: [ThinkingTime; 3] = [
    ThinkingTime {
        name: "towel",
        when: "after every six points, and at the change of ends in the decider",
    },
    ThinkingTime { name: "time-out", when: "once a match, up to one minute" },
    ThinkingTime { name: "between games", when: "up to one minute" },
];

/// The switch that is due by this lesson.
pub(crate) fn due<'s>(lesson: &Lesson, switches: &'s [Reserve]) -> Option<&'s Reserve> {
    let name = lesson.due_switch()?;
    switches.iter().find(|reserve| reserve.name == name)
}

/// What to say about a switch, most important first.
pub fn says(reserve: &Reserve, deck: &Deck) -> Vec<String> {
    if reserve.is_in_plan {
        let nothing =
            "Already in the plan: nothing is left to switch. Put another answer in reserve.";
        return vec![nothing.to_owned()];
    }
    let mut says = Vec::from_iter(drill_warning(reserve.drilled, &reserve.name));
    let when = if reserve.is_due { "Due now, by the points: see above." } else { "In reserve." };
    says.push(when.to_owned());
    let is_alone = reserve.cards.len() == 1;
    says.extend(reserve.cards.iter().map(|(serve, card)| {
        let of_serve = if is_alone { String::new() } else { format!("{}: ", deck.called(serve)) };
        format!("{of_serve}{}", card_says(*card, "the switch"))
    }));
    says
}

/// The switches with their sentences, for a document.
pub(crate) fn documents<'r>(
    deck: &Deck,
    switches: &'r [Reserve],
) -> Vec<Worded<&'r Reserve, Says>> {
    switches.iter().map(|reserve| document(deck, reserve)).collect()
}

fn document<'r>(deck: &Deck, reserve: &'r Reserve) -> Worded<&'r Reserve, Says> {
    Worded { data: reserve, words: Says { says: says(reserve, deck) } }
}

/// The switches as a page needs them: with the receives they change.
pub(crate) fn ranked(deck: &Deck, switches: &[Reserve]) -> Vec<Value> {
    let one = |reserve: &Reserve| {
        let new = deck.switch_called(&reserve.name).map(|switch| &switch.changes);
        let changes = reserve.serves.iter().map(|serve| {
            let new = new.and_then(|changes| changes.get(serve));
            let [old, new] = [deck.plan.get(serve), new].map(|of| of.map(Receive::shown));
            context! { serve => deck.called(serve), old, new }
        });
        let changes: Vec<Value> = changes.collect();
        context! { weighed => Serde(document(deck, reserve)), ready => readiness(reserve.drilled), changes }
    };
    switches.iter().map(one).collect()
}

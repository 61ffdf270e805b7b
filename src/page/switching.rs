//! Switches in reserve: what each is worth, whether it is ready, when to call it and at which
//! moments.

use minijinja::context;
use minijinja::value::{Serde, Value};
use serde::Serialize;

use crate::deck::Deck;
use crate::game::Receive;
use crate::page::numbers::{of_hundred, points_behind, signed, suspected};
use crate::page::verdict_words::drill_warning;
use crate::page::worded::Worded;
use crate::tactics::reserve::{Reserve, TimingRow};
use crate::tactics::timing::Trigger;

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

/// When a switch is made, for somebody who plays.
fn trigger_words(trigger: Trigger) -> String {
    match trigger {
        Trigger::Never => "never".to_owned(),
        Trigger::FromTheStart => "from the first ball".to_owned(),
        Trigger::SecondGame => "with the second game".to_owned(),
        Trigger::Decider => "in the decider".to_owned(),
        Trigger::EitherAt(points) => format!("when either has {points}"),
        Trigger::OnceRead => "as soon as it is read".to_owned(),
        Trigger::Best => "at the best moment".to_owned(),
    }
}

/// What to say about a switch, most important first.
pub fn says(reserve: &Reserve) -> Vec<String> {
    if reserve.is_in_plan {
        let nothing =
            "Already in the plan: nothing is left to switch. Put another answer in reserve.";
        return vec![nothing.to_owned()];
    }
    let mut says = Vec::from_iter(drill_warning(reserve.drilled, &reserve.name));
    let read = reserve.read.map(suspected);
    says.push(match &read {
        _ if reserve.is_due => "Due now, by the points: see above.".to_owned(),
        Some(read) => format!(
            "Keep it in reserve: by the points the plan's answer is read now with {read} in 100."
        ),
        None => "Keep it in reserve: too few points say anything about the plan.".to_owned(),
    });
    let (before, after) = reserve.match_chance;
    let [added, low, high] =
        [after - before, reserve.worth.range.0, reserve.worth.range.1].map(signed);
    let [before, after] = [before, after].map(of_hundred);
    says.push(format!(
        "Made at the first ball, it takes {before} of 100 matches to {after} ({added}) if the rates hold; what is \
         known of its answer ({}) leaves {low} to {high} open. It is better now with a chance of {} in 100.",
        points_behind(reserve.behind),
        suspected(reserve.better)
    ));
    // When to call it; nothing when no table says.
    let best = reserve.timing.first().map(|row| row.best);
    says.extend(match (best, read) {
        (_, Some(read)) if reserve.is_due => Some(format!(
            "When: from the first ball. The old answer is taken to be read already, with {read} in 100 at the next \
             ball."
        )),
        _ if reserve.is_due => Some("When: from the first ball.".to_owned()),
        (Some(best), _) if reserve.timing.iter().all(|row| row.best == best) => Some(format!(
            "When, if the match starts with nothing read: {}, whatever is assumed below.",
            trigger_words(best)
        )),
        (Some(_), _) => Some(
            "When depends on how they read: see the table; it starts with nothing read.".to_owned(),
        ),
        (None, _) => None,
    });
    says
}

/// The switches with their sentences, for a document.
pub(crate) fn documents(switches: &[Reserve]) -> Vec<impl Serialize + '_> {
    switches.iter().map(document).collect()
}

fn document(reserve: &Reserve) -> impl Serialize + '_ {
    #[derive(Serialize)]
    struct RowWords {
        assumes: String,
        best: String,
        rules: Vec<(String, f64)>,
    }
    #[derive(Serialize)]
    struct ReserveWords<T> {
        timing: Vec<T>,
        says: Vec<String>,
    }
    let row = |data: &TimingRow| {
        let lasts = if data.lasts { "the new answer lasts" } else { "the new one soon fades" };
        let words = RowWords {
            assumes: format!("they read in {} balls; {lasts}", data.read_after),
            best: trigger_words(data.best),
            rules: data.rules.iter().map(|(rule, win)| (trigger_words(*rule), *win)).collect(),
        };
        Worded { data: data.clone(), words }
    };
    let timing = reserve.timing.iter().map(row).collect();
    Worded { data: reserve, words: ReserveWords { timing, says: says(reserve) } }
}

/// The switches as a page needs them: with the receives they change.
pub(crate) fn ranked(deck: &Deck, switches: &[Reserve]) -> Vec<Value> {
    let one = |reserve: &Reserve| {
        let new = deck.switch_called(&reserve.name).map(|switch| &switch.changes);
        let changes = reserve.serves.iter().map(|serve| {
            let new = new.and_then(|changes| changes.get(serve));
            let [old, new] = [deck.plan.get(serve), new].map(|of| of.map(Receive::shown));
            context! { serve => serve.as_str(), old, new }
        });
        let changes: Vec<Value> = changes.collect();
        context! { weighed => Serde(document(reserve)), changes }
    };
    switches.iter().map(one).collect()
}

//! Switches in reserve as text: what each is worth, whether it is ready, when to call it and at
//! which moments.

use serde::Serialize;

use crate::base::text;
use crate::deck::Deck;
use crate::game::Receive;
use crate::page::numbers::{of_hundred, points_behind, range, signed, suspected};
use crate::page::paragraph::hung;
use crate::page::verdict_words::drill_warning;
use crate::page::worded::{Says, Worded};
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

/// Columns of the assumption in the table of moments.
const ASSUMES: usize = 36;
/// Columns of the rule in it.
const RULE: usize = 21;

/// Every switch, the most worthwhile first, then the moments of a match.
pub(crate) fn lines(lines: &mut Vec<String>, deck: &Deck, ranked: &[Reserve], width: usize) {
    lines.push("SWITCHES, the most worthwhile first".to_owned());
    if ranked.is_empty() {
        lines.push(hung(
            "  ",
            "None in the plan. One answer held ready for when the first is read is worth having: \
             `secondball plan switch add`.",
            width,
        ));
        return;
    }
    for reserve in ranked {
        lines.push(String::new());
        one(lines, deck, reserve, width);
    }
    lines.push(String::new());
    let moments: Vec<String> =
        MOMENTS.iter().map(|moment| format!("{} ({})", moment.name, moment.when)).collect();
    lines.push(hung("  ", &format!("Moments with time to think: {}.", moments.join("; ")), width));
}

/// Firm, not firm or never drilled, in words that stand alone.
pub(crate) fn readiness(reserve: &Reserve) -> String {
    match reserve.drilled.recall {
        None => "never drilled".to_owned(),
        Some(recall) => {
            let word = if reserve.drilled.is_firm { "firm" } else { "NOT firm" };
            format!("{word}, recall on match day {} of 100", suspected(recall))
        }
    }
}

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

/// `in 4 balls; the new answer lasts`: what a row takes them to do.
fn assumes(row: &TimingRow) -> String {
    let lasts = if row.lasts { "the new answer lasts" } else { "the new one soon fades" };
    format!("in {} balls; {lasts}", row.read_after)
}

/// What to say about a switch, most important first.
pub fn says(reserve: &Reserve) -> Vec<String> {
    if reserve.is_in_plan {
        return vec![
            "Already in the plan: nothing is left to switch. Put another answer in reserve."
                .to_owned(),
        ];
    }
    let mut says = Vec::new();
    says.extend(drill_warning(reserve.drilled, &reserve.name));
    says.push(match (reserve.is_due, reserve.read) {
        (true, _) => "Due now, by the points: see above.".to_owned(),
        (false, Some(read)) => format!(
            "Keep it in reserve: by the points the plan's answer is read now with {} in 100.",
            suspected(read)
        ),
        (false, None) => {
            "Keep it in reserve: too few points say anything about the plan.".to_owned()
        }
    });
    let (before, after) = reserve.match_chance;
    let (low, high) = reserve.worth.range;
    says.push(format!(
        "Made at the first ball, it takes {} of 100 matches to {} ({}) if the rates hold; what is known of its \
         answer ({}) leaves {} to {} open. It is better now with a chance of {} in 100.",
        of_hundred(before),
        of_hundred(after),
        signed(after - before),
        points_behind(reserve.behind),
        signed(low),
        signed(high),
        suspected(reserve.better)
    ));
    says.extend(when(reserve));
    says
}

/// When to call it; nothing when no table says.
fn when(reserve: &Reserve) -> Option<String> {
    if reserve.is_due {
        let read = reserve.read.map(|read| {
            format!(
                " The old answer is taken to be read already, with {} in 100 at the next ball.",
                suspected(read)
            )
        });
        return Some(format!("When: from the first ball.{}", read.unwrap_or_default()));
    }
    let first = reserve.timing.first()?.best;
    Some(if reserve.timing.iter().all(|row| row.best == first) {
        format!(
            "When, if the match starts with nothing read: {}, whatever is assumed below.",
            trigger_words(first)
        )
    } else {
        "When depends on how they read: see the table; it starts with nothing read.".to_owned()
    })
}

/// The words of a row of the timing table, for its document.
#[derive(Debug, Serialize)]
struct RowWords {
    assumes: String,
    best: String,
    rules: Vec<(String, f64)>,
}

#[derive(Serialize)]
struct ReserveWords<'a> {
    timing: Vec<Worded<&'a TimingRow, RowWords>>,
    #[serde(flatten)]
    says: Says,
}

/// The switches with their sentences, for a document.
pub(crate) fn documents(switches: &[Reserve]) -> Vec<impl Serialize + '_> {
    switches.iter().map(|data| Worded { data, words: reserve_words(data) }).collect()
}

fn reserve_words(reserve: &Reserve) -> ReserveWords<'_> {
    let rows = reserve.timing.iter().map(|data| Worded { data, words: row_words(data) });
    ReserveWords { timing: rows.collect(), says: Says { says: says(reserve) } }
}

fn row_words(row: &TimingRow) -> RowWords {
    RowWords {
        assumes: format!("they read {}", assumes(row)),
        best: trigger_words(row.best),
        rules: row.rules.iter().map(|(rule, win)| (trigger_words(*rule), *win)).collect(),
    }
}

fn one(lines: &mut Vec<String>, deck: &Deck, reserve: &Reserve, width: usize) {
    let name = text::one_line(&reserve.name);
    lines.push(hung("  ", &format!("{name}  ({})", readiness(reserve)), width));
    if let Some(cue) = &reserve.cue {
        lines.push(hung("    when      ", cue, width));
    }
    for serve in &reserve.serves {
        lines.push(format!("    serve     {serve}"));
        if let Some(old) = deck.plan.get(serve) {
            let label = if reserve.is_in_plan { "plan" } else { "not" };
            lines.push(hung(&format!("    {label:<9} "), &old.shown(), width));
        }
        if reserve.is_in_plan {
            continue;
        }
        let new = deck.switch_called(&reserve.name).and_then(|switch| switch.changes.get(serve));
        if let Some(new) = new {
            lines.push(hung("    now       ", &Receive::shown(new), width));
        }
    }
    for sentence in says(reserve) {
        lines.push(hung("    ", &sentence, width));
    }
    if reserve.is_in_plan {
        return;
    }
    let basis = if reserve.cost_is_assumed {
        "assumed: the drill has no forecast for it yet"
    } else {
        "from the drill's own forecast"
    };
    lines.push(hung(
        "    ",
        &format!(
            "Holding it in the head costs {:.1} of 100 points on their serve ({basis}); that is \
             already taken off, only the range is without it.",
            reserve.memory_cost * 100.0
        ),
        width,
    ));
    // The table starts with nothing read; that is not where a switch stands that is due.
    if let Some(rates) = reserve.rates.filter(|_| !reserve.is_due) {
        let said = format!(
            "The table takes the plan's answer to win {} of 100 unread and {} read, the new one {} ({}, \
             {}).",
            of_hundred(rates.old.0),
            of_hundred(rates.old.1),
            of_hundred(rates.new),
            range(rates.range),
            points_behind(reserve.behind)
        );
        lines.push(hung("    ", &said, width));
        table(lines, &reserve.timing);
    }
}

/// When, under which assumption: nobody knows how fast this opponent reads.
fn table(lines: &mut Vec<String>, rows: &[TimingRow]) {
    let head = (text::fit("if they read", ASSUMES), text::fit("call it", RULE));
    lines.push(format!("    {} {} adds", head.0, head.1));
    for row in rows {
        let (low, high) = row.range;
        lines.push(format!(
            "    {} {} {:+.0} ({:+.0} to {:+.0})",
            text::fit(&assumes(row), ASSUMES),
            text::fit(&trigger_words(row.best), RULE),
            row.gain * 100.0,
            low * 100.0,
            high * 100.0,
        ));
    }
    lines.push(
        "    (adds: of 100 matches, against never switching; in brackets what the new".to_owned(),
    );
    lines.push("    answer's rate leaves open)".to_owned());
}

//! Switches in reserve as text: what each is worth, whether it is ready, when to call it and at which moments.

use crate::base::text;
use crate::deck::Deck;
use crate::game::Receive;
use crate::page::paragraph::hung;
use crate::tactics::reserve::{MOMENTS, Reserve, TimingRow};
use crate::tactics::verdict::behind;
use crate::tactics::words::{of_hundred, suspected};

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
    for sentence in &reserve.says {
        lines.push(hung("    ", sentence, width));
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
            "The table takes the plan's answer to win {} of 100 unread and {} read, the new one {} ({} to {}, \
             {}).",
            of_hundred(rates.old.0),
            of_hundred(rates.old.1),
            of_hundred(rates.new),
            of_hundred(rates.range.0),
            of_hundred(rates.range.1),
            behind(reserve.behind)
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
            text::fit(row.assumes.strip_prefix("they read ").unwrap_or(&row.assumes), ASSUMES),
            text::fit(&row.best, RULE),
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

/// The chance of a match before and after: `46 -> 48 of 100 matches`.
pub(crate) fn change_of_match((before, after): (f64, f64)) -> String {
    format!("{} -> {} of 100 matches", of_hundred(before), of_hundred(after))
}

//! The sentences of a verdict: what to do first, then on what evidence. "Likely, not sure" is the
//! strongest word: that they read an answer is never said as a fact, no chance is printed.

use crate::base::text::{and_list, count, one_line};
use crate::game::Receive;
use crate::page::numbers::sureness;
use crate::page::opponent::aim_words;
use crate::receive::Aim;
use crate::tactics::adaptation::Card;
use crate::tactics::evidence::Recent;
use crate::tactics::record::Record;
use crate::tactics::reserve::Drilled;
use crate::tactics::verdict::{FEWEST_PLAYED, FEWEST_POINTS, Instead, Lesson, Verdict};

/// Newest matches told apart from the rest.
const LAST_MATCHES: usize = 2;

/// `won 24 of 50 points (sure); 9 of 26 in the last 2 matches`.
pub(crate) fn so_far(record: &Record) -> String {
    let mut parts = Vec::new();
    if record.points > 0 {
        let (points, won) = (record.points, record.points - record.lost);
        let word = sureness(f64::from(points));
        parts.push(format!("won {won} of {} ({word})", count(points as usize, "point")));
        let last: Vec<_> =
            record.in_matches.values().filter(|seen| seen.points > 0).take(LAST_MATCHES).collect();
        let newest: u32 = last.iter().map(|seen| seen.points).sum();
        let newest_won: u32 = last.iter().map(|seen| seen.won).sum();
        if newest < points {
            let matches = match last.len() {
                1 => "match".to_owned(),
                several => format!("{several} matches"),
            };
            parts.push(format!("{newest_won} of {newest} in the last {matches}"));
        }
    }
    if record.debriefed > 0.0 {
        parts.push(format!("about {:.0} more told in debriefs, counted half", record.debriefed));
    }
    parts.join("; ")
}

/// ` in m5`, ` in m6 and m5`; nothing when no match is known.
fn in_matches(matches: &[String]) -> String {
    let words: Vec<String> = matches.iter().map(|word| one_line(word)).collect();
    if words.is_empty() { String::new() } else { format!(" in {}", and_list(&words)) }
}

/// How the switch did, or whatever else was played instead of the plan.
fn how_it_did(instead: &Instead) -> String {
    let (points, won) = instead.points;
    let what = match &instead.switch {
        Some(name) => format!("The switch \"{}\" was played", one_line(name)),
        None => format!("Instead of the plan: {}", instead.receive.short()),
    };
    let badly = match instead.badly {
        (0, 0) => String::new(),
        (loose, missed) => format!(" ({loose} high, {missed} missed)"),
    };
    let of_match = in_matches(std::slice::from_ref(&instead.of_match));
    let few = if f64::from(points) < FEWEST_POINTS { ", too few to judge it" } else { "" };
    format!("{what}{of_match}: {won} of {} won{badly}{few}.", count(points as usize, "point"))
}

/// `5 of 9 came high or missed in m5, 27 of 45 in all`.
fn badly(lesson: &Lesson) -> String {
    let ((newest, of), (badly, points)) = (lesson.badly_newest, lesson.badly_in_all);
    if of == points {
        return format!("{badly} of {points} came high or missed");
    }
    // A match with a point or two of it says nothing alone.
    let recent = &lesson.recent;
    let (newest, of, matches) = if f64::from(of) < FEWEST_PLAYED {
        (recent.loose + recent.missed, recent.points, &recent.matches[..])
    } else {
        (newest, of, recent.matches.get(..1).unwrap_or_default())
    };
    let of_match = in_matches(matches);
    format!("{newest} of {of} came high or missed{of_match}, {badly} of {points} in all")
}

/// What to do, in one sentence.
pub fn what_to_do(lesson: &Lesson) -> String {
    let receive = lesson.receive.short();
    let other = lesson.alternative.as_ref().map(Receive::short).unwrap_or_default();
    match (lesson.verdict, &lesson.switch) {
        (Verdict::Change, Some(name)) => {
            format!("Make the switch \"{}\": {other}.", one_line(name))
        }
        (Verdict::Change, None) => {
            format!("Prepare another answer: {other}. Until it is drilled keep {receive}.")
        }
        (Verdict::PlayItBetter, _) => {
            let (badly, better) = (badly(lesson), better(lesson.cure, lesson.aim));
            format!("Keep {receive}, play it better: {badly}. {better}")
        }
        (Verdict::TryOnce, Some(name)) => {
            format!("Try the switch \"{}\" once, early in a game: {other}.", one_line(name))
        }
        (Verdict::TryOnce, None) => {
            format!("Keep {receive}; in practice prepare one that goes elsewhere: {other}.")
        }
        (Verdict::Keep, _) if lesson.behind < 0.5 => {
            format!("Keep {receive}: no points of it yet.")
        }
        (Verdict::Keep, _) => format!("Keep {receive}."),
    }
}

/// Why another answer is to be played: how sure, and on which balls; nothing where the plan is
/// kept.
pub(crate) fn why_another(lesson: &Lesson) -> Option<String> {
    let how_sure = match lesson.verdict {
        Verdict::Change => "Likely, not sure",
        Verdict::TryOnce => "A hint",
        Verdict::PlayItBetter | Verdict::Keep => return None,
    };
    let Recent { clean, lost, waited, .. } = lesson.recent;
    let mut facts = Vec::new();
    if clean > 0 {
        let when = match lesson.recent.matches.len() {
            0 | 1 => "last time".to_owned(),
            several => format!("in the last {several} matches"),
        };
        facts.push(format!("{lost} of {clean} good receives lost {when}"));
    }
    facts.extend((waited > 0).then(|| format!("they waited for {waited}")));
    facts.extend(lesson.is_told_read.then(|| "you said they read it".to_owned()));
    Some(format!("{how_sure}: {}.", facts.join(", ")))
}

/// What the bench has to know of a verdict; nothing new is tried there.
pub fn at_the_bench(lesson: &Lesson, drilled: impl Fn(&str) -> Drilled) -> Option<String> {
    match (lesson.verdict, &lesson.switch) {
        (Verdict::Keep, _) | (Verdict::Change | Verdict::TryOnce, None) => None,
        (Verdict::Change, Some(name)) => {
            let parts = why_another(lesson).into_iter().chain(drill_warning(drilled(name), name));
            Some(parts.collect::<Vec<_>>().join(" "))
        }
        (Verdict::PlayItBetter, _) => {
            let (badly, points) = lesson.badly_in_all;
            let better = better(lesson.cure, lesson.aim);
            Some(format!("{badly} of {points} high or missed. {better}"))
        }
        (Verdict::TryOnce, Some(_)) => Some(what_to_do(lesson)),
    }
}

/// All sentences, what to do first; for a switch that is due, what the drill says of it is the
/// second.
pub fn lesson_says(lesson: &Lesson, drilled: Option<Drilled>) -> Vec<String> {
    let mut says = vec![what_to_do(lesson)];
    if let (Some(name), Some(drilled)) = (lesson.due_switch(), drilled) {
        says.extend(drill_warning(drilled, name));
    }
    says.extend(why_another(lesson));
    says.extend(lesson.instead.iter().map(how_it_did));
    if let (Some(card), Some(name)) = (lesson.card, &lesson.switch) {
        says.push(format!("At the table: {}", card_says(card, &format!("\"{}\"", one_line(name)))));
    }
    says
}

/// When to change at the table, and back: all that has to be counted is points lost in a row.
/// `switch` is what the other answer is called.
pub(crate) fn card_says(card: Card, switch: &str) -> String {
    let (mut first, mut second) = ("the plan's answer", switch);
    if card.starts_with_other {
        (first, second) = (second, first);
    }
    match (card.change_after, card.back_after) {
        (None, _) => format!("stay with {first}."),
        (Some(lost), None) => {
            format!("start with {first}; {lost} lost in a row: {second}, and stay.")
        }
        (Some(lost), Some(back)) => {
            format!("start with {first}; {lost} lost in a row: {second}; {back} with that: back.")
        }
    }
}

/// How well the drill knows a switch.
pub(crate) const fn readiness(drilled: Drilled) -> &'static str {
    match drilled.recall {
        Some(_) if drilled.is_firm => "ready",
        Some(_) => "not ready yet",
        None => "never drilled",
    }
}

/// What has to be said before a switch of this name is called; nothing when it is ready.
pub(crate) fn drill_warning(drilled: Drilled, name: &str) -> Option<String> {
    let risk = ": under stress the old answer will come out";
    let risk = if drilled.recall.is_none() { risk } else { "" };
    let (is, name) = (readiness(drilled), one_line(name));
    let is = if drilled.recall.is_none() {
        is.replace("never", "was never")
    } else {
        format!("is {is}")
    };
    (!drilled.is_firm).then(|| format!("\"{name}\" {is}{risk}."))
}

/// How the same receive is played better, and where to aim it against the side spin.
pub(crate) fn better(cure: &str, aim: Option<Aim>) -> String {
    match aim {
        Some(aim) => format!("{cure} {}.", aim_words(aim)),
        None => cure.to_owned(),
    }
}

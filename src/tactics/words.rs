//! The sentences about numbers: what is advised, how far to trust it, and why.
//!
//! Rates are told as "of 100 points", chances of a match in points of a hundred. Nothing here decides;
//! the decisions are in [`crate::tactics::advice`] and [`crate::tactics::lessons`].

use crate::base::text::{and_list, count};
use crate::tactics::adaptation::WORTH_SWITCHING;
use crate::tactics::advice::{ChangeWorth, Choice, Mix, OtherDrop, Question, ServeAdvice};
use crate::tactics::rates::Knowledge;

/// A rate as a whole number of points in a hundred.
pub fn of_hundred(rate: f64) -> String {
    format!("{:.0}", rate * 100.0)
}

/// A difference of chances, signed: `+1.4`.
pub fn signed(difference: f64) -> String {
    format!("{:+.1}", difference * 100.0)
}

/// A ratio as it is said: `2 : 3`.
pub fn ratio(parts: &[u32]) -> String {
    let used: Vec<String> = parts.iter().filter(|part| **part > 0).map(u32::to_string).collect();
    used.join(" : ")
}

/// A rate with its range and the word for what is behind it: `48 of 100 (41 to 55, weak: 9 points)`.
pub fn rate_with_range(choice: &Choice) -> String {
    let (low, high) = choice.interval;
    let behind = if choice.points < 0.05 {
        choice.known.to_owned()
    } else {
        format!("{}: {:.0} points", choice.known, choice.points.max(1.0))
    };
    format!(
        "{} of 100 ({} to {}, {behind})",
        of_hundred(choice.rate),
        of_hundred(low),
        of_hundred(high)
    )
}

/// A belief as chances in a hundred; never certainty.
pub fn suspected(chance: f64) -> String {
    if chance > 0.95 {
        "over 95".to_owned()
    } else if chance < 0.05 {
        "under 5".to_owned()
    } else {
        of_hundred(chance)
    }
}

/// A receive among others: its stroke, with the target when another one has the same stroke.
fn name_among(choice: &Choice, others: &[(&Choice, u32)]) -> String {
    let stroke = choice.receive.stroke_shown();
    let same = others.iter().filter(|(other, _)| other.receive.stroke_shown() == stroke).count();
    if same > 1 && !choice.receive.to.is_open() {
        format!("{stroke} {}", choice.receive.to.shown())
    } else {
        stroke
    }
}

/// Why the shares of a mix are as they are, above all why the better receive comes less often.
pub fn why_this_mix(choices: &[Choice], parts: &[u32]) -> String {
    let mut used: Vec<(&Choice, u32)> =
        choices.iter().zip(parts.iter().copied()).filter(|(_, part)| *part > 0).collect();
    used.sort_by(|a, b| b.0.unread.total_cmp(&a.0.unread));
    let (Some((best, best_part)), Some((other, other_part))) =
        (used.first().copied(), used.iter().max_by_key(|(_, part)| *part).copied())
    else {
        return String::new();
    };
    let name = |choice: &Choice| name_among(choice, &used);
    let drop = |choice: &Choice| of_hundred(choice.drop);
    if used.len() == 1 {
        let left = of_hundred(best.unread - best.drop);
        return format!("Even when he waits for it, the {} wins {left} of 100.", name(best));
    }
    if other_part > best_part {
        return format!(
            "The {} is the better receive ({} of 100 against {}) and still comes less often: \
             it loses {} when he waits for it, the {} only {}. The more a receive suffers from \
             being read, the rarer it has to be.",
            name(best),
            of_hundred(best.unread),
            of_hundred(other.unread),
            drop(best),
            name(other),
            drop(other),
        );
    }
    let lost: Vec<String> = used
        .iter()
        .map(|(choice, _)| format!("the {} loses {}", name(choice), drop(choice)))
        .collect();
    format!(
        "Played alone, each can be waited for: then {} of 100. In this ratio he gains nothing \
         by waiting for any of them.",
        and_list(&lost),
    )
}

/// What is said about one serve: the advice first, then why, then how far to trust it.
pub(crate) fn serve_says(
    choices: &[Choice],
    mix: Option<&Mix>,
    other_drops: &[OtherDrop],
    worth: Option<ChangeWorth>,
) -> Vec<String> {
    let Some(first) = choices.first() else { return Vec::new() };
    let mut says = Vec::new();
    let planned = choices.iter().find(|choice| choice.in_plan);
    says.push(match planned {
        None => format!("No plan yet: start with {}.", first.receive.shown()),
        Some(plan) if plan.in_plan && first.in_plan => {
            format!("Keep the plan: {}.", first.receive.shown())
        }
        Some(_) => {
            let chance = first.better_than_plan.unwrap_or(0.5);
            let held = match &first.in_switch {
                Some(name) => format!(" (your switch `{name}`)"),
                None => String::new(),
            };
            let what = format!("{}{held}", first.receive.shown());
            if chance >= WORTH_SWITCHING {
                format!(
                    "Change to {what}: better than the plan with a chance of {} in 100.",
                    suspected(chance)
                )
            } else {
                format!(
                    "Keep the plan for now: {what} looks better, but with a chance of only {} \
                     in 100.",
                    suspected(chance)
                )
            }
        }
    });
    if first.is_common_practice || first.points < 0.05 {
        says.push("No points behind it: common practice, your repertoire first.".to_owned());
    }
    if let Some(worth) = worth {
        says.push(format!(
            "Worth {} of 100 matches if the rates are right; they leave {} to {} open.",
            signed(worth.expected),
            signed(worth.range.0),
            signed(worth.range.1)
        ));
    }
    if let Some(mix) = mix.filter(|mix| mix.is_single()) {
        says.push(format!("No mix is needed. {}", mix.why));
    } else if let Some(mix) = mix {
        let names: Vec<String> = choices
            .iter()
            .zip(&mix.parts)
            .filter(|(_, part)| **part > 0)
            .map(|(choice, part)| format!("{part} x {}", choice.receive.shown()))
            .collect();
        says.push(format!(
            "Against somebody who reads you: {}. Secures {} of 100, the best one alone {}; \
             rounding costs {:.1}.",
            and_list(&names),
            of_hundred(mix.secures),
            of_hundred(mix.alone),
            mix.rounding_costs * 100.0,
        ));
        says.push(mix.why.clone());
        if !other_drops.is_empty() {
            says.push(drop_sentence(mix, other_drops));
        }
    }
    says
}

/// Whether the ratio holds when the assumed drop is wrong.
fn drop_sentence(mix: &Mix, other_drops: &[OtherDrop]) -> String {
    let moved: Vec<String> = other_drops
        .iter()
        .filter(|other| other.parts != mix.parts)
        .map(|other| of_hundred(other.drop))
        .collect();
    if moved.is_empty() {
        "The ratio is the same whether being read costs 8, 15 or 25 of 100.".to_owned()
    } else {
        format!("If being read cost {} of 100, the ratio would be another.", or_list(&moved))
    }
}

/// `8`, `8 or 25`, `8, 15 or 25`.
fn or_list(words: &[String]) -> String {
    match words {
        [first @ .., last] if !first.is_empty() => format!("{} or {last}", first.join(", ")),
        _ => words.concat(),
    }
}

/// What went in unmeasured, and what raw rates cannot say.
pub(crate) fn notes(question: &Question<'_>, serves: &[ServeAdvice]) -> Vec<String> {
    let mut notes = Vec::new();
    if question.history.is_empty() {
        notes.push(
            "No match recorded yet: receives are common practice, rates start from \
             \"receivers win slightly under half\"."
                .to_owned(),
        );
    } else {
        let matches = match question.history.matches.len() {
            1 => "one match".to_owned(),
            several => format!("{several} matches"),
        };
        notes.push(format!("From {matches}; older matches count less, debriefs half."));
    }
    if question.history.unknown > 0 {
        notes.push(format!(
            "{} without a known serve or receive: kept, but in no rate above.",
            count(question.history.unknown, "point")
        ));
    }
    if serves.iter().flat_map(|serve| &serve.choices).any(|choice| choice.drop_is_assumed) {
        notes.push(
            "What being read costs is assumed, the same for every receive, until \"was he \
             waiting\" has been noted at least eight times each way."
                .to_owned(),
        );
    }
    if serves.iter().flat_map(|serve| &serve.choices).any(|choice| {
        choice.points > 0.05 && Knowledge::from_points(choice.points) <= Knowledge::Weak
    }) {
        notes.push(
            "Rates with few points are pulled towards the mean of their kind of receive."
                .to_owned(),
        );
    }
    notes.extend(RAW_RATES.iter().map(|note| (*note).to_owned()));
    notes
}

/// What raw rates cannot say.
pub const RAW_RATES: [&str; 2] = [
    "You did not choose receives at random: a receive kept for easy balls looks better than it is.",
    "Points are treated as independent once the serve is known.",
];

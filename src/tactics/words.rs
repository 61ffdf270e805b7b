//! The sentences about numbers: what is advised, how far to trust it, and why.
//!
//! Rates are told as "of 100 points", chances of a match in points of a hundred. Nothing here decides;
//! the decisions are in [`crate::tactics::advice`] and [`crate::tactics::lessons`].

use crate::base::order::largest_first;
use crate::base::text::{and_list, count};
use crate::tactics::advice::{ChangeWorth, Choice, Mix, OtherDrop, Question, ServeAdvice};
use crate::tactics::rates::Knowledge;
use crate::tactics::verdict::{FEWEST_POINTS, Lesson};

/// A rate as a whole number of points in a hundred.
pub fn of_hundred(rate: f64) -> String {
    format!("{:.0}", rate * 100.0)
}

/// A difference of chances, signed: `+1.4`.
pub fn signed(difference: f64) -> String {
    format!("{:+.1}", difference * 100.0)
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
    largest_first(&mut used, |(choice, _)| choice.unread);
    let (Some((best, best_part)), Some((other, other_part))) =
        (used.first().copied(), used.iter().max_by_key(|(_, part)| *part).copied())
    else {
        return String::new();
    };
    let name = |choice: &Choice| name_among(choice, &used);
    // What is measured and what is only assumed must not be compared as if they were one.
    let drop = |choice: &Choice| {
        let assumed = if choice.drop_is_assumed { ", assumed" } else { ", measured" };
        format!("{}{assumed}", of_hundred(choice.drop))
    };
    if used.len() == 1 {
        let left = of_hundred(best.unread - best.drop);
        return format!("Even when they wait for it, the {} wins {left} of 100.", name(best));
    }
    if other_part > best_part {
        return format!(
            "When they are not waiting, the {} is the better receive ({} of 100 against {}). It still comes \
             less often, because it loses more when they wait for it (the {}: {}; the {}: {}). The more a \
             receive suffers from being read, the rarer it has to be.",
            name(best),
            of_hundred(best.unread),
            of_hundred(other.unread),
            name(best),
            drop(best),
            name(other),
            drop(other),
        );
    }
    let lost: Vec<String> =
        used.iter().map(|(choice, _)| format!("the {} {}", name(choice), drop(choice))).collect();
    format!(
        "Played alone, each can be waited for; of 100 points that costs {}. In this ratio they gain nothing \
         by waiting for any of them.",
        and_list(&lost),
    )
}

/// What is said about one serve: the verdict first, then why, then how far to trust it.
pub(crate) fn serve_says(
    choices: &[Choice],
    lesson: Option<&Lesson>,
    (mix, other_drops): (Option<&Mix>, &[OtherDrop]),
    worth: Option<ChangeWorth>,
) -> Vec<String> {
    let Some(first) = choices.first() else { return Vec::new() };
    let mut says = if let Some(lesson) = lesson {
        lesson.says.clone()
    } else {
        let mut says = vec![format!("No plan yet: start with {}.", first.receive.shown())];
        if first.behind < FEWEST_POINTS {
            says.push(
                "It has no points to speak of: common practice, your repertoire first.".to_owned(),
            );
        }
        says
    };
    if let Some(worth) = worth {
        says.push(format!(
            "If these rates hold, changing now takes {} of 100 matches to {} ({}), before the cost of remembering \
             it; the few points leave {} to {} open.",
            of_hundred(worth.before),
            of_hundred(worth.before + worth.expected),
            signed(worth.expected),
            signed(worth.range.0),
            signed(worth.range.1)
        ));
    }
    if let Some(mix) = mix {
        says.extend(mix_says(choices, mix, other_drops));
    }
    says
}

/// A mix in words; nothing when none of its receives has a point.
fn mix_says(choices: &[Choice], mix: &Mix, other_drops: &[OtherDrop]) -> Vec<String> {
    let used = || choices.iter().zip(&mix.parts).filter(|(_, part)| **part > 0);
    if used().all(|(choice, _)| choice.behind < FEWEST_POINTS) {
        return Vec::new();
    }
    if mix.is_single() {
        return vec![format!("No mix is needed. {}", mix.why)];
    }
    let names: Vec<String> =
        used().map(|(choice, part)| format!("{part} x {}", choice.receive.shown())).collect();
    let names = and_list(&names);
    if mix.is_illustration {
        let without: Vec<String> = used()
            .filter(|(choice, _)| choice.behind < FEWEST_POINTS)
            .map(|(choice, _)| choice.receive.shown())
            .collect();
        return vec![format!(
            "A mix would be harder to read, for example {names}: only an illustration, until there are five \
             points or more of {}.",
            and_list(&without)
        )];
    }
    let mut says = vec![format!(
        "Against somebody who reads you: {names}. Whatever they wait for, that wins {} of 100 points against \
         this serve; the best receive alone, always waited for, {}.",
        of_hundred(mix.secures),
        of_hundred(mix.alone),
    )];
    says.push(mix.why.clone());
    if !other_drops.is_empty() {
        says.push(drop_sentence(mix, other_drops));
    }
    says
}

/// Whether the ratio holds when the assumed drop is wrong; the receives are called by their letters in the table.
fn drop_sentence(mix: &Mix, other_drops: &[OtherDrop]) -> String {
    if other_drops.iter().all(|other| other.parts == mix.parts) {
        return "The ratio is the same whether being read costs 8, 15 or 25 of 100.".to_owned();
    }
    let rows: Vec<String> = other_drops
        .iter()
        .map(|other| format!("{} of 100, {}", of_hundred(other.drop), lettered(&other.parts)))
        .collect();
    format!("The ratio is an assumption. If being read costs {}.", rows.join("; "))
}

/// The letter of a choice: A, B, C.
pub fn letter(place: usize) -> char {
    u8::try_from(place).map_or('?', |place| char::from(b'A' + place.min(25)))
}

/// `A:C as 1:3`; `A alone`.
fn lettered(parts: &[u32]) -> String {
    let used: Vec<(char, u32)> = parts
        .iter()
        .enumerate()
        .filter(|(_, part)| **part > 0)
        .map(|(place, part)| (letter(place), *part))
        .collect();
    if let [(only, _)] = used.as_slice() {
        return format!("{only} alone");
    }
    let letters: Vec<String> = used.iter().map(|(letter, _)| letter.to_string()).collect();
    let parts: Vec<String> = used.iter().map(|(_, part)| part.to_string()).collect();
    format!("{} as {}", letters.join(":"), parts.join(":"))
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
    notes.extend(drops(serves));
    notes.extend(shares(question));
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

/// What being read costs: measured for some receives, assumed for the others.
fn drops(serves: &[ServeAdvice]) -> Option<String> {
    let planned = serves.iter().flat_map(|serve| {
        serve.choices.iter().filter(|choice| choice.in_plan).map(move |choice| (serve, choice))
    });
    let measured: Vec<String> = planned
        .filter(|(_, choice)| !choice.drop_is_assumed)
        .map(|(serve, choice)| format!("{} ({})", serve.serve, of_hundred(choice.drop)))
        .collect();
    let is_assumed =
        serves.iter().flat_map(|serve| &serve.choices).any(|choice| choice.drop_is_assumed);
    let until = "until \"were they waiting\" has been noted at least eight times each way";
    match (is_assumed, measured.is_empty()) {
        (false, _) => None,
        (true, true) => {
            Some(format!("What being read costs is assumed, the same for every receive, {until}."))
        }
        (true, false) => Some(format!(
            "What being read costs (of 100 points) is measured for the plan's answer to {}; for every other receive \
             it is assumed, {until}.",
            and_list(&measured)
        )),
    }
}

/// Fewest recorded points that can speak about how often each serve comes.
const FEWEST_SHARES: u32 = 40;
/// Difference of a share from which it is worth a word.
const SHARE_IS_OFF: f64 = 0.07;

/// How often the serves came in the recorded points, when that is not what the deck says.
fn shares(question: &Question<'_>) -> Option<String> {
    let came = |id| question.history.came.get(id).copied().unwrap_or(0);
    let total: u32 = question.deck.active().map(|serve| came(&serve.id)).sum();
    if total < FEWEST_SHARES {
        return None;
    }
    let share = |id| f64::from(came(id)) / f64::from(total);
    let is_off = question
        .deck
        .active()
        .any(|serve| (share(&serve.id) - question.deck.share(&serve.id)).abs() > SHARE_IS_OFF);
    let counted: Vec<String> = question
        .deck
        .active()
        .map(|serve| format!("{} {}", serve.id, of_hundred(share(&serve.id))))
        .collect();
    is_off.then(|| {
        format!(
            "How often each serve comes is taken from the plan file; {total} recorded points say {} of 100. \
             `secondball scout count {} --points --write` takes them over.",
            and_list(&counted),
            question.file
        )
    })
}

/// What raw rates cannot say.
pub const RAW_RATES: [&str; 2] = [
    "You did not choose receives at random: a receive kept for easy balls looks better than it is.",
    "Points are treated as independent once the serve is known.",
];

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn choices_are_lettered() {
        assert_eq!(lettered(&[1, 0, 3]), "A:C as 1:3");
        assert_eq!(lettered(&[0, 1]), "B alone");
        assert_eq!((letter(0), letter(7), letter(900)), ('A', 'H', '?'));
    }
}

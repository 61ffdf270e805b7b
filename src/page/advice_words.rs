//! The sentences of the advice: what to play against a serve, why a mix is as it is, and what all
//! of it rests on.

use serde::Serialize;

use crate::agenda::{DrillMode, Todo};
use crate::base::text::{and_list, count, one_line};
use crate::deck::Deck;
use crate::game::{Receive, ServeId};
use crate::page::next::command;
use crate::page::numbers::{letter, matches, of_hundred, points, sureness};
use crate::page::switching::due;
use crate::page::verdict_words::{lesson_says, readiness, why_another};
use crate::tactics::advice::{Advice, AdviceNote, Choice, Mix, OtherDrop, ServeAdvice};
use crate::tactics::lessons::Lessons;
use crate::tactics::reserve::Reserve;
use crate::tactics::verdict::{FEWEST_POINTS, Lesson, Verdict};

/// What raw rates cannot say.
const RAW_RATES: [&str; 2] = [
    "You did not choose receives at random: a receive kept for easy balls looks better than it is.",
    "Points are treated as independent once the serve is known.",
];

/// What to do about one serve or several: a word, and the rest.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct ShortLine {
    pub word: &'static str,
    pub says: String,
}

/// What to do with every serve, most pressing first.
pub fn in_short(
    deck: &Deck,
    advice: &Advice,
    lessons: &Lessons,
    switches: &[Reserve],
) -> Vec<ShortLine> {
    let mut lines = Vec::new();
    let mut add = |word, says| lines.push(ShortLine { word, says });
    let is_kept = |lesson: &&Lesson| lesson.verdict == Verdict::Keep;
    for lesson in lessons.lessons.iter().filter(|lesson| !is_kept(lesson)) {
        let (word, says) = line(lesson, switches);
        add(word, format!("{}: {says}", deck.called(&lesson.serve)));
    }
    let kept: Vec<_> =
        lessons.lessons.iter().filter(is_kept).map(|it| deck.called(&it.serve)).collect();
    match &kept[..] {
        [] => {}
        [one] => add("KEEP", format!("{one} as it is.")),
        several => add("KEEP", format!("{} as they are.", and_list(several))),
    }
    for serve in advice.serves.iter().filter(|serve| serve.lesson.is_none()) {
        let Some(first) = serve.choices.first() else { continue };
        add(
            "CHOOSE",
            format!("{}: for example {}.", deck.called(&serve.serve), first.receive.short()),
        );
    }
    let gone: Vec<_> = lessons.unseen.iter().map(|id| deck.called(id)).collect();
    if !gone.is_empty() {
        add("GONE?", format!("{}: not seen in {}.", and_list(&gone), matches(advice.matches)));
    }
    lines
}

/// The word for a lesson that asks for something, and what it asks.
fn line(lesson: &Lesson, switches: &[Reserve]) -> (&'static str, String) {
    let other = lesson.alternative.as_ref().map(Receive::short).unwrap_or_default();
    match (lesson.verdict, lesson.switch.as_deref().map(one_line)) {
        (Verdict::Change, Some(name)) => {
            let ready = due(lesson, switches).filter(|held| !held.drilled.is_firm);
            let ready = ready.map(|held| format!(" ({})", readiness(held.drilled)));
            ("PLAY", format!("make the switch \"{name}\"{}: {other}.", ready.unwrap_or_default()))
        }
        (Verdict::PlayItBetter, _) => {
            let (badly, points) = lesson.badly_in_all;
            let stroke = lesson.receive.stroke_short();
            ("TRAIN", format!("{stroke}, {badly} of {points} high or missed. {}", lesson.cure))
        }
        (Verdict::TryOnce, Some(name)) => {
            ("TRY ONCE", format!("the switch \"{name}\", early in a game: {other}."))
        }
        _ => ("PREPARE", format!("{other}. Until it is drilled keep {}.", lesson.receive.short())),
    }
}

/// How sure that is, and on what it rests.
pub fn how_sure(advice: &Advice, lessons: &[Lesson]) -> String {
    if advice.matches == 0 {
        return "A hint: no match yet, so the plan rests on common practice.".to_owned();
    }
    if let Some(why) = lessons.iter().find_map(why_another) {
        return why;
    }
    let least = lessons.iter().map(|lesson| lesson.behind).reduce(f64::min).unwrap_or_default();
    let played = matches(advice.matches);
    let (first, rest) = sureness(least).split_at(1);
    let word = format!("{}{rest}", first.to_uppercase());
    format!("{word}: {played}; the least played answer has {}.", points(least))
}

/// The command that goes on from there.
pub fn next(deck: &Deck, file: &str, lessons: &[Lesson]) -> String {
    let file = file.to_owned();
    let asks = |wanted: Verdict| lessons.iter().find(|lesson| lesson.verdict == wanted);
    let changed = asks(Verdict::Change).or_else(|| asks(Verdict::TryOnce));
    let drill = |switch| Todo::Drill { mode: DrillMode::Usual, deck: Some(file.clone()), switch };
    command(&match changed {
        _ if deck.active().next().is_none() => Todo::AddServes(file),
        _ if deck.unplanned().next().is_some() => Todo::ChoosePlan(file),
        Some(Lesson { switch: None, .. }) => Todo::AddSwitch(file),
        Some(lesson) => drill(lesson.switch.clone()),
        None if asks(Verdict::PlayItBetter).is_some() => Todo::Rehearse(file),
        None => drill(None),
    })
}

/// What is said about one serve: the verdict first, then why, then how far to trust it.
pub fn serve_says(serve: &ServeAdvice) -> Vec<String> {
    let Some(first) = serve.choices.first() else { return Vec::new() };
    let mut says =
        serve.lesson.as_ref().map(|lesson| lesson_says(lesson, None)).unwrap_or_default();
    if serve.lesson.is_none() {
        says.push(format!("No plan yet: start with {}.", first.receive.short()));
        let few = "It has no points to speak of: common practice, your repertoire first.";
        says.extend((first.behind < FEWEST_POINTS).then(|| few.to_owned()));
    }
    if let Some(mix) = &serve.mix {
        says.extend(mix_says(&serve.choices, mix, &serve.other_drops));
    }
    says
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
pub fn why_this_mix(choices: &[Choice], mix: &Mix) -> String {
    let parts = mix.parts.iter().copied();
    let mut used: Vec<(&Choice, u32)> =
        choices.iter().zip(parts).filter(|(_, part)| *part > 0).collect();
    used.sort_by(|a, b| b.0.rates.unread.total_cmp(&a.0.rates.unread));
    let most = used.iter().max_by_key(|(_, part)| *part).copied();
    let (Some((best, best_part)), Some((other, other_part))) = (used.first().copied(), most) else {
        return String::new();
    };
    let name = |choice: &Choice| name_among(choice, &used);
    // What is measured and what is only assumed must not be compared as if they were one.
    let drop = |choice: &Choice| {
        let how = if choice.drop_is_assumed { "assumed" } else { "measured" };
        format!("{}, {how}", of_hundred(choice.rates.drop))
    };
    let [better, often] = [best, other].map(name);
    if used.len() == 1 {
        let left = of_hundred(best.rates.unread - best.rates.drop);
        return format!("Even when they wait for it, the {better} wins {left} of 100.");
    }
    if other_part > best_part {
        let [rate, other_rate] = [best, other].map(|choice| of_hundred(choice.rates.unread));
        return format!(
            "When they are not waiting, the {better} is the better receive ({rate} of 100 against {other_rate}). \
             It still comes less often, because it loses more when they wait for it (the {better}: {}; the \
             {often}: {}). The more a receive suffers from being read, the rarer it has to be.",
            drop(best),
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

/// A mix in words; nothing when none of its receives has a point.
fn mix_says(choices: &[Choice], mix: &Mix, other_drops: &[OtherDrop]) -> Vec<String> {
    let used = || choices.iter().zip(&mix.parts).filter(|(_, part)| **part > 0);
    if used().all(|(choice, _)| choice.behind < FEWEST_POINTS) {
        return Vec::new();
    }
    if mix.is_single() {
        return vec![format!("No mix is needed. {}", why_this_mix(choices, mix))];
    }
    let names = used().map(|(choice, part)| format!("{part} x {}", choice.receive.short()));
    let names = and_list(&names.collect::<Vec<_>>());
    if mix.is_illustration {
        let without = used().filter(|(choice, _)| choice.behind < FEWEST_POINTS);
        let without: Vec<_> = without.map(|(choice, _)| choice.receive.short()).collect();
        return vec![format!(
            "A mix would be harder to read, for example {names}: only an illustration, until there are five \
             points or more of {}.",
            and_list(&without)
        )];
    }
    let [secures, alone] = [mix.secures, mix.alone].map(of_hundred);
    let wins = format!(
        "Against somebody who reads you: {names}. Whatever they wait for, that wins {secures} of 100 points \
         against this serve; the best receive alone, always waited for, {alone}."
    );
    let under = (!other_drops.is_empty()).then(|| drop_sentence(mix, other_drops));
    [wins, why_this_mix(choices, mix)].into_iter().chain(under).collect()
}

/// Whether the ratio holds when the assumed drop is wrong; the receives are called by their letters
/// in the table.
fn drop_sentence(mix: &Mix, other_drops: &[OtherDrop]) -> String {
    if other_drops.iter().all(|other| other.parts == mix.parts) {
        return "The ratio is the same whether being read costs 8, 15 or 25 of 100.".to_owned();
    }
    let row = |other: &OtherDrop| {
        format!("{} of 100, {}", of_hundred(other.drop), lettered(&other.parts))
    };
    let rows: Vec<String> = other_drops.iter().map(row).collect();
    format!("The ratio is an assumption. If being read costs {}.", rows.join("; "))
}

/// `A:C as 1:3`; `A alone`.
fn lettered(parts: &[u32]) -> String {
    let used = || parts.iter().enumerate().filter(|(_, part)| **part > 0);
    let letters: Vec<String> = used().map(|(place, _)| letter(place).to_string()).collect();
    if let [only] = &letters[..] {
        return format!("{only} alone");
    }
    let parts: Vec<String> = used().map(|(_, part)| part.to_string()).collect();
    format!("{} as {}", letters.join(":"), parts.join(":"))
}

/// What all of it rests on; `file` is the plan file as a command takes it.
pub fn notes(notes: &[AdviceNote], deck: &Deck, file: &str) -> Vec<String> {
    let said = notes.iter().map(|note| note_words(note, deck, file));
    said.chain(RAW_RATES.map(str::to_owned)).collect()
}

fn note_words(note: &AdviceNote, deck: &Deck, file: &str) -> String {
    let listed = |serves: &[(ServeId, f64)]| {
        let show = |(serve, share): &(ServeId, f64)| {
            format!("{} ({})", deck.called(serve), of_hundred(*share))
        };
        and_list(&serves.iter().map(show).collect::<Vec<_>>())
    };
    let until = "until you have noted eight balls each way, waited for and not";
    match note {
        AdviceNote::NoMatch => {
            "No match recorded yet: receives are common practice, rates start from \
                                \"receivers win slightly under half\"."
                .to_owned()
        }
        AdviceNote::Matches(1) => {
            "From one match; older matches count less, debriefs half.".to_owned()
        }
        AdviceNote::Matches(matches) => {
            format!("From {matches} matches; older matches count less, debriefs half.")
        }
        AdviceNote::Unknown(points) => format!(
            "{} without a known serve or receive: kept, but in no rate above.",
            count(*points, "point")
        ),
        AdviceNote::AssumedDrop(measured) if measured.is_empty() => {
            format!("What being read costs is assumed, the same for every receive, {until}.")
        }
        AdviceNote::AssumedDrop(measured) => format!(
            "What being read costs (of 100 points) is measured for the plan's answer to {}; for every other receive \
             it is assumed, {until}.",
            listed(measured)
        ),
        AdviceNote::SharesOff { points, came } => format!(
            "How often each serve comes is taken from the plan file; {points} recorded points say {} of 100. \
             `secondball scout count {file} --points --write` takes them over.",
            listed(came)
        ),
        AdviceNote::Shrunk => {
            "Rates with few points are pulled towards what such a receive usually wins \
                               against such a serve."
                .to_owned()
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn parts_of_a_mix_are_called_by_their_letters() {
        assert_eq!(lettered(&[1, 0, 3]), "A:C as 1:3");
        assert_eq!(lettered(&[0, 1]), "B alone");
    }
}

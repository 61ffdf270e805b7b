//! The sentences of a verdict: what to do first, then on what evidence. Words: suspicion, never
//! proof.

use crate::base::text::{and_list, count, one_line};
use crate::game::{Receive, ServeId, Stroke};
use crate::page::numbers::{known, of_hundred, points_behind, suspected, suspicion_word, times};
use crate::tactics::adaptation::WORTH_SWITCHING;
use crate::tactics::evidence::Recent;
use crate::tactics::rates::Knowledge;
use crate::tactics::record::Record;
use crate::tactics::reserve::Drilled;
use crate::tactics::verdict::{FEWEST_PLAYED, FEWEST_POINTS, Instead, Lesson, Verdict};

/// Newest matches told apart from the rest.
const LAST_MATCHES: usize = 2;

/// `won 24 of 50 points (solid); 9 of 26 in the last 2 matches`.
pub(crate) fn so_far(record: &Record) -> String {
    let mut parts = Vec::new();
    if record.points > 0 {
        let (points, won) = (record.points, record.points - record.lost);
        let word = known(Knowledge::from_points(f64::from(points)));
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
        Some(name) => format!("The switch `{name}` was played"),
        None => format!("Instead of the plan: {}", instead.receive.shown()),
    };
    let badly = match instead.badly {
        (0, 0) => String::new(),
        (loose, missed) => format!(" ({loose} loose, {missed} missed)"),
    };
    let of_match = in_matches(std::slice::from_ref(&instead.of_match));
    let few = if f64::from(points) < FEWEST_POINTS { ", too few to judge it" } else { "" };
    format!("{what}{of_match}: {won} of {} won{badly}{few}.", count(points as usize, "point"))
}

/// `5 of 9 came loose or missed in m5, 27 of 45 in all`.
fn badly(lesson: &Lesson) -> String {
    let ((newest, of), (badly, points)) = (lesson.badly_newest, lesson.badly_in_all);
    if of == points {
        return format!("{badly} of {points} came loose or missed");
    }
    // A match with a point or two of it says nothing alone.
    let recent = &lesson.recent;
    let (newest, of, matches) = if f64::from(of) < FEWEST_PLAYED {
        (recent.loose + recent.missed, recent.points, &recent.matches[..])
    } else {
        (newest, of, recent.matches.get(..1).unwrap_or_default())
    };
    let of_match = in_matches(matches);
    format!("{newest} of {of} came loose or missed{of_match}, {badly} of {points} in all")
}

/// What to do, in one sentence.
pub fn what_to_do(lesson: &Lesson) -> String {
    let receive = lesson.receive.shown();
    let other = lesson.alternative.as_ref().map(Receive::shown).unwrap_or_default();
    match (lesson.verdict, &lesson.switch) {
        (Verdict::Switch, Some(name)) => format!("Make the switch `{name}`: {other}."),
        (Verdict::Switch, None) => {
            format!("Prepare another answer: {other}. Until it is drilled keep {receive}.")
        }
        (Verdict::PlayedBadly, _) => {
            let (badly, tighter) = (badly(lesson), tighter(&lesson.receive));
            format!("Keep the plan, play it better: {badly}. {tighter}")
        }
        (Verdict::Watch, _) => format!("Keep {receive}, and watch whether they wait for it."),
        (Verdict::Keep, _) => format!("Keep {receive}."),
        (Verdict::TooFew, _) if lesson.behind < 0.5 => {
            format!("Keep {receive}: no points of it yet.")
        }
        (Verdict::TooFew, _) => format!("Keep {receive}: too few clean points to judge it."),
    }
}

/// Whether it looks read, and on what; nothing while there is not a ball to say so.
pub(crate) fn suspicion(lesson: &Lesson) -> Option<String> {
    let Recent { clean, lost, noted, waited, .. } = lesson.recent;
    let chance = lesson.read.filter(|_| clean > 0 || lesson.is_told_read)?;
    let mut facts = Vec::new();
    if clean > 0 {
        let of_matches = in_matches(&lesson.recent.matches);
        facts.push(format!("{lost} of {} lost{of_matches}", count(clean, "clean point")));
    }
    match (waited, noted) {
        (_, 0) => {}
        (0, _) => facts.push("they did not wait".to_owned()),
        (waited, _) => facts.push(format!("they waited {}", times(waited))),
    }
    let facts = if facts.is_empty() { String::new() } else { format!(": {}", facts.join(", ")) };
    let read = suspected(chance);
    Some(match suspicion_word(chance).filter(|_| lesson.is_suspected || lesson.is_told_read) {
        Some(word) => format!("A suspicion, no proof: {word} ({read} in 100){facts}."),
        None => format!("No sign that it is read ({read} in 100){facts}."),
    })
}

/// All sentences, what to do first; for a switch that is due, what the drill says of it is the
/// second.
pub fn lesson_says(lesson: &Lesson, drilled: Option<Drilled>) -> Vec<String> {
    let mut says = vec![what_to_do(lesson)];
    if let (Some(name), Some(drilled)) = (lesson.due_switch(), drilled) {
        says.extend(drill_warning(drilled, name));
    }
    if lesson.read.is_some() {
        says.extend(suspicion(lesson));
        says.extend(how_they_compare(lesson));
    }
    if lesson.verdict == Verdict::Switch && lesson.alternative_points < FEWEST_POINTS {
        says.push(
            "Its rate is hardly known: it starts from what receives of its kind win, common practice."
                .to_owned(),
        );
    }
    says.extend(lesson.instead.iter().map(how_it_did));
    let others: Vec<&str> = lesson.together_with.iter().map(ServeId::as_str).collect();
    if !others.is_empty() {
        says.push(format!("Read together with {}: the same receive.", others.join(", ")));
    }
    says.extend(lesson.balls_to_prove.map(|balls| {
        let waited = lesson.recent.waited > 0;
        let waiting = if waited { " What speaks here is that they waited." } else { "" };
        format!(
            "Lost points alone would prove it only after about {balls} clean ones: more than a match has.{waiting}"
        )
    }));
    says
}

/// The plan's answer against the other one, when there is any suspicion.
fn how_they_compare(lesson: &Lesson) -> Option<String> {
    let better = lesson.other_better.filter(|_| lesson.alternative.is_some())?;
    let edge = match lesson.verdict {
        Verdict::Switch => String::new(),
        Verdict::Watch if better >= WORTH_SWITCHING => {
            "; too few points yet to change on".to_owned()
        }
        Verdict::Watch => {
            format!("; from {} in 100 it is worth changing", of_hundred(WORTH_SWITCHING))
        }
        _ => return None,
    };
    let name = lesson.switch.as_ref().map(|name| format!("The switch `{name}`"));
    let name = name.unwrap_or_else(|| "The other answer".to_owned());
    let (now, known) = (of_hundred(lesson.now), points_behind(lesson.alternative_points));
    Some(format!(
        "As it looks read now, the plan's answer wins about {now} of 100. {name} ({known}) wins more often with a \
         chance of {} in 100{edge}.",
        suspected(better)
    ))
}

/// What has to be said before a switch of this name is called; nothing when it is firm.
pub(crate) fn drill_warning(drilled: Drilled, name: &str) -> Option<String> {
    let recall = drilled.recall.map(of_hundred);
    (!drilled.is_firm).then(|| match recall {
        Some(recall) => format!("`{name}` is not firm: recall on the day {recall} of 100."),
        None => {
            format!("`{name}` has not been drilled: under stress the old answer will come out.")
        }
    })
}

/// How the same receive is played better (common practice).
pub(crate) fn tighter(receive: &Receive) -> &'static str {
    match receive.stroke {
        Stroke::Touch => "Soften the hand and step in sooner: high or long is what gets attacked.",
        Stroke::Push | Stroke::SidespinPush => {
            "High or long is what gets attacked: shorter or deeper, and earlier after the bounce."
        }
        Stroke::Flick | Stroke::BananaFlick | Stroke::ReverseFlick => {
            "Get the foot under the table first; three quarters of the speed is enough."
        }
        Stroke::SlowLoop | Stroke::FastLoop | Stroke::Drive => {
            "Wait for the ball to come off the end; brush more, hit less."
        }
        Stroke::Block | Stroke::Chop | Stroke::Bump => {
            "Shorter swing: the speed is already in the ball."
        }
    }
}

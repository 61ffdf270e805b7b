//! The lessons of the points so far: every serve's verdict, most pressing first, and what to do before the next
//! meeting.
//!
//! Each serve is judged by [`crate::tactics::verdict`], on the newest match with points of it; here the verdicts are
//! put in order, with what the drill knows of the switches, how many balls a proof would take, and the list of
//! things to do.

use serde::Serialize;

use crate::base::order;
use crate::game::ServeId;
use crate::tactics::advice::{Question, belief};
use crate::tactics::detector::{Rates, points_to_prove};
use crate::tactics::fault::TacticsError;
use crate::tactics::habit::DROP;
use crate::tactics::reserve::Drilled;
pub use crate::tactics::verdict::{Lesson, Verdict};
use crate::tactics::verdict::{judge, proof};

/// Errors accepted when saying how many balls a proof would take.
const PROOF: (f64, f64) = (0.1, 0.8);

/// Lessons of all planned serves, most pressing first.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Lessons {
    /// The newest match.
    pub of_match: Option<String>,
    /// Sentences for the next time, from debriefs, newest first, each with its match.
    pub sentences: Vec<(String, String)>,
    /// The lessons.
    pub lessons: Vec<Lesson>,
    /// Serves that came without a plan, with the points they decided.
    pub without_plan: Vec<(ServeId, f64)>,
    /// What to do before the next meeting.
    pub before_next: Vec<String>,
}

/// Sentences of debriefs that are shown.
const SENTENCES: usize = 2;

/// Judges every planned serve; `drilled` says what the drill knows of a switch by its name.
///
/// # Errors
/// None for a history of less than a million points.
pub fn lessons(
    question: &Question<'_>,
    drilled: &dyn Fn(&str) -> Drilled,
) -> Result<Lessons, TacticsError> {
    let mut lessons = Vec::new();
    for (serve, receive) in question.deck.planned() {
        let mut lesson = judge(question, serve, receive)?;
        if let Some(name) = lesson.due_switch() {
            let warning = drilled(name).warning(name);
            lesson.says.splice(1..1, warning);
        }
        if matches!(lesson.verdict, Verdict::Switch | Verdict::Watch) {
            lesson.balls_to_prove = balls_to_prove(question, &lesson)?;
            lesson.says.extend(proof(&lesson));
        }
        lessons.push(lesson);
    }
    let weight = |lesson: &Lesson| lesson.share * f64::from(lesson.recent.points);
    order::by(&mut lessons, |a, b| {
        a.verdict.cmp(&b.verdict).then_with(|| weight(b).total_cmp(&weight(a)))
    });
    let history = question.history;
    let without_plan: Vec<(ServeId, f64)> = question
        .deck
        .unplanned()
        .filter_map(|serve| Some((serve.id.clone(), history.serves.get(&serve.id)?.played)))
        .collect();
    let before_next = before_next(&lessons, &without_plan, question);
    let told = history.matches.iter();
    let told = told.filter_map(|seen| Some((seen.word.clone(), seen.sentence.clone()?)));
    Ok(Lessons {
        of_match: history.matches.first().map(|seen| seen.word.clone()),
        sentences: told.take(SENTENCES).collect(),
        lessons,
        without_plan,
        before_next,
    })
}

impl Lessons {
    /// Leaves only what is about one serve.
    pub fn only(&mut self, serve: &ServeId) {
        self.lessons.retain(|lesson| lesson.serve == *serve);
        self.without_plan.retain(|(id, _)| id == serve);
        let start = format!("{serve}: ");
        self.before_next.retain(|thing| thing.starts_with(&start));
    }
}

/// Clean balls it would take to prove that an answer is read.
fn balls_to_prove(question: &Question<'_>, lesson: &Lesson) -> Result<Option<usize>, TacticsError> {
    let rate = belief(question, &lesson.serve, &lesson.receive)?.mean();
    let drop = question.drop.unwrap_or(DROP.mean).min(rate * 0.9);
    Ok(Rates::new(rate, rate - drop)
        .ok()
        .and_then(|rates| points_to_prove(rates, PROOF.0, PROOF.1))
        .map(|test| test.points))
}

fn before_next(
    lessons: &[Lesson],
    without_plan: &[(ServeId, f64)],
    question: &Question<'_>,
) -> Vec<String> {
    let mut list = Vec::new();
    for lesson in lessons {
        match (lesson.verdict, &lesson.switch, &lesson.alternative) {
            (Verdict::Switch, Some(name), _) => list.push(format!(
                "{}: they may expect the old answer; drill `{name}` until it is firm, or make it the plan.",
                lesson.serve
            )),
            (Verdict::Switch, None, Some(other)) => list.push(format!(
                "{}: add a switch to {} and drill it as a new pattern.",
                lesson.serve,
                other.shown()
            )),
            (Verdict::PlayedBadly, _, _) => {
                list.push(format!("{}: more balls at the table, same receive.", lesson.serve));
            }
            _ => {}
        }
    }
    for (serve, points) in without_plan {
        let times =
            if points.round() <= 1.0 { "once".to_owned() } else { format!("{points:.0} times") };
        list.push(format!("{serve}: came {times} without a plan; choose a receive."));
    }
    for serve in question.deck.planned().map(|(serve, _)| serve) {
        let is_seen = question.history.serves.contains_key(&serve.id);
        if question.history.matches.len() >= 3 && !is_seen {
            list.push(format!(
                "{}: not seen in {} matches; retire it?",
                serve.id,
                question.history.matches.len()
            ));
        }
    }
    list
}

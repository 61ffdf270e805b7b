//! The lessons of the points so far: every serve's verdict, most pressing first.
//!
//! Each serve is judged by [`crate::tactics::verdict`], on all matches; here the verdicts are
//! put in order, with what came without a plan and what did not come.

use serde::Serialize;

use crate::game::ServeId;
use crate::tactics::question::Question;
use crate::tactics::verdict::{Lesson, Verdicts};

/// Sentences of debriefs that are shown.
const SENTENCES: usize = 2;
/// Matches without a serve after which it may be gone.
const MATCHES_UNSEEN: usize = 3;

/// Lessons of all planned serves, most pressing first.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Lessons {
    /// The newest match.
    pub of_match: Option<String>,
    /// Sentences for the next time, from debriefs, newest first, each with its match.
    pub sentences: Vec<(String, String)>,
    /// The lessons; a view writes them with their sentences.
    #[serde(skip)]
    pub lessons: Vec<Lesson>,
    /// Serves that came without a plan, with the points they decided.
    pub without_plan: Vec<(ServeId, f64)>,
    /// Planned serves that did not come in any of several matches.
    pub unseen: Vec<ServeId>,
}

impl Lessons {
    /// The lessons of these verdicts.
    pub fn from_verdicts(verdicts: &Verdicts<'_>) -> Self {
        let question = &verdicts.question;
        let history = question.history;
        let mut lessons = verdicts.lessons.clone();
        let weight = |lesson: &Lesson| lesson.share * f64::from(lesson.recent.points);
        lessons.sort_by(|a, b| {
            a.verdict.cmp(&b.verdict).then_with(|| weight(b).total_cmp(&weight(a)))
        });
        let without_plan: Vec<(ServeId, f64)> = question
            .deck
            .unplanned()
            .filter_map(|serve| Some((serve.id.clone(), history.serves.get(&serve.id)?.played)))
            .collect();
        let said = history.matches.iter();
        let said = said.filter_map(|seen| Some((seen.word.clone(), seen.sentence.clone()?)));
        Self {
            of_match: history.matches.first().map(|seen| seen.word.clone()),
            sentences: said.take(SENTENCES).collect(),
            unseen: unseen(question),
            lessons,
            without_plan,
        }
    }

    /// Leaves only what is about one serve.
    pub fn keep_only(&mut self, serve: &ServeId) {
        self.lessons.retain(|lesson| lesson.serve == *serve);
        self.without_plan.retain(|(id, _)| id == serve);
        self.unseen.retain(|id| id == serve);
    }
}

fn unseen(question: &Question<'_>) -> Vec<ServeId> {
    let history = question.history;
    let planned = question.deck.planned().map(|(serve, _)| &serve.id);
    let is_gone = |id: &&ServeId| !history.serves.contains_key(*id);
    let are_enough = history.matches.len() >= MATCHES_UNSEEN;
    planned.filter(|_| are_enough).filter(is_gone).cloned().collect()
}

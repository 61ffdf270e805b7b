//! The lessons of the points so far: every serve's verdict, most pressing first, and what to do
//! before the next meeting.
//!
//! Each serve is judged by [`crate::tactics::verdict`], on all matches; here the verdicts are
//! put in order, with the list of things to do.

use serde::Serialize;

use crate::game::{Receive, ServeId};
use crate::tactics::question::Question;
use crate::tactics::verdict::{Lesson, Verdict, Verdicts};

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
    /// What to do before the next meeting.
    #[serde(skip)]
    pub before_next: Vec<Preparation>,
}

/// What to do about one serve before the next meeting.
#[derive(Debug, Clone, PartialEq)]
pub struct Preparation {
    pub serve: ServeId,
    pub what: WhatToPrepare,
}

/// What is to be prepared.
#[derive(Debug, Clone, PartialEq)]
pub enum WhatToPrepare {
    /// The old answer is read: a switch of this name is to be drilled or made the plan.
    DrillSwitch(String),
    /// The old answer is read, and no switch holds another.
    AddSwitch(Receive),
    /// The receive comes loose or missed.
    MoreBalls,
    /// It came so often without a plan.
    Choose(f64),
    /// It has not been seen in so many matches.
    Retire(usize),
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
            before_next: before_next(&lessons, &without_plan, question),
            lessons,
            without_plan,
        }
    }

    /// Leaves only what is about one serve.
    pub fn keep_only(&mut self, serve: &ServeId) {
        self.lessons.retain(|lesson| lesson.serve == *serve);
        self.without_plan.retain(|(id, _)| id == serve);
        self.before_next.retain(|thing| thing.serve == *serve);
    }
}

fn before_next(
    lessons: &[Lesson],
    without_plan: &[(ServeId, f64)],
    question: &Question<'_>,
) -> Vec<Preparation> {
    let judged = lessons.iter().filter_map(|lesson| {
        let what = match (lesson.verdict, &lesson.switch, &lesson.alternative) {
            (Verdict::Change, Some(name), _) => WhatToPrepare::DrillSwitch(name.clone()),
            (Verdict::Change, None, Some(other)) => WhatToPrepare::AddSwitch(other.clone()),
            (Verdict::PlayItBetter, _, _) => WhatToPrepare::MoreBalls,
            _ => return None,
        };
        Some((&lesson.serve, what))
    });
    let unplanned =
        without_plan.iter().map(|(serve, points)| (serve, WhatToPrepare::Choose(*points)));
    let (matches, seen) = (question.history.matches.len(), &question.history.serves);
    let planned = question.deck.planned().filter(|_| matches >= MATCHES_UNSEEN);
    let gone = planned
        .filter(|(serve, _)| !seen.contains_key(&serve.id))
        .map(|(serve, _)| (&serve.id, WhatToPrepare::Retire(matches)));
    let all = judged.chain(unplanned).chain(gone);
    all.map(|(serve, what)| Preparation { serve: serve.clone(), what }).collect()
}

//! The drill in words: a moment in lines, what came of an answer, the summary of a session.

use minijinja::context;
use minijinja::value::{Serde as Filled, Value};
use serde::Serialize;

use crate::base::{Day, text};
use crate::drill::{
    AnswerVerdict, DaySpeed, DrillError, Feedback, KeyTime, Picture, Reason, Summary,
};
use crate::journal::{How, Input};
use crate::memory::Grade;
use crate::page::bat_words::end_words;
use crate::page::text_page::filled_text;

/// The way out where a deck holds nothing to drill in this way.
pub const fn way_out(error: &DrillError) -> &'static str {
    match error {
        DrillError::NothingPlanned(_) => {
            "give at least one serve a receive with `secondball plan choose`"
        }
        DrillError::NothingSwitched(_) => "look at the switch with `secondball plan`",
        DrillError::NothingKept(_) => "a switch changes one serve, two at most",
        DrillError::NoTells(_) => "say what gives a serve away with `secondball scout change`",
        DrillError::NothingToRead(_) => {
            "add the serves that look alike with `secondball scout add`"
        }
    }
}

/// What came of an answer.
pub fn verdict_words(verdict: AnswerVerdict) -> String {
    match verdict {
        AnswerVerdict::BeforeContact => "let: a key before contact is a guess".to_owned(),
        AnswerVerdict::TooSoon { least_ms } => {
            format!("let: within {least_ms} ms nobody has seen it")
        }
        AnswerVerdict::OldAnswer => "wrong: the old answer".to_owned(),
        AnswerVerdict::Spill => "wrong: the switch belongs to another serve".to_owned(),
        AnswerVerdict::NoAnswer => "no answer: counts as wrong".to_owned(),
        AnswerVerdict::Graded(grade) => grade.word().to_owned(),
    }
}

/// What came of an answer, beside its feedback: without a clock nothing is in time.
pub fn verdict_shown(told: &Feedback) -> String {
    match told.verdict {
        AnswerVerdict::Graded(Grade::InTime) if told.window_ms.is_none() => "right".to_owned(),
        verdict => verdict_words(verdict),
    }
}

/// What the player wrote about a receive, each with its label.
pub fn reasons(reason: &Reason) -> Vec<(&'static str, &str)> {
    [("why", &reason.why), ("expect", &reason.expect), ("then", &reason.then)]
        .into_iter()
        .filter_map(|(label, words)| Some((label, words.as_deref()?)))
        .collect()
}

/// The rounds of a session.
#[derive(Debug, Clone, Serialize)]
pub struct DrillSession<'a> {
    /// True when nobody played: every number is a simulated player's.
    is_simulated: bool,
    /// This device's key time.
    key_time: KeyTime,
    /// The speed of the last day before, against the opponent of the last round.
    before: Option<DaySpeed>,
    today: Day,
    rounds: &'a [Summary],
}

impl<'a> DrillSession<'a> {
    pub fn new(
        rounds: &'a [Summary],
        key_time: KeyTime,
        before: Option<DaySpeed>,
        today: Day,
    ) -> Self {
        let is_simulated = rounds.iter().any(|round| round.input == Input::Simulated);
        Self { is_simulated, key_time, before, today, rounds }
    }

    /// In words, `width` columns wide, each line with its end.
    pub fn text(&self, width: usize) -> String {
        let sum = |of: fn(&Summary) -> usize| self.rounds.iter().map(of).sum::<usize>();
        let is_timed = self.rounds.iter().all(|round| matches!(round.how, How::Snap | How::Shadow));
        let before = self.before.map(|speed| (day_before(speed.day, self.today), speed.permille));
        let document = context! {
            rounds => Filled(self.rounds),
            is_simulated => self.is_simulated,
            is_timed,
            answers => sum(|round| round.answers),
            right => sum(if is_timed { |round| round.in_window } else { |round| round.right }),
            before,
            width,
        };
        filled_text(include_str!("templates/drill.txt"), &document, width)
    }
}

/// A day that is over, in words.
pub fn day_before(day: Day, today: Day) -> String {
    if today.days_since(day) == 1 { "yesterday".to_owned() } else { day.spoken() }
}

/// What is new in a picture in lines of `width` columns, each said once: for a screen reader, a
/// pipe, a file. With `waits` a key is waited for after each result; the strokes are named with
/// their keys while the player `asks_keys`.
pub fn picture_lines(picture: &Picture, waits: bool, asks_keys: bool, width: usize) -> String {
    let document = context! { waits, asks_keys, ..told(picture) };
    let lines = filled_text(include_str!("templates/drill_lines.txt"), &document, usize::MAX);
    lines.lines().map(|line| text::wrap(line, width, "  ") + "\n").collect()
}

/// The words of a picture beside what is drawn, in lines of `room` columns, each after a sign and
/// a space that say how it is shown; a line without a sign goes on with the one before.
pub fn picture_panel(picture: &Picture, room: usize) -> String {
    let document = context! { room, ..told(picture) };
    filled_text(include_str!("templates/drill_panel.txt"), &document, room + 2)
}

/// A picture and what came of its answer in words.
fn told(picture: &Picture) -> Value {
    let told = picture.feedback.as_ref();
    let verdict = told.map(verdict_shown);
    let wrong_bat = told.and_then(|told| told.wrong_bat.as_ref());
    let wrong_bat = wrong_bat.map(|ball| end_words(ball.end, f64::from(ball.over_net_mm) / 1000.0));
    let reasons = told.map_or_else(Vec::new, |told| reasons(&told.reason));
    let is_let = told.is_some_and(|told| told.verdict.is_let());
    let is_right = told.is_some_and(|told| told.verdict.is_right());
    let (picture, reasons) = (Filled(picture), Filled(reasons));
    context! { picture, verdict, reasons, wrong_bat, is_let, is_right }
}

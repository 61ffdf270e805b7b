//! The forecast of every pattern: recall today, on the day that counts, and on the way there, when
//! nothing more is done.

use serde::Serialize;

use super::advice::{Counsel, Lack, Remark};
use super::request::ProgressRequest;
use crate::agenda::patterns::{PatternPart, patterns};
use crate::agenda::standing::{Lately, Slip, day_that_counts};
use crate::agenda::todo::Todo;
use crate::base::{Day, text};
use crate::memory::{Checked, History, Item, Model, Standing};

/// Days looked ahead without an event.
const AHEAD_DAYS: u32 = 30;
/// Days drawn at most, today included.
const POINTS: u32 = 16;
/// Patterns that are drawn; the others stand in the table of numbers.
pub const DRAWN: usize = 8;

/// One pattern's recall.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct PatternRecall {
    pub deck: String,
    pub opponent: String,
    /// The serve's id, and what it is called.
    pub serve: String,
    pub called: String,
    /// The receive in words.
    pub receive: String,
    pub part: PatternPart,
    /// For the event, or for tomorrow where none is ahead.
    pub standing: Standing,
    /// Recall today, 0 to 1.
    pub now: f64,
    /// Recall on the day that counts, 0 to 1.
    pub then: f64,
    /// Its weight times what is forgotten by then: what the list is sorted by.
    pub at_stake: f64,
    /// Recall on each of the [`Recall::days`]; empty while untried.
    pub curve: Vec<f64>,
    /// Of its last answers against the clock so many were wrong that it is not known, whatever the
    /// forecast.
    pub wrong_lately: Option<(usize, usize)>,
    /// Whether today's answer has been given.
    #[serde(skip)]
    pub is_answered: bool,
}

/// The forecast.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Recall {
    /// The event it looks towards; none when there is none.
    pub event: Option<String>,
    /// The day that counts.
    pub until: Day,
    /// The recall that is to be kept, 0 to 1.
    pub target: f64,
    /// The days of the curves, today first, the day that counts last.
    pub days: Vec<Day>,
    /// Every pattern, the one with most at stake first.
    pub patterns: Vec<PatternRecall>,
    /// What was said of the answers given so far, and what came.
    pub checked: Checked,
    #[serde(rename = "advice")]
    pub counsel: Counsel,
}

impl Recall {
    /// The patterns that are drawn: those with a memory that have most at stake.
    pub fn drawn(&self) -> impl Iterator<Item = &PatternRecall> {
        self.patterns.iter().filter(|pattern| !pattern.curve.is_empty()).take(DRAWN)
    }
}

/// Today and at most fifteen later days, evenly spread, the last one among them.
fn days(today: Day, until: Day) -> Vec<Day> {
    let ahead = u32::try_from(until.days_since(today)).unwrap_or(0).min(366);
    let points = (ahead + 1).clamp(2, POINTS);
    let mut days: Vec<Day> =
        (0..points).map(|point| today.plus(point * ahead / (points - 1))).collect();
    days.dedup();
    days
}

/// The forecast of every pattern asked about.
pub(super) fn recall(asked: &ProgressRequest<'_>) -> Recall {
    let model = Model::default();
    let event = asked.player.next_event(asked.today);
    let until = event.map_or_else(|| asked.today.plus(AHEAD_DAYS), |event| event.day);
    let days = days(asked.today, until);
    let until = days.last().copied().unwrap_or(until);
    let (mut found, mut slips, mut checked) = (Vec::new(), Vec::new(), Checked::default());
    let lately = Lately::from_events(asked.events, asked.player, asked.today);
    let day_that_counts = day_that_counts(event, asked.today);
    for (index, pattern) in patterns(asked.player, asked.decks, event).into_iter().enumerate() {
        let history = pattern.history(asked.memories);
        checked += history.map(History::checked).unwrap_or_default();
        let memory = history.and_then(History::memory);
        let item = Item { index, weight: pattern.weight, memory };
        let on = |day: Day| item.recall_on(&model, f64::from(day.number()));
        let curve = match memory {
            None => Vec::new(),
            Some(_) => days.iter().map(|&day| on(day)).collect(),
        };
        let then = on(until);
        let standing =
            lately.standing(&model, &pattern, &item, day_that_counts, asked.player.wanted_share);
        let slip = lately.slip(&pattern);
        let wrong_lately = slip.as_ref().map(|slip| (slip.wrong, slip.of));
        slips.extend(slip);
        let is_answered = item.is_answered_on(asked.today.number());
        let now = on(asked.today);
        found.push(PatternRecall {
            deck: pattern.stem,
            opponent: text::one_line(&pattern.opponent),
            serve: pattern.serve.id.to_string(),
            called: pattern.called,
            receive: pattern.receive.shown(),
            part: pattern.part,
            standing,
            now,
            then,
            at_stake: pattern.weight * (1.0 - then),
            curve,
            wrong_lately,
            is_answered,
        });
    }
    found.sort_by(|a, b| b.at_stake.total_cmp(&a.at_stake));
    let target = asked.player.wanted_share;
    let counsel = counsel(asked, &found, &slips, until);
    let event = event.map(|event| text::one_line(&event.name));
    Recall { event, until, target, days, patterns: found, checked, counsel }
}

fn counsel(
    asked: &ProgressRequest<'_>,
    patterns: &[PatternRecall],
    slips: &[Slip],
    until: Day,
) -> Counsel {
    let target = asked.player.wanted_share;
    let Some((stem, _)) = asked.decks.first() else {
        return Counsel::lacks(Lack::Opponent, Todo::Scout);
    };
    if patterns.is_empty() {
        return Counsel::lacks(Lack::Receive, Todo::ChoosePlan(stem.clone()));
    }
    let mut unsure = patterns.iter().filter(|one| one.standing != Standing::Ready).peekable();
    if unsure.peek().is_none() {
        let on = asked.player.next_event(asked.today).map(|_| until);
        return Counsel::nothing(Remark::AllFirm { target, on });
    }
    let Some(first) = unsure.find(|pattern| !pattern.is_answered) else {
        // Once more today moves no forecast; it shows whether the answer is there.
        return match slips.first() {
            Some(slip) => Counsel::due(Remark::OnceMore(slip.clone()), slip.todo()),
            None => Counsel::nothing(Remark::AnsweredToday { target }),
        };
    };
    let serve = first.called.clone();
    let opponent = (asked.decks.len() > 1).then(|| first.opponent.clone());
    let then = (first.standing != Standing::Untried).then_some((first.then, until));
    let todo = Todo::drill_part(&first.deck, &first.part);
    Counsel::due(Remark::DrillFirst { serve, opponent, then }, todo)
}

//! How it has gone: the facts of the journal folded into five pictures, each with one line that says what to
//! do about it.
//!
//! | file | holds |
//! |---|---|
//! | `recall` | the forecast of every pattern up to the event, or thirty days ahead |
//! | `windows` | the share of answers right, and right within the window, by day or week |
//! | `tempo` | where the staircase of the tempo settled, by day or week |
//! | `switching` | what a switch costs, week by week, with the balls behind it |
//! | `at_table` | made and missed at the table, serve by serve |
//! | `answers` | the timed answers behind `windows` and `tempo`, those of the last weeks one by one |
//!
//! The limits by which a line speaks are assumptions of the tool; each stands beside its picture. The document
//! is what `progress --json` prints, a form that other programs may rely on:
//!
//! ```text
//! form: "progress 1", player, today, opponent (or null), has_simulated,
//! recall:   {event (or null), until, target, days: [..], patterns: [{deck, opponent, serve, receive, part, standing,
//!            now, then, at_stake, curve: [one of each day; empty while untried],
//!            wrong_lately: [wrong, of] or null}], advice},
//! windows:  {step: day | week, periods: [{from, answers, right, in_window}], advice},
//! tempo:    {step, periods: [{from, answers, permille, is_settled, reversals}], advice},
//! switches: {costs: [{deck, opponent, name, weeks: [{from, cost_ms: {value (or null), balls}, cost_wrong: {..},
//!            after, old_answers}], advice}], none: advice or null},
//! table:    {since, hand, opponents: [{deck, opponent, serves: [{serve, words, receives: [..], lane, depth, made,
//!            missed, wrong}], advice}], none: advice or null}
//! ```
//!
//! Every `advice` is `{is_due, says, command (or null)}`; shares are 0 to 1, days are `2026-11-29`.

mod answers;
mod at_table;
mod recall;
mod switching;
mod tempo;
mod windows;

use std::collections::BTreeSet;

use serde::Serialize;

use crate::base::{Day, text};
use crate::deck::{Deck, Player};
use crate::game::ServeId;
use crate::journal::{Answer, Event};
use crate::memory::result::Behind;
use crate::memory::{Grade, Memories};

use answers::Answered;

pub use answers::Answers;
pub use at_table::{AtTable, ServeBalls, TABLE_DAYS, TableOf};
pub use recall::{DRAWN, PatternRecall, Recall};
pub use switching::{SwitchCost, SwitchWeek, Switches};
pub use tempo::{Tempi, TempoPeriod};
pub use windows::{Period, Windows};

/// The version of the document.
pub const FORM: &str = "progress 1";
/// Days of history up to which a picture has a point a day; beyond it has a point a week.
const DAILY_DAYS: i64 = 21;
/// Periods that are drawn at most.
const PERIODS: usize = 26;
/// Fewest answers or balls about which anything is said.
const FEWEST: usize = crate::drill::LEAST_BALLS;

/// One line about a picture.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Advice {
    /// False when there is nothing to do.
    pub is_due: bool,
    /// The line.
    pub says: String,
    /// What to type for it.
    pub command: Option<String>,
}

impl Advice {
    fn due(says: impl Into<String>, command: impl Into<String>) -> Self {
        Self { is_due: true, says: says.into(), command: Some(command.into()) }
    }

    fn nothing(says: &str) -> Self {
        Self { is_due: false, says: format!("Nothing to do: {says}"), command: None }
    }
}

/// How far one point of a picture reaches.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Step {
    /// A day.
    Day,
    /// A week, from Monday.
    Week,
}

impl Step {
    /// The step for a history that begins on `first`.
    fn of(first: Option<Day>, today: Day) -> Self {
        match first {
            Some(first) if today.days_since(first) >= DAILY_DAYS => Self::Week,
            _ => Self::Day,
        }
    }

    /// The first day of the period a day belongs to.
    fn begin(self, day: Day) -> Day {
        match self {
            Self::Day => day,
            Self::Week => day.minus(day.weekday().num_days_from_monday()),
        }
    }

    /// `day` or `week`.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Day => "day",
            Self::Week => "week",
        }
    }
}

/// What every switch costs, alone.
pub fn switch_costs(asked: &Asked<'_>) -> Vec<SwitchCost> {
    switching::switches(asked).costs
}

/// Everything the pictures are drawn from.
pub struct Asked<'a> {
    /// The player.
    pub player: &'a Player,
    /// The decks with their file stems: all, or the one that is asked about.
    pub decks: &'a [(String, Deck)],
    /// The opponent, when only one is asked about.
    pub opponent: Option<&'a str>,
    /// The memory of every pattern.
    pub memories: &'a Memories,
    /// The journal in its order; plain answers of before the last thirty days may be left out.
    pub events: &'a [Event],
    /// The timed answers of the whole journal.
    pub answers: &'a Answers,
    /// The player's day.
    pub today: Day,
    /// What a match leaves for the decision against a serve, milliseconds, by deck key and serve.
    pub decision_ms: &'a dyn Fn(&str, &ServeId) -> u32,
}

impl Asked<'_> {
    /// The deck with this key, with its file stem.
    fn deck(&self, key: &str) -> Option<&(String, Deck)> {
        self.decks.iter().find(|(_, deck)| deck.key == key)
    }

    /// The timed answers asked about.
    fn answered(&self) -> Answered<'_> {
        self.answers.answered(self.decks, self.opponent.is_none())
    }

    /// The serves that the periods drawn are about, each with its deck's key: those a decision's time is asked of.
    pub fn served(&self) -> Vec<(&str, &ServeId)> {
        let answered = self.answered();
        let served: BTreeSet<_> = answered.timed.iter().map(|one| (one.deck, one.serve)).collect();
        served.into_iter().collect()
    }

    /// The words for a serve of a deck: its id, quoted, and the opponent when there are several.
    fn named(&self, deck: &str, serve: &ServeId) -> String {
        match self.deck(deck) {
            Some((_, found)) if self.decks.len() > 1 => {
                format!("`{serve}` of {}", text::one_line(&found.opponent))
            }
            _ => format!("`{serve}`"),
        }
    }

    /// What to type when nothing was answered yet: the first opponent with a plan is drilled, due or not.
    fn begin(&self) -> String {
        let planned = self.decks.iter().find(|(_, deck)| deck.planned().next().is_some());
        match (planned, self.decks.first()) {
            (Some((stem, _)), _) => format!("secondball drill --opponent {}", text::typed(stem)),
            (None, Some((stem, _))) => format!("secondball plan choose {}", text::typed(stem)),
            (None, None) => "secondball scout".to_owned(),
        }
    }

    /// A round against the opponent of the last timed answer, due or not.
    fn once_more(&self, answered: &Answered<'_>, what: &str) -> String {
        match answered.last_deck {
            Some(deck) => self.command(what, deck),
            None => self.begin(),
        }
    }

    /// A command about one deck.
    fn command(&self, what: &str, deck: &str) -> String {
        match self.deck(deck) {
            Some((stem, _)) => format!("secondball {what} --opponent {}", text::typed(stem)),
            None => format!("secondball {what}"),
        }
    }
}

/// The grade of an answer by its own behaviour, without what lies behind it; none for a let.
fn grade(answer: &Answer) -> Option<Grade> {
    let behind = Behind { counted_days: 0, recent_old_answer: false };
    crate::memory::fold::behaviour(answer)?.outcome(behind).grade()
}

/// The share of `part` in `whole`; none of nothing.
fn share(part: usize, whole: usize) -> Option<f64> {
    (whole > 0).then(|| part as f64 / whole as f64)
}

/// What came of the work so far.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Progress {
    /// The version of the document.
    pub form: &'static str,
    /// The player.
    pub player: String,
    /// The player's day.
    pub today: Day,
    /// The opponent, when only one was asked about.
    pub opponent: Option<String>,
    /// True when a simulated player gave some of the answers.
    pub has_simulated: bool,
    /// Recall to come.
    pub recall: Recall,
    /// Answers within the window.
    pub windows: Windows,
    /// The tempo.
    pub tempo: Tempi,
    /// What switches cost.
    pub switches: Switches,
    /// Balls at the table.
    pub table: AtTable,
}

/// Folds the journal into the five pictures.
pub fn progress(asked: &Asked<'_>) -> Progress {
    pictures(asked, &asked.answered())
}

/// The five pictures, from the timed answers asked about.
fn pictures(asked: &Asked<'_>, answered: &Answered<'_>) -> Progress {
    Progress {
        form: FORM,
        player: text::one_line(&asked.player.name),
        today: asked.today,
        opponent: asked.opponent.map(text::one_line),
        has_simulated: answered.has_simulated,
        recall: recall::recall(asked),
        windows: windows::windows(asked, answered),
        tempo: tempo::tempi(asked, answered),
        switches: switching::switches(asked),
        table: at_table::at_table(asked),
    }
}

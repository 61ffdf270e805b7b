//! What a picture says should be done about it: a remark with its figures, and what to type.

use std::collections::BTreeMap;

use super::answers::Timed;
use crate::agenda::standing::Slip;
use crate::agenda::todo::Todo;
use crate::base::Day;
use crate::game::ServeId;
use crate::memory::Grade;

/// One line about a picture. With nothing to type there is nothing to do.
#[derive(Debug, Clone, PartialEq)]
pub struct Counsel {
    pub remark: Remark,
    pub todo: Option<Todo>,
}

/// What there is to say about a picture. Shares are 0 to 1; opponents are named only where there
/// are several.
#[derive(Debug, Clone, PartialEq)]
pub enum Remark {
    /// Recall: no opponent, or no serve with a receive.
    NoOpponent,
    NoReceive,
    /// Every answer is at the target or above it on a day, or tomorrow when no event is ahead.
    AllFirm {
        target: f64,
        on: Option<Day>,
    },
    OnceMore(Slip),
    AnsweredToday {
        target: f64,
    },
    NeverDrilled {
        serve: String,
        opponent: Option<String>,
    },
    DrillFirst {
        serve: String,
        opponent: Option<String>,
        then: f64,
        until: Day,
    },

    /// Timed answers, from here on since the first day of the last period.
    NoTimedAnswer,
    LongAgo {
        days: i64,
    },
    FewAnswers {
        answers: usize,
        since: Day,
    },
    NotKnown {
        most_wrong: Option<MostOften>,
        since: Day,
    },
    RightButLate {
        share: f64,
        since: Day,
    },
    WithinWindow {
        share: f64,
        since: Day,
    },

    /// The tempo.
    NoTempo,
    MatchSpeed,
    /// Times the time of a match: where the staircase settled, or the middle of what was asked.
    Slow {
        times: f64,
        is_settled: bool,
        most_late: Option<MostOften>,
    },

    /// What a switch costs: milliseconds, and wrong answers as a share.
    FewSwitchBalls {
        balls: usize,
        since: Day,
    },
    Cheap {
        ms: f64,
        wrong: f64,
    },
    /// Only what is too much.
    Dear {
        ms: Option<f64>,
        wrong: Option<f64>,
    },
    NoSwitchRound,
    NoSwitch,
    NoSwitchNorPlan,
    NoSwitchNorOpponent,

    /// Balls at the table.
    FewBalls,
    OftenMissed {
        serve: String,
        made: u32,
        balls: u32,
    },
    /// Even the worst is made often enough; of another there may be too few balls.
    MadeOften {
        serve: String,
        made: u32,
        balls: u32,
        too_few: Option<String>,
    },
    NoBall,
    NoBallNorOpponent,
}

/// The serve of which something was true most often, and of how many answers.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct MostOften {
    pub deck: String,
    pub serve: ServeId,
    /// Named where there are several.
    pub opponent: Option<String>,
    pub times: usize,
    pub of: usize,
}

impl Counsel {
    pub(super) const fn due(remark: Remark, todo: Todo) -> Self {
        Self { remark, todo: Some(todo) }
    }

    pub(super) const fn nothing(remark: Remark) -> Self {
        Self { remark, todo: None }
    }
}

impl MostOften {
    /// The serve of which something was true most often among some answers.
    pub(super) fn count<'a>(
        answers: impl IntoIterator<Item = &'a Timed<'a>>,
        is: impl Fn(Grade) -> bool,
        named: impl Fn(&str) -> Option<String>,
    ) -> Option<Self> {
        let mut counts: BTreeMap<(&str, &ServeId), (usize, usize)> = BTreeMap::new();
        for one in answers {
            let (times, of) = counts.entry((one.deck, one.serve)).or_default();
            *times += usize::from(is(one.grade));
            *of += 1;
        }
        let ((deck, serve), (times, of)) = counts
            .into_iter()
            .filter(|(_, (times, _))| *times > 0)
            .max_by_key(|(_, (times, _))| *times)?;
        let (deck, serve, opponent) = (deck.to_owned(), serve.clone(), named(deck));
        Some(Self { deck, serve, opponent, times, of })
    }
}

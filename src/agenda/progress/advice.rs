//! What a picture says should be done about it: a remark with its figures, and what to type.

use std::collections::BTreeMap;

use super::answers::Timed;
use crate::agenda::standing::Slip;
use crate::agenda::todo::Todo;
use crate::base::Day;
use crate::game::ServeId;
use crate::memory::Grade;

/// One line about a picture. With nothing to type there is nothing to do. In a document it stands
/// in the words of the views.
#[derive(Debug, Clone, PartialEq)]
pub struct Counsel {
    pub remark: Remark,
    pub todo: Option<Todo>,
}

/// What there is to say about a picture: recall, timed answers, the tempo, switches, the table.
/// Shares are 0 to 1, what a switch costs is in milliseconds and as a share; `since` is the first
/// day of the last period. Opponents are named only where there are several.
#[derive(Debug, Clone, PartialEq)]
pub enum Remark {
    Lacks(Lack),

    // On that day, or tomorrow when no event is ahead.
    AllFirm { target: f64, on: Option<Day> },
    OnceMore(Slip),
    AnsweredToday { target: f64 },
    // What will be recalled on the day that counts; never drilled where there is none.
    DrillFirst { serve: String, opponent: Option<String>, then: Option<(f64, Day)> },

    LongAgo { days: i64 },
    FewAnswers { answers: usize, since: Day },
    NotKnown { most_wrong: Option<MostOften>, since: Day },
    RightButLate { share: f64, since: Day },
    WithinWindow { share: f64, since: Day },

    MatchSpeed,
    // Times the time of a match: where the staircase settled, or the middle of what was asked.
    Slow { times: f64, is_settled: bool, most_late: Option<MostOften> },

    FewSwitchBalls { balls: usize, since: Day },
    Cheap { ms: f64, wrong: f64 },
    // Only what is too much.
    Dear { ms: Option<f64>, wrong: Option<f64> },

    OftenMissed { serve: String, made: u32, balls: u32 },
    // Even the worst is made often enough; of another there may be too few balls.
    MadeOften { serve: String, made: u32, balls: u32, too_few: Option<String> },
}

/// What is not there yet, so that a picture has nothing to show.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Lack {
    Opponent,
    Receive,
    TimedAnswer,
    Tempo,
    SwitchRound,
    Switch,
    SwitchAndPlan,
    SwitchAndOpponent,
    SixBalls,
    Ball,
    BallAndOpponent,
}

/// The serve of which something was true most often, and of how many answers.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct MostOften {
    pub deck: String,
    /// What the serve is called.
    pub serve: String,
    /// Named where there are several.
    pub opponent: Option<String>,
    pub times: usize,
    pub of: usize,
}

impl Counsel {
    pub(super) const fn lacks(lack: Lack, todo: Todo) -> Self {
        Self::due(Remark::Lacks(lack), todo)
    }

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
        named: impl Fn(&str, &ServeId) -> (String, Option<String>),
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
        let (serve, opponent) = named(deck, serve);
        Some(Self { deck: deck.to_owned(), serve, opponent, times, of })
    }
}

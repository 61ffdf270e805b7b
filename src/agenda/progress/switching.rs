//! What a switch costs, week by week: the measures of its rounds
//! ([`crate::drill::SwitchMeasures`]), the rounds of a week taken together so that more balls stand
//! behind a number.

use std::collections::BTreeMap;

use serde::Serialize;

use super::advice::{Counsel, Lack, Remark};
use super::period::{PeriodLength, last_periods};
use super::request::ProgressRequest;
use crate::agenda::patterns::PatternPart;
use crate::agenda::todo::Todo;
use crate::base::{Day, text};
use crate::deck::Deck;
use crate::drill::{Gave, Measured, RoundPart, SwitchMeasures, Taken};
use crate::journal::{Answer, Fact, Stage};
use crate::memory::Outcome;
use crate::memory::fold::grade;

/// A switch that costs more than this is too dear for a match (an assumption: a fifth of the third
/// of a second a match leaves for the decision), milliseconds.
const DEAR_MS: f64 = 70.0;
/// The same in wrong answers, as a share (an assumption: one ball in ten).
const DEAR_WRONG: f64 = 0.10;

/// One week of a switch.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct SwitchWeek {
    /// Its Monday.
    pub from: Day,
    /// What the switch cost in time, milliseconds; no value with fewer than six balls.
    pub cost_ms: Measured,
    /// What it cost in wrong answers, as a share; no value with fewer than six balls.
    pub cost_wrong: Measured,
    /// Balls of the switched serves after the call.
    pub after: usize,
    /// Of them answered with the old receive.
    pub old_answers: usize,
}

/// One switch over the weeks.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct SwitchCost {
    pub deck: String,
    pub opponent: String,
    pub name: String,
    /// Weeks with a call, oldest first.
    pub weeks: Vec<SwitchWeek>,
    #[serde(rename = "advice")]
    pub counsel: Counsel,
}

/// Every switch that was called in the drill.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Switches {
    /// Switch by switch, the one with most balls first.
    pub costs: Vec<SwitchCost>,
    /// What to do while there is none.
    pub none: Option<Counsel>,
}

/// The measures of every switch asked about.
pub fn switches(asked: &ProgressRequest<'_>) -> Switches {
    let mut rounds: BTreeMap<(&str, &str), BTreeMap<Day, Vec<&Answer>>> = BTreeMap::new();
    for event in asked.events {
        let Fact::Answer(answer) = &event.fact else { continue };
        let Some(switched) = &answer.switch else { continue };
        if asked.deck(&answer.deck).is_some() {
            rounds
                .entry((&answer.deck, &switched.name))
                .or_default()
                .entry(PeriodLength::Week.begin(event.day))
                .or_default()
                .push(answer);
        }
    }
    let mut costs: Vec<SwitchCost> = rounds
        .into_iter()
        .filter_map(|((key, name), weeks)| {
            let (stem, deck) = asked.deck(key)?;
            let weeks: Vec<SwitchWeek> =
                weeks.into_iter().filter_map(|(from, answers)| week(from, &answers)).collect();
            let weeks = last_periods(weeks.into_iter());
            let counsel = counsel(stem, name, weeks.last()?);
            Some(SwitchCost {
                deck: stem.clone(),
                opponent: text::one_line(&deck.opponent),
                name: text::one_line(name),
                weeks,
                counsel,
            })
        })
        .collect();
    costs.sort_by_key(|cost| {
        std::cmp::Reverse(cost.weeks.iter().map(|week| week.after).sum::<usize>())
    });
    let none = costs.is_empty().then(|| begin(asked));
    Switches { costs, none }
}

/// The rounds of one week; none when no switch was called in it.
fn week(from: Day, answers: &[&Answer]) -> Option<SwitchWeek> {
    // After the call a switched serve, and only it, carries the receive that was right before.
    let is_switched = |answer: &&&Answer| {
        let round = answer.switch.as_ref();
        round.is_some_and(|round| round.stage == Stage::After && round.old.is_some())
    };
    let switched: Vec<&Answer> = answers.iter().filter(is_switched).copied().collect();
    if switched.is_empty() {
        return None;
    }
    let taken: Vec<Taken> = answers
        .iter()
        .filter_map(|answer| {
            let round = answer.switch.as_ref()?;
            let is_new = |given: &str| switched.iter().any(|one| one.right.as_str() == given);
            let gave = match answer.given.as_deref() {
                None => Gave::Right,
                Some("") => Gave::Nothing,
                Some(given) if round.old.as_ref().is_some_and(|old| old.as_str() == given) => {
                    Gave::OldAnswer
                }
                Some(given) if round.stage == Stage::After && is_new(given) => Gave::Spill,
                Some(_) => Gave::Other,
            };
            Some(Taken {
                // Of which kind it is, kept or switched, is all that the measures ask.
                serve: usize::from(switched.iter().any(|one| one.serve == answer.serve)),
                part: match round.stage {
                    Stage::Before => RoundPart::Before,
                    Stage::After => RoundPart::After,
                    Stage::Back => RoundPart::Back,
                },
                gave,
                given: None,
                ms: answer.ms,
                window_ms: answer.window,
                outcome: grade(answer).map_or(Outcome::Let, Outcome::Graded),
                built: None,
                is_recognised: None,
            })
        })
        .collect();
    let measures = SwitchMeasures::from_answers(&taken, |serve| serve == 1);
    Some(SwitchWeek {
        from,
        cost_ms: measures.cost_ms,
        cost_wrong: measures.cost_wrong,
        after: measures.switched_after.balls,
        old_answers: measures.switched_after.old_answers,
    })
}

fn counsel(stem: &str, name: &str, last: &SwitchWeek) -> Counsel {
    let again = round_of(stem, name);
    let (Some(ms), Some(wrong)) = (last.cost_ms.value, last.cost_wrong.value) else {
        let balls = last.cost_ms.balls.min(last.cost_wrong.balls);
        return Counsel::due(Remark::FewSwitchBalls { balls, since: last.from }, again);
    };
    if ms <= DEAR_MS && wrong <= DEAR_WRONG {
        return Counsel::nothing(Remark::Cheap { ms, wrong });
    }
    let (ms, wrong) =
        (Some(ms).filter(|ms| *ms > DEAR_MS), Some(wrong).filter(|w| *w > DEAR_WRONG));
    Counsel::due(Remark::Dear { ms, wrong }, again)
}

fn round_of(stem: &str, name: &str) -> Todo {
    Todo::drill_part(stem, &PatternPart::Switch(name.to_owned()))
}

/// The first thing to do about switches.
fn begin(asked: &ProgressRequest<'_>) -> Counsel {
    let Some((stem, deck)) = asked.decks.first() else {
        return Counsel::lacks(Lack::SwitchAndOpponent, Todo::Scout);
    };
    let ready = asked.decks.iter().find_map(|(stem, deck): &(String, Deck)| {
        deck.switches.first().map(|switch| (stem, &switch.name))
    });
    if let Some((stem, name)) = ready {
        Counsel::lacks(Lack::SwitchRound, round_of(stem, name))
    } else if deck.planned().next().is_none() {
        Counsel::lacks(Lack::SwitchAndPlan, Todo::ChoosePlan(stem.clone()))
    } else {
        Counsel::lacks(Lack::Switch, Todo::AddSwitch(stem.clone()))
    }
}

//! What the progress says, in words.

use serde::{Serialize, Serializer};

use crate::agenda::progress::{
    Counsel, Lack, MostOften, PatternRecall, Progress, Recall, Remark, SwitchCost,
};
use crate::base::text;
use crate::memory::{Checked, RecallShare, Standing};
use crate::page::next::{answer_called, command, slip_words};
use crate::page::numbers::of_hundred;

/// Why a forecast can stand high above answers that were wrong.
pub(super) const WRONG_LATELY: &str = "After a wrong answer the right one is shown, and the forecast counts on that: \
     only right answers against the clock prove it.";

/// How the forecasts so far came out; nothing where there are too few.
pub(super) fn checked(checked: Checked) -> Option<String> {
    let (said, came) = checked.shares()?;
    let (said, came) = (of_hundred(said), of_hundred(came));
    let answers = text::count(checked.answers as usize, "answer");
    Some(format!("Said {said}, came {came} of 100 ({answers})."))
}

/// One line about a picture.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct AdviceLine {
    /// False when there is nothing to do.
    pub is_due: bool,
    pub says: String,
    /// What to type for it.
    pub command: Option<String>,
}

/// The line of a picture.
pub fn advice_line(counsel: &Counsel) -> AdviceLine {
    let is_due = counsel.todo.is_some();
    let says = remark(&counsel.remark);
    AdviceLine {
        is_due,
        says: if is_due { says } else { format!("Nothing to do: {says}") },
        command: counsel.todo.as_ref().map(command),
    }
}

/// In a document a counsel stands as its line.
impl Serialize for Counsel {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        advice_line(self).serialize(serializer)
    }
}

/// A serve, and the opponent when there are several.
fn named(serve: &str, opponent: Option<&String>) -> String {
    let whose = opponent.map_or_else(String::new, |opponent| format!(" of {opponent}"));
    format!("{serve}{whose}")
}

/// What a switch costs, as far as it is given.
fn cost(ms: Option<f64>, wrong: Option<f64>) -> String {
    let ms = ms.map(|ms| format!("{ms:+.0} ms"));
    let wrong = wrong.map(|wrong| format!("{:+.0} wrong of 100", wrong * 100.0));
    [ms, wrong].into_iter().flatten().collect::<Vec<_>>().join(" and ")
}

const fn lack_words(lack: Lack) -> &'static str {
    match lack {
        Lack::Opponent => "No opponent yet: write the first serves down.",
        Lack::Receive => "No serve has a receive yet: choose them.",
        Lack::TimedAnswer => "No timed answer yet: a few minutes are enough.",
        Lack::Tempo => "No tempo yet: it shows after a timed round.",
        Lack::SwitchRound => "No switch round yet.",
        Lack::Switch => "No switch in reserve yet.",
        Lack::SwitchAndPlan => "No switch in reserve yet, and no plan it would depart from.",
        Lack::SwitchAndOpponent => "No switch in reserve yet, and no opponent.",
        Lack::SixBalls => "Fewer than six balls of every serve.",
        Lack::Ball => "No ball at the table in eight weeks.",
        Lack::BallAndOpponent => "No ball at the table yet, and no opponent.",
    }
}

fn remark(remark: &Remark) -> String {
    match remark {
        Remark::Lacks(lack) => lack_words(*lack).to_owned(),
        Remark::AllFirm { target, on } => {
            let day = match on {
                Some(day) => format!("on {}", day.spoken()),
                None => "tomorrow, and the daily list keeps it there".to_owned(),
            };
            format!("every answer stands at {} of 100 or better {day}.", of_hundred(*target))
        }
        Remark::OnceMore(slip) => format!("{}: once more.", slip_words(slip)),
        Remark::AnsweredToday { target } => format!(
            "every answer was given today; what is below {} of 100 gets firm with another day, not \
             with more today.",
            of_hundred(*target)
        ),
        Remark::DrillFirst { serve, opponent, then } => {
            let why = match then {
                None => "never drilled".to_owned(),
                Some((then, day)) => format!("{} of 100 on {}", of_hundred(*then), day.spoken()),
            };
            format!("Drill {} first: {why}.", named(serve, opponent.as_ref()))
        }
        Remark::LongAgo { days } => format!("Nothing was answered for {days} days."),
        Remark::FewAnswers { answers, since } => {
            format!("Too few answers since {} to say anything: {answers}.", since.spoken())
        }
        Remark::NotKnown { most_wrong, since } => {
            let most = most_wrong.as_ref().map(|most| {
                let (serve, times) =
                    (named(&most.serve, most.opponent.as_ref()), text::count(most.of, "time"));
                format!(": {serve} was wrong {} of {times} since {}", most.times, since.spoken())
            });
            format!("Know it before you hurry{}.", most.unwrap_or_default())
        }
        Remark::RightButLate { share, since } => format!(
            "Right but late, {} of 100 in time since {}: shorter and more often.",
            of_hundred(*share),
            since.spoken()
        ),
        Remark::WithinWindow { share, since } => format!(
            "{} of 100 in time since {}; the tempo keeps it near 80.",
            of_hundred(*share),
            since.spoken()
        ),
        Remark::MatchSpeed => "you answer at match speed.".to_owned(),
        Remark::Slow { times, is_settled, most_late } => {
            slow(*times, *is_settled, most_late.as_ref())
        }
        Remark::FewSwitchBalls { balls, since } => {
            let since = since.spoken();
            format!("Too few balls since {since} for a number: {balls}, six are needed.")
        }
        Remark::Cheap { ms, wrong } => {
            format!("the switch costs {}, cheap enough for a match.", cost(Some(*ms), Some(*wrong)))
        }
        Remark::Dear { ms, wrong } => {
            format!("Too dear for a match yet, {}: another round.", cost(*ms, *wrong))
        }
        Remark::OftenMissed { serve, made, balls } => {
            format!("Rehearse {serve}: {made} of {balls} made.")
        }
        Remark::MadeOften { serve, made, balls, too_few: None } => {
            format!("even {serve} was made {made} of {balls} times.")
        }
        Remark::MadeOften { serve, made, balls, too_few: Some(few) } => format!(
            "Even {serve} was made {made} of {balls} times; of {few} there are fewer than six \
             balls."
        ),
    }
}

fn slow(times: f64, is_settled: bool, most_late: Option<&MostOften>) -> String {
    let at = if is_settled { "Four in five come right at" } else { "You were asked at" };
    let middle = if is_settled { "" } else { ", in the middle" };
    let late = match most_late {
        None => ": a few minutes a day".to_owned(),
        Some(most) => {
            format!(
                "; {} is late most often, {} of {}",
                named(&most.serve, most.opponent.as_ref()),
                most.times,
                most.of
            )
        }
    };
    format!("{at} {times:.2} times the time of a match{middle}{late}.")
}

/// What the forecast looks towards.
pub(super) fn towards(recall: &Recall) -> String {
    match &recall.event {
        Some(event) => format!("until {event}, {}", recall.until.spoken()),
        None => format!("until {}, no event ahead", recall.until.spoken()),
    }
}

/// The words for a pattern: serve, opponent where there are several, switch.
pub(super) fn pattern_words(progress: &Progress, pattern: &PatternRecall) -> String {
    let mut words = answer_called(&pattern.called, &pattern.part);
    let patterns = &progress.recall.patterns;
    if patterns.iter().any(|other| other.deck != pattern.deck) {
        words = format!("{words}, {}", pattern.opponent);
    }
    words
}

/// Why a pattern is not ready; empty where it is.
pub(super) fn why_not(pattern: &PatternRecall) -> String {
    match (pattern.standing, pattern.wrong_lately) {
        (Standing::Ready, _) => String::new(),
        (_, Some((wrong, of))) => format!("wrong {wrong} of the last {of}"),
        (Standing::Untried, _) => "never drilled".to_owned(),
        (Standing::Slow, _) => "too slow".to_owned(),
        (Standing::Shaky, _) => "drill it".to_owned(),
    }
}

/// The share of all answers expected right on the day that counts when nothing more is done;
/// none before anything was drilled.
pub(super) fn if_stopped(recall: &Recall) -> Option<String> {
    // Each is asked once.
    let each = recall.patterns.iter().map(|pattern| (1.0, pattern.then));
    let (least, most) = RecallShare::from_recalls(each).range();
    let said =
        format!("{} to {} of 100 right if you stop here", of_hundred(least), of_hundred(most));
    (most > 0.0).then_some(said)
}

/// What a switch cost in its last week, in a line; nothing with too few balls.
pub(super) fn cost_now(cost: &SwitchCost) -> Option<String> {
    let week = cost.weeks.last()?;
    let (ms, wrong) = (week.cost_ms.value?, week.cost_wrong.value?);
    let (name, balls) = (text::one_line(&cost.name), text::count(week.cost_ms.balls, "ball"));
    let wrong = wrong * 100.0;
    let worth = match cost.counsel.remark {
        Remark::Dear { .. } => ", too dear yet",
        Remark::Cheap { .. } => ", cheap enough",
        _ => "",
    };
    Some(format!(
        "Switch \"{name}\" costs {ms:+.0} ms and {wrong:+.0} wrong of 100 ({balls}){worth}"
    ))
}

/// How a pattern stands; what was wrong lately is said with its number.
pub(super) fn standing(pattern: &PatternRecall) -> String {
    match pattern.wrong_lately {
        Some((wrong, _)) => format!("wrong {wrong}"),
        None => pattern.standing.word().to_owned(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_was_said_stands_beside_what_came_once_there_are_answers_enough() {
        let mut forecasts = Checked::default();
        for n in 0..240 {
            assert_eq!(checked(forecasts).is_none(), n < 20, "{n}");
            forecasts.take(0.92, n < 211);
        }
        let said = checked(forecasts).unwrap();
        assert_eq!(said, "Said 92, came 88 of 100 (240 answers).");
    }
}

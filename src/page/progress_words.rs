//! What the progress says, in words.

use serde::Serialize;

use crate::agenda::PatternPart;
use crate::agenda::progress::{Counsel, MostOften, PatternRecall, Progress, Recall, Remark};
use crate::base::{Day, text};
use crate::page::next::{command, slip_words};
use crate::page::numbers::of_hundred;

/// Why a forecast can stand high above answers that were wrong.
pub(super) const WRONG_LATELY: &str = "After a wrong answer the right one is shown, and the forecast counts on that: \
     only right answers against the clock prove it.";

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

/// A serve's id, quoted, and the opponent when there are several.
fn named(serve: &str, opponent: Option<&String>) -> String {
    let whose = opponent.map_or_else(String::new, |opponent| format!(" of {opponent}"));
    format!("`{serve}`{whose}")
}

fn named_most(most: &MostOften) -> String {
    named(most.serve.as_str(), most.opponent.as_ref())
}

/// What a switch costs, as far as it is given.
fn cost(ms: Option<f64>, wrong: Option<f64>) -> String {
    let ms = ms.map(|ms| format!("{ms:+.0} ms"));
    let wrong = wrong.map(|wrong| format!("{:+.0} wrong of 100", wrong * 100.0));
    [ms, wrong].into_iter().flatten().collect::<Vec<_>>().join(" and ")
}

fn remark(remark: &Remark) -> String {
    let since = |day: &Day| format!("since {}", day.spoken());
    match remark {
        Remark::NoOpponent => "No opponent yet: write the first serves down.".to_owned(),
        Remark::NoReceive => "No serve has a receive yet: choose them.".to_owned(),
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
        Remark::NeverDrilled { serve, opponent } => {
            format!("Drill {} first: never drilled.", named(serve, opponent.as_ref()))
        }
        Remark::DrillFirst { serve, opponent, then, until } => format!(
            "Drill {} first: {} of 100 on {}.",
            named(serve, opponent.as_ref()),
            of_hundred(*then),
            until.spoken()
        ),
        Remark::NoTimedAnswer => "No timed answer yet: a few minutes are enough.".to_owned(),
        Remark::LongAgo { days } => format!("Nothing was answered for {days} days."),
        Remark::FewAnswers { answers, since: day } => {
            format!("Too few answers {} to say anything: {answers}.", since(day))
        }
        Remark::NotKnown { most_wrong: None, .. } => "Know it before you hurry.".to_owned(),
        Remark::NotKnown { most_wrong: Some(most), since: day } => format!(
            "Know it before you hurry: {} was wrong {} of {} {}.",
            named_most(most),
            most.times,
            text::count(most.of, "time"),
            since(day)
        ),
        Remark::RightButLate { share, since: day } => format!(
            "Right but late, {} of 100 within the window {}: shorter and more often.",
            of_hundred(*share),
            since(day)
        ),
        Remark::WithinWindow { share, since: day } => format!(
            "{} of 100 within the window {}; the tempo keeps it near 80.",
            of_hundred(*share),
            since(day)
        ),
        Remark::NoTempo => "No tempo yet: it shows after a timed round.".to_owned(),
        Remark::MatchSpeed => "you answer at match speed.".to_owned(),
        Remark::Slow { times, is_settled, most_late } => {
            slow(*times, *is_settled, most_late.as_ref())
        }
        Remark::FewSwitchBalls { balls, since: day } => {
            format!("Too few balls {} for a number: {balls}, six are needed.", since(day))
        }
        Remark::Cheap { ms, wrong } => {
            format!("the switch costs {}, cheap enough for a match.", cost(Some(*ms), Some(*wrong)))
        }
        Remark::Dear { ms, wrong } => {
            format!("Too dear for a match yet, {}: another round.", cost(*ms, *wrong))
        }
        Remark::NoSwitchRound => "No switch round yet.".to_owned(),
        Remark::NoSwitch => "No switch in reserve yet.".to_owned(),
        Remark::NoSwitchNorPlan => {
            "No switch in reserve yet, and no plan it would depart from.".to_owned()
        }
        Remark::NoSwitchNorOpponent => "No switch in reserve yet, and no opponent.".to_owned(),
        Remark::FewBalls => "Fewer than six balls of every serve.".to_owned(),
        Remark::OftenMissed { serve, made, balls } => {
            format!("Rehearse `{serve}`: {made} of {balls} made.")
        }
        Remark::MadeOften { serve, made, balls, too_few: None } => {
            format!("even `{serve}` was made {made} of {balls} times.")
        }
        Remark::MadeOften { serve, made, balls, too_few: Some(few) } => format!(
            "Even `{serve}` was made {made} of {balls} times; of `{few}` there are fewer than six \
             balls."
        ),
        Remark::NoBall => "No ball at the table in eight weeks.".to_owned(),
        Remark::NoBallNorOpponent => "No ball at the table yet, and no opponent.".to_owned(),
    }
}

fn slow(times: f64, is_settled: bool, most_late: Option<&MostOften>) -> String {
    let times = format!("{times:.2} times the time of a match");
    let at = if is_settled {
        format!("Four in five come right at {times}")
    } else {
        format!("You were asked at {times}, in the middle")
    };
    match most_late {
        None => format!("{at}: a few minutes a day."),
        Some(most) => {
            let (serve, late, of) = (named_most(most), most.times, most.of);
            format!("{at}; {serve} is late most often, {late} of {of}.")
        }
    }
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
    let mut words = pattern.serve.clone();
    // The switch first: where there is little room it tells two rows apart.
    if let PatternPart::Switch(name) = &pattern.part {
        words = format!("{words} (switch: {})", text::one_line(name));
    }
    if progress.opponent.is_none() {
        words = format!("{words}, {}", pattern.opponent);
    }
    words
}

/// How a pattern stands; what was wrong lately is said with its number.
pub(super) fn standing(pattern: &PatternRecall) -> String {
    match pattern.wrong_lately {
        Some((wrong, of)) => format!("wrong {wrong} of {of}"),
        None => pattern.standing.word().to_owned(),
    }
}

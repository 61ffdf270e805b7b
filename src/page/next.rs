//! The one next thing in words, and every command the pages ask to be typed.

use crate::agenda::{DrillMode, NextThing, PatternPart, Slip, Todo, Unready};
use crate::base::text::{count, one_line, typed};

/// What to do next and why, one sentence.
pub fn next_words(next: &NextThing) -> String {
    match next {
        NextThing::Mend { file } => {
            format!("{} has a mistake in it; that opponent is left out here.", one_line(file))
        }
        NextThing::Debrief => "The event is over: tell what happened while you know it.".to_owned(),
        NextThing::NoOpponent => "No opponent yet: write down the serves of the next.".to_owned(),
        NextThing::NoServes { opponent, .. } => {
            format!("{} has no serves yet.", one_line(opponent))
        }
        NextThing::NoReceive { opponent, serves, .. } => {
            format!("{} of {} without a receive.", count(*serves, "serve"), one_line(opponent))
        }
        NextThing::Drill { patterns, .. } => {
            format!("{} for today, then the others by turns.", count(*patterns, "answer"))
        }
        NextThing::PrintSheet { .. } => "Read the sheet once, and leave it at that.".to_owned(),
        NextThing::OnceMore(slip) => format!("{}: once more.", slip_words(slip)),
        NextThing::AgainstTheClock { opponent, .. } => {
            format!("{}: only answered without the clock so far.", one_line(opponent))
        }
        NextThing::BackToTheTable(unready) => {
            format!("Back to the table: {}.", unready_words(unready))
        }
        NextThing::Rehearse { opponent, all_firm: true, .. } => {
            format!("The answers for {} are ready: take them to the table.", one_line(opponent))
        }
        NextThing::Rehearse { opponent, .. } => {
            format!("Nothing more for today: to the table, against {}.", one_line(opponent))
        }
        NextThing::NothingMore => "Nothing more today.".to_owned(),
    }
}

/// What an answer is called: its serve, or its switch.
pub(super) fn answer_called(called: &str, part: &PatternPart) -> String {
    match part {
        PatternPart::Plan => called.to_owned(),
        PatternPart::Switch(name) => format!("switch \"{}\"", one_line(name)),
    }
}

/// What was wrong lately, how often.
pub fn slip_words(slip: &Slip) -> String {
    format!(
        "{} was wrong {} of the last {}",
        answer_called(&slip.called, &slip.part),
        slip.wrong,
        count(slip.of, "time")
    )
}

/// What was made too seldom at the table.
pub fn unready_words(Unready { called, made, .. }: &Unready) -> String {
    format!("{called}, made {} of {}", made.made, made.balls)
}

/// The command for what is to be done, ready to be typed.
pub fn command(todo: &Todo) -> String {
    let words = match todo {
        Todo::Scout => "scout".to_owned(),
        Todo::AddServes(deck) => format!("scout add {}", typed(deck)),
        Todo::ChoosePlan(deck) => format!("plan choose {}", typed(deck)),
        Todo::AddSwitch(deck) => format!("plan switch {}", typed(deck)),
        Todo::Drill { mode, deck, switch } => {
            let mode = match mode {
                DrillMode::Usual => "",
                DrillMode::Think => " --think",
                DrillMode::FiveMinutes => " --minutes 5",
            };
            let deck = deck.as_ref().map(|deck| format!(" {}", typed(deck))).unwrap_or_default();
            let switch = switch.as_ref().map(|name| format!(" --switch {}", typed(name)));
            format!("drill{deck}{mode}{}", switch.unwrap_or_default())
        }
        Todo::Rehearse(deck) => format!("rehearse {}", typed(deck)),
        Todo::Sheet(deck) => format!("sheet {}", typed(deck)),
        Todo::Debrief => "debrief".to_owned(),
        Todo::Check => "check".to_owned(),
        Todo::Today => "today".to_owned(),
    };
    format!("secondball {words}")
}

//! The one next thing in words, and every command the pages ask to be typed.

use crate::agenda::{DrillMode, NextThing, Slip, Todo, Unready};
use crate::base::text::{count, one_line, typed};
use crate::page::numbers::made_at_table;

/// What to do next and why, one sentence.
pub fn next_words(next: &NextThing) -> String {
    match next {
        NextThing::Mend { file } => {
            let file = one_line(file);
            format!("{file} has a mistake in it, so that opponent is left out here; mend it first")
        }
        NextThing::Debrief => {
            "the event is over: a minute of debrief now is worth an hour of guessing later"
                .to_owned()
        }
        NextThing::NoOpponent => {
            "no opponent yet: write down the serves of the one you meet next".to_owned()
        }
        NextThing::NoServes { opponent, .. } => format!("{} has no serves yet", one_line(opponent)),
        NextThing::NoReceive { opponent, serves, .. } => {
            format!("{} of {} without a receive", count(*serves, "serve"), one_line(opponent))
        }
        NextThing::Drill { patterns, minutes } => {
            let patterns = count(*patterns, "pattern");
            format!("{patterns} to answer today, about {:.0} min", minutes.ceil().max(1.0))
        }
        NextThing::PrintSheet { .. } => {
            "everything is answered; print the sheet and leave it at that".to_owned()
        }
        NextThing::OnceMore(slip) => format!("{}; once more", slip_words(slip)),
        NextThing::AgainstTheClock { opponent, .. } => {
            let opponent = one_line(opponent);
            format!("the answers for {opponent} were only given untimed; now against the clock")
        }
        NextThing::BackToTheTable(unready) => {
            format!("{}; back to the table", unready_words(unready))
        }
        NextThing::Rehearse { opponent, all_firm: true, .. } => {
            format!("the answers for {} are known; take them to the table", one_line(opponent))
        }
        NextThing::Rehearse { opponent, .. } => format!(
            "today's answers are given; the shaky ones get firm with the days, and at the table \
             against {}",
            one_line(opponent)
        ),
        NextThing::NothingMore => "nothing more today; come back tomorrow".to_owned(),
    }
}

/// What was wrong lately, how often.
pub fn slip_words(slip: &Slip) -> String {
    format!(
        "`{}` of {} was wrong {} of the last {} against the clock",
        slip.serve,
        one_line(&slip.opponent),
        slip.wrong,
        count(slip.of, "time")
    )
}

/// What was made too seldom at the table.
pub fn unready_words(Unready { opponent, serve, made, .. }: &Unready) -> String {
    format!("`{serve}` of {}: {}", one_line(opponent), made_at_table(*made))
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

//! `check --redate` and `check --drop`: what to do with events that a clock ahead of time has left.

use clap::Args;

use crate::base::{Day, text};
use crate::cli::ask::Asker;
use crate::cli::{Desk, Failure, Result, World};

/// What to do with events later than tomorrow.
#[derive(Debug, Args)]
pub struct LateArguments {
    /// A clock was ahead: the first of the events later than tomorrow was on this day, the others
    /// as many days after it as before
    #[arg(long, value_name = "DAY", conflicts_with_all = ["json", "settle", "drop"])]
    redate: Option<Day>,
    /// Drop the events later than tomorrow
    #[arg(long, conflicts_with_all = ["json", "settle"])]
    drop: bool,
    /// Do it without asking
    #[arg(long)]
    yes: bool,
}

impl LateArguments {
    /// Whether anything is to be done.
    pub const fn is_wanted(&self) -> bool {
        self.redate.is_some() || self.drop
    }
}

/// Gives late events another day, or drops them.
///
/// # Errors
/// [`Failure`] when a day would still be to come, nobody agrees, or nothing can be written.
pub fn run(arguments: &LateArguments, desk: &Desk, world: &mut World<'_>) -> Result {
    let (home, today) = (desk.home()?, desk.today()?);
    let late = home.late_events()?;
    let (Some(first), Some(last)) = (late.first(), late.last()) else {
        return world.say("No event is later than tomorrow: nothing was changed.", "  ");
    };
    let (first, last) = (first.event.day, last.event.day);
    let events = text::count(late.len(), "event");
    let days = arguments.redate.map(|day| u32::try_from(first.days_since(day)).unwrap_or(0));
    let what = match days {
        None => format!("{events} from {first} to {last} dropped"),
        Some(days) if last.minus(days) > today => {
            return Err(Failure::request(
                format!("the last of {events} would be on {}: still to come", last.minus(days)),
                format!("name the day on which the first of them, now on {first}, really was"),
            ));
        }
        Some(days) => {
            let (first_now, last_now) = (first.minus(days), last.minus(days));
            format!("{events} from {first} to {last} moved to {first_now} to {last_now}")
        }
    };
    let question = format!("{what}: is that right?");
    let is_agreed =
        arguments.yes || world.is_terminal && Asker::default().yes(world, &question, false)?;
    if !is_agreed {
        return Err(Failure::request(
            format!("nothing was changed; it would be: {what}"),
            "say yes when you are asked in a terminal, or add `--yes`",
        ));
    }
    home.settle_late(&late, days, world.now, today)?;
    world.say(&format!("{what}; the lines of before stay in their files"), "  ")
}

//! `launcher trim`: five balls by eye, one notch at a time.

use clap::Args;

use super::choosing::{deck_and_table, find, no_serve};
use crate::base::{Units, text};
use crate::cli::{Desk, Failure, World};
use crate::launcher::{Sight, Trim, TrimStep, aim_deck};
use crate::page;
use crate::page::launcher_trim::{StepWords, look_at_words};
use crate::page::launcher_words::{NoBallWords, set_up_words};

/// Trim one serve by eye: say what you saw, turn what it says, at most five balls
#[derive(Debug, Args)]
#[command(
    after_help = "Seen from behind the launcher: good, short, long, left, right, net, high.\n\n\
                  Examples:\n  secondball launcher trim pend-short-bh --opponent north --launcher fixed\n  \
                  secondball launcher trim pend-short-bh --launcher fixed --seen long --seen net"
)]
pub struct TrimArguments {
    /// The serve, by its id
    pub serve: String,
    /// The opponent: name or file; the only one when there is one
    #[arg(long, value_name = "NAME")]
    pub opponent: Option<String>,
    /// One of yours, or fixed, oscillating, per-ball
    #[arg(long, value_name = "NAME")]
    pub launcher: Option<String>,
    /// What was seen of each ball so far, in order; without it you are asked
    #[arg(long, value_name = "SEEN")]
    pub seen: Vec<Sight>,
    /// Print the steps as JSON; needs --seen
    #[arg(long, requires = "seen")]
    pub json: bool,
}

/// Trims.
///
/// # Errors
/// [`Failure`] when there is no such serve or launcher, or this launcher cannot throw it.
pub fn run(arguments: &TrimArguments, desk: &Desk, world: &mut World<'_>) -> Result<(), Failure> {
    let (deck, table, _) = deck_and_table(arguments.opponent.as_deref(), desk)?;
    let launcher = find(arguments.launcher.as_deref(), desk, world)?;
    let Some(serve) = deck.active().find(|serve| serve.id.as_str() == arguments.serve) else {
        return Err(no_serve(&arguments.serve, &deck));
    };
    let aim = aim_deck(&launcher, &[serve], &table);
    let group = aim.groups.first();
    let Some((group, one)) = group.and_then(|group| Some((group, group.serves.first()?))) else {
        let cannot = aim.cannot.first().map(|cannot| NoBallWords::tell(&cannot.no_ball));
        let (why, nearest) = cannot.map(|no_ball| (no_ball.why, no_ball.nearest)).unzip();
        return Err(Failure::request(
            why.unwrap_or_else(|| "this launcher cannot throw it".to_owned()),
            nearest
                .flatten()
                .unwrap_or_else(|| "`secondball launcher aim` says what it can".to_owned()),
        ));
    };
    let mut trim = Trim::new(&launcher, &one.ball, one.thrown.throw, &table.constants);
    if arguments.json {
        let see = |&seen| StepWords::tell(&trim.see(seen));
        let steps: Vec<StepWords> = arguments.seen.iter().map(see).collect();
        writeln!(world.out, "{}", page::json(&steps))?;
        return Ok(());
    }
    world.say(&set_up_words(&group.set_up, Units::Metric), "")?;
    let look = look_at_words(one.thrown.depth);
    world.say(&format!("Nobody in its line. Then {look}."), "")?;
    let mut given = arguments.seen.iter().copied();
    for number in 1.. {
        let is_asked = arguments.seen.is_empty();
        let seen = if is_asked { what_was_seen(number, world)? } else { given.next() };
        let Some(seen) = seen else { break };
        let step = trim.see(seen);
        let label = text::fit(&format!("{seen}:"), 15);
        let line = format!("{number}  {label}  {}", StepWords::tell(&step).line());
        world.say(&line, &" ".repeat(20))?;
        if !matches!(step, TrimStep::Turn(_)) {
            break;
        }
    }
    Ok(())
}

/// Asks what was seen of a ball, until it is a word or the input ends.
fn what_was_seen(number: u32, world: &mut World<'_>) -> Result<Option<Sight>, Failure> {
    loop {
        write!(world.err, "ball {number}, what did you see? ")?;
        world.err.flush()?;
        let mut line = String::new();
        if !world.read_line(&mut line)? {
            return Ok(None);
        }
        match line.trim().parse() {
            Ok(seen) => return Ok(Some(seen)),
            Err(error) => writeln!(world.err, "{error}")?,
        }
    }
}

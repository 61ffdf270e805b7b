//! `launcher trim`: five balls by eye, one notch at a time.

use clap::Args;

use super::choosing::{find, no_serve, own_table};
use crate::base::{Units, text};
use crate::cli::{Desk, Failure, World};
use crate::game::Hand;
use crate::launcher::{Sight, Table, Trim, TrimStep, aim_deck};
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
    let player = desk.player()?;
    let (_, deck) = desk.opponent(arguments.opponent.as_deref())?;
    let launcher = find(arguments.launcher.as_deref(), desk, world)?;
    let deck = deck.seen_by(player.hand);
    let Some(serve) = deck.active().find(|serve| serve.id.as_str() == arguments.serve) else {
        return Err(no_serve(&arguments.serve, &deck));
    };
    let (constants, _) = own_table(desk)?;
    let table = Table {
        constants,
        receiver: player.hand,
        server: deck.hand.unwrap_or(Hand::Right),
        seed: 1,
    };
    let aim = aim_deck(&launcher, &[serve], &table);
    let group = aim.groups.first();
    let Some((group, one)) = group.and_then(|group| Some((group, group.serves.first()?))) else {
        let cannot = aim.cannot.first().map(|cannot| NoBallWords::tell(&cannot.no_ball));
        let why = cannot.as_ref().map(|no_ball| no_ball.why.clone());
        return Err(Failure::request(
            why.unwrap_or_else(|| "this launcher cannot throw it".to_owned()),
            cannot
                .and_then(|no_ball| no_ball.nearest)
                .unwrap_or_else(|| "`secondball launcher aim` says what it can".to_owned()),
        ));
    };
    let mut trim = Trim::new(&launcher, &one.ball, one.thrown.throw, &constants);
    if arguments.json {
        let see = |&seen| StepWords::tell(&trim.see(seen));
        let steps: Vec<StepWords> = arguments.seen.iter().map(see).collect();
        writeln!(world.out, "{}", page::json(&steps))?;
        return Ok(());
    }
    let width = world.width;
    let place = set_up_words(&group.set_up, Units::Metric);
    let look = format!("Nobody in its line. Then {}.", look_at_words(one.thrown.depth));
    writeln!(world.out, "{}\n{}", text::wrap(&place, width, ""), text::wrap(&look, width, ""))?;
    if !arguments.seen.is_empty() {
        for (&seen, number) in arguments.seen.iter().zip(1..) {
            if !see(number, seen, &mut trim, world)? {
                break;
            }
        }
        return Ok(());
    }
    trim_by_eye(&mut trim, world)
}

/// Asks after every ball what was seen of it.
fn trim_by_eye(trim: &mut Trim, world: &mut World<'_>) -> Result<(), Failure> {
    let mut number = 1;
    loop {
        write!(world.err, "ball {number}, what did you see? ")?;
        world.err.flush()?;
        let mut line = String::new();
        if !world.read_line(&mut line)? {
            return Ok(());
        }
        let seen: Sight = match line.trim().parse() {
            Ok(seen) => seen,
            Err(error) => {
                writeln!(world.err, "{error}")?;
                continue;
            }
        };
        if !see(number, seen, trim, world)? {
            return Ok(());
        }
        number += 1;
    }
}

/// Says what comes after a ball; true when another one is to be thrown.
fn see(number: u32, seen: Sight, trim: &mut Trim, world: &mut World<'_>) -> Result<bool, Failure> {
    let step = trim.see(seen);
    let words = StepWords::tell(&step).line();
    let line = format!("{number}  {}  {words}", text::fit(&format!("{seen}:"), 15));
    writeln!(world.out, "{}", text::wrap(&line, world.width, &" ".repeat(20)))?;
    Ok(matches!(step, TrimStep::Turn(_)))
}

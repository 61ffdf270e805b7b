//! `launcher trim`: five balls by eye, one notch at a time.

use clap::Args;

use super::fly::own_table;
use crate::base::text;
use crate::cli::{Desk, Failure, World};
use crate::game::Hand;
use crate::launcher::{Seen, Step, Table, Trim, aim_deck};
use crate::page;

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
    pub seen: Vec<Seen>,
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
    let launcher = super::find(arguments.launcher.as_deref(), desk, world)?;
    let deck = deck.seen_by(player.hand);
    let known: Vec<&str> = deck.active().map(|serve| serve.id.as_str()).collect();
    let Some(serve) = deck.active().find(|serve| serve.id.as_str() == arguments.serve) else {
        let hint = text::closest(&arguments.serve, &known).map_or_else(
            || format!("the deck has {}", text::and_list(&known)),
            |meant| format!("did you mean `{meant}`?"),
        );
        return Err(Failure::request(format!("no serve `{}`", arguments.serve), hint));
    };
    let (constants, _) = own_table(desk)?;
    let table = Table {
        constants,
        receiver: player.hand,
        server: deck.hand.unwrap_or(Hand::Right),
        seed: 1,
    };
    let aim = aim_deck(&launcher, &[serve], &table);
    let Some((set_up, one)) =
        aim.groups.first().and_then(|group| Some((&group.words, group.serves.first()?)))
    else {
        let cannot = aim.cannot.first().map(|cannot| &cannot.no_ball);
        return Err(Failure::request(
            cannot.map_or("this launcher cannot throw it", |no_ball| no_ball.why.as_str()),
            cannot
                .and_then(|no_ball| no_ball.nearest.clone())
                .unwrap_or_else(|| "`secondball launcher aim` says what it can".to_owned()),
        ));
    };
    let mut trim = Trim::new(&launcher, &one.ball, one.thrown.throw, one.thrown.depth, &constants);
    if arguments.json {
        let steps: Vec<Step> = arguments.seen.iter().map(|&seen| trim.see(seen)).collect();
        writeln!(world.out, "{}", page::json(&steps))?;
        return Ok(());
    }
    let width = world.width;
    writeln!(world.out, "{}", text::wrap(set_up, width, ""))?;
    writeln!(
        world.out,
        "{}",
        text::wrap(&format!("Nobody in its line. Then {}.", trim.look_at()), width, "")
    )?;
    if !arguments.seen.is_empty() {
        for (&seen, number) in arguments.seen.iter().zip(1..) {
            let step = trim.see(seen);
            say(number, seen, &step, world)?;
            if !matches!(step, Step::Turn(_)) {
                break;
            }
        }
        return Ok(());
    }
    let mut number = 1;
    loop {
        write!(world.err, "ball {number}, what did you see? ")?;
        world.err.flush()?;
        let mut line = String::new();
        if !world.read_line(&mut line)? {
            return Ok(());
        }
        let seen: Seen = match line.trim().parse() {
            Ok(seen) => seen,
            Err(error) => {
                writeln!(world.err, "{error}")?;
                continue;
            }
        };
        let step = trim.see(seen);
        say(number, seen, &step, world)?;
        if !matches!(step, Step::Turn(_)) {
            return Ok(());
        }
        number += 1;
    }
}

fn say(number: u32, seen: Seen, step: &Step, world: &mut World<'_>) -> Result<(), Failure> {
    let words = match step {
        Step::Turn(turn) => format!("{}; {}", turn.words, turn.expect),
        Step::Done(words) | Step::Enough(words) => words.clone(),
    };
    let line = format!("{number}  {}  {words}", text::fit(&format!("{seen}:"), 15));
    writeln!(world.out, "{}", text::wrap(&line, world.width, &" ".repeat(20)))?;
    Ok(())
}

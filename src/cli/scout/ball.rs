//! `scout ball`: which spin speaks for what the receiver's own balls did.

use clap::Args;

use crate::cli::{Result, World};
use crate::game::{SpinGuess, YourBall};
use crate::page::spin_guess::guess_lines;

/// Work out a spin from what your own balls did, two or more to be sure
#[derive(Debug, Args)]
#[command(after_help = "Examples:\n\
        \x20 secondball scout ball push, popped up, left\n\
        \x20 secondball scout ball \\\n\
        \x20   backhand push, high then block, into the net")]
pub struct BallArguments {
    /// What you played, what it did, the side it jumped to; `then` the next ball of the same serve
    #[arg(required = true, value_name = "WORDS")]
    words: Vec<String>,
}

/// Says the spin and what to try next.
pub fn run(arguments: &BallArguments, world: &mut World<'_>) -> Result {
    // In quotes each stands alone.
    let each = arguments.words.iter().map(|words| words.parse::<YourBall>()).collect();
    let each: std::result::Result<Vec<_>, _> = each;
    let balls = each.or_else(|_| YourBall::several(&arguments.words.join(" ")))?;
    if let Some(guess) = SpinGuess::from_balls(&balls, None) {
        guess_lines(&guess, balls.len()).iter().try_for_each(|line| world.say(line, "  "))?;
    }
    Ok(())
}

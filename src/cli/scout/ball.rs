//! `scout ball`: which spin speaks for what the receiver's own ball did.

use clap::Args;

use crate::cli::{Result, World};
use crate::game::YourBall;
use crate::page::opponent::side_words;

/// Work out a spin from what your own ball did
#[derive(Debug, Args)]
#[command(
    after_help = "Examples:\n  secondball scout ball push, popped up, left\n  secondball scout ball \
                  \"block, into the net\""
)]
pub struct BallArguments {
    /// What you played, what it did, and the side it jumped to
    #[arg(required = true, value_name = "WORDS")]
    words: Vec<String>,
}

/// Says the spin and why.
pub fn run(arguments: &BallArguments, world: &mut World<'_>) -> Result {
    let guess = arguments.words.join(" ").parse::<YourBall>()?.suggests();
    let weight = guess.weight.map(|weight| format!("{weight} ")).unwrap_or_default();
    writeln!(world.out, "probably {weight}{}", guess.spin)?;
    if let Some(side) = guess.breaks {
        writeln!(world.out, "{}", side_words(Some(guess.spin), side))?;
    }
    world.say(&format!("because {}", guess.why), "  ")
}

//! `scout ball`: which spin speaks for what the receiver's own ball did.

use clap::Args;

use crate::base::text;
use crate::cli::{Failure, World};
use crate::game::{YourBall, leaves_your_bat};

/// Work out a spin from what your own ball did
#[derive(Debug, Args)]
#[command(
    after_help = "Examples:\n  secondball scout ball push, popped up, left\n  secondball scout ball \
                  \"block, into the net\""
)]
pub(crate) struct BallArguments {
    /// What you played, what it did, and the side it jumped to
    #[arg(required = true, value_name = "WORDS")]
    words: Vec<String>,
}

/// Says the spin and why.
pub(crate) fn run(arguments: &BallArguments, world: &mut World<'_>) -> Result<(), Failure> {
    let guess = read(&arguments.words.join(" "))?.suggests();
    let weight = guess.weight.map(|weight| format!("{weight} ")).unwrap_or_default();
    writeln!(world.out, "probably {weight}{}", guess.spin)?;
    if let Some(side) = guess.breaks {
        writeln!(
            world.out,
            "breaks to your {side}, leaves a quiet bat to your {}",
            leaves_your_bat(side)
        )?;
    }
    writeln!(world.out, "{}", text::wrap(&format!("because {}", guess.why), world.width, "  "))?;
    Ok(())
}

/// Reads what a ball did from words.
pub(crate) fn read(words: &str) -> Result<YourBall, Failure> {
    words
        .parse::<YourBall>()
        .map_err(|error| Failure::request(error.to_string(), "for example `push, popped up, left`"))
}

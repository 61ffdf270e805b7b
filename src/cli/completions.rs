//! `completions` and `man`: what a shell and a manual reader show of the commands, made from the
//! same arguments as the help.

use clap::{Args, Command};
use clap_complete::Shell;

use crate::cli::{Result, World};

/// Print what your shell needs to complete commands as you type
#[derive(Debug, Args)]
#[command(after_help = "Examples:\n\
        \x20 secondball completions bash > secondball.bash\n\
        \x20 secondball completions fish > secondball.fish")]
pub struct CompletionsArguments {
    /// The shell you type in
    shell: Shell,
}

/// Print the manual: a page for each command
#[derive(Debug, Args)]
#[command(after_help = "Examples:\n\
    \x20 secondball man > secondball.1\n\
    \x20 mkdir -p man1 && secondball man > man1/secondball.1")]
pub struct ManArguments {}

/// Prints the completions of these commands.
///
/// # Errors
/// The output cannot be written.
pub fn run(
    arguments: &CompletionsArguments,
    mut commands: Command,
    world: &mut World<'_>,
) -> Result {
    // The crate panics where its output goes away.
    let mut text = Vec::new();
    clap_complete::generate(arguments.shell, &mut commands, "secondball", &mut text);
    Ok(world.out.write_all(&text)?)
}

/// Prints the manual of these commands.
///
/// # Errors
/// The output cannot be written.
pub fn run_man(mut commands: Command, world: &mut World<'_>) -> Result {
    commands.build();
    print_pages(&commands, world)
}

fn print_pages(command: &Command, world: &mut World<'_>) -> Result {
    clap_mangen::Man::new(command.clone()).render(world.out)?;
    let below = command.get_subcommands().filter(|below| below.get_name() != "help");
    below.into_iter().try_for_each(|below| print_pages(below, world))
}

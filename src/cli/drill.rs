//! `drill`: timed recall. Which rounds there are is settled in [`rounds`](super::drill_screen), how
//! they are shown in the screen, the plain lines or without either; here only who plays and what is
//! told at the end.

use std::path::PathBuf;

use crate::base::text;
use crate::cli::drill_screen::{DrillPlayer, Keep, Rounds};
use crate::cli::whom::Whom;
use crate::cli::{Desk, Failure, World};
use crate::drill::ServeOrder;
use crate::journal::{Event, Fact, Input};
use crate::page::drill::DrillSession;
use crate::store::Home;

/// Recall your receives against the clock
#[derive(Debug, clap::Args)]
#[command(
    after_help = "Examples:\n  secondball drill\n      today's list, as long as you have minutes for it\n  \
                  secondball drill north --switch \"long push\"\n      a switch round: the plan, the call, the plan with the switch\n\n\
                  Keys: q w e / a s d / z x c or a numeric keypad lie where the targets lie; space goes on,\n\
                  u takes a slip back, p pauses and goes on, Esc pauses and ends. Every answer is kept at once."
)]
#[expect(clippy::struct_excessive_bools, reason = "one field a flag")]
pub struct DrillArguments {
    /// The opponent.
    #[command(flatten)]
    pub whom: Whom,
    /// Go on for this many minutes (else one round, at most the minutes a day of your player file)
    #[arg(long, allow_negative_numbers = true, value_parser = crate::cli::values::number, value_name = "MINUTES")]
    pub minutes: Option<f64>,
    /// How many balls (with an opponent; a switch round has its own number)
    #[arg(long, value_name = "NUMBER")]
    pub balls: Option<usize>,
    /// The order: blocked, serial, random or match-like
    #[arg(long, value_name = "ORDER", default_value = "random")]
    pub order: ServeOrder,
    /// A switch round with this switch of the opponent's deck; named again, a second one on top of it
    #[arg(long, value_name = "NAME", requires = "whom", conflicts_with_all = ["think", "read", "shadow"])]
    pub switch: Vec<String>,
    /// Switch back at the end of the switch round
    #[arg(long, requires = "switch")]
    pub back: bool,
    /// Untimed, from memory: the stroke, then the target
    #[arg(long, conflicts_with_all = ["read", "shadow"])]
    pub think: bool,
    /// Reading rounds: which serve was it, then what do you do?
    #[arg(long, conflicts_with = "shadow")]
    pub read: bool,
    /// Standing, bat in hand: a cue by voice or bell, then one key
    #[arg(long)]
    pub shadow: bool,
    /// Without the serve's words: the flight alone
    #[arg(long)]
    pub no_words: bool,
    /// The ball stands still, its whole path at once; only the window runs down
    #[arg(long)]
    pub still: bool,
    /// Line by line, for screen readers: it waits for space after each result, and for the words of a serve
    #[arg(long)]
    pub plain: bool,
    /// Measure the time your keys take before the first round
    #[arg(long, conflicts_with_all = ["keys", "simulated", "plain"])]
    pub warm_up: bool,
    /// Keys from a file instead of a person: a key and milliseconds a line
    #[arg(long, value_name = "FILE", conflicts_with = "simulated")]
    pub keys: Option<PathBuf>,
    /// A simulated player instead of a person; its answers are marked and are not kept
    #[arg(long)]
    pub simulated: bool,
    /// Keep a simulated player's answers all the same: for the demonstration, never beside your own
    #[arg(long, requires = "simulated", hide = true)]
    pub keep: bool,
    /// The summary as JSON
    #[arg(long)]
    pub json: bool,
}

/// Runs the drill.
///
/// # Errors
/// Nothing to drill; a file with mistakes; no terminal and no other way to play; interrupted.
pub fn run(arguments: &DrillArguments, desk: &Desk, world: &mut World<'_>) -> Result<(), Failure> {
    let home = desk.home()?;
    if arguments.keep {
        refuse_beside_own(home)?;
    }
    let mut rounds = Rounds::settle(arguments, desk, world)?;
    if let Some(why) = &rounds.nothing_due {
        let session = DrillSession::new(&[], rounds.key_time());
        let words = |_: &DrillSession<'_>, width| text::wrap(why, width, "  ") + "\n";
        return world.print(&session, arguments.json, words);
    }
    let mut player = DrillPlayer::choose(arguments, world)?;
    let is_off = arguments.simulated && !arguments.keep;
    let mut keep = Keep::new(home, world, desk.player()?.rollover_hour, is_off)?;
    let mut summaries = Vec::new();
    let mut ended = player.open(&mut rounds, world, home)?;
    while let Some(script) = rounds.next(player.elapsed_ms(world)).filter(|_| ended.is_ok()) {
        let (summary, how) = player.play(script, world, &mut keep);
        summaries.push(summary);
        ended = how;
    }
    player.close();
    if matches!(ended, Err(Failure::Hangup)) {
        // The terminal is gone: there is nobody to tell, and every answer is kept.
        return Err(Failure::Interrupted);
    }
    let key_time = rounds.key_time();
    let session = DrillSession::new(&summaries, key_time);
    world.print(&session, arguments.json, DrillSession::text)?;
    if world.is_terminal && !arguments.json {
        if rounds.is_just_measured {
            let [two, six] = [2, 6].map(|keys| key_time.ms(keys));
            let words = format!(
                "Your keys: {two} ms among two, {six} ms among six. Every window leaves that time."
            );
            writeln!(world.out)?;
            world.say(&words, "")?;
        }
        writeln!(world.out, "\nNext: secondball today")?;
    }
    ended
}

/// A simulated player's answers are kept only where no person has given any.
fn refuse_beside_own(home: &Home) -> Result<(), Failure> {
    let is_own = |event: &Event| matches!(&event.fact, Fact::Answer(answer) if answer.input != Input::Simulated);
    if home.journal()?.events.iter().any(is_own) {
        return Err(Failure::request(
            "this home holds your own answers; a simulated player's are not mixed with them",
            "leave `--keep` out, or name a home of its own with `--home DIR`",
        ));
    }
    Ok(())
}

//! What can be asked of `drill`.

use std::path::PathBuf;

use crate::cli::values::number;
use crate::cli::whom::Whom;
use crate::drill::ServeOrder;

/// Recall your receives against the clock
#[derive(Debug, clap::Args)]
#[command(after_help = "Examples:\n\
        \x20 secondball drill\n\
        \x20     what is due, then practice until your minutes are up\n\
        \x20 secondball drill north --switch \"long push\"\n\
        \x20     the plan, the call, the plan with the switch\n\n\
        Keys: q w e / a s d / z x c or a numeric keypad lie where the targets lie. Where two \
        lie at one place, press it, then the same key again or the one beside it. Space goes \
        on, u takes a slip back, p pauses and goes on, Esc pauses and ends, m goes on when the \
        minutes are up. Every answer is kept at once.")]
#[expect(clippy::struct_excessive_bools, reason = "one field a flag")]
pub struct DrillArguments {
    /// The opponent.
    #[command(flatten)]
    pub whom: Whom,
    /// Go on for this many minutes (else the minutes a day of your player file)
    #[arg(long, allow_negative_numbers = true, value_parser = number, value_name = "MINUTES")]
    pub minutes: Option<f64>,
    /// So many balls instead (a switch round has its own number)
    #[arg(long, value_name = "NUMBER")]
    pub balls: Option<usize>,
    /// The order of practice: mixed (as often as they serve them), random, blocked, serial or
    /// match-like
    #[arg(long, value_name = "ORDER", default_value = "mixed")]
    pub order: ServeOrder,
    /// A switch round with this switch of the opponent's deck; named again, a second one on top of
    /// it
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
    /// A reading round by the tells alone: what gives it away, then which serve it is
    #[arg(long, conflicts_with_all = ["think", "shadow", "switch"])]
    pub tells: bool,
    /// Standing, bat in hand: a cue by voice or bell, then one key
    #[arg(long)]
    pub shadow: bool,
    /// Without the serve's words: the flight alone
    #[arg(long)]
    pub no_words: bool,
    /// The ball stands still, its whole path at once; only the window runs down
    #[arg(long)]
    pub still: bool,
    /// Line by line, for screen readers: it waits for space after each result, and for the words of
    /// a serve
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

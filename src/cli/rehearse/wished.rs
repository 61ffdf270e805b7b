//! What a session is asked for by flags: so much can be kept under a name.

use clap::Args;

use crate::rehearsal::SessionPhase;

/// Which session.
#[derive(Debug, Clone, Args)]
pub struct SessionArguments {
    /// One of yours, or fixed, oscillating, per-ball, feeder, partner
    #[arg(long, value_name = "NAME")]
    pub launcher: Option<String>,
    /// Balls to receive
    #[arg(long, value_name = "NUMBER")]
    pub balls: Option<u32>,
    /// Minutes it may take, warm-up not counted
    #[arg(long, allow_negative_numbers = true, value_parser = crate::cli::values::number, value_name = "NUMBER")]
    pub minutes: Option<f64>,
    /// Only this phase: groove, around or as-a-match (may be repeated)
    #[arg(long, value_name = "PHASE")]
    pub phase: Vec<SessionPhase>,
    /// Call this switch in a round of its own (may be repeated)
    #[arg(long, value_name = "NAME")]
    pub switch: Vec<String>,
    /// Only this drill, or a session of yours by its name
    #[arg(long, value_name = "NAME")]
    pub drill: Option<String>,
    /// Volumes for a player under twelve
    #[arg(long, conflicts_with = "eve")]
    pub under_twelve: bool,
    /// Volumes for the evening before a match
    #[arg(long)]
    pub eve: bool,
}

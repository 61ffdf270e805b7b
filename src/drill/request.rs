//! What is asked for when a script is to be made, and why there may be none.

use std::collections::BTreeMap;

use super::order::ServeOrder;
use super::script::{Frame, WrongBat};
use super::tempo::TempoRules;
use super::window::KeyTime;
use crate::base::Day;
use crate::deck::{Deck, Switch};
use crate::game::{Hand, ServeId};
use crate::journal::How;
use crate::memory::Memories;

/// Why there is no script.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum DrillError {
    #[error("no serve of `{0}` has a receive yet")]
    NothingPlanned(String),
    #[error("the switch `{0}` changes no serve that is still served and planned")]
    NothingSwitched(String),
    #[error("the switch `{0}` leaves no serve as it was, so there is nothing to keep apart")]
    NothingKept(String),
    #[error("`{0}` has fewer than two serves to tell apart")]
    NothingToRead(String),
    #[error("`{0}` has fewer than two serves with something that gives them away")]
    NoTells(String),
}

#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Flown {
    /// From contact to the bat, milliseconds.
    pub flight_ms: u32,
    /// The ball, in the frame of [`super::script`].
    pub frames: Vec<Frame>,
    /// The ball with the bat that the plan makes for the serve it looks like.
    pub wrong_bat: Option<WrongBat>,
}

/// A switch that is called in a day's round.
#[derive(Debug, Clone)]
pub struct Called<'a> {
    pub switch: &'a Switch,
    /// The serves whose new receive is asked from memory.
    pub due: Vec<ServeId>,
    /// Whether it is practised between balls of the plan as well.
    pub is_practised: bool,
}

/// What is asked for.
#[derive(Debug, Clone, Copy)]
#[expect(clippy::struct_excessive_bools, reason = "one field a choice")]
pub struct RoundRequest<'a> {
    /// The deck, as this player meets it.
    pub deck: &'a Deck,
    pub hand: Hand,
    /// The serves, most wanted first; every planned one when empty.
    pub serves: &'a [ServeId],
    /// Those of them that are asked from memory first.
    pub due: &'a [ServeId],
    /// The switches that are called behind them.
    pub called: &'a [Called<'a>],
    pub how: How,
    pub order: ServeOrder,
    /// How many balls behind what is due; a switch round has its own number.
    pub balls: usize,
    /// The switch to be trained.
    pub switch: Option<&'a Switch>,
    /// Switches that were called before and stay: the plan as it is now.
    pub standing: &'a [Switch],
    /// Whether the switch is taken back at the end.
    pub has_back: bool,
    pub key_time: KeyTime,
    pub tempo: TempoRules,
    /// Whether the serve's words stand beside the ball.
    pub has_words: bool,
    /// Whether a reading round asks for the tells alone.
    pub has_tells_only: bool,
    /// No new ball after so many milliseconds.
    pub limit_ms: Option<u64>,
    /// Whether practice begins anew until then.
    pub repeats: bool,
    /// Flights by serve; one without is not drawn and takes the usual time.
    pub flights: Option<&'a BTreeMap<ServeId, Flown>>,
    /// What the patterns have behind them.
    pub memories: &'a Memories,
    pub today: Day,
    /// The seed of order and toss.
    pub seed: u64,
}

impl<'a> RoundRequest<'a> {
    /// A round of one key against the ball through the whole plan, at random, at the usual tempo.
    pub fn plain(deck: &'a Deck, hand: Hand, memories: &'a Memories, today: Day) -> Self {
        Self {
            deck,
            hand,
            serves: &[],
            due: &[],
            called: &[],
            how: How::Snap,
            order: ServeOrder::Random,
            balls: 0,
            switch: None,
            standing: &[],
            has_back: false,
            key_time: KeyTime::default(),
            tempo: TempoRules::default(),
            has_words: true,
            has_tells_only: false,
            limit_ms: None,
            repeats: false,
            flights: None,
            memories,
            today,
            seed: 0,
        }
    }
}

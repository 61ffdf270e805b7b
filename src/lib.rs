//! secondball prepares a tournament table-tennis player's receives against a known opponent.
//!
//! The map of the folders, from `base` up to `cli`, is in DEVELOPERS.md; `tests/house.rs` reads it
//! and the sources. No clock, randomness, environment, terminal or file below `store`: they are
//! passed in.

#![cfg_attr(
    not(feature = "cli"),
    allow(dead_code, reason = "the program uses it; a library without the command line need not")
)]
#![cfg_attr(
    not(feature = "inside"),
    allow(unused_imports, reason = "what a folder shows to the tests alone")
)]

// The folders are private, but open to the tests and benches, which switch on the feature `inside`.
#[cfg(not(feature = "inside"))]
#[expect(clippy::wildcard_imports, reason = "the folders and nothing else")]
use folders::*;
#[cfg(feature = "inside")]
#[doc(hidden)]
pub use folders::*;

#[path = ""]
mod folders {
    pub mod agenda;
    pub mod base;
    pub mod deck;
    pub mod drill;
    pub mod flight;
    pub mod game;
    pub mod import;
    pub mod journal;
    pub mod launcher;
    pub mod memory;
    pub mod page;
    pub mod receive;
    pub mod rehearsal;
    pub mod store;
    pub mod tactics;
}

#[cfg(all(feature = "cli", not(feature = "inside")))]
mod cli;
#[cfg(all(feature = "cli", feature = "inside"))]
#[doc(hidden)]
pub mod cli;

#[cfg(feature = "cli")]
pub use cli::main;

/// How a 40 mm ball flies, bounces and is aimed.
///
/// ```
/// use secondball::ballistics::{Constants, Depth, Request, SpinRate, Until, aim, fly};
///
/// let backspin = SpinRate { top_rev_s: -35.0, ..SpinRate::DEAD };
/// let outlet_m = [-0.41, 0.3, 0.22];
/// let request = Request::service(outlet_m, backspin).across(0.0).depth(Depth::Short);
/// let table = Constants::default();
/// let ball = aim(&request, &table, 1)?;
/// let path = fly(&ball.launch, &table, Until::default())?;
/// assert!(path.bounces[1].y_m().abs() < 0.01);
/// assert!(path.bounces[2].x_m() < 2.74, "the next bounce is still on the table");
/// # Ok::<(), secondball::ballistics::AimError>(())
/// ```
pub mod ballistics {
    pub use crate::flight::aim::{
        AimError, Aimed, BallOutcome, Band, Measure, Refusal, Request, Scatter, Share, aim,
        aim_first, is_possible,
    };
    pub use crate::flight::bounce::bounced;
    pub use crate::flight::motion::acceleration_m_s2;
    pub use crate::flight::{
        BallMotion, Constants, FlightError, Launch, Path, SpinRate, Until, fly,
    };
    pub use crate::game::Depth;
}

/// What is remembered on a day to come, and what to answer until then.
///
/// ```
/// use secondball::calendar::{Budget, EventWeights, Grade, Habits, Item, Model, Task, plan};
///
/// let model = Model::default();
/// let known = model.after(None, Grade::InTime, 0);
/// let items = [(0, Some((known, 0))), (1, None), (2, None)]
///     .map(|(index, memory)| Item { index, weight: 1.0, memory });
/// let task = Task {
///     today: 1,
///     events: vec![EventWeights { day: 10, weights: vec![1.0; 3] }],
///     budgets: vec![Budget::Answers(2)],
///     habits: Habits::default(),
/// };
/// let plan = plan(&model, &items, &task, None).expect("the event lies ahead");
/// assert_eq!(plan.today.len(), 2);
/// assert!(plan.with.expected > plan.without.expected);
/// ```
pub mod calendar {
    pub use crate::memory::{
        Budget, EventWeights, Grade, Habits, Item, MemoryState, Model, Plan, RecallShare, Task,
        plan,
    };
}

/// Which receive to play against a server who may wait for it, and what points are worth.
///
/// ```
/// use secondball::duels::{Chances, MatchLength, ReceiveRates, payoffs, win_match};
///
/// // Won unread, and lost of it when they wait for it.
/// let rates = [(0.6, 0.3), (0.5, 0.1)].map(|(unread, drop)| ReceiveRates { unread, drop });
/// let game = payoffs(&rates, |played, awaited| if played == awaited { 1.0 } else { 0.0 });
/// let solution = game.solve();
/// // The better receive comes less often: it loses more when it is read.
/// assert!(solution.row[1] > solution.row[0]);
///
/// let even = win_match(MatchLength::best_of(5)?, Chances::new(0.5, 0.5));
/// assert!((even - 0.5).abs() < 1e-12);
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
pub mod duels {
    pub use crate::game::{Game, Match, MatchLength};
    pub use crate::tactics::chance::{Chances, win_match, win_match_from};
    pub use crate::tactics::duel::{ReceiveRates, always_read, payoffs};
    pub use crate::tactics::matrix::{Matrix, Solution};
}

/// An opponent's file: serves, plan, switches; every mistake in it with its place.
///
/// ```
/// use secondball::decks::parse_deck;
///
/// let text = r#"(format: 1, key: "abc234", opponent: "Invented",
///     serves: [(id: "short-fh", spin: backspin, lane: forehand, depth: short)],
///     plan: {"short-fh": (wing: forehand, stroke: push)})"#;
/// let deck = parse_deck("invented.ron", text).expect("no mistake in it");
/// assert_eq!(deck.planned().count(), 1);
///
/// let mistakes = parse_deck("invented.ron", &text.replace("backspin", "bakspin")).unwrap_err();
/// assert!(mistakes[0].shown().contains("bakspin"));
/// ```
pub mod decks {
    pub use crate::base::{Finding, Place};
    pub use crate::deck::{Deck, Player, Switch};
    pub use crate::game::{Receive, Serve, ServeId};
    pub use crate::store::{parse_deck, parse_player};
}

//! Floor 1: the nouns of the trade, their words, their geometry and the laws of scoring.
//!
//! Everything a serve or a receive can be is said here once, with the text it has in files, in
//! flags and on screens. Which words go together sensibly is judged in `deck`; how a ball flies, in
//! `flight`.

mod breaks;
mod hand;
mod lane;
mod pattern;
mod phrase;
mod receive;
mod receive_text;
mod score;
mod serve;
mod serve_words;
mod spin;
mod spin_guess;
mod style;
mod table;
mod what_your_ball_did;

pub use breaks::{Side, leaves_your_bat, usual_break};
pub use hand::{Grip, Hand};
pub use lane::{Depth, Direction, Lane, Target};
pub use pattern::{PatternKey, ReceiveKey};
pub(crate) use phrase::Phrase;
pub use receive::{Against, Receive, Stroke, Timing, Wing, short_wings};
pub use score::{End, Game, Match, MatchLength, ScoreError};
pub use serve::{BadServeId, HowOften, Serve, ServeId};
pub use serve_words::{From, Motion, MotionName, Pace, ScoreHabit, Sure, Toss};
pub use spin::{Spin, Weight, WeightName};
pub use spin_guess::{SpinAmount, SpinGuess, SpinTest};
pub use style::{Covering, Style, ThirdBall, WaitingPlace};
pub use table::{
    BALL_RADIUS_M, NET_HEIGHT_M, NET_X_M, TABLE_HEIGHT_M, TABLE_LENGTH_M, TABLE_WIDTH_M,
    half_long_m, lane_y_m, server_y_m,
};
pub use what_your_ball_did::{UpOrDown, YourBall};

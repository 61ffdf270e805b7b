//! What a bat does to a ball: the impact ([`law`]), a swing and what becomes of the ball after
//! it ([`swing`]), where a serve meets the bat ([`meeting`]), how much a receive forgives
//! ([`mod@room`]).
//!
//! Comparisons between receives for the same ball, never an angle to be held: timing, hits off the
//! middle of the bat and worn rubber are not in it, and the table's friction alone moves a face by
//! as much as a flick has room.

pub mod law;
pub mod meeting;
pub mod room;
pub mod swing;

pub use law::{BatLaw, Hit};
pub use meeting::point_of;
pub use room::{Room, best, room};
pub use swing::{BallEnd, BatAt, BatSwing, HIGH_M, SentBall, played_on};

//! Floor 6: a session at the table, from the serves of a deck to blocks of balls.
//!
//! [`rehearse`] is pure: the same request gives the same session. It says which ball comes when,
//! from where, what is played to it, when to rest, when a switch is called, and what is written
//! down. What the launcher can throw is `launcher`'s; every word about it is `page`'s. Volumes and
//! rests are common practice.

mod answer;
mod around;
mod calls;
mod entering;
mod groove;
mod make;
mod match_like;
mod request;
mod running;
mod session;
mod settle;
mod stand_in;
mod sweep;
mod vary;
mod work;

pub use entering::enter;
pub use make::rehearse;
pub use request::{Length, RehearsalError, SessionRequest, Volumes};
pub use session::{
    BeforeBall, Block, LogLine, NewAnswer, Note, Refused, Rehearsed, Role, ServeLimit, Session,
    SessionBall, SessionPhase, SmallChange, SwitchCall, Variation, WhyRefused,
};
pub use stand_in::{StandIn, stand_in};
pub use vary::drills;

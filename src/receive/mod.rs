//! Floor 3: the right receive, judged once for everybody who asks.
//!
//! | file | holds |
//! |---|---|
//! | `knowledge.txt` | what a coach knows, one piece a line, with its source |
//! | `knowledge` | reads it |
//! | `people` | serve, opponent and player together; where targets lie, where to aim |
//! | `swings` | how each stroke is swung |
//! | `bats` | what bat and ball do with it: room, read wrong, what comes back |
//! | `condition` | when a line of the knowledge holds |
//! | `judgement` | objections with the way out, cures |
//! | `usual_worth` | what a receive is worth, whoever plays it |
//! | `proposal` | the receives for a serve, best first |

mod bats;
mod condition;
mod judgement;
mod knowledge;
mod people;
mod proposal;
mod swings;
mod usual_worth;

pub use bats::{Bats, ComingBack, ComingBall, RoomLeft, Shared, StruckBall, Unplayable};
pub use judgement::{Objection, of_deck};
pub use knowledge::usual_of_ten;
pub use people::{Aim, Line, Meeting};
pub use proposal::{Drawback, Proposal, UNLISTED_OF_TEN};
pub use usual_worth::usual_worth;

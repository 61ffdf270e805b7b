//! The phone page: one self-contained file that plays the drill's scripts without a network, and
//! gives answers back (`import` reads them).
//!
//! Everything that is chosen is chosen here, at home: lists, orders, tosses, palettes, flights.
//! The page's `logic.js` only plays what it was given; it stands beside the drill's machine in
//! the tests. What leaves home is what is drilled and printed anyway; notes stay unless they are
//! asked for.
//!
//! | file | holds |
//! |---|---|
//! | `request` | what a page is made from |
//! | `rounds` | the lists of the days and the rounds of each opponent, as scripts |
//! | `pack` | scripts with everything they share written once |
//! | `document` | the data of a page |
//! | `caller` | a session at the table as the page calls it |
//! | `sheets` | the bench sheets, which are read without a script too |
//! | `render` | the file, its manifest and its service worker |
//! | `taken` | what came of the answers a page gave back |

mod caller;
mod document;
mod pack;
mod render;
mod request;
mod rounds;
mod sheets;
mod taken;

pub use caller::CallerSession;
pub use pack::Packer;
pub use render::{LARGEST_PAGE, LOGIC, PhonePage, phone_page};
pub use request::{PhoneError, PhoneRequest};
pub use sheets::{PhoneSheet, cost_words};
pub use taken::PhoneTaken;

//! What being read costs an answer, as assumed for a mix until it has been measured.

use crate::base::{Bound, OutOfBounds};

/// What an answer loses when it is read, of one point.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ReadDrop(f64);

impl ReadDrop {
    /// Assumed before any point. Assumption.
    pub const ASSUMED: Self = Self(0.15);
    /// A small one and a large one, tried beside it. Assumption.
    pub const SMALL: Self = Self(0.08);
    pub const LARGE: Self = Self(0.25);
    const BOUND: Bound =
        Bound { what: "`drop`", unit: "", least: 0.0, most: 0.6, source: "assumption" };

    /// # Errors
    /// [`OutOfBounds`] for less than nothing or more than 0.6.
    pub fn new(share: f64) -> Result<Self, OutOfBounds> {
        Self::BOUND.check(share).map(Self)
    }

    /// As a share of a point.
    pub const fn share(self) -> f64 {
        self.0
    }

    /// The same for an answer that wins so little unread that it cannot lose as much.
    pub fn within(self, unread: f64) -> f64 {
        self.0.min(unread * 0.9)
    }
}

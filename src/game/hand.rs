//! Which hand holds the bat, and how.

use crate::base::words;

words! {
    /// The hand that holds the bat.
    pub enum Hand : "hand" {
        /// The right hand.
        Right = "right" "right-handed",
        /// The left hand.
        Left = "left" "left-handed",
    }

    /// How the bat is held.
    pub enum Grip : "grip" {
        /// Shakehand grip.
        Shakehand = "shakehand" "shakehand",
        /// Penhold grip.
        Penhold = "penhold" "penhold",
    }
}

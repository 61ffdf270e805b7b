//! Which hand holds the bat, and how.

use crate::base::words;

words! {
    /// The hand that holds the bat.
    pub enum Hand : "hand" {
        /// The right hand.
        Right = "right" "right-handed" | "righty" | "right_hander",
        /// The left hand.
        Left = "left" "left-handed" | "lefty" | "left_hander",
    }

    /// How the bat is held.
    pub enum Grip : "grip" {
        /// Shakehand grip.
        Shakehand = "shakehand" "shakehand" | "shakehands",
        /// Penhold grip, both wings with one side of the bat.
        Penhold = "penhold" "penhold" | "penholder" | "traditional_penhold",
        /// Penhold grip, the backhand with the other side.
        TwoWinged = "two_winged_penhold" "two-winged penhold" | "two_winged" | "reverse_penhold_backhand",
    }
}

//! What a coach asks about an opponent besides hand and grip: coverings, style, where they wait,
//! which third ball they like.

use crate::base::words;
use crate::game::{Depth, Grip, Lane, Receive, Stroke, Wing};

words! {
    /// What is on one side of a bat.
    pub enum Covering : "covering" {
        /// Smooth outside, with grip.
        Inverted = "inverted" "inverted" | "smooth" | "normal",
        /// Makes little spin and minds yours little: flat and fast.
        ShortPimples = "short_pimples" "short pimples" | "short_pips" | "pips_out",
        /// Between short and long.
        MediumPimples = "medium_pimples" "medium pimples" | "medium_pips",
        /// Sends your own spin back the other way round.
        LongPimples = "long_pimples" "long pimples" | "long_pips",
        /// Smooth without grip: your own spin comes back, slowly.
        Anti = "anti" "anti-spin",
    }

    /// How somebody plays.
    pub enum Style : "style" {
        /// Attacks first.
        Attacker = "attacker" "attacker" | "looper",
        /// Blocks close to the table.
        Blocker = "blocker" "blocker",
        /// Chops from a distance.
        Chopper = "chopper" "chopper" | "defender",
        /// A bit of everything.
        AllRound = "all_round" "all-round" | "all_rounder",
    }

    /// Where a server waits for the receive.
    pub enum WaitingPlace : "place to wait" {
        /// In the backhand corner, for the forehand.
        BackhandCorner = "backhand_corner" "in the backhand corner" | "backhand",
        /// In the middle, for both wings.
        Middle = "middle" "in the middle" | "central",
        /// A step back from the table.
        Back = "back" "back from the table" | "away",
    }

    /// A ball that a server gets from a receive.
    pub enum ThirdBall : "third ball" {
        /// A short ball.
        Short = "short" "a short ball",
        /// A long push.
        LongPush = "long_push" "a long push",
        /// A flick.
        Flick = "flick" "a flick",
        /// A fast ball.
        Fast = "fast" "a fast ball",
        /// A slow ball with much spin.
        Slow = "slow" "a slow spinny ball",
        /// A ball at the elbow.
        Elbow = "elbow" "a ball at the elbow",
        /// A ball into the wide forehand.
        WideForehand = "wide_forehand" "a wide ball to the forehand",
        /// A ball into the wide backhand.
        WideBackhand = "wide_backhand" "a wide ball to the backhand",
    }
}

impl ThirdBall {
    /// Whether a receive gives this ball.
    pub fn is_given_by(self, receive: &Receive) -> bool {
        use Stroke::{BananaFlick, Drive, FastLoop, Flick, Push, ReverseFlick, SidespinPush};
        let (stroke, to) = (receive.stroke, receive.to);
        match self {
            Self::Short => to.depth == Some(Depth::Short),
            Self::LongPush => {
                matches!(stroke, Push | SidespinPush) && to.depth != Some(Depth::Short)
            }
            Self::Flick => matches!(stroke, Flick | BananaFlick | ReverseFlick),
            Self::Fast => matches!(stroke, FastLoop | Drive),
            Self::Slow => stroke == Stroke::SlowLoop,
            Self::Elbow => to.lane == Some(Lane::Elbow),
            Self::WideForehand => to.lane == Some(Lane::WideForehand),
            Self::WideBackhand => to.lane == Some(Lane::WideBackhand),
        }
    }
}

impl Covering {
    /// What a bat described in words has on one side: `long pimples on the backhand`. Pimples or
    /// anti without a side are on the backhand, on both sides of a traditional penhold bat
    /// (common practice).
    pub fn on(rubbers: &str, side: Wing, grip: Option<Grip>) -> Option<Self> {
        let words = rubbers.to_lowercase().replace("pips", "pimples");
        let has = |text: &str, word: &str| text.contains(word);
        let read = |clause: &str| {
            let named = Self::ALL.iter().find(|covering| has(clause, covering.shown()));
            let anti = has(clause, "anti").then_some(&Self::Anti);
            let smooth = has(clause, "smooth").then_some(&Self::Inverted);
            named.or(anti).or(smooth).copied()
        };
        let is_side = |clause: &str, side: Wing| {
            has(clause, side.shown())
                || clause.split_whitespace().any(|word| word == initials(side))
        };
        let mut clauses = words.split([',', ';', '/', '+']).flat_map(|part| part.split(" and "));
        clauses.find_map(|clause| {
            let covering = read(clause)?;
            let sides = [Wing::Forehand, Wing::Backhand].map(|side| is_side(clause, side));
            let is_here = match sides {
                [false, false] => {
                    side == Wing::Backhand
                        || grip == Some(Grip::Penhold)
                        || covering == Self::Inverted
                        || has(clause, "both")
                }
                [forehand, backhand] => {
                    if side == Wing::Forehand {
                        forehand
                    } else {
                        backhand
                    }
                }
            };
            is_here.then_some(covering)
        })
    }
}

/// `fh`, `bh`.
const fn initials(side: Wing) -> &'static str {
    match side {
        Wing::Forehand => "fh",
        Wing::Backhand => "bh",
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_bat_in_words_says_what_is_on_each_side() {
        let on = |words, side| Covering::on(words, side, None);
        let (forehand, backhand) = (Wing::Forehand, Wing::Backhand);
        assert_eq!(on("long pimples on the backhand", backhand), Some(Covering::LongPimples));
        assert_eq!(on("long pimples on the backhand", forehand), None);
        assert_eq!(on("Inverted FH, short pips BH", backhand), Some(Covering::ShortPimples));
        assert_eq!(on("Inverted FH, short pips BH", forehand), Some(Covering::Inverted));
        assert_eq!(on("long pimples", forehand), None);
        assert_eq!(on("anti", backhand), Some(Covering::Anti));
        let penhold = Some(Grip::Penhold);
        assert_eq!(Covering::on("short pips", forehand, penhold), Some(Covering::ShortPimples));
        assert_eq!(on("fast and grippy", backhand), None);
    }
}

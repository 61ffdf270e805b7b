//! A half-remembered spin, worked out from what the receiver's own ball did.
//!
//! Nobody sees spin, but everybody remembers that the ball popped up, or went off to one side.
//! Which spin that speaks for depends on the stroke it was met with: a bat open under the ball
//! sends topspin and dead balls up and backspin down; a closed bat shows backspin in the net and
//! topspin over the end. Common practice, so the result is a suggestion with its reason, and always
//! offered for confirmation.

use std::str::FromStr;

use crate::base::{Finding, text, words};
use crate::game::phrase::Phrase;
use crate::game::{Side, Spin, Stroke, WeightName};

words! {
    /// What the receiver's own ball did, up or down.
    pub enum UpOrDown : "thing your ball did" {
        /// It rose higher than meant.
        PoppedUp = "popped_up" "popped up",
        /// It went into the net.
        IntoTheNet = "into_the_net" "into the net" | "net" | "in_the_net",
        /// It landed shorter than meant, or hardly crossed the net.
        FellShort = "fell_short" "fell short",
        /// It flew past the end of the table.
        FlewLong = "flew_long" "flew long",
        /// It went as high and as far as it was meant to.
        AsMeant = "as_meant" "went as meant",
    }
}

/// What is remembered of one's own ball.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct YourBall {
    /// The stroke it was played with.
    pub stroke: Stroke,
    /// What it did, up or down.
    pub went: UpOrDown,
    /// The side it jumped to off the bat, as the receiver sees it.
    pub jumped: Option<Side>,
}

/// The spin this speaks for.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SpinGuess {
    /// The kind of spin.
    pub spin: Spin,
    /// How heavy, when that can be told.
    pub weight: Option<WeightName>,
    /// The way the serve broke, when the ball jumped to a side: the other one.
    pub breaks: Option<Side>,
    /// Why, in words.
    pub why: String,
}

/// How the bat meets the ball in this stroke.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Bat {
    /// Under the ball: its own backspin is expected.
    Open,
    /// Upright or closed, hardly moving.
    Quiet,
    /// Closed, moving up and forward: lifts a ball it takes for backspin.
    Lifting,
}

impl YourBall {
    /// The spin that what is remembered speaks for.
    pub fn suggests(self) -> SpinGuess {
        let bat = match self.stroke {
            Stroke::Touch | Stroke::Push | Stroke::SidespinPush | Stroke::Chop => Bat::Open,
            Stroke::Block | Stroke::Bump | Stroke::Drive => Bat::Quiet,
            Stroke::Flick
            | Stroke::BananaFlick
            | Stroke::ReverseFlick
            | Stroke::SlowLoop
            | Stroke::FastLoop => Bat::Lifting,
        };
        let (plain, weight, reason) = up_and_down(bat, self.went);
        let (spin, reason) = match plain {
            plain if self.jumped.is_none() => (plain, reason),
            Spin::Backspin => (Spin::SideBackspin, reason),
            Spin::Topspin => (Spin::SideTopspin, reason),
            // A ball without up or down that still jumps aside turns about the upright axis; with a
            // push that popped up, some topspin is the likelier half.
            _ if bat == Bat::Open && self.went == UpOrDown::PoppedUp => {
                (Spin::SideTopspin, "topspin rather than backspin")
            }
            _ => (Spin::Sidespin, "sidespin without much up or down"),
        };
        let aside = self.jumped.map_or_else(String::new, |side| {
            let breaks = side.other();
            format!("; off the bat to your {side}, so the serve itself broke to your {breaks}")
        });
        let went = if self.went == UpOrDown::IntoTheNet { "went " } else { "" };
        let why = format!("a {} that {went}{} speaks for {reason}{aside}", self.stroke, self.went);
        let weight = weight.filter(|_| spin != Spin::Dead);
        SpinGuess { spin, weight, breaks: self.jumped.map(Side::other), why }
    }
}

/// How a memory is told.
const EXAMPLE: &str = "for example `push, popped up, left`";

impl FromStr for YourBall {
    type Err = Finding;

    /// Reads `push, popped up, left`: a stroke, what it did, and the side; only the stroke must be
    /// said.
    fn from_str(given: &str) -> Result<Self, Self::Err> {
        // `left` and `right` may come with the words around them.
        let wrong = |what: String| Finding::error(what).hint(EXAMPLE);
        let mut phrase =
            Phrase::read(given, &["to", "the", "my", "it", "a", "went", "jumped", "and"]);
        let (mut stroke, mut went, mut jumped) = (None, None, None);
        while let Some(word) = phrase.first().map(str::to_owned) {
            if let Some(said) = phrase.take::<Stroke>() {
                stroke = Some(said);
            } else if let Some(said) = phrase.take() {
                went = Some(said);
            } else if let Some(said) = phrase.take::<Side>() {
                jumped = Some(said);
            } else {
                let went: Vec<_> = UpOrDown::ALL.iter().map(|went| went.shown()).collect();
                return Err(wrong(format!(
                    "`{word}` does not say what your ball did: a stroke, then {}, then left or right",
                    text::one_of(&went)
                )));
            }
        }
        let given = given.trim();
        let no_stroke = || wrong(format!("`{given}` does not say what you played; {EXAMPLE}"));
        let went = went.unwrap_or(UpOrDown::AsMeant);
        Ok(Self { stroke: stroke.ok_or_else(no_stroke)?, went, jumped })
    }
}

/// The up-and-down half of the spin, how heavy, and the words for it.
const fn up_and_down(bat: Bat, went: UpOrDown) -> (Spin, Option<WeightName>, &'static str) {
    use Bat::{Lifting, Open, Quiet};
    use Spin::{Backspin, Dead, Topspin};
    use UpOrDown::{AsMeant, FellShort, FlewLong, IntoTheNet, PoppedUp};
    let (light, medium) = (Some(WeightName::Light), Some(WeightName::Medium));
    let heavy = Some(WeightName::Heavy);
    match (bat, went) {
        (Open, PoppedUp) => (Dead, None, "a dead ball: nothing to push under"),
        (Open, FlewLong) => (Topspin, None, "topspin: it climbs off an open bat"),
        (Open, IntoTheNet | FellShort) => (Backspin, heavy, "more backspin than you opened for"),
        (Open, AsMeant) => (Backspin, medium, "ordinary backspin: a push is made for it"),
        (Quiet, PoppedUp | FlewLong) => (Topspin, heavy, "topspin: it climbs off a quiet bat"),
        (Quiet, IntoTheNet) => (Backspin, None, "backspin: it drops off a quiet bat"),
        (Quiet, FellShort) => (Dead, None, "a dead ball: nothing came back off the bat"),
        (Quiet, AsMeant) => (Topspin, medium, "ordinary topspin: a closed bat is made for it"),
        (Lifting, IntoTheNet | FellShort) => (Backspin, heavy, "more backspin than you lifted for"),
        (Lifting, FlewLong) => (Topspin, None, "topspin: the lift was not needed"),
        (Lifting, PoppedUp) => (Dead, None, "a dead ball: there was nothing to lift"),
        (Lifting, AsMeant) => (Backspin, light, "little spin: it could be lifted easily"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::game::leaves_your_bat;

    fn guess(stroke: Stroke, went: UpOrDown, jumped: Option<Side>) -> SpinGuess {
        YourBall { stroke, went, jumped }.suggests()
    }

    #[test]
    fn a_push_that_popped_up_was_no_backspin_and_one_in_the_net_was_heavy() {
        assert_eq!(guess(Stroke::Push, UpOrDown::PoppedUp, None).spin, Spin::Dead);
        assert_eq!(guess(Stroke::Push, UpOrDown::FlewLong, None).spin, Spin::Topspin);
        let heavy = guess(Stroke::Push, UpOrDown::IntoTheNet, None);
        assert_eq!((heavy.spin, heavy.weight), (Spin::Backspin, Some(WeightName::Heavy)));
    }

    #[test]
    fn the_same_flight_means_the_opposite_on_a_closed_bat() {
        assert_eq!(guess(Stroke::Block, UpOrDown::PoppedUp, None).spin, Spin::Topspin);
        assert_eq!(guess(Stroke::Block, UpOrDown::IntoTheNet, None).spin, Spin::Backspin);
        assert_eq!(guess(Stroke::SlowLoop, UpOrDown::FlewLong, None).spin, Spin::Topspin);
    }

    #[test]
    fn a_ball_that_jumped_aside_broke_to_the_other_side() {
        for &side in Side::ALL {
            let guess = guess(Stroke::Push, UpOrDown::IntoTheNet, Some(side));
            assert_eq!(guess.spin, Spin::SideBackspin);
            assert_eq!(guess.breaks.map(leaves_your_bat), Some(side));
        }
    }

    #[test]
    fn a_memory_is_read_as_it_is_told() {
        let ball = |stroke, went, jumped| Ok(YourBall { stroke, went, jumped });
        assert_eq!(
            "push, popped up, left".parse(),
            ball(Stroke::Push, UpOrDown::PoppedUp, Some(Side::Left))
        );
        assert_eq!(
            "banana flick into the net".parse(),
            ball(Stroke::BananaFlick, UpOrDown::IntoTheNet, None)
        );
        assert_eq!(
            "block right".parse(),
            ball(Stroke::Block, UpOrDown::AsMeant, Some(Side::Right))
        );
        let error = |words: &str| words.parse::<YourBall>().unwrap_err().what;
        assert!(error("left").contains("does not say what you played"));
        assert!(error("push sideways").starts_with("`sideways` does not say what your ball did"));
    }

    #[test]
    fn every_suggestion_can_stand_in_a_deck() {
        for &stroke in Stroke::ALL {
            for &went in UpOrDown::ALL {
                for jumped in [None, Some(Side::Left), Some(Side::Right)] {
                    let guess = guess(stroke, went, jumped);
                    assert_eq!(guess.spin.is_sideways(), jumped.is_some(), "{guess:?}");
                    assert!(guess.spin != Spin::Dead || guess.weight.is_none(), "{guess:?}");
                }
            }
        }
    }
}

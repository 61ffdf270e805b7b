//! What the receiver's own ball did, as it is remembered: `push, popped up, left`.
//!
//! Nobody sees spin, but everybody remembers that the ball popped up, or went off to one side.
//! Which spin that speaks for is judged in `spin_guess`.

use std::str::FromStr;

use crate::base::{Finding, text, words};
use crate::game::phrase::Phrase;
use crate::game::{Side, Stroke, Timing, Wing};

words! {
    /// What the receiver's own ball did, up or down.
    pub enum UpOrDown : "thing your ball did" {
        /// It rose higher than meant.
        PoppedUp = "popped_up" "popped up" | "high" | "popped" | "up" | "climbed",
        /// It went into the net.
        IntoTheNet = "into_the_net" "into the net" | "net" | "in_the_net" | "down",
        /// It landed shorter than meant, or hardly crossed the net.
        FellShort = "fell_short" "fell short" | "short" | "dropped_short" | "low",
        /// It flew past the end of the table.
        FlewLong = "flew_long" "flew long" | "long" | "over_the_end" | "off_the_end" | "over" | "out"
            | "over_the_table",
        /// It went as high and as far as it was meant to.
        AsMeant = "as_meant" "went as meant" | "good" | "fine" | "normal" | "on_the_table",
    }
}

/// What is remembered of one's own ball.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct YourBall {
    /// The stroke it was played with.
    pub stroke: Stroke,
    /// When it was met.
    pub timing: Option<Timing>,
    /// What it did, up or down.
    pub went: UpOrDown,
    /// The side it jumped to off the bat, as the receiver sees it.
    pub jumped: Option<Side>,
}

/// How a memory is told.
const EXAMPLE: &str = "for example `push, popped up, left`";

impl YourBall {
    /// Balls of one serve, told one after the other: `push, popped up; block, into the net`, or
    /// with `then` between them.
    ///
    /// # Errors
    /// The first that cannot be read.
    pub fn several(given: &str) -> Result<Vec<Self>, Finding> {
        let words: Vec<&str> = given.split_whitespace().collect();
        let joined = words.split(|word| *word == "then").map(|part| part.join(" "));
        let balls = joined.collect::<Vec<_>>().join(";");
        let told = balls.split(';').map(str::trim).filter(|part| !part.is_empty());
        let balls = told.map(str::parse).collect::<Result<Vec<Self>, Finding>>()?;
        if balls.is_empty() { given.parse().map(|ball| vec![ball]) } else { Ok(balls) }
    }
}

impl FromStr for YourBall {
    type Err = Finding;

    /// Reads `push, popped up, left`: a stroke, what it did, and the side; only the stroke must be
    /// said. The timing counts, the wing does not.
    fn from_str(given: &str) -> Result<Self, Self::Err> {
        let wrong = |what: String| Finding::error(what).hint(EXAMPLE);
        // `left` and `right` may come with the words around them.
        let fillers = &["to", "my", "it", "went", "jumped", "and", "i", "ball"];
        let mut phrase = Phrase::read(given, fillers);
        let (mut stroke, mut timing, mut went, mut jumped) = (None, None, None, None);
        while let Some(word) = phrase.first().map(str::to_owned) {
            let is_known = phrase.fill(&mut stroke)
                || phrase.fill(&mut went)
                || phrase.fill(&mut jumped)
                || phrase.fill(&mut timing)
                || phrase.take::<Wing>().is_some();
            if is_known {
                continue;
            }
            // A loop of either pace meets the ball alike.
            if stroke.is_none() && phrase.skip(&["loop", "topspin"]) {
                stroke = Some(Stroke::SlowLoop);
                continue;
            }
            let went: Vec<_> = UpOrDown::ALL.iter().map(|went| went.shown()).collect();
            return Err(wrong(format!(
                "`{word}` does not say what your ball did: a stroke, then {}, then left or right",
                text::one_of(&went)
            )));
        }
        let given = given.trim();
        let no_stroke = || wrong(format!("`{given}` does not say what you played"));
        let went = went.unwrap_or(UpOrDown::AsMeant);
        Ok(Self { stroke: stroke.ok_or_else(no_stroke)?, timing, went, jumped })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_memory_is_read_as_it_is_told() {
        for (said, stroke, went, jumped) in [
            ("push, popped up, left", Stroke::Push, UpOrDown::PoppedUp, Some(Side::Left)),
            ("my backhand push went high", Stroke::Push, UpOrDown::PoppedUp, None),
            ("banana into the net", Stroke::BananaFlick, UpOrDown::IntoTheNet, None),
            ("bh block over the end", Stroke::Block, UpOrDown::FlewLong, None),
            ("forehand loop, long", Stroke::SlowLoop, UpOrDown::FlewLong, None),
            ("block right", Stroke::Block, UpOrDown::AsMeant, Some(Side::Right)),
        ] {
            let ball = YourBall { stroke, timing: None, went, jumped };
            assert_eq!(said.parse(), Ok(ball), "{said}");
        }
        let late = "push, late, popped up".parse::<YourBall>().unwrap();
        assert_eq!((late.timing, late.went), (Some(Timing::Late), UpOrDown::PoppedUp));
        let error = |words: &str| words.parse::<YourBall>().unwrap_err().what;
        assert!(error("left").contains("does not say what you played"));
        assert!(error("push sideways").starts_with("`sideways` does not say what your ball did"));
    }

    #[test]
    fn several_balls_of_one_serve_are_told_one_after_the_other() {
        let balls = |said: &str| YourBall::several(said).map(|balls| balls.len());
        assert_eq!(balls("push, popped up then block net"), Ok(2));
        assert_eq!(balls("push; push; flick, long"), Ok(3));
        assert!(balls("").is_err());
        assert!(balls("push; sideways").is_err());
    }
}

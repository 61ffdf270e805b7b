//! The safe answers: what is played to a ball that was not read, one for everything or one for each
//! kind of serve.

use serde::{Deserialize, Serialize};
use serde_with::skip_serializing_none;

use crate::base::words;
use crate::game::{Depth, Pace, Receive, Serve};

words! {
    /// What can be seen of a serve that was not read.
    pub enum SafeFor : "kind of serve" {
        /// It bounces twice on your half.
        Short = "short" "short",
        /// It may come off the end or not.
        HalfLong = "half_long" "half-long",
        /// It comes off the end.
        Long = "long" "long" | "deep",
        /// It is fast, and so long.
        Fast = "fast" "fast" | "fast_long",
    }
}

/// The safe answer to each kind of serve, where it is another than the one for everything.
#[skip_serializing_none]
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct SafeAnswers {
    /// To a short serve.
    pub short: Option<Receive>,
    /// To a half-long one.
    pub half_long: Option<Receive>,
    /// To a long one.
    pub long: Option<Receive>,
    /// To a fast one.
    pub fast: Option<Receive>,
}

impl SafeFor {
    /// What a serve of this depth and pace is; none where neither tells.
    pub fn of_ball(depth: Option<Depth>, pace: Option<Pace>) -> Option<Self> {
        match (depth, pace) {
            (Some(Depth::Short), _) => Some(Self::Short),
            (Some(Depth::HalfLong), _) => Some(Self::HalfLong),
            (_, Some(Pace::Fast)) => Some(Self::Fast),
            (Some(Depth::Long), _) => Some(Self::Long),
            (None, _) => None,
        }
    }

    /// A serve of this kind of which nothing else is known, for a coach to judge.
    pub fn as_serve(self) -> Serve {
        let (depth, pace) = match self {
            Self::Short => (Depth::Short, None),
            Self::HalfLong => (Depth::HalfLong, None),
            Self::Long => (Depth::Long, None),
            Self::Fast => (Depth::Long, Some(Pace::Fast)),
        };
        let id = self.shown().parse().unwrap_or_default();
        Serve { depth: Some(depth), pace, ..Serve::unknown(id) }
    }
}

impl SafeAnswers {
    /// The answer to this kind.
    pub const fn to(&self, kind: SafeFor) -> Option<&Receive> {
        match kind {
            SafeFor::Short => self.short.as_ref(),
            SafeFor::HalfLong => self.half_long.as_ref(),
            SafeFor::Long => self.long.as_ref(),
            SafeFor::Fast => self.fast.as_ref(),
        }
    }

    /// The place of the answer to this kind.
    pub const fn place(&mut self, kind: SafeFor) -> &mut Option<Receive> {
        match kind {
            SafeFor::Short => &mut self.short,
            SafeFor::HalfLong => &mut self.half_long,
            SafeFor::Long => &mut self.long,
            SafeFor::Fast => &mut self.fast,
        }
    }

    /// Every answer there is.
    pub fn each(&self) -> impl Iterator<Item = (SafeFor, &Receive)> {
        SafeFor::ALL.iter().filter_map(|kind| Some((*kind, self.to(*kind)?)))
    }

    /// True when one answer is for everything.
    pub fn is_empty(&self) -> bool {
        self.each().next().is_none()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::deck::Deck;

    #[test]
    fn each_kind_has_its_own_answer_and_what_has_none_the_one_for_everything() {
        let mut deck = Deck::new("Invented", "abc234".to_owned());
        let safe = |deck: &Deck, depth, pace| deck.safe_against(depth, pace).map(Receive::text);
        assert_eq!(safe(&deck, Some(Depth::Short), None), None);
        deck.safe = Some("push".parse().unwrap());
        *deck.safe_for.place(SafeFor::Long) = Some("slow_loop".parse().unwrap());
        let (short, long) = (Some(Depth::Short), Some(Depth::Long));
        assert_eq!(safe(&deck, short, None).unwrap(), "push");
        assert_eq!(safe(&deck, None, None).unwrap(), "push");
        assert_eq!(safe(&deck, long, None).unwrap(), "slow_loop");
        assert_eq!(safe(&deck, long, Some(Pace::Fast)).unwrap(), "slow_loop", "it is long too");
        *deck.safe_for.place(SafeFor::Fast) = Some("block".parse().unwrap());
        assert_eq!(safe(&deck, long, Some(Pace::Fast)).unwrap(), "block");
        assert_eq!(safe(&deck, None, Some(Pace::Fast)).unwrap(), "block");
        assert_eq!(safe(&deck, short, Some(Pace::Fast)).unwrap(), "push");
        assert_eq!(deck.safe_answers().count(), 3);
    }

    #[test]
    fn every_kind_is_what_its_own_serve_is() {
        for &kind in SafeFor::ALL {
            let serve = kind.as_serve();
            assert_eq!(SafeFor::of_ball(serve.depth, serve.pace), Some(kind));
            assert_eq!(serve.id.as_str(), kind.shown());
        }
    }
}

//! The canonical text of a receive: the form that pattern keys, journals, flags and answers use.
//!
//! Wing, stroke, timing, weight, with or against the spin, then `to` lane and depth, in that order,
//! what is unset left out: `forehand push early to middle short`. Histories are kept under this
//! text: its form is frozen by a test and may never change.

use crate::base::{Finding, text};
use crate::game::phrase::Phrase;
use crate::game::{Against, Depth, Lane, Receive, Stroke, Timing, WeightName, Wing};

impl Receive {
    /// The canonical text.
    pub fn text(&self) -> String {
        let mut words: Vec<&str> = Vec::new();
        words.extend(self.wing.map(Wing::word));
        words.push(self.stroke.word());
        words.extend(self.timing.map(Timing::word));
        words.extend(self.weight.map(WeightName::word));
        words.extend(self.spin.map(Against::word));
        if !self.to.is_open() {
            words.push("to");
            words.extend(self.to.lane.map(Lane::word));
            words.extend(self.to.depth.map(Depth::word));
        }
        words.join(" ")
    }

    /// Reads a receive from its canonical text or anything close to it: words in the same order or
    /// not, spaces or hyphens inside a word, commas, `to the`.
    ///
    /// # Errors
    /// A finding when there is no stroke, or a word that belongs nowhere.
    pub fn from_text(given: &str) -> Result<Self, Finding> {
        let mut phrase = Phrase::read(given, &["the", "at", "a", "and"]);
        let mut stroke = None;
        // The stroke is put in at the end.
        let mut read = Self::with_stroke(Stroke::Push);
        let mut after_to = false;
        while let Some(word) = phrase.first() {
            if word == "to" {
                phrase.skip();
                after_to = true;
                continue;
            }
            // Before the stroke a side is the bat's, behind it or behind `to` the table's.
            let may_be_wing = !after_to && stroke.is_none();
            let is_known = (may_be_wing && phrase.fill(&mut read.wing, &[]))
                || phrase.fill(&mut stroke, &[])
                || phrase.fill(&mut read.timing, &[])
                || phrase.fill(&mut read.weight, &[])
                || phrase.fill(&mut read.spin, &SHORT_FOR_THE_SPIN)
                || phrase.fill(&mut read.to.depth, &[])
                || phrase.fill(&mut read.to.lane, &[]);
            if !is_known {
                return Err(stray(&word));
            }
        }
        let Some(stroke) = stroke else {
            let given = given.trim();
            return Err(Finding::error(format!(
                "`{given}` has no stroke; for example `forehand push early to middle short`"
            )));
        };
        Ok(Self { stroke, ..read })
    }
}

/// `with` alone is short for `with the spin`.
const SHORT_FOR_THE_SPIN: [(&str, Against); 2] =
    [("with", Against::With), ("against", Against::Against)];

impl std::str::FromStr for Receive {
    type Err = Finding;

    fn from_str(given: &str) -> Result<Self, Self::Err> {
        Self::from_text(given)
    }
}

/// Words of every day that name no stroke of their own, and the strokes they are said for.
const EVERYDAY: [(&str, &[Stroke]); 9] = [
    ("loop", &[Stroke::SlowLoop, Stroke::FastLoop]),
    ("topspin", &[Stroke::SlowLoop, Stroke::FastLoop]),
    ("roll", &[Stroke::SlowLoop]),
    ("punch", &[Stroke::Block, Stroke::Drive]),
    ("hit", &[Stroke::Drive]),
    ("smash", &[Stroke::Drive]),
    ("counter", &[Stroke::Drive, Stroke::Block]),
    ("drop", &[Stroke::Touch]),
    ("cut", &[Stroke::Push, Stroke::Chop]),
];

/// A word that does not belong where it stands, with the stroke or lane probably meant:
/// ``did you mean `slow loop` or `fast loop`?``.
fn stray(word: &str) -> Finding {
    let finding = Finding::error(format!(
        "`{word}` does not belong in a receive: wing, stroke, timing, weight, with or against the \
         spin, then `to` lane and depth"
    ));
    let meant: Vec<&str> = match EVERYDAY.iter().find(|(said, _)| *said == word) {
        Some((_, strokes)) => strokes.iter().map(|stroke| stroke.word()).collect(),
        None => closest_word(word).into_iter().collect(),
    };
    if meant.is_empty() {
        return finding;
    }
    let quoted = meant.iter().map(|word| format!("`{}`", word.replace('_', " ")));
    finding.hint(format!("did you mean {}?", quoted.collect::<Vec<_>>().join(" or ")))
}

/// The word of a receive closest to this one.
fn closest_word(word: &str) -> Option<&'static str> {
    let known =
        [Stroke::WORDS, Lane::WORDS, Depth::WORDS, Timing::WORDS, WeightName::WORDS, Wing::WORDS];
    text::closest(word, &known.concat())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::game::Target;

    #[test]
    fn the_canonical_text_is_frozen() {
        let mut receive = Receive::with_stroke(Stroke::Push);
        receive.wing = Some(Wing::Forehand);
        receive.timing = Some(Timing::Early);
        receive.to = Target::new(Lane::Middle, Depth::Short);
        receive.why = Some("takes the first loop away".to_owned());
        assert_eq!(receive.text(), "forehand push early to middle short");
        receive.weight = Some(WeightName::Heavy);
        receive.spin = Some(Against::Against);
        receive.timing = Some(Timing::Top);
        receive.to.depth = Some(Depth::HalfLong);
        receive.to.lane = Some(Lane::WideBackhand);
        assert_eq!(
            receive.text(),
            "forehand push top_of_the_bounce heavy against_the_spin to wide_backhand half_long"
        );
        assert_eq!(Receive::with_stroke(Stroke::BananaFlick).text(), "banana_flick");
    }

    #[test]
    fn what_a_person_would_type_is_read() {
        for (typed, canonical) in [
            ("forehand push, early, short to the middle", "forehand push early to middle short"),
            (
                "Backhand banana flick to wide forehand long",
                "backhand banana_flick to wide_forehand long",
            ),
            ("backhand push to the backhand", "backhand push to backhand"),
            ("push to forehand", "push to forehand"),
            (
                "forehand flick at the top of the bounce, against the spin",
                "forehand flick top_of_the_bounce against_the_spin",
            ),
            ("block half-long to the elbow", "block to elbow half_long"),
        ] {
            assert_eq!(Receive::from_text(typed).unwrap().text(), canonical, "{typed}");
        }
    }

    #[test]
    fn a_stroke_by_an_everyday_word_is_met_with_the_strokes_it_is_said_for() {
        let hint = |text: &str| Receive::from_text(text).unwrap_err().hint;
        let of_loop = hint("backhand loop to wide backhand long").unwrap();
        assert_eq!(of_loop, "did you mean `slow loop` or `fast loop`?");
        assert_eq!(hint("forehand psh").unwrap(), "did you mean `push`?");
        assert_eq!(hint("forehand xylophone"), None);
    }

    #[test]
    fn a_text_that_is_no_receive_says_why() {
        let error = Receive::from_text("forehand psh").unwrap_err();
        assert!(error.what.starts_with("`psh` does not belong in a receive"), "{error:?}");
        assert_eq!(error.hint.as_deref(), Some("did you mean `push`?"));
        let error = Receive::from_text("forehand").unwrap_err();
        assert!(error.what.starts_with("`forehand` has no stroke"), "{error:?}");
        assert!(Receive::from_text("push flick").is_err());
    }

    #[test]
    fn every_receive_reads_back_from_its_text() {
        let wings = [None, Some(Wing::Forehand), Some(Wing::Backhand)];
        let timings = [None, Some(Timing::Early), Some(Timing::Top), Some(Timing::Late)];
        let spins = [None, Some(Against::With), Some(Against::Against)];
        let lanes: Vec<_> =
            std::iter::once(None).chain(Lane::ALL.iter().copied().map(Some)).collect();
        let depths: Vec<_> =
            std::iter::once(None).chain(Depth::ALL.iter().copied().map(Some)).collect();
        for &stroke in Stroke::ALL {
            for wing in wings {
                for timing in timings {
                    for spin in spins {
                        for &lane in &lanes {
                            for &depth in &depths {
                                let mut receive = Receive::with_stroke(stroke);
                                receive.wing = wing;
                                receive.timing = timing;
                                receive.spin = spin;
                                receive.to = Target { lane, depth };
                                let text = receive.text();
                                assert_eq!(
                                    Receive::from_text(&text).as_ref(),
                                    Ok(&receive),
                                    "{text}"
                                );
                                let shown = receive.shown();
                                assert_eq!(
                                    Receive::from_text(&shown).as_ref(),
                                    Ok(&receive),
                                    "{shown}"
                                );
                            }
                        }
                    }
                }
            }
        }
    }
}

//! The canonical text of a receive: the form that pattern keys, journals, flags and answers use.
//!
//! Wing, stroke, timing, weight, with or against the spin, then `to` lane and depth, in that order,
//! what is unset left out: `forehand push early to middle short`. Histories are kept under this text:
//! its form is frozen by a test and may never change.

use crate::base::{UnknownWord, text};
use crate::game::{Against, Depth, Lane, Receive, Stroke, Target, Timing, WeightName, Wing};

/// A text that is not a receive.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum ReceiveTextError {
    /// No stroke in it.
    #[error("`{given}` has no stroke; for example `forehand push early to middle short`")]
    NoStroke {
        /// The text given.
        given: String,
    },
    /// A word that does not belong where it stands.
    #[error(
        "`{word}` does not belong in a receive: wing, stroke, timing, weight, with or against the spin, then `to` lane and depth"
    )]
    Stray {
        /// The word.
        word: String,
        /// The stroke or lane probably meant.
        closest: Option<&'static str>,
    },
}

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
    /// [`ReceiveTextError`] when there is no stroke, or a word that belongs nowhere.
    pub fn from_text(given: &str) -> Result<Self, ReceiveTextError> {
        let plain = given.to_lowercase().replace([',', ';', '_', '-'], " ");
        let words: Vec<&str> = plain
            .split_whitespace()
            .filter(|word| !matches!(*word, "the" | "at" | "a" | "and"))
            .collect();
        let mut read = Reading::default();
        let mut place = 0;
        while place < words.len() {
            let Some(taken) = read.take(&words[place..]) else {
                let word = words[place].to_owned();
                return Err(ReceiveTextError::Stray { closest: closest_word(&word), word });
            };
            place += taken;
        }
        let Some(stroke) = read.stroke else {
            return Err(ReceiveTextError::NoStroke { given: given.trim().to_owned() });
        };
        Ok(Self {
            wing: read.wing,
            timing: read.timing,
            weight: read.weight,
            spin: read.spin,
            to: Target { lane: read.lane, depth: read.depth },
            ..Self::with_stroke(stroke)
        })
    }
}

impl std::str::FromStr for Receive {
    type Err = ReceiveTextError;

    fn from_str(given: &str) -> Result<Self, Self::Err> {
        Self::from_text(given)
    }
}

/// The words of a receive as far as they are read.
#[derive(Default)]
struct Reading {
    wing: Option<Wing>,
    stroke: Option<Stroke>,
    timing: Option<Timing>,
    weight: Option<WeightName>,
    spin: Option<Against>,
    lane: Option<Lane>,
    depth: Option<Depth>,
    after_to: bool,
}

impl Reading {
    /// Reads the longest word that begins here; answers how many parts it took.
    fn take(&mut self, words: &[&str]) -> Option<usize> {
        if words[0] == "to" {
            self.after_to = true;
            return Some(1);
        }
        // `with` alone is short for `with the spin`.
        let with_spin = match (words[0], words.get(1)) {
            ("with", Some(&"spin")) => Some((Against::With, 2)),
            ("with", _) => Some((Against::With, 1)),
            ("against", Some(&"spin")) => Some((Against::Against, 2)),
            ("against", _) => Some((Against::Against, 1)),
            _ => None,
        };
        if let Some((spin, taken)) = with_spin {
            return set(&mut self.spin, spin).then_some(taken);
        }
        (1..=words.len().min(4))
            .rev()
            .find(|&taken| self.set_word(&words[..taken].join("_")))
            .or_else(
                // `top of the bounce` loses its article above.
                || {
                    words
                        .starts_with(&["top", "of", "bounce"])
                        .then_some(3)
                        .filter(|_| set(&mut self.timing, Timing::Top))
                },
            )
    }

    /// Puts one word where it belongs; false when it belongs nowhere that is still free.
    fn set_word(&mut self, word: &str) -> bool {
        fn read<T: std::str::FromStr<Err = UnknownWord>>(word: &str) -> Option<T> {
            word.parse().ok()
        }
        let may_be_wing = !self.after_to && self.stroke.is_none() && self.wing.is_none();
        if let Some(wing) = read(word).filter(|_| may_be_wing) {
            return set(&mut self.wing, wing);
        }
        if let Some(stroke) = read(word) {
            return set(&mut self.stroke, stroke);
        }
        if let Some(timing) = read(word) {
            return set(&mut self.timing, timing);
        }
        if let Some(weight) = read(word) {
            return set(&mut self.weight, weight);
        }
        if let Some(depth) = read(word) {
            return set(&mut self.depth, depth);
        }
        if let Some(lane) = read(word) {
            return set(&mut self.lane, lane);
        }
        false
    }
}

/// Fills an empty place; false when it was full.
fn set<T>(place: &mut Option<T>, value: T) -> bool {
    place.replace(value).is_none()
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

impl ReceiveTextError {
    /// What was probably meant: ``did you mean `slow loop` or `fast loop`?``.
    pub fn hint(&self) -> Option<String> {
        let Self::Stray { word, closest } = self else { return None };
        let strokes = EVERYDAY.iter().find(|(said, _)| said == word).map(|(_, strokes)| *strokes);
        let meant: Vec<&str> = match strokes {
            Some(strokes) => strokes.iter().map(|stroke| stroke.word()).collect(),
            None => vec![(*closest)?],
        };
        let quoted: Vec<String> =
            meant.iter().map(|word| format!("`{}`", word.replace('_', " "))).collect();
        Some(format!("did you mean {}?", quoted.join(" or ")))
    }
}

/// The word of a receive closest to this one.
fn closest_word(word: &str) -> Option<&'static str> {
    let known: Vec<&'static str> = Stroke::ALL
        .iter()
        .map(|stroke| stroke.word())
        .chain(Lane::ALL.iter().map(|lane| lane.word()))
        .chain(Depth::ALL.iter().map(|depth| depth.word()))
        .chain(Timing::ALL.iter().map(|timing| timing.word()))
        .chain(WeightName::ALL.iter().map(|weight| weight.word()))
        .chain(Wing::ALL.iter().map(|wing| wing.word()))
        .collect();
    text::closest(word, &known)
}

#[cfg(test)]
mod tests {
    use super::*;

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
        let hint = |text: &str| Receive::from_text(text).unwrap_err().hint();
        let of_loop = hint("backhand loop to wide backhand long").unwrap();
        assert_eq!(of_loop, "did you mean `slow loop` or `fast loop`?");
        assert_eq!(hint("forehand psh").unwrap(), "did you mean `push`?");
        assert_eq!(hint("forehand xylophone"), None);
    }

    #[test]
    fn a_text_that_is_no_receive_says_why() {
        let error = Receive::from_text("forehand psh").unwrap_err();
        assert_eq!(
            error,
            ReceiveTextError::Stray { word: "psh".to_owned(), closest: Some("push") }
        );
        assert!(matches!(Receive::from_text("forehand"), Err(ReceiveTextError::NoStroke { .. })));
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

//! The canonical text of a receive: the form that pattern keys, journals, flags and answers use.
//!
//! Wing, stroke, timing, weight, pace, with or against the spin, then `to` lane and depth, in that
//! order, what is unset (and a medium pace) left out: `forehand push early to middle short`.
//! Histories are kept under this text: its form is frozen by a test and may never change.

use crate::base::words::spellings;
use crate::base::{Finding, text};
use crate::game::phrase::Phrase;
use crate::game::{
    Against, Depth, Direction, Lane, Pace, Receive, Stroke, Timing, WeightName, Wing,
};

impl Receive {
    /// The canonical text.
    pub fn text(&self) -> String {
        let mut words: Vec<&str> = Vec::new();
        words.extend(self.wing.map(Wing::word));
        words.push(self.stroke.word());
        words.extend(self.timing.map(Timing::word));
        words.extend(self.weight.map(WeightName::word));
        words.extend(self.pace.filter(|pace| *pace != Pace::Medium).map(Pace::word));
        words.extend(self.spin.map(Against::word));
        if !self.to.is_open() {
            words.push("to");
            words.extend(self.to.lane.map(Lane::word));
            words.extend(self.to.depth.map(Depth::word));
        }
        words.join(" ")
    }

    /// Reads a receive from its canonical text or anything a person would say for it: words in the
    /// same order or not, spaces or hyphens inside a word, commas, `to the`.
    ///
    /// # Errors
    /// A finding when there is no stroke, or a word that belongs nowhere.
    pub fn from_text(given: &str) -> Result<Self, Finding> {
        Self::from_words(given, |_| None)
    }

    /// The same where it is known which lane `down the line` and `across` lead to.
    ///
    /// # Errors
    /// A finding as above, and for a direction that leads nowhere.
    pub fn from_words(
        given: &str,
        lane_of: impl Fn(Direction) -> Option<Lane>,
    ) -> Result<Self, Finding> {
        let mut phrase = Phrase::read(given, &["and"]);
        let (mut stroke, mut either, mut way) = (None, None, None);
        // The stroke is put in at the end.
        let mut read = Self::with_stroke(Stroke::Push);
        let mut after_to = false;
        while let Some(word) = phrase.first() {
            if word == "to" {
                after_to = phrase.skip(&["to"]);
                continue;
            }
            // Before the stroke a side is the bat's, behind it or behind `to` the table's.
            let may_be_wing = !after_to && stroke.is_none() && either.is_none();
            let is_known = (may_be_wing && phrase.fill(&mut read.wing))
                || phrase.fill(&mut stroke)
                || phrase.fill(&mut read.timing)
                || phrase.fill(&mut read.weight)
                || phrase.fill(&mut read.pace)
                || phrase.fill(&mut read.spin)
                || phrase.fill(&mut read.to.depth)
                || phrase.fill(&mut read.to.lane)
                || phrase.fill(&mut way);
            if is_known {
                continue;
            }
            let said = EITHER.iter().find(|(said, _)| phrase.first() == Some(said));
            match said.filter(|_| stroke.is_none() && either.is_none()) {
                Some(said) => {
                    either = Some(said);
                    phrase.skip(&[said.0]);
                }
                None => return Err(stray(phrase.first().unwrap_or_default())),
            }
        }
        read.stroke = match (stroke, either) {
            (Some(stroke), _) => stroke,
            (None, Some((said, strokes))) => {
                // `a fast backhand loop` is a fast loop.
                let says =
                    |pace: Pace| strokes.iter().find(|of| of.word().starts_with(pace.word()));
                let meant = read.pace.and_then(says);
                read.pace = read.pace.filter(|_| meant.is_none());
                *meant.ok_or_else(|| which(said, strokes))?
            }
            (None, None) => {
                let what = format!("`{}` has no stroke", given.trim());
                return Err(
                    Finding::error(what).hint("for example `forehand push short to middle`")
                );
            }
        };
        if let Some(way) = way.filter(|_| read.to.lane.is_none()) {
            let unclear = || {
                let what = format!("`{way}` does not say where to from here");
                Finding::error(what).hint("name the opponent's lane: `to the wide forehand`")
            };
            read.to.lane = Some(lane_of(way).ok_or_else(unclear)?);
        }
        Ok(read)
    }
}

impl std::str::FromStr for Receive {
    type Err = Finding;

    fn from_str(given: &str) -> Result<Self, Self::Err> {
        Self::from_text(given)
    }
}

/// Words for more than one stroke, and the strokes they are said for.
const EITHER: [(&str, &[Stroke]); 3] = [
    ("loop", &[Stroke::SlowLoop, Stroke::FastLoop]),
    ("topspin", &[Stroke::SlowLoop, Stroke::FastLoop]),
    ("cut", &[Stroke::Push, Stroke::Chop]),
];

/// A word that is said for several strokes: `slow loop` or `fast loop`?
fn which(said: &str, strokes: &[Stroke]) -> Finding {
    let quoted: Vec<_> = strokes.iter().map(|stroke| format!("`{}`", stroke.shown())).collect();
    let quoted = quoted.join(" or ");
    Finding::error(format!("`{said}` may be {}", quoted.replace('`', "")))
        .hint(format!("say which: {quoted}"))
}

/// A word that does not belong where it stands, with the one probably meant.
fn stray(word: &str) -> Finding {
    let finding = Finding::error(format!(
        "`{word}` does not belong in a receive: wing, stroke, timing, spin, pace, with or against \
         the spin, then `to` lane and depth"
    ));
    let known: Vec<_> = spellings::<Stroke>()
        .chain(spellings::<Lane>())
        .chain(spellings::<Depth>())
        .chain(spellings::<Timing>())
        .chain(spellings::<WeightName>())
        .chain(spellings::<Pace>())
        .chain(spellings::<Wing>())
        .chain(spellings::<Direction>())
        .collect();
    match text::closest(word, &known) {
        Some(meant) => finding.hint(format!("did you mean `{}`?", meant.replace('_', " "))),
        None => finding.hint("`secondball words receive` has them all"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::game::{Hand, Target};

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
            // The trade's other words, common practice.
            (
                "bh banana at the top to the body",
                "backhand banana_flick top_of_the_bounce to elbow",
            ),
            ("strawberry to the crossover", "reverse_flick to elbow"),
            ("fh flip deep to the bh", "forehand flick to backhand long"),
            ("opening loop off the end", "slow_loop late"),
            ("backhand counter on the rise", "backhand drive early"),
            ("punch to the middle", "drive to middle"),
            ("roll to the wide bh", "slow_loop to wide_backhand"),
            ("stop on the rise, short", "touch early to short"),
            ("drop shot to the middle", "touch to middle"),
            ("stepping around, loop drive", "forehand fast_loop"),
            ("loaded push", "push heavy"),
            ("hard block", "block fast"),
        ] {
            assert_eq!(Receive::from_text(typed).unwrap().text(), canonical, "{typed}");
        }
    }

    #[test]
    fn a_word_for_two_strokes_is_met_with_both_unless_the_pace_tells() {
        let hint = |text: &str| Receive::from_text(text).unwrap_err().hint.unwrap();
        let which = "say which: `slow loop` or `fast loop`";
        assert_eq!(hint("backhand loop to wide backhand long"), which);
        assert_eq!(hint("heavy forehand topspin"), which);
        assert_eq!(hint("backhand cut"), "say which: `push` or `chop`");
        let text = |said: &str| Receive::from_text(said).unwrap().text();
        assert_eq!(text("a fast backhand loop"), "backhand fast_loop");
        assert_eq!(text("slow forehand topspin, deep"), "forehand slow_loop to long");
        assert_eq!(hint("forehand psh"), "did you mean `push`?");
    }

    #[test]
    fn a_fast_light_push_and_a_slow_heavy_one_are_two_receives() {
        let fast = Receive::from_text("fast light forehand push to middle long").unwrap();
        let slow = Receive::from_text("slow, heavy forehand push to middle long").unwrap();
        assert_eq!(fast.text(), "forehand push light fast to middle long");
        assert_eq!(slow.text(), "forehand push heavy slow to middle long");
        assert_eq!(fast.shown(), "fast light forehand push, long to the middle");
        let plain = Receive { pace: Some(Pace::Medium), weight: None, ..fast };
        assert_eq!(plain.text(), "forehand push to middle long", "as it was before paces");
    }

    #[test]
    fn a_direction_is_read_where_the_lane_is_known() {
        let to = |lane: Lane| move |way: Direction| way.lane(lane, Hand::Right, Hand::Right);
        let text = |said: &str, lane| Receive::from_words(said, to(lane)).map(|it| it.text());
        let line = text("slow loop down the line, deep", Lane::WideForehand).unwrap();
        assert_eq!(line, "slow_loop to wide_backhand long");
        let across = text("step around forehand fast loop cross-court", Lane::Backhand).unwrap();
        assert_eq!(across, "forehand fast_loop to backhand");
        let error = text("flick down the line", Lane::Middle).unwrap_err();
        assert_eq!(error.hint.as_deref(), Some("name the opponent's lane: `to the wide forehand`"));
        assert!(Receive::from_text("flick down the line").is_err());
        assert_eq!(text("flick across to the elbow", Lane::Middle).unwrap(), "flick to elbow");
    }

    #[test]
    fn a_text_that_is_no_receive_says_why() {
        let error = Receive::from_text("forehand psh").unwrap_err();
        assert!(error.what.starts_with("`psh` does not belong in a receive"), "{error:?}");
        assert_eq!(error.hint.as_deref(), Some("did you mean `push`?"));
        let error = Receive::from_text("forehand").unwrap_err();
        assert_eq!(error.what, "`forehand` has no stroke");
        assert!(Receive::from_text("push flick").is_err());
    }

    #[test]
    fn every_receive_reads_back_from_its_text() {
        let wings = [None, Some(Wing::Forehand), Some(Wing::Backhand)];
        let timings = [None, Some(Timing::Early), Some(Timing::Top), Some(Timing::Late)];
        let spins = [None, Some(Against::With), Some(Against::Against)];
        let paces = [None, Some(Pace::Slow), Some(Pace::Fast)];
        let lanes: Vec<_> =
            std::iter::once(None).chain(Lane::ALL.iter().copied().map(Some)).collect();
        let depths: Vec<_> =
            std::iter::once(None).chain(Depth::ALL.iter().copied().map(Some)).collect();
        for &stroke in Stroke::ALL {
            for wing in wings {
                for (timing, pace) in timings.iter().flat_map(|it| paces.map(|pace| (*it, pace))) {
                    for spin in spins {
                        for &lane in &lanes {
                            for &depth in &depths {
                                let mut receive = Receive::with_stroke(stroke);
                                receive.wing = wing;
                                receive.timing = timing;
                                receive.pace = pace;
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

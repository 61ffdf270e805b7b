//! A serve in plain words: `short to the forehand, heavy backspin, pendulum`.
//!
//! What a screen says of a serve reads back. `forehand` and `backhand` are the lane unless `motion`
//! or `serve` follows; a bare `middle` is the lane, and a bare `medium` the amount of spin.

use crate::base::words::{Word, spellings};
use crate::base::{Finding, text, words};
use crate::game::{
    Depth, From, Lane, MotionName, Pace, Phrase, Side, Spin, Sure, Toss, WeightName,
};

words! {
    /// A part of a serve, as it is named in files and flags.
    pub enum Part : "part of a serve" {
        /// The short name.
        Id = "id" "id",
        /// The motion.
        Motion = "motion" "motion",
        /// The kind of spin.
        Spin = "spin" "spin",
        /// How heavy.
        Weight = "weight" "weight",
        /// The way it breaks.
        Breaks = "breaks" "breaks",
        /// Where the server contacts it.
        From = "from" "from",
        /// The lane.
        Lane = "lane" "lane",
        /// The depth.
        Depth = "depth" "depth",
        /// The pace.
        Pace = "pace" "pace",
        /// How often.
        HowOften = "how_often" "how often",
        /// How sure.
        Sure = "sure" "sure",
        /// At which scores.
        Scores = "scores" "scores",
        /// What gives it away.
        Tells = "tells" "tells",
        /// The toss.
        Toss = "toss" "toss",
        /// Its twin.
        LooksLike = "looks_like" "looks like",
        /// The day it was last seen.
        LastSeen = "last_seen" "last seen",
        /// Anything else.
        Note = "note" "note",
    }
}

/// The parts of a serve that these words say.
pub(super) fn parts_said(words: &str) -> Result<Vec<(Part, String)>, Finding> {
    let mut phrase = Phrase::read(words, &["to", "into", "with", "and", "your", "my", "their"]);
    let mut parts = Vec::new();
    while let Some(word) = phrase.first().map(str::to_owned) {
        match next_part(&mut phrase) {
            Some((part, value)) => parts.push((part, value.to_owned())),
            None => return Err(nothing_of_a_serve(&word)),
        }
    }
    Ok(parts)
}

fn next_part(phrase: &mut Phrase) -> Option<(Part, &'static str)> {
    fn said<T: Word>(part: Part, word: T) -> (Part, &'static str) {
        (part, word.in_files())
    }
    if phrase.skip(&["from"]) {
        let from = phrase.take::<From>().map(|from| said(Part::From, from));
        return from.or_else(|| next_part(phrase));
    }
    if phrase.skip(&["breaks", "bends"]) {
        return phrase.take::<Side>().map(|side| said(Part::Breaks, side));
    }
    let nouns = ["motion", "serve", "swing"];
    let with_noun = phrase.take_before::<MotionName>(&nouns).map(|it| said(Part::Motion, it));
    with_noun
        .or_else(|| phrase.take_before::<Toss>(&["toss"]).map(|it| said(Part::Toss, it)))
        .or_else(|| phrase.take_before::<WeightName>(&["spin"]).map(|it| said(Part::Weight, it)))
        .or_else(|| phrase.take_before::<Pace>(&["pace"]).map(|it| said(Part::Pace, it)))
        .or_else(|| phrase.take::<Spin>().map(|it| said(Part::Spin, it)))
        .or_else(|| phrase.take::<Depth>().map(|it| said(Part::Depth, it)))
        .or_else(|| phrase.take::<Lane>().map(|it| said(Part::Lane, it)))
        .or_else(|| phrase.take::<MotionName>().map(|it| said(Part::Motion, it)))
        .or_else(|| phrase.take::<WeightName>().map(|it| said(Part::Weight, it)))
        .or_else(|| phrase.take::<Pace>().map(|it| said(Part::Pace, it)))
        .or_else(|| phrase.take::<From>().map(|it| said(Part::From, it)))
        .or_else(|| phrase.take::<Sure>().map(|it| said(Part::Sure, it)))
        .or_else(|| {
            let often = ["often", "sometimes", "rarely"];
            let word = often.into_iter().find(|word| phrase.skip(&[word]))?;
            Some((Part::HowOften, word))
        })
}

/// A word that says no part of a serve, with the one probably meant.
fn nothing_of_a_serve(word: &str) -> Finding {
    let ball = spellings::<Spin>().chain(spellings::<WeightName>()).chain(spellings::<Pace>());
    let place = spellings::<Depth>().chain(spellings::<Lane>()).chain(spellings::<From>());
    let known: Vec<_> = ball.chain(place).chain(spellings::<MotionName>()).collect();
    let otherwise = "for example `short forehand, heavy backspin, pendulum`, or by part: \
                     `depth=short lane=forehand spin=backspin`";
    let hint = match text::closest(word, &known) {
        Some(meant) => format!("did you mean `{}`?", meant.replace('_', " ")),
        None => otherwise.to_owned(),
    };
    Finding::error(format!("`{word}` says nothing of a serve")).hint(hint)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::deck::ServeLine;
    use crate::game::{Motion, Serve};

    fn read(line: &str) -> Serve {
        let mut serve = Serve::default();
        ServeLine::read(line).unwrap().write_into(&mut serve).unwrap();
        serve
    }

    #[test]
    fn a_serve_is_said_as_a_player_says_it() {
        for (said, parts) in [
            ("short no spin to the forehand", "depth=short spin=dead lane=forehand"),
            ("float, deep to the body", "spin=dead depth=long lane=elbow"),
            (
                "loaded underspin, short fh, pendulum",
                "weight=heavy spin=backspin depth=short \
              lane=forehand motion=pendulum",
            ),
            (
                "BH serve, side-under, half long wide fh",
                "motion=backhand spin=side_backspin \
              depth=half_long lane=wide_forehand",
            ),
            (
                "fast long to the bh, punch, often",
                "pace=fast depth=long lane=backhand \
              motion=punch often=often",
            ),
            (
                "high toss pendulum, heavy side top breaks left",
                "toss=high motion=pendulum \
              weight=heavy spin=side_topspin breaks=left",
            ),
            (
                "short topspin to my fh, medium pace, from the middle",
                "depth=short spin=topspin lane=forehand pace=medium from=middle",
            ),
            ("hook from their fh corner", "motion=hook from=forehand_corner"),
            (
                "medium pace, medium backspin, middle",
                "pace=medium weight=medium spin=backspin \
              lane=middle",
            ),
        ] {
            assert_eq!(read(said), read(parts), "{said}");
        }
    }

    #[test]
    fn what_a_screen_says_of_a_serve_reads_back() {
        for &spin in Spin::ALL {
            for &lane in Lane::ALL {
                for &motion in MotionName::ALL {
                    let serve = Serve {
                        spin: Some(spin),
                        lane: Some(lane),
                        depth: Some(Depth::HalfLong),
                        pace: Some(Pace::Fast),
                        motion: Some(Motion::from_name(motion)),
                        ..Serve::default()
                    };
                    assert_eq!(read(&serve.shown()), serve, "{}", serve.shown());
                }
            }
        }
    }

    #[test]
    fn a_word_that_says_nothing_of_a_serve_is_told_with_the_one_meant() {
        let hint = |said: &str| ServeLine::read(said).unwrap_err()[0].hint.clone().unwrap();
        assert_eq!(hint("short undrspin"), "did you mean `underspin`?");
        assert!(hint("short xylophone").starts_with("for example"));
    }

    #[test]
    fn no_way_to_say_no_spin_leads_to_topspin() {
        for said in ["no spin", "no-spin", "nospin", "no spn", "float", "floater", "dead", "empty"]
        {
            let spin = match ServeLine::read(&format!("spin={said}")).unwrap().get(Part::Spin) {
                Some(value) => value.parse::<Spin>().map_err(|error| error.closest),
                None => panic!("{said}"),
            };
            let is_dead = match spin {
                Ok(spin) => spin == Spin::Dead,
                Err(meant) => meant.is_some_and(|word| word.parse() == Ok(Spin::Dead)),
            };
            assert!(is_dead, "{said}: {spin:?}");
        }
    }
}

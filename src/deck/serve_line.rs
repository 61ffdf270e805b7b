//! A serve in one line of `part=words`: the form of the flags and of quick questions.
//!
//! `motion=reverse pendulum spin=side-backspin lane=forehand depth=short often=40%`. A value runs
//! to the next `part=`; quotes hold one that contains such a thing. An empty value, `?` or
//! `unknown` means that the part is not known. Words before the first part are read as said
//! (`serve_said`). All mistakes of a line are reported at once.

use std::str::FromStr;

use crate::base::{Finding, UnknownWord, text};
use crate::deck::serve_said::{Part, parts_said};
use crate::game::{BadServeId, Depth, Lane, Motion, MotionName, Pace, Serve, ServeId, Weight};

/// A line of `part=words`, read but not yet judged.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct ServeLine {
    parts: Vec<(Part, String)>,
}

impl ServeLine {
    /// What the line says of a part; the last word counts.
    pub fn get(&self, part: Part) -> Option<&str> {
        self.parts.iter().rev().find(|(named, _)| *named == part).map(|(_, value)| value.as_str())
    }

    /// Reads a line.
    ///
    /// # Errors
    /// Every part whose name is not known or that is said twice, and words that say no part.
    pub fn read(line: &str) -> Result<Self, Vec<Finding>> {
        let mut read = Self::default();
        let mut findings = Vec::new();
        for (name, value) in pieces(line) {
            let parts = match name {
                None => parts_said(&value),
                Some(name) => {
                    part_named(&name).map(|part| vec![(part, value)]).map_err(Finding::from)
                }
            };
            for (part, value) in parts.map_err(|error| findings.push(error)).unwrap_or_default() {
                if read.get(part).is_some() {
                    findings.push(Finding::error(format!("`{}` is said twice", part.word())));
                }
                read.parts.push((part, value));
            }
        }
        if findings.is_empty() { Ok(read) } else { Err(findings) }
    }

    /// Writes what the line says into a serve.
    ///
    /// # Errors
    /// Every value that cannot be what its part holds; the serve is then left as it was.
    pub fn write_into(&self, serve: &mut Serve) -> Result<(), Vec<Finding>> {
        let mut changed = serve.clone();
        let findings: Vec<_> = self
            .parts
            .iter()
            .filter_map(|(part, value)| write_part(&mut changed, *part, value).err())
            .collect();
        if !findings.is_empty() {
            return Err(findings);
        }
        *serve = changed;
        Ok(())
    }
}

/// The pieces of a line: name (when there is one) and value.
fn pieces(line: &str) -> Vec<(Option<String>, String)> {
    let is_name = |name: &str| {
        !name.is_empty() && name.chars().all(|c| c.is_alphanumeric() || "-_".contains(c))
    };
    let mut found: Vec<(Option<String>, String)> = Vec::new();
    let mut rest = line.trim_start();
    while !rest.is_empty() {
        let (word, mut behind) = rest.split_once(char::is_whitespace).unwrap_or((rest, ""));
        if let Some((name, mut value)) = word.split_once('=').filter(|(name, _)| is_name(name)) {
            let quoted = rest[name.len() + 1..].strip_prefix('"');
            if let Some(whole) = quoted.and_then(|open| open.split_once('"')) {
                (value, behind) = whole;
            }
            found.push((Some(name.to_owned()), value.to_owned()));
        } else if let Some((_, value)) = found.last_mut() {
            if !value.is_empty() {
                value.push(' ');
            }
            value.push_str(word);
        } else {
            found.push((None, word.to_owned()));
        }
        rest = behind.trim_start();
    }
    found
}

/// The part of this name, in the words a person would use.
fn part_named(given: &str) -> Result<Part, UnknownWord> {
    match text::plain_word(given).as_str() {
        "often" | "share" | "frequency" => Ok(Part::HowOften),
        "score" => Ok(Part::Scores),
        "tell" => Ok(Part::Tells),
        "twin" => Ok(Part::LooksLike),
        "break" => Ok(Part::Breaks),
        "seen" => Ok(Part::LastSeen),
        name => name.parse(),
    }
}

impl From<UnknownWord> for Finding {
    /// A word a vocabulary does not hold.
    fn from(error: UnknownWord) -> Self {
        let finding = Self::error(format!("`{}` is not a {}", error.given, error.what));
        finding.hint(match error.closest {
            Some(word) => format!("did you mean `{}`?", word.replace('_', " ")),
            None => error.known.join(", "),
        })
    }
}

/// Reads a value, or nothing when it is not known.
fn known<T: FromStr>(value: &str) -> Result<Option<T>, T::Err> {
    if is_unknown(value) { Ok(None) } else { value.parse().map(Some) }
}

/// Reads a value whose error is a sentence of its own.
fn value_of<T: FromStr<Err: ToString>>(value: &str) -> Result<Option<T>, Finding> {
    known(value).map_err(|error: T::Err| Finding::error(error.to_string()))
}

/// True for the words that say that a part is not known.
fn is_unknown(value: &str) -> bool {
    matches!(value.trim(), "" | "?" | "-") || value.trim().eq_ignore_ascii_case("unknown")
}

/// Writes one part.
fn write_part(serve: &mut Serve, part: Part, value: &str) -> Result<(), Finding> {
    match part {
        Part::Id => {
            serve.id = value.parse().map_err(|e: BadServeId| Finding::error(e.to_string()))?;
        }
        Part::Motion => serve.motion = motion(value)?,
        Part::Spin => serve.spin = known(value)?,
        Part::Weight => serve.weight = weight(value)?,
        Part::Breaks => serve.breaks = known(value)?,
        Part::From => serve.from = known(value)?,
        Part::Lane => serve.lane = known(value)?,
        Part::Depth => serve.depth = known(value)?,
        Part::Pace => serve.pace = known(value)?,
        Part::HowOften => serve.how_often = value_of(value)?,
        Part::Sure => serve.sure = known(value)?,
        Part::Scores => {
            serve.scores = list(value, ',').map(str::parse).collect::<Result<_, _>>()?;
        }
        Part::Tells => serve.tells = list(value, ';').map(text::one_line).collect(),
        Part::Toss => serve.toss = known(value)?,
        Part::LooksLike if is_unknown(value) => serve.looks_like = None,
        Part::LooksLike => serve.looks_like = value_of(&text::file_stem(value))?,
        Part::LastSeen => serve.last_seen = value_of(value)?,
        Part::Note => serve.note = Some(text::one_line(value)).filter(|note| !note.is_empty()),
    }
    Ok(())
}

/// A motion of the trade, or `own: words`.
fn motion(value: &str) -> Result<Option<Motion>, Finding> {
    // `backhand motion` is how the lists of this program say it.
    let plain = value.trim().strip_suffix(" motion").unwrap_or(value);
    known(plain).map_err(|error: UnknownWord| {
        let own = format!("in your own words: `motion=own: {}`", value.trim());
        let finding = Finding::from(error);
        match &finding.hint {
            Some(known) if known.contains(", ") => {
                let hint = format!("{known}; {own}");
                finding.hint(hint)
            }
            _ => finding,
        }
    })
}

/// A weight; a word that is none names the three there are.
fn weight(value: &str) -> Result<Option<Weight>, Finding> {
    let otherwise = "a word, or revolutions a second from 0 to 90";
    let hint = || text::meant(value, &["light", "medium", "heavy"], otherwise);
    value_of(value).map_err(|finding| finding.hint(hint()))
}

/// The items of a list; none when it is not known.
fn list(value: &str, between: char) -> impl Iterator<Item = &str> {
    let value = if is_unknown(value) { "" } else { value };
    value.split(between).map(str::trim).filter(|item| !item.is_empty())
}

/// A short name made of what is known: motion, depth, lane.
pub(crate) fn coined_id(serve: &Serve, taken: &[ServeId]) -> ServeId {
    let motion = serve.motion.as_ref();
    let motion = motion.map(|motion| motion.name().map_or("own", MotionName::word));
    let is_fast_long = (serve.pace, serve.depth) == (Some(Pace::Fast), Some(Depth::Long));
    let depth = if is_fast_long { Some("fast") } else { serve.depth.map(Depth::word) };
    let words: Vec<_> = [motion, depth, serve.lane.map(Lane::word)].into_iter().flatten().collect();
    if words.is_empty() {
        return ServeId::coined("serve", taken);
    }
    let short = [("forehand", "fh"), ("backhand", "bh"), ("reverse_pendulum", "reverse")];
    let words = short.iter().fold(words.join(" "), |words, (long, way)| words.replace(long, way));
    ServeId::coined(&words, taken)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::game::{From, HowOften, ScoreHabit, Side, Spin, Sure, Toss, WeightName};

    fn read(line: &str) -> Serve {
        let mut serve = Serve::unknown("a".parse().unwrap());
        ServeLine::read(line).unwrap().write_into(&mut serve).unwrap();
        serve
    }

    #[test]
    fn a_value_runs_to_the_next_part() {
        let serve = read(
            "id=out motion=reverse pendulum spin=side-backspin lane=wide forehand depth=half long \
             often=40 % scores=behind, game point tells=drops the shoulder; looks twice",
        );
        assert_eq!(serve.id.as_str(), "out");
        assert_eq!(serve.motion, Some(Motion::ReversePendulum));
        assert_eq!(serve.spin, Some(Spin::SideBackspin));
        assert_eq!((serve.lane, serve.depth), (Some(Lane::WideForehand), Some(Depth::HalfLong)));
        assert_eq!(serve.how_often, Some(HowOften::Share(0.4)));
        assert_eq!(serve.scores, [ScoreHabit::Behind, ScoreHabit::GamePoint]);
        assert_eq!(serve.tells, ["drops the shoulder", "looks twice"]);
    }

    #[test]
    fn every_word_of_every_vocabulary_is_read() {
        fn all<T: Copy>(part: &str, words: &[(T, &str, &str)]) {
            for (_, word, shown) in words {
                read(&format!("{part}={word}"));
                read(&format!("{part}={shown}"));
            }
        }
        macro_rules! every {
            ($( $part:literal $name:ty ),+ $(,)?) => { $(
                all($part, &<$name>::ALL.iter().map(|w| (*w, w.word(), w.shown())).collect::<Vec<_>>());
            )+ };
        }
        every!(
            "motion" MotionName, "spin" Spin, "weight" WeightName, "breaks" Side, "from" From,
            "lane" Lane, "depth" Depth, "pace" Pace, "sure" Sure, "toss" Toss,
        );
        for score in ScoreHabit::ALL {
            assert_eq!(read(&format!("scores={}", score.word())).scores, [*score]);
        }
        assert_eq!(read("motion=own: frog").motion, Some(Motion::Own("frog".to_owned())));
        assert_eq!(read("weight=45").weight, Some(Weight::RevS(45.0)));
        assert_eq!(read("seen=2026-11-20").last_seen, "2026-11-20".parse().ok());
    }

    #[test]
    fn all_mistakes_of_a_line_come_at_once_with_the_word_probably_meant() {
        let mut serve = Serve::unknown("a".parse().unwrap());
        let before = serve.clone();
        let line = ServeLine::read("motion=pendulm depth=shrt lane=forehand").unwrap();
        let findings = line.write_into(&mut serve).unwrap_err();
        let hints: Vec<_> = findings.iter().filter_map(|finding| finding.hint.clone()).collect();
        assert_eq!(hints, ["did you mean `pendulum`?", "did you mean `short`?"]);
        assert_eq!(serve, before, "nothing is written when one part is wrong");
        let findings = ServeLine::read("mtion=hook spin=dead spin=dead").unwrap_err();
        assert_eq!(findings[0].hint.as_deref(), Some("did you mean `motion`?"));
        assert_eq!(findings[1].what, "`spin` is said twice");
    }

    #[test]
    fn words_before_the_first_part_are_read_as_said() {
        assert_eq!(read("short no spin often=40%"), read("depth=short spin=dead often=40%"));
        let twice = ServeLine::read("short depth=long").unwrap_err();
        assert_eq!(twice[0].what, "`depth` is said twice");
    }

    #[test]
    fn unknown_takes_a_part_back_and_quotes_hold_anything() {
        let mut serve = read("spin=dead note=\"spin=? they say\" depth=short");
        assert_eq!(serve.note.as_deref(), Some("spin=? they say"));
        ServeLine::read("spin=? depth=unknown note=").unwrap().write_into(&mut serve).unwrap();
        assert_eq!(serve, Serve::unknown("a".parse().unwrap()));
    }

    #[test]
    fn the_wings_may_be_shortened() {
        assert_eq!(read("lane=wide fh motion=BH"), read("lane=wide forehand motion=backhand"));
        assert!(ServeLine::read("lane=fhorn").unwrap().write_into(&mut Serve::default()).is_err());
    }

    #[test]
    fn a_coined_name_says_motion_depth_and_lane() {
        let id = |line: &str| coined_id(&read(line), &[]).to_string();
        assert_eq!(id("motion=backhand depth=short lane=forehand"), "bh-short-fh");
        assert_eq!(
            id("motion=pendulum depth=long lane=wide backhand pace=fast"),
            "pendulum-fast-wide-bh"
        );
        assert_eq!(id("depth=half-long"), "half-long");
        assert_eq!(id(""), "serve");
    }
}

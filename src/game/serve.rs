//! A serve as it is scouted: every part may be unknown.

use serde::{Deserialize, Serialize};
use serde_with::{DeserializeFromStr, SerializeDisplay, skip_serializing_none};

use crate::base::{Bound, Day, OutOfBounds, text};
use crate::game::{
    Depth, From, Hand, Lane, Motion, Pace, ScoreHabit, Side, Spin, Sure, Toss, Weight, short_wings,
    usual_break,
};

/// The short name of a serve, unique in its deck: lower case letters, digits and hyphens.
#[derive(
    Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash, SerializeDisplay, DeserializeFromStr,
)]
pub struct ServeId(String);

/// A text that cannot be the id of a serve.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error(
    "`{given}` cannot be a serve's id: 1 to 32 lower case letters, digits and hyphens, for example `{suggested}`"
)]
pub struct BadServeId {
    /// The text given.
    pub given: String,
    /// An id made of it.
    pub suggested: String,
}

const fn may_stand_in_id(letter: char) -> bool {
    letter.is_ascii_lowercase() || letter.is_ascii_digit() || letter == '-'
}

impl ServeId {
    /// Most letters of an id.
    pub const LONGEST: usize = 32;

    /// The id as text.
    pub fn as_str(&self) -> &str {
        &self.0
    }

    /// An id made of any text, numbered when it is taken already.
    pub fn coined(words: &str, taken: &[Self]) -> Self {
        let mut stem = text::file_stem(words);
        stem.retain(may_stand_in_id);
        stem.truncate(Self::LONGEST - 4);
        let plain = if stem.is_empty() { Self::default() } else { Self(stem) };
        let numbered = (2_usize..).map(|number| Self(format!("{plain}-{number}")));
        let mut names = std::iter::once(plain.clone()).chain(numbered);
        names.find(|name| !taken.contains(name)).unwrap_or(plain)
    }
}

impl Default for ServeId {
    /// The name of a serve of which nothing is known.
    fn default() -> Self {
        Self("serve".to_owned())
    }
}

impl std::str::FromStr for ServeId {
    type Err = BadServeId;

    fn from_str(given: &str) -> Result<Self, Self::Err> {
        if (1..=Self::LONGEST).contains(&given.len()) && given.chars().all(may_stand_in_id) {
            return Ok(Self(given.to_owned()));
        }
        let suggested = Self::coined(given, &[]).0;
        Err(BadServeId { given: given.to_owned(), suggested })
    }
}

impl std::fmt::Display for ServeId {
    fn fmt(&self, out: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        out.pad(&self.0)
    }
}

/// How often a serve comes: a word, or a share of all this opponent's serves (0 to 1).
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum HowOften {
    /// One of the main serves.
    Often,
    /// Now and then.
    Sometimes,
    /// Hardly ever.
    Rarely,
    /// A counted share, 0 to 1.
    Share(f64),
}

impl HowOften {
    /// A share of all serves.
    pub const SHARE: Bound =
        Bound { what: "share", unit: "", least: 0.0, most: 1.0, source: "a share of all serves" };

    /// The share in its bounds.
    ///
    /// # Errors
    /// [`OutOfBounds`] for a share below 0 or above 1.
    pub fn check(self) -> Result<Self, OutOfBounds> {
        match self {
            Self::Share(share) => Self::SHARE.check(share).map(Self::Share),
            word => Ok(word),
        }
    }
}

impl std::fmt::Display for HowOften {
    fn fmt(&self, out: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Self::Often => out.pad("often"),
            Self::Sometimes => out.pad("sometimes"),
            Self::Rarely => out.pad("rarely"),
            Self::Share(share) => out.pad(&format!("{:.0} %", share * 100.0)),
        }
    }
}

impl std::str::FromStr for HowOften {
    type Err = String;

    /// Reads `often`, `sometimes`, `rarely`, a share `0.4` or a percentage `40%`.
    fn from_str(given: &str) -> Result<Self, Self::Err> {
        if given.trim().starts_with('-') {
            return Err(format!("`{given}` is not a share; it is 0 to 100 %, like 40%"));
        }
        let plain = text::plain_word(given);
        let (number, whole) = plain.strip_suffix('%').map_or((&*plain, 1.0), |it| (it, 100.0));
        let number = number.trim_end_matches('_').parse::<f64>();
        let read = match plain.as_str() {
            "often" => Self::Often,
            "sometimes" => Self::Sometimes,
            "rarely" => Self::Rarely,
            _ => Self::Share(number.map_err(|_| {
                format!("`{given}` is not a frequency; often, sometimes, rarely, or a share like 40%")
            })? / whole),
        };
        read.check().map_err(|error| error.to_string())
    }
}

/// One serve of an opponent. The lane is the receiver's own.
#[skip_serializing_none]
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Serve {
    /// The short name, unique in its deck.
    pub id: ServeId,
    /// Earlier ids of this serve, so that its history is kept.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub was: Vec<ServeId>,
    /// The motion.
    pub motion: Option<Motion>,
    /// The kind of spin.
    pub spin: Option<Spin>,
    /// How heavy.
    pub weight: Option<Weight>,
    /// The way its path bends as the receiver sees it, for side spins.
    pub breaks: Option<Side>,
    /// Where the server contacts the ball; the backhand corner when unknown.
    pub from: Option<From>,
    /// The lane.
    pub lane: Option<Lane>,
    /// The depth.
    pub depth: Option<Depth>,
    /// The pace.
    pub pace: Option<Pace>,
    /// How often it comes.
    pub how_often: Option<HowOften>,
    /// How sure the scout is.
    pub sure: Option<Sure>,
    /// At which scores it comes more often.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub scores: Vec<ScoreHabit>,
    /// What gives it away before contact.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub tells: Vec<String>,
    /// How high the toss is.
    pub toss: Option<Toss>,
    /// Its twin: another serve of the deck with the same look.
    pub looks_like: Option<ServeId>,
    /// The day it was last seen.
    pub last_seen: Option<Day>,
    /// No longer served: kept with its history, left out of everything else.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub retired: bool,
    /// Anything else; stays on the player's own devices unless asked for.
    pub note: Option<String>,
}

impl Serve {
    /// A serve of which only the id is known.
    pub fn unknown(id: ServeId) -> Self {
        Self { id, ..Self::default() }
    }

    /// True when the flight tells it from the other early enough: another depth.
    pub fn flies_unlike(&self, other: &Self) -> bool {
        self.depth.zip(other.depth).is_some_and(|(own, other)| own != other)
    }

    /// The way it breaks: as written, else as the motion of this server usually does. None without
    /// side spin.
    pub fn breaks_for(&self, server: Option<Hand>) -> Option<Side> {
        if !self.spin?.is_sideways() {
            return None;
        }
        self.breaks.or_else(|| usual_break(self.motion.as_ref()?, server?))
    }

    /// A number to weigh serves against each other: often 4, sometimes or unknown 2, rarely 1
    /// (common practice), a share ten times itself, so that `often` is about 0.4.
    pub fn relative_frequency(&self) -> f64 {
        match self.how_often {
            Some(HowOften::Often) => 4.0,
            Some(HowOften::Sometimes) | None => 2.0,
            Some(HowOften::Rarely) => 1.0,
            Some(HowOften::Share(share)) => share * 10.0,
        }
    }

    /// The same physical ball as named by a receiver with the other hand: lanes are renamed, the
    /// side it breaks to stays what it is.
    #[must_use]
    pub fn seen_by(&self, old: Hand, new: Hand) -> Self {
        let lane = if old == new { self.lane } else { self.lane.map(Lane::mirrored) };
        Self { lane, ..self.clone() }
    }

    /// The serve in words: `short to the forehand, medium side-back, backhand motion`.
    pub fn shown(&self) -> String {
        let mut parts = Vec::new();
        let place = crate::game::Target { lane: self.lane, depth: self.depth }.shown();
        let pace = self.pace.filter(|pace| *pace != Pace::Medium).map(Pace::shown);
        parts.extend(pace.map(str::to_owned));
        parts.extend((!place.is_empty()).then_some(place));
        match (self.weight, self.spin) {
            (Some(weight), Some(spin)) if spin != Spin::Dead => {
                parts.push(format!("{weight} {spin}"));
            }
            (_, Some(spin)) => parts.push(spin.shown().to_owned()),
            (Some(weight), None) => parts.push(format!("{weight} spin")),
            (None, None) => {}
        }
        if let Some(motion) = &self.motion {
            parts.push(text::one_line(&format!("{motion} motion")));
        }
        if parts.is_empty() {
            return "nothing known yet".to_owned();
        }
        parts.extend((self.sure == Some(Sure::Guessed)).then(|| Sure::Guessed.to_string()));
        parts.join(", ")
    }

    /// What a player calls it, the first part first: `short FH`, `side-back`, `backhand`, as far as
    /// it is known.
    pub fn short_parts(&self) -> Vec<String> {
        let (is_fast, depth) = (self.pace == Some(Pace::Fast), self.depth);
        let depth = depth.filter(|depth| !is_fast || *depth != Depth::Long);
        let place =
            [is_fast.then_some("fast"), depth.map(Depth::shown), self.lane.map(Lane::shown)];
        let place = place.into_iter().flatten().collect::<Vec<_>>().join(" ");
        let rest =
            [self.spin.map(|it| it.to_string()), self.motion.as_ref().map(Motion::to_string)];
        let parts = std::iter::once(short_wings(&place)).chain(rest.into_iter().flatten());
        parts.map(|part| text::one_line(&part)).filter(|part| !part.is_empty()).collect()
    }

    /// The parts of the ball in which two serves differ, in words.
    pub fn differs_in_ball(&self, other: &Self) -> Vec<&'static str> {
        [
            ("motion", self.motion != other.motion),
            ("spin", self.spin != other.spin),
            ("weight", self.weight != other.weight),
            ("breaks", self.breaks != other.breaks),
            ("from", self.from != other.from),
            ("lane", self.lane != other.lane),
            ("depth", self.depth != other.depth),
            ("pace", self.pace != other.pace),
            ("toss", self.toss != other.toss),
        ]
        .into_iter()
        .filter_map(|(part, differs)| differs.then_some(part))
        .collect()
    }

    /// The parts a scout would still like to know, in words.
    pub fn unknown_parts(&self) -> Vec<&'static str> {
        let known = self.differs_in_ball(&Self::default());
        ["motion", "spin", "lane", "depth"]
            .into_iter()
            .filter(|part| !known.contains(part))
            .collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_id_is_short_and_plain() {
        assert!("bh-short-fh".parse::<ServeId>().is_ok());
        for bad in ["", "BH short", "a_b", "ü", &"x".repeat(33)] {
            assert!(bad.parse::<ServeId>().is_err(), "{bad}");
        }
        let error = "Short FH!".parse::<ServeId>().unwrap_err();
        assert_eq!(error.suggested, "short-fh");
    }

    #[test]
    fn a_coined_id_is_numbered_when_it_is_taken() {
        let first = ServeId::coined("short forehand", &[]);
        let second = ServeId::coined("short forehand", std::slice::from_ref(&first));
        assert_eq!((first.as_str(), second.as_str()), ("short-forehand", "short-forehand-2"));
        assert!(ServeId::coined(&"long ".repeat(30), &[]).as_str().parse::<ServeId>().is_ok());
    }

    #[test]
    fn breaks_are_filled_in_only_for_side_spin_and_a_known_hand() {
        let mut serve = Serve::unknown(ServeId::coined("a", &[]));
        serve.motion = Some(Motion::Pendulum);
        serve.spin = Some(Spin::Backspin);
        assert_eq!(serve.breaks_for(Some(Hand::Right)), None);
        serve.spin = Some(Spin::SideBackspin);
        assert_eq!(serve.breaks_for(Some(Hand::Right)), Some(Side::Left));
        assert_eq!(serve.breaks_for(Some(Hand::Left)), Some(Side::Right));
        assert_eq!(serve.breaks_for(None), None);
        serve.breaks = Some(Side::Right);
        assert_eq!(serve.breaks_for(Some(Hand::Right)), Some(Side::Right));
    }

    #[test]
    fn a_receiver_with_the_other_hand_meets_the_same_ball() {
        let mut serve = Serve::unknown(ServeId::coined("a", &[]));
        serve.lane = Some(Lane::WideForehand);
        serve.breaks = Some(Side::Right);
        let same = serve.seen_by(Hand::Left, Hand::Left);
        assert_eq!(same.lane, Some(Lane::WideForehand));
        let seen = serve.seen_by(Hand::Right, Hand::Left);
        assert_eq!((seen.lane, seen.breaks), (Some(Lane::WideBackhand), Some(Side::Right)));
    }

    #[test]
    fn a_share_is_read_as_a_percentage_too() {
        assert_eq!("40%".parse(), Ok(HowOften::Share(0.4)));
        assert_eq!("40 %".parse(), Ok(HowOften::Share(0.4)));
        assert_eq!("Often".parse(), Ok(HowOften::Often));
        assert!("140%".parse::<HowOften>().is_err());
    }
}

//! The player: hand, bat, minutes a day, the receives they own, and the events ahead.

use std::collections::BTreeMap;

use chrono::Weekday;
use serde::{Deserialize, Serialize};
use serde_with::skip_serializing_none;

use crate::base::{Bound, Day, Units};
use crate::game::{Depth, From, Grip, Hand, Receive, Serve, Spin, Stroke, Wing};

/// A receive the player owns.
#[skip_serializing_none]
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Owned {
    /// The wing it is played with.
    pub wing: Wing,
    /// The stroke.
    pub stroke: Stroke,
    /// Against serves of this depth only.
    pub depth: Option<Depth>,
    /// Against this kind of spin only.
    pub spin: Option<Spin>,
    /// Of ten at the table, how many land where they were meant to.
    pub of_ten: u8,
}

impl Owned {
    /// A receive owned against every serve.
    pub const fn new(wing: Wing, stroke: Stroke, of_ten: u8) -> Self {
        Self { wing, stroke, depth: None, spin: None, of_ten }
    }

    /// How closely it speaks of a serve: the parts it names; none when it is about another kind.
    fn fits(&self, serve: Option<&Serve>) -> Option<usize> {
        let parts = usize::from(self.depth.is_some()) + usize::from(self.spin.is_some());
        let depth = self.depth.is_none_or(|own| serve.is_some_and(|of| of.depth == Some(own)));
        let is_same = |own: Spin| serve.and_then(|of| of.spin).is_some_and(|of| own.is_like(of));
        (depth && self.spin.is_none_or(is_same)).then_some(parts)
    }
}

/// A likely opponent of an event.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Opponent {
    /// The name of the deck's file, without its ending.
    pub deck: String,
    /// How likely they are met, 0 to 1.
    #[serde(default = "certain")]
    pub likely: f64,
}

/// An opponent who is met for sure.
const fn certain() -> f64 {
    1.0
}

/// A tournament or match day.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
#[serde(rename = "Event")]
pub struct MatchDay {
    /// Its name.
    pub name: String,
    /// The day.
    pub day: Day,
    /// Who may be met there; every deck of the home when empty.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub opponents: Vec<Opponent>,
}

/// The player's file.
#[skip_serializing_none]
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Player {
    /// The version of the form.
    pub format: u32,
    /// The player's name, as printed on sheets.
    pub name: String,
    /// The hand that holds the bat.
    pub hand: Hand,
    /// How it is held.
    pub grip: Option<Grip>,
    /// What is on the bat.
    pub rubbers: Option<String>,
    /// Where the player stands to receive.
    pub stands: Option<From>,
    /// Whether the forehand is played from the backhand corner.
    pub steps_around: Option<bool>,
    /// What the player measures in.
    #[serde(default = "metric")]
    pub units: Units,
    /// Minutes a day for the drill.
    #[serde(default = "ten_minutes")]
    pub minutes_a_day: f64,
    /// Days of the week without a drill.
    #[serde(default, deserialize_with = "weekdays", skip_serializing_if = "Vec::is_empty")]
    pub days_off: Vec<Weekday>,
    /// The hour at which a new day begins, 0 to 23.
    #[serde(default = "five_o_clock", alias = "rollover_hour")]
    pub day_begins: u8,
    /// The share of answers to be known whenever they are needed, 0.70 to 0.97.
    #[serde(default = "nine_in_ten", alias = "target")]
    pub wanted_share: f64,
    /// Sessions and drills kept under a name: what is typed after `rehearse`.
    #[serde(default, skip_serializing_if = "BTreeMap::is_empty")]
    pub sessions: BTreeMap<String, Vec<String>>,
    /// The receives this player owns.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub repertoire: Vec<Owned>,
    /// The events ahead and behind.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub events: Vec<MatchDay>,
}

const fn metric() -> Units {
    Units::Metric
}

const fn ten_minutes() -> f64 {
    10.0
}

/// Nobody drills between the way home from a late match and the way to an early one.
const fn five_o_clock() -> u8 {
    5
}

/// By the model's curve 0.95 asks two and a half times as often for one more answer of twenty, and
/// 0.80 a third as often and leaves one serve of five without an answer.
const fn nine_in_ten() -> f64 {
    0.9
}

impl Player {
    /// What fields of the file were called, and what they are called now.
    pub const ONCE: [(&str, &str); 2] =
        [("rollover_hour", "day_begins"), ("target", "wanted_share")];
    /// Minutes a day that can be asked for.
    pub const MINUTES: Bound = Bound {
        what: "minutes a day",
        unit: "min",
        least: 1.0,
        most: 120.0,
        source: "common practice",
    };
    /// The hour a day begins.
    pub const DAY_BEGINS: Bound = Bound {
        what: "hour at which the day begins",
        unit: "h",
        least: 0.0,
        most: 23.0,
        source: "a clock",
    };
    /// The share to be known.
    pub const WANTED_SHARE: Bound = Bound {
        what: "wanted share",
        unit: "",
        least: 0.7,
        most: 0.97,
        source: "outside it the memory model asks for absurd intervals",
    };

    /// A player of whom only name and hand are known.
    pub fn new(name: impl Into<String>, hand: Hand) -> Self {
        Self {
            sessions: BTreeMap::new(),
            format: super::FORMAT,
            name: name.into(),
            hand,
            grip: None,
            rubbers: None,
            stands: None,
            steps_around: None,
            units: metric(),
            minutes_a_day: ten_minutes(),
            days_off: Vec::new(),
            day_begins: five_o_clock(),
            wanted_share: nine_in_ten(),
            repertoire: Vec::new(),
            events: Vec::new(),
        }
    }

    /// The next event on or after a day.
    pub fn next_event(&self, today: Day) -> Option<&MatchDay> {
        self.events.iter().filter(|event| event.day >= today).min_by_key(|event| event.day)
    }

    /// How many of ten land against a serve, when the player owns the wing and stroke of this
    /// receive.
    pub fn of_ten(&self, receive: &Receive, serve: Option<&Serve>) -> Option<u8> {
        self.listed(receive, serve).map(|(_, of_ten)| of_ten)
    }

    /// The player has listed the stroke of this receive, or has listed nothing.
    pub fn owns(&self, receive: &Receive) -> bool {
        self.repertoire.is_empty() || self.of_ten(receive, None).is_some()
    }

    /// As [`Self::of_ten`], with how many parts of the serve it is listed for: what is listed for
    /// this kind of serve comes before what is listed for all, the better wing first.
    pub fn listed(&self, receive: &Receive, serve: Option<&Serve>) -> Option<(usize, u8)> {
        let of_it = self.repertoire.iter().filter(|owned| {
            owned.stroke == receive.stroke && receive.wing.is_none_or(|wing| wing == owned.wing)
        });
        let fitting = of_it.clone().filter_map(|owned| Some((owned.fits(serve)?, owned.of_ten)));
        // Owned against other kinds of serve only: as reliable as the least of them.
        fitting.max().or_else(|| of_it.map(|owned| (0, owned.of_ten)).min())
    }
}

/// Reads days of the week, and says how one is written.
fn weekdays<'de, D: serde::Deserializer<'de>>(from: D) -> Result<Vec<Weekday>, D::Error> {
    #[derive(Deserialize)]
    #[serde(try_from = "String")]
    struct DayOfWeek(Weekday);

    impl TryFrom<String> for DayOfWeek {
        type Error = &'static str;

        fn try_from(word: String) -> Result<Self, Self::Error> {
            word.parse().map(Self).map_err(|_| {
                "this is not a day of the week; \"Mon\", \"Tue\", \"Wed\", \"Thu\", \"Fri\", \"Sat\", \
                 \"Sun\", in double quotes"
            })
        }
    }

    Ok(Vec::<DayOfWeek>::deserialize(from)?.into_iter().map(|day| day.0).collect())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_next_event_is_the_nearest_that_is_not_over() {
        let mut player = Player::new("Invented", Hand::Right);
        for (name, day) in [("far", "2026-12-20"), ("near", "2026-11-29"), ("past", "2026-11-01")] {
            player.events.push(MatchDay {
                name: name.to_owned(),
                day: day.parse().unwrap(),
                opponents: Vec::new(),
            });
        }
        let next = |today: &str| player.next_event(today.parse().unwrap()).map(|e| e.name.as_str());
        assert_eq!(next("2026-11-29"), Some("near"));
        assert_eq!(next("2026-11-30"), Some("far"));
        assert_eq!(next("2026-12-21"), None);
    }
}

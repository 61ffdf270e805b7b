//! The advice as a document: every number a screen, a sheet or a file may want, no sentence and no
//! layout.
//!
//! What is left out of its written form, a view writes with its sentences.

use serde::Serialize;

use crate::game::{Receive, ReceiveKey, ServeId};
use crate::tactics::rates::Knowledge;
use crate::tactics::unsure_chances::ChangeWorth;
use crate::tactics::verdict::Lesson;

/// One receive weighed against one serve.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Choice {
    /// The receive, with its reason when it has one.
    pub receive: Receive,
    /// Its key.
    pub key: ReceiveKey,
    /// It is the plan's.
    pub in_plan: bool,
    /// The switch that holds it in reserve.
    pub in_switch: Option<String>,
    /// Offered from common practice: neither plan, switch nor points know it.
    pub is_common_practice: bool,
    /// Of ten, how many land, when the player has listed it.
    pub of_ten: Option<u8>,
    /// Expected share of points won.
    pub rate: f64,
    /// Where that share lies, eight times in ten: low and high.
    pub interval: (f64, f64),
    /// Points behind it, after weighing.
    pub points: f64,
    /// Points behind it as a person counts them: recorded ones, and half of those told.
    pub behind: f64,
    /// How much that many say.
    pub known: Knowledge,
    /// Rate when he is not waiting for it.
    pub unread: f64,
    /// What is lost when he is.
    pub drop: f64,
    /// The drop is an assumption, not a measurement.
    pub drop_is_assumed: bool,
    /// Chance that this receive wins more often than the planned one; none for the plan itself.
    pub better_than_plan: Option<f64>,
}

/// A mix of two or more receives.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Mix {
    /// Parts of each choice, in the order of the choices.
    pub parts: Vec<u32>,
    /// The exact shares the ratio rounds.
    pub exact: Vec<f64>,
    /// Chance of the point the ratio secures, whatever he waits for.
    pub secures: f64,
    /// What rounding costs.
    pub rounding_costs: f64,
    /// What the best single receive secures when he always waits for it.
    pub alone: f64,
    /// Certificate: how far the two sides of the exact solution are apart.
    pub gap: f64,
    /// An order in advance: places among the choices.
    pub order: Vec<usize>,
    /// One of its receives has hardly any points: only an illustration.
    pub is_illustration: bool,
}

impl Mix {
    /// One receive alone secures the most.
    pub fn is_single(&self) -> bool {
        self.parts.iter().filter(|part| **part > 0).count() == 1
    }
}

/// The ratio under another drop.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct OtherDrop {
    /// The drop assumed for every receive.
    pub drop: f64,
    /// Parts of each choice.
    pub parts: Vec<u32>,
    /// Chance of the point secured.
    pub secures: f64,
}

/// What has to be known beside the rates.
#[derive(Debug, Clone, PartialEq)]
pub enum AdviceNote {
    /// No match is recorded.
    NoMatch,
    /// So many matches went in.
    Matches(usize),
    /// Receiving points without a known serve or receive.
    Unknown(usize),
    /// What being read costs is assumed for some receives; the serves whose planned answer has it
    /// measured.
    AssumedDrop(Vec<(ServeId, f64)>),
    /// How often each serve came of so many points, where that is not what the deck says.
    SharesOff { points: u32, came: Vec<(ServeId, f64)> },
    /// Some rates with few points are pulled towards the mean of their family.
    Shrunk,
}

/// Advice for one serve.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct ServeAdvice {
    /// The serve.
    pub serve: ServeId,
    /// The serve in words.
    pub shown: String,
    /// Share among the opponent's serves.
    pub share: f64,
    /// Receives: the plan, then what has points, best first, then the others.
    pub choices: Vec<Choice>,
    /// The mix against somebody who reads; a single receive when that secures the most, none when
    /// the player holds only one.
    #[serde(skip)]
    pub mix: Option<Mix>,
    /// The mix under other drops; empty when the drop is measured or there is no mix.
    pub other_drops: Vec<OtherDrop>,
    /// The verdict on the planned receive; none without a plan.
    #[serde(skip)]
    pub lesson: Option<Lesson>,
    /// What playing the verdict's alternative instead of the plan would add to the chance of the
    /// match now.
    pub worth: Option<ChangeWorth>,
}

/// Advice for a whole deck.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Advice {
    /// The opponent.
    pub opponent: String,
    /// Matches behind it.
    pub matches: usize,
    /// Points on the opponent's serve behind it.
    pub receiving_points: f64,
    /// Chance of a point on the own serve, and on the opponent's under the plan.
    pub chances: (f64, f64),
    /// Where the two lie, eight times in ten.
    pub ranges: ((f64, f64), (f64, f64)),
    /// How much is known of the first, and of the plan's own receives.
    pub known: (Knowledge, Knowledge),
    /// Best of how many games.
    pub best_of: u32,
    /// Chance of the match under the plan as it stands now.
    pub match_chance: f64,
    /// The same with every switch made that is due; nothing taken off for remembering it.
    pub match_chance_changed: f64,
    /// Where it lies, eight times in ten.
    pub match_range: (f64, f64),
    /// What one point in a hundred more on the opponent's serve adds to it.
    pub one_in_a_hundred: f64,
    /// Serve by serve, most frequent first.
    #[serde(skip)]
    pub serves: Vec<ServeAdvice>,
    /// What went in that nobody measured, and what the points say beside it.
    #[serde(skip)]
    pub notes: Vec<AdviceNote>,
}

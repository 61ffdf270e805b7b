//! The summary of a round: per serve how many were right, how many in the window, how quickly; the
//! tempo; the measures of a switch round.

use serde::Serialize;

use super::machine::{GateSummary, Machine};
use super::measures::SwitchMeasures;
use super::script::{RoundPart, Script};
use super::taken::{Gave, Taken};
use super::tempo::Threshold;
use crate::game::ServeId;
use crate::journal::{How, Input};

/// So many of the last answers wrong, and it is not known.
pub const SLIPS: usize = 2;
/// Answers looked back on, for each pattern.
pub const LAST: usize = 5;

/// How one serve went.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct ServeSummary {
    pub serve: ServeId,
    /// The serve in as few words as tell it from the others.
    pub words: String,
    /// The planned receive in words.
    pub receive: String,
    /// What a switch makes of it, where it changes.
    pub changed_to: Option<String>,
    /// Times it was answered, lets left out.
    pub asked: usize,
    /// Of them right, in whatever time.
    pub right: usize,
    /// Of them right within the window.
    pub in_window: usize,
    /// Middle time of the right ones, milliseconds.
    pub middle_ms: Option<u32>,
    /// In a reading round: times it was recognised.
    pub recognised: Option<usize>,
    /// Times it was answered wrongly, where that was too often to the end.
    pub slips: Option<usize>,
    /// The receive given last instead of the right one.
    pub given: Option<String>,
}

/// A round that is over.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Summary {
    pub opponent: String,
    /// How answers were given.
    pub how: How,
    /// What they were given with.
    pub input: Input,
    /// Answers, lets left out.
    pub answers: usize,
    /// Of them right, in whatever time.
    pub right: usize,
    /// Of them right within the window.
    pub in_window: usize,
    pub lets: usize,
    /// Wrong answers that were the old answer.
    pub old_answers: usize,
    /// Wrong answers that were a spill.
    pub spills: usize,
    /// Serve by serve, in the order of the round.
    pub serves: Vec<ServeSummary>,
    /// The tempo that was reached, thousandths of match speed.
    pub tempo_permille: u32,
    /// Right answers in the window in a row that shortened it.
    pub tempo_downs: u32,
    /// Where the tempo settled.
    pub threshold: Option<Threshold>,
    /// The gate, in a switch round.
    pub gate: Option<GateSummary>,
    /// The measures, in a switch round that came to its call.
    pub switch: Option<SwitchMeasures>,
    /// The name of the switch.
    pub switch_name: Option<String>,
    /// True when the player broke off.
    pub is_interrupted: bool,
}

impl Machine {
    /// The summary so far.
    pub fn summary(&self) -> Summary {
        let Self { script, taken, tempo, .. } = self;
        let counted: Vec<&Taken> = taken.iter().filter(|one| one.counts()).collect();
        let count = |is: &dyn Fn(&Taken) -> bool| counted.iter().filter(|one| is(one)).count();
        let has_called = taken.iter().any(|one| one.part == RoundPart::After);
        Summary {
            opponent: script.opponent.clone(),
            how: script.how,
            input: self.input,
            answers: counted.len(),
            right: count(&Taken::is_recalled),
            in_window: count(&Taken::is_clean),
            lets: taken.len() - counted.len(),
            old_answers: count(&|one| one.gave == Gave::OldAnswer),
            spills: count(&|one| one.gave == Gave::Spill),
            serves: (0..script.serves.len())
                .map(|serve| serve_summary(script, serve, &counted))
                .filter(|serve| serve.asked > 0)
                .collect(),
            tempo_permille: tempo.reached_permille(),
            tempo_downs: script.tempo.downs,
            threshold: tempo.threshold(),
            gate: self.gate,
            switch: script.measured().filter(|_| has_called).map(|_| {
                SwitchMeasures::from_answers(taken, |serve| script.serves[serve].changed.is_some())
            }),
            switch_name: script.measured().map(|switch| switch.name.clone()),
            is_interrupted: self.is_interrupted,
        }
    }
}

/// The middle of sorted times, or half-way between the two in the middle.
fn middle(times_ms: &[u32]) -> Option<u32> {
    let half = times_ms.len() / 2;
    let upper = *times_ms.get(half)?;
    let lower = if times_ms.len().is_multiple_of(2) { times_ms[half - 1] } else { upper };
    Some(lower.midpoint(upper))
}

fn serve_summary(script: &Script, serve: usize, counted: &[&Taken]) -> ServeSummary {
    let own: Vec<&&Taken> = counted.iter().filter(|one| one.serve == serve).collect();
    let mut times: Vec<u32> =
        own.iter().filter(|one| one.is_recalled()).map(|one| one.ms).collect();
    times.sort_unstable();
    let cue = &script.serves[serve];
    let wrong: Vec<&&&Taken> = own.iter().filter(|one| !one.is_recalled()).collect();
    let last = &own[own.len().saturating_sub(LAST)..];
    let is_slipping = last.iter().filter(|one| !one.is_recalled()).count() >= SLIPS;
    let shown = |choice: usize| script.palette.choices[choice].shown.clone();
    let recognised = own.iter().filter(|one| one.is_recognised == Some(true)).count();
    ServeSummary {
        serve: cue.serve.clone(),
        words: cue.short.clone(),
        receive: shown(cue.right),
        changed_to: cue.changed.map(shown),
        asked: own.len(),
        right: times.len(),
        in_window: own.iter().filter(|one| one.is_clean()).count(),
        middle_ms: middle(&times),
        slips: is_slipping.then_some(wrong.len()),
        given: wrong.iter().rev().find_map(|one| one.given).map(shown),
        recognised: (script.how == How::Read).then_some(recognised),
    }
}

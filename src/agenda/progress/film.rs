//! Reading the player's own film: right in time, by where the film goes black.

use std::collections::BTreeMap;

use serde::Serialize;

use super::request::ProgressRequest;
use crate::journal::{Fact, How};

/// The answers of one cut, of the last thirty days.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
pub struct FilmCut {
    /// Milliseconds from contact to black; negative before it.
    pub cut_ms: i32,
    /// Right, and in time.
    pub right: u32,
    pub of: u32,
}

/// The cuts that were played, the latest first.
pub(super) fn film(asked: &ProgressRequest<'_>) -> Vec<FilmCut> {
    let since = asked.today.minus(30);
    let mut cuts: BTreeMap<i32, FilmCut> = BTreeMap::new();
    for event in asked.events.iter().filter(|event| event.day >= since) {
        let Fact::Answer(answer) = &event.fact else { continue };
        let (How::Film, Some(cut_ms), false) = (answer.how, answer.cut, answer.is_let) else {
            continue;
        };
        if asked.deck(&answer.deck).is_some() {
            let cut = cuts.entry(cut_ms).or_insert(FilmCut { cut_ms, right: 0, of: 0 });
            cut.of += 1;
            cut.right += u32::from(answer.given.is_none() && answer.ms <= answer.window);
        }
    }
    cuts.into_values().rev().collect()
}

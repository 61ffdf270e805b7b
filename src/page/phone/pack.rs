//! Scripts as they stand in the page: cues, flights, palettes, tempos and durations once each, scripts
//! with places in those tables, balls as short rows of numbers. `unpack` in `logic.js` is the way back.

use std::collections::BTreeMap;

use serde::Serialize;

use crate::drill::{
    Call, Cue, Durations, Palette, ReadingStep, Reason, RoundPart, Script, ScriptBall,
    ScriptSwitch, ServeOrder, TempoRules,
};
use crate::game::{ReceiveKey, ServeId};
use crate::journal::How;

/// Cells of the square of targets.
const CELLS: usize = 9;

/// What scripts share, and the scripts.
#[derive(Debug, Clone, Default, PartialEq, Serialize)]
pub struct Tables {
    /// Flights: time, x, y, z of each frame, one after the other.
    pub frames: Vec<Vec<i32>>,
    /// The cues.
    pub cues: Vec<PackedCue>,
    /// The palettes.
    pub palettes: Vec<Palette>,
    /// Rules of tempo.
    pub tempos: Vec<TempoRules>,
    /// Durations.
    pub durations: Vec<Durations>,
    /// The scripts.
    pub scripts: Vec<Packed>,
}

/// A cue with its flight in a table.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct PackedCue {
    serve: ServeId,
    words: String,
    flight_ms: u32,
    decision_ms: u32,
    frames: usize,
    right: usize,
    changed: Option<usize>,
    reason: Reason,
    changed_reason: Reason,
    twin: Option<usize>,
    counted_days: u32,
    has_recent_old_answer: bool,
}

/// A script with everything shared in tables.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Packed {
    format: u32,
    deck: String,
    opponent: String,
    how: How,
    order: ServeOrder,
    key_ms: u32,
    serves: Vec<usize>,
    palette: usize,
    balls: Vec<Vec<u32>>,
    tempo: usize,
    durations: usize,
    switch: Option<ScriptSwitch>,
    under: Option<String>,
    has_words: bool,
    repair_after: u32,
    limit_ms: Option<u64>,
    /// Answers built from a stroke and a target, by stroke and cell; only where they are asked.
    #[serde(skip_serializing_if = "Option::is_none")]
    built: Option<Vec<Vec<ReceiveKey>>>,
}

/// Packs scripts into tables.
#[derive(Debug, Default)]
pub struct Packer {
    tables: Tables,
    /// Where each thing stands, by its table and its JSON.
    seen: BTreeMap<(&'static str, String), usize>,
}

impl Packer {
    /// Packs a script; answers its place.
    pub fn add(&mut self, script: &Script) -> usize {
        let packed = self.packed(script);
        self.place("scripts", &packed, |tables| &mut tables.scripts)
    }

    /// The tables.
    pub fn finish(self) -> Tables {
        self.tables
    }

    /// The place of a thing in its table, where it is put when it is new.
    fn place<T: Serialize + Clone>(
        &mut self,
        table: &'static str,
        thing: &T,
        of: impl Fn(&mut Tables) -> &mut Vec<T>,
    ) -> usize {
        // Plain numbers and words always have a JSON.
        let json = serde_json::to_string(thing).unwrap_or_default();
        let rows = of(&mut self.tables);
        *self.seen.entry((table, json)).or_insert_with(|| {
            rows.push(thing.clone());
            rows.len() - 1
        })
    }

    fn packed(&mut self, script: &Script) -> Packed {
        // Named one by one, so that a new field of a script cannot be forgotten here.
        let Script {
            format,
            deck,
            opponent,
            how,
            order,
            key_ms,
            serves,
            palette,
            balls,
            tempo,
            durations,
            switch,
            under,
            has_words,
            repair_after,
            limit_ms,
        } = script;
        let built = (*how == How::Think).then(|| {
            (0..palette.strokes.len())
                .map(|stroke| (0..CELLS).map(|cell| palette.built(stroke, cell)).collect())
                .collect()
        });
        Packed {
            format: *format,
            deck: deck.clone(),
            opponent: opponent.clone(),
            how: *how,
            order: *order,
            key_ms: *key_ms,
            serves: serves.iter().map(|cue| self.cue(cue)).collect(),
            palette: self.place("palettes", palette, |tables| &mut tables.palettes),
            balls: balls.iter().map(ball).collect(),
            tempo: self.place("tempos", tempo, |tables| &mut tables.tempos),
            durations: self.place("durations", durations, |tables| &mut tables.durations),
            switch: switch.clone(),
            under: under.clone(),
            has_words: *has_words,
            repair_after: *repair_after,
            limit_ms: *limit_ms,
            built,
        }
    }

    fn cue(&mut self, cue: &Cue) -> usize {
        let Cue {
            serve,
            words,
            flight_ms,
            decision_ms,
            frames,
            right,
            changed,
            reason,
            changed_reason,
            twin,
            counted_days,
            has_recent_old_answer,
        } = cue;
        let flat: Vec<i32> = frames
            .iter()
            .flat_map(|frame| [frame.t_ms, frame.x_mm, frame.y_mm, frame.z_mm])
            .collect();
        let packed = PackedCue {
            serve: serve.clone(),
            words: words.clone(),
            flight_ms: *flight_ms,
            decision_ms: *decision_ms,
            frames: self.place("frames", &flat, |tables| &mut tables.frames),
            right: *right,
            changed: *changed,
            reason: reason.clone(),
            changed_reason: changed_reason.clone(),
            twin: *twin,
            counted_days: *counted_days,
            has_recent_old_answer: *has_recent_old_answer,
        };
        self.place("cues", &packed, |tables| &mut tables.cues)
    }
}

/// Serve, toss, part, call, reading, place in the turn; trailing zeros left out.
fn ball(ball: &ScriptBall) -> Vec<u32> {
    let ScriptBall { serve, toss_ms, part, call, reading, of_turn } = ball;
    let part = match part {
        RoundPart::Plain => 0,
        RoundPart::Gate => 1,
        RoundPart::Before => 2,
        RoundPart::After => 3,
        RoundPart::Back => 4,
    };
    let call = match call {
        None => 0,
        Some(Call::Stay) => 1,
        Some(Call::Switch) => 2,
        Some(Call::Back) => 3,
    };
    let reading = match reading {
        None => 0,
        Some(ReadingStep::Words) => 1,
        Some(ReadingStep::Cut) => 2,
        Some(ReadingStep::Twins) => 3,
    };
    let serve = u32::try_from(*serve).unwrap_or(u32::MAX);
    let mut row = vec![serve, *toss_ms, part, call, reading, u32::from(*of_turn)];
    while row.len() > 2 && row.last() == Some(&0) {
        row.pop();
    }
    row
}

//! Scripts as they stand in the page: cues, flights, palettes, tempos and durations once each,
//! scripts with places in those tables, balls as short rows of numbers. `unpack` in `logic.js` is
//! the way back.

use std::collections::{BTreeMap, HashMap};

use serde::Serialize;
use serde_json::{Map, Value, json};

use crate::drill::{Call, Cue, ReadingStep, RoundPart, Script, ScriptBall};
use crate::game::ReceiveKey;
use crate::journal::How;

/// Cells of the square of targets.
const CELLS: usize = 9;
/// Fields of a script that scripts share, and the tables they stand in.
const SHARED: [(&str, &str); 3] =
    [("palette", "palettes"), ("tempo", "tempos"), ("durations", "durations")];

/// What scripts share, and the scripts themselves, table by table.
pub(super) type Tables = BTreeMap<&'static str, Vec<Value>>;

/// Packs scripts into tables.
#[derive(Debug)]
pub struct Packer {
    tables: Tables,
    /// Where each thing stands, by its table and its JSON.
    places: HashMap<(&'static str, String), usize>,
}

impl Default for Packer {
    fn default() -> Self {
        let names = ["frames", "cues", "scripts"].into_iter().chain(SHARED.map(|(_, table)| table));
        Self { tables: names.map(|name| (name, Vec::new())).collect(), places: HashMap::new() }
    }
}

impl Packer {
    /// Packs a script; answers its place.
    pub fn add(&mut self, script: &Script) -> usize {
        let mut packed = fields(script);
        for (field, table) in SHARED {
            let shared = packed.remove(field).unwrap_or_default();
            packed.insert(field.to_owned(), self.place(table, shared).into());
        }
        let serves: Vec<[usize; 4]> = script.serves.iter().map(|cue| self.cue(cue)).collect();
        packed.insert("serves".to_owned(), json!(serves));
        let balls: Vec<Vec<usize>> = script.balls.iter().map(ball_row).collect();
        packed.insert("balls".to_owned(), json!(balls));
        if script.how == How::Think {
            // Answers built from a stroke and a target, by stroke and cell.
            let of_stroke = |stroke| -> Vec<ReceiveKey> {
                (0..CELLS).map(|cell| script.palette.built(stroke, cell)).collect()
            };
            let built: Vec<_> = (0..script.palette.strokes.len()).map(of_stroke).collect();
            packed.insert("built".to_owned(), json!(built));
        }
        self.place("scripts", packed.into())
    }

    pub fn finish(self) -> BTreeMap<&'static str, Vec<Value>> {
        self.tables
    }

    /// A cue with its flight in a table (time, x, y, z of each frame, one after the other), and
    /// beside its place what differs from day to day: the days behind it, an old answer, due.
    fn cue(&mut self, cue: &Cue) -> [usize; 4] {
        let frames = cue.frames.iter();
        let flat: Vec<i32> =
            frames.flat_map(|frame| [frame.t_ms, frame.x_mm, frame.y_mm, frame.z_mm]).collect();
        let mut packed = fields(cue);
        packed.insert("frames".to_owned(), self.place("frames", json!(flat)).into());
        for of_day in ["counted_days", "has_recent_old_answer", "is_due"] {
            packed.remove(of_day);
        }
        let place = self.place("cues", packed.into());
        let Cue { counted_days, has_recent_old_answer, is_due, .. } = *cue;
        [place, counted_days as usize, has_recent_old_answer.into(), is_due.into()]
    }

    /// The place of a thing in its table, where it is put when it is new.
    fn place(&mut self, table: &'static str, thing: Value) -> usize {
        let rows = self.tables.entry(table).or_default();
        *self.places.entry((table, thing.to_string())).or_insert_with(|| {
            rows.push(thing);
            rows.len() - 1
        })
    }
}

/// The fields of a thing in JSON: plain numbers and words, which always have one.
fn fields(thing: &impl Serialize) -> Map<String, Value> {
    match serde_json::to_value(thing) {
        Ok(Value::Object(fields)) => fields,
        _ => Map::new(),
    }
}

/// Serve, toss, part, call, reading, place in the turn, switch; trailing zeros left out. A call, a
/// step of reading and a switch are counted from 1, and 0 is none.
fn ball_row(ball: &ScriptBall) -> Vec<usize> {
    let ScriptBall { serve, toss_ms, part, call, switch, reading, of_turn } = *ball;
    let part = RoundPart::ALL.iter().position(|&one| one == part);
    let call = Call::ALL.iter().position(|&one| Some(one) == call);
    let reading = ReadingStep::ALL.iter().position(|&one| Some(one) == reading);
    let from_one = |place: Option<usize>| place.map_or(0, |place| place + 1);
    let mut row = vec![
        serve,
        toss_ms as usize,
        part.unwrap_or_default(),
        from_one(call),
        from_one(reading),
        usize::from(of_turn),
        from_one(switch),
    ];
    while row.len() > 2 && row.last() == Some(&0) {
        row.pop();
    }
    row
}

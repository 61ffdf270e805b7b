//! Folding the whole journal into a state, fast: what happened up to a month ago is kept folded in
//! `cache/`, and only what came since is folded on top.
//!
//! A checkpoint is believed only when nothing has touched what it stands for: the rules of the fold, the
//! 64 KiB before the place where reading goes on in each file, the renamed serves. A late event before
//! its horizon, an event taken back or a deck forgotten behind its back mean a full replay, and so does
//! anything else that is not plain. It may be deleted at any time.

use std::collections::{BTreeMap, BTreeSet};
use std::fs::File;
use std::io::{Read as _, Seek as _, SeekFrom};
use std::path::Path;

use serde::de::DeserializeOwned;
use serde::{Deserialize, Serialize};

use crate::base::{Day, Finding};
use crate::journal::{Event, Fact, Renames};
use crate::store::merge::{Begin, Mark, Merge};
use crate::store::{Home, Trouble, disk};

/// The version of the checkpoint's own form.
const FORM: u32 = 1;
/// Days before today up to which events are kept folded.
const HORIZON_DAYS: u32 = 30;
/// Days by which a checkpoint may fall behind that before it is made anew.
const SLACK_DAYS: u32 = 15;
/// Events below which a checkpoint is not worth a file.
const FEWEST: usize = 2_000;
/// Most lines remembered one by one; beyond it the journal is not plain enough.
const MOST_ODD_LINES: usize = 4_000;
/// Bytes hashed before the place where reading goes on.
const HASHED: u64 = 64 * 1024;

/// A state folded from the journal.
#[derive(Debug, Clone, PartialEq)]
pub struct Folded<S> {
    /// The state after the last event.
    pub state: S,
    /// What was set aside among the lines that were read.
    pub findings: Vec<Finding>,
    /// How many events were folded; few when there was a checkpoint.
    pub folded: usize,
}

/// What a checkpoint says of itself, on its first line.
#[derive(Debug, Serialize, Deserialize)]
struct About {
    form: u32,
    rules: String,
    horizon: Day,
    files: BTreeMap<String, Known>,
    /// Lines that take back or forget, all of them applied: device and number.
    applied: BTreeSet<(String, u64)>,
}

/// What is known of one file.
#[derive(Debug, Serialize, Deserialize)]
struct Known {
    offset: u64,
    hash: u64,
    device: String,
    /// The greatest number before the offset.
    last: u64,
    /// Lines before the offset that take back or forget.
    kept: Vec<u64>,
    /// Lines behind the offset that are folded already.
    folded: BTreeSet<u64>,
}

impl Home {
    /// Folds every event into a state, in order, from a checkpoint where one can be believed.
    ///
    /// `name` tells folds apart, `rules` is their version: another one means a full replay. `start` is
    /// the state before the first event. The state must not depend on `today`.
    ///
    /// # Errors
    /// A journal of a newer format; the machine's own trouble. A checkpoint that cannot be written is
    /// no error.
    pub fn fold<S: Serialize + DeserializeOwned>(
        &self,
        name: &str,
        rules: &str,
        today: Day,
        start: impl Fn() -> S,
        mut step: impl FnMut(&mut S, &Event),
    ) -> Result<Folded<S>, Trouble> {
        let renames = self.renames()?;
        let rules = format!("{rules}/{:016x}", hash(renames_text(&renames).as_bytes()));
        let path = self.root().join(format!("cache/{name}.json"));
        let last = Some(today.plus(1));
        let wanted = today.minus(HORIZON_DAYS);
        // One made by a later clock has days folded that are asked for one by one.
        let believed = read::<S>(&path, &rules)
            .filter(|(about, _)| about.horizon <= wanted)
            .and_then(|(about, state)| self.tail(&about, last).map(|merge| (about, state, merge)));
        let (horizon, mut state, mut merge) = match believed {
            Some((about, state, merge)) => (Some(about.horizon), state, merge),
            None => (None, start(), Merge::scan(&self.journal_folder(), last, &BTreeMap::new())?),
        };
        let is_old = horizon.is_none_or(|horizon| wanted.days_since(horizon) > SLACK_DAYS.into());
        // Only a full replay knows every line, so only it can say where each file stands.
        let is_written = horizon.is_none() && merge.marks.len() >= FEWEST;
        let about = if is_written { Self::about(&merge, &rules, wanted) } else { None };
        let mut snapshot = None;
        let mut folded = 0;
        merge.each(|mark, event| {
            if about.is_some() && snapshot.is_none() && mark.day >= wanted {
                snapshot = Some(serde_json::to_string(&state));
            }
            if !renames.is_empty() {
                renames.apply(event);
            }
            folded += 1;
            step(&mut state, event);
        })?;
        if let Some(about) = about {
            let snapshot = snapshot.unwrap_or_else(|| serde_json::to_string(&state));
            write(&path, &about, snapshot);
        } else if is_old && horizon.is_some() {
            // The next run replays everything and makes a new one.
            let _ = std::fs::remove_file(&path);
        }
        Ok(Folded { state, findings: merge.findings, folded })
    }

    /// What came since a checkpoint; nothing when the checkpoint cannot be believed.
    fn tail(&self, about: &About, last: Option<Day>) -> Option<Merge> {
        let folder = self.journal_folder();
        let mut begin = BTreeMap::new();
        for (file, known) in &about.files {
            if hash_before(&self.root().join(file), known.offset)? != known.hash {
                return None;
            }
            let (kept, known_lines) = (known.kept.clone(), known.folded.clone());
            begin.insert(file.clone(), Begin { offset: known.offset, kept, known: known_lines });
        }
        let merge = Merge::scan(&folder, last, &begin).ok()?;
        let shown: BTreeSet<&String> = merge.sources.iter().map(|source| &source.shown).collect();
        let is_plain = merge.sources.len() == merge.devices.len()
            && about.files.keys().all(|file| shown.contains(file));
        if !is_plain {
            return None;
        }
        let mut greatest: BTreeMap<u16, u64> = BTreeMap::new();
        for (number, source) in merge.sources.iter().enumerate() {
            let Some(known) = about.files.get(&source.shown) else { continue };
            if merge.devices[usize::from(source.device)] != known.device {
                return None;
            }
            greatest.insert(u16::try_from(number).ok()?, known.last);
        }
        let is_new = |mark: &Mark| {
            mark.day >= about.horizon
                && greatest.get(&mark.source).is_none_or(|known| mark.n > *known)
        };
        if !merge.marks.iter().all(is_new) {
            return None;
        }
        // What was taken back or forgotten since must concern nothing that is folded already.
        let is_harmless = |(mark, fact): &(Mark, Fact)| {
            let id = (merge.devices[usize::from(mark.device)].clone(), mark.n);
            let is_in_tail = |device: &str, n: u64| {
                let mut files = about.files.values().filter(|known| known.device == device);
                files.all(|known| n > known.last && known.folded.is_empty())
            };
            about.applied.contains(&id)
                || matches!(fact, Fact::Undo { of } if is_in_tail(&of.device, of.n))
        };
        merge.special.iter().all(is_harmless).then_some(merge)
    }

    /// What a checkpoint at this horizon says of itself; nothing when the journal is not plain enough.
    fn about(merge: &Merge, rules: &str, horizon: Day) -> Option<About> {
        if !merge.is_plain {
            return None;
        }
        let mut offsets: Vec<u64> = merge.sources.iter().map(|source| source.end).collect();
        for mark in merge.marks.iter().filter(|mark| mark.day >= horizon) {
            let offset = &mut offsets[usize::from(mark.source)];
            *offset = mark.offset.min(*offset);
        }
        let mut files = BTreeMap::new();
        for (source, &offset) in merge.sources.iter().zip(&offsets) {
            let known = Known {
                offset,
                hash: hash_before(&source.path, offset)?,
                device: merge.devices[usize::from(source.device)].clone(),
                last: 0,
                kept: Vec::new(),
                folded: BTreeSet::new(),
            };
            files.insert(source.shown.clone(), known);
        }
        let mut odd_lines = 0;
        for mark in &merge.marks {
            let known = files.get_mut(&merge.sources[usize::from(mark.source)].shown)?;
            if mark.offset < known.offset {
                known.last = known.last.max(mark.n);
            } else if mark.day < horizon {
                known.folded.insert(mark.offset);
                odd_lines += 1;
            }
        }
        let special = merge.special.iter().map(|(mark, _)| mark);
        for mark in special.chain(&merge.set_aside) {
            let known = files.get_mut(&merge.sources[usize::from(mark.source)].shown)?;
            if mark.offset < known.offset {
                known.kept.push(mark.offset);
                odd_lines += 1;
            }
        }
        let applied = merge
            .special
            .iter()
            .map(|(mark, _)| (merge.devices[usize::from(mark.device)].clone(), mark.n));
        let applied = applied.collect();
        let rules = rules.to_owned();
        (odd_lines <= MOST_ODD_LINES).then_some(About {
            form: FORM,
            rules,
            horizon,
            files,
            applied,
        })
    }
}

/// A checkpoint that was made under the same rules.
fn read<S: DeserializeOwned>(path: &Path, rules: &str) -> Option<(About, S)> {
    let text = std::fs::read_to_string(path).ok()?;
    let (about, state) = text.split_once('\n')?;
    let about: About = serde_json::from_str(about).ok()?;
    if about.form != FORM || about.rules != rules {
        return None;
    }
    Some((about, serde_json::from_str(state).ok()?))
}

/// Keeps a checkpoint. Where that fails the next run is slower and nothing else.
fn write(path: &Path, about: &About, snapshot: serde_json::Result<String>) {
    let (Ok(about), Ok(state)) = (serde_json::to_string(about), snapshot) else { return };
    if let Some(folder) = path.parent() {
        let written = disk::make_folder(folder)
            .and_then(|()| disk::write_whole(path, format!("{about}\n{state}").as_bytes()));
        drop(written);
    }
}

/// The renames in one text, the same for the same renames.
fn renames_text(renames: &Renames) -> String {
    serde_json::to_string(renames).unwrap_or_default()
}

/// The hash of the bytes before a place; nothing when the file does not reach that far.
fn hash_before(path: &Path, offset: u64) -> Option<u64> {
    let mut file = File::open(path).ok()?;
    let start = offset.saturating_sub(HASHED);
    file.seek(SeekFrom::Start(start)).ok()?;
    let mut bytes = vec![0; usize::try_from(offset - start).ok()?];
    file.read_exact(&mut bytes).ok()?;
    Some(hash(&bytes))
}

/// FNV-1a, 64 bits (Fowler, Noll and Vo): the same on every machine and in every version.
fn hash(bytes: &[u8]) -> u64 {
    bytes.iter().fold(0xcbf2_9ce4_8422_2325, |hash, byte| {
        (hash ^ u64::from(*byte)).wrapping_mul(0x0000_0100_0000_01b3)
    })
}

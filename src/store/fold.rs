//! Folding the whole journal into a state, fast: what happened up to a month ago is kept folded in
//! `cache/`, and only what came since is folded on top.
//!
//! What is kept is used only when it must give what a full reading gives. It is the fold of the
//! first bytes of every file, of days before a cut. Of those bytes the length and a hash of all of
//! them agree; the events behind them lie on the cut's day or later and repeat no number from
//! before; what is taken back and forgotten among the events before is what it was. The events
//! before are then the same, and all others come after them. In any other case the journal is read
//! whole. The file may be deleted at any time.

use std::collections::BTreeMap;
use std::fs::File;
use std::io::{self, Read as _};
use std::path::Path;

use serde::de::DeserializeOwned;
use serde::{Deserialize, Serialize};
use serde_json::value::to_raw_value;
use xxhash_rust::xxh3::Xxh3;

use crate::base::{Day, Finding};
use crate::journal::{Event, Renames};
use crate::store::aside::{AtLine, MOST_TOLD};
use crate::store::merge::{Begin, EventMark, Instant, Merge};
use crate::store::sources::Source;
use crate::store::undone::Undone;
use crate::store::{Home, Trouble};

/// The version of the kept file's own form.
const FORM: u32 = 4;
/// Days before today up to which events are kept folded.
const HORIZON_DAYS: u32 = 30;
/// Days after which the fold is kept anew, up to a later day.
const SLACK_DAYS: i64 = 15;
/// Events below which keeping the fold is not worth a file.
const FEWEST: usize = 2_000;
/// How often the cut is moved to an earlier day for lines that stand behind later ones.
const MOST_CUTS: usize = 20;
/// Bytes hashed at once.
const BUFFER: u64 = 1024 * 1024;
/// What the kept fold is called in the cache.
const NAME: &str = "journal";

/// A state folded from the journal.
#[derive(Debug, Clone, PartialEq)]
pub struct Folded<S> {
    /// The state after the last event.
    pub state: S,
    /// What was set aside in the journal.
    pub findings: Vec<Finding>,
    /// How many events were folded; few when the fold of the others had been kept.
    pub folded: usize,
}

/// What is known of a state that is kept.
#[derive(Debug, Serialize, Deserialize)]
struct KeptFold {
    /// The rules of the fold, with today's names of renamed serves.
    rules: String,
    /// The day up to which it was to reach when it was made.
    wanted: Day,
    /// Every event before this day is folded, and no other.
    cut: Day,
    /// The part of each file that is folded, by its name.
    files: BTreeMap<String, FilePart>,
    /// The greatest number folded, by device.
    last: BTreeMap<String, u64>,
    /// Events taken back among those folded.
    undone: Undone,
    /// Decks forgotten, and when.
    forgotten: BTreeMap<String, Instant>,
    /// Lines in those parts that take back or forget.
    special: Vec<(Event, u32)>,
    /// What was set aside in those parts.
    findings: Vec<Finding>,
}

/// The first bytes of a file.
#[derive(Debug, Serialize, Deserialize)]
struct FilePart {
    bytes: u64,
    hash: u64,
}

/// Where the events of early days end.
struct Cut {
    day: Day,
    /// In each file: the lines before this byte are of earlier days, all others of that day or
    /// later.
    offsets: Vec<u64>,
}

impl Home {
    /// Folds every event into a state, in order.
    ///
    /// `rules` is the version of the fold, `renames` today's names of the serves
    /// ([`crate::store::Decks::renames`]), `start` the state before the first event. The state of
    /// events from before the last 30 days must not depend on `today`.
    ///
    /// # Errors
    /// A journal of a newer format; the machine's own trouble. A fold that cannot be kept is no
    /// error.
    pub fn fold<S: Serialize + DeserializeOwned + Send>(
        &self,
        rules: &str,
        today: Day,
        renames: &Renames,
        start: impl Fn() -> S,
        mut step: impl FnMut(&mut S, &Event) + Send,
    ) -> Result<Folded<S>, Trouble> {
        let rules = format!("{FORM}, {rules}, {renames:?}");
        let wanted = today.minus(HORIZON_DAYS);
        let last = Some(today.plus(1));
        let kept = self.kept::<(KeptFold, S)>(NAME);
        let kept = kept.filter(|(kept, _)| kept.rules == rules && kept.is_of_day(wanted));
        let tail = kept.and_then(|(kept, state)| Some((state, kept.tail(self, last)?)));
        let (mut state, mut merge, cut) = if let Some((state, merge)) = tail {
            (state, merge, None)
        } else {
            let merge = Merge::scan(&self.journal_folder(), last, Begin::default())?;
            let cut = if merge.marks.len() < FEWEST { None } else { Cut::find(&merge, wanted) };
            (start(), merge, cut)
        };
        let mut snapshot = None;
        let mut folded = 0;
        merge.each(|mark, mut event| {
            if snapshot.is_none() && cut.as_ref().is_some_and(|cut| mark.day >= cut.day) {
                snapshot = Some(to_raw_value(&state));
            }
            renames.apply(&mut event);
            folded += 1;
            step(&mut state, &event);
        })?;
        merge.aside.count_lines(&merge.sources);
        // Lines that were only counted would not be counted again.
        if merge.aside.told.iter().all(|told| *told <= MOST_TOLD)
            && let Some(cut) = cut
            && let Ok(state) = snapshot.unwrap_or_else(|| to_raw_value(&state))
            && let Some(files) = cut.parts(&merge)
        {
            self.keep(NAME, &(KeptFold::new(rules, wanted, files, &cut, &merge), state));
        }
        Ok(Folded { state, findings: merge.told(), folded })
    }
}

impl Cut {
    /// The latest cut up to a wanted day; none when early days stand behind late ones all over.
    fn find(merge: &Merge, wanted: Day) -> Option<Self> {
        let marks = || merge.marks.iter().chain(&merge.set_aside);
        let mut day = wanted;
        for _ in 0..MOST_CUTS {
            let mut offsets: Vec<u64> = merge.sources.iter().map(|source| source.end).collect();
            for mark in marks().filter(|mark| mark.day >= day) {
                offsets[mark.source()] = mark.offset.min(offsets[mark.source()]);
            }
            let behind = marks().filter(|mark| mark.offset >= offsets[mark.source()]);
            match behind.map(|mark| mark.day).min() {
                Some(earlier) if earlier < day => day = earlier,
                _ => return Some(Self { day, offsets }),
            }
        }
        None
    }

    fn is_before<T>(&self, placed: &AtLine<T>) -> bool {
        placed.offset < self.offsets[placed.source]
    }

    /// The files up to the cut; none when one of them is no longer what the merge has read.
    fn parts(&self, merge: &Merge) -> Option<BTreeMap<String, FilePart>> {
        let part = |(source, &bytes): (&Source, &u64)| {
            let hashes = hashes(&source.path, &[bytes, source.read]).ok()?;
            let part = FilePart { bytes, hash: hashes[0] };
            (hashes[1] == source.hash).then(|| (source.shown.clone(), part))
        };
        merge.sources.iter().zip(&self.offsets).map(part).collect()
    }
}

impl KeptFold {
    fn new(
        rules: String,
        wanted: Day,
        files: BTreeMap<String, FilePart>,
        cut: &Cut,
        merge: &Merge,
    ) -> Self {
        let mut last = BTreeMap::new();
        for mark in merge.marks.iter().filter(|mark| mark.day < cut.day) {
            let greatest = last.entry(merge.device(mark).to_owned()).or_insert(mark.n);
            *greatest = mark.n.max(*greatest);
        }
        let special = merge.special.iter().filter(|special| cut.is_before(special));
        let findings = merge.aside.findings.iter().filter(|finding| cut.is_before(finding));
        Self {
            rules,
            wanted,
            cut: cut.day,
            files,
            undone: undone_up_to(&last, merge),
            last,
            forgotten: merge.forgotten.clone(),
            special: special.map(|special| special.value.clone()).collect(),
            findings: findings.map(|finding| finding.value.clone()).collect(),
        }
    }

    /// A cut behind the wanted day, left by a later clock, would hide days that are asked for one
    /// by one.
    fn is_of_day(&self, wanted: Day) -> bool {
        self.cut <= wanted && wanted.days_since(self.wanted) <= SLACK_DAYS
    }

    /// What came since; nothing when the journal is no longer the one that is folded here.
    fn tail(self, home: &Home, last: Option<Day>) -> Option<Merge> {
        for (file, part) in &self.files {
            if hashes(&home.root().join(file), &[part.bytes]).ok()? != [part.hash] {
                return None;
            }
        }
        let offsets = self.files.iter().map(|(file, part)| (file.clone(), part.bytes)).collect();
        let begin = Begin { offsets, special: self.special, findings: self.findings };
        let merge = Merge::scan(&home.journal_folder(), last, begin).ok()?;
        let is_behind = |mark: &EventMark| {
            let greatest = self.last.get(merge.device(mark));
            mark.day >= self.cut && greatest.is_none_or(|greatest| mark.n > *greatest)
        };
        let is_same = merge.marks.iter().all(is_behind)
            && undone_up_to(&self.last, &merge) == self.undone
            && merge.forgotten == self.forgotten;
        is_same.then_some(merge)
    }
}

/// The events taken back whose numbers are not greater than these, by device.
fn undone_up_to(last: &BTreeMap<String, u64>, merge: &Merge) -> Undone {
    merge.undone.filtered(|device, n| last.get(device).is_some_and(|last| n <= *last))
}

/// The hashes of the first bytes of a file, up to each of these places in rising order.
///
/// # Errors
/// The machine's own; the file is shorter.
fn hashes(path: &Path, places: &[u64]) -> io::Result<Vec<u64>> {
    let mut file = File::open(path)?;
    let mut hasher = Xxh3::new();
    let mut buffer = Vec::new();
    let mut at = 0;
    let mut found = Vec::new();
    for &place in places {
        while at < place {
            buffer.clear();
            let length = file.by_ref().take(BUFFER.min(place - at)).read_to_end(&mut buffer)?;
            if length == 0 {
                return Err(io::ErrorKind::UnexpectedEof.into());
            }
            hasher.update(&buffer);
            at += length as u64;
        }
        found.push(hasher.digest());
    }
    Ok(found)
}

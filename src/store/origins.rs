//! Where brought events came from: what makes bringing the same answers twice change nothing.
//!
//! Every line counts here, also one that was taken back or whose opponent is forgotten: it was brought.

use std::collections::BTreeMap;
use std::fs::File;
use std::io::{BufRead, BufReader};

use crate::journal::{EventId, Header, read_line};
use crate::store::{Home, Trouble, disk};

impl Home {
    /// Every origin in the journal with the event it became.
    ///
    /// # Errors
    /// The machine's own trouble.
    pub fn origins(&self) -> Result<BTreeMap<String, EventId>, Trouble> {
        let folder = self.root().join("journal");
        let mut origins = BTreeMap::new();
        for stem in disk::stems(&folder, ".jsonl")? {
            let path = folder.join(format!("{stem}.jsonl"));
            let trouble = |error| Trouble::machine("cannot read", &path, error);
            let mut reader = BufReader::new(File::open(&path).map_err(trouble)?);
            let mut device = stem;
            let mut line = Vec::new();
            while reader.read_until(b'\n', &mut line).map_err(trouble)? > 0 {
                let text = line.trim_ascii_end();
                if text.starts_with(b"{\"secondball\"") {
                    device = Header::read(text).map_or(device, |header| header.device);
                } else if has_origin(text)
                    && let Ok(event) = read_line(&device, text)
                    && let Some(origin) = event.origin
                {
                    origins.insert(origin, event.id);
                }
                line.clear();
            }
        }
        Ok(origins)
    }
}

/// A quick look before a line is read: most lines were never brought from anywhere.
fn has_origin(line: &[u8]) -> bool {
    const NAME: &[u8] = b"\"origin\"";
    line.windows(NAME.len()).any(|piece| piece == NAME)
}

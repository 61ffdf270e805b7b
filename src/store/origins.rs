//! Where imported events came from: what makes importing the same answers twice change nothing.
//!
//! Every line counts here, also one that was taken back or whose opponent is forgotten: it was
//! imported.

use std::collections::BTreeMap;

use crate::journal::{EventId, read_head};
use crate::store::lines::{each_block, placed_lines};
use crate::store::sources::sources;
use crate::store::{Home, Trouble};

impl Home {
    /// Every origin in the journal with the event it became.
    ///
    /// # Errors
    /// The machine's own trouble.
    pub fn origins(&self) -> Result<BTreeMap<String, EventId>, Trouble> {
        let mut origins = BTreeMap::new();
        for source in sources(&self.journal_folder())? {
            let read = each_block(&source.path, source.start, |at, block| {
                for (_, line) in placed_lines(at, block) {
                    if let Ok(head) = read_head(line)
                        && let Some(origin) = head.origin
                    {
                        let id = EventId { device: source.device.clone(), n: head.n };
                        origins.insert(origin.into_owned(), id);
                    }
                }
            });
            read.map_err(Trouble::reading(&source.path))?;
        }
        Ok(origins)
    }
}

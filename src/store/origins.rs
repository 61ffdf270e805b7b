//! Where imported events came from: what makes importing the same answers twice change nothing.
//!
//! Every line counts here, also one that was taken back or whose opponent is forgotten: it was
//! imported.

use std::collections::BTreeMap;

use crate::journal::{EventId, Head};
use crate::store::sources::sources;
use crate::store::{Home, Trouble};

impl Home {
    /// Every origin in the journal with the event it became.
    ///
    /// # Errors
    /// The machine's own trouble.
    pub fn origins(&self) -> Result<BTreeMap<String, EventId>, Trouble> {
        let mut origins = BTreeMap::new();
        for mut source in sources(&self.journal_folder())? {
            let device = source.device.clone();
            source.each_head(0, |_, _, head| {
                if let Ok(Head { origin: Some(origin), n, .. }) = head {
                    origins.insert(origin.into_owned(), EventId { device: device.clone(), n });
                }
            })?;
        }
        Ok(origins)
    }
}

//! Which events were taken back: by number, device and content.

use std::collections::BTreeSet;

use serde::{Deserialize, Serialize};

use crate::journal::{EventId, Fact};

/// Events taken back; without a content, every event of that number.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize, Deserialize)]
pub(super) struct Undone(BTreeSet<(u64, String, Option<u32>)>);

impl Undone {
    /// Takes back what a fact takes back.
    pub fn take(&mut self, fact: &Fact) {
        if let Fact::Undo { of: EventId { device, n }, content } = fact {
            self.0.insert((*n, device.clone(), *content));
        }
    }

    pub fn has(&self, device: &str, n: u64, sum: u32) -> bool {
        let all = (n, String::new(), None)..(n.saturating_add(1), String::new(), None);
        self.0
            .range(all)
            .any(|(_, of, content)| of == device && content.is_none_or(|content| content == sum))
    }

    /// Those for which this is so.
    pub fn filtered(&self, is_wanted: impl Fn(&str, u64) -> bool) -> Self {
        Self(self.0.iter().filter(|(n, device, _)| is_wanted(device, *n)).cloned().collect())
    }
}

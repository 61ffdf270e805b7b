//! What has been set aside of a file so that the rest of it can be read.

use std::collections::{BTreeMap, BTreeSet};

use crate::store::misread::{Misread, Mistake};
use crate::store::tree::{Node, NodeKind};

/// What was set aside and what was stood in for while reading.
#[derive(Debug, Default)]
pub(crate) struct Aside {
    /// Entries and items not to be looked at, by the first byte of their key or value.
    pub masked: BTreeSet<usize>,
    /// Fields set aside: the first byte of their group, and their name.
    pub masked_fields: BTreeSet<(usize, String)>,
    /// Fields stood in for, by the first byte of their group.
    pub stood_in: BTreeMap<usize, Vec<&'static str>>,
    /// A whole item was left out or a field stood in for: what the rest means cannot be judged.
    pub is_maimed: bool,
}

impl Aside {
    /// Sets the innermost entry or item around a node aside; false when there is none.
    pub(crate) fn put(&mut self, root: &Node, start: usize) -> bool {
        let mut node = root;
        let mut found = None;
        // Every step goes to the part that holds the byte, until the node itself is reached.
        loop {
            let entry = node.entries().iter().find(|entry| entry.span().contains(&start));
            let item = node.items().iter().find(|item| item.span.contains(&start));
            node = match (entry, item) {
                (Some(entry), _) => {
                    found = Some((node, entry.key.span.start, Some(entry)));
                    if entry.key.span.contains(&start) {
                        break;
                    }
                    &entry.value
                }
                (None, Some(item)) => {
                    if matches!(node.kind, NodeKind::List(_)) {
                        found = Some((node, item.span.start, None));
                    }
                    item
                }
                (None, None) => break,
            };
            if node.span.start == start {
                break;
            }
        }
        let Some((group, part, entry)) = found else { return false };
        match (&group.kind, entry.and_then(|entry| entry.key.plain())) {
            (NodeKind::Fields { .. }, Some(field)) => {
                self.masked_fields.insert((group.span.start, field.to_owned()));
            }
            _ => self.is_maimed = true,
        }
        self.masked.insert(part)
    }

    /// Sets every second field or key of one name aside and tells of it.
    pub(crate) fn put_repeated(&mut self, node: &Node, mistakes: &mut Vec<Misread>) {
        let mut seen = BTreeSet::new();
        for entry in node.entries() {
            if entry.key.plain().is_some_and(|key| !seen.insert(key)) {
                let is_field = matches!(node.kind, NodeKind::Fields { .. });
                let name = entry.key.plain().unwrap_or_default().to_owned();
                mistakes.push(Misread::new(Mistake::Twice { is_field, name }).at(&entry.key));
                self.masked.insert(entry.key.span.start);
            }
            self.put_repeated(&entry.value, mistakes);
        }
        for item in node.items() {
            self.put_repeated(item, mistakes);
        }
    }
}

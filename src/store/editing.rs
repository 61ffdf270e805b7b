//! Changing a file by span: what differs is replaced, everything else stays as the player wrote it.
//!
//! What differs is found between the plainest forms of the value as it was and as it shall be, so
//! that defaults left out, spellings of numbers and the order of keys are no differences. The
//! changes are then made in the text, and the proof follows: the new text must read as exactly the
//! value wanted and still hold every comment. Where it does not, nothing is written and the player
//! is shown what to write by hand.

use std::ops::Range;

use serde::Serialize;

use crate::base::finding::Place;
use crate::base::{Finding, text};
use crate::store::Trouble;
use crate::store::parse::without_mark;
use crate::store::scan::Tree;
use crate::store::splicing::{Addition, Editor, GroupPart};
use crate::store::tree::{Node, NodeEntry, NodeKind};
use crate::store::writing::Plain;

/// The text with `value` in place of what it held; nothing when there is nothing to change.
///
/// # Errors
/// Mistakes in the text as it is; a change that would lose a comment, with what to write by hand.
pub(crate) fn edited<T: Serialize + PartialEq>(
    file: &str,
    text: &str,
    value: &T,
    parse: impl Fn(&str, &str) -> Result<T, Vec<Finding>>,
) -> Result<Option<String>, Trouble> {
    let body = without_mark(text);
    let old = parse(file, body).map_err(Trouble::Findings)?;
    if old == *value {
        return Ok(None);
    }
    let (before, after) = (Plain::from_value(file, &old)?, Plain::from_value(file, value)?);
    let tree = Tree::scan(file, body).map_err(Trouble::finding)?;
    let editor = Editor::with_edits(body, &tree, &before, &after);
    let changed = editor.applied();
    let lost = match parse(file, &changed) {
        Ok(read) if read == *value => match lost_comment(file, body, &tree, &changed) {
            None => {
                let mark = &text[..text.len() - body.len()];
                return Ok(Some(format!("{mark}{changed}")));
            }
            lost => lost,
        },
        // The value itself cannot stand in such a file: its own mistakes are what matters.
        Err(findings) if parse(file, &after.document("")).is_err() => {
            return Err(Trouble::Findings(findings));
        }
        _ => None,
    };
    Err(Trouble::Findings(editor.by_hand(file, lost)))
}

/// A comment of the old text that the new one does not have as often.
fn lost_comment(file: &str, old: &str, tree: &Tree, new: &str) -> Option<Range<usize>> {
    let new_tree = Tree::scan(file, new).ok()?;
    let mut there: Vec<&str> = new_tree.comments.iter().map(|span| &new[span.clone()]).collect();
    tree.comments.iter().find_map(|span| {
        let comment = &old[span.clone()];
        match there.iter().position(|other| *other == comment) {
            Some(place) => {
                there.swap_remove(place);
                None
            }
            None => Some(span.clone()),
        }
    })
}

impl<'t> Editor<'t> {
    /// The edits from one value to the other, in the order of the text.
    fn with_edits(text: &'t str, tree: &Tree, before: &'t Plain, after: &'t Plain) -> Self {
        let newline = if text.contains("\r\n") { "\r\n" } else { "\n" };
        let mut editor = Self { text, newline, before, after, edits: Vec::new() };
        editor.node(&tree.root, &before.root, &after.root);
        editor.edits.sort_by_key(|edit| (edit.span.start, edit.span.end));
        editor
    }

    fn applied(&self) -> String {
        let mut out = String::with_capacity(self.text.len() + 256);
        let mut at = 0;
        for edit in &self.edits {
            // Edits never overlap; if they did, the proof that follows would fail.
            out.push_str(self.text.get(at..edit.span.start).unwrap_or_default());
            out.push_str(&edit.new);
            at = at.max(edit.span.end);
        }
        out.push_str(&self.text[at..]);
        out
    }

    /// What to write by hand, edit by edit.
    fn by_hand(&self, file: &str, lost: Option<Range<usize>>) -> Vec<Finding> {
        let place = |span: &Range<usize>| Place::within(file, self.text, span.start, span.end);
        let mut findings = vec![match lost {
            Some(span) => Finding::error("this change would lose a comment; nothing was changed")
                .at(place(&span))
                .hint("move the comment, or make the change by hand as shown below"),
            None => Finding::error("this change cannot be made here; nothing was changed")
                .at(Place::file(file))
                .hint("make it by hand as shown below"),
        }];
        for edit in &self.edits {
            let what = match text::one_line(&edit.new) {
                new if new.is_empty() || new == "," => "this goes".to_owned(),
                new if edit.span.is_empty() => format!("add here: {new}"),
                new => format!("this becomes: {new}"),
            };
            findings.push(Finding::advice(what).at(place(&edit.span)));
        }
        findings
    }

    /// True when both are written alike in their plainest form.
    fn is_same(&self, before: &Node, after: &Node) -> bool {
        self.before.written(before) == self.after.written(after)
    }

    /// Brings the text of one node from `before` to `after`.
    fn node(&mut self, text: &Node, before: &Node, after: &'t Node) {
        if self.is_same(before, after) {
            return;
        }
        match (&text.kind, &before.kind, &after.kind) {
            (NodeKind::Items { name: Some(some), items }, ..)
                if some == "Some" && items.len() == 1 =>
            {
                self.node(&items[0], before, after);
            }
            (
                NodeKind::Fields { entries, .. },
                NodeKind::Fields { name: old, .. },
                NodeKind::Fields { name: new, .. },
            ) if old == new => self.entries(text, entries, before, after),
            (NodeKind::Map(entries), NodeKind::Map(_), NodeKind::Map(_)) => {
                self.entries(text, entries, before, after);
            }
            (NodeKind::List(items), NodeKind::List(old), NodeKind::List(new))
                if items.len() == old.len() =>
            {
                self.list(text, items, old, new, after);
            }
            (
                NodeKind::Items { items, .. },
                NodeKind::Items { name: old, items: olds },
                NodeKind::Items { name: new, items: news },
            ) if old == new && olds.len() == news.len() && items.len() == olds.len() => {
                for ((text, old), new) in items.iter().zip(olds).zip(news) {
                    self.node(text, old, new);
                }
            }
            _ => {
                let new = self.laid(after, text.span.start);
                self.replace(text.span.clone(), &new);
            }
        }
    }

    /// Fields of a group or entries of a map.
    fn entries(&mut self, text: &Node, entries: &[NodeEntry], before: &Node, after: &'t Node) {
        let place = |key: &Node| entries.iter().position(|entry| entry.key.plain() == key.plain());
        let mut removed: Vec<usize> = before
            .entries()
            .iter()
            .filter(|entry| find_in(after, &entry.key).is_none())
            .filter_map(|entry| place(&entry.key))
            .collect();
        let mut additions = Vec::new();
        let mut behind = None;
        for entry in after.entries() {
            let old = find_in(before, &entry.key);
            match (place(&entry.key), old) {
                (Some(number), Some(old)) => {
                    self.node(&entries[number].value, &old.value, &entry.value);
                    behind = Some(number);
                }
                // Written out although it is the default, which the plainest form leaves out.
                (Some(number), None) => {
                    let span = entries[number].value.span.clone();
                    let new = self.laid(&entry.value, span.start);
                    self.replace(span, &new);
                    behind = Some(number);
                }
                (None, Some(old)) if self.is_same(&old.value, &entry.value) => {}
                (None, _) => {
                    // The same value under another key is a new name for it.
                    let renamed = removed.iter().position(|&number| {
                        find_in(before, &entries[number].key)
                            .is_some_and(|old| self.is_same(&old.value, &entry.value))
                    });
                    if let Some(at) = renamed.filter(|_| matches!(text.kind, NodeKind::Map(_))) {
                        let number = removed.remove(at);
                        let key = self.after.written(&entry.key).to_owned();
                        self.replace(entries[number].key.span.clone(), &key);
                        behind = Some(number);
                    } else {
                        let behind = behind.or(entries.len().checked_sub(1));
                        additions.push(Addition { behind, part: GroupPart::Entry(entry) });
                    }
                }
            }
        }
        let spans: Vec<_> = entries.iter().map(NodeEntry::span).collect();
        self.parts(text, &spans, &removed, &additions, after);
    }

    /// Items of a list, known again by what names them.
    fn list(
        &mut self,
        text: &Node,
        items: &[Node],
        old: &[Node],
        new: &'t [Node],
        after: &'t Node,
    ) {
        let names = |plain: &Plain, nodes: &[Node]| -> Vec<String> {
            nodes.iter().map(|node| identity(plain, node)).collect()
        };
        let (old_names, new_names) = (names(self.before, old), names(self.after, new));
        let mut partner: Vec<Option<usize>> = vec![None; new.len()];
        let mut is_taken = vec![false; old.len()];
        for (at, name) in new_names.iter().enumerate() {
            let found = (0..old.len()).find(|&place| !is_taken[place] && old_names[place] == *name);
            if let Some(place) = found {
                is_taken[place] = true;
                partner[at] = Some(place);
            }
        }
        // What is left over on both sides between the same neighbours was renamed, when most of it
        // is as it was.
        for at in 0..new.len() {
            if partner[at].is_some() {
                continue;
            }
            let low = partner[..at].iter().flatten().max().map_or(0, |place| place + 1);
            let high = partner[at..].iter().flatten().min().copied().unwrap_or(old.len());
            let found =
                (low..high).find(|&place| !is_taken[place] && self.is_alike(&old[place], &new[at]));
            if let Some(place) = found {
                is_taken[place] = true;
                partner[at] = Some(place);
            }
        }
        if !partner.iter().flatten().is_sorted() {
            let laid = self.laid(after, text.span.start);
            self.replace(text.span.clone(), &laid);
            return;
        }
        let mut behind = None;
        let mut additions = Vec::new();
        for (at, item) in new.iter().enumerate() {
            match partner[at] {
                Some(place) => {
                    self.node(&items[place], &old[place], item);
                    behind = Some(place);
                }
                None => additions.push(Addition { behind, part: GroupPart::Item(item) }),
            }
        }
        let removed: Vec<usize> = (0..old.len()).filter(|&place| !is_taken[place]).collect();
        let spans: Vec<_> = items.iter().map(|item| item.span.clone()).collect();
        self.parts(text, &spans, &removed, &additions, after);
    }

    /// True when at least half of the fields are as they were.
    fn is_alike(&self, old: &Node, new: &Node) -> bool {
        let same = old
            .entries()
            .iter()
            .filter(|entry| {
                find_in(new, &entry.key).is_some_and(|new| self.is_same(&entry.value, &new.value))
            })
            .count();
        same > 0 && 2 * same >= old.entries().len().saturating_sub(1)
    }
}

fn find_in<'n>(node: &'n Node, key: &Node) -> Option<&'n NodeEntry> {
    node.get(key.plain()?)
}

/// What an item of a list is known by: its name; wing and stroke; else all of it.
fn identity(plain: &Plain, node: &Node) -> String {
    if let Some(name) = node.name() {
        return format!("name {name}");
    }
    let part = |field: &str| node.get(field).and_then(|entry| entry.value.plain());
    match (part("wing"), part("stroke")) {
        (Some(wing), Some(stroke)) => format!("stroke {wing} {stroke}"),
        _ => plain.written(node).to_owned(),
    }
}

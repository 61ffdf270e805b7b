//! Changing a file by span: what differs is replaced, everything else stays as the player wrote it.
//!
//! What differs is found between the plainest forms of the value as it was and as it shall be, so
//! that defaults left out, spellings of numbers and the order of keys are no differences. The
//! changes are then made in the text, and the proof follows: the new text must read as exactly the
//! value wanted and still hold every comment. Where it does not, nothing is written and the player
//! is shown what to write by hand.

use std::ops::Range;

use serde::Serialize;
use serde::de::DeserializeOwned;

use crate::base::finding::Place;
use crate::base::{Finding, text};
use crate::deck::advice::Judged;
use crate::store::Trouble;
use crate::store::parse::{parse, without_mark};
use crate::store::scan::Tree;
use crate::store::splicing::{Addition, Editor};
use crate::store::tree::{Node, NodePart};
use crate::store::writing::Plain;

/// The text with `value` in place of what it held; nothing when there is nothing to change.
///
/// # Errors
/// Mistakes in the text as it is; a change that would lose a comment, with what to write by hand.
pub(crate) fn edited<T: Serialize + DeserializeOwned + PartialEq>(
    file: &str,
    text: &str,
    value: &T,
    judge: impl Fn(&T) -> Vec<Judged>,
) -> Result<Option<String>, Trouble> {
    let body = without_mark(text);
    let old = parse(file, body, &judge).map_err(Trouble::Findings)?.value;
    if old == *value {
        return Ok(None);
    }
    let (before, after) = (Plain::from_value(file, &old)?, Plain::from_value(file, value)?);
    let tree = Tree::scan(file, body).map_err(Trouble::finding)?;
    let mut editor = Editor {
        text: body,
        comments: &tree.comments,
        before: &before,
        after: &after,
        edits: Vec::new(),
    };
    editor.node(&tree.root, &before.root, &after.root);
    editor.edits.sort_by_key(|edit| (edit.span.start, edit.span.end));
    let changed = editor.applied();
    let lost = match parse(file, &changed, &judge) {
        Ok(read) if read.value == *value => match editor.lost_comment(file, &changed) {
            None => {
                let mark = &text[..text.len() - body.len()];
                return Ok(Some(format!("{mark}{changed}")));
            }
            lost => lost,
        },
        // The value itself cannot stand in such a file: its own mistakes are what matters.
        Err(findings) if parse(file, &after.document(""), &judge).is_err() => {
            return Err(Trouble::Findings(findings));
        }
        _ => None,
    };
    Err(Trouble::Findings(editor.by_hand(file, lost)))
}

impl Editor<'_> {
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

    /// A comment of the old text that the new one does not have as often.
    fn lost_comment(&self, file: &str, new: &str) -> Option<&Range<usize>> {
        let tree = Tree::scan(file, new).ok()?;
        let mut there: Vec<&str> = tree.comments.iter().map(|span| &new[span.clone()]).collect();
        self.comments.iter().find(|span| {
            let comment = &self.text[(*span).clone()];
            let place = there.iter().position(|other| *other == comment);
            place.map(|place| there.swap_remove(place)).is_none()
        })
    }

    /// What to write by hand, edit by edit.
    fn by_hand(&self, file: &str, lost: Option<&Range<usize>>) -> Vec<Finding> {
        let place = |span: &Range<usize>| Place::within(file, self.text, span.start, span.end);
        let mut findings = vec![match lost {
            Some(span) => Finding::error("this change would lose a comment; nothing was changed")
                .at(place(span))
                .hint("move the comment, or make the change by hand as shown below"),
            None => Finding::error("this change cannot be made here; nothing was changed")
                .at(Place::file(file))
                .hint("make it by hand as shown below"),
        }];
        findings.extend(self.edits.iter().map(|edit| {
            let what = match text::one_line(&edit.new) {
                new if new.is_empty() || new == "," => "this goes".to_owned(),
                new if edit.span.is_empty() => format!("add here: {new}"),
                new => format!("this becomes: {new}"),
            };
            Finding::advice(what).at(place(&edit.span))
        }));
        findings
    }

    /// True when both are written alike in their plainest form.
    fn is_same(&self, before: &Node, after: &Node) -> bool {
        self.before.written(before) == self.after.written(after)
    }

    /// Puts the new value in place of the whole text of a node.
    fn put(&mut self, text: &Node, after: &Node) {
        let new = self.laid(after, text.span.start);
        self.replace(text.span.clone(), &new);
    }

    /// Brings the text of one node from `before` to `after`.
    fn node(&mut self, text: &Node, before: &Node, after: &Node) {
        if self.is_same(before, after) {
            return;
        }
        if let (Some("Some"), Some(item)) = (text.leading_word(), text.only_item()) {
            return self.node(item, before, after);
        }
        let nodes = [text, before, after];
        let (shapes, lengths) = (nodes.map(Node::shape), nodes.map(|node| node.parts().len()));
        let is_alike = shapes.iter().all(|shape| *shape == shapes[0])
            && before.leading_word() == after.leading_word();
        match shapes[0] {
            Some((_, true)) if is_alike => self.keyed(text, before, after),
            Some(('[', _)) if is_alike && lengths[0] == lengths[1] => {
                self.list(text, before, after);
            }
            Some(_) if is_alike && lengths.iter().all(|length| *length == lengths[0]) => {
                let olds = before.parts().iter().zip(after.parts());
                for (part, (old, new)) in text.parts().iter().zip(olds) {
                    self.node(&part.value, &old.value, &new.value);
                }
            }
            _ => self.put(text, after),
        }
    }

    /// Fields of a group or entries of a map.
    fn keyed(&mut self, text: &Node, before: &Node, after: &Node) {
        let (parts, is_map) = (text.parts(), text.shape() == Some(('{', true)));
        let place = |part: &NodePart| parts.iter().position(|known| known.name() == part.name());
        let gone = before.parts().iter().filter(|part| like(after, part).is_none());
        let mut removed: Vec<usize> = gone.filter_map(place).collect();
        let mut additions: Vec<Addition<'_>> = Vec::new();
        let mut behind = None;
        for part in after.parts() {
            let number = place(part);
            match (number, like(before, part)) {
                (Some(number), Some(old)) => {
                    if let Some((key, now)) = parts[number].key.as_ref().zip(part.name())
                        && text.shape() == Some(('(', true))
                        && key.plain() != Some(now)
                    {
                        self.replace(key.span.clone(), now);
                    }
                    self.node(&parts[number].value, &old.value, &part.value);
                }
                // Written out although it is the default, which the plainest form leaves out.
                (Some(number), None) => self.put(&parts[number].value, &part.value),
                (None, Some(old)) if self.is_same(&old.value, &part.value) => {}
                // The same value under another key of a map is a new name for it.
                (None, _) => match removed.iter().position(|number| {
                    let old = like(before, &parts[*number]).filter(|_| is_map);
                    old.is_some_and(|old| self.is_same(&old.value, &part.value))
                }) {
                    Some(at) => {
                        let renamed = removed.remove(at);
                        behind = Some(renamed);
                        if let (Some(old), Some(new)) = (&parts[renamed].key, &part.key) {
                            let key = self.after.written(new).to_owned();
                            self.replace(old.span.clone(), &key);
                        }
                    }
                    None => additions.push((behind.or(parts.len().checked_sub(1)), part)),
                },
            }
            behind = number.or(behind);
        }
        self.change_parts(text, &removed, &additions, after);
    }

    /// Items of a list, known again by what names them.
    fn list(&mut self, text: &Node, before: &Node, after: &Node) {
        let (old, new) = (before.parts(), after.parts());
        let partner = self.partners(old, new);
        if !partner.iter().flatten().is_sorted() {
            return self.put(text, after);
        }
        let mut behind = None;
        let mut additions: Vec<Addition<'_>> = Vec::new();
        for (part, place) in new.iter().zip(&partner) {
            match *place {
                Some(place) => {
                    self.node(&text.parts()[place].value, &old[place].value, &part.value);
                    behind = Some(place);
                }
                None => additions.push((behind, part)),
            }
        }
        let removed: Vec<usize> =
            (0..old.len()).filter(|place| !partner.contains(&Some(*place))).collect();
        self.change_parts(text, &removed, &additions, after);
    }

    /// For each new item of a list the old one that it was, by its place.
    fn partners(&self, old: &[NodePart], new: &[NodePart]) -> Vec<Option<usize>> {
        let names: Vec<_> = old.iter().map(|item| identity(self.before, &item.value)).collect();
        let mut partner: Vec<Option<usize>> = Vec::with_capacity(new.len());
        for item in new {
            let name = identity(self.after, &item.value);
            let is_it = |place: &usize| names[*place] == name && !partner.contains(&Some(*place));
            partner.push((0..old.len()).find(is_it));
        }
        // What is left over on both sides between the same neighbours was renamed, when most of it
        // is as it was.
        for at in 0..new.len() {
            if partner[at].is_none() {
                let low = partner[..at].iter().flatten().max().map_or(0, |place| place + 1);
                let high = partner[at..].iter().flatten().min().copied().unwrap_or(old.len());
                partner[at] = (low..high).find(|place| {
                    !partner.contains(&Some(*place))
                        && self.is_alike(&old[*place].value, &new[at].value)
                });
            }
        }
        partner
    }

    /// True when at least half of the fields are as they were.
    fn is_alike(&self, old: &Node, new: &Node) -> bool {
        let is_kept = |part: &&NodePart| {
            like(new, part).is_some_and(|new| self.is_same(&part.value, &new.value))
        };
        let kept = old.parts().iter().filter(is_kept).count();
        kept > 0 && 2 * kept >= old.parts().len().saturating_sub(1)
    }
}

/// The part of a group under the same field or key.
fn like<'n>(node: &'n Node, part: &NodePart) -> Option<&'n NodePart> {
    node.get(part.name()?)
}

/// What an item of a list is known by: its name; wing and stroke; else all of it.
pub(crate) fn identity(plain: &Plain, node: &Node) -> String {
    if let Some(name) = node.name() {
        return format!("name {name}");
    }
    let part = |field: &str| node.get(field).and_then(|part| part.value.plain());
    match (part("wing"), part("stroke")) {
        (Some(wing), Some(stroke)) => format!("stroke {wing} {stroke}"),
        _ => plain.written(node).to_owned(),
    }
}

//! The text of a RON file as a tree of spans: where every value, key and comment stands.
//!
//! RON itself (the crate) gives values without places and drops comments. The tree knows only the
//! brackets, words, texts and comments of the notation and where they are; `scan` makes
//! it. Finding a place, refusing repeated keys and editing by span all stand on it.

use std::ops::Range;

/// A value and where it stands, bytes of the text.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Node {
    /// From its first byte to behind its last.
    pub span: Range<usize>,
    /// What it is.
    pub kind: NodeKind,
}

/// What a value is.
#[derive(Debug, Clone, PartialEq)]
pub(crate) enum NodeKind {
    /// A bare word: `backhand`, `true`, a field's name.
    Word(String),
    /// A text in quotes, without them.
    Text(String),
    /// A number or another bare scalar; its text says which.
    Scalar(String),
    /// `(name: value, ...)`, perhaps with a word before the bracket.
    Fields { name: Option<String>, entries: Vec<NodeEntry> },
    /// `(value, ...)`, perhaps with a word before the bracket.
    Items { name: Option<String>, items: Vec<Node> },
    /// `[value, ...]`.
    List(Vec<Node>),
    /// `{key: value, ...}`.
    Map(Vec<NodeEntry>),
}

/// A field or an entry of a map.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct NodeEntry {
    /// The field's name or the key.
    pub key: Node,
    /// The value.
    pub value: Node,
}

impl NodeEntry {
    /// From the key to the end of the value.
    pub(crate) fn span(&self) -> Range<usize> {
        self.key.span.start..self.value.span.end
    }
}

impl Node {
    /// The word, text or scalar, when it is one of them.
    pub(crate) fn plain(&self) -> Option<&str> {
        match &self.kind {
            NodeKind::Word(text) | NodeKind::Text(text) | NodeKind::Scalar(text) => Some(text),
            _ => None,
        }
    }

    /// Named parts: fields or entries.
    pub(crate) fn entries(&self) -> &[NodeEntry] {
        match &self.kind {
            NodeKind::Fields { entries, .. } | NodeKind::Map(entries) => entries,
            _ => &[],
        }
    }

    /// Parts in order: items of a list or of round brackets.
    pub(crate) fn items(&self) -> &[Self] {
        match &self.kind {
            NodeKind::List(items) | NodeKind::Items { items, .. } => items,
            _ => &[],
        }
    }

    /// The value under a field or key.
    pub(crate) fn get(&self, key: &str) -> Option<&NodeEntry> {
        self.entries().iter().find(|entry| entry.key.plain() == Some(key))
    }

    /// What names an item of a list: its id, name or deck.
    pub(crate) fn name(&self) -> Option<&str> {
        ["id", "name", "deck"].iter().find_map(|field| self.get(field)?.value.plain())
    }

    /// The innermost place along a path: fields and keys by name, items by their name or number.
    /// The last of several items with one name is meant, because that is the one which repeats it.
    pub(crate) fn find(&self, path: &[String]) -> Range<usize> {
        let Some((first, rest)) = path.split_first() else { return self.span.clone() };
        if let Some(entry) = self.get(first) {
            let is_inside = rest.first().is_some_and(|next| entry.value.has(next));
            let is_leaf = entry.value.plain().is_some()
                || matches!(&entry.value.kind, NodeKind::Items { name: Some(_), .. });
            return if is_inside || rest.is_empty() && is_leaf {
                entry.value.find(rest)
            } else {
                entry.key.span.clone()
            };
        }
        let items = self.items();
        let named = items.iter().rfind(|item| item.name() == Some(first));
        let numbered = || first.parse::<usize>().ok().and_then(|number| items.get(number));
        named
            .or_else(numbered)
            .map_or_else(|| self.span.start..self.span.start + 1, |item| item.find(rest))
    }

    fn has(&self, step: &str) -> bool {
        self.get(step).is_some()
            || self.items().iter().any(|item| item.name() == Some(step))
            || step.parse::<usize>().is_ok_and(|number| number < self.items().len())
    }
}

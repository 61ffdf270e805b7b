//! The text of a RON file as a tree of spans: where every value, key and comment stands.
//!
//! RON itself (the crate) gives values without places and drops comments. The tree knows only the
//! brackets, words, texts and comments of the notation and where they are; `scan` makes
//! it. Finding a place, refusing repeated keys and editing by span all stand on it.

use std::ops::Range;

use crate::deck::Player;

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
    /// A number; its text says which.
    Number(String),
    /// What stands between brackets, perhaps with a word before a round one.
    Group { name: Option<String>, open: char, parts: Vec<NodePart> },
    /// Any value, in place of a required one that is missing or could not be read.
    StandIn,
}

/// A part of a group: a field or an entry of a map when it has a key, else an item.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct NodePart {
    /// The field's name or the key.
    pub key: Option<Node>,
    /// The value.
    pub value: Node,
}

/// The bracket that closes what this one opens.
pub(crate) const fn closing(open: char) -> char {
    match open {
        '(' => ')',
        '[' => ']',
        _ => '}',
    }
}

impl NodePart {
    /// From the key to the end of the value.
    pub(crate) fn span(&self) -> Range<usize> {
        self.key.as_ref().unwrap_or(&self.value).span.start..self.value.span.end
    }

    /// The field's name, as it is called now, or the key as a word.
    pub(crate) fn name(&self) -> Option<&str> {
        match &self.key.as_ref()?.kind {
            NodeKind::Word(word) => {
                let now = Player::ONCE.iter().find(|(once, _)| once == word);
                Some(now.map_or(word, |(_, now)| now))
            }
            _ => self.key.as_ref()?.plain(),
        }
    }
}

impl Node {
    /// The word, text or number, when it is one of them.
    pub(crate) fn plain(&self) -> Option<&str> {
        match &self.kind {
            NodeKind::Word(text) | NodeKind::Text(text) | NodeKind::Number(text) => Some(text),
            NodeKind::Group { .. } | NodeKind::StandIn => None,
        }
    }

    /// The parts of a group.
    pub(crate) fn parts(&self) -> &[NodePart] {
        match &self.kind {
            NodeKind::Group { parts, .. } => parts,
            _ => &[],
        }
    }

    /// Its bracket, and whether its parts have keys.
    pub(crate) fn shape(&self) -> Option<(char, bool)> {
        match self.kind {
            NodeKind::Group { open, .. } => Some((open, open == '{' || self.is_keyed())),
            _ => None,
        }
    }

    /// A bare word, or the one before a bracket.
    pub(crate) fn leading_word(&self) -> Option<&str> {
        match &self.kind {
            NodeKind::Word(word) | NodeKind::Group { name: Some(word), .. } => Some(word),
            _ => None,
        }
    }

    /// The one value in round brackets.
    pub(crate) fn only_item(&self) -> Option<&Self> {
        match self.parts() {
            [only] if self.shape() == Some(('(', false)) => Some(&only.value),
            _ => None,
        }
    }

    /// True when its parts have keys.
    pub(crate) fn is_keyed(&self) -> bool {
        self.parts().first().is_some_and(|part| part.key.is_some())
    }

    /// The part under a field or key.
    pub(crate) fn get(&self, key: &str) -> Option<&NodePart> {
        self.parts().iter().find(|part| part.name() == Some(key))
    }

    /// What names an item of a list: its id, name or deck.
    pub(crate) fn name(&self) -> Option<&str> {
        ["id", "name", "deck"].iter().find_map(|field| self.get(field)?.value.plain())
    }

    /// The item with this name, the last of several because that is the one which repeats it; or
    /// with this number.
    fn item(&self, step: &str) -> Option<&Self> {
        let items = if self.is_keyed() { &[] } else { self.parts() };
        let named = items.iter().rfind(|item| item.value.name() == Some(step));
        let item = named.or_else(|| items.get(step.parse::<usize>().ok()?))?;
        Some(&item.value)
    }

    /// The innermost place along a path: fields and keys by name, items by their name or number.
    pub(crate) fn find(&self, path: &[String]) -> Range<usize> {
        let Some((first, rest)) = path.split_first() else { return self.span.clone() };
        let Some(NodePart { key: Some(key), value }) = self.get(first) else {
            let item = self.item(first).map(|item| item.find(rest));
            return item.unwrap_or(self.span.start..self.span.start + 1);
        };
        let is_leaf = value.plain().is_some()
            || !value.is_keyed() && matches!(value.kind, NodeKind::Group { name: Some(_), .. });
        let is_inside = match rest.first() {
            Some(next) => value.get(next).is_some() || value.item(next).is_some(),
            None => is_leaf,
        };
        if is_inside { value.find(rest) } else { key.span.clone() }
    }

    /// Takes out the innermost field, entry or item of a list around the part that begins at a
    /// byte; gives the first byte of its group, and its name when it is a field.
    pub(crate) fn take_out(&mut self, at: usize) -> Option<(usize, Option<String>)> {
        let NodeKind::Group { open, parts, .. } = &mut self.kind else { return None };
        let place = parts.iter().position(|part| part.span().contains(&at))?;
        let part = &mut parts[place];
        let is_here = [part.span().start, part.value.span.start].contains(&at);
        if !is_here && let Some(inner) = part.value.take_out(at) {
            return Some(inner);
        }
        if *open == '(' && part.key.is_none() {
            return None;
        }
        let part = parts.remove(place);
        let field = part.name().filter(|_| *open == '(').map(str::to_owned);
        Some((self.span.start, field))
    }

    /// Puts any value under a field of the group that begins at a byte; false when one stands
    /// there.
    pub(crate) fn stand_in(&mut self, group: usize, field: &str) -> bool {
        let is_here = self.span.start == group;
        if is_here && self.get(field).is_some() {
            return false;
        }
        let NodeKind::Group { parts, .. } = &mut self.kind else { return false };
        if is_here {
            let nowhere = |kind| Node { span: group..group, kind };
            let key = nowhere(NodeKind::Word(field.to_owned()));
            parts.push(NodePart { key: Some(key), value: nowhere(NodeKind::StandIn) });
        }
        is_here || parts.iter_mut().any(|part| part.value.stand_in(group, field))
    }
}

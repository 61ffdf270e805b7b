//! Two states of one file of which nobody knows where they came from: what both hold together, and
//! where they differ.

use crate::store::three_way::{Piece, has_twice, named, written};
use crate::store::tree::{Node, NodeKind, closing};
use crate::store::writing::Plain;

/// A place at which two states of a file differ.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Difference {
    /// The way to it: fields, and what names an item.
    pub path: Vec<String>,
    /// What stands there in each, in plain words; none where one has nothing.
    pub mine: Option<String>,
    pub theirs: Option<String>,
}

/// Everything that stands in one of both; where both say something else, what `mine` says. Adds
/// each place at which they differ.
pub(crate) fn united<'p>(
    mine: Piece<'p>,
    theirs: Piece<'p>,
    path: &[String],
    apart: &mut Vec<Difference>,
) -> String {
    if written(mine) == written(theirs) {
        return written(mine).to_owned();
    }
    let difference = |path: &[String], mine: Option<Piece<'p>>, theirs: Option<Piece<'p>>| {
        let [mine, theirs] =
            [mine, theirs].map(|piece| piece.map(|(plain, node)| said(plain, node)));
        Difference { path: path.to_vec(), mine, theirs }
    };
    let [mines, others] = [mine, theirs].map(named);
    let (shape, word) = (mine.1.shape(), mine.1.leading_word());
    let is_alike = shape == theirs.1.shape() && word == theirs.1.leading_word();
    let is_many = matches!(shape, Some(('[' | '{', _)));
    let is_open = is_many || mine.1.name().is_some() || path.is_empty();
    if !is_alike || !is_open || has_twice(&mines) || has_twice(&others) {
        apart.push(difference(path, Some(mine), Some(theirs)));
        return written(mine).to_owned();
    }
    let mut both = Vec::new();
    for (name, key, piece) in &mines {
        let path = way(path, key, name, piece.1);
        let value = if let Some(other) = others.iter().find(|other| other.0 == *name) {
            united(*piece, other.2, &path, apart)
        } else {
            apart.push(difference(&path, Some(*piece), None));
            written(*piece).to_owned()
        };
        both.push(format!("{key}{value}"));
    }
    for (name, key, piece) in &others {
        if mines.iter().all(|mine| mine.0 != *name) {
            apart.push(difference(&way(path, key, name, piece.1), None, Some(*piece)));
            both.push(format!("{key}{}", written(*piece)));
        }
    }
    let open = shape.map_or('(', |(open, _)| open);
    format!("{}{open}{}{}", word.unwrap_or_default(), both.join(","), closing(open))
}

/// The way to a part; one of a list that has no name stands at the list.
fn way(path: &[String], key: &str, name: &str, node: &Node) -> Vec<String> {
    let step = if key.is_empty() { node.name() } else { Some(name) };
    path.iter().cloned().chain(step.map(str::to_owned)).collect()
}

/// A value without the signs of its notation.
fn said(plain: &Plain, node: &Node) -> String {
    match &node.kind {
        NodeKind::Text(text) => format!("\"{text}\""),
        NodeKind::Word(word) => word.replace('_', " "),
        NodeKind::Group { name, parts, .. } => {
            let part = |part: &crate::store::tree::NodePart| {
                let key = part.name().map(|key| format!("{} ", key.replace('_', " ")));
                key.unwrap_or_default() + &said(plain, &part.value)
            };
            let parts: Vec<_> = parts.iter().map(part).collect();
            let name = name.iter().map(|name| format!("{} ", name.replace('_', " ")));
            name.collect::<String>() + &parts.join(", ")
        }
        _ => plain.written(node).to_owned(),
    }
}

//! From a value to text a person likes to edit: a serve on a line or two, not a field on each.
//!
//! Round brackets are filled like a paragraph, with the next line under the first word; lists of
//! groups and maps have an item a line. Only [`crate::store::editing`] changes a file that is
//! already there.

use serde::Serialize;

use crate::base::text;
use crate::store::Trouble;
use crate::store::scan::Tree;
use crate::store::tree::{Node, NodeKind, NodePart, closing};

/// Columns a line may have.
pub(crate) const WIDTH: usize = 100;
/// Spaces by which an inner part is set in.
pub(crate) const STEP: usize = 4;

/// A value as RON, with the tree of that text: its plainest form, for comparing and laying out.
#[derive(Debug, Clone)]
pub(crate) struct Plain {
    /// The text, on one line.
    pub source: String,
    /// Its tree.
    pub root: Node,
}

impl Plain {
    /// The plainest form of a value.
    ///
    /// # Errors
    /// A value that RON cannot hold.
    pub(crate) fn from_value<T: Serialize>(file: &str, value: &T) -> Result<Self, Trouble> {
        let options = ron::Options::default()
            .with_default_extension(ron::extensions::Extensions::IMPLICIT_SOME);
        let source = options.to_string(value).map_err(|error| {
            Trouble::finding(crate::base::Finding::error(format!(
                "this cannot be written to `{file}`: {error}"
            )))
        })?;
        let root = Tree::scan(file, &source).map_err(Trouble::finding)?.root;
        Ok(Self { source, root })
    }

    /// The whole value as a file, below a comment that says what it is.
    pub(crate) fn document(&self, header: &str) -> String {
        let is_group = self.root.is_keyed();
        let body = if is_group { self.stacked(&self.root, 0) } else { self.laid(&self.root, 0, 0) };
        if header.is_empty() { format!("{body}\n") } else { format!("{header}\n{body}\n") }
    }

    /// A leaf or key as it is written.
    pub(crate) fn written(&self, node: &Node) -> &str {
        &self.source[node.span.clone()]
    }

    fn flat(&self, node: &Node) -> String {
        let NodeKind::Group { name, open, parts } = &node.kind else {
            return self.written(node).to_owned();
        };
        let parts: Vec<_> = parts.iter().map(|part| self.flat_part(part)).collect();
        let name = name.as_deref().unwrap_or_default();
        format!("{name}{open}{}{}", parts.join(", "), closing(*open))
    }

    fn flat_part(&self, part: &NodePart) -> String {
        let value = self.flat(&part.value);
        match &part.key {
            Some(key) => format!("{}: {value}", self.flat(key)),
            None => value,
        }
    }

    /// A part of a group as [`Plain::laid`] lays its value.
    pub(crate) fn laid_part(&self, part: &NodePart, indent: usize, lead: usize) -> String {
        let NodePart { key: Some(key), value } = part else {
            return self.laid(&part.value, indent, lead);
        };
        let key = self.flat(key);
        // Serves, switches, events: what a file is about has a line for each.
        let is_list = matches!(value.kind, NodeKind::Group { open: '[', .. });
        if indent == STEP && is_list && value.parts().iter().any(|item| item.value.is_keyed()) {
            return format!("{key}: {}", self.stacked(value, indent));
        }
        let lead = lead + text::width(&key) + 2;
        format!("{key}: {}", self.laid(value, indent, lead))
    }

    /// A value as it stands at an indentation, on a line that has `lead` columns already.
    pub(crate) fn laid(&self, node: &Node, indent: usize, lead: usize) -> String {
        let flat = self.flat(node);
        // The comma behind it takes a column too.
        let fits = !has_map(node) && lead + text::width(&flat) < WIDTH;
        match &node.kind {
            NodeKind::Group { name, open: '(', parts } if !fits && node.is_keyed() => {
                self.filled(name.as_deref().unwrap_or_default(), parts, indent, lead)
            }
            NodeKind::Group { open: '[' | '{', parts, .. } if !fits && !parts.is_empty() => {
                self.stacked(node, indent)
            }
            _ => flat,
        }
    }

    /// A part a line.
    fn stacked(&self, node: &Node, indent: usize) -> String {
        let NodeKind::Group { open, parts, .. } = &node.kind else { return self.flat(node) };
        let inner = indent + STEP;
        let line = |part: &NodePart| {
            format!("{}{},", " ".repeat(inner), self.laid_part(part, inner, inner))
        };
        let lines: Vec<_> = parts.iter().map(line).collect();
        format!("{open}\n{}\n{}{}", lines.join("\n"), " ".repeat(indent), closing(*open))
    }

    /// Fields one after the other, the next line under the first of them.
    fn filled(&self, name: &str, parts: &[NodePart], indent: usize, lead: usize) -> String {
        let mut out = format!("{name}(");
        let mut column = lead + text::width(&out);
        let hang = if column > WIDTH / 2 { indent + STEP } else { column };
        for (place, part) in parts.iter().enumerate() {
            if place > 0 {
                out.push(',');
                column += 1;
                let width = text::width(&self.flat_part(part));
                if has_map(&part.value) || column + 1 + width < WIDTH {
                    out.push(' ');
                    column += 1;
                } else {
                    out.push('\n');
                    out.push_str(&" ".repeat(hang));
                    column = hang;
                }
            }
            let laid = self.laid_part(part, indent, column);
            let last = laid.rsplit('\n').next().unwrap_or_default();
            column = if laid.contains('\n') { 0 } else { column } + text::width(last);
            out.push_str(&laid);
        }
        out.push(')');
        out
    }
}

/// True when a map with entries is somewhere in it: those have a line each.
fn has_map(node: &Node) -> bool {
    matches!(&node.kind, NodeKind::Group { open: '{', parts, .. } if !parts.is_empty())
        || node.parts().iter().any(|part| has_map(&part.value))
}

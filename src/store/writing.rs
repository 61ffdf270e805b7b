//! From a value to text a person likes to edit: a serve on a line or two, not a field on each.
//!
//! Round brackets are filled like a paragraph, with the next line under the first word; lists of
//! groups and maps have an item a line. Only [`crate::store::editing`] changes a file that is
//! already there.

use serde::Serialize;

use crate::base::text;
use crate::store::Trouble;
use crate::store::scan::Tree;
use crate::store::tree::{Node, NodeEntry, NodeKind};

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
        let body = self.laid_root();
        if header.is_empty() { format!("{body}\n") } else { format!("{header}\n{body}\n") }
    }

    /// A leaf or key as it is written.
    pub(crate) fn written(&self, node: &Node) -> &str {
        &self.source[node.span.clone()]
    }

    fn laid_root(&self) -> String {
        let NodeKind::Fields { entries, .. } = &self.root.kind else {
            return self.laid(&self.root, 0, 0);
        };
        let mut lines = vec!["(".to_owned()];
        for entry in entries {
            let laid = self.laid_entry(entry, STEP, STEP);
            lines.push(format!("{}{laid},", " ".repeat(STEP)));
        }
        lines.push(")".to_owned());
        lines.join("\n")
    }

    fn flat(&self, node: &Node) -> String {
        let parts = |items: &[Node]| {
            items.iter().map(|item| self.flat(item)).collect::<Vec<_>>().join(", ")
        };
        let named = |entries: &[NodeEntry]| {
            let flat = |entry: &NodeEntry| {
                format!("{}: {}", self.flat(&entry.key), self.flat(&entry.value))
            };
            entries.iter().map(flat).collect::<Vec<_>>().join(", ")
        };
        match &node.kind {
            NodeKind::Word(_) | NodeKind::Text(_) | NodeKind::Scalar(_) => {
                self.written(node).to_owned()
            }
            NodeKind::Fields { name, entries } => {
                format!("{}({})", name.as_deref().unwrap_or_default(), named(entries))
            }
            NodeKind::Items { name, items } => {
                format!("{}({})", name.as_deref().unwrap_or_default(), parts(items))
            }
            NodeKind::List(items) => format!("[{}]", parts(items)),
            NodeKind::Map(entries) => format!("{{{}}}", named(entries)),
        }
    }

    /// A field or entry as [`Plain::laid`] lays it.
    pub(crate) fn laid_entry(&self, entry: &NodeEntry, indent: usize, lead: usize) -> String {
        let key = self.flat(&entry.key);
        // Serves, switches, events: what a file is about has a line for each.
        if indent == STEP && matches!(&entry.value.kind, NodeKind::List(items) if has_groups(items))
        {
            return format!("{key}: {}", self.stacked(&entry.value, indent));
        }
        let lead = lead + text::width(&key) + 2;
        format!("{key}: {}", self.laid(&entry.value, indent, lead))
    }

    /// A part as it stands at an indentation, on a line that has `lead` columns already.
    pub(crate) fn laid(&self, node: &Node, indent: usize, lead: usize) -> String {
        if !has_map(node) {
            let flat = self.flat(node);
            // The comma behind it takes a column too.
            if lead + text::width(&flat) < WIDTH {
                return flat;
            }
        }
        match &node.kind {
            NodeKind::Fields { name, entries } => {
                self.filled(name.as_deref().unwrap_or_default(), entries, indent, lead)
            }
            NodeKind::List(items) if !items.is_empty() => self.stacked(node, indent),
            NodeKind::Map(entries) if !entries.is_empty() => self.stacked(node, indent),
            _ => self.flat(node),
        }
    }

    /// An item a line.
    fn stacked(&self, node: &Node, indent: usize) -> String {
        let inner = indent + STEP;
        let mut lines = Vec::new();
        for item in node.items() {
            lines.push(format!("{}{},", " ".repeat(inner), self.laid(item, inner, inner)));
        }
        for entry in node.entries() {
            lines.push(format!("{}{},", " ".repeat(inner), self.laid_entry(entry, inner, inner)));
        }
        let (open, close) =
            if matches!(node.kind, NodeKind::Map(_)) { ('{', '}') } else { ('[', ']') };
        format!("{open}\n{}\n{}{close}", lines.join("\n"), " ".repeat(indent))
    }

    /// Fields one after the other, the next line under the first of them.
    fn filled(&self, name: &str, entries: &[NodeEntry], indent: usize, lead: usize) -> String {
        let hang = lead + text::width(name) + 1;
        let hang = if hang > WIDTH / 2 { indent + STEP } else { hang };
        let mut out = format!("{name}(");
        let mut column = lead + text::width(&out);
        for (place, entry) in entries.iter().enumerate() {
            let flat = format!("{}: {}", self.flat(&entry.key), self.flat(&entry.value));
            if place > 0 {
                if has_map(&entry.value) || column + 1 + text::width(&flat) < WIDTH {
                    out.push(' ');
                    column += 1;
                } else {
                    out.push('\n');
                    out.push_str(&" ".repeat(hang));
                    column = hang;
                }
            }
            let laid = self.laid_entry(entry, indent, column);
            let last = laid.rsplit('\n').next().unwrap_or_default();
            column = if laid.contains('\n') { 0 } else { column } + text::width(last);
            out.push_str(&laid);
            if place + 1 < entries.len() {
                out.push(',');
                column += 1;
            }
        }
        out.push(')');
        out
    }
}

fn has_groups(items: &[Node]) -> bool {
    items.iter().any(|item| matches!(item.kind, NodeKind::Fields { .. }))
}

fn has_map(node: &Node) -> bool {
    match &node.kind {
        NodeKind::Map(entries) => !entries.is_empty(),
        _ => {
            node.entries().iter().any(|entry| has_map(&entry.value))
                || node.items().iter().any(has_map)
        }
    }
}

//! What can be wrong with a value although its notation is right, as serde tells of it.

use serde::de::{self, Unexpected};

use crate::base::text;
use crate::store::tree::{Node, NodeKind};

/// What is wrong with a node.
#[derive(Debug, Clone, PartialEq)]
pub(crate) enum Mistake {
    /// A word that its vocabulary does not hold.
    Word { of: &'static str, found: String, known: &'static [&'static str] },
    /// A field that its group does not have.
    Field { of: &'static str, found: String, known: &'static [&'static str] },
    /// A group without a field it must have.
    Missing { of: &'static str, field: &'static str },
    /// A value of another kind than belongs there.
    Kind { found: String, expected: String },
    /// A key or field that stands there twice.
    Twice { is_field: bool, name: String },
    /// What the type itself says about its text.
    Said(String),
}

/// A mistake and the node it is about, by its first byte.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Misread {
    /// What is wrong.
    pub mistake: Mistake,
    /// First byte of the node; `None` until a node claims it.
    pub node: Option<usize>,
    /// Where to point.
    pub span: std::ops::Range<usize>,
    /// It was made by a stand-in, not by the player.
    pub is_own: bool,
}

impl Misread {
    /// A mistake that no node has claimed yet.
    pub(crate) fn new(mistake: Mistake) -> Self {
        Self { mistake, node: None, span: 0..0, is_own: false }
    }

    /// The same mistake, with the name of the type it is about unless an inner one has given its
    /// own.
    pub(crate) fn of_type(mut self, name: &'static str) -> Self {
        if let Mistake::Word { of, .. } | Mistake::Field { of, .. } | Mistake::Missing { of, .. } =
            &mut self.mistake
            && of.is_empty()
        {
            *of = name;
        }
        self
    }

    /// The same mistake, claimed by a node unless an inner one has done so.
    pub(crate) fn at(self, node: &Node) -> Self {
        if self.node.is_some() {
            return self;
        }
        let is_group = matches!(
            node.kind,
            NodeKind::Fields { .. } | NodeKind::Items { .. } | NodeKind::List(_) | NodeKind::Map(_)
        );
        // A missing field is told at the opening of its group.
        let span = if is_group || matches!(self.mistake, Mistake::Missing { .. }) {
            node.span.start..node.span.start + 1
        } else {
            node.span.clone()
        };
        Self { node: Some(node.span.start), span, ..self }
    }
}

impl std::fmt::Display for Misread {
    fn fmt(&self, out: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(out, "{:?}", self.mistake)
    }
}

impl std::error::Error for Misread {}

impl de::Error for Misread {
    fn custom<T: std::fmt::Display>(said: T) -> Self {
        Self::new(Mistake::Said(said.to_string()))
    }

    fn invalid_type(found: Unexpected<'_>, expected: &dyn de::Expected) -> Self {
        Self::new(Mistake::Kind { found: found_words(found), expected: expected_words(expected) })
    }

    fn invalid_value(found: Unexpected<'_>, expected: &dyn de::Expected) -> Self {
        Self::invalid_type(found, expected)
    }

    fn invalid_length(length: usize, expected: &dyn de::Expected) -> Self {
        let found = text::count(length, "value");
        Self::new(Mistake::Kind { found, expected: expected_words(expected) })
    }

    fn unknown_variant(found: &str, known: &'static [&'static str]) -> Self {
        Self::new(Mistake::Word { of: "", found: found.to_owned(), known })
    }

    fn unknown_field(found: &str, known: &'static [&'static str]) -> Self {
        Self::new(Mistake::Field { of: "", found: found.to_owned(), known })
    }

    fn missing_field(field: &'static str) -> Self {
        Self::new(Mistake::Missing { of: "", field })
    }
}

fn found_words(found: Unexpected<'_>) -> String {
    match found {
        Unexpected::Bool(value) => format!("`{value}`"),
        Unexpected::Unsigned(value) => format!("the number {value}"),
        Unexpected::Signed(value) => format!("the number {value}"),
        Unexpected::Float(value) => format!("the number {value}"),
        Unexpected::Str(text) => format!("the text {text:?}"),
        Unexpected::Seq => "a list".to_owned(),
        Unexpected::Map => "a group of fields".to_owned(),
        Unexpected::Unit => "nothing".to_owned(),
        Unexpected::Other(words) => words.to_owned(),
        other => other.to_string(),
    }
}

/// What serde expects, as a player would say it.
pub(crate) fn expected_words(expected: &dyn de::Expected) -> String {
    let expected = expected.to_string();
    let (first, rest) = expected.split_once(' ').unwrap_or((&expected, ""));
    match (first, rest) {
        ("struct", _) => "a group of fields in round brackets, `(name: value, ...)`".to_owned(),
        ("a", "map") => "entries in braces, `{\"key\": value, ...}`".to_owned(),
        ("a", "sequence") => "a list in square brackets, `[value, ...]`".to_owned(),
        ("a", "string") => "a text in double quotes".to_owned(),
        ("a", "boolean") => "`true` or `false`".to_owned(),
        ("f64" | "f32", _) => "a number".to_owned(),
        ("u8", _) => "a whole number, 0 to 255".to_owned(),
        ("u16" | "u32" | "u64" | "usize", _) => "a whole number, 0 or more".to_owned(),
        ("i8" | "i16" | "i32" | "i64" | "isize", _) => "a whole number".to_owned(),
        ("a", "tuple") | ("tuple", _) => "values in round brackets, `(value, value)`".to_owned(),
        _ => expected,
    }
}

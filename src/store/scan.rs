//! The scanner: from a text to its tree, or the first mistake of notation in it.
//!
//! It knows brackets, commas, words, texts and comments. What a number or a word means is asked of
//! `ron`, leaf by leaf, in `reading`.

use std::ops::Range;

use crate::base::Finding;
use crate::base::finding::Place;
use crate::store::tree::{Node, NodeEntry, NodeKind};

/// Deepest nesting accepted; the files of a home need about eight.
const DEEPEST: usize = 48;

/// A text with its tree and its comments.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Tree {
    /// The one value of the file.
    pub root: Node,
    /// Every comment, in order.
    pub comments: Vec<Range<usize>>,
}

impl Tree {
    /// Scans a text.
    ///
    /// # Errors
    /// The first mistake of notation, placed in `file`.
    pub(crate) fn scan(file: &str, text: &str) -> Result<Self, Finding> {
        let mut scanner = Scanner { text, at: 0, comments: Vec::new(), last_text: 0..0 };
        match scanner.file() {
            Ok(root) => Ok(Self { root, comments: scanner.comments }),
            Err(Wrong { span, what, hint }) => {
                let place = Place::within(file, text, span.start, span.end);
                Err(Finding { hint, ..Finding::error(what).at(place) })
            }
        }
    }
}

/// A mistake of notation.
pub(super) struct Wrong {
    pub span: Range<usize>,
    pub what: String,
    pub hint: Option<String>,
}

impl Wrong {
    pub fn new(span: Range<usize>, what: impl Into<String>) -> Self {
        Self { span, what: what.into(), hint: None }
    }

    pub fn or(self, hint: impl Into<String>) -> Self {
        Self { hint: Some(hint.into()), ..self }
    }
}

pub(super) struct Scanner<'t> {
    pub text: &'t str,
    pub at: usize,
    comments: Vec<Range<usize>>,
    /// The text in quotes read last.
    pub last_text: Range<usize>,
}

fn starts_word(letter: char) -> bool {
    letter.is_alphabetic() || letter == '_'
}

fn is_of_word(letter: char) -> bool {
    letter.is_alphanumeric() || letter == '_'
}

impl<'t> Scanner<'t> {
    pub fn rest(&self) -> &'t str {
        &self.text[self.at..]
    }

    fn peek(&self) -> Option<char> {
        self.rest().chars().next()
    }

    pub fn wrong_here(&self, what: impl Into<String>) -> Wrong {
        let length = self.peek().map_or(1, char::len_utf8);
        Wrong::new(self.at..self.at + length, what)
    }

    /// Skips white space and comments.
    fn gap(&mut self) -> Result<(), Wrong> {
        loop {
            let rest = self.rest();
            let trimmed = rest.trim_start_matches([
                ' ', '\t', '\n', '\r', '\u{b}', '\u{c}', '\u{85}', '\u{200e}', '\u{200f}',
                '\u{2028}', '\u{2029}',
            ]);
            self.at += rest.len() - trimmed.len();
            if trimmed.starts_with("//") {
                let length = trimmed.find('\n').unwrap_or(trimmed.len());
                let shown = trimmed[..length].trim_end_matches('\r').len();
                self.comments.push(self.at..self.at + shown);
                self.at += length;
            } else if trimmed.starts_with("/*") {
                let start = self.at;
                self.block_comment()?;
                self.comments.push(start..self.at);
            } else {
                return Ok(());
            }
        }
    }

    /// A block comment; they nest.
    fn block_comment(&mut self) -> Result<(), Wrong> {
        let start = self.at;
        let mut depth = 0_usize;
        loop {
            let rest = self.rest();
            if rest.starts_with("/*") {
                depth += 1;
                self.at += 2;
            } else if rest.starts_with("*/") {
                depth -= 1;
                self.at += 2;
                if depth == 0 {
                    return Ok(());
                }
            } else if let Some(letter) = rest.chars().next() {
                self.at += letter.len_utf8();
            } else {
                return Err(Wrong::new(start..start + 2, "a comment begins here and never ends")
                    .or("close it with `*/`"));
            }
        }
    }

    /// The whole file: attributes, then one value.
    fn file(&mut self) -> Result<Node, Wrong> {
        self.gap()?;
        while self.rest().starts_with("#!") {
            match self.rest().find(']') {
                Some(length) => self.at += length + 1,
                None => return Err(self.wrong_here("an attribute without its closing `]`")),
            }
            self.gap()?;
        }
        if self.peek().is_none() {
            let is_empty = self.comments.is_empty();
            return Err(self
                .wrong_here(if is_empty {
                    "the file is empty"
                } else {
                    "only comments in this file"
                })
                .or("it holds one `( ... )`; delete the file, or bring it back from a copy"));
        }
        let root = self.value(0)?;
        self.gap()?;
        if self.peek().is_some() {
            return Err(self
                .wrong_here("more text behind the end of the value")
                .or("the whole file is one `( ... )`; is there a closing bracket too many?"));
        }
        Ok(root)
    }

    fn value(&mut self, depth: usize) -> Result<Node, Wrong> {
        if depth > DEEPEST {
            return Err(self
                .wrong_here(format!("brackets nested more than {DEEPEST} deep"))
                .or("no file of a home needs that; is it damaged?"));
        }
        let start = self.at;
        let kind = match self.peek() {
            Some('(') => self.round(None, depth)?,
            Some('[') => NodeKind::List(self.listed('[', ']', depth, Self::value)?),
            Some('{') => NodeKind::Map(self.listed('{', '}', depth, Self::entry)?),
            Some('"') => NodeKind::Text(self.text_in_quotes()?),
            Some('\'') => self.letter()?,
            Some('r' | 'b') if self.raw_text_ahead() => NodeKind::Text(self.raw_text()?),
            Some(first) if starts_word(first) => {
                let word = self.word();
                let behind = self.at;
                let comments = self.comments.len();
                self.gap()?;
                if self.peek() == Some('(') {
                    self.round(Some(word), depth)?
                } else {
                    self.at = behind;
                    self.comments.truncate(comments);
                    NodeKind::Word(word)
                }
            }
            Some(first) if first.is_ascii_digit() || matches!(first, '+' | '-' | '.') => {
                let rest = self.rest();
                let is_of_number = |c: char| is_of_word(c) || matches!(c, '+' | '-' | '.');
                let length = rest.find(|c| !is_of_number(c)).unwrap_or(rest.len());
                self.at += length;
                NodeKind::Scalar(rest[..length].to_owned())
            }
            Some('“' | '”' | '„' | '‘' | '’' | '«') => {
                return Err(self
                    .wrong_here("a typographic quotation mark")
                    .or("texts stand in plain double quotes: `\"...\"`"));
            }
            Some(')' | ']' | '}' | ',') => {
                return Err(self.wrong_here("a value is missing here"));
            }
            Some(_) => return Err(self.wrong_here("nothing in this notation begins like this")),
            None => return Err(self.wrong_here("the file ends where a value should be")),
        };
        Ok(Node { span: start..self.at, kind })
    }

    fn word(&mut self) -> String {
        let rest = self.rest();
        let raw = if rest.starts_with("r#") { 2 } else { 0 };
        let length = rest[raw..].find(|c| !is_of_word(c)).map_or(rest.len(), |length| raw + length);
        self.at += length;
        rest[raw..length].to_owned()
    }

    /// Round brackets: named fields, or values in order.
    fn round(&mut self, name: Option<String>, depth: usize) -> Result<NodeKind, Wrong> {
        if self.fields_ahead()? {
            let entries = self.listed('(', ')', depth, Self::field)?;
            return Ok(NodeKind::Fields { name, entries });
        }
        Ok(NodeKind::Items { name, items: self.listed('(', ')', depth, Self::value)? })
    }

    /// True when behind the bracket stand a word and a colon, or nothing at all.
    fn fields_ahead(&mut self) -> Result<bool, Wrong> {
        let (start, comments) = (self.at, self.comments.len());
        self.at += 1;
        self.gap()?;
        let is_fields = match self.peek() {
            Some(first) if starts_word(first) => {
                let _ = self.word();
                self.gap()?;
                self.peek() == Some(':')
            }
            _ => false,
        };
        self.at = start;
        self.comments.truncate(comments);
        Ok(is_fields)
    }

    fn field(&mut self, depth: usize) -> Result<NodeEntry, Wrong> {
        let start = self.at;
        if !self.peek().is_some_and(starts_word) {
            return Err(self
                .wrong_here("the name of a field is missing here")
                .or("fields are written `name: value`"));
        }
        let word = self.word();
        let key = Node { span: start..self.at, kind: NodeKind::Word(word) };
        self.behind_key(key, depth)
    }

    fn entry(&mut self, depth: usize) -> Result<NodeEntry, Wrong> {
        let key = self.value(depth)?;
        self.behind_key(key, depth)
    }

    fn behind_key(&mut self, key: Node, depth: usize) -> Result<NodeEntry, Wrong> {
        self.gap()?;
        if self.peek() != Some(':') {
            return Err(Wrong::new(key.span.clone(), "a `:` and a value are missing behind this")
                .or("fields are written `name: value`"));
        }
        self.at += 1;
        self.gap()?;
        let value = self.value(depth)?;
        Ok(NodeEntry { key, value })
    }

    /// Everything between two brackets, comma by comma.
    fn listed<P>(
        &mut self,
        open: char,
        close: char,
        depth: usize,
        part: impl Fn(&mut Self, usize) -> Result<P, Wrong>,
    ) -> Result<Vec<P>, Wrong> {
        let start = self.at;
        let mut parts = Vec::new();
        self.at += 1;
        loop {
            self.gap()?;
            match self.peek() {
                Some(letter) if letter == close => {
                    self.at += 1;
                    return Ok(parts);
                }
                None => {
                    return Err(Wrong::new(
                        start..start + 1,
                        format!("this `{open}` is never closed"),
                    )
                    .or(format!("put its `{close}` where the part ends")));
                }
                Some(other @ (')' | ']' | '}')) => return Err(self.wrong_close(open, other, close)),
                Some(_) => parts.push(part(self, depth + 1)?),
            }
            let behind = self.at;
            self.gap()?;
            match self.peek() {
                Some(',') => self.at += 1,
                Some(letter) if letter == close => {}
                None => {}
                Some(other @ (')' | ']' | '}')) => return Err(self.wrong_close(open, other, close)),
                Some(_) => {
                    let text = self.last_text.clone();
                    if text.end == behind && self.text[text.clone()].contains('\n') {
                        let line = self.text[text.clone()].lines().next().unwrap_or_default().len();
                        return Err(Wrong::new(
                            text.start..text.start + line,
                            "this text runs on to another line and into the next text",
                        )
                        .or("its closing double quote is probably missing"));
                    }
                    return Err(Wrong::new(behind..behind + 1, "a `,` is missing here")
                        .or("parts are separated by commas"));
                }
            }
        }
    }

    fn wrong_close(&self, open: char, found: char, close: char) -> Wrong {
        self.wrong_here(format!("`{found}` closes what was opened with `{open}`"))
            .or(format!("`{close}` is missing before it"))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_part_of_a_text_knows_its_place() {
        let text = "// head\n(a: own(\"x\\\"y\"), /* b /* c */ */ list: [1, -2.5e3,], map: {\"k\": (b: r#\"q\"#)},)";
        let tree = Tree::scan("f", text).unwrap();
        let comments: Vec<_> = tree.comments.iter().map(|span| &text[span.clone()]).collect();
        assert_eq!(comments, ["// head", "/* b /* c */ */"]);
        let list = &tree.root.get("list").unwrap().value;
        assert_eq!(&text[list.span.clone()], "[1, -2.5e3,]");
        assert_eq!(&text[list.items()[1].span.clone()], "-2.5e3");
        let path = ["map", "k", "b"].map(str::to_owned);
        assert_eq!(&text[tree.root.find(&path)], "r#\"q\"#");
        let own = &tree.root.get("a").unwrap().value;
        assert_eq!(own.items()[0].kind, NodeKind::Text("x\"y".to_owned()));
    }

    #[test]
    fn deep_nesting_is_refused_and_not_followed() {
        let text = "[".repeat(100_000);
        let finding = Tree::scan("f", &text).unwrap_err();
        assert!(finding.what.contains("nested more than"), "{}", finding.what);
    }

    #[test]
    fn an_unclosed_bracket_is_shown_where_it_was_opened() {
        let finding = Tree::scan("f", "(\n  serves: [\n    (id: \"a\"),\n").unwrap_err();
        assert_eq!(finding.place.unwrap().at, Some((2, 11)));
    }
}

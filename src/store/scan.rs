//! The scanner: from a text to its tree, or the first mistake of notation in it.
//!
//! It knows brackets, commas, words, texts and comments. What a number or a word means is asked of
//! `ron`, leaf by leaf, in `reading`.

use std::ops::Range;

use crate::base::Finding;
use crate::store::tree::{Node, NodeKind, NodePart, closing};
use crate::store::wrong::Wrong;

/// Deepest nesting accepted; the files of a home need about eight.
const DEEPEST: usize = 48;
/// The longest text, bytes; the notes of a career are far below it.
const LONGEST_TEXT: usize = 20_000;
/// What RON calls white space.
const SPACE: [char; 11] = [
    ' ', '\t', '\n', '\r', '\u{b}', '\u{c}', '\u{85}', '\u{200e}', '\u{200f}', '\u{2028}',
    '\u{2029}',
];

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
        let mut scanner = Scanner { text, at: 0, comments: Vec::new() };
        let root = scanner.file().map_err(|wrong| wrong.found(file, text))?;
        Ok(Self { root, comments: scanner.comments })
    }
}

struct Scanner<'t> {
    text: &'t str,
    at: usize,
    comments: Vec<Range<usize>>,
}

fn is_of_word(letter: char) -> bool {
    letter.is_alphanumeric() || letter == '_'
}

fn starts_word(letter: char) -> bool {
    letter.is_alphabetic() || letter == '_'
}

impl<'t> Scanner<'t> {
    fn rest(&self) -> &'t str {
        &self.text[self.at..]
    }

    fn peek(&self) -> Option<char> {
        self.rest().chars().next()
    }

    /// Takes the letters of one kind that stand here.
    fn run(&mut self, is_of_it: impl Fn(char) -> bool) -> String {
        let rest = self.rest();
        let length = rest.find(|letter| !is_of_it(letter)).unwrap_or(rest.len());
        self.at += length;
        rest[..length].to_owned()
    }

    fn wrong_here(&self, what: impl Into<String>) -> Wrong {
        let length = self.peek().map_or(1, char::len_utf8);
        Wrong::at(self.at..self.at + length, what)
    }

    /// Skips white space and comments.
    fn gap(&mut self) -> Result<(), Wrong> {
        loop {
            let rest = self.rest().trim_start_matches(SPACE);
            self.at = self.text.len() - rest.len();
            let start = self.at;
            if rest.starts_with("//") {
                let length = rest.find('\n').unwrap_or(rest.len());
                self.at += length;
                self.comments.push(start..start + rest[..length].trim_end_matches('\r').len());
            } else if rest.starts_with("/*") {
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
        while let Some(length) = self.rest().find(['*', '/']) {
            self.at += length;
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
            } else {
                self.at += 1;
            }
        }
        Err(Wrong::at(start..start + 2, "a comment begins here and never ends")
            .or("close it with `*/`"))
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
            let what = if self.comments.is_empty() {
                "the file is empty"
            } else {
                "only comments in this file"
            };
            let hint = "it holds one `( ... )`; delete the file, or bring it back from a copy";
            return Err(self.wrong_here(what).or(hint));
        }
        let root = self.value(0)?;
        self.gap()?;
        if self.peek().is_some() {
            let hint = "the whole file is one `( ... )`; is there a closing bracket too many?";
            return Err(self.wrong_here("more text behind the end of the value").or(hint));
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
        match self.peek() {
            Some('(' | '[' | '{') => self.group(start, None, depth),
            Some('"') => self.text_in_quotes(),
            Some('r') if self.rest()[1..].trim_start_matches('#').starts_with('"') => {
                self.raw_text()
            }
            Some(first) if starts_word(first) => {
                let (word, end) = (self.run(is_of_word), self.at);
                self.gap()?;
                if self.peek() == Some('(') {
                    return self.group(start, Some(word), depth);
                }
                Ok(Node { span: start..end, kind: NodeKind::Word(word) })
            }
            Some(first) if first.is_ascii_digit() || matches!(first, '+' | '-' | '.') => {
                let number = self.run(|c| is_of_word(c) || matches!(c, '+' | '-' | '.'));
                Ok(Node { span: start..self.at, kind: NodeKind::Number(number) })
            }
            Some('“' | '”' | '„' | '‘' | '’' | '«') => {
                Err(self.wrong_quotes("typographic"))
            }
            Some('\'') => Err(self.wrong_quotes("single")),
            Some(')' | ']' | '}' | ',') => Err(self.wrong_here("a value is missing here")),
            Some(_) => Err(self.wrong_here("nothing in this notation begins like this")),
            None => Err(self.wrong_here("the file ends where a value should be")),
        }
    }

    fn wrong_quotes(&self, which: &str) -> Wrong {
        self.wrong_here(format!("a {which} quotation mark"))
            .or("texts stand in plain double quotes: `\"...\"`")
    }

    fn text_in_quotes(&mut self) -> Result<Node, Wrong> {
        let start = self.at;
        let mut letters = self.text[start + 1..].char_indices();
        while let Some((place, letter)) = letters.next() {
            match letter {
                '\\' => {
                    letters.next();
                }
                '"' => {
                    self.at = start + 1 + place + 1;
                    let span = start..self.at;
                    if place > LONGEST_TEXT {
                        let what = format!("a text of {place} bytes; {LONGEST_TEXT} at most");
                        return Err(Wrong::at(start..start + 1, what)
                            .or("shorten it, or bring it back from a copy"));
                    }
                    let Ok(text) = ron::from_str(&self.text[span.clone()]) else {
                        return Err(Wrong::at(span, "a backslash in this text means nothing")
                            .or("write a backslash as `\\\\`"));
                    };
                    return Ok(Node { span, kind: NodeKind::Text(text) });
                }
                _ => {}
            }
        }
        Err(Wrong::at(start..start + 1, "a text begins here and never ends")
            .or("close it with a double quote"))
    }

    /// A text between `r#"` and `"#`, in which a backslash is one.
    fn raw_text(&mut self) -> Result<Node, Wrong> {
        let start = self.at;
        let hashes = self.rest()[1..].chars().take_while(|letter| *letter == '#').count();
        let close = format!("\"{}", "#".repeat(hashes));
        let inside = start + 1 + hashes + 1;
        let Some(length) = self.text[inside..].find(&close) else {
            return Err(Wrong::at(start..start + 1, "a text begins here and never ends")
                .or(format!("close it with `{close}`")));
        };
        self.at = inside + length + close.len();
        let kind = NodeKind::Text(self.text[inside..inside + length].to_owned());
        Ok(Node { span: start..self.at, kind })
    }

    /// Everything between two brackets, comma by comma.
    fn group(&mut self, start: usize, name: Option<String>, depth: usize) -> Result<Node, Wrong> {
        let begin = self.at;
        let open = self.peek().unwrap_or('(');
        let close = closing(open);
        let mut parts: Vec<NodePart> = Vec::new();
        self.at += 1;
        loop {
            self.gap()?;
            match self.peek() {
                Some(letter) if letter == close => {
                    self.at += 1;
                    let kind = NodeKind::Group { name, open, parts };
                    return Ok(Node { span: start..self.at, kind });
                }
                None => {
                    let what = format!("this `{open}` is never closed");
                    return Err(Wrong::at(begin..begin + 1, what)
                        .or(format!("put its `{close}` where the part ends")));
                }
                Some(found @ (')' | ']' | '}')) => {
                    return Err(self
                        .wrong_here(format!("`{found}` closes what was opened with `{open}`"))
                        .or(format!("`{close}` is missing before it")));
                }
                Some(_) => {}
            }
            let part = self.part(open, parts.first(), depth + 1)?;
            match self.peek() {
                Some(',') => self.at += 1,
                None | Some(')' | ']' | '}') => {}
                Some(_) => return Err(self.missing_comma(&part)),
            }
            parts.push(part);
        }
    }

    /// A part of a group and the gap behind it. In braces all have keys, in round brackets all or
    /// none, as the first one has.
    fn part(
        &mut self,
        open: char,
        first: Option<&NodePart>,
        depth: usize,
    ) -> Result<NodePart, Wrong> {
        let must = open == '{' || first.is_some_and(|first| first.key.is_some());
        let start = self.at;
        let key = if must && open == '(' {
            if !self.peek().is_some_and(starts_word) {
                return Err(self
                    .wrong_here("the name of a field is missing here")
                    .or("fields are written `name: value`"));
            }
            let word = self.run(is_of_word);
            Node { span: start..self.at, kind: NodeKind::Word(word) }
        } else {
            self.value(depth)?
        };
        self.gap()?;
        let may = must || open == '(' && first.is_none() && matches!(key.kind, NodeKind::Word(_));
        if self.peek() != Some(':') || !may {
            if must {
                return Err(Wrong::at(key.span, "a `:` and a value are missing behind this")
                    .or("fields are written `name: value`"));
            }
            return Ok(NodePart { key: None, value: key });
        }
        self.at += 1;
        self.gap()?;
        let value = self.value(depth)?;
        self.gap()?;
        Ok(NodePart { key: Some(key), value })
    }

    fn missing_comma(&self, part: &NodePart) -> Wrong {
        let span = part.value.span.clone();
        let text = &self.text[span.clone()];
        if text.starts_with('"') && text.contains('\n') {
            let line = text.lines().next().unwrap_or_default().len();
            let what = "this text runs on to another line and into the next text";
            return Wrong::at(span.start..span.start + line, what)
                .or("its closing double quote is probably missing");
        }
        Wrong::at(span.end..span.end + 1, "a `,` is missing here")
            .or("parts are separated by commas")
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
        assert_eq!(&text[list.parts()[1].value.span.clone()], "-2.5e3");
        let path = ["map", "k", "b"].map(str::to_owned);
        assert_eq!(&text[tree.root.find(&path)], "r#\"q\"#");
        let own = &tree.root.get("a").unwrap().value;
        assert_eq!(own.parts()[0].value.kind, NodeKind::Text("x\"y".to_owned()));
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

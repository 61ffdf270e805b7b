//! The texts and letters in quotes of the notation.

use crate::store::scan::{Scanner, Wrong};
use crate::store::tree::NodeKind;

impl Scanner<'_> {
    pub fn text_in_quotes(&mut self) -> Result<String, Wrong> {
        let start = self.at;
        let mut letters = self.text[start + 1..].char_indices();
        while let Some((place, letter)) = letters.next() {
            match letter {
                '\\' => {
                    letters.next();
                }
                '"' => {
                    self.at = start + 1 + place + 1;
                    self.last_text = start..self.at;
                    let quoted = &self.text[start..self.at];
                    return ron::from_str(quoted).map_err(|_| {
                        Wrong::new(start..self.at, "a backslash in this text means nothing")
                            .or("write a backslash as `\\\\`")
                    });
                }
                _ => {}
            }
        }
        Err(Wrong::new(start..start + 1, "a text begins here and never ends")
            .or("close it with a double quote"))
    }

    pub fn raw_text_ahead(&self) -> bool {
        let rest = self.rest();
        let rest = rest.strip_prefix('b').unwrap_or(rest);
        match rest.strip_prefix('r') {
            Some(rest) => rest.trim_start_matches('#').starts_with('"'),
            None => rest.len() < self.rest().len() && rest.starts_with(['"', '\'']),
        }
    }

    pub fn raw_text(&mut self) -> Result<String, Wrong> {
        let start = self.at;
        let Some(rest) = self.rest().strip_prefix('r') else {
            return Err(self.wrong_here("bytes have no place in this file"));
        };
        let hashes = rest.len() - rest.trim_start_matches('#').len();
        let close = format!("\"{}", "#".repeat(hashes));
        let inside = start + 1 + hashes + 1;
        match self.text[inside..].find(&close) {
            Some(length) => {
                self.at = inside + length + close.len();
                Ok(self.text[inside..inside + length].to_owned())
            }
            None => Err(Wrong::new(start..start + 1, "a text begins here and never ends")
                .or(format!("close it with `{close}`"))),
        }
    }

    pub fn letter(&mut self) -> Result<NodeKind, Wrong> {
        let rest = self.rest();
        let close =
            rest[1..].char_indices().skip(1).find(|(_, letter)| *letter == '\'').map(|(at, _)| at);
        match close {
            Some(length) if length <= 12 => {
                self.at += length + 2;
                Ok(NodeKind::Scalar(rest[..length + 2].to_owned()))
            }
            _ => Err(self
                .wrong_here("a single quotation mark")
                .or("texts stand in plain double quotes: `\"...\"`")),
        }
    }
}

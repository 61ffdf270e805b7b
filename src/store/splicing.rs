//! Taking parts out of a bracket and putting new ones in, with commas, indentation and comments as
//! a person would leave them. Which parts, is decided in `editing`.

use std::ops::Range;

use crate::base::text;
use crate::store::tree::{Node, NodeEntry};
use crate::store::writing::{Plain, STEP, WIDTH};

/// A part to be added to a group, behind the part with this number; before all when there is none.
pub(crate) struct Addition<'t> {
    /// The part before it.
    pub behind: Option<usize>,
    /// What is added.
    pub part: GroupPart<'t>,
}

/// What a group is made of.
#[derive(Clone, Copy)]
pub(crate) enum GroupPart<'t> {
    /// An item of a list.
    Item(&'t Node),
    /// A field or an entry of a map.
    Entry(&'t NodeEntry),
}

/// One change of a text.
pub(crate) struct Edit {
    pub span: Range<usize>,
    pub new: String,
}

/// A text being changed.
pub(crate) struct Editor<'t> {
    /// The text as it is.
    pub text: &'t str,
    pub newline: &'t str,
    /// The value as it was.
    pub before: &'t Plain,
    /// The value wanted.
    pub after: &'t Plain,
    pub edits: Vec<Edit>,
}

impl<'t> Editor<'t> {
    pub(crate) fn replace(&mut self, span: Range<usize>, new: &str) {
        let new =
            if self.newline == "\n" { new.to_owned() } else { new.replace('\n', self.newline) };
        self.edits.push(Edit { span, new });
    }

    /// Columns of white space that begin the line of a byte.
    fn indent(&self, at: usize) -> usize {
        let line = &self.text[self.line_start(at)..];
        line.len() - line.trim_start_matches([' ', '\t']).len()
    }

    /// That white space itself.
    fn indentation(&self, at: usize) -> &'t str {
        let start = self.line_start(at);
        &self.text[start..start + self.indent(at)]
    }

    fn line_start(&self, at: usize) -> usize {
        self.text[..at].rfind('\n').map_or(0, |newline| newline + 1)
    }

    /// True when nothing but white space stands before this byte on its line.
    fn starts_line(&self, at: usize) -> bool {
        self.text[self.line_start(at)..at].trim().is_empty()
    }

    fn column(&self, at: usize) -> usize {
        text::width(&self.text[self.line_start(at)..at])
    }

    /// A part of the new value for the place `at`.
    pub(crate) fn laid(&self, node: &Node, at: usize) -> String {
        self.after.laid(node, self.indent(at), self.column(at))
    }

    /// Takes parts out of a group and puts new ones in.
    pub(crate) fn parts(
        &mut self,
        text: &Node,
        spans: &[Range<usize>],
        removed: &[usize],
        additions: &[Addition<'t>],
        after: &'t Node,
    ) {
        if removed.is_empty() && additions.is_empty() {
            return;
        }
        let inside = &self.text[text.span.clone()];
        let has_comment = inside.contains("//") || inside.contains("/*");
        if !has_comment && (spans.is_empty() || removed.len() == spans.len()) {
            let laid = self.laid(after, text.span.start);
            self.replace(text.span.clone(), &laid);
            return;
        }
        for &number in removed {
            self.remove(text, spans, number);
        }
        let mut rest = additions;
        while let Some(first) = rest.first() {
            let length = rest.iter().take_while(|next| next.behind == first.behind).count();
            let (group, others) = rest.split_at(length);
            self.add(text, spans, group, removed);
            rest = others;
        }
    }

    /// The byte behind the comma that follows a part, when there is one before the next part.
    fn behind_comma(&self, text: &Node, spans: &[Range<usize>], number: usize) -> Option<usize> {
        let start = spans[number].end;
        let end = spans.get(number + 1).map_or(text.span.end - 1, |next| next.start);
        let mut at = start;
        // Commas inside comments do not count.
        while at < end {
            let rest = &self.text[at..end];
            if rest.starts_with("//") {
                at += rest.find('\n').unwrap_or(rest.len());
            } else if rest.starts_with("/*") {
                at += rest.find("*/").map_or(rest.len(), |length| length + 2);
            } else if rest.starts_with(',') {
                return Some(at + 1);
            } else {
                at += rest.chars().next().map_or(1, char::len_utf8);
            }
        }
        None
    }

    fn remove(&mut self, text: &Node, spans: &[Range<usize>], number: usize) {
        let span = spans[number].clone();
        let comma = self.behind_comma(text, spans, number);
        let mut end = span.end;
        if let Some(comma) = comma {
            let between = &self.text[span.end..comma - 1];
            if between.trim().is_empty() {
                end = comma;
            } else {
                self.replace(comma - 1..comma, "");
            }
        }
        let (line_start, starts_line) = (self.line_start(span.start), self.starts_line(span.start));
        let rest = &self.text[end..];
        let blank = rest.len() - rest.trim_start_matches([' ', '\t']).len();
        let line_end = ["\r\n", "\n"].iter().find(|line_end| rest[blank..].starts_with(**line_end));
        match line_end {
            // Alone on its lines: the lines go.
            Some(line_end) if starts_line => {
                self.replace(line_start..end + blank + line_end.len(), "");
            }
            // The last of a line: the space before it goes.
            _ if !starts_line => {
                let before = self.text[..span.start].trim_end_matches([' ', '\t']).len();
                let is_first = self.text[..before].ends_with(['(', '[', '{']);
                let end = if is_first { end + blank } else { end };
                self.replace(before..end, "");
            }
            _ => self.replace(span.start..end + blank, ""),
        }
    }

    fn add(
        &mut self,
        text: &Node,
        spans: &[Range<usize>],
        group: &[Addition<'t>],
        removed: &[usize],
    ) {
        let Some(first) = group.first() else { return };
        match (first.behind, spans.first()) {
            (Some(number), _) => self.add_behind(text, spans, number, group, removed),
            (None, Some(span)) => self.add_before(span.start, group),
            (None, None) => {
                // An empty group with a comment in it: directly behind the bracket.
                let open = text.span.start
                    + self.text[text.span.clone()].find(['(', '[', '{']).unwrap_or(0)
                    + 1;
                let indent = self.indent(text.span.start) + STEP;
                let new = self.stacked(group, indent, &" ".repeat(indent));
                self.replace(open..open, &new);
            }
        }
    }

    /// Puts parts before the first one of their group, which begins at a byte.
    fn add_before(&mut self, at: usize, group: &[Addition<'t>]) {
        let indentation = self.indentation(at);
        let between =
            if self.starts_line(at) { format!(",\n{indentation}") } else { ", ".to_owned() };
        let mut new = String::new();
        for addition in group {
            new.push_str(&self.part(addition.part, text::width(indentation), self.column(at)));
            new.push_str(&between);
        }
        self.replace(at..at, &new);
    }

    /// Puts parts behind the one with this number.
    fn add_behind(
        &mut self,
        text: &Node,
        spans: &[Range<usize>],
        number: usize,
        group: &[Addition<'t>],
        removed: &[usize],
    ) {
        let span = spans[number].clone();
        let indentation = self.indentation(span.start);
        let indent = text::width(indentation);
        let comma = self.behind_comma(text, spans, number);
        if comma.is_none() && !removed.contains(&number) {
            self.replace(span.end..span.end, ",");
        }
        let at = comma.unwrap_or(span.end);
        let line_end = self.text[at..].find('\n').map_or(self.text.len(), |length| at + length);
        let rest = self.text[at..line_end].trim_end_matches('\r');
        let has_comment = rest.trim_start().starts_with("//");
        let is_last_of_line = has_comment
            || rest.trim().is_empty()
            || (rest.trim_start().starts_with("/*") && rest.trim_end().ends_with("*/"));
        if self.starts_line(span.start) && is_last_of_line {
            let new = self.stacked(group, indent, indentation);
            self.replace(at + rest.len()..at + rest.len(), &new);
            return;
        }
        let hang = self.column(spans[0].start);
        let mut new = self.in_line(group, indent, self.column(at) + 1, hang);
        if comma.is_some() {
            new.push(',');
        }
        if has_comment {
            // A comment to the end of the line stays behind what it is about.
            let at = at + rest.len();
            self.replace(at..at, &format!("\n{}{}", " ".repeat(hang), new.trim_start()));
        } else {
            self.replace(at..at, &new);
        }
    }

    /// Parts on a line that has `column` columns while it is short enough, else on the next one,
    /// under the first part of the group.
    fn in_line(&self, group: &[Addition<'t>], indent: usize, column: usize, hang: usize) -> String {
        let mut column = column;
        let mut new = String::new();
        for (place, addition) in group.iter().enumerate() {
            if place > 0 {
                new.push(',');
            }
            let part = self.part(addition.part, indent, column + 1);
            let first_line = part.lines().next().unwrap_or_default();
            if column + text::width(first_line) + 2 > WIDTH {
                new.push('\n');
                new.push_str(&" ".repeat(hang));
                column = hang;
            } else {
                new.push(' ');
                column += 1;
            }
            new.push_str(&part);
            column += text::width(&part) + 1;
        }
        new
    }

    /// Parts on lines of their own, each line begun with a newline.
    fn stacked(&self, group: &[Addition<'t>], indent: usize, indentation: &str) -> String {
        let mut new = String::new();
        for addition in group {
            new.push('\n');
            new.push_str(indentation);
            new.push_str(&self.part(addition.part, indent, indent));
            new.push(',');
        }
        new
    }

    fn part(&self, part: GroupPart<'t>, indent: usize, lead: usize) -> String {
        match part {
            GroupPart::Item(node) => self.after.laid(node, indent, lead),
            GroupPart::Entry(entry) => self.after.laid_entry(entry, indent, lead),
        }
    }
}

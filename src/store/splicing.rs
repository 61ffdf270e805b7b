//! Taking parts out of a bracket and putting new ones in, with commas, indentation and comments as
//! a person would leave them. Which parts, is decided in `editing`.

use std::ops::Range;

use crate::base::text;
use crate::store::tree::{Node, NodePart};
use crate::store::writing::{Plain, STEP, WIDTH};

/// A part to be added to a group, behind the part with this number; before all when there is none.
pub(crate) type Addition<'t> = (Option<usize>, &'t NodePart);

/// One change of a text.
pub(crate) struct Edit {
    pub span: Range<usize>,
    pub new: String,
}

/// A text being changed.
pub(crate) struct Editor<'t> {
    /// The text as it is.
    pub text: &'t str,
    pub comments: &'t [Range<usize>],
    /// The value as it was.
    pub before: &'t Plain,
    /// The value wanted.
    pub after: &'t Plain,
    pub edits: Vec<Edit>,
}

impl<'t> Editor<'t> {
    pub(crate) fn replace(&mut self, span: Range<usize>, new: &str) {
        let is_windows = self.text.contains("\r\n");
        let new = if is_windows { new.replace('\n', "\r\n") } else { new.to_owned() };
        self.edits.push(Edit { span, new });
    }

    /// What stands before a byte on its line.
    fn before(&self, at: usize) -> &'t str {
        let start = self.text[..at].rfind('\n').map_or(0, |newline| newline + 1);
        &self.text[start..at]
    }

    /// True when nothing but white space stands before this byte on its line.
    fn starts_line(&self, at: usize) -> bool {
        self.before(at).trim().is_empty()
    }

    fn column(&self, at: usize) -> usize {
        text::width(self.before(at))
    }

    /// The white space that begins the line of a byte.
    fn indentation(&self, at: usize) -> String {
        self.before(at).chars().take_while(|letter| [' ', '\t'].contains(letter)).collect()
    }

    /// A part of the new value for the place `at`.
    pub(crate) fn laid(&self, node: &Node, at: usize) -> String {
        self.after.laid(node, self.indentation(at).len(), self.column(at))
    }

    /// Takes parts out of a group and puts new ones in.
    pub(crate) fn change_parts(
        &mut self,
        group: &Node,
        removed: &[usize],
        additions: &[Addition<'_>],
        after: &Node,
    ) {
        if removed.is_empty() && additions.is_empty() {
            return;
        }
        let has_comment = self.comments.iter().any(|comment| group.span.contains(&comment.start));
        if !has_comment && removed.len() == group.parts().len() {
            let laid = self.laid(after, group.span.start);
            self.replace(group.span.clone(), &laid);
            return;
        }
        for &number in removed {
            self.remove(group, number);
        }
        for together in additions.chunk_by(|one, next| one.0 == next.0) {
            let new: Vec<&NodePart> = together.iter().map(|(_, part)| *part).collect();
            match (together[0].0, group.parts().first()) {
                (Some(number), _) => self.add_behind(group, number, &new, removed),
                (None, Some(first)) => self.add_before(first.span().start, &new),
                (None, None) => {
                    // An empty group with a comment in it: directly behind the bracket.
                    let inside = self.text[group.span.clone()].find(['(', '[', '{']);
                    let open = group.span.start + inside.unwrap_or(0) + 1;
                    let indentation = self.indentation(open).len() + STEP;
                    let new = self.stacked(&new, &" ".repeat(indentation));
                    self.replace(open..open, &new);
                }
            }
        }
    }

    /// The byte behind the comma that follows a part, when there is one before the next part.
    fn behind_comma(&self, group: &Node, number: usize) -> Option<usize> {
        let parts = group.parts();
        let end = parts.get(number + 1).map_or(group.span.end, |next| next.span().start);
        let is_comment = |at: &usize| self.comments.iter().any(|comment| comment.contains(at));
        (parts[number].span().end..end)
            .find(|at| self.text.as_bytes()[*at] == b',' && !is_comment(at))
            .map(|comma| comma + 1)
    }

    fn remove(&mut self, group: &Node, number: usize) {
        let span = group.parts()[number].span();
        let mut end = span.end;
        if let Some(comma) = self.behind_comma(group, number) {
            if self.text[end..comma - 1].trim().is_empty() {
                end = comma;
            } else {
                self.replace(comma - 1..comma, "");
            }
        }
        let rest = &self.text[end..];
        let behind = rest.trim_start_matches([' ', '\t']);
        let blank = rest.len() - behind.len();
        let before = self.before(span.start);
        let line_end = ["\r\n", "\n"].into_iter().find(|line_end| behind.starts_with(line_end));
        if !before.trim().is_empty() {
            // Not the first of its line: the space before it goes.
            let is_first = before.trim_end().ends_with(['(', '[', '{']);
            let start = span.start - before.len() + before.trim_end().len();
            self.replace(start..if is_first { end + blank } else { end }, "");
        } else if let Some(line_end) = line_end {
            // Alone on its lines: the lines go.
            self.replace(span.start - before.len()..end + blank + line_end.len(), "");
        } else {
            self.replace(span.start..end + blank, "");
        }
    }

    /// Puts parts before the first one of their group, which begins at a byte.
    fn add_before(&mut self, at: usize, parts: &[&NodePart]) {
        let indentation = self.indentation(at);
        let between =
            if self.starts_line(at) { format!(",\n{indentation}") } else { ", ".to_owned() };
        let mut new = String::new();
        for part in parts {
            new.push_str(&self.after.laid_part(part, text::width(&indentation), self.column(at)));
            new.push_str(&between);
        }
        self.replace(at..at, &new);
    }

    /// Puts parts behind the one with this number.
    fn add_behind(&mut self, group: &Node, number: usize, new: &[&NodePart], removed: &[usize]) {
        let span = group.parts()[number].span();
        let indentation = self.indentation(span.start);
        let comma = self.behind_comma(group, number);
        if comma.is_none() && !removed.contains(&number) {
            self.replace(span.end..span.end, ",");
        }
        let at = comma.unwrap_or(span.end);
        let rest = self.text[at..].lines().next().unwrap_or_default();
        let line_end = at + rest.len();
        let rest = rest.trim();
        let is_last_of_line = rest.is_empty()
            || rest.starts_with("//")
            || rest.starts_with("/*") && rest.ends_with("*/");
        if self.starts_line(span.start) && is_last_of_line {
            let new = self.stacked(new, &indentation);
            self.replace(line_end..line_end, &new);
            return;
        }
        let hang = self.column(group.parts()[0].span().start);
        let mut new = self.in_line(new, text::width(&indentation), self.column(at) + 1, hang);
        if comma.is_some() {
            new.push(',');
        }
        if rest.starts_with("//") {
            // A comment to the end of the line stays behind what it is about.
            let new = format!("\n{}{}", " ".repeat(hang), new.trim_start());
            self.replace(line_end..line_end, &new);
        } else {
            self.replace(at..at, &new);
        }
    }

    /// Parts on a line that has `column` columns while it is short enough, else on the next one,
    /// under the first part of the group.
    fn in_line(
        &self,
        parts: &[&NodePart],
        indent: usize,
        mut column: usize,
        hang: usize,
    ) -> String {
        let mut new = String::new();
        for (place, part) in parts.iter().enumerate() {
            if place > 0 {
                new.push(',');
            }
            let part = self.after.laid_part(part, indent, column + 1);
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
    fn stacked(&self, parts: &[&NodePart], indentation: &str) -> String {
        let indent = text::width(indentation);
        let line = |part: &&NodePart| {
            format!("\n{indentation}{},", self.after.laid_part(part, indent, indent))
        };
        parts.iter().map(line).collect()
    }
}

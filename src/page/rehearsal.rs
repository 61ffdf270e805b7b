//! A session as text for the terminal or for paper: one calm column, eighty wide.

use std::fmt::Write as _;

use crate::base::{Units, text};
use crate::page::rehearsal_pieces::{Piece, Row, pieces};
use crate::page::rehearsal_words::visible;
use crate::rehearsal::Session;

/// Columns before the text of a labelled line.
const LABEL: usize = 11;

/// The session as text, `width` columns at most, lengths in centimetres.
pub fn session(session: &Session, width: usize) -> String {
    session_in(session, width, Units::Metric)
}

/// The session as text, `width` columns at most, lengths in the player's units.
pub fn session_in(session: &Session, width: usize, units: Units) -> String {
    let mut page = Page { out: String::new(), width: width.max(60) };
    for piece in pieces(session, units) {
        page.piece(&piece);
    }
    page.out
}

struct Page {
    out: String,
    width: usize,
}

impl Page {
    fn line(&mut self, text: &str) {
        self.out.push_str(text.trim_end());
        self.out.push('\n');
    }

    /// A title in a line of its own, after an empty one.
    fn title(&mut self, title: &str) {
        self.line("");
        self.line(title);
    }

    /// A label and its text, wrapped under itself.
    fn labelled(&mut self, label: &str, words: &str) {
        let first = format!("  {}", text::fit(label, LABEL - 2));
        let wrapped = text::wrap(&visible(words), self.width - LABEL, "");
        let mut lines = wrapped.lines();
        let start = format!("{first}{}", lines.next().unwrap_or_default());
        self.line(&start);
        for more in lines {
            let more = format!("{}{more}", " ".repeat(LABEL));
            self.line(&more);
        }
    }

    fn piece(&mut self, piece: &Piece) {
        match piece {
            Piece::Line(words) => self.line(words),
            Piece::Title(title) => self.title(title),
            Piece::Block(name, balls) => {
                let gap = self.width.saturating_sub(text::width(name) + text::width(balls)).max(2);
                self.title(&format!("{name}{}{balls}", " ".repeat(gap)));
            }
            // The words that follow say it.
            Piece::SetUp(_) => {}
            Piece::Entry(words) => {
                let entry = format!("  - {}", text::one_line(words));
                self.line(&text::wrap(&entry, self.width, "    "));
            }
            Piece::Labelled(label, words) => self.labelled(label, words),
            Piece::Letters(is_first, from, letters) => {
                let label = if *is_first { "call" } else { "" };
                let mut line = format!("  {}{from:>3}  ", text::fit(label, LABEL - 2));
                for letter in letters {
                    let _ = write!(line, " {letter}");
                }
                self.line(&line);
            }
            Piece::Head(has_score) => self.line(&format!(
                "   no  {}{} {} {} answer",
                if *has_score { "score " } else { "" },
                text::fit("serve", 13),
                text::fit("lands", 23),
                text::fit("spin, bends", if *has_score { 21 } else { 26 })
            )),
            Piece::Ball(row, has_score) => self.ball(row, *has_score),
            Piece::OwnServes(count, score) => {
                let serves = text::count(*count as usize, "own serve");
                let then = score.map(|(them, me)| format!("; then {them}-{me}"));
                let then = then.unwrap_or_default();
                self.line(&format!("        -- {serves}, without a ball{then} --"));
            }
            Piece::Log(is_first, number, balls, serve, target) => {
                let label = if *is_first { "log" } else { "" };
                let target =
                    target.as_ref().map(|target| format!("  counts: {target}")).unwrap_or_default();
                let name = text::fit(serve, 16);
                self.labelled(label, &format!("{number:>2}. ____/{balls:<3} {name}{target}"));
            }
        }
    }

    fn ball(&mut self, row: &Row, has_score: bool) {
        let score = match row.score {
            Some((them, me)) => format!("{:<6}", format!("{them}-{me}")),
            None => " ".repeat(if has_score { 6 } else { 0 }),
        };
        let change = if row.is_changed { "*" } else { "" };
        self.line(&format!(
            "  {:>3}  {score}{} {} {} {}{change}",
            row.number,
            text::fit(&row.serve, 13),
            text::fit(&row.lands, 23),
            text::fit(&row.spin, 26),
            row.answer
        ));
        if let Some(settings) = &row.settings {
            self.labelled("", settings);
        }
    }
}

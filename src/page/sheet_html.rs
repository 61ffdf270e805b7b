//! The bench sheet as one printable page: A4, letter, or A6 for the towel box.
//!
//! Plain HTML with its own print rules, nothing loaded from anywhere. Small table pictures are inline SVG, the
//! receiver at the bottom. Everything a file may hold is escaped.

use std::fmt::Write as _;

use crate::base::text;
use crate::base::words;
use crate::game::{NET_X_M, TABLE_LENGTH_M, TABLE_WIDTH_M};
use crate::page::sheet::{Picture, Row, Sheet, SwitchCard};

words! {
    /// The paper of a sheet.
    pub enum Paper : "paper" {
        /// 210 x 297 mm.
        A4 = "a4" "A4",
        /// 8.5 x 11 inches.
        Letter = "letter" "letter",
        /// 105 x 148 mm, for the towel box.
        A6 = "a6" "A6",
    }
}

impl Paper {
    /// Its name in the print rules.
    pub(super) const fn size(self) -> &'static str {
        match self {
            Self::A4 => "A4",
            Self::Letter => "letter",
            Self::A6 => "105mm 148mm",
        }
    }

    /// Margin, mm.
    pub(super) const fn margin_mm(self) -> u32 {
        match self {
            Self::A4 | Self::Letter => 10,
            Self::A6 => 5,
        }
    }

    /// Cards beside each other.
    const fn columns(self) -> usize {
        match self {
            Self::A4 | Self::Letter => 2,
            Self::A6 => 1,
        }
    }

    /// Inside height and width, mm.
    const fn inside_mm(self) -> (f64, f64) {
        match self {
            Self::A4 => (277.0, 190.0),
            Self::Letter => (259.0, 196.0),
            Self::A6 => (138.0, 95.0),
        }
    }

    /// Width and height of a table picture, in sizes of the type.
    const fn picture_em(self) -> (f64, f64) {
        match self {
            Self::A4 | Self::Letter => (5.0, 8.6),
            Self::A6 => (3.6, 6.2),
        }
    }

    /// Only what is needed between two points.
    pub(super) const fn is_small(self) -> bool {
        matches!(self, Self::A6)
    }
}

/// Largest and smallest type, points; below the smallest nobody reads it between two points.
const TYPE_PT: (f64, f64) = (11.0, 5.0);
/// Steps in which a type size is tried, points.
const STEP_PT: f64 = 0.25;
/// Millimetres in a point.
const MM_PT: f64 = 0.352_778;
/// Mean width of a letter, in sizes of the type; a little generous, so that the page is not over-full.
const LETTER_EM: f64 = 0.51;
/// Height of a line, in sizes of the type.
const LINE_EM: f64 = 1.3;
/// Room between a picture and the words beside it, in sizes of the type.
const BESIDE_EM: f64 = 0.8;

/// A text made safe inside HTML.
pub fn escaped(text: &str) -> String {
    let mut safe = String::with_capacity(text.len());
    for letter in text::one_line(text).chars() {
        match letter {
            '&' => safe.push_str("&amp;"),
            '<' => safe.push_str("&lt;"),
            '>' => safe.push_str("&gt;"),
            '"' => safe.push_str("&quot;"),
            '\'' => safe.push_str("&#39;"),
            other => safe.push(other),
        }
    }
    safe
}

/// The lines of a serve's card: label and words.
fn said(row: &Row, paper: Paper) -> Vec<(&'static str, &str)> {
    let large = |words| if paper.is_small() { None } else { words };
    let beside: [(&'static str, Option<&String>); 6] = [
        ("", large(row.bends.as_ref())),
        ("why", large(row.why.as_ref())),
        ("expect", large(row.expect.as_ref())),
        ("then", large(row.then.as_ref())),
        ("so far", row.points.as_ref()),
        ("lesson", row.lesson.as_ref()),
    ];
    let mut said = vec![("", row.shown.as_str())];
    said.extend(beside.into_iter().filter_map(|(label, words)| Some((label, words?.as_str()))));
    said
}

/// The lines of a switch's card.
fn said_of_switch(switch: &SwitchCard, paper: Paper) -> Vec<(&'static str, String)> {
    let mut said = Vec::new();
    said.extend(switch.when.clone().map(|when| ("when", when)));
    for (serve, old, new) in &switch.changes {
        if let Some(old) = old {
            said.push(("not", format!("{serve}: {old}")));
        }
        said.push(("now", format!("{serve}: {new}")));
    }
    if !paper.is_small() {
        said.extend(switch.not_when.clone().map(|words| ("not if", words)));
    }
    said
}

/// The largest type with which everything fits on one page, by counting letters.
fn type_pt(sheet: &Sheet, paper: Paper) -> f64 {
    let (height_mm, width_mm) = paper.inside_mm();
    let columns = paper.columns();
    let mut size = TYPE_PT.0;
    while size > TYPE_PT.1 {
        let em_mm = size * MM_PT;
        let column_em = width_mm / em_mm / columns as f64 - 2.0;
        let lines = |words: usize, width_em: f64| {
            (words as f64 * LETTER_EM / width_em.max(4.0)).ceil().max(1.0)
        };
        let rows: Vec<f64> = sheet
            .rows
            .iter()
            .map(|row| {
                let width = column_em - paper.picture_em().0 - BESIDE_EM;
                let receive = row.receive.as_ref().map_or(0, |receive| text::width(receive));
                let due = row
                    .due
                    .as_ref()
                    .map_or(0, |(name, plan)| 24 + text::width(name) + text::width(plan));
                let due = if due > 0 { lines(due, width) } else { 0.0 };
                let said: f64 = said(row, paper)
                    .iter()
                    .map(|(label, words)| lines(label.len() + 1 + text::width(words), width))
                    .sum();
                // Name, counts, and the receive in heavier type.
                (said + due + 2.2 + 1.15 * lines(receive * 11 / 10, width))
                    .max(paper.picture_em().1 / LINE_EM)
                    + 0.9
            })
            .collect();
        let switches: Vec<f64> = sheet
            .switches
            .iter()
            .map(|switch| {
                let said: f64 = said_of_switch(switch, paper)
                    .iter()
                    .map(|(_, words)| lines(8 + text::width(words), column_em))
                    .sum();
                said + 2.4
            })
            .collect();
        // Cards beside each other are as high as the highest.
        let height = |cards: &[f64]| -> f64 {
            cards.chunks(columns).map(|pair| pair.iter().copied().fold(0.0, f64::max)).sum()
        };
        let before: usize = sheet.before.iter().map(|thing| text::width(thing) + 3).sum();
        let before = if before == 0 || paper.is_small() {
            0.0
        } else {
            lines(before + 17, width_mm / em_mm) + 0.5
        };
        let head_and_foot = 10.0 + before;
        let total = (height(&rows) + height(&switches) + head_and_foot) * LINE_EM * em_mm;
        if total <= height_mm {
            break;
        }
        size -= STEP_PT;
    }
    size.max(TYPE_PT.1)
}

/// The sheet as one page of HTML.
pub fn html(sheet: &Sheet, paper: Paper) -> String {
    let mut page = String::new();
    let size = type_pt(sheet, paper);
    let title = escaped(&sheet.opponent);
    let _ = write!(
        page,
        "<!doctype html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n\
         <meta name=\"viewport\" content=\"width=device-width\">\n<title>{title}: bench sheet</title>\n\
         <style>\n{}</style>\n</head>\n<body>\n",
        style(paper, size)
    );
    let about = if sheet.about.is_empty() { String::new() } else { escaped(&sheet.about) };
    let source = sheet.source.as_ref().map(|source| format!(" ({})", escaped(source)));
    let _ = writeln!(
        page,
        "<header><h1>{title}</h1><p>{about}{} &middot; for {}, {}</p></header>",
        source.unwrap_or_default(),
        escaped(&sheet.player),
        sheet.day.date().format("%-d %B %Y")
    );
    if !sheet.before.is_empty() && !paper.is_small() {
        let things: Vec<String> = sheet.before.iter().map(|thing| escaped(thing)).collect();
        let _ = writeln!(
            page,
            "<p class=\"before\"><b>Before the match:</b> {}</p>",
            things.join(" &middot; ")
        );
    }
    switch_cards(&mut page, sheet, paper, true);
    page.push_str("<main>\n");
    for (place, row) in sheet.rows.iter().enumerate() {
        card(&mut page, place + 1, row, paper);
    }
    page.push_str("</main>\n");
    let safe = sheet.safe.as_deref().map_or_else(|| "none set".to_owned(), escaped);
    let _ = writeln!(page, "<p class=\"safe\"><b>Safe</b>, for anything unread or new: {safe}</p>");
    switch_cards(&mut page, sheet, paper, false);
    page.push_str(
        "<footer>Pictures: your end is below; the line is the serve, the dot where it lands, dashed your \
         receive, the triangle its target. Moments to switch: towel, time-out, between games. The event&#39;s rules on \
         advice and devices come first; this sheet is paper.</footer>\n</body>\n</html>\n",
    );
    page
}

fn style(paper: Paper, size: f64) -> String {
    format!(
        "@page {{ size: {}; margin: {}mm; }}\n\
         * {{ box-sizing: border-box; }}\n\
         body {{ margin: 0 auto; max-width: {}mm; font: {size}pt/{LINE_EM} sans-serif; color: #000; background: #fff; }}\n\
         h1 {{ font-size: 1.5em; line-height: 1.1; margin: 0; }}\n\
         header p {{ margin: 0 0 .5em; }}\n\
         main, section {{ display: grid; grid-template-columns: repeat({}, minmax(0, 1fr)); gap: .5em 1em; }}\n\
         article {{ border-top: 1.5pt solid #000; padding-top: .2em; break-inside: avoid; overflow-wrap: anywhere; }}\n\
         article svg {{ float: left; width: {}em; height: {}em; margin: 0 {BESIDE_EM}em 0 0; }}\n\
         article::after {{ content: ''; display: block; clear: both; }}\n\
         h2 {{ font-size: 1em; margin: 0; }}\n\
         h2 span {{ font-weight: normal; }}\n\
         p {{ margin: 0; }}\n\
         .play {{ font-weight: bold; font-size: 1.12em; }}\n\
         .label {{ font-style: italic; }}\n\
         .count b {{ display: inline-block; min-width: 3.2em; border-bottom: .8pt dotted #000; }}\n\
         .before {{ margin: 0 0 .5em; }}\n\
         .safe {{ margin: .6em 0; border: 1.5pt solid #000; padding: .2em .5em; }}\n\
         section article {{ border: 1pt dashed #000; padding: .3em .5em; }}\n\
         footer {{ margin-top: .5em; font-size: .85em; }}\n\
         @media screen {{ body {{ padding: 5mm; font-size: 11pt; }} }}\n",
        paper.size(),
        paper.margin_mm(),
        paper.inside_mm().1,
        paper.columns(),
        paper.picture_em().0,
        paper.picture_em().1,
    )
}

fn card(page: &mut String, number: usize, row: &Row, paper: Paper) {
    let mut facts = String::new();
    if !row.how_often.is_empty() {
        let _ = write!(facts, " {}", escaped(&row.how_often));
    }
    if !row.scores.is_empty() {
        let _ = write!(facts, ", more {}", escaped(&text::and_list(&row.scores)));
    }
    if let Some(standing) = &row.standing {
        let _ = write!(facts, "; answer {}", escaped(standing));
    }
    let _ = write!(
        page,
        "<article>\n{}<h2>{number} {}<span>{facts}</span></h2>\n",
        picture(row.picture),
        escaped(&row.serve)
    );
    let receive = row.receive.as_deref().map_or_else(|| "no receive yet".to_owned(), escaped);
    for (place, (label, words)) in said(row, paper).into_iter().enumerate() {
        let label = if label.is_empty() {
            String::new()
        } else {
            format!("<span class=\"label\">{label}</span> ")
        };
        let _ = writeln!(page, "<p>{label}{}</p>", escaped(words));
        if place == 0 {
            let _ = writeln!(page, "<p class=\"play\">{receive}</p>");
            if let Some((switch, plan)) = &row.due {
                let (switch, plan) = (escaped(switch), escaped(plan));
                let _ = writeln!(page, "<p>switch {switch}; the plan was {plan}</p>");
            }
        }
    }
    page.push_str(
        "<p class=\"count\">won <b>&nbsp;</b> lost <b>&nbsp;</b> waited <b>&nbsp;</b></p>\n</article>\n",
    );
}

/// The switches that are due now, or the others.
fn switch_cards(page: &mut String, sheet: &Sheet, paper: Paper, due: bool) {
    let mut cards = sheet.switches.iter().filter(|switch| switch.is_due == due).peekable();
    if cards.peek().is_some() {
        page.push_str("<section>\n");
        for switch in cards {
            switch_card(page, switch, paper);
        }
        page.push_str("</section>\n");
    }
}

fn switch_card(page: &mut String, switch: &SwitchCard, paper: Paper) {
    let ready = switch.ready.as_ref().map(|ready| format!(" <span>({})</span>", escaped(ready)));
    let _ = writeln!(
        page,
        "<article><h2>{}Switch: {}{}</h2>",
        if switch.is_due { "Due now. " } else { "" },
        escaped(&switch.name),
        ready.unwrap_or_default()
    );
    for (label, words) in said_of_switch(switch, paper) {
        let class = if label == "now" { " class=\"play\"" } else { "" };
        let _ = writeln!(
            page,
            "<p{class}><span class=\"label\">{label}</span> {}</p>",
            escaped(&words)
        );
    }
    page.push_str("<p>everything else stays</p></article>\n");
}

/// Drawn units in a metre.
const UNITS_M: f64 = 40.0;
/// Room around the table, drawn units.
const AROUND: f64 = 5.0;

/// The table from above, the receiver at the bottom: the serve a line, the receive a dashed arrow.
fn picture(picture: Picture) -> String {
    let (wide, long) = (TABLE_WIDTH_M * UNITS_M, TABLE_LENGTH_M * UNITS_M);
    let place = |(x, y): (f64, f64)| (AROUND + wide / 2.0 + y * UNITS_M, AROUND + x * UNITS_M);
    let net = AROUND + NET_X_M * UNITS_M;
    let mut svg = format!(
        "<svg viewBox=\"0 0 {:.0} {:.0}\" role=\"img\" aria-label=\"table from above, you at the bottom\">\
         <rect x=\"{AROUND}\" y=\"{AROUND}\" width=\"{wide:.1}\" height=\"{long:.1}\" fill=\"none\" stroke=\"#000\"/>\
         <line x1=\"1\" y1=\"{net:.1}\" x2=\"{:.1}\" y2=\"{net:.1}\" stroke=\"#000\" stroke-width=\"2\"/>",
        wide + 2.0 * AROUND,
        long + 2.0 * AROUND,
        wide + 2.0 * AROUND - 1.0,
    );
    let Some(serve) = picture.serve.map(place) else {
        svg.push_str("</svg>\n");
        return svg;
    };
    let server = place(picture.server);
    let _ = write!(
        svg,
        "<line x1=\"{:.1}\" y1=\"{:.1}\" x2=\"{:.1}\" y2=\"{:.1}\" stroke=\"#000\"/>\
         <circle cx=\"{:.1}\" cy=\"{:.1}\" r=\"3.5\" fill=\"#000\"/>",
        server.0, server.1, serve.0, serve.1, serve.0, serve.1
    );
    if let Some(target) = picture.target.map(place) {
        let _ = write!(
            svg,
            "<line x1=\"{:.1}\" y1=\"{:.1}\" x2=\"{:.1}\" y2=\"{:.1}\" stroke=\"#000\" stroke-width=\"1.6\" \
             stroke-dasharray=\"4 2\"/><path d=\"M {:.1} {:.1} l 4 7 l -8 0 z\" fill=\"#fff\" stroke=\"#000\"/>",
            serve.0,
            serve.1,
            target.0,
            target.1,
            target.0,
            target.1 - 4.0
        );
    }
    svg.push_str("</svg>\n");
    svg
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn nothing_from_a_file_becomes_markup() {
        assert_eq!(
            escaped("<b>\"a\" & 'b'</b>"),
            "&lt;b&gt;&quot;a&quot; &amp; &#39;b&#39;&lt;/b&gt;"
        );
    }

    #[test]
    fn the_receiver_sits_at_the_bottom() {
        let drawn = picture(Picture {
            server: (0.0, 0.6),
            serve: Some((2.0, 0.4)),
            target: Some((0.2, -0.4)),
        });
        // The serve comes down below the net line, the receive goes above it.
        assert!(drawn.contains("cy=\"85.0\""), "{drawn}");
        assert!(drawn.contains("y1=\"59.8\""), "{drawn}");
    }
}

//! The bench sheets on the page: what [`crate::page::sheet`] says, in its order and its words, as HTML that is
//! read without a script too; and beside each switch what it cost in the drill.

use std::fmt::Write as _;

use crate::agenda::progress::SwitchWeek;
use crate::base::text;
use crate::drill::Measured;
use crate::page::sheet::{ServeCard, Sheet, SwitchCard};
use crate::page::template::escaped;

/// The sheet of one opponent.
#[derive(Debug, Clone, PartialEq)]
pub struct PhoneSheet {
    /// The sheet as it is printed.
    pub sheet: Sheet,
    /// The last measured week of each switch that was called in the drill, by its name.
    pub costs: Vec<(String, SwitchWeek)>,
}

impl PhoneSheet {
    /// As HTML; `place` counts the opponents from 0.
    pub(super) fn html(&self, place: usize) -> String {
        let sheet = &self.sheet;
        let mut out = format!("<article class=\"sheet\" data-sheet=\"{place}\">\n");
        let about = (!sheet.about.is_empty()).then_some(&sheet.about);
        line(&mut out, "h2", "", Some(&sheet.opponent));
        line(&mut out, "p", "", about);
        line(&mut out, "p", "quiet", sheet.source.as_ref());
        if !sheet.before.is_empty() {
            line(&mut out, "h3", "", Some("Before the match"));
            out.push_str("<ul>");
            for thing in &sheet.before {
                line(&mut out, "li", "", Some(&sentence(thing)));
            }
            out.push_str("</ul>\n");
        }
        let of_due = |is_due: bool| sheet.switches.iter().filter(move |one| one.is_due == is_due);
        of_due(true).for_each(|switch| self.switch(&mut out, switch));
        out.push_str("<ol class=\"serves\">\n");
        sheet.rows.iter().for_each(|row| serve(&mut out, row));
        out.push_str("</ol>\n");
        let safe = sheet.safe.as_deref().map_or_else(|| "none set".to_owned(), escaped);
        let _ = writeln!(
            out,
            "<p class=\"safe\"><strong>Safe</strong>, for anything unread or new: {safe}</p>"
        );
        of_due(false).for_each(|switch| self.switch(&mut out, switch));
        let rules = "The event's rules on advice and devices come first. At the bench, take the paper sheet.";
        line(&mut out, "p", "quiet", Some(rules));
        out.push_str("</article>\n");
        out
    }

    fn switch(&self, out: &mut String, switch: &SwitchCard) {
        let (class, mark) =
            if switch.is_due { ("switch due", "Due now: switch") } else { ("switch", "Switch") };
        let _ = writeln!(out, "<div class=\"{class}\">");
        let ready = switch.ready.as_ref().map(|ready| format!(" ({ready})")).unwrap_or_default();
        line(out, "h3", "", Some(&format!("{mark} {}{ready}", switch.name)));
        out.push_str("<dl>");
        entry(out, "when", switch.when.as_ref());
        for (serve, old, new) in &switch.changes {
            entry(out, "serve", Some(serve));
            entry(out, "not", old.as_ref());
            let _ = write!(out, "<dt>now</dt><dd><strong>{}</strong></dd>", escaped(new));
        }
        entry(out, "not if", switch.not_when.as_ref());
        let own = self.costs.iter().find(|(name, _)| *name == switch.name);
        entry(out, "costs", own.map(|(_, week)| cost(week)).as_ref());
        out.push_str("</dl>\n");
        line(out, "p", "quiet", Some("Everything else stays."));
        out.push_str("</div>\n");
    }
}

fn serve(out: &mut String, row: &ServeCard) {
    out.push_str("<li>");
    line(out, "p", "serve", Some(&sentence(&row.shown)));
    line(out, "p", "receive", Some(row.receive.as_deref().unwrap_or("no receive yet")));
    if let Some((switch, plan)) = &row.due {
        let said = format!("The switch {switch}, due now; the plan was {plan}");
        line(out, "p", "due", Some(&said));
    }
    out.push_str("<dl>");
    entry(out, "ball", row.bends.as_ref());
    let tells = (!row.tells.is_empty()).then(|| row.tells.join("; "));
    entry(out, "tell", tells.as_ref());
    entry(out, "twin", row.looks_like.as_ref().map(|twin| format!("looks like {twin}")).as_ref());
    let scores = (!row.scores.is_empty()).then(|| text::and_list(&row.scores));
    entry(out, "score", scores.map(|scores| format!("comes more {scores}")).as_ref());
    entry(out, "why", row.why.as_ref());
    entry(out, "expect", row.expect.as_ref());
    entry(out, "then", row.then.as_ref());
    entry(out, "so far", row.points.as_ref());
    entry(out, "lesson", row.lesson.as_ref());
    let mut id = vec![row.serve.clone()];
    id.extend((!row.how_often.is_empty()).then(|| row.how_often.clone()));
    id.extend(row.standing.as_ref().map(|standing| format!("answer {standing}")));
    entry(out, "id", Some(&id.join(", ")));
    out.push_str("</dl></li>\n");
}

/// What the switch cost in its last week, and how many balls say so.
fn cost(week: &SwitchWeek) -> String {
    let said = |one: &Measured, times: f64, unit: &str| match one.value {
        Some(value) => {
            format!("{:+.0} {unit} ({} behind it)", value * times, text::count(one.balls, "ball"))
        }
        None => format!("too few for {unit} ({})", text::count(one.balls, "ball")),
    };
    format!(
        "in the drill, week of {}: {}, {}",
        week.from.spoken(),
        said(&week.cost_ms, 1.0, "ms"),
        said(&week.cost_wrong, 100.0, "wrong of 100")
    )
}

/// An element with words, when there are any.
fn line<T: AsRef<str>>(out: &mut String, name: &str, class: &str, words: Option<T>) {
    let Some(words) = words else { return };
    let class = if class.is_empty() { String::new() } else { format!(" class=\"{class}\"") };
    let _ = writeln!(out, "<{name}{class}>{}</{name}>", escaped(words.as_ref()));
}

/// A label and its words, when there are any.
fn entry(out: &mut String, label: &str, words: Option<&String>) {
    if let Some(words) = words {
        let _ = write!(out, "<dt>{label}</dt><dd>{}</dd>", escaped(words));
    }
}

/// With a capital at its beginning.
fn sentence(words: &str) -> String {
    let mut letters = words.chars();
    letters.next().map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect())
}

//! The bench sheet as text.

use crate::base::text;
use crate::page::paragraph::hung;
use crate::page::sheet::{ServeCard, Sheet, SwitchCard};

impl Sheet {
    /// The sheet as text, `width` columns wide.
    pub fn text(&self, width: usize) -> String {
        let mut lines = vec![
            self.opponent.to_uppercase(),
            format!("for {}, {}", self.player, self.day.date().format("%-d %B %Y")),
        ];
        if !self.about.is_empty() {
            lines.insert(1, self.about.clone());
        }
        if let Some(source) = &self.source {
            lines.push(format!("({source})"));
        }
        if !self.before.is_empty() {
            lines.push(String::new());
            lines.push("BEFORE THE MATCH".to_owned());
            lines.extend(self.before.iter().map(|thing| hung("  - ", thing, width)));
        }
        for switch in self.switches.iter().filter(|switch| switch.is_due) {
            switch_lines(&mut lines, switch, width);
        }
        for (place, row) in self.rows.iter().enumerate() {
            lines.push(String::new());
            row_lines(&mut lines, place + 1, row, width);
        }
        lines.push(String::new());
        let safe = match &self.safe {
            Some(safe) => format!("SAFE, for anything unread or new: {safe}"),
            None => "SAFE: none set; one receive for anything unread helps under stress".to_owned(),
        };
        lines.push(text::wrap(&safe, width, "    "));
        for switch in self.switches.iter().filter(|switch| !switch.is_due) {
            switch_lines(&mut lines, switch, width);
        }
        lines.push(String::new());
        let rules = "The event's rules on advice and devices come first; this sheet is paper.";
        lines.push(text::wrap(rules, width, ""));
        lines.join("\n") + "\n"
    }
}

/// One switch, after an empty line.
fn switch_lines(lines: &mut Vec<String>, switch: &SwitchCard, width: usize) {
    lines.push(String::new());
    let due = if switch.is_due { "DUE NOW  " } else { "" };
    let ready = switch.ready.as_ref().map(|ready| format!("  ({ready})"));
    lines.push(format!("{due}SWITCH  {}{}", switch.name, ready.unwrap_or_default()));
    for (label, words) in switch.entries() {
        lines.push(entry(label, &words, width));
    }
    lines.push("    everything else stays".to_owned());
}

/// A label and its words, wrapped under each other.
fn entry(label: &str, words: &str, width: usize) -> String {
    hung(&format!("    {label:<7} "), words, width)
}

fn row_lines(lines: &mut Vec<String>, number: usize, row: &ServeCard, width: usize) {
    lines.push(format!("{number:>2}  {}", row.facts().join("  |  ")));
    lines.push(text::wrap(&format!("    {}", row.shown), width, "    "));
    lines.extend(row.bends.as_ref().map(|bends| format!("    {bends}")));
    lines.extend(row.signs().iter().map(|(label, words)| entry(label, words, width)));
    let receive = row.receive.as_deref().unwrap_or("no receive yet");
    lines.push(text::wrap(&format!(" >> {}", receive.to_uppercase()), width, "    "));
    if let Some((switch, plan)) = &row.due {
        lines.push(entry("", &format!("the switch `{switch}`; the plan was {plan}"), width));
    }
    lines.extend(row.reasons().map(|(label, words)| entry(label, words, width)));
    lines.push("    count   won ........  lost ........  they waited .....".to_owned());
}

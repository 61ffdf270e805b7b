//! A session as text for the terminal or for paper: one page, eighty wide.

use crate::base::{Units, text};
use crate::page::rehearsal::document::{BlockSheet, SessionSheet};
use crate::page::rehearsal::sheet::sheet;
use crate::page::rehearsal::words::give_spaces;
use crate::rehearsal::Session;

/// Below the mark of a ball or the number of a block.
const UNDER: &str = "     ";

/// The session as text, `width` columns at most, lengths in the player's units.
pub fn text(session: &Session, width: usize, units: Units) -> String {
    let SessionSheet {
        title,
        head,
        reading,
        cautions,
        stands,
        cannot,
        between,
        blocks,
        command,
        has_more,
        ..
    } = &sheet(session, units);
    let width = width.max(60);
    let mut page = vec![title.clone(), text::wrap(&head.join(" "), width, "")];
    page.push(text::wrap(&reading.join(" "), width, ""));
    page.push(text::wrap(&cautions.join(" "), width, ""));
    for stand in stands {
        page.push(String::new());
        let number = stand.number.map_or("Stand: ".to_owned(), |n| format!("Stand {n}: "));
        if !stand.words.is_empty() {
            page.push(text::wrap(&format!("{number}{}", stand.words), width, UNDER));
        }
        for ball in &stand.balls {
            let answer = ball.answer.as_ref().map(|answer| format!(": {answer}"));
            let head = format!(" {:3} {}{}", ball.mark, ball.what, answer.unwrap_or_default());
            page.push(text::wrap(&head, width, UNDER));
            let set =
                ball.set.iter().map(|line| text::wrap(&format!("{UNDER}{line}"), width, UNDER));
            page.extend(set);
        }
    }
    page.extend(cannot.iter().map(|line| text::wrap(&format!(" -   {line}"), width, UNDER)));
    page.push(String::new());
    page.extend((!between.is_empty()).then(|| text::wrap(between, width, "")));
    for block in blocks {
        set(block, width, &mut page);
    }
    if let Some(command) = command {
        let more = if *has_more { ", and so on" } else { "" };
        let how = format!("After it (made/balls, or made/balls/wrong receive; - skips){more}:");
        page.extend([String::new(), text::wrap(&how, width, ""), command.clone()]);
    }
    let page: String = page.iter().flat_map(|line| [line.trim_end(), "\n"]).collect();
    give_spaces(&page)
}

/// A block: its head with what is written down, what to mind, the order.
fn set(block: &BlockSheet, width: usize, page: &mut Vec<String>) {
    let slot = |slot: &_| {
        let super::document::LogSlot { letter, balls, .. } = slot;
        format!("{letter} __/{balls}")
    };
    let log = block.log.iter().map(slot).collect::<Vec<_>>().join("  ");
    let head = format!("{:3}  {}", block.number, block.name);
    let gap = width.saturating_sub(text::width(&head) + text::width(&log));
    if gap >= 2 {
        page.push(format!("{head}{:gap$}{log}", ""));
    } else {
        page.push(text::wrap(&head, width, UNDER));
        let gap = width.saturating_sub(text::width(&log));
        page.extend((!log.is_empty()).then(|| format!("{:gap$}{log}", "")));
    }
    if !block.says.is_empty() {
        page.push(text::wrap(&format!("{UNDER}{}", block.says.join(" ")), width, UNDER));
    }
    for line in &block.order {
        page.extend(
            line.calls.iter().map(|call| text::wrap(&format!("{UNDER}{call}"), width, UNDER)),
        );
        page.push(format!("{UNDER}{:3}  {}", line.from, line.marks.join(" ")));
    }
}

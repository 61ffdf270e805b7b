//! Paragraphs of a report: wrapped under themselves, names with hyphens never broken.

use crate::base::text;

/// A hyphen that no line is broken at.
const WHOLE: &str = "\u{2011}";

/// `words` in lines of at most `width` columns: `lead` before the first, as many spaces before the
/// others.
pub(crate) fn hung(lead: &str, words: &str, width: usize) -> String {
    let indent = " ".repeat(text::width(lead));
    let words = text::one_line(words).replace('-', WHOLE);
    let room = width.saturating_sub(indent.len()).max(20);
    let wrapped = text::wrap(&words, room, "").replace(WHOLE, "-");
    format!("{lead}{}", wrapped.replace('\n', &format!("\n{indent}")))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_name_with_hyphens_stays_on_one_line() {
        let page = hung("  - ", "the serve is called bh-short-fh-again here", 32);
        assert_eq!(page, "  - the serve is called\n    bh-short-fh-again here");
    }
}

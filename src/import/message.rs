//! The answers inside whatever text they came in: a message with a greeting and a signature,
//! quoted or wrapped lines, quotation marks that a keyboard made typographic.
//!
//! The page writes plain letters only, with no space inside its words, so whatever else stands
//! there was added on the way. An older page wrote spaces; a line that broke inside one of its
//! words broke at a space.

use crate::base::Finding;

/// Braces looked behind for the answers.
const MOST_STARTS: usize = 20;
/// The way out when something of the answers is missing.
pub(super) const AGAIN: &str = "save the file once more on the phone, or copy the text whole";

/// Why answers are not read.
pub(super) fn refused(what: impl Into<String>, hint: impl Into<String>) -> Vec<Finding> {
    vec![Finding::error(what).hint(hint)]
}

/// The answers in a text, whole, as JSON.
pub(super) fn answers_in(given: &str) -> Result<String, Vec<Finding>> {
    let given = given.trim_start_matches('\u{feff}').trim();
    if given.is_empty() {
        return Err(refused("there is nothing in it", AGAIN));
    }
    let plain = given.replace(['\u{201c}', '\u{201d}', '\u{201e}'], "\"").replace('\u{a0}', " ");
    if !plain.contains("\"secondball\"") {
        let is_middle = plain.contains("\"sitting\"") && plain.contains("\"fact\"");
        return Err(if is_middle {
            refused("the beginning of the answers is missing", AGAIN)
        } else {
            refused(
                "there are no answers of a phone in it",
                "give the file the page saved, or paste its text whole",
            )
        });
    }
    let is_quoted = plain.lines().any(|line| line.starts_with('>') && line.contains('{'));
    let text = if is_quoted {
        plain.lines().map(without_marks).collect::<Vec<_>>().join("\n")
    } else {
        plain
    };
    // What has a word first may be the answers; a greeting holds few such braces.
    let last = text.rfind("\"secondball\"").unwrap_or_default();
    let is_start = |at: &usize| text[at + 1..].trim_start().starts_with('"');
    let starts = text[..last].match_indices('{').map(|(at, _)| at);
    let mut starts = starts.filter(is_start).take(MOST_STARTS);
    let is_ours = |found: &String| found.contains("\"secondball\"");
    starts
        .find_map(|at| whole(&text[at..]).filter(is_ours))
        .ok_or_else(|| refused("the answers are cut off", AGAIN))
}

/// A line without the marks of a quotation.
fn without_marks(line: &str) -> &str {
    line.trim_start_matches(['>', ' '])
}

/// From the first brace to the one that closes it; none when it is never closed.
fn whole(text: &str) -> Option<String> {
    let mut out = String::with_capacity(text.len());
    let (mut depth, mut is_inside, mut is_escaped) = (0_u32, false, false);
    for letter in text.chars() {
        if is_inside && (letter == '\n' || letter == '\r') {
            // A line that was wrapped inside a word of an older page: its space is all that is
            // missing.
            if !out.ends_with(' ') {
                out.push(' ');
            }
            continue;
        }
        out.push(letter);
        match letter {
            _ if is_escaped => is_escaped = false,
            '\\' if is_inside => is_escaped = true,
            '"' => is_inside = !is_inside,
            '{' if !is_inside => depth += 1,
            '}' if !is_inside => {
                depth -= 1;
                if depth == 0 {
                    return Some(out);
                }
            }
            _ => {}
        }
    }
    None
}

#[cfg(test)]
mod tests {
    use super::*;

    const PLAIN: &str = r#"{"secondball":"phone","events":[{"said":"a } in \"words\""}]}"#;

    #[test]
    fn a_greeting_a_signature_and_quotation_marks_are_left_out() {
        let message = format!("Hi!\n\nmy answers: {PLAIN}\n-- \nSent from {{a phone}}\n");
        assert_eq!(answers_in(&message), Ok(PLAIN.to_owned()));
        let quoted = PLAIN.replace("[{", "[\n{").replace(":\"", ":\n\"");
        let quoted = format!("> {}", quoted.replace('\n', "\n> "));
        let text = answers_in(&quoted).unwrap();
        assert_eq!(text.replace('\n', ""), PLAIN);
        let curly = r#"{"secondball":"phone","events":[]}"#;
        let typed = curly.replacen('"', "\u{201c}", 1).replacen("\":", "\u{201d}:", 1);
        assert_eq!(answers_in(&typed), Ok(curly.to_owned()));
    }

    #[test]
    fn a_line_wrapped_at_a_space_has_its_space_again() {
        let old = r#"{"secondball":"phone","said":"long push worked"}"#;
        assert_eq!(answers_in(&old.replace("long push", "long\r\npush")), Ok(old.into()));
        assert_eq!(answers_in(&old.replace("long push", "long \npush")), Ok(old.into()));
    }

    #[test]
    fn what_is_missing_is_said() {
        let what = |given: &str| answers_in(given).unwrap_err()[0].what.clone();
        assert_eq!(what(" \n"), "there is nothing in it");
        assert_eq!(what("hello {you}"), "there are no answers of a phone in it");
        assert_eq!(what(&PLAIN[..PLAIN.len() - 3]), "the answers are cut off");
        let headless = r#""n":1},{"sitting":"a","fact":{}}]}"#;
        assert_eq!(what(headless), "the beginning of the answers is missing");
    }

    #[test]
    fn braces_without_end_are_not_gone_through_again_and_again() {
        let braces = "{".repeat(1_000_000);
        for text in [format!("{braces}\"secondball\""), format!("{{\"secondball\":{braces}")] {
            assert_eq!(answers_in(&text).unwrap_err()[0].what, "the answers are cut off");
        }
        let after = format!("{} {PLAIN}", "{ ".repeat(100_000));
        assert_eq!(answers_in(&after), Ok(PLAIN.to_owned()));
    }
}

//! The answers inside whatever text they came in: a message with a greeting and a signature,
//! quoted or wrapped lines, quotation marks that a keyboard made typographic.
//!
//! The page writes plain letters only, with no space inside its words, so whatever else stands
//! there was added on the way. An older page wrote spaces; a line that broke inside one of its
//! words broke at a space.

/// What a text holds.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) enum AnswersFound {
    /// The answers, whole, as JSON.
    Whole(String),
    /// They begin and do not end.
    CutOff,
    /// There are events, and nothing that they begin with.
    Headless,
    /// No letter at all.
    Empty,
    Nothing,
}

pub(super) fn answers_in(given: &str) -> AnswersFound {
    let given = given.trim_start_matches('\u{feff}').trim();
    if given.is_empty() {
        return AnswersFound::Empty;
    }
    let plain: String = given
        .chars()
        .map(|letter| match letter {
            '\u{201c}' | '\u{201d}' | '\u{201e}' => '"',
            '\u{a0}' => ' ',
            other => other,
        })
        .collect();
    if !plain.contains("\"secondball\"") {
        let is_middle = plain.contains("\"sitting\"") && plain.contains("\"fact\"");
        return if is_middle { AnswersFound::Headless } else { AnswersFound::Nothing };
    }
    let is_quoted = plain.lines().any(|line| line.starts_with('>') && line.contains('{'));
    let text = if is_quoted {
        plain.lines().map(without_marks).collect::<Vec<_>>().join("\n")
    } else {
        plain
    };
    let mut starts = text.match_indices('{').map(|(at, _)| at);
    let is_ours = |found: &String| found.contains("\"secondball\"");
    starts
        .find_map(|at| whole(&text[at..]).filter(is_ours))
        .map_or(AnswersFound::CutOff, AnswersFound::Whole)
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
        assert_eq!(answers_in(&message), AnswersFound::Whole(PLAIN.to_owned()));
        let quoted = PLAIN.replace("[{", "[\n{").replace(":\"", ":\n\"");
        let quoted = format!("> {}", quoted.replace('\n', "\n> "));
        let AnswersFound::Whole(text) = answers_in(&quoted) else { panic!("{quoted}") };
        assert_eq!(text.replace('\n', ""), PLAIN);
        let curly = r#"{"secondball":"phone","events":[]}"#;
        let typed = curly.replacen('"', "\u{201c}", 1).replacen("\":", "\u{201d}:", 1);
        assert_eq!(answers_in(&typed), AnswersFound::Whole(curly.to_owned()));
    }

    #[test]
    fn a_line_wrapped_at_a_space_has_its_space_again() {
        let old = r#"{"secondball":"phone","said":"long push worked"}"#;
        assert_eq!(
            answers_in(&old.replace("long push", "long\r\npush")),
            AnswersFound::Whole(old.into())
        );
        assert_eq!(
            answers_in(&old.replace("long push", "long \npush")),
            AnswersFound::Whole(old.into())
        );
    }

    #[test]
    fn what_is_missing_is_said() {
        assert_eq!(answers_in(" \n"), AnswersFound::Empty);
        assert_eq!(answers_in("hello {you}"), AnswersFound::Nothing);
        assert_eq!(answers_in(&PLAIN[..PLAIN.len() - 3]), AnswersFound::CutOff);
        assert_eq!(answers_in(r#""n":1},{"sitting":"a","fact":{}}]}"#), AnswersFound::Headless);
    }
}

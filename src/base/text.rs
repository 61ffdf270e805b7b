//! Small pieces of English and of alignment used by every message and every screen.

use std::borrow::Cow;
use std::fmt::Write as _;

use unicode_width::UnicodeWidthStr;

/// Folds the spellings of a word to the one in files: lower case, underscores between parts.
pub fn plain_word(given: &str) -> String {
    given
        .trim()
        .to_lowercase()
        .split(|letter: char| letter.is_whitespace() || letter == '-' || letter == '_')
        .filter(|part| !part.is_empty())
        .collect::<Vec<_>>()
        .join("_")
}

/// The word among `known` probably meant by `given`, when one is close enough to be worth a hint.
pub fn closest<'a>(given: &str, known: &[&'a str]) -> Option<&'a str> {
    let given = plain_word(given);
    known
        .iter()
        .map(|word| (strsim::damerau_levenshtein(&given, &plain_word(word)), *word))
        .filter(|(distance, word)| *distance <= 1 + word.len().min(given.len().max(1)) / 4)
        .min_by_key(|(distance, _)| *distance)
        .map(|(_, word)| word)
}

/// A hint at the word probably meant, or what there is to say when none is close.
pub fn meant(given: &str, known: &[&str], otherwise: impl Into<String>) -> String {
    closest(given, known).map_or_else(|| otherwise.into(), |word| format!("did you mean `{word}`?"))
}

/// `a` or `an`, as the word sounds by its first letter.
pub fn article(word: &str) -> &'static str {
    if word.starts_with(['a', 'e', 'i', 'o']) { "an" } else { "a" }
}

/// Whether a folded name, or any word in it, begins with this folded text.
pub fn begins_a_word(name: &str, begin: &str) -> bool {
    !begin.is_empty() && (name.starts_with(begin) || name.contains(&format!("_{begin}")))
}

/// ``one of `a`, `b` ``: the words a place may hold.
pub fn one_of<S: AsRef<str>>(words: &[S]) -> String {
    let quoted: Vec<_> = words.iter().map(|word| format!("`{}`", word.as_ref())).collect();
    if quoted.len() == 1 { quoted.concat() } else { format!("one of {}", quoted.join(", ")) }
}

/// `a, b and c`; `a, b; c and d` where a word has a comma of its own.
pub fn and_list<S: AsRef<str>>(words: &[S]) -> String {
    listed(words, "and")
}

/// `a, b or c`.
pub fn or_list<S: AsRef<str>>(words: &[S]) -> String {
    listed(words, "or")
}

fn listed<S: AsRef<str>>(words: &[S], last_with: &str) -> String {
    match words {
        [] => String::new(),
        [only] => only.as_ref().to_owned(),
        [first @ .., last] => {
            let has_comma = words.iter().any(|word| word.as_ref().contains(", "));
            let first: Vec<_> = first.iter().map(AsRef::as_ref).collect();
            let first = first.join(if has_comma { "; " } else { ", " });
            format!("{first} {last_with} {}", last.as_ref())
        }
    }
}

/// `1 serve`, `2 serves`: a count with its noun; the plural takes an `s`, `y` becomes `ies`.
pub fn count(number: usize, noun: &str) -> String {
    if number == 1 {
        return format!("1 {noun}");
    }
    match noun.strip_suffix('y') {
        Some(stem) if !stem.ends_with(['a', 'e', 'o', 'u']) => format!("{number} {stem}ies"),
        _ => format!("{number} {noun}s"),
    }
}

/// Columns a text takes in a terminal.
pub fn width(text: &str) -> usize {
    UnicodeWidthStr::width(text)
}

/// `text` padded on the right to `columns`, or cut with `…` when it is longer.
pub fn fit(text: &str, columns: usize) -> String {
    let have = width(text);
    if have <= columns {
        return format!("{text}{}", " ".repeat(columns - have));
    }
    let mut cut = String::new();
    for letter in text.chars() {
        if width(&cut) + width(letter.encode_utf8(&mut [0; 4])) + 1 > columns {
            break;
        }
        cut.push(letter);
    }
    cut.push('…');
    let have = width(&cut);
    format!("{cut}{}", " ".repeat(columns.saturating_sub(have)))
}

/// `text` broken at spaces into lines of at most `columns`, every line after the first indented. A
/// command in backticks stays on one line where it fits, so that it can be typed as it stands.
pub fn wrap(text: &str, columns: usize, indent: &str) -> String {
    let options = textwrap::Options::new(columns)
        .subsequent_indent(indent)
        .word_splitter(textwrap::WordSplitter::NoHyphenation);
    let room = columns.saturating_sub(width(indent));
    let whole: String = text
        .split_inclusive('`')
        .map(|part| {
            let is_command = part.starts_with("secondball ") && width(part) < room;
            if is_command { part.replace(' ', "\u{a0}") } else { part.to_owned() }
        })
        .collect();
    let wrapped = textwrap::fill(&whole, options);
    if whole == text { wrapped } else { wrapped.replace('\u{a0}', " ") }
}

/// True of a letter that moves the cursor, turns the direction of writing or takes no room: in a
/// text from a file it could hide or change what is read.
pub fn is_hidden(letter: char) -> bool {
    letter.is_control()
        || matches!(
            letter,
            '\u{ad}' | '\u{61c}' | '\u{180e}' | '\u{200b}'..='\u{200f}' | '\u{2028}'..='\u{202e}'
                | '\u{2060}'..='\u{206f}' | '\u{feff}' | '\u{fff9}'..='\u{fffb}'
                | '\u{e0000}'..='\u{e007f}'
        )
}

/// A text whose hidden letters are shown as signs (`␛`, `<U+202E>`); line ends and tabs become
/// spaces.
pub fn visible(text: &str) -> Cow<'_, str> {
    shown(text, |letter| if letter.is_ascii_whitespace() { " " } else { "" }.to_owned())
}

/// The same for what is printed: line ends and tabs are ours.
pub fn printed(text: &str) -> Cow<'_, str> {
    shown(text, |letter| letter.to_string())
}

fn shown(text: &str, space: impl Fn(char) -> String) -> Cow<'_, str> {
    if !text.contains(is_hidden) {
        return Cow::Borrowed(text);
    }
    let letters: Vec<char> = text.chars().collect();
    // Between letters of other scripts a joiner is spelling, and in one picture of several.
    let is_spelling = |place: usize| {
        let is_other = |place: usize| {
            letters.get(place).is_some_and(|other| !other.is_ascii() && !is_hidden(*other))
        };
        matches!(letters[place], '\u{200c}' | '\u{200d}')
            && place > 0
            && is_other(place - 1)
            && is_other(place + 1)
    };
    let sign = |(place, &letter): (usize, &char)| match letter {
        '\n' | '\t' => space(letter),
        '\0'..='\u{1f}' => char::from_u32(0x2400 + u32::from(letter)).into_iter().collect(),
        '\u{7f}' => "\u{2421}".to_owned(),
        _ if is_hidden(letter) && !is_spelling(place) => format!("<U+{:04X}>", u32::from(letter)),
        _ => letter.to_string(),
    };
    Cow::Owned(letters.iter().enumerate().map(sign).collect())
}

/// JSON whose hidden letters are escaped; the line ends between its values are ours.
pub fn escaped_json(json: &str) -> Cow<'_, str> {
    let is_escaped = |letter: char| is_hidden(letter) && letter != '\n';
    if !json.contains(is_escaped) {
        return Cow::Borrowed(json);
    }
    let mut escaped = String::with_capacity(json.len());
    for letter in json.chars() {
        if is_escaped(letter) {
            for unit in letter.encode_utf16(&mut [0; 2]) {
                // A text takes everything that is written to it.
                let _ = write!(escaped, "\\u{unit:04x}");
            }
        } else {
            escaped.push(letter);
        }
    }
    Cow::Owned(escaped)
}

/// A text made safe for one line: nothing in it is hidden, and runs of white space become one.
pub fn one_line(text: &str) -> String {
    visible(text).split_whitespace().collect::<Vec<_>>().join(" ")
}

/// A word as it is typed in a shell: in double quotes where it needs them.
pub fn typed(word: &str) -> String {
    let word = one_line(word);
    let is_plain = word.chars().all(|letter| letter.is_alphanumeric() || "-_.".contains(letter));
    let is_flag = word.is_empty() || word.starts_with('-');
    if is_plain && !is_flag { word } else { format!("\"{}\"", word.replace('"', "\\\"")) }
}

/// A name folded to what a file may be called on every system: lower case letters, digits, hyphens.
pub fn file_stem(name: &str) -> String {
    let folded: String = name
        .chars()
        .map(|letter| if letter.is_alphanumeric() { letter.to_ascii_lowercase() } else { '-' })
        .collect();
    let stem = folded.split('-').filter(|part| !part.is_empty()).collect::<Vec<_>>().join("-");
    if stem.is_empty() { "opponent".to_owned() } else { stem }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn counts_take_the_right_plural() {
        assert_eq!(count(1, "serve"), "1 serve");
        assert_eq!(count(0, "serve"), "0 serves");
        assert_eq!(count(2, "day"), "2 days");
        assert_eq!(count(3, "entry"), "3 entries");
    }

    #[test]
    fn a_command_in_backticks_is_not_broken_over_two_lines() {
        let words =
            "add one with `secondball today --event \"Autumn open=2026-12-05\"` when it is known";
        for columns in 56..90 {
            let wrapped = wrap(words, columns, "  ");
            let is_whole =
                |line: &str| line.contains("`secondball today --event \"Autumn open=2026-12-05\"`");
            assert!(wrapped.lines().any(is_whole), "{wrapped}");
            assert!(wrapped.lines().all(|line| width(line) <= columns), "{wrapped}");
        }
    }

    #[test]
    fn a_name_is_not_broken_at_its_hyphens() {
        assert_eq!(wrap("the serve pendulum-wide", 18, ""), "the serve\npendulum-wide");
    }

    #[test]
    fn a_far_word_is_not_offered() {
        assert_eq!(closest("banana", &["short", "long"]), None);
        assert_eq!(closest("pendulm", &["pendulum", "hook"]), Some("pendulum"));
    }

    #[test]
    fn fitted_text_has_exactly_the_columns_asked_for() {
        for text in ["", "short", "a far longer text", "日本語の文字"] {
            assert_eq!(width(&fit(text, 8)), 8, "{text}");
        }
    }

    #[test]
    fn what_is_hidden_in_a_text_is_shown_as_a_sign_and_spelling_stays() {
        assert_eq!(one_line("a\u{1b}[2Jb\r\n c"), "a\u{241b}[2Jb\u{240d} c");
        assert_eq!(one_line("Kim\u{202e}\u{9b}"), "Kim<U+202E><U+009B>");
        let family = "\u{1f469}\u{200d}\u{1f467}";
        assert_eq!((&*visible(family), &*visible("a\u{200d}b")), (family, "a<U+200D>b"));
        assert_eq!(printed("a\n\tb\r\n"), "a\n\tb\u{240d}\n");
        assert_eq!(escaped_json("{\n\"\u{202e}\u{e0001}\"}"), "{\n\"\\u202e\\udb40\\udc01\"}");
    }

    #[test]
    fn a_name_becomes_a_file_name_of_every_system() {
        assert_eq!(file_stem("Left-hander, north hall"), "left-hander-north-hall");
        assert_eq!(file_stem("../.."), "opponent");
    }
}

//! Pages of a terminal from templates: the words stand as they are read, figures come from filters.
//!
//! A line that is too wide is broken under its own first word; a tab in it says where the words
//! begin under which the rest hangs (`  - <tab>words`): with a tab at its end it is never broken,
//! with one at its begin it goes on two columns further in. Blocks alone on a line leave nothing
//! behind.

use minijinja::syntax::SyntaxConfig;
use minijinja::value::{Serde, Value};
use minijinja::{AutoEscape, Environment, Error, ErrorKind, UndefinedBehavior};
use serde::Serialize;

use crate::base::{Day, text};
use crate::game::Receive;
use crate::launcher::DialSetting;
use crate::page::bar::bar;
use crate::page::launcher_words::dials_words;
use crate::page::numbers::{
    date, letter, mark, matches, of_hundred, points_behind, range, signed, sureness, times,
};
use crate::page::paragraph::hung;

/// A template filled with a document, `width` columns wide.
pub(super) fn filled_text(template: &str, document: &impl Serialize, width: usize) -> String {
    let page = filled_lines(template, document);
    page.split_inclusive('\n').map(|line| broken(line, width)).collect()
}

/// A template filled with a document, its lines as they are.
pub(super) fn filled_lines(template: &str, document: &impl Serialize) -> String {
    // A template asks only for what its document has: every one is filled by a test.
    render(template, document).unwrap_or_else(|error| format!("{error:#}\n"))
}

fn render(template: &str, document: &impl Serialize) -> Result<String, Error> {
    let mut environment = Environment::new();
    // With a mode of escaping, what a macro printed is told from what a document holds.
    environment.set_auto_escape_callback(|_| AutoEscape::Custom("text".into()));
    environment.set_undefined_behavior(UndefinedBehavior::Strict);
    let mut syntax = SyntaxConfig::builder();
    syntax.trim_blocks(true).lstrip_blocks(true).keep_trailing_newline(true);
    environment.set_syntax(syntax.build()?);
    environment.set_formatter(|out, _, value| match value.as_str() {
        _ if value.is_none() => Err(Error::new(ErrorKind::UndefinedError, "nothing to print")),
        // A macro ends its own last line, and so does the line that asks for it.
        Some(words) if value.is_safe() => Ok(out.write_str(words.trim_end_matches('\n'))?),
        Some(words) => Ok(out.write_str(&text::visible(words))?),
        _ => Ok(write!(out, "{value}")?),
    });
    add_filters(&mut environment);
    environment.add_filter("count", |number: usize, noun: &str| text::count(number, noun));
    environment.add_filter("and_list", |words: Vec<String>| text::and_list(&words));
    environment.add_filter("times", times);
    environment.add_filter("matches", matches);
    environment.add_filter("line", |words: &str| text::one_line(words));
    environment.add_filter("receive", |receive: Serde<Receive>| receive.shown());
    environment.add_filter("letter", letter);
    environment.add_filter("mark", mark);
    environment.add_filter("points_behind", points_behind);
    environment.add_filter("sureness", sureness);
    environment.add_filter("bar", bar);
    environment.add_filter("typed", text::typed);
    environment
        .add_filter("fit", |words: Value, columns: usize| text::fit(&words.to_string(), columns));
    environment.add_filter("right", |words: Value, columns: usize| {
        let words = words.to_string();
        format!("{}{words}", " ".repeat(columns.saturating_sub(text::width(&words))))
    });
    environment.add_filter("plain", |number: f64| number.to_string());
    environment.add_filter("cm", |m: f64, digits: usize| format!("{:.digits$}", m * 100.0));
    environment.add_filter("dials", |dials: Serde<Vec<DialSetting>>| dials_words(&dials));
    environment.template_from_str(template)?.render(Serde(document))
}

/// The filters for figures, for text and HTML alike.
pub(super) fn add_filters(environment: &mut Environment<'_>) {
    environment.add_filter("hundred", of_hundred);
    environment.add_filter("signed", |difference: f64, digits: Option<usize>| match digits {
        Some(digits) => format!("{:+.digits$}", difference * 100.0),
        None => signed(difference),
    });
    environment.add_filter("range", |ends: Serde<(f64, f64)>| range(ends.0));
    environment.add_filter("plus", |number: f64, digits: usize| format!("{number:+.digits$}"));
    environment.add_filter("fixed", |number: f64, digits: usize| format!("{number:.digits$}"));
    environment.add_filter("date", |day: Serde<Day>| date(day.0));
    environment.add_filter("spoken", |day: Serde<Day>| day.0.spoken());
}

/// A line in as many as the width asks for.
fn broken(line: &str, width: usize) -> String {
    let (line, end) = line.strip_suffix('\n').map_or((line, ""), |line| (line, "\n"));
    if let Some(line) = line.strip_prefix('\t') {
        let indent = line.len() - line.trim_start().len() + 2;
        return format!("{}{end}", text::wrap(line, width, &" ".repeat(indent)));
    }
    let words = line.trim_start();
    let (lead, words) = line.split_once('\t').unwrap_or((&line[..line.len() - words.len()], words));
    if text::width(lead) + text::width(words) <= width {
        return format!("{}{end}", format!("{lead}{words}").trim_end());
    }
    format!("{}{end}", hung(lead, words, width))
}

#[cfg(test)]
mod tests {
    use serde_json::json;

    use super::*;

    #[test]
    fn words_hang_under_the_first_or_under_the_tab() {
        let template =
            "{% for word in words %}\n  - \t{{ word }}\n{% endfor %}\n  and {{ last }}\n";
        let document = json!({ "words": ["one two three"], "last": "four five six" });
        let page = filled_text(template, &document, 12);
        let expected = "  - one two three";
        assert_eq!(
            filled_text(template, &document, 40),
            format!("{expected}\n  and four five six\n")
        );
        assert!(page.lines().all(|line| line.starts_with("  ")), "{page}");
    }

    #[test]
    fn figures_are_said_as_everywhere_and_controls_do_not_move_the_cursor() {
        let template =
            "{{ rate | hundred }} {{ ends | range }} {{ n | count(\"ball\") }} {{ w | fit(4) }}|";
        let document = json!({ "rate": 0.456, "ends": [0.4, 0.5], "n": 2, "w": "a\u{1b}" });
        assert_eq!(filled_text(template, &document, 80), "46 40 to 50 2 balls a\u{241b}  |");
    }

    #[test]
    fn what_is_missing_or_none_is_an_error() {
        let document = json!({ "none": null });
        for asks in ["{{ gone }}", "{{ none }}"] {
            assert!(render(asks, &document).is_err(), "{asks}");
        }
    }
}

//! One way to fill a template: whatever it prints is escaped for HTML, and what it asks for must be
//! there.
//!
//! Names are data, and a deck may come from anybody. Only what a template itself calls `safe`
//! stands as it is: our own style, scripts and drawings.

use minijinja::value::{Serde, Value};
use minijinja::{AutoEscape, Environment, Error, HtmlEscape, UndefinedBehavior, escape_formatter};
use serde::Serialize;

use crate::base::text;
use crate::page::text_page::add_filters;

/// A template filled with a document; `name` is for the error.
///
/// # Errors
/// What is wrong with the template, or what it asks for that the document does not have.
pub(super) fn filled(
    name: &'static str,
    template: &'static str,
    document: &impl Serialize,
) -> Result<String, Error> {
    let mut environment = Environment::new();
    environment.set_auto_escape_callback(|_| AutoEscape::Html);
    environment.set_undefined_behavior(UndefinedBehavior::Strict);
    environment.set_formatter(|out, state, value| match value.as_str() {
        Some(words) if !value.is_safe() => {
            escape_formatter(out, state, &Value::from(&*text::visible(words)))
        }
        _ => escape_formatter(out, state, value),
    });
    add_filters(&mut environment);
    environment.template_from_named_str(name, template)?.render(Serde(document))
}

/// A drawing, which is filled by a test and asks only for what it is given.
pub(super) fn drawn(template: &'static str, drawing: &impl Serialize) -> String {
    filled("drawing", template, drawing).unwrap_or_else(|error| format!("{error:#}")) + "\n"
}

/// A text as one line made safe inside HTML, for what is set without a template.
pub(super) fn escaped(words: &str) -> String {
    HtmlEscape(&text::one_line(words)).to_string()
}

#[cfg(test)]
mod tests {
    use std::collections::BTreeMap;

    use serde_json::{Value, json};

    use super::*;

    /// Every template with a document in which every word of a file is this one.
    fn pages(name: &str) -> [(&'static str, String); 3] {
        let rehearsal = json!({
            "style": "p {}", "size": "A4", "margin_mm": 12, "is_small": false,
            "drawings": ["<svg></svg>"],
            "sheet": {
                "title": name, "head": [name], "reading": [name], "cautions": [name],
                "stands": [{ "number": 1, "words": name, "balls": [
                    { "mark": name, "what": name, "answer": name, "set": [name] },
                ] }],
                "cannot": [name], "between": name,
                "blocks": [{
                    "number": 1, "name": name, "says": [name],
                    "order": [{ "calls": [name], "from": 1, "marks": [name] }],
                    "log": [{ "letter": "A", "balls": 2 }],
                }],
                "command": name, "has_more": false,
            },
        });
        let advice = json!({ "is_due": true, "says": name, "command": name });
        let svgs = json!([[name, "<svg></svg>"]]);
        let none = json!({ "step": "day", "periods": [], "advice": advice });
        let progress = json!({
            "style": "p {}", "towards": name, "checked": name, "wrong_lately": name,
            "progress": {
                "player": name, "opponent": name, "has_simulated": true, "today": "2026-11-25",
                "windows": none,
                "recall": { "target": 0.9, "advice": advice }, "tempo": none,
                "switches": { "none": null, "costs": [
                    { "name": name, "opponent": name, "weeks": [], "advice": advice },
                ] },
                "table": { "none": advice, "opponents": [{
                    "opponent": name, "advice": advice,
                    "serves": [{ "serve": name, "called": name, "receives": [name], "made": 1, "missed": 0, "wrong": 0 }],
                }] },
            },
            "patterns": [{ "words": name, "receive": name, "now": 1, "then": 1, "stands": name }],
            "keys": { "recall": [["A", name]], "tables": [[["A", name]]] },
            "drawings": {
                "recall": svgs, "windows": svgs, "tempo": [], "switches": [svgs], "tables": [svgs],
            },
        });
        let switch = json!({
            "name": name, "ready": name, "is_due": true, "when": name, "card": name,
            "changes": [[name, name, name]],
        });
        let row = json!({
            "shown": name, "called": name, "ball": name, "serve": name, "receive": name, "due": [name, name], "bends": name,
            "tells": [name, name], "looks_like": name, "if_twin": name, "scores": [name, name, name], "why": name,
            "expect": name, "then": name, "points": name, "lesson": name, "how_often": name,
            "standing": name,
        });
        let phone = json!({
            "nonce": name, "data": "{}", "style": "p {}", "logic": "1;", "script": "2;", "player": name,
            "sheets": [{ "costs": { name: name }, "sheet": {
                "opponent": name, "about": name, "source": name, "before": [name], "rows": [row],
                "safe": name, "switches": [switch],
            } }],
        });
        let page = |of: &'static str, template, document: &Value| {
            (of, filled(of, template, document).unwrap())
        };
        [
            page("rehearsal.html", include_str!("templates/rehearsal.html"), &rehearsal),
            page("progress.html", include_str!("templates/progress.html"), &progress),
            page("phone/page.html", include_str!("templates/phone/page.html"), &phone),
        ]
    }

    #[test]
    fn every_template_prints_a_hostile_name_as_a_name() {
        let hostile = "\"><script>alert(1)</script>&'";
        for ((of, tame), (_, page)) in pages("Tame-name").into_iter().zip(pages(hostile)) {
            assert!(tame.matches("Tame-name").count() >= 6, "{of}: names stand in it");
            assert!(tame.contains("<html") && tame.contains("</html>"), "{of}");
            let escaped = "&quot;&gt;&lt;script&gt;alert(1)&lt;&#x2f;script&gt;&amp;&#x27;";
            // Nothing else changes: no name has ended its text, its attribute or its element.
            assert_eq!(page.replace(escaped, "Tame-name"), tame, "{of}");
        }
    }

    #[test]
    fn a_name_can_end_neither_text_nor_an_attribute() {
        let document = BTreeMap::from([("name", "Kim\" onload='x'><script>x</script>&amp;")]);
        let page = filled("test", "<p title=\"{{ name }}\">{{ name }}</p>", &document).unwrap();
        let inside = page.replace("<p title=\"", "").replacen("\">", "", 1).replace("</p>", "");
        assert!(!inside.contains(['<', '>', '"', '\'']), "{inside}");
        assert!(inside.contains("&amp;amp;"), "what looks escaped is escaped once more: {inside}");
    }

    #[test]
    fn what_is_not_there_is_an_error_and_no_gap() {
        let document = BTreeMap::from([("name", "Kim")]);
        for asks in [
            "{{ nam }}",
            "{{ name.first }}",
            "{% if nam %}{% endif %}",
            "{% for x in nam %}{% endfor %}",
        ] {
            assert!(filled("test", asks, &document).is_err(), "{asks}");
        }
    }

    #[test]
    fn hidden_letters_of_a_file_are_shown_and_spaces_kept() {
        let page = filled("one", "<p>{{ name }}</p>", &json!({ "name": " a\u{1b}[2J\n b" }));
        assert_eq!(page.unwrap(), "<p> a\u{241b}[2J  b</p>");
    }
}

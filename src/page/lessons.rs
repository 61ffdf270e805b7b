//! The lessons as a page: what to do before the next meeting, then serve by serve on what evidence.

use serde::Serialize;

use crate::base::text;
use crate::deck::Deck;
use crate::journal::Point;
use crate::page::paragraph::hung;
use crate::page::switching;
use crate::tactics::history::History;
use crate::tactics::lessons::{Lesson, Lessons};
use crate::tactics::reserve::Reserve;
use crate::tactics::verdict::evidence;

/// The page.
#[derive(Debug, Clone, Serialize)]
pub struct LessonsPage {
    /// The opponent.
    pub opponent: String,
    /// Matches behind it.
    pub matches: usize,
    /// The lessons.
    pub lessons: Lessons,
    /// Words that named no known serve or receive, as typed, and what was left without a name.
    pub unknown_words: Vec<String>,
    /// The switches, the most worthwhile first.
    pub switches: Vec<Reserve>,
    #[serde(skip)]
    deck: Deck,
}

impl LessonsPage {
    /// Puts the parts together; `deck` has its lanes as the player names them.
    pub fn new(deck: &Deck, lessons: Lessons, history: &History, switches: Vec<Reserve>) -> Self {
        let mut unknown_words: Vec<String> = Vec::new();
        for words in &history.unknown_words {
            // A key stood for these two once, and nobody typed them.
            let words = match words.as_str() {
                "another receive" => Point::RECEIVE_NOT_NAMED,
                "unknown serve" => Point::SERVE_NOT_NAMED,
                words => words,
            };
            if !unknown_words.iter().any(|known| known == words) {
                unknown_words.push(words.to_owned());
            }
        }
        Self {
            opponent: deck.opponent.clone(),
            matches: history.matches.len(),
            lessons,
            unknown_words,
            switches,
            deck: deck.clone(),
        }
    }

    /// The page as text, `width` columns at most.
    pub fn text(&self, width: usize) -> String {
        let mut lines = vec![format!("LESSONS  {}", text::one_line(&self.opponent))];
        let of_match = self.lessons.of_match.as_deref().unwrap_or("none yet");
        lines.push(hung(
            "",
            &format!(
                "Newest match: {}; {} in all. What looks read is a suspicion, never proof: a match has too few \
                 points for that. Clean: the receive came neither loose nor missed. Where waiting was noted at \
                 all in a match, silence means they did not wait.",
                text::one_line(of_match),
                self.matches
            ),
            width,
        ));
        lines.push(String::new());
        before_next(&mut lines, &self.lessons, width);
        let (unnamed, typed): (Vec<&String>, Vec<&String>) =
            self.unknown_words.iter().partition(|words| Point::is_not_named(words));
        if !unnamed.is_empty() {
            lines.push(hung(
                "  - ",
                &format!("beside the plan: {}", text::and_list(&unnamed)),
                width,
            ));
        }
        if !typed.is_empty() {
            let words: Vec<String> = typed.iter().map(|words| format!("`{words}`")).collect();
            lines.push(hung(
                "  - ",
                &format!(
                    "not known here, kept as typed: {}. New serves: secondball scout add.",
                    words.join(", ")
                ),
                width,
            ));
        }
        for lesson in &self.lessons.lessons {
            lines.push(String::new());
            one(&mut lines, lesson, width);
        }
        lines.push(String::new());
        switching::lines(&mut lines, &self.deck, &self.switches, width);
        let mut page = lines.join("\n");
        page.push('\n');
        page
    }
}

/// What to do before the next meeting, and what the player told themselves for it.
pub(crate) fn before_next(lines: &mut Vec<String>, lessons: &Lessons, width: usize) {
    lines.push("BEFORE THE NEXT MEETING".to_owned());
    if lessons.before_next.is_empty() {
        lines.push("  - nothing has to change; keep the plan firm".to_owned());
    }
    for thing in &lessons.before_next {
        lines.push(hung("  - ", thing, width));
    }
    for (of_match, sentence) in &lessons.sentences {
        let said =
            format!("you wrote after {}: {}", text::one_line(of_match), text::one_line(sentence));
        lines.push(hung("  - ", &said, width));
    }
}

fn one(lines: &mut Vec<String>, lesson: &Lesson, width: usize) {
    lines.push(format!("{}  {}", lesson.verdict.shown(), lesson.serve));
    lines.push(hung("    plan      ", &lesson.receive.shown(), width));
    lines.push(hung("    points    ", &evidence(lesson), width));
    let mut says = lesson.says.iter();
    if let Some(first) = says.next() {
        lines.push(hung(" >> ", first, width));
    }
    for sentence in says {
        lines.push(hung("    ", sentence, width));
    }
}

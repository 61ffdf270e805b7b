//! The lessons of the newest match as a page: what to change, what to keep, on what evidence.

use serde::Serialize;

use crate::base::text;
use crate::deck::Deck;
use crate::page::paragraph::hung;
use crate::page::switching;
use crate::tactics::history::History;
use crate::tactics::lessons::{Lesson, Lessons, Verdict};
use crate::tactics::reserve::Reserve;

/// The page.
#[derive(Debug, Clone, Serialize)]
pub struct LessonsPage {
    /// The opponent.
    pub opponent: String,
    /// Matches behind it.
    pub matches: usize,
    /// The lessons.
    pub lessons: Lessons,
    /// Words that named no known serve or receive, as typed.
    pub unknown_words: Vec<String>,
    /// The switches, the most worthwhile first.
    pub switches: Vec<Reserve>,
    #[serde(skip)]
    deck: Deck,
}

/// The verdict in one word, at the start of a lesson.
const fn word(verdict: Verdict) -> &'static str {
    match verdict {
        Verdict::Switch => "CHANGE",
        Verdict::PlayedBadly => "PLAY IT BETTER",
        Verdict::Watch => "WATCH",
        Verdict::Keep => "KEEP",
        Verdict::TooFew => "TOO FEW POINTS",
    }
}

impl LessonsPage {
    /// Puts the parts together; `deck` has its lanes as the player names them.
    pub fn new(deck: &Deck, lessons: Lessons, history: &History, switches: Vec<Reserve>) -> Self {
        let mut unknown_words: Vec<String> = Vec::new();
        for words in &history.unknown_words {
            if !unknown_words.contains(words) {
                unknown_words.push(words.clone());
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
                "Newest match: {}; {} in all. What looks read is a suspicion, never proof: a match has \
                 too few points for that.",
                text::one_line(of_match),
                self.matches
            ),
            width,
        ));
        for lesson in &self.lessons.lessons {
            lines.push(String::new());
            one(&mut lines, lesson, width);
        }
        lines.push(String::new());
        lines.push("BEFORE THE NEXT MEETING".to_owned());
        if self.lessons.before_next.is_empty() {
            lines.push("  - nothing has to change; keep the plan firm".to_owned());
        }
        for thing in &self.lessons.before_next {
            lines.push(hung("  - ", thing, width));
        }
        if !self.unknown_words.is_empty() {
            let words: Vec<String> =
                self.unknown_words.iter().map(|words| format!("`{words}`")).collect();
            lines.push(hung(
                "  - ",
                &format!(
                    "not known here, kept as typed: {}. New serves: secondball scout add.",
                    words.join(", ")
                ),
                width,
            ));
        }
        lines.push(String::new());
        switching::lines(&mut lines, &self.deck, &self.switches, width);
        let mut page = lines.join("\n");
        page.push('\n');
        page
    }
}

fn one(lines: &mut Vec<String>, lesson: &Lesson, width: usize) {
    lines.push(format!("{}  {}", word(lesson.verdict), lesson.serve));
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

/// `12 in that match: 9 came as meant, 7 of them lost, 5 times he waited; 2 loose, 1 missed`.
fn evidence(lesson: &Lesson) -> String {
    let (all, clean) = lesson.points;
    if all == 0 && clean == 0 {
        return "none in that match".to_owned();
    }
    let (lost, waited) = lesson.lost_and_waited;
    let mut parts = vec![format!("{all} in that match")];
    if lesson.read.is_some() {
        // What was lost and waited for stands in the sentence about the suspicion.
        parts.push(format!("{clean} came as meant"));
    } else if lesson.together_with.is_empty() {
        parts.push(format!("{clean} came as meant, {lost} of them lost"));
    } else {
        parts
            .push(format!("with the same receive elsewhere {clean} as meant, {lost} of them lost"));
    }
    if waited > 0 && lesson.read.is_none() {
        parts.push(format!("seen waiting {waited} times"));
    }
    if lesson.loose + lesson.missed > 0 {
        parts.push(format!("{} loose, {} missed", lesson.loose, lesson.missed));
    }
    parts.join("; ")
}

//! The lessons as a page: what to do before the next meeting, then serve by serve on what evidence.

use serde::Serialize;

use crate::base::text;
use crate::deck::Deck;
use crate::journal::Point;
use crate::page::numbers::matches;
use crate::page::paragraph::hung;
use crate::page::switching;
use crate::page::verdict_words::{evidence, lesson_says, verdict_word};
use crate::page::worded::{Says, Worded};
use crate::tactics::history::OpponentHistory;
use crate::tactics::lessons::{Lessons, Preparation, WhatToPrepare};
use crate::tactics::reserve::{Drilled, Reserve};
use crate::tactics::verdict::Lesson;

/// The lessons with all that stands on their page.
#[derive(Debug)]
pub struct LessonsView<'a> {
    /// The opponent, lanes as the player names them.
    pub deck: &'a Deck,
    /// The points behind it.
    pub history: &'a OpponentHistory,
    /// The lessons.
    pub lessons: Lessons,
    /// The switches, the most worthwhile first.
    pub switches: Vec<Reserve>,
}

impl LessonsView<'_> {
    /// Words that named no known serve or receive, as typed, and what was left without a name.
    fn unknown_words(&self) -> Vec<String> {
        let mut unknown: Vec<String> = Vec::new();
        for words in &self.history.unknown_words {
            // A key stood for these two once, and nobody typed them.
            let words = match words.as_str() {
                "another receive" => Point::RECEIVE_NOT_NAMED,
                "unknown serve" => Point::SERVE_NOT_NAMED,
                words => words,
            };
            if !unknown.iter().any(|known| known == words) {
                unknown.push(words.to_owned());
            }
        }
        unknown
    }

    /// The document for programs.
    pub fn json(&self) -> String {
        #[derive(Serialize)]
        struct LessonsWritten<L, S> {
            opponent: String,
            matches: usize,
            lessons: L,
            unknown_words: Vec<String>,
            switches: S,
        }
        crate::page::json(&LessonsWritten {
            opponent: self.deck.opponent.clone(),
            matches: self.history.matches.len(),
            lessons: document(&self.lessons, &self.switches),
            unknown_words: self.unknown_words(),
            switches: switching::documents(&self.switches),
        })
    }

    /// The page as text, `width` columns at most.
    pub fn text(&self, width: usize) -> String {
        let mut lines = vec![format!("LESSONS  {}", text::one_line(&self.deck.opponent))];
        let of_match = self.lessons.of_match.as_deref().unwrap_or("none yet");
        lines.push(hung(
            "",
            &format!(
                "Newest match: {}; {} in all. What looks read is a suspicion, never proof: a match has too few \
                 points for that. Clean: the receive came neither loose nor missed. Where waiting was noted at \
                 all in a match, silence means they did not wait.",
                text::one_line(of_match),
                self.history.matches.len()
            ),
            width,
        ));
        lines.push(String::new());
        before_next(&mut lines, &self.lessons, width);
        let unknown = self.unknown_words();
        let (unnamed, typed): (Vec<&String>, Vec<&String>) =
            unknown.iter().partition(|words| Point::is_not_named(words));
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
            one(&mut lines, lesson, drilled(lesson, &self.switches), width);
        }
        lines.push(String::new());
        switching::lines(&mut lines, self.deck, &self.switches, width);
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
        lines.push(hung("  - ", &preparation(thing), width));
    }
    for (of_match, sentence) in &lessons.sentences {
        let said =
            format!("you wrote after {}: {}", text::one_line(of_match), text::one_line(sentence));
        lines.push(hung("  - ", &said, width));
    }
}

/// What to do about one serve before the next meeting.
pub(crate) fn preparation(thing: &Preparation) -> String {
    let what = match &thing.what {
        WhatToPrepare::DrillSwitch(name) => {
            format!(
                "they may expect the old answer; drill `{name}` until it is firm, or make it the plan."
            )
        }
        WhatToPrepare::AddSwitch(other) => {
            format!("add a switch to {} and drill it as a new pattern.", other.shown())
        }
        WhatToPrepare::MoreBalls => "more balls at the table, same receive.".to_owned(),
        WhatToPrepare::Choose(points) if points.round() <= 1.0 => {
            "came once without a plan; choose a receive.".to_owned()
        }
        WhatToPrepare::Choose(points) => {
            format!("came {points:.0} times without a plan; choose a receive.")
        }
        WhatToPrepare::Retire(number) => format!("not seen in {}; retire it?", matches(*number)),
    };
    format!("{}: {what}", thing.serve)
}

/// What the drill says of the switch that is due by this lesson.
fn drilled(lesson: &Lesson, switches: &[Reserve]) -> Option<Drilled> {
    let name = lesson.due_switch()?;
    switches.iter().find(|reserve| reserve.name == name).map(|reserve| reserve.drilled)
}

/// The lessons with their sentences, for a document.
pub(crate) fn document<'a>(lessons: &'a Lessons, switches: &[Reserve]) -> impl Serialize + 'a {
    #[derive(Serialize)]
    struct LessonsWords<'a> {
        lessons: Vec<Worded<&'a Lesson, Says>>,
        before_next: Vec<String>,
    }
    let said = lessons.lessons.iter().map(|data| {
        let says = lesson_says(data, drilled(data, switches));
        Worded { data, words: Says { says } }
    });
    let before_next = lessons.before_next.iter().map(preparation).collect();
    Worded { data: lessons, words: LessonsWords { lessons: said.collect(), before_next } }
}

fn one(lines: &mut Vec<String>, lesson: &Lesson, drilled: Option<Drilled>, width: usize) {
    lines.push(format!("{}  {}", verdict_word(lesson.verdict), lesson.serve));
    lines.push(hung("    plan      ", &lesson.receive.shown(), width));
    lines.push(hung("    points    ", &evidence(lesson), width));
    for (place, sentence) in lesson_says(lesson, drilled).iter().enumerate() {
        lines.push(hung(if place == 0 { " >> " } else { "    " }, sentence, width));
    }
}

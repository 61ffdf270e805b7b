//! The lessons as a page: what to do before the next meeting, then serve by serve on what evidence.

use minijinja::context;
use minijinja::value::Serde as Filled;
use serde::Serialize;

use crate::deck::Deck;
use crate::journal::Point;
use crate::page::numbers::matches;
use crate::page::switching;
use crate::page::text_page::filled_text;
use crate::page::verdict_words::lesson_says;
use crate::page::worded::{Says, Worded};
use crate::tactics::history::OpponentHistory;
use crate::tactics::lessons::{Lessons, Preparation, WhatToPrepare};
use crate::tactics::reserve::Reserve;
use crate::tactics::verdict::Lesson;

const TEMPLATE: &str =
    concat!(include_str!("templates/switches.txt"), include_str!("templates/lessons.txt"));

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
    fn unknown_words(&self) -> Vec<&str> {
        let mut unknown: Vec<&str> = Vec::new();
        for words in &self.history.unknown_words {
            // A key stood for these two once, and nobody typed them.
            let words = match words.as_str() {
                "another receive" => Point::RECEIVE_NOT_NAMED,
                "unknown serve" => Point::SERVE_NOT_NAMED,
                words => words,
            };
            if !unknown.contains(&words) {
                unknown.push(words);
            }
        }
        unknown
    }

    /// The document for programs.
    pub fn document(&self) -> impl Serialize {
        #[derive(Serialize)]
        struct LessonsWritten<'a, L, S> {
            opponent: &'a str,
            matches: usize,
            lessons: L,
            unknown_words: Vec<&'a str>,
            switches: S,
        }
        LessonsWritten {
            opponent: &self.deck.opponent,
            matches: self.history.matches.len(),
            lessons: document(&self.lessons, &self.switches),
            unknown_words: self.unknown_words(),
            switches: switching::documents(&self.switches),
        }
    }

    /// The page as text, `width` columns at most.
    pub fn text(&self, width: usize) -> String {
        let (unnamed, typed): (Vec<&str>, Vec<&str>) =
            self.unknown_words().into_iter().partition(|words| Point::is_not_named(words));
        let document = context! {
            page => Filled(self.document()),
            unnamed => Filled(unnamed),
            typed => Filled(typed),
            ranked => switching::ranked(self.deck, &self.switches),
            moments => Filled(switching::MOMENTS),
        };
        filled_text(TEMPLATE, &document, width)
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

/// The switch that is due by this lesson.
pub(crate) fn due<'s>(lesson: &Lesson, switches: &'s [Reserve]) -> Option<&'s Reserve> {
    let name = lesson.due_switch()?;
    switches.iter().find(|reserve| reserve.name == name)
}

/// The lessons with their sentences, for a document.
pub(crate) fn document<'a>(lessons: &'a Lessons, switches: &[Reserve]) -> impl Serialize + 'a {
    #[derive(Serialize)]
    struct LessonsWords<'a> {
        lessons: Vec<Worded<&'a Lesson, Says>>,
        before_next: Vec<String>,
    }
    let said = lessons.lessons.iter().map(|data| {
        let says = lesson_says(data, due(data, switches).map(|reserve| reserve.drilled));
        Worded { data, words: Says { says } }
    });
    let before_next = lessons.before_next.iter().map(preparation).collect();
    Worded { data: lessons, words: LessonsWords { lessons: said.collect(), before_next } }
}

//! The file itself: the page with its data, its manifest and its service worker.
//!
//! Names are data. What a deck contains stands in the page as JSON inside a script of a kind that
//! no browser runs, with every letter escaped that could end it, and as escaped text in the
//! sheets; the page puts it on the screen as text only, and its policy runs no script but its
//! own.

use minijinja::context;
use minijinja::value::Serde as Filled;

use super::document::{PhoneData, Vocabulary};
use super::pack::Packer;
use super::request::{PhoneError, PhoneRequest};
use super::rounds::PhoneRounds;
use crate::base::words::Word;
use crate::base::{Dice, text};
use crate::drill::WarmUp;
use crate::game::{Depth, From, Lane, MotionName, Pace, Side, Spin, Toss, WeightName};
use crate::journal::PHONE_FORMAT;
use crate::page::template::filled;

/// The largest page, bytes.
pub const LARGEST_PAGE: usize = 340_000;
/// The logic of the page, for tests that run it beside the machine at home.
pub const LOGIC: &str = concat!(
    include_str!("logic_results.js"),
    include_str!("logic_playing.js"),
    include_str!("logic_picture.js"),
    include_str!("logic_caller.js"),
    include_str!("logic.js"),
    include_str!("logic_film.js"),
);
/// The page's own scripts, in the order in which they need each other.
const SCRIPT: &str = concat!(
    include_str!("page_keep.js"),
    include_str!("page_court.js"),
    include_str!("page_panel.js"),
    include_str!("page_round.js"),
    include_str!("page_taps.js"),
    include_str!("page_table.js"),
    include_str!("page_hall.js"),
    include_str!("page_clips.js"),
    include_str!("page_reel.js"),
    include_str!("page_marks.js"),
    include_str!("page_film.js"),
    include_str!("page_today.js"),
    include_str!("page.js"),
    include_str!("page_tabs.js"),
);
/// Days of lists that are tried when more do not fit.
const FEWER_DAYS: [u32; 4] = [3, 5, 7, 10];

/// A page, ready to be written.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PhonePage {
    /// `index.html`, complete in itself.
    pub html: String,
    /// `manifest.webmanifest`, for those who put it on a host.
    pub manifest: String,
    /// `worker.js`: keeps the page for use without a network, on a host.
    pub worker: String,
    /// Days of lists in it.
    pub days: u32,
    pub opponents: usize,
    /// Answers its lists ask for.
    pub answers: usize,
}

impl PhonePage {
    /// What is in the file, and how to keep it, line by line.
    pub fn about(&self, file: &str, wanted_days: u32, has_notes: bool) -> Vec<String> {
        let mut lines = vec![format!(
            "{file} with {} and {} over {}, {} KiB",
            text::count(self.opponents, "opponent"),
            text::count(self.answers, "answer"),
            text::count(self.days as usize, "day"),
            self.html.len().div_ceil(1024)
        )];
        if self.days < wanted_days {
            lines.push("more days would make the page too large; name fewer opponents".to_owned());
        }
        let notes = if has_notes { "your private notes are in it" } else { "notes stay home" };
        lines.push(format!(
            "{notes}; whoever has the file can read your plans, so mind where you put it"
        ));
        lines
    }
}

/// Makes the page; with fewer days of lists when it would be too large.
///
/// # Errors
/// [`PhoneError`] when there is nothing to take along or even one day is too large.
pub fn phone_page(request: &PhoneRequest<'_>) -> Result<PhonePage, PhoneError> {
    if request.decks.iter().all(|(_, deck)| deck.planned().next().is_none()) {
        return Err(PhoneError::Nothing);
    }
    let whole = page_of(request)?;
    if whole.html.len() <= LARGEST_PAGE {
        return Ok(whole);
    }
    let of_days = |days| page_of(&PhoneRequest { days, ..request.clone() });
    let mut best = of_days(1)?;
    if best.html.len() > LARGEST_PAGE {
        let kib = best.html.len().div_ceil(1024);
        return Err(PhoneError::TooLarge { kib, most_kib: LARGEST_PAGE / 1024 });
    }
    for days in FEWER_DAYS.into_iter().filter(|&fewer| fewer < request.days) {
        let page = of_days(days)?;
        if page.html.len() > LARGEST_PAGE {
            break;
        }
        best = page;
    }
    Ok(best)
}

fn page_of(request: &PhoneRequest<'_>) -> Result<PhonePage, PhoneError> {
    let data = data(request);
    let json = embedded(&data)?;
    let mut dice = Dice::for_part(request.seed ^ request.now_ms.unsigned_abs(), "phone nonce");
    let nonce = format!("{:016x}{:016x}", dice.bits(), dice.bits());
    let sheets = request.decks.iter().filter_map(|(stem, _)| request.sheets.get(stem));
    let document = context! {
        nonce,
        data => json,
        style => bare(concat!(include_str!("page.css"), include_str!("page_round.css"))),
        logic => bare(LOGIC),
        script => bare(SCRIPT),
        player => data.player,
        sheets => Filled(sheets.collect::<Vec<_>>()),
    };
    let html = filled("phone/page.html", include_str!("../templates/phone/page.html"), &document)?;
    // The home's key as letters and digits, whatever stood in its file.
    let home: String = request.home.chars().filter(char::is_ascii_alphanumeric).collect();
    let version = format!("{home}-{}", request.now_ms);
    Ok(PhonePage {
        html,
        manifest: include_str!("manifest.webmanifest").to_owned(),
        worker: include_str!("worker.js").replace("@version@", &version),
        days: request.days,
        opponents: data.opponents.len(),
        answers: data.days.iter().flat_map(|day| &day.lists).map(|list| list.patterns.len()).sum(),
    })
}

fn data(request: &PhoneRequest<'_>) -> PhoneData {
    let rounds = PhoneRounds::new(request);
    let mut packer = Packer::default();
    let days = rounds.days(&mut packer);
    let opponents =
        (0..rounds.decks.len()).map(|place| rounds.opponent(place, &mut packer)).collect();
    let event = request.player.next_event(request.today);
    PhoneData {
        format: PHONE_FORMAT,
        version: env!("CARGO_PKG_VERSION"),
        home: request.home.to_owned(),
        made: request.now_ms,
        player: text::one_line(&request.player.name),
        rollover_hour: request.player.day_begins,
        event: event.map(|event| (text::one_line(&event.name), event.day.spoken(), event.day)),
        foremost: days.first().and_then(|day| day.lists.first()).map_or(0, |list| list.opponent),
        changes: request.changes.to_vec(),
        days,
        opponents,
        tables: packer.finish(),
        receipts: request.receipts.clone(),
        warm_up: WarmUp::new(request.seed).prompts().collect(),
        caller: request.caller.clone(),
        words: vocabularies(),
    }
}

/// A script or a style without what only its reader needs: indents, and lines of comment.
fn bare(text: &str) -> String {
    let is_comment =
        |line: &str| line.starts_with("//") || line.starts_with("/*") && line.ends_with("*/");
    let lines = text.lines().map(str::trim);
    lines.filter(|line| !is_comment(line)).collect::<Vec<_>>().join("\n")
}

/// JSON that can stand inside a script element: nothing in it can end the element, open another
/// one or a comment, or break a line of a script.
fn embedded(data: &PhoneData) -> Result<String, serde_json::Error> {
    let json = serde_json::to_string(data)?;
    let ends = [('<', "\\u003c"), ('>', "\\u003e"), ('&', "\\u0026")];
    let json = text::escaped_json(&json).into_owned();
    Ok(ends.into_iter().fold(json, |safe, (letter, code)| safe.replace(letter, code)))
}

fn vocabulary<W: Word>(field: &'static str, asks: &'static str) -> Vocabulary {
    let words = W::EVERY.iter().map(|one| (one.in_files(), one.for_people())).collect();
    Vocabulary { field, asks, words }
}

/// What a serve is scouted with, in the order in which it is noticed.
fn vocabularies() -> Vec<Vocabulary> {
    vec![
        vocabulary::<Lane>("lane", "To which lane of yours?"),
        vocabulary::<Depth>("depth", "How deep?"),
        vocabulary::<Spin>("spin", "Which spin?"),
        vocabulary::<WeightName>("weight", "How heavy?"),
        vocabulary::<Side>("breaks", "Which way does its path bend?"),
        vocabulary::<MotionName>("motion", "With which motion?"),
        vocabulary::<Pace>("pace", "How fast?"),
        vocabulary::<From>("from", "Served from where?"),
        vocabulary::<Toss>("toss", "How high is the toss?"),
        Vocabulary {
            field: "how_often",
            asks: "How often?",
            words: vec![("often", "often"), ("sometimes", "sometimes"), ("rarely", "rarely")],
        },
    ]
}

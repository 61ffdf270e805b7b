//! `points OPPONENT --csv FILE`: a match from video or a notebook. A match that is there already is
//! never written twice.

use std::path::Path;

use crate::base::{Day, Finding, Moment, text};
use crate::cli::points::record::{self, points_of};
use crate::cli::points::spoken::{self, SaidPoint};
use crate::cli::{Desk, Failure, Overview, Result, World};
use crate::deck::Deck;
use crate::game::{MatchLength, ReceiveKey};
use crate::import::points_csv::{self, Row};
use crate::journal::{Event, Fact, Point};

/// The points of one match, in the order of the file.
struct PlayedMatch {
    of_match: String,
    day: Day,
    points: Vec<Point>,
}

impl PlayedMatch {
    /// Where a point comes from: its place in the file's match, by which one that was cut off is
    /// known.
    fn origin(&self, place: usize) -> String {
        format!("file, point {place} of {}", self.points.len())
    }
}

/// Whether writing down this match ended after so many of its points.
fn is_cut_off(events: &[Event], played: &PlayedMatch, there: usize) -> bool {
    let mut points = events.iter().rev().filter_map(|event| match &event.fact {
        Fact::Point(point) if point.of_match == played.of_match => Some((event, point)),
        _ => None,
    });
    let last = points.next().filter(|(_, last)| played.points[0].deck == last.deck);
    last.is_some_and(|(event, _)| event.origin == Some(played.origin(there)))
        && there < played.points.len()
}

/// Reads the file and keeps what is new; matches that differ from what is there are refused. `day`
/// is that of matches that do not say theirs, today when it is not given.
pub(super) fn run(
    file: &Path,
    day: Option<Day>,
    length: MatchLength,
    stem: &str,
    deck: &Deck,
    desk: &Desk,
    world: &mut World<'_>,
) -> Result {
    let home = desk.overview(world)?;
    let matches = read_matches(file, day.unwrap_or(home.today), deck, &home, world)?;
    let mut kept: Vec<&Point> = Vec::new();
    let mut differing = Vec::new();
    let mut said = Vec::new();
    let mut writer = desk.writer(world)?;
    for played in &matches {
        let there: Vec<&Point> =
            points_of(home.events, deck, &played.of_match).map(|(_, point)| point).collect();
        let shown = format!("{}, {}", played.of_match, text::count(played.points.len(), "point"));
        if is_same(&there, &played.points) {
            said.push(format!("{shown}: there already, nothing written"));
        } else if there.is_empty() || is_cut_off(home.events, played, there.len()) {
            // What was played earlier stands at the noon of its day.
            let at = if played.day < home.today { Moment::noon(played.day) } else { world.now };
            for (point, place) in played.points.iter().zip(1..).skip(there.len()) {
                let (origin, fact) = (played.origin(place), Fact::Point(point.clone()));
                writer.append_from(Some(&origin), at.epoch_ms(), played.day, fact)?;
            }
            kept.extend(&played.points[there.len()..]);
            let won = played.points.iter().map(|point| point.won);
            let score = record::score_after(length, played.points[0].server, won);
            said.push(format!("{shown}, {}: kept; {}", played.day, record::shown(score)));
        } else {
            said.push(format!("{shown}: not written"));
            let (of_match, there) = (&played.of_match, text::count(there.len(), "point"));
            differing.push(
                Finding::error(format!(
                    "the match `{of_match}` is there already, with {there} that differ from the file's"
                ))
                .hint("give the match in the file another name if it is another match"),
            );
        }
    }
    writer.sync()?;
    for line in said {
        writeln!(world.out, "{line}")?;
    }
    let unknown = kept.iter().filter(|point| point.unknown.is_some()).count();
    if unknown > 0 {
        let (points, name) = (text::count(unknown, "point"), text::one_line(&deck.opponent));
        let words = "with words that name no serve or receive of";
        writeln!(world.err, "{points} {words} {name}: kept as typed")?;
    }
    if !kept.is_empty() {
        world.next(&format!("plan advise {stem}"))?;
    }
    if differing.is_empty() { Ok(()) } else { Err(Failure::Findings(differing)) }
}

/// The matches of the file, with what nobody knows in them said.
fn read_matches(
    file: &Path,
    otherwise: Day,
    deck: &Deck,
    home: &Overview<'_>,
    world: &mut World<'_>,
) -> Result<Vec<PlayedMatch>> {
    let source = world.read_page(file)?;
    let name = file.display().to_string();
    let rows = points_csv::read(&name, &source).map_err(Failure::Findings)?;
    if rows.is_empty() {
        return Err(Failure::request(
            format!("`{name}` has no points"),
            format!("the header is `{}`", points_csv::COLUMNS.join(",")),
        ));
    }
    let mut matches: Vec<PlayedMatch> = Vec::new();
    for row in rows {
        let (point, unknown) = point(deck, &row);
        for words in unknown {
            let (line, words) = (row.line, format!("`{words}` names no serve or receive here"));
            world.note(&format!("{name}:{line}: {words}"), "    ")?;
        }
        let day = row.day.unwrap_or(otherwise);
        match matches.iter_mut().find(|played| played.of_match == row.of_match) {
            Some(played) => played.points.push(point),
            None => matches.push(PlayedMatch { of_match: row.of_match, day, points: vec![point] }),
        }
    }
    if let Some(late) = matches.iter().find(|played| played.day > home.today) {
        return Err(Failure::request(
            format!("the match `{}` is dated {}, which is still to come", late.of_match, late.day),
            "write the day it was played into the column `day`",
        ));
    }
    Ok(matches)
}

/// The same points; what was meant may have been filled in from another plan then.
fn is_same(there: &[&Point], file: &[Point]) -> bool {
    let said = |point: &Point| {
        (point.server, point.serve.clone(), point.quality, point.waiting, point.won)
    };
    there.iter().copied().map(said).eq(file.iter().map(said))
}

/// The point of a row, with the words in it that name nothing known: serve, meant, played.
fn point(deck: &Deck, row: &Row) -> (Point, Vec<String>) {
    let named = |given: &String| {
        let words: Vec<&str> = given.split_whitespace().collect();
        let (serve, many) = deck.serve_said_first(&words)?;
        (many == words.len()).then(|| serve.id.clone())
    };
    let serve = row.serve.as_ref().and_then(named);
    // A receive as said, or by the name it has in the plan.
    let read = |given: &String| {
        let said = || deck.receive_said(serve.as_ref(), given).ok();
        let named = spoken::named(deck, serve.as_ref(), given);
        named.or_else(|| said().as_ref().map(ReceiveKey::from_receive))
    };
    let [meant, played] = [&row.meant, &row.played].map(|given| given.as_ref().and_then(read));
    let unknown = |given: &Option<String>, is_known: bool| given.clone().filter(|_| !is_known);
    let of_serve = unknown(&row.serve, serve.is_some());
    let of_receives =
        [unknown(&row.meant, meant.is_some()), unknown(&row.played, played.is_some())];
    let words: Vec<String> = of_receives.iter().chain([&of_serve]).flatten().cloned().collect();
    let said = SaidPoint {
        server: Some(row.server),
        serve,
        meant,
        played,
        quality: row.quality,
        waiting: row.waiting,
        won: row.won,
        unknown: (!words.is_empty()).then(|| words.join("; ")),
    };
    let point = spoken::point(deck, &row.of_match, None, row.server, said);
    (point, of_serve.into_iter().chain(of_receives.into_iter().flatten()).collect())
}

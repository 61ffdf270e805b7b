//! `points OPPONENT --csv FILE`: a match from video or a notebook. A match that is there already is
//! never written twice.

use std::path::Path;

use crate::base::{Day, Finding, Moment, text};
use crate::cli::points::record::{self, points_of};
use crate::cli::points::spoken::{self, SaidPoint};
use crate::cli::{Desk, Failure, Overview, Result, World};
use crate::deck::Deck;
use crate::game::{MatchLength, Receive, ReceiveKey, ServeId};
use crate::import::points_csv::{self, Row};
use crate::journal::{Fact, Point};

/// The points of one match, in the order of the file.
struct PlayedMatch {
    of_match: String,
    day: Day,
    points: Vec<Point>,
}

/// A file of points, and what it does not say itself.
pub(super) struct PointsFile<'f> {
    pub file: &'f Path,
    /// The day of the matches that do not say theirs; today when it is not given.
    pub day: Option<Day>,
    pub length: MatchLength,
}

/// Reads the file and keeps what is new; matches that differ from what is there are refused.
pub(super) fn run(
    wanted: &PointsFile<'_>,
    stem: &str,
    deck: &Deck,
    desk: &Desk,
    world: &mut World<'_>,
) -> Result {
    let home = desk.overview(world)?;
    let matches = read_matches(wanted, deck, &home, world)?;
    let mut kept: Vec<&Point> = Vec::new();
    let mut differing = Vec::new();
    let mut writer = home.home.writer(world.now, home.today)?;
    for played in &matches {
        let there: Vec<&Point> =
            points_of(home.events, deck, &played.of_match).map(|(_, point)| point).collect();
        let shown = format!("{}, {}", played.of_match, text::count(played.points.len(), "point"));
        if there.is_empty() {
            // What was played earlier stands at the noon of its day.
            let at = if played.day < home.today { Moment::noon(played.day) } else { world.now };
            for point in &played.points {
                writer.append_unsynced(at, played.day, Fact::Point(point.clone()))?;
            }
            kept.extend(&played.points);
            let score = score(played, wanted.length);
            writeln!(world.out, "{shown}, {}: kept; {score}", played.day)?;
        } else if is_same(&there, &played.points) {
            writeln!(world.out, "{shown}: there already, nothing written")?;
        } else {
            writeln!(world.out, "{shown}: not written")?;
            differing.push(differs(played, there.len()));
        }
    }
    writer.sync()?;
    let unknown = kept.iter().filter(|point| point.unknown.is_some()).count();
    if unknown > 0 {
        writeln!(
            world.err,
            "{} with words that name no serve or receive of {}: kept as typed",
            text::count(unknown, "point"),
            text::one_line(&deck.opponent)
        )?;
    }
    if !kept.is_empty() {
        world.next(&format!("points lessons {stem}"))?;
    }
    if differing.is_empty() { Ok(()) } else { Err(Failure::Findings(differing)) }
}

/// The matches of the file, with what nobody knows in them said.
fn read_matches(
    wanted: &PointsFile<'_>,
    deck: &Deck,
    home: &Overview<'_>,
    world: &mut World<'_>,
) -> Result<Vec<PlayedMatch>> {
    let source = world.read_page(wanted.file)?;
    let name = wanted.file.display().to_string();
    let rows = points_csv::read(&name, &source).map_err(Failure::Findings)?;
    if rows.is_empty() {
        return Err(Failure::request(
            format!("`{name}` has no points"),
            format!("the header is `{}`", points_csv::COLUMNS.join(",")),
        ));
    }
    for (line, words) in strange(deck, &rows) {
        world.note(&format!("{name}:{line}: `{words}` names no serve or receive here"), "    ")?;
    }
    let matches = matches(deck, rows, wanted.day.unwrap_or(home.today));
    if let Some(late) = matches.iter().find(|played| played.day > home.today) {
        return Err(Failure::request(
            format!("the match `{}` is dated {}, which is still to come", late.of_match, late.day),
            "write the day it was played into the column `day`",
        ));
    }
    Ok(matches)
}

fn differs(played: &PlayedMatch, there: usize) -> Finding {
    Finding::error(format!(
        "the match `{}` is there already, with {} that differ from the file's",
        played.of_match,
        text::count(there, "point")
    ))
    .hint("give the match in the file another name if it is another match")
}

/// The score the points of a match come to, as far as the file goes.
fn score(played: &PlayedMatch, length: MatchLength) -> String {
    let Some(first) = played.points.first() else { return "no points".to_owned() };
    let won = played.points.iter().map(|point| point.won);
    record::shown(record::score_after(length, first.server, won))
}

/// Words that name nothing known, with their lines.
fn strange(deck: &Deck, rows: &[Row]) -> Vec<(usize, String)> {
    let mut strange = Vec::new();
    for row in rows {
        let serve = serve(deck, row);
        let word = row.serve.iter().filter(|_| serve.is_none());
        let receives = row.meant.iter().chain(&row.played);
        let receives = receives.filter(|given| receive(deck, serve.as_ref(), given).is_none());
        strange.extend(word.chain(receives).map(|words| (row.line, words.clone())));
    }
    strange
}

/// The serve a row names.
fn serve(deck: &Deck, row: &Row) -> Option<ServeId> {
    deck.serve_begun(row.serve.as_ref()?).map(|serve| serve.id.clone())
}

/// A receive as said, or by the name it has in the plan.
fn receive(deck: &Deck, serve: Option<&ServeId>, given: &str) -> Option<ReceiveKey> {
    spoken::named(deck, serve, given).or_else(|| {
        Receive::from_text(given).ok().map(|receive| ReceiveKey::from_receive(&receive))
    })
}

/// The same points; what was meant may have been filled in from another plan then.
fn is_same(there: &[&Point], file: &[Point]) -> bool {
    let said = |point: &Point| {
        (point.server, point.serve.clone(), point.quality, point.waiting, point.won)
    };
    there.iter().copied().map(said).eq(file.iter().map(said))
}

/// The rows put together by match, in the order the matches first appear.
fn matches(deck: &Deck, rows: Vec<Row>, otherwise: Day) -> Vec<PlayedMatch> {
    let mut matches: Vec<PlayedMatch> = Vec::new();
    for row in rows {
        let place = matches.iter().position(|played| played.of_match == row.of_match);
        let place = place.unwrap_or_else(|| {
            matches.push(PlayedMatch {
                of_match: row.of_match.clone(),
                day: row.day.unwrap_or(otherwise),
                points: Vec::new(),
            });
            matches.len() - 1
        });
        matches[place].points.push(point(deck, row));
    }
    matches
}

fn point(deck: &Deck, row: Row) -> Point {
    let mut unknown = Vec::new();
    let serve = serve(deck, &row);
    let mut named = |given: Option<String>| {
        let given = given?;
        let found = receive(deck, serve.as_ref(), &given);
        if found.is_none() {
            unknown.push(given);
        }
        found
    };
    let (meant, played) = (named(row.meant), named(row.played));
    if serve.is_none() {
        unknown.extend(row.serve);
    }
    let said = SaidPoint {
        server: Some(row.server),
        serve,
        meant,
        played,
        quality: row.quality,
        waiting: row.waiting,
        won: row.won,
        unknown: (!unknown.is_empty()).then(|| unknown.join("; ")),
    };
    spoken::point(deck, &row.of_match, None, row.server, said)
}

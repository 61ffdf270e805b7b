//! `points OPPONENT --csv FILE`: a match from video or a notebook. A match that is there already is never
//! written twice.

use std::path::Path;

use crate::base::{Day, Finding, Moment, text};
use crate::cli::points::record::{self, points_of};
use crate::cli::points::spoken::{self, Said};
use crate::cli::{Desk, Failure, World};
use crate::deck::Deck;
use crate::game::{End, Match, MatchLength, Receive, ReceiveKey, ServeId};
use crate::import::points_csv::{self, Row};
use crate::journal::{Fact, Point};

/// The points of one match, in the order of the file.
struct Played {
    of_match: String,
    day: Day,
    points: Vec<Point>,
}

/// Reads the file and keeps what is new; answers with the matches that differ from what is there.
pub(super) fn run(
    file: &Path,
    (day, length): (Option<Day>, MatchLength),
    (stem, deck): (&str, &Deck),
    desk: &Desk,
    world: &mut World<'_>,
) -> Result<(), Failure> {
    let board = desk.overview(world)?;
    let source = world.read_page(file)?;
    let name = file.display().to_string();
    let rows = points_csv::read(&name, &source).map_err(Failure::Findings)?;
    if rows.is_empty() {
        return Err(Failure::request(
            format!("`{name}` has no points"),
            format!("the header is `{}`", points_csv::COLUMNS.join(",")),
        ));
    }
    for (line, words) in strange(deck, &rows) {
        let said = format!("{name}:{line}: `{words}` names no serve or receive here");
        writeln!(world.err, "{}", text::wrap(&said, world.width, "    "))?;
    }
    let matches = matches(deck, rows, day.unwrap_or(board.today));
    if let Some(late) = matches.iter().find(|played| played.day > board.today) {
        return Err(Failure::request(
            format!("the match `{}` is dated {}, which is still to come", late.of_match, late.day),
            "write the day it was played into the column `day`",
        ));
    }
    let mut differing = Vec::new();
    let home = desk.home()?;
    let mut writer = home.writer(world.now, board.today)?;
    let (mut kept, mut unknown) = (0, 0);
    for played in &matches {
        let there: Vec<&Point> =
            points_of(board.events, deck, &played.of_match).map(|(_, point)| point).collect();
        let shown = format!("{}, {}", played.of_match, text::count(played.points.len(), "point"));
        if there.is_empty() {
            // What was played earlier stands at the noon of its day.
            let at = if played.day < board.today { Moment::noon(played.day) } else { world.now };
            for point in &played.points {
                unknown += usize::from(point.unknown.is_some());
                writer.append_unsynced(at, played.day, Fact::Point(point.clone()))?;
            }
            kept += played.points.len();
            writeln!(world.out, "{shown}, {}: kept; {}", played.day, score(played, length))?;
        } else if is_same(&there, &played.points) {
            writeln!(world.out, "{shown}: there already, nothing written")?;
        } else {
            writeln!(world.out, "{shown}: not written")?;
            differing.push(
                Finding::error(format!(
                    "the match `{}` is there already, with {} that differ from the file's",
                    played.of_match,
                    text::count(there.len(), "point")
                ))
                .hint("give the match in the file another name if it is another match"),
            );
        }
    }
    writer.sync()?;
    if unknown > 0 {
        writeln!(
            world.err,
            "{} with words that name no serve or receive of {}: kept as typed",
            text::count(unknown, "point"),
            text::one_line(&deck.opponent)
        )?;
    }
    if kept > 0 {
        writeln!(world.err, "Next: secondball points lessons {stem}")?;
    }
    if differing.is_empty() { Ok(()) } else { Err(Failure::Findings(differing)) }
}

/// The score the points of a match come to, as far as the file goes.
fn score(played: &Played, length: MatchLength) -> String {
    let Some(first) = played.points.first() else { return "no points".to_owned() };
    let start = Match::start(length, first.server);
    record::shown(
        played
            .points
            .iter()
            .fold(start, |score, point| score.after(if point.won { End::Me } else { End::Them })),
    )
}

/// Words that name nothing known, with their lines.
fn strange(deck: &Deck, rows: &[Row]) -> Vec<(usize, String)> {
    let mut strange = Vec::new();
    for row in rows {
        let serve = row
            .serve
            .as_ref()
            .and_then(|word| deck.serve_begun(word))
            .map(|serve| serve.id.clone());
        strange.extend(row.serve.iter().filter(|_| serve.is_none()).map(|w| (row.line, w.clone())));
        for given in row.meant.iter().chain(&row.played) {
            if receive(deck, serve.as_ref(), given).is_none() {
                strange.push((row.line, given.clone()));
            }
        }
    }
    strange
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
fn matches(deck: &Deck, rows: Vec<Row>, otherwise: Day) -> Vec<Played> {
    let mut matches: Vec<Played> = Vec::new();
    for row in rows {
        let place = matches.iter().position(|played| played.of_match == row.of_match);
        let place = place.unwrap_or_else(|| {
            matches.push(Played {
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
    let serve =
        row.serve.as_ref().and_then(|word| deck.serve_begun(word)).map(|serve| serve.id.clone());
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
    let said = Said {
        server: Some(row.server),
        serve,
        meant,
        played,
        quality: row.quality,
        waiting: row.waiting,
        won: row.won,
        unknown: (!unknown.is_empty()).then(|| unknown.join("; ")),
    };
    spoken::point(deck, &row.of_match, &deck.plan, row.server, said)
}

//! `debrief`: a match talked over in a minute, five questions or flags. What is told counts half.

mod telling;

use clap::Args;

use crate::base::{Day, text};
use crate::cli::ask::Asker;
use crate::cli::debrief::telling::{Told, games_by_points, games_of, going_of, told_of};
use crate::cli::points::newest_match;
use crate::cli::whom::Whom;
use crate::cli::{Desk, Failure, Overview, World};
use crate::deck::Deck;
use crate::journal::{Debrief, DebriefServe, EventId, Fact};

/// Talk a match over: five questions, one minute
#[derive(Debug, Args)]
#[command(
    after_help = "A serve is told as: its short name, few, some or many, well, even or badly, and `read` if they had \
                  read your answer; then the receive or switch, when it was not the plan's.\n\nExamples:\n  \
                  secondball debrief Kim\n  secondball debrief Kim --games \"11-8 9-11 11-7 11-9\" --serve \"short-fh many \
                  badly read\" --serve \"fast-bh few well\" --sentence \"waits for the short push\""
)]
pub struct DebriefArguments {
    #[command(flatten)]
    whom: Whom,
    /// The word of the match; the newest one, or today's day, when none is given
    #[arg(long = "match", value_name = "WORD")]
    of_match: Option<String>,
    /// Points of each game, yours first: "11-8 9-11 11-7"
    #[arg(long, value_name = "SCORES")]
    games: Option<String>,
    /// A serve, how many, how it went (may be repeated)
    #[arg(long, value_name = "WORDS")]
    serve: Vec<String>,
    /// A serve that was new, in your words (may be repeated)
    #[arg(long, value_name = "WORDS")]
    new: Vec<String>,
    /// One sentence for the next time
    #[arg(long, value_name = "WORDS")]
    sentence: Option<String>,
}

/// Days after a recorded match in which a debrief is about it.
const STILL_ABOUT: i64 = 14;

/// Runs the command.
///
/// # Errors
/// What is wrong with the request or the files, or the machine's own trouble.
pub fn run(
    arguments: &DebriefArguments,
    desk: &Desk,
    world: &mut World<'_>,
) -> Result<(), Failure> {
    let (stem, deck) = desk.opponent(arguments.whom.opponent())?;
    let board = desk.overview(world)?;
    let of_match = match arguments.of_match.as_deref().map(text::one_line) {
        Some(word) if !word.is_empty() => word,
        _ => match_meant(&board, &deck),
    };
    let has_flags = arguments.games.is_some()
        || arguments.sentence.is_some()
        || !arguments.serve.is_empty()
        || !arguments.new.is_empty();
    let mut debrief = Debrief {
        deck: deck.key.clone(),
        of_match,
        games: Vec::new(),
        serves: Vec::new(),
        new: Vec::new(),
        sentence: None,
    };
    if has_flags {
        from_flags(arguments, &deck, &board, &mut debrief, world)?;
    } else {
        from_questions(&deck, &board, &mut debrief, world)?;
    }
    let is_empty = debrief.games.is_empty()
        && debrief.serves.is_empty()
        && debrief.new.is_empty()
        && debrief.sentence.is_none();
    if is_empty {
        writeln!(world.err, "Nothing told, nothing kept.")?;
        return Ok(());
    }
    keep(desk, world, &board, &debrief)?;
    say(world, &debrief)?;
    if !debrief.new.is_empty() {
        writeln!(world.err, "Write the new one down: secondball scout add {stem}")?;
    }
    writeln!(world.err, "Next: secondball points lessons {stem}")?;
    Ok(())
}

/// The newest match when it is not long ago, else one called by today's day.
fn match_meant(board: &Overview<'_>, deck: &Deck) -> String {
    newest_match(board, deck)
        .filter(|(_, day)| (0..=STILL_ABOUT).contains(&board.today.days_since(*day)))
        .map_or_else(|| board.today.to_string(), |(word, _)| word)
}

/// An earlier debrief of the same match is taken back: told again means told better.
fn keep(
    desk: &Desk,
    world: &mut World<'_>,
    board: &Overview<'_>,
    debrief: &Debrief,
) -> Result<(), Failure> {
    let earlier: Vec<EventId> = board
        .events
        .iter()
        .filter(|event| {
            matches!(&event.fact, Fact::Debrief(told)
                if told.deck == debrief.deck && told.of_match == debrief.of_match)
        })
        .map(|event| event.id.clone())
        .collect();
    let day: Day = board.today;
    let mut writer = desk.home()?.writer(world.now, day)?;
    if let Some(finding) = writer.clock_behind() {
        writeln!(world.err, "{}", finding.shown())?;
    }
    for of in earlier {
        writer.append_unsynced(world.clock.now(), day, Fact::Undo { of })?;
        writeln!(world.err, "The earlier debrief of this match is replaced.")?;
    }
    writer.append(world.clock.now(), day, Fact::Debrief(debrief.clone()))?;
    Ok(())
}

fn from_flags(
    arguments: &DebriefArguments,
    deck: &Deck,
    board: &Overview<'_>,
    debrief: &mut Debrief,
    world: &mut World<'_>,
) -> Result<(), Failure> {
    let hint = "for example `--games \"11-8 9-11 11-7\"`";
    if let Some(games) = &arguments.games {
        debrief.games = games_of(games).map_err(|why| Failure::request(why, hint))?;
        if let Some(other) = unlike_points(board, debrief) {
            writeln!(world.err, "{}", text::wrap(&other, world.width, "  "))?;
            let keeps = !world.is_terminal
                || Asker::default().yes(world, "Keep the games as told?", false)?;
            if !keeps {
                return Err(Failure::Stopped);
            }
        }
    }
    for words in &arguments.serve {
        let told = told_of(deck, words).map_err(|why| {
            Failure::request(why, "for example `--serve \"short-fh many badly read\"`")
        })?;
        match told {
            Told::Known(serve) => debrief.serves.push(serve),
            Told::New(words) => {
                if let Some(close) = close_serve(deck, &words) {
                    return Err(Failure::request(
                        format!("`{words}`: no serve is called that"),
                        format!("did you mean `{close}`? One that is new: `--new \"{words}\"`"),
                    ));
                }
                writeln!(
                    world.err,
                    "No serve of {} is called that: `{words}` is kept as a new one.",
                    text::one_line(&deck.opponent)
                )?;
                debrief.new.push(words);
            }
        }
    }
    debrief.new.extend(said(&arguments.new));
    debrief.sentence = said(&arguments.sentence).pop();
    Ok(())
}

/// Words on one line each, empty ones left out.
fn said<'w>(words: impl IntoIterator<Item = &'w String>) -> Vec<String> {
    words.into_iter().map(|words| text::one_line(words)).filter(|w| !w.is_empty()).collect()
}

fn from_questions(
    deck: &Deck,
    board: &Overview<'_>,
    debrief: &mut Debrief,
    world: &mut World<'_>,
) -> Result<(), Failure> {
    let mut asker = Asker::default();
    writeln!(
        world.err,
        "{}, match {}. Enter leaves a question open.",
        text::one_line(&deck.opponent),
        debrief.of_match
    )?;
    // 1: the score.
    while let Some(given) = asker.line(world, "1 Games, yours first (11-8 9-11 11-7)")? {
        match games_of(&given) {
            Ok(games) => {
                debrief.games = games;
                let Some(other) = unlike_points(board, debrief) else { break };
                refuse(world, &other)?;
                if asker.yes(world, "  Keep the games as told?", false)? {
                    break;
                }
                debrief.games.clear();
            }
            Err(why) => refuse(world, &why)?,
        }
    }
    // 2: serve by serve.
    let how = "2 Each serve: few, some or many; and well, even or badly. If you did not play the plan: the switch's \
               name, or the receive.";
    writeln!(world.err, "{}", text::wrap(how, world.width, "  "))?;
    for serve in deck.seen_by(board.player.hand).active() {
        let said = format!("    {}", serve.shown());
        writeln!(world.err, "{}", text::wrap(&said, world.width, "    "))?;
        while let Some(given) = asker.line(world, &format!("  {}", serve.id))? {
            // As by flags; a begun word (`m b`) is enough here.
            let told = match going_of(&given) {
                Ok((many, going)) => Ok(Told::Known(DebriefServe {
                    serve: serve.id.clone(),
                    receive: None,
                    many,
                    going,
                    read: false,
                })),
                Err(_) => told_of(deck, &format!("{} {given}", serve.id)),
            };
            match told {
                Ok(Told::Known(told)) => {
                    debrief.serves.push(told);
                    break;
                }
                Ok(Told::New(words)) => refuse(world, &format!("`{words}` is not understood"))?,
                Err(why) => refuse(world, &format!("{why}; Enter: it did not come"))?,
            }
        }
    }
    // 3: what was read.
    if !debrief.serves.is_empty() {
        let given = asker.line(world, "3 Which answers had they read? (names of the serves)")?;
        for word in given.unwrap_or_default().split([',', ' ']).filter(|word| !word.is_empty()) {
            let id = crate::deck::editing::find_serve(deck, word).ok();
            match debrief.serves.iter_mut().find(|told| Some(&told.serve) == id.as_ref()) {
                Some(told) => told.read = true,
                None => refuse(world, &format!("`{word}` is none of the serves just told"))?,
            }
        }
    }
    // 4: what was new.
    let new = asker.line(world, "4 Serves that were new, in your words (; between two)")?;
    let new: Vec<String> = new
        .unwrap_or_default()
        .split(';')
        .map(text::one_line)
        .filter(|words| !words.is_empty())
        .collect();
    for words in new {
        let is_new = match close_serve(deck, &words) {
            None => true,
            Some(close) => {
                refuse(world, &format!("`{words}`: did you mean `{close}`, which is known?"))?;
                asker.yes(world, "  Keep it as a new one?", false)?
            }
        };
        if is_new {
            debrief.new.push(words);
        }
    }
    // 5: one sentence.
    debrief.sentence = asker.line(world, "5 One sentence for the next time")?;
    Ok(())
}

/// The known serve whose name is close to the first of these words.
fn close_serve<'d>(deck: &'d Deck, words: &str) -> Option<&'d str> {
    let known: Vec<&str> = deck.active().map(|serve| serve.id.as_str()).collect();
    text::closest(words.split(' ').next()?, &known)
}

/// What to say when the games told are not those that the kept points of the match make.
fn unlike_points(board: &Overview<'_>, debrief: &Debrief) -> Option<String> {
    let won = board.events.iter().filter_map(|event| match &event.fact {
        Fact::Point(point) if point.deck == debrief.deck && point.of_match == debrief.of_match => {
            Some(point.won)
        }
        _ => None,
    });
    let by_points = games_by_points(won);
    let is_alike = debrief.games.starts_with(&by_points);
    (!is_alike).then(|| {
        format!(
            "the points kept of this match make {}, not {}",
            games_shown(&by_points),
            games_shown(&debrief.games)
        )
    })
}

fn games_shown(games: &[(u32, u32)]) -> String {
    games.iter().map(|(me, them)| format!("{me}-{them}")).collect::<Vec<_>>().join(" ")
}

/// Says why an answer is not taken.
fn refuse(world: &mut World<'_>, why: &str) -> Result<(), Failure> {
    writeln!(world.err, "{}", text::wrap(&format!("    {why}"), world.width, "    "))?;
    Ok(())
}

/// What was kept, in words.
fn say(world: &mut World<'_>, debrief: &Debrief) -> Result<(), Failure> {
    let mut facts = vec![format!("match {}", debrief.of_match)];
    if !debrief.games.is_empty() {
        facts.push(games_shown(&debrief.games));
    }
    facts.push(format!("{} told", text::count(debrief.serves.len(), "serve")));
    let read: Vec<&str> =
        debrief.serves.iter().filter(|told| told.read).map(|told| told.serve.as_str()).collect();
    if !read.is_empty() {
        facts.push(format!("read: {}", read.join(", ")));
    }
    if !debrief.new.is_empty() {
        facts.push(format!("new: {}", debrief.new.join("; ")));
    }
    let said = format!("{}. Told from memory, it counts half.", facts.join("; "));
    writeln!(world.out, "{}", text::wrap(&said, world.width, "  "))?;
    Ok(())
}

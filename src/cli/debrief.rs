//! `debrief`: a match talked over in a minute, five questions or flags. What is told counts half.

mod questions;
mod telling;

use clap::Args;

use crate::base::text;
use crate::cli::ask::Asker;
use crate::cli::debrief::telling::{Telling, earlier, games_of, told_of};
use crate::cli::whom::Whom;
use crate::cli::{Desk, Failure, Overview, Result, World};
use crate::deck::Deck;
use crate::journal::{Debrief, Fact};

/// Talk a match over: five questions, one minute
#[derive(Debug, Args)]
#[command(
    after_help = "A serve is told as: its short word, few, some or many, well, even or badly, and \
        `read` if they had read your answer; then the receive or switch, when it was not the \
        plan's.\n\n\
        Examples:\n\
        \x20 secondball debrief north\n\
        \x20 secondball debrief north --games \"11-8 9-11 11-7 11-9\" \\\n\
        \x20   --serve \"short-fh many badly read\" \\\n\
        \x20   --serve \"fast-wide-bh few well\" \\\n\
        \x20   --sentence \"waits for the short push\""
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
pub fn run(arguments: &DebriefArguments, desk: &Desk, world: &mut World<'_>) -> Result {
    let (stem, deck) = desk.opponent(arguments.whom.opponent())?;
    let deck = deck.seen_by(desk.player()?.hand);
    let home = desk.overview(world)?;
    let of_match = match arguments.of_match.as_deref().map(text::one_line) {
        Some(word) if !word.is_empty() => word,
        _ => match_meant(&home, &deck),
    };
    let mut telling = Telling::new(&deck, home, of_match);
    let DebriefArguments { games, serve, new, sentence, .. } = arguments;
    if games.is_some() || sentence.is_some() || !serve.is_empty() || !new.is_empty() {
        from_flags(arguments, &mut telling, world)?;
    } else {
        questions::ask(&mut telling, world)?;
    }
    if telling.is_empty() {
        writeln!(world.err, "Nothing told, nothing kept.")?;
        return Ok(());
    }
    keep(&telling.debrief, &home, desk, world)?;
    world.say(&telling.shown(), "  ")?;
    if !telling.debrief.new.is_empty() {
        writeln!(world.err, "Write the new one down: secondball scout add {stem}")?;
    }
    world.next(&format!("plan advise {stem}"))
}

/// The newest match by its last point or debrief when it is not long ago, else one called by
/// today's day.
fn match_meant(home: &Overview<'_>, deck: &Deck) -> String {
    let newest = home.events.iter().rev().find_map(|event| match &event.fact {
        Fact::Point(point) if point.deck == deck.key => Some((&point.of_match, event.day)),
        Fact::Debrief(told) if told.deck == deck.key => Some((&told.of_match, event.day)),
        _ => None,
    });
    newest
        .filter(|(_, day)| (0..=STILL_ABOUT).contains(&home.today.days_since(*day)))
        .map_or_else(|| home.today.to_string(), |(word, _)| word.clone())
}

/// An earlier debrief of the same match is taken back: told again means told better.
fn keep(debrief: &Debrief, home: &Overview<'_>, desk: &Desk, world: &mut World<'_>) -> Result {
    let before: Vec<_> = earlier(home.events, debrief).collect();
    if matches!(before[..], [(_, only)] if only == debrief) {
        return Ok(());
    }
    let mut writer = desk.writer(world)?;
    // The new one first: cut off in between, both are there and are replaced together.
    writer.append_unsynced(world.clock.now(), home.today, Fact::Debrief(debrief.clone()))?;
    for (of, _) in &before {
        let fact = Fact::undo((*of).clone());
        writer.append_unsynced(world.clock.now(), home.today, fact)?;
    }
    writer.sync()?;
    if !before.is_empty() {
        writeln!(world.err, "The earlier debrief of this match is replaced.")?;
    }
    Ok(())
}

fn from_flags(
    arguments: &DebriefArguments,
    telling: &mut Telling<'_>,
    world: &mut World<'_>,
) -> Result {
    if let Some(games) = &arguments.games {
        let hint = "for example `--games \"11-8 9-11 11-7\"`";
        telling.debrief.games = games_of(games).map_err(|why| Failure::request(why, hint))?;
        if let Some(other) = telling.unlike_points() {
            world.note(&other, "  ")?;
            if world.is_terminal
                && !Asker::default().yes(world, "Keep the games as told?", false)?
            {
                return Err(Failure::Stopped);
            }
        }
    }
    for words in &arguments.serve {
        let hint = "for example `--serve \"short-fh many badly read\"`";
        let told = told_of(telling.deck, words).map_err(|why| Failure::request(why, hint))?;
        if let Some(serve) = told {
            telling.tell(serve);
            continue;
        }
        let (words, name) = (text::one_line(words), text::one_line(&telling.deck.opponent));
        if let Some(close) = telling.close_serve(&words) {
            return Err(Failure::request(
                format!("`{words}`: no serve is called that"),
                format!("did you mean `{close}`? One that is new: `--new \"{words}\"`"),
            ));
        }
        let said = format!("No serve of {name} is called that: `{words}` is kept as a new one.");
        world.note(&said, "  ")?;
        telling.tell_new(words);
    }
    for words in telling::on_lines(&arguments.new) {
        telling.tell_new(words);
    }
    let sentence = telling::on_lines(&arguments.sentence).pop();
    telling.debrief.sentence = sentence.or(telling.debrief.sentence.take());
    Ok(())
}

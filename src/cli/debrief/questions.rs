//! The five questions of a debrief.

use crate::base::text;
use crate::cli::ask::{Asker, with_now};
use crate::cli::debrief::telling::{Telling, games_of, games_shown, going_of, on_lines, told_of};
use crate::cli::{Result, World};
use crate::deck::editing::find_serve;
use crate::game::Serve;
use crate::journal::DebriefServe;

/// Asks them.
pub(super) fn ask(telling: &mut Telling<'_>, world: &mut World<'_>) -> Result {
    let before = telling.debrief.clone();
    Asker::default().block(|asker| {
        telling.debrief.clone_from(&before);
        ask_all(telling, asker, world)
    })
}

fn ask_all(telling: &mut Telling<'_>, asker: &mut Asker, world: &mut World<'_>) -> Result {
    let (name, of_match) = (text::one_line(&telling.deck.opponent), &telling.debrief.of_match);
    let enter = if telling.is_empty() { "leaves a question open" } else { "keeps what was told" };
    asker.say(world, &format!("{name}, match {of_match}. Enter {enter}, < goes one back."))?;
    ask_games(telling, asker, world)?;
    let how = "2 Each serve: few, some or many; and well, even or badly. If you did not play the \
               plan: the switch's name, or the receive.";
    asker.say(world, how)?;
    for (serve, number) in telling.deck.active().zip(1..) {
        asker.say(world, &format!("    {}", serve.shown()))?;
        let before = telling.debrief.serves.iter().find(|told| told.serve == serve.id).cloned();
        let before = before.map(|told| format!("{} {}", told.many, told.going));
        let called = format!("  {number} {}", telling.deck.called(&serve.id));
        let question = with_now(&called, before.as_deref());
        if let Some(told) = asker.read(world, &question, |given| read(telling, serve, given))? {
            telling.tell(told);
        }
    }
    if !telling.debrief.serves.is_empty() {
        ask_what_was_read(telling, asker, world)?;
    }
    ask_what_was_new(telling, asker, world)?;
    let before = telling.debrief.sentence.take();
    let question = with_now("5 One sentence for the next time", before.as_deref());
    telling.debrief.sentence = asker.line(world, &question)?.or(before);
    Ok(())
}

/// The score.
fn ask_games(telling: &mut Telling<'_>, asker: &mut Asker, world: &mut World<'_>) -> Result {
    let before = telling.debrief.games.clone();
    let told = (!before.is_empty()).then(|| games_shown(&before));
    let question = with_now("1 Games, yours first (11-8 9-11 11-7)", told.as_deref());
    while let Some(games) = asker.read(world, &question, games_of)? {
        telling.debrief.games = games;
        let Some(other) = telling.unlike_points() else { break };
        world.note(&format!("    {other}"), "    ")?;
        if asker.yes(world, "  Keep the games as told?", false)? {
            break;
        }
        telling.debrief.games.clone_from(&before);
    }
    Ok(())
}

/// How a serve went, as by flags; a begun word (`m b`) is enough here.
fn read(telling: &Telling<'_>, serve: &Serve, given: &str) -> Result<DebriefServe, String> {
    if let Some((many, going)) = going_of(given) {
        let (serve, receive, read) = (serve.id.clone(), None, false);
        return Ok(DebriefServe { serve, receive, many, going, read });
    }
    let words = format!("{} {given}", serve.id);
    match told_of(telling.deck, &words) {
        Ok(told) => told.ok_or_else(|| format!("`{words}` is not understood")),
        Err(why) => Err(format!("{why}; Enter: it did not come")),
    }
}

fn ask_what_was_read(
    telling: &mut Telling<'_>,
    asker: &mut Asker,
    world: &mut World<'_>,
) -> Result {
    let given = asker.line(world, "3 Which answers had they read? (numbers of the serves)")?;
    let given = given.unwrap_or_default();
    // Words of one serve, or several numbers or names.
    let is_one = find_serve(telling.deck, &given).is_ok();
    let words = given.split(|letter| !is_one && matches!(letter, ',' | ' '));
    for word in words.filter(|word| !word.is_empty()) {
        let id = find_serve(telling.deck, word).ok();
        match telling.debrief.serves.iter_mut().find(|told| Some(&told.serve) == id.as_ref()) {
            Some(told) => told.read = true,
            None => world.note(&format!("    `{word}` is none of the serves just told"), "    ")?,
        }
    }
    Ok(())
}

fn ask_what_was_new(telling: &mut Telling<'_>, asker: &mut Asker, world: &mut World<'_>) -> Result {
    let new = asker.line(world, "4 Serves that were new, in your words (; between two)")?;
    for words in on_lines(new.unwrap_or_default().split(';')) {
        if let Some(close) = telling.close_serve(&words) {
            let why = format!("    `{words}`: did you mean `{close}`, which is known?");
            world.note(&why, "    ")?;
            if !asker.yes(world, "  Keep it as a new one?", false)? {
                continue;
            }
        }
        telling.tell_new(words);
    }
    Ok(())
}

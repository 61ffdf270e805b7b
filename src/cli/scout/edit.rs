//! `scout add`, `change`, `retire`, `rename`: one serve at a time, by flags; `add` also by
//! questions.

use clap::Args;

use crate::base::text;
use crate::cli::scout::scouting::Scouting;
use crate::cli::{Desk, Failure, Result, World};
use crate::deck::{Part, ServeLine, editing};
use crate::game::{BadServeId, ServeId};

/// Add a serve, by a line or by questions
#[derive(Debug, Args)]
#[command(
    after_help = "Plain words say a serve, or parts by name: id, motion, spin, weight, breaks, \
        from, lane, depth, pace, often, sure, scores, tells, toss, looks_like, last_seen, \
        note. Lanes are your own.\n\n\
        Examples:\n\
        \x20 secondball scout add north \\\n\
        \x20   \"short no spin to the forehand, pendulum\" often=40%\n\
        \x20 secondball scout add north \"hook to the elbow\" \\\n\
        \x20   --ball \"push, popped up, left\""
)]
pub struct AddArguments {
    /// The opponent: file, name, or the beginning of either
    opponent: Option<String>,
    /// What is known, in words or as `part=words`; without it, questions are asked
    #[arg(value_name = "PART=WORDS")]
    line: Vec<String>,
    /// What your own ball did, to suggest the spin
    #[arg(long, value_name = "WORDS")]
    ball: Option<String>,
    /// Confirm the break that follows from hand and motion
    #[arg(long)]
    yes: bool,
}

/// Change what is known of a serve, by a line or by questions
#[derive(Debug, Args)]
#[command(after_help = "Examples:\n\
        \x20 secondball scout change north short-fh\n\
        \x20     asks, and says what is there now\n\
        \x20 secondball scout change north short-fh \\\n\
        \x20   \"weight=heavy tells=drops the shoulder\"")]
pub struct ChangeArguments {
    /// The opponent
    opponent: String,
    /// The serve, in its short word; without it, it is asked
    serve: Option<String>,
    /// What is different, in words or as `part=words`; `part=?` makes it unknown; without it,
    /// questions are asked
    #[arg(value_name = "PART=WORDS")]
    line: Vec<String>,
    /// Confirm the break that follows from hand and motion
    #[arg(long)]
    yes: bool,
}

/// A serve is no longer served (or again, with --back); its history is kept
#[derive(Debug, Args)]
#[command(after_help = "Examples:\n\
        \x20 secondball scout retire north short-fh\n\
        \x20 secondball scout retire north short-fh --back")]
pub struct RetireArguments {
    /// The opponent
    opponent: String,
    /// The serve, in its short word
    serve: String,
    /// It is served again
    #[arg(long)]
    back: bool,
}

/// Give a serve another name in the file; its history is kept
#[derive(Debug, Args)]
#[command(after_help = "Examples:\n\
        \x20 secondball scout rename north short-fh short-wide\n\
        \x20 secondball scout rename north fast-wide-bh surprise")]
pub struct RenameArguments {
    /// The opponent
    opponent: String,
    /// The serve, in its short word
    old: String,
    /// Its new name in the file
    new: String,
}

/// Adds a serve.
pub fn add(arguments: &AddArguments, desk: &Desk, world: &mut World<'_>) -> Result {
    // `scout add "motion=hook"` with one opponent in the home: the line stands where the name
    // would.
    let (named, begun) = match arguments.opponent.as_ref() {
        Some(first) if first.contains('=') => (None, Some(first)),
        first => (first.map(String::as_str), None),
    };
    let line: Vec<&str> = begun.into_iter().chain(&arguments.line).map(String::as_str).collect();
    let mut scouting = Scouting::find(desk, world, named)?;
    let serve = if line.is_empty() && arguments.ball.is_none() {
        let asked = scouting.block(|it| {
            let Some(serve) = it.ask_serve(None)? else { return Ok(None) };
            let mut serve = it.settle_break(serve, arguments.yes, true)?;
            it.ask_tell(&mut serve)?;
            Ok(Some(serve))
        })?;
        let Some(serve) = asked else {
            return Err(Failure::request(
                "nothing was said of the serve",
                "for example `secondball scout add \"motion=hook spin=no spin depth=short\"`",
            ));
        };
        scouting.add(&serve)?;
        serve
    } else {
        scouting.add_line(&line.join(" "), arguments.ball.as_deref(), arguments.yes)?
    };
    scouting.save()?;
    scouting.tell(&serve)?;
    scouting.tell_objections(&serve.id)?;
    scouting.world.next(&format!("plan choose {}", scouting.stem))
}

/// Changes a serve.
pub fn change(arguments: &ChangeArguments, desk: &Desk, world: &mut World<'_>) -> Result {
    let mut scouting = Scouting::find(desk, world, Some(&arguments.opponent))?;
    let hand = scouting.player.hand;
    let id = match &arguments.serve {
        Some(serve) => editing::find_serve(&scouting.seen(), serve)?,
        None => scouting.ask_which()?,
    };
    if arguments.line.is_empty() {
        let now = scouting.seen().serve(&id).cloned();
        let serve = scouting.block(|it| {
            let serve = it.ask_serve(now.as_ref())?.unwrap_or_default();
            let mut serve = it.settle_break(serve, arguments.yes, true)?;
            it.ask_tell(&mut serve)?;
            Ok(serve)
        })?;
        editing::put_serve(&mut scouting.deck, &serve, hand)?;
    } else {
        let line = ServeLine::read(&arguments.line.join(" "))?;
        editing::change_serve(&mut scouting.deck, &id, &line, hand)?;
        let touches_break =
            [Part::Breaks, Part::Motion, Part::Spin].iter().any(|part| line.get(*part).is_some());
        if touches_break && let Some(serve) = scouting.seen().serve(&id).cloned() {
            let may_ask = scouting.world.is_terminal;
            let settle =
                |it: &mut Scouting<'_, '_>| it.settle_break(serve.clone(), arguments.yes, may_ask);
            let serve = scouting.block(settle)?;
            editing::put_serve(&mut scouting.deck, &serve, hand)?;
        }
    }
    scouting.save()?;
    if let Some(serve) = scouting.seen().serve(&id) {
        scouting.tell(serve)?;
    }
    scouting.tell_objections(&id)
}

/// Retires a serve or brings it back.
pub fn retire(arguments: &RetireArguments, desk: &Desk, world: &mut World<'_>) -> Result {
    let mut scouting = Scouting::find(desk, world, Some(&arguments.opponent))?;
    let id = editing::find_serve(&scouting.seen(), &arguments.serve)?;
    editing::retire_serve(&mut scouting.deck, &id, !arguments.back)?;
    scouting.save()?;
    let (left, called) = (scouting.serves(), scouting.seen().called(&id));
    let Scouting { world, deck, stem, .. } = scouting;
    let name = text::one_line(&deck.opponent);
    if arguments.back {
        world.say(&format!("{called} is back; {name} has {left}"), "  ")?;
    } else {
        world.say(&format!("{called} is retired; {name} has {left} left"), "  ")?;
        let back =
            format!("`secondball scout retire {stem} {} --back`", text::typed(&arguments.serve));
        world.note(&format!("Its history is kept: {back} undoes it."), "  ")?;
    }
    Ok(())
}

/// Renames a serve.
pub fn rename(arguments: &RenameArguments, desk: &Desk, world: &mut World<'_>) -> Result {
    let mut scouting = Scouting::find(desk, world, Some(&arguments.opponent))?;
    let old = editing::find_serve(&scouting.seen(), &arguments.old)?;
    let new: ServeId = arguments.new.parse().map_err(|error: BadServeId| {
        Failure::request(error.to_string(), format!("write `{}`", error.suggested))
    })?;
    editing::rename_serve(&mut scouting.deck, &old, &new)?;
    scouting.save()?;
    let kept = "what was learnt under the old name stays with it";
    writeln!(scouting.world.out, "{old} is now {new}; {kept}")?;
    Ok(())
}

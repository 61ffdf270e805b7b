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
    after_help = "Plain words say a serve, or parts by name: id, motion, spin, weight, breaks, from, lane, depth, pace, often, sure, \
                  scores, tells, toss, looks_like, last_seen, note. Lanes are your own.\n\n\
                  Examples:\n  secondball scout add Kim \"short no spin to the forehand, pendulum\" \
                  often=40%\n  secondball scout add Kim \
                  \"motion=hook lane=elbow\" --ball \"push, popped up, left\""
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

/// Change what is known of a serve
#[derive(Debug, Args)]
#[command(
    after_help = "Examples:\n  secondball scout change Kim short-fh \"weight=heavy sure=seen\"\n  \
                  secondball scout change Kim short-fh \"spin=? tells=drops the shoulder\""
)]
pub struct ChangeArguments {
    /// The opponent
    opponent: String,
    /// The serve's short name
    serve: String,
    /// What is different, in words or as `part=words`; `part=?` makes it unknown
    #[arg(required = true, value_name = "PART=WORDS")]
    line: Vec<String>,
    /// Confirm the break that follows from hand and motion
    #[arg(long)]
    yes: bool,
}

/// A serve is no longer served (or again, with --back); its history is kept
#[derive(Debug, Args)]
#[command(
    after_help = "Examples:\n  secondball scout retire Kim short-fh\n  secondball scout retire Kim \
                  short-fh --back"
)]
pub struct RetireArguments {
    /// The opponent
    opponent: String,
    /// The serve's short name
    serve: String,
    /// It is served again
    #[arg(long)]
    back: bool,
}

/// Give a serve another short name; its history is kept
#[derive(Debug, Args)]
#[command(
    after_help = "Examples:\n  secondball scout rename Kim short-fh short-wide\n  secondball scout \
                  rename \"Left-hander, north hall\" serve half-long"
)]
pub struct RenameArguments {
    /// The opponent
    opponent: String,
    /// The short name it has
    old: String,
    /// The short name it gets
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
        let Some(mut serve) = scouting.ask_serve()? else {
            return Err(Failure::request(
                "nothing was said of the serve",
                "for example `secondball scout add \"motion=hook spin=no spin depth=short\"`",
            ));
        };
        scouting.settle_break(&mut serve, arguments.yes, true)?;
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
    let player = scouting.player;
    let id = editing::find_serve(&scouting.deck, &arguments.serve)?;
    let line = ServeLine::read(&arguments.line.join(" "))?;
    editing::change_serve(&mut scouting.deck, &id, &line, player.hand)?;
    let touches_break =
        [Part::Breaks, Part::Motion, Part::Spin].iter().any(|part| line.get(*part).is_some());
    if touches_break && let Some(mut serve) = scouting.deck.serve(&id).cloned() {
        let is_terminal = scouting.world.is_terminal;
        scouting.settle_break(&mut serve, arguments.yes, is_terminal)?;
        let changed = scouting.deck.serves.iter_mut().filter(|other| other.id == id);
        changed.for_each(|other| other.clone_from(&serve));
    }
    scouting.save()?;
    if let Some(serve) = scouting.deck.seen_by(player.hand).serve(&id) {
        scouting.tell(serve)?;
    }
    scouting.tell_objections(&id)
}

/// Retires a serve or brings it back.
pub fn retire(arguments: &RetireArguments, desk: &Desk, world: &mut World<'_>) -> Result {
    let mut scouting = Scouting::find(desk, world, Some(&arguments.opponent))?;
    let id = editing::find_serve(&scouting.deck, &arguments.serve)?;
    editing::retire_serve(&mut scouting.deck, &id, !arguments.back)?;
    scouting.save()?;
    let left = scouting.serves();
    let Scouting { world, deck, stem, .. } = scouting;
    let name = text::one_line(&deck.opponent);
    if arguments.back {
        writeln!(world.out, "{id} is back; {name} has {left}")?;
    } else {
        writeln!(world.out, "{id} is retired; {name} has {left} left")?;
        let back = format!("`secondball scout retire {stem} {id} --back`");
        writeln!(world.err, "Its history is kept: {back} undoes it.")?;
    }
    Ok(())
}

/// Renames a serve.
pub fn rename(arguments: &RenameArguments, desk: &Desk, world: &mut World<'_>) -> Result {
    let mut scouting = Scouting::find(desk, world, Some(&arguments.opponent))?;
    let old = editing::find_serve(&scouting.deck, &arguments.old)?;
    let new: ServeId = arguments.new.parse().map_err(|error: BadServeId| {
        Failure::request(error.to_string(), format!("write `{}`", error.suggested))
    })?;
    editing::rename_serve(&mut scouting.deck, &old, &new)?;
    scouting.save()?;
    let kept = "what was learnt under the old name stays with it";
    writeln!(scouting.world.out, "{old} is now {new}; {kept}")?;
    Ok(())
}

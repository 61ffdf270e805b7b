//! `rehearse drills`, and sessions kept under a name of the player's own.

use clap::{Args, Parser};

use crate::base::text;
use crate::cli::desk::Desk;
use crate::cli::rehearse::wished::SessionArguments;
use crate::cli::{Failure, World};
use crate::page::rehearsal::drills_text;
use crate::rehearsal::Variation;

/// The drills by name, yours too
#[derive(Debug, Args)]
#[command(after_help = "Examples:\n\
        \x20 secondball rehearse drills\n\
        \x20 secondball rehearse drills --remove tuesday")]
pub struct DrillsArguments {
    /// Forget a session of yours
    #[arg(long, value_name = "NAME")]
    remove: Option<String>,
}

/// What was kept, read as it is typed.
#[derive(Debug, Parser)]
struct KeptWords {
    #[command(flatten)]
    arguments: SessionArguments,
}

/// Lists the drills, or forgets one of the player's own.
///
/// # Errors
/// [`Failure`] where the player's file cannot be read or written, or there is none of this name.
pub(super) fn list(
    typed: &DrillsArguments,
    desk: &Desk,
    world: &mut World<'_>,
) -> Result<(), Failure> {
    let Some(name) = &typed.remove else {
        // The drills are there before there is a home.
        let own = if desk.home().is_ok() { Some(desk.player()?) } else { None };
        let page = drills_text(own.iter().flat_map(|own| &own.sessions), world.width);
        return Ok(write!(world.out, "{page}")?);
    };
    let was = desk.player()?;
    let mut now = was.clone();
    if now.sessions.remove(name).is_none() {
        return Err(unknown(name, desk)?);
    }
    desk.home()?.save_player(was, &now)?;
    world.say(&format!("\"{name}\" is forgotten"), "")
}

/// Keeps what was asked for.
///
/// # Errors
/// [`Failure`] where the name is a drill's, or the player's file cannot be written.
pub(super) fn keep(
    name: &str,
    arguments: &SessionArguments,
    desk: &Desk,
    world: &mut World<'_>,
) -> Result<(), Failure> {
    let name = text::one_line(name);
    if name.trim().is_empty() || name.parse::<Variation>().is_ok() {
        return Err(Failure::request(
            format!("`{name}` cannot be a name of yours"),
            "choose a word that is no drill: secondball rehearse drills",
        ));
    }
    let was = desk.player()?;
    let mut now = was.clone();
    now.sessions.insert(name.clone(), words_of(arguments));
    desk.home()?.save_player(was, &now)?;
    world.note(&format!("kept: secondball rehearse --drill {}", text::typed(&name)), "  ")
}

/// What is asked for where a session of the player's own is named, with what is typed now in front
/// of it; and the drill.
///
/// # Errors
/// [`Failure`] where there is no such drill, or what was kept can no longer be read.
pub(super) fn named(
    arguments: &SessionArguments,
    desk: &Desk,
) -> Result<(Option<SessionArguments>, Option<Variation>), Failure> {
    let Some(name) = &arguments.drill else { return Ok((None, None)) };
    if let Ok(drill) = name.parse::<Variation>() {
        return Ok((None, Some(drill)));
    }
    let sessions = &desk.player()?.sessions;
    let Some(words) = sessions.get(name) else { return Err(unknown(name, desk)?) };
    let typed = std::iter::once("rehearse").chain(words.iter().map(String::as_str));
    let read = KeptWords::try_parse_from(typed).map_err(|error| {
        let said = error.to_string();
        Failure::request(
            format!("what was kept as `{name}` cannot be read: {}", text::one_line(said.trim())),
            format!("change it under `sessions` of player.ron, or: secondball rehearse drills --remove {}", text::typed(name)),
        )
    })?;
    let own = read.arguments;
    let drill = own.drill.as_ref().and_then(|name| name.parse().ok());
    let now = arguments.clone();
    let both = SessionArguments {
        launcher: now.launcher.or(own.launcher),
        balls: now.balls.or(own.balls),
        minutes: now.minutes.or(own.minutes),
        phase: if now.phase.is_empty() { own.phase } else { now.phase },
        switch: if now.switch.is_empty() { own.switch } else { now.switch },
        under_twelve: now.under_twelve || own.under_twelve,
        eve: now.eve || own.eve,
        drill: own.drill,
    };
    Ok((Some(both), drill))
}

/// What is typed to ask for the same again, against whomever.
fn words_of(arguments: &SessionArguments) -> Vec<String> {
    let mut words = Vec::new();
    let mut add = |flag: &str, value: Option<String>| {
        words.extend(value.into_iter().flat_map(|value| [flag.to_owned(), value]));
    };
    add("--launcher", arguments.launcher.clone());
    add("--balls", arguments.balls.map(|balls| balls.to_string()));
    add("--minutes", arguments.minutes.map(|minutes| minutes.to_string()));
    for phase in &arguments.phase {
        add("--phase", Some(phase.word().replace('_', "-")));
    }
    for switch in &arguments.switch {
        add("--switch", Some(switch.clone()));
    }
    add("--drill", arguments.drill.clone());
    words.extend(arguments.under_twelve.then(|| "--under-twelve".to_owned()));
    words.extend(arguments.eve.then(|| "--eve".to_owned()));
    words
}

fn unknown(name: &str, desk: &Desk) -> Result<Failure, Failure> {
    let own = &desk.player()?.sessions;
    let drills = Variation::ALL.iter().map(|drill| drill.word().replace('_', "-"));
    let known: Vec<String> = drills.chain(own.keys().cloned()).collect();
    let known: Vec<&str> = known.iter().map(String::as_str).collect();
    let hint = text::meant(name, &known, "all of them: secondball rehearse drills");
    Ok(Failure::request(format!("there is no drill `{name}`"), hint))
}

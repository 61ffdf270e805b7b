//! `launcher`: what the player's launchers can do, one file each; machines, and people in their place.

mod aim;
mod calibrate;
pub(crate) mod fly;
mod trim;

use clap::{Args, Subcommand};

use crate::base::text;
use crate::cli::ask::Asker;
use crate::cli::{Desk, Failure, World};
use crate::deck::Deck;
use crate::launcher::{Launcher, LauncherKind};
use crate::page::launcher_card;
use crate::store;

/// The launchers shipped with the program: the word for it and its file.
pub(crate) const SHIPPED: [(&str, &str); 5] = [
    ("fixed", include_str!("../../demo/launchers/fixed.ron")),
    ("oscillating", include_str!("../../demo/launchers/oscillating.ron")),
    ("per-ball", include_str!("../../demo/launchers/per-ball.ron")),
    ("feeder", include_str!("../../demo/launchers/feeder.ron")),
    ("partner", include_str!("../../demo/launchers/partner.ron")),
];

/// What your launcher can do: a machine, or a person who feeds or serves
#[derive(Debug, Args)]
#[command(
    after_help = "Examples:\n  secondball launcher add \"club launcher\" --like fixed\n  secondball launcher show club"
)]
pub struct LauncherArguments {
    /// What to do
    #[command(subcommand)]
    pub then: Then,
}

/// What to do with a launcher.
#[derive(Debug, Subcommand)]
pub enum Then {
    /// Make a launcher's file from a shipped one, to be edited to what yours can do
    #[command(
        after_help = "Examples:\n  secondball launcher add \"club launcher\" --like fixed\n  secondball launcher add \"Sam\" --like partner"
    )]
    Add {
        /// What you call it
        name: String,
        /// The shipped launcher to begin with: fixed, oscillating, per-ball, feeder or partner
        #[arg(long, value_name = "KIND")]
        like: String,
    },
    /// Show what a launcher can do; all of yours without a name
    #[command(
        after_help = "Examples:\n  secondball launcher show\n  secondball launcher show fixed --json"
    )]
    Show {
        /// One of yours, or a shipped one
        name: Option<String>,
        /// Print it as JSON
        #[arg(long)]
        json: bool,
    },
    #[expect(missing_docs, reason = "documented by its arguments")]
    Fly(fly::FlyArguments),
    #[expect(missing_docs, reason = "documented by its arguments")]
    Aim(aim::AimArguments),
    #[expect(missing_docs, reason = "documented by its arguments")]
    Trim(trim::TrimArguments),
    #[expect(missing_docs, reason = "documented by its arguments")]
    Calibrate(calibrate::CalibrateArguments),
}

/// Does it.
///
/// # Errors
/// [`Failure`] when there is no such launcher or its file has a mistake.
pub fn run(
    arguments: &LauncherArguments,
    desk: &Desk,
    world: &mut World<'_>,
) -> Result<(), Failure> {
    match &arguments.then {
        Then::Add { name, like } => add(name, like, desk, world),
        Then::Show { name, json } => show(name.as_deref(), *json, desk, world),
        Then::Fly(arguments) => fly::run(arguments, desk, world),
        Then::Aim(arguments) => aim::run(arguments, desk, world),
        Then::Trim(arguments) => trim::run(arguments, desk, world),
        Then::Calibrate(arguments) => calibrate::run(arguments, desk, world),
    }
}

fn add(name: &str, like: &str, desk: &Desk, world: &mut World<'_>) -> Result<(), Failure> {
    let home = desk.home()?;
    let name = text::one_line(name);
    let (kind, shipped) = shipped(like).ok_or_else(|| no_launcher(like, &[]))?;
    let stem = text::file_stem(&name);
    if home.launcher_stems()?.contains(&stem) {
        return Err(Failure::request(
            format!("there is a launcher `{stem}` already"),
            format!("edit launchers/{stem}.ron, or choose another name"),
        ));
    }
    let file = format!("launchers/{stem}.ron");
    // The shipped text with its comments, under the player's own name.
    let own: String = shipped
        .lines()
        .map(|line| {
            if line.starts_with("    name: ") {
                format!("    name: {name:?},")
            } else {
                line.to_owned()
            }
        })
        .flat_map(|line| [line, "\n".to_owned()])
        .collect();
    store::judge_launcher(&file, &own).map_err(Failure::Findings)?;
    store::unpack(home.root(), &[(file.as_str(), own.as_str())])?;
    writeln!(world.err, "wrote {file}, like the shipped `{kind}`")?;
    writeln!(world.err, "Edit it until it says what yours can do; `secondball check` reads it.")?;
    Ok(())
}

fn show(name: Option<&str>, json: bool, desk: &Desk, world: &mut World<'_>) -> Result<(), Failure> {
    let stems = desk.home()?.launcher_stems()?;
    let launchers: Vec<Launcher> = match name {
        Some(name) => vec![find(Some(name), desk, world)?],
        None if stems.is_empty() => {
            writeln!(world.err, "none of your own yet; these are shipped:\n")?;
            let all = SHIPPED.iter().map(|(word, _)| find(Some(word), desk, world));
            all.collect::<Result<_, _>>()?
        }
        None => stems.iter().map(|stem| find(Some(stem), desk, world)).collect::<Result<_, _>>()?,
    };
    if json {
        writeln!(world.out, "{}", crate::page::json(&launchers))?;
    } else {
        let cards: Vec<String> = launchers.iter().map(launcher_card::card).collect();
        write!(world.out, "{}", cards.join("\n"))?;
    }
    Ok(())
}

/// The shipped launcher a word means.
fn shipped(word: &str) -> Option<(&'static str, &'static str)> {
    let wanted = text::plain_word(word);
    SHIPPED.into_iter().find(|(kind, _)| text::plain_word(kind) == wanted)
}

/// The launcher meant by a name: one of the player's own by file or the beginning of only one, else a
/// shipped one; without a name the only one there is, and in a terminal the one that is answered.
///
/// # Errors
/// [`Failure`] when none or several are meant, or the file has a mistake.
pub(crate) fn find(
    named: Option<&str>,
    desk: &Desk,
    world: &mut World<'_>,
) -> Result<Launcher, Failure> {
    if named.is_none() && world.is_terminal {
        let mut known = desk.home()?.launcher_stems()?;
        if known.is_empty() {
            known = LauncherKind::ALL.iter().map(|kind| kind.word().replace('_', "-")).collect();
            for (word, kind) in known.iter().zip(LauncherKind::ALL) {
                writeln!(world.err, "  {word:<13}{kind}")?;
            }
        }
        if known.len() > 1 {
            let why = "what can be thrown hangs on it";
            let chosen = Asker::default().choose_needed(world, "launcher", &known, why)?;
            if let Some(place) = chosen {
                return find(Some(&known[place]), desk, world);
            }
        }
    }
    let home = desk.home()?;
    let stems = home.launcher_stems()?;
    let stem = match named {
        Some(named) => {
            let wanted = text::plain_word(named);
            let whole = stems.iter().find(|stem| text::plain_word(stem) == wanted);
            let begun: Vec<&String> =
                stems.iter().filter(|stem| text::plain_word(stem).starts_with(&wanted)).collect();
            match (whole, shipped(named), begun.as_slice()) {
                (Some(stem), ..) => stem.clone(),
                (None, Some((word, text)), _) => {
                    let file = format!("the shipped {word}.ron");
                    let parsed = store::judge_launcher(&file, text).map_err(Failure::Findings)?;
                    return Ok(parsed.value);
                }
                (None, None, [only]) => (*only).clone(),
                _ => return Err(no_launcher(named, &stems)),
            }
        }
        None => match stems.as_slice() {
            [only] => only.clone(),
            [] => {
                return Err(Failure::request(
                    "which launcher? none of yours is on file (`secondball launcher add --help` says how to make one)",
                    "--launcher fixed, oscillating, per-ball, feeder or partner",
                ));
            }
            several => {
                return Err(Failure::request(
                    "which launcher?",
                    format!("--launcher {}", several.join(", or --launcher ")),
                ));
            }
        },
    };
    match home.judged_launcher(&stem)? {
        Some(parsed) => Ok(parsed.value),
        None => Err(no_launcher(&stem, &stems)),
    }
}

/// The file of a launcher among the player's own; none when it is a shipped one.
fn own_stem(launcher: &Launcher, desk: &Desk) -> Result<Option<String>, Failure> {
    let home = desk.home()?;
    for stem in home.launcher_stems()? {
        let own = home.judged_launcher(&stem);
        if own.is_ok_and(|own| own.is_some_and(|own| own.value == *launcher)) {
            return Ok(Some(stem));
        }
    }
    Ok(None)
}

/// Three numbers of the command line as an outlet.
fn outlet_m(given: &[f64], example: &str) -> Result<[f64; 3], Failure> {
    <[f64; 3]>::try_from(given).map_err(|_| {
        Failure::request(
            format!("an outlet has three numbers, not {}", given.len()),
            format!("metres along, across and up: --outlet {example}"),
        )
    })
}

/// A serve the deck does not have.
fn no_serve(named: &str, deck: &Deck) -> Failure {
    let known: Vec<&str> = deck.active().map(|serve| serve.id.as_str()).collect();
    let hint = text::closest(named, &known).map_or_else(
        || format!("the deck has {}", text::and_list(&known)),
        |meant| format!("did you mean `{meant}`?"),
    );
    Failure::request(format!("no serve `{named}`"), hint)
}

fn no_launcher(named: &str, stems: &[String]) -> Failure {
    let known: Vec<&str> =
        stems.iter().map(String::as_str).chain(SHIPPED.iter().map(|(word, _)| *word)).collect();
    let hint = match text::closest(named, &known) {
        Some(meant) => format!("did you mean `{meant}`?"),
        None => format!("there is {}", text::and_list(&known)),
    };
    Failure::request(format!("no launcher `{named}`"), hint)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_kind_of_launcher_is_shipped_and_reads_without_a_finding() {
        let mut kinds = Vec::new();
        for (word, text) in SHIPPED {
            let parsed = store::judge_launcher(word, text).unwrap();
            assert_eq!(parsed.findings, []);
            kinds.push(parsed.value.kind);
        }
        assert_eq!(kinds, LauncherKind::ALL);
    }
}

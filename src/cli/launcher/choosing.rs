//! Which launcher is meant by a name, which table it stands on, and what else all its commands ask
//! for.

use crate::base::{Finding, Place, text};
use crate::cli::ask::Asker;
use crate::cli::{Desk, Failure, World};
use crate::deck::Deck;
use crate::flight::{Constants, FlightError};
use crate::game::Hand;
use crate::launcher::{Launcher, LauncherKind, Table};
use crate::store;

/// The launchers shipped with the program: the word for it and its file.
pub(crate) const SHIPPED: [(&str, &str); 5] = [
    ("fixed", include_str!("../../../demo/launchers/fixed.ron")),
    ("oscillating", include_str!("../../../demo/launchers/oscillating.ron")),
    ("per-ball", include_str!("../../../demo/launchers/per-ball.ron")),
    ("feeder", include_str!("../../../demo/launchers/feeder.ron")),
    ("partner", include_str!("../../../demo/launchers/partner.ron")),
];

/// A number the flight refuses, as a problem of the request.
pub(super) fn refused(error: &FlightError) -> Failure {
    Failure::from(Finding::error(error.to_string()))
}

/// The player's own table when there is one, else the usual one; and whether it is their own.
///
/// # Errors
/// [`Failure`] when the file has a mistake.
pub(crate) fn own_table(desk: &Desk) -> Result<(Constants, bool), Failure> {
    let home = desk.home_unchecked()?;
    let own: Option<Constants> = if home.exists() { home.read_ron("table.ron")? } else { None };
    own.map(Constants::checked).transpose().map_err(|error| {
        Failure::from(
            Finding::error(error.to_string())
                .at(Place::file("table.ron"))
                .hint("correct the number, or remove the file for the usual table"),
        )
    })?;
    Ok((own.unwrap_or_default(), own.is_some()))
}

/// The shipped launcher a word means.
pub(super) fn shipped(word: &str) -> Option<(&'static str, &'static str)> {
    let wanted = text::plain_word(word);
    SHIPPED.into_iter().find(|(kind, _)| text::plain_word(kind) == wanted)
}

/// The launcher meant by a name: one of the player's own by file or the beginning of only one, else
/// a shipped one; without a name the only one there is, and in a terminal the one that is answered.
///
/// # Errors
/// [`Failure`] when none or several are meant, or the file has a mistake.
pub(crate) fn find(
    named: Option<&str>,
    desk: &Desk,
    world: &mut World<'_>,
) -> Result<Launcher, Failure> {
    let home = desk.home()?;
    let stems = home.launcher_stems()?;
    let is_open = named.is_none() && stems.len() != 1;
    let asked = if is_open { ask_who_throws(desk, world)? } else { None };
    let stem = match (named.or(asked.as_deref()), stems.as_slice()) {
        (Some(named), _) => {
            let wanted = text::plain_word(named);
            let whole = stems.iter().find(|stem| text::plain_word(stem) == wanted);
            let begun: Vec<&String> =
                stems.iter().filter(|stem| text::plain_word(stem).starts_with(&wanted)).collect();
            match (whole, shipped(named), begun.as_slice()) {
                (Some(stem), ..) => stem,
                (None, Some((word, text)), _) => {
                    let file = format!("the shipped {word}.ron");
                    let parsed = store::judge_launcher(&file, text).map_err(Failure::Findings)?;
                    return Ok(parsed.value);
                }
                (None, None, [only]) => only,
                _ => return Err(no_launcher(named, &stems)),
            }
        }
        (None, [only]) => only,
        (None, []) => {
            return Err(Failure::request(
                "which launcher? none of yours is on file (`secondball launcher add --help` says how to make one)",
                "--launcher fixed, oscillating, per-ball, feeder or partner",
            ));
        }
        (None, several) => {
            let hint = format!("--launcher {}", several.join(", or --launcher "));
            return Err(Failure::request("which launcher?", hint));
        }
    };
    let judged = home.judged_launcher(stem)?;
    judged.map(|parsed| parsed.value).ok_or_else(|| no_launcher(stem, &stems))
}

/// Who throws, answered in a terminal: a launcher of the player's own, or where there is none a
/// kind of launcher, or a friend.
///
/// # Errors
/// [`Failure`] when the home cannot be read.
pub(crate) fn ask_who_throws(
    desk: &Desk,
    world: &mut World<'_>,
) -> Result<Option<String>, Failure> {
    if !world.is_terminal {
        return Ok(None);
    }
    let own = desk.home()?.launcher_stems()?;
    let only = if let [only] = &own[..] { Some(only.clone()) } else { None };
    let (mut words, mut shown) = (own.clone(), own);
    for kind in LauncherKind::ALL.iter().filter(|kind| kind.is_person() || only.is_none()) {
        if kind.is_person() {
            shown.push(kind.shown().replace("a person", "a friend"));
        } else if words.iter().all(|word| shipped(word).is_some()) {
            shown.push(format!("a launcher, {kind}"));
        } else {
            continue;
        }
        words.push(kind.word().replace('_', "-"));
    }
    let mut asker = Asker::needing("what can be thrown hangs on it");
    let is_word = |given: &str| shipped(given).is_some();
    let said =
        asker.choose_or(world, "who throws", &shown, &[], only.as_deref(), is_word)?.or(only);
    let place = shown.iter().position(|shown| Some(shown) == said.as_ref());
    Ok(place.map(|place| words[place].clone()).or(said))
}

/// The file of a launcher among the player's own; none when it is a shipped one.
pub(super) fn own_stem(launcher: &Launcher, desk: &Desk) -> Result<Option<String>, Failure> {
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
pub(super) fn outlet_m(given: &[f64], example: &str) -> Result<[f64; 3], Failure> {
    <[f64; 3]>::try_from(given).map_err(|_| {
        Failure::request(
            format!("a nozzle has three numbers, not {}", given.len()),
            format!("metres along, across and up: --nozzle {example}"),
        )
    })
}

pub(super) fn no_launcher(named: &str, stems: &[String]) -> Failure {
    let known = stems.iter().map(String::as_str).chain(SHIPPED.map(|(word, _)| word));
    let known: Vec<&str> = known.collect();
    let otherwise = format!("there is {}", text::and_list(&known));
    Failure::request(format!("no launcher `{named}`"), text::meant(named, &known, otherwise))
}

/// An opponent's deck as the player names its lanes, and the table its serves are aimed for.
pub(super) fn deck_and_table(
    opponent: Option<&str>,
    desk: &Desk,
) -> Result<(Deck, Table, bool), Failure> {
    let player = desk.player()?;
    let (_, deck) = desk.opponent(opponent)?;
    let (constants, is_own_table) = own_table(desk)?;
    let server = deck.hand.unwrap_or(Hand::Right);
    // A simulated share, no choice: the same every day unless a seed is given.
    let table = Table { constants, receiver: player.hand, server, seed: 1 };
    Ok((deck.seen_by(player.hand), table, is_own_table))
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

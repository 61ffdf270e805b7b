//! `phone write`: the page to take along, with lists, rounds, sheets and a session at the table.

use std::collections::{BTreeMap, BTreeSet};
use std::path::PathBuf;

use super::matching::{FILE, PhoneFile};
use crate::agenda::progress::{Answers, ProgressRequest, switches};
use crate::cli::dossier::{Dossier, changes_due, foremost};
use crate::cli::launcher::own_table;
use crate::cli::rehearse::making::{SessionWish, make};
use crate::cli::sheet::sheet_of;
use crate::cli::{Desk, Failure, Overview, World};
use crate::deck::Deck;
use crate::drill::{Flown, flights};
use crate::flight::Constants;
use crate::game::{Hand, ServeId};
use crate::page::phone::{
    CallerSession, PhoneError, PhoneRequest, PhoneSheet, cost_words, phone_page,
};
use crate::rehearsal::Volumes;
use crate::store::{Home, unpack};

/// Planned serves that may fit on a page; with more it is not tried.
const MOST_SERVES: usize = 100;

/// Write the page
#[derive(Debug, clap::Args)]
#[command(after_help = "Examples:\n\
        \x20 secondball phone write page\n\
        \x20 secondball phone write page --rehearse north \\\n\
        \x20   --launcher feeder --balls 60")]
pub struct WriteArguments {
    /// The folder to write into; `index.html` alone is the whole page
    pub folder: PathBuf,
    /// Only this opponent (may be repeated); all of them otherwise
    #[arg(long, value_name = "OPPONENT")]
    pub opponent: Vec<String>,
    /// Days of lists, today included
    #[arg(long, value_name = "DAYS", default_value_t = 14, value_parser = clap::value_parser!(u32).range(1..=60))]
    pub days: u32,
    /// Let your private notes go along too
    #[arg(long)]
    pub with_notes: bool,
    /// Take a session at the table along, against this opponent, for the caller
    #[arg(long, value_name = "OPPONENT")]
    pub rehearse: Option<String>,
    /// The launcher of that session: one of yours, or fixed, oscillating, per-ball, feeder,
    /// partner
    #[arg(long, value_name = "NAME", requires = "rehearse")]
    pub launcher: Option<String>,
    /// Balls of that session
    #[arg(long, value_name = "NUMBER", requires = "rehearse")]
    pub balls: Option<u32>,
    /// Call this switch in that session
    #[arg(long, value_name = "NAME", requires = "rehearse")]
    pub switch: Option<String>,
}

/// Writes the page.
///
/// # Errors
/// [`Failure`] when there is nothing to take along or the page cannot be written.
pub(super) fn run(
    arguments: &WriteArguments,
    desk: &Desk,
    world: &mut World<'_>,
) -> Result<(), Failure> {
    let board = desk.overview(world)?;
    let mut dossiers = foremost(desk.dossiers(world)?);
    let changes = changes_due(&dossiers)?;
    if arguments.opponent.is_empty() {
        let mut serves = 0;
        let fits = |of: &Dossier<'_>| {
            serves += of.deck.plan.len();
            serves <= MOST_SERVES
        };
        let fitting = dossiers.iter().copied().take_while(fits).count();
        dossiers.truncate(fitting.max(1));
    } else {
        let stem = |named: &String| Ok(desk.opponent(Some(named))?.0);
        let stems: Vec<String> =
            arguments.opponent.iter().map(stem).collect::<Result<_, Failure>>()?;
        dossiers = desk.dossiers(world)?;
        dossiers.retain(|of| stems.iter().any(|stem| stem == of.stem));
    }
    let mut decks = board.decks.to_vec();
    decks.retain(|(stem, _)| dossiers.iter().any(|of| of.stem == stem));
    let (constants, _) = own_table(desk)?;
    let sheets = sheets(board, &dossiers, world.seed, &constants)?;
    let home = desk.home()?;
    let caller = caller(arguments, desk, world)?;
    let key = home_key(home, world)?;
    let request = PhoneRequest {
        home: &key,
        now_ms: world.now.epoch_ms(),
        today: board.today,
        player: board.player,
        decks: &decks,
        memories: board.memories,
        events: board.recent,
        sheets: &sheets,
        changes: &changes,
        flights: &flown(board.player.hand, &decks, &constants),
        receipts: receipts(home.origins()?.into_keys()),
        caller,
        has_notes: arguments.with_notes,
        days: arguments.days,
        seed: world.seed,
    };
    let (mut made, mut taken) = (phone_page(&request), decks.clone());
    // Of those nobody asked for, as many as fit.
    while let Err(PhoneError::TooLarge { kib, most_kib }) = made
        && arguments.opponent.is_empty()
        && dossiers.len() > 1
    {
        dossiers.truncate((dossiers.len() * most_kib / kib).clamp(1, dossiers.len() - 1));
        taken.retain(|(stem, _)| dossiers.iter().any(|of| of.stem == stem));
        made = phone_page(&PhoneRequest { decks: &taken, ..request.clone() });
    }
    let page = made.map_err(|error| Failure::request(error.to_string(), error.hint()))?;
    if arguments.opponent.is_empty() && taken.len() < board.decks.len() {
        let (some, all) = (taken.len(), board.decks.len());
        let how = "those of your events and those met last; others with --opponent NAME";
        world.note(&format!("{some} of your {all} opponents go along: {how}."), "  ")?;
    }
    unpack(
        &arguments.folder,
        &[
            ("index.html", &page.html),
            ("manifest.webmanifest", &page.manifest),
            ("worker.js", &page.worker),
        ],
    )?;
    let file = arguments.folder.join("index.html").display().to_string();
    writeln!(world.out, "{file}")?;
    for line in page.about(&file, arguments.days, arguments.with_notes) {
        writeln!(world.err, "{line}")?;
    }
    Ok(())
}

/// The bench sheet of every opponent, by stem, as `sheet` prints it, with what its switches cost in
/// the drill.
fn sheets(
    board: Overview<'_>,
    dossiers: &[Dossier<'_>],
    seed: u64,
    constants: &Constants,
) -> Result<BTreeMap<String, PhoneSheet>, Failure> {
    let costs = switches(&ProgressRequest {
        player: board.player,
        decks: board.decks,
        opponent: None,
        memories: board.memories,
        answers: &Answers::default(),
        events: board.events,
        today: board.today,
        // A difference of times needs no window.
    })
    .costs;
    let mut sheets = BTreeMap::new();
    for dossier in dossiers {
        let sheet = sheet_of(dossier, seed, constants)?;
        let own = costs.iter().filter(|cost| cost.deck == dossier.stem);
        let costs = own
            .filter_map(|cost| Some((cost.name.clone(), cost_words(cost.weeks.last()?))))
            .collect();
        sheets.insert(dossier.stem.to_owned(), PhoneSheet { sheet, costs });
    }
    Ok(sheets)
}

/// The session at the table that goes along, where one is wished for.
fn caller(
    arguments: &WriteArguments,
    desk: &Desk,
    world: &mut World<'_>,
) -> Result<Option<CallerSession>, Failure> {
    let Some(opponent) = &arguments.rehearse else { return Ok(None) };
    let wish = SessionWish {
        opponent: Some(opponent),
        launcher: arguments.launcher.as_deref(),
        balls: arguments.balls,
        minutes: None,
        phases: &[],
        switches: arguments.switch.as_slice(),
        drill: None,
        volumes: Volumes::adult(),
    };
    let session = make(&wish, desk, world)?;
    Ok(Some(CallerSession::from_session(&session, desk.player()?.units)))
}

/// The flights of every serve still served, by the stem of its deck.
fn flown(
    hand: Hand,
    decks: &[(String, Deck)],
    air: &Constants,
) -> BTreeMap<String, BTreeMap<ServeId, Flown>> {
    let of_deck = |(stem, deck): &(String, Deck)| {
        let deck = deck.seen_by(hand);
        let serves: Vec<ServeId> = deck.active().map(|serve| serve.id.clone()).collect();
        (stem.clone(), flights(&deck, &serves, hand, air))
    };
    decks.iter().map(of_deck).collect()
}

/// The home's key, made at the first page.
fn home_key(home: &Home, world: &World<'_>) -> Result<String, Failure> {
    if let Some(file) = home.read_ron::<PhoneFile>(FILE)? {
        return Ok(file.key);
    }
    let mut dice = world.dice(&format!("phone key {}", world.now.epoch_ms()));
    let key = format!("{}{}", Deck::coin_key(&mut dice), Deck::coin_key(&mut dice));
    home.write_ron(FILE, None, &PhoneFile { format: 1, key: key.clone() })?;
    Ok(key)
}

/// For each sitting of a phone: up to which number everything is here.
fn receipts(origins: impl Iterator<Item = String>) -> BTreeMap<String, u64> {
    let mut sittings: BTreeMap<String, BTreeSet<u64>> = BTreeMap::new();
    for origin in origins {
        let Some((sitting, number)) = origin.rsplit_once('/') else { continue };
        sittings.entry(sitting.to_owned()).or_default().extend(number.parse::<u64>().ok());
    }
    let whole = |own: &BTreeSet<u64>| {
        let counted = own.iter().zip(1..).take_while(|(number, place)| **number == *place);
        counted.last().map(|(number, _)| *number)
    };
    sittings.into_iter().filter_map(|(sitting, own)| Some((sitting, whole(&own)?))).collect()
}

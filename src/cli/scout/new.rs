//! `scout NAME`: a new opponent from nothing, from lines or from a starter deck; or more serves for one
//! who is there already.
//!
//! Every serve is on disk before the next question, so that an interrupted hour loses one serve at most.

use crate::base::text;
use crate::cli::ask::{Asker, choices};
use crate::cli::scout::{ScoutArguments, edit, questions};
use crate::cli::{Desk, Failure, World};
use crate::deck::{Deck, Player, Starter, editing};
use crate::game::{Hand, Serve};
use crate::store::{Home, parse_deck};

/// The starter deck of this name.
pub(crate) fn starter(name: &str) -> Result<&'static Starter, Failure> {
    Starter::named(name).map_err(|error| {
        let hint = match error.closest() {
            Some(word) => format!("did you mean `{word}`?"),
            None => "`secondball scout starters` lists them".to_owned(),
        };
        Failure::request(format!("`{name}` is not a starter deck"), hint)
    })
}

/// Reads a starter deck for an opponent.
fn from_starter(
    starter: &Starter,
    opponent: &str,
    key: String,
    hand: Option<Hand>,
    player: &Player,
) -> Result<Deck, Failure> {
    let deck = parse_deck(&starter.file(), starter.text).map_err(Failure::Findings)?;
    Ok(deck.as_starter_for(opponent, key, hand, player.hand))
}

/// Runs the command.
pub(crate) fn run(
    arguments: &ScoutArguments,
    desk: &Desk,
    world: &mut World<'_>,
) -> Result<(), Failure> {
    let home = desk.home()?;
    let player = desk.player()?;
    let mut asker = Asker::default();
    let has_flags = arguments.hand.is_some()
        || arguments.grip.is_some()
        || arguments.rubbers.is_some()
        || arguments.from_starter.is_some()
        || !arguments.serves.is_empty();
    let opponent = match &arguments.opponent {
        Some(opponent) => text::one_line(opponent),
        None => asker.line(world, "Who is the opponent")?.unwrap_or_default(),
    };
    if opponent.is_empty() {
        return Err(Failure::request(
            "an opponent needs a name",
            "any words you will recognise: `secondball scout \"Left-hander, north hall\"`",
        ));
    }
    let known = known_opponent(arguments, desk, world, home, &opponent)?;
    let asks = !has_flags || (world.is_terminal && arguments.serves.is_empty());
    let (stem, mut deck) = match known {
        Some((stem, deck)) => more_of(arguments, world, home, stem, deck)?,
        None => begin(arguments, world, &mut asker, home, player, &opponent, asks)?,
    };
    add_lines(arguments, world, &mut asker, home, player, &stem, &mut deck)?;
    if asks && arguments.from_starter.is_none() {
        let asked = ask_serves(world, &mut asker, home, player, &stem, &mut deck);
        if matches!(asked, Err(Failure::Interrupted)) {
            let serves = text::count(deck.active().count(), "serve");
            writeln!(world.err, "\ndecks/{stem}.ron has {serves}. Go on: secondball scout {stem}")?;
        }
        asked?;
    }
    let next = if deck.serves.is_empty() { "scout add" } else { "plan choose" };
    writeln!(world.out, "decks/{stem}.ron has {}", text::count(deck.active().count(), "serve"))?;
    writeln!(world.err, "Next: secondball {next} {stem}")?;
    Ok(())
}

/// The opponent, when one of this name is there, or one whom a word of the name means.
fn known_opponent(
    arguments: &ScoutArguments,
    desk: &Desk,
    world: &mut World<'_>,
    home: &Home,
    opponent: &str,
) -> Result<Option<(String, Deck)>, Failure> {
    let plain = text::plain_word(opponent);
    let stem = text::file_stem(opponent);
    let exactly = home
        .decks()?
        .into_iter()
        .find(|(file, deck)| *file == stem || text::plain_word(&deck.opponent) == plain);
    if exactly.is_some() || home.decks_meant(opponent)?.is_empty() {
        return Ok(exactly);
    }
    let (stem, deck) = desk.opponent(Some(opponent))?;
    let name = text::one_line(&deck.opponent);
    let other_hand = deck.hand.filter(|hand| arguments.hand.is_some_and(|given| given != *hand));
    if let Some(hand) = other_hand {
        return Err(Failure::request(
            format!("`{opponent}` means {name}, who is {hand}-handed"),
            "write the name out: theirs to change the hand, or another opponent's",
        ));
    }
    writeln!(world.err, "Going on with {name}")?;
    Ok(Some((stem, deck)))
}

/// What flags say of an opponent who is there already.
fn more_of(
    arguments: &ScoutArguments,
    world: &mut World<'_>,
    home: &Home,
    stem: String,
    mut deck: Deck,
) -> Result<(String, Deck), Failure> {
    if arguments.from_starter.is_some() {
        return Err(Failure::request(
            format!("{} is written down already, in decks/{stem}.ron", deck.opponent),
            "choose another name, or look at a habit with `secondball scout starters NAME`",
        ));
    }
    let before = deck.clone();
    deck.hand = arguments.hand.or(deck.hand);
    deck.grip = arguments.grip.or(deck.grip);
    deck.rubbers = arguments.rubbers.clone().or(deck.rubbers);
    if deck != before {
        home.save_deck(&stem, &deck)?;
    }
    if let Some(hand) = deck.hand.filter(|hand| before.hand.is_some_and(|old| old != *hand)) {
        let written: Vec<_> = deck
            .active()
            .filter(|serve| serve.breaks.is_some())
            .map(|serve| format!("`{}`", serve.id))
            .collect();
        let said = format!(
            "They are {hand} now: breaks that follow from hand and motion are the other way round. {}",
            if written.is_empty() {
                "No break was written down by hand.".to_owned()
            } else {
                format!("Written down and left as they are: {}; look at these.", written.join(", "))
            }
        );
        writeln!(world.err, "{}", text::wrap(&said, world.width, "  "))?;
    }
    writeln!(
        world.err,
        "{} is written down already: {}.",
        text::one_line(&deck.opponent),
        text::count(deck.active().count(), "serve")
    )?;
    Ok((stem, deck))
}

/// A new opponent, on disk.
fn begin(
    arguments: &ScoutArguments,
    world: &mut World<'_>,
    asker: &mut Asker,
    home: &Home,
    player: &Player,
    opponent: &str,
    asks: bool,
) -> Result<(String, Deck), Failure> {
    let key = Deck::coin_key(&mut world.dice(&format!("key of {opponent}")));
    let named = arguments.from_starter.as_deref().map(starter).transpose()?;
    // Everything said by flags must be right before anything is written.
    for line in &arguments.serves {
        edit::read_line(line)?;
    }
    let mut hand = arguments.hand;
    if asks {
        let how = "A number, a word or its beginning answers; Enter leaves a question open,\n`<` begins a serve once more; Ctrl-C leaves, finished serves are kept.";
        writeln!(world.err, "{opponent}")?;
        writeln!(world.err, "{how}")?;
        if hand.is_none() && named.is_none() {
            hand = asker.choose(world, "their hand", &choices!(Hand))?.map(|at| Hand::ALL[at]);
        }
    }
    let mut deck = match named {
        Some(starter) => from_starter(starter, opponent, key, hand, player)?,
        None => Deck { hand, seen_against: Some(player.hand), ..Deck::new(opponent, key) },
    };
    deck.grip = arguments.grip.or(deck.grip);
    deck.rubbers = arguments.rubbers.clone().or(deck.rubbers);
    let stem = home.add_deck(&deck)?;
    if let Some(starter) = named {
        let said = format!(
            "From the starter deck {}: {}. It is common practice: {} no one has seen this \
             opponent serve. Change what is different.",
            starter.name, starter.about, "every serve is marked guessed;",
        );
        writeln!(world.err, "{}", text::wrap(&said, world.width, ""))?;
    }
    Ok((stem, deck))
}

/// Adds the serves given by flags; all are right or none is added.
fn add_lines(
    arguments: &ScoutArguments,
    world: &mut World<'_>,
    asker: &mut Asker,
    home: &Home,
    player: &Player,
    stem: &str,
    deck: &mut Deck,
) -> Result<(), Failure> {
    if arguments.serves.is_empty() {
        return Ok(());
    }
    let mut added = Vec::new();
    for line in &arguments.serves {
        let serve = edit::add_line(world, asker, deck, player, line, None, arguments.yes)?;
        added.push(serve);
    }
    home.save_deck(stem, deck)?;
    for serve in added {
        tell(world, &serve)?;
    }
    Ok(())
}

/// Asks for serves until there are no more.
fn ask_serves(
    world: &mut World<'_>,
    asker: &mut Asker,
    home: &Home,
    player: &Player,
    stem: &str,
    deck: &mut Deck,
) -> Result<(), Failure> {
    loop {
        if asker.has_ended() {
            return Ok(());
        }
        writeln!(world.err)?;
        writeln!(world.err, "Serve {}", deck.active().count() + 1)?;
        let Some(mut serve) = questions::serve(asker, world, deck)? else {
            if !asker.has_ended() {
                writeln!(world.err, "  Nothing said, nothing written.")?;
            }
            return Ok(());
        };
        questions::settle_break(asker, world, deck, &mut serve, false)?;
        if let Some(other) = editing::same_serve(deck, &serve, player.hand) {
            writeln!(world.err, "  That is what `{}` is already; not written again.", other.id)?;
        } else {
            editing::add_serve(deck, &serve, player.hand)?;
            home.save_deck(stem, deck)?;
            tell(world, &serve)?;
        }
        if !asker.yes(world, "Another serve?", true)? {
            writeln!(world.err, "A slip? `secondball scout change --help` puts one serve right.")?;
            return Ok(());
        }
    }
}

/// Says what was written.
pub(crate) fn tell(world: &mut World<'_>, serve: &Serve) -> Result<(), Failure> {
    let said = format!("{}: {}", serve.id, serve.shown());
    writeln!(world.out, "{}", text::wrap(&said, world.width, "    "))?;
    Ok(())
}

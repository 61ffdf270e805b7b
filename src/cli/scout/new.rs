//! `scout NAME`: a new opponent from nothing, from lines or from a habit; or more serves for
//! one who is there already.
//!
//! Every serve is on disk before the next question, so that an interrupted hour loses one serve at
//! most.

use clap::Args;

use crate::base::text;
use crate::cli::ask::Asker;
use crate::cli::scout::scouting::Scouting;
use crate::cli::them::Them;
use crate::cli::{Desk, Failure, Result, World};
use crate::deck::{Deck, Habit, ServeLine, editing};
use crate::game::{Hand, Serve};
use crate::store::parse_deck;

/// What is known of a new opponent.
#[derive(Debug, Args)]
pub struct NewArguments {
    /// The opponent, as you call them
    opponent: Option<String>,
    #[command(flatten)]
    them: Them,
    /// Begin with a habit
    #[arg(long, alias = "from-starter", value_name = "NAME")]
    from_habit: Option<String>,
    /// A serve, as in `scout add`; may be given several times
    #[arg(long = "serve", value_name = "PART=WORDS ...")]
    serves: Vec<String>,
    /// Confirm the breaks that follow from hand and motion
    #[arg(long)]
    yes: bool,
}

/// Runs the command.
pub fn run(arguments: &NewArguments, desk: &Desk, world: &mut World<'_>) -> Result {
    let (home, player) = (desk.home()?, desk.player()?);
    let mut asker = Asker::default();
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
    let known = known_opponent(arguments.them.hand, desk, world, &opponent)?;
    let has_serves = arguments.from_habit.is_some() || !arguments.serves.is_empty();
    let asks = !has_serves && (world.is_terminal || !arguments.them.is_said());
    let (stem, deck) = known.unwrap_or_else(|| {
        let key = Deck::coin_key(&mut world.dice(&format!("key of {opponent}")));
        (String::new(), Deck::new(opponent, key))
    });
    let mut scouting = Scouting { world, asker, home, player, stem, was: deck.clone(), deck };
    if scouting.stem.is_empty() {
        begin(&mut scouting, arguments, asks)?;
    } else {
        go_on(&mut scouting, arguments)?;
    }
    add_lines(&mut scouting, arguments)?;
    if asks {
        let asked = ask_all(&mut scouting, arguments.them.hand);
        if matches!(asked, Err(Failure::Interrupted)) && !scouting.stem.is_empty() {
            let (stem, serves) = (&scouting.stem, scouting.serves());
            let go_on = format!("Go on: secondball scout {stem}");
            writeln!(scouting.world.err, "\ndecks/{stem}.ron has {serves}. {go_on}")?;
        }
        asked?;
    }
    let serves = scouting.serves();
    let Scouting { stem, deck, world, .. } = scouting;
    let next = if deck.serves.is_empty() { "scout add" } else { "plan choose" };
    writeln!(world.out, "decks/{stem}.ron has {serves}")?;
    world.next(&format!("{next} {stem}"))
}

/// The opponent, when one of this name is there, or one whom a word of the name means.
fn known_opponent(
    hand: Option<Hand>,
    desk: &Desk,
    world: &mut World<'_>,
    opponent: &str,
) -> Result<Option<(String, Deck)>> {
    let (plain, stem) = (text::plain_word(opponent), text::file_stem(opponent));
    let is_exact =
        |file: &str, deck: &Deck| file == stem || text::plain_word(&deck.opponent) == plain;
    let decks = desk.home()?.decks()?;
    let exactly = decks.into_iter().find(|(file, deck)| is_exact(file, deck));
    if exactly.is_some() || desk.decks()?.meant(opponent).is_empty() {
        return Ok(exactly);
    }
    let (stem, deck) = desk.opponent(Some(opponent))?;
    let name = text::one_line(&deck.opponent);
    if let Some(other) = deck.hand.filter(|other| hand.is_some_and(|hand| hand != *other)) {
        let what = format!("`{opponent}` means {name}, who is {other}-handed");
        let hint = "write the name out: theirs to change the hand, or another opponent's";
        return Err(Failure::request(what, hint));
    }
    writeln!(world.err, "Going on with {name}")?;
    Ok(Some((stem, deck)))
}

/// What flags, or answers, say of an opponent who is there already.
fn go_on(scouting: &mut Scouting<'_, '_>, arguments: &NewArguments) -> Result {
    let deck = &mut scouting.deck;
    if arguments.from_habit.is_some() {
        return Err(Failure::request(
            format!("{} is written down already, in decks/{}.ron", deck.opponent, scouting.stem),
            "choose another name, or look at a habit with `secondball scout habits NAME`",
        ));
    }
    let before = deck.clone();
    arguments.them.write_into(deck);
    if *deck != before {
        scouting.save()?;
    }
    let deck = &scouting.deck;
    if let Some(hand) = deck.hand.filter(|hand| before.hand.is_some_and(|old| old != *hand)) {
        let seen = deck.seen_by(scouting.player.hand);
        let with_break = seen.active().filter(|serve| serve.breaks.is_some());
        let written: Vec<_> = with_break.map(|serve| seen.called(&serve.id)).collect();
        let written = if written.is_empty() {
            "No break was written down by hand.".to_owned()
        } else {
            format!("Written down and left as they are: {}; look at these.", written.join(", "))
        };
        let said = format!(
            "They are {hand} now: breaks that follow from hand and motion are the other way \
             round. {written}"
        );
        scouting.world.note(&said, "  ")?;
    }
    let (name, serves) = (text::one_line(&scouting.deck.opponent), scouting.serves());
    Ok(writeln!(scouting.world.err, "{name} is written down already: {serves}.")?)
}

/// A new opponent, on disk unless there are questions first.
fn begin(scouting: &mut Scouting<'_, '_>, arguments: &NewArguments, asks: bool) -> Result {
    // Everything said by flags must be right before anything is written.
    let judged = |line: &String| ServeLine::read(line)?.write_into(&mut Serve::default());
    arguments.serves.iter().try_for_each(judged)?;
    let (deck, hand) = (&mut scouting.deck, scouting.player.hand);
    let habit = arguments.from_habit.as_deref().map(Habit::named).transpose()?;
    if let Some(habit) = habit {
        let habit = parse_deck(&habit.file(), habit.text)?;
        let theirs = arguments.them.hand;
        *deck = habit.as_habit_for(&deck.opponent, deck.key.clone(), theirs, hand);
    } else {
        deck.seen_against = Some(hand);
    }
    arguments.them.write_into(deck);
    if asks {
        let how = "A number, a word or its beginning answers; Enter leaves a question open, ? says \
                   what the words mean, < goes one question back; Ctrl-D leaves, and what is said \
                   is kept.";
        writeln!(scouting.world.err, "{}", scouting.deck.opponent)?;
        return scouting.world.note(how, "");
    }
    scouting.create()?;
    if let Some(habit) = habit {
        let said = format!(
            "From the habit {}: {}. It is common practice: every serve is marked guessed; \
             no one has seen this opponent serve. Change what is different.",
            habit.name, habit.about,
        );
        scouting.world.note(&said, "")?;
    }
    Ok(())
}

/// Adds the serves given by flags; all are right or none is added.
fn add_lines(scouting: &mut Scouting<'_, '_>, arguments: &NewArguments) -> Result {
    let added = arguments.serves.iter().map(|line| scouting.add_line(line, None, arguments.yes));
    let added = added.collect::<Result<Vec<_>>>()?;
    if !added.is_empty() {
        scouting.save()?;
    }
    added.iter().try_for_each(|serve| scouting.tell(serve))
}

/// Asks about the opponent, then for serves until there are no more. `<` leads back into a serve
/// that is kept already, and the deck to what it was before it.
fn ask_all(scouting: &mut Scouting<'_, '_>, hand: Option<Hand>) -> Result {
    let is_known = !scouting.stem.is_empty();
    let (mut before, mut place, mut is_last) = (Vec::<Deck>::new(), 0, false);
    while !is_last && !scouting.asker.has_ended() {
        before.truncate(place + 1);
        match before.get(place) {
            Some(deck) => scouting.deck.clone_from(deck),
            None => before.push(scouting.deck.clone()),
        }
        let asked = if place == 0 {
            ask_them(scouting, is_known, hand)
        } else {
            ask_one(scouting).map(|another| is_last = !another)
        };
        place = scouting.asker.go_on(place, asked)?;
    }
    Ok(())
}

/// Asks about the opponent, who is on disk then.
fn ask_them(scouting: &mut Scouting<'_, '_>, is_known: bool, hand: Option<Hand>) -> Result {
    let Scouting { world, asker, deck, .. } = scouting;
    let them = if is_known {
        Them::ask_again(deck, asker, world)?
    } else {
        Them::ask(hand, deck, asker, world)?
    };
    them.write_into(deck);
    scouting.create()
}

/// Asks for one serve, which is on disk before the last question; whether there is another.
fn ask_one(scouting: &mut Scouting<'_, '_>) -> Result<bool> {
    let number = scouting.deck.active().count() + 1;
    writeln!(scouting.world.err, "\nServe {number}")?;
    let Some(serve) = scouting.ask_serve(None)? else {
        if !scouting.asker.has_ended() {
            writeln!(scouting.world.err, "  Nothing said, nothing written.")?;
        }
        return Ok(false);
    };
    let mut serve = scouting.settle_break(serve, false, true)?;
    scouting.ask_tell(&mut serve)?;
    let hand = scouting.player.hand;
    if let Some(other) = editing::same_serve(&scouting.deck, &serve, hand) {
        let called = scouting.seen().called(&other.id);
        writeln!(scouting.world.err, "  That is {called}, which is there; not written again.")?;
    } else {
        editing::add_serve(&mut scouting.deck, &serve, hand)?;
        scouting.save()?;
        scouting.tell(&serve)?;
    }
    let another = scouting.asker.yes(scouting.world, "Another serve?", true)?;
    if !another {
        let change = format!("`secondball scout change {}` puts one serve right", scouting.stem);
        writeln!(scouting.world.err, "A slip? {change}.")?;
    }
    Ok(another)
}

//! `scout take`: the serves of a colleague's file.

use std::path::PathBuf;

use clap::Args;

use crate::base::text;
use crate::cli::{Desk, Failure, Result, World};
use crate::deck::{Deck, take_serves};
use crate::game::Hand;
use crate::page::scouted;
use crate::store::parse_deck;

/// Take the serves of a colleague's file; nothing of yours is overwritten
#[derive(Debug, Args)]
#[command(
    after_help = "Lanes are renamed when their hand is not yours; breaks stay, because the ball is \
        the same. Receives stay with them: choose your own with `secondball plan choose`.\n\n\
        Examples:\n\
        \x20 secondball scout take their.ron\n\
        \x20 secondball scout take their.ron --into north \\\n\
        \x20   --their-hand left"
)]
pub struct TakeArguments {
    /// The file
    file: PathBuf,
    /// Your own opponent to add them to; by default the one of the same key or name, else a new one
    #[arg(long, value_name = "OPPONENT")]
    into: Option<String>,
    /// Your colleague's hand, when the file does not say for whom its lanes are written
    #[arg(long, value_name = "left|right")]
    their_hand: Option<Hand>,
    /// Take the private notes on their serves too
    #[arg(long)]
    with_notes: bool,
}

/// Takes them and says what was taken.
pub fn run(arguments: &TakeArguments, desk: &Desk, world: &mut World<'_>) -> Result {
    let (home, player) = (desk.home()?, desk.player()?);
    let shown = arguments.file.display().to_string();
    let text = world.read_page(&arguments.file)?;
    let theirs = parse_deck(&shown, &text)?;
    let Some(their_hand) = theirs.seen_against.or(arguments.their_hand) else {
        let what = format!("`{shown}` does not say for which hand its lanes are written");
        let hint = "say your colleague's: `--their-hand left` or `--their-hand right`";
        return Err(Failure::request(what, hint));
    };
    let name = |deck: &Deck| text::plain_word(&deck.opponent);
    let is_theirs = |deck: &Deck| deck.key == theirs.key || name(deck) == name(&theirs);
    let found = match &arguments.into {
        Some(named) => Some(desk.opponent(Some(named))?),
        None => home.decks()?.into_iter().find(|(_, deck)| is_theirs(deck)),
    };
    let is_new = found.is_none();
    let (stem, was) = found.unwrap_or_else(|| (String::new(), new_deck(&theirs, player.hand)));
    let mut deck = was.clone();
    if let (Some(mine), Some(their)) = (deck.hand, theirs.hand)
        && mine != their
    {
        let what = format!("your {} is {mine}, theirs is {their}", text::one_line(&deck.opponent));
        let hint = "is it the same opponent? `--into` names another one of yours";
        return Err(Failure::request(what, hint));
    }
    deck.hand = deck.hand.or(theirs.hand);
    let taken = take_serves(&mut deck, &theirs, their_hand, player.hand, arguments.with_notes);
    let stem = if is_new {
        home.add_deck(&deck)?
    } else {
        home.save_deck(&stem, &was, &deck)?;
        stem
    };
    for took in &taken {
        world.say(&scouted::taken(took), "           ")?;
    }
    let changes = taken.iter().filter(|took| took.is_change()).count();
    writeln!(world.out, "{} taken into decks/{stem}.ron", text::count(changes, "serve"))?;
    if their_hand != player.hand {
        writeln!(world.err, "Lanes are renamed for your hand; the balls are the same.")?;
    }
    writeln!(world.err, "Receives were not taken. Next: secondball plan {stem}")?;
    Ok(())
}

/// A deck of the player's for a colleague's opponent, without serves yet.
fn new_deck(theirs: &Deck, player: Hand) -> Deck {
    Deck {
        source: theirs.source.clone(),
        hand: theirs.hand,
        grip: theirs.grip,
        rubbers: theirs.rubbers.clone(),
        seen_against: Some(player),
        ..Deck::new(theirs.opponent.clone(), theirs.key.clone())
    }
}

//! What can be said of an opponent by flags.

use clap::Args;

use crate::cli::ask::Asker;
use crate::cli::{Result, World};
use crate::deck::Deck;
use crate::game::{Grip, Hand, Style, ThirdBall, WaitingPlace, Wing};
use crate::page::opponent::about;

/// An opponent, as far as it is known.
#[derive(Debug, Default, Args)]
pub struct Them {
    /// The hand they play with
    #[arg(long, value_name = "left|right")]
    pub hand: Option<Hand>,
    /// How they hold the bat
    #[arg(long, value_name = "shakehand|penhold|two-winged-penhold")]
    grip: Option<Grip>,
    /// What is on their bat: "long pimples on the backhand"
    #[arg(long, value_name = "WORDS")]
    rubbers: Option<String>,
    /// How they play: attacker, blocker, chopper, all-round
    #[arg(long, value_name = "STYLE")]
    style: Option<Style>,
    /// Their stronger wing
    #[arg(long, value_name = "forehand|backhand")]
    stronger: Option<Wing>,
    /// Where they wait after the serve: backhand-corner, middle, back
    #[arg(long, value_name = "PLACE")]
    waits: Option<WaitingPlace>,
    /// The third ball they like: short, long-push, flick, fast, slow, elbow, wide-forehand,
    /// wide-backhand
    #[arg(long, value_name = "BALL")]
    likes: Option<ThirdBall>,
    /// The one they hate
    #[arg(long, value_name = "BALL")]
    hates: Option<ThirdBall>,
}

impl Them {
    /// One short block of questions; Enter leaves what the deck says, or all of it open.
    pub(crate) fn ask(deck: &Deck, asker: &mut Asker, world: &mut World<'_>) -> Result<Self> {
        let known = about(&Deck { hand: None, ..deck.clone() });
        let question = match &known[..] {
            "" => "Do you know how they play?".to_owned(),
            known => format!("Known: {known}. Change how they play?"),
        };
        if !asker.yes(world, &question, false)? {
            return Ok(Self::default());
        }
        Ok(Self {
            hand: None,
            grip: asker.word(world, "their grip")?,
            rubbers: asker.line(world, "  their bat, for example long pimples on the backhand")?,
            style: asker.word(world, "style")?,
            stronger: asker.word(world, "stronger wing")?,
            waits: asker.word(world, "after the serve they wait")?,
            likes: asker.word(world, "third ball they like")?,
            hates: asker.word(world, "third ball they hate")?,
        })
    }

    /// Whether anything is said.
    pub fn is_said(&self) -> bool {
        let mut deck = Deck::default();
        self.write_into(&mut deck);
        deck != Deck::default()
    }

    /// Writes what is said over what the deck says.
    pub fn write_into(&self, deck: &mut Deck) {
        deck.hand = self.hand.or(deck.hand);
        deck.grip = self.grip.or(deck.grip);
        deck.rubbers = self.rubbers.clone().or_else(|| deck.rubbers.take());
        deck.style = self.style.or(deck.style);
        deck.stronger = self.stronger.or(deck.stronger);
        deck.waits = self.waits.or(deck.waits);
        deck.likes = self.likes.or(deck.likes);
        deck.hates = self.hates.or(deck.hates);
    }
}

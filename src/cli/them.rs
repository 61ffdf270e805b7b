//! What can be said of an opponent by flags.

use clap::Args;

use crate::deck::Deck;
use crate::game::{Grip, Hand, Style, ThirdBall, WaitingPlace, Wing};

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

//! What can be said of an opponent by flags.

use clap::Args;

use crate::cli::ask::{Asker, choices, meanings};
use crate::cli::{Result, World};
use crate::deck::Deck;
use crate::game::{Covering, Grip, Hand, Style, ThirdBall, WaitingPlace, Wing};
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
    /// The questions about somebody new: hand and bat, and the rest for whoever knows more.
    pub(crate) fn ask(
        hand: Option<Hand>,
        deck: &Deck,
        asker: &mut Asker,
        world: &mut World<'_>,
    ) -> Result<Self> {
        let hand = match hand {
            None => asker.word(world, "their hand", deck.hand)?,
            said => said,
        };
        let rubbers = ask_rubbers(deck, asker, world)?;
        let knows = asker.yes(world, "Do you know how they play and where they wait?", false)?;
        let more = if knows { Self::ask_more(deck, asker, world)? } else { Self::default() };
        Ok(Self { hand, rubbers, ..more })
    }

    /// The same about somebody known: Enter leaves all of it as it is.
    pub(crate) fn ask_again(deck: &Deck, asker: &mut Asker, world: &mut World<'_>) -> Result<Self> {
        let known = about(&Deck { hand: None, ..deck.clone() });
        let question = match &known[..] {
            "" => "Do you know how they play?".to_owned(),
            known => format!("Known: {known}. Change how they play?"),
        };
        if !asker.yes(world, &question, false)? {
            return Ok(Self::default());
        }
        let rubbers = ask_rubbers(deck, asker, world)?;
        Ok(Self { rubbers, ..Self::ask_more(deck, asker, world)? })
    }

    fn ask_more(deck: &Deck, asker: &mut Asker, world: &mut World<'_>) -> Result<Self> {
        Ok(Self {
            hand: None,
            rubbers: None,
            grip: asker.word(world, "their grip", deck.grip)?,
            style: asker.word(world, "style", deck.style)?,
            stronger: asker.word(world, "stronger", deck.stronger)?,
            waits: asker.word(world, "they wait", deck.waits)?,
            likes: asker.word(world, "they like", deck.likes)?,
            hates: asker.word(world, "they hate", deck.hates)?,
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

/// What is on their bat: one kind, or both sides in words.
fn ask_rubbers(deck: &Deck, asker: &mut Asker, world: &mut World<'_>) -> Result<Option<String>> {
    let how = "  What is on their bat? One kind alone means the backhand; or in words: long \
               pimples on the forehand.";
    asker.say(world, how)?;
    let reads = |given: &str| {
        [Wing::Forehand, Wing::Backhand]
            .iter()
            .any(|&side| Covering::on(given, side, None).is_some())
    };
    let (words, meanings) = (choices::<Covering>(), meanings::<Covering>());
    asker.choose_or(world, "rubbers", &words, &meanings, deck.rubbers.as_deref(), reads)
}

//! `plan choose --list`: what a coach would propose for one serve, without questions and without
//! writing anything; for a serve in words without any file.

use clap::Args;

use super::open_plan::OpenPlan;
use crate::base::text;
use crate::cli::init::owned;
use crate::cli::launcher::own_table;
use crate::cli::them::Them;
use crate::cli::{Desk, Failure, Result, World};
use crate::deck::{Deck, Player, ServeLine, editing};
use crate::flight::Constants;
use crate::game::{From, Hand, Serve};
use crate::page::proposed::{ProposedView, proposed};
use crate::receive::{Bats, Meeting};

/// A list instead of questions.
#[derive(Debug, Args)]
pub(super) struct ListArguments {
    /// The serve in its short word, for a list
    #[arg(value_name = "SERVE")]
    listed: Option<String>,
    /// List what a coach would propose for the serve, and ask nothing
    #[arg(long)]
    list: bool,
    /// The list as a document for programs
    #[arg(long)]
    json: bool,
    /// Any serve, in words: "short to the forehand, heavy backspin, pendulum motion"
    #[arg(long, value_name = "WORDS", conflicts_with_all = ["named", "listed", "opponent"])]
    serve: Option<String>,
    #[command(flatten)]
    them: Them,
    /// The receiver's hand, else yours
    #[arg(long, value_name = "left|right", requires = "serve")]
    receiver: Option<Hand>,
    /// A receive the receiver owns, and how many of ten land (may be repeated), else yours
    #[arg(long, value_name = "RECEIVE=OF_TEN", requires = "serve")]
    own: Vec<String>,
    /// Where the receiver stands: backhand-corner, middle, forehand-corner
    #[arg(long, value_name = "PLACE", requires = "serve")]
    stands: Option<From>,
    /// The receiver plays the forehand from the backhand corner
    #[arg(long, requires = "serve")]
    steps_around: bool,
}

impl ListArguments {
    /// Whether a list is asked for.
    pub(super) fn is_asked(&self) -> bool {
        self.list || self.json || self.serve.is_some()
    }

    /// Prints it.
    pub(super) fn run(&self, opponent: Option<&str>, desk: &Desk, world: &mut World<'_>) -> Result {
        let view = match &self.serve {
            Some(words) => self.of_words(words, desk)?,
            None => self.of_deck(opponent, desk)?,
        };
        world.print(&view, self.json, ProposedView::text)
    }

    fn of_deck(&self, opponent: Option<&str>, desk: &Desk) -> Result<ProposedView> {
        let plan = OpenPlan::read(desk, opponent)?;
        let mut deck = plan.deck.seen_by(plan.player.hand);
        self.them.write_into(&mut deck);
        let Some(named) = &self.listed else {
            return Err(Failure::request(
                "a list is about one serve",
                format!(
                    "name one: `secondball plan choose {} SERVE --list`",
                    text::typed(&plan.stem)
                ),
            ));
        };
        let id = editing::find_serve(&deck, named)?;
        let serve = deck.serve(&id).ok_or(Failure::Interrupted)?;
        Ok(of_serve(serve, &deck, plan.player, &plan.constants))
    }

    fn of_words(&self, words: &str, desk: &Desk) -> Result<ProposedView> {
        let mut serve = Serve::default();
        ServeLine::read(words)?.write_into(&mut serve)?;
        // Without a home, a right-hander of whom nothing is known.
        let known = desk.home_unchecked()?.exists();
        let mut player =
            if known { desk.player()?.clone() } else { Player::new("Receiver", Hand::Right) };
        player.hand = self.receiver.unwrap_or(player.hand);
        player.stands = self.stands.or(player.stands);
        player.steps_around = self.steps_around.then_some(true).or(player.steps_around);
        if !self.own.is_empty() {
            player.repertoire = self.own.iter().map(|own| owned(own)).collect::<Result<_>>()?;
        }
        let mut deck = Deck::default();
        self.them.write_into(&mut deck);
        deck.serves.push(serve.clone());
        Ok(of_serve(&serve, &deck, &player, &own_table(desk)?.0))
    }
}

fn of_serve(serve: &Serve, deck: &Deck, player: &Player, constants: &Constants) -> ProposedView {
    let bats = Bats::fly(deck, Some(player), constants);
    proposed(Meeting { serve, deck, player: Some(player), bats: Some(&bats) })
}

//! One opponent being scouted: their deck, the questions and what is said of each serve.

use crate::base::text;
use crate::cli::ask::Asker;
use crate::cli::{Desk, Failure, Result, World};
use crate::deck::{Deck, Player, ServeLine, editing};
use crate::game::{Depth, Serve, ServeId, Side, SpinGuess, Sure, YourBall, usual_break};
use crate::page::opponent::side_words;
use crate::page::spin_guess::guess_lines;
use crate::receive;
use crate::store::Home;

/// The deck of an opponent while it is scouted.
pub struct Scouting<'r, 'w> {
    pub world: &'r mut World<'w>,
    pub asker: Asker,
    pub home: &'r Home,
    pub player: &'r Player,
    /// The deck's file, without its ending.
    pub stem: String,
    /// The deck as it was read or saved last.
    pub was: Deck,
    pub deck: Deck,
}

/// Writes down the spin a ball speaks for, and no more than is open still.
pub fn take_guess(serve: &mut Serve, guess: &SpinGuess) {
    serve.spin = Some(guess.spin.0);
    serve.weight = serve.weight.or(guess.spin.1.map(Into::into));
    serve.breaks = serve.breaks.or(guess.breaks);
    serve.sure.get_or_insert(Sure::Guessed);
}

impl<'r, 'w> Scouting<'r, 'w> {
    /// The opponent of this name, or the only one there is.
    pub fn find(desk: &'r Desk, world: &'r mut World<'w>, named: Option<&str>) -> Result<Self> {
        let (stem, deck) = desk.opponent(named)?;
        let (home, player) = (desk.home()?, desk.player()?);
        let was = deck.clone();
        Ok(Self { world, asker: Asker::default(), home, player, stem, was, deck })
    }

    /// Writes the deck, a new one under a file of its own.
    pub fn create(&mut self) -> Result {
        if !self.stem.is_empty() {
            return self.save();
        }
        self.stem = self.home.add_deck(&self.deck)?;
        self.was.clone_from(&self.deck);
        Ok(())
    }

    pub fn save(&mut self) -> Result {
        self.home.save_deck(&self.stem, &self.was, &self.deck)?;
        self.was.clone_from(&self.deck);
        Ok(())
    }

    /// Puts one block of questions, with `<` as in [`Asker::block`].
    pub fn block<T>(&mut self, mut ask: impl FnMut(&mut Self) -> Result<T>) -> Result<T> {
        loop {
            match ask(self) {
                Err(Failure::OneBack) => self.asker.step_back(0),
                asked => return asked,
            };
        }
    }

    /// The serve that is meant, by a question.
    pub fn ask_which(&mut self) -> Result<ServeId> {
        let seen = self.seen();
        let ids: Vec<ServeId> = seen.active().map(|serve| serve.id.clone()).collect();
        let asked = self.asker.serve(self.world, "which serve", (&seen, &ids), None)?;
        let which = format!("`secondball scout change {} short-fh`", self.stem);
        asked.ok_or_else(|| Failure::request("which serve?", format!("name it, as in {which}")))
    }

    /// The deck as the player names its lanes.
    pub fn seen(&self) -> Deck {
        self.deck.seen_by(self.player.hand)
    }

    /// How many serves on disk are still served, in words.
    pub fn serves(&self) -> String {
        text::count(self.was.active().count(), "serve")
    }

    /// Says which serve was written, as the player names its lane.
    pub fn tell(&mut self, serve: &Serve) -> Result {
        self.world.say(&format!("{}: {}", self.seen().called(&serve.id), serve.shown()), "    ")
    }

    /// The spin that some balls speak for, said with what to try next.
    pub fn guess_from(
        &mut self,
        balls: &[YourBall],
        depth: Option<Depth>,
    ) -> Result<Option<SpinGuess>> {
        let guess = SpinGuess::from_balls(balls, depth);
        for line in guess.iter().flat_map(|guess| guess_lines(guess, balls.len())) {
            self.world.note(&format!("  {line}"), "    ")?;
        }
        Ok(guess)
    }

    /// What a coach would object to in a serve and its receives.
    pub fn tell_objections(&mut self, id: &ServeId) -> Result {
        let mut judged = receive::of_deck(&self.deck);
        judged.retain(|judged| judged.path.iter().any(|name| name == id.as_str()));
        let findings: Vec<_> = judged.into_iter().map(|judged| judged.finding).collect();
        self.world.tell(&findings)
    }

    /// Adds a serve; one of which the same is known is most likely the same line given twice.
    pub fn add(&mut self, serve: &Serve) -> Result {
        if let Some(other) = editing::same_serve(&self.deck, serve, self.player.hand) {
            return Err(Failure::request(
                format!(
                    "this is what `{}` is already; nothing was written",
                    self.seen().called(&other.id)
                ),
                "say what is different, for example its depth, or change that one with \
                 `secondball scout change --help`",
            ));
        }
        Ok(editing::add_serve(&mut self.deck, serve, self.player.hand)?)
    }

    /// Adds the serve of a line, its spin worked out from what the player's ball did if need be.
    pub fn add_line(
        &mut self,
        line: &str,
        ball: Option<&str>,
        is_confirmed: bool,
    ) -> Result<Serve> {
        let line = ServeLine::read(line)?;
        let mut serve = editing::serve_of_line(&self.deck, &line)?;
        let balls = ball.map(YourBall::several).transpose()?.unwrap_or_default();
        if let Some(guess) = self.guess_from(&balls, serve.depth)? {
            if serve.spin.is_none() {
                take_guess(&mut serve, &guess);
            } else if serve.spin != Some(guess.spin.0) {
                writeln!(self.world.err, "  You said another spin; yours is written.")?;
            }
        }
        // Without a terminal nobody is asked, so that flags alone decide.
        let may_ask = self.world.is_terminal;
        serve = self.block(|it| it.settle_break(serve.clone(), is_confirmed, may_ask))?;
        self.add(&serve)?;
        Ok(serve)
    }

    /// Fills in the break that motion and hand give, once it is confirmed; says so when what is
    /// written is the other way round than usual.
    pub fn settle_break(
        &mut self,
        mut serve: Serve,
        is_confirmed: bool,
        may_ask: bool,
    ) -> Result<Serve> {
        let known = serve.motion.as_ref().zip(self.deck.hand);
        let Some((motion, side, hand)) =
            known.and_then(|(motion, hand)| Some((motion, usual_break(motion, hand)?, hand)))
        else {
            return Ok(serve);
        };
        if let Some(written) = serve.breaks.filter(|written| *written != side) {
            let said = format!(
                "  Mind: it breaks to your {written}, and their {motion} usually breaks to your \
                 {side}. Was it the reverse motion?"
            );
            self.world.note(&said, "  ")?;
            return Ok(serve);
        }
        if editing::missing_break(&self.deck, &serve).is_none() {
            return Ok(serve);
        }
        let does = side_words(serve.spin, side);
        let hand = hand.shown().replace("-handed", "-hander");
        let usual = format!("  A {hand}'s {motion} usually {does}.");
        if may_ask {
            self.asker.say(self.world, &usual)?;
        } else {
            self.world.note(&usual, "  ")?;
        }
        if is_confirmed || (may_ask && self.asker.yes(self.world, "  Did it?", true)?) {
            serve.breaks = Some(side);
        } else if !may_ask || self.asker.has_ended() {
            let confirm = format!("`--yes` confirms it, or say `breaks={side}`");
            writeln!(self.world.err, "  Not written; {confirm}.")?;
        } else {
            serve.breaks = self.asker.word::<Side>(self.world, "it broke to", None)?;
        }
        Ok(serve)
    }
}

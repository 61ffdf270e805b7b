//! One opponent being scouted: their deck, the questions and what is said of each serve.

use crate::base::text;
use crate::cli::ask::Asker;
use crate::cli::{Desk, Failure, World};
use crate::deck::{Deck, Player, ServeLine, editing};
use crate::game::{
    Serve, ServeId, Side, Spin, SpinGuess, Sure, YourBall, leaves_your_bat, usual_break,
};
use crate::store::Home;

/// The deck of an opponent while it is scouted.
pub(super) struct Scouting<'r, 'w> {
    pub(super) world: &'r mut World<'w>,
    pub(super) asker: Asker,
    pub(super) home: &'r Home,
    pub(super) player: &'r Player,
    /// The deck's file, without its ending.
    pub(super) stem: String,
    pub(super) deck: Deck,
}

/// Reads a line of parts.
pub(super) fn read_line(line: &str) -> Result<ServeLine, Failure> {
    ServeLine::read(line).map_err(Failure::Findings)
}

/// Reads what a ball did from words.
pub(super) fn read_ball(words: &str) -> Result<YourBall, Failure> {
    words
        .parse::<YourBall>()
        .map_err(|error| Failure::request(error.to_string(), "for example `push, popped up, left`"))
}

impl<'r, 'w> Scouting<'r, 'w> {
    /// The opponent of this name, or the only one there is.
    pub(super) fn find(
        desk: &'r Desk,
        world: &'r mut World<'w>,
        named: Option<&str>,
    ) -> Result<Self, Failure> {
        let (stem, deck) = desk.opponent(named)?;
        let (home, player) = (desk.home()?, desk.player()?);
        Ok(Self { world, asker: Asker::default(), home, player, stem, deck })
    }

    pub(super) fn save(&self) -> Result<(), Failure> {
        Ok(self.home.save_deck(&self.stem, &self.deck)?)
    }

    /// Says something beside the result, later lines indented.
    pub(super) fn say(&mut self, words: &str, indent: &str) -> Result<(), Failure> {
        writeln!(self.world.err, "{}", text::wrap(words, self.world.width, indent))?;
        Ok(())
    }

    /// Says which serve was written, as the player names its lane.
    pub(super) fn tell(&mut self, serve: &Serve) -> Result<(), Failure> {
        let said = format!("{}: {}", serve.id, serve.shown());
        writeln!(self.world.out, "{}", text::wrap(&said, self.world.width, "    "))?;
        Ok(())
    }

    /// Which spin is suggested, and why.
    pub(super) fn tell_guess(&mut self, guess: &SpinGuess) -> Result<(), Failure> {
        let weight = guess.weight.map(|weight| format!("{weight} ")).unwrap_or_default();
        self.say(&format!("  Probably {weight}{}: {}.", guess.spin, guess.why), "  ")
    }

    /// What a coach would object to in a serve and its receives.
    pub(super) fn tell_objections(&mut self, id: &ServeId) -> Result<(), Failure> {
        for judged in crate::deck::advice::of_deck(&self.deck) {
            if judged.path.iter().any(|name| name == id.as_str()) {
                writeln!(self.world.err, "{}", judged.finding.shown())?;
            }
        }
        Ok(())
    }

    /// Adds a serve; one of which the same is known is most likely the same line given twice.
    pub(super) fn add(&mut self, serve: &Serve) -> Result<(), Failure> {
        if let Some(other) = editing::same_serve(&self.deck, serve, self.player.hand) {
            return Err(Failure::request(
                format!("this is what `{}` is already; nothing was written", other.id),
                "say what is different, for example its depth, or change that one with \
                 `secondball scout change --help`",
            ));
        }
        Ok(editing::add_serve(&mut self.deck, serve, self.player.hand)?)
    }

    /// Adds the serve of a line, its spin worked out from what the player's ball did if need be.
    pub(super) fn add_line(
        &mut self,
        line: &str,
        ball: Option<&str>,
        is_confirmed: bool,
    ) -> Result<Serve, Failure> {
        let line = read_line(line)?;
        let mut serve = editing::serve_of_line(&self.deck, &line).map_err(Failure::Findings)?;
        if let Some(words) = ball {
            let guess = read_ball(words)?.suggests();
            self.tell_guess(&guess)?;
            if serve.spin.is_none() {
                serve.spin = Some(guess.spin);
                serve.weight = serve.weight.or(guess.weight.map(Into::into));
                serve.breaks = serve.breaks.or(guess.breaks);
                serve.sure.get_or_insert(Sure::Guessed);
            } else if serve.spin != Some(guess.spin) {
                writeln!(self.world.err, "  You said another spin; yours is written.")?;
            }
        }
        self.settle_break_of_line(&mut serve, is_confirmed)?;
        self.add(&serve)?;
        Ok(serve)
    }

    /// Settles the break of a serve given by flags: without a terminal nobody is asked.
    pub(super) fn settle_break_of_line(
        &mut self,
        serve: &mut Serve,
        is_confirmed: bool,
    ) -> Result<(), Failure> {
        if self.world.is_terminal {
            return self.settle_break(serve, is_confirmed);
        }
        let asker = std::mem::replace(&mut self.asker, Asker::silent());
        let settled = self.settle_break(serve, is_confirmed);
        self.asker = asker;
        settled
    }

    /// Fills in the break that motion and hand give, once it is confirmed; says so when what is written is
    /// the other way round than usual.
    pub(super) fn settle_break(
        &mut self,
        serve: &mut Serve,
        is_confirmed: bool,
    ) -> Result<(), Failure> {
        let motion = serve.motion.as_ref().map(ToString::to_string).unwrap_or_default();
        let usual = serve.motion.as_ref().zip(self.deck.hand);
        let usual = usual.and_then(|(motion, hand)| usual_break(motion, hand));
        if let (Some(written), Some(usual)) = (serve.breaks, usual)
            && written != usual
        {
            let said = format!(
                "  Mind: it breaks to your {written}, and their {motion} usually breaks to your \
                 {usual}. Was it the reverse motion?"
            );
            return self.say(&said, "  ");
        }
        let Some(side) = editing::missing_break(&self.deck, serve) else { return Ok(()) };
        let hand =
            self.deck.hand.map(|hand| format!("{}'s", hand.shown().replace("-handed", "-hander")));
        let does = if serve.spin == Some(Spin::Corkscrew) {
            format!("kicks to your {side} off the table")
        } else {
            let other = leaves_your_bat(side);
            format!("breaks to your {side} and leaves a quiet bat to your {other}")
        };
        self.say(&format!("  A {} {motion} usually {does}.", hand.unwrap_or_default()), "  ")?;
        if is_confirmed || self.asker.yes(self.world, "  Did it?", true)? {
            serve.breaks = Some(side);
        } else if self.asker.has_ended() {
            let confirm = format!("`--yes` confirms it, or say `breaks={side}`");
            writeln!(self.world.err, "  Not written; {confirm}.")?;
        } else {
            serve.breaks = self.asker.word::<Side>(self.world, "it broke to")?;
        }
        Ok(())
    }
}

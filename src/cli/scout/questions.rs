//! The questions about one serve: few, short, each left open with Enter.
//!
//! The answers become the same [`ServeLine`] that flags are read into, so both give the same serve.

use crate::base::words::Word;
use crate::cli::Result;
use crate::cli::ask::choices;
use crate::cli::scout::scouting::Scouting;
use crate::deck::{Part, ServeLine, editing};
use crate::game::{
    Depth, HowOften, Lane, MotionName, Pace, Serve, ServeId, Side, Spin, SpinGuess, Stroke,
    UpOrDown, WeightName, YourBall,
};

/// What was answered so far.
type Answered = Vec<(Part, String)>;

impl Scouting<'_, '_> {
    /// Asks for one serve, once more from the first question as often as `<` is answered; none when
    /// nothing at all was answered.
    pub fn ask_serve(&mut self) -> Result<Option<Serve>> {
        loop {
            let asked = self.ask_parts()?;
            if !self.asker.takes_again() {
                return Ok(asked);
            }
            writeln!(self.world.err, "  This serve once more, from its first question.")?;
        }
    }

    fn ask_parts(&mut self) -> Result<Option<Serve>> {
        let mut parts = Answered::new();
        writeln!(self.world.err, "  The motion; `own: words` describes one without a name.")?;
        let motions = choices::<MotionName>();
        self.ask_part(&mut parts, Part::Motion, "motion", &motions, |it| it.starts_with("own:"))?;
        self.ask_spin(&mut parts)?;
        self.ask_word::<Depth>(&mut parts, Part::Depth, "depth")?;
        let is_long = parts.contains(&(Part::Depth, Depth::Long.shown().to_owned()));
        self.ask_word::<Lane>(&mut parts, Part::Lane, "your lane")?;
        if is_long {
            self.ask_word::<Pace>(&mut parts, Part::Pace, "pace")?;
        }
        if parts.is_empty() {
            return Ok(None);
        }
        let words = ["often", "sometimes", "rarely"].map(str::to_owned);
        // A bare number is the place in the list; a share is written `40%` or `0.4`.
        let is_share = |it: &str| it.contains(['%', '.']) && it.parse::<HowOften>().is_ok();
        self.ask_part(&mut parts, Part::HowOften, "how often", &words, is_share)?;
        let others: Vec<String> = self.deck.active().map(|serve| serve.id.to_string()).collect();
        if !others.is_empty() {
            let twin = self.asker.choose(self.world, "looks like", &others)?;
            parts.extend(twin.map(|place| (Part::LooksLike, others[place].clone())));
        }
        let line = ServeLine::from_parts(parts);
        let mut serve = editing::serve_of_line(&self.deck, &line)?;
        self.ask_name(&mut serve)?;
        Ok(Some(serve))
    }

    /// Asks for one part; `or` says what else answers it, as it stands.
    fn ask_part(
        &mut self,
        parts: &mut Answered,
        part: Part,
        label: &str,
        choices: &[String],
        or: fn(&str) -> bool,
    ) -> Result {
        let said = self.asker.choose_or(self.world, label, choices, or)?;
        parts.extend(said.map(|said| (part, said)));
        Ok(())
    }

    fn ask_word<T: Word>(&mut self, parts: &mut Answered, part: Part, label: &str) -> Result {
        self.ask_part(parts, part, label, &choices::<T>(), |_| false)
    }

    /// The spin, with its weight in front when it is known, or worked out from the receiver's own
    /// ball.
    fn ask_spin(&mut self, parts: &mut Answered) -> Result {
        const WORK_OUT: &str = "work it out from what your ball did";
        let mut spins = choices::<Spin>();
        spins.push(WORK_OUT.to_owned());
        writeln!(self.world.err, "  The spin; `heavy backspin` says how much, too.")?;
        let has_weight = |given: &str| {
            given.split_once(' ').is_some_and(|(weight, spin)| {
                weight.parse::<WeightName>().is_ok() && spin.parse::<Spin>().is_ok()
            })
        };
        let Some(said) = self.asker.choose_or(self.world, "spin", &spins, has_weight)? else {
            return Ok(());
        };
        if said != WORK_OUT {
            match said.split_once(' ') {
                None => parts.push((Part::Spin, said)),
                Some((weight, spin)) => {
                    parts.push((Part::Spin, spin.to_owned()));
                    parts.push((Part::Weight, weight.to_owned()));
                }
            }
        } else if let Some(guess) = self.ask_ball()? {
            parts.push((Part::Spin, guess.spin.word().to_owned()));
            parts.extend(guess.weight.map(|weight| (Part::Weight, weight.word().to_owned())));
            parts.extend(guess.breaks.map(|side| (Part::Breaks, side.word().to_owned())));
            parts.push((Part::Sure, "guessed".to_owned()));
        } else {
            let later = "`secondball scout change --help` fills it in later";
            writeln!(self.world.err, "    the spin stays open; {later}")?;
        }
        Ok(())
    }

    /// What did your ball do? The spin that speaks for, when the player takes it.
    fn ask_ball(&mut self) -> Result<Option<SpinGuess>> {
        let all_at_once = "All at once is fine: push, popped up, left";
        writeln!(self.world.err, "  What did your ball do? {all_at_once}")?;
        let is_all = |given: &str| given.contains(',') && given.parse::<YourBall>().is_ok();
        let strokes = choices::<Stroke>();
        let said = self.asker.choose_or(self.world, "you played", &strokes, is_all)?;
        // Every stroke and every whole answer reads as a ball.
        let Some(mut ball) = said.as_ref().and_then(|said| said.parse::<YourBall>().ok()) else {
            return Ok(None);
        };
        if said.is_some_and(|said| !said.contains(',')) {
            let went = self.asker.word::<UpOrDown>(self.world, "your ball")?;
            ball.jumped = self.asker.word::<Side>(self.world, "jumped to")?;
            if went.is_none() && ball.jumped.is_none() {
                return Ok(None);
            }
            ball.went = went.unwrap_or(ball.went);
        }
        let guess = ball.suggests();
        self.tell_guess(&guess)?;
        let is_taken = self.asker.yes(self.world, "  Write that down as a guess?", true)?;
        Ok(is_taken.then_some(guess))
    }

    /// The name under which it is kept.
    fn ask_name(&mut self, serve: &mut Serve) -> Result {
        let question = format!("  short name (Enter: {})", serve.id);
        let deck = &self.deck;
        let read = |given: &str| match (given.to_lowercase().as_str(), given.parse::<ServeId>()) {
            ("y" | "yes", _) => Ok(serve.id.clone()),
            ("n" | "no", _) => Err("then write the name".to_owned()),
            (_, Ok(id)) if deck.serve_now_or_once(&id).is_some() => Err(format!("`{id}` is taken")),
            (_, named) => named.map_err(|error| error.to_string()),
        };
        if let Some(id) = self.asker.read(self.world, &question, read)? {
            serve.id = id;
        }
        Ok(())
    }
}

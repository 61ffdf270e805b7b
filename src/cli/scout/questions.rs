//! The questions about one serve: few, short, each left open with Enter.

use crate::cli::Result;
use crate::cli::ask::{choices, meanings};
use crate::cli::scout::scouting::{Scouting, take_guess};
use crate::deck::{ServeLine, editing};
use crate::game::{
    Depth, HowOften, Motion, MotionName, Serve, ServeId, Side, Spin, SpinGuess, Stroke, UpOrDown,
    WeightName, YourBall,
};

impl Scouting<'_, '_> {
    /// Asks for one serve, one question back as often as `<` is answered; none when nothing at all
    /// was answered.
    pub fn ask_serve(&mut self) -> Result<Option<Serve>> {
        self.asker.begin();
        loop {
            let asked = self.ask_parts()?;
            if !self.asker.takes_again() {
                return Ok(asked);
            }
            self.asker.step_back();
        }
    }

    fn ask_parts(&mut self) -> Result<Option<Serve>> {
        let mut serve = Serve::default();
        let at_once = "  The motion, or all at once: short side-back to my forehand, backhand motion, often; \
                       `own: words` describes a motion without a name.";
        self.world.note(at_once, "  ")?;
        let motions = choices::<MotionName>();
        let deck = &self.deck;
        // A bare word is a motion, or begins one.
        let read_line = |given: &str| {
            let line = ServeLine::read(given).ok().filter(|_| given.trim().contains(' '))?;
            editing::serve_of_line(deck, &line).ok()
        };
        let is_said = |given: &str| given.parse::<Motion>().is_ok() || read_line(given).is_some();
        let said = self.asker.choose_or(
            self.world,
            "motion",
            &motions,
            &meanings::<MotionName>(),
            is_said,
        )?;
        let is_motion = |given: &String| given.parse::<Motion>().is_ok();
        if let Some(serve) = said.as_ref().filter(|it| !is_motion(it)).and_then(|it| read_line(it))
        {
            return Ok(Some(serve));
        }
        // What is answered reads: it is a word of the list, or was looked at.
        serve.motion = said.and_then(|said| said.parse().ok());
        self.ask_spin(&mut serve)?;
        serve.depth = self.asker.word(self.world, "depth")?;
        serve.lane = self.asker.word(self.world, "your lane")?;
        if serve.depth == Some(Depth::Long) {
            serve.pace = self.asker.word(self.world, "pace")?;
        }
        if serve == Serve::default() {
            return Ok(None);
        }
        let words = ["often", "sometimes", "rarely"].map(str::to_owned);
        // A bare number is the place in the list; a share is written `40%` or `0.4`.
        let is_share = |it: &str| it.contains(['%', '.']) && it.parse::<HowOften>().is_ok();
        let said = self.asker.choose_or(self.world, "how often", &words, &[], is_share)?;
        serve.how_often = said.and_then(|said| said.parse().ok());
        // Only what is served with the same motion can look alike.
        let is_alike = |other: &&Serve| {
            let motions = other.motion.as_ref().zip(serve.motion.as_ref());
            motions.is_none_or(|(one, other)| one == other)
        };
        let alike: Vec<_> = self.deck.active().filter(is_alike).map(|it| it.id.clone()).collect();
        if !alike.is_empty() {
            let called: Vec<String> = alike.iter().map(|id| self.deck.called(id)).collect();
            writeln!(self.world.err, "  The same swing as another until the ball leaves the bat?")?;
            let twin = self.asker.choose(self.world, "looks like", &called)?;
            serve.looks_like = twin.map(|place| alike[place].clone());
        }
        serve.id = editing::coin_id(&self.deck, &serve);
        self.ask_name(&mut serve)?;
        Ok(Some(serve))
    }

    /// The spin, with its weight in front when it is known, or worked out from the receiver's own
    /// ball.
    fn ask_spin(&mut self, serve: &mut Serve) -> Result {
        const WORK_OUT: &str = "work it out from what your ball did";
        let mut spins = choices::<Spin>();
        spins.push(WORK_OUT.to_owned());
        writeln!(self.world.err, "  The spin; `heavy backspin` says how much, too.")?;
        let read = |given: &str| -> Option<(WeightName, Spin)> {
            let (weight, spin) = given.split_once(' ')?;
            Some((weight.parse().ok()?, spin.parse().ok()?))
        };
        let is_said = |it: &str| read(it).is_some() || it.parse::<Spin>().is_ok();
        let said =
            self.asker.choose_or(self.world, "spin", &spins, &meanings::<Spin>(), is_said)?;
        let Some(said) = said else { return Ok(()) };
        if said != WORK_OUT {
            let with_weight = read(&said);
            serve.weight = with_weight.map(|(weight, _)| weight.into());
            serve.spin = with_weight.map(|(_, spin)| spin).or_else(|| said.parse().ok());
        } else if let Some(guess) = self.ask_ball()? {
            take_guess(serve, &guess);
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
        let is_all = |given: &str| YourBall::several(given).is_ok();
        let strokes = choices::<Stroke>();
        let said = self.asker.choose_or(
            self.world,
            "you played",
            &strokes,
            &meanings::<Stroke>(),
            is_all,
        )?;
        // Every stroke and every whole answer reads as balls.
        let said = said.unwrap_or_default();
        let Ok(mut balls) = YourBall::several(&said) else { return Ok(None) };
        if let ([ball], Ok(_)) = (&mut balls[..], said.parse::<Stroke>()) {
            let went = self.asker.word::<UpOrDown>(self.world, "your ball")?;
            ball.jumped = self.asker.word::<Side>(self.world, "jumped to")?;
            if went.is_none() && ball.jumped.is_none() {
                return Ok(None);
            }
            ball.went = went.unwrap_or(ball.went);
        }
        let mut guess = self.guess_from(&balls, None)?;
        while guess.as_ref().is_some_and(|guess| guess.test.is_some()) {
            let another = "  another ball of it (Enter: none)";
            let read = |given: &str| YourBall::several(given).map_err(|error| error.what);
            let Some(more) = self.asker.read(self.world, another, read)? else { break };
            balls.extend(more);
            guess = self.guess_from(&balls, None)?;
        }
        let Some(guess) = guess else { return Ok(None) };
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

//! The questions about one serve: few, short, each left open with Enter.

use crate::cli::Result;
use crate::cli::ask::{choices, meanings, with_now};
use crate::cli::scout::scouting::{Scouting, take_guess};
use crate::deck::{ServeLine, editing};
use crate::game::{
    HowOften, Motion, MotionName, Serve, Side, Spin, SpinGuess, Stroke, UpOrDown, WeightName,
    YourBall,
};

impl Scouting<'_, '_> {
    /// Asks for one serve, or for what is different of one that is there now; none when nothing at
    /// all was answered. The questions are part of a block.
    pub fn ask_serve(&mut self, now: Option<&Serve>) -> Result<Option<Serve>> {
        let mut serve = now.cloned().unwrap_or_default();
        let said = self.ask_motion(&serve)?;
        if let Some(line) = said.as_ref().filter(|said| said.parse::<Motion>().is_err()) {
            let line = ServeLine::read(line)?;
            return Ok(Some(editing::serve_of_line(&self.deck, &line)?));
        }
        serve.motion = said.and_then(|said| said.parse().ok()).or(serve.motion);
        self.ask_spin(&mut serve)?;
        serve.depth = self.asker.word(self.world, "depth", serve.depth)?;
        serve.lane = self.asker.word(self.world, "your lane", serve.lane)?;
        serve.pace = self.asker.word(self.world, "pace", serve.pace)?;
        if serve == Serve::default() {
            return Ok(None);
        }
        self.asker.say(self.world, "  Where they serve from; Enter: their backhand corner.")?;
        serve.from = self.asker.word(self.world, "from", serve.from)?;
        let words = ["often", "sometimes", "rarely"].map(str::to_owned);
        // A bare number is the place in the list; a share is written `40%` or `0.4`.
        let is_share = |it: &str| it.contains(['%', '.']) && it.parse::<HowOften>().is_ok();
        let now_often = serve.how_often.map(|often| often.to_string());
        let (often, world) = (now_often.as_deref(), &mut *self.world);
        let said = self.asker.choose_or(world, "how often", &words, &[], often, is_share)?;
        serve.how_often = said.and_then(|said| said.parse().ok()).or(serve.how_often);
        self.ask_twin(&mut serve)?;
        if now.is_none() {
            serve.id = editing::coin_id(&self.deck, &serve);
        }
        Ok(Some(serve))
    }

    /// The motion, or where no serve is there yet a whole serve at once.
    fn ask_motion(&mut self, now: &Serve) -> Result<Option<String>> {
        let is_new = *now == Serve::default();
        let at_once = "The motion, or all at once: short side-back to my forehand, backhand motion, \
                       often;";
        let own = "`own: words` describes a motion without a name.";
        let how = if is_new { format!("  {at_once} {own}") } else { format!("  {own}") };
        self.asker.say(self.world, &how)?;
        let deck = &self.deck;
        // A bare word is a motion, or begins one.
        let is_line = |given: &str| {
            let line = ServeLine::read(given).ok().filter(|_| given.trim().contains(' '));
            is_new && line.is_some_and(|line| editing::serve_of_line(deck, &line).is_ok())
        };
        let is_said = |given: &str| given.parse::<Motion>().is_ok() || is_line(given);
        let now = now.motion.as_ref().map(ToString::to_string);
        let (motions, meanings) = (choices::<MotionName>(), meanings::<MotionName>());
        let world = &mut *self.world;
        self.asker.choose_or(world, "motion", &motions, &meanings, now.as_deref(), is_said)
    }

    /// Its twin: only what is served with the same motion can look alike.
    fn ask_twin(&mut self, serve: &mut Serve) -> Result {
        let is_alike = |other: &&Serve| {
            let motions = other.motion.as_ref().zip(serve.motion.as_ref());
            other.id != serve.id && motions.is_none_or(|(one, other)| one == other)
        };
        let seen = self.seen();
        let alike: Vec<_> = seen.active().filter(is_alike).map(|it| it.id.clone()).collect();
        if alike.is_empty() {
            return Ok(());
        }
        let question = "  The same swing as another until the ball leaves the bat?";
        self.asker.say(self.world, question)?;
        let (now, of) = (serve.looks_like.as_ref(), (&seen, &alike[..]));
        serve.looks_like = self.asker.serve(self.world, "looks like", of, now)?;
        Ok(())
    }

    /// What gives it away.
    pub fn ask_tell(&mut self, serve: &mut Serve) -> Result {
        let now = (!serve.tells.is_empty()).then(|| serve.tells.join("; "));
        let question = "  what gives it away";
        let question = match &now {
            None => format!("{question} (Enter: nothing seen)"),
            now => with_now(question, now.as_deref()),
        };
        if let Some(tell) = self.asker.line(self.world, &question)? {
            serve.tells = vec![tell];
        }
        Ok(())
    }

    /// The spin, with its weight in front when it is known, or worked out from the receiver's own
    /// ball.
    fn ask_spin(&mut self, serve: &mut Serve) -> Result {
        const WORK_OUT: &str = "work it out from what your ball did";
        let mut spins = choices::<Spin>();
        spins.push(WORK_OUT.to_owned());
        self.asker.say(self.world, "  The spin; `heavy backspin` says how much, too.")?;
        let read = |given: &str| -> Option<(WeightName, Spin)> {
            let (weight, spin) = given.split_once(' ')?;
            Some((weight.parse().ok()?, spin.parse().ok()?))
        };
        let is_said = |it: &str| read(it).is_some() || it.parse::<Spin>().is_ok();
        let now = [serve.weight.map(|it| it.to_string()), serve.spin.map(|it| it.to_string())];
        let now = serve.spin.map(|_| now.into_iter().flatten().collect::<Vec<_>>().join(" "));
        let (now, meanings, world) = (now.as_deref(), meanings::<Spin>(), &mut *self.world);
        let said = self.asker.choose_or(world, "spin", &spins, &meanings, now, is_said)?;
        let Some(said) = said else { return Ok(()) };
        if said != WORK_OUT {
            let with_weight = read(&said);
            serve.weight = with_weight.map(|(weight, _)| weight.into());
            serve.spin = with_weight.map(|(_, spin)| spin).or_else(|| said.parse().ok());
            serve.breaks = serve.breaks.filter(|_| serve.spin.is_none_or(Spin::is_sideways));
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
        self.asker.say(self.world, &format!("  What did your ball do? {all_at_once}"))?;
        let is_all = |given: &str| YourBall::several(given).is_ok();
        let strokes = choices::<Stroke>();
        let (meanings, world) = (meanings::<Stroke>(), &mut *self.world);
        let said = self.asker.choose_or(world, "you played", &strokes, &meanings, None, is_all)?;
        // Every stroke and every whole answer reads as balls.
        let said = said.unwrap_or_default();
        let Ok(mut balls) = YourBall::several(&said) else { return Ok(None) };
        if let ([ball], Ok(_)) = (&mut balls[..], said.parse::<Stroke>()) {
            let went = self.asker.word::<UpOrDown>(self.world, "your ball", None)?;
            ball.jumped = self.asker.word::<Side>(self.world, "jumped to", None)?;
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
}

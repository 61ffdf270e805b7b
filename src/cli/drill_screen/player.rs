//! Who plays: a person at the screen, a person reading lines, a file of keys, or nobody. All play
//! by the same loop: time passes, the picture is shown, what the machine says is kept, an act
//! comes in.
//!
//! A person plays on the program's stopwatch; a file and the simulated player on a clock of their
//! own that jumps from one event to the next, so that they take no time and come out the same
//! every time.

use std::time::Duration;

use super::keep::Keep;
use super::keys::Keys;
use super::lines::PictureLines;
use super::look::Look;
use super::rounds::Rounds;
use super::terminal::{FRAME, Terminal, stopwatch_ms};
use super::view;
use super::voice::Voice;
use super::warm_up::warm_up;
use crate::base::Moment;
use crate::cli::drill_arguments::DrillArguments;
use crate::cli::{Failure, World};
use crate::drill::{
    Act, GO, Machine, Phase, Picture, Said, Script, SimulatedHabits, SimulatedPlayer, Summary, UNDO,
};
use crate::journal::Input;
use crate::store::Home;

/// A letter read out, milliseconds: about 160 words a minute, as screen readers are set by those
/// who begin.
const LETTER_MS: u32 = 65;
/// Feedback that is read out stays so long unless a key goes on, milliseconds.
const READ_OUT_MS: u32 = 600_000;
/// An Enter so soon after an answer ends its line, milliseconds.
const LINE_END_MS: u64 = 1200;
/// Between two looks at the clock while nothing moves.
const REST: Duration = Duration::from_millis(250);

/// Where acts come from and where the picture goes.
enum Front {
    Screen(Look),
    /// Lines at a terminal.
    Lines,
    /// Lines, and keys from the standard input.
    Piped,
    File(Keys),
    Simulated(Box<SimulatedPlayer>),
}

/// Who plays, and their clock.
pub(in crate::cli) struct DrillPlayer {
    front: Front,
    /// Taken from [`DrillPlayer::open`] to [`DrillPlayer::close`] by a person at a terminal.
    terminal: Option<Terminal>,
    voice: Voice,
    lines: PictureLines,
    /// The clock of a file or a simulated player, milliseconds.
    virtual_ms: u64,
    is_plain: bool,
    /// The shadow ball whose cue was given last, by the answers before it.
    cued: Option<usize>,
    /// When the last answer was given in lines, milliseconds.
    answered_ms: Option<u64>,
}

impl DrillPlayer {
    /// Who plays, by the arguments and the world.
    pub(in crate::cli) fn choose(
        arguments: &DrillArguments,
        world: &World<'_>,
    ) -> Result<Self, Failure> {
        let front = if let Some(path) = &arguments.keys {
            let text = crate::store::read_page(path)?;
            let file = path.display().to_string();
            Front::File(Keys::parse(&file, &text).map_err(Failure::Findings)?)
        } else if arguments.simulated {
            let habits = SimulatedHabits::default();
            Front::Simulated(Box::new(SimulatedPlayer::new(habits, world.seed)))
        } else if world.is_terminal && (arguments.plain || !world.can_draw) {
            Front::Lines
        } else if arguments.plain {
            Front::Piped
        } else if world.is_terminal {
            Front::Screen(Look { has_colour: world.has_colour, is_still: arguments.still })
        } else {
            return Err(Failure::request(
                "there is no terminal to drill in",
                "`--plain` takes keys line by line, `--keys FILE` plays a file, `--simulated` shows how it goes",
            ));
        };
        Ok(Self {
            front,
            terminal: None,
            voice: Voice::default(),
            lines: PictureLines::default(),
            virtual_ms: 0,
            is_plain: arguments.plain,
            cued: None,
            answered_ms: None,
        })
    }

    /// Takes the terminal, and measures the keys if that is wanted. An interruption there is the
    /// inner result.
    pub(in crate::cli) fn open(
        &mut self,
        rounds: &mut Rounds<'_>,
        world: &mut World<'_>,
        home: &Home,
    ) -> Result<Result<(), Failure>, Failure> {
        // What is still waiting in the buffer must not come out behind the screen.
        world.out.flush()?;
        let look = match self.front {
            Front::Screen(look) => Some(look),
            Front::Lines => None,
            Front::Piped | Front::File(_) | Front::Simulated(_) => return Ok(Ok(())),
        };
        let mut terminal = Terminal::take(look.is_some()).map_err(|source| Failure::Machine {
            what: "the terminal cannot be used".to_owned(),
            source,
        })?;
        let ended = match look.filter(|_| rounds.wants_warm_up()) {
            Some(look) => warm_up(&mut terminal, look, rounds, world, home),
            None => Ok(()),
        };
        self.terminal = Some(terminal);
        Ok(ended)
    }

    /// Gives the terminal back.
    pub(in crate::cli) fn close(&mut self) {
        self.terminal = None;
    }

    /// Time since the session began, milliseconds.
    pub(in crate::cli) fn elapsed_ms(&self, world: &World<'_>) -> u64 {
        if self.is_person() { stopwatch_ms(world) } else { self.virtual_ms }
    }

    const fn is_person(&self) -> bool {
        !matches!(self.front, Front::File(_) | Front::Simulated(_))
    }

    const fn hears_lines(&self) -> bool {
        matches!(self.front, Front::Lines | Front::Piped)
    }

    /// Plays one round to its end; its summary, and how it ended.
    pub(in crate::cli) fn play(
        &mut self,
        mut script: Script,
        world: &mut World<'_>,
        keep: &mut Keep,
    ) -> (Summary, Result<(), Failure>) {
        let input = match self.front {
            Front::File(_) => Input::Script,
            Front::Simulated(_) => Input::Simulated,
            _ => Input::Keys,
        };
        if self.hears_lines() {
            // The lines stay until a key goes on, and the clock waits for the words of a serve.
            script.durations.feedback_ms = READ_OUT_MS;
            script.durations.long_feedback_ms = READ_OUT_MS;
            script.durations.between_turns_ms = READ_OUT_MS;
            let letters = script.serves.iter().map(|serve| serve.words.chars().count()).max();
            script.key_ms += LETTER_MS * u32::try_from(letters.unwrap_or(0)).unwrap_or(0);
        }
        // In lines there is nothing but the words.
        script.fades &= !self.hears_lines() && !self.is_plain;
        let mut machine = Machine::new(script, input);
        let ended = self.play_to_end(&mut machine, world, keep);
        if ended.is_err() {
            machine.act(u64::MAX / 4, Act::Interrupt);
        }
        let summary = machine.summary();
        let is_broken_off = summary.is_interrupted && !matches!(self.front, Front::File(_));
        (summary, if is_broken_off { ended.and(Err(Failure::Interrupted)) } else { ended })
    }

    fn play_to_end(
        &mut self,
        machine: &mut Machine,
        world: &mut World<'_>,
        keep: &mut Keep,
    ) -> Result<(), Failure> {
        // A terminal whose keys are read one by one does not go back to the first column by
        // itself.
        let end = if matches!(self.front, Front::Lines) { "\r\n" } else { "\n" };
        self.lines = PictureLines::new(self.hears_lines(), end);
        self.cued = None;
        loop {
            let now_ms = self.elapsed_ms(world);
            let said = machine.act(now_ms, Act::Tick);
            self.show(machine, now_ms, world)?;
            // The feedback stands on the screen: now there is time for the disk.
            keep.said(self.moment(world), &said)?;
            if machine.is_done() {
                return Ok(());
            }
            if let Some((at_ms, act)) = self.next(machine, now_ms, world)? {
                self.act(machine, at_ms, act, world, keep)?;
            }
        }
    }

    /// The time of day of what is kept now.
    fn moment(&self, world: &World<'_>) -> Moment {
        if self.is_person() {
            return world.clock.now();
        }
        world.now.plus_ms(i64::try_from(self.virtual_ms).unwrap_or_default())
    }

    /// Shows what there is to see at a time, and gives the cue of a shadow ball that begins.
    fn show(
        &mut self,
        machine: &Machine,
        now_ms: u64,
        world: &mut World<'_>,
    ) -> Result<(), Failure> {
        let picture = machine.picture(now_ms);
        match self.front {
            Front::Screen(_) => self.draw(&picture)?,
            Front::Lines | Front::Piped => self.lines.print(&picture, world)?,
            Front::File(_) | Front::Simulated(_) => {
                if self.is_plain && !machine.is_done() {
                    self.lines.print(&picture, world)?;
                    if let Some(asked) = machine.asked(now_ms) {
                        let then = machine.picture(asked.from_ms.max(now_ms));
                        self.lines.print(&then, world)?;
                    }
                }
            }
        }
        let ball = (picture.phase == Phase::Shadow).then(|| machine.taken().len());
        let is_new = ball.is_some() && ball != self.cued;
        self.cued = ball;
        if is_new && self.terminal.is_some() {
            let is_spoken = picture.words.as_deref().is_some_and(|words| self.voice.say(words));
            if !is_spoken && matches!(self.front, Front::Screen(_)) {
                bell();
            }
        }
        Ok(())
    }

    /// Draws the screen, where there is one.
    fn draw(&mut self, picture: &Picture) -> Result<(), Failure> {
        match (&self.front, &mut self.terminal) {
            (Front::Screen(look), Some(terminal)) => {
                terminal.draw(|frame| view::draw(frame, picture, *look))
            }
            _ => Ok(()),
        }
    }

    /// The next act and its time; none when there is only something new to show.
    fn next(
        &mut self,
        machine: &Machine,
        now_ms: u64,
        world: &mut World<'_>,
    ) -> Result<Option<(u64, Act)>, Failure> {
        let came = match &mut self.front {
            Front::File(keys) => return Ok(Some(keys.next(machine, now_ms))),
            Front::Simulated(player) => return Ok(Some(player.next(machine, now_ms))),
            Front::Piped => piped(machine, now_ms, world)?,
            Front::Screen(_) | Front::Lines => {
                let Some(terminal) = &self.terminal else { return Err(Failure::Hangup) };
                let moves = matches!(self.front, Front::Screen(look) if !look.is_still);
                terminal.wait(pause_for(machine, now_ms, moves))?
            }
        };
        let now_ms = stopwatch_ms(world);
        let act = came.and_then(|act| meant(act, machine.phase(now_ms)));
        // Who ends a line as lines are ended has not asked for the next ball.
        let is_line_end = act == Some(Act::Key('\n'))
            && self.answered_ms.take_if(|ms| now_ms.saturating_sub(*ms) < LINE_END_MS).is_some();
        Ok(act.filter(|_| !is_line_end).map(|act| (now_ms, act)))
    }

    /// An act, shown and kept.
    fn act(
        &mut self,
        machine: &mut Machine,
        at_ms: u64,
        act: Act,
        world: &mut World<'_>,
        keep: &mut Keep,
    ) -> Result<(), Failure> {
        if !self.is_person() {
            self.virtual_ms = at_ms;
        }
        let is_undo =
            matches!(act, Act::Key(key) if key.to_ascii_lowercase() == UNDO || key == '\u{8}');
        let waits = is_undo && self.hears_lines();
        let mut said = Vec::new();
        if waits && machine.picture(at_ms).feedback.is_some_and(|told| told.can_undo) {
            // The next ball would be thrown over the words that tell of it.
            said.extend(machine.act(at_ms, Act::Pause));
        }
        said.extend(machine.act(at_ms, act));
        self.voice.hush();
        let drawn = self.draw(&machine.picture(self.elapsed_ms(world)));
        // Whatever became of the screen: the answer is kept first.
        keep.said(self.moment(world), &said)?;
        drawn?;
        if waits {
            self.lines.print_undo(said.contains(&Said::Undo), world)?;
        }
        if matches!(self.front, Front::Lines) {
            self.answered_ms = (machine.phase(at_ms) == Phase::Feedback).then_some(at_ms);
        }
        // A round that ends by the key that offers it was not broken off.
        let is_stopped = self.is_person() && machine.is_done() && act == Act::Pause;
        if is_stopped { Err(Failure::Stopped) } else { Ok(()) }
    }
}

/// How long may be waited before the picture changes.
fn pause_for(machine: &Machine, now_ms: u64, moves: bool) -> Duration {
    let phase = machine.phase(now_ms);
    if moves && matches!(phase, Phase::Toss | Phase::Flight | Phase::What | Phase::Shadow) {
        return FRAME;
    }
    let asked_ms = machine.asked(now_ms).map(|asked| asked.from_ms);
    let due_ms = machine.next_ms().into_iter().chain(asked_ms).filter(|&ms| ms > now_ms).min();
    due_ms.map_or(REST, |ms| Duration::from_millis(ms - now_ms).min(REST))
}

/// What a person's key is for the machine: one key pauses, and goes on from a pause.
const fn meant(act: Act, phase: Phase) -> Option<Act> {
    match (act, phase) {
        (Act::Key('p' | 'P'), Phase::Paused) => Some(Act::Key(GO)),
        (Act::Key('p' | 'P'), Phase::Ready | Phase::Done) => None,
        (Act::Key('p' | 'P'), _) => Some(Act::Pause),
        (act, _) => Some(act),
    }
}

/// A line from the standard input; its end ends the round.
fn piped(machine: &Machine, now_ms: u64, world: &mut World<'_>) -> Result<Option<Act>, Failure> {
    // Without keys between them, moments pass by themselves until one is wanted.
    if let Some(asked) = machine.asked(now_ms).filter(|asked| asked.from_ms > now_ms) {
        std::thread::sleep(Duration::from_millis(asked.from_ms - now_ms));
        return Ok(None);
    }
    world.out.flush()?;
    let mut line = String::new();
    if !world.read_line(&mut line)? {
        return Ok(Some(Act::Interrupt));
    }
    Ok(Some(match line.trim() {
        "pause" => Act::Pause,
        key => Act::Key(key.chars().next().unwrap_or(GO)),
    }))
}

/// Rings the terminal's bell.
fn bell() {
    use std::io::Write;
    let mut out = std::io::stdout();
    // A terminal without a bell is no trouble.
    let _ = out.write_all(b"\x07").and_then(|()| out.flush());
}

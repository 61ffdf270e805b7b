//! Who plays: a person at the screen, a person reading lines, a file of keys, or nobody.
//!
//! A person plays on the program's stopwatch; a file and the simulated player on a clock of their own
//! that jumps from one event to the next, so that they take no time and come out the same every time.

use super::at_screen::{at_screen, warm_up};
use super::in_lines::{in_lines, piped, show_lines};
use super::keep::Keep;
use super::keys::Keys;
use super::plain::Plain;
use super::rounds::Rounds;
use super::terminal::Terminal;
use super::view::Look;
use super::voice::Voice;
use super::waiting::stopwatch_ms;
use crate::base::Moment;
use crate::cli::drill::DrillArguments;
use crate::cli::{Failure, World};
use crate::drill::{Act, Habits, Machine, Said, Script, SimulatedPlayer, Summary};
use crate::journal::Input;
use crate::store::Home;

/// A letter read out, milliseconds: about 160 words a minute, as screen readers are set by those who begin.
const LETTER_MS: u32 = 65;

/// What plays.
enum Hands {
    Screen { terminal: Option<Terminal>, look: Look, voice: Voice },
    Lines { terminal: Option<Terminal>, voice: Voice },
    Piped,
    File(Keys),
    Simulated(Box<SimulatedPlayer>),
}

/// Who plays, and their clock.
pub(in crate::cli) struct Player {
    hands: Hands,
    /// The clock of a file or a simulated player, milliseconds.
    virtual_ms: u64,
    is_plain: bool,
}

impl Player {
    /// Who plays, by the arguments and the world.
    pub(in crate::cli) fn choose(
        arguments: &DrillArguments,
        world: &World<'_>,
    ) -> Result<Self, Failure> {
        let hands = if let Some(path) = &arguments.keys {
            let text = crate::store::read_page(path)?;
            let file = path.display().to_string();
            Hands::File(Keys::parse(&file, &text).map_err(Failure::Findings)?)
        } else if arguments.simulated {
            Hands::Simulated(Box::new(SimulatedPlayer::new(Habits::default(), world.seed)))
        } else if world.is_terminal && (arguments.plain || !world.can_draw) {
            Hands::Lines { terminal: None, voice: Voice::default() }
        } else if arguments.plain {
            Hands::Piped
        } else if world.is_terminal {
            let look = Look { has_colour: world.has_colour, is_still: arguments.still };
            Hands::Screen { terminal: None, look, voice: Voice::default() }
        } else {
            return Err(Failure::request(
                "there is no terminal to drill in",
                "`--plain` takes keys line by line, `--keys FILE` plays a file, `--simulated` shows how it goes",
            ));
        };
        Ok(Self { hands, virtual_ms: 0, is_plain: arguments.plain })
    }

    /// Takes the terminal, and measures the keys if that is wanted. An interruption there is the
    /// inner result.
    pub(in crate::cli) fn open(
        &mut self,
        rounds: &mut Rounds,
        world: &mut World<'_>,
        home: &Home,
    ) -> Result<Result<(), Failure>, Failure> {
        // What is still waiting in the buffer must not come out behind the screen.
        world.out.flush()?;
        let taken = |has_screen| {
            Terminal::take(has_screen).map_err(|source| Failure::Machine {
                what: "the terminal cannot be used".to_owned(),
                source,
            })
        };
        match &mut self.hands {
            Hands::Screen { terminal, look, .. } => {
                let mut screen = taken(true)?;
                let wants = rounds.wants_warm_up || (rounds.are_timed() && !rounds.has_key_time);
                let ended =
                    if wants { warm_up(&mut screen, *look, rounds, world, home) } else { Ok(()) };
                *terminal = Some(screen);
                Ok(ended)
            }
            Hands::Lines { terminal, .. } => {
                *terminal = Some(taken(false)?);
                Ok(Ok(()))
            }
            Hands::Piped | Hands::File(_) | Hands::Simulated(_) => Ok(Ok(())),
        }
    }

    /// Gives the terminal back.
    pub(in crate::cli) fn close(&mut self) {
        if let Hands::Screen { terminal, .. } | Hands::Lines { terminal, .. } = &mut self.hands {
            *terminal = None;
        }
    }

    /// Time since the session began, milliseconds.
    pub(in crate::cli) fn elapsed_ms(&self, world: &World<'_>) -> u64 {
        match self.hands {
            Hands::File(_) | Hands::Simulated(_) => self.virtual_ms,
            _ => stopwatch_ms(world),
        }
    }

    /// Plays one round to its end; its summary, and how it ended.
    pub(in crate::cli) fn play(
        &mut self,
        mut script: Script,
        world: &mut World<'_>,
        keep: &mut Keep,
    ) -> (Summary, Result<(), Failure>) {
        let input = match self.hands {
            Hands::File(_) => Input::Script,
            Hands::Simulated(_) => Input::Simulated,
            _ => Input::Keys,
        };
        if matches!(self.hands, Hands::Lines { .. } | Hands::Piped) {
            // Lines are read out: they stay until a key goes on, and the clock waits for the words of a serve.
            script.durations.feedback_ms = 600_000;
            script.durations.long_feedback_ms = 600_000;
            script.durations.between_turns_ms = 600_000;
            let letters = script.serves.iter().map(|serve| serve.words.chars().count()).max();
            script.key_ms += LETTER_MS * u32::try_from(letters.unwrap_or(0)).unwrap_or(0);
        }
        let mut machine = Machine::new(script, input);
        let ended = match &mut self.hands {
            Hands::Screen { terminal: Some(terminal), look, voice } => {
                at_screen(&mut machine, terminal, *look, voice, world, keep)
            }
            Hands::Lines { terminal: Some(terminal), voice } => {
                in_lines(&mut machine, terminal, voice, world, keep)
            }
            Hands::Screen { .. } | Hands::Lines { .. } => Ok(()),
            Hands::Piped => piped(&mut machine, world, keep),
            Hands::File(keys) => {
                let mut step = |machine: &mut Machine, now_ms| keys.step(machine, now_ms);
                jumping(&mut machine, &mut self.virtual_ms, self.is_plain, world, keep, &mut step)
            }
            Hands::Simulated(player) => {
                let mut step = |machine: &mut Machine, now_ms| player.step(machine, now_ms);
                jumping(&mut machine, &mut self.virtual_ms, self.is_plain, world, keep, &mut step)
            }
        };
        if ended.is_err() {
            machine.act(u64::MAX / 4, Act::Interrupt);
        }
        let summary = machine.summary();
        let is_broken_off = summary.is_interrupted && !matches!(self.hands, Hands::File(_));
        (summary, if is_broken_off { ended.and(Err(Failure::Interrupted)) } else { ended })
    }
}

/// One step of a player with a clock of their own: the time after it, and what was said.
type Step<'a> = dyn FnMut(&mut Machine, u64) -> (u64, Vec<Said>) + 'a;

/// A file or a simulated player: the clock jumps from event to event.
fn jumping(
    machine: &mut Machine,
    virtual_ms: &mut u64,
    is_plain: bool,
    world: &mut World<'_>,
    keep: &mut Keep,
    step: &mut Step<'_>,
) -> Result<(), Failure> {
    let mut plain = Plain::default();
    while !machine.is_done() {
        if is_plain {
            show_lines(&mut plain, machine, *virtual_ms, "\n", world)?;
            if let Some(asked) = machine.asked(*virtual_ms) {
                show_lines(&mut plain, machine, asked.from_ms.max(*virtual_ms), "\n", world)?;
            }
        }
        let (now_ms, said) = step(machine, *virtual_ms);
        *virtual_ms = now_ms;
        keep.said(at(world.now, now_ms), &said)?;
    }
    Ok(())
}

/// The time of day at which a jumping clock stands.
fn at(start: Moment, virtual_ms: u64) -> Moment {
    start.plus_ms(i64::try_from(virtual_ms).unwrap_or_default())
}

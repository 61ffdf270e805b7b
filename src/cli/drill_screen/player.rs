//! Who plays: a person at the screen, a person reading lines, a file of keys, or nobody.
//!
//! A person plays on the program's stopwatch; a file and the simulated player on a clock of their own
//! that jumps from one event to the next, so that they take no time and come out the same every time.

use std::time::Duration;

use super::keep::Keep;
use super::keys::Keys;
use super::plain::Plain;
use super::rounds::{Rounds, key_time_file};
use super::terminal::{Came, Terminal};
use super::view::{self, Look};
use super::voice::Voice;
use crate::base::Moment;
use crate::cli::drill::DrillArguments;
use crate::cli::{Failure, World};
use crate::drill::{
    Act, GO, Habits, Machine, Phase, Said, Script, SimulatedPlayer, Summary, UNDO, WarmUp,
    cell_of_key,
};
use crate::journal::{How, Input};
use crate::store::Home;

/// Between two frames while something moves.
const FRAME: Duration = Duration::from_millis(16);
/// Between two looks at the clock while nothing moves.
const REST: Duration = Duration::from_millis(250);

/// A letter read out, milliseconds: about 160 words a minute, as screen readers are set by those who begin.
const LETTER_MS: u32 = 65;
/// An Enter so soon after an answer ends its line, milliseconds.
const LINE_END_MS: u64 = 1200;

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
            let text = std::fs::read_to_string(path).map_err(|source| Failure::Machine {
                what: format!("`{}` cannot be read", path.display()),
                source,
            })?;
            let file = path.display().to_string();
            Hands::File(Keys::parse(&file, &text).map_err(Failure::Findings)?)
        } else if arguments.simulated {
            Hands::Simulated(Box::new(SimulatedPlayer::new(Habits::default(), world.seed)))
        } else if arguments.plain && world.is_terminal {
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
                let wants = rounds.wants_warm_up || !rounds.has_key_time;
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

/// The stopwatch of the program, milliseconds.
fn stopwatch_ms(world: &World<'_>) -> u64 {
    u64::try_from(world.clock.elapsed().as_millis()).unwrap_or(u64::MAX)
}

/// A terminal that is gone is a hang-up; anything else the machine's own trouble.
fn lost(_: std::io::Error) -> Failure {
    Failure::Hangup
}

/// How long may be waited before the picture changes.
fn pause_for(machine: &Machine, now_ms: u64, is_still: bool) -> Duration {
    let moves =
        matches!(machine.phase(now_ms), Phase::Toss | Phase::Flight | Phase::What | Phase::Shadow);
    if moves && !is_still {
        return FRAME;
    }
    let due_ms =
        machine.next_ms().into_iter().chain(machine.asked(now_ms).map(|asked| asked.from_ms));
    let next_ms = due_ms.filter(|&ms| ms > now_ms).min();
    next_ms
        .map_or(REST, |ms| Duration::from_millis(ms - now_ms).min(REST))
        .max(Duration::from_millis(1))
}

fn at_screen(
    machine: &mut Machine,
    terminal: &mut Terminal,
    look: Look,
    voice: &mut Voice,
    world: &World<'_>,
    keep: &mut Keep,
) -> Result<(), Failure> {
    let mut spoken = None;
    let mut cue = Cue::default();
    loop {
        let now_ms = stopwatch_ms(world);
        let mut said = machine.act(now_ms, Act::Tick);
        let picture = machine.picture(now_ms);
        terminal.draw(|frame| view::draw(frame, &picture, look)).map_err(lost)?;
        if cue.is_new(machine, &picture) {
            spoken.clone_from(&picture.words);
            if !spoken.as_deref().is_some_and(|words| voice.say(words)) {
                bell();
            }
        }
        // The feedback stands on the screen: now there is time for the disk.
        keep.said(world.clock.now(), &said)?;
        if machine.is_done() {
            return Ok(());
        }
        let came = terminal.wait(pause_for(machine, now_ms, look.is_still)).map_err(lost)?;
        if let Some(act) = meant(came, machine, stopwatch_ms(world)) {
            if act != Act::Tick && spoken.is_some() {
                voice.hush();
            }
            said = machine.act(stopwatch_ms(world), act);
            let now_ms = stopwatch_ms(world);
            let picture = machine.picture(now_ms);
            terminal.draw(|frame| view::draw(frame, &picture, look)).map_err(lost).or_else(
                // Whatever became of the screen: the answer comes first.
                |failure| keep.said(world.clock.now(), &said).and(Err(failure)),
            )?;
            keep.said(world.clock.now(), &said)?;
            ended_by_choice(machine, act)?;
        }
    }
}

/// What a key is for the machine: one key pauses, and goes on from a pause.
fn meant(came: Came, machine: &Machine, now_ms: u64) -> Option<Act> {
    match (came, machine.phase(now_ms)) {
        (Came::Act(act), _) => Some(act),
        (Came::Hold, Phase::Paused) => Some(Act::Key(GO)),
        (Came::Hold, Phase::Ready | Phase::Done) | (Came::Resized | Came::Nothing, _) => None,
        (Came::Hold, _) => Some(Act::Pause),
    }
}

/// A round that ends by the key that offers it was not broken off.
const fn ended_by_choice(machine: &Machine, act: Act) -> Result<(), Failure> {
    if machine.is_done() && matches!(act, Act::Pause) { Err(Failure::Stopped) } else { Ok(()) }
}

/// Notices that a shadow ball has begun.
#[derive(Default)]
struct Cue {
    last: Option<usize>,
}

impl Cue {
    fn is_new(&mut self, machine: &Machine, picture: &crate::drill::Picture) -> bool {
        let is_cue = machine.script().how == How::Shadow && picture.phase == Phase::Shadow;
        let ball = is_cue.then(|| machine.taken().len());
        let is_new = ball.is_some() && ball != self.last;
        if picture.phase != Phase::Shadow || is_new {
            self.last = ball;
        }
        is_new
    }
}

/// Rings the terminal's bell.
fn bell() {
    use std::io::Write;
    let mut out = std::io::stdout();
    // A terminal without a bell is no trouble.
    let _ = out.write_all(b"\x07").and_then(|()| out.flush());
}

fn in_lines(
    machine: &mut Machine,
    terminal: &Terminal,
    voice: &mut Voice,
    world: &mut World<'_>,
    keep: &mut Keep,
) -> Result<(), Failure> {
    let mut plain = Plain::waiting();
    let mut cue = Cue::default();
    let mut answered_ms = None;
    loop {
        let now_ms = stopwatch_ms(world);
        let said = machine.act(now_ms, Act::Tick);
        show_lines(&mut plain, machine, now_ms, "\r\n", world)?;
        let picture = machine.picture(now_ms);
        if cue.is_new(machine, &picture) {
            voice.say(picture.words.as_deref().unwrap_or_default());
        }
        keep.said(world.clock.now(), &said)?;
        if machine.is_done() {
            return Ok(());
        }
        let came = terminal.wait(pause_for(machine, now_ms, true)).map_err(lost)?;
        let now_ms = stopwatch_ms(world);
        let Some(act) = meant(came, machine, now_ms) else { continue };
        // Who ends a line as lines are ended has not asked for the next ball.
        let ends_line = act == Act::Key('\n')
            && answered_ms.is_some_and(|ms| now_ms.saturating_sub(ms) < LINE_END_MS);
        if ends_line {
            answered_ms = None;
            continue;
        }
        press(machine, now_ms, act, "\r\n", world, keep)?;
        answered_ms = (machine.phase(now_ms) == Phase::Feedback).then_some(now_ms);
    }
}

/// Lines from the standard input, one key each; its end ends the round.
fn piped(machine: &mut Machine, world: &mut World<'_>, keep: &mut Keep) -> Result<(), Failure> {
    let mut plain = Plain::waiting();
    let mut line = String::new();
    while !machine.is_done() {
        // Without keys between them, moments pass by themselves until one is wanted.
        let now_ms = stopwatch_ms(world);
        let said = machine.act(now_ms, Act::Tick);
        show_lines(&mut plain, machine, now_ms, "\n", world)?;
        keep.said(world.clock.now(), &said)?;
        if let Some(asked) = machine.asked(now_ms).filter(|asked| asked.from_ms > now_ms) {
            std::thread::sleep(Duration::from_millis(asked.from_ms - now_ms));
            continue;
        }
        world.out.flush()?;
        line.clear();
        let came = if world.input.read_line(&mut line)? == 0 {
            Came::Act(Act::Interrupt)
        } else {
            match line.trim() {
                "" => Came::Act(Act::Key(GO)),
                "pause" => Came::Act(Act::Pause),
                "p" | "P" => Came::Hold,
                key => Came::Act(Act::Key(key.chars().next().unwrap_or(GO))),
            }
        };
        let now_ms = stopwatch_ms(world);
        let Some(act) = meant(came, machine, now_ms) else { continue };
        press(machine, now_ms, act, "\n", world, keep)?;
    }
    let now_ms = stopwatch_ms(world);
    show_lines(&mut plain, machine, now_ms, "\n", world)
}

/// A key of somebody who hears lines: it is kept, and taking an answer back is told and waits, because the next ball
/// would be thrown over the words.
fn press(
    machine: &mut Machine,
    now_ms: u64,
    act: Act,
    end: &str,
    world: &mut World<'_>,
    keep: &mut Keep,
) -> Result<(), Failure> {
    let is_undo =
        matches!(act, Act::Key(key) if key.to_ascii_lowercase() == UNDO || key == '\u{8}');
    let picture = machine.picture(now_ms);
    let is_kept = is_undo && picture.feedback.as_ref().is_some_and(|told| told.can_undo);
    let mut said = Vec::new();
    if is_kept && picture.phase == Phase::Feedback {
        said.extend(machine.act(now_ms, Act::Pause));
    }
    said.extend(machine.act(now_ms, act));
    keep.said(world.clock.now(), &said)?;
    if is_undo {
        let words = if said.contains(&Said::Undo) {
            "Taken back; its ball comes again."
        } else {
            "There is nothing to take back now."
        };
        write!(world.out, "{words}{end}")?;
        world.out.flush()?;
    }
    ended_by_choice(machine, act)
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

fn show_lines(
    plain: &mut Plain,
    machine: &Machine,
    now_ms: u64,
    end: &str,
    world: &mut World<'_>,
) -> Result<(), Failure> {
    let lines = plain.lines(&machine.picture(now_ms));
    for line in &lines {
        write!(world.out, "{line}{end}")?;
    }
    if !lines.is_empty() {
        world.out.flush()?;
    }
    Ok(())
}

/// The warm-up of the keys, before the first round.
fn warm_up(
    terminal: &mut Terminal,
    look: Look,
    rounds: &mut Rounds,
    world: &World<'_>,
    home: &Home,
) -> Result<(), Failure> {
    let mut warm_up = WarmUp::new(world.seed);
    let mut has_begun = false;
    let mut shown_ms = stopwatch_ms(world);
    // Each prompt comes after a moment, so that two presses never run into each other.
    let mut from_ms = shown_ms;
    while warm_up.prompt().is_some() {
        let now_ms = stopwatch_ms(world);
        let prompt = warm_up.prompt().filter(|_| has_begun && now_ms >= from_ms);
        if prompt.is_some() && shown_ms < from_ms {
            shown_ms = now_ms;
        }
        let progress = warm_up.progress();
        terminal
            .draw(|frame| view::draw_warm_up(frame, has_begun, prompt, progress, look))
            .map_err(lost)?;
        match terminal.wait(FRAME).map_err(lost)? {
            Came::Act(Act::Interrupt) => return Err(Failure::Interrupted),
            Came::Act(Act::Pause) | Came::Hold => return Ok(()),
            Came::Act(Act::Key(' ' | '\n')) if !has_begun => {
                has_begun = true;
                from_ms = stopwatch_ms(world) + 600;
                shown_ms = 0;
            }
            Came::Act(Act::Key(key)) if prompt.is_some() => {
                let ms = stopwatch_ms(world).saturating_sub(shown_ms);
                let before = warm_up.progress().0;
                if let Some(cell) = cell_of_key(key) {
                    warm_up.pressed(cell, u32::try_from(ms).unwrap_or(u32::MAX));
                }
                if warm_up.progress().0 != before {
                    let gap_ms = 350 + (shown_ms * 7919) % 400;
                    from_ms = stopwatch_ms(world) + gap_ms;
                    shown_ms = 0;
                }
            }
            _ => {}
        }
    }
    if let Some(key_time) = warm_up.key_time() {
        rounds.key_time = key_time;
        home.write_ron(&key_time_file(home), &key_time)?;
    }
    Ok(())
}

//! The world a command works in: clock, seed, files, terminal. Read once here, passed everywhere.

use std::io::{BufRead, IsTerminal, Write};
use std::path::PathBuf;
use std::rc::Rc;
use std::time::Duration;

use etcetera::BaseStrategy;

use crate::base::{Dice, Finding, Moment};
use crate::cli::{Arguments, Failure};

/// The columns a screen has when nobody says otherwise.
const DEFAULT_WIDTH: usize = 80;
/// Lines longer than this are hard to read, however wide the terminal is.
const WIDEST: usize = 100;

/// A clock: the time of day, and a stopwatch that never jumps.
pub trait Clock {
    /// The time of day with the offset of the player's own clock.
    fn now(&self) -> Moment;
    /// Time since the program started, from a clock that never jumps.
    fn elapsed(&self) -> Duration;
}

/// The machine's clock, or a fixed time of day when `--now` gives one.
struct RealClock {
    started: std::time::Instant,
    fixed: Option<Moment>,
}

impl Clock for RealClock {
    fn now(&self) -> Moment {
        #[expect(clippy::disallowed_methods, reason = "the one place that reads the time of day")]
        let real = || Moment::from_clock(chrono::Local::now().fixed_offset());
        self.fixed.map_or_else(real, |fixed| {
            fixed.plus_ms(i64::try_from(self.elapsed().as_millis()).unwrap_or(i64::MAX))
        })
    }

    fn elapsed(&self) -> Duration {
        self.started.elapsed()
    }
}

/// A clock some days ahead of another one, for a demonstration that plays several evenings.
pub struct Later {
    /// The clock it follows.
    pub clock: Rc<dyn Clock>,
    /// How far it is ahead, milliseconds.
    pub ahead_ms: i64,
}

impl Clock for Later {
    fn now(&self) -> Moment {
        self.clock.now().plus_ms(self.ahead_ms)
    }

    fn elapsed(&self) -> Duration {
        self.clock.elapsed()
    }
}

/// Everything outside the program that a command may touch.
pub struct World<'a> {
    /// The clock.
    pub clock: Rc<dyn Clock>,
    /// The time the command started.
    pub now: Moment,
    /// The seed of every random choice.
    pub seed: u64,
    /// The seed that was asked for: then it must not be another one.
    pub asked_seed: Option<u64>,
    /// The player's home.
    pub home_root: PathBuf,
    /// The folder for what belongs to this device and not to the home.
    pub device_root: PathBuf,
    /// Where results go.
    pub out: &'a mut dyn Write,
    /// Where everything else goes.
    pub err: &'a mut dyn Write,
    /// Where answers come from when there is no terminal.
    pub input: &'a mut dyn BufRead,
    /// True when a person sits at both ends: input and output are a terminal.
    pub is_terminal: bool,
    /// True when a person sits at a terminal that can be drawn on.
    pub can_draw: bool,
    /// Columns to write in.
    pub width: usize,
    /// True when colour may be used.
    pub has_colour: bool,
}

impl<'a> World<'a> {
    /// The real one.
    ///
    /// # Errors
    /// [`Failure`] when the platform has no folder for a home and none is named.
    pub fn real(
        arguments: &Arguments,
        out: &'a mut dyn Write,
        err: &'a mut dyn Write,
        input: &'a mut dyn BufRead,
    ) -> Result<Self, Failure> {
        #[expect(clippy::disallowed_methods, reason = "the one place that starts the stopwatch")]
        let started = std::time::Instant::now();
        let clock = RealClock { started, fixed: arguments.now };
        // Exactly what was asked for, so that a run can be repeated to the millisecond.
        let now = arguments.now.unwrap_or_else(|| clock.now());
        let is_terminal = std::io::stdin().is_terminal() && std::io::stdout().is_terminal();
        let columns =
            console::Term::stdout().size_checked().map(|(_, columns)| usize::from(columns));
        let width = columns.filter(|_| is_terminal).unwrap_or(DEFAULT_WIDTH).clamp(40, WIDEST);
        #[expect(clippy::disallowed_methods, reason = "the one place that reads the environment")]
        let is_dumb = std::env::var_os("TERM").is_some_and(|term| term == "dumb");
        let folders = etcetera::choose_base_strategy().ok();
        #[expect(clippy::disallowed_methods, reason = "the one place that reads the environment")]
        let named = std::env::var_os("SECONDBALL_HOME").filter(|named| !named.is_empty());
        let home_root = arguments
            .home
            .clone()
            .or_else(|| named.map(PathBuf::from))
            .or_else(|| Some(folders.as_ref()?.data_dir().join("secondball")))
            .ok_or_else(|| {
                Failure::request(
                    "this system has no folder for a home",
                    "name one: `--home DIR`, or set SECONDBALL_HOME",
                )
            })?;
        let device_root = match &folders {
            Some(folders) => {
                folders.state_dir().unwrap_or_else(|| folders.data_dir()).join("secondball-device")
            }
            None => home_root.join("cache"),
        };
        Ok(Self {
            // Without a seed every run differs; it is drawn from the clock, and printed where it matters.
            seed: arguments.seed.unwrap_or_else(|| now.epoch_ms().unsigned_abs()),
            asked_seed: arguments.seed,
            clock: Rc::new(clock),
            now,
            home_root,
            device_root,
            out,
            err,
            input,
            is_terminal,
            can_draw: is_terminal && !is_dumb,
            width,
            has_colour: console::colors_enabled() && is_terminal,
        })
    }

    /// Says findings on the standard error.
    ///
    /// # Errors
    /// [`Failure`] when it is gone.
    pub fn tell(&mut self, findings: &[Finding]) -> Result<(), Failure> {
        for finding in findings {
            writeln!(self.err, "{}", finding.shown())?;
        }
        Ok(())
    }

    /// The dice of a named part of this run.
    pub fn dice(&self, part: &str) -> Dice {
        Dice::for_part(self.seed, part)
    }
}

//! The world a command works in: clock, seed, files, terminal. Read once here, passed everywhere.

use std::io::{BufRead, ErrorKind, IsTerminal, Write};
use std::path::{Path, PathBuf};
use std::time::Duration;

use etcetera::BaseStrategy;

use serde::Serialize;

use crate::base::{Dice, Finding, Moment, text};
use crate::cli::{Failure, Result};
use crate::store;

/// The columns a screen has when nobody says otherwise.
const DEFAULT_WIDTH: usize = 80;
/// Lines longer than this are hard to read, however wide the terminal is.
const WIDEST: usize = 100;

/// What goes with every command.
#[derive(Debug, clap::Args)]
#[command(next_help_heading = "Everywhere")]
pub struct Everywhere {
    /// The folder that holds your files; without it `SECONDBALL_HOME`, or the platform's own place
    #[arg(long, global = true, value_name = "DIR")]
    pub home: Option<PathBuf>,
    /// The time to work with instead of the clock: 2026-11-29, or 2026-11-29T18:30:00+01:00
    #[arg(long, global = true, value_name = "TIME")]
    pub now: Option<Moment>,
    /// The seed of every random choice, so that a run can be repeated
    #[arg(long, global = true, value_name = "NUMBER")]
    pub seed: Option<u64>,
}

/// The machine's clock, or a fixed time of day when `--now` gives one.
#[derive(Clone, Copy)]
pub struct Clock {
    started: std::time::Instant,
    fixed: Option<Moment>,
    ahead_ms: i64,
}

impl Clock {
    /// The same clock so much ahead, milliseconds: a demonstration plays several evenings.
    pub const fn ahead(self, ahead_ms: i64) -> Self {
        Self { ahead_ms, ..self }
    }

    /// The time of day with the offset of the player's own clock.
    pub fn now(&self) -> Moment {
        #[expect(clippy::disallowed_methods, reason = "the one place that reads the time of day")]
        let real = || Moment::from_clock(chrono::Local::now().fixed_offset());
        let since_start_ms = i64::try_from(self.elapsed().as_millis()).unwrap_or(i64::MAX);
        let now = self.fixed.map_or_else(real, |fixed| fixed.plus_ms(since_start_ms));
        now.plus_ms(self.ahead_ms)
    }

    /// Time since the program started; it never jumps.
    pub fn elapsed(&self) -> Duration {
        self.started.elapsed()
    }
}

/// An output on which nothing is hidden: what names and notes hold of it is shown as signs.
pub struct Shown<W>(pub W);

impl<W: Write> Write for Shown<W> {
    fn write(&mut self, bytes: &[u8]) -> std::io::Result<usize> {
        let whole = match std::str::from_utf8(bytes) {
            Ok(text) => text,
            // What is no text, or no whole letter yet, goes out as it is.
            Err(error) if error.valid_up_to() == 0 => return self.0.write(bytes),
            Err(error) => std::str::from_utf8(&bytes[..error.valid_up_to()]).unwrap_or_default(),
        };
        self.0.write_all(text::printed(whole).as_bytes())?;
        Ok(whole.len())
    }

    fn flush(&mut self) -> std::io::Result<()> {
        self.0.flush()
    }
}

/// Everything outside the program that a command may touch.
pub struct World<'a> {
    /// The clock.
    pub clock: Clock,
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
    /// Answers of this run that are on the disk.
    pub kept: usize,
}

/// Columns of the terminal, where there is one.
pub(super) fn columns() -> Option<usize> {
    console::Term::stderr().size_checked().map(|(_, columns)| usize::from(columns))
}

impl<'a> World<'a> {
    /// The real one.
    ///
    /// # Errors
    /// [`Failure`] when the platform has no folder for a home and none is named.
    pub fn real(
        arguments: &Everywhere,
        out: &'a mut dyn Write,
        err: &'a mut dyn Write,
        input: &'a mut dyn BufRead,
    ) -> Result<Self> {
        #[expect(clippy::disallowed_methods, reason = "the one place that starts the stopwatch")]
        let started = std::time::Instant::now();
        let clock = Clock { started, fixed: arguments.now, ahead_ms: 0 };
        // Exactly what was asked for, so that a run can be repeated to the millisecond.
        let now = arguments.now.unwrap_or_else(|| clock.now());
        let is_terminal = std::io::stdin().is_terminal() && std::io::stdout().is_terminal();
        let width = columns().filter(|_| is_terminal).unwrap_or(DEFAULT_WIDTH).clamp(40, WIDEST);
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
            // Without a seed every run differs; it is drawn from the clock, and printed where it
            // matters.
            seed: arguments.seed.unwrap_or_else(|| now.epoch_ms().unsigned_abs()),
            asked_seed: arguments.seed,
            clock,
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
            kept: 0,
        })
    }

    /// Says findings on the standard error.
    ///
    /// # Errors
    /// [`Failure`] when it is gone.
    pub fn tell<'f>(&mut self, findings: impl IntoIterator<Item = &'f Finding>) -> Result {
        for finding in findings {
            writeln!(self.err, "{}", finding.shown_in(self.width.min(80)))?;
        }
        Ok(())
    }

    /// Prints words on the standard output, broken to its width with this before every line but the
    /// first.
    ///
    /// # Errors
    /// [`Failure`] when it is gone.
    pub fn say(&mut self, words: &str, indent: &str) -> Result {
        Ok(writeln!(self.out, "{}", text::wrap(words, self.width, indent))?)
    }

    /// The same on the standard error.
    ///
    /// # Errors
    /// [`Failure`] when it is gone.
    pub fn note(&mut self, words: &str, indent: &str) -> Result {
        Ok(writeln!(self.err, "{}", text::wrap(words, self.width, indent))?)
    }

    /// Says which command comes next.
    ///
    /// # Errors
    /// [`Failure`] when the standard error is gone.
    pub fn next(&mut self, command: &str) -> Result {
        Ok(writeln!(self.err, "Next: secondball {command}")?)
    }

    /// Prints a page: as a document for programs, or as text of a width.
    ///
    /// # Errors
    /// [`Failure`] when the standard output is gone.
    pub fn print<T: Serialize>(
        &mut self,
        page: &T,
        is_json: bool,
        text: impl FnOnce(&T, usize) -> String,
    ) -> Result {
        self.print_either(is_json, || crate::page::json(page), |width| text(page, width))
    }

    /// The same for a page with a document of its own.
    ///
    /// # Errors
    /// As [`World::print`].
    pub fn print_either(
        &mut self,
        is_json: bool,
        json: impl FnOnce() -> String,
        text: impl FnOnce(usize) -> String,
    ) -> Result {
        if is_json {
            writeln!(self.out, "{}", json())?;
        } else {
            write!(self.out, "{}", text(self.width))?;
        }
        Ok(())
    }

    /// Writes a page where the player wants it, and says so.
    ///
    /// # Errors
    /// [`Failure`] when nothing can be written there.
    pub fn write_page(&mut self, file: &Path, page: &str) -> Result {
        store::write_page(file, page)?;
        Ok(writeln!(self.err, "wrote {}", file.display())?)
    }

    /// The next line of the input, with its end; false when there is none.
    ///
    /// # Errors
    /// [`Failure`] when the input is not text.
    pub fn read_line(&mut self, line: &mut String) -> Result<bool> {
        line.clear();
        match self.input.read_line(line) {
            Ok(read) => Ok(read > 0),
            Err(error) if error.kind() == ErrorKind::Interrupted => Err(Failure::Interrupted),
            Err(error) => Err(store::input_trouble(error).into()),
        }
    }

    /// The text of a file the player named, `-` for the standard input.
    ///
    /// # Errors
    /// [`Failure`] when it is not there, not text or too large.
    pub fn read_page(&mut self, file: &Path) -> Result<String> {
        if file == Path::new("-") {
            return Ok(store::read_input(&mut *self.input)?);
        }
        Ok(store::read_page(file)?)
    }

    /// The dice of a named part of this run.
    pub fn dice(&self, part: &str) -> Dice {
        Dice::for_part(self.seed, part)
    }
}

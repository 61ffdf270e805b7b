//! The picture in lines, each said once: for a screen reader, a pipe, a file.

use crate::cli::{Failure, World};
use crate::drill::{Phase, Picture};
use crate::page::drill::picture_lines;

/// Remembers what has been said.
#[derive(Debug, Default)]
pub(super) struct PictureLines {
    last: Option<(Phase, usize, usize, bool)>,
    has_keys: bool,
    /// Whether a key is waited for after each result.
    waits: bool,
    /// How a line ends.
    end: &'static str,
}

impl PictureLines {
    pub(super) fn new(waits: bool, end: &'static str) -> Self {
        Self { waits, end, ..Self::default() }
    }

    /// Prints what is new in the picture, a line each.
    pub(super) fn print(
        &mut self,
        picture: &Picture,
        world: &mut World<'_>,
    ) -> Result<(), Failure> {
        // A let is no answer: the toss comes again and is said again, because feedback lay
        // between.
        let is_shown = picture.serves.iter().any(|(_, receive)| !receive.is_empty());
        let moment = Some((picture.phase, picture.answers, picture.ball_number, is_shown));
        if self.last == moment {
            return Ok(());
        }
        self.last = moment;
        let lines = picture_lines(picture, self.waits, !self.has_keys, world.width);
        self.has_keys |= picture.phase == Phase::Stroke;
        self.say(&lines, world)
    }

    /// Says whether an answer was taken back.
    pub(super) fn print_undo(&self, is_taken: bool, world: &mut World<'_>) -> Result<(), Failure> {
        let words = if is_taken {
            "Taken back; its ball comes again soon.\n"
        } else {
            "There is nothing to take back now.\n"
        };
        self.say(words, world)
    }

    fn say(&self, lines: &str, world: &mut World<'_>) -> Result<(), Failure> {
        write!(world.out, "{}", lines.replace('\n', self.end))?;
        Ok(world.out.flush()?)
    }
}

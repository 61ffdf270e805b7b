//! The heads of a journal's lines: what orders its events, and what takes others back.
//!
//! A long file is gone through in pieces at the same time; a piece begins behind the end of a line, and what the
//! pieces found is put together in the order of the file.

use crate::journal::{Fact, LineError, read_head, read_line};
use crate::store::Trouble;
use crate::store::lines::Lines;
use crate::store::merge::{Begin, Mark, Source};

/// Bytes from which a piece of a file is worth a thread.
const FEWEST_BYTES: u64 = 4 * 1024 * 1024;
/// Most pieces of one file.
const MOST_PIECES: u64 = 4;

/// What the lines of a file, or of a piece of it, began with.
#[derive(Debug, Default)]
pub(super) struct Heads {
    /// Every event but those that take back or forget.
    pub marks: Vec<Mark>,
    /// Those.
    pub special: Vec<(Mark, Fact)>,
    /// Lines that are no event: first byte, text, what is wrong.
    pub refused: Vec<(u64, Vec<u8>, LineError)>,
    /// Where the last whole line ends.
    pub end: u64,
    /// The numbers rise from line to line.
    pub rises: bool,
    /// The first and the last number; none when there is no event.
    numbers: Option<(u64, u64)>,
}

/// A file to be gone through, whose place among the files and devices is known.
struct Reading<'f> {
    place: u16,
    source: &'f Source,
    devices: &'f [String],
    begin: &'f Begin,
}

impl Heads {
    /// The heads of a file from where it is to be begun.
    ///
    /// # Errors
    /// The machine's own trouble.
    pub fn of(
        place: u16,
        source: &Source,
        devices: &[String],
        begin: &Begin,
    ) -> Result<Self, Trouble> {
        let reading = Reading { place, source, devices, begin };
        let mut heads = reading.kept()?;
        for piece in reading.pieces()? {
            heads.append(piece);
        }
        Ok(heads)
    }

    /// Puts the heads of the lines behind these to them.
    fn append(&mut self, next: Self) {
        self.rises &= next.rises;
        self.numbers = match (self.numbers, next.numbers) {
            (Some((first, last)), Some((begins, ends))) => {
                self.rises &= last < begins;
                Some((first, ends))
            }
            (known, numbers) => known.or(numbers),
        };
        self.marks.extend(next.marks);
        self.special.extend(next.special);
        self.refused.extend(next.refused);
        self.end = next.end;
    }
}

impl Reading<'_> {
    fn trouble(&self, error: std::io::Error) -> Trouble {
        Trouble::machine("cannot read", &self.source.path, error)
    }

    fn lines(&self, offset: u64) -> Result<Lines, Trouble> {
        Lines::from(&self.source.path, offset).map_err(|error| self.trouble(error))
    }

    /// The lines that are to be read all the same, though the file is begun behind them.
    fn kept(&self) -> Result<Heads, Trouble> {
        let mut heads = Heads { rises: true, ..Heads::default() };
        for &kept in &self.begin.kept {
            self.lines(kept)?
                .next(|line| self.note(&mut heads, kept, line))
                .map_err(|error| self.trouble(error))?;
        }
        Ok(heads)
    }

    /// The rest of the file, in one piece or in several at the same time.
    fn pieces(&self) -> Result<Vec<Heads>, Trouble> {
        let start = self.begin.offset.max(self.source.start);
        let metadata = std::fs::metadata(&self.source.path).map_err(|error| self.trouble(error))?;
        let bytes = metadata.len().saturating_sub(start);
        let threads = std::thread::available_parallelism().map_or(1, |count| count.get() as u64);
        let count = (bytes / FEWEST_BYTES).min(threads).clamp(1, MOST_PIECES);
        let mut starts = vec![start];
        for number in 1..count {
            starts.push(self.behind_a_line(start + bytes / count * number)?);
        }
        let ends: Vec<u64> = starts.iter().skip(1).copied().chain([u64::MAX]).collect();
        std::thread::scope(|scope| {
            let others: Vec<_> = starts
                .iter()
                .zip(&ends)
                .skip(1)
                .map(|(&start, &end)| scope.spawn(move || self.piece(start, end)))
                .collect();
            let mut pieces = vec![self.piece(starts[0], ends[0])?];
            for other in others {
                let piece = other.join().unwrap_or_else(|panic| std::panic::resume_unwind(panic));
                pieces.push(piece?);
            }
            Ok(pieces)
        })
    }

    /// Where the line that holds this byte ends.
    fn behind_a_line(&self, offset: u64) -> Result<u64, Trouble> {
        let mut lines = self.lines(offset)?;
        lines.next(|_| ()).map_err(|error| self.trouble(error))?;
        Ok(lines.at())
    }

    /// The lines that begin from one byte on and before another.
    fn piece(&self, start: u64, end: u64) -> Result<Heads, Trouble> {
        let mut heads = Heads { rises: true, end: start, ..Heads::default() };
        let mut lines = self.lines(start)?;
        while lines.at() < end {
            let offset = lines.at();
            let read = lines.next(|line| {
                if !self.begin.known.contains(&offset) {
                    self.note(&mut heads, offset, line);
                }
                line.ends_with(b"\n")
            });
            match read.map_err(|error| self.trouble(error))? {
                Some(true) => heads.end = lines.at(),
                Some(false) => {}
                None => break,
            }
        }
        Ok(heads)
    }

    fn note(&self, heads: &mut Heads, offset: u64, line: &[u8]) {
        let line = line.trim_ascii_end();
        if line.is_empty() {
            return;
        }
        let mut refuse = |error| heads.refused.push((offset, line.to_vec(), error));
        match read_head(line) {
            Ok((n, at_ms, day, kind)) => {
                let device = self.source.device;
                let mark = Mark { day, at_ms, device, n, source: self.place, offset };
                let first = heads.numbers.map_or(n, |(first, last)| {
                    heads.rises &= last < n;
                    first
                });
                heads.numbers = Some((first, n));
                if matches!(&*kind, "undo" | "forget") {
                    match read_line(&self.devices[usize::from(device)], line) {
                        Ok(event) => heads.special.push((mark, event.fact)),
                        Err(error) => refuse(error),
                    }
                } else {
                    heads.marks.push(mark);
                }
            }
            Err(error) => refuse(error),
        }
    }
}

//! The lines of a journal's file, handed over where they stand in the buffer.

use std::fs::File;
use std::io::{self, BufRead, BufReader, Seek, SeekFrom};
use std::path::Path;

/// Bytes read at once.
const BUFFER: usize = 256 * 1024;

/// Reads a file line by line, from any place.
#[derive(Debug)]
pub(super) struct Lines {
    reader: BufReader<File>,
    /// Where the next line begins.
    at: u64,
    /// A line that does not stand in the buffer as a whole.
    whole: Vec<u8>,
}

impl Lines {
    /// The lines of a file from a byte on, where one begins.
    ///
    /// # Errors
    /// The machine's own.
    pub fn from(path: &Path, offset: u64) -> io::Result<Self> {
        let mut file = File::open(path)?;
        if offset > 0 {
            file.seek(SeekFrom::Start(offset))?;
        }
        let reader = BufReader::with_capacity(BUFFER, file);
        Ok(Self { reader, at: offset, whole: Vec::new() })
    }

    /// Where the next line begins.
    pub const fn at(&self) -> u64 {
        self.at
    }

    /// Goes to another line; the buffer stays where it can.
    ///
    /// # Errors
    /// The machine's own.
    pub fn go_to(&mut self, offset: u64) -> io::Result<()> {
        if self.at != offset {
            self.reader.seek_relative(offset.cast_signed() - self.at.cast_signed())?;
            self.at = offset;
        }
        Ok(())
    }

    /// Hands over the next line with its newline, which the last one may lack; nothing behind the last one.
    ///
    /// # Errors
    /// The machine's own.
    pub fn next<T>(&mut self, take: impl FnOnce(&[u8]) -> T) -> io::Result<Option<T>> {
        let buffer = self.reader.fill_buf()?;
        if let Some(place) = memchr::memchr(b'\n', buffer) {
            let taken = take(&buffer[..=place]);
            self.reader.consume(place + 1);
            self.at += place as u64 + 1;
            return Ok(Some(taken));
        }
        self.whole.clear();
        let length = self.reader.read_until(b'\n', &mut self.whole)?;
        self.at += length as u64;
        Ok((length > 0).then(|| take(&self.whole)))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lines_are_the_same_wherever_the_buffer_ends_and_wherever_one_begins() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("lines");
        // Lengths around the buffer's own, an empty line, and a last line without its end.
        let lengths = [5, 0, BUFFER - 7, 1, BUFFER, BUFFER + 1, 3, 2 * BUFFER + 9, 12];
        let mut wanted = Vec::new();
        for (length, letter) in lengths.into_iter().zip(b'a'..) {
            let mut line = vec![letter; length];
            line.push(b'\n');
            wanted.push(line);
        }
        wanted.push(b"torn".to_vec());
        std::fs::write(&path, wanted.concat()).unwrap();
        let mut starts = Vec::new();
        let mut lines = Lines::from(&path, 0).unwrap();
        let mut read = Vec::new();
        loop {
            starts.push(lines.at());
            let Some(line) = lines.next(<[u8]>::to_vec).unwrap() else { break };
            read.push(line);
        }
        assert!(read == wanted);
        // Backwards, and each on its own.
        for (place, line) in wanted.iter().enumerate().rev() {
            lines.go_to(starts[place]).unwrap();
            assert!(lines.next(<[u8]>::to_vec).unwrap().as_ref() == Some(line), "{place}");
            let mut own = Lines::from(&path, starts[place]).unwrap();
            assert!(own.next(<[u8]>::to_vec).unwrap().as_ref() == Some(line), "{place}");
        }
    }
}

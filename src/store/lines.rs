//! The lines of a journal's file: one block of them after the other, or single ones by their place.

use std::fs::File;
use std::io::{self, BufRead as _, BufReader, Read as _, Seek as _, SeekFrom};
use std::path::Path;

/// Bytes after which a block ends with its line.
const BLOCK: u64 = 1024 * 1024;
/// Bytes read at once where lines are read singly.
const BUFFER: usize = 64 * 1024;

/// A file whose lines are read by the place of their first byte.
#[derive(Debug)]
pub(super) struct LineReader {
    reader: BufReader<File>,
    at: u64,
}

impl LineReader {
    pub fn open(path: &Path) -> io::Result<Self> {
        Ok(Self { reader: BufReader::with_capacity(BUFFER, File::open(path)?), at: 0 })
    }

    /// Appends the line that begins at a byte, with its newline, which the last one may lack.
    pub fn read_at(&mut self, offset: u64, text: &mut Vec<u8>) -> io::Result<()> {
        // The next line of a file mostly stands in the buffer already.
        self.reader.seek_relative(offset.cast_signed() - self.at.cast_signed())?;
        self.at = offset + self.reader.read_until(b'\n', text)? as u64;
        Ok(())
    }
}

/// How far a file was read.
#[derive(Debug, Clone, Copy)]
pub(super) struct ReadUpTo {
    /// Behind its last byte.
    pub bytes: u64,
    /// Behind its last newline.
    pub end: u64,
}

/// Hands over a file from a byte on, where a line begins: whole lines at a time, with the place of
/// their first byte. Only the file's last line may lack its newline.
pub(super) fn each_block(
    path: &Path,
    start: u64,
    mut take: impl FnMut(u64, &[u8]),
) -> io::Result<ReadUpTo> {
    let mut file = File::open(path)?;
    file.seek(SeekFrom::Start(start))?;
    let mut reader = BufReader::new(file);
    let mut read = ReadUpTo { bytes: start, end: start };
    let mut block = Vec::new();
    loop {
        block.clear();
        reader.by_ref().take(BLOCK).read_to_end(&mut block)?;
        reader.read_until(b'\n', &mut block)?;
        if block.is_empty() {
            return Ok(read);
        }
        take(read.bytes, &block);
        if let Some(newline) = block.iter().rposition(|byte| *byte == b'\n') {
            read.end = read.bytes + newline as u64 + 1;
        }
        read.bytes += block.len() as u64;
    }
}

/// The lines of a block without their ends, each with the place of its first byte in the file.
pub(super) fn placed_lines(mut at: u64, block: &[u8]) -> Vec<(u64, &[u8])> {
    let mut lines = Vec::new();
    for line in block.split_inclusive(|byte| *byte == b'\n') {
        lines.push((at, line.trim_ascii_end()));
        at += line.len() as u64;
    }
    lines
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lines_are_the_same_wherever_a_block_ends_and_wherever_one_begins() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("lines");
        // Lengths around a block's own, an empty line, and a last line without its end.
        let block = usize::try_from(BLOCK).unwrap();
        let lengths = [5, 0, block - 7, 1, block, block + 1, 3, 2 * block + 9, 12];
        let mut wanted = Vec::new();
        for (length, letter) in lengths.into_iter().zip(b'a'..) {
            wanted.push([vec![letter; length], vec![b'\n']].concat());
        }
        wanted.push(b"torn".to_vec());
        std::fs::write(&path, wanted.concat()).unwrap();
        let mut read = Vec::new();
        let whole = each_block(&path, 0, |at, block| {
            let lines = placed_lines(at, block);
            read.extend(lines.into_iter().map(|(at, line)| (at, line.to_vec())));
        });
        let (whole, bytes) = (whole.unwrap(), wanted.concat().len() as u64);
        assert_eq!((whole.bytes, whole.end), (bytes, bytes - "torn".len() as u64));
        let mut lines = LineReader::open(&path).unwrap();
        for (place, line) in wanted.iter().enumerate().rev() {
            let (at, trimmed) = &read[place];
            assert!(trimmed == line.trim_ascii_end(), "{place}");
            let mut single = Vec::new();
            lines.read_at(*at, &mut single).unwrap();
            assert!(single == *line, "{place}");
        }
        assert_eq!(read.len(), wanted.len());
    }
}

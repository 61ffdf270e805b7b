//! A day's timed answers as a text, five or six letters each, for a checkpoint.
//!
//! The text is a row of numbers in [`LETTERS`], five bits a letter, the lowest first, the sixth bit set when more
//! follow. For each answer: serve, grade and whether the key time is the last one's, in one number; else the key time;
//! the window.

use crate::memory::Grade;

/// What a number is written in; none of them has to be escaped.
const LETTERS: &[u8; 64] = b"0123456789abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ-_";
/// The grades by their number.
const GRADES: [Grade; 4] = [Grade::Wrong, Grade::Late, Grade::InTime, Grade::ToSpare];

/// One answer as it is kept.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Kept {
    /// The number of its serve.
    pub serve: u32,
    /// Its grade by its own behaviour.
    pub grade: Grade,
    /// The window to the decision, milliseconds.
    pub window_ms: u32,
    /// The key time in it, milliseconds.
    pub motor_ms: u32,
}

impl Kept {
    /// Writes the answer behind those of its day; `last_motor_ms` is the key time of the one before.
    pub fn write(self, last_motor_ms: &mut u32, text: &mut String) {
        let grade = GRADES.iter().position(|&grade| grade == self.grade).unwrap_or(0);
        let is_same = self.motor_ms == *last_motor_ms;
        put(u64::from(self.serve) << 3 | (grade as u64) << 1 | u64::from(is_same), text);
        if !is_same {
            put(self.motor_ms.into(), text);
            *last_motor_ms = self.motor_ms;
        }
        put(self.window_ms.into(), text);
    }
}

/// The answers in a day's text; it ends where one cannot be read.
pub(super) fn reading(text: &str) -> impl Iterator<Item = Kept> {
    let mut letters = text.bytes();
    let mut motor_ms = 0;
    std::iter::from_fn(move || {
        let first = take(&mut letters)?;
        if first & 1 == 0 {
            motor_ms = u32::try_from(take(&mut letters)?).ok()?;
        }
        let window_ms = u32::try_from(take(&mut letters)?).ok()?;
        let serve = u32::try_from(first >> 3).ok()?;
        Some(Kept { serve, grade: GRADES[(first >> 1 & 3) as usize], window_ms, motor_ms })
    })
}

/// Writes a number.
fn put(mut number: u64, text: &mut String) {
    loop {
        let [five_bits, ..] = (number & 31).to_le_bytes();
        let more = if number < 32 { 0 } else { 32 };
        text.push(char::from(LETTERS[usize::from(five_bits | more)]));
        number >>= 5;
        if more == 0 {
            return;
        }
    }
}

/// Reads a number.
fn take(letters: &mut impl Iterator<Item = u8>) -> Option<u64> {
    let (mut number, mut shift) = (0, 0);
    loop {
        let letter = match letters.next()? {
            letter @ b'0'..=b'9' => letter - b'0',
            letter @ b'a'..=b'z' => letter - b'a' + 10,
            letter @ b'A'..=b'Z' => letter - b'A' + 36,
            b'-' => 62,
            b'_' => 63,
            _ => return None,
        };
        // More bits than a number has: not written here.
        number |= u64::from(letter & 31).checked_shl(shift).filter(|_| shift < 60)?;
        shift += 5;
        if letter < 32 {
            return Some(number);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_are_read_as_they_were_written() {
        let numbers =
            [0, 1, 31, 32, 33, 1_023, 1_024, u64::from(u32::MAX), u64::from(u32::MAX) << 3];
        let mut text = String::new();
        for number in numbers {
            put(number, &mut text);
        }
        let mut letters = text.bytes();
        assert_eq!(numbers.map(|_| take(&mut letters)), numbers.map(Some));
        assert_eq!(take(&mut letters), None);
        assert_eq!(take(&mut "____________________".bytes()), None, "longer than any number");
        assert_eq!(take(&mut "\"".bytes()), None);
    }
}

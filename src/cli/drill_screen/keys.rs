//! A file of keys: the drill without a person, the same every time.
//!
//! One line a key: the key, and after how many milliseconds it is pressed, counted from the
//! moment the question can be answered (contact, or when it is shown; before contact with a
//! minus). Besides the keys themselves: `right` for whatever key is right, `none` to let the ball
//! go by, `space`, `undo` and `pause`, which count from the moment before and wait for no
//! question. Cards that want a key are passed by themselves. `#` begins a remark. When the file
//! ends, the round ends.

use crate::base::{Finding, Place};
use crate::drill::{Act, GO, Machine, UNDO};

/// What a line asks for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Press {
    /// A key, when the next question can be answered.
    Key(char),
    Right,
    /// No key at all.
    Nothing,
    /// An act at once.
    AtOnce(Act),
}

/// A file of keys being played back.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Keys {
    presses: std::collections::VecDeque<(Press, i64)>,
}

impl Keys {
    /// Reads a file; every mistake at once.
    pub(super) fn parse(file: &str, text: &str) -> Result<Self, Vec<Finding>> {
        let mut presses = std::collections::VecDeque::new();
        let mut findings = Vec::new();
        let mut start = 0;
        for line in text.split_inclusive('\n') {
            let plain = line.split('#').next().unwrap_or_default().trim();
            if !plain.is_empty() {
                match press(plain) {
                    Ok(press) => presses.push_back(press),
                    Err(what) => {
                        let at = start + line.find(plain).unwrap_or_default();
                        let place = Place::within(file, text, at, at + plain.len());
                        findings.push(Finding::error(what).at(place).hint(
                            "a key and milliseconds, for example `s 600`, `right 450` or `none`",
                        ));
                    }
                }
            }
            start += line.len();
        }
        if findings.is_empty() { Ok(Self { presses }) } else { Err(findings) }
    }

    /// What comes next from a time on, and when; the end of the file ends the round.
    pub(super) fn next(&mut self, machine: &Machine, now_ms: u64) -> (u64, Act) {
        let Some(&(press, delay_ms)) = self.presses.front() else {
            return (now_ms, Act::Interrupt);
        };
        let asked = machine.asked(now_ms);
        let from_ms = match (press, &asked) {
            (Press::AtOnce(_), _) => now_ms,
            (_, Some(asked)) => asked.from_ms,
            // Feedback that passes by itself, or a card that wants a key.
            (_, None) => {
                let due = machine.next_ms().map(|due_ms| (due_ms.max(now_ms), Act::Tick));
                return due.unwrap_or((now_ms + 400, Act::Key(GO)));
            }
        };
        self.presses.pop_front();
        let at_ms = from_ms.saturating_add_signed(delay_ms).max(now_ms);
        match (press, asked) {
            (Press::AtOnce(act), _) => (at_ms, act),
            (Press::Key(key), _) => (at_ms, Act::Key(key)),
            (Press::Right, Some(asked)) => (at_ms, asked.right),
            (Press::Nothing | Press::Right, _) => {
                (machine.next_ms().unwrap_or(at_ms).max(now_ms), Act::Tick)
            }
        }
    }
}

fn press(line: &str) -> Result<(Press, i64), String> {
    let mut parts = line.split_whitespace();
    let (word, delay) = (parts.next().unwrap_or_default(), parts.next());
    if let Some(stray) = parts.next() {
        return Err(format!("`{stray}` does not belong here"));
    }
    let press = match word.to_lowercase().as_str() {
        "right" => Press::Right,
        "none" => Press::Nothing,
        "space" => Press::AtOnce(Act::Key(GO)),
        "undo" => Press::AtOnce(Act::Key(UNDO)),
        "pause" => Press::AtOnce(Act::Pause),
        key => {
            let mut letters = key.chars();
            match (letters.next(), letters.next()) {
                (Some(letter), None) => Press::Key(letter),
                _ => return Err(format!("`{word}` is not a key")),
            }
        }
    };
    let delay_ms = match delay {
        None => 500,
        Some(number) => number
            .parse::<i64>()
            .ok()
            .filter(|ms| (-10_000..=3_600_000).contains(ms))
            .ok_or_else(|| format!("`{number}` is not a time: -10000 to 3600000 ms"))?,
    };
    Ok((press, delay_ms))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_mistake_of_a_file_is_told_with_its_place() {
        let text = "s 600\nbanana 3 # no\nright soon\nq 1 2\n";
        let findings = Keys::parse("my.keys", text).unwrap_err();
        let places: Vec<_> =
            findings.iter().map(|finding| finding.place.as_ref().unwrap().at.unwrap().0).collect();
        assert_eq!(places, [2, 3, 4]);
        assert!(findings[0].shown().starts_with("my.keys:2:1: `banana` is not a key"));
    }

    #[test]
    fn keys_times_and_remarks_are_read() {
        let keys = Keys::parse("f", "# begin\n\nS 620\nright\nnone\nspace 10\n").unwrap();
        assert_eq!(
            Vec::from(keys.presses),
            [
                (Press::Key('s'), 620),
                (Press::Right, 500),
                (Press::Nothing, 500),
                (Press::AtOnce(Act::Key(GO)), 10)
            ]
        );
    }
}

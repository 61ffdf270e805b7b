//! The spin that the player's own balls speak for, in words.

use crate::base::text;
use crate::game::{SpinAmount, SpinGuess, UpOrDown};
use crate::page::opponent::side_words;

/// `no spin or light backspin`.
pub fn guessed_spin(guess: &SpinGuess) -> String {
    let or = guess.or.map(|or| format!(" or {}", amount(or))).unwrap_or_default();
    format!("{}{or}", amount(guess.spin))
}

fn amount((spin, amount): SpinAmount) -> String {
    amount.map_or_else(|| spin.to_string(), |amount| format!("{amount} {spin}"))
}

/// The guess in sentences: what it is, how it breaks, what the next ball should test.
pub fn guess_lines(guess: &SpinGuess, balls: usize) -> Vec<String> {
    let how_sure = if guess.test.is_some() { "probably " } else { "" };
    let mut lines = vec![format!("{how_sure}{}", guessed_spin(guess))];
    lines.extend(guess.breaks.map(|side| side_words(Some(guess.spin.0), side)));
    if let Some(test) = guess.test {
        let balls = if balls == 1 { "one ball" } else { "these balls" };
        let one = amount((guess.spin.0, None));
        let (if_one, if_other) = (goes(test.likeliest), goes(test.otherwise));
        lines.push(format!(
            "Not sure from {balls}. Test it with {} {}: {one} if it {if_one}, {} if it {if_other}.",
            text::article(test.stroke.shown()),
            test.stroke,
            amount(test.other),
        ));
    }
    lines
}

const fn goes(went: UpOrDown) -> &'static str {
    match went {
        UpOrDown::PoppedUp => "pops up",
        UpOrDown::IntoTheNet => "goes into the net",
        UpOrDown::FellShort => "falls short",
        UpOrDown::FlewLong => "flies long",
        UpOrDown::AsMeant => "goes as meant",
    }
}

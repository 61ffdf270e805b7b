//! The words of a debrief: scores of games, and `short-fh many badly read`.

use crate::base::text;
use crate::deck::Deck;
use crate::game::{End, Game, Receive, ReceiveKey};
use crate::journal::{DebriefServe, Going, HowMany};

/// One serve told.
#[derive(Debug, Clone, PartialEq)]
pub(super) enum Told {
    /// A serve of the deck.
    Known(DebriefServe),
    /// One the deck does not hold, as typed.
    New(String),
}

/// Reads `11-8 9-11 11-7`.
///
/// # Errors
/// In words: not scores, or no score a game ends with.
pub(super) fn games_of(given: &str) -> Result<Vec<(u32, u32)>, String> {
    given
        .split([',', ' ', ';'])
        .filter(|game| !game.is_empty())
        .map(|game| {
            let pair = game.split_once(['-', ':']);
            let points = pair.and_then(|(me, them)| Some((me.parse().ok()?, them.parse().ok()?)));
            let (me, them) = points.ok_or_else(|| format!("`{game}` is no score of a game"))?;
            let ended = Game::at(me, them, End::Me).map_err(|error| error.to_string())?;
            if ended.winner().is_none() {
                return Err(format!("{game} is no score a game ends with"));
            }
            Ok((me, them))
        })
        .collect()
}

/// The games that are over after points won and lost in this order.
pub(super) fn games_by_points(won: impl Iterator<Item = bool>) -> Vec<(u32, u32)> {
    let mut game = Game::start(End::Me);
    let mut games = Vec::new();
    for is_won in won {
        game = game.after(if is_won { End::Me } else { End::Them });
        if game.winner().is_some() {
            games.push((game.me, game.them));
            game = Game::start(End::Me);
        }
    }
    games
}

/// The one word of a vocabulary that begins like this.
fn begun<T: Copy>(given: &str, words: &[(T, &str)]) -> Option<T> {
    let plain = text::plain_word(given);
    let mut found = words.iter().filter(|(_, word)| !plain.is_empty() && word.starts_with(&plain));
    match (found.next(), found.next()) {
        (Some((value, _)), None) => Some(*value),
        _ => None,
    }
}

fn many(given: &str) -> Option<HowMany> {
    begun(given, &HowMany::ALL.iter().map(|word| (*word, word.word())).collect::<Vec<_>>())
}

fn going(given: &str) -> Option<Going> {
    begun(given, &Going::ALL.iter().map(|word| (*word, word.word())).collect::<Vec<_>>())
}

/// Reads `many badly`; one of the two words is enough, the other is then `some` or `even`.
///
/// # Errors
/// In words: neither of them.
pub(super) fn going_of(given: &str) -> Result<(HowMany, Going), String> {
    let (mut how_many, mut course) = (None, None);
    for word in given.split([',', ' ']).filter(|word| !word.is_empty()) {
        if let Some(value) = many(word) {
            how_many = Some(value);
        } else if let Some(value) = going(word) {
            course = Some(value);
        } else {
            return Err(format!(
                "`{word}` is neither few, some, many nor well, even, badly; Enter: it did not come"
            ));
        }
    }
    if how_many.is_none() && course.is_none() {
        return Err("few, some or many; and well, even or badly".to_owned());
    }
    Ok((how_many.unwrap_or(HowMany::Some), course.unwrap_or(Going::Even)))
}

/// Reads `short-fh many badly read`, then the receive or switch when it was not the plan's.
///
/// # Errors
/// In words: no amount and no course, or words that are neither receive nor switch.
pub(super) fn told_of(deck: &Deck, given: &str) -> Result<Told, String> {
    let given = text::one_line(given);
    let mut words = given.split(' ');
    let name = words.next().unwrap_or_default();
    let Ok(serve) = crate::deck::editing::find_serve(deck, name) else {
        return Ok(Told::New(given.clone()));
    };
    let (mut how_many, mut course, mut read) = (None, None, false);
    let mut rest: Vec<&str> = Vec::new();
    for word in words {
        let plain = word.trim_matches([',', ';']);
        match (how_many, course) {
            _ if plain == "read" => read = true,
            (None, _) if plain.parse::<HowMany>().is_ok() => how_many = plain.parse().ok(),
            (_, None) if plain.parse::<Going>().is_ok() => course = plain.parse().ok(),
            _ => rest.push(plain),
        }
    }
    if how_many.is_none() && course.is_none() {
        return Err(format!("how did `{name}` go? few, some or many; and well, even or badly"));
    }
    let words = rest.join(" ");
    let of_switch = deck.switch_called(&words).and_then(|switch| switch.changes.get(&serve));
    let receive =
        match of_switch {
            _ if words.is_empty() => None,
            Some(receive) => Some(ReceiveKey::from_receive(receive)),
            None => Some(ReceiveKey::from_receive(&Receive::from_text(&words).map_err(|_| {
                format!("`{words}` is neither a receive nor a switch for `{name}`")
            })?)),
        };
    Ok(Told::Known(DebriefServe {
        serve,
        receive,
        many: how_many.unwrap_or(HowMany::Some),
        going: course.unwrap_or(Going::Even),
        read,
    }))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::game::Serve;

    fn deck() -> Deck {
        let mut deck = Deck::new("Invented", "abc234".to_owned());
        deck.serves.push(Serve::unknown("short-fh".parse().unwrap()));
        deck
    }

    #[test]
    fn a_game_is_told_only_when_it_is_over() {
        assert_eq!(games_of("11-8, 9-11 12-10"), Ok(vec![(11, 8), (9, 11), (12, 10)]));
        assert!(games_of("11-10").is_err());
        assert!(games_of("8-6").is_err());
        assert!(games_of("eleven").is_err());
    }

    #[test]
    fn one_of_the_two_words_or_its_beginning_is_enough() {
        assert_eq!(going_of("many badly"), Ok((HowMany::Many, Going::Badly)));
        assert_eq!(going_of("b"), Ok((HowMany::Some, Going::Badly)));
        assert_eq!(going_of("few"), Ok((HowMany::Few, Going::Even)));
        assert!(going_of("awful").is_err());
    }

    #[test]
    fn a_serve_is_told_in_one_line_and_an_unknown_one_is_kept_as_new() {
        let Ok(Told::Known(told)) = told_of(&deck(), "short-fh many badly read backhand flick")
        else {
            panic!("not understood")
        };
        assert!(told.read);
        assert_eq!(told.receive, Some(ReceiveKey::from_journal("backhand flick")));
        assert_eq!(
            told_of(&deck(), "hook-wide many badly"),
            Ok(Told::New("hook-wide many badly".to_owned()))
        );
        assert!(told_of(&deck(), "short-fh many badly swat").is_err());
    }
}

//! What is known of one opponent's serves, and what a scout would still like to know.

use std::collections::BTreeMap;

use serde::Serialize;

use crate::base::text;
use crate::deck::{Deck, Player, Took};
use crate::game::{Serve, ServeId, Sure};
use crate::page::opponent::{about, bends, how_often};
use crate::page::text_page::filled_text;

/// One serve as it is scouted.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct ScoutedServe {
    /// The id, and what it is called.
    pub serve: String,
    pub called: String,
    /// In words.
    pub shown: String,
    /// How often, in words; empty when not known.
    pub how_often: String,
    /// Its share of this opponent's serves, 0 to 1.
    pub share: f64,
    /// How often it was counted as seen.
    pub seen: u32,
    /// Which devices have film of it.
    pub film: Vec<FilmOn>,
    /// Which way it bends and leaves the bat.
    pub bends: Option<String>,
    /// Where it is served from.
    pub from: Option<String>,
    /// How high the toss is.
    pub toss: Option<String>,
    /// What gives it away.
    pub tells: Vec<String>,
    /// What the player wrote about it.
    pub note: Option<String>,
    /// At which scores it comes.
    pub scores: Vec<String>,
    /// Its twin.
    pub looks_like: Option<String>,
    /// Seen or guessed.
    pub sure: Option<Sure>,
    /// Parts not known.
    pub unknown: Vec<&'static str>,
    /// Earlier names.
    pub was: Vec<String>,
    /// No longer served.
    pub retired: bool,
}

/// Film of a serve on one device.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct FilmOn {
    /// What the player calls the device.
    pub device: String,
    pub clips: u32,
}

/// How often each serve was counted.
pub type TimesSeen = BTreeMap<ServeId, u32>;

/// The serves of one opponent.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Scouted {
    /// The opponent.
    pub opponent: String,
    /// What is known of their hand and bat.
    pub about: String,
    /// Where the deck comes from, when it is not the player's own scouting.
    pub source: Option<String>,
    /// Every serve, retired ones last.
    pub serves: Vec<ScoutedServe>,
}

/// Builds the document, lanes as this player names them; of what was counted, and of the film by
/// device.
pub fn scouted(
    deck: &Deck,
    player: &Player,
    seen: &TimesSeen,
    film: &BTreeMap<String, TimesSeen>,
) -> Scouted {
    let clips = |(device, of): (&String, &TimesSeen), serve: &Serve| {
        let clips = *of.get(&serve.id)?;
        Some(FilmOn { device: text::one_line(device), clips })
    };
    let deck = deck.seen_by(player.hand);
    let one = |serve: &Serve| ScoutedServe {
        serve: serve.id.to_string(),
        called: deck.short_word(serve),
        shown: serve.shown(),
        how_often: how_often(serve),
        share: deck.share(&serve.id),
        seen: seen.get(&serve.id).copied().unwrap_or(0),
        film: film.iter().filter_map(|of| clips(of, serve)).collect(),
        bends: bends(serve, deck.hand),
        from: serve.from.map(|from| from.shown().to_owned()),
        toss: serve.toss.map(|toss| toss.shown().to_owned()),
        tells: serve.tells.iter().map(|tell| text::one_line(tell)).collect(),
        note: serve.note.as_deref().map(text::one_line),
        scores: serve.scores.iter().map(|score| score.shown().to_owned()).collect(),
        looks_like: serve.looks_like.as_ref().map(|twin| deck.called(twin)),
        sure: serve.sure,
        unknown: serve.unknown_parts(),
        was: serve.was.iter().map(ToString::to_string).collect(),
        retired: serve.retired,
    };
    let retired = deck.serves.iter().filter(|serve| serve.retired);
    Scouted {
        opponent: text::one_line(&deck.opponent),
        about: about(&deck),
        source: deck.source.as_deref().map(text::one_line),
        serves: deck.active().chain(retired).map(one).collect(),
    }
}

impl Scouted {
    /// The serves as text, `width` columns wide.
    pub fn text(&self, width: usize) -> String {
        filled_text(include_str!("templates/scouted.txt"), self, width)
    }
}

/// What was done with one serve of a colleague's file.
pub fn taken(took: &Took) -> String {
    match took {
        Took::Added(id) => format!("added      {id}"),
        Took::FilledIn(id, parts) => format!("filled in  {id}: {}", text::and_list(parts)),
        Took::Known { theirs, own } if theirs == own => format!("the same   {own}"),
        Took::Known { theirs, own } => format!("the same   {theirs}: you have it as {own}"),
        Took::Kept(id, parts) => {
            format!("kept yours {id}: theirs differs in {}", text::and_list(parts))
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::deck::ServeLine;
    use crate::game::{Hand, Serve};

    #[test]
    fn what_was_taken_of_a_colleague_is_said_serve_by_serve() {
        let id = |text: &str| text.parse().unwrap();
        let parts = vec!["motion", "spin", "breaks", "depth"];
        assert_eq!(
            taken(&Took::FilledIn(id("in"), parts)),
            "filled in  in: motion, spin, breaks and depth"
        );
        assert_eq!(
            taken(&Took::Known { theirs: id("in"), own: id("mine") }),
            "the same   in: you have it as mine"
        );
    }

    #[test]
    fn a_left_hander_reads_lanes_by_their_own_names_and_what_is_missing_is_said() {
        let mut deck = Deck::new("Invented", "abc234".to_owned());
        deck.seen_against = Some(Hand::Right);
        let mut serve = Serve::unknown("one".parse().unwrap());
        ServeLine::read("lane=forehand depth=short").unwrap().write_into(&mut serve).unwrap();
        deck.serves.push(serve);
        let seen = [("one".parse().unwrap(), 3)].into();
        let on = |clips| [("one".parse().unwrap(), clips)].into();
        let film = [("laptop".to_owned(), on(1)), ("phone".to_owned(), on(2))].into();
        let player = |hand| Player::new("Invented", hand);
        let page = |hand| scouted(&deck, &player(hand), &seen, &film).text(80);
        assert!(page(Hand::Right).contains("short to the forehand"), "{}", page(Hand::Right));
        assert!(page(Hand::Left).contains("short to the backhand"), "{}", page(Hand::Left));
        assert!(page(Hand::Left).contains("not known  motion, spin"), "{}", page(Hand::Left));
        assert!(page(Hand::Left).contains("counted 3 times"));
        let devices = "film on laptop (1 clip), phone (2 clips)";
        assert!(page(Hand::Left).contains(devices), "{}", page(Hand::Left));
    }
}

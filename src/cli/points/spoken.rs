//! One line about one point, as a player or coach says it: `short FH lost high waiting`, `me won`.
//!
//! Words that are no serve, no receive and no result are never lost: they stay with the point as
//! typed.

use crate::base::text;
use crate::deck::Deck;
use crate::game::{End, ReceiveKey, ServeId};
use crate::journal::{Point, Quality};

/// What a line means.
#[derive(Debug, Clone, PartialEq)]
pub(super) enum Spoken {
    /// A point.
    Point(Box<SaidPoint>),
    /// From here on this switch is meant; none goes back to the plan.
    Switch(Option<String>),
    /// The last point is taken back.
    Undo,
    /// Enough.
    End,
    /// An empty line.
    Nothing,
}

/// A point as said.
#[derive(Debug, Clone, Default, PartialEq)]
pub(super) struct SaidPoint {
    /// Who served, when it was said.
    pub server: Option<End>,
    /// The serve.
    pub serve: Option<ServeId>,
    /// The receive that was meant, when it was another than the plan's.
    pub meant: Option<ReceiveKey>,
    /// The receive that came instead of the one meant.
    pub played: Option<ReceiveKey>,
    /// How it came out.
    pub quality: Option<Quality>,
    /// Whether the opponent was waiting.
    pub waiting: Option<bool>,
    /// Who won it.
    pub won: bool,
    /// What could not be understood.
    pub unknown: Option<String>,
}

/// The serve probably meant by a word that names none.
pub(in crate::cli) fn closest_serve(deck: &Deck, word: &str) -> Option<String> {
    let known: Vec<&str> = deck.active().map(|serve| serve.id.as_str()).collect();
    let close = text::closest(word, &known)?;
    deck.active().find(|serve| serve.id.as_str() == close).map(|serve| deck.short_word(serve))
}

/// Reads a line.
///
/// # Errors
/// In words: neither `won` nor `lost`, or a switch that is not there.
pub(super) fn read(deck: &Deck, line: &str) -> Result<Spoken, String> {
    let line = text::one_line(line);
    // The game writes its own score at the end of a note: punctuation between words says nothing.
    let plain = line.replace([',', ';', ':'], " ");
    let words: Vec<&str> = plain.split_whitespace().collect();
    let Some(first) = words.first() else { return Ok(Spoken::Nothing) };
    match (first.to_lowercase().as_str(), words.len()) {
        ("undo" | "u", 1) => return Ok(Spoken::Undo),
        ("end" | "q" | "quit", 1) => return Ok(Spoken::End),
        ("plan", 1) => return Ok(Spoken::Switch(None)),
        ("switch", 2..) => {
            let name = words[1..].join(" ");
            let known: Vec<&str> = deck.switches.iter().map(|of| of.name.as_str()).collect();
            return match deck.switch(&name) {
                Some(switch) => Ok(Spoken::Switch(Some(switch.name.clone()))),
                None if known.is_empty() => {
                    Err(format!("`{name}` is no switch: there is none in the plan"))
                }
                None => Err(format!("`{name}` is no switch; {}", text::one_of(&known))),
            };
        }
        _ => {}
    }
    read_point(deck, &words).map(|said| Spoken::Point(Box::new(said)))
}

fn read_point(deck: &Deck, words: &[&str]) -> Result<SaidPoint, String> {
    let mut said = SaidPoint::default();
    let mut won = None;
    let mut rest: Vec<&str> = Vec::new();
    let mut place = 0;
    // `high` may begin the name of a serve.
    let may_be_serve = |place: usize, said: &SaidPoint| {
        let is_first = place == 1 || (place == 2 && said.server == Some(End::Them));
        is_first && deck.serve_said_first(&words[place - 1..]).is_some()
    };
    while let Some(word) = words.get(place) {
        let next = words.get(place + 1).map(|word| word.to_lowercase());
        place += 1;
        match (word.to_lowercase().as_str(), next.as_deref()) {
            ("won" | "w", _) => won = Some(true),
            ("lost" | "l", _) => won = Some(false),
            (quality, _) if quality.parse::<Quality>().is_ok() && !may_be_serve(place, &said) => {
                said.quality = quality.parse().ok();
            }
            ("waiting" | "waited", Some("yes")) => {
                said.waiting = Some(true);
                place += 1;
            }
            ("surprised", _) => said.waiting = Some(false),
            ("waiting" | "waited", Some("no" | "not"))
            | ("not" | "no", Some("waiting" | "waited"))
            | ("did", Some("not")) => {
                said.waiting = Some(false);
                place += 1;
            }
            ("waiting" | "waited" | "there" | "read", _) => said.waiting = Some(true),
            // `they waited for it`, `they were there`.
            ("they" | "were" | "for" | "it", _) if place > 2 => {}
            ("me" | "own" | "mine", _) if place == 1 => said.server = Some(End::Me),
            ("them" | "they" | "?", _) if place == 1 => said.server = Some(End::Them),
            _ if place == 1 || (place == 2 && said.server == Some(End::Them)) => {
                let first = deck.serve_said_first(&words[place - 1..]);
                place += first.map_or(0, |(_, many)| many - 1);
                let serve = first.map(|(serve, _)| serve.id.clone());
                // A word close to a serve was meant as one: it is their point, of a serve not
                // known.
                if serve.is_some() || closest_serve(deck, word).is_some() {
                    said.server = Some(End::Them);
                }
                rest.extend(serve.is_none().then_some(word));
                said.serve = serve.or(said.serve);
            }
            _ => rest.push(word),
        }
    }
    said.won = won.ok_or("who won it? Say `won` or `lost`, for example `me won`")?;
    if said.won && said.quality == Some(Quality::Missed) {
        return Err(
            "`missed` and `won`: a receive that missed the table loses the point".to_owned()
        );
    }
    receive(deck, &mut said, rest.join(" "));
    Ok(said)
}

/// What is left over names a switch (then its receive was meant), a receive (then that was played),
/// or nothing known.
fn receive(deck: &Deck, said: &mut SaidPoint, words: String) {
    let is_serve_known = said.serve.is_some();
    said.meant = named(deck, said.serve.as_ref(), &words).filter(|_| is_serve_known);
    match deck.receive_said(said.serve.as_ref(), &words) {
        _ if said.meant.is_some() || words.is_empty() => {}
        Ok(receive) if said.server != Some(End::Me) => {
            said.server = Some(End::Them);
            said.played = Some(ReceiveKey::from_receive(&receive));
        }
        _ => said.unknown = Some(words),
    }
}

/// The receive of a name instead of words: `plan`, `safe`, or a switch that changes this serve.
pub(super) fn named(deck: &Deck, serve: Option<&ServeId>, name: &str) -> Option<ReceiveKey> {
    let name = text::one_line(name);
    if name.eq_ignore_ascii_case("safe") {
        let known = serve.and_then(|id| deck.serve(id));
        let safe = known.map_or(deck.safe.as_ref(), |serve| deck.safe_answer(serve));
        return safe.map(ReceiveKey::from_receive);
    }
    if name.eq_ignore_ascii_case("plan") {
        return deck.plan.get(serve?).map(ReceiveKey::from_receive);
    }
    deck.switch_called(&name)?.changes.get(serve?).map(ReceiveKey::from_receive)
}

/// The point a line says, the plan filled in, with the switch that was called.
pub(super) fn point(
    deck: &Deck,
    of_match: &str,
    switch: Option<&str>,
    server: End,
    said: SaidPoint,
) -> Point {
    let switch = switch.and_then(|name| deck.switch_called(name));
    let planned = said.serve.as_ref().and_then(|serve| {
        let switched = switch.and_then(|switch| switch.changes.get(serve));
        switched.or_else(|| deck.plan.get(serve)).map(ReceiveKey::from_receive)
    });
    // A receive nobody knows must not count as the planned one.
    let meant = said.meant.or(planned).filter(|_| said.unknown.is_none());
    Point {
        deck: deck.key.clone(),
        of_match: of_match.to_owned(),
        server,
        serve: said.serve,
        played: said.played.filter(|played| meant.as_ref() != Some(played)),
        meant,
        quality: said.quality,
        waiting: said.waiting,
        won: said.won,
        unknown: said.unknown,
    }
}

#[cfg(test)]
pub(super) mod tests {
    use super::*;
    use crate::deck::Switch;
    use crate::game::Serve;

    pub(in crate::cli::points) fn deck() -> Deck {
        let mut deck = Deck::new("Invented", "abc234".to_owned());
        for id in ["bh-short-fh", "bh-half-long", "fast-bh"] {
            deck.serves.push(Serve::unknown(id.parse().unwrap()));
        }
        let serve = || "bh-short-fh".parse().unwrap();
        deck.plan.insert(serve(), "forehand push early to middle short".parse().unwrap());
        deck.switches.push(Switch {
            name: "long push".to_owned(),
            cue: None,
            changes: [(serve(), "forehand push heavy to backhand long".parse().unwrap())].into(),
        });
        deck
    }

    fn said(line: &str) -> SaidPoint {
        match read(&deck(), line) {
            Ok(Spoken::Point(said)) => *said,
            other => panic!("{other:?}"),
        }
    }

    #[test]
    fn a_point_is_said_in_the_words_of_the_bench() {
        let lost = said("bh-short-fh lost loose waiting");
        assert_eq!(lost.serve, Some("bh-short-fh".parse().unwrap()));
        assert_eq!((lost.server, lost.won), (Some(End::Them), false));
        assert_eq!((lost.quality, lost.waiting), (Some(Quality::Loose), Some(true)));
        assert_eq!(
            said("me won"),
            SaidPoint { server: Some(End::Me), won: true, ..SaidPoint::default() }
        );
        for not in ["not waiting", "waiting no", "no waiting", "waited no", "surprised"] {
            let point = said(&format!("fast won {not}"));
            assert_eq!((point.waiting, point.unknown), (Some(false), None), "{not}");
        }
        assert_eq!(said("fast lost waiting yes").waiting, Some(true));
        assert!(read(&deck(), "fast won missed").is_err());
        // As the trade says it, and as it is kept.
        for (word, quality) in [
            ("good", Quality::Tight),
            ("tight", Quality::Tight),
            ("high", Quality::Loose),
            ("weak", Quality::Loose),
            ("loose", Quality::Loose),
        ] {
            let point = said(&format!("fast {word} lost"));
            assert_eq!((point.quality, point.unknown), (Some(quality), None), "{word}");
        }
        for (says, waiting) in
            [("they were there", true), ("they waited for it", true), ("they did not", false)]
        {
            let point = said(&format!("fast lost, {says}"));
            assert_eq!((point.waiting, point.unknown), (Some(waiting), None), "{says}");
        }
    }

    #[test]
    fn the_beginning_of_only_one_serve_is_enough() {
        assert_eq!(said("fast l").serve, Some("fast-bh".parse().unwrap()));
        // Or its number, as the keys have it.
        assert_eq!(said("1 lost").serve, Some("bh-short-fh".parse().unwrap()));
        // Two serves begin like this.
        let two = said("bh won");
        assert_eq!((two.serve, two.unknown.as_deref()), (None, Some("bh")));
    }

    #[test]
    fn words_that_name_nothing_known_stay_as_typed() {
        let said = said("tomahawk wide thing lost");
        assert_eq!(said.unknown.as_deref(), Some("tomahawk wide thing"));
        assert_eq!((said.serve, said.server), (None, None));
        assert!(read(&deck(), "bh-short-fh").unwrap_err().contains("won"));
    }

    #[test]
    fn the_receive_meant_is_the_plans_unless_another_is_said() {
        let deck = deck();
        let point = |line| point(&deck, "m", None, End::Them, said(line));
        let meant =
            |point: &Point| point.meant.as_ref().map(ReceiveKey::as_str).unwrap().to_owned();
        assert_eq!(meant(&point("bh-short-fh won")), "forehand push early to middle short");
        let switched = point("bh-short-fh long push won");
        assert_eq!(meant(&switched), "forehand push heavy to backhand long");
        assert_eq!(switched.played, None);
        let other = point("bh-short-fh backhand flick won");
        assert_eq!(other.played.unwrap().as_str(), "backhand flick");
        assert_eq!(point("bh-short-fh forehand push early to middle short won").played, None);
        // What came instead of the plan has no name: the plan must not be charged with it.
        let strange = point("bh-short-fh some swat lost");
        assert_eq!((strange.meant, strange.unknown.as_deref()), (None, Some("some swat")));
    }
}

//! Three keys a point: the serve, the receive, who won. A machine without a terminal; the terminal
//! feeds it.

use crate::base::text;
use crate::cli::points::spoken::{SaidPoint, Spoken};
use crate::deck::Deck;
use crate::game::{End, ReceiveKey, ServeId};
use crate::journal::{Point, Quality};

/// The keys of serves, and of the plan's receive and the switches', in order; letters with another
/// meaning are left out.
const PLACES: &str = "123456789abcdefghi";
/// The key of the safe receive: the same for every serve.
const SAFE: char = 's';

/// The longest name that can be typed for another receive.
const LONGEST_NAME: usize = 60;

/// Where the three keys stand.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Awaited {
    Serve,
    Receive,
    /// The words of another receive.
    Name,
    Result,
}

/// A point half entered.
pub(super) struct PointKeys<'d> {
    deck: &'d Deck,
    stage: Awaited,
    said: SaidPoint,
    /// Receives of the serve that was named, each with its key and short name.
    receives: Vec<(char, String, ReceiveKey)>,
    /// The words of another receive, as far as they are typed.
    name: String,
}

impl<'d> PointKeys<'d> {
    /// For the serves of this deck, as many as there are keys.
    pub fn new(deck: &'d Deck) -> Self {
        let (said, receives) = (SaidPoint::default(), Vec::new());
        Self { deck, stage: Awaited::Serve, said, receives, name: String::new() }
    }

    /// The key of a place.
    pub fn key(place: usize) -> char {
        PLACES.chars().nth(place).unwrap_or(' ')
    }

    /// Whether letters are words now, and no keys.
    pub fn is_naming(&self) -> bool {
        self.stage == Awaited::Name
    }

    /// Whether a point is half entered.
    pub fn is_begun(&self) -> bool {
        self.stage != Awaited::Serve
    }

    /// What is asked now, and what has been entered of this point.
    pub fn prompt(&self, server: Option<End>) -> String {
        let waited = match self.said.waiting {
            Some(true) => " they waited",
            Some(false) => " they did not",
            None => "",
        };
        let quality = self.said.quality.map(|quality| format!(" {quality}")).unwrap_or_default();
        let serve = self.said.serve.as_ref().map(|serve| self.deck.called(serve));
        let serve = serve.unwrap_or_else(|| "unknown".to_owned());
        match self.stage {
            Awaited::Serve if server == Some(End::Me) => "your serve: w l".to_owned(),
            Awaited::Serve => "their serve?".to_owned(),
            Awaited::Receive => {
                let named = self.receives.iter().map(|(key, name, _)| format!("{key} {name}"));
                let named = named.collect::<Vec<_>>().join("  ");
                format!("{serve}: receive? {named}  0 another")
            }
            Awaited::Name => format!("other receive (Enter: not named): {}", self.name),
            Awaited::Result => {
                format!("{serve}{quality}{waited}: w won  l lost  (g h m; x waited, n not)")
            }
        }
    }

    /// One key, while `server` serves by the score; what it asks for, when it ends something.
    pub fn press(&mut self, key: char, server: Option<End>) -> Option<Spoken> {
        let key = key.to_ascii_lowercase();
        let is_own = server == Some(End::Me);
        match (self.stage, key) {
            (Awaited::Name, _) => self.spell(key),
            (Awaited::Serve, 'u') => return Some(Spoken::Undo),
            (_, 'u') => *self = Self::new(self.deck),
            (_, 'q') => return Some(Spoken::End),
            (Awaited::Serve, 'w' | 'l') if is_own => {
                self.said.server = Some(End::Me);
                return Some(self.result(key));
            }
            // On the own serve nothing has to be recognised.
            (Awaited::Serve, '?' | '0') if is_own => {}
            (Awaited::Serve, '?' | '0') => {
                self.said.server = Some(End::Them);
                self.said.unknown = Some(Point::SERVE_NOT_NAMED.to_owned());
                self.stage = Awaited::Result;
            }
            (Awaited::Serve, _) => {
                let place = PLACES.find(key);
                if let Some(serve) = place.and_then(|place| self.deck.active().nth(place)) {
                    self.said.server = Some(End::Them);
                    self.said.serve = Some(serve.id.clone());
                    self.receives = receives(self.deck, &serve.id);
                    self.stage = Awaited::Receive;
                }
            }
            (Awaited::Receive, '0') => self.stage = Awaited::Name,
            (Awaited::Receive, _) => {
                if let Some((.., receive)) = self.receives.iter().find(|(known, ..)| *known == key)
                {
                    self.said.meant = Some(receive.clone());
                    self.stage = Awaited::Result;
                }
            }
            // A receive that missed the table cannot have won the point.
            (Awaited::Result, 'w') if self.said.quality == Some(Quality::Missed) => {}
            (Awaited::Result, 'w' | 'l') => return Some(self.result(key)),
            (Awaited::Result, 'g' | 't') => self.said.quality = Some(Quality::Tight),
            (Awaited::Result, 'h' | 'o') => self.said.quality = Some(Quality::Loose),
            (Awaited::Result, 'm') => self.said.quality = Some(Quality::Missed),
            (Awaited::Result, 'x') => self.said.waiting = Some(true),
            (Awaited::Result, 'n') => self.said.waiting = Some(false),
            (Awaited::Result, _) => {}
        }
        None
    }

    /// One key of the name of another receive: Enter ends it, escape takes the point back.
    fn spell(&mut self, key: char) {
        match key {
            '\r' | '\n' => {
                let words = text::one_line(&self.name);
                match self.deck.receive_said(self.said.serve.as_ref(), &words) {
                    Ok(receive) => self.said.played = Some(ReceiveKey::from_receive(&receive)),
                    Err(_) if words.is_empty() => {
                        self.said.unknown = Some(Point::RECEIVE_NOT_NAMED.to_owned());
                    }
                    Err(_) => self.said.unknown = Some(words),
                }
                self.stage = Awaited::Result;
            }
            '\u{8}' => drop(self.name.pop()),
            '\u{1b}' => *self = Self::new(self.deck),
            _ if key.is_control() || self.name.len() >= LONGEST_NAME => {}
            _ => self.name.push(key),
        }
    }

    fn result(&mut self, key: char) -> Spoken {
        let Self { said, .. } = std::mem::replace(self, Self::new(self.deck));
        Spoken::Point(Box::new(SaidPoint { won: key == 'w', ..said }))
    }
}

/// The receives the second key chooses from, by their short names: plan, the switches', safe. A key
/// means the same for every serve, so that the finger learns it.
fn receives(deck: &Deck, serve: &ServeId) -> Vec<(char, String, ReceiveKey)> {
    let planned = deck.plan.get(serve).map(|receive| (PointKeys::key(0), "plan", receive));
    let of_switches = deck.switches.iter().enumerate().filter_map(|(place, switch)| {
        Some((PointKeys::key(place + 1), switch.name.as_str(), switch.changes.get(serve)?))
    });
    let safe = deck.serve(serve).and_then(|serve| deck.safe_answer(serve));
    let safe = safe.map(|receive| (SAFE, "safe", receive));
    let mut offered: Vec<(char, String, ReceiveKey)> = Vec::new();
    for (key, name, receive) in planned.into_iter().chain(of_switches).chain(safe) {
        let receive = ReceiveKey::from_receive(receive);
        if !offered.iter().any(|(.., known)| *known == receive) {
            offered.push((key, text::one_line(name), receive));
        }
    }
    offered
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::deck::Switch;
    use crate::game::Serve;

    fn deck() -> Deck {
        let mut deck = Deck::new("Invented", "abc234".to_owned());
        for id in ["short", "long"] {
            let id: ServeId = id.parse().unwrap();
            deck.plan.insert(id.clone(), "forehand push".parse().unwrap());
            deck.serves.push(Serve::unknown(id));
        }
        let flick = |id: &ServeId| (id.clone(), "backhand flick".parse().unwrap());
        deck.switches.push(Switch {
            name: "flick".to_owned(),
            cue: None,
            changes: deck.plan.keys().map(flick).collect(),
        });
        deck.safe = Some("backhand push".parse().unwrap());
        deck
    }

    fn type_in(keys: &mut PointKeys<'_>, typed: &str, server: End) -> Vec<Spoken> {
        typed.chars().filter_map(|key| keys.press(key, Some(server))).collect()
    }

    fn typed(typed: &str, server: End) -> Vec<Spoken> {
        type_in(&mut PointKeys::new(&deck()), typed, server)
    }

    #[test]
    fn three_keys_are_a_point_and_more_say_more() {
        let done = typed("12w21oxl", End::Them);
        let [Spoken::Point(won), Spoken::Point(lost)] = &done[..] else { panic!("{done:?}") };
        assert_eq!(won.serve, Some("short".parse().unwrap()));
        assert_eq!(won.meant, Some(ReceiveKey::from_journal("backhand flick")));
        assert!(won.won && !lost.won);
        assert_eq!((lost.quality, lost.waiting), (Some(Quality::Loose), Some(true)));
    }

    #[test]
    fn the_safe_receive_has_a_key_of_its_own_and_a_key_without_a_receive_does_nothing() {
        let done = typed("1sw13l", End::Them);
        let [Spoken::Point(safe)] = &done[..] else { panic!("{done:?}") };
        assert_eq!(safe.meant, Some(ReceiveKey::from_journal("backhand push")));
    }

    #[test]
    fn another_receive_may_be_named_and_its_letters_are_no_keys() {
        let done = typed("10bh block\rl10blok\u{8}\u{8}q\rw10\rl10x\u{1b}", End::Them);
        let [Spoken::Point(block), Spoken::Point(strange), Spoken::Point(unnamed)] = &done[..]
        else {
            panic!("{done:?}")
        };
        assert_eq!(block.played, Some(ReceiveKey::from_journal("backhand block")));
        assert!(!block.won && block.unknown.is_none());
        assert_eq!((strange.unknown.as_deref(), strange.won), (Some("blq"), true));
        assert_eq!(unnamed.unknown.as_deref(), Some(Point::RECEIVE_NOT_NAMED));
    }

    #[test]
    fn on_the_own_serve_a_serve_that_is_not_here_means_nothing() {
        assert_eq!(typed("?", End::Me), []);
        let done = typed("?w", End::Me);
        assert!(matches!(&done[..], [Spoken::Point(said)] if said.server == Some(End::Me)));
    }

    #[test]
    fn on_the_own_serve_one_key_is_a_point() {
        let done = typed("wl", End::Me);
        assert!(
            matches!(&done[0], Spoken::Point(said) if said.won && said.server == Some(End::Me))
        );
        assert_eq!(done.len(), 2);
    }

    #[test]
    fn taking_back_in_the_middle_of_a_point_takes_back_only_its_keys() {
        let deck = deck();
        let mut keys = PointKeys::new(&deck);
        assert_eq!(type_in(&mut keys, "1u", End::Them), []);
        assert_eq!(type_in(&mut keys, "u", End::Them), [Spoken::Undo]);
    }
}

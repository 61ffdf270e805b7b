//! Three keys a point: the serve, the receive, who won. A machine without a terminal; the terminal
//! feeds it.

use crate::base::text;
use crate::cli::points::spoken::{SaidPoint, Spoken};
use crate::deck::written_out;
use crate::game::{End, Receive, ReceiveKey, ServeId};
use crate::journal::{Point, Quality};

/// The keys of serves, and of the plan's receive and the switches', in order; letters with another
/// meaning are left out.
const PLACES: &str = "123456789abcdefghi";
/// The key of the safe receive: the same for every serve.
pub(super) const SAFE: char = 's';

/// The longest name that can be typed for another receive.
const LONGEST_NAME: usize = 60;

/// Where the three keys stand.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
enum Awaited {
    #[default]
    Serve,
    Receive,
    /// The words of another receive.
    Name,
    Result,
}

/// A point half entered.
#[derive(Debug, Default)]
pub(super) struct PointKeys {
    serves: Vec<ServeId>,
    stage: Awaited,
    said: SaidPoint,
    /// Receives of the serve that was named.
    receives: Vec<OfferedReceive>,
    /// The words of another receive, as far as they are typed.
    name: String,
}

/// A receive the second key chooses.
#[derive(Debug)]
pub(super) struct OfferedReceive {
    /// Its key, the same for every serve.
    pub key: char,
    /// Its short name.
    pub name: String,
    pub receive: ReceiveKey,
}

/// What a key led to.
#[derive(Debug, PartialEq)]
pub(super) enum PointKey {
    /// Go on.
    More,
    /// The serve was named: its receives are needed, the plan's first.
    Receives(ServeId),
    /// Something to do.
    Done(Spoken),
}

impl PointKeys {
    /// For these serves; at most as many as there are keys.
    pub fn new(mut serves: Vec<ServeId>) -> Self {
        serves.truncate(PLACES.len());
        Self { serves, ..Self::default() }
    }

    /// The key of a place.
    pub fn key(place: usize) -> char {
        PLACES.chars().nth(place).unwrap_or(' ')
    }

    /// The receives the second key chooses from.
    pub fn offer(&mut self, receives: Vec<OfferedReceive>) {
        self.receives = receives;
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
            Some(true) => " waiting",
            Some(false) => " not-waiting",
            None => "",
        };
        let quality = self.said.quality.map(|quality| format!(" {quality}")).unwrap_or_default();
        match self.stage {
            Awaited::Serve if server == Some(End::Me) => "your serve: w l".to_owned(),
            Awaited::Serve => "their serve?".to_owned(),
            Awaited::Receive => {
                let serve = self.said.serve.as_ref().map_or("unknown", ServeId::as_str);
                let named: Vec<String> =
                    self.receives.iter().map(|one| format!("{} {}", one.key, one.name)).collect();
                format!("{serve}: receive? {}  0 another", named.join("  "))
            }
            Awaited::Name => format!("other receive (Enter: not named): {}", self.name),
            Awaited::Result => {
                let serve = self.said.serve.as_ref().map_or("unknown", ServeId::as_str);
                format!("{serve}{quality}{waited}: w won  l lost  (t o m; x waited, n not)")
            }
        }
    }

    /// One key, while `server` serves by the score.
    pub fn press(&mut self, key: char, server: Option<End>) -> PointKey {
        let key = key.to_ascii_lowercase();
        let place = PLACES.find(key);
        match (self.stage, key) {
            (Awaited::Name, _) => {
                self.spell(key);
                PointKey::More
            }
            (Awaited::Serve, 'u') => PointKey::Done(Spoken::Undo),
            (_, 'u') => {
                self.forget();
                PointKey::More
            }
            (_, 'q') => PointKey::Done(Spoken::End),
            (Awaited::Serve, 'w' | 'l') if server == Some(End::Me) => {
                self.said.server = Some(End::Me);
                self.result(key)
            }
            // On the own serve nothing has to be recognised.
            (Awaited::Serve, '?' | '0') if server == Some(End::Me) => PointKey::More,
            (Awaited::Serve, '?' | '0') => {
                self.said.server = Some(End::Them);
                self.said.unknown = Some(Point::SERVE_NOT_NAMED.to_owned());
                self.stage = Awaited::Result;
                PointKey::More
            }
            (Awaited::Serve, _) => match place.and_then(|place| self.serves.get(place)) {
                Some(serve) => {
                    self.said.server = Some(End::Them);
                    self.said.serve = Some(serve.clone());
                    self.stage = Awaited::Receive;
                    PointKey::Receives(serve.clone())
                }
                None => PointKey::More,
            },
            (Awaited::Receive, '0') => {
                self.stage = Awaited::Name;
                PointKey::More
            }
            (Awaited::Receive, _) => {
                if let Some(one) = self.receives.iter().find(|one| one.key == key) {
                    self.said.meant = Some(one.receive.clone());
                    self.stage = Awaited::Result;
                }
                PointKey::More
            }
            // A receive that missed the table cannot have won the point.
            (Awaited::Result, 'w') if self.said.quality == Some(Quality::Missed) => PointKey::More,
            (Awaited::Result, 'w' | 'l') => self.result(key),
            (Awaited::Result, _) => {
                self.note(key);
                PointKey::More
            }
        }
    }

    /// One key about the quality of the receive, or about who waited.
    fn note(&mut self, key: char) {
        match key {
            't' => self.said.quality = Some(Quality::Tight),
            'o' => self.said.quality = Some(Quality::Loose),
            'm' => self.said.quality = Some(Quality::Missed),
            'x' => self.said.waiting = Some(true),
            'n' => self.said.waiting = Some(false),
            _ => {}
        }
    }

    /// One key of the name of another receive: Enter ends it, escape takes the point back.
    fn spell(&mut self, key: char) {
        match key {
            '\r' | '\n' => {
                let words = text::one_line(&self.name);
                match Receive::from_text(&written_out(&words)) {
                    Ok(receive) => self.said.played = Some(ReceiveKey::from_receive(&receive)),
                    Err(_) if words.is_empty() => {
                        self.said.unknown = Some(Point::RECEIVE_NOT_NAMED.to_owned());
                    }
                    Err(_) => self.said.unknown = Some(words),
                }
                self.stage = Awaited::Result;
            }
            '\u{8}' => drop(self.name.pop()),
            '\u{1b}' => self.forget(),
            _ if key.is_control() || self.name.len() >= LONGEST_NAME => {}
            _ => self.name.push(key),
        }
    }

    fn result(&mut self, key: char) -> PointKey {
        let mut said = std::mem::take(&mut self.said);
        said.won = key == 'w';
        self.forget();
        PointKey::Done(Spoken::Point(Box::new(said)))
    }

    fn forget(&mut self) {
        let serves = std::mem::take(&mut self.serves);
        *self = Self::new(serves);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn keys() -> PointKeys {
        PointKeys::new(vec!["short".parse().unwrap(), "long".parse().unwrap()])
    }

    fn type_in(keys: &mut PointKeys, typed: &str, server: End) -> Vec<Spoken> {
        let mut done = Vec::new();
        for key in typed.chars() {
            match keys.press(key, Some(server)) {
                PointKey::Done(spoken) => done.push(spoken),
                PointKey::Receives(_) => {
                    let offered = [
                        ('1', "plan", "forehand push"),
                        ('2', "flick", "backhand flick"),
                        (SAFE, "safe", "backhand push"),
                    ];
                    let offered = offered.map(|(key, name, words)| OfferedReceive {
                        key,
                        name: name.to_owned(),
                        receive: ReceiveKey::from_journal(words),
                    });
                    keys.offer(offered.into());
                }
                PointKey::More => {}
            }
        }
        done
    }

    #[test]
    fn three_keys_are_a_point_and_more_say_more() {
        let done = type_in(&mut keys(), "12w21oxl", End::Them);
        let [Spoken::Point(won), Spoken::Point(lost)] = &done[..] else { panic!("{done:?}") };
        assert_eq!(won.serve, Some("short".parse().unwrap()));
        assert_eq!(won.meant, Some(ReceiveKey::from_journal("backhand flick")));
        assert!(won.won && !lost.won);
        assert_eq!((lost.quality, lost.waiting), (Some(Quality::Loose), Some(true)));
    }

    #[test]
    fn the_safe_receive_has_a_key_of_its_own_and_a_key_without_a_receive_does_nothing() {
        let done = type_in(&mut keys(), "1sw13l", End::Them);
        let [Spoken::Point(safe)] = &done[..] else { panic!("{done:?}") };
        assert_eq!(safe.meant, Some(ReceiveKey::from_journal("backhand push")));
    }

    #[test]
    fn another_receive_may_be_named_and_its_letters_are_no_keys() {
        let done =
            type_in(&mut keys(), "10bh block\rl10blok\u{8}\u{8}q\rw10\rl10x\u{1b}", End::Them);
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
        assert_eq!(type_in(&mut keys(), "?", End::Me), []);
        let done = type_in(&mut keys(), "?w", End::Me);
        assert!(matches!(&done[..], [Spoken::Point(said)] if said.server == Some(End::Me)));
    }

    #[test]
    fn on_the_own_serve_one_key_is_a_point() {
        let done = type_in(&mut keys(), "wl", End::Me);
        assert!(
            matches!(&done[0], Spoken::Point(said) if said.won && said.server == Some(End::Me))
        );
        assert_eq!(done.len(), 2);
    }

    #[test]
    fn taking_back_in_the_middle_of_a_point_takes_back_only_its_keys() {
        let mut keys = keys();
        assert_eq!(type_in(&mut keys, "1u", End::Them), []);
        assert_eq!(type_in(&mut keys, "u", End::Them), [Spoken::Undo]);
    }
}

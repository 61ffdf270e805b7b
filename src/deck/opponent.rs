//! A deck: one opponent, their serves, the plan against them and the switches held in reserve.

use std::collections::BTreeMap;

use serde::{Deserialize, Serialize};
use serde_with::skip_serializing_none;

use crate::base::{Day, Dice, Finding, text};
use crate::deck::safe::{SafeAnswers, SafeFor};
use crate::game::{
    Depth, Grip, Hand, Pace, PatternKey, Receive, Serve, ServeId, Style, Sure, ThirdBall,
    WaitingPlace, Wing,
};

/// The version of the deck's form; older ones are read for ever, newer ones refused.
pub const FORMAT: u32 = 1;

/// Which receive answers which serve.
pub type Plan = BTreeMap<ServeId, Receive>;

/// A named small difference from the plan, with the cue that calls for it.
#[skip_serializing_none]
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Switch {
    /// Its name, unique in the deck.
    pub name: String,
    /// What the player sees that calls for it.
    pub cue: Option<String>,
    /// The receives that change; every other serve keeps its own.
    pub changes: Plan,
}

/// Everything about one opponent.
#[skip_serializing_none]
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Deck {
    /// The version of the form.
    pub format: u32,
    /// Random, given once: what the player's history is kept under, whatever the file is called.
    pub key: String,
    /// The opponent as the player calls them.
    pub opponent: String,
    /// Where the content comes from, when it is not the player's own scouting.
    pub source: Option<String>,
    /// The hand the opponent plays with.
    pub hand: Option<Hand>,
    /// The hand of the receiver these lanes were written for; the player's own when unset.
    pub seen_against: Option<Hand>,
    /// How the opponent holds the bat.
    pub grip: Option<Grip>,
    /// What is on the opponent's bat.
    pub rubbers: Option<String>,
    /// How the opponent plays.
    pub style: Option<Style>,
    /// The stronger wing.
    pub stronger: Option<Wing>,
    /// Where they wait after the serve.
    pub waits: Option<WaitingPlace>,
    /// The third ball they like.
    pub likes: Option<ThirdBall>,
    /// The one they hate.
    pub hates: Option<ThirdBall>,
    /// The serves, in the order the player thinks of them.
    #[serde(default)]
    pub serves: Vec<Serve>,
    /// The receive for each serve.
    #[serde(default, skip_serializing_if = "BTreeMap::is_empty")]
    pub plan: Plan,
    /// The receive for anything unread or new.
    pub safe: Option<Receive>,
    /// The same for a kind of serve alone.
    #[serde(default, skip_serializing_if = "SafeAnswers::is_empty")]
    pub safe_for: SafeAnswers,
    /// The switches in reserve.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub switches: Vec<Switch>,
    /// The day the opponent was last met.
    pub last_met: Option<Day>,
    /// Private: left out of everything that leaves this device unless asked for.
    pub private_note: Option<String>,
}

/// The one there is; none where there are several.
fn only<T>(mut meant: impl Iterator<Item = T>) -> Option<T> {
    meant.next().filter(|_| meant.next().is_none())
}

impl Deck {
    /// A deck of which only the opponent is known.
    pub fn new(opponent: impl Into<String>, key: String) -> Self {
        Self { format: FORMAT, key, opponent: opponent.into(), ..Self::default() }
    }

    /// A random key: six letters and digits that cannot be mistaken for each other.
    pub fn coin_key(dice: &mut Dice) -> String {
        const LETTERS: &[u8] = b"abcdefghjkmnpqrstuvwxyz23456789";
        (0..6).map(|_| char::from(LETTERS[dice.below(LETTERS.len())])).collect()
    }

    /// The serves still served, in the player's order.
    pub fn active(&self) -> impl Iterator<Item = &Serve> {
        self.serves.iter().filter(|serve| !serve.retired)
    }

    /// The serve with this id.
    pub fn serve(&self, id: &ServeId) -> Option<&Serve> {
        self.serves.iter().find(|serve| serve.id == *id)
    }

    /// The serve still served that looks like this one, whichever of the two says so.
    pub fn twin(&self, serve: &Serve) -> Option<&Serve> {
        let named = self.active().find(|other| serve.looks_like.as_ref() == Some(&other.id));
        named.or_else(|| self.active().find(|other| other.looks_like.as_ref() == Some(&serve.id)))
    }

    /// The serve that has or once had this id.
    pub fn serve_now_or_once(&self, id: &ServeId) -> Option<&Serve> {
        self.serve(id).or_else(|| self.serves.iter().find(|serve| serve.was.contains(id)))
    }

    /// The serve of this id, of this id once, or whose id alone begins so; serves still served come
    /// before retired ones.
    pub fn serve_begun(&self, given: &str) -> Option<&Serve> {
        let stem = text::file_stem(given);
        let named = stem.parse().ok().and_then(|id| self.serve_now_or_once(&id));
        named.or_else(|| self.only_serve(|id| id.starts_with(&stem)))
    }

    /// The serve that a player means where nothing but a serve can stand: also by its short word or
    /// the beginning of it, its number in the plan, or any word of its id that no other has.
    pub fn serve_meant(&self, given: &str) -> Option<&Serve> {
        let (folded, said) = (text::plain_word(given), text::file_stem(given));
        let has_word = |id: &str| text::begins_a_word(&text::plain_word(id), &folded);
        let short = |serve: &Serve| text::file_stem(&self.short_word(serve));
        let begins =
            |serve: &&Serve| !serve.short_parts().is_empty() && short(serve).starts_with(&said);
        let number = given.trim().parse::<usize>().ok().and_then(|number| number.checked_sub(1));
        self.serve_begun(given)
            .or_else(|| self.active().nth(number?))
            .or_else(|| self.serves_by_use().find(|serve| short(serve) == said))
            .or_else(|| only(self.active().filter(begins)))
            .or_else(|| self.only_serve(has_word))
    }

    /// The serve that the first of these words name, and how many they are.
    pub fn serve_said_first(&self, words: &[&str]) -> Option<(&Serve, usize)> {
        let whole = (2..=words.len().min(8)).rev().find_map(|many| {
            let said = text::file_stem(&words[..many].join(" "));
            let is_it = |serve: &&Serve| text::file_stem(&self.short_word(serve)) == said;
            Some((self.serves_by_use().find(is_it)?, many))
        });
        let first = words.first()?;
        let number = || self.active().nth(first.parse::<usize>().ok()?.checked_sub(1)?);
        whole.or_else(|| Some((self.serve_begun(first).or_else(number)?, 1)))
    }

    /// All serves, those still served first.
    fn serves_by_use(&self) -> impl Iterator<Item = &Serve> {
        self.active().chain(self.serves.iter().filter(|serve| serve.retired))
    }

    /// What a player calls a serve of this deck: `short FH`, with as much more as tells it from the
    /// others.
    pub fn short_word(&self, serve: &Serve) -> String {
        let (own, id) = (serve.short_parts(), &serve.id);
        let is_like = |other: &Serve, parts: usize| {
            other.short_parts().iter().take(parts).eq(own.iter().take(parts))
        };
        let others = || self.active().filter(|other| other.id != *id);
        let parts = (1..=own.len()).find(|parts| !others().any(|other| is_like(other, *parts)));
        match parts {
            Some(parts) => own[..parts].join(", "),
            None if own.is_empty() => id.to_string(),
            None => {
                let before = self.active().take_while(|other| other.id != *id);
                let number = before.filter(|other| is_like(other, own.len())).count() + 1;
                format!("{} {number}", own.join(", "))
            }
        }
    }

    /// The same for the serve of this id, with `(guess)` behind one that nobody has seen.
    pub fn called(&self, id: &ServeId) -> String {
        let Some(serve) = self.serve_now_or_once(id) else { return id.to_string() };
        let guess = if serve.sure == Some(Sure::Guessed) { " (guess)" } else { "" };
        format!("{}{guess}", self.short_word(serve))
    }

    fn only_serve(&self, is_meant: impl Fn(&str) -> bool) -> Option<&Serve> {
        let is_meant = |serve: &&Serve| is_meant(serve.id.as_str());
        only(self.active().filter(is_meant)).or_else(|| only(self.serves.iter().filter(is_meant)))
    }

    /// The switch with this name, whatever the case of its letters.
    pub fn switch_called(&self, name: &str) -> Option<&Switch> {
        self.switches.iter().find(|switch| switch.name.eq_ignore_ascii_case(name.trim()))
    }

    /// The switch that a player means: by its name, or by the beginning of any word in it when no
    /// other switch has such a word.
    pub fn switch(&self, given: &str) -> Option<&Switch> {
        let plain = text::plain_word(given);
        let named = |switch: &&Switch| text::plain_word(&switch.name) == plain;
        let begun = |switch: &&Switch| text::begins_a_word(&text::plain_word(&switch.name), &plain);
        self.switch_called(given)
            .or_else(|| self.switches.iter().find(named))
            .or_else(|| only(self.switches.iter().filter(begun)))
    }

    /// The plan with a switch applied.
    pub fn plan_with(&self, switch: &Switch) -> Plan {
        let mut plan = self.plan.clone();
        plan.extend(switch.changes.clone());
        plan
    }

    /// Active serves with their planned receive.
    pub fn planned(&self) -> impl Iterator<Item = (&Serve, &Receive)> {
        self.active().filter_map(|serve| Some((serve, self.plan.get(&serve.id)?)))
    }

    /// Active serves without a receive.
    pub fn unplanned(&self) -> impl Iterator<Item = &Serve> {
        self.active().filter(|serve| !self.plan.contains_key(&serve.id))
    }

    /// The safe answer to a ball of this depth and pace: its own, to a fast one else that to a long
    /// one, else the one for everything.
    pub fn safe_against(&self, depth: Option<Depth>, pace: Option<Pace>) -> Option<&Receive> {
        let own = SafeFor::of_ball(depth, pace).and_then(|kind| match kind {
            SafeFor::Fast => self.safe_for.to(kind).or(self.safe_for.to(SafeFor::Long)),
            kind => self.safe_for.to(kind),
        });
        own.or(self.safe.as_ref())
    }

    /// The safe answer to a serve.
    pub fn safe_answer(&self, serve: &Serve) -> Option<&Receive> {
        self.safe_against(serve.depth, serve.pace)
    }

    /// Every safe answer, the one for everything first.
    pub fn safe_answers(&self) -> impl Iterator<Item = &Receive> {
        self.safe.iter().chain(self.safe_for.each().map(|(_, receive)| receive))
    }

    /// The key of answering `serve` with `receive`.
    pub fn pattern(&self, serve: &ServeId, receive: &Receive) -> PatternKey {
        PatternKey::new(&self.key, serve, receive)
    }

    /// Share of this serve among the active ones, 0 to 1.
    pub fn share(&self, id: &ServeId) -> f64 {
        let total: f64 = self.active().map(Serve::relative_frequency).sum();
        let own = self.active().find(|serve| serve.id == *id).map(Serve::relative_frequency);
        own.filter(|own| *own > 0.0).map_or(0.0, |own| own / total)
    }

    /// The share of every active serve among them.
    pub fn shares(&self) -> BTreeMap<&ServeId, f64> {
        let total: f64 = self.active().map(Serve::relative_frequency).sum();
        let share = |serve: &Serve| {
            let own = serve.relative_frequency();
            if own > 0.0 { own / total } else { 0.0 }
        };
        self.active().map(|serve| (&serve.id, share(serve))).collect()
    }

    /// Reads a receive for a serve as a person says it, in a deck as the player meets it: `down the
    /// line` leads from where the serve comes.
    ///
    /// # Errors
    /// Words that are no receive, or a direction that leads nowhere.
    pub fn receive_said(&self, serve: Option<&ServeId>, given: &str) -> Result<Receive, Finding> {
        let lane = serve.and_then(|id| self.serve(id)?.lane);
        Receive::from_words(given, |way| way.lane(lane?, self.seen_against?, self.hand?))
    }

    /// The deck as this player meets it: lanes renamed when it was written for the other hand.
    #[must_use]
    pub fn seen_by(&self, player: Hand) -> Self {
        let old = self.seen_against.unwrap_or(player);
        Self {
            serves: self.serves.iter().map(|serve| serve.seen_by(old, player)).collect(),
            seen_against: Some(player),
            ..self.clone()
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn deck() -> Deck {
        let mut deck = Deck::new("Invented", "abc234".to_owned());
        for id in ["one", "two"] {
            deck.serves.push(Serve::unknown(id.parse().unwrap()));
        }
        let push: Receive = "forehand push to middle short".parse().unwrap();
        deck.plan.insert("one".parse().unwrap(), push.clone());
        deck.plan.insert("two".parse().unwrap(), push);
        deck
    }

    #[test]
    fn a_switch_changes_only_the_serves_it_names() {
        let deck = deck();
        let long: Receive = "forehand push heavy to backhand long".parse().unwrap();
        let switch = Switch {
            name: "long push".to_owned(),
            cue: None,
            changes: Plan::from([("one".parse().unwrap(), long.clone())]),
        };
        let after = deck.plan_with(&switch);
        let id = |text: &str| text.parse::<ServeId>().unwrap();
        assert_eq!(after[&id("one")], long);
        assert_eq!(after[&id("two")], deck.plan[&id("two")]);
    }

    #[test]
    fn shares_of_the_active_serves_sum_to_one() {
        let mut deck = deck();
        let total: f64 = deck.serves.iter().map(|serve| deck.share(&serve.id)).sum();
        assert!((total - 1.0).abs() < 1e-12);
        deck.serves[1].retired = true;
        assert_eq!(deck.share(&deck.serves[0].id), 1.0);
        assert_eq!(deck.share(&deck.serves[1].id), 0.0);
    }

    #[test]
    fn a_serve_is_called_by_as_few_words_as_tell_it_from_the_others() {
        let mut deck = Deck::new("Invented", "abc234".to_owned());
        for line in [
            "short forehand side-back backhand motion id=a",
            "short forehand side-top backhand motion id=b",
            "fast long wide backhand guess id=c",
            "half-long middle id=d",
            "half-long middle id=e",
            "id=f",
        ] {
            let mut serve = Serve::default();
            crate::deck::ServeLine::read(line).unwrap().write_into(&mut serve).unwrap();
            deck.serves.push(serve);
        }
        let called: Vec<_> = deck.serves.iter().map(|serve| deck.called(&serve.id)).collect();
        let short = ["short FH, side-back", "short FH, side-top", "fast wide BH (guess)"];
        assert_eq!(called[..3], short);
        assert_eq!(called[3..], ["half-long middle 1", "half-long middle 2", "f"]);
        for serve in &deck.serves {
            assert_eq!(deck.serve_meant(&deck.short_word(serve)), Some(serve));
        }
    }

    #[test]
    fn a_key_is_six_plain_letters() {
        let key = Deck::coin_key(&mut Dice::from_seed(5));
        assert_eq!(key.len(), 6);
        assert!(key.chars().all(|c| c.is_ascii_lowercase() || c.is_ascii_digit()));
    }
}

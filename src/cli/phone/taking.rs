//! Answers of a phone being taken in: each event once, new serves into their decks, what is
//! unknown told.

use std::collections::BTreeMap;

use crate::base::{Day, Finding, text};
use crate::cli::{Failure, World};
use crate::deck::Deck;
use crate::game::{Depth, Hand, Lane, Motion, MotionName, Serve, ServeId, Spin};
use crate::import::phone_answers::{PhoneEvent, PhoneNews};
use crate::journal::{Answer, EventId, Fact, Seen};
use crate::page::phone::PhoneTaken;
use crate::store::{Home, Trouble, Writer};

/// Answers being taken in.
pub(super) struct Taking {
    pub home: Home,
    pub hand: Hand,
    pub decks: Vec<(String, Deck)>,
    pub writer: Writer,
    pub origins: BTreeMap<String, EventId>,
    pub taken: PhoneTaken,
    pub findings: Vec<Finding>,
}

impl Taking {
    /// Takes one event in, once.
    ///
    /// # Errors
    /// [`Failure`] when the journal or a deck cannot be written.
    pub fn event(&mut self, event: PhoneEvent, world: &World<'_>) -> Result<(), Failure> {
        let PhoneEvent { origin, at_ms, day, news } = event;
        if self.origins.contains_key(&origin) {
            self.taken.known += 1;
            return Ok(());
        }
        let fact = match news {
            PhoneNews::Fact(fact) => {
                self.count(&fact);
                fact
            }
            PhoneNews::Undo { of } => {
                let Some(id) = self.origins.get(&of) else {
                    self.aside(&format!("event {origin} takes back {of}, which never came"));
                    return Ok(());
                };
                self.taken.taken_back += 1;
                Fact::Undo { of: id.clone() }
            }
            PhoneNews::Scouted { deck, opponent, serve } => {
                match self.scouted(deck.as_deref(), &opponent, *serve, world) {
                    Ok(seen) => Fact::Seen(seen),
                    // The deck cannot be changed as it is: it can be brought again when it can.
                    Err(Trouble::Findings(found)) => {
                        self.findings.extend(found);
                        self.aside(&format!(
                            "a new serve of `{opponent}` could not be written down"
                        ));
                        return Ok(());
                    }
                    Err(trouble) => return Err(trouble.into()),
                }
            }
        };
        let id = self.writer.append_from(&origin, at_ms, day, fact)?;
        self.origins.insert(origin, id);
        self.note_day(day);
        Ok(())
    }

    fn note_day(&mut self, day: Day) {
        let (first, last) = self.taken.days.unwrap_or((day, day));
        self.taken.days = Some((first.min(day), last.max(day)));
    }

    fn aside(&mut self, what: &str) {
        self.taken.set_aside += 1;
        self.findings.push(Finding::warning(format!("{what}; set aside")));
    }

    fn count(&mut self, fact: &Fact) {
        let (deck, serve) = match fact {
            Fact::Answer(Answer { deck, serve, is_let, .. }) => {
                self.taken.answers += usize::from(!is_let);
                self.taken.lets += usize::from(*is_let);
                (deck, Some(serve))
            }
            Fact::Ball(ball) => {
                self.taken.balls +=
                    [ball.made, ball.missed, ball.wrong].map(|n| n as usize).iter().sum::<usize>();
                (&ball.deck, Some(&ball.serve))
            }
            Fact::Debrief(debrief) => {
                self.taken.debriefs += 1;
                (&debrief.deck, None)
            }
            Fact::Seen(seen) => {
                self.taken.seen += 1;
                (&seen.deck, Some(&seen.serve))
            }
            Fact::Point(_) | Fact::Undo { .. } | Fact::Forget { .. } => return,
        };
        let is_known = self.decks.iter().any(|(_, own)| {
            let has = |serve| own.serve_now_or_once(serve).is_some() && right_is_known(own, fact);
            own.key == *deck && serve.is_none_or(has)
        });
        if !is_known {
            let serve = serve.map(|serve| format!("/{serve}")).unwrap_or_default();
            let name = text::one_line(deck) + &serve;
            if !self.taken.unknown_patterns.contains(&name) {
                self.taken.unknown_patterns.push(name);
            }
            self.taken.unknown += 1;
        }
    }

    /// Writes a new serve into its deck, made when the opponent is new; the fact that it was seen.
    fn scouted(
        &mut self,
        key: Option<&str>,
        opponent: &str,
        serve: Serve,
        world: &World<'_>,
    ) -> Result<Seen, Trouble> {
        let by_key = |own: &Deck| key.is_some_and(|key| own.key == key);
        let by_name = |own: &Deck| text::one_line(&own.opponent).eq_ignore_ascii_case(opponent);
        let mut decks = self.decks.iter();
        let place = decks
            .position(|(_, own)| by_key(own))
            .or_else(|| self.decks.iter().position(|(_, own)| by_name(own)));
        let mut deck = if let Some(place) = place {
            self.decks[place].1.clone()
        } else {
            let mut dice = world.dice(&format!("new deck {opponent} {}", self.decks.len()));
            let key = key.map_or_else(|| Deck::coin_key(&mut dice), str::to_owned);
            Deck::new(opponent, key)
        };
        // The lanes were said in this player's own words; the deck may keep those of another hand.
        let serve = match deck.seen_against {
            Some(other) => serve.seen_by(self.hand, other),
            None => serve,
        };
        let same =
            deck.serves.iter().find(|own| Serve { id: own.id.clone(), ..serve.clone() } == **own);
        if let Some(same) = same {
            return Ok(Seen { serve: same.id.clone(), deck: deck.key, times: 1 });
        }
        let taken: Vec<ServeId> = deck.serves.iter().map(|own| own.id.clone()).collect();
        let id = ServeId::coined(&coined_from(&serve), &taken);
        deck.serves.push(Serve { id: id.clone(), ..serve });
        self.taken.new_serves.push(format!("{}: {id}", text::one_line(&deck.opponent)));
        if let Some(place) = place {
            let (stem, own) = &mut self.decks[place];
            self.home.save_deck(stem, &deck)?;
            own.clone_from(&deck);
        } else {
            let stem = self.home.add_deck(&deck)?;
            self.decks.push((stem, deck.clone()));
        }
        Ok(Seen { deck: deck.key, serve: id, times: 1 })
    }
}

/// Whether the receive of an answer or a ball is one this deck has anywhere.
fn right_is_known(deck: &Deck, fact: &Fact) -> bool {
    let right = match fact {
        Fact::Answer(answer) => &answer.right,
        Fact::Ball(ball) => &ball.right,
        _ => return true,
    };
    let switched = deck.switches.iter().flat_map(|switch| switch.changes.values());
    deck.plan.values().chain(switched).chain(&deck.safe).any(|own| own.text() == right.as_str())
}

/// Words to make an id of.
fn coined_from(serve: &Serve) -> String {
    let motion = serve.motion.as_ref().and_then(Motion::name).map(MotionName::word);
    let parts = [
        motion,
        serve.depth.map(Depth::word),
        serve.lane.map(Lane::word),
        serve.spin.map(Spin::word),
    ];
    let words: Vec<&str> = parts.into_iter().flatten().take(3).collect();
    if words.is_empty() { "new".to_owned() } else { words.join("-") }
}

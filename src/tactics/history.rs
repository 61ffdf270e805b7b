//! Points and debriefs folded to what is known of each pattern.
//!
//! A recorded point counts by its match (the newest counts one, each match back is faded), a
//! debrief half of that. A debrief never counts a serve again that was recorded in the same match.
//! Facts that name an unknown serve are kept and counted; renames are resolved through the deck.
//!
//! People note the times the opponent *did* wait. So once waiting has been noted at all in a match,
//! silence in that match means "no"; in a match where it was never noted it means "unknown".

use std::collections::{BTreeMap, BTreeSet};

use crate::base::Day;
use crate::deck::Deck;
use crate::game::{End, Receive, ReceiveKey, ServeId};
use crate::journal::{Debrief, Fact, Going, HowMany, Point, Quality};
use crate::receive::Meeting;
use crate::tactics::adaptation::Exposure;
use crate::tactics::rates::{DEBRIEF, FADING, Tally, fading};
use crate::tactics::record::{CleanBall, DebriefPoints, Record};
use crate::tactics::usual;

/// Points a debrief's `few`, `some` and `many` stand for.
const AMOUNTS: [f64; HowMany::ALL.len()] = [3.0, 7.0, 14.0];
/// Share of points a debrief's `well`, `even` and `badly` stand for. Assumption.
const SHARES: [f64; Going::ALL.len()] = [0.65, 0.5, 0.35];

/// A match against this opponent.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct MatchSeen {
    /// Its word in the journal.
    pub word: String,
    /// Its last day.
    pub day: Day,
    /// Points recorded in it.
    pub points: usize,
    /// Whether it was noted at all if the opponent was waiting.
    pub is_waiting_noted: bool,
    /// The sentence for the next time, from the debrief.
    pub sentence: Option<String>,
}

/// Everything the journal says about one opponent.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct OpponentHistory {
    /// Newest first.
    pub matches: Vec<MatchSeen>,
    /// By serve and receive.
    pub patterns: BTreeMap<(ServeId, ReceiveKey), Record>,
    /// By serve, whatever the receive.
    pub serves: BTreeMap<ServeId, Tally>,
    /// Recorded points by serve, as counted: no match faded, no debrief.
    pub came: BTreeMap<ServeId, u32>,
    /// On the player's own serve.
    pub own_serve: Tally,
    /// Recorded points on the own serve, as counted.
    pub own_points: u32,
    /// On the opponent's serve.
    pub receiving: Tally,
    /// Receiving points without a known serve or receive: in `receiving`, but in no pattern.
    pub unknown: usize,
    /// Words of serves and receives that were not known.
    pub unknown_words: Vec<String>,
}

impl OpponentHistory {
    /// Folds the facts about this deck, in order of time; those about other decks are passed over.
    pub fn from_facts<'a>(
        deck: &Deck,
        facts: impl IntoIterator<Item = (Day, &'a Fact)> + Clone,
    ) -> Self {
        let mut history = Self { matches: matches_of(deck, facts.clone()), ..Self::default() };
        let ages: BTreeMap<String, u32> =
            history.matches.iter().map(|seen| seen.word.clone()).zip(0..).collect();
        let age = |word: &str| ages.get(word).copied().unwrap_or(0);
        let mut recorded: BTreeSet<(&str, ServeId)> = BTreeSet::new();
        for (order, (_, fact)) in facts.clone().into_iter().enumerate() {
            if let Fact::Point(point) = fact
                && point.deck == deck.key
            {
                history.point(deck, point, age(&point.of_match), order);
                let serve = known(deck, point.serve.as_ref());
                recorded.extend(serve.map(|serve| (point.of_match.as_str(), serve)));
            }
        }
        for (_, fact) in facts {
            if let Fact::Debrief(debrief) = fact
                && debrief.deck == deck.key
            {
                history.debrief(deck, debrief, age(&debrief.of_match), &recorded);
            }
        }
        for ((serve, receive), record) in &mut history.patterns {
            let receive = Receive::from_text(receive.as_str()).ok();
            record.beyond_stroke = deck
                .serve(serve)
                .zip(receive)
                .map(|(serve, receive)| usual::beyond_stroke(Meeting::new(serve, deck), &receive));
        }
        history
    }

    fn point(&mut self, deck: &Deck, point: &Point, age: u32, order: usize) {
        let weight = fading(FADING, age);
        self.unknown_words.extend(point.unknown.clone());
        if point.server == End::Me {
            self.own_points += 1;
            self.own_serve.count(point.won, weight);
            return;
        }
        self.receiving.count(point.won, weight);
        let Some(serve) = known(deck, point.serve.as_ref()) else {
            self.unknown += 1;
            return;
        };
        self.serves.entry(serve.clone()).or_default().count(point.won, weight);
        *self.came.entry(serve.clone()).or_default() += 1;
        // What was played is what won or lost; what was meant counts when nothing else came.
        let Some(receive) = point.played.as_ref().or(point.meant.as_ref()) else {
            self.unknown += 1;
            return;
        };
        let is_noted = self.match_at(age).is_some_and(|seen| seen.is_waiting_noted);
        let waiting = point.waiting.or(is_noted.then_some(false));
        let record = self.patterns.entry((serve, receive.clone())).or_default();
        record.tally.count(point.won, weight);
        record.points += 1;
        record.lost += u32::from(!point.won);
        let seen = record.in_matches.entry(age).or_default();
        seen.points += 1;
        seen.won += u32::from(point.won);
        // A loose or missed receive is execution: it says nothing about being read.
        match point.quality {
            Some(Quality::Loose) => seen.loose += 1,
            Some(Quality::Missed) => seen.missed += 1,
            Some(Quality::Tight) | None => {
                seen.clean_won += u32::from(point.won);
                seen.waited += u32::from(waiting == Some(true));
                record.clean.count(point.won, weight);
                let exposure = Exposure { won: point.won, waiting };
                record.balls.push(CleanBall { age, order, exposure });
                match waiting {
                    Some(true) => record.waited_for.count(point.won, weight),
                    Some(false) => record.not_waited_for.count(point.won, weight),
                    None => {}
                }
            }
        }
    }

    fn debrief(
        &mut self,
        deck: &Deck,
        debrief: &Debrief,
        age: u32,
        recorded: &BTreeSet<(&str, ServeId)>,
    ) {
        let weight = fading(FADING, age) * DEBRIEF;
        for of in &debrief.serves {
            let Some(serve) = known(deck, Some(&of.serve)) else {
                self.unknown_words.push(of.serve.to_string());
                continue;
            };
            // Of a serve recorded in the same match it says only whether it was read.
            let is_recorded = recorded.contains(&(debrief.of_match.as_str(), serve.clone()));
            let played = if is_recorded { 0.0 } else { AMOUNTS[of.many as usize] };
            let won = played * SHARES[of.going as usize];
            self.receiving.add(won, played, weight);
            self.serves.entry(serve.clone()).or_default().add(won, played, weight);
            let planned = || deck.plan.get(&serve).map(ReceiveKey::from_receive);
            let receive = of.receive.clone().or_else(planned);
            if let Some(receive) = receive.filter(|_| of.read || !is_recorded) {
                let record = self.patterns.entry((serve, receive)).or_default();
                record.tally.add(won, played, weight);
                record.clean.add(won, played, weight);
                record.debriefed += played;
                record.in_matches.entry(age).or_default().debrief =
                    Some(DebriefPoints { played, won, read: of.read });
            }
        }
    }

    /// What is known of one pattern; nothing when it never came.
    pub fn record(&self, serve: &ServeId, receive: &Receive) -> Record {
        let pattern = (serve.clone(), ReceiveKey::from_receive(receive));
        self.patterns.get(&pattern).cloned().unwrap_or_default()
    }

    /// Matches back to the newest one with a recorded point on this serve, whatever the receive.
    pub fn newest_of(&self, serve: &ServeId) -> Option<u32> {
        let of_serve = self.patterns.iter().filter(|((id, _), _)| id == serve);
        of_serve.filter_map(|(_, record)| record.newest()).min()
    }

    /// The match so many matches back.
    pub fn match_at(&self, age: u32) -> Option<&MatchSeen> {
        self.matches.get(usize::try_from(age).unwrap_or(usize::MAX))
    }

    /// Whether anything at all has been recorded or told.
    pub fn is_empty(&self) -> bool {
        self.matches.is_empty()
    }
}

fn known(deck: &Deck, id: Option<&ServeId>) -> Option<ServeId> {
    deck.serve_now_or_once(id?).map(|serve| serve.id.clone())
}

fn matches_of<'a>(deck: &Deck, facts: impl IntoIterator<Item = (Day, &'a Fact)>) -> Vec<MatchSeen> {
    let mut matches: Vec<MatchSeen> = Vec::new();
    for (day, fact) in facts {
        let word = match fact {
            Fact::Point(point) if point.deck == deck.key => &point.of_match,
            Fact::Debrief(debrief) if debrief.deck == deck.key => &debrief.of_match,
            _ => continue,
        };
        let place = matches.iter().rposition(|seen| seen.word == *word).unwrap_or_else(|| {
            matches.push(MatchSeen {
                word: word.clone(),
                day,
                points: 0,
                is_waiting_noted: false,
                sentence: None,
            });
            matches.len() - 1
        });
        let seen = &mut matches[place];
        match fact {
            Fact::Point(point) => {
                seen.points += 1;
                seen.day = seen.day.max(day);
                seen.is_waiting_noted |= point.server == End::Them && point.waiting.is_some();
            }
            Fact::Debrief(debrief) => {
                // It may be told days later; the match is dated by its points.
                seen.day = if seen.points == 0 { seen.day.max(day) } else { seen.day };
                seen.sentence = debrief.sentence.clone().or(seen.sentence.take());
            }
            _ => {}
        }
    }
    // The later of two matches on one day is the one that appears later.
    matches.reverse();
    matches.sort_by_key(|seen| std::cmp::Reverse(seen.day));
    matches
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::game::Serve;
    use crate::journal::DebriefServe;

    const PUSH: &str = "forehand push to middle short";

    fn deck() -> Deck {
        let mut deck = Deck::new("Invented", "abc234".to_owned());
        let mut serve = Serve::unknown("new-id".parse().unwrap());
        serve.was.push("old-id".parse().unwrap());
        deck.serves.push(serve);
        deck.plan.insert("new-id".parse().unwrap(), PUSH.parse().unwrap());
        deck
    }

    fn point(of_match: &str, serve: &str, won: bool) -> Point {
        Point {
            deck: "abc234".to_owned(),
            of_match: of_match.to_owned(),
            server: End::Them,
            serve: Some(serve.parse().unwrap()),
            meant: Some(ReceiveKey::from_journal(PUSH)),
            played: None,
            quality: None,
            waiting: None,
            won,
            unknown: None,
        }
    }

    fn day(text: &str) -> Day {
        text.parse().unwrap()
    }

    fn fold(facts: &[(Day, Fact)]) -> OpponentHistory {
        OpponentHistory::from_facts(&deck(), facts.iter().map(|(day, fact)| (*day, fact)))
    }

    #[test]
    fn older_matches_fade_and_renamed_serves_keep_their_points() {
        let history = fold(&[
            (day("2026-05-01"), Fact::Point(point("spring", "old-id", true))),
            (day("2026-09-01"), Fact::Point(point("autumn", "new-id", false))),
        ]);
        let record = history.record(&"new-id".parse().unwrap(), &PUSH.parse().unwrap());
        assert_eq!(record.points, 2);
        assert!((record.tally.won - FADING).abs() < 1e-12);
        assert!((record.tally.played - 1.0 - FADING).abs() < 1e-12);
        assert_eq!(history.matches[0].word, "autumn");
    }

    #[test]
    fn a_missed_receive_counts_in_the_rate_but_not_as_being_read() {
        let mut missed = point("m", "new-id", false);
        missed.quality = Some(Quality::Missed);
        missed.waiting = Some(true);
        let history = fold(&[(day("2026-09-01"), Fact::Point(missed))]);
        let record = history.record(&"new-id".parse().unwrap(), &PUSH.parse().unwrap());
        assert_eq!((record.points, record.in_matches[&0].missed, record.balls.len()), (1, 1, 0));
        assert_eq!(record.waited_for, Tally::default());
    }

    #[test]
    fn a_debrief_counts_half_and_never_twice() {
        let told = |of_match: &str| {
            Fact::Debrief(Debrief {
                deck: "abc234".to_owned(),
                of_match: of_match.to_owned(),
                games: Vec::new(),
                serves: vec![DebriefServe {
                    serve: "new-id".parse().unwrap(),
                    receive: None,
                    many: HowMany::Some,
                    going: Going::Even,
                    read: true,
                }],
                new: Vec::new(),
                sentence: None,
            })
        };
        let alone = fold(&[(day("2026-09-01"), told("m"))]);
        let id: ServeId = "new-id".parse().unwrap();
        let record = alone.record(&id, &PUSH.parse().unwrap());
        assert!((record.tally.played - 3.5).abs() < 1e-12);
        assert!(record.in_matches[&0].debrief.unwrap().read);
        let both = fold(&[
            (day("2026-09-01"), Fact::Point(point("m", "new-id", true))),
            (day("2026-09-01"), told("m")),
        ]);
        let record = both.record(&id, &PUSH.parse().unwrap());
        assert!((record.tally.played - 1.0).abs() < 1e-12);
        assert!(record.in_matches[&0].debrief.unwrap().read);
    }

    #[test]
    fn silence_means_no_once_waiting_has_been_noted_in_that_match() {
        let mut noted = point("noted", "new-id", false);
        noted.waiting = Some(true);
        let history = fold(&[
            (day("2026-08-01"), Fact::Point(point("silent", "new-id", true))),
            (day("2026-09-01"), Fact::Point(noted)),
            (day("2026-09-01"), Fact::Point(point("noted", "new-id", true))),
        ]);
        let record = history.record(&"new-id".parse().unwrap(), &PUSH.parse().unwrap());
        let waiting: Vec<Option<bool>> =
            record.balls.iter().map(|ball| ball.exposure.waiting).collect();
        assert_eq!(waiting, [None, Some(true), Some(false)]);
        assert_eq!(record.in_matches[&0].waited, 1);
        assert!(!history.matches[1].is_waiting_noted);
    }

    #[test]
    fn a_point_with_an_unknown_serve_is_kept() {
        let mut odd = point("m", "ghost", true);
        odd.unknown = Some("the wobbly one".to_owned());
        let history = fold(&[(day("2026-09-01"), Fact::Point(odd))]);
        assert_eq!(history.unknown, 1);
        assert_eq!(history.receiving.played, 1.0);
        assert_eq!(history.unknown_words, ["the wobbly one"]);
    }
}

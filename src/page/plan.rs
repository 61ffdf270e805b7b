//! The plan against one opponent: every serve with its receive and reasons, the safe receive, the
//! switches, and what a coach would object to.

use minijinja::context;
use minijinja::value::Serde as Filled;
use serde::Serialize;

use crate::base::{Day, Finding, text};
use crate::deck::{Deck, Player, Switch};
use crate::game::{Receive, Serve, ServeId};
use crate::journal::TableResults;
use crate::page::bat_words::twin_words;
use crate::page::numbers::so_far_at_table;
use crate::page::opponent::{
    about, bends, called_with_spin, how_often, line, receive_words, safe_words,
};
use crate::page::text_page::filled_text;
use crate::page::verdict_words::{so_far, what_to_do};
use crate::receive::{self, Bats};
use crate::tactics::history::OpponentHistory;
use crate::tactics::verdict::{Lesson, Verdict};

/// Columns of the names at most.
const WIDEST_NAME: usize = 34;

/// A receive in words, and what was written about it.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct PlannedReceive {
    /// In words, and with FH and BH.
    pub shown: String,
    pub short: String,
    /// The canonical text, as flags and journals write it.
    pub text: String,
    /// Why.
    pub why: Option<String>,
    /// The opponent's likely third ball.
    pub expect: Option<String>,
    /// The player's fourth.
    pub then: Option<String>,
    /// Of ten at the table, how many land; none when the repertoire does not hold it.
    pub of_ten: Option<u8>,
}

/// A serve and its answer.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize)]
pub struct Planned {
    /// The serve's id.
    pub serve: String,
    /// What it is called, with its spin.
    pub called: String,
    /// How often it comes, in words; empty when not known.
    pub how_often: String,
    /// The serve in words.
    pub shown: String,
    /// Which way it bends and leaves the bat.
    pub bends: Option<String>,
    /// What its twin is called.
    pub looks_like: Option<String>,
    /// What becomes of the receive when it is the twin.
    pub if_twin: Option<String>,
    /// The receive, when there is one.
    pub receive: Option<PlannedReceive>,
    /// What its points and the table say: `won 24 of 50 points (sure)`.
    pub points: Option<String>,
    /// The verdict, when there are points.
    pub verdict: Option<Verdict>,
    /// The verdict in a sentence.
    pub lesson: Option<String>,
}

/// One receive that a switch changes.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Change {
    /// The serve's id, and what it is called.
    pub serve: String,
    pub called: String,
    /// The receive of the plan, in words.
    pub old: Option<String>,
    /// The receive of the switch.
    pub new: PlannedReceive,
}

/// A switch.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct SwitchView {
    /// Its name.
    pub name: String,
    /// What calls for it.
    pub cue: Option<String>,
    /// What it changes.
    pub changes: Vec<Change>,
}

/// The plan as a document.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct PlanView {
    /// The opponent.
    pub opponent: String,
    /// What is known of their hand and bat.
    pub about: String,
    /// Where the deck comes from, when it is not the player's own scouting.
    pub source: Option<String>,
    /// The day of the newest match recorded or told, else the day in the deck.
    pub last_met: Option<Day>,
    /// What the newest debrief wrote for the next time.
    pub sentence: Option<String>,
    /// Every serve still served.
    pub serves: Vec<Planned>,
    /// The receive for anything unread or new.
    pub safe: Option<PlannedReceive>,
    /// The same for one kind of serve.
    pub safe_for: Vec<(&'static str, PlannedReceive)>,
    /// All of them in a line, where there are several.
    pub safe_words: Vec<(&'static str, String)>,
    /// The switches in reserve.
    pub switches: Vec<SwitchView>,
    /// What a coach would object to.
    pub objections: Vec<Finding>,
}

fn answer(receive: &Receive, serve: Option<&Serve>, player: &Player) -> PlannedReceive {
    PlannedReceive {
        shown: receive.shown(),
        short: receive.short(),
        text: receive.text(),
        why: line(receive.why.as_ref()),
        expect: line(receive.expect.as_ref()),
        then: line(receive.then.as_ref()),
        of_ten: player.of_ten(receive, serve),
    }
}

/// The same with its direction from where the serve comes.
fn answer_to(serve: &Serve, receive: &Receive, deck: &Deck, player: &Player) -> PlannedReceive {
    let shown = receive_words(receive, serve, player.hand, deck);
    PlannedReceive { shown, ..answer(receive, Some(serve), player) }
}

fn planned(deck: &Deck, serve: &Serve, player: &Player) -> Planned {
    Planned {
        serve: serve.id.to_string(),
        called: called_with_spin(deck, serve),
        how_often: how_often(serve),
        shown: serve.shown(),
        bends: bends(serve, deck.hand),
        looks_like: serve.looks_like.as_ref().map(|twin| deck.called(twin)),
        receive: deck.plan.get(&serve.id).map(|receive| answer_to(serve, receive, deck, player)),
        ..Planned::default()
    }
}

/// Builds the document, lanes as this player names them.
pub fn plan(deck: &Deck, player: &Player) -> PlanView {
    let deck = deck.seen_by(player.hand);
    let change = |(id, new): (&ServeId, &Receive)| Change {
        serve: id.to_string(),
        called: deck.called(id),
        old: deck.plan.get(id).map(Receive::shown),
        new: match deck.serve(id) {
            Some(serve) => answer_to(serve, new, &deck, player),
            None => answer(new, None, player),
        },
    };
    let switch = |switch: &Switch| SwitchView {
        name: text::one_line(&switch.name),
        cue: line(switch.cue.as_ref()),
        changes: switch.changes.iter().map(change).collect(),
    };
    let safe_for = deck.safe_for.each().map(|(kind, it)| (kind.word(), answer(it, None, player)));
    PlanView {
        opponent: text::one_line(&deck.opponent),
        about: about(&deck),
        source: line(deck.source.as_ref()),
        last_met: deck.last_met,
        sentence: None,
        serves: deck.active().map(|serve| planned(&deck, serve, player)).collect(),
        safe: deck.safe.as_ref().map(|receive| answer(receive, None, player)),
        safe_for: safe_for.collect(),
        safe_words: if deck.safe_for.is_empty() { Vec::new() } else { safe_words(&deck) },
        switches: deck.switches.iter().map(switch).collect(),
        objections: receive::of_deck(&deck).into_iter().map(|judged| judged.finding).collect(),
    }
}

impl PlanView {
    /// Adds what the points and debriefs say.
    pub fn add_points(&mut self, history: &OpponentHistory, lessons: &[Lesson]) {
        let newest = history.matches.first().map(|seen| seen.day);
        self.last_met = self.last_met.max(newest);
        self.sentence = history.matches.iter().find_map(|seen| line(seen.sentence.as_ref()));
        for lesson in lessons.iter().filter(|lesson| lesson.behind > 0.0) {
            let known = self.serves.iter_mut().find(|of| of.serve == lesson.serve.as_str());
            if let Some(serve) = known {
                serve.points = Some(so_far(&history.record(&lesson.serve, &lesson.receive)));
                serve.verdict = Some(lesson.verdict);
                serve.lesson = Some(what_to_do(lesson));
            }
        }
    }

    /// Adds what becomes of each receive when the serve is the twin it looks like; lanes of the
    /// deck already the player's own.
    pub fn add_twins(&mut self, deck: &Deck, bats: &Bats) {
        for (serve, receive) in deck.planned() {
            let known = self.serves.iter_mut().find(|of| of.serve == serve.id.as_str());
            if let Some(known) = known {
                known.if_twin = twin_words(bats, deck, serve, receive);
            }
        }
    }

    /// Adds how the receives of this deck went at the table.
    pub fn add_table(&mut self, deck: &Deck, results: &TableResults) {
        for serve in &mut self.serves {
            let planned = deck.planned().find(|(known, _)| serve.serve == known.id.as_str());
            let made = planned.and_then(|(known, it)| results.find(&deck.pattern(&known.id, it)));
            serve.points = so_far_at_table(serve.points.take(), made);
        }
    }

    /// The plan as text, `width` columns wide; with the reasons where they are asked for.
    pub fn text(&self, is_why: bool, width: usize) -> String {
        let names = self.serves.iter().map(|serve| text::width(&serve.called));
        let switches = self.switches.iter().map(|switch| text::width(&switch.name) + 9);
        let columns = names.chain(switches).max().unwrap_or_default().clamp(4, WIDEST_NAME);
        let document = context! { plan => Filled(self), is_why, columns };
        filled_text(include_str!("templates/plan.txt"), &document, width)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::base::Gravity;
    use crate::deck::editing;
    use crate::game::Hand;

    fn deck() -> Deck {
        let mut deck = Deck::new("Invented opponent", "abc234".to_owned());
        deck.hand = Some(Hand::Left);
        let mut serve = Serve::unknown("fast".parse().unwrap());
        let line = "motion=forehand spin=topspin lane=backhand depth=long pace=fast often=often";
        crate::deck::ServeLine::read(line).unwrap().write_into(&mut serve).unwrap();
        deck.serves.push(serve);
        deck
    }

    /// Serves without a receive.
    fn open(view: &PlanView) -> usize {
        view.serves.iter().filter(|serve| serve.receive.is_none()).count()
    }

    #[test]
    fn what_is_missing_and_what_a_coach_objects_to_is_said() {
        let mut deck = deck();
        let player = Player::new("Invented player", Hand::Right);
        let empty = plan(&deck, &player);
        assert_eq!(open(&empty), 1);
        assert!(empty.text(false, 80).contains("no receive yet"), "{}", empty.text(false, 80));
        let id = "fast".parse().unwrap();
        editing::set_receive(&mut deck, &id, "forehand touch to middle short".parse().unwrap());
        let view = plan(&deck, &player);
        assert_eq!(open(&view), 0);
        assert!(view.text(false, 80).contains("A coach would object"), "{}", view.text(false, 80));
        let is_error = |finding: &Finding| finding.gravity == Gravity::Error;
        assert!(!view.objections.iter().any(is_error), "an objection is no error");
    }

    #[test]
    fn no_line_is_wider_than_the_page() {
        let mut deck = deck();
        let mut receive: Receive = "backhand block early to wide_forehand long".parse().unwrap();
        receive.why = Some("their own pace is enough and more than enough ".repeat(5));
        editing::set_receive(&mut deck, &"fast".parse().unwrap(), receive.clone());
        deck.safe = Some(receive.clone());
        let id = "fast".parse().unwrap();
        receive.why = None;
        editing::add_to_switch(&mut deck, "a name", Some(&"when ".repeat(40)), &id, receive)
            .unwrap();
        let view = plan(&deck, &Player::new("Invented player", Hand::Right));
        for (width, is_why) in [(50, false), (50, true), (80, false), (80, true)] {
            for line in view.text(is_why, width).lines() {
                assert!(text::width(line) <= width, "{line}");
            }
        }
    }
}

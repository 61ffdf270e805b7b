//! The bench sheet: one page for the towel box, ordered by trouble.
//!
//! One big line a serve, what it is called and its receive; below it how it is told, the ball, and
//! what then; what the points say; each switch with its cue and its card; the safe receive. As a
//! printable page in [`crate::page::sheet_html`].

use minijinja::context;
use minijinja::value::Serde as Filled;
use serde::Serialize;

use crate::base::{Day, text};
use crate::deck::{Deck, Player, Switch};
use crate::game::{Hand, Receive, Serve, short_wings};
use crate::journal::TableMade;
use crate::page::bat_words::twin_words;
use crate::page::numbers::so_far_at_table;
use crate::page::opponent::{about, bends, how_often, receive_words, safe_words};
use crate::page::table_picture::TablePicture;
use crate::page::text_page::filled_text;
use crate::page::verdict_words::card_says;
use crate::receive::Bats;
use crate::tactics::adaptation::Card;

/// Columns of the names at most.
const WIDEST_NAME: usize = 34;

/// One serve on the sheet.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct ServeCard {
    /// The serve's id.
    pub serve: String,
    /// What it is called.
    pub called: String,
    /// How often it comes, in words.
    pub how_often: String,
    /// The serve in words, and what its place leaves to say.
    pub shown: String,
    pub ball: String,
    /// Which way it bends and leaves the bat.
    pub bends: Option<String>,
    /// What gives it away.
    pub tells: Vec<String>,
    /// At which scores it comes.
    pub scores: Vec<String>,
    /// What its twin is called.
    pub looks_like: Option<String>,
    /// What becomes of the receive when it is the twin.
    pub if_twin: Option<String>,
    /// The receive in words; none when the plan has none.
    pub receive: Option<String>,
    /// The switch that is due, whose receive this is, and the plan's receive it replaces.
    pub due: Option<(String, String)>,
    /// Why.
    pub why: Option<String>,
    /// The opponent's likely third ball.
    pub expect: Option<String>,
    /// The player's fourth.
    pub then: Option<String>,
    /// What is known of it beyond the deck.
    #[serde(flatten)]
    pub trouble: ServeTrouble,
    /// Where serve and receive go.
    pub picture: TablePicture,
}

/// A switch on the sheet.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct SwitchCard {
    /// Its name.
    pub name: String,
    /// When it is called: its cue; from the first ball when it is due.
    pub when: Option<String>,
    /// What the serve is called, old receive, new receive.
    pub changes: Vec<(String, Option<String>, String)>,
    /// When to change and back by points lost in a row, serve by serve.
    pub card: Option<String>,
    /// Whether it is ready: ready, not ready yet, never drilled.
    pub ready: Option<String>,
    /// The points call for it now: it stands first.
    pub is_due: bool,
}

/// The bench sheet of one opponent.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Sheet {
    /// The opponent.
    pub opponent: String,
    /// What is known of their bat and hand.
    pub about: String,
    /// The player.
    pub player: String,
    /// The day it was printed.
    pub day: Day,
    /// Where the deck comes from, when it is not the player's own scouting.
    pub source: Option<String>,
    /// What the player wrote for the next time.
    pub before: Vec<String>,
    /// Serves, most trouble first.
    pub rows: Vec<ServeCard>,
    /// The receives for anything unread or new.
    pub safe: Vec<(&'static str, String)>,
    /// The switches in reserve.
    pub switches: Vec<SwitchCard>,
    /// Serves left out because they are no longer served.
    pub retired: usize,
}

/// What is known about a serve beyond the deck: how much trouble it makes and how firm its answer
/// is.
#[derive(Debug, Clone, Default, PartialEq, Serialize)]
pub struct ServeTrouble {
    /// Higher comes first on the sheet; 0 when nothing is known.
    #[serde(skip)]
    pub weight: f64,
    /// How sure the answer is on the day: `not drilled`, `shaky` or `firm`.
    pub standing: Option<&'static str>,
    /// What its points and the table say: `won 9 of 21 points (likely)`.
    pub points: Option<String>,
    /// How the answer went at the table.
    #[serde(skip)]
    pub at_table: Option<TableMade>,
    /// What the verdict says of the answer, when there is something to do.
    pub lesson: Option<String>,
    /// The switch that holds its other answer, and the card for the two.
    #[serde(skip)]
    pub card: Option<(String, Card)>,
    /// The switch that is due and its receive.
    #[serde(skip)]
    pub due: Option<(String, Receive)>,
}

/// Builds the sheet; `trouble` says how much trouble each serve makes, `ready` whether a switch of
/// this name is; `before` what there is to do first.
pub fn sheet(
    deck: &Deck,
    player: &Player,
    day: Day,
    trouble: &dyn Fn(&Serve) -> ServeTrouble,
    ready: &dyn Fn(&str) -> Option<String>,
    before: &[String],
) -> Sheet {
    let deck = deck.seen_by(player.hand);
    let mut serves: Vec<_> = deck.active().map(|serve| (serve, trouble(serve))).collect();
    serves.sort_by(|(_, a), (_, b)| b.weight.total_cmp(&a.weight));
    let due = serves.iter().filter_map(|(_, trouble)| Some(&trouble.due.as_ref()?.0));
    let due: Vec<String> = due.cloned().collect();
    let card = |switch: &Switch| {
        let is_due = due.contains(&switch.name);
        let changes = switch
            .changes
            .iter()
            .map(|(id, new)| (deck.called(id), deck.plan.get(id).map(Receive::short), new.short()));
        SwitchCard {
            name: text::one_line(&switch.name),
            when: when(switch.cue.as_deref(), is_due),
            card: card_line(&deck, switch, &serves),
            changes: changes.collect(),
            ready: ready(&switch.name),
            is_due,
        }
    };
    let mut switches: Vec<SwitchCard> = deck.switches.iter().map(card).collect();
    // One whose every receive is the plan's already changes nothing.
    switches.retain(|card| card.changes.iter().any(|(_, old, new)| old.as_ref() != Some(new)));
    switches.sort_by_key(|card| !card.is_due);
    let row = |(serve, trouble)| serve_card(&deck, player.hand, serve, trouble);
    Sheet {
        opponent: text::one_line(&deck.opponent),
        about: about(&deck),
        player: text::one_line(&player.name),
        day,
        source: deck.source.as_deref().map(text::one_line),
        before: before.iter().map(|words| text::one_line(words)).collect(),
        rows: serves.into_iter().map(row).collect(),
        safe: safe_words(&deck),
        switches,
        retired: deck.serves.iter().filter(|serve| serve.retired).count(),
    }
}

/// When a switch is called.
fn when(cue: Option<&str>, is_due: bool) -> Option<String> {
    let cue = cue.map(text::one_line);
    if !is_due {
        return cue;
    }
    let sign = cue.map(|cue| format!("; the sign was: {cue}")).unwrap_or_default();
    Some(format!("from the first ball{sign}"))
}

/// The cards of the serves that a switch changes; which serve is said where there are several.
fn card_line(deck: &Deck, switch: &Switch, serves: &[(&Serve, ServeTrouble)]) -> Option<String> {
    let held = serves.iter().filter_map(|(serve, trouble)| {
        let (_, card) = trouble.card.as_ref().filter(|(name, _)| *name == switch.name)?;
        let of_serve = if switch.changes.len() > 1 {
            format!("{}: ", deck.called(&serve.id))
        } else {
            String::new()
        };
        Some(format!("{of_serve}{}", card_says(*card, "the switch")))
    });
    let lines: Vec<String> = held.collect();
    (!lines.is_empty()).then(|| lines.join(" "))
}

fn serve_card(deck: &Deck, player: Hand, serve: &Serve, mut trouble: ServeTrouble) -> ServeCard {
    trouble.points = so_far_at_table(trouble.points, trouble.at_table);
    let planned = deck.plan.get(&serve.id);
    let (switch, receive) = match &trouble.due {
        Some((switch, receive)) => (Some(text::one_line(switch)), Some(receive)),
        None => (None, planned),
    };
    let said = |of: fn(&Receive) -> &Option<String>| {
        receive.and_then(|receive| of(receive).as_deref()).map(text::one_line)
    };
    ServeCard {
        serve: serve.id.to_string(),
        called: deck.called(&serve.id),
        how_often: how_often(serve),
        shown: serve.shown(),
        ball: Serve { depth: None, lane: None, pace: None, sure: None, ..serve.clone() }.shown(),
        bends: bends(serve, deck.hand),
        tells: serve.tells.iter().map(|tell| text::one_line(tell)).collect(),
        scores: serve.scores.iter().map(|score| score.shown().to_owned()).collect(),
        looks_like: serve.looks_like.as_ref().map(|twin| deck.called(twin)),
        if_twin: None,
        receive: receive.map(|it| short_wings(&receive_words(it, serve, player, deck))).or_else(
            || {
                // What is played to a serve without a plan stands where the plan would.
                deck.safe_answer(serve).map(|safe| format!("safe: {}", safe.short()))
            },
        ),
        due: switch.map(|name| (name, planned.map(Receive::short).unwrap_or_default())),
        why: said(|receive| &receive.why),
        expect: said(|receive| &receive.expect),
        then: said(|receive| &receive.then),
        picture: TablePicture::draw(serve, receive, deck.hand, player),
        trouble,
    }
}

impl ServeCard {
    /// The lines below the big one, each behind its label; few where there is little room.
    pub(super) fn lines(&self, is_small: bool) -> Vec<(&'static str, String)> {
        let twin = self.looks_like.as_ref().map(|twin| {
            let then = self.if_twin.as_ref().map(|then| format!(", {then}")).unwrap_or_default();
            format!("looks like {twin}{then}")
        });
        let scores =
            (!self.scores.is_empty()).then(|| format!("more {}", text::and_list(&self.scores)));
        // Off the bat is what matters here.
        let kicks = self.bends.as_ref().and_then(|bends| bends.rsplit(", ").next());
        let is_probable = self.bends.as_ref().is_some_and(|bends| bends.starts_with("probably"));
        let kicks = kicks.map(|kicks| {
            let probably =
                if is_probable && !kicks.starts_with("probably") { "probably " } else { "" };
            format!("{probably}{}", kicks.replace("to your ", ""))
        });
        let see = self.tells.iter().chain(&twin).cloned().collect::<Vec<_>>().join("; ");
        let ball = std::iter::once(&self.ball).chain(&kicks).chain(&scores);
        let ball = ball.cloned().collect::<Vec<_>>().join("; ");
        let due = self.due.as_ref();
        let due = due.map(|(name, plan)| format!("\"{name}\"; the plan was {plan}"));
        let [points, lesson] = [&self.trouble.points, &self.trouble.lesson].map(Clone::clone);
        let lines = [
            ("switch", due, true),
            ("see", Some(see), true),
            ("ball", Some(ball), false),
            ("then", self.then.clone(), true),
            ("so far", points, false),
            ("note", lesson, true),
        ];
        let is_said = |(label, words, is_short): (_, Option<String>, bool)| {
            let words = words.filter(|words| !words.is_empty() && (is_short || !is_small))?;
            Some((label, words))
        };
        lines.into_iter().filter_map(is_said).collect()
    }
}

impl Sheet {
    /// Adds what becomes of each receive when the serve is the twin it looks like; lanes of the
    /// deck already the player's own.
    pub fn add_twins(&mut self, deck: &Deck, bats: &Bats) {
        for (serve, receive) in deck.planned() {
            let known = self.rows.iter_mut().find(|of| of.serve == serve.id.as_str());
            if let Some(known) = known.filter(|known| known.due.is_none()) {
                known.if_twin = twin_words(bats, deck, serve, receive);
            }
        }
    }

    /// The serves in whose own blocks the receive of a switch that is due stands.
    pub(super) fn due(&self) -> Vec<String> {
        self.rows.iter().filter(|row| row.due.is_some()).map(|row| row.called.clone()).collect()
    }

    /// The sheet as text, `width` columns wide.
    pub fn text(&self, width: usize) -> String {
        let names = self.rows.iter().map(|row| text::width(&row.called));
        let document = context! {
            sheet => Filled(self),
            columns => names.max().unwrap_or_default().min(WIDEST_NAME),
            due => self.due(),
            lines => self.rows.iter().map(|row| row.lines(false)).collect::<Vec<_>>(),
        };
        filled_text(include_str!("templates/sheet.txt"), &document, width)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn most_trouble_comes_first_and_no_line_is_wider_than_the_page() {
        let mut deck = Deck::new("Invented opponent", "abc234".to_owned());
        for id in ["calm", "trouble"] {
            let mut serve = Serve::unknown(id.parse().unwrap());
            serve.tells.push("the elbow rises a long time before the bat comes down ".repeat(3));
            deck.serves.push(serve);
            let mut receive: Receive = "forehand push early to middle short".parse().unwrap();
            receive.why = Some("takes the first loop away ".repeat(6));
            deck.plan.insert(id.parse().unwrap(), receive);
        }
        let player = Player::new("Invented player", Hand::Right);
        let by_name = |serve: &Serve| ServeTrouble {
            weight: f64::from(u8::from(serve.id.as_str() == "trouble")),
            standing: Some("shaky"),
            ..ServeTrouble::default()
        };
        let day = "2026-11-25".parse().unwrap();
        let sheet = sheet(&deck, &player, day, &by_name, &|_| None, &[]);
        assert_eq!(sheet.rows[0].serve, "trouble");
        for width in [60, 80] {
            for line in sheet.text(width).lines() {
                assert!(text::width(line) <= width, "{line}");
            }
        }
    }

    #[test]
    fn a_serve_without_a_receive_has_the_safe_answer_of_its_kind() {
        let mut deck = Deck::new("Invented opponent", "abc234".to_owned());
        let line = crate::deck::ServeLine::read("fast long backhand id=quick").unwrap();
        let mut serve = Serve::default();
        line.write_into(&mut serve).unwrap();
        deck.serves.push(serve);
        deck.safe = Some("push".parse().unwrap());
        deck.safe_for.fast = Some("backhand block to middle".parse().unwrap());
        let player = Player::new("Invented player", Hand::Right);
        let (day, trouble) = ("2026-11-25".parse().unwrap(), |_: &Serve| ServeTrouble::default());
        let sheet = sheet(&deck, &player, day, &trouble, &|_| None, &[]);
        assert_eq!(sheet.rows[0].receive.as_deref(), Some("safe: BH block, to the middle"));
        let fast = ("fast", "BH block, to the middle".to_owned());
        assert_eq!(sheet.safe, [fast, ("others", "push".to_owned())]);
    }
}

//! The bench sheet: one page for the towel box, ordered by trouble.
//!
//! Serve, receive, why, expect and then; the safe receive; each switch with its cue.

use serde::Serialize;

use crate::base::{Day, text};
use crate::deck::{Deck, Player};
use crate::game::{Hand, Receive, Serve, leaves_your_bat};

/// One serve on the sheet.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Row {
    /// The serve's id.
    pub serve: String,
    /// How often it comes, in words.
    pub how_often: String,
    /// The serve in words.
    pub shown: String,
    /// Which way it bends and leaves the bat.
    pub bends: Option<String>,
    /// What gives it away.
    pub tells: Vec<String>,
    /// At which scores it comes.
    pub scores: Vec<String>,
    /// Its twin.
    pub looks_like: Option<String>,
    /// The receive in words; none when the plan has none.
    pub receive: Option<String>,
    /// Why.
    pub why: Option<String>,
    /// The opponent's likely third ball.
    pub expect: Option<String>,
    /// The player's fourth.
    pub then: Option<String>,
    /// How sure the answer is on the day: untried, shaky or firm.
    pub standing: Option<String>,
}

/// A switch on the sheet.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct SwitchCard {
    /// Its name.
    pub name: String,
    /// What calls for it.
    pub cue: Option<String>,
    /// Serve, old receive, new receive.
    pub changes: Vec<(String, Option<String>, String)>,
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
    /// Serves, most trouble first.
    pub rows: Vec<Row>,
    /// The receive for anything unread or new.
    pub safe: Option<String>,
    /// The switches in reserve.
    pub switches: Vec<SwitchCard>,
    /// Serves left out because they are no longer served.
    pub retired: usize,
}

/// What is known about a serve beyond the deck: how much trouble it makes and how firm its answer is.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub struct Trouble {
    /// Higher comes first on the sheet; 0 when nothing is known.
    pub weight: f64,
    /// `untried`, `shaky` or `firm`.
    pub standing: Option<&'static str>,
}

/// Builds the sheet; `trouble` says how much trouble each serve makes.
pub fn sheet(deck: &Deck, player: &Player, day: Day, trouble: &dyn Fn(&Serve) -> Trouble) -> Sheet {
    let deck = deck.seen_by(player.hand);
    let mut serves: Vec<(&Serve, Trouble)> =
        deck.active().map(|serve| (serve, trouble(serve))).collect();
    serves.sort_by(|(_, a), (_, b)| b.weight.total_cmp(&a.weight));
    let rows = serves
        .into_iter()
        .map(|(serve, trouble)| row(&deck, serve, deck.plan.get(&serve.id), trouble))
        .collect();
    let switches = deck
        .switches
        .iter()
        .map(|switch| SwitchCard {
            name: text::one_line(&switch.name),
            cue: switch.cue.as_deref().map(text::one_line),
            changes: switch
                .changes
                .iter()
                .map(|(id, new)| {
                    (id.to_string(), deck.plan.get(id).map(Receive::shown), new.shown())
                })
                .collect(),
        })
        .collect();
    Sheet {
        opponent: text::one_line(&deck.opponent),
        about: about(&deck),
        player: text::one_line(&player.name),
        day,
        source: deck.source.as_deref().map(text::one_line),
        rows,
        safe: deck.safe.as_ref().map(Receive::shown),
        switches,
        retired: deck.serves.iter().filter(|serve| serve.retired).count(),
    }
}

fn about(deck: &Deck) -> String {
    let mut parts = Vec::new();
    parts.extend(deck.hand.map(|hand: Hand| hand.shown().to_owned()));
    parts.extend(deck.grip.map(|grip| grip.shown().to_owned()));
    parts.extend(deck.rubbers.as_deref().map(text::one_line));
    parts.join(", ")
}

/// `bends to your left, leaves your bat to the right`.
pub fn bends(serve: &Serve, server: Option<Hand>) -> Option<String> {
    let side = serve.breaks_for(server)?;
    Some(format!("bends to your {side}, leaves a quiet bat to the {}", leaves_your_bat(side)))
}

fn row(deck: &Deck, serve: &Serve, receive: Option<&Receive>, trouble: Trouble) -> Row {
    let said = |words: Option<&String>| words.map(|words| text::one_line(words));
    Row {
        serve: serve.id.to_string(),
        how_often: serve.how_often.map(|often| often.to_string()).unwrap_or_default(),
        shown: serve.shown(),
        bends: bends(serve, deck.hand),
        tells: serve.tells.iter().map(|tell| text::one_line(tell)).collect(),
        scores: serve.scores.iter().map(|score| score.shown().to_owned()).collect(),
        looks_like: serve.looks_like.as_ref().map(ToString::to_string),
        receive: receive.map(Receive::shown),
        why: said(receive.and_then(|receive| receive.why.as_ref())),
        expect: said(receive.and_then(|receive| receive.expect.as_ref())),
        then: said(receive.and_then(|receive| receive.then.as_ref())),
        standing: trouble.standing.map(str::to_owned),
    }
}

impl Sheet {
    /// The sheet as text, `width` columns wide.
    pub fn text(&self, width: usize) -> String {
        let mut lines = vec![
            self.opponent.to_uppercase(),
            format!("for {}, {}", self.player, self.day.date().format("%-d %B %Y")),
        ];
        if !self.about.is_empty() {
            lines.insert(1, self.about.clone());
        }
        if let Some(source) = &self.source {
            lines.push(format!("({source})"));
        }
        for (place, row) in self.rows.iter().enumerate() {
            lines.push(String::new());
            row_lines(&mut lines, place + 1, row, width);
        }
        lines.push(String::new());
        lines.push(match &self.safe {
            Some(safe) => {
                text::wrap(&format!("SAFE, for anything unread or new: {safe}"), width, "    ")
            }
            None => text::wrap(
                "SAFE: none set; one receive for anything unread helps under stress",
                width,
                "    ",
            ),
        });
        for switch in &self.switches {
            lines.push(String::new());
            lines.push(format!("SWITCH  {}", switch.name));
            if let Some(cue) = &switch.cue {
                entry(&mut lines, "when", cue, width);
            }
            for (serve, old, new) in &switch.changes {
                entry(&mut lines, "serve", serve, width);
                if let Some(old) = old {
                    entry(&mut lines, "not", old, width);
                }
                entry(&mut lines, "now", new, width);
            }
            lines.push("    everything else stays".to_owned());
        }
        lines.push(String::new());
        lines.push(text::wrap(
            "The event's rules on advice and devices come first; this sheet is paper.",
            width,
            "",
        ));
        let mut page = lines.join("\n");
        page.push('\n');
        page
    }
}

/// A label and its words, wrapped under each other.
fn entry(lines: &mut Vec<String>, label: &str, words: &str, width: usize) {
    let lead = format!("    {label:<7} ");
    let text = text::wrap(&format!("{lead}{words}"), width, "            ");
    lines.push(text);
}

fn row_lines(lines: &mut Vec<String>, number: usize, row: &Row, width: usize) {
    let mut facts = vec![row.serve.clone()];
    facts.extend((!row.how_often.is_empty()).then(|| row.how_often.clone()));
    facts.extend(row.standing.as_ref().map(|standing| format!("answer {standing}")));
    lines.push(format!("{number:>2}  {}", facts.join("  |  ")));
    lines.push(text::wrap(&format!("    {}", row.shown), width, "    "));
    if let Some(bends) = &row.bends {
        lines.push(format!("    {bends}"));
    }
    if !row.tells.is_empty() {
        entry(lines, "tell", &row.tells.join("; "), width);
    }
    if let Some(twin) = &row.looks_like {
        entry(lines, "twin", &format!("looks like {twin}"), width);
    }
    if !row.scores.is_empty() {
        entry(lines, "score", &format!("comes more {}", text::and_list(&row.scores)), width);
    }
    let receive = row.receive.as_deref().unwrap_or("no receive yet");
    lines.push(text::wrap(&format!(" >> {}", receive.to_uppercase()), width, "    "));
    for (label, words) in [("why", &row.why), ("expect", &row.expect), ("then", &row.then)] {
        if let Some(words) = words {
            entry(lines, label, words, width);
        }
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
        let by_name = |serve: &Serve| Trouble {
            weight: f64::from(u8::from(serve.id.as_str() == "trouble")),
            standing: Some("shaky"),
        };
        let sheet = sheet(&deck, &player, "2026-11-25".parse().unwrap(), &by_name);
        assert_eq!(sheet.rows[0].serve, "trouble");
        for width in [60, 80] {
            for line in sheet.text(width).lines() {
                assert!(text::width(line) <= width, "{line}");
            }
        }
    }
}

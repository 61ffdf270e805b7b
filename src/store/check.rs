//! `check`: reads everything a home holds and gives every finding; changes nothing.

use super::home::one_key;
use crate::base::{Finding, text};
use crate::deck::{MatchDay, Opponent, Player};
use crate::store::{Home, Trouble};

/// Opponents of events ahead or behind whom no deck is about.
pub fn strangers(player: &Player, stems: &[String]) -> Vec<Finding> {
    let known: Vec<&str> = stems.iter().map(String::as_str).collect();
    let stranger = |(event, opponent): (&MatchDay, &Opponent)| {
        let (name, deck) = (text::one_line(&event.name), text::one_line(&opponent.deck));
        let hint = match (text::closest(&deck, &known), known.is_empty()) {
            (Some(meant), _) => format!("did you mean `{meant}`?"),
            (None, true) => "no opponent is written down yet".to_owned(),
            (None, false) => format!("a file of decks/ without its ending: {}", known.join(", ")),
        };
        let what =
            format!("player.ron: `{name}` is against `{deck}`, and there is no decks/{deck}.ron");
        Finding::error(what).hint(hint)
    };
    let all =
        player.events.iter().flat_map(|event| event.opponents.iter().map(move |one| (event, one)));
    all.filter(|(_, opponent)| !known.contains(&opponent.deck.as_str())).map(stranger).collect()
}

impl Home {
    /// Reads everything and gives every finding; changes nothing.
    pub fn check(&self) -> Vec<Finding> {
        let mut findings = Vec::new();
        let mut note = |trouble: Trouble| match trouble {
            Trouble::Findings(found) => findings.extend(found),
            machine @ Trouble::Machine { .. } => findings.push(Finding::error(machine.to_string())),
        };
        match self.judged_player() {
            Ok(parsed) => note(Trouble::Findings(parsed.findings)),
            Err(trouble) => note(trouble),
        }
        let mut decks = Vec::new();
        match self.deck_stems() {
            Ok(stems) => {
                for stem in stems {
                    match self.judged_deck(&stem) {
                        Ok(parsed) => {
                            note(Trouble::Findings(parsed.findings));
                            decks.push((stem, parsed.value));
                        }
                        Err(trouble) => note(trouble),
                    }
                }
            }
            Err(trouble) => note(trouble),
        }
        note(Trouble::Findings(one_key(&decks)));
        if let (Ok(player), Ok(stems)) = (self.player(), self.deck_stems()) {
            note(Trouble::Findings(strangers(&player, &stems)));
        }
        match self.launcher_stems() {
            Ok(stems) => {
                for stem in stems {
                    match self.judged_launcher(&stem) {
                        Ok(parsed) => note(Trouble::Findings(
                            parsed.map(|parsed| parsed.findings).unwrap_or_default(),
                        )),
                        Err(trouble) => note(trouble),
                    }
                }
            }
            Err(trouble) => note(trouble),
        }
        match self.journal_findings() {
            Ok(found) => note(Trouble::Findings(found)),
            Err(trouble) => note(trouble),
        }
        findings
    }
}

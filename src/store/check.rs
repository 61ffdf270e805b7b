//! `check`: reads everything a home holds and gives every finding; changes nothing.

use super::home::one_key;
use crate::base::Finding;
use crate::store::{Home, Trouble};

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
        match self.journal() {
            Ok(ledger) => note(Trouble::Findings(ledger.findings)),
            Err(trouble) => note(trouble),
        }
        findings
    }
}

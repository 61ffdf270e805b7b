//! What the player may be asked to do next; decks are named by their file stems.

use super::patterns::PatternPart;

/// What to type next.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Todo {
    Scout,
    AddServes(String),
    ChoosePlan(String),
    AddSwitch(String),
    // A round; with no deck named it is today's list.
    Drill { mode: DrillMode, deck: Option<String>, switch: Option<String> },
    Rehearse(String),
    Sheet(String),
    Debrief,
    Check,
    Today,
}

/// How a round is drilled.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum DrillMode {
    Usual,
    /// Without a clock.
    Think,
    FiveMinutes,
}

impl Todo {
    /// Drills answers of a plan or a switch, due or not.
    pub(super) fn drill_part(deck: &str, part: &PatternPart) -> Self {
        let switch = match part {
            PatternPart::Plan => None,
            PatternPart::Switch(name) => Some(name.clone()),
        };
        Self::Drill { mode: DrillMode::Usual, deck: Some(deck.to_owned()), switch }
    }

    /// Drills a deck in some mode; with no deck, what is due.
    pub(super) fn drill(mode: DrillMode, deck: Option<&String>) -> Self {
        Self::Drill { mode, deck: deck.cloned(), switch: None }
    }
}

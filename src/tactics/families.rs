//! The mean of each receive family over every opponent: where a receive without points starts from.

use crate::game::Receive;
use crate::tactics::fault::TacticsError;
use crate::tactics::history::History;
use crate::tactics::rates::{Belief, FamilyMean, STRENGTH, Tally};
use crate::tactics::usual::Family;

/// Share of points a receiver wins before anything is known.
///
/// # Source
/// Receivers win slightly under half: Gomez, Garcia-de-Alcaraz & Furley 2017, 140 Olympic matches.
pub const RECEIVER_WINS: f64 = 0.48;

/// The mean of each receive family, over every opponent in the journal.
#[derive(Debug, Clone, PartialEq)]
pub struct Families {
    means: [f64; Family::ALL.len()],
    /// The same over clean points alone.
    clean: [f64; Family::ALL.len()],
}

impl Default for Families {
    /// Before any point.
    fn default() -> Self {
        let means = [RECEIVER_WINS; Family::ALL.len()];
        Self { means, clean: means }
    }
}

impl Families {
    /// From every opponent's points: receives of one family share a mean that none of them fixes alone.
    ///
    /// # Errors
    /// None for a journal of less than a million points.
    pub fn from_histories<'a>(
        histories: impl IntoIterator<Item = &'a History>,
    ) -> Result<Self, TacticsError> {
        let mut cells: [Vec<Tally>; Family::ALL.len()] = Default::default();
        let mut clean = cells.clone();
        for history in histories {
            for ((_, receive), record) in &history.patterns {
                if let Ok(receive) = Receive::from_text(receive.as_str())
                    && record.tally.played > 0.0
                {
                    cells[Family::of(receive.stroke) as usize].push(record.tally);
                    if record.clean.played > 0.0 {
                        clean[Family::of(receive.stroke) as usize].push(record.clean);
                    }
                }
            }
        }
        // Twenty points' worth of "slightly under half" before a family speaks for itself.
        let prior = Belief::from_mean(RECEIVER_WINS, 20.0)?;
        let mut families = Self::default();
        let means = families.means.iter_mut().zip(&cells);
        for (mean, cells) in means.chain(families.clean.iter_mut().zip(&clean)) {
            if !cells.is_empty() {
                *mean = FamilyMean::from_cells(cells, prior, &[STRENGTH])?.mean;
            }
        }
        Ok(families)
    }

    /// The mean of a family when its receives come neither loose nor missed.
    pub fn clean_mean(&self, family: Family) -> f64 {
        self.clean[family as usize]
    }

    /// The mean of a family.
    pub fn mean(&self, family: Family) -> f64 {
        self.means[family as usize]
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_family_moves_with_its_points_and_the_others_stay() {
        let mut history = History::default();
        let key = |text| crate::game::ReceiveKey::from_journal(text);
        for (place, text) in ["forehand flick", "backhand banana_flick"].into_iter().enumerate() {
            let serve = crate::game::ServeId::coined(&format!("s{place}"), &[]);
            let record = history.patterns.entry((serve, key(text))).or_default();
            record.tally = Tally { won: 24.0, played: 30.0 };
        }
        let families = Families::from_histories([&history]).unwrap();
        assert!(families.mean(Family::Flick) > 0.55);
        assert!(families.mean(Family::Flick) < 0.8);
        assert_eq!(families.mean(Family::Block), RECEIVER_WINS);
    }
}

//! The five pictures together.

use serde::Serialize;

use super::answers::Answered;
use super::at_table::{AtTable, at_table};
use super::film::{FilmCut, film};
use super::recall::{Recall, recall};
use super::request::ProgressRequest;
use super::switching::{Switches, switches};
use super::tempo::{Tempi, tempi};
use super::windows::{Windows, windows};
use crate::base::{Day, text};

/// What came of the work so far.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Progress {
    pub player: String,
    pub today: Day,
    /// The opponent, when only one was asked about.
    pub opponent: Option<String>,
    /// True when a simulated player gave some of the answers.
    pub has_simulated: bool,
    pub recall: Recall,
    pub windows: Windows,
    pub tempo: Tempi,
    pub switches: Switches,
    pub table: AtTable,
    pub film: Vec<FilmCut>,
}

/// Folds the journal into the five pictures.
pub fn progress(asked: &ProgressRequest<'_>) -> Progress {
    pictures(asked, &asked.answered())
}

/// The five pictures, from the timed answers asked about.
pub(super) fn pictures(asked: &ProgressRequest<'_>, answered: &Answered<'_>) -> Progress {
    Progress {
        player: text::one_line(&asked.player.name),
        today: asked.today,
        opponent: asked.opponent.map(text::one_line),
        has_simulated: answered.has_simulated,
        recall: recall(asked),
        windows: windows(asked, answered),
        tempo: tempi(asked, answered),
        switches: switches(asked),
        table: at_table(asked),
        film: film(asked),
    }
}

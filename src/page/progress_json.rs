//! Progress as JSON, in the form described in [`crate::agenda::progress`]: the document, and its
//! lines in words.

use serde::Serialize;

use crate::agenda::progress::{
    AtTable, Counsel, Progress, Recall, SwitchCost, TableOf, Tempi, Windows,
};
use crate::page::progress_words::{AdviceLine, advice_line};

/// A picture with its line.
#[derive(Serialize)]
struct Advised<'a, T> {
    #[serde(flatten)]
    picture: &'a T,
    advice: AdviceLine,
}

#[derive(Serialize)]
struct ProgressDocument<'a> {
    #[serde(flatten)]
    head: &'a Progress,
    recall: Advised<'a, Recall>,
    windows: Advised<'a, Windows>,
    tempo: Advised<'a, Tempi>,
    switches: SwitchesDocument<'a>,
    table: TableDocument<'a>,
}

#[derive(Serialize)]
struct SwitchesDocument<'a> {
    costs: Vec<Advised<'a, SwitchCost>>,
    none: Option<AdviceLine>,
}

#[derive(Serialize)]
struct TableDocument<'a> {
    #[serde(flatten)]
    head: &'a AtTable,
    opponents: Vec<Advised<'a, TableOf>>,
    none: Option<AdviceLine>,
}

fn advised<'a, T>(picture: &'a T, counsel: &Counsel) -> Advised<'a, T> {
    Advised { picture, advice: advice_line(counsel) }
}

/// The document as text.
pub fn json(progress: &Progress) -> String {
    let Progress { recall, windows, tempo, switches, table, .. } = progress;
    crate::page::json(&ProgressDocument {
        head: progress,
        recall: advised(recall, &recall.counsel),
        windows: advised(windows, &windows.counsel),
        tempo: advised(tempo, &tempo.counsel),
        switches: SwitchesDocument {
            costs: switches.costs.iter().map(|cost| advised(cost, &cost.counsel)).collect(),
            none: switches.none.as_ref().map(advice_line),
        },
        table: TableDocument {
            head: table,
            opponents: table.opponents.iter().map(|one| advised(one, &one.counsel)).collect(),
            none: table.none.as_ref().map(advice_line),
        },
    })
}

//! The sheet of a session as a document: head, stands with their balls, blocks, what is typed after
//! it.
//!
//! A ball is described once, under its mark; blocks are strings of marks. Terminal and paper set
//! the same document.

use serde::Serialize;

use crate::page::rehearsal::set_up::DrawnSetUp;

/// The whole sheet.
#[derive(Debug, Serialize)]
pub(crate) struct SessionSheet {
    pub title: String,
    /// How long, how many balls, which switch.
    pub head: Vec<String>,
    /// How left, right and marks are meant.
    pub reading: Vec<String>,
    pub cautions: Vec<String>,
    pub stands: Vec<StandSheet>,
    /// What of the serves this launcher cannot do, and what is not in the session.
    pub cannot: Vec<String>,
    /// What holds between blocks.
    pub between: String,
    pub blocks: Vec<BlockSheet>,
    /// The command that brings the results back; none where nothing is written down.
    pub command: Option<String>,
    pub has_more: bool,
    /// The stands as they are drawn, in their order.
    #[serde(skip)]
    pub drawn: Vec<DrawnSetUp>,
}

/// Where the launcher stands, and the balls from there.
#[derive(Debug, Serialize)]
pub(crate) struct StandSheet {
    /// Counts from 1; none where there is only one.
    pub number: Option<usize>,
    pub words: String,
    pub balls: Vec<MarkedBall>,
}

/// A ball under its mark.
#[derive(Debug, Serialize)]
pub(crate) struct MarkedBall {
    /// The letter of its answer, and a number where another ball has that answer too.
    pub mark: String,
    /// The serve it stands for, or what is another about it.
    pub what: String,
    /// Its answer, once a letter.
    pub answer: Option<String>,
    /// How it is set or made.
    pub set: Vec<String>,
}

/// A block.
#[derive(Debug, Serialize)]
pub(crate) struct BlockSheet {
    pub number: u32,
    /// What it does, with which ball, how fast.
    pub name: String,
    /// The coaching line and notes, each said once on the sheet.
    pub says: Vec<String>,
    /// The order of the balls; empty where all are one.
    pub order: Vec<OrderLine>,
    pub log: Vec<LogSlot>,
}

/// Balls in a row.
#[derive(Debug, Serialize)]
pub(crate) struct OrderLine {
    /// What is called before the first of them.
    pub calls: Vec<String>,
    /// The number of the first of them.
    pub from: u32,
    pub marks: Vec<String>,
}

/// Where a result is written.
#[derive(Debug, Serialize)]
pub(crate) struct LogSlot {
    pub letter: char,
    pub balls: u32,
}

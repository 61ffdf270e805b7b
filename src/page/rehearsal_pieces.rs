//! The sheet of a session as pieces in order: titles, labelled words, lists, calls, log lines. Built once; the terminal
//! ([`crate::page::rehearsal`]) and the printed page ([`crate::page::rehearsal_html`]) only set them. A block is
//! [`crate::page::rehearsal_block`]'s.
//!
//! Every kind of launcher reads it in its own way: knob positions for one setting, lanes for a sweep, a
//! list for a programmed launcher, call sheets for people. What repeats is said once: receives stand in
//! front of the balls under a letter.

use serde::Serialize;

use crate::base::{Units, text};
use crate::launcher::{Kind, SetUp, Settings};
use crate::page::rehearsal_words::{Letters, aside, unlogged};
use crate::rehearsal::{Block, Phase, Session};

/// Columns of the command that brings the results back, so that it stays on one line.
const COMMAND: usize = 66;

/// One ball of a list.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub(super) struct Row {
    pub(super) number: u32,
    /// Theirs first.
    pub(super) score: Option<(u32, u32)>,
    pub(super) serve: String,
    pub(super) lands: String,
    pub(super) spin: String,
    /// The letter of the answer.
    pub(super) answer: char,
    /// True for a small change.
    pub(super) is_changed: bool,
    /// What is entered for it, where that differs from ball to ball.
    pub(super) settings: Option<String>,
}

/// One piece of the sheet.
#[derive(Debug, Clone, PartialEq)]
pub(super) enum Piece {
    /// A line of its own.
    Line(String),
    /// The title of a part.
    Title(&'static str),
    /// The title of a block, and its balls.
    Block(String, String),
    /// The set-up a block begins with, where the launcher is put or moved.
    SetUp(SetUp),
    /// An entry of a list of sentences.
    Entry(String),
    /// A label and its words; an empty label goes on with the one before.
    Labelled(&'static str, String),
    /// The list of letters: the number of its first ball, and the letters; true for the first line of a block.
    Letters(bool, u32, Vec<char>),
    /// What stands above a list of balls; whether scores are in it.
    Head(bool),
    /// A ball of a list; whether scores are in it.
    Ball(Row, bool),
    /// Own serves between two balls, and the score after them where no list says it.
    OwnServes(u32, Option<(u32, u32)>),
    /// A log line: whether it is a block's first, its number, balls, serve, and what counts.
    Log(bool, u32, u32, String, Option<String>),
}

/// The pieces of a session, lengths in the player's units.
pub(super) fn pieces(session: &Session, units: Units) -> Vec<Piece> {
    let letters = Letters::of(session);
    let mut page = Page { pieces: Vec::new(), session, letters, units };
    page.head();
    page.serves();
    page.losses();
    for block in &session.blocks {
        page.block(block);
    }
    page.foot();
    page.pieces
}

/// A sheet being made.
pub(super) struct Page<'a> {
    pub(super) pieces: Vec<Piece>,
    pub(super) session: &'a Session,
    pub(super) letters: Letters,
    pub(super) units: Units,
}

impl Page<'_> {
    fn line(&mut self, words: &str) {
        self.pieces.push(Piece::Line(words.to_owned()));
    }

    fn title(&mut self, title: &'static str) {
        self.pieces.push(Piece::Title(title));
    }

    /// A label and its text.
    pub(super) fn labelled(&mut self, label: &'static str, words: &str) {
        self.pieces.push(Piece::Labelled(label, words.to_owned()));
    }

    /// An entry of a list.
    fn entry(&mut self, words: &str) {
        self.pieces.push(Piece::Entry(words.to_owned()));
    }

    fn head(&mut self) {
        let session = self.session;
        self.line(&format!("Rehearsal against {}", text::one_line(&session.opponent)));
        self.line(&format!(
            "{} in {}, about {:.0} min after {} min of warm-up; seed {}",
            text::count(session.received(), "ball"),
            text::count(session.blocks.len(), "block"),
            session.minutes.ceil(),
            session.warm_up_min,
            session.seed
        ));
        self.line(&format!("{}: {}", text::one_line(&session.launcher), session.kind));
        if let Some(switch) = &session.switch {
            self.line(&format!(
                "The switch `{}` is called before ball {}",
                text::one_line(&switch.name),
                switch.at_ball
            ));
        }
        match session.kind {
            Kind::Feeder => self.line(
                "This sheet is the feeder's: where a ball lands and the side it bends to are your\nleft and right, facing the receiver, who must not see the order.",
            ),
            Kind::Partner => self.line(
                "This sheet is the server's: left and right are yours, facing the receiver;\nhide the order from the receiver. Only your motion trains reading; say nothing\nbefore the serve.",
            ),
            _ => {
                self.line("Left and right are seen from behind the launcher, facing the receiver.");
                self.dials();
            }
        }
        self.title("Before the first ball");
        for caution in &session.cautions {
            self.entry(caution);
        }
    }

    /// What the numbers to enter are worth, where the dials were never calibrated.
    fn dials(&mut self) {
        let blocks = &self.session.blocks;
        let each = |block: &Block| -> Vec<Settings> {
            block
                .balls
                .iter()
                .filter_map(|ball| ball.settings.clone())
                .chain(block.settings.clone())
                .collect()
        };
        let all: Vec<Settings> = blocks.iter().flat_map(each).collect();
        if all.is_empty() || all.iter().any(|settings| !settings.dials.is_empty()) {
            return;
        }
        self.line(if all.iter().any(|settings| settings.guess.is_some()) {
            "Dial values are a guess to trim from; `secondball launcher calibrate --help`\nsays how to learn them."
        } else {
            "Your dials are unknown, so this is speed, angles and spin: set them by the\nfirst bounce, or teach them once: `secondball launcher calibrate --help`."
        });
    }

    fn serves(&mut self) {
        self.title("The serves");
        for known in &self.session.serves {
            self.line(&format!(
                "  {} ({})",
                known.serve,
                text::count(known.balls as usize, "ball")
            ));
            self.labelled("", &known.words);
            if let Some(words) = aside(known, self.session.player) {
                self.labelled("", &words);
            }
            self.labelled("answer", &known.receive.shown());
            if let Some(why) = &known.receive.why {
                self.labelled("because", why);
            }
            if let Some(stand_in) = &known.stand_in {
                let look = if stand_in.looks_right {
                    ""
                } else {
                    "; the ball is the same, the look is not: it trains the answer, not the reading"
                };
                self.labelled("serve it", &format!("{}{look}", stand_in.shown()));
            }
        }
        if let Some(others) = unlogged(self.session.blocks.iter()) {
            self.line(&format!("  and {others}"));
        }
    }

    fn losses(&mut self) {
        let session = self.session;
        if !session.limits.is_empty() {
            self.title(if session.kind.is_person() {
                "What cannot be fed so, and the nearest that can"
            } else {
                "What this launcher cannot do, and the nearest it can"
            });
            for loss in &session.limits {
                self.entry(&format!(
                    "{}: not {}, because {}. Instead: {}.",
                    loss.serve, loss.limit.what, loss.limit.why, loss.limit.nearest
                ));
            }
        }
        if !session.refused.is_empty() {
            self.title("Not in this session");
            for refused in &session.refused {
                self.entry(&format!("{}: {}. {}.", refused.serve, refused.why, refused.hint));
            }
        }
        if !session.left_out.is_empty() && session.blocks.iter().any(|b| b.phase == Phase::Vary) {
            self.title("Only with another launcher or a person");
            for left in &session.left_out {
                self.entry(&format!("{}: {}", left.variation, left.why));
            }
        }
    }

    fn foot(&mut self) {
        self.title("Afterwards");
        let which = self.session.number.map(|number| format!(" --session {number}"));
        let mut command = format!("secondball rehearse log{}", which.unwrap_or_default());
        let mut is_whole = true;
        for line in self.session.log() {
            let result = format!(" {0}/{0}", line.balls);
            is_whole = text::width(&command) + result.len() <= COMMAND;
            if !is_whole {
                break;
            }
            command.push_str(&result);
        }
        self.labelled("write", &command);
        let rest = if is_whole { "" } else { ", and so on" };
        self.labelled(
            "",
            &format!(
                "with your numbers: one result a log line, in order{rest}; made/balls, or \
                 made/balls/wrong receive; - skips a line"
            ),
        );
    }
}

//! The sheet of a session as pieces in order: titles, labelled words, lists, calls, log lines. Built once; the terminal
//! ([`crate::page::rehearsal`]) and the printed page ([`crate::page::rehearsal_html`]) only set them.
//!
//! Every kind of launcher reads it in its own way: knob positions for one setting, lanes for a sweep, a
//! list for a programmed launcher, call sheets for people. What repeats is said once: receives stand in
//! front of the balls under a letter.

use std::collections::BTreeMap;

use serde::Serialize;

use crate::base::{Units, text};
use crate::game::Receive;
use crate::launcher::{Kind, SetUp, Settings, Shade, Thrown};
use crate::page::rehearsal_knobs::{entered, entered_in_a_list, knobs, rate};
use crate::page::rehearsal_words::{
    Letters, aside, feeder_zone, is_one_setting, is_varied, long_spin, pace_word, received,
    short_spin, unlogged,
};
use crate::rehearsal::{Ball, Block, Cue, Phase, Role, Session, Variation};

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

struct Page<'a> {
    pieces: Vec<Piece>,
    session: &'a Session,
    letters: Letters,
    units: Units,
}

impl Page<'_> {
    fn line(&mut self, words: &str) {
        self.pieces.push(Piece::Line(words.to_owned()));
    }

    fn title(&mut self, title: &'static str) {
        self.pieces.push(Piece::Title(title));
    }

    /// A label and its text.
    fn labelled(&mut self, label: &'static str, words: &str) {
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

    fn block(&mut self, block: &Block) {
        let does = match block.variation {
            // One ball of one setting is not random.
            Variation::FarThenClose if is_one_setting(block) => "far back first, then closer",
            other => other.shown(),
        };
        let name = format!("Block {}: {}, {does}", block.number, block.phase);
        let numbers: Vec<u32> = block.balls.iter().filter_map(|ball| ball.number).collect();
        let balls = match (numbers.first(), numbers.last()) {
            (Some(first), Some(last)) if first != last => format!("balls {first} to {last}"),
            (Some(only), _) => format!("ball {only}"),
            _ => String::new(),
        };
        self.pieces.push(Piece::Block(name, balls));
        if (block.is_moved || block.number == 1) && self.session.kind != Kind::Partner {
            self.pieces.push(Piece::SetUp(block.set_up));
        }
        if block.is_moved {
            self.labelled("move", &block.set_up.shown_in(self.units));
        } else if block.number == 1 {
            self.stand(block);
        }
        if let Some(around) = block.around.as_ref().filter(|_| is_varied(block)) {
            self.labelled("around", around.as_str());
        }
        if block.refill && block.number > 1 {
            self.labelled("hopper", "fill it");
        }
        if let Some(change) = &block.change {
            self.labelled("change", change);
        }
        self.setting(block);
        for note in &block.notes {
            self.labelled("note", note);
        }
        if let Some(coaching) = &block.coaching {
            self.labelled("coach", coaching);
        }
        self.answers(block);
        // The same ball with the same answer again and again is no list.
        let has_score = block.balls.iter().any(|ball| ball.score.is_some());
        let is_one = is_one_setting(block) && self.letters_of(block).len() < 2;
        if block.is_called || is_one && has_score {
            self.called(block);
        } else if block.sweep.is_empty() && !is_one {
            self.list(block);
        }
        self.log(block);
        if block.rest_s > 0 {
            self.labelled("rest", &format!("{} s while picking up", block.rest_s));
        }
    }

    fn setting(&mut self, block: &Block) {
        let Some(first) = block.balls.first() else { return };
        let session = self.session;
        if session.kind.is_person() {
            if block.variation == Variation::OneServe {
                self.labelled("ball", &self.person_ball(&first.thrown));
            }
            self.labelled("rate", &format!("{}, with a full reset", rate(&block.rate)));
            return;
        }
        if let Some(settings) = &block.settings {
            self.labelled("enter", &entered(settings));
            if let Some(guess) = settings.guess.as_ref().filter(|_| settings.dials.is_empty()) {
                self.labelled("dials", &format!("about {guess}; trim from there"));
            }
        } else if is_one_setting(block) || !block.sweep.is_empty() {
            self.labelled(
                "ball",
                &format!("{}, {}", first.thrown.zone_shown(), first.thrown.throw),
            );
            for (knob, position) in
                knobs(&first.thrown, &block.set_up, session.player, session.wheels, self.units)
            {
                if knob == "aim" && !block.sweep.is_empty() {
                    let lanes: Vec<&str> = block.sweep.iter().map(|lane| lane.shown()).collect();
                    self.labelled("sweep", &format!("over {}", text::and_list(&lanes)));
                } else {
                    self.labelled(knob, &position);
                }
            }
        }
        let away = match block.thrown_away() {
            0 => String::new(),
            away => format!("{away} to let go, the first watched from the side; then "),
        };
        self.labelled(
            "balls",
            &format!("{away}{} to receive; {}", block.received(), rate(&block.rate)),
        );
        let stored = session.stored_balls as usize;
        if session.kind == Kind::PerBall && stored > 0 && !is_one_setting(block) {
            self.labelled("store", &format!("one sequence of {} ({stored} fit)", block.received()));
        }
    }

    /// Where to stand for the first block.
    fn stand(&mut self, block: &Block) {
        let session = self.session;
        let words = match (session.kind, session.hand) {
            (Kind::Partner, _) => return,
            (Kind::Feeder, _) => {
                "where the server stands, out of the line of hard returns".to_owned()
            }
            _ => block.set_up.shown_in(self.units),
        };
        self.labelled("stand", &words);
    }

    /// The receives of a block; each keeps its letter through the session.
    fn answers(&mut self, block: &Block) {
        for (place, (letter, balls)) in self.letters_of(block).into_iter().enumerate() {
            let Some(ball) = balls.first() else { continue };
            let serve = balls.iter().find_map(|ball| ball.serve.as_ref());
            let is_new = balls.iter().any(|ball| ball.serve.is_none());
            let serve = match serve {
                Some(serve) if is_new => format!("  ({serve}, and the variation)"),
                Some(serve) => format!("  ({serve})"),
                None if block.is_called => "  (anything new)".to_owned(),
                None => String::new(),
            };
            let receive = ball.receive.as_ref().map(Receive::shown).unwrap_or_default();
            let label = if place == 0 { "answer" } else { "" };
            self.labelled(label, &format!("{letter}  {receive}{serve}"));
        }
    }

    /// The letters of a block in order, each with its balls.
    fn letters_of<'b>(&self, block: &'b Block) -> BTreeMap<char, Vec<&'b Ball>> {
        let mut own: BTreeMap<char, Vec<&Ball>> = BTreeMap::new();
        for ball in received(block).filter(|ball| ball.receive.is_some()) {
            own.entry(self.letters.letter(ball)).or_default().push(ball);
        }
        own
    }

    /// The list of a block in which only the answer changes: ten letters a line.
    fn called(&mut self, block: &Block) {
        let mut row: (u32, Vec<char>) = (0, Vec::new());
        let mut is_first = true;
        if let Some((them, me)) = received(block).find_map(|ball| ball.score) {
            self.labelled("score", &format!("{them}-{me} at the first ball, theirs first"));
        }
        for ball in received(block) {
            for cue in &ball.cues {
                self.flush_row(&mut row, &mut is_first);
                self.cue(cue, ball.score);
            }
            let number = ball.number.unwrap_or_default();
            if row.1.is_empty() {
                row.0 = number;
            }
            row.1.push(self.letters.letter(ball));
            if number % 10 == 0 {
                self.flush_row(&mut row, &mut is_first);
            }
        }
        self.flush_row(&mut row, &mut is_first);
    }

    fn flush_row(&mut self, row: &mut (u32, Vec<char>), is_first: &mut bool) {
        if !row.1.is_empty() {
            self.pieces.push(Piece::Letters(*is_first, row.0, std::mem::take(&mut row.1)));
            *is_first = false;
        }
    }

    /// One ball a line.
    fn list(&mut self, block: &Block) {
        let session = self.session;
        let has_score = block.balls.iter().any(|ball| ball.score.is_some());
        if has_score {
            self.labelled("score", "theirs first");
        }
        self.pieces.push(Piece::Head(has_score));
        for ball in received(block) {
            for cue in &ball.cues {
                self.cue(cue, None);
            }
            let serve = match (&ball.serve, ball.role) {
                (Some(serve), _) => serve.to_string(),
                (None, Role::OtherWing) => "other wing".to_owned(),
                (None, _) => "variation".to_owned(),
            };
            let lands = if session.kind == Kind::Feeder {
                feeder_zone(&ball.thrown, session.player)
            } else {
                format!("{}{} {}", pace_word(&ball.thrown), ball.thrown.depth, ball.thrown.lane)
            };
            let row = Row {
                number: ball.number.unwrap_or_default(),
                score: ball.score,
                serve,
                lands,
                spin: short_spin(&ball.thrown, session.kind.is_person()),
                answer: self.letters.letter(ball),
                is_changed: ball.thrown.shade.is_some(),
                settings: ball.settings.as_ref().map(entered_in_a_list),
            };
            self.pieces.push(Piece::Ball(row, has_score));
        }
        let mut shades: Vec<&str> =
            block.balls.iter().filter_map(|ball| ball.thrown.shade).map(Shade::shown).collect();
        shades.dedup();
        if !shades.is_empty() {
            self.labelled("*", &format!("a small change: {}", shades.join(", then ")));
        }
    }

    fn cue(&mut self, cue: &Cue, score: Option<(u32, u32)>) {
        match cue {
            Cue::OwnServes(count) => self.pieces.push(Piece::OwnServes(*count, score)),
            Cue::Stay => self.labelled("CALL", "\"Stay.\" The plan is kept."),
            Cue::Call(call) => {
                self.labelled("CALL", &format!("\"{}!\"", call.name));
                if let Some(cue) = &call.cue {
                    self.labelled("when", cue);
                }
                for change in &call.changes {
                    self.labelled(
                        "",
                        &format!("{}: until now {}", change.serve, change.old.shown()),
                    );
                    self.labelled("", &format!("from now on {}", change.new.shown()));
                }
            }
        }
    }

    fn log(&mut self, block: &Block) {
        for (line, place) in block.log.iter().zip(0..) {
            let target = (!line.receive.to.is_open()).then(|| line.receive.to.shown());
            let serve = line.serve.to_string();
            self.pieces.push(Piece::Log(place == 0, line.number, line.balls, serve, target));
        }
        if let Some(others) = unlogged(std::iter::once(block)) {
            self.labelled(if block.log.is_empty() { "log" } else { "" }, &others);
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

    /// A ball as a person feeds or serves it.
    fn person_ball(&self, thrown: &Thrown) -> String {
        let zone = if self.session.kind == Kind::Feeder {
            feeder_zone(thrown, self.session.player)
        } else {
            format!("{}{}", pace_word(thrown), thrown.zone_shown())
        };
        let shade = thrown.shade.map(|shade| format!(", {}", shade.shown())).unwrap_or_default();
        format!("{zone}, {}{shade}", long_spin(thrown, self.session.kind.is_person()))
    }
}

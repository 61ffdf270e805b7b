//! The sheet of a session as pieces in order: titles, labelled words, lists, calls, log lines. Built once; the terminal
//! ([`crate::page::rehearsal`]) and the printed page ([`crate::page::rehearsal_html`]) only set them.
//!
//! Every kind of launcher reads it in its own way: knob positions for one setting, lanes for a sweep, a
//! list for a programmed launcher, call sheets for people. What repeats is said once: receives stand in
//! front of the balls under a letter.

use crate::base::{Units, text};
use crate::game::{Receive, leaves_your_bat};
use crate::launcher::{Kind, SetUp, Shade, Thrown};
use crate::page::rehearsal_knobs::{entered, knobs, rate};
use crate::page::rehearsal_words::{
    Letters, feeder_zone, is_one_setting, is_varied, pace_word, received, short_spin,
};
use crate::rehearsal::{Ball, Block, Cue, Phase, Role, Session, Variation};

/// One ball of a list.
#[derive(Debug, Clone, PartialEq, Eq)]
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
    /// Own serves between two balls.
    OwnServes(u32),
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
                "This sheet is the feeder's: left and right are yours, facing the receiver,\nwho must not see the order.",
            ),
            Kind::Partner => self.line(
                "This sheet is the server's: hide the order from the receiver. Only your motion\ntrains reading; say nothing before the serve.",
            ),
            _ => {}
        }
        self.title("Before the first ball");
        for caution in &session.cautions {
            self.entry(caution);
        }
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
            if let Some(bends) = known.bends {
                let leaves = leaves_your_bat(bends);
                self.labelled(
                    "",
                    &format!("bends to the receiver's {bends}, leaves a quiet bat to the {leaves}"),
                );
            }
            self.labelled("answer", &known.receive.shown());
            if let Some(why) = &known.receive.why {
                self.labelled("because", why);
            }
            if let Some(stand_in) = &known.stand_in {
                let look = if stand_in.looks_right {
                    ""
                } else {
                    "; the ball is right, the look is not: it trains the answer, not the reading"
                };
                self.labelled("serve it", &format!("{}{look}", stand_in.shown()));
            }
        }
    }

    fn losses(&mut self) {
        let session = self.session;
        if !session.limits.is_empty() {
            self.title("What this launcher cannot do, and the nearest it can");
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
        let name = format!("Block {}: {}, {}", block.number, block.phase, block.variation);
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
        if block.is_called {
            self.called(block);
        } else if block.sweep.is_empty() && block.variation != Variation::OneServe {
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
        let mut own: Vec<(char, &Ball)> = Vec::new();
        for ball in received(block).filter(|ball| ball.receive.is_some()) {
            let letter = self.letters.letter(ball);
            if !own.iter().any(|(known, _)| *known == letter) {
                own.push((letter, ball));
            }
        }
        own.sort_by_key(|(letter, _)| *letter);
        for (place, (letter, ball)) in own.into_iter().enumerate() {
            let serve = match (&ball.serve, ball.role) {
                (Some(serve), _) => format!("  ({serve})"),
                (None, _) if block.is_called => "  (anything new)".to_owned(),
                (None, _) => String::new(),
            };
            let receive = ball.receive.as_ref().map(Receive::shown).unwrap_or_default();
            let label = if place == 0 { "answer" } else { "" };
            self.labelled(label, &format!("{letter}  {receive}{serve}"));
        }
    }

    /// The list of a block in which only the answer changes: ten letters a line.
    fn called(&mut self, block: &Block) {
        let mut row: (u32, Vec<char>) = (0, Vec::new());
        let mut is_first = true;
        for ball in received(block) {
            for cue in &ball.cues {
                self.flush_row(&mut row, &mut is_first);
                self.cue(cue);
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
                self.cue(cue);
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
                settings: ball.settings.as_ref().map(entered),
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

    fn cue(&mut self, cue: &Cue) {
        match cue {
            Cue::OwnServes(count) => self.pieces.push(Piece::OwnServes(*count)),
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
    }

    fn foot(&mut self) {
        self.title("Afterwards");
        self.labelled(
            "write",
            "secondball rehearse log 16/20 ..., one result a log line, in order;",
        );
        self.labelled("", "made/balls, or made/balls/wrong receive; - skips a line");
    }

    /// A ball as a person feeds or serves it.
    fn person_ball(&self, thrown: &Thrown) -> String {
        let zone = if self.session.kind == Kind::Feeder {
            feeder_zone(thrown, self.session.player)
        } else {
            format!("{}{}", pace_word(thrown), thrown.zone_shown())
        };
        let shade = thrown.shade.map(|shade| format!(", {}", shade.shown())).unwrap_or_default();
        format!("{zone}, {}{shade}", short_spin(thrown, self.session.kind.is_person()))
    }
}

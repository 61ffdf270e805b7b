//! One block of a session's sheet as pieces: where the launcher stands, what is entered, the answers, the list of balls
//! or of calls, the log lines.

use std::collections::BTreeMap;

use crate::base::text;
use crate::game::Receive;
use crate::launcher::{Kind, Shade, Thrown};
use crate::page::rehearsal_knobs::{entered, entered_in_a_list, knobs, rate};
use crate::page::rehearsal_pieces::{Page, Piece, Row};
use crate::page::rehearsal_words::{
    feeder_zone, is_one_setting, is_varied, long_spin, pace_word, received, short_spin, unlogged,
};
use crate::rehearsal::{Ball, Block, Cue, Role, Variation};

impl Page<'_> {
    /// One block, from its title to its log lines and rest.
    pub(super) fn block(&mut self, block: &Block) {
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

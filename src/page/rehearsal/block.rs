//! One block of a session's sheet: where the launcher stands, what is entered, the answers, the
//! list of balls or of calls, the log lines.

use std::collections::BTreeMap;

use crate::base::{Units, text};
use crate::game::{Receive, ServeId};
use crate::launcher::{LauncherKind, Shade, Thrown};
use crate::page::launcher_words::{guess_words, set_up_words};
use crate::page::rehearsal::document::{BallRow, ListEntry, LogRow, RehearsalSheet};
use crate::page::rehearsal::knobs::{entered, entered_in_a_list, knobs, rate};
use crate::page::rehearsal::reasons;
use crate::page::rehearsal::words::{Letters, person_ball, short_spin, unlogged, zone};
use crate::rehearsal::{BeforeBall, Block, Role, Session, SessionBall, SessionPhase, Variation};

/// A block being written to the sheet.
pub(super) struct BlockSheet<'a> {
    pub(super) sheet: &'a mut RehearsalSheet,
    pub(super) session: &'a Session,
    pub(super) block: &'a Block,
    pub(super) letters: &'a Letters,
    pub(super) units: Units,
}

impl BlockSheet<'_> {
    /// From its title to its log lines and rest.
    pub(super) fn write(mut self) {
        let block = self.block;
        self.title();
        if let Some(around) = &block.around
            && block.phase == SessionPhase::Vary
            && !block.is_called
        {
            self.labelled("around", around.as_str());
        }
        if block.refill && block.number > 1 {
            self.labelled("hopper", "fill it");
        }
        if let Some(change) = block.change {
            self.labelled("change", reasons::change(change));
        }
        if self.session.kind().is_person() {
            self.of_a_person();
        } else {
            self.of_a_machine();
        }
        for note in &block.notes {
            self.labelled("note", reasons::note(note, block.variation));
        }
        self.labelled("coach", reasons::coaching(block));
        let letters = self.answers();
        // The same ball with the same answer again and again is no list.
        let has_score = block.balls.iter().any(|ball| ball.score.is_some());
        let is_one = block.is_one_setting() && letters < 2;
        if block.is_called || is_one && has_score {
            self.called();
        } else if block.sweep.is_empty() && !is_one {
            self.list(has_score);
        }
        self.log();
        if block.rest_s > 0 {
            self.labelled("rest", format!("{} s while picking up", block.rest_s));
        }
    }

    fn labelled(&mut self, name: &'static str, words: impl Into<String>) {
        self.sheet.labelled(name, words);
    }

    /// The title, and where the launcher stands or is moved to.
    fn title(&mut self) {
        let (block, kind) = (self.block, self.session.kind());
        let does = match block.variation {
            // One ball of one setting is not random.
            Variation::FarThenClose if block.is_one_setting() => "far back first, then closer",
            other => other.shown(),
        };
        let name = format!("Block {}: {}, {does}", block.number, block.phase);
        let numbers: Vec<u32> = block.balls.iter().filter_map(|ball| ball.number).collect();
        let balls = match numbers[..] {
            [first, .., last] => format!("balls {first} to {last}"),
            [only] => format!("ball {only}"),
            [] => String::new(),
        };
        self.sheet.part(name, Some(balls));
        let is_first = block.number == 1;
        if (block.is_moved || is_first) && kind != LauncherKind::Partner {
            self.sheet.drawing(block.set_up);
        }
        if block.is_moved {
            self.labelled("move", set_up_words(&block.set_up, self.units));
        } else if is_first && kind == LauncherKind::Feeder {
            self.labelled("stand", "where the server stands, out of the line of hard returns");
        } else if is_first && kind != LauncherKind::Partner {
            self.labelled("stand", set_up_words(&block.set_up, self.units));
        }
    }

    fn of_a_person(&mut self) {
        let first = self.block.balls.first().map(|ball| ball.thrown);
        if let Some(thrown) = first.filter(|_| self.block.variation == Variation::OneServe) {
            let shade = thrown.shade.map(|shade| format!(", {shade}")).unwrap_or_default();
            let ball = person_ball(self.session, &thrown);
            self.labelled("ball", format!("{ball}{shade}"));
        }
        self.labelled("rate", format!("{}, with a full reset", rate(&self.block.rate)));
    }

    fn of_a_machine(&mut self) {
        let block = self.block;
        if let Some(settings) = &block.settings {
            self.labelled("enter", entered(settings));
            if let Some(guess) = settings.guess.as_ref().filter(|_| settings.dials.is_empty()) {
                self.labelled("dials", format!("about {}; trim from there", guess_words(guess)));
            }
        } else if let Some(ball) = block.balls.first()
            && (block.is_one_setting() || !block.sweep.is_empty())
        {
            self.by_knobs(&ball.thrown);
        }
        let away = match block.thrown_away() {
            0 => String::new(),
            away => format!("{away} to let go, the first watched from the side; then "),
        };
        let received = block.received();
        let rate = rate(&block.rate);
        self.labelled("balls", format!("{away}{received} to receive; {rate}"));
        let launcher = &self.session.launcher;
        let stored = launcher.machine.as_ref().map_or(0, |machine| machine.stored_balls);
        if launcher.kind == LauncherKind::PerBall && stored > 0 && !block.is_one_setting() {
            self.labelled("store", format!("one sequence of {received} ({stored} fit)"));
        }
    }

    /// Where each knob goes, for a setting that was not computed.
    fn by_knobs(&mut self, thrown: &Thrown) {
        let (block, session) = (self.block, self.session);
        self.labelled("ball", format!("{}, {}", thrown.zone_shown(), thrown.throw));
        let wheels = session.launcher.machine.as_ref().map(|machine| machine.wheels);
        for (knob, position) in knobs(thrown, &block.set_up, session.player, wheels, self.units) {
            if knob == "aim" && !block.sweep.is_empty() {
                let lanes: Vec<&str> = block.sweep.iter().map(|lane| lane.shown()).collect();
                self.labelled("sweep", format!("over {}", text::and_list(&lanes)));
            } else {
                self.labelled(knob, position);
            }
        }
    }

    /// The receives of a block, each with its letter through the session; how many there are.
    fn answers(&mut self) -> usize {
        let mut own: BTreeMap<char, Vec<&SessionBall>> = BTreeMap::new();
        for ball in self.block.played().filter(|ball| ball.receive.is_some()) {
            own.entry(self.letters.letter(ball)).or_default().push(ball);
        }
        let labels = std::iter::once("answer").chain(std::iter::repeat(""));
        for (label, (letter, balls)) in labels.zip(&own) {
            let is_new = balls.iter().any(|ball| ball.serve.is_none());
            let serve = match balls.iter().find_map(|ball| ball.serve.as_ref()) {
                Some(serve) if is_new => format!("  ({serve}, and the variation)"),
                Some(serve) => format!("  ({serve})"),
                None if self.block.is_called => "  (anything new)".to_owned(),
                None => String::new(),
            };
            let receive = balls[0].receive.as_ref().map(Receive::shown).unwrap_or_default();
            self.labelled(label, format!("{letter}  {receive}{serve}"));
        }
        own.len()
    }

    /// The list of a block in which only the answer changes: ten letters a line.
    fn called(&mut self) {
        if let Some((them, me)) = self.block.played().find_map(|ball| ball.score) {
            self.labelled("score", format!("{them}-{me} at the first ball, theirs first"));
        }
        let mut from = 0;
        let mut letters = Vec::new();
        for ball in self.block.played() {
            if !ball.before.is_empty() {
                self.letters(from, &mut letters);
                self.before(ball, ball.score);
            }
            let number = ball.number.unwrap_or_default();
            if letters.is_empty() {
                from = number;
            }
            letters.push(self.letters.letter(ball));
            if number % 10 == 0 {
                self.letters(from, &mut letters);
            }
        }
        self.letters(from, &mut letters);
    }

    /// A line of letters, when there are any.
    fn letters(&mut self, from: u32, letters: &mut Vec<char>) {
        if !letters.is_empty() {
            self.sheet.listed(ListEntry::Letters(from, std::mem::take(letters)));
        }
    }

    /// One ball a line.
    fn list(&mut self, has_score: bool) {
        if has_score {
            self.labelled("score", "theirs first");
        }
        self.sheet.list(has_score);
        for ball in self.block.played() {
            self.before(ball, None);
            let other = if ball.role == Role::OtherWing { "other wing" } else { "variation" };
            let row = BallRow {
                number: ball.number.unwrap_or_default(),
                score: ball.score,
                serve: ball.serve.as_ref().map_or(other, ServeId::as_str).to_owned(),
                lands: zone(self.session, &ball.thrown),
                spin: short_spin(&ball.thrown, self.session.kind().is_person()),
                answer: self.letters.letter(ball),
                is_changed: ball.thrown.shade.is_some(),
                settings: ball.settings.as_ref().map(entered_in_a_list),
            };
            self.sheet.listed(ListEntry::Ball(row));
        }
        let shades = self.block.balls.iter().filter_map(|ball| ball.thrown.shade);
        let mut shades: Vec<&str> = shades.map(Shade::shown).collect();
        shades.dedup();
        if !shades.is_empty() {
            self.labelled("*", format!("a small change: {}", shades.join(", then ")));
        }
    }

    /// What happens before a ball; the score after own serves where no list says it.
    fn before(&mut self, ball: &SessionBall, score: Option<(u32, u32)>) {
        for before in &ball.before {
            match before {
                BeforeBall::OwnServes(count) => {
                    let serves = text::count(*count as usize, "own serve");
                    let then = score.map(|(them, me)| format!("; then {them}-{me}"));
                    let words = format!("{serves}, without a ball{}", then.unwrap_or_default());
                    self.sheet.listed(ListEntry::OwnServes(words));
                }
                BeforeBall::Stay => self.labelled("CALL", "\"Stay.\" The plan is kept."),
                BeforeBall::Call(call) => {
                    self.labelled("CALL", format!("\"{}!\"", call.name));
                    if let Some(cue) = &call.cue {
                        self.labelled("when", cue.as_str());
                    }
                    for change in &call.changes {
                        let old = change.old.shown();
                        self.labelled("", format!("{}: until now {old}", change.serve));
                        self.labelled("", format!("from now on {}", change.new.shown()));
                    }
                }
            }
        }
    }

    fn log(&mut self) {
        let row = |line: &crate::rehearsal::LogLine| LogRow {
            number: line.number,
            balls: line.balls,
            serve: line.serve.to_string(),
            target: (!line.receive.to.is_open()).then(|| line.receive.to.shown()),
        };
        let log = &self.block.log;
        self.sheet.logs(log.iter().map(row).collect());
        if let Some(others) = unlogged(std::iter::once(self.block)) {
            self.labelled(if log.is_empty() { "log" } else { "" }, others);
        }
    }
}

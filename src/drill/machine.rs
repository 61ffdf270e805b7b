//! The drill as a machine: acts with their time go in, a picture and reports come out.
//!
//! It knows no clock and no terminal. The caller says what happened and when (milliseconds from any
//! origin, never backwards), asks for the [`Picture`](super::Picture) whenever it wants to draw, and
//! keeps what is [`Said`]. The same acts at the same times give the same reports, always. How an
//! answer is judged is [`super::answering`]'s work, what is shown [`super::drawing`]'s.

use std::collections::VecDeque;

use super::picture::{Phase, Said};
use super::script::{Part, Script, ScriptBall};
use super::summary::{GateSummary, Summary};
use super::taken::{Gave, Taken};
use super::tempo::Tempo;
use super::window::window_ms;
use crate::journal::{How, Input};

/// The key that goes on.
pub const GO: char = ' ';
/// The key that takes the last answer back.
pub const UNDO: char = 'u';

/// What can happen to the machine.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Act {
    /// A key was pressed.
    Key(char),
    /// Time has passed.
    Tick,
    /// The player pauses; once more while paused ends the round.
    Pause,
    /// The world breaks in: the round ends at once.
    Interrupt,
}

/// Where the machine is.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) enum State {
    Ready,
    Call,
    /// The ball: contact at this time; before it the toss.
    Ball {
        contact_ms: u64,
    },
    Stroke {
        since_ms: u64,
    },
    Target {
        since_ms: u64,
        stroke: usize,
    },
    What {
        contact_ms: u64,
    },
    Do {
        since_ms: u64,
        is_recognised: bool,
    },
    Shadow {
        since_ms: u64,
    },
    Own,
    Feedback {
        until_ms: u64,
    },
    Between {
        until_ms: u64,
    },
    Paused {
        at_ms: u64,
        is_call: bool,
    },
    Done,
}

/// What is remembered so that the last answer can be taken back.
#[derive(Debug, Clone)]
pub(super) struct Before {
    pub(super) ball: ScriptBall,
    pub(super) tempo: Tempo,
    pub(super) queue: VecDeque<ScriptBall>,
    pub(super) repaired: Vec<usize>,
    /// How many reports the answer made.
    pub(super) reports: usize,
}

/// A round being played.
#[derive(Debug, Clone)]
pub struct Machine {
    pub(super) script: Script,
    pub(super) input: Input,
    pub(super) state: State,
    pub(super) queue: VecDeque<ScriptBall>,
    pub(super) current: Option<ScriptBall>,
    pub(super) tempo: Tempo,
    pub(super) taken: Vec<Taken>,
    pub(super) repaired: Vec<usize>,
    pub(super) before: Option<Before>,
    pub(super) gate: Option<GateSummary>,
    pub(super) began_ms: Option<u64>,
    pub(super) paused_ms: u64,
    pub(super) toss_from_ms: u64,
    pub(super) is_interrupted: bool,
}

impl Machine {
    /// A machine before its first ball.
    pub fn new(script: Script, input: Input) -> Self {
        Self {
            queue: script.balls.iter().cloned().collect(),
            tempo: Tempo::new(script.tempo),
            script,
            input,
            state: State::Ready,
            current: None,
            taken: Vec::new(),
            repaired: Vec::new(),
            before: None,
            gate: None,
            began_ms: None,
            paused_ms: 0,
            toss_from_ms: 0,
            is_interrupted: false,
        }
    }

    /// The script it plays.
    pub const fn script(&self) -> &Script {
        &self.script
    }

    /// True when the round is over.
    pub const fn is_done(&self) -> bool {
        matches!(self.state, State::Done)
    }

    /// Every answer so far.
    pub fn taken(&self) -> &[Taken] {
        &self.taken
    }

    /// The summary so far.
    pub fn summary(&self) -> Summary {
        Summary::of(
            &self.script,
            self.input,
            &self.taken,
            &self.tempo,
            self.gate,
            self.is_interrupted,
        )
    }

    /// Tells the machine what happened at a time; answers what there is to report.
    pub fn act(&mut self, now_ms: u64, act: Act) -> Vec<Said> {
        // A key belongs to the moment it was pressed: first everything that was due before it.
        let mut said = self.pass(now_ms);
        match act {
            Act::Tick => {}
            Act::Interrupt => {
                self.is_interrupted = !self.is_done();
                said.extend(self.finish());
            }
            Act::Pause => said.extend(self.pause(now_ms)),
            Act::Key(key) => said.extend(self.key(now_ms, key.to_ascii_lowercase())),
        }
        said
    }

    /// The next time at which something happens by itself.
    pub fn next_ms(&self) -> Option<u64> {
        match &self.state {
            State::Ball { contact_ms } => Some(self.deadline_ms(*contact_ms)),
            State::Shadow { since_ms } => {
                Some(since_ms + u64::from(self.script.durations.shadow_ms))
            }
            State::Feedback { until_ms } | State::Between { until_ms } => Some(*until_ms),
            _ => None,
        }
    }

    /// Everything that happens by itself up to a time.
    fn pass(&mut self, now_ms: u64) -> Vec<Said> {
        let mut said = Vec::new();
        while let Some(due_ms) = self.next_ms().filter(|&due_ms| due_ms <= now_ms) {
            match self.state {
                State::Ball { .. } => said.extend(self.no_answer(due_ms)),
                State::Shadow { .. } => self.state = State::Own,
                _ => said.extend(self.advance(due_ms)),
            }
        }
        said
    }

    /// After twice the window nothing is waited for.
    fn deadline_ms(&self, contact_ms: u64) -> u64 {
        contact_ms + 2 * u64::from(self.window_ms()) + 1
    }

    /// The window of the ball in play, milliseconds.
    pub(super) fn window_ms(&self) -> u32 {
        let Some(ball) = &self.current else { return 0 };
        let decision_ms = self.script.serves[ball.serve].decision_ms;
        window_ms(decision_ms, self.tempo.permille(), self.script.key_ms)
    }

    fn key(&mut self, now_ms: u64, key: char) -> Vec<Said> {
        let is_go = matches!(key, GO | '\n' | '\r');
        if key == UNDO || key == '\u{8}' {
            return self.undo(now_ms);
        }
        match self.state.clone() {
            State::Ready if is_go => {
                self.began_ms = Some(now_ms);
                self.advance(now_ms)
            }
            State::Call if is_go => {
                self.start_ball(now_ms);
                Vec::new()
            }
            State::Ball { contact_ms } => self.snap_key(now_ms, contact_ms, key),
            State::Stroke { since_ms } => {
                if let Some(stroke) = self.stroke_of_key(key) {
                    self.state = State::Target { since_ms, stroke };
                }
                Vec::new()
            }
            State::Target { since_ms, stroke } => self.target_key(now_ms, since_ms, stroke, key),
            State::What { contact_ms } => self.what_key(now_ms, contact_ms, key),
            State::Do { since_ms, is_recognised } => {
                self.do_key(now_ms, since_ms, is_recognised, key)
            }
            State::Shadow { .. } | State::Own => self.own_key(now_ms, key),
            State::Feedback { .. } | State::Between { .. } if is_go => self.advance(now_ms),
            State::Paused { at_ms, is_call } if is_go => {
                self.paused_ms += now_ms.saturating_sub(at_ms);
                if is_call {
                    self.state = State::Call;
                    Vec::new()
                } else {
                    self.advance(now_ms)
                }
            }
            _ => Vec::new(),
        }
    }

    /// Goes on to the next ball, its call, the rest between turns, or the end.
    fn advance(&mut self, now_ms: u64) -> Vec<Said> {
        let was_feedback = matches!(self.state, State::Feedback { .. });
        if was_feedback && self.is_alone() {
            self.state = State::Paused { at_ms: now_ms, is_call: false };
            return Vec::new();
        }
        self.judge_gate();
        let is_over =
            self.began_ms.zip(self.script.limit_ms).is_some_and(|(began_ms, limit_ms)| {
                now_ms.saturating_sub(began_ms).saturating_sub(self.paused_ms) >= limit_ms
            });
        let Some(next) = self.queue.front().filter(|_| !is_over) else {
            return self.finish();
        };
        let rests = was_feedback && next.of_turn == 1;
        if rests && next.call.is_none() {
            let until_ms = now_ms + u64::from(self.script.durations.between_turns_ms);
            self.state = State::Between { until_ms };
            return Vec::new();
        }
        self.current = self.queue.pop_front();
        if self.current.as_ref().is_some_and(|ball| ball.call.is_some()) {
            self.before = None;
            self.state = State::Call;
        } else {
            self.start_ball(now_ms);
        }
        Vec::new()
    }

    /// True when two balls in a row went by without a key: the player has gone to the door.
    fn is_alone(&self) -> bool {
        let last = self.taken.iter().rev().take(2);
        last.filter(|one| one.gave == Gave::Nothing).count() == 2 && !self.queue.is_empty()
    }

    fn start_ball(&mut self, now_ms: u64) {
        let Some(ball) = &self.current else { return };
        let contact_ms = now_ms + u64::from(ball.toss_ms);
        self.toss_from_ms = now_ms;
        self.state = match self.script.how {
            How::Snap => State::Ball { contact_ms },
            How::Think => State::Stroke { since_ms: now_ms },
            How::Read => State::What { contact_ms },
            How::Shadow => State::Shadow { since_ms: now_ms },
        };
    }

    /// At the end of the gate: opens the switch round, or keeps its first part as plain drill.
    fn judge_gate(&mut self) {
        let Some(switch) = &self.script.switch else { return };
        let is_past = self.queue.front().is_none_or(|ball| ball.part != Part::Gate);
        if self.gate.is_some() || !is_past || self.began_ms.is_none() {
            return;
        }
        let gate: Vec<&Taken> =
            self.taken.iter().filter(|one| one.part == Part::Gate && one.counts()).collect();
        let in_window = gate.iter().filter(|one| one.is_clean()).count();
        let is_open = !gate.is_empty()
            && in_window * 100 >= gate.len() * usize::try_from(switch.gate_percent).unwrap_or(80);
        self.gate = Some(GateSummary { in_window, of: gate.len(), is_open });
        if !is_open {
            self.queue.retain(|ball| ball.part == Part::Before);
            for ball in &mut self.queue {
                ball.part = Part::Plain;
                ball.call = None;
            }
        }
    }

    fn pause(&mut self, now_ms: u64) -> Vec<Said> {
        let is_call = matches!(self.state, State::Call);
        match self.state {
            State::Paused { .. } | State::Ready => {
                self.is_interrupted = true;
                return self.finish();
            }
            State::Done => return Vec::new(),
            State::Call | State::Feedback { .. } | State::Between { .. } => {}
            // A ball broken off is a let: it comes again.
            _ => self.play_again(),
        }
        self.state = State::Paused { at_ms: now_ms, is_call };
        Vec::new()
    }

    /// Puts the ball in play back among the next ones.
    pub(super) fn play_again(&mut self) {
        let Some(ball) = self.current.clone() else { return };
        self.insert_later(&ball, 2);
    }

    /// Puts a ball at most `later` balls ahead, never into another part of the round.
    pub(super) fn insert_later(&mut self, ball: &ScriptBall, later: usize) {
        let same_part = self.queue.iter().take_while(|next| next.part == ball.part).count();
        self.queue.insert(later.min(same_part), ScriptBall { call: None, ..ball.clone() });
    }

    /// Takes the last answer back; its ball comes again. Half an untimed answer is taken back alone.
    fn undo(&mut self, now_ms: u64) -> Vec<Said> {
        if let State::Target { since_ms, .. } = self.state {
            self.state = State::Stroke { since_ms };
            return Vec::new();
        }
        let may = match self.state {
            State::Feedback { .. }
            | State::Between { .. }
            | State::Paused { .. }
            | State::Stroke { .. }
            | State::Shadow { .. } => true,
            State::Ball { contact_ms } | State::What { contact_ms } => now_ms < contact_ms,
            _ => false,
        };
        if !may {
            return Vec::new();
        }
        let Some(before) = self.before.take() else { return Vec::new() };
        self.taken.pop();
        self.tempo = before.tempo;
        self.queue = before.queue;
        self.repaired = before.repaired;
        self.insert_later(&before.ball, 2);
        self.current = None;
        let mut said = vec![Said::Undo; before.reports];
        if !matches!(self.state, State::Paused { .. }) {
            said.extend(self.advance(now_ms));
        }
        said
    }

    fn finish(&mut self) -> Vec<Said> {
        if self.is_done() {
            return Vec::new();
        }
        self.state = State::Done;
        self.current = None;
        vec![Said::Done(Box::new(self.summary()))]
    }

    /// What the moment is about.
    pub fn phase(&self, now_ms: u64) -> Phase {
        match self.state {
            State::Ready => Phase::Ready,
            State::Call => Phase::Call,
            State::Ball { contact_ms } if now_ms < contact_ms => Phase::Toss,
            State::Ball { .. } => Phase::Flight,
            State::Stroke { .. } => Phase::Stroke,
            State::Target { .. } => Phase::Target,
            State::What { contact_ms } if now_ms < contact_ms => Phase::Toss,
            State::What { .. } => Phase::What,
            State::Do { .. } => Phase::Do,
            State::Shadow { .. } => Phase::Shadow,
            State::Own => Phase::Own,
            State::Feedback { .. } => Phase::Feedback,
            State::Between { .. } => Phase::Between,
            State::Paused { .. } => Phase::Paused,
            State::Done => Phase::Done,
        }
    }
}

//! The drill as a machine: acts with their time go in, a picture and reports come out.
//!
//! It knows no clock and no terminal. The caller says what happened and when (milliseconds from
//! any origin, never backwards), asks for the [`Picture`](super::Picture) whenever it wants to
//! draw, and keeps what is [`Said`]. The same acts at the same times give the same reports,
//! always. How an answer is judged is [`super::answering`]'s work, what is shown
//! [`super::drawing`]'s.

use std::collections::VecDeque;

use serde::Serialize;

use super::picture::{Act, Phase, Said};
use super::script::{RoundPart, Script, ScriptBall};
use super::taken::Taken;
use super::tempo::Tempo;
use super::window::window_ms;
use crate::journal::{How, Input};

/// The key that goes on.
pub const GO: char = ' ';
/// The key that takes the last answer back.
pub const UNDO: char = 'u';
/// The key that shows the answers before the round.
pub const SHOW: char = '?';
/// The key that goes on when the minutes are up.
pub const MORE: char = 'm';
/// The key that keeps feedback on the screen.
const HOLD: char = 'h';
/// The end of feedback that waits for the player.
pub(super) const STAYS: u64 = u64::MAX;
/// A ball that is broken off or taken back comes again after so many others.
const AGAIN_AFTER: usize = 2;

/// How the gate of a switch round went.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
pub struct GateSummary {
    /// Balls right in the window.
    pub in_window: usize,
    /// Balls of the gate.
    pub of: usize,
    /// Whether the switch could begin.
    pub is_open: bool,
}

/// What is remembered so that the last answer can be taken back.
#[derive(Debug, Clone)]
pub(super) struct Before {
    pub(super) ball: ScriptBall,
    pub(super) tempo: Tempo,
    pub(super) queue: VecDeque<ScriptBall>,
    pub(super) repaired: Vec<usize>,
}

/// A round being played.
#[derive(Debug, Clone)]
pub struct Machine {
    pub(super) script: Script,
    pub(super) input: Input,
    /// What is in play; a ball and the question what it was begin with the toss.
    pub(super) play: Phase,
    /// The contact of a ball, the end of feedback and rests, else the moment it was shown.
    pub(super) at_ms: u64,
    /// The stroke that waits for its target.
    pub(super) stroke: usize,
    /// The cell of which a part is still to be chosen, and when it was pressed.
    pub(super) open: Option<(usize, u64)>,
    /// Whether the serve in play was recognised, in a reading round.
    pub(super) is_recognised: bool,
    pub(super) queue: VecDeque<ScriptBall>,
    pub(super) current: Option<ScriptBall>,
    pub(super) tempo: Tempo,
    pub(super) taken: Vec<Taken>,
    /// Serves that were answered wrongly and have been asked once more.
    pub(super) repaired: Vec<usize>,
    pub(super) before: Option<Before>,
    pub(super) gate: Option<GateSummary>,
    /// When the round began; later by all its pauses.
    pub(super) began_ms: Option<u64>,
    /// After how many milliseconds no new ball is begun.
    limit_ms: Option<u64>,
    /// Whether the answers were shown before the round.
    pub(super) is_shown: bool,
    pub(super) is_interrupted: bool,
    pub(super) said: Vec<Said>,
}

impl Machine {
    /// A machine before its first ball.
    pub fn new(script: Script, input: Input) -> Self {
        let limit_ms = script.limit_ms;
        Self {
            queue: script.balls.iter().cloned().collect(),
            tempo: Tempo::new(script.tempo),
            script,
            input,
            play: Phase::Ready,
            at_ms: 0,
            stroke: 0,
            open: None,
            is_recognised: false,
            current: None,
            taken: Vec::new(),
            repaired: Vec::new(),
            before: None,
            gate: None,
            began_ms: None,
            limit_ms,
            is_shown: false,
            is_interrupted: false,
            said: Vec::new(),
        }
    }

    pub const fn is_done(&self) -> bool {
        matches!(self.play, Phase::Done)
    }

    /// Every answer so far.
    pub fn taken(&self) -> &[Taken] {
        &self.taken
    }

    /// Tells the machine what happened at a time; answers what there is to report.
    pub fn act(&mut self, now_ms: u64, act: Act) -> Vec<Said> {
        // A key belongs to the moment it was pressed: first everything that was due before it.
        self.pass(now_ms);
        match act {
            Act::Tick => {}
            Act::Interrupt => {
                self.is_interrupted = !self.is_done();
                self.finish();
            }
            Act::Pause => self.pause(now_ms),
            Act::Key(key) => self.key(now_ms, key.to_ascii_lowercase()),
            Act::Choice(choice) => {
                if matches!(self.play, Phase::Flight | Phase::Do) {
                    self.give(now_ms, choice, 0);
                }
            }
        }
        std::mem::take(&mut self.said)
    }

    /// The next time at which something happens by itself.
    pub fn next_ms(&self) -> Option<u64> {
        match self.play {
            // After twice the window nothing is waited for.
            Phase::Flight => Some(self.at_ms + 2 * u64::from(self.window_ms()) + 1),
            Phase::Shadow => Some(self.at_ms + u64::from(self.script.durations.shadow_ms)),
            Phase::Feedback | Phase::Between => Some(self.at_ms).filter(|&at_ms| at_ms < STAYS),
            _ => None,
        }
    }

    /// Everything that happens by itself up to a time.
    fn pass(&mut self, now_ms: u64) {
        while let Some(due_ms) = self.next_ms().filter(|&due_ms| due_ms <= now_ms) {
            match self.play {
                Phase::Flight => self.no_answer(due_ms),
                Phase::Shadow => self.play = Phase::Own,
                _ => self.advance(due_ms),
            }
        }
    }

    /// The window of the ball in play, milliseconds.
    pub(super) fn window_ms(&self) -> u32 {
        let Some(ball) = &self.current else { return 0 };
        let decision_ms = self.script.serves[ball.serve].decision_ms;
        window_ms(decision_ms, self.tempo.permille(), self.script.key_ms)
    }

    fn key(&mut self, now_ms: u64, key: char) {
        let is_go = matches!(key, GO | '\n' | '\r');
        match self.play {
            _ if key == UNDO || key == '\u{8}' => self.undo(now_ms),
            Phase::Ready if is_go => {
                self.began_ms = Some(now_ms);
                self.advance(now_ms);
            }
            Phase::Ready if key == SHOW => self.is_shown = true,
            Phase::Call if is_go => self.start_ball(now_ms),
            Phase::Flight | Phase::Do => self.palette_key(now_ms, key),
            Phase::Stroke => self.stroke_key(key),
            Phase::Target => self.target_key(now_ms, key),
            Phase::What => self.what_key(now_ms, key),
            Phase::Shadow | Phase::Own => self.own_key(now_ms, key),
            Phase::Feedback if key == HOLD => self.at_ms = STAYS,
            Phase::Feedback | Phase::Between if is_go => self.advance(now_ms),
            Phase::Over if is_go => self.finish(),
            Phase::Over if key == MORE => {
                let more_ms = u64::from(self.script.durations.more_ms);
                self.limit_ms = self.limit_ms.map(|limit_ms| limit_ms + more_ms);
                self.rested(now_ms);
                self.advance(now_ms);
            }
            Phase::Paused if is_go => {
                self.rested(now_ms);
                // A call that was broken off is shown again.
                if self.current.as_ref().is_some_and(|ball| ball.call.is_some()) {
                    self.play = Phase::Call;
                } else {
                    self.advance(now_ms);
                }
            }
            _ => {}
        }
    }

    /// What is left of the minutes, whole seconds.
    pub(super) fn left_s(&self, now_ms: u64) -> Option<u64> {
        let rests = matches!(self.play, Phase::Paused | Phase::Over);
        let now_ms = if rests { self.at_ms } else { now_ms };
        let played_ms = self.began_ms.map_or(0, |began_ms| now_ms.saturating_sub(began_ms));
        self.limit_ms.map(|limit_ms| limit_ms.saturating_sub(played_ms).div_ceil(1000))
    }

    /// The time since this moment was shown is not played.
    fn rested(&mut self, now_ms: u64) {
        let rested_ms = now_ms.saturating_sub(self.at_ms);
        self.began_ms = self.began_ms.map(|began_ms| began_ms + rested_ms);
    }

    /// Goes on to the next ball, its call, the rest between turns, or the end.
    fn advance(&mut self, now_ms: u64) {
        let was_feedback = self.play == Phase::Feedback;
        self.judge_gate();
        let played_ms = self.began_ms.map_or(0, |began_ms| now_ms.saturating_sub(began_ms));
        if self.queue.is_empty() && self.limit_ms.is_some() {
            self.queue.extend(self.script.balls[self.script.again_from..].iter().cloned());
        }
        let Some(next) = self.queue.front() else {
            self.finish();
            return;
        };
        if self.limit_ms.is_some_and(|limit_ms| played_ms >= limit_ms) {
            self.show(Phase::Over, now_ms);
            return;
        }
        if was_feedback && next.of_turn == 1 && next.call.is_none() {
            let rest_ms = u64::from(self.script.durations.between_turns_ms);
            self.show(Phase::Between, now_ms + rest_ms);
            return;
        }
        let is_called = next.call.is_some();
        self.current = self.queue.pop_front();
        if is_called {
            self.before = None;
            self.show(Phase::Call, now_ms);
        } else {
            self.start_ball(now_ms);
        }
    }

    pub(super) fn show(&mut self, play: Phase, at_ms: u64) {
        (self.play, self.at_ms, self.open) = (play, at_ms, None);
    }

    fn start_ball(&mut self, now_ms: u64) {
        let Some(ball) = &mut self.current else { return };
        ball.call = None;
        let contact_ms = now_ms + u64::from(ball.toss_ms);
        match self.script.how {
            How::Snap | How::Film => self.show(Phase::Flight, contact_ms),
            How::Think => self.show(Phase::Stroke, now_ms),
            How::Read => self.show(Phase::What, contact_ms),
            How::Shadow => self.show(Phase::Shadow, now_ms),
        }
    }

    /// At the end of the gate: opens the switch round, or keeps its first part as plain drill.
    fn judge_gate(&mut self) {
        let Some(gate_percent) = self.script.gate_percent else { return };
        let is_past = self.queue.front().is_none_or(|ball| ball.part != RoundPart::Gate);
        if self.gate.is_some() || !is_past {
            return;
        }
        let gate = self.taken.iter().filter(|one| one.part == RoundPart::Gate && one.counts());
        let (of, in_window) = (gate.clone().count(), gate.filter(|one| one.is_clean()).count());
        let is_open = of > 0 && in_window * 100 >= of * usize::from(gate_percent);
        self.gate = Some(GateSummary { in_window, of, is_open });
        if !is_open {
            self.queue.retain(|ball| ball.part == RoundPart::Before);
            for ball in &mut self.queue {
                ball.part = RoundPart::Plain;
                ball.call = None;
            }
        }
    }

    fn pause(&mut self, now_ms: u64) {
        match self.play {
            Phase::Over => {
                self.finish();
                return;
            }
            Phase::Paused | Phase::Ready => {
                self.is_interrupted = true;
                self.finish();
                return;
            }
            Phase::Done => return,
            Phase::Call | Phase::Feedback | Phase::Between => {}
            // A ball broken off is a let: it comes again.
            _ => self.play_again(),
        }
        self.show(Phase::Paused, now_ms);
    }

    /// Puts the ball in play back among the next ones.
    pub(super) fn play_again(&mut self) {
        if let Some(ball) = self.current.clone() {
            self.insert_later(&ball, AGAIN_AFTER);
        }
    }

    /// Puts a ball at most `later` balls ahead, never into another part of the round.
    pub(super) fn insert_later(&mut self, ball: &ScriptBall, later: usize) {
        let same_part = self.queue.iter().take_while(|next| next.part == ball.part).count();
        self.queue.insert(later.min(same_part), ScriptBall { call: None, ..ball.clone() });
    }

    /// Takes the last answer back; its ball comes again. Half an untimed answer is taken back
    /// alone.
    fn undo(&mut self, now_ms: u64) {
        let may = match self.play {
            Phase::Target => {
                self.play = Phase::Stroke;
                return;
            }
            Phase::Flight | Phase::What => now_ms < self.at_ms,
            Phase::Feedback
            | Phase::Between
            | Phase::Paused
            | Phase::Over
            | Phase::Stroke
            | Phase::Shadow => true,
            _ => false,
        };
        let Some(before) = self.before.take_if(|_| may) else { return };
        // A reading answer was reported in two halves.
        let is_read = self.taken.pop().is_some_and(|taken| taken.is_recognised.is_some());
        self.tempo = before.tempo;
        self.queue = before.queue;
        self.repaired = before.repaired;
        self.insert_later(&before.ball, AGAIN_AFTER);
        self.current = None;
        self.said.extend(vec![Said::Undo; 1 + usize::from(is_read)]);
        if !matches!(self.play, Phase::Paused | Phase::Over) {
            self.advance(now_ms);
        }
    }

    fn finish(&mut self) {
        if !self.is_done() {
            self.play = Phase::Done;
            self.current = None;
            self.said.push(Said::Done);
        }
    }

    /// What the moment is about.
    pub fn phase(&self, now_ms: u64) -> Phase {
        let is_tossed = matches!(self.play, Phase::Flight | Phase::What) && now_ms < self.at_ms;
        if is_tossed { Phase::Toss } else { self.play }
    }
}

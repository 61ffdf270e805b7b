//! From the machine's state to the picture of a moment, and to the question a simulated player is
//! asked. Nothing here changes anything.

use super::answering::{MENU, SHADOW_KEYS};
use super::machine::{Machine, State};
use super::palette::LETTERS;
use super::picture::{Asked, CallCard, Cell, Feedback, Line, Mark, Phase, Picture};
use super::script::{Call, Frame, GATE_CLOSED, Part, Reading};
use super::taken::{Gave, Taken};
use crate::journal::How;
use crate::memory::Outcome;

impl Machine {
    /// What there is to show at a time.
    pub fn picture(&self, now_ms: u64) -> Picture {
        let phase = self.phase(now_ms);
        let script = &self.script;
        let ball = self.current.as_ref();
        let counted = self.taken.iter().filter(|one| one.counts());
        let answers = counted.clone().count();
        let contact_ms = self.contact_ms();
        let reading = ball.and_then(|ball| ball.reading);
        let is_asked = !matches!(phase, Phase::Ready | Phase::Call | Phase::Done | Phase::Paused);
        let shows_words = match script.how {
            How::Snap => script.has_words,
            How::Think | How::Shadow => true,
            How::Read => {
                reading == Some(Reading::Words) || matches!(phase, Phase::Do | Phase::Feedback)
            }
        };
        // Words come with contact: before it there is nothing to read but the toss.
        let is_seen = is_asked && !matches!(phase, Phase::Toss | Phase::Between);
        Picture {
            phase,
            opponent: script.opponent.clone(),
            ball_number: (answers + usize::from(self.is_in_play()))
                .max(usize::from(self.began_ms.is_some())),
            balls: answers + self.queue.len() + usize::from(self.is_in_play()),
            in_window: counted.filter(|one| self.is_well(one)).count(),
            answers,
            part: ball.and_then(|ball| self.part_shown(ball.part)),
            switch: script
                .switch
                .as_ref()
                .filter(|_| phase == Phase::Ready)
                .map(|switch| switch.name.clone()),
            under: script.under.clone(),
            of_turn: ball.map_or(0, |ball| ball.of_turn),
            words: ball
                .filter(|_| shows_words && is_seen)
                .map(|ball| script.serves[ball.serve].words.clone()),
            reading: reading.filter(|_| is_asked).map(Reading::shown),
            toss_permille: contact_ms.filter(|_| phase == Phase::Toss).map(|contact_ms| {
                permille(now_ms.saturating_sub(self.toss_from_ms), contact_ms - self.toss_from_ms)
            }),
            ball: self.ball_seen(phase, now_ms, contact_ms),
            path: self.path_seen(phase),
            countdown_permille: self.countdown(phase, now_ms, contact_ms),
            tempo_permille: (script.how == How::Snap).then(|| self.tempo.permille()),
            palette: self.cells(phase),
            lanes: script.palette.lanes,
            menu: self.menu(phase),
            asks_target: phase == Phase::Target,
            stroke: match self.state {
                State::Target { stroke, .. } => script.palette.strokes.get(stroke).cloned(),
                _ => None,
            },
            feedback: (phase == Phase::Feedback).then(|| self.feedback()).flatten(),
            call: (phase == Phase::Call).then(|| self.call_card()).flatten(),
            shadow_answer: ball.filter(|_| phase == Phase::Own).map(|ball| {
                script.palette.choices[script.right(ball.serve, ball.part)].shown.clone()
            }),
            serves: if phase == Phase::Ready { self.serves_shown() } else { Vec::new() },
        }
    }

    /// What is asked at this moment, for a player that is no person.
    pub fn asked(&self, now_ms: u64) -> Option<Asked> {
        let ball = self.current.as_ref()?;
        let phase = self.phase(now_ms);
        let choices = &self.script.palette.choices;
        let right = self.script.right(ball.serve, ball.part);
        let key = |choice: usize| LETTERS[choices[choice].cell];
        let (from_ms, right_key, keys): (u64, char, Vec<char>) = match self.state {
            State::Ball { contact_ms } => {
                (contact_ms, key(right), (0..choices.len()).map(key).collect())
            }
            State::Do { since_ms, .. } => {
                (since_ms, key(right), (0..choices.len()).map(key).collect())
            }
            State::Stroke { since_ms } => (
                since_ms,
                MENU[choices[right].stroke],
                MENU[..self.script.palette.strokes.len()].to_vec(),
            ),
            State::Target { since_ms, .. } => {
                (since_ms, LETTERS[*choices[right].targets.first()?], LETTERS.to_vec())
            }
            State::What { contact_ms } => (
                contact_ms,
                *MENU.get(ball.serve)?,
                MENU[..self.script.serves.len().min(9)].to_vec(),
            ),
            State::Shadow { since_ms } => {
                (since_ms, SHADOW_KEYS[0].0, SHADOW_KEYS.map(|(key, _)| key).to_vec())
            }
            _ => return None,
        };
        let is_palette = matches!(self.state, State::Ball { .. } | State::Do { .. });
        Some(Asked {
            phase,
            serve: ball.serve,
            part: ball.part,
            from_ms,
            window_ms: if matches!(self.state, State::Ball { .. }) { self.window_ms() } else { 0 },
            right: right_key,
            old: self.script.old(ball.serve, ball.part).filter(|_| is_palette).map(key),
            spills: if is_palette {
                self.spills(ball.serve, ball.part).into_iter().map(key).collect()
            } else {
                Vec::new()
            },
            keys,
            receive: choices[right].receive.clone(),
        })
    }

    /// Counted as right at the head of the screen: a shadow stroke that came late was right all the same.
    fn is_well(&self, one: &Taken) -> bool {
        if self.script.how == How::Shadow {
            one.grade().is_some_and(crate::memory::Grade::is_recalled)
        } else {
            one.is_clean()
        }
    }

    /// The part of the round in words; after a gate that stayed shut, that there will be no call.
    fn part_shown(&self, part: Part) -> Option<&'static str> {
        match part {
            Part::Plain => self.gate.filter(|gate| !gate.is_open).map(|_| GATE_CLOSED),
            part => Some(part.shown()),
        }
    }

    fn is_in_play(&self) -> bool {
        self.current.is_some()
            && !matches!(
                self.state,
                State::Feedback { .. } | State::Between { .. } | State::Paused { .. }
            )
    }

    fn contact_ms(&self) -> Option<u64> {
        match self.state {
            State::Ball { contact_ms } | State::What { contact_ms } => Some(contact_ms),
            _ => None,
        }
    }

    /// The ball, as far as it may be seen: in a reading round it is gone after the cut.
    fn ball_seen(&self, phase: Phase, now_ms: u64, contact_ms: Option<u64>) -> Option<Frame> {
        let ball = self.current.as_ref()?;
        let contact_ms = contact_ms.filter(|_| matches!(phase, Phase::Flight | Phase::What))?;
        let t_ms = now_ms.checked_sub(contact_ms)?;
        let is_cut = matches!(ball.reading, Some(Reading::Cut | Reading::Twins))
            && t_ms > u64::from(self.script.durations.cut_ms);
        if is_cut {
            return None;
        }
        self.script.ball_at(ball.serve, i32::try_from(t_ms).unwrap_or(i32::MAX))
    }

    /// The path of the ball, up to the cut where there is one.
    fn path_seen(&self, phase: Phase) -> Vec<Frame> {
        let Some(ball) = self.current.as_ref() else { return Vec::new() };
        if !matches!(phase, Phase::Flight | Phase::What | Phase::Do | Phase::Feedback) {
            return Vec::new();
        }
        let is_cut = matches!(ball.reading, Some(Reading::Cut | Reading::Twins));
        // Once the answer is given the whole flight may be looked at.
        let until_ms = if is_cut && phase == Phase::What {
            i32::try_from(self.script.durations.cut_ms).unwrap_or(i32::MAX)
        } else {
            i32::MAX
        };
        let frames = &self.script.serves[ball.serve].frames;
        frames.iter().filter(|frame| frame.t_ms <= until_ms).copied().collect()
    }

    fn countdown(&self, phase: Phase, now_ms: u64, contact_ms: Option<u64>) -> Option<u32> {
        match (phase, contact_ms, &self.state) {
            (Phase::Flight, Some(contact_ms), _) => {
                let window_ms = u64::from(self.window_ms());
                let gone_ms = now_ms.saturating_sub(contact_ms).min(window_ms);
                Some(permille(window_ms - gone_ms, window_ms))
            }
            (Phase::Shadow, _, State::Shadow { since_ms }) => {
                let window_ms = u64::from(self.script.durations.shadow_ms);
                let gone_ms = now_ms.saturating_sub(*since_ms).min(window_ms);
                Some(permille(window_ms - gone_ms, window_ms))
            }
            _ => None,
        }
    }

    fn cells(&self, phase: Phase) -> Vec<Cell> {
        let is_shown = match self.script.how {
            How::Snap => true,
            How::Read => matches!(phase, Phase::Do | Phase::Feedback),
            How::Think | How::Shadow => false,
        };
        if !is_shown {
            return Vec::new();
        }
        let last = self.taken.last().filter(|one| phase == Phase::Feedback && one.counts());
        let right = last.map(|one| self.script.right(one.serve, one.part));
        let mark = |place: usize| match last {
            Some(_) if Some(place) == right => Mark::Right,
            Some(one) if one.given == Some(place) => Mark::Given,
            _ => Mark::Plain,
        };
        self.script
            .palette
            .choices
            .iter()
            .enumerate()
            .map(|(place, choice)| Cell {
                cell: choice.cell,
                key: LETTERS[choice.cell],
                words: choice.shown.clone(),
                brief: choice.brief.clone(),
                mark: mark(place),
            })
            .collect()
    }

    fn menu(&self, phase: Phase) -> Vec<Line> {
        let lines = |words: Vec<String>| {
            MENU.iter().zip(words).map(|(&key, words)| Line { key, words }).collect()
        };
        match phase {
            Phase::Stroke | Phase::Target => lines(self.script.palette.strokes.clone()),
            Phase::What => lines(self.script.serves.iter().map(|cue| cue.words.clone()).collect()),
            Phase::Own | Phase::Shadow => SHADOW_KEYS
                .iter()
                .map(|&(key, words)| Line { key, words: words.to_owned() })
                .collect(),
            _ => Vec::new(),
        }
    }

    fn feedback(&self) -> Option<Feedback> {
        let last = self.taken.last()?;
        let script = &self.script;
        let choices = &script.palette.choices;
        if last.outcome == Outcome::Let {
            return Some(Feedback {
                verdict: if is_before_contact(last) {
                    "let: a key before contact is a guess".to_owned()
                } else {
                    format!("let: within {} ms nobody has seen it", script.durations.least_ms)
                },
                is_right: false,
                is_let: true,
                right: String::new(),
                given: None,
                reasons: Vec::new(),
                ms: None,
                window_ms: None,
                was: None,
                can_undo: false,
            });
        }
        let grade = last.grade()?;
        let verdict = match last.gave {
            Gave::OldAnswer => "wrong: the old answer".to_owned(),
            Gave::Spill => "wrong: the switch belongs to another serve".to_owned(),
            Gave::Nothing => "no answer: counts as wrong".to_owned(),
            _ => grade.word().to_owned(),
        };
        let is_timed = last.window_ms > 0 && script.how == How::Snap;
        let reason = script.reason(last.serve, last.part);
        let reasons = [("why", &reason.why), ("expect", &reason.expect), ("then", &reason.then)];
        Some(Feedback {
            verdict,
            is_right: grade.is_recalled(),
            is_let: false,
            right: choices[script.right(last.serve, last.part)].shown.clone(),
            given: (last.gave != Gave::Right).then(|| self.given_shown(last)).flatten(),
            reasons: reasons
                .into_iter()
                .filter_map(|(name, words)| Some((name, words.clone()?)))
                .collect(),
            ms: (is_timed && last.gave != Gave::Nothing).then_some(last.ms),
            window_ms: is_timed.then_some(last.window_ms),
            was: last
                .is_recognised
                .map(|is_recognised| (script.serves[last.serve].words.clone(), is_recognised)),
            can_undo: self.before.is_some(),
        })
    }

    /// What was given, in words: a choice of the palette, or what a stroke and a target make.
    fn given_shown(&self, last: &Taken) -> Option<String> {
        let palette = &self.script.palette;
        last.given
            .map(|choice| palette.choices[choice].shown.clone())
            .or_else(|| last.built.map(|(stroke, cell)| palette.built_shown(stroke, cell)))
    }

    fn call_card(&self) -> Option<CallCard> {
        let ball = self.current.as_ref()?;
        let (call, switch) = (ball.call?, self.script.switch.as_ref()?);
        let shown = |choice: usize| self.script.palette.choices[choice].shown.clone();
        let changes = self.script.serves.iter().filter_map(|cue| {
            let (base, changed) = (shown(cue.right), shown(cue.changed?));
            match call {
                Call::Stay => None,
                Call::Switch => Some((cue.words.clone(), base, changed)),
                Call::Back => Some((cue.words.clone(), changed, base)),
            }
        });
        Some(CallCard {
            call,
            name: switch.name.clone(),
            cue: switch.cue.clone(),
            changes: changes.collect(),
        })
    }

    fn serves_shown(&self) -> Vec<(String, String)> {
        self.script
            .serves
            .iter()
            .map(|cue| (cue.words.clone(), self.script.palette.choices[cue.right].shown.clone()))
            .collect()
    }
}

/// A share in thousandths.
fn permille(part: u64, whole: u64) -> u32 {
    u32::try_from(part * 1000 / whole.max(1)).unwrap_or(1000).min(1000)
}

/// A let whose time reads zero was given before contact.
const fn is_before_contact(last: &Taken) -> bool {
    last.ms == 0
}

//! From what is in play to the picture of a moment, and to the question a simulated player is
//! asked. Nothing here changes anything.

use super::answering::{MENU, SHADOW_KEYS};
use super::machine::Machine;
use super::palette::{LETTERS, PaletteChoice};
use super::picture::{
    Act, AnswerVerdict, Asked, CallCard, Cell, Feedback, Mark, MenuLine, Phase, Picture,
};
use super::script::{Call, Cue, Frame, GATE_CLOSED, ReadingStep, Reason, RoundPart, ScriptBall};
use super::taken::{Gave, Taken};
use crate::journal::How;
use crate::memory::{Grade, Outcome};

impl Machine {
    /// What there is to show at a time.
    pub fn picture(&self, now_ms: u64) -> Picture {
        let phase = self.phase(now_ms);
        let script = &self.script;
        let ball = self.current.as_ref();
        let counted = self.taken.iter().filter(|one| one.counts());
        let answers = counted.clone().count();
        let in_play = usize::from(self.is_in_play());
        let switch = script.measured().filter(|_| phase == Phase::Ready);
        let is_asked = !matches!(
            phase,
            Phase::Ready | Phase::Call | Phase::Done | Phase::Paused | Phase::Over
        );
        let asked = ball.filter(|_| is_asked);
        let stroke = script.palette.strokes.get(self.stroke);
        Picture {
            phase,
            opponent: script.opponent.clone(),
            ball_number: (answers + in_play).max(usize::from(self.began_ms.is_some())),
            balls: answers + self.queue.len() + in_play,
            due: script.serves.iter().filter(|cue| cue.is_due).count(),
            left_s: self.left_s(now_ms),
            in_window: counted.filter(|one| self.is_well(one)).count(),
            answers,
            part: ball.and_then(|ball| self.part_shown(ball.part)),
            switch: switch.map(|switch| switch.name.clone()),
            under: self.under_shown(phase),
            of_turn: ball.map_or(0, |ball| ball.of_turn),
            words: asked.and_then(|ball| self.words(phase, ball)),
            reading: asked.and_then(|ball| ball.reading).map(ReadingStep::shown),
            toss_permille: ball.filter(|_| phase == Phase::Toss).map(|ball| {
                let toss_ms = u64::from(ball.toss_ms);
                permille((now_ms + toss_ms).saturating_sub(self.at_ms), toss_ms)
            }),
            ball: self.ball_seen(phase, now_ms),
            path: self.path_seen(phase),
            countdown_permille: self.countdown(phase, now_ms),
            tempo_permille: (script.how == How::Snap).then(|| self.tempo.permille()),
            palette: self.cells(phase),
            lanes: script.palette.lanes,
            menu: self.menu(phase),
            stroke: stroke.filter(|_| phase == Phase::Target).cloned(),
            feedback: (phase == Phase::Feedback).then(|| self.feedback()).flatten(),
            call: (phase == Phase::Call).then(|| self.call_card()).flatten(),
            shadow_answer: ball
                .filter(|_| phase == Phase::Own)
                .map(|ball| self.shown(script.right(ball.serve, ball.part))),
            serves: if phase == Phase::Ready { self.serves_shown() } else { Vec::new() },
        }
    }

    /// What is asked at this moment, for a player that is no person.
    pub fn asked(&self, now_ms: u64) -> Option<Asked> {
        let ball = self.current.as_ref()?;
        let palette = &self.script.palette;
        let right = self.script.right(ball.serve, ball.part);
        let choice = &palette.choices[right];
        let menu = |lines: usize| MENU.into_iter().take(lines).map(Act::Key).collect();
        let is_palette = matches!(self.play, Phase::Flight | Phase::Do);
        let (right, acts): (Act, Vec<Act>) = match self.play {
            Phase::Flight | Phase::Do => {
                (Act::Choice(right), (0..palette.choices.len()).map(Act::Choice).collect())
            }
            Phase::Stroke => (Act::Key(MENU[choice.stroke]), menu(palette.strokes.len())),
            Phase::Target => {
                (Act::Key(LETTERS[*choice.targets.first()?]), LETTERS.map(Act::Key).to_vec())
            }
            Phase::What => (Act::Key(*MENU.get(ball.serve)?), menu(self.script.serves.len())),
            Phase::Shadow | Phase::Own => {
                let keys = SHADOW_KEYS.map(|(key, _)| Act::Key(key));
                (keys[0], keys.to_vec())
            }
            _ => return None,
        };
        let spills = if is_palette { self.spills(ball.serve, ball.part) } else { Vec::new() };
        Some(Asked {
            phase: self.phase(now_ms),
            serve: ball.serve,
            part: ball.part,
            from_ms: self.at_ms,
            window_ms: if self.play == Phase::Flight { self.window_ms() } else { 0 },
            right,
            old: self.script.old(ball.serve, ball.part).filter(|_| is_palette).map(Act::Choice),
            spills: spills.into_iter().map(Act::Choice).collect(),
            acts,
        })
    }

    /// How much of a ball is not said any more, as its pattern is known: 0 nothing, 1 all but the
    /// short word, 2 the labels too. After a wrong answer everything is said again, and if it was
    /// the first of a day, on the next day too.
    fn faded(&self, serve: usize) -> u32 {
        if !self.script.fades {
            return 0;
        }
        let known = self.script.serves[serve].right_days.min(2);
        let own = self.taken.iter().rev().filter(|one| one.serve == serve && one.counts());
        let since_wrong = own.take(2).position(|one| !one.is_recalled());
        since_wrong.map_or(known, |right| known.min(u32::try_from(right).unwrap_or(0)))
    }

    /// The serve in words, as far as they may be seen. They come with contact: before it there is
    /// nothing to read but the toss.
    fn words(&self, phase: Phase, ball: &ScriptBall) -> Option<String> {
        let cue = &self.script.serves[ball.serve];
        let told = || cue.tell.as_ref().or(Some(&cue.short));
        let words = match (self.script.how, self.faded(ball.serve)) {
            _ if matches!(phase, Phase::Toss | Phase::Between) => None,
            (How::Snap, _) if !self.script.has_words => None,
            (How::Snap, 2) if phase == Phase::Flight && cue.is_alike => told(),
            (How::Snap, 2) if phase == Phase::Flight => None,
            (How::Shadow, _) | (How::Snap, 1 | 2) => Some(&cue.short),
            (How::Read, _) if !matches!(phase, Phase::Do | Phase::Feedback) => {
                cue.tell.as_ref().filter(|_| ball.reading == Some(ReadingStep::Tell))
            }
            _ => Some(&cue.words),
        };
        words.cloned()
    }

    /// Counted as right at the head of the screen: a shadow stroke that came late was right all
    /// the same.
    fn is_well(&self, one: &Taken) -> bool {
        if self.script.how == How::Shadow {
            one.grade().is_some_and(Grade::is_recalled)
        } else {
            one.is_clean()
        }
    }

    /// The switches that stand, as far as they are called.
    fn under_shown(&self, phase: Phase) -> Option<String> {
        let ball = self.current.as_ref().filter(|_| phase != Phase::Call);
        let called = ball.filter(|ball| ball.part == RoundPart::After && !self.is_measured());
        let called = called.and_then(|ball| self.script.switches.get(ball.switch?));
        called.map(|switch| switch.name.clone()).or_else(|| self.script.under.clone())
    }

    const fn is_measured(&self) -> bool {
        self.script.gate_percent.is_some()
    }

    /// The part of the round in words; after a gate that stayed shut, that there will be no call.
    fn part_shown(&self, part: RoundPart) -> Option<&'static str> {
        match part {
            RoundPart::Plain => self.gate.filter(|gate| !gate.is_open).map(|_| GATE_CLOSED),
            part => self.is_measured().then(|| part.shown()),
        }
    }

    fn is_in_play(&self) -> bool {
        let rests =
            matches!(self.play, Phase::Feedback | Phase::Between | Phase::Paused | Phase::Over);
        self.current.is_some() && !rests
    }

    /// In a reading round: when the flight is cut off, milliseconds after contact.
    fn cut_ms(&self, ball: &ScriptBall) -> i32 {
        match ball.reading {
            Some(ReadingStep::Cut | ReadingStep::Twins) => {
                i32::try_from(self.script.durations.cut_ms).unwrap_or(i32::MAX)
            }
            Some(ReadingStep::Tell) => -1,
            Some(ReadingStep::Flight) | None => i32::MAX,
        }
    }

    /// The ball, as far as it may be seen: in a reading round it is gone after the cut.
    fn ball_seen(&self, phase: Phase, now_ms: u64) -> Option<Frame> {
        let ball = self.current.as_ref()?;
        let t_ms = i32::try_from(now_ms.checked_sub(self.at_ms)?).unwrap_or(i32::MAX);
        let is_seen = matches!(phase, Phase::Flight | Phase::What) && t_ms <= self.cut_ms(ball);
        is_seen.then(|| self.script.ball_at(ball.serve, t_ms))?
    }

    /// The path of the ball, up to the cut where there is one; once the answer is given the whole
    /// flight may be looked at.
    fn path_seen(&self, phase: Phase) -> Vec<Frame> {
        let Some(ball) = self.current.as_ref() else { return Vec::new() };
        let until_ms = match phase {
            Phase::What => self.cut_ms(ball),
            Phase::Flight | Phase::Do | Phase::Feedback => i32::MAX,
            _ => return Vec::new(),
        };
        let frames = &self.script.serves[ball.serve].frames;
        frames.iter().take_while(|one| one.t_ms <= until_ms).copied().collect()
    }

    /// What is left of the window, thousandths.
    fn countdown(&self, phase: Phase, now_ms: u64) -> Option<u32> {
        let window_ms = u64::from(match phase {
            Phase::Flight => self.window_ms(),
            Phase::Shadow => self.script.durations.shadow_ms,
            _ => return None,
        });
        let gone_ms = now_ms.saturating_sub(self.at_ms).min(window_ms);
        Some(permille(window_ms - gone_ms, window_ms))
    }

    fn cells(&self, phase: Phase) -> Vec<Cell> {
        let is_shown = match self.script.how {
            How::Snap | How::Film => true,
            How::Read => matches!(phase, Phase::Do | Phase::Feedback),
            How::Think | How::Shadow => false,
        };
        if !is_shown {
            return Vec::new();
        }
        let last = self.taken.last().filter(|one| phase == Phase::Feedback && one.counts());
        let open = self.open.map(|(cell, _)| cell);
        let mark = |place: usize| match last {
            None if open == Some(self.script.palette.choices[place].cell) => Mark::Open,
            Some(one) if place == self.script.right(one.serve, one.part) => Mark::Right,
            Some(one) if one.given == Some(place) => Mark::Given,
            _ => Mark::Plain,
        };
        let ball = self.current.as_ref().filter(|_| self.script.how == How::Snap);
        let is_faded = ball.is_some_and(|ball| self.faded(ball.serve) == 2);
        // Two at one place keep their words.
        let label = |choice: &PaletteChoice, mark: Mark| {
            let is_bare = is_faded && choice.parts == 1 && mark == Mark::Plain;
            if is_bare { String::new() } else { choice.label.clone() }
        };
        let choices = self.script.palette.choices.iter().enumerate();
        choices
            .map(|(place, choice)| Cell {
                cell: choice.cell,
                parts: choice.parts,
                keys: choice.keys.clone(),
                words: choice.shown.clone(),
                label: label(choice, mark(place)),
                mark: mark(place),
            })
            .collect()
    }

    fn menu(&self, phase: Phase) -> Vec<MenuLine> {
        let line = |(key, words): (char, &str)| MenuLine { key, words: words.to_owned() };
        let strokes = self.script.palette.strokes.iter().map(String::as_str);
        let serves = self.script.serves.iter().map(|cue| cue.short.as_str());
        match phase {
            Phase::Stroke | Phase::Target => MENU.into_iter().zip(strokes).map(line).collect(),
            Phase::What => MENU.into_iter().zip(serves).map(line).collect(),
            Phase::Own | Phase::Shadow => SHADOW_KEYS.map(line).to_vec(),
            _ => Vec::new(),
        }
    }

    fn feedback(&self) -> Option<Feedback> {
        let last = self.taken.last()?;
        let script = &self.script;
        let verdict = match (last.outcome, last.gave) {
            // A let whose time reads zero was given before contact.
            (Outcome::Let, _) if last.ms == 0 => AnswerVerdict::BeforeContact,
            (Outcome::Let, _) => AnswerVerdict::TooSoon { least_ms: script.durations.least_ms },
            (_, Gave::OldAnswer) => AnswerVerdict::OldAnswer,
            (_, Gave::Spill) => AnswerVerdict::Spill,
            (_, Gave::Nothing) => AnswerVerdict::NoAnswer,
            (Outcome::Graded(grade), _) => AnswerVerdict::Graded(grade),
        };
        let is_told = !verdict.is_let();
        let is_timed = is_told && last.window_ms > 0 && script.how == How::Snap;
        let palette = &script.palette;
        let built = || last.built.map(|(stroke, cell)| palette.built_shown(stroke, cell));
        let given = last.given.map(|choice| self.shown(choice)).or_else(built);
        let right = || self.shown(script.right(last.serve, last.part));
        let reason = || script.reason(last.serve, last.part).clone();
        let words = || script.serves[last.serve].words.clone();
        let cue = &script.serves[last.serve];
        let of_twin = cue.twin.map(|twin| script.serves[twin].right);
        let is_twins = is_told && last.gave != Gave::Right && of_twin == last.given;
        Some(Feedback {
            verdict,
            wrong_bat: cue.wrong_bat.clone().filter(|_| is_twins && of_twin.is_some()),
            right: if is_told { right() } else { String::new() },
            given: given.filter(|_| is_told && last.gave != Gave::Right),
            reason: if is_told { reason() } else { Reason::default() },
            ms: (is_timed && last.gave != Gave::Nothing).then_some(last.ms),
            window_ms: is_timed.then_some(last.window_ms),
            was: last.is_recognised.filter(|_| is_told).map(|is_known| (words(), is_known)),
            can_undo: self.before.is_some(),
        })
    }

    /// A choice of the palette in words.
    fn shown(&self, choice: usize) -> String {
        self.script.palette.choices[choice].shown.clone()
    }

    fn call_card(&self) -> Option<CallCard> {
        let ball = self.current.as_ref()?;
        let (call, place) = (ball.call?, ball.switch.unwrap_or_default());
        let switch = self.script.switches.get(place)?;
        let changes = self.script.serves.iter().enumerate().filter_map(|(serve, cue)| {
            let of_day = cue.under.filter(|(under, _)| *under == place);
            let (base, changed) = match of_day {
                Some((_, old)) => (old, cue.right),
                None => (cue.right, cue.changed?),
            };
            let is_hidden = cue.is_due && !self.taken.iter().any(|one| one.serve == serve);
            let [base, changed] = [base, changed].map(|choice| self.shown(choice));
            let changed = if is_hidden { String::new() } else { changed };
            match call {
                Call::Stay => None,
                Call::Switch => Some((cue.short.clone(), base, changed)),
                Call::Back => Some((cue.short.clone(), changed, base)),
            }
        });
        let changes = changes.collect();
        Some(CallCard { call, name: switch.name.clone(), cue: switch.cue.clone(), changes })
    }

    fn serves_shown(&self) -> Vec<(String, String)> {
        let serves = self.script.serves.iter();
        let serves = serves.filter(|cue| self.is_shown || cue.under.is_none());
        let receive = |cue: &Cue| if self.is_shown { self.shown(cue.right) } else { String::new() };
        let called = |cue: &Cue| match cue.under {
            Some((switch, _)) => {
                format!("\"{}\": {}", self.script.switches[switch].name, cue.short)
            }
            None => cue.short.clone(),
        };
        serves.map(|cue| (called(cue), receive(cue))).collect()
    }
}

/// A share in thousandths.
fn permille(part: u64, whole: u64) -> u32 {
    u32::try_from(part * 1000 / whole.max(1)).unwrap_or(1000).min(1000)
}

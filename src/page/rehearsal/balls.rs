//! The balls of a session, each under its mark: the letter of its answer, and a number where
//! another ball has that answer too.

use crate::base::{Units, text};
use crate::game::Receive;
use crate::launcher::{SetUp, Settings, Thrown};
use crate::page::launcher_aim::MOST_NAMED;
use crate::page::launcher_by_eye::set_in_a_list;
use crate::page::launcher_words::{move_words, set_up_words};
use crate::page::rehearsal::document::{MarkedBall, StandSheet};
use crate::page::rehearsal::knobs::knobs;
use crate::page::rehearsal::words::{Letters, name, person_ball, short_zone};
use crate::rehearsal::{Block, Role, Session, SessionBall, StandIn};

/// A ball as it is set once.
struct BallKind<'s> {
    mark: String,
    letter: char,
    block: &'s Block,
    ball: &'s SessionBall,
    /// The place of the ball of which it is a small change.
    plain: Option<usize>,
}

/// Every kind of ball of a session.
pub(super) struct BallKinds<'s> {
    session: &'s Session,
    letters: Letters,
    all: Vec<BallKind<'s>>,
    /// Where they are thrown from, in order.
    pub(super) stands: Vec<SetUp>,
}

impl<'s> BallKinds<'s> {
    pub(super) fn find_all(session: &'s Session) -> Self {
        let letters = Letters::for_session(session);
        let mut all = Self { session, letters, all: Vec::new(), stands: Vec::new() };
        for block in &session.blocks {
            if !all.stands.contains(&block.set_up) {
                all.stands.push(block.set_up);
            }
            for ball in block.played() {
                if all.find(block, ball).is_some() {
                    continue;
                }
                let is_plain = |kind: &BallKind<'_>| {
                    kind.ball.thrown == Thrown { shade: None, ..ball.thrown }
                        && kind.block.set_up == block.set_up
                        && kind.block.sweep.is_empty()
                        && (block.is_called || kind.ball.serve == ball.serve)
                };
                let plain = ball.thrown.shade.and_then(|_| all.all.iter().position(is_plain));
                // Where answers are called the ball is that of the serve it was made from.
                let letter = match plain.filter(|_| block.is_called) {
                    Some(plain) => all.all[plain].letter,
                    None => all.letters.letter(ball),
                };
                let same = all.all.iter().filter(|kind| kind.letter == letter).count();
                let more = if same > 0 { (same + 1).to_string() } else { String::new() };
                let mark = format!("{letter}{more}");
                all.all.push(BallKind { mark, letter, block, ball, plain });
            }
        }
        all
    }

    fn find(&self, block: &Block, ball: &SessionBall) -> Option<&BallKind<'s>> {
        let letter = self.letters.letter(ball);
        let is_it = |kind: &&BallKind<'_>| {
            kind.ball.thrown == ball.thrown
                && kind.block.set_up == block.set_up
                // Where answers are called the ball is kept, whatever is played to it.
                && (block.is_called || kind.letter == letter && kind.ball.role == ball.role)
                && kind.block.sweep == block.sweep
        };
        self.all.iter().find(is_it)
    }

    /// The mark of this ball in its block.
    pub(super) fn mark(&self, block: &Block, ball: &SessionBall) -> &str {
        self.find(block, ball).map_or("?", |kind| &kind.mark)
    }

    /// The letter of the answer to this ball.
    pub(super) fn letter(&self, ball: &SessionBall) -> char {
        self.letters.letter(ball)
    }

    /// The stands with their balls in words.
    pub(super) fn sheet(&self, units: Units) -> Vec<StandSheet> {
        let mut said: Vec<char> = Vec::new();
        let is_person = self.session.kind().is_person();
        let is_numbered = self.stands.len() > 1 && !is_person;
        let stand = |(place, set_up): (usize, &SetUp)| {
            let mut balls = Vec::new();
            for kind in self.all.iter().filter(|kind| kind.block.set_up == *set_up) {
                balls.push(self.ball(kind, &mut said, units));
            }
            for ball in self.called_on(set_up) {
                let letter = self.letters.letter(ball);
                if !said.contains(&letter) {
                    let what = self.what(ball);
                    let answer = self.answer(ball, &mut said);
                    balls.push(MarkedBall { mark: letter.into(), what, answer, set: Vec::new() });
                }
            }
            StandSheet {
                number: is_numbered.then_some(place + 1),
                words: match self.stands.first() {
                    _ if is_person => String::new(),
                    Some(first) if place > 0 => {
                        format!("as stand 1, but {}", move_words(set_up, first, units))
                    }
                    _ => set_up_words(set_up, units),
                },
                balls,
            }
        };
        self.stands.iter().enumerate().map(stand).collect()
    }

    /// The balls of blocks in which only the answer changes.
    fn called_on(&self, set_up: &SetUp) -> impl Iterator<Item = &'s SessionBall> {
        let blocks = self.session.blocks.iter().filter(|block| block.is_called);
        blocks.filter(move |block| block.set_up == *set_up).flat_map(Block::played)
    }

    fn ball(&self, kind: &BallKind<'_>, said: &mut Vec<char>, units: Units) -> MarkedBall {
        let BallKind { mark, ball, block, .. } = kind;
        let is_own = |known: &BallKind<'_>| known.mark != *mark && known.ball.thrown == ball.thrown;
        let what = match ball.thrown.shade {
            Some(shade) if self.plain_of(kind).is_some() => shade.shown().to_owned(),
            Some(shade) => format!("{}, {shade}", self.what(ball)),
            // Nobody's own ball, on which several answers can be called.
            None if block.is_called && !self.all.iter().any(is_own) => {
                format!("{}, {}", short_zone(self.session, &ball.thrown), ball.thrown.spin)
            }
            None => self.what(ball),
        };
        let has_answer = !block.is_called || !mark.ends_with(|end: char| end.is_ascii_digit());
        let answer = if has_answer { self.answer(ball, said) } else { None };
        MarkedBall { mark: mark.clone(), what, answer, set: self.set(kind, units) }
    }

    /// The answer to a ball where its letter was not explained before.
    fn answer(&self, ball: &SessionBall, said: &mut Vec<char>) -> Option<String> {
        let letter = self.letters.letter(ball);
        if said.contains(&letter) {
            return None;
        }
        said.push(letter);
        ball.receive.as_ref().map(Receive::shown)
    }

    /// The serve it stands for, or what it is.
    fn what(&self, ball: &SessionBall) -> String {
        let is_person = self.session.kind().is_person();
        let other = if ball.role == Role::OtherWing { "other wing" } else { "variation" };
        let Some(serve) = &ball.serve else {
            let spin = ball.thrown.spin.shown();
            let zone = short_zone(self.session, &ball.thrown);
            return if is_person { other.to_owned() } else { format!("{other}, {zone}, {spin}") };
        };
        name(self.session, serve)
    }

    /// How it is set, or how a person makes it.
    fn set(&self, kind: &BallKind<'_>, units: Units) -> Vec<String> {
        let BallKind { ball, block, .. } = kind;
        let (session, thrown) = (self.session, &ball.thrown);
        if session.kind().is_person() {
            let known =
                session.serves.iter().find(|known| Some(&known.serve) == ball.serve.as_ref());
            let from = known.and_then(|known| known.stand_in.as_ref()).map(stand_in_words);
            let made = person_ball(session, thrown);
            return vec![[Some(made), from].into_iter().flatten().collect::<Vec<_>>().join("; ")];
        }
        let sweep = &block.sweep;
        if !sweep.is_empty() {
            let is_first = block.played().next().is_some_and(|first| first.thrown == *thrown);
            return if is_first { self.sweep_words(kind, units) } else { Vec::new() };
        }
        let same = self.all.iter().take_while(|other| other.mark != kind.mark);
        let mut same = same.filter(|other| other.block.set_up == block.set_up);
        if let Some(same) = same.find(|other| other.ball.thrown == *thrown) {
            return vec![format!("the ball of {}", same.mark)];
        }
        match settings_of(kind) {
            Some(settings) => self.set_words(kind, settings, units),
            None if self.plain_of(kind).is_some() => Vec::new(),
            None => vec![self.by_knobs(thrown, block, units)],
        }
    }

    /// How a sweep is set: for the lane in its middle, as one of the balls where it is the same.
    fn sweep_words(&self, kind: &BallKind<'_>, units: Units) -> Vec<String> {
        let block = kind.block;
        let lanes: Vec<&str> = block.sweep.iter().map(|lane| lane.shown()).collect();
        let sweep = format!("sweep over {}, set", text::and_list(&lanes));
        let settings = settings_of(kind);
        let is_it = |other: &&BallKind<'_>| {
            other.block.sweep.is_empty() && settings.is_some() && settings_of(other) == settings
        };
        match (self.all.iter().find(is_it), settings) {
            (Some(same), _) => vec![format!("{sweep} as {}", same.mark)],
            (None, Some(settings)) => {
                let words = self.set_words(kind, settings, units);
                [format!("{sweep} for the middle one:")].into_iter().chain(words).collect()
            }
            (None, None) => vec![sweep, self.by_knobs(&kind.ball.thrown, block, units)],
        }
    }

    /// Marks, then what is entered; of a small change only what is another than of its plain ball.
    fn set_words(&self, kind: &BallKind<'_>, settings: &Settings, units: Units) -> Vec<String> {
        let has_names = !has_many_dials(self.session);
        let own = set_in_a_list(settings, units, has_names);
        let plain = self.plain_of(kind).and_then(settings_of);
        let plain = plain.map(|settings| set_in_a_list(settings, units, has_names));
        let entered = match &plain {
            // Degrees and rev/s for those whose launcher shows them.
            None => [
                own.wheels,
                own.head,
                own.entered.clone(),
                Some(own.physics).filter(|_| own.entered.is_none()),
            ],
            Some(plain) => {
                let head = own.head.filter(|head| plain.head.as_ref() != Some(head));
                [None, head, own.entered, None]
            }
        };
        let entered = entered.into_iter().flatten().collect::<Vec<_>>().join("; ");
        let first = own.first.map(|first| format!("first bounce {first}"));
        let lands = own.lands.map(|lands| format!("lands {lands}"));
        let marks: Vec<String> = [first, lands, own.farther].into_iter().flatten().collect();
        let marks = marks.join("; ");
        (!marks.is_empty())
            .then_some(marks)
            .into_iter()
            .chain((!entered.is_empty()).then_some(entered))
            .collect()
    }

    /// The ball of which this is a small change.
    fn plain_of(&self, kind: &BallKind<'_>) -> Option<&BallKind<'s>> {
        self.all.get(kind.plain?)
    }

    /// Where each knob goes, for a setting that was not computed.
    fn by_knobs(&self, thrown: &Thrown, block: &Block, units: Units) -> String {
        let wheels = self.session.launcher.machine.as_ref().map(|machine| machine.wheels);
        let lines = knobs(thrown, &block.set_up, self.session.player, wheels, units);
        let lines = lines.iter().map(|(knob, words)| format!("{knob} {words}"));
        lines.collect::<Vec<_>>().join("; ")
    }
}

/// What was computed for a ball.
fn settings_of<'s>(kind: &BallKind<'s>) -> Option<&'s Settings> {
    let BallKind { ball, block, .. } = kind;
    let of_block = block.settings.as_ref();
    // The setting of the whole block is that of its first ball.
    let is_first = block.balls.first().is_some_and(|first| first.thrown == ball.thrown);
    of_block
        .filter(|_| !block.sweep.is_empty())
        .or(ball.settings.as_ref())
        .or(of_block.filter(|_| is_first))
}

fn stand_in_words(known: &StandIn) -> String {
    let motions: Vec<&str> = known.motions.iter().take(2).map(|motion| motion.shown()).collect();
    let motions = if motions.is_empty() {
        String::new()
    } else {
        format!(", {} motion", text::or_list(&motions))
    };
    format!("from your {}{motions}", known.from)
}

/// Whether the names of the dials are said once for all balls.
pub(super) fn has_many_dials(session: &Session) -> bool {
    session.launcher.dials.len() > MOST_NAMED
}

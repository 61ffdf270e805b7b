//! One block of a session's sheet: where the launcher stands, what is entered, the answers, the
//! list of balls or of calls, the log lines.

use std::collections::BTreeMap;

use serde_json::{Value, json};

use crate::base::{Units, text};
use crate::game::Receive;
use crate::launcher::{Shade, rate_dial};
use crate::page::launcher_by_eye::{set_by_eye, set_in_a_list};
use crate::page::launcher_words::set_up_words;
use crate::page::rehearsal::json::{all, before_value, block_value};
use crate::page::rehearsal::knobs::knobs;
use crate::page::rehearsal::reasons::note;
use crate::page::rehearsal::words::{
    Letters, name_in_list, person_ball, short_spin, unlogged, zone,
};
use crate::page::worded::Worded;
use crate::rehearsal::{BeforeBall, Block, Role, Session, SessionBall, Variation};

/// A block to be set on the sheet.
#[derive(Clone, Copy)]
pub(super) struct BlockSheet<'a> {
    pub(super) session: &'a Session,
    pub(super) block: &'a Block,
    pub(super) letters: &'a Letters,
    pub(super) units: Units,
    pub(super) is_drawn: bool,
    /// Whether it says again what stands in an earlier block.
    pub(super) is_whole: bool,
}

impl BlockSheet<'_> {
    /// What the template sets of it, beside what stands in JSON.
    pub(super) fn value(&self) -> Value {
        let block = self.block;
        let played: Vec<&SessionBall> = block.played().collect();
        let mut answers = self.answers();
        // The same ball with the same answer again and again is no list.
        let is_one = block.is_one_setting() && answers.len() < 2;
        let score = played.iter().find_map(|ball| ball.score);
        let is_called = block.is_called || is_one && score.is_some();
        let is_listed = !is_called && !is_one && block.sweep.is_empty();
        let shades = block.balls.iter().filter_map(|ball| ball.thrown.shade);
        let is_known = |answer: &(char, String, String)| {
            self.earlier().any(|one| one.answers().iter().any(|other| other.0 == answer.0))
        };
        let known: Vec<_> = answers.extract_if(.., |answer| is_known(answer)).collect();
        let known: Vec<String> = known.iter().map(|answer| answer.0.to_string()).collect();
        let (rows, marks) = if is_listed { self.listed(&played) } else { self.called(&played) };
        let mut shades: Vec<&str> = shades.map(Shade::shown).collect();
        shades.dedup();
        let words = json!({
            "is_one_setting": block.is_one_setting(),
            "shown": [block.phase.shown(), block.variation.shown()],
            "first": played.first().map(|ball| ball.number),
            "last": played.last().map(|ball| ball.number),
            "is_drawn": self.is_drawn,
            "stands": set_up_words(&block.set_up, self.units),
            "entered": self.entered(),
            "away": block.thrown_away(),
            "received": played.len(),
            "answers": answers,
            "known": text::and_list(&known),
            "notes": self.notes().filter(|note| {
                self.earlier().all(|one| one.notes().all(|other| other != *note))
            }).collect::<Vec<_>>(),
            "score": shown_score(score),
            "runs": if is_called || is_listed { Self::runs(&played, &marks) } else { Value::Null },
            "rows": rows,
            "has_own_serves": played.iter().any(|ball| has_own_serves(ball)),
            "shades": shades,
            "names": all(&block.log, |line| json!(name_in_list(self.session, &line.serve))),
            "targets": all(&block.log, |line| {
                json!(if line.receive.to.is_open() { String::new() } else { line.receive.to.shown() })
            }),
            "unlogged": unlogged(std::iter::once(block)),
        });
        json!(Worded { data: block_value(block), words })
    }

    /// The blocks before it, where what they say is not said again.
    fn earlier(&self) -> impl Iterator<Item = Self> {
        let blocks = self.session.blocks.iter().filter(|_| !self.is_whole);
        let before = blocks.take_while(|block| block.number < self.block.number);
        before.map(|block| Self { block, ..*self })
    }

    fn notes(&self) -> impl Iterator<Item = String> {
        self.block.notes.iter().map(|known| note(known, self.block.variation))
    }

    /// What is entered, or how a person makes the only ball: labels and words.
    fn entered(&self) -> Vec<(&'static str, String)> {
        let (block, session) = (self.block, self.session);
        let mut lines = self.set();
        let same = self.earlier().find(|one| lines.len() > 1 && one.set() == lines);
        if let Some(same) = same {
            lines = vec![("set", format!("as in block {}", same.block.number))];
        }
        let rate = rate_dial(&session.launcher, block.thrown_a_minute);
        lines.extend(
            rate.map(|set| ("rate", format!("{} about {}", text::one_line(&set.name), set.value))),
        );
        lines
    }

    /// The setting of a block with only one.
    fn set(&self) -> Vec<(&'static str, String)> {
        let (block, session) = (self.block, self.session);
        let Some(thrown) = block.balls.first().map(|ball| ball.thrown) else { return Vec::new() };
        if session.kind().is_person() {
            if block.variation != Variation::OneServe {
                return Vec::new();
            }
            let shade = thrown.shade.map(|shade| format!(", {shade}")).unwrap_or_default();
            return vec![("ball", format!("{}{shade}", person_ball(session, &thrown)))];
        }
        if let Some(settings) = &block.settings {
            return set_by_eye(settings, self.units);
        }
        if !block.is_one_setting() && block.sweep.is_empty() {
            return Vec::new();
        }
        // Where each knob goes, for a setting that was not computed.
        let mut lines = vec![("ball", format!("{}, {}", thrown.zone_shown(), thrown.throw))];
        let wheels = session.launcher.machine.as_ref().map(|machine| machine.wheels);
        lines.extend(knobs(&thrown, &block.set_up, session.player, wheels, self.units));
        if let Some(aim) = lines.iter_mut().find(|line| line.0 == "aim" && !block.sweep.is_empty())
        {
            let lanes: Vec<&str> = block.sweep.iter().map(|lane| lane.shown()).collect();
            *aim = ("sweep", format!("over {}", text::and_list(&lanes)));
        }
        lines
    }

    /// The receives of a block, each with its letter through the session and its serve.
    fn answers(&self) -> Vec<(char, String, String)> {
        let mut own: BTreeMap<char, Vec<&SessionBall>> = BTreeMap::new();
        for ball in self.block.played().filter(|ball| ball.receive.is_some()) {
            own.entry(self.letters.letter(ball)).or_default().push(ball);
        }
        let answer = |(letter, balls): (char, Vec<&SessionBall>)| {
            let is_new = balls.iter().any(|ball| ball.serve.is_none());
            let serve = match balls.iter().find_map(|ball| ball.serve.as_ref()) {
                Some(serve) if is_new => format!("{serve}, and the variation"),
                Some(serve) => serve.to_string(),
                None => String::new(),
            };
            let receive = balls[0].receive.as_ref().map(Receive::shown).unwrap_or_default();
            (letter, receive, serve)
        };
        own.into_iter().map(answer).collect()
    }

    /// Each ball of a list once, under its mark: the letter of its answer, and where two balls have
    /// that answer a number. And the mark of every ball.
    fn listed(&self, played: &[&SessionBall]) -> (Vec<Value>, Vec<String>) {
        let mut rows: Vec<(String, Value)> = Vec::new();
        let mark = |ball: &&SessionBall| {
            let (letter, row) = (self.letters.letter(ball), self.row(ball));
            if let Some((mark, _)) = rows.iter().find(|(_, known)| *known == row) {
                return mark.clone();
            }
            let same = rows.iter().filter(|(mark, _)| mark.starts_with(letter)).count();
            let mark = if same > 0 { format!("{letter}{}", same + 1) } else { letter.to_string() };
            rows.push((mark.clone(), row));
            mark
        };
        let marks = played.iter().map(mark).collect();
        let row = |(mark, row)| json!(Worded { data: row, words: json!({ "mark": mark }) });
        (rows.into_iter().map(row).collect(), marks)
    }

    /// The letter of every ball where only the answer changes.
    fn called(&self, played: &[&SessionBall]) -> (Vec<Value>, Vec<String>) {
        (Vec::new(), played.iter().map(|ball| self.letters.letter(ball).to_string()).collect())
    }

    /// The order of the balls: ten marks a line, a bar where own serves come between.
    fn runs(played: &[&SessionBall], marks: &[String]) -> Value {
        let balls: Vec<_> = played.iter().zip(marks).collect();
        let is_run = |(one, _): &(&&SessionBall, &String), (next, _): &(&&SessionBall, &String)| {
            let is_called = !calls(next).is_empty();
            one.number.is_some_and(|number| number % 10 != 0) && !is_called
        };
        let letters = |(ball, mark): &(&&SessionBall, &String)| {
            format!("{}{mark}", if has_own_serves(ball) { "| " } else { "" })
        };
        let run = |run: &[(&&SessionBall, &String)]| {
            json!({
                "before": all(&calls(run[0].0), |call| before_value(call, Receive::shown)),
                "from": run[0].0.number,
                "letters": run.iter().map(letters).collect::<Vec<_>>(),
            })
        };
        balls.chunk_by(is_run).map(run).collect()
    }

    /// What there is to know of a ball of a list.
    fn row(&self, ball: &SessionBall) -> Value {
        let other = if ball.role == Role::OtherWing { "other wing" } else { "variation" };
        json!({
            "serve": ball.serve.as_ref().map_or_else(|| other.to_owned(), |it| name_in_list(self.session, it)),
            "lands": zone(self.session, &ball.thrown, " "),
            "spin": short_spin(&ball.thrown, self.session.kind().is_person()),
            "answer": self.letters.letter(ball),
            "change": if ball.thrown.shade.is_some() { "*" } else { "" },
            "settings": ball.settings.as_ref().map(|it| set_in_a_list(it, self.units)).unwrap_or_default(),
        })
    }
}

/// Whether the player serves before this ball.
fn has_own_serves(ball: &SessionBall) -> bool {
    calls(ball).len() < ball.before.len()
}

/// What is called before this ball.
fn calls(ball: &SessionBall) -> Vec<&BeforeBall> {
    let is_call = |before: &&BeforeBall| !matches!(before, BeforeBall::OwnServes(_));
    ball.before.iter().filter(is_call).collect()
}

/// The score, theirs first.
fn shown_score(score: Option<(u32, u32)>) -> String {
    score.map(|(them, me)| format!("{them}-{me}")).unwrap_or_default()
}

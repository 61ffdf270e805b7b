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
use crate::page::rehearsal::words::{
    Letters, name_in_list, person_ball, short_spin, unlogged, zone,
};
use crate::page::worded::Worded;
use crate::rehearsal::{Block, Role, Session, SessionBall, Variation};

/// A block to be set on the sheet.
pub(super) struct BlockSheet<'a> {
    pub(super) session: &'a Session,
    pub(super) block: &'a Block,
    pub(super) letters: &'a Letters,
    pub(super) units: Units,
    pub(super) is_drawn: bool,
}

impl BlockSheet<'_> {
    /// What the template sets of it, beside what stands in JSON.
    pub(super) fn value(&self) -> Value {
        let block = self.block;
        let played: Vec<&SessionBall> = block.played().collect();
        let answers = self.answers();
        // The same ball with the same answer again and again is no list.
        let is_one = block.is_one_setting() && answers.len() < 2;
        let score = played.iter().find_map(|ball| ball.score);
        let is_called = block.is_called || is_one && score.is_some();
        let is_listed = !is_called && !is_one && block.sweep.is_empty();
        let shades = block.balls.iter().filter_map(|ball| ball.thrown.shade);
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
            "score": shown_score(score),
            "runs": if is_called { self.runs(&played) } else { Value::Null },
            "rows": if is_listed { all(&played, |ball| self.row(ball)) } else { Value::Null },
            "shades": shades,
            "names": all(&block.log, |line| json!(name_in_list(self.session, &line.serve))),
            "targets": all(&block.log, |line| {
                json!(if line.receive.to.is_open() { String::new() } else { line.receive.to.shown() })
            }),
            "unlogged": unlogged(std::iter::once(block)),
        });
        json!(Worded { data: block_value(block), words })
    }

    /// What is entered, or how a person makes the only ball: labels and words.
    fn entered(&self) -> Vec<(&'static str, String)> {
        let (block, session) = (self.block, self.session);
        let Some(thrown) = block.balls.first().map(|ball| ball.thrown) else { return Vec::new() };
        if session.kind().is_person() {
            if block.variation != Variation::OneServe {
                return Vec::new();
            }
            let shade = thrown.shade.map(|shade| format!(", {shade}")).unwrap_or_default();
            return vec![("ball", format!("{}{shade}", person_ball(session, &thrown)))];
        }
        let rate = rate_dial(&session.launcher, block.thrown_a_minute)
            .map(|set| ("rate", format!("{} about {}", text::one_line(&set.name), set.value)));
        if let Some(settings) = &block.settings {
            return set_by_eye(settings, self.units).into_iter().chain(rate).collect();
        }
        if !block.is_one_setting() && block.sweep.is_empty() {
            return rate.into_iter().collect();
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
        lines.extend(rate);
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

    /// The list of a block in which only the answer changes: ten letters a line.
    fn runs(&self, played: &[&SessionBall]) -> Value {
        let is_run = |one: &&SessionBall, next: &&SessionBall| {
            one.number.is_some_and(|number| number % 10 != 0) && next.before.is_empty()
        };
        let run = |run: &[&SessionBall]| {
            json!({
                "before": all(&run[0].before, |before| before_value(before, Receive::shown)),
                "score": shown_score(run[0].score),
                "from": run[0].number,
                "letters": run.iter().map(|ball| self.letters.letter(ball)).collect::<Vec<_>>(),
            })
        };
        played.chunk_by(is_run).map(run).collect()
    }

    /// One ball of a list.
    fn row(&self, ball: &SessionBall) -> Value {
        let other = if ball.role == Role::OtherWing { "other wing" } else { "variation" };
        json!({
            "before": all(&ball.before, |before| before_value(before, Receive::shown)),
            "number": ball.number,
            "score": shown_score(ball.score),
            "serve": ball.serve.as_ref().map_or_else(|| other.to_owned(), |it| name_in_list(self.session, it)),
            "lands": zone(self.session, &ball.thrown, " "),
            "spin": short_spin(&ball.thrown, self.session.kind().is_person()),
            "answer": self.letters.letter(ball),
            "change": if ball.thrown.shade.is_some() { "*" } else { "" },
            "settings": ball.settings.as_ref().map(|it| set_in_a_list(it, self.units)).unwrap_or_default(),
        })
    }
}

/// The score, theirs first.
fn shown_score(score: Option<(u32, u32)>) -> String {
    score.map(|(them, me)| format!("{them}-{me}")).unwrap_or_default()
}

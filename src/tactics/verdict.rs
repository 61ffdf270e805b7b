//! The one verdict on each serve's answer: keep it, play it better, watch, or change.
//!
//! Advice, lessons, switches and sheet all read this, so that no two can disagree. It weighs the
//! planned receive as it is *now* (every clean ball of every match through the adaptation filter,
//! see [`crate::tactics::evidence`]) against one other answer. Loose and missed receives are
//! execution: the plan is judged by its clean balls only, so they never speak against the choice.
//! With fewer than [`FEWEST_POINTS`] behind the plan nothing is changed. What to do with all
//! verdicts together is in [`crate::tactics::lessons`].

use rayon::prelude::*;
use serde::Serialize;

use crate::deck::Switch;
use crate::game::{Receive, ReceiveKey, Serve, ServeId};
use crate::tactics::adaptation::Outlook;
use crate::tactics::evidence::{Evidence, Recent, gather};
use crate::tactics::question::Question;
use crate::tactics::record::Record;
use crate::tactics::usual::usual;

/// Points behind the plan below which nothing is said against it: the edge of "weak".
pub const FEWEST_POINTS: f64 = 5.0;
/// Points from which loose and missed receives are weighed.
pub const FEWEST_PLAYED: f64 = 4.0;
/// Share of loose and missed receives from which execution is the trouble.
const BADLY_PLAYED: f64 = 0.35;

/// What is said of an answer.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Verdict {
    /// The alternative is probably better now: change.
    Switch,
    /// Played badly, not read: keep the plan, work on the stroke.
    PlayedBadly,
    /// Some suspicion, not enough to change.
    Watch,
    /// Nothing against it.
    Keep,
    /// Not enough points.
    TooFew,
}

impl Verdict {
    /// The answer looks read, enough to say it.
    pub const fn is_doubted(self) -> bool {
        matches!(self, Self::Switch | Self::Watch)
    }
}

/// A receive other than the plan's that was played against the serve in its newest match.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Instead {
    /// The receive.
    pub receive: Receive,
    /// The switch that holds it.
    pub switch: Option<String>,
    /// The match.
    pub of_match: String,
    /// Points, and those won.
    pub points: (u32, u32),
    /// Receives that came loose, and those that missed.
    pub badly: (u32, u32),
}

/// What one pattern's points say.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Lesson {
    /// The serve.
    pub serve: ServeId,
    /// The planned receive.
    pub receive: Receive,
    /// Share among the opponent's serves.
    pub share: f64,
    /// What the newest matches with points of it say.
    pub recent: Recent,
    /// Receives that came loose or missed, and points, in the newest match with any.
    pub badly_newest: (u32, u32),
    /// The same over all matches.
    pub badly_in_all: (u32, u32),
    /// The newest debrief says the answer had been read.
    pub is_told_read: bool,
    /// Points told in debriefs since the newest recorded one, at half weight.
    pub told_since: f64,
    /// Points behind the plan in all, those told at half weight.
    pub behind: f64,
    /// Other serves answered with the same receive, whose balls were read together with these.
    pub together_with: Vec<ServeId>,
    /// Chance that they wait for this answer now.
    pub read: Option<f64>,
    /// That is more than is assumed of any answer, and enough to say.
    pub is_suspected: bool,
    /// Chance of the next point with it when it comes neither loose nor missed.
    pub win: Option<f64>,
    /// Chance of the next point with it, loose and missed receives included: what the points say so
    /// far, and when it looks read, what is left of it now.
    pub now: f64,
    /// Chance that the alternative is better now.
    pub other_better: Option<f64>,
    /// The alternative: a receive.
    pub alternative: Option<Receive>,
    /// Points behind the alternative, those told at half weight.
    pub alternative_points: f64,
    /// The switch that holds it, when one does; otherwise it would be a new pattern.
    pub switch: Option<String>,
    /// What was played instead of the plan in the serve's newest match.
    pub instead: Vec<Instead>,
    /// Clean balls that a proof would take; only where the lessons ask for it.
    pub balls_to_prove: Option<usize>,
    /// What it comes to.
    pub verdict: Verdict,
}

/// The receive to change to, with the switch that holds it: a switch's, else the best one that has
/// points behind it, else the first usual one.
///
/// Never the planned one, and never one picked by the accidents of receives without points of their
/// own.
fn alternative(
    question: &Question<'_>,
    serve: &Serve,
    planned: &Receive,
) -> Option<(Receive, Option<String>)> {
    let rate = |receive: &Receive| question.belief(&serve.id, receive).mean();
    // The first of equals.
    let best = |candidates: Vec<(Receive, Option<String>)>| {
        candidates.into_iter().rev().max_by(|(a, _), (b, _)| rate(a).total_cmp(&rate(b)))
    };
    let held = |switch: &Switch| {
        let receive = switch.changes.get(&serve.id).filter(|new| new.text() != planned.text())?;
        Some((receive.clone(), Some(switch.name.clone())))
    };
    let in_reserve = question.deck.switches.iter().filter_map(held).collect();
    let key = ReceiveKey::from_receive(planned);
    let played = question.history.patterns.iter().filter(|((id, with), record)| {
        *id == serve.id && *with != key && record.behind() >= FEWEST_POINTS
    });
    let played = played.filter_map(|((_, with), _)| Receive::from_text(with.as_str()).ok());
    best(in_reserve).or_else(|| best(played.map(|receive| (receive, None)).collect())).or_else(
        || {
            let mut offered = usual(serve, question.player).into_iter();
            Some((offered.find(|other| other.text() != planned.text())?, None))
        },
    )
}

/// What was played instead of the plan in the newest match this serve came in.
fn instead(question: &Question<'_>, serve: &ServeId, planned: &ReceiveKey) -> Vec<Instead> {
    let Some(age) = question.history.newest_of(serve) else { return Vec::new() };
    let of_match = question.history.match_at(age).map(|seen| seen.word.clone());
    let patterns = question.history.patterns.iter();
    let others = patterns.filter(|((id, with), _)| id == serve && with != planned);
    let one = |((_, with), record): (&(ServeId, ReceiveKey), &Record)| {
        let seen = record.in_matches.get(&age).filter(|seen| seen.points > 0)?;
        let holds = |switch: &&Switch| {
            switch.changes.get(serve).is_some_and(|new| ReceiveKey::from_receive(new) == *with)
        };
        Some(Instead {
            receive: Receive::from_text(with.as_str()).ok()?,
            switch: question.deck.switches.iter().find(holds).map(|of| of.name.clone()),
            of_match: of_match.clone().unwrap_or_default(),
            points: (seen.points, seen.won),
            badly: (seen.loose, seen.missed),
        })
    };
    others.filter_map(one).collect()
}

/// A question with the verdict on every planned serve, for all that go through them.
#[derive(Debug)]
pub struct Verdicts<'a> {
    /// What was asked.
    pub question: Question<'a>,
    /// In the order of the deck's planned serves.
    pub lessons: Vec<Lesson>,
}

impl<'a> Verdicts<'a> {
    /// Judges every planned serve.
    pub fn judge(question: Question<'a>) -> Self {
        let planned: Vec<(&Serve, &Receive)> = question.deck.planned().collect();
        let lessons = planned.par_iter().map(|(serve, receive)| judge(&question, serve, receive));
        Self { lessons: lessons.collect(), question }
    }

    /// The verdict on the planned receive of a serve; none without a plan.
    pub fn on(&self, serve: &ServeId) -> Option<&Lesson> {
        self.lessons.iter().find(|lesson| lesson.serve == *serve)
    }
}

/// The verdict on the planned receive of one serve.
fn judge(question: &Question<'_>, serve: &Serve, receive: &Receive) -> Lesson {
    let record = question.history.record(&serve.id, receive);
    let evidence = gather(question, &serve.id, receive, &record);
    let other = alternative(question, serve, receive);
    // Balls of other serves with the same receive speak about being read, so they count here.
    let elsewhere = evidence.elsewhere as f64;
    let counted = record.balls.len() as f64 + elsewhere;
    let is_enough = record.clean_behind() + elsewhere >= FEWEST_POINTS;
    let outlook = (is_enough || evidence.is_told_read).then(|| {
        let against = other.as_ref().map_or(receive, |(other, _)| other);
        evidence.filter.outlook(question.belief(&serve.id, against))
    });
    let is_clear = |next: Outlook| is_enough && (next.is_suspected() || counted >= FEWEST_POINTS);
    let has_better = |next: Outlook| other.is_some() && next.is_worth_switching();
    let verdict = match outlook {
        // Execution comes first: what was not played as meant was not read.
        _ if is_badly_played(&evidence) && outlook.is_none_or(|next| next.read < 0.5) => {
            Verdict::PlayedBadly
        }
        None => Verdict::TooFew,
        // Points told without "read" say how it went, not whether they waited: alone they change
        // nothing.
        Some(next) if has_better(next) && is_clear(next) => Verdict::Switch,
        Some(next) if evidence.is_told_read || next.is_suspected() => Verdict::Watch,
        Some(_) => Verdict::Keep,
    };
    let now = match outlook.filter(|_| verdict.is_doubted()) {
        Some(next) => rate_now(&record, next.win),
        None => question.belief(&serve.id, receive).mean(),
    };
    let alternative_points =
        other.as_ref().map_or(0.0, |(other, _)| question.history.record(&serve.id, other).behind());
    let (alternative, switch) = other.map_or((None, None), |(other, name)| (Some(other), name));
    Lesson {
        serve: serve.id.clone(),
        receive: receive.clone(),
        share: question.deck.share(&serve.id),
        recent: evidence.recent,
        badly_newest: evidence.badly_newest,
        badly_in_all: evidence.badly_in_all,
        is_told_read: evidence.is_told_read,
        told_since: evidence.told_since,
        behind: record.behind(),
        together_with: evidence.together_with,
        read: outlook.map(|next| next.read),
        is_suspected: outlook.is_some_and(Outlook::is_suspected),
        win: outlook.map(|next| next.win),
        now,
        other_better: outlook.map(|next| next.other_better),
        alternative,
        alternative_points,
        switch,
        instead: instead(question, &serve.id, &ReceiveKey::from_receive(receive)),
        balls_to_prove: None,
        verdict,
    }
}

/// Whether loose and missed receives are the trouble, in the newest match or over all of them.
fn is_badly_played(evidence: &Evidence) -> bool {
    let is_bad = |badly: f64, points: f64, counted: u32| {
        f64::from(counted) >= FEWEST_PLAYED && badly >= BADLY_PLAYED * points
    };
    let (badly, points) = evidence.badly_newest;
    let (badly_faded, points_faded) = evidence.badly_faded;
    is_bad(f64::from(badly), f64::from(points), points)
        || is_bad(badly_faded, points_faded, evidence.badly_in_all.1)
}

/// What an answer wins now whose clean balls win `clean`: loose and missed receives as often, and
/// won as often, as they have been.
fn rate_now(record: &Record, clean: f64) -> f64 {
    let badly = (record.tally.played - record.clean.played).max(0.0);
    let won_badly = (record.tally.won - record.clean.won).max(0.0);
    let share = if record.tally.played > 0.0 { badly / record.tally.played } else { 0.0 };
    let rate = if badly > 0.0 { won_badly / badly } else { 0.0 };
    share * rate + (1.0 - share) * clean
}

impl Lesson {
    /// The receive to play from now on: the switch's when it is to be made, else the plan's. An
    /// answer that is not prepared is never played at once.
    pub fn play_now(&self) -> &Receive {
        match (self.verdict, &self.switch, &self.alternative) {
            (Verdict::Switch, Some(_), Some(other)) => other,
            _ => &self.receive,
        }
    }

    /// A change is due, and a switch holds the new answer.
    pub fn due_switch(&self) -> Option<&str> {
        self.switch.as_deref().filter(|_| self.verdict == Verdict::Switch)
    }
}

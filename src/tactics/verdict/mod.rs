//! The one verdict on each serve's answer: keep it, play it better, watch, or change.
//!
//! Advice, lessons, switches and sheet all read this, so that no two screens can disagree. It weighs the planned
//! receive as it is *now* (every clean ball of every match through the adaptation filter, see `recent`) against one
//! other answer. Loose and missed receives are execution: the plan is judged by its clean balls only, so they never
//! speak against the choice. With fewer than [`FEWEST_POINTS`] behind the plan nothing is changed. The sentences are
//! in `says`; what to do with all verdicts together is in [`crate::tactics::lessons`].

mod recent;
mod says;

use serde::Serialize;

use crate::base::on_all_cores;
use crate::deck::Switch;
use crate::game::{Receive, ReceiveKey, Serve, ServeId};
use crate::tactics::adaptation::Outlook;
use crate::tactics::advice::{Question, belief};
use crate::tactics::fault::TacticsError;
use crate::tactics::usual::usual;

pub use recent::Recent;
pub(crate) use says::{behind, evidence, proof, so_far, suspicion};
pub use says::{in_matches, tighter};

/// Points behind the plan below which nothing is said against it: the edge of "weak".
pub const FEWEST_POINTS: f64 = 5.0;
/// Points from which loose and missed receives are weighed.
const FEWEST_PLAYED: f64 = 4.0;
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
    /// In a few words, at the start of a line.
    pub const fn shown(self) -> &'static str {
        match self {
            Self::Switch => "CHANGE",
            Self::PlayedBadly => "PLAY IT BETTER",
            Self::Watch => "WATCH",
            Self::Keep => "KEEP",
            Self::TooFew => "TOO FEW POINTS",
        }
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
    /// Chance of the next point with it, loose and missed receives included: what the points say so far, and when it
    /// looks read, what is left of it now.
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
    /// Balls that a proof would take.
    pub balls_to_prove: Option<usize>,
    /// What it comes to.
    pub verdict: Verdict,
    /// The lesson in sentences, what to do first.
    pub says: Vec<String>,
}

/// The receive to change to: a switch's, else the best one that has points behind it, else the first usual one.
///
/// Never the planned one, and never one picked by the accidents of receives without points of their own.
fn alternative(
    question: &Question<'_>,
    serve: &Serve,
    planned: &Receive,
) -> Result<Option<(Receive, Option<String>)>, TacticsError> {
    let held = |switch: &Switch| {
        let receive = switch.changes.get(&serve.id)?;
        (receive.text() != planned.text()).then(|| (receive.clone(), Some(switch.name.clone())))
    };
    let in_reserve = question.deck.switches.iter().filter_map(held);
    let key = ReceiveKey::from_receive(planned);
    let played = question.history.patterns.iter().filter(|((id, with), record)| {
        *id == serve.id && *with != key && record.behind() >= FEWEST_POINTS
    });
    let played = played.filter_map(|((_, with), _)| Receive::from_text(with.as_str()).ok());
    let best = |candidates: Vec<(Receive, Option<String>)>| {
        let mut best: Option<((Receive, Option<String>), f64)> = None;
        for candidate in candidates {
            let rate = belief(question, &serve.id, &candidate.0)?.mean();
            if best.as_ref().is_none_or(|(_, known)| rate > *known) {
                best = Some((candidate, rate));
            }
        }
        Ok::<_, TacticsError>(best.map(|(candidate, _)| candidate))
    };
    if let Some(found) = best(in_reserve.collect())? {
        return Ok(Some(found));
    }
    if let Some(found) = best(played.map(|receive| (receive, None)).collect())? {
        return Ok(Some(found));
    }
    let usual = usual(serve, question.player).into_iter().map(|usual| usual.receive);
    Ok(usual
        .filter(|offered| offered.text() != planned.text())
        .map(|offered| (offered, None))
        .next())
}

/// What was played instead of the plan in the newest match this serve came in.
fn instead(question: &Question<'_>, serve: &ServeId, planned: &ReceiveKey) -> Vec<Instead> {
    let Some(age) = question.history.newest_of(serve) else { return Vec::new() };
    let patterns = question.history.patterns.iter();
    let others = patterns.filter(|((id, with), _)| id == serve && with != planned);
    others
        .filter_map(|((_, with), record)| {
            let seen = record.in_matches.get(&age).filter(|seen| seen.points > 0)?;
            let receive = Receive::from_text(with.as_str()).ok()?;
            let holds = |switch: &&Switch| {
                switch.changes.get(serve).is_some_and(|new| ReceiveKey::from_receive(new) == *with)
            };
            Some(Instead {
                switch: question.deck.switches.iter().find(holds).map(|s| s.name.clone()),
                of_match: question
                    .history
                    .match_at(age)
                    .map(|m| m.word.clone())
                    .unwrap_or_default(),
                points: (seen.points, seen.won),
                badly: (seen.loose, seen.missed),
                receive,
            })
        })
        .collect()
}

/// The verdicts on every planned serve of a question, for all that go through them more than once.
#[derive(Debug)]
pub struct Verdicts(Vec<Lesson>);

impl Verdicts {
    /// Judges every planned serve.
    ///
    /// # Errors
    /// As [`judge`].
    pub fn of(question: &Question<'_>) -> Result<Self, TacticsError> {
        let planned: Vec<(&Serve, &Receive)> = question.deck.planned().collect();
        let lessons = on_all_cores(&planned, |(serve, receive)| judge(question, serve, receive));
        Ok(Self(lessons.into_iter().collect::<Result<_, _>>()?))
    }

    fn on(&self, serve: &ServeId, receive: &Receive) -> Option<&Lesson> {
        self.0.iter().find(|lesson| lesson.serve == *serve && lesson.receive == *receive)
    }
}

/// Does something with a question whose planned serves are judged already.
pub(crate) fn judged_once<T>(
    question: &Question<'_>,
    then: impl FnOnce(&Question<'_>) -> Result<T, TacticsError>,
) -> Result<T, TacticsError> {
    if question.judged.is_some() {
        return then(question);
    }
    let verdicts = Verdicts::of(question)?;
    then(&Question { judged: Some(&verdicts), ..*question })
}

/// The verdict on the planned receive of one serve.
///
/// # Errors
/// None for a history of less than a million points.
pub fn judge(
    question: &Question<'_>,
    serve: &Serve,
    receive: &Receive,
) -> Result<Lesson, TacticsError> {
    if let Some(known) = question.judged.and_then(|judged| judged.on(&serve.id, receive)) {
        return Ok(known.clone());
    }
    let record = question.history.record(&serve.id, receive);
    let evidence = recent::evidence(question, &serve.id, receive, &record)?;
    let other = alternative(question, serve, receive)?;
    // Balls of other serves with the same receive speak about being read, so they count as known here.
    let counted = (record.balls.len() + evidence.elsewhere) as f64;
    let is_enough = record.clean_behind() + evidence.elsewhere as f64 >= FEWEST_POINTS;
    let outlook = if is_enough || evidence.is_told_read {
        let against = match &other {
            Some((other, _)) => belief(question, &serve.id, other)?,
            None => belief(question, &serve.id, receive)?,
        };
        Some(evidence.filter.outlook(against))
    } else {
        None
    };
    let is_bad = |(badly, points): (f64, f64), counted: u32| {
        f64::from(counted) >= FEWEST_PLAYED && badly >= BADLY_PLAYED * points
    };
    let newest = evidence.badly_newest;
    let is_badly_played = is_bad((f64::from(newest.0), f64::from(newest.1)), newest.1)
        || is_bad(evidence.badly_faded, evidence.badly_in_all.1);
    let verdict = match outlook {
        // Execution comes first: what was not played as meant was not read.
        _ if is_badly_played && outlook.is_none_or(|next| next.read < 0.5) => Verdict::PlayedBadly,
        None => Verdict::TooFew,
        // Points told without "read" say how it went, not whether they waited: alone they change nothing.
        Some(next)
            if other.is_some()
                && next.is_worth_switching()
                && is_enough
                && (next.is_suspected() || counted >= FEWEST_POINTS) =>
        {
            Verdict::Switch
        }
        Some(next) if evidence.is_told_read || next.is_suspected() => Verdict::Watch,
        Some(_) => Verdict::Keep,
    };
    let mut now = belief(question, &serve.id, receive)?.mean();
    if let (Some(next), Verdict::Switch | Verdict::Watch) = (outlook, verdict) {
        let badly = (record.tally.played - record.clean.played).max(0.0);
        let won_badly = (record.tally.won - record.clean.won).max(0.0);
        let share = if record.tally.played > 0.0 { badly / record.tally.played } else { 0.0 };
        let rate = if badly > 0.0 { won_badly / badly } else { 0.0 };
        now = share * rate + (1.0 - share) * next.win;
    }
    let alternative_points =
        other.as_ref().map_or(0.0, |(other, _)| question.history.record(&serve.id, other).behind());
    let (alternative, switch) = other.map_or((None, None), |(other, name)| (Some(other), name));
    let mut lesson = Lesson {
        serve: serve.id.clone(),
        receive: receive.clone(),
        share: question.deck.share(&serve.id),
        recent: evidence.recent,
        badly_newest: newest,
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
        says: Vec::new(),
    };
    lesson.says = says::sentences(&lesson, outlook);
    Ok(lesson)
}

impl Lesson {
    /// The receive to play from now on: the switch's when it is to be made, else the plan's. An answer that is not
    /// prepared is never played at once.
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

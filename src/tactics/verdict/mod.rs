//! The one verdict on each serve's answer: keep it, play it better, watch, or change.
//!
//! Advice, lessons, switches and sheet all read this, so that no two screens can disagree. It weighs the planned
//! receive as it is *now* (rates so far, then the newest balls through the adaptation filter) against one other
//! answer. Loose and missed receives are execution: the plan is judged by its clean balls only, so they never
//! speak against the choice. With fewer than [`FEWEST_POINTS`] behind the plan nothing is changed. The sentences are
//! in `says`; what to do with all verdicts together is in [`crate::tactics::lessons`].

mod says;

use serde::Serialize;

use crate::deck::Switch;
use crate::game::{Receive, ReceiveKey, Serve, ServeId};
use crate::tactics::adaptation::{Assumptions, Exposure, Filter, Outlook};
use crate::tactics::advice::{Question, belief, clean_prior};
use crate::tactics::fault::TacticsError;
use crate::tactics::habit::DROP;
use crate::tactics::history::{Ball, InMatch, Record};
use crate::tactics::rates::tally::DEBRIEF;
use crate::tactics::usual::usual;

pub(crate) use says::{behind, evidence, proof, so_far};
pub use says::{in_match, tighter};

/// Points behind the plan below which nothing is said against it: the edge of "weak".
pub const FEWEST_POINTS: f64 = 5.0;
/// Points of a match from which its loose and missed receives are weighed.
const FEWEST_PLAYED: u32 = 4;
/// Share of loose and missed receives from which execution is the trouble.
const BADLY_PLAYED: f64 = 0.35;
/// What a debrief's "they had read it" is worth: so many balls they were seen waiting for.
const TOLD_READ_BALLS: usize = 2;

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
    /// The newest match with points of this answer, which the lesson is about; none without any.
    pub of_match: Option<String>,
    /// Points of that match with this receive, and clean ones with it against any serve.
    pub points: (u32, usize),
    /// Of the points with this receive against this serve, won.
    pub won: u32,
    /// Receives that came loose in it.
    pub loose: u32,
    /// Receives that missed the table.
    pub missed: u32,
    /// Clean balls lost, and those they were seen waiting for.
    pub lost_and_waited: (usize, usize),
    /// Whether it was noted in that match if they were waiting.
    pub is_waiting_noted: bool,
    /// A debrief says the answer had been read.
    pub is_told_read: bool,
    /// Points told in debriefs since, at half weight.
    pub told_since: usize,
    /// Points behind the plan in all, those told at half weight.
    pub behind: f64,
    /// Other serves answered with the same receive, whose balls were read together with these.
    pub together_with: Vec<ServeId>,
    /// Chance that they wait for this answer now.
    pub read: Option<f64>,
    /// Chance of the next point with it.
    pub win: Option<f64>,
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

/// The newest evidence about an answer, in the order it happened.
#[derive(Debug, Default)]
struct Evidence {
    /// Matches back it begins; everything older is in the rates.
    since: u32,
    /// What the match says of this answer alone.
    seen: InMatch,
    balls: Vec<Exposure>,
    together_with: Vec<ServeId>,
    /// Balls of later debriefs, at half weight, and whether they were going well.
    told: Vec<Exposure>,
    is_told_well: bool,
    is_told_read: bool,
}

/// Balls of the newest match with this receive, over all serves it answers (the server sees one stroke), then what
/// debriefs have told since.
fn newest(question: &Question<'_>, serve: &ServeId, key: &ReceiveKey, record: &Record) -> Evidence {
    let same = || question.history.patterns.iter().filter(|((_, with), _)| with == key);
    let recorded = record.newest().or_else(|| same().filter_map(|(_, other)| other.newest()).min());
    let told = || record.in_matches.iter().filter_map(|(age, seen)| Some((*age, seen.told?)));
    let mut evidence = Evidence {
        since: recorded.or_else(|| told().map(|(age, _)| age).min()).unwrap_or(0),
        ..Evidence::default()
    };
    let since = evidence.since;
    evidence.seen = record.in_matches.get(&since).copied().unwrap_or_default();
    let mut balls: Vec<Ball> = Vec::new();
    for ((id, _), other) in same().filter(|_| recorded.is_some()) {
        let before = balls.len();
        balls.extend(other.balls.iter().copied().filter(|ball| ball.age == since));
        if id != serve && balls.len() > before {
            evidence.together_with.push(id.clone());
        }
    }
    balls.sort_by_key(|ball| ball.order);
    evidence.balls = balls.into_iter().map(|ball| ball.exposure).collect();
    let mut since_then: Vec<_> = told().filter(|(age, _)| *age <= since).collect();
    since_then.reverse();
    for (_, told) in since_then {
        evidence.is_told_read |= told.read;
        if told.played > 0.0 {
            evidence.told.extend(told_balls(told.won, told.played));
            evidence.is_told_well = told.won >= 0.5 * told.played;
        }
    }
    evidence
}

/// A debrief's points as balls: half as many, won ones spread evenly among them.
#[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "at most a few dozen")]
fn told_balls(won: f64, played: f64) -> impl Iterator<Item = Exposure> {
    let balls = (played * DEBRIEF).round() as usize;
    let wins = (won * DEBRIEF).round() as usize;
    (0..balls).map(move |ball| {
        Exposure::outcome((ball + 1) * wins / balls.max(1) > ball * wins / balls.max(1))
    })
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
    let key = ReceiveKey::of(planned);
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

fn outlook(
    question: &Question<'_>,
    record: &Record,
    (planned, other): (&Receive, Option<&Receive>),
    (serve, evidence): (&ServeId, &Evidence),
) -> Result<Outlook, TacticsError> {
    let drop = question.drop.unwrap_or(DROP.mean);
    let unread = record.clean_before(evidence.since)?.belief(clean_prior(question, planned)?)?;
    let mut filter = Filter::new(Assumptions::usual(unread, drop))?;
    for ball in evidence.balls.iter().chain(&evidence.told) {
        filter.see(*ball);
    }
    if evidence.is_told_read {
        for _ in 0..TOLD_READ_BALLS {
            filter.notice(true);
        }
    }
    match other {
        Some(other) => Ok(filter.outlook(belief(question, serve, other)?)),
        None => Ok(Outlook { other_better: 0.0, ..filter.outlook(unread) }),
    }
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
                switch.changes.get(serve).is_some_and(|new| ReceiveKey::of(new) == *with)
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

/// The verdict on the planned receive of one serve.
///
/// # Errors
/// None for a history of less than a million points.
pub fn judge(
    question: &Question<'_>,
    serve: &Serve,
    receive: &Receive,
) -> Result<Lesson, TacticsError> {
    let key = ReceiveKey::of(receive);
    let record = question.history.record(&serve.id, receive);
    let evidence = newest(question, &serve.id, &key, &record);
    let other = alternative(question, serve, receive)?;
    let seen = evidence.seen;
    // Balls of other serves with the same receive speak about being read, so they count as known here.
    let elsewhere = evidence.balls.len().saturating_sub(seen.clean() as usize);
    let is_enough = record.clean_behind() + elsewhere as f64 >= FEWEST_POINTS;
    let outlook = if is_enough || evidence.is_told_read {
        let receives = (receive, other.as_ref().map(|(other, _)| other));
        Some(outlook(question, &record, receives, (&serve.id, &evidence))?)
    } else {
        None
    };
    let badly = seen.loose + seen.missed;
    let is_badly_played =
        seen.points >= FEWEST_PLAYED && f64::from(badly) >= BADLY_PLAYED * f64::from(seen.points);
    let verdict = match outlook {
        // Execution comes first: what was not played as meant was not read.
        _ if is_badly_played && outlook.is_none_or(|next| next.read < 0.5) => Verdict::PlayedBadly,
        None => Verdict::TooFew,
        Some(next) if next.is_worth_switching() && is_enough && !evidence.is_told_well => {
            Verdict::Switch
        }
        // Told points without "read" say how it went, not whether they waited.
        Some(next)
            if evidence.is_told_read || next.is_suspected() && !evidence.balls.is_empty() =>
        {
            Verdict::Watch
        }
        Some(_) => Verdict::Keep,
    };
    let waited = evidence.balls.iter().filter(|ball| ball.waiting == Some(true)).count();
    let lost = evidence.balls.iter().filter(|ball| !ball.won).count();
    let alternative_points =
        other.as_ref().map_or(0.0, |(other, _)| question.history.record(&serve.id, other).behind());
    let (alternative, switch) = other.map_or((None, None), |(other, name)| (Some(other), name));
    let of_match = question.history.match_at(evidence.since);
    let mut lesson = Lesson {
        serve: serve.id.clone(),
        receive: receive.clone(),
        share: question.deck.share(&serve.id),
        of_match: of_match.map(|seen| seen.word.clone()),
        points: (seen.points, evidence.balls.len()),
        won: seen.won,
        loose: seen.loose,
        missed: seen.missed,
        lost_and_waited: (lost, waited),
        is_waiting_noted: of_match.is_some_and(|seen| seen.is_waiting_noted),
        is_told_read: evidence.is_told_read,
        told_since: evidence.told.len(),
        behind: record.behind(),
        together_with: evidence.together_with,
        read: outlook.map(|next| next.read),
        win: outlook.map(|next| next.win),
        other_better: outlook.map(|next| next.other_better),
        alternative,
        alternative_points,
        switch,
        instead: instead(question, &serve.id, &key),
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

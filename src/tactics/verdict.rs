//! The one verdict on each serve's answer: change it, play it better, try another once, or keep it.
//!
//! Advice, lessons, switches and sheet all read this, so that no two can disagree. It weighs the
//! planned receive as it is *now* (every clean ball of every match, see
//! [`crate::tactics::evidence`]) against one other answer. Loose and missed receives are execution:
//! the plan is judged by its clean balls only, so they never speak against the choice. At most one
//! answer is changed and one tried a meeting. The limits were chosen by simulation
//! (`examples/meetings.rs`). What to do with all verdicts together is in
//! [`crate::tactics::lessons`].

use rayon::prelude::*;
use serde::Serialize;

use crate::deck::Switch;
use crate::game::{Receive, ReceiveKey, Serve, ServeId};
use crate::receive::{Aim, Proposal};
use crate::tactics::adaptation::{Card, Outlook};
use crate::tactics::evidence::{Evidence, Recent, Watched, gather};
use crate::tactics::question::Question;
use crate::tactics::rates::Belief;
use crate::tactics::record::Record;

/// Points behind a receive below which its rate says nothing: the edge of "weak".
pub const FEWEST_POINTS: f64 = 5.0;
/// Points from which loose and missed receives are weighed.
pub const FEWEST_PLAYED: f64 = 8.0;
/// The share of clean receives below which the trouble is how it is played, how sure that has to
/// be, and the belief about that share before any ball: its mean and the balls it is worth.
const CLEAN: (f64, f64, (f64, f64)) = (0.70, 0.75, (0.75, 4.0));
/// Clean balls of the plan before it is changed because it looks read, and of the other answer
/// before that one's own rate can speak for the change.
const FEWEST_CLEAN: f64 = 6.0;
/// Chances that the other answer is better now, and that the plan's is read, from which to change.
const CHANGE: (f64, f64) = (0.80, 0.70);
/// The first of the two when the other answer has balls of its own.
const CHANGE_TO_KNOWN: f64 = 0.94;
/// Clean balls from which the other answer is no longer new, and the chance that it is better from
/// which to try it, before and after.
const TRY_ONCE: (f64, f64, f64) = (8.0, 0.72, 0.75);

/// Proposals among which another answer is looked for.
const MOST_PROPOSED: usize = 8;

/// What is said of an answer, most pressing first.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Verdict {
    /// The other answer is probably better now.
    Change,
    /// Played badly, not read: keep the plan, work on the stroke.
    PlayItBetter,
    /// The other answer may be better now: once, to see.
    TryOnce,
    /// Nothing against it.
    Keep,
}

impl Verdict {
    /// The other answer may be better now.
    pub const fn is_doubted(self) -> bool {
        matches!(self, Self::Change | Self::TryOnce)
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
    /// What the balls say of it and the alternative, next time; none without an alternative.
    pub outlook: Option<Outlook>,
    /// Chance of the next point with it, loose and missed receives included: what the points say so
    /// far, and when the alternative may be better, what is left of it now.
    pub now: f64,
    /// The alternative: a receive.
    pub alternative: Option<Receive>,
    /// Points behind the alternative, those told at half weight.
    pub alternative_points: f64,
    /// The switch that holds it, when one does; otherwise it would be a new pattern.
    pub switch: Option<String>,
    /// When to change to the switch's answer at the table; none when no switch holds one.
    pub card: Option<Card>,
    /// What was played instead of the plan in the serve's newest match.
    pub instead: Vec<Instead>,
    /// How the planned receive usually fails against this serve, and what to do.
    pub cure: &'static str,
    /// Where to aim it against the side spin.
    pub aim: Option<Aim>,
    /// What it comes to.
    pub verdict: Verdict,
}

/// The receive to change to, with the switch that holds it: a switch's, else the best one that has
/// points behind it, else the first proposed one; whichever it is, owned, and to another depth or
/// two lanes away.
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
    let is_far = |other: &Receive| other.to.is_far_from(planned.to);
    let is_other = |other: &Receive| is_far(other) && question.player.owns(other);
    let held = |switch: &Switch| {
        let receive = switch.changes.get(&serve.id).filter(|new| is_other(new))?;
        Some((receive.clone(), Some(switch.name.clone())))
    };
    let in_reserve = question.deck.switches.iter().filter_map(held).collect();
    let played = question.history.patterns.iter();
    let played =
        played.filter(|((id, _), record)| *id == serve.id && record.behind() >= FEWEST_POINTS);
    let played = played.filter_map(|((_, with), _)| Receive::from_text(with.as_str()).ok());
    let played = played.filter(is_other).map(|receive| (receive, None)).collect();
    let proposals = || question.meeting(serve).proposals(MOST_PROPOSED);
    let owned = || proposals().into_iter().filter(Proposal::is_owned).map(|one| one.receive);
    let offered = || owned().find(is_far);
    best(in_reserve).or_else(|| best(played)).or_else(|| Some((offered()?, None)))
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
        let others: Vec<_> = planned
            .par_iter()
            .map(|(serve, receive)| alternative(&question, serve, receive))
            .collect();
        let pairs = planned.iter().zip(&others).flat_map(|((serve, receive), other)| {
            let answers = other.iter().map(|(other, _)| other).chain([*receive]);
            answers.map(|answer| (serve.id.clone(), ReceiveKey::from_receive(answer)))
        });
        let watched = Watched::from_question(&question, pairs);
        let judged = planned.par_iter().zip(others);
        let lessons = judged
            .map(|((serve, receive), other)| judge(&question, &watched, (serve, receive), other));
        let mut lessons: Vec<Lesson> = lessons.collect();
        // One that is not the change of this meeting may still be what is tried.
        for (verdict, instead) in
            [(Verdict::Change, Verdict::TryOnce), (Verdict::TryOnce, Verdict::Keep)]
        {
            let mut of_it: Vec<&mut Lesson> =
                lessons.iter_mut().filter(|lesson| lesson.verdict == verdict).collect();
            of_it.sort_by(|a, b| b.gain().total_cmp(&a.gain()));
            of_it.into_iter().skip(1).for_each(|lesson| lesson.verdict = instead);
        }
        lessons.par_iter_mut().filter(|lesson| lesson.switch.is_some()).for_each(|lesson| {
            let said = lesson.verdict;
            let pair = lesson.alternative.as_ref().map(|other| [&lesson.receive, other]);
            lesson.card = pair.and_then(|pair| {
                watched.card(&lesson.serve, pair, said == Verdict::Change, said.is_doubted())
            });
        });
        Self { question, lessons }
    }

    /// The verdict on the planned receive of a serve; none without a plan.
    pub fn on(&self, serve: &ServeId) -> Option<&Lesson> {
        self.lessons.iter().find(|lesson| lesson.serve == *serve)
    }
}

/// The verdict on the planned receive of one serve.
fn judge(
    question: &Question<'_>,
    watched: &Watched,
    (serve, receive): (&Serve, &Receive),
    other: Option<(Receive, Option<String>)>,
) -> Lesson {
    let record = question.history.record(&serve.id, receive);
    let evidence = gather(question, &record);
    let (alternative, switch) = other.map_or((None, None), |(other, name)| (Some(other), name));
    let pair = alternative.as_ref().map(|other| [receive, other]);
    let outlook = pair.and_then(|pair| watched.outlook(&serve.id, pair));
    let of_other = alternative.as_ref().map(|other| question.history.record(&serve.id, other));
    let [clean, clean_other] =
        [Some(&record), of_other.as_ref()].map(|of| of.map_or(0.0, Record::clean_behind));
    let verdict = match outlook {
        _ if is_played_badly(&evidence) => Verdict::PlayItBetter,
        Some(next) => weigh(next, clean, clean_other),
        None => Verdict::Keep,
    };
    let now = match outlook.filter(|_| verdict.is_doubted()) {
        Some(next) => rate_now(&record, next.now[0]),
        None => question.belief(&serve.id, receive).mean(),
    };
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
        outlook,
        now,
        alternative_points: of_other.map_or(0.0, |of| of.behind()),
        card: None,
        alternative,
        switch,
        instead: instead(question, &serve.id, &ReceiveKey::from_receive(receive)),
        cure: question.meeting(serve).cure(receive),
        aim: question.meeting(serve).aim(receive),
        verdict,
    }
}

/// What an outlook comes to, with the clean balls of the plan and of the other answer.
fn weigh(next: Outlook, clean: f64, clean_other: f64) -> Verdict {
    let (new_below, to_try_new, to_try) = TRY_ONCE;
    let looks_read = next.other_better >= CHANGE.0 && next.read >= CHANGE.1;
    let is_known = clean_other >= FEWEST_CLEAN && next.other_better >= CHANGE_TO_KNOWN;
    if clean >= FEWEST_CLEAN && looks_read || is_known {
        Verdict::Change
    } else if next.other_better >= if clean_other < new_below { to_try_new } else { to_try } {
        Verdict::TryOnce
    } else {
        Verdict::Keep
    }
}

/// Whether loose and missed receives are the trouble, in the newest match or over all of them.
fn is_played_badly(evidence: &Evidence) -> bool {
    let (least, sure, (mean, strength)) = CLEAN;
    let is_bad = |badly: f64, points: f64, counted: u32| {
        let clean = Belief::from_mean(mean, strength).after(points - badly, badly);
        f64::from(counted) >= FEWEST_PLAYED && clean.below(least) >= sure
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
    /// What the other answer would win more, of all points on their serve.
    fn gain(&self) -> f64 {
        self.outlook.map_or(0.0, |next| self.share * (next.now[1] - next.now[0]))
    }

    /// The receive to play from now on: the switch's when it is to be made, else the plan's. An
    /// answer that is not prepared is never played at once.
    pub fn play_now(&self) -> &Receive {
        match (self.verdict, &self.switch, &self.alternative) {
            (Verdict::Change, Some(_), Some(other)) => other,
            _ => &self.receive,
        }
    }

    /// A change is due, and a switch holds the new answer.
    pub fn due_switch(&self) -> Option<&str> {
        self.switch.as_deref().filter(|_| self.verdict == Verdict::Change)
    }
}

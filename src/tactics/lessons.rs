//! What the points of the newest match say: was an answer read, or just played badly, and what to change.
//!
//! A suspicion is called a suspicion. Loose and missed receives are execution and never speak for a switch.
//! Balls of several serves answered with the same receive are read together, because the server sees one
//! stroke. The rule decides by "is the alternative better now?", it does not try to prove
//! anything; how many balls proof would take is printed beside it.

use serde::Serialize;

use crate::deck::Switch;
use crate::game::{Receive, ReceiveKey, Serve, ServeId};
use crate::tactics::adaptation::{Assumptions, Filter, Outlook};
use crate::tactics::advice::{Question, belief};
use crate::tactics::detector::{Rates, points_to_prove};
use crate::tactics::fault::TacticsError;
use crate::tactics::habit::DROP;
use crate::tactics::history::{Ball, History};
use crate::tactics::reserve::Drilled;
use crate::tactics::usual::usual;
use crate::tactics::words::suspected;

/// Clean balls below which nothing is said about being read.
const FEWEST_BALLS: usize = 4;
/// Share of loose and missed receives from which execution is the trouble.
const BADLY_PLAYED: f64 = 0.35;
/// Errors accepted when saying how many balls a proof would take.
const PROOF: (f64, f64) = (0.1, 0.8);
/// What a debrief's "he had read it" is worth: so many balls he was seen waiting for.
const TOLD_READ_BALLS: usize = 2;

/// What a lesson comes to.
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
    /// Not enough clean balls.
    TooFew,
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
    /// Points of the newest match, all and clean.
    pub points: (u32, usize),
    /// Loose and missed receives in it.
    pub loose: u32,
    /// Receives that missed the table.
    pub missed: u32,
    /// Clean balls lost, and those he was seen waiting for.
    pub lost_and_waited: (usize, usize),
    /// Other serves answered with the same receive, whose balls were read together with these.
    pub together_with: Vec<ServeId>,
    /// Chance that he waits for this answer now.
    pub read: Option<f64>,
    /// Chance that the alternative is better now.
    pub other_better: Option<f64>,
    /// The alternative: a receive.
    pub alternative: Option<Receive>,
    /// Points behind the alternative, after weighing.
    pub alternative_points: f64,
    /// The switch that holds it, when one does; otherwise it would be a new pattern.
    pub switch: Option<String>,
    /// Balls that a proof would take.
    pub balls_to_prove: Option<usize>,
    /// What it comes to.
    pub verdict: Verdict,
    /// The lesson in sentences, what to do first.
    pub says: Vec<String>,
}

/// Lessons of all planned serves, most pressing first.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Lessons {
    /// The match they are about.
    pub of_match: Option<String>,
    /// The lessons.
    pub lessons: Vec<Lesson>,
    /// Serves that came without a plan, with the points they decided.
    pub without_plan: Vec<(ServeId, f64)>,
    /// What to do before the next meeting.
    pub before_next: Vec<String>,
}

/// Draws the lessons of the newest match; `drilled` says what the drill knows of a switch by its name.
///
/// # Errors
/// None for a history of less than a million points.
pub fn lessons(
    question: &Question<'_>,
    drilled: &dyn Fn(&str) -> Drilled,
) -> Result<Lessons, TacticsError> {
    let before = before_newest(question.history);
    let mut lessons = Vec::new();
    for (serve, receive) in question.deck.planned() {
        let mut lesson = lesson(question, &before, serve, receive)?;
        if let (Verdict::Switch, Some(name)) = (lesson.verdict, &lesson.switch) {
            let at = lesson.says.len().min(1);
            lesson.says.splice(at..at, drilled(name).warning(name));
        }
        lessons.push(lesson);
    }
    let weight = |lesson: &Lesson| lesson.share * f64::from(lesson.points.0);
    lessons.sort_by(|a, b| a.verdict.cmp(&b.verdict).then_with(|| weight(b).total_cmp(&weight(a))));
    let without_plan: Vec<(ServeId, f64)> = question
        .deck
        .unplanned()
        .filter_map(|serve| {
            Some((serve.id.clone(), question.history.serves.get(&serve.id)?.played))
        })
        .collect();
    let before_next = before_next(&lessons, &without_plan, question);
    Ok(Lessons {
        of_match: question.history.matches.first().map(|seen| seen.word.clone()),
        lessons,
        without_plan,
        before_next,
    })
}

/// Clean balls of the newest match with this receive, over all serves it answers, in the order played.
fn balls_together(
    question: &Question<'_>,
    serve: &ServeId,
    receive: &Receive,
) -> (Vec<Ball>, Vec<ServeId>) {
    let key = ReceiveKey::of(receive);
    let mut balls = Vec::new();
    let mut others = Vec::new();
    for ((id, with), record) in &question.history.patterns {
        if *with != key {
            continue;
        }
        let newest: Vec<Ball> = record.balls.iter().copied().filter(|ball| ball.age == 0).collect();
        if id != serve && !newest.is_empty() {
            others.push(id.clone());
        }
        balls.extend(newest);
    }
    balls.sort_by_key(|ball| ball.order);
    (balls, others)
}

/// The receive to change to: the switch's, else the best usual one that is not the plan.
fn alternative(
    question: &Question<'_>,
    serve: &Serve,
    planned: &Receive,
) -> Result<Option<(Receive, Option<String>)>, TacticsError> {
    let holds = |switch: &&Switch| switch.changes.contains_key(&serve.id);
    if let Some(switch) = question.deck.switches.iter().find(holds)
        && let Some(receive) = switch.changes.get(&serve.id)
    {
        return Ok(Some((receive.clone(), Some(switch.name.clone()))));
    }
    let mut best: Option<(Receive, f64)> = None;
    for offered in usual(serve, question.player) {
        if offered.receive.text() == planned.text() {
            continue;
        }
        let rate = belief(question, &serve.id, &offered.receive)?.mean();
        if best.as_ref().is_none_or(|(_, known)| rate > *known) {
            best = Some((offered.receive, rate));
        }
    }
    Ok(best.map(|(receive, _)| (receive, None)))
}

fn outlook(
    question: &Question<'_>,
    before: &History,
    serve: &ServeId,
    planned: &Receive,
    other: &Receive,
    balls: &[Ball],
    told_read: bool,
) -> Result<Outlook, TacticsError> {
    let earlier = Question { history: before, ..*question };
    let drop = question.drop.unwrap_or(DROP.mean);
    let unread = belief(&earlier, serve, planned)?;
    let mut filter = Filter::new(Assumptions::usual(unread, drop))?;
    for ball in balls {
        filter.see(ball.exposure);
    }
    if told_read {
        for _ in 0..TOLD_READ_BALLS {
            filter.notice(true);
        }
    }
    Ok(filter.outlook(belief(question, serve, other)?))
}

/// The history before the newest match: its own balls must not count twice.
fn before_newest(history: &History) -> History {
    let mut before = history.clone();
    for record in before.patterns.values_mut() {
        record.tally = record.older;
    }
    before
}

fn lesson(
    question: &Question<'_>,
    before: &History,
    serve: &Serve,
    receive: &Receive,
) -> Result<Lesson, TacticsError> {
    let record = question.history.record(&serve.id, receive);
    let (balls, together_with) = balls_together(question, &serve.id, receive);
    let other = alternative(question, serve, receive)?;
    let told_read = record.told_read;
    let outlook = match &other {
        Some((other, _)) if balls.len() >= FEWEST_BALLS || told_read => {
            Some(outlook(question, before, &serve.id, receive, other, &balls, told_read)?)
        }
        _ => None,
    };
    let badly = record.loose + record.missed;
    let is_badly_played =
        record.newest >= 4 && f64::from(badly) >= BADLY_PLAYED * f64::from(record.newest);
    let verdict = match outlook {
        // Execution comes first: what was not played as meant was not read.
        _ if is_badly_played && outlook.is_none_or(|next| next.read < 0.5) => Verdict::PlayedBadly,
        None => Verdict::TooFew,
        Some(next) if next.is_worth_switching() => Verdict::Switch,
        Some(next) if next.read >= 0.25 => Verdict::Watch,
        Some(_) => Verdict::Keep,
    };
    let rate = belief(question, &serve.id, receive)?.mean();
    let drop = question.drop.unwrap_or(DROP.mean).min(rate * 0.9);
    let balls_to_prove = Rates::new(rate, rate - drop)
        .ok()
        .and_then(|rates| points_to_prove(rates, PROOF.0, PROOF.1))
        .map(|test| test.points);
    let waited = balls.iter().filter(|ball| ball.exposure.waiting == Some(true)).count();
    let lost = balls.iter().filter(|ball| !ball.exposure.won).count();
    let other_points = match &other {
        Some((other, _)) => question.history.record(&serve.id, other).tally.played,
        None => 0.0,
    };
    let (alternative, switch) = other.map_or((None, None), |(other, name)| (Some(other), name));
    let mut lesson = Lesson {
        serve: serve.id.clone(),
        receive: receive.clone(),
        share: question.deck.share(&serve.id),
        points: (record.newest, balls.len()),
        loose: record.loose,
        missed: record.missed,
        lost_and_waited: (lost, waited),
        together_with,
        read: outlook.map(|next| next.read),
        other_better: outlook.map(|next| next.other_better),
        alternative,
        alternative_points: other_points,
        switch,
        balls_to_prove,
        verdict,
        says: Vec::new(),
    };
    lesson.says = says(&lesson, outlook);
    Ok(lesson)
}

fn says(lesson: &Lesson, outlook: Option<Outlook>) -> Vec<String> {
    let receive = lesson.receive.shown();
    let mut says = Vec::new();
    let (lost, waited) = lesson.lost_and_waited;
    let suspicion = outlook.map_or("too little to say", Outlook::suspicion);
    match lesson.verdict {
        Verdict::Switch => {
            let to = lesson.alternative.as_ref().map(Receive::shown).unwrap_or_default();
            says.push(match &lesson.switch {
                Some(name) => format!("Make the switch `{name}`: {to}."),
                None => format!("Change to {to}; it is a new pattern, so drill it first."),
            });
        }
        Verdict::PlayedBadly => says.push(format!(
            "Keep the plan, play it better: {} of {} came loose or missed. {}",
            lesson.loose + lesson.missed,
            lesson.points.0,
            tighter(&lesson.receive)
        )),
        Verdict::Watch => says.push(format!("Keep {receive}, and watch whether he waits for it.")),
        Verdict::Keep => says.push(format!("Keep {receive}.")),
        Verdict::TooFew => {
            says.push(format!("Keep {receive}; too few clean points to say anything."));
        }
    }
    if let Some(next) = outlook {
        let seen_waiting =
            if waited > 0 { format!(", seen waiting {waited} times") } else { String::new() };
        says.push(format!(
            "A suspicion, no proof: {suspicion} ({} in 100), {lost} of {} clean points lost\
             {seen_waiting}; the alternative is better now with a chance of {} in 100.",
            suspected(next.read),
            lesson.points.1,
            suspected(next.other_better)
        ));
    }
    if lesson.verdict == Verdict::Switch && lesson.alternative_points < 5.0 {
        says.push(
            "Little is known about the alternative: its rate is mostly common practice.".to_owned(),
        );
    }
    if !lesson.together_with.is_empty() {
        let others: Vec<String> = lesson.together_with.iter().map(ToString::to_string).collect();
        says.push(format!("Read together with {}: the same receive.", others.join(", ")));
    }
    if matches!(lesson.verdict, Verdict::Switch | Verdict::Watch)
        && let Some(balls) = lesson.balls_to_prove
    {
        says.push(format!("Proof would take about {balls} such balls: more than a match has."));
    }
    says
}

/// How the same receive is played better (common practice).
pub fn tighter(receive: &Receive) -> &'static str {
    use crate::game::Stroke;
    match receive.stroke {
        Stroke::Touch => "Soften the hand and step in sooner: high or long is what gets attacked.",
        Stroke::Push | Stroke::SidespinPush => {
            "High or long is what gets attacked: shorter or deeper, and earlier after the bounce."
        }
        Stroke::Flick | Stroke::BananaFlick | Stroke::ReverseFlick => {
            "Get the foot under the table first; three quarters of the speed is enough."
        }
        Stroke::SlowLoop | Stroke::FastLoop | Stroke::Drive => {
            "Wait for the ball to come off the end; brush more, hit less."
        }
        Stroke::Block | Stroke::Chop | Stroke::Bump => {
            "Shorter swing: the speed is already in the ball."
        }
    }
}

fn before_next(
    lessons: &[Lesson],
    without_plan: &[(ServeId, f64)],
    question: &Question<'_>,
) -> Vec<String> {
    let mut list = Vec::new();
    for lesson in lessons {
        match (lesson.verdict, &lesson.switch, &lesson.alternative) {
            (Verdict::Switch, Some(name), _) => list.push(format!(
                "{}: he may expect the old answer; drill `{name}` until it is firm, or make it the plan.",
                lesson.serve
            )),
            (Verdict::Switch, None, Some(other)) => list.push(format!(
                "{}: add a switch to {} and drill it as a new pattern.",
                lesson.serve,
                other.shown()
            )),
            (Verdict::PlayedBadly, _, _) => {
                list.push(format!("{}: more balls at the table, same receive.", lesson.serve));
            }
            _ => {}
        }
    }
    for (serve, points) in without_plan {
        list.push(format!("{serve}: came {points:.0} times without a plan; choose a receive."));
    }
    for serve in question.deck.planned().map(|(serve, _)| serve) {
        let is_seen = question.history.serves.contains_key(&serve.id);
        if question.history.matches.len() >= 3 && !is_seen {
            list.push(format!(
                "{}: not seen in {} matches; retire it?",
                serve.id,
                question.history.matches.len()
            ));
        }
    }
    list
}

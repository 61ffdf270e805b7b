//! What a coach would object to in a receive, with the way out.
//!
//! The rules stand in the knowledge. Against an attack a rule holds already where it may hold: what
//! nobody has seen of a serve is never taken for what suits the stroke. A way out is only said when
//! it passes itself.

use crate::base::{Finding, text};
use crate::deck::advice::{self, Judged};
use crate::deck::{Deck, Plan};
use crate::game::{Depth, Receive, Serve, Stroke, WeightName};
use crate::receive::knowledge::{KNOWLEDGE, Rule, broken_rule, of_stroke};
use crate::receive::people::Meeting;

/// Why a coach would object to a receive: what the ball is like, and what to do instead.
#[derive(Debug, Clone)]
pub struct Objection {
    rule: &'static Rule,
    /// It only may be so.
    is_open: bool,
    /// The ways out, as the knowledge orders them.
    pub instead: Vec<Receive>,
}

impl PartialEq for Objection {
    fn eq(&self, other: &Self) -> bool {
        std::ptr::eq(self.rule, other.rule) && self.is_open == other.is_open
    }
}

/// Ways out that are said of one objection.
const WAYS_OUT: usize = 3;

impl Objection {
    /// What is wrong, of a stroke: `which may be long`, `into long pimples or anti`.
    pub fn ball(&self) -> String {
        let (what, may) = (self.rule.what, self.is_open);
        if let Some(rest) = what.strip_prefix("be ") {
            format!("which {} {rest}", if may { "may be" } else { "is" })
        } else if let Some(rest) = what.strip_prefix("have ") {
            format!("which {} {rest}", if may { "may have" } else { "has" })
        } else {
            what.to_owned()
        }
    }

    /// The way out, with the reason.
    pub fn hint(&self) -> String {
        let mut ways: Vec<String> = self.instead.iter().map(said).collect();
        ways.dedup();
        ways.truncate(WAYS_OUT);
        format!("{}; {}", self.rule.why, text::or_list(&ways))
    }

    /// The text of it, as it is found in a file or a request.
    pub fn finding(&self, serve: &str, stroke: Stroke) -> Finding {
        let what = format!("a {stroke} against {serve}, {}", self.ball());
        Finding::warning(what).hint(self.hint())
    }
}

/// A receive as a coach says it: `push it early, long`.
fn said(receive: &Receive) -> String {
    let mut words = of_stroke(receive.stroke).map_or("", |nature| nature.said).to_owned();
    if receive.weight == Some(WeightName::Light) {
        words += " lightly";
    }
    if let Some(timing) = receive.timing {
        words.push(' ');
        words += timing.shown();
    }
    match receive.to.depth {
        Some(Depth::Short) => words += " short",
        Some(Depth::Long) if receive.stroke == Stroke::Push => words += ", deep",
        _ => {}
    }
    words
}

impl Meeting<'_> {
    /// Whether a coach has nothing against answering this serve with this receive.
    pub fn passes(self, receive: &Receive) -> bool {
        broken_rule(self, receive).is_none()
    }

    /// What a coach would object to in answering this serve with this receive.
    pub fn objection(self, receive: &Receive) -> Option<Objection> {
        let (rule, is_open) = broken_rule(self, receive)?;
        let ways = rule.instead.iter().filter(|way| self.passes(way));
        let mut instead: Vec<Receive> = ways.cloned().collect();
        if instead.is_empty() {
            instead = self.proposals(WAYS_OUT).into_iter().map(|one| one.receive).collect();
        }
        Some(Objection { rule, is_open, instead })
    }

    /// How a receive usually fails against this serve, and what to do.
    pub fn cure(self, receive: &Receive) -> &'static str {
        let holds =
            |condition: &super::condition::Condition| condition.holds(self, receive) == Some(true);
        let mut cures = KNOWLEDGE.cures.iter().filter(|cure| cure.strokes.has(receive.stroke));
        cures.find(|cure| holds(&cure.condition)).map_or("", |cure| cure.said)
    }
}

/// Everything about a deck that cannot be right or that a coach would object to.
pub fn of_deck(deck: &Deck) -> Vec<Judged> {
    let mut found = advice::of_deck(deck);
    let mut judge = |path: &[&str], plan: &Plan| {
        for (serve, receive) in plan.iter().filter_map(|(id, it)| Some((deck.serve(id)?, it))) {
            let Some(objection) = Meeting::new(serve, deck).objection(receive) else { continue };
            let path = path.iter().copied().chain([serve.id.as_str()]).map(str::to_owned).collect();
            let finding = objection.finding(&deck.short_word(serve), receive.stroke);
            found.push(Judged { path, finding });
        }
    };
    judge(&["plan"], &deck.plan);
    for switch in &deck.switches {
        judge(&["switches", &switch.name, "changes"], &switch.changes);
    }
    found.extend(deck.active().filter_map(|serve| judge_twins(serve, deck)));
    for (kind, receive) in deck.safe_for.each() {
        let serve = kind.as_serve();
        let Some(objection) = Meeting::new(&serve, deck).objection(receive) else { continue };
        let path = ["safe_for", kind.word()].map(str::to_owned).to_vec();
        let finding = objection.finding(&format!("a {kind} serve"), receive.stroke);
        found.push(Judged { path, finding });
    }
    found
}

/// Two serves that look alike, with nothing to tell them apart, of which one planned receive is
/// wrong for the other serve.
fn judge_twins(serve: &Serve, deck: &Deck) -> Option<Judged> {
    let meeting = Meeting::new(serve, deck);
    let twin = meeting.twin()?;
    let (own, theirs) = (deck.plan.get(&serve.id)?, deck.plan.get(&twin.serve.id)?);
    // Of two that are each other's it is said at the first.
    let is_its = deck.twin(twin.serve).is_some_and(|other| other.id == serve.id);
    let is_second = is_its && twin.serve.id < serve.id;
    if meeting.is_told_from(twin)
        || is_second
        || meeting.stands(twin, own) && twin.stands(meeting, theirs)
    {
        return None;
    }
    let stands = |one: &Meeting<'_>, receive: &Receive, other| one.stands(other, receive);
    let known = [(own, stands(&meeting, own, twin)), (theirs, stands(&twin, theirs, meeting))];
    let both = known.into_iter().find_map(|(receive, stands)| stands.then(|| receive.shown()));
    let both = both.or_else(|| {
        let mut open = meeting.proposals(WAYS_OUT).into_iter();
        open.find(|one| one.stands_twin.is_some()).map(|one| one.receive.shown())
    });
    let [one, other] = [serve, twin.serve].map(|serve| deck.short_word(serve));
    let what = format!("{one} and {other} look alike and want different bats");
    let way = both.map_or(String::new(), |receive| format!(", or play both alike: {receive}"));
    let hint = format!("write down what tells them apart (`tells`){way}");
    let path = ["plan", serve.id.as_str()].map(str::to_owned).to_vec();
    Some(Judged { path, finding: Finding::warning(what).hint(hint) })
}

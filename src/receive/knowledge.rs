//! The knowledge of receives, read once from `knowledge.txt`, which says what its columns are and
//! where each line comes from.

use std::str::FromStr;
use std::sync::LazyLock;

use crate::game::{Lane, Receive, Stroke};
use crate::receive::condition::Condition;
use crate::receive::people::Meeting;

const TEXT: &str = include_str!("knowledge.txt");

/// What a stroke is, whatever it meets.
#[derive(Debug)]
pub(super) struct StrokeNature {
    pub stroke: Stroke,
    /// From 0, quiet, to 3.
    pub courage: u8,
    /// It lands where the spin was read wrong, too.
    pub stands_misread: bool,
    /// Of ten, how many land for most players.
    pub usual_of_ten: f64,
    /// As a coach says it: `loop it with spin`.
    pub said: &'static str,
}

/// What a coach would object to.
#[derive(Debug)]
pub(super) struct Rule {
    pub strokes: Strokes,
    pub condition: Condition,
    /// `be long`, `have backspin`, or what is wrong with the receive.
    pub what: &'static str,
    pub why: &'static str,
    /// In the trade's order.
    pub instead: Vec<Receive>,
}

/// A receive that answers a kind of serve.
#[derive(Debug)]
pub(super) struct Play {
    pub receive: Receive,
    pub condition: Condition,
    /// Of ten, how many land, and of a hundred of those, how many points are won.
    pub lands: f64,
    pub wins: f64,
    pub why: &'static str,
}

/// What speaks for or against a target.
#[derive(Debug)]
pub(super) struct TargetLine {
    /// All when empty.
    lanes: Vec<Lane>,
    pub strokes: Strokes,
    pub condition: Condition,
    /// What it adds to how many land of ten, and to the points won of a hundred.
    pub lands: f64,
    pub wins: f64,
    pub why: &'static str,
}

impl TargetLine {
    pub(super) fn is_about(&self, lane: Lane) -> bool {
        self.lanes.is_empty() || self.lanes.contains(&lane)
    }
}

/// How a stroke usually fails, and what to do.
#[derive(Debug)]
pub(super) struct Cure {
    pub strokes: Strokes,
    pub condition: Condition,
    pub said: &'static str,
}

/// Some strokes; all when it is empty.
#[derive(Debug)]
pub(super) struct Strokes(Vec<Stroke>);

impl Strokes {
    pub(super) fn has(&self, stroke: Stroke) -> bool {
        self.0.is_empty() || self.0.contains(&stroke)
    }
}

/// All of it.
#[derive(Debug)]
pub(super) struct CoachKnowledge {
    pub strokes: Vec<StrokeNature>,
    pub rules: Vec<Rule>,
    pub plays: Vec<Play>,
    /// Where the depth is not known.
    pub plays_of_any_depth: Vec<Play>,
    pub targets: Vec<TargetLine>,
    pub cures: Vec<Cure>,
}

pub(super) static KNOWLEDGE: LazyLock<CoachKnowledge> = LazyLock::new(|| CoachKnowledge {
    strokes: lines("[strokes]", nature),
    rules: lines("[objections]", rule),
    plays: lines("[plays]", play),
    plays_of_any_depth: lines("[unknown depth]", play),
    targets: lines("[targets]", target),
    cures: lines("[cures]", cure),
});

/// What a stroke is.
pub(super) fn of_stroke(stroke: Stroke) -> Option<&'static StrokeNature> {
    KNOWLEDGE.strokes.iter().find(|nature| nature.stroke == stroke)
}

/// Of ten, how many of a stroke land for most players.
pub fn usual_of_ten(stroke: Stroke) -> f64 {
    of_stroke(stroke).map_or(0.0, |nature| nature.usual_of_ten)
}

/// Whether a stroke attacks.
pub(super) fn is_attack(stroke: Stroke) -> bool {
    of_stroke(stroke).is_some_and(|nature| nature.courage > 0)
}

/// The first rule against a receive, and whether it only may hold, which is enough against an
/// attack.
pub(super) fn broken_rule(
    meeting: Meeting<'_>,
    receive: &Receive,
) -> Option<(&'static Rule, bool)> {
    let mut rules = KNOWLEDGE.rules.iter().filter(|rule| rule.strokes.has(receive.stroke));
    rules.find_map(|rule| match rule.condition.holds(meeting, receive) {
        Some(true) => Some((rule, false)),
        None if is_attack(receive.stroke) => Some((rule, true)),
        _ => None,
    })
}

/// The lines under a heading as they stand.
fn under(heading: &str) -> impl Iterator<Item = &'static str> {
    let lines = TEXT.lines().skip_while(move |line| *line != heading).skip(1);
    let lines = lines.take_while(|line| !line.starts_with('['));
    lines.filter(|line| !line.is_empty() && !line.starts_with('#'))
}

/// The lines under a heading, read; a test finds one that cannot be.
fn lines<T, const N: usize>(heading: &str, read: fn([&'static str; N]) -> Option<T>) -> Vec<T> {
    let cells = |line: &'static str| -> Option<[&'static str; N]> {
        line.split('|').map(str::trim).collect::<Vec<_>>().try_into().ok()
    };
    under(heading).filter_map(|line| read(cells(line)?)).collect()
}

/// Words between commas; an empty list, which means all, for `*`.
fn listed<T: FromStr>(words: &str) -> Option<Vec<T>> {
    let words = words.split(',').filter(|word| *word != "*");
    words.map(|word| word.parse().ok()).collect()
}

fn nature([stroke, courage, stands, usual, said]: [&'static str; 5]) -> Option<StrokeNature> {
    let (stroke, courage) = (stroke.parse().ok()?, courage.parse().ok()?);
    let (stands_misread, usual_of_ten) = (stands == "yes", usual.parse().ok()?);
    Some(StrokeNature { stroke, courage, stands_misread, usual_of_ten, said })
}

fn condition(words: &str) -> Option<Condition> {
    Condition::read(if words == "*" { "" } else { words })
}

fn rule([strokes, when, what, why, instead]: [&'static str; 5]) -> Option<Rule> {
    let instead = instead.split(';').map(|receive| receive.parse().ok()).collect::<Option<_>>()?;
    let (strokes, condition) = (Strokes(listed(strokes)?), condition(when)?);
    Some(Rule { strokes, condition, what, why, instead })
}

fn play([receive, when, lands, wins, why]: [&'static str; 5]) -> Option<Play> {
    let (receive, condition) = (receive.parse().ok()?, condition(when)?);
    Some(Play { receive, condition, lands: lands.parse().ok()?, wins: wins.parse().ok()?, why })
}

fn target([lanes, strokes, when, lands, wins, why]: [&'static str; 6]) -> Option<TargetLine> {
    let (lands, wins) = (lands.parse().ok()?, wins.parse().ok()?);
    let (lanes, strokes) = (listed(lanes)?, Strokes(listed(strokes)?));
    Some(TargetLine { lanes, strokes, condition: condition(when)?, lands, wins, why })
}

fn cure([strokes, when, said]: [&'static str; 3]) -> Option<Cure> {
    Some(Cure { strokes: Strokes(listed(strokes)?), condition: condition(when)?, said })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_line_of_the_knowledge_is_read() {
        fn unread<T, const N: usize>(
            heading: &str,
            read: fn([&'static str; N]) -> Option<T>,
        ) -> Vec<&'static str> {
            let cells = |line: &'static str| line.split('|').map(str::trim).collect::<Vec<_>>();
            let is_read = |line: &&'static str| {
                cells(line).try_into().is_ok_and(|cells: [_; N]| read(cells).is_some())
            };
            under(heading).filter(|line| !is_read(line)).collect()
        }
        let none: Vec<&str> = Vec::new();
        assert_eq!(unread("[strokes]", nature), none);
        assert_eq!(unread("[objections]", rule), none);
        assert_eq!(unread("[plays]", play), none);
        assert_eq!(unread("[unknown depth]", play), none);
        assert_eq!(unread("[targets]", target), none);
        assert_eq!(unread("[cures]", cure), none);
        for heading in TEXT.lines().filter(|line| line.starts_with('[')) {
            assert!(under(heading).count() > 3, "{heading}");
        }
    }

    #[test]
    fn every_stroke_is_known_and_has_a_cure_whatever_it_met() {
        for &stroke in Stroke::ALL {
            assert!(of_stroke(stroke).is_some(), "{stroke}");
            let of_all =
                |cure: &&Cure| cure.strokes.has(stroke) && cure.condition == Condition::default();
            assert!(KNOWLEDGE.cures.iter().any(|cure| of_all(&cure)), "{stroke}");
        }
    }
}

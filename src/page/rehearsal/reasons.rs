//! Why, and what else to know: cautions, the coaching line of a block, notes, limits, refusals.
//!
//! Cautions and coaching are common practice, said short.

use serde::Serialize;

use crate::base::text;
use crate::game::Depth;
use crate::launcher::{LauncherKind, Shade};
use crate::page::launcher_words::{Loss, NoBallWords};
use crate::page::rehearsal::words::unbroken;
use crate::rehearsal::{Block, Note, ServeLimit, Session, SmallChange, Variation, WhyRefused};

/// Cautions for everybody.
const CAUTIONS: [&str; 4] = [
    "Table locked; leads and balls off the floor; sweat wiped.",
    "Mind knee and thigh at the table's edge when stepping in.",
    "Hard returns come back: a catch net, and nobody in their line.",
    "Eye protection for close work. Breaks; stop at pain.",
];
const FOR_A_MACHINE: [&str; 4] = [
    "Launcher clamped or wedged; a chair tips.",
    "Nobody within two metres of the nozzle; watch the first ball after each change from the side.",
    "Hair, sleeves and lanyards off the wheels.",
    "Unplug before clearing a jam; never a child's job.",
];

/// The cautions for a kind of launcher; what stands above all of these comes last.
pub fn cautions(kind: LauncherKind) -> Vec<String> {
    let rules = if kind.is_person() { "The" } else { "The launcher's manual, the" };
    let first = format!("{rules} hall's rules, a coach, physiotherapist or doctor come first.");
    own_cautions(kind).iter().chain(&CAUTIONS).map(|&line| line.to_owned()).chain([first]).collect()
}

fn own_cautions(kind: LauncherKind) -> &'static [&'static str] {
    match kind {
        LauncherKind::Feeder => {
            &["The feeder stands beside the line of return, basket at the side."]
        }
        LauncherKind::Partner => {
            &["The server steps out of the line of return once the ball is served."]
        }
        _ => &FOR_A_MACHINE,
    }
}

/// The cautions for all kinds of launchers.
pub fn all_cautions() -> Vec<String> {
    let persons = [LauncherKind::Feeder, LauncherKind::Partner].map(own_cautions).concat();
    let persons = persons.into_iter().map(str::to_owned);
    persons.chain(cautions(LauncherKind::Fixed)).collect()
}

/// The cautions as every session says them: all of them where the launcher is new, else in short.
pub(crate) fn said_cautions(session: &Session) -> Vec<String> {
    let kind = session.kind();
    if session.is_launcher_new { cautions(kind) } else { short_cautions(kind) }
}

/// The cautions in short, and how to read all of them.
pub fn short_cautions(kind: LauncherKind) -> Vec<String> {
    let short = if kind.is_person() {
        [
            "Table locked, balls off the floor, nobody in the line of returns, stop at pain.",
            "Hall rules, coach, doctor come first. All of it: secondball rehearse cautions",
        ]
    } else {
        [
            "Table locked, launcher clamped, nobody within 2 m of the nozzle, stop at pain.",
            "Manual, hall rules, coach, doctor come first. All: secondball rehearse cautions",
        ]
    };
    short.map(str::to_owned).to_vec()
}

/// The one coaching line that travels with a block.
pub(super) fn coaching(block: &Block) -> &'static str {
    let is_long = block.balls.first().is_some_and(|ball| ball.thrown.depth == Depth::Long);
    if block.notes.contains(&Note::Hurried) {
        return "Back to ready after every ball.";
    }
    match block.variation {
        Variation::OneServe if is_long => "Bat in front; do not move before the ball is out.",
        Variation::OneServe => "Clean technique first, getting it back second.",
        Variation::OneMotion | Variation::Mixed => "Do not move before the ball is out.",
        Variation::InOrOut => "Step in or stay out: decide that first, then the stroke.",
        Variation::UntilLong => "Come back after every step in; the long one is coming.",
        Variation::StepIn => "Step in with the foot of the playing hand, and straight back.",
        Variation::OffTempo => "A longer swing at the slow one; let it come to you.",
        Variation::MostlyForehand => "Feet first; do not move before the ball is out.",
        Variation::DeadAmongHeavy => "Watch how the ball leaves the bounce, not your hand.",
        Variation::FarThenNear => "The same swing from everywhere, only earlier.",
        Variation::CounterFromFar => "Two steps back; meet it in front of you, over the ball.",
        Variation::ChopFromFar => "Two steps back; let it fall to the hip, brush under it.",
        Variation::SameBall => "Say the receive before the ball is out.",
        Variation::ByLane => "Wait for the lane; bat in front.",
        Variation::SwitchRound => "After the call think only of the serve that changed.",
        Variation::Pairs => "Full reset: step away, look up, then be ready.",
    }
}

/// What is a little different from the block before, and why.
pub(super) fn change(change: SmallChange) -> String {
    let change = change.shade.map_or("back to the plain ball", Shade::shown);
    format!("{change}: learn the serve, not the setting")
}

/// What else to know before a block starts.
pub(super) fn note(note: &Note, variation: Variation) -> String {
    let fixed = match note {
        Note::OneBallForSeveral { to_the_middle: false } => {
            "The ball stays; the list says which serve it stands for."
        }
        Note::OneBallForSeveral { to_the_middle: true } => {
            "One ball to the middle, where every answer on the list can be played; the list says \
             which serve it stands for."
        }
        Note::PlanOrSwitch(name, new) => {
            let name = unbroken(name);
            return format!("The list says plan or switch: \"{name}\" is the {}.", new.shown());
        }
        Note::Hurried => "Faster than a match: a short block, no full reset.",
        Note::CallAfterTheBallBefore => {
            "Call it after the ball before has been played, or read the list."
        }
        Note::OneServeOnly => "One serve only: this launcher cannot mix it with another.",
        Note::OneDepthAfterTheOther => {
            "One depth after the other: this launcher keeps its setting."
        }
        Note::StepsBack(3) => {
            "Three big steps behind your ready place; eight of ten made: a step nearer; five or \
             fewer: a step back."
        }
        Note::StepsBack(2) => "Two big steps behind it.",
        Note::StepsBack(1) => "One big step behind it.",
        Note::StepsBack(_) => "Your ready place.",
        Note::LanesAreTheLaunchers => {
            "Which lane comes when is the launcher's own; answer by the lane."
        }
        Note::SameReceive { has_topspin } => match (variation, has_topspin) {
            (Variation::DeadAmongHeavy, false) => {
                "The receive stays, the bat does not: close it a little on the one without spin, which pops up."
            }
            (Variation::DeadAmongHeavy, true) => {
                "The receive stays, the bat does not: open it a little on the one without spin, which drops."
            }
            (Variation::OffTempo, _) => "The receive stays: only the slow one's timing is another.",
            _ => "Where the letter stays the same, only the place of the ball changes.",
        },
        Note::PlanHolds => "The plan holds; the switch is called later.",
        Note::RoundEnds => "After this block the plan without the switch holds again.",
        Note::SwitchHolds(name) => {
            return format!("The switch \"{}\" still holds.", unbroken(name));
        }
        Note::CountsAreAGuess { up_to } => {
            return format!(
                "In the log, the second number is a guess: write as many as came to that lane, up \
                 to {up_to}."
            );
        }
        Note::SetByEye(no_ball) => {
            let why = NoBallWords::tell(no_ball).why;
            return format!("No computed setting for every ball, set it by eye: {why}.");
        }
    };
    fixed.to_owned()
}

/// What of a serve this launcher cannot do.
pub(super) fn lost(limit: &ServeLimit) -> Loss {
    let when = if limit.is_of_mixed_blocks { "in mixed blocks, " } else { "" };
    let loss = Loss::tell(&limit.limit);
    Loss { what: format!("{when}{}", loss.what), ..loss }
}

/// Why something is not there, and the way out.
#[derive(Serialize)]
pub struct RefusalWords {
    pub why: String,
    pub hint: String,
}

/// Why a serve of this opponent is not in the session.
pub fn refusal(why: &WhyRefused, opponent: &str) -> RefusalWords {
    let (why, hint) = match why {
        WhyRefused::NoReceive => (
            "it has no receive in the plan, and the deck no safe one".to_owned(),
            format!("choose one: secondball plan choose {}", text::typed(opponent)),
        ),
        WhyRefused::Objection { stroke, objection, limits, .. } => {
            let what = objection.finding("this serve", *stroke).what;
            if limits.is_empty() {
                let hint = format!(
                    "{}: secondball plan choose {}",
                    objection.hint(),
                    text::typed(opponent)
                );
                return RefusalWords { why: what, hint };
            }
            let nearest = limits.iter().map(|limit| Loss::tell(limit).nearest);
            let nearest = text::and_list(&nearest.collect::<Vec<_>>());
            (
                format!("the nearest this launcher can do is {nearest}, and that would be {what}"),
                "rehearse it with a person who feeds or serves".to_owned(),
            )
        }
        WhyRefused::NoBallLeft { balls } => (
            format!("none of the {balls} balls is left for it"),
            "ask for more balls, or for the groove phase".to_owned(),
        ),
    };
    RefusalWords { why, hint }
}

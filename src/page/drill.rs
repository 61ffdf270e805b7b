//! The drill in words: what came of an answer, and the summary of a session.

use serde::Serialize;

use crate::base::text;
use crate::drill::{
    AnswerVerdict, DrillError, Feedback, KeyTime, Measured, Reason, Summary, SwitchMeasures,
};
use crate::journal::{How, Input};
use crate::memory::Grade;

/// The way out where a deck holds nothing to drill in this way.
pub const fn way_out(error: &DrillError) -> &'static str {
    match error {
        DrillError::NothingPlanned(_) => {
            "give at least one serve a receive with `secondball plan choose`"
        }
        DrillError::NothingSwitched(_) => "look at the switch with `secondball plan`",
        DrillError::NothingKept(_) => "a switch changes one serve, two at most",
        DrillError::NothingToRead(_) => {
            "add the serves that look alike with `secondball scout add`"
        }
    }
}

/// What came of an answer.
pub fn verdict_words(verdict: AnswerVerdict) -> String {
    match verdict {
        AnswerVerdict::BeforeContact => "let: a key before contact is a guess".to_owned(),
        AnswerVerdict::TooSoon { least_ms } => {
            format!("let: within {least_ms} ms nobody has seen it")
        }
        AnswerVerdict::OldAnswer => "wrong: the old answer".to_owned(),
        AnswerVerdict::Spill => "wrong: the switch belongs to another serve".to_owned(),
        AnswerVerdict::NoAnswer => "no answer: counts as wrong".to_owned(),
        AnswerVerdict::Graded(grade) => grade.word().to_owned(),
    }
}

/// What came of an answer, beside its feedback: without a clock nothing is in time.
pub fn verdict_shown(told: &Feedback) -> String {
    match told.verdict {
        AnswerVerdict::Graded(Grade::InTime) if told.window_ms.is_none() => "right".to_owned(),
        verdict => verdict_words(verdict),
    }
}

/// What the player wrote about a receive, each with its label.
pub fn reasons(reason: &Reason) -> Vec<(&'static str, &str)> {
    [("why", &reason.why), ("expect", &reason.expect), ("then", &reason.then)]
        .into_iter()
        .filter_map(|(label, words)| Some((label, words.as_deref()?)))
        .collect()
}

/// The rounds of a session.
#[derive(Debug, Clone, Serialize)]
pub struct DrillSession<'a> {
    form: &'static str,
    /// True when nobody played: every number is a simulated player's.
    is_simulated: bool,
    /// This device's key time.
    key_time: KeyTime,
    rounds: &'a [Summary],
}

impl<'a> DrillSession<'a> {
    pub fn new(rounds: &'a [Summary], key_time: KeyTime) -> Self {
        let is_simulated = rounds.iter().any(|round| round.input == Input::Simulated);
        Self { form: "drill 1", is_simulated, key_time, rounds }
    }

    /// In words, `width` columns wide, each line with its end.
    pub fn text(&self, width: usize) -> String {
        let rounds: Vec<String> =
            self.rounds.iter().map(|round| round_lines(round, width).join("\n") + "\n").collect();
        rounds.join("\n")
    }
}

fn round_lines(round: &Summary, width: usize) -> Vec<String> {
    let mut lines = vec![format!("{}, {}", round.opponent, round.how)];
    if round.input == Input::Simulated {
        lines.push("A simulated player played this; nobody has learnt anything.".to_owned());
    }
    if round.answers == 0 {
        lines.push("No answer was given.".to_owned());
        return lines;
    }
    let mut counts = vec![format!("{} of {} right", round.right, round.answers)];
    if matches!(round.how, How::Snap | How::Shadow) {
        counts.push(format!("{} in the window", round.in_window));
    }
    for (number, what) in
        [(round.lets, "let"), (round.old_answers, "old answer"), (round.spills, "spill")]
    {
        counts.extend((number > 0).then(|| text::count(number, what)));
    }
    lines.extend([counts.join(", "), String::new()]);
    lines.extend(serve_lines(round, width));
    if round.how == How::Snap {
        lines.push(String::new());
        lines.extend(tempo_lines(round));
    }
    if let Some(name) = &round.switch_name {
        lines.push(String::new());
        lines.extend(switch_lines(round, name));
    }
    lines
}

fn serve_lines(round: &Summary, width: usize) -> Vec<String> {
    let (middle, last) = match round.how {
        How::Snap => ("in window", "   time"),
        How::Shadow => ("in time", ""),
        How::Read => ("recognised", ""),
        How::Think => ("", ""),
    };
    let head = format!("  {:>7}  {middle:>10}  {last}", "right");
    let mut lines = vec![head.trim_end().to_owned()];
    let is_called = round.gate.is_none_or(|gate| gate.is_open);
    for serve in &round.serves {
        let of = |count: usize| format!("{count} of {}", serve.asked);
        let second = match round.how {
            How::Snap | How::Shadow => of(serve.in_window),
            How::Read => serve.recognised.map(of).unwrap_or_default(),
            How::Think => String::new(),
        };
        let time = match serve.middle_ms {
            Some(ms) if round.how == How::Snap => format!("{ms:>4} ms"),
            _ => String::new(),
        };
        lines.push(text::fit(&serve.words, width.saturating_sub(2)).trim_end().to_owned());
        let mut lead = format!("  {:>7}  {second:>10}  {time:>7}  ", of(serve.right));
        let left = width.saturating_sub(text::width(&lead)).max(20);
        let receive = match serve.changed_to.as_ref().filter(|_| is_called) {
            Some(new) => format!("{}; after the call {new}", serve.receive),
            None => serve.receive.clone(),
        };
        for part in text::wrap(&receive, left, "").lines() {
            lines.push(format!("{lead}{part}"));
            lead = " ".repeat(text::width(&lead));
        }
    }
    lines
}

fn tempo_lines(round: &Summary) -> Vec<String> {
    let times = |permille: f64| format!("{:.2}", permille / 1000.0);
    let is_match_speed = round.tempo_permille <= 1000;
    let mut lines = vec![if is_match_speed {
        "Tempo: match speed".to_owned()
    } else {
        let now = times(f64::from(round.tempo_permille));
        format!("Tempo: {now} times the time a match leaves for the decision")
    }];
    if round.switch_name.is_some() {
        lines.push(
            "It stands still in a switch round, so that only the switch is measured.".to_owned(),
        );
    } else if !is_match_speed {
        lines.push(format!(
            "{} right in the window in a row shorten it, one outside lengthens it.",
            round.tempo_downs
        ));
    }
    lines.extend(round.threshold.map(|threshold| {
        format!(
            "Four in five are right at {} times, give or take {} ({} turns)",
            times(threshold.permille),
            times(threshold.error_permille),
            threshold.reversals
        )
    }));
    lines
}

fn switch_lines(round: &Summary, name: &str) -> Vec<String> {
    let mut lines = vec![format!("Switch: {name}")];
    if let Some(gate) = round.gate {
        let opens = if gate.is_open { "the switch was called" } else { "no call yet" };
        let balls = format!("{} of {} in the window", gate.in_window, gate.of);
        lines.push(format!("  first balls   {balls}; {opens}"));
        lines.extend((!gate.is_open).then(|| {
            "  The plan first: the switch is called when four in five of them are.".to_owned()
        }));
    }
    if let Some(measures) = &round.switch {
        lines.extend(measure_lines(measures, round.old_answers));
    }
    lines
}

fn measure_lines(measures: &SwitchMeasures, old_answers: usize) -> Vec<String> {
    let SwitchMeasures { switched_after, kept_after, .. } = measures;
    let mut lines = vec![
        cost("switch cost", &measures.cost_ms, &measures.cost_wrong),
        cost("kept serves", &measures.collateral_ms, &measures.collateral_wrong),
        format!(
            "  after it      {} of {} the old answer; {} of {} the new one on a kept serve",
            switched_after.old_answers, switched_after.balls, kept_after.spills, kept_after.balls
        ),
    ];
    let later = old_answers.saturating_sub(switched_after.old_answers);
    if later > 0 {
        lines.push(format!("  switched back {} more", text::count(later, "old answer")));
    }
    lines.push(clean("three clean", measures.balls_until_clean));
    if measures.balls_until_clean_back.is_some() {
        lines.push(clean("and back", measures.balls_until_clean_back));
    }
    lines.extend(
        [
            "",
            "  Switch cost: how much slower, and how much oftener wrong, the switched",
            "  serve became after the call, beyond what happened to the kept serves.",
            "  Three clean: right in the window three times running.",
        ]
        .map(str::to_owned),
    );
    lines
}

fn cost(what: &str, ms: &Measured, wrong: &Measured) -> String {
    let said = |measured: &Measured, value: Option<String>| match value {
        Some(value) => format!("{value} ({} balls)", measured.balls),
        None => format!("too few balls ({}, six are needed)", measured.balls),
    };
    let time = said(ms, ms.value.map(|value| format!("{value:+.0} ms")));
    let share = said(wrong, wrong.value.map(|value| format!("{:+.0} wrong of 100", value * 100.0)));
    format!("  {what:<13} {time}; {share}")
}

fn clean(what: &str, balls: Option<usize>) -> String {
    match balls {
        Some(balls) => format!("  {what:<13} after {}", text::count(balls, "switched ball")),
        None => format!("  {what:<13} not reached"),
    }
}

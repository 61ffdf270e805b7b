//! The summary of a session, as text or JSON.

use serde::Serialize;

use crate::base::text;
use crate::cli::{Failure, World};
use crate::drill::{KeyTime, Measured, Summary, SwitchMeasures};
use crate::journal::{How, Input};

/// The summary as `--json` gives it.
#[derive(Serialize)]
struct Document<'a> {
    /// The form of this document.
    form: &'static str,
    /// True when nobody played: every number is a simulated player's.
    is_simulated: bool,
    /// This device's key time.
    key_time: KeyTime,
    /// Round by round.
    rounds: &'a [Summary],
}

/// Tells what came of a session.
pub(in crate::cli) fn report(
    rounds: &[Summary],
    key_time: KeyTime,
    is_json: bool,
    world: &mut World<'_>,
) -> Result<(), Failure> {
    if is_json {
        let is_simulated = rounds.iter().any(|round| round.input == Input::Simulated);
        let document = Document { form: "drill 1", is_simulated, key_time, rounds };
        writeln!(world.out, "{}", crate::page::json(&document))?;
        return Ok(());
    }
    for (place, round) in rounds.iter().enumerate() {
        if place > 0 {
            writeln!(world.out)?;
        }
        write!(world.out, "{}", told(round, world.width))?;
    }
    Ok(())
}

/// One round in words.
fn told(round: &Summary, width: usize) -> String {
    let mut lines = vec![format!("{}, {}", round.opponent, round.how)];
    if round.input == Input::Simulated {
        lines.push("A simulated player played this; nobody has learnt anything.".to_owned());
    }
    if round.answers == 0 {
        lines.push("No answer was given.".to_owned());
        return lines.join("\n") + "\n";
    }
    let is_timed = matches!(round.how, How::Snap | How::Shadow);
    let mut counts = vec![format!("{} of {} right", round.right, round.answers)];
    if is_timed {
        counts.push(format!("{} in the window", round.in_window));
    }
    let others = [(round.lets, "let"), (round.old_answers, "old answer"), (round.spills, "spill")];
    counts.extend(
        others
            .iter()
            .filter(|(number, _)| *number > 0)
            .map(|&(number, what)| text::count(number, what)),
    );
    lines.push(counts.join(", "));
    lines.push(String::new());
    lines.extend(by_serve(round, width));
    if round.how == How::Snap {
        lines.push(String::new());
        lines.extend(tempo(round));
    }
    if let Some(name) = &round.switch_name {
        lines.push(String::new());
        lines.extend(switch(round, name));
    }
    lines.join("\n") + "\n"
}

fn by_serve(round: &Summary, width: usize) -> Vec<String> {
    let is_snap = round.how == How::Snap;
    let middle = match round.how {
        How::Snap => "in window",
        How::Shadow => "in time",
        How::Read => "recognised",
        How::Think => "",
    };
    let room = width.saturating_sub(2);
    let mut lines = vec![
        format!("  {:>7}  {middle:>10}  {}", "right", if is_snap { "   time" } else { "" })
            .trim_end()
            .to_owned(),
    ];
    for serve in &round.serves {
        let of = |count: usize| format!("{count} of {}", serve.asked);
        let second = match round.how {
            How::Snap | How::Shadow => of(serve.in_window),
            How::Read => serve.recognised.map(of).unwrap_or_default(),
            How::Think => String::new(),
        };
        let time = match serve.middle_ms {
            Some(ms) if is_snap => format!("{ms:>4} ms"),
            _ => String::new(),
        };
        lines.push(text::fit(&serve.words, room).trim_end().to_owned());
        let numbers = format!("  {:>7}  {second:>10}  {time:>7}  ", of(serve.right));
        let left = width.saturating_sub(text::width(&numbers)).max(20);
        let is_called = round.gate.is_none_or(|gate| gate.is_open);
        let told = match serve.changed_to.as_ref().filter(|_| is_called) {
            Some(new) => format!("{}; after the call {new}", serve.receive),
            None => serve.receive.clone(),
        };
        let receive = text::wrap(&told, left, "");
        for (nth, part) in receive.lines().enumerate() {
            let lead = if nth == 0 { numbers.clone() } else { " ".repeat(text::width(&numbers)) };
            lines.push(format!("{lead}{part}"));
        }
    }
    lines
}

fn tempo(round: &Summary) -> Vec<String> {
    let times = |permille: f64| format!("{:.2}", permille / 1000.0);
    let now = f64::from(round.tempo_permille);
    let mut lines = vec![if round.tempo_permille <= 1000 {
        "Tempo: match speed".to_owned()
    } else {
        format!("Tempo: {} times the time a match leaves for the decision", times(now))
    }];
    if round.switch_name.is_some() {
        lines.push(
            "It stands still in a switch round, so that only the switch is measured.".to_owned(),
        );
    } else if round.tempo_permille > 1000 {
        lines.push(format!(
            "{} right in the window in a row shorten it, one outside lengthens it.",
            round.tempo_downs
        ));
    }
    if let Some(threshold) = round.threshold {
        lines.push(format!(
            "Four in five are right at {} times, give or take {} ({} turns)",
            times(threshold.permille),
            times(threshold.error_permille),
            threshold.reversals
        ));
    }
    lines
}

fn switch(round: &Summary, name: &str) -> Vec<String> {
    let mut lines = vec![format!("Switch: {name}")];
    if let Some(gate) = round.gate {
        let opens = if gate.is_open { "the switch was called" } else { "no call yet" };
        lines.push(format!(
            "  first balls   {} of {} in the window; {opens}",
            gate.in_window, gate.of
        ));
        if !gate.is_open {
            lines.push(
                "  The plan first: the switch is called when four in five of them are.".to_owned(),
            );
        }
    }
    let Some(measures) = &round.switch else { return lines };
    lines.push(cost("switch cost", &measures.cost_ms, &measures.cost_wrong));
    lines.push(cost("kept serves", &measures.collateral_ms, &measures.collateral_wrong));
    lines.push(format!(
        "  after it      {} of {} the old answer; {} of {} the new one on a kept serve",
        measures.switched_after.old_answers,
        measures.switched_after.balls,
        measures.kept_after.spills,
        measures.kept_after.balls
    ));
    let later = round.old_answers.saturating_sub(measures.switched_after.old_answers);
    if later > 0 {
        lines.push(format!("  switched back {} more", text::count(later, "old answer")));
    }
    lines.push(clean("three clean", measures, |measures| measures.balls_until_clean));
    if measures.balls_until_clean_back.is_some() {
        lines.push(clean("and back", measures, |measures| measures.balls_until_clean_back));
    }
    lines.push(String::new());
    for words in [
        "Switch cost: how much slower, and how much oftener wrong, the switched",
        "serve became after the call, beyond what happened to the kept serves.",
        "Three clean: right in the window three times running.",
    ] {
        lines.push(format!("  {words}"));
    }
    lines
}

fn cost(what: &str, ms: &Measured, wrong: &Measured) -> String {
    let said = |measured: &Measured, unit: &dyn Fn(f64) -> String| match measured.value {
        Some(value) => format!("{} ({} balls)", unit(value), measured.balls),
        None => format!("too few balls ({}, six are needed)", measured.balls),
    };
    let time = said(ms, &|value| format!("{value:+.0} ms"));
    let share = said(wrong, &|value| format!("{:+.0} wrong of 100", value * 100.0));
    format!("  {what:<13} {time}; {share}")
}

fn clean(
    what: &str,
    measures: &SwitchMeasures,
    balls: fn(&SwitchMeasures) -> Option<usize>,
) -> String {
    match balls(measures) {
        Some(balls) => format!("  {what:<13} after {}", text::count(balls, "switched ball")),
        None => format!("  {what:<13} not reached"),
    }
}

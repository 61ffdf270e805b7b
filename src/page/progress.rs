//! Progress as text: each picture as rows with a bar, then one line of what to do. Eighty columns,
//! read without colour.

use crate::agenda::progress::{Counsel, DRAWN, Progress, ServeBalls, SwitchCost, TableOf};
use crate::base::text;
use crate::drill::Measured;
use crate::game::{Depth, Lane};
use crate::page::bar::{BAR, bar};
use crate::page::made_picture::letter;
use crate::page::numbers::of_hundred;
use crate::page::paragraph::hung;
use crate::page::progress_words::{WRONG_LATELY, advice_line, pattern_words, standing, towards};

/// Periods shown at most.
const PERIODS: usize = 10;

/// The progress, `width` columns at most.
pub fn text(progress: &Progress, width: usize) -> String {
    let mut lines = Vec::new();
    let whose = progress.opponent.as_ref().map(|opponent| format!(", against {opponent}"));
    lines.push(format!(
        "Progress of {}, {}{}",
        progress.player,
        progress.today.spoken(),
        whose.unwrap_or_default()
    ));
    if progress.has_simulated {
        lines.push("A simulated player gave some of these answers.".to_owned());
    }
    recall(&mut lines, progress, width);
    windows(&mut lines, progress, width);
    tempo(&mut lines, progress, width);
    for cost in &progress.switches.costs {
        switch(&mut lines, cost, width);
    }
    if let Some(none) = &progress.switches.none {
        title(&mut lines, "What a switch costs");
        advice(&mut lines, none, width);
    }
    for table in &progress.table.opponents {
        made(&mut lines, table, width);
    }
    if let Some(none) = &progress.table.none {
        title(&mut lines, "At the table");
        advice(&mut lines, none, width);
    }
    lines.iter().map(|line| line.trim_end()).collect::<Vec<_>>().join("\n") + "\n"
}

fn title(lines: &mut Vec<String>, words: &str) {
    lines.push(String::new());
    lines.push(words.to_owned());
}

fn advice(lines: &mut Vec<String>, counsel: &Counsel, width: usize) {
    let line = advice_line(counsel);
    lines.push(hung(if line.is_due { "  -> " } else { "  ok " }, &line.says, width));
    lines.extend(line.command.map(|command| format!("     {command}")));
}

fn recall(lines: &mut Vec<String>, progress: &Progress, width: usize) {
    let recall = &progress.recall;
    title(
        lines,
        &text::wrap(&format!("Recall if you stop here, {}", towards(recall)), width, "  "),
    );
    let names = width.saturating_sub(BAR + 24).clamp(16, 40);
    if !recall.patterns.is_empty() {
        lines.push(format!("  {} today then", text::fit("of 100", names)));
    }
    for pattern in recall.patterns.iter().take(DRAWN) {
        lines.push(format!(
            "  {} {:>5} {:>4} {} {}",
            text::fit(&pattern_words(progress, pattern), names),
            of_hundred(pattern.now),
            of_hundred(pattern.then),
            bar(pattern.then, Some(recall.target)),
            standing(pattern)
        ));
    }
    if recall.patterns.iter().take(DRAWN).any(|pattern| pattern.wrong_lately.is_some()) {
        lines.push(hung("  ", WRONG_LATELY, width));
    }
    let more = recall.patterns.len().saturating_sub(DRAWN);
    if more > 0 {
        lines.push(format!("  and {more} with less at stake"));
    }
    advice(lines, &recall.counsel, width);
}

fn windows(lines: &mut Vec<String>, progress: &Progress, width: usize) {
    let windows = &progress.windows;
    title(lines, &format!("Right within the window, of 100, by {}", windows.step.word()));
    if !windows.periods.is_empty() {
        lines.push(format!("  {} answers right  window", text::fit("", 11)));
    }
    let skipped = windows.periods.len().saturating_sub(PERIODS);
    for period in windows.periods.iter().skip(skipped) {
        lines.push(format!(
            "  {} {:>7} {:>5} {:>7} {}",
            text::fit(&period.from.spoken(), 11),
            period.answers,
            of_hundred(period.right_share()),
            of_hundred(period.window_share()),
            bar(period.window_share(), None)
        ));
    }
    advice(lines, &windows.counsel, width);
}

fn tempo(lines: &mut Vec<String>, progress: &Progress, width: usize) {
    let tempo = &progress.tempo;
    title(
        lines,
        &format!("Tempo, in times of a match, by {}; lower is quicker", tempo.step.word()),
    );
    let skipped = tempo.periods.len().saturating_sub(PERIODS);
    for period in tempo.periods.iter().skip(skipped) {
        let settled = if period.is_settled {
            text::count(period.reversals, "turn")
        } else {
            "not settled".to_owned()
        };
        lines.push(format!(
            "  {} {:>7.2} {} {settled}",
            text::fit(&period.from.spoken(), 11),
            period.permille / 1000.0,
            bar((period.permille / 1000.0 - 1.0) / 3.0, None)
        ));
    }
    advice(lines, &tempo.counsel, width);
}

fn switch(lines: &mut Vec<String>, cost: &SwitchCost, width: usize) {
    let words = format!("What the switch `{}` costs, against {}", cost.name, cost.opponent);
    title(lines, &text::wrap(&words, width, "  "));
    let said = |one: &Measured, times: f64, unit: &str| match one.value {
        Some(value) => format!("{:+.0} {unit} ({})", value * times, text::count(one.balls, "ball")),
        None => format!("too few ({})", text::count(one.balls, "ball")),
    };
    if !cost.weeks.is_empty() {
        let (slower, wrong) = ("slower by", "more often wrong by");
        lines.push(format!("  {} {} {wrong}", text::fit("week from", 11), text::fit(slower, 20)));
    }
    for week in &cost.weeks {
        lines.push(format!(
            "  {} {} {}",
            text::fit(&week.from.spoken(), 11),
            text::fit(&said(&week.cost_ms, 1.0, "ms"), 20),
            said(&week.cost_wrong, 100.0, "wrong of 100")
        ));
    }
    advice(lines, &cost.counsel, width);
}

fn made(lines: &mut Vec<String>, table: &TableOf, width: usize) {
    let words = format!("At the table against {}, the last eight weeks", table.opponent);
    title(lines, &text::wrap(&words, width, "  "));
    drawn(lines, &table.serves);
    let names = width.saturating_sub(BAR + 24).clamp(16, 40);
    for (place, serve) in table.serves.iter().enumerate() {
        let wrong = match serve.wrong {
            0 => String::new(),
            wrong => format!(" ({wrong} with another receive)"),
        };
        let row = format!(
            "  {} {} {:>4}/{:<4} {}",
            letter(place),
            text::fit(&serve.serve, names),
            serve.made,
            serve.balls(),
            bar(serve.made_share().unwrap_or(0.0), None),
        );
        lines.push(row);
        if !wrong.is_empty() {
            lines.push(format!("   {wrong}"));
        }
    }
    advice(lines, &table.counsel, width);
}

/// The player's half from above, the net on top, forehand where it is said: a letter where a serve
/// comes down.
fn drawn(lines: &mut Vec<String>, serves: &[ServeBalls]) {
    const LANES: [Lane; 6] = [
        Lane::WideBackhand,
        Lane::Backhand,
        Lane::Middle,
        Lane::Elbow,
        Lane::Forehand,
        Lane::WideForehand,
    ];
    const DEPTHS: [Depth; 3] = [Depth::Short, Depth::HalfLong, Depth::Long];
    let here = |depth: Depth, lane: Lane| -> String {
        serves
            .iter()
            .enumerate()
            .filter(|(_, serve)| {
                (serve.lane.is_some() || serve.depth.is_some())
                    && serve.depth.unwrap_or(Depth::HalfLong) == depth
                    && serve.lane.unwrap_or(Lane::Middle) == lane
            })
            .map(|(place, _)| letter(place))
            .collect()
    };
    if DEPTHS.iter().all(|&depth| LANES.iter().all(|&lane| here(depth, lane).is_empty())) {
        return;
    }
    let rule = |edge: char| format!("  {} +{}+", " ".repeat(9), edge.to_string().repeat(36));
    lines.push(format!("{} net", rule('=')));
    for depth in DEPTHS {
        let cells: String = LANES.iter().map(|&lane| text::fit(&here(depth, lane), 6)).collect();
        lines.push(format!("  {} |{cells}|", text::fit(depth.shown(), 9)));
    }
    lines.push(rule('-'));
    lines.push(format!("  {}  backhand{}forehand", " ".repeat(9), " ".repeat(20)));
}

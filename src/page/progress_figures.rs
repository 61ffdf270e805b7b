//! The pictures of the progress page: each a drawing, one line of what to do, what its marks mean, and the numbers
//! behind it as a table.
//!
//! Built once from the document; the page only sets it. Names stand in the tables and keys, which the page escapes,
//! never in a drawing.

use crate::agenda::Part;
use serde::Serialize;

use crate::agenda::progress::{
    Advice, PatternRecall, Period, Progress, Recall, Step, SwitchCost, TABLE_DAYS, TableOf, Tempi,
    Windows,
};
use crate::base::{Day, text};
use crate::drill::LEAST_BALLS;
use crate::game::Hand;
use crate::page::chart::{Chart, Line, Mark, Point, Tone};
use crate::page::made_picture;
use crate::page::progress_scales::{across, around_zero, at, heights, shares};

/// Switches and opponents that get a picture of their own.
const OF_A_KIND: usize = 4;

/// A mark and what it means.
#[derive(Serialize)]
pub(super) struct Key {
    pub(super) mark: String,
    pub(super) words: String,
}

/// A drawing and what stands above it.
#[derive(Serialize)]
pub(super) struct Drawing {
    pub(super) caption: &'static str,
    /// SVG of our own making; nothing of a file stands in it.
    pub(super) svg: String,
}

/// One picture.
#[derive(Serialize)]
pub(super) struct Figure {
    pub(super) id: String,
    pub(super) title: String,
    pub(super) advice: Advice,
    /// None while there is nothing to draw.
    pub(super) drawings: Vec<Drawing>,
    pub(super) keys: Vec<Key>,
    /// How to read it.
    pub(super) note: String,
    pub(super) head: Vec<&'static str>,
    pub(super) rows: Vec<Vec<String>>,
}

/// A share as a whole number of a hundred.
pub(super) fn of_hundred(share: f64) -> String {
    format!("{:.0}", share * 100.0)
}

/// What the forecast looks towards, in words.
pub(super) fn towards(recall: &Recall) -> String {
    match &recall.event {
        Some(event) => format!("until {event}, {}", recall.until.spoken()),
        None => format!("until {}, no event ahead", recall.until.spoken()),
    }
}

/// The words for a pattern: serve, opponent where there are several, switch.
pub(super) fn pattern_words(progress: &Progress, pattern: &PatternRecall) -> String {
    let mut words = pattern.serve.clone();
    // The switch first: where there is little room it tells two rows apart.
    if let Part::Switch(name) = &pattern.part {
        words = format!("{words} (switch: {})", text::one_line(name));
    }
    if progress.opponent.is_none() {
        words = format!("{words}, {}", pattern.opponent);
    }
    words
}

/// How a pattern stands; what was wrong lately is said with its number.
pub(super) fn standing(pattern: &PatternRecall) -> String {
    match pattern.wrong_lately {
        Some((wrong, of)) => format!("wrong {wrong} of {of}"),
        None => pattern.standing.to_owned(),
    }
}

/// Why a forecast can stand high above answers that were wrong.
pub(super) const WRONG_LATELY: &str = "After a wrong answer the right one is shown, and the forecast counts on that:      only right answers against the clock prove it.";

/// Every picture, in the order of the page.
pub(super) fn figures(progress: &Progress) -> Vec<Figure> {
    let mut figures = vec![recall(progress), windows(&progress.windows), tempo(&progress.tempo)];
    for (place, cost) in progress.switches.costs.iter().take(OF_A_KIND).enumerate() {
        figures.push(switch(place, cost, progress.opponent.is_none()));
    }
    if let Some(advice) = &progress.switches.none {
        figures.push(empty("switch", "What a switch costs", advice));
    }
    for (place, table) in progress.table.opponents.iter().take(OF_A_KIND).enumerate() {
        figures.push(made(place, table, progress.table.hand));
    }
    if let Some(advice) = &progress.table.none {
        figures.push(empty("table", "Made and missed at the table", advice));
    }
    figures
}

impl Figure {
    fn draw(&mut self, caption: &'static str, chart: &Chart) {
        self.drawings.push(Drawing { caption, svg: chart.svg() });
    }

    /// Says what its marks mean.
    fn explain(&mut self, marks: &[(&str, &str)]) {
        self.keys = marks
            .iter()
            .map(|(mark, words)| Key { mark: (*mark).to_owned(), words: (*words).to_owned() })
            .collect();
    }
}

fn empty(id: &str, title: &str, advice: &Advice) -> Figure {
    Figure {
        id: id.to_owned(),
        title: title.to_owned(),
        advice: advice.clone(),
        drawings: Vec::new(),
        keys: Vec::new(),
        note: String::new(),
        head: Vec::new(),
        rows: Vec::new(),
    }
}

fn recall(progress: &Progress) -> Figure {
    let recall = &progress.recall;
    let drawn: Vec<&PatternRecall> = recall.drawn().collect();
    let mut figure = empty("recall", "Recall, if you stop here", &recall.advice);
    if !drawn.is_empty() {
        figure.note = format!(
            "Of 100, {}; the dashed line is the {} to be kept.",
            towards(recall),
            of_hundred(recall.target)
        );
        if recall.patterns.iter().any(|pattern| pattern.wrong_lately.is_some()) {
            figure.note = format!("{} {WRONG_LATELY}", figure.note);
        }
        let (across, labels) = across(&recall.days);
        let low = drawn.iter().flat_map(|pattern| &pattern.curve).copied().fold(1.0, f64::min);
        let floor = if low > 0.5 { 0.5 } else { 0.0 };
        figure.draw(
            "",
            &Chart {
                id: "recall".to_owned(),
                title: format!("Forecast of recall {}", towards(recall)),
                describes: format!(
                    "{} falling from today to the day that counts",
                    text::count(drawn.len(), "line")
                ),
                across,
                labels,
                up: (floor, 1.0),
                heights: shares().into_iter().filter(|(share, _)| *share >= floor).collect(),
                level: Some(recall.target),
                lines: drawn
                    .iter()
                    .enumerate()
                    .map(|(place, pattern)| Line {
                        tone: Tone::of_line(place),
                        mark: Mark::Letter(made_picture::letter(place)),
                        points: recall
                            .days
                            .iter()
                            .zip(&pattern.curve)
                            .map(|(&day, &share)| Point::at(at(day), share))
                            .collect(),
                    })
                    .collect(),
            },
        );
    }
    figure.keys = drawn
        .iter()
        .enumerate()
        .map(|(place, pattern)| Key {
            mark: made_picture::letter(place).to_string(),
            words: format!(
                "{}: {}, {} then",
                pattern_words(progress, pattern),
                pattern.receive,
                of_hundred(pattern.then)
            ),
        })
        .collect();
    figure.head = vec!["serve", "receive", "today", "then", "standing"];
    figure.rows = recall
        .patterns
        .iter()
        .map(|pattern| {
            vec![
                pattern_words(progress, pattern),
                pattern.receive.clone(),
                of_hundred(pattern.now),
                of_hundred(pattern.then),
                standing(pattern),
            ]
        })
        .collect();
    figure
}

fn each(step: Step) -> &'static str {
    match step {
        Step::Day => "day",
        Step::Week => "week from",
    }
}

fn windows(windows: &Windows) -> Figure {
    let mut figure = empty("windows", "Right, and right within the window", &windows.advice);
    let days: Vec<Day> = windows.periods.iter().map(|period| period.from).collect();
    let line = |tone, mark, share: fn(&Period) -> f64| Line {
        tone,
        mark,
        points: windows
            .periods
            .iter()
            .map(|period| Point::at(at(period.from), share(period)))
            .collect(),
    };
    if !days.is_empty() {
        let (across, labels) = across(&days);
        figure.draw(
            "",
            &Chart {
                id: "windows".to_owned(),
                title: format!("Share of answers within the window by {}", windows.step.word()),
                describes: "discs: right within the window; squares: right in whatever time"
                    .to_owned(),
                across,
                labels,
                up: (0.0, 1.0),
                heights: shares(),
                level: None,
                lines: vec![
                    line(Tone::Second, Mark::Square, Period::right_share),
                    line(Tone::First, Mark::Disc, Period::window_share),
                ],
            },
        );
        figure
            .explain(&[("●", "right within the window"), ("□", "right, within twice the window")]);
        figure.note = format!("Of 100 timed answers, by {}.", windows.step.word());
    }
    figure.head = vec![each(windows.step), "answers", "right", "in the window", "of 100"];
    figure.rows = windows
        .periods
        .iter()
        .map(|period| {
            vec![
                period.from.spoken(),
                period.answers.to_string(),
                period.right.to_string(),
                period.in_window.to_string(),
                of_hundred(period.window_share()),
            ]
        })
        .collect();
    figure
}

fn tempo(tempi: &Tempi) -> Figure {
    let mut figure = empty("tempo", "Tempo", &tempi.advice);
    let days: Vec<Day> = tempi.periods.iter().map(|period| period.from).collect();
    if !days.is_empty() {
        let (across, labels) = across(&days);
        let most = tempi.periods.iter().map(|period| period.permille).fold(1500.0, f64::max);
        let top = (most / 500.0).ceil() * 0.5;
        figure.draw(
            "",
            &Chart {
                id: "tempo".to_owned(),
                title: format!(
                    "Time for the decision, in times of a match, by {}",
                    tempi.step.word()
                ),
                describes: "full discs: where four in five were right; hollow ones: what was asked"
                    .to_owned(),
                across,
                labels,
                up: (0.9, top),
                heights: [1.0, 1.5, 2.0, 2.5, 3.0, 3.5, 4.0]
                    .into_iter()
                    .filter(|times| *times <= top)
                    .map(|times| (times, format!("{times:.1}")))
                    .collect(),
                level: Some(1.0),
                lines: vec![Line {
                    tone: Tone::First,
                    mark: Mark::Disc,
                    points: tempi
                        .periods
                        .iter()
                        .map(|period| Point {
                            is_hollow: !period.is_settled,
                            ..Point::at(at(period.from), period.permille / 1000.0)
                        })
                        .collect(),
                }],
            },
        );
        figure.explain(&[
            ("●", "where four in five were right in the window"),
            ("○", "too short a round for that: the middle of what was asked"),
        ]);
        "Times the time a match leaves for the decision; the dashed line is match speed. Lower is quicker."
            .clone_into(&mut figure.note);
    }
    figure.head = vec![each(tempi.step), "answers", "times", "turns behind it"];
    figure.rows = tempi
        .periods
        .iter()
        .map(|period| {
            vec![
                period.from.spoken(),
                period.answers.to_string(),
                format!("{:.2}", period.permille / 1000.0),
                if period.is_settled {
                    period.reversals.to_string()
                } else {
                    "not settled".to_owned()
                },
            ]
        })
        .collect();
    figure
}

fn switch(place: usize, cost: &SwitchCost, is_named: bool) -> Figure {
    let title = if is_named {
        format!("What the switch “{}” costs, against {}", cost.name, cost.opponent)
    } else {
        format!("What the switch “{}” costs", cost.name)
    };
    let mut figure = empty(&format!("switch-{place}"), &title, &cost.advice);
    let days: Vec<Day> = cost.weeks.iter().map(|week| week.from).collect();
    let parts: [(&str, &'static str, f64, f64, Vec<_>); 2] = [
        ("ms", "Milliseconds", 1.0, 20.0, cost.weeks.iter().map(|week| week.cost_ms).collect()),
        (
            "wrong",
            "Wrong answers of 100",
            0.01,
            0.05,
            cost.weeks.iter().map(|week| week.cost_wrong).collect(),
        ),
    ];
    for (word, caption, unit, room, measured) in parts {
        let shown: Vec<(Day, f64, usize)> = days
            .iter()
            .zip(&measured)
            .filter_map(|(&day, one)| Some((day, one.value?, one.balls)))
            .filter(|(.., balls)| *balls >= LEAST_BALLS)
            .collect();
        if shown.is_empty() {
            continue;
        }
        let values: Vec<f64> = shown.iter().map(|(_, value, _)| *value).collect();
        let up = around_zero(&values, room);
        let (across, labels) = across(&days);
        figure.draw(
            caption,
            &Chart {
                id: format!("switch-{place}-{word}"),
                title: format!("{caption} a switch costs, week by week"),
                describes: "a disc a week, the number of balls behind it above it".to_owned(),
                across,
                labels,
                up,
                heights: heights(up, unit),
                level: (up.0 < 0.0).then_some(0.0),
                lines: vec![Line {
                    tone: if word == "ms" { Tone::First } else { Tone::Second },
                    mark: Mark::Disc,
                    points: shown
                        .iter()
                        .map(|&(day, value, balls)| Point {
                            words: balls.to_string(),
                            ..Point::at(at(day), value)
                        })
                        .collect(),
                }],
            },
        );
    }
    figure.note = if figure.drawings.is_empty() {
        format!("Nothing is drawn with fewer than {LEAST_BALLS} balls behind a number.")
    } else {
        "Above each disc the balls behind it, never fewer than six. What the kept serves changed by is \
         taken off."
            .to_owned()
    };
    figure.head = vec!["week from", "ms", "balls", "wrong of 100", "balls", "old answers"];
    let number = |one: &crate::drill::Measured, times: f64| {
        one.value.map_or_else(|| "too few".to_owned(), |value| format!("{:+.0}", value * times))
    };
    figure.rows = cost
        .weeks
        .iter()
        .map(|week| {
            vec![
                week.from.spoken(),
                number(&week.cost_ms, 1.0),
                week.cost_ms.balls.to_string(),
                number(&week.cost_wrong, 100.0),
                week.cost_wrong.balls.to_string(),
                format!("{} of {}", week.old_answers, week.after),
            ]
        })
        .collect();
    figure
}

fn made(place: usize, table: &TableOf, hand: Hand) -> Figure {
    let title = format!("At the table against {}", table.opponent);
    let mut figure = empty(&format!("table-{place}"), &title, &table.advice);
    let svg = made_picture::svg(
        &format!("table-{place}"),
        "Made and missed where the serves come down",
        &table.serves,
        hand,
    );
    figure.drawings.push(Drawing { caption: "", svg });
    figure.note = format!(
        "The last {} weeks. The thick part of a ring was made; below it made/balls.",
        TABLE_DAYS / 7
    );
    figure.keys = table
        .serves
        .iter()
        .enumerate()
        .map(|(place, serve)| {
            let unknown = if serve.lane.is_none() && serve.depth.is_none() {
                " (not drawn: where it comes down is not known)"
            } else {
                ""
            };
            Key {
                mark: made_picture::letter(place).to_string(),
                words: format!("{}: {}{unknown}", serve.serve, serve.words),
            }
        })
        .collect();
    figure.head = vec!["serve", "receive", "made", "missed", "another receive", "of 100"];
    figure.rows = table
        .serves
        .iter()
        .map(|serve| {
            vec![
                serve.serve.clone(),
                serve.receives.join("; "),
                serve.made.to_string(),
                serve.missed.to_string(),
                serve.wrong.to_string(),
                serve.made_share().map(of_hundred).unwrap_or_default(),
            ]
        })
        .collect();
    figure
}

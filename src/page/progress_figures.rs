//! The pictures of the progress page: each a drawing, one line of what to do, what its marks mean,
//! and the numbers behind it as a table.
//!
//! Built once from the document; the page only sets it. Names stand in the tables and keys, which
//! the page escapes, never in a drawing.

use serde::Serialize;

use crate::agenda::progress::{
    Counsel, PatternRecall, Period, PeriodLength, Progress, SwitchCost, SwitchWeek, TABLE_DAYS,
    TableOf, Tempi, Windows,
};
use crate::base::text;
use crate::drill::{LEAST_BALLS, Measured};
use crate::game::Hand;
use crate::page::chart::{Chart, ChartLine, ChartPoint, PointMark, Tone};
use crate::page::made_picture;
use crate::page::numbers::of_hundred;
use crate::page::progress_scales::{around_zero, heights, shares};
use crate::page::progress_words::{
    AdviceLine, WRONG_LATELY, advice_line, pattern_words, standing, towards,
};

/// Switches and opponents that get a picture of their own.
const OF_A_KIND: usize = 4;

/// A mark and what it means.
#[derive(Serialize)]
struct Key {
    mark: String,
    words: String,
}

/// A drawing and what stands above it.
#[derive(Serialize)]
struct FigureDrawing {
    caption: &'static str,
    /// SVG of our own making; nothing of a file stands in it.
    svg: String,
}

/// One picture.
#[derive(Serialize)]
pub(super) struct Figure {
    id: String,
    title: String,
    advice: AdviceLine,
    /// None while there is nothing to draw.
    drawings: Vec<FigureDrawing>,
    keys: Vec<Key>,
    /// How to read it.
    note: String,
    head: Vec<&'static str>,
    rows: Vec<Vec<String>>,
}

/// A column of a table: its head, and the word of each row in it.
type Column<'a, T> = (&'static str, &'a dyn Fn(&T) -> String);

impl Figure {
    /// With a line and nothing to draw.
    fn new(id: impl Into<String>, title: impl Into<String>, counsel: &Counsel) -> Self {
        Self {
            id: id.into(),
            title: title.into(),
            advice: advice_line(counsel),
            drawings: Vec::new(),
            keys: Vec::new(),
            note: String::new(),
            head: Vec::new(),
            rows: Vec::new(),
        }
    }

    /// Draws a chart when it has a point.
    fn draw(&mut self, caption: &'static str, chart: &Chart) {
        if chart.lines.iter().any(|line| !line.points.is_empty()) {
            self.drawings.push(FigureDrawing { caption, svg: chart.svg() });
        }
    }

    /// Says how to read what is drawn.
    fn explain(&mut self, note: String, marks: &[(&str, &str)]) {
        if !self.drawings.is_empty() {
            let key = |(mark, words): &(&str, &str)| Key {
                mark: (*mark).to_owned(),
                words: (*words).to_owned(),
            };
            self.note = note;
            self.keys = marks.iter().map(key).collect();
        }
    }

    fn tabulate<T>(&mut self, rows: &[T], columns: &[Column<'_, T>]) {
        self.head = columns.iter().map(|(head, _)| *head).collect();
        let row = |row: &T| columns.iter().map(|(_, word)| word(row)).collect();
        self.rows = rows.iter().map(row).collect();
    }
}

/// Every picture, in the order of the page.
pub(super) fn figures(progress: &Progress) -> Vec<Figure> {
    let mut figures = vec![recall(progress), windows(&progress.windows), tempo(&progress.tempo)];
    let costs = progress.switches.costs.iter().take(OF_A_KIND).enumerate();
    figures.extend(costs.map(|(place, cost)| switch(place, cost, progress.opponent.is_none())));
    if let Some(none) = &progress.switches.none {
        figures.push(Figure::new("switch", "What a switch costs", none));
    }
    let tables = progress.table.opponents.iter().take(OF_A_KIND).enumerate();
    figures.extend(tables.map(|(place, table)| made(place, table, progress.table.hand)));
    if let Some(none) = &progress.table.none {
        figures.push(Figure::new("table", "Made and missed at the table", none));
    }
    figures
}

fn recall(progress: &Progress) -> Figure {
    let recall = &progress.recall;
    let drawn: Vec<&PatternRecall> = recall.drawn().collect();
    let mut figure = Figure::new("recall", "Recall, if you stop here", &recall.counsel);
    let low = drawn.iter().flat_map(|pattern| &pattern.curve).copied().fold(1.0, f64::min);
    let floor = if low > 0.5 { 0.5 } else { 0.0 };
    let line = |(place, pattern): (usize, &&PatternRecall)| ChartLine {
        tone: Tone::of_line(place),
        mark: PointMark::Letter(made_picture::letter(place)),
        points: recall
            .days
            .iter()
            .zip(&pattern.curve)
            .map(|(&day, &share)| ChartPoint::new(day, share))
            .collect(),
    };
    figure.draw(
        "",
        &Chart {
            id: "recall".to_owned(),
            title: format!("Forecast of recall {}", towards(recall)),
            describes: format!(
                "{} falling from today to the day that counts",
                text::count(drawn.len(), "line")
            ),
            days: recall.days.clone(),
            up: (floor, 1.0),
            heights: shares().into_iter().filter(|(share, _)| *share >= floor).collect(),
            level: Some(recall.target),
            lines: drawn.iter().enumerate().map(line).collect(),
        },
    );
    let mut note = format!(
        "Of 100, {}; the dashed line is the {} to be kept.",
        towards(recall),
        of_hundred(recall.target)
    );
    if recall.patterns.iter().any(|pattern| pattern.wrong_lately.is_some()) {
        note = format!("{note} {WRONG_LATELY}");
    }
    figure.explain(note, &[]);
    let key = |(place, pattern): (usize, &&PatternRecall)| {
        let (words, then) = (pattern_words(progress, pattern), of_hundred(pattern.then));
        Key {
            mark: made_picture::letter(place).to_string(),
            words: format!("{words}: {}, {then} then", pattern.receive),
        }
    };
    figure.keys = drawn.iter().enumerate().map(key).collect();
    figure.tabulate(
        &recall.patterns,
        &[
            ("serve", &|pattern| pattern_words(progress, pattern)),
            ("receive", &|pattern| pattern.receive.clone()),
            ("today", &|pattern| of_hundred(pattern.now)),
            ("then", &|pattern| of_hundred(pattern.then)),
            ("standing", &standing),
        ],
    );
    figure
}

fn each(step: PeriodLength) -> &'static str {
    match step {
        PeriodLength::Day => "day",
        PeriodLength::Week => "week from",
    }
}

fn windows(windows: &Windows) -> Figure {
    let mut figure = Figure::new("windows", "Right, and right within the window", &windows.counsel);
    let step = windows.step.word();
    let line = |tone, mark, share: fn(&Period) -> f64| {
        let point = |period: &Period| ChartPoint::new(period.from, share(period));
        ChartLine { tone, mark, points: windows.periods.iter().map(point).collect() }
    };
    figure.draw(
        "",
        &Chart {
            id: "windows".to_owned(),
            title: format!("Share of answers within the window by {step}"),
            describes: "discs: right within the window; squares: right in whatever time".to_owned(),
            days: windows.periods.iter().map(|period| period.from).collect(),
            up: (0.0, 1.0),
            heights: shares(),
            level: None,
            lines: vec![
                line(Tone::Second, PointMark::Square, Period::right_share),
                line(Tone::First, PointMark::Disc, Period::window_share),
            ],
        },
    );
    figure.explain(
        format!("Of 100 timed answers, by {step}."),
        &[("●", "right within the window"), ("□", "right, within twice the window")],
    );
    figure.tabulate(
        &windows.periods,
        &[
            (each(windows.step), &|period| period.from.spoken()),
            ("answers", &|period| period.answers.to_string()),
            ("right", &|period| period.right.to_string()),
            ("in the window", &|period| period.in_window.to_string()),
            ("of 100", &|period| of_hundred(period.window_share())),
        ],
    );
    figure
}

fn tempo(tempi: &Tempi) -> Figure {
    let mut figure = Figure::new("tempo", "Tempo", &tempi.counsel);
    let most = tempi.periods.iter().map(|period| period.permille).fold(1500.0, f64::max);
    let top = (most / 500.0).ceil() * 0.5;
    let points = tempi.periods.iter().map(|period| ChartPoint {
        is_hollow: !period.is_settled,
        ..ChartPoint::new(period.from, period.permille / 1000.0)
    });
    figure.draw(
        "",
        &Chart {
            id: "tempo".to_owned(),
            title: format!("Time for the decision, in times of a match, by {}", tempi.step.word()),
            describes: "full discs: where four in five were right; hollow ones: what was asked"
                .to_owned(),
            days: tempi.periods.iter().map(|period| period.from).collect(),
            up: (0.9, top),
            heights: [1.0, 1.5, 2.0, 2.5, 3.0, 3.5, 4.0]
                .into_iter()
                .filter(|times| *times <= top)
                .map(|times| (times, format!("{times:.1}")))
                .collect(),
            level: Some(1.0),
            lines: vec![ChartLine {
                tone: Tone::First,
                mark: PointMark::Disc,
                points: points.collect(),
            }],
        },
    );
    figure.explain(
        "Times the time a match leaves for the decision; the dashed line is match speed. Lower is \
         quicker."
            .to_owned(),
        &[
            ("●", "where four in five were right in the window"),
            ("○", "too short a round for that: the middle of what was asked"),
        ],
    );
    figure.tabulate(
        &tempi.periods,
        &[
            (each(tempi.step), &|period| period.from.spoken()),
            ("answers", &|period| period.answers.to_string()),
            ("times", &|period| format!("{:.2}", period.permille / 1000.0)),
            ("turns behind it", &|period| {
                if period.is_settled {
                    period.reversals.to_string()
                } else {
                    "not settled".to_owned()
                }
            }),
        ],
    );
    figure
}

/// One measure of a switch week by week: what a unit of its scale is worth, the least room above
/// it.
struct SwitchMeasure {
    word: &'static str,
    caption: &'static str,
    tone: Tone,
    unit: f64,
    least_room: f64,
    measured: fn(&SwitchWeek) -> Measured,
}

const SWITCH_MEASURES: [SwitchMeasure; 2] = [
    SwitchMeasure {
        word: "ms",
        caption: "Milliseconds",
        tone: Tone::First,
        unit: 1.0,
        least_room: 20.0,
        measured: |week| week.cost_ms,
    },
    SwitchMeasure {
        word: "wrong",
        caption: "Wrong answers of 100",
        tone: Tone::Second,
        unit: 0.01,
        least_room: 0.05,
        measured: |week| week.cost_wrong,
    },
];

impl SwitchMeasure {
    fn chart(&self, place: usize, weeks: &[SwitchWeek]) -> Chart {
        let point = |week: &SwitchWeek| {
            let Measured { value, balls } = (self.measured)(week);
            let value = value.filter(|_| balls >= LEAST_BALLS)?;
            Some(ChartPoint { words: balls.to_string(), ..ChartPoint::new(week.from, value) })
        };
        let points: Vec<ChartPoint> = weeks.iter().filter_map(point).collect();
        let up = around_zero(points.iter().map(|point| point.up), self.least_room);
        Chart {
            id: format!("switch-{place}-{}", self.word),
            title: format!("{} a switch costs, week by week", self.caption),
            describes: "a disc a week, the number of balls behind it above it".to_owned(),
            days: weeks.iter().map(|week| week.from).collect(),
            up,
            heights: heights(up, self.unit),
            level: (up.0 < 0.0).then_some(0.0),
            lines: vec![ChartLine { tone: self.tone, mark: PointMark::Disc, points }],
        }
    }
}

fn switch(place: usize, cost: &SwitchCost, is_named: bool) -> Figure {
    let whose = if is_named { format!(", against {}", cost.opponent) } else { String::new() };
    let title = format!("What the switch “{}” costs{whose}", cost.name);
    let mut figure = Figure::new(format!("switch-{place}"), title, &cost.counsel);
    for measure in &SWITCH_MEASURES {
        figure.draw(measure.caption, &measure.chart(place, &cost.weeks));
    }
    figure.note = if figure.drawings.is_empty() {
        format!("Nothing is drawn with fewer than {LEAST_BALLS} balls behind a number.")
    } else {
        "Above each disc the balls behind it, never fewer than six. What the kept serves changed by \
         is taken off."
            .to_owned()
    };
    let number = |one: &Measured, times: f64| {
        one.value.map_or_else(|| "too few".to_owned(), |value| format!("{:+.0}", value * times))
    };
    figure.tabulate(
        &cost.weeks,
        &[
            ("week from", &|week| week.from.spoken()),
            ("ms", &|week| number(&week.cost_ms, 1.0)),
            ("balls", &|week| week.cost_ms.balls.to_string()),
            ("wrong of 100", &|week| number(&week.cost_wrong, 100.0)),
            ("balls", &|week| week.cost_wrong.balls.to_string()),
            ("old answers", &|week| format!("{} of {}", week.old_answers, week.after)),
        ],
    );
    figure
}

fn made(place: usize, table: &TableOf, hand: Hand) -> Figure {
    let id = format!("table-{place}");
    let title = format!("At the table against {}", table.opponent);
    let mut figure = Figure::new(&id, title, &table.counsel);
    let says = "Made and missed where the serves come down";
    let svg = made_picture::svg(&id, says, &table.serves, hand);
    figure.drawings.push(FigureDrawing { caption: "", svg });
    figure.note = format!(
        "The last {} weeks. The thick part of a ring was made; below it made/balls.",
        TABLE_DAYS / 7
    );
    for (place, serve) in table.serves.iter().enumerate() {
        let unknown = if serve.lane.is_none() && serve.depth.is_none() {
            " (not drawn: where it comes down is not known)"
        } else {
            ""
        };
        figure.keys.push(Key {
            mark: made_picture::letter(place).to_string(),
            words: format!("{}: {}{unknown}", serve.serve, serve.words),
        });
    }
    figure.tabulate(
        &table.serves,
        &[
            ("serve", &|serve| serve.serve.clone()),
            ("receive", &|serve| serve.receives.join("; ")),
            ("made", &|serve| serve.made.to_string()),
            ("missed", &|serve| serve.missed.to_string()),
            ("another receive", &|serve| serve.wrong.to_string()),
            ("of 100", &|serve| serve.made_share().map(of_hundred).unwrap_or_default()),
        ],
    );
    figure
}

//! The drawings of the progress page. Names stand in its tables and keys, which the page escapes,
//! never in a drawing.

use serde::Serialize;

use crate::agenda::progress::{
    PatternRecall, Period, Progress, SwitchCost, SwitchWeek, TableOf, Tempi, Windows,
};
use crate::base::text;
use crate::drill::{LEAST_BALLS, Measured};
use crate::page::chart::{Chart, ChartLine, ChartPoint, PointMark, Tone};
use crate::page::made_picture;
use crate::page::numbers::{mark, of_hundred};
use crate::page::progress_words::towards;

/// Switches and opponents that get a picture of their own.
const OF_A_KIND: usize = 4;

/// What stands above a drawing, and its SVG of our own making: nothing of a file stands in it.
type Drawing = (&'static str, String);

/// The drawings of every picture; none while there is nothing to draw.
#[derive(Serialize)]
pub(super) struct Drawings {
    recall: Vec<Drawing>,
    windows: Vec<Drawing>,
    tempo: Vec<Drawing>,
    switches: Vec<Vec<Drawing>>,
    tables: Vec<Vec<Drawing>>,
}

/// Draws every picture.
pub(super) fn drawings(progress: &Progress) -> Drawings {
    let costs = progress.switches.costs.iter().take(OF_A_KIND).enumerate();
    let tables = progress.table.opponents.iter().take(OF_A_KIND).enumerate();
    let switch = |(place, cost): (usize, &SwitchCost)| {
        let of_measure =
            |measure: &SwitchMeasure| (measure.caption, measure.chart(place, &cost.weeks));
        drawn(SWITCH_MEASURES.iter().map(of_measure))
    };
    let made = |(place, table): (usize, &TableOf)| {
        let says = "Made and missed where the serves come down";
        let id = format!("table-{place}");
        vec![("", made_picture::svg(&id, says, &table.serves, progress.table.hand))]
    };
    Drawings {
        recall: drawn([("", recall(progress))]),
        windows: drawn([("", windows(&progress.windows))]),
        tempo: drawn([("", tempo(&progress.tempo))]),
        switches: costs.map(switch).collect(),
        tables: tables.map(made).collect(),
    }
}

/// The charts that have a point.
fn drawn(charts: impl IntoIterator<Item = (&'static str, Chart)>) -> Vec<Drawing> {
    let has_point = |chart: &Chart| chart.lines.iter().any(|line| !line.points.is_empty());
    charts
        .into_iter()
        .filter(|(_, chart)| has_point(chart))
        .map(|(caption, chart)| (caption, chart.svg()))
        .collect()
}

fn recall(progress: &Progress) -> Chart {
    let recall = &progress.recall;
    let lowest = recall.drawn().flat_map(|pattern| &pattern.curve).copied().fold(1.0, f64::min);
    let floor = if lowest > 0.5 { 0.5 } else { 0.0 };
    let line = |(place, pattern): (usize, &PatternRecall)| ChartLine {
        tone: Tone::of_line(place),
        mark: PointMark::Letter(mark(place)),
        points: recall
            .days
            .iter()
            .zip(&pattern.curve)
            .map(|(&day, &share)| ChartPoint::new(day, share))
            .collect(),
    };
    let lines = text::count(recall.drawn().count(), "line");
    Chart {
        id: "recall".to_owned(),
        title: format!("Forecast of recall {}", towards(recall)),
        describes: format!("{lines} falling from today to the day that counts"),
        days: recall.days.clone(),
        up: (floor, 1.0),
        heights: shares(floor),
        level: Some(recall.target),
        lines: recall.drawn().enumerate().map(line).collect(),
    }
}

fn windows(windows: &Windows) -> Chart {
    let line = |tone, mark, share: fn(&Period) -> f64| {
        let point = |period: &Period| ChartPoint::new(period.from, share(period));
        ChartLine { tone, mark, points: windows.periods.iter().map(point).collect() }
    };
    Chart {
        id: "windows".to_owned(),
        title: format!("Share of answers in time by {}", windows.step.word()),
        describes: "discs: right in time; squares: right in whatever time".to_owned(),
        days: windows.periods.iter().map(|period| period.from).collect(),
        up: (0.0, 1.0),
        heights: shares(0.0),
        level: None,
        lines: vec![
            line(Tone::Second, PointMark::Square, Period::right_share),
            line(Tone::First, PointMark::Disc, Period::window_share),
        ],
    }
}

/// The heights of a share from a floor on: quarters up to 100.
fn shares(floor: f64) -> Vec<(f64, String)> {
    let quarters = [0.0, 0.25, 0.5, 0.75, 1.0].into_iter().filter(|share| *share >= floor);
    quarters.map(|share| (share, of_hundred(share))).collect()
}

fn tempo(tempi: &Tempi) -> Chart {
    let most = tempi.periods.iter().map(|period| period.permille).fold(1500.0, f64::max);
    let top = (most / 500.0).ceil() * 0.5;
    let points = tempi.periods.iter().map(|period| ChartPoint {
        is_hollow: !period.is_settled,
        ..ChartPoint::new(period.from, period.permille / 1000.0)
    });
    let heights = [1.0, 1.5, 2.0, 2.5, 3.0, 3.5, 4.0].into_iter().filter(|times| *times <= top);
    Chart {
        id: "tempo".to_owned(),
        title: format!("Time for the decision, in times of a match, by {}", tempi.step.word()),
        describes: "full discs: where four in five were right; hollow ones: what was asked"
            .to_owned(),
        days: tempi.periods.iter().map(|period| period.from).collect(),
        up: (0.9, top),
        heights: heights.map(|times| (times, format!("{times:.1}"))).collect(),
        level: Some(1.0),
        lines: vec![ChartLine {
            tone: Tone::First,
            mark: PointMark::Disc,
            points: points.collect(),
        }],
    }
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
        // Zero is among the heights, with a little room around the values.
        let low = points.iter().map(|point| point.up).fold(0.0, f64::min);
        let high = points.iter().map(|point| point.up).fold(0.0, f64::max);
        let room = ((high - low) * 0.2).max(self.least_room);
        let up = (if low < 0.0 { low - room } else { 0.0 }, high + room);
        Chart {
            id: format!("switch-{place}-{}", self.word),
            title: format!("{} a switch costs, week by week", self.caption),
            describes: "a disc a week, the number of balls behind it above it".to_owned(),
            days: weeks.iter().map(|week| week.from).collect(),
            up,
            heights: self.heights(up),
            level: (up.0 < 0.0).then_some(0.0),
            lines: vec![ChartLine { tone: self.tone, mark: PointMark::Disc, points }],
        }
    }

    /// A number of a few heights: zero, the ends, rounded to a step that suits the reach.
    fn heights(&self, up: (f64, f64)) -> Vec<(f64, String)> {
        let reach = (up.1 - up.0) / self.unit;
        let step = [1.0, 2.0, 5.0, 10.0, 20.0, 50.0, 100.0, 200.0, 500.0]
            .into_iter()
            .find(|step| reach / step <= 5.0)
            .unwrap_or(1000.0);
        (-20..=20)
            .map(|nth| f64::from(nth) * step)
            .filter(|at| (up.0..=up.1).contains(&(at * self.unit)))
            .map(|at| (at * self.unit, format!("{at:+.0}").replace("+0", "0")))
            .collect()
    }
}

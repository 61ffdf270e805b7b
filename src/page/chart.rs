//! A chart as SVG: lines over time with marks, a level to reach, labels of our own.
//!
//! The chart library draws with placeholder colours; they become the page's own variables, so that
//! one picture serves light, dark and paper. No text of a file ever stands in a chart: lines carry
//! letters, their names stand beside it on the page.

use std::ops::Range;

use plotters::coord::Shift;
use plotters::coord::ranged1d::{DefaultFormatting, KeyPointHint, Ranged};
use plotters::prelude::{
    Cartesian2d, ChartBuilder, ChartContext, Circle, Color, DrawingArea, EmptyElement,
    IntoDrawingArea, IntoFont, LineSeries, PathElement, RGBColor, Rectangle, SVGBackend,
    ShapeStyle, Text, TextStyle,
};
use plotters::style::text_anchor::{HPos, Pos, VPos};

use crate::base::Day;

/// Size of a chart in its own units; the page scales it.
const SIZE: (u32, u32) = (420, 250);
/// Size of the type in a chart.
const TYPE: i32 = 15;
/// Least room between two letters at the ends of lines.
const LETTER_GAP: i32 = 17;
/// Labels across at most.
const LABELS: usize = 5;
/// How far above the lower edge a letter stays.
const LOWEST: i32 = 34;

/// What a colour of a chart stands for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Tone {
    Ink,
    /// Lines to read a height by.
    Grid,
    Paper,
    First,
    Second,
    Third,
    Fourth,
}

impl Tone {
    const ALL: [(Self, &'static str); 7] = [
        (Self::Ink, "currentColor"),
        (Self::Grid, "var(--grid)"),
        (Self::Paper, "var(--card)"),
        (Self::First, "var(--first)"),
        (Self::Second, "var(--second)"),
        (Self::Third, "var(--third)"),
        (Self::Fourth, "var(--fourth)"),
    ];

    /// The tone of the n-th line.
    pub(super) const fn of_line(place: usize) -> Self {
        [Self::First, Self::Second, Self::Third, Self::Fourth][place % 4]
    }

    /// The placeholder by which a tone is found again in the library's text.
    const fn placeholder(self) -> RGBColor {
        RGBColor(1, 2, 10 + self as u8)
    }

    fn letters(self) -> TextStyle<'static> {
        ("sans-serif", TYPE).into_font().color(&self.placeholder())
    }
}

/// The mark at a point.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum PointMark {
    /// None; the line ends in its letter.
    Letter(char),
    Disc,
    /// A hollow one.
    Square,
}

/// One point: whether its mark is hollow, a few words of ours above it.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct ChartPoint {
    pub(super) day: Day,
    pub(super) up: f64,
    pub(super) is_hollow: bool,
    pub(super) words: String,
}

impl ChartPoint {
    pub(super) const fn new(day: Day, up: f64) -> Self {
        Self { day, up, is_hollow: false, words: String::new() }
    }

    fn at(&self) -> (f64, f64) {
        (across(self.day), self.up)
    }
}

/// A line of points.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct ChartLine {
    pub(super) tone: Tone,
    pub(super) mark: PointMark,
    pub(super) points: Vec<ChartPoint>,
}

/// A chart over days.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Chart {
    /// Word for its ids, unique on the page.
    pub(super) id: String,
    /// What it shows, for those who do not see it.
    pub(super) title: String,
    /// What there is to see in it.
    pub(super) describes: String,
    /// The days across, oldest first; a few get a label.
    pub(super) days: Vec<Day>,
    /// Least and most up, and the heights with a label.
    pub(super) up: (f64, f64),
    pub(super) heights: Vec<(f64, String)>,
    /// A level drawn as a dashed line.
    pub(super) level: Option<f64>,
    pub(super) lines: Vec<ChartLine>,
}

fn across(day: Day) -> f64 {
    f64::from(day.number())
}

/// The axis of some days with a few labels; never of no width.
fn days_across(days: &[Day]) -> Axis {
    let first = days.first().map_or(0.0, |&day| across(day));
    let last = days.last().map_or(1.0, |&day| across(day));
    let room = if last > first { (last - first) * 0.03 } else { 1.0 };
    let every = days.len().div_ceil(LABELS).max(1);
    // From the newest backwards: the last day is the one that matters.
    let labelled = days.iter().rev().step_by(every);
    let label = |&day: &Day| (across(day), day.date().format("%-d %b").to_string());
    Axis { reach: (first - room, last + room), labels: labelled.map(label).collect() }
}

/// An axis with labels exactly where they are wanted.
#[derive(Clone)]
struct Axis {
    reach: (f64, f64),
    labels: Vec<(f64, String)>,
}

impl Axis {
    fn label(&self, at: f64) -> String {
        let found = self.labels.iter().find(|(place, _)| (place - at).abs() < 1e-9);
        found.map(|(_, words)| words.clone()).unwrap_or_default()
    }
}

impl Ranged for Axis {
    type FormatOption = DefaultFormatting;
    type ValueType = f64;

    #[expect(
        clippy::cast_possible_truncation,
        reason = "a place in a picture of some hundred units"
    )]
    fn map(&self, value: &f64, limit: (i32, i32)) -> i32 {
        let share = (value - self.reach.0) / (self.reach.1 - self.reach.0);
        (share.mul_add(f64::from(limit.1 - limit.0), f64::from(limit.0))).round() as i32
    }

    fn key_points<Hint: KeyPointHint>(&self, hint: Hint) -> Vec<f64> {
        if hint.weight().allow_light_points() {
            return Vec::new();
        }
        self.labels.iter().map(|(at, _)| *at).collect()
    }

    fn range(&self) -> Range<f64> {
        self.reach.0..self.reach.1
    }
}

type Area<'a> = DrawingArea<SVGBackend<'a>, Shift>;
type Context<'a, 'b> = ChartContext<'a, SVGBackend<'b>, Cartesian2d<Axis, Axis>>;
type Drawn = Result<(), Box<dyn std::error::Error>>;

impl Chart {
    /// The chart as one SVG element; empty when the library cannot draw it, which writing to memory
    /// excludes.
    pub(super) fn svg(&self) -> String {
        let mut text = String::new();
        let drawn = self.draw(&SVGBackend::with_string(&mut text, SIZE).into_drawing_area());
        if drawn.is_err() {
            return String::new();
        }
        for (tone, paint) in Tone::ALL {
            let RGBColor(red, green, blue) = tone.placeholder();
            text = text.replace(&format!("#{red:02X}{green:02X}{blue:02X}"), paint);
        }
        let inside = text.split_once('>').map_or("", |(_, inside)| inside).trim_start();
        format!("{}{inside}", head(&self.id, SIZE, &self.title, &self.describes))
    }

    fn draw(&self, area: &Area<'_>) -> Drawn {
        let style =
            |tone: Tone, width: u32| ShapeStyle::from(&tone.placeholder()).stroke_width(width);
        let days = days_across(&self.days);
        let heights = Axis { reach: self.up, labels: self.heights.clone() };
        let has_letters = self.lines.iter().any(|line| matches!(line.mark, PointMark::Letter(_)));
        let mut chart: Context<'_, '_> = ChartBuilder::on(area)
            .margin_top(20)
            .margin_right(if has_letters { 36 } else { 26 })
            .x_label_area_size(30)
            .y_label_area_size(48)
            .build_cartesian_2d(days.clone(), heights.clone())?;
        chart
            .configure_mesh()
            .disable_x_mesh()
            .bold_line_style(style(Tone::Grid, 1))
            .light_line_style(Tone::Grid.placeholder().mix(0.0))
            .axis_style(style(Tone::Ink, 1))
            .label_style(Tone::Ink.letters())
            .x_labels(days.labels.len())
            .y_labels(heights.labels.len())
            .x_label_formatter(&|at| days.label(*at))
            .y_label_formatter(&|at| heights.label(*at))
            .draw()?;
        if let Some(level) = self.level {
            let (from, to) = days.reach;
            let dash = (to - from) / 60.0;
            let dashes = (0..30).map(|nth| {
                let start = dash.mul_add(2.0 * f64::from(nth), from);
                PathElement::new([(start, level), (start + dash, level)], style(Tone::Ink, 1))
            });
            chart.draw_series(dashes)?;
        }
        for line in &self.lines {
            chart.draw_series(LineSeries::new(
                line.points.iter().map(ChartPoint::at),
                style(line.tone, 2),
            ))?;
            Self::marks(&mut chart, line)?;
        }
        self.letters(area, &chart)?;
        area.present()?;
        Ok(())
    }

    fn marks(chart: &mut Context<'_, '_>, line: &ChartLine) -> Drawn {
        let full = ShapeStyle::from(&line.tone.placeholder());
        let paper = Tone::Paper.placeholder().filled();
        let words = Tone::Ink.letters().pos(Pos::new(HPos::Center, VPos::Bottom));
        for point in &line.points {
            let is_full = line.mark == PointMark::Disc && !point.is_hollow;
            for style in [if is_full { full.filled() } else { paper }, full.stroke_width(2)] {
                match line.mark {
                    PointMark::Letter(_) => {}
                    PointMark::Disc => {
                        chart.draw_series([Circle::new(point.at(), 5, style)])?;
                    }
                    PointMark::Square => {
                        let square = Rectangle::new([(-4, -4), (4, 4)], style);
                        chart.draw_series([EmptyElement::at(point.at()) + square])?;
                    }
                }
            }
            if !point.words.is_empty() {
                let text = Text::new(point.words.clone(), (0, -7), words.clone());
                chart.draw_series([EmptyElement::at(point.at()) + text])?;
            }
        }
        Ok(())
    }

    /// The letters at the right ends of the lines, moved apart where they would cover each other.
    fn letters(&self, area: &Area<'_>, chart: &Context<'_, '_>) -> Drawn {
        let mut ends: Vec<(i32, i32, i32, char, Tone)> = Vec::new();
        for line in &self.lines {
            let (PointMark::Letter(letter), Some(last)) = (line.mark, line.points.last()) else {
                continue;
            };
            let (x, y) = chart.backend_coord(&last.at());
            ends.push((y, x, y, letter, line.tone));
        }
        ends.sort_by_key(|end| end.0);
        for place in 1..ends.len() {
            ends[place].0 = ends[place].0.max(ends[place - 1].0 + LETTER_GAP);
        }
        // Pushed below the picture: as many as need it move up again.
        let mut lowest = i32::try_from(SIZE.1).unwrap_or(0) - LOWEST;
        for end in ends.iter_mut().rev() {
            end.0 = end.0.min(lowest);
            lowest = end.0 - LETTER_GAP;
        }
        for (y, x, end_y, letter, tone) in ends {
            let paint = ShapeStyle::from(&tone.placeholder()).stroke_width(1);
            area.draw(&PathElement::new([(x, end_y), (x + 12, y)], paint))?;
            let style = tone.letters().pos(Pos::new(HPos::Left, VPos::Center));
            area.draw(&Text::new(letter.to_string(), (x + 15, y), style))?;
        }
        Ok(())
    }
}

/// The opening of a picture: scaled by the page, with a title and a description.
pub(super) fn head(id: &str, (width, height): (u32, u32), title: &str, describes: &str) -> String {
    let (title, describes) = (super::template::escaped(title), super::template::escaped(describes));
    format!(
        "<svg viewBox=\"0 0 {width} {height}\" role=\"img\" aria-labelledby=\"{id}-title {id}-says\">\
         <title id=\"{id}-title\">{title}</title><desc id=\"{id}-says\">{describes}</desc>\n"
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    fn day(text: &str) -> Day {
        text.parse().unwrap()
    }

    fn chart() -> Chart {
        Chart {
            id: "one".to_owned(),
            title: "a <title>".to_owned(),
            describes: "two lines".to_owned(),
            days: vec![day("2026-11-23"), day("2026-12-03")],
            up: (0.0, 1.0),
            heights: vec![(0.0, "0".to_owned()), (1.0, "100".to_owned())],
            level: Some(0.9),
            lines: ['A', 'B']
                .into_iter()
                .enumerate()
                .map(|(place, letter)| ChartLine {
                    tone: Tone::of_line(place),
                    mark: PointMark::Letter(letter),
                    points: vec![
                        ChartPoint::new(day("2026-11-23"), 1.0),
                        ChartPoint::new(day("2026-12-03"), 0.5),
                    ],
                })
                .collect(),
        }
    }

    #[test]
    fn a_chart_has_no_colour_of_its_own_and_says_what_it_shows() {
        let svg = chart().svg();
        assert!(svg.starts_with("<svg viewBox=\"0 0 420 250\" role=\"img\""), "{svg}");
        assert!(svg.contains("<title id=\"one-title\">a &lt;title&gt;</title>"), "{svg}");
        assert!(!svg.contains("=\"#"), "a placeholder was left: {svg}");
        assert!(svg.contains("var(--first)") && svg.contains("currentColor"));
        for label in ["23 Nov", "3 Dec", "100"] {
            assert!(svg.contains(&format!("\n{label}\n")), "{label}: {svg}");
        }
        assert!(svg.trim_end().ends_with("</svg>"));
    }

    #[test]
    fn letters_at_one_height_are_moved_apart() {
        let svg = chart().svg();
        let height = |letter: char| -> i32 {
            let (before, _) = svg.split_once(&format!("\n{letter}\n")).unwrap();
            let tag = &before[before.rfind("<text").unwrap()..];
            let (_, rest) = tag.split_once(" y=\"").unwrap();
            rest.split('"').next().unwrap().parse().unwrap()
        };
        assert!((height('A') - height('B')).abs() >= LETTER_GAP);
    }
}

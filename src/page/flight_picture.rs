//! A flight drawn from the side and from above, for a terminal and as SVG.
//!
//! Both renderers read the same points. Seen from the side the receiver is on the right; from above
//! the launcher is on the left and its left hand points up, as if one stood beside the table.

use serde_json::json;

use crate::base::text;
use crate::flight::constants::{END_LINE_X_M, SIDE_LINE_Y_M};
use crate::flight::path::{Path, Sample};
use crate::game::{NET_HEIGHT_M, NET_X_M};
use crate::page::template::drawn;

/// The part of the hall that is drawn, metres along the table.
const ALONG_M: (f64, f64) = (-0.6, 3.4);
/// The height that is drawn at least, metres.
const HIGH_M: f64 = 0.30;
/// Rows from the side, the table's own row not counted.
const SIDE_ROWS: usize = 7;
/// Rows from above.
const ABOVE_ROWS: usize = 11;

/// The points of a path up to a little beyond the bounce that makes its depth.
fn points(path: &Path) -> &[Sample] {
    let end = path.samples.partition_point(|sample| sample.position_m[0] <= ALONG_M.1);
    &path.samples[..end]
}

/// The height drawn, metres: enough for the highest point, at most 1.2.
fn top_m(path: &Path) -> f64 {
    points(path).iter().map(|sample| sample.position_m[2]).fold(HIGH_M, f64::max).min(1.2)
}

/// The pictures for a terminal of this width: from the side, then from above. `o` is the ball,
/// every 10 ms or so; digits are bounces.
pub fn terminal(path: &Path, width: usize) -> String {
    let columns = width.saturating_sub(2).clamp(40, 78);
    let along = |place: f64| ALONG_M.0 + (ALONG_M.1 - ALONG_M.0) * place / (columns - 1) as f64;
    let column = |x_m: f64| (x_m - ALONG_M.0) / (ALONG_M.1 - ALONG_M.0) * (columns - 1) as f64;
    let ball = || points(path).iter().map(|sample| sample.position_m);
    let bounces = || path.bounces.iter().map(|bounce| bounce.before.position_m).zip('1'..='9');

    let (top_m, surface) = (top_m(path), SIDE_ROWS as f64);
    let row = |z_m: f64| (1.0 - z_m / top_m) * (surface - 1.0);
    let places = (0..columns).map(|place| place as f64);
    let table = places.filter(|&place| (0.0..=END_LINE_X_M).contains(&along(place)));
    let table = table.map(|place| (surface, place, '='));
    let net = (0..=8).map(|step| NET_HEIGHT_M * f64::from(step) / 8.0);
    let net = net.map(|z_m| (row(z_m), column(NET_X_M), '|'));
    let flown = ball().map(|[x_m, _, z_m]| (row(z_m).min(surface - 1.0), column(x_m), 'o'));
    let touched = bounces().map(|([x_m, ..], digit)| (surface, column(x_m), digit));
    let marks = table.chain(net).chain(flown).chain(touched);
    let side = drawn_in_letters(SIDE_ROWS + 1, columns, marks);

    let row = |y_m: f64| (1.0 - y_m / 0.9) * (ABOVE_ROWS - 1) as f64 / 2.0;
    let table = (0..=120).flat_map(|place| {
        let at = column(END_LINE_X_M * f64::from(place) / 120.0);
        [(SIDE_LINE_Y_M, '-'), (-SIDE_LINE_Y_M, '-'), (0.0, '.')]
            .map(|(y_m, of)| (row(y_m), at, of))
    });
    let net = (-20..=20).flat_map(|step| {
        let at = row(SIDE_LINE_Y_M * f64::from(step) / 20.0);
        [0.0, NET_X_M, END_LINE_X_M].map(|x_m| (at, column(x_m), '|'))
    });
    let flown = ball().map(|[x_m, y_m, _]| (row(y_m), column(x_m), 'o'));
    let touched = bounces().map(|([x_m, y_m, _], digit)| (row(y_m), column(x_m), digit));
    let marks = table.chain(net).chain(flown).chain(touched);
    let above = drawn_in_letters(ABOVE_ROWS, columns, marks);
    format!("from the side\n{side}from above\n{above}")
}

/// Letters at rows and columns; of two at one place the later one.
pub(super) fn drawn_in_letters(
    rows: usize,
    columns: usize,
    marks: impl Iterator<Item = (f64, f64, char)>,
) -> String {
    let mut grid = vec![vec![' '; columns]; rows];
    for (row, column, letter) in marks.filter(|&(row, column, _)| row >= -0.5 && column >= -0.5) {
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "not negative and far below the limits of the type"
        )]
        let (row, column) = (row.round() as usize, column.round() as usize);
        if let Some(place) = grid.get_mut(row).and_then(|cells| cells.get_mut(column)) {
            *place = letter;
        }
    }
    let lines = grid.into_iter().map(|row| format!("  {}", String::from_iter(row)));
    lines.map(|line| line.trim_end().to_owned() + "\n").collect()
}

/// Pixels for a metre.
const SCALE: f64 = 200.0;

/// The same as one SVG picture, 820 units wide, with a title for those who cannot see it.
pub fn svg(path: &Path, title: &str) -> String {
    let floor = 40.0 + top_m(path) * SCALE;
    let middle = floor + 60.0 + SIDE_LINE_Y_M * SCALE;
    let x = |x_m: f64| 10.0 + (x_m - ALONG_M.0) * SCALE;
    let view = |across: &dyn Fn([f64; 3]) -> f64| {
        let place = |at: [f64; 3]| (x(at[0]), across(at));
        let line = points(path).iter().map(|sample| place(sample.position_m));
        let bounces = (1..).zip(&path.bounces).filter(|(_, bounce)| bounce.x_m() <= ALONG_M.1);
        let bounces = bounces.map(|(number, bounce)| {
            let (x, y) = place(bounce.before.position_m);
            (number, x, y)
        });
        json!({
            "line": line.collect::<Vec<_>>(),
            "bounces": bounces.collect::<Vec<(u32, f64, f64)>>(),
        })
    };
    let views =
        [view(&|[_, _, z_m]| floor - z_m * SCALE), view(&|[_, y_m, _]| middle - y_m * SCALE)];
    let title = text::one_line(title);
    let drawing = json!({ "title": title, "floor": floor, "middle": middle, "views": views });
    drawn(include_str!("templates/launcher/flight.svg"), &drawing)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::flight::{Constants, Launch, SpinRate, Until, fly};

    fn path() -> Path {
        let launch = Launch {
            outlet_m: [-0.1, 0.0, 0.2],
            speed_m_s: 5.3,
            elevation_deg: -16.0,
            azimuth_deg: 0.0,
            spin: SpinRate::top(-40.0),
        };
        fly(&launch, &Constants::default(), Until::default()).unwrap()
    }

    #[test]
    fn the_picture_keeps_within_its_width_and_shows_every_bounce() {
        let shown = terminal(&path(), 80);
        assert!(shown.lines().all(|line| text::width(line) <= 80), "{shown}");
        for digit in ['1', '2', '3'] {
            assert_eq!(shown.matches(digit).count(), 2, "{digit} in\n{shown}");
        }
    }

    #[test]
    fn a_title_cannot_break_out_of_the_svg() {
        let drawn = svg(&path(), "<script>&");
        assert!(!drawn.contains("<script") && drawn.contains("&lt;script&gt;&amp;"), "{drawn}");
        assert_eq!(drawn.matches("<circle").count(), 6);
    }
}

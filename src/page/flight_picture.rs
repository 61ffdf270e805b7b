//! A flight drawn from the side and from above, for a terminal and as SVG.
//!
//! Both renderers read the same points. Seen from the side the receiver is on the right; from above
//! the launcher is on the left and its left hand points up, as if one stood beside the table.

use std::fmt::Write as _;

use crate::flight::constants::{END_LINE_X_M, SIDE_LINE_Y_M};
use crate::flight::path::{Path, Sample};
use crate::game::{NET_HEIGHT_M, NET_X_M};
use crate::page::template::escaped;

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

/// A grid of letters.
struct LetterGrid {
    rows: Vec<Vec<char>>,
}

impl LetterGrid {
    fn new(rows: usize, columns: usize) -> Self {
        Self { rows: vec![vec![' '; columns]; rows] }
    }

    fn put(&mut self, row: f64, column: f64, letter: char) {
        if row < -0.5 || column < -0.5 {
            return;
        }
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "not negative and far below the limits of the type"
        )]
        let (row, column) = (row.round() as usize, column.round() as usize);
        if let Some(place) = self.rows.get_mut(row).and_then(|cells| cells.get_mut(column)) {
            *place = letter;
        }
    }

    fn shown(&self, out: &mut String) {
        for row in &self.rows {
            let line: String = row.iter().collect();
            let _ = writeln!(out, "{}", format!("  {line}").trim_end());
        }
    }
}

/// The pictures for a terminal of this width: from the side, then from above. `o` is the ball,
/// every 10 ms or so; digits are bounces.
pub fn terminal(path: &Path, width: usize) -> String {
    let columns = width.saturating_sub(2).clamp(40, 78);
    let column = |x_m: f64| (x_m - ALONG_M.0) / (ALONG_M.1 - ALONG_M.0) * (columns - 1) as f64;
    let mut out = String::from("from the side\n");
    let top_m = top_m(path);
    let row = |z_m: f64| (1.0 - z_m / top_m) * (SIDE_ROWS - 1) as f64;
    let mut grid = LetterGrid::new(SIDE_ROWS + 1, columns);
    for place in 0..columns {
        let x_m = ALONG_M.0 + (ALONG_M.1 - ALONG_M.0) * place as f64 / (columns - 1) as f64;
        if (0.0..=END_LINE_X_M).contains(&x_m) {
            grid.put(SIDE_ROWS as f64, place as f64, '=');
        }
    }
    for step in 0..=8 {
        grid.put(row(NET_HEIGHT_M * f64::from(step) / 8.0), column(NET_X_M), '|');
    }
    for sample in points(path) {
        let [x_m, _, z_m] = sample.position_m;
        grid.put(row(z_m).min((SIDE_ROWS - 1) as f64), column(x_m), 'o');
    }
    for (bounce, digit) in path.bounces.iter().zip(['1', '2', '3', '4', '5', '6', '7', '8', '9']) {
        grid.put(SIDE_ROWS as f64, column(bounce.x_m()), digit);
    }
    grid.shown(&mut out);
    out.push_str("from above\n");
    let row = |y_m: f64| (1.0 - y_m / 0.9) * (ABOVE_ROWS - 1) as f64 / 2.0;
    let mut grid = LetterGrid::new(ABOVE_ROWS, columns);
    for place in 0..=120 {
        let x_m = END_LINE_X_M * f64::from(place) / 120.0;
        for y_m in [SIDE_LINE_Y_M, -SIDE_LINE_Y_M] {
            grid.put(row(y_m), column(x_m), '-');
        }
        grid.put(row(0.0), column(x_m), '.');
    }
    for step in -20..=20 {
        let y_m = SIDE_LINE_Y_M * f64::from(step) / 20.0;
        for x_m in [0.0, NET_X_M, END_LINE_X_M] {
            grid.put(row(y_m), column(x_m), '|');
        }
    }
    for sample in points(path) {
        let [x_m, y_m, _] = sample.position_m;
        grid.put(row(y_m), column(x_m), 'o');
    }
    for (bounce, digit) in path.bounces.iter().zip(['1', '2', '3', '4', '5', '6', '7', '8', '9']) {
        grid.put(row(bounce.y_m()), column(bounce.x_m()), digit);
    }
    grid.shown(&mut out);
    out
}

/// Pixels for a metre.
const SCALE: f64 = 200.0;

/// The same as one SVG picture, 820 units wide, with a title for those who cannot see it.
pub fn svg(path: &Path, title: &str) -> String {
    let x = |x_m: f64| 10.0 + (x_m - ALONG_M.0) * SCALE;
    let top_m = top_m(path);
    let floor = 40.0 + top_m * SCALE;
    let z = |z_m: f64| floor - z_m * SCALE;
    let middle = floor + 60.0 + SIDE_LINE_Y_M * SCALE;
    let y = |y_m: f64| middle - y_m * SCALE;
    let height = middle + SIDE_LINE_Y_M * SCALE + 40.0;
    let title = escaped(title);
    let mut out = format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 820 {height:.0}\" role=\"img\">\n\
         <title>{title}</title>\n\
         <style>text{{font:14px sans-serif;fill:#333}}.t{{fill:#dfe8e3;stroke:#555}}\
         .l{{stroke:#555;fill:none}}.p{{stroke:#b3541e;stroke-width:2;fill:none}}\
         .b{{fill:#b3541e}}</style>\n<text x=\"10\" y=\"20\">{title}</text>\n"
    );
    let line = |out: &mut String, x1: f64, y1: f64, x2: f64, y2: f64| {
        let _ = writeln!(
            out,
            "<line class=\"l\" x1=\"{x1:.1}\" y1=\"{y1:.1}\" x2=\"{x2:.1}\" y2=\"{y2:.1}\"/>"
        );
    };
    line(&mut out, x(0.0), z(0.0), x(END_LINE_X_M), z(0.0));
    line(&mut out, x(NET_X_M), z(0.0), x(NET_X_M), z(NET_HEIGHT_M));
    let _ = writeln!(
        out,
        "<rect class=\"t\" x=\"{:.1}\" y=\"{:.1}\" width=\"{:.1}\" height=\"{:.1}\"/>",
        x(0.0),
        y(SIDE_LINE_Y_M),
        END_LINE_X_M * SCALE,
        2.0 * SIDE_LINE_Y_M * SCALE
    );
    line(&mut out, x(0.0), y(0.0), x(END_LINE_X_M), y(0.0));
    line(&mut out, x(NET_X_M), y(SIDE_LINE_Y_M), x(NET_X_M), y(-SIDE_LINE_Y_M));
    for is_side in [true, false] {
        let across =
            |position_m: [f64; 3]| if is_side { z(position_m[2]) } else { y(position_m[1]) };
        let line: Vec<String> = points(path)
            .iter()
            .map(|sample| {
                format!("{:.1},{:.1}", x(sample.position_m[0]), across(sample.position_m))
            })
            .collect();
        let _ = writeln!(out, "<polyline class=\"p\" points=\"{}\"/>", line.join(" "));
        for (bounce, number) in path.bounces.iter().zip(1..) {
            let at = bounce.before.position_m;
            if at[0] > ALONG_M.1 {
                continue;
            }
            let (cx, cy) = (x(at[0]), across(at));
            let _ = writeln!(out, "<circle class=\"b\" cx=\"{cx:.1}\" cy=\"{cy:.1}\" r=\"4\"/>");
            let _ =
                writeln!(out, "<text x=\"{:.1}\" y=\"{:.1}\">{number}</text>", cx + 6.0, cy + 16.0);
        }
    }
    let _ = writeln!(out, "<text x=\"10\" y=\"{:.1}\">from the side</text>", floor + 16.0);
    let _ = writeln!(out, "<text x=\"10\" y=\"{:.1}\">from above</text>", height - 12.0);
    out.push_str("</svg>\n");
    out
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::base::text;
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

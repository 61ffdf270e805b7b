//! A receive drawn from the side: the ball in, the bat, the ball out, and the same bat at another
//! ball; for a terminal and as SVG. The receiver is on the right.

use minijinja::context;
use minijinja::value::Serde;
use serde_json::json;

use crate::base::text::one_line;
use crate::flight::constants::END_LINE_X_M;
use crate::game::{NET_HEIGHT_M, NET_X_M};
use crate::page::bat::{BatView, DrawnBall};
use crate::page::flight_picture::drawn_in_letters;
use crate::page::template::drawn;
use crate::page::text_page::filled_text;

/// The part of the hall that is drawn, metres along the table and up.
const ALONG_M: (f64, f64) = (-0.2, 3.3);
const HIGH_M: f64 = 0.95;
const ROWS: usize = 12;
/// Half the bat's blade, metres.
const BLADE_M: f64 = 0.08;

/// The ends of the blade of a face that is open by so many degrees.
fn blade(ball: &DrawnBall) -> [[f64; 2]; 2] {
    let (sin, cos) = ball.open_deg.to_radians().sin_cos();
    let [x_m, _, z_m] = ball.met_m;
    // The face looks to -x and up by the angle; the blade stands across it.
    [-1.0, 1.0].map(|way| [x_m + way * BLADE_M * sin + 0.03, z_m + way * BLADE_M * cos])
}

/// The receive as text, its picture under the title, `width` columns wide.
pub fn text(view: &BatView, width: usize) -> String {
    let page = context! { legend => view.legend(), ..Serde(view) };
    let said = filled_text(include_str!("templates/bat.txt"), &page, width);
    let (title, rest) = said.split_once("\n\n").unwrap_or(("", &said));
    format!("{title}\n\n{}{rest}", terminal(view, width))
}

/// The picture for a terminal of this width.
fn terminal(view: &BatView, width: usize) -> String {
    let columns = width.saturating_sub(2).clamp(40, 78);
    let column = |x_m: f64| (x_m - ALONG_M.0) / (ALONG_M.1 - ALONG_M.0) * (columns - 1) as f64;
    let surface = ROWS as f64;
    let row = |z_m: f64| (1.0 - z_m / HIGH_M) * (surface - 1.0);
    let table = (0..=columns * 2).map(|step| END_LINE_X_M * step as f64 / (columns * 2) as f64);
    let table = table.map(|x_m| (surface, column(x_m), '='));
    let net = (0..=8).map(|step| NET_HEIGHT_M * f64::from(step) / 8.0);
    let net = net.map(|z_m| (row(z_m), column(NET_X_M), '|'));
    let points = |points: &[[f64; 3]], letter: char| {
        let at = |[x_m, _, z_m]: &[f64; 3]| (row(*z_m).min(surface - 1.0), column(*x_m), letter);
        points.iter().map(at).collect::<Vec<_>>()
    };
    let mut marks: Vec<(f64, f64, char)> = table.chain(net).collect();
    // What lies between the faces at the ends of the room.
    for (low, high) in view.own.shaded() {
        let between = (0..=12).map(|step| low[2] + (high[2] - low[2]) * f64::from(step) / 12.0);
        marks.extend(between.map(|z_m| (row(z_m).min(surface - 1.0), column(low[0]), ':')));
    }
    marks.extend(points(&view.own.coming_m, '.'));
    if let Some(twin) = &view.twin {
        marks.extend(points(&twin.leaving_m, 'x'));
    }
    marks.extend(points(&view.own.leaving_m, 'o'));
    let [[x0, z0], [x1, z1]] = blade(&view.own);
    marks.extend((0..=8).map(|step| {
        let part = f64::from(step) / 8.0;
        (row(z0 + part * (z1 - z0)), column(x0 + part * (x1 - x0)), '#')
    }));
    drawn_in_letters(ROWS + 1, columns, marks.into_iter())
}

const SCALE: f64 = 230.0;

/// The same as SVG, 820 units wide, with a title for those who cannot see it.
pub fn svg(view: &BatView) -> String {
    let floor = 40.0 + HIGH_M * SCALE;
    let place = |x_m: f64, z_m: f64| (10.0 + (x_m - ALONG_M.0) * SCALE, floor - z_m * SCALE);
    let line = |points: &[[f64; 3]]| {
        points.iter().map(|at| place(at[0], at[2].min(HIGH_M))).collect::<Vec<_>>()
    };
    let shaded = view.own.shaded();
    let mut room: Vec<(f64, f64)> = shaded.iter().map(|(low, _)| place(low[0], low[2])).collect();
    room.extend(shaded.iter().rev().map(|(_, high)| place(high[0], high[2].min(HIGH_M))));
    let drawing = json!({
        "title": one_line(&view.title),
        "floor": floor,
        "table": [place(0.0, 0.0).0, place(END_LINE_X_M, 0.0).0],
        "net": [place(NET_X_M, 0.0), place(NET_X_M, NET_HEIGHT_M)],
        "coming": line(&view.own.coming_m),
        "leaving": line(&view.own.leaving_m),
        "twin": view.twin.as_ref().map(|twin| line(&twin.leaving_m)).unwrap_or_default(),
        "room": room,
        "bat": blade(&view.own).map(|[x_m, z_m]| place(x_m, z_m)),
        "says": view.legend(),
    });
    drawn(include_str!("templates/bat.svg"), &drawing)
}

//! A set-up drawn from above and from the side: where the outlet stands, how far behind the end line, how high
//! above the table and above the floor.
//!
//! The launcher is on the left, the receiver on the right; from above its left hand points up, as if one stood
//! beside the table. Both drawings have one scale. Black on white, for paper; no text of a file stands in it.

use std::fmt::Write as _;

use crate::base::Units;
use crate::game::{NET_HEIGHT_M, NET_X_M, TABLE_HEIGHT_M, TABLE_LENGTH_M, TABLE_WIDTH_M};
use crate::launcher::SetUp;
use crate::page::chart::head;

/// Width of the drawing and the room for words on its left, drawn units.
const WIDTH: f64 = 540.0;
const WORDS: f64 = 215.0;
/// Room for the receiver on the right.
const RECEIVER: f64 = 34.0;
/// Size of the type.
const TYPE: f64 = 13.0;
/// How far the least a launcher takes behind its outlet, metres.
const BEHIND_OUTLET_M: f64 = 0.12;

/// A drawing under way.
struct Drawing {
    svg: String,
    /// Drawn units in a metre.
    scale: f64,
    /// The launcher's end line, drawn units from the left.
    line_x: f64,
}

impl Drawing {
    fn x(&self, metres: f64) -> f64 {
        metres.mul_add(self.scale, self.line_x)
    }

    fn line(&mut self, (x1, y1): (f64, f64), (x2, y2): (f64, f64), more: &str) {
        let _ = write!(
            self.svg,
            "<line x1=\"{x1:.1}\" y1=\"{y1:.1}\" x2=\"{x2:.1}\" y2=\"{y2:.1}\" stroke=\"#000\"{more}/>"
        );
    }

    /// A measured length: a line with a stroke across each end.
    fn measured(&mut self, from: (f64, f64), to: (f64, f64)) {
        self.line(from, to, " stroke-width=\"1.2\"");
        let is_level = (from.1 - to.1).abs() < 1e-9;
        for (x, y) in [from, to] {
            let (dx, dy) = if is_level { (0.0, 4.0) } else { (4.0, 0.0) };
            self.line((x - dx, y - dy), (x + dx, y + dy), " stroke-width=\"1.2\"");
        }
    }

    fn text(&mut self, (x, y): (f64, f64), anchor: &str, words: &str) {
        let _ = write!(
            self.svg,
            "<text x=\"{x:.1}\" y=\"{y:.1}\" font-size=\"{TYPE}\" text-anchor=\"{anchor}\" \
             stroke=\"none\">{words}</text>"
        );
    }

    /// The launcher at its outlet, looking to the right.
    fn outlet(&mut self, (x, y): (f64, f64)) {
        let _ = write!(self.svg, "<path d=\"M {x:.1} {y:.1} l -12 -6 l 0 12 z\" stroke=\"#000\"/>");
    }
}

/// The drawing of a set-up, with its measures in the player's units.
pub(super) fn svg(id: &str, set_up: &SetUp, units: Units) -> String {
    let behind_m = set_up.behind_line_m.max(0.0) + BEHIND_OUTLET_M;
    let scale = (WIDTH - WORDS - RECEIVER) / (TABLE_LENGTH_M + behind_m);
    let mut drawing = Drawing { svg: String::new(), scale, line_x: behind_m.mul_add(scale, WORDS) };
    let above_bottom = above(&mut drawing, set_up, units);
    let bottom = match set_up.outlet_height_m {
        Some(height_m) => side(&mut drawing, set_up, height_m, above_bottom + 14.0, units),
        None => above_bottom,
    };
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "some hundreds")]
    let size = (WIDTH as u32, bottom.ceil() as u32 + 6);
    let title = match set_up.outlet_height_m {
        Some(_) => "Where the launcher stands, from above and from the side",
        None => "Where the feeder stands, from above",
    };
    format!("{}{}</svg>\n", head(id, size, title, &says(set_up, units)), drawing.svg)
}

/// The measures in words.
pub(super) fn says(set_up: &SetUp, units: Units) -> String {
    let mut says = vec![along(set_up, units)];
    says.extend(across(set_up, units));
    if let Some(height_m) = set_up.outlet_height_m {
        says.push(format!("{} above the table", units.length(height_m)));
        says.push(format!("{} above the floor", units.length(TABLE_HEIGHT_M + height_m)));
    }
    says.join(", ")
}

fn along(set_up: &SetUp, units: Units) -> String {
    if set_up.behind_line_m < 0.0 {
        format!("{} in from the end line", units.length(-set_up.behind_line_m))
    } else {
        format!("{} behind the end line", units.length(set_up.behind_line_m))
    }
}

fn across(set_up: &SetUp, units: Units) -> Option<String> {
    let side = if set_up.across_m > 0.0 { "left" } else { "right" };
    (set_up.across_m.abs() >= 0.05)
        .then(|| format!("{} {side} of the centre line", units.length(set_up.across_m.abs())))
}

/// The table from above; gives the lowest line used.
fn above(drawing: &mut Drawing, set_up: &SetUp, units: Units) -> f64 {
    let top = 24.0;
    let (wide, long) = (TABLE_WIDTH_M * drawing.scale, TABLE_LENGTH_M * drawing.scale);
    let centre = top + wide / 2.0;
    let (left, right) = (drawing.x(0.0), drawing.x(TABLE_LENGTH_M));
    drawing.text((left, 14.0), "start", "from above");
    let _ = write!(
        drawing.svg,
        "<rect x=\"{left:.1}\" y=\"{top:.1}\" width=\"{long:.1}\" height=\"{wide:.1}\" fill=\"none\" \
         stroke=\"#000\"/>"
    );
    drawing.line((left, centre), (right, centre), " stroke-width=\"0.5\" stroke-dasharray=\"6 3\"");
    let net = drawing.x(NET_X_M);
    drawing.line((net, top - 5.0), (net, top + wide + 5.0), " stroke-width=\"2\"");
    drawing.text((right + 6.0, centre + 4.0), "start", "you");
    let outlet =
        (drawing.x(-set_up.behind_line_m), set_up.across_m.mul_add(-drawing.scale, centre));
    drawing.outlet(outlet);
    // How far behind the line, drawn beside the launcher on the side where there is more room.
    let beside = if set_up.across_m > 0.0 { 14.0 } else { -14.0 };
    drawing.measured((outlet.0, outlet.1 + beside), (left, outlet.1 + beside));
    if let Some(words) = across(set_up, units) {
        drawing.measured((outlet.0, outlet.1), (outlet.0, centre));
        drawing.text((WORDS - 6.0, outlet.1 + 4.0), "end", &words);
    }
    let words_y = if set_up.across_m > 0.0 { outlet.1 + 20.0 } else { outlet.1 - 12.0 };
    drawing.text((WORDS - 6.0, words_y), "end", &along(set_up, units));
    top + wide + 6.0
}

/// The table from the side; gives the lowest line used.
fn side(drawing: &mut Drawing, set_up: &SetUp, height_m: f64, top: f64, units: Units) -> f64 {
    let scale = drawing.scale;
    // Words first: "from the side" needs a line of its own above the outlet or the net.
    let surface = height_m.max(NET_HEIGHT_M).mul_add(scale, top + 22.0);
    let floor = TABLE_HEIGHT_M.mul_add(scale, surface);
    let outlet = (drawing.x(-set_up.behind_line_m), height_m.mul_add(-scale, surface));
    let (left, right) = (drawing.x(0.0), drawing.x(TABLE_LENGTH_M));
    drawing.text((left, top + 12.0), "start", "from the side");
    drawing.line((WORDS - 4.0, floor), (WIDTH - 6.0, floor), " stroke-width=\"2\"");
    drawing.line((left, surface), (right, surface), " stroke-width=\"4\"");
    for leg in [0.35, TABLE_LENGTH_M - 0.35] {
        drawing.line((drawing.x(leg), surface), (drawing.x(leg), floor), "");
    }
    let net = drawing.x(NET_X_M);
    drawing.line(
        (net, surface),
        (net, NET_HEIGHT_M.mul_add(-scale, surface)),
        " stroke-width=\"2\"",
    );
    if set_up.behind_line_m >= 0.0 {
        let foot = if set_up.on_chair { (floor - surface) * 0.6 + surface } else { floor };
        drawing.line((outlet.0 - 8.0, outlet.1), (outlet.0 - 8.0, foot), "");
        if set_up.on_chair {
            let _ = write!(
                drawing.svg,
                "<rect x=\"{:.1}\" y=\"{foot:.1}\" width=\"22\" height=\"{:.1}\" fill=\"none\" stroke=\"#000\"/>",
                outlet.0 - 19.0,
                floor - foot
            );
        }
    } else {
        drawing.line((outlet.0 - 8.0, outlet.1), (outlet.0 - 8.0, surface), "");
    }
    drawing.outlet(outlet);
    // Both heights to the left of the launcher, and of the table where it stands on it.
    let near = outlet.0.min(left) - 22.0;
    let far = near - 12.0;
    let level = " stroke-width=\"0.5\" stroke-dasharray=\"3 3\"";
    drawing.line((far - 6.0, outlet.1), (outlet.0 - 12.0, outlet.1), level);
    drawing.line((near - 6.0, surface), (left, surface), level);
    drawing.measured((near, outlet.1), (near, surface));
    drawing.measured((far, outlet.1), (far, floor));
    let table = format!("{} above the table", units.length(height_m));
    let ground = format!("{} above the floor", units.length(TABLE_HEIGHT_M + height_m));
    let middle = f64::midpoint(surface, floor);
    drawing.text((far - 10.0, f64::midpoint(outlet.1, surface) + 4.0), "end", &table);
    drawing.text((far - 10.0, middle.max(surface + TYPE) + 4.0), "end", &ground);
    floor + 4.0
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::game::From;
    use crate::launcher::Stand;

    fn corner() -> SetUp {
        SetUp {
            stand: Stand::Corner,
            from: From::BackhandCorner,
            behind_line_m: 0.20,
            across_m: 0.60,
            outlet_height_m: Some(0.25),
            on_chair: false,
        }
    }

    #[test]
    fn both_heights_stand_in_the_drawing_in_both_units() {
        // 0.25 m and 0.25 + 0.76 m; an inch is 0.0254 m.
        for (units, table, floor) in
            [(Units::Metric, "25 cm", "101 cm"), (Units::Imperial, "9.8 in", "39.8 in")]
        {
            let drawn = svg("one", &corner(), units);
            assert!(drawn.contains(&format!(">{table} above the table<")), "{drawn}");
            assert!(drawn.contains(&format!(">{floor} above the floor<")), "{drawn}");
        }
        let drawn = svg("one", &corner(), Units::Metric);
        assert!(drawn.contains(">20 cm behind the end line<"), "{drawn}");
        assert!(drawn.contains(">60 cm left of the centre line<"), "{drawn}");
    }

    #[test]
    fn a_person_has_no_side_drawing_and_on_the_table_is_in_from_the_line() {
        let person = SetUp { outlet_height_m: None, ..corner() };
        assert!(!svg("one", &person, Units::Metric).contains("from the side"));
        let on_table =
            SetUp { stand: Stand::OnTable, behind_line_m: -0.60, across_m: 0.0, ..corner() };
        let drawn = svg("one", &on_table, Units::Metric);
        assert!(drawn.contains(">60 cm in from the end line<"), "{drawn}");
        assert!(!drawn.contains("of the centre line"), "{drawn}");
    }
}

//! A set-up drawn from above and from the side: where the outlet stands, how far behind the end
//! line, how high above the table and above the floor.
//!
//! The launcher is on the left, the receiver on the right; from above its left hand points up, as
//! if one stood beside the table. Both drawings have one scale. Black on white, for paper.

use serde_json::{Value, json};

use crate::base::Units;
use crate::game::{NET_HEIGHT_M, NET_X_M, TABLE_HEIGHT_M, TABLE_LENGTH_M, TABLE_WIDTH_M};
use crate::launcher::SetUp;
use crate::page::template::filled;

/// Width of the drawing and the room for words on its left, drawn units.
const WIDTH: f64 = 540.0;
const WORDS: f64 = 215.0;
/// Room for the receiver on the right.
const RECEIVER: f64 = 34.0;
/// Size of the type.
const TYPE: f64 = 13.0;
/// How far the least a launcher takes behind its outlet, metres.
const BEHIND_OUTLET_M: f64 = 0.12;
/// Distance of the table's legs from its ends, metres.
const LEGS_M: f64 = 0.35;
/// The upper edge of the table seen from above, drawn units.
const TOP: f64 = 24.0;

/// The drawing of a set-up, with its measures in the player's units.
///
/// # Errors
/// The template's own error.
pub(super) fn svg(id: &str, set_up: &SetUp, units: Units) -> Result<String, minijinja::Error> {
    let behind_m = set_up.behind_line_m.max(0.0) + BEHIND_OUTLET_M;
    let scale = (WIDTH - WORDS - RECEIVER) / (TABLE_LENGTH_M + behind_m);
    let x = |metres: f64| tenth((behind_m + metres).mul_add(scale, WORDS));
    let outlet = x(-set_up.behind_line_m);
    let heights = set_up.outlet_height_m.map(|height_m| {
        let above_floor = format!("{} above the floor", units.length(TABLE_HEIGHT_M + height_m));
        [format!("{} above the table", units.length(height_m)), above_floor]
    });
    let side = set_up
        .outlet_height_m
        .map(|height_m| from_the_side(set_up, height_m, scale, outlet.min(x(0.0))));
    let (lowest, side) = match side {
        Some((floor, side)) => (floor + 4.0, Some(side)),
        None => (TABLE_WIDTH_M.mul_add(scale, TOP) + 6.0, None),
    };
    let length = units.length(set_up.behind_line_m.abs());
    let is_on_table = set_up.behind_line_m < 0.0;
    let along = format!("{length} {} the end line", if is_on_table { "in from" } else { "behind" });
    let across = (set_up.across_m.abs() >= 0.05).then(|| {
        let side = if set_up.across_m > 0.0 { "left" } else { "right" };
        format!("{} {side} of the centre line", units.length(set_up.across_m.abs()))
    });
    let says = [&along].into_iter().chain(&across).chain(heights.iter().flatten());
    // Places are in drawn units from the upper left corner.
    let drawing = json!({
        "id": id,
        "height": lowest.ceil() + 6.0,
        "says": says.map(String::as_str).collect::<Vec<_>>().join(", "),
        "type_size": TYPE,
        "words_x": WORDS,
        "right_edge": WIDTH,
        "left": x(0.0),
        "right": x(TABLE_LENGTH_M),
        "net": x(NET_X_M),
        "legs": [x(LEGS_M), x(TABLE_LENGTH_M - LEGS_M)],
        "outlet": outlet,
        "along": along,
        "across": across,
        "above": from_above(set_up, scale),
        "side": side,
        "heights": heights,
    });
    filled("set_up.svg", include_str!("../templates/set_up.svg"), &drawing)
}

fn tenth(value: f64) -> f64 {
    (value * 10.0).round() / 10.0
}

fn from_above(set_up: &SetUp, scale: f64) -> Value {
    let (long, wide) = (TABLE_LENGTH_M * scale, TABLE_WIDTH_M * scale);
    let centre = TOP + wide / 2.0;
    let outlet = set_up.across_m.mul_add(-scale, centre);
    // Measured beside the launcher on the side where there is more room.
    let (measure, words) = if set_up.across_m > 0.0 { (14.0, 20.0) } else { (-14.0, -12.0) };
    json!({
        "top": TOP,
        "long": tenth(long),
        "wide": tenth(wide),
        "centre": tenth(centre),
        "outlet": tenth(outlet),
        "measure": tenth(outlet + measure),
        "words": tenth(outlet + words),
    })
}

/// The drawing from the side, and how far down its floor is; heights are measured to the left of
/// the launcher, and of the table where it stands on it.
fn from_the_side(set_up: &SetUp, height_m: f64, scale: f64, left: f64) -> (f64, Value) {
    let top = TABLE_WIDTH_M.mul_add(scale, TOP) + 20.0;
    // Words first: "from the side" needs a line of its own above the outlet or the net.
    let surface = height_m.max(NET_HEIGHT_M).mul_add(scale, top + 22.0);
    let outlet = height_m.mul_add(-scale, surface);
    let floor = TABLE_HEIGHT_M.mul_add(scale, surface);
    let seat = (floor - surface).mul_add(0.6, surface);
    let is_on_table = set_up.behind_line_m < 0.0;
    let is_on_chair = set_up.on_chair && !is_on_table;
    let foot = if is_on_table { surface } else { floor };
    let floor_words = f64::midpoint(surface, floor).max(surface + TYPE);
    let side = json!({
        "title": tenth(top + 12.0),
        "surface": tenth(surface),
        "floor": tenth(floor),
        "net": tenth(NET_HEIGHT_M.mul_add(-scale, surface)),
        "outlet": tenth(outlet),
        "foot": tenth(if is_on_chair { seat } else { foot }),
        "chair_height": is_on_chair.then(|| tenth(floor - seat)),
        "near": tenth(left - 22.0),
        "far": tenth(left - 34.0),
        "table_words": tenth(f64::midpoint(outlet, surface) + 4.0),
        "floor_words": tenth(floor_words + 4.0),
    });
    (floor, side)
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
            let drawn = svg("one", &corner(), units).unwrap();
            assert!(drawn.contains(&format!(">{table} above the table<")), "{drawn}");
            assert!(drawn.contains(&format!(">{floor} above the floor<")), "{drawn}");
        }
        let drawn = svg("one", &corner(), Units::Metric).unwrap();
        assert!(drawn.contains(">20 cm behind the end line<"), "{drawn}");
        assert!(drawn.contains(">60 cm left of the centre line<"), "{drawn}");
    }

    #[test]
    fn a_person_has_no_side_drawing_and_on_the_table_is_in_from_the_line() {
        let person = SetUp { outlet_height_m: None, ..corner() };
        assert!(!svg("one", &person, Units::Metric).unwrap().contains("from the side"));
        let on_table =
            SetUp { stand: Stand::OnTable, behind_line_m: -0.60, across_m: 0.0, ..corner() };
        let drawn = svg("one", &on_table, Units::Metric).unwrap();
        assert!(drawn.contains(">60 cm in from the end line<"), "{drawn}");
        assert!(!drawn.contains("of the centre line"), "{drawn}");
    }
}

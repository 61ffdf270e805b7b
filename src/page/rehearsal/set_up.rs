//! A set-up drawn from above and from the side: where the nozzle stands, how far behind the end
//! line, how high above the table and above the floor, where its balls bounce.
//!
//! The launcher is on the left, the receiver on the right; from above its left hand points up, as
//! if one stood beside the table. All drawings of a session have one scale. Black on white, for
//! paper.

use serde_json::{Value, json};

use crate::base::Units;
use crate::game::{NET_HEIGHT_M, NET_X_M, TABLE_HEIGHT_M, TABLE_LENGTH_M, TABLE_WIDTH_M};
use crate::launcher::{ByEye, SetUp};
use crate::page::launcher_words::nozzle_words;
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

/// A set-up with the balls that are thrown from it.
#[derive(Debug)]
pub(crate) struct DrawnSetUp {
    pub set_up: SetUp,
    pub balls: Vec<ByEye>,
}

/// The drawing of a set-up, with its measures in the player's units; room for a launcher so far
/// behind the end line, metres.
///
/// # Errors
/// The template's own error.
pub(super) fn svg(
    id: &str,
    drawn: &DrawnSetUp,
    behind_m: f64,
    units: Units,
) -> Result<String, minijinja::Error> {
    let set_up = &drawn.set_up;
    let behind_m = behind_m.max(0.0) + BEHIND_OUTLET_M;
    let scale = (WIDTH - WORDS - RECEIVER) / (TABLE_LENGTH_M + behind_m);
    let x = |metres: f64| tenth((behind_m + metres).mul_add(scale, WORDS));
    let outlet = x(-set_up.behind_line_m);
    let [along, across, above_table, above_floor] =
        nozzle_words(set_up, set_up.outlet_height_m.unwrap_or_default(), units);
    let heights = set_up.outlet_height_m.map(|_| [above_table, above_floor]);
    let side = set_up
        .outlet_height_m
        .map(|height_m| from_the_side(set_up, height_m, scale, outlet.min(x(0.0))));
    let (lowest, side) = match side {
        Some((floor, side)) => (floor + 4.0, Some(side)),
        None => (TABLE_WIDTH_M.mul_add(scale, TOP) + 6.0, None),
    };
    let across = (set_up.across_m.abs() >= 0.05).then_some(across);
    let y = |across_m: f64| tenth(across_m.mul_add(-scale, TOP + TABLE_WIDTH_M * scale / 2.0));
    let place = |[along_m, across_m]: [f64; 2]| [x(along_m), y(across_m)];
    let balls = drawn
        .balls
        .iter()
        .map(|ball| json!({ "first": ball.first_m.map(place), "lands": place(ball.lands_m) }));
    let balls: Vec<Value> = balls.collect();
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
        "balls": balls,
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

    fn drawn(set_up: SetUp, behind_m: f64, units: Units) -> String {
        let ball = ByEye {
            first_m: Some([0.40, 0.25]),
            lands_m: [1.80, -0.40],
            farther: None,
            rims_m_s: None,
            turned_head: None,
            whole_deg: None,
        };
        svg("one", &DrawnSetUp { set_up, balls: vec![ball] }, behind_m, units).unwrap()
    }

    #[test]
    fn both_marks_of_a_ball_are_drawn_to_the_scale_of_the_session() {
        for behind_m in [0.20, 1.50] {
            let drawn = drawn(corner(), behind_m, Units::Metric);
            let scale = (540.0 - 215.0 - 34.0) / (2.74 + behind_m + 0.12);
            // The end line, then 40 cm and 180 cm of it; the table is 152.5 cm wide.
            for (along_m, across_m) in [(0.40, 0.25), (1.80, -0.40)] {
                let x = 215.0 + scale * (behind_m + 0.12 + along_m);
                let y = 24.0 + scale * (0.7625 - across_m);
                let circle = format!("<circle cx=\"{x:.1}\" cy=\"{y:.1}\"");
                assert!(drawn.contains(&circle), "{circle} {drawn}");
            }
        }
    }

    #[test]
    fn both_heights_stand_in_the_drawing_in_both_units() {
        // 0.25 m and 0.25 + 0.76 m; an inch is 0.0254 m.
        for (units, table, floor) in
            [(Units::Metric, "25 cm", "101 cm"), (Units::Imperial, "10 in", "40 in")]
        {
            let drawn = drawn(corner(), 0.20, units);
            assert!(drawn.contains(&format!(">{table} above the table<")), "{drawn}");
            assert!(drawn.contains(&format!(">{floor} above the floor<")), "{drawn}");
        }
        let drawn = drawn(corner(), 0.20, Units::Metric);
        assert!(drawn.contains(">20 cm behind their end line<"), "{drawn}");
        assert!(drawn.contains(">60 cm left of the centre line<"), "{drawn}");
    }

    #[test]
    fn a_person_has_no_side_drawing_and_on_the_table_is_in_from_the_line() {
        let person = SetUp { outlet_height_m: None, ..corner() };
        assert!(!drawn(person, 0.20, Units::Metric).contains("from the side"));
        let on_table =
            SetUp { stand: Stand::OnTable, behind_line_m: -0.60, across_m: 0.0, ..corner() };
        let drawn = drawn(on_table, 0.20, Units::Metric);
        assert!(drawn.contains(">60 cm in from their end line<"), "{drawn}");
        assert!(!drawn.contains("of the centre line"), "{drawn}");
    }
}

//! A launcher on one card: what it can do, where it can stand, its dials, and what it cannot do at
//! all.

use std::fmt::Write as _;

use crate::base::text;
use crate::launcher::{HeadTurn, Launcher, REALISTIC_OUTLET_M, Span, ThrowingMachine, Wheels};

/// The card.
pub fn card(launcher: &Launcher) -> String {
    let mut out = String::new();
    line(&mut out, &text::one_line(&launcher.name), launcher.kind.shown());
    if let Some(source) = &launcher.source {
        line(&mut out, "  source", &text::one_line(source));
    }
    match (&launcher.machine, launcher.hand) {
        (Some(machine), _) => describe(&mut out, machine),
        (None, Some(hand)) => line(&mut out, "  hand", hand.shown()),
        (None, None) => {}
    }
    for (dial, place) in launcher.dials.iter().zip(0..) {
        let label = if place == 0 { "  dials" } else { "" };
        let name = text::one_line(&dial.name);
        let range = format!("{} to {} in steps of {}", dial.least, dial.most, dial.notch);
        line(&mut out, label, &format!("{name}: {}, {range}", dial.sets));
    }
    out
}

fn line(out: &mut String, label: &str, words: &str) {
    // A title stands before its words; labels keep one column.
    let label = if label.starts_with("  ") || label.is_empty() {
        text::fit(label, 14)
    } else {
        format!("{label}: ")
    };
    let wrapped = text::wrap(words, 80_usize.saturating_sub(text::width(&label)), "");
    for (part, place) in wrapped.lines().zip(0..) {
        let lead = if place == 0 { label.clone() } else { " ".repeat(14) };
        let _ = writeln!(out, "{lead}{part}");
    }
}

fn span(span: Span, unit: &str) -> String {
    format!("{} to {} {unit}", span.least, span.most)
}

fn describe(out: &mut String, machine: &ThrowingMachine) {
    line(out, "  wheels", &format!("{}, {}", machine.wheels, machine.head));
    line(out, "  speed", &span(machine.speed_m_s, "m/s"));
    let spin = format!("{}; topspin +, backspin -", span(machine.spin_rev_s, "rev/s"));
    line(out, "  spin", &spin);
    line(out, "  up and down", &span(machine.elevation_deg, "degrees, down is -"));
    line(out, "  to the side", &span(machine.azimuth_deg, "degrees, left is +"));
    let legs = machine.outlet_height_m;
    let mut places = vec![format!(
        "{:.0} to {:.0} cm above the table on its legs",
        legs.least * 100.0,
        legs.most * 100.0
    )];
    places.extend(
        machine
            .chair_height_m
            .map(|height| format!("{:.0} cm with short legs on a wedged chair", height * 100.0)),
    );
    places.extend(
        machine.on_table_height_m.map(|height| format!("{:.0} cm on the table", height * 100.0)),
    );
    line(out, "  outlet", &places.join("; "));
    line(out, "  rate", &span(machine.rate_a_minute, "balls a minute"));
    let stored = match machine.stored_balls {
        0 => String::new(),
        stored => format!(", stores {}", text::count(stored as usize, "ball")),
    };
    let delay = format!(", starts after {} s", machine.start_delay_s);
    let hopper = text::count(machine.hopper_balls as usize, "ball");
    line(out, "  hopper", &format!("{hopper}{stored}{delay}"));
    let mut cannot = vec!["corkscrew spin"];
    match (machine.wheels, machine.head) {
        (Wheels::Three, _) | (_, HeadTurn::PerBall) => {}
        (_, HeadTurn::ByHand) => cannot.push("side spin that comes and goes within a block"),
        (_, HeadTurn::Upright) => cannot.push("side spin"),
    }
    if machine.wheels == Wheels::One {
        cannot.push("a spin of its own choice at a speed");
    }
    let lowest = machine.chair_height_m.unwrap_or(legs.least).min(legs.least);
    if lowest > REALISTIC_OUTLET_M || machine.elevation_deg.least > -9.0 {
        cannot.push("a ball that bounces on its own half first, as a service does");
    }
    line(out, "  cannot", &text::and_list(&cannot));
}

//! Checks of meaning for a launcher file: numbers no launcher has, ranges the wrong way round,
//! parts that contradict each other.

use crate::base::{Bound, Finding};
use crate::deck::advice::Judged;
use crate::launcher::{FORMAT, HeadTurn, Launcher, LauncherKind, Span, ThrowingMachine, Wheels};

const SPEED: Bound = bound("speed", "m/s", 0.5, 40.0);
/// Topspin positive.
const SPIN: Bound = bound("spin", "rev/s", -180.0, 180.0);
const OUTLET_HEIGHT: Bound = bound("outlet height above the table", "m", 0.05, 1.5);
const SCATTER_PERCENT: Bound = bound("scatter", "%", 0.0, 30.0);
const SCATTER_DEG: Bound = bound("scatter", "degrees", 0.0, 10.0);

const fn bound(what: &'static str, unit: &'static str, least: f64, most: f64) -> Bound {
    Bound { what, unit, least, most, source: "wider than any launcher; common practice" }
}

/// Everything about a launcher file that cannot be right.
pub fn judge_launcher_file(launcher: &Launcher) -> Vec<Judged> {
    let mut found = Vec::new();
    let mut say = |path: &[&str], finding: Finding| {
        found.push(Judged { path: path.iter().map(|&name| name.to_owned()).collect(), finding });
    };
    if launcher.format > FORMAT {
        say(
            &["format"],
            Finding::error(format!(
                "format {} is newer than this program, which reads up to {FORMAT}",
                launcher.format
            ))
            .hint("use a newer secondball; nothing was changed"),
        );
    }
    if launcher.name.trim().is_empty() {
        say(&["name"], Finding::error("the launcher has no name"));
    }
    match (&launcher.machine, launcher.kind.is_person()) {
        (Some(_), true) => say(
            &["machine"],
            Finding::error(format!("`{}` is a person, who has no wheels", launcher.kind.word()))
                .hint("leave `machine` out, or make the kind fixed, oscillating or per_ball"),
        ),
        (None, false) => say(
            &["kind"],
            Finding::error("a machine without `machine: (..)`")
                .hint("say what it can do, or make the kind feeder or partner"),
        ),
        (Some(machine), false) => judge_machine(machine, launcher.kind, &mut say),
        (None, true) => {}
    }
    judge_dials(launcher, &mut say);
    found
}

fn judge_dials(launcher: &Launcher, say: &mut impl FnMut(&[&str], Finding)) {
    for (place, dial) in launcher.dials.iter().enumerate() {
        let number = place.to_string();
        if !(dial.least < dial.most && dial.notch > 0.0 && dial.notch <= dial.most - dial.least) {
            say(
                &["dials", &number],
                Finding::error(format!(
                    "the dial `{}` runs from {} to {} in steps of {}",
                    dial.name, dial.least, dial.most, dial.notch
                ))
                .hint("the least is below the most and the notch is a step between them"),
            );
        }
        if launcher.dials[..place].iter().any(|other| other.name == dial.name) {
            say(
                &["dials", &number],
                Finding::error(format!("a second dial is called `{}`", dial.name))
                    .hint("every dial has a name of its own"),
            );
        }
    }
    let curves = launcher.calibrated.iter().flat_map(|own| &own.curves);
    for (place, curve) in curves.enumerate() {
        let rises = curve.points.windows(2).all(|pair| pair[0].dial < pair[1].dial);
        let is_number = |value: f64| value.is_finite() && value.abs() < 1e4;
        let all = curve.points.iter().all(|point| is_number(point.dial) && is_number(point.makes));
        if curve.points.len() < 2 || !rises || !all {
            let number = place.to_string();
            say(
                &["calibrated", "curves", &number],
                Finding::error(format!("the curve of {} is none", curve.sets)).hint(
                    "at least two points by rising dial value; `secondball launcher calibrate` writes them",
                ),
            );
        }
    }
}

fn judge_machine(
    machine: &ThrowingMachine,
    kind: LauncherKind,
    say: &mut impl FnMut(&[&str], Finding),
) {
    let spans: [(&str, Bound, Span); 6] = [
        ("speed_m_s", SPEED, machine.speed_m_s),
        ("spin_rev_s", SPIN, machine.spin_rev_s),
        ("elevation_deg", bound("elevation", "degrees", -60.0, 90.0), machine.elevation_deg),
        ("azimuth_deg", bound("azimuth", "degrees", -90.0, 90.0), machine.azimuth_deg),
        ("outlet_height_m", OUTLET_HEIGHT, machine.outlet_height_m),
        ("rate_a_minute", bound("rate", "balls a minute", 1.0, 180.0), machine.rate_a_minute),
    ];
    for (field, bound, span) in spans {
        for (end, value) in [("least", span.least), ("most", span.most)] {
            if let Err(error) = bound.check(value) {
                say(&["machine", field, end], Finding::error(error.to_string()));
            }
        }
        if span.least > span.most {
            say(
                &["machine", field],
                Finding::error(format!(
                    "{} runs from {} to {}, the wrong way round",
                    bound.what, span.least, span.most
                ))
                .hint("`least` first, `most` second"),
            );
        }
    }
    let scatter = machine.scatter.map_or([0.0; 4], |scatter| {
        [scatter.speed_percent, scatter.spin_percent, scatter.elevation_deg, scatter.azimuth_deg]
    });
    let numbers: [(&[&str], Bound, Option<f64>); 9] = [
        (&["machine", "chair_height_m"], OUTLET_HEIGHT, machine.chair_height_m),
        (&["machine", "on_table_height_m"], OUTLET_HEIGHT, machine.on_table_height_m),
        (
            &["machine", "start_delay_s"],
            bound("start delay", "s", 0.0, 120.0),
            Some(machine.start_delay_s),
        ),
        (
            &["machine", "stored_balls"],
            bound("stored balls", "", 0.0, 1000.0),
            Some(machine.stored_balls.into()),
        ),
        (
            &["machine", "hopper_balls"],
            bound("hopper", "balls", 1.0, 1000.0),
            Some(machine.hopper_balls.into()),
        ),
        (&["machine", "scatter", "speed_percent"], SCATTER_PERCENT, Some(scatter[0])),
        (&["machine", "scatter", "spin_percent"], SCATTER_PERCENT, Some(scatter[1])),
        (&["machine", "scatter", "elevation_deg"], SCATTER_DEG, Some(scatter[2])),
        (&["machine", "scatter", "azimuth_deg"], SCATTER_DEG, Some(scatter[3])),
    ];
    for (path, bound, value) in numbers {
        if let Some(Err(error)) = value.map(|value| bound.check(value)) {
            say(path, Finding::error(error.to_string()));
        }
    }
    judge_wheels(machine, kind, say);
}

fn judge_wheels(
    machine: &ThrowingMachine,
    kind: LauncherKind,
    say: &mut impl FnMut(&[&str], Finding),
) {
    let rising = machine.tied.windows(2).all(|pair| pair[0].speed_m_s < pair[1].speed_m_s);
    let bounded = machine
        .tied
        .iter()
        .all(|point| SPEED.check(point.speed_m_s).is_ok() && SPIN.check(point.spin_rev_s).is_ok());
    match (machine.wheels, machine.tied.len()) {
        (Wheels::One, 0 | 1) => say(
            &["machine", "tied"],
            Finding::error("one wheel ties spin to speed, and `tied` does not say how")
                .hint("at least two points: tied: [(speed_m_s: 4.0, spin_rev_s: 8.0), ..]"),
        ),
        (Wheels::One, _) if !(rising && bounded) => say(
            &["machine", "tied"],
            Finding::error("`tied` must rise in speed and stay in the bounds of speed and spin"),
        ),
        (Wheels::Two | Wheels::Three, 1..) => say(
            &["machine", "tied"],
            Finding::warning(format!("{} leave the spin free: `tied` is not used", machine.wheels)),
        ),
        _ => {}
    }
    if machine.head == HeadTurn::PerBall && kind != LauncherKind::PerBall {
        say(
            &["machine", "head"],
            Finding::error(format!(
                "a head that turns for every ball on a launcher with {}",
                if kind == LauncherKind::Fixed { "one setting at a time" } else { "a sweep" }
            ))
            .hint("head: turned_by_hand, or kind: per_ball"),
        );
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::launcher::capability::tests::launcher;

    /// What is found when one thing about a sound launcher is changed.
    fn paths(change: impl FnOnce(&mut Launcher)) -> Vec<String> {
        let mut changed = launcher(LauncherKind::Fixed);
        change(&mut changed);
        judge_launcher_file(&changed).into_iter().map(|judged| judged.path.join(".")).collect()
    }

    #[test]
    fn a_sound_launcher_has_no_finding() {
        assert_eq!(paths(|_| {}), Vec::<String>::new());
    }

    #[test]
    fn every_impossible_number_is_found_where_it_stands() {
        let machine = |change: fn(&mut ThrowingMachine)| {
            paths(|launcher| change(launcher.machine.as_mut().unwrap()))
        };
        assert_eq!(machine(|m| m.speed_m_s.most = 400.0), ["machine.speed_m_s.most"]);
        assert_eq!(machine(|m| m.speed_m_s = Span::new(9.0, 3.0)), ["machine.speed_m_s"]);
        assert_eq!(machine(|m| m.chair_height_m = Some(f64::NAN)), ["machine.chair_height_m"]);
        assert_eq!(machine(|m| m.hopper_balls = 0), ["machine.hopper_balls"]);
        assert_eq!(machine(|m| m.wheels = Wheels::One), ["machine.tied"]);
        assert_eq!(machine(|m| m.head = HeadTurn::PerBall), ["machine.head"]);
    }

    #[test]
    fn a_person_has_no_wheels_and_a_machine_has_some() {
        assert_eq!(paths(|launcher| launcher.kind = LauncherKind::Feeder), ["machine"]);
        assert_eq!(paths(|launcher| launcher.machine = None), ["kind"]);
    }
}

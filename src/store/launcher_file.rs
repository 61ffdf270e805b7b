//! Checks of meaning for a launcher file: numbers no launcher has, ranges the wrong way round,
//! parts that contradict each other.

use crate::base::{Bound, Finding};
use crate::deck::advice::Judged;
use crate::launcher::{
    Dial, FORMAT, HeadTurn, Launcher, LauncherKind, Span, ThrowScatter, ThrowingMachine, Wheels,
};

const SPEED: Bound = bound("speed", "m/s", 0.5, 40.0);
/// Topspin positive.
const SPIN: Bound = bound("spin", "rev/s", -180.0, 180.0);
const OUTLET_HEIGHT: Bound = bound("nozzle height above the table", "m", 0.05, 1.5);
const SCATTER_PERCENT: Bound = bound("scatter", "%", 0.0, 30.0);
const SCATTER_DEG: Bound = bound("scatter", "degrees", 0.0, 10.0);

const fn bound(what: &'static str, unit: &'static str, least: f64, most: f64) -> Bound {
    Bound { what, unit, least, most, source: "wider than any launcher; common practice" }
}

/// Everything about a launcher file that cannot be right.
pub fn judge_launcher_file(launcher: &Launcher) -> Vec<Judged> {
    let mut found = JudgedParts::default();
    if launcher.format > FORMAT {
        let format = launcher.format;
        found.say(
            "format",
            format!("format {format} is newer than this program, which reads up to {FORMAT}"),
            "use a newer secondball; nothing was changed",
        );
    }
    if launcher.name.trim().is_empty() {
        found.put("name", Finding::error("the launcher has no name"));
    }
    match (&launcher.machine, launcher.kind.is_person()) {
        (Some(_), true) => found.say(
            "machine",
            format!("`{}` is a person, who has no wheels", launcher.kind.word()),
            "leave `machine` out, or make the kind fixed, oscillating or per_ball",
        ),
        (None, false) => found.say(
            "kind",
            "a machine without `machine: (..)`",
            "say what it can do, or make the kind feeder or partner",
        ),
        (Some(machine), false) => {
            found.judge_spans(machine);
            found.judge_numbers(machine);
            found.judge_wheels(machine, launcher.kind);
        }
        (None, true) => {}
    }
    found.judge_dials(launcher);
    found.0
}

/// Whether a panel or a calibration can say this.
fn is_number(value: f64) -> bool {
    value.is_finite() && value.abs() < 1e4
}

/// What is found in a file.
#[derive(Default)]
struct JudgedParts(Vec<Judged>);

impl JudgedParts {
    /// A finding at a field, the names on the way to it joined by dots.
    fn put(&mut self, path: &str, finding: Finding) {
        self.0.push(Judged { path: path.split('.').map(ToOwned::to_owned).collect(), finding });
    }

    fn say(&mut self, path: &str, what: impl Into<String>, hint: &str) {
        self.put(path, Finding::error(what).hint(hint));
    }

    fn check(&mut self, path: &str, bound: &Bound, value: f64) {
        if let Err(error) = bound.check(value) {
            self.put(path, Finding::error(error.to_string()));
        }
    }

    fn judge_dials(&mut self, launcher: &Launcher) {
        for (place, Dial { name, least, most, notch, .. }) in launcher.dials.iter().enumerate() {
            let path = format!("dials.{place}");
            let is_read = is_number(*least) && is_number(*most);
            if !(is_read && least < most && *notch > 0.0 && *notch <= most - least) {
                self.say(
                    &path,
                    format!("the dial `{name}` runs from {least} to {most} in steps of {notch}"),
                    "the least is below the most and the notch is a step between them",
                );
            }
            if launcher.dials[..place].iter().any(|other| other.name == *name) {
                let what = format!("a second dial is called `{name}`");
                self.say(&path, what, "every dial has a name of its own");
            }
        }
        for (place, kept) in launcher.kept.iter().enumerate() {
            let dials = kept.dials.iter().map(|dial| dial.value);
            if !dials.chain(kept.nozzle_m).all(is_number) {
                let what = "a kept setting with a number that is none";
                self.say(&format!("kept.{place}"), what, "take it out; trimming finds it again");
            }
        }
        let Some(own) = &launcher.calibrated else { return };
        if !is_number(own.landing_off_m) {
            let what = format!("landings cannot be {} m off", own.landing_off_m);
            self.say("calibrated.landing_off_m", what, "`secondball launcher calibrate` writes it");
        }
        for (place, curve) in own.curves.iter().enumerate() {
            let rises = curve.points.windows(2).all(|pair| pair[0].dial < pair[1].dial);
            let mut points = curve.points.iter();
            let all =
                points.all(|at| [at.dial, at.makes, at.give_or_take].into_iter().all(is_number));
            let moved = curve.moved.iter().all(|by| is_number(by.from) && is_number(by.each));
            if curve.points.len() < 2 || !rises || !all || !moved {
                self.say(
                    &format!("calibrated.curves.{place}"),
                    format!("the curve of {} is none", curve.sets),
                    "at least two points by rising dial value; `secondball launcher calibrate` writes them",
                );
            }
        }
    }

    fn judge_spans(&mut self, machine: &ThrowingMachine) {
        let spans: [(&str, Bound, Span); 6] = [
            ("speed_m_s", SPEED, machine.speed_m_s),
            ("spin_rev_s", SPIN, machine.spin_rev_s),
            ("elevation_deg", bound("elevation", "degrees", -60.0, 90.0), machine.elevation_deg),
            ("azimuth_deg", bound("azimuth", "degrees", -90.0, 90.0), machine.azimuth_deg),
            ("outlet_height_m", OUTLET_HEIGHT, machine.outlet_height_m),
            ("rate_a_minute", bound("rate", "balls a minute", 1.0, 180.0), machine.rate_a_minute),
        ];
        for (field, bound, Span { least, most }) in spans {
            self.check(&format!("machine.{field}.least"), &bound, least);
            self.check(&format!("machine.{field}.most"), &bound, most);
            if least > most {
                let what =
                    format!("{} runs from {least} to {most}, the wrong way round", bound.what);
                self.say(&format!("machine.{field}"), what, "`least` first, `most` second");
            }
        }
    }

    fn judge_numbers(&mut self, machine: &ThrowingMachine) {
        let scatter = |of: fn(ThrowScatter) -> f64| machine.scatter.map(of);
        let stored = bound("stored balls", "", 0.0, 1000.0);
        let numbers: [(&str, Bound, Option<f64>); 9] = [
            ("chair_height_m", OUTLET_HEIGHT, machine.chair_height_m),
            ("on_table_height_m", OUTLET_HEIGHT, machine.on_table_height_m),
            ("start_delay_s", bound("start delay", "s", 0.0, 120.0), Some(machine.start_delay_s)),
            ("stored_balls", stored, Some(machine.stored_balls.into())),
            (
                "hopper_balls",
                bound("hopper", "balls", 1.0, 1000.0),
                Some(machine.hopper_balls.into()),
            ),
            ("scatter.speed_percent", SCATTER_PERCENT, scatter(|own| own.speed_percent)),
            ("scatter.spin_percent", SCATTER_PERCENT, scatter(|own| own.spin_percent)),
            ("scatter.elevation_deg", SCATTER_DEG, scatter(|own| own.elevation_deg)),
            ("scatter.azimuth_deg", SCATTER_DEG, scatter(|own| own.azimuth_deg)),
        ];
        for (field, bound, value) in numbers {
            self.check(&format!("machine.{field}"), &bound, value.unwrap_or(bound.least));
        }
    }

    fn judge_wheels(&mut self, machine: &ThrowingMachine, kind: LauncherKind) {
        let rises = machine.tied.windows(2).all(|pair| pair[0].speed_m_s < pair[1].speed_m_s);
        let is_bounded = machine.tied.iter().all(|point| {
            SPEED.check(point.speed_m_s).is_ok() && SPIN.check(point.spin_rev_s).is_ok()
        });
        match (machine.wheels, machine.tied.len()) {
            (Wheels::One, 0 | 1) => self.say(
                "machine.tied",
                "one wheel ties spin to speed, and `tied` does not say how",
                "at least two points: tied: [(speed_m_s: 4.0, spin_rev_s: 8.0), ..]",
            ),
            (Wheels::One, _) if !(rises && is_bounded) => {
                let what = "`tied` must rise in speed and stay in the bounds of speed and spin";
                self.put("machine.tied", Finding::error(what));
            }
            (Wheels::Two | Wheels::Three, 1..) => {
                let what = format!("{} leave the spin free: `tied` is not used", machine.wheels);
                self.put("machine.tied", Finding::warning(what));
            }
            _ => {}
        }
        if machine.head == HeadTurn::PerBall && kind != LauncherKind::PerBall {
            let of = if kind == LauncherKind::Fixed { "one setting at a time" } else { "a sweep" };
            let what = format!("a head that turns for every ball on a launcher with {of}");
            self.say("machine.head", what, "head: turned_by_hand, or kind: per_ball");
        }
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

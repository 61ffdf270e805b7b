//! A ball as it is set with a tape and paper, in words: marks, wheels, what else is turned, and
//! last the numbers for those who can read them.

use crate::base::Units;
use crate::game::TABLE_LENGTH_M;
use crate::launcher::{ByEye, Farther, KeptSetting, Settings};
use crate::page::launcher_words::{dials_words, fault_words, left_or_right, physics};

/// Labels and words of one setting, in the order in which they are used.
pub fn set_by_eye(settings: &Settings, units: Units) -> Vec<(&'static str, String)> {
    let mut lines = Vec::new();
    if let Some(eye) = &settings.by_eye {
        lines.push(("paper", marks(eye, units)));
        lines.extend(eye.farther.map(|farther| ("", farther_words(farther, units))));
        lines.extend(wheels(eye).map(|words| ("wheels", words)));
        lines.extend(head(eye).map(|words| ("turn", words)));
    }
    lines.extend(dials(settings).map(|words| ("dials", words)));
    lines.push(("numbers", physics(settings)));
    lines
}

/// The same of one ball of a list, as short as it can be said.
pub fn set_in_a_list(settings: &Settings, units: Units) -> String {
    let eye = settings.by_eye.as_ref();
    let at =
        |along_m: f64, across_m| format!("{}, {}", units.length(along_m), aside(across_m, units));
    let paper = eye.map(|eye| {
        let [along_m, across_m] = eye.lands_m;
        let lands = format!("lands {}", at(TABLE_LENGTH_M - along_m, across_m));
        eye.first_m.map_or_else(
            || lands.clone(),
            |[along_m, across_m]| format!("first {}; {lands}", at(along_m, across_m)),
        )
    });
    let entered = match (&settings.last, &settings.guess) {
        (Some(last), _) => format!("last time {}", dials_words(&last.dials)),
        _ if !settings.dials.is_empty() => dials_words(&settings.dials),
        (_, Some(guess)) => format!("about {}", dials_words(&guess.0)),
        _ => physics(settings),
    };
    let words = [paper, eye.and_then(wheels), eye.and_then(head), Some(entered)];
    words.into_iter().flatten().collect::<Vec<_>>().join("; ")
}

/// Where the paper lies.
fn marks(eye: &ByEye, units: Units) -> String {
    let [along_m, across_m] = eye.lands_m;
    let lands = units.length(TABLE_LENGTH_M - along_m);
    let lands = format!("lands {lands} from your end line, {}", aside(across_m, units));
    let Some([along_m, across_m]) = eye.first_m else { return format!("bounces once, {lands}") };
    let first = units.length(along_m);
    format!("first bounce {first} from their end line, {}; {lands}", aside(across_m, units))
}

/// `12 cm left`, of the centre line.
fn aside(across_m: f64, units: Units) -> String {
    match across_m.abs() {
        ..0.005 => "in the middle".to_owned(),
        m => format!("{} {}", units.length(m), left_or_right(across_m > 0.0)),
    }
}

fn farther_words(farther: Farther, units: Units) -> String {
    let lands = match farther {
        Farther::Moves(m) if m.abs() < 0.01 => "lands the same".to_owned(),
        Farther::Moves(m) => {
            let way = if m > 0.0 { "farther" } else { "shorter" };
            format!("lands {} {way}", units.length(m.abs()))
        }
        Farther::Fails(fault) => fault_words(fault).to_owned(),
    };
    format!("first bounce {} farther: {lands}", units.length(0.10))
}

/// Which wheel is faster, and by how much.
fn wheels(eye: &ByEye) -> Option<String> {
    let [upper, lower] = eye.rims_m_s?;
    let (fast, name, other) =
        if upper > lower { (upper, "upper", "lower") } else { (lower, "lower", "upper") };
    let share = fast / upper.min(lower).max(1e-9);
    let more = match share {
        ..1.1 => return Some("both alike".to_owned()),
        ..1.4 => "a little faster".to_owned(),
        ..1.75 => "half as fast again".to_owned(),
        ..2.5 => "twice as fast".to_owned(),
        ..4.5 => format!("{share:.0} times as fast"),
        _ => return Some(format!("{name} fast, {other} as slow as it turns")),
    };
    Some(format!("{name} {more}"))
}

/// What is turned by hand, and the whole launcher where its head does not turn so far.
fn head(eye: &ByEye) -> Option<String> {
    let head = eye.turned_head.map(|head| {
        let side = left_or_right(head.bends_left);
        format!("the head {:.0} degrees, until the ball bends {side}", head.deg)
    });
    let whole = eye.whole_deg.map(|deg| {
        let (deg, side) = (deg.abs().ceil(), left_or_right(deg > 0.0));
        let degrees = if deg < 2.0 { "degree" } else { "degrees" };
        format!("the whole launcher {deg:.0} {degrees} to the {side}: the head does not go so far")
    });
    let words: Vec<String> = head.into_iter().chain(whole).collect();
    (!words.is_empty()).then(|| words.join("; "))
}

/// `last time, Tue 24 Nov: upper 6.5, lower 3, chair 28 cm`.
pub fn last_words(last: &KeptSetting) -> String {
    let chair = format!(", chair {:.0} cm", last.nozzle_m[2] * 100.0);
    let chair = if last.on_chair { &chair } else { "" };
    format!("last time, {}: {}{chair}", last.on.spoken(), dials_words(&last.dials))
}

/// The dials: as last time, as calibrated, else guessed.
fn dials(settings: &Settings) -> Option<String> {
    match (&settings.last, &settings.guess) {
        (Some(last), _) => Some(last_words(last)),
        _ if !settings.dials.is_empty() => Some(dials_words(&settings.dials)),
        (_, Some(guess)) => {
            Some(format!("about {}: a guess, trim from there", dials_words(&guess.0)))
        }
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::flight::Fault;
    use crate::launcher::TurnedHead;

    fn eye() -> ByEye {
        ByEye {
            first_m: Some([0.485, -0.12]),
            lands_m: [1.81, 0.4],
            farther: None,
            rims_m_s: Some([2.5, 5.1]),
            turned_head: None,
            whole_deg: None,
        }
    }

    #[test]
    fn a_mark_is_measured_from_the_nearer_end_line_in_the_players_units() {
        assert_eq!(
            marks(&eye(), Units::Metric),
            "first bounce 48 cm from their end line, 12 cm right; lands 93 cm from your end line, \
             40 cm left"
        );
        let once = ByEye { first_m: None, lands_m: [1.81, 0.0], ..eye() };
        let said = marks(&once, Units::Imperial);
        assert_eq!(said, "bounces once, lands 36.6 in from your end line, in the middle");
    }

    #[test]
    fn the_faster_wheel_is_named_with_how_much_faster_it_runs() {
        let said = |upper, lower| wheels(&ByEye { rims_m_s: Some([upper, lower]), ..eye() });
        for (rims, words) in [
            ((5.0, 5.2), "both alike"),
            ((4.0, 5.0), "lower a little faster"),
            ((6.0, 4.0), "upper half as fast again"),
            ((2.5, 5.1), "lower twice as fast"),
            ((2.0, 6.2), "lower 3 times as fast"),
            ((-0.4, 9.0), "lower fast, upper as slow as it turns"),
        ] {
            assert_eq!(said(rims.0, rims.1).as_deref(), Some(words));
        }
        assert_eq!(wheels(&ByEye { rims_m_s: None, ..eye() }), None);
    }

    #[test]
    fn a_head_that_does_not_go_so_far_has_the_whole_launcher_turned() {
        let turned_head = Some(TurnedHead { deg: 45.0, bends_left: true });
        let said = head(&ByEye { turned_head, whole_deg: Some(-6.0), ..eye() }).unwrap();
        assert!(said.starts_with("the head 45 degrees, until the ball bends left"), "{said}");
        assert!(said.contains("the whole launcher 6 degrees to the right"), "{said}");
    }

    #[test]
    fn ten_centimetres_too_far_say_what_comes_of_it() {
        let said = |farther| farther_words(farther, Units::Metric);
        assert_eq!(said(Farther::Moves(-0.08)), "first bounce 10 cm farther: lands 8 cm shorter");
        let fails = said(Farther::Fails(Fault::Net));
        assert_eq!(fails, "first bounce 10 cm farther: does not clear the net");
    }
}

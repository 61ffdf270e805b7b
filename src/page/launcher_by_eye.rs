//! A ball as it is set with a tape and paper, in words: marks, wheels, what else is turned, and
//! last the numbers for those who can read them.

use crate::base::{Units, text};
use crate::game::TABLE_LENGTH_M;
use crate::launcher::{ByEye, DialSetting, Farther, KeptSetting, Settings};
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
    lines.push(("numbers", physics(settings, units)));
    lines
}

/// The same as short as it can be said: the marks, and what is entered; dials by their names, or
/// in their order alone.
pub fn set_in_a_list(settings: &Settings, units: Units, has_names: bool) -> SetInAList {
    let eye = settings.by_eye.as_ref();
    let at = |[along_m, across_m]: [f64; 2]| {
        let aside = match across_m.abs() {
            ..0.005 => "middle".to_owned(),
            m => format!("{} {}", units.bare(m), left_or_right(across_m > 0.0)),
        };
        format!("{}, {aside}", units.length(along_m))
    };
    let lands = |eye: &ByEye| {
        let [along_m, across_m] = eye.lands_m;
        at([TABLE_LENGTH_M - along_m, across_m])
    };
    let farther = |farther| match farther {
        Farther::Moves(m) => {
            let way = if m < 0.0 { "shorter" } else { "longer" };
            format!("{} farther, {} {way}", units.bare(0.10), units.bare(m.abs()))
        }
        Farther::Fails(_) => format!("{} farther misses", units.bare(0.10)),
    };
    let said = |dials: &[DialSetting]| {
        if has_names {
            return dials_words(dials);
        }
        dial_values(dials)
    };
    let entered = match (&settings.last, &settings.guess) {
        (Some(last), _) => Some(last_words(last)),
        _ if !settings.dials.is_empty() => Some(said(&settings.dials)),
        (_, Some(guess)) => Some(format!("about {}", said(&guess.0))),
        _ => None,
    };
    SetInAList {
        first: eye.and_then(|eye| eye.first_m).map(at),
        lands: eye.map(lands),
        farther: eye.and_then(|eye| eye.farther).map(farther),
        wheels: eye.and_then(wheels),
        head: eye.and_then(head),
        entered,
        physics: physics(settings, units),
    }
}

/// The values of dials, in their order.
pub fn dial_values(dials: &[DialSetting]) -> String {
    dials.iter().map(|dial| dial.value.to_string()).collect::<Vec<_>>().join(" ")
}

/// One ball's setting in short, each part apart.
pub struct SetInAList {
    /// Where it bounces first, on the launcher's half; none for a ball thrown straight.
    pub first: Option<String>,
    pub lands: Option<String>,
    /// What the first bounce farther on does to the landing.
    pub farther: Option<String>,
    pub wheels: Option<String>,
    pub head: Option<String>,
    pub entered: Option<String>,
    pub physics: String,
}

/// In which order the dials of these settings are entered.
pub fn order_of_dials<'s>(mut all: impl Iterator<Item = &'s Settings>) -> Option<String> {
    let dials = |it: &'s Settings| it.guess.as_ref().map_or(&it.dials, |guess| &guess.0);
    let dials = all.find_map(|it| Some(dials(it)).filter(|dials| !dials.is_empty()))?;
    let names: Vec<String> = dials.iter().map(|dial| text::one_line(&dial.name)).collect();
    Some(format!("Dials in this order: {}.", names.join(", ")))
}

/// What is entered where the dials were never calibrated: guessed, or unknown.
pub fn unlearned<'s>(all: impl Iterator<Item = &'s Settings>) -> Option<&'static str> {
    let all: Vec<&Settings> = all.collect();
    let has_guess = all.iter().any(|settings| settings.guess.is_some());
    let is_unknown = |it: &&Settings| it.dials.is_empty() && it.last.is_none();
    let is_unlearned = !all.is_empty() && all.iter().all(is_unknown);
    is_unlearned.then_some(if has_guess {
        "Dials are a guess to trim from: secondball launcher trim --help"
    } else {
        "Your dials are unknown: set the ball by its marks, or teach them once: secondball launcher calibrate --help"
    })
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
        format!("head {:.0} degrees, it bends {side}", head.deg)
    });
    let whole = eye.whole_deg.map(|deg| {
        let (deg, side) = (deg.abs().ceil(), left_or_right(deg > 0.0));
        let degrees = if deg < 2.0 { "degree" } else { "degrees" };
        format!("the whole launcher {deg:.0} {degrees} to the {side}")
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
        assert_eq!(said, "bounces once, lands 36.5 in from your end line, in the middle");
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
        assert!(said.starts_with("head 45 degrees, it bends left"), "{said}");
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

//! What `launcher` and `flight` give as data, in words: what is lost of a serve, what to mind,
//! where to stand. In JSON and in templates the words stand for the data.

use serde::{Serialize, Serializer};

use crate::base::{Units, text};
use crate::flight::Fault;
use crate::flight::aim::{Aimed, Band, Miss, Refusal};
use crate::game::{Depth, Spin, TABLE_HEIGHT_M};
use crate::launcher::{
    AimNote, Beyond, DialSetting, Guess, HeadTurn, Limit, NoBall, Obstacle, SetUp, Settings, Stand,
};

impl Serialize for Limit {
    fn serialize<S: Serializer>(&self, to: S) -> Result<S::Ok, S::Error> {
        Loss::tell(self).serialize(to)
    }
}

impl Serialize for NoBall {
    fn serialize<S: Serializer>(&self, to: S) -> Result<S::Ok, S::Error> {
        NoBallWords::tell(self).serialize(to)
    }
}

impl Serialize for AimNote {
    fn serialize<S: Serializer>(&self, to: S) -> Result<S::Ok, S::Error> {
        to.serialize_str(&note_words(self))
    }
}

impl Serialize for Guess {
    fn serialize<S: Serializer>(&self, to: S) -> Result<S::Ok, S::Error> {
        to.serialize_str(&dials_words(&self.0))
    }
}

/// Something of a serve that is lost: what, why, and the nearest thing, which is what is thrown.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Loss {
    pub what: String,
    pub why: String,
    pub nearest: String,
}

fn loss(what: impl Into<String>, why: impl Into<String>, nearest: impl Into<String>) -> Loss {
    Loss { what: what.into(), why: why.into(), nearest: nearest.into() }
}

impl Loss {
    pub fn tell(limit: &Limit) -> Self {
        let unseen = |part: &str, nearest: String| {
            loss(format!("the {part}"), "nobody has seen it yet", nearest)
        };
        match *limit {
            Limit::UnseenLane(lane) => unseen("lane", format!("to the {lane}")),
            Limit::UnseenDepth(depth) => unseen("depth", depth.to_string()),
            Limit::UnseenSpin(spin) => unseen("spin", spin.to_string()),
            Limit::UnseenBreak(side) => {
                unseen("side its spin bends to", format!("to the receiver's {side}"))
            }
            Limit::FedCorkscrew => loss(
                "corkscrew spin",
                "a feed from the hand has no swing around the line of flight",
                "sidespin with the same bend",
            ),
            Limit::OwnHalf { why, depth, fed, is_from_table } => loss(
                "the bounce on its own half",
                obstacle_words(why),
                fed_instead(depth, fed, is_from_table),
            ),
            Limit::NotAsServed(why) => loss(
                "the pace or the low flight of the serve",
                obstacle_words(why),
                "the same ball slower or higher; stand half a step closer",
            ),
            Limit::LighterSpin { why, rev_s, instead_rev_s } => loss(
                format!("{rev_s:.0} rev/s"),
                obstacle_words(why),
                format!("the same spin at {instead_rev_s:.0} rev/s"),
            ),
            Limit::OtherDepth { why, depth, instead } => loss(
                format!("a {depth} ball"),
                obstacle_words(why),
                format!("the same ball {instead}"),
            ),
            Limit::Corkscrew | Limit::SideSpin { .. } | Limit::TiedSpin { .. } => {
                Self::tell_spin(limit)
            }
            Limit::WrongWay(spin) => {
                loss(spin.shown(), "its wheels do not turn that way", "no spin")
            }
            Limit::TooMuchSpin { rev_s, most_rev_s } => loss(
                format!("{rev_s:.0} rev/s"),
                format!("it makes {most_rev_s:.0} rev/s at most"),
                format!("the same spin at {most_rev_s:.0} rev/s"),
            ),
        }
    }

    /// A kind of spin that wheels do not make.
    fn tell_spin(limit: &Limit) -> Self {
        match *limit {
            Limit::SideSpin { spin, wheels, head, instead } => loss(
                format!("the sidespin of {spin}"),
                if head == HeadTurn::ByHand {
                    format!("{wheels} make it only after the head is turned by hand")
                } else {
                    format!("{wheels} and {head} make none")
                },
                format!("{instead} with the same receive; keep the bat angle you would need"),
            ),
            Limit::TiedSpin { spin, rev_s, has, has_rev_s } => loss(
                format!("{} of its own choice", spin_words(spin, rev_s)),
                "one wheel ties spin to speed",
                format!("{has}, about {has_rev_s:.0} rev/s at this speed"),
            ),
            _ => loss(
                "corkscrew spin",
                "wheels cannot turn the ball about its line of flight",
                "sidespin: it swerves in the air but does not jump at the bounce",
            ),
        }
    }
}

/// What stands in the way, and what would do.
fn obstacle_words(why: Obstacle) -> String {
    match why {
        Obstacle::OnTable => "it stands on the table".to_owned(),
        Obstacle::NotDown { least_deg, would_do_deg } => format!(
            "it points {:.0} degrees down at most; {:.0} would do",
            (-least_deg).max(0.0),
            (-would_do_deg).ceil()
        ),
        Obstacle::TooFast { least_m_s, would_do_m_s } => {
            format!("its slowest ball leaves with {least_m_s:.1} m/s; {would_do_m_s:.1} would do")
        }
        Obstacle::TooSlow { most_m_s, would_do_m_s } => {
            format!("its fastest ball leaves with {most_m_s:.1} m/s; {would_do_m_s:.1} would do")
        }
        Obstacle::Height { height_m, would_do_m } => format!(
            "the nozzle is {:.0} cm above the table; from {} it can",
            height_m * 100.0,
            cm_below(would_do_m)
        ),
        Obstacle::Several => "no ball it throws from there does it".to_owned(),
    }
}

/// A height that would do, in whole centimetres.
pub(super) fn cm_below(would_do_m: f64) -> String {
    format!("{:.0} cm", (would_do_m * 100.0).floor())
}

fn fed_instead(depth: Depth, fed: Depth, is_from_table: bool) -> String {
    if is_from_table {
        return format!("a {fed} ball that bounces once, thrown from the table");
    }
    let plain = format!("a {fed} ball that bounces once");
    if fed == depth {
        return plain;
    }
    format!("{plain}: a {depth} one cannot be fed from there")
}

/// `backspin about 35 rev/s`, `no spin`.
pub fn spin_words(spin: Spin, rev_s: f64) -> String {
    match spin {
        Spin::Dead => Spin::Dead.shown().to_owned(),
        spin => format!("{spin} about {rev_s:.0} rev/s"),
    }
}

/// The place of a launcher, lengths in the player's units.
pub fn set_up_words(set_up: &SetUp, units: Units) -> String {
    let parts = set_up_parts(set_up, units);
    let [place, along, across, table, floor, chair @ ..] = &parts[..] else {
        return parts.join(", ");
    };
    let chair = if chair.is_empty() { "" } else { ", " }.to_owned() + &chair.join(", ");
    format!("nozzle {along}, {across}, {table}, {floor}; {place}{chair}")
}

/// The nozzle, and the chair under the launcher; not whose corner that is.
pub fn stand_words(set_up: &SetUp, units: Units) -> String {
    let mut parts = set_up_parts(set_up, units);
    if parts.len() > 1 {
        parts.remove(0);
    }
    parts.join(", ")
}

/// What is another about this set-up than about that one.
pub fn move_words(set_up: &SetUp, from: &SetUp, units: Units) -> String {
    let known = set_up_parts(from, units);
    let mut parts = set_up_parts(set_up, units);
    parts.rotate_left(1);
    parts.retain(|part| !known.contains(part));
    parts.join(", ")
}

/// The place, then where the nozzle is.
fn set_up_parts(set_up: &SetUp, units: Units) -> Vec<String> {
    let place = match set_up.stand {
        Stand::Corner => format!("at the server's {}", set_up.from),
        Stand::FartherBehind => format!("farther behind the server's {}", set_up.from),
        Stand::OnTable => set_up.stand.shown().to_owned(),
    };
    let Some(height_m) = set_up.outlet_height_m else { return vec![place] };
    let chair = set_up.on_chair.then(|| "legs short, on a wedged chair".to_owned());
    [place].into_iter().chain(nozzle_words(set_up, height_m, units)).chain(chair).collect()
}

/// Where a nozzle is: along, across, above the table, above the floor.
pub(super) fn nozzle_words(set_up: &SetUp, height_m: f64, units: Units) -> [String; 4] {
    let is_on_table = set_up.behind_line_m < 0.0;
    let along = if is_on_table { "in from" } else { "behind" };
    let across = match set_up.across_m.abs() {
        ..0.05 => "on the centre line".to_owned(),
        m => {
            let side = left_or_right(set_up.across_m > 0.0);
            format!("{} {side} of the centre line", units.length(m))
        }
    };
    [
        format!("{} {along} their end line", units.length(set_up.behind_line_m.abs())),
        across,
        format!("{} above the table", units.length(height_m)),
        format!("{} above the floor", units.length(TABLE_HEIGHT_M + height_m)),
    ]
}

/// What to mind of an aimed ball.
fn note_words(note: &AimNote) -> String {
    match *note {
        AimNote::OtherPace { pace, time_s } => format!(
            "not as {pace} as the serve from there: {time_s:.2} s to the landing is what it has"
        ),
        AimNote::Higher { apex_m } => {
            format!("flies higher and later than a real serve: {:.0} cm at its top", apex_m * 100.0)
        }
        AimNote::Unshaded => "no room for the small change: the plain ball".to_owned(),
        AimNote::Uncalibrated(Beyond { quantity, value, first, last }) => format!(
            "{quantity}: {value:.1} lies outside the {first:.1} to {last:.1} that was calibrated"
        ),
        AimNote::FaultAtNotches(fault) => {
            format!("at the nearest notches it {}: trim before the block", fault_words(fault))
        }
        AimNote::MovedByNotches { depth, by_m } => format!(
            "the nearest notches make it {depth}: its next bounce {:.0} cm {}",
            by_m.abs() * 100.0,
            if by_m > 0.0 { "farther" } else { "shorter" }
        ),
    }
}

pub(super) const fn left_or_right(is_left: bool) -> &'static str {
    if is_left { "left" } else { "right" }
}

/// What an illegal ball does: `does not clear the net`.
pub const fn fault_words(fault: Fault) -> &'static str {
    match fault {
        Fault::MissesOwnHalf => "does not bounce on the server's own half first",
        Fault::Net => "does not clear the net",
        Fault::MissesReceiversHalf => "does not land on the receiver's half",
    }
}

/// Why there is no ball, and the nearest thing when anything legal is near.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct NoBallWords {
    pub why: String,
    pub nearest: Option<String>,
}

impl NoBallWords {
    pub fn tell(no_ball: &NoBall) -> Self {
        match no_ball {
            NoBall::Person => Self {
                why: "a person has no settings".to_owned(),
                nearest: Some(
                    "feed or serve it from the call sheet: secondball rehearse".to_owned(),
                ),
            },
            NoBall::Refused(refusal) => Self {
                why: refusal_words(refusal),
                nearest: refusal.nearest.as_ref().map(nearest_words),
            },
        }
    }
}

fn nearest_words(near: &Aimed) -> String {
    format!(
        "{}, landing {:.2} m and next {:.2} m from its end line, {:.1} m/s at {:.0} degrees",
        near.outcome.depth,
        near.outcome.bounce_m[0],
        near.outcome.next_bounce_x_m,
        near.launch.speed_m_s,
        near.launch.elevation_deg
    )
}

fn refusal_words(refusal: &Refusal) -> String {
    let mut words = "no ball does all of that".to_owned();
    if let Some(miss) = refusal.misses.first().or(refusal.limits.first()) {
        words = format!("{words}: {}", miss_words(miss));
    }
    if let Some(limit) = refusal.limits.first().filter(|_| !refusal.misses.is_empty()) {
        let (what, who) = (limit.measure.what(), limit.origin.words());
        words = format!("{words}; what stands in the way is the {what} ({who})");
    }
    words
}

fn miss_words(miss: &Miss) -> String {
    let (what, unit) = (miss.measure.what(), miss.measure.unit());
    let digits = if unit == "degrees" { 1 } else { 2 };
    let Band { least, most } = miss.band;
    let wanted = if miss.band.is_exact() {
        format!(" instead of {least:.digits$} {unit}")
    } else if miss.got < least {
        format!(", and has to be at least {least:.digits$} {unit}")
    } else {
        format!(", and has to be at most {most:.digits$} {unit}")
    };
    format!("`{what}` would be {:.digits$} {unit}{wanted} ({})", miss.got, miss.origin.words())
}

/// What is thrown, in physics.
pub fn physics(settings: &Settings, units: Units) -> String {
    let sided =
        |value: f64, sides: [&'static str; 2]| (value.abs(), sides[usize::from(value < 0.0)]);
    let (up_deg, up) = sided(settings.elevation_deg, ["up", "down"]);
    let (aside_deg, aside) = sided(settings.azimuth_deg, ["left", "right"]);
    let spins = [
        sided(settings.top_rev_s, ["topspin", "backspin"]),
        sided(settings.side_rev_s, ["sidespin left", "sidespin right"]),
    ]
    .map(|(rev_s, kind)| (rev_s >= 0.5).then(|| format!("{kind} {rev_s:.0}")));
    let spins: Vec<String> = spins.into_iter().flatten().collect();
    let spins = match spins[..] {
        [] => "no spin".to_owned(),
        _ => format!("{} rev/s", spins.join(", ")),
    };
    let speed = units.speed(settings.speed_m_s);
    format!("{speed}, {up_deg:.1} degrees {up}, {aside_deg:.1} {aside}, {spins}")
}

/// `speed 5, spin -3`: dials in entry order.
pub fn dials_words(dials: &[DialSetting]) -> String {
    let each = dials.iter().map(|dial| format!("{} {}", text::one_line(&dial.name), dial.value));
    each.collect::<Vec<_>>().join(", ")
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::game::Side;
    use crate::launcher::Wheels;

    #[test]
    fn what_is_lost_is_said_with_its_reason_and_its_nearest() {
        let spin = Spin::SideBackspin;
        let (wheels, head) = (Wheels::Two, HeadTurn::Upright);
        let side = Loss::tell(&Limit::SideSpin { spin, wheels, head, instead: Spin::Backspin });
        assert_eq!(side.why, "two wheels and a head that does not turn make none");
        let fed =
            |why, depth, fed| Loss::tell(&Limit::OwnHalf { why, depth, fed, is_from_table: false });
        let why = Obstacle::Height { height_m: 0.40, would_do_m: 0.286 };
        let high = fed(why, Depth::Short, Depth::HalfLong);
        assert_eq!(high.why, "the nozzle is 40 cm above the table; from 28 cm it can");
        assert!(high.nearest.contains("a short one cannot be fed from there"), "{high:?}");
        let why = Obstacle::NotDown { least_deg: -3.0, would_do_deg: -9.4 };
        let flat = fed(why, Depth::Long, Depth::Long);
        assert_eq!(flat.why, "it points 3 degrees down at most; 10 would do");
        let unseen = Loss::tell(&Limit::UnseenBreak(Side::Right));
        assert_eq!(unseen.what, "the side its spin bends to");
        assert_eq!(unseen.nearest, "to the receiver's right");
    }
}

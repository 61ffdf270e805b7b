//! Invented launchers whose table and dials are known because they are made up here, and how often
//! what a calibration prints of them holds for balls it has not seen.
//!
//! A ball is thrown with the true constants and dials, the launcher's scatter and marks read to a
//! centimetre; the calibration sees the marks only. Most kinds are none that it could write down:
//! a dial that saturates, one that jumps, spin that grows with the speed.

use secondball::base::Dice;
use secondball::flight::aim::Scatter;
use secondball::flight::aim::scatter::scattered;
use secondball::flight::constants::Surface;
use secondball::flight::{Constants, Launch, Path, SpinRate, Throw, Until, fly};
use secondball::launcher::{At, Control, Curve, Launcher, Learned, Quantity, SeenBall, calibrate};
use secondball::store::judge_launcher;

pub const OUTLET_M: [f64; 3] = [-0.2, 0.0, 0.25];
/// Where on the dials of the shipped launcher somebody looks for balls: speed, spin, side, height,
/// direction.
const REACH: [(f64, f64); 5] = [(2.0, 11.0), (-10.0, 10.0), (-6.0, 6.0), (5.0, 36.0), (-9.0, 9.0)];
/// Balls of each calibration that it has not seen.
const FRESH: usize = 12;

/// An invented launcher.
#[derive(Clone)]
pub struct Thrower {
    pub launcher: Launcher,
    pub constants: Constants,
    /// What the dials of speed, topspin, side spin, elevation and azimuth make, each of its own.
    pub makes: [fn(f64) -> f64; 5],
    /// The dial each is read at.
    pub dial_of: [usize; 5],
    /// What the dials together add.
    pub moves: fn(&[f64]) -> [f64; 5],
    /// Scatter in parts of that on file.
    pub scatter: f64,
    /// One ball in ten scatters five times as much.
    pub is_wild: bool,
}

impl Thrower {
    /// Straight dials that set one thing each.
    pub fn straight() -> Self {
        let text = include_str!("../fixtures/launchers/panel.ron");
        let surface = Surface { restitution: 0.915, friction: 0.22 };
        let mut constants = Constants { surface, ..Constants::default() };
        constants.air.drag = 0.51;
        Self {
            launcher: judge_launcher("panel.ron", text).unwrap().value,
            constants,
            makes: [
                |dial| 2.5 + 0.75 * dial,
                |dial| 1.0 + 4.2 * dial,
                |dial| 3.5 * dial,
                |dial| -24.0 + 1.1 * dial,
                |dial| 0.5 + 1.8 * dial,
            ],
            dial_of: [0, 1, 2, 3, 4],
            moves: |_| [0.0; 5],
            scatter: 1.0,
            is_wild: false,
        }
    }

    /// All kinds, each with its name.
    pub fn kinds() -> Vec<(&'static str, Self)> {
        let straight = Self::straight();
        let making = |at: usize, makes: fn(f64) -> f64| {
            let mut kind = straight.clone();
            kind.makes[at] = makes;
            kind
        };
        let moving = |moves| Self { moves, ..straight.clone() };
        vec![
            ("straight", straight.clone()),
            ("straight, half the scatter", Self { scatter: 0.5, ..straight.clone() }),
            ("straight, twice the scatter", Self { scatter: 2.0, ..straight.clone() }),
            ("straight, one ball in ten wild", Self { is_wild: true, ..straight.clone() }),
            (
                "speed bent",
                making(0, |dial| 2.5 + 0.75 * dial + 0.06 * (dial - 2.0) * (11.0 - dial)),
            ),
            ("speed saturates", making(0, |dial| 11.5 - 9.5 * (-dial / 5.0).exp())),
            (
                "height bent",
                making(3, |dial| -24.0 + 1.1 * dial - 0.016 * (dial - 5.0) * (36.0 - dial)),
            ),
            (
                "height jumps 3 degrees",
                making(3, |dial| -24.0 + 1.1 * dial + if dial > 20.0 { 3.0 } else { 0.0 }),
            ),
            ("spin saturates", making(1, |dial| 42.0 * (dial / 5.0).tanh())),
            ("speed raises the height", moving(|d| [0.0, 0.0, 0.0, 0.45 * (d[0] - 6.5), 0.0])),
            ("side moves the direction", moving(|d| [0.0, 0.0, 0.0, 0.0, 0.5 * d[2]])),
            (
                "spin costs speed, lifts",
                moving(|d| [-0.06 * d[1].abs(), 0.0, 0.0, 0.25 * d[1], 0.0]),
            ),
            ("spin grows with speed", moving(|d| [0.0, 0.35 * d[1] * (d[0] - 6.5), 0.0, 0.0, 0.0])),
            (
                "bent and coupled",
                Self {
                    moves: |d| [-0.05 * d[1].abs(), 0.0, 0.0, 0.35 * (d[0] - 6.5), 0.3 * d[2]],
                    ..making(0, |dial| 2.5 + 0.75 * dial + 0.05 * (dial - 2.0) * (11.0 - dial))
                },
            ),
        ]
    }

    /// What the dials make, without scatter.
    pub fn makes(&self, dials: &[f64]) -> [f64; 5] {
        let moved = (self.moves)(dials);
        std::array::from_fn(|at| (self.makes[at])(dials[self.dial_of[at]]) + moved[at])
    }

    /// Legal balls at random dial values, every second one like a serve: the dials as entered and
    /// the thrown path.
    fn throws(&self, count: usize, dice: &mut Dice) -> Vec<(Vec<f64>, Path, Throw)> {
        let mut thrown = Vec::new();
        while thrown.len() < count {
            let dials: Vec<f64> = self
                .launcher
                .dials
                .iter()
                .map(|dial| {
                    let which = [
                        Control::Speed,
                        Control::Spin,
                        Control::SideSpin,
                        Control::Elevation,
                        Control::Azimuth,
                    ];
                    let which = which.iter().position(|control| *control == dial.sets).unwrap();
                    let (least, most) =
                        if dial.most <= 3.0 { (dial.least, dial.most) } else { REACH[which] };
                    let steps = ((most - least) / dial.notch * dice.unit()).round();
                    least + steps * dial.notch
                })
                .collect();
            let wanted = if thrown.len().is_multiple_of(2) { Throw::Serve } else { Throw::Feed };
            let even = launch(self.makes(&dials));
            let safe = flown(&even, &self.constants)
                .is_some_and(|(path, throw)| throw == wanted && is_safe(&path, throw));
            if !safe {
                continue;
            }
            let wild = if self.is_wild && dice.chance(0.1) { 5.0 } else { 1.0 };
            let Scatter { speed_share, angle_deg, spin_share } = Scatter::default();
            let times = wild * self.scatter;
            let scatter = Scatter {
                speed_share: times * speed_share,
                angle_deg: times * angle_deg,
                spin_share: times * spin_share,
            };
            let uneven = flown(&scattered(&even, &scatter, dice), &self.constants);
            if let Some((path, throw)) = uneven.filter(|(_, throw)| *throw == wanted) {
                thrown.push((dials, path, throw));
            }
        }
        thrown
    }

    /// So many balls as somebody reads their marks.
    pub fn balls(&self, count: usize, seed: u64) -> Vec<SeenBall> {
        let mut dice = Dice::for_part(seed, "balls");
        let thrown = self.throws(count, &mut dice).into_iter().enumerate();
        let mut mark = |metres: f64| metres + 0.01 * dice.normal();
        thrown
            .map(|(at, (dials, path, throw))| {
                let lands = path.receiver_bounce(throw).unwrap();
                SeenBall {
                    line: at + 2,
                    dials,
                    first_x_m: path.own_bounce(throw).map(|own| mark(own.x_m())),
                    land_m: [mark(lands.x_m()), mark(lands.y_m())],
                    next_x_m: path.next_bounce(throw).map(|next| mark(next.x_m())),
                    is_by_eye: false,
                }
            })
            .collect()
    }
}

fn launch([speed_m_s, top_rev_s, side_rev_s, elevation_deg, azimuth_deg]: [f64; 5]) -> Launch {
    let spin = SpinRate { top_rev_s, side_rev_s, gyro_rev_s: 0.0 };
    Launch { outlet_m: OUTLET_M, speed_m_s, elevation_deg, azimuth_deg, spin }
}

/// The path of a launch and how it was thrown, when it is legal.
fn flown(launch: &Launch, constants: &Constants) -> Option<(Path, Throw)> {
    let path = fly(launch, constants, Until::default()).ok()?;
    let is_service = path.bounces.first()?.x_m() < 1.37;
    let throw = if is_service { Throw::Serve } else { Throw::Feed };
    path.fault(throw).is_none().then_some((path, throw))
}

/// Whether somebody would throw such a ball to learn from: not one that clips the net or an edge
/// now and then.
fn is_safe(path: &Path, throw: Throw) -> bool {
    let lands = path.receiver_bounce(throw).unwrap();
    path.net_clearance_m().is_some_and(|air| air > 0.03)
        && (1.5..2.6).contains(&lands.x_m())
        && lands.y_m().abs() < 0.65
        && path.own_bounce(throw).is_none_or(|own| (0.1..1.25).contains(&own.x_m()))
}

/// So many held of so many.
#[derive(Debug, Default, Clone, Copy)]
pub struct Held(pub u32, pub u32);

impl Held {
    fn add(&mut self, holds: bool) {
        *self = Self(self.0 + u32::from(holds), self.1 + 1);
    }

    pub fn with(self, other: Self) -> Self {
        Self(self.0 + other.0, self.1 + other.1)
    }

    pub fn percent(self) -> f64 {
        100.0 * f64::from(self.0) / f64::from(self.1.max(1))
    }
}

/// What came of the printed ranges of one calibration.
#[derive(Debug, Default, Clone)]
pub struct Kept {
    /// Of each quantity, what fresh dials make against the curve there, inside the thrown values.
    pub numbers: [Held; 5],
    pub constants: Held,
    /// Landings of fresh balls.
    pub landings: Held,
    /// Widths of each quantity there, summed.
    pub widths: [f64; 5],
    pub landing_m: f64,
}

impl Kept {
    /// Calibrates with so many balls and throws fresh ones; none where the calibration refuses.
    pub fn of(thrower: &Thrower, balls: usize, seed: u64) -> Option<(Self, Learned)> {
        let learned =
            calibrate(&thrower.launcher, OUTLET_M, &[], &thrower.balls(balls, seed)).ok()?;
        let mut kept = Self::default();
        let Constants { surface, air, .. } = thrower.constants;
        for (said, is) in [
            (learned.friction, surface.friction),
            (learned.restitution, surface.restitution),
            (learned.drag, air.drag),
        ] {
            kept.constants.add((said.value - is).abs() <= said.give_or_take);
        }
        let fresh = thrower.throws(FRESH, &mut Dice::for_part(seed, "fresh"));
        for (dials, path, throw) in fresh {
            let truth = thrower.makes(&dials);
            let mut said = [0.0; 5];
            let mut is_inside = true;
            for (at, &quantity) in Quantity::ALL.iter().enumerate() {
                let dial = dials[thrower.dial_of[at]];
                let Some(curve) = learned.calibrated.curve(quantity) else { continue };
                let by = |by: Quantity| dials[thrower.dial_of[by as usize]];
                said[at] = curve.makes(dial) + curve.moves(by);
                is_inside &= curve.covers(dial);
                if curve.covers(dial) {
                    let width = give_or_take(curve).makes(dial);
                    kept.numbers[at].add((said[at] - truth[at]).abs() <= width);
                    kept.widths[at] += width;
                }
            }
            if is_inside {
                let predicted = flown(&launch(said), &learned.constants)
                    .filter(|(_, predicted)| *predicted == throw);
                let lands = path.receiver_bounce(throw).unwrap();
                let off = predicted.and_then(|(predicted, throw)| {
                    let there = predicted.receiver_bounce(throw)?;
                    Some((there.x_m() - lands.x_m()).hypot(there.y_m() - lands.y_m()))
                });
                let range = learned.calibrated.landing_within_m();
                kept.landings.add(off.is_some_and(|off| off <= range));
            }
        }
        kept.landing_m = learned.calibrated.landing_within_m();
        Some((kept, learned))
    }
}

/// The printed plus or minus between the points of a curve.
fn give_or_take(curve: &Curve) -> Curve {
    let points = curve.points.iter().map(|at| At { makes: at.give_or_take, ..*at });
    Curve { points: points.collect(), ..curve.clone() }
}

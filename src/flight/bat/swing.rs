//! A swing at a ball and what becomes of it: the face that brings it to a target, and its end with
//! any other face, ball or speed.
//!
//! Frame and units as everywhere in `flight`: the struck ball flies to -x. A face stands upright at
//! 0 degrees, open above, closed below; turned aside it looks to +y, the receiver's right.

use std::f64::consts::TAU;

use glam::{DMat2, DVec2};
use serde::{Deserialize, Serialize};

use super::law::{BatLaw, Hit};
use super::meeting::point_of;
use crate::flight::constants::{Constants, END_LINE_X_M, SIDE_LINE_Y_M};
use crate::flight::motion::BallMotion;
use crate::flight::path::{COARSE_STEP_S, Path, Until, Watch, follow_for, follow_sampled};
use crate::game::{NET_X_M, TABLE_HEIGHT_M, Timing};

/// Over the net with more air than this a ball is there to be put away, metres: common practice.
pub const HIGH_M: f64 = 0.30;
/// Unless it kicks on with so much topspin, rad/s.
const LIVELY_RAD_S: f64 = 30.0 * TAU;
/// Above this share of the impulse at a right angle to the face the law shows a tolerance that is
/// not there.
const MOST_BRUSH: f64 = 1.0;
/// Half the bat's width: what has to pass over the table, metres.
const BAT_M: f64 = 0.04;

/// A stroke's swing as it meets the ball.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct BatSwing {
    /// The ways to swing it, the usual one first; looking straight ahead.
    pub ways: [BatAt; 3],
    /// The whole stroke turns with the face, as in a push; else the path stays and the face turns.
    pub turns_whole: bool,
    /// How long the swing is before the ball, metres.
    pub length_m: f64,
}

/// How the bat moves and looks at the ball.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct BatAt {
    pub bat_m_s: f64,
    /// Degrees it moves upwards.
    pub up_deg: f64,
    /// Degrees its face is open; below zero it is closed.
    pub open_deg: f64,
    /// Degrees the swing and the face look to +y.
    pub aside_deg: f64,
}

/// What becomes of a ball.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum BallEnd {
    Lands,
    /// It lands, and is there to be put away.
    High,
    Aside,
    Long,
    Net,
}

impl BallEnd {
    /// On the table, and no present.
    pub fn is_good(self) -> bool {
        self == Self::Lands
    }

    /// On the table, as a present or not.
    pub fn is_on_table(self) -> bool {
        matches!(self, Self::Lands | Self::High)
    }
}

/// A ball after it was hit.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SentBall {
    pub end: BallEnd,
    /// The ball as it leaves; as it came where it was not met.
    pub after: BallMotion,
    /// Where it comes down on the plane of the table: metres beyond the net, and y.
    pub landing_m: [f64; 2],
    /// Air over the net, metres; below zero it does not get over.
    pub over_net_m: f64,
    /// As in [`Hit`].
    pub brush: f64,
}

impl BatAt {
    /// The face's normal and the bat's velocity.
    pub fn vectors(&self) -> ([f64; 3], [f64; 3]) {
        let (aside, ahead) = self.aside_deg.to_radians().sin_cos();
        let towards = |elevation_deg: f64, length: f64| {
            let (up, level) = elevation_deg.to_radians().sin_cos();
            [-length * level * ahead, length * level * aside, length * up]
        };
        (towards(self.open_deg, 1.0), towards(self.up_deg, self.bat_m_s))
    }

    /// Hits a ball.
    pub fn answer(&self, law: &BatLaw, constants: &Constants, ball: &BallMotion) -> SentBall {
        let (normal, bat_m_s) = self.vectors();
        let Some(hit) = law.hit(constants.ball.radius_m, ball, normal, bat_m_s) else {
            let (landing_m, over_net_m) = ([-NET_X_M, 0.0], -TABLE_HEIGHT_M);
            return SentBall { end: BallEnd::Net, after: *ball, landing_m, over_net_m, brush: 0.0 };
        };
        let until = Until { bounces: 1, time_s: 3.0 };
        let back = turned_round(&hit.after);
        let path = follow_for(&back, constants, until, COARSE_STEP_S, Watch::BouncesAndNet);
        answer_of(&path, &hit)
    }

    /// The points of a ball that was hit, up to where it comes down or the net stops it.
    pub fn flown(&self, law: &BatLaw, constants: &Constants, ball: &BallMotion) -> Vec<[f64; 3]> {
        let (normal, bat_m_s) = self.vectors();
        let Some(hit) = law.hit(constants.ball.radius_m, ball, normal, bat_m_s) else {
            return Vec::new();
        };
        let until = Until { bounces: 1, time_s: 1.5 };
        let path = follow_sampled(&turned_round(&hit.after), constants, until, COARSE_STEP_S / 2.0);
        let is_over = path.net_clearance_m() >= Some(0.0);
        let points = path.samples.iter().map(|sample| sample.position_m);
        let points = points.take_while(|at| is_over || at[0] <= NET_X_M);
        points.map(|[x, y, z]| [END_LINE_X_M - x, -y, z]).collect()
    }
}

impl BatSwing {
    /// The bat with its face turned open by so much, and its path with it where the stroke turns
    /// as a whole.
    #[must_use]
    pub fn turned(&self, at: BatAt, open_deg: f64) -> BatAt {
        let up_deg = if self.turns_whole { at.up_deg + open_deg } else { at.up_deg };
        BatAt { up_deg, open_deg: at.open_deg + open_deg, ..at }
    }

    /// True when the table leaves room to swing this way at a ball there.
    pub fn has_room(&self, ball: &BallMotion, at: BatAt) -> bool {
        let [x_m, _, z_m] = ball.position_m;
        let over_table_m = (END_LINE_X_M - x_m).clamp(0.0, self.length_m);
        over_table_m <= 0.0 || z_m - over_table_m * at.up_deg.to_radians().tan() >= BAT_M
    }

    /// How the bat may look so that the ball lands there, swung one way: low and high flights, by
    /// Newton on turn and direction from wherever the landing is passed. Empty when no face does
    /// it, or only by brushing harder than the law is good for.
    pub fn solve(
        &self,
        law: &BatLaw,
        constants: &Constants,
        ball: &BallMotion,
        way: BatAt,
        landing_m: [f64; 2],
    ) -> Vec<BatAt> {
        let beyond = |turn: i32| {
            let at = self.turned(way, f64::from(turn) * SCAN_DEG);
            at.answer(law, constants, ball).landing_m[0] - landing_m[0]
        };
        let all: Vec<f64> = (-SCANNED..=SCANNED).map(beyond).collect();
        let passed = (-SCANNED..).zip(all.windows(2)).filter(|(_, two)| two[0] * two[1] < 0.0);
        let turns =
            passed.map(|(turn, two)| SCAN_DEG * (f64::from(turn) + two[0] / (two[0] - two[1])));
        turns
            .filter_map(|turn_deg| {
                self.newton(law, constants, ball, self.turned(way, turn_deg), landing_m)
            })
            .filter(|at| {
                let answer = at.answer(law, constants, ball);
                answer.end.is_good() && answer.brush <= MOST_BRUSH
            })
            .collect()
    }

    fn newton(
        &self,
        law: &BatLaw,
        constants: &Constants,
        ball: &BallMotion,
        mut at: BatAt,
        landing_m: [f64; 2],
    ) -> Option<BatAt> {
        let goal = DVec2::from_array(landing_m);
        let off = |at: BatAt| DVec2::from_array(at.answer(law, constants, ball).landing_m) - goal;
        let mut turned_deg = 0.0_f64;
        for _ in 0..MOST_STEPS {
            let miss = off(at);
            if miss.length() < CLOSE_M {
                return Some(at);
            }
            let opened = off(self.turned(at, NUDGE_DEG)) - miss;
            let swung = off(BatAt { aside_deg: at.aside_deg + NUDGE_DEG, ..at }) - miss;
            let step = DMat2::from_cols(opened, swung).inverse() * -miss * NUDGE_DEG;
            if !step.is_finite() {
                return None;
            }
            let step = step.clamp(DVec2::splat(-STEP_DEG), DVec2::splat(STEP_DEG));
            turned_deg += step.x;
            at = self.turned(at, step.x);
            at.aside_deg += step.y;
            if turned_deg.abs() > MOST_TURN_DEG || at.aside_deg.abs() > MOST_TURN_DEG {
                return None;
            }
        }
        None
    }
}

/// Turns between which a landing is looked for: so far apart, and so many either way.
const SCAN_DEG: f64 = 6.0;
const SCANNED: i32 = 8;
const MOST_STEPS: usize = 12;
const NUDGE_DEG: f64 = 0.01;
const STEP_DEG: f64 = 8.0;
const MOST_TURN_DEG: f64 = 60.0;
/// Landings this near are the place, metres.
const CLOSE_M: f64 = 5e-6;

/// The same ball seen from the other end.
fn turned_round(ball: &BallMotion) -> BallMotion {
    let [x, y, z] = ball.position_m;
    let turned = |[x, y, z]: [f64; 3]| [-x, -y, z];
    BallMotion {
        position_m: [END_LINE_X_M - x, -y, z],
        velocity_m_s: turned(ball.velocity_m_s),
        spin_rad_s: turned(ball.spin_rad_s),
    }
}

/// The ball that a still, upright bat sends back after it was struck and bounced; none where it
/// did not land.
pub fn played_on(struck: &SentBall, law: &BatLaw, constants: &Constants) -> Option<BallMotion> {
    let until = Until { bounces: 1, time_s: 3.0 };
    let back = turned_round(&struck.after);
    let path = follow_for(&back, constants, until, COARSE_STEP_S, Watch::BouncesAndNet);
    let bounced = path.bounces.first().filter(|_| struck.end.is_on_table())?.after;
    let ball = point_of(&bounced, constants, Timing::Top, false);
    let hit = law.hit(constants.ball.radius_m, &ball, [-1.0, 0.0, 0.0], [0.0; 3])?;
    Some(hit.after)
}

fn answer_of(path: &Path, hit: &Hit) -> SentBall {
    let bounce = path.bounces.first().map_or([0.0, 0.0], |it| [it.x_m() - NET_X_M, -it.y_m()]);
    let over_net_m = path.net_clearance_m().unwrap_or(-TABLE_HEIGHT_M);
    let topspin = -hit.after.spin_rad_s[1];
    let end = if over_net_m < 0.0 || bounce[0] <= 0.0 {
        BallEnd::Net
    } else if bounce[0] > NET_X_M {
        BallEnd::Long
    } else if bounce[1].abs() > SIDE_LINE_Y_M {
        BallEnd::Aside
    } else if over_net_m > HIGH_M && topspin < LIVELY_RAD_S {
        BallEnd::High
    } else {
        BallEnd::Lands
    };
    SentBall { end, after: hit.after, landing_m: bounce, over_net_m, brush: hit.brush }
}

//! What the bat does in an opponent's serves: how much room a receive leaves, what becomes of it
//! when the serve was another one, and what comes back.
//!
//! Evidence beside the knowledge, computed; the knowledge decides where both speak.

use std::collections::BTreeMap;
use std::sync::Mutex;

use rayon::prelude::*;
use serde::Serialize;

use crate::deck::{Deck, Player};
use crate::flight::bat::{BatAt, BatLaw, Room, SentBall, best, played_on, point_of};
use crate::flight::path::{Until, follow_sampled};
use crate::flight::service::flight_of;
use crate::flight::{BallMotion, Constants, FullServe, Launch};
use crate::game::{
    Covering, Depth, Grip, Hand, Lane, Receive, Serve, ServeId, Target, WeightName, Wing, lane_y_m,
};
use crate::receive::swings::{StrokeSwing, swing_of};

/// The serves of one opponent as they come to one player's bat.
#[derive(Debug)]
pub struct Bats {
    constants: Constants,
    server: Hand,
    own: OnBat,
    theirs: OnBat,
    balls: BTreeMap<ServeId, ComingBall>,
    /// What was computed already: a receive to a lane leaves the room of one to the middle.
    rooms: Mutex<BTreeMap<(ServeId, String), RoomLeft>>,
    both: Mutex<BTreeMap<(ServeId, String, ServeId), Option<Shared>>>,
}

/// A bat in words, and its grip.
type OnBat = (Option<String>, Option<Grip>);

/// A serve after its bounce on the receiver's half.
#[derive(Debug, Clone, Copy)]
pub struct ComingBall {
    bounced: BallMotion,
    depth: Depth,
    /// As it left the server's bat.
    pub launch: Launch,
}

/// A receive as it is played at a serve.
#[derive(Debug, Clone, Copy)]
pub struct StruckBall {
    swing: StrokeSwing,
    law: BatLaw,
    /// The ball where the bat meets it.
    pub ball: BallMotion,
    pub at: BatAt,
    pub room: Room,
}

/// Why a receive cannot be played at a serve.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Unplayable {
    /// The table is in the way of the swing.
    NoRoomToSwing,
    /// However the bat looks, it does not land.
    NoFace,
}

/// What faces land a receive against two serves.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Shared {
    /// How many degrees of them.
    pub face_deg: f64,
    /// Air over the net of the higher ball, with the face that keeps it lowest.
    pub over_net_m: f64,
}

/// How much a receive forgives.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum RoomLeft {
    None,
    Little,
    Some,
    Plenty,
}

/// The spin with which a ball comes back.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum ComingBack {
    Topspin,
    Backspin,
    LittleSpin,
}

/// From where on there is plenty of room, and some: of what hands are usually off by. A guess.
const PLENTY: f64 = 0.6;
const SOME: f64 = 0.25;
/// Below this nobody minds the spin, rev/s.
const LITTLE_REV_S: f64 = 7.0;
/// Degrees around the usual face in which the one for two serves is looked for, and how many there
/// must be of it.
const SHARED_DEG: i32 = 50;
const SHARED_STEP: usize = 2;
const HARDLY_DEG: f64 = 4.0;

impl Bats {
    /// Flies the serves of an opponent, lanes already the receiver's own, whose spin and depth are
    /// known.
    pub fn fly(deck: &Deck, player: Option<&Player>, constants: &Constants) -> Self {
        Self::fly_some(deck, player, constants, |_| true)
    }

    /// The same for serves that look like another.
    pub fn fly_twins(deck: &Deck, player: Option<&Player>, constants: &Constants) -> Self {
        Self::fly_some(deck, player, constants, |serve| deck.twin(serve).is_some())
    }

    fn fly_some(
        deck: &Deck,
        player: Option<&Player>,
        constants: &Constants,
        is_asked: impl Fn(&Serve) -> bool,
    ) -> Self {
        let server = deck.hand.unwrap_or(Hand::Right);
        let receiver = player.map_or(Hand::Right, |player| player.hand);
        let is_known = |serve: &&Serve| serve.spin.is_some() && serve.depth.is_some();
        let known: Vec<&Serve> =
            deck.active().filter(is_known).filter(|serve| is_asked(serve)).collect();
        let fly = |serve: &&Serve| {
            let flown = flight_of(serve, server, receiver, constants);
            let ball = ComingBall {
                bounced: flown.bounces.get(1)?.after,
                depth: FullServe::fill_in(serve, server).depth,
                launch: flown.launch,
            };
            Some((serve.id.clone(), ball))
        };
        Self {
            constants: constants.checked().unwrap_or_default(),
            server,
            own: player.map_or((None, None), |own| (own.rubbers.clone(), own.grip)),
            theirs: (deck.rubbers.clone(), deck.grip),
            balls: known.par_iter().filter_map(fly).collect(),
            rooms: Mutex::default(),
            both: Mutex::default(),
        }
    }

    /// The ball of a serve; none where spin or depth is not known.
    pub fn ball(&self, serve: &ServeId) -> Option<&ComingBall> {
        self.balls.get(serve)
    }

    /// Plays a receive at a serve; none where the serve is not known well enough.
    pub fn play(
        &self,
        serve: &ServeId,
        receive: &Receive,
    ) -> Option<Result<StruckBall, Unplayable>> {
        let coming = self.ball(serve)?;
        let swing = swing_of(receive);
        let ball = self.met(coming, &swing);
        let law = BatLaw::from_covering(
            covering_on(&self.own, receive.wing).unwrap_or(Covering::Inverted),
        );
        let across_m = receive.to.lane.map_or(0.0, |lane| -lane_y_m(lane, self.server));
        let landing_m = [swing.beyond_net_m, across_m];
        let held = best(&swing.swing, &law, &self.constants, &ball, landing_m);
        Some(held.map(|(at, room)| StruckBall { swing, law, ball, at, room }).ok_or_else(|| {
            let mut ways = swing.swing.ways.iter();
            let has_room = ways.any(|way| swing.swing.has_room(&ball, *way));
            if has_room { Unplayable::NoFace } else { Unplayable::NoRoomToSwing }
        }))
    }

    /// How much room a receive leaves against a serve.
    pub fn room_left(&self, serve: &ServeId, receive: &Receive) -> Option<RoomLeft> {
        let plain = to_no_lane(receive);
        let key = (serve.clone(), plain.text());
        if let Some(known) = self.rooms.lock().ok().and_then(|known| known.get(&key).copied()) {
            return Some(known);
        }
        let played = self.play(serve, &plain)?;
        let left = played.map_or(RoomLeft::None, |struck| struck.room_left());
        self.rooms.lock().ok()?.insert(key, left);
        Some(left)
    }

    /// How much room each receive leaves against each serve, on all cores; none for serves that
    /// are not known.
    pub fn rooms(&self, deck: &Deck, receives: &[Receive]) -> Vec<Vec<Option<RoomLeft>>> {
        let serves: Vec<&ServeId> = deck.active().map(|serve| &serve.id).collect();
        let row = |serve: &&ServeId| {
            receives.par_iter().map(|receive| self.room_left(serve, receive)).collect()
        };
        serves.par_iter().map(row).collect()
    }

    /// What becomes of a receive prepared for one serve when the other comes.
    pub fn read_wrong(
        &self,
        prepared: &ServeId,
        receive: &Receive,
        came: &ServeId,
    ) -> Option<SentBall> {
        let struck = self.play(prepared, receive)?.ok()?;
        Some(self.answer_to(&struck, came)?.1)
    }

    /// The other serve's ball where it meets the bat prepared for one, and what becomes of it.
    pub fn answer_to(&self, struck: &StruckBall, came: &ServeId) -> Option<(BallMotion, SentBall)> {
        let ball = self.met(self.ball(came)?, &struck.swing);
        Some((ball, struck.at.answer(&struck.law, &self.constants, &ball)))
    }

    /// The faces that land a receive against both of two serves; none where there are hardly any,
    /// or where one serve is not known.
    pub fn shared(&self, one: &ServeId, receive: &Receive, other: &ServeId) -> Option<Shared> {
        let plain = to_no_lane(receive);
        let key = (one.clone(), plain.text(), other.clone());
        if let Some(known) = self.both.lock().ok().and_then(|known| known.get(&key).copied()) {
            return known;
        }
        let shared = self.find_shared(one, &plain, other);
        self.both.lock().ok()?.insert(key, shared);
        shared
    }

    fn find_shared(&self, one: &ServeId, receive: &Receive, other: &ServeId) -> Option<Shared> {
        let struck = self.play(one, receive)?.ok()?;
        let balls = [struck.ball, self.met(self.ball(other)?, &struck.swing)];
        let swing = struck.swing.swing;
        let of_way = |way: &BatAt| {
            let way = BatAt { aside_deg: struck.at.aside_deg, ..*way };
            let highest = |turn: i32| {
                let at = swing.turned(way, f64::from(turn));
                let answers = balls.map(|ball| at.answer(&struck.law, &self.constants, &ball));
                let is_good = answers.iter().all(|answer| answer.end.is_on_table());
                is_good.then(|| answers.iter().map(|answer| answer.over_net_m).fold(0.0, f64::max))
            };
            let turns = (-SHARED_DEG..=SHARED_DEG).step_by(SHARED_STEP);
            let landed: Vec<f64> = turns.filter_map(highest).collect();
            let over_net_m = landed.iter().copied().fold(f64::INFINITY, f64::min);
            let face_deg = (landed.len() * SHARED_STEP) as f64;
            (face_deg >= HARDLY_DEG).then_some(Shared { face_deg, over_net_m })
        };
        let shared = swing.ways.iter().filter_map(of_way);
        shared.max_by(|a, b| a.face_deg.total_cmp(&b.face_deg))
    }

    /// The points of a ball that was struck, with its face opened by so many degrees.
    pub fn flown(&self, struck: &StruckBall, ball: &BallMotion, open_deg: f64) -> Vec<[f64; 3]> {
        let at = struck.swing.swing.turned(struck.at, open_deg);
        at.flown(&struck.law, &self.constants, ball)
    }

    /// The points of a serve on its way to where it meets the bat.
    pub fn coming(&self, serve: &ServeId, met: &BallMotion) -> Vec<[f64; 3]> {
        let Some(coming) = self.ball(serve) else { return Vec::new() };
        let until = Until { bounces: 3, time_s: 2.0 };
        let path = follow_sampled(&coming.launch.motion(), &self.constants, until, 0.01);
        let points = path.samples.iter().map(|sample| sample.position_m);
        points.take_while(|at| at[0] <= met.position_m[0]).collect()
    }

    /// What the opponent has where a ball goes, when that is not plain inverted, and the spin with
    /// which a still bat there sends it back.
    pub fn comes_back(&self, serve: &ServeId, receive: &Receive) -> Option<(Covering, ComingBack)> {
        if receive.weight == Some(WeightName::Light) {
            return None;
        }
        let wing = match receive.to.lane? {
            Lane::WideForehand | Lane::Forehand => Wing::Forehand,
            Lane::Backhand | Lane::WideBackhand => Wing::Backhand,
            Lane::Middle | Lane::Elbow => return None,
        };
        let covering = covering_on(&self.theirs, Some(wing))?;
        if covering == Covering::Inverted {
            return None;
        }
        let struck = self.play(serve, receive)?.ok()?;
        let answer = struck.at.answer(&struck.law, &self.constants, &struck.ball);
        let back = played_on(&answer, &BatLaw::from_covering(covering), &self.constants)?;
        let spin = match -back.spin_rad_s[1] / std::f64::consts::TAU {
            top if top > LITTLE_REV_S => ComingBack::Topspin,
            top if top < -LITTLE_REV_S => ComingBack::Backspin,
            _ => ComingBack::LittleSpin,
        };
        Some((covering, spin))
    }

    fn met(&self, coming: &ComingBall, swing: &StrokeSwing) -> BallMotion {
        let behind_line = swing.behind_line && coming.depth != Depth::Short;
        point_of(&coming.bounced, &self.constants, swing.timing, behind_line)
    }
}

impl StruckBall {
    pub fn room_left(&self) -> RoomLeft {
        match self.room.narrowest() {
            room if room >= PLENTY => RoomLeft::Plenty,
            room if room >= SOME => RoomLeft::Some,
            _ => RoomLeft::Little,
        }
    }
}

/// A receive straight ahead: what its lane adds is not worth another computation.
fn to_no_lane(receive: &Receive) -> Receive {
    Receive { to: Target { lane: None, ..receive.to }, ..receive.bare() }
}

fn covering_on((rubbers, grip): &OnBat, wing: Option<Wing>) -> Option<Covering> {
    Covering::on(rubbers.as_deref()?, wing?, *grip)
}

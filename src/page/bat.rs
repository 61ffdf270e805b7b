//! One receive against one serve as bat and ball make it, and the room of many against all; as
//! text, SVG and JSON.

use std::f64::consts::TAU;

use minijinja::context;
use minijinja::value::Serde;
use serde::Serialize;

use crate::base::text::one_line;
use crate::deck::Deck;
use crate::flight::BallMotion;
use crate::game::{Receive, Serve};
use crate::page::bat_words::{end_words, room_words, twin_words};
use crate::page::text_page::filled_text;
use crate::receive::{Bats, RoomLeft, StruckBall, Unplayable};

/// A ball as it is drawn, metres; see `flight`.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct DrawnBall {
    pub coming_m: Vec<[f64; 3]>,
    pub leaving_m: Vec<[f64; 3]>,
    /// Where the bat meets it.
    pub met_m: [f64; 3],
    #[serde(skip)]
    pub open_deg: f64,
    /// With the most closed and the most open face that land it.
    pub edges_m: [Vec<[f64; 3]>; 2],
    /// What becomes of it.
    pub end: String,
}

impl DrawnBall {
    /// What lies between the two edges: points of the lower one and the upper one above it.
    pub(super) fn shaded(&self) -> Vec<([f64; 3], [f64; 3])> {
        let [one, other] = &self.edges_m;
        one.iter()
            .filter_map(|low| {
                let beside = other
                    .iter()
                    .min_by(|a, b| (a[0] - low[0]).abs().total_cmp(&(b[0] - low[0]).abs()))?;
                ((beside[0] - low[0]).abs() < 0.1).then_some((*low, *beside))
            })
            .collect()
    }
}

/// Turns a second, + topspin, as it flies to the receiver.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct SpinOnTheWay {
    pub leaves_hand_rev_s: f64,
    pub reaches_bat_rev_s: f64,
}

/// One receive against one serve.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct BatView {
    pub title: String,
    pub serve: String,
    pub receive: String,
    pub room: RoomLeft,
    pub spin: SpinOnTheWay,
    pub own: DrawnBall,
    /// The serve it looks like, met with the same bat.
    pub twin: Option<DrawnBall>,
    pub if_twin: Option<String>,
}

/// Draws one; `Err` says why it cannot be played, none is a serve of unknown spin or depth.
pub fn bat_view(
    bats: &Bats,
    deck: &Deck,
    serve: &Serve,
    receive: &Receive,
) -> Option<Result<BatView, &'static str>> {
    let struck = match bats.play(&serve.id, receive)? {
        Ok(struck) => struck,
        Err(Unplayable::NoRoomToSwing) => {
            return Some(Err("by the numbers the table is in the way of the swing"));
        }
        Err(Unplayable::NoFace) => return Some(Err("by the numbers no face of the bat lands it")),
    };
    let top_rev_s = |ball: &BallMotion| ball.spin_rad_s[1] / TAU;
    let own = drawn(bats, serve, &struck)?;
    let twin = deck.twin(serve).filter(|twin| !serve.flies_unlike(twin));
    Some(Ok(BatView {
        title: format!("{}: {}", serve.shown(), receive.shown()),
        serve: serve.id.to_string(),
        receive: receive.text(),
        room: struck.room_left(),
        spin: SpinOnTheWay {
            leaves_hand_rev_s: bats.ball(&serve.id)?.launch.spin.top_rev_s,
            reaches_bat_rev_s: top_rev_s(&struck.ball),
        },
        own,
        twin: twin.and_then(|twin| drawn(bats, twin, &struck)),
        if_twin: twin_words(bats, deck, serve, receive),
    }))
}

/// The ball of a serve, met with the bat that was made for another one or for it.
fn drawn(bats: &Bats, serve: &Serve, struck: &StruckBall) -> Option<DrawnBall> {
    let (ball, answer) = bats.answer_to(struck, &serve.id)?;
    let [closed, open] = struck.room.face_deg;
    Some(DrawnBall {
        coming_m: bats.coming(&serve.id, &ball),
        leaving_m: bats.flown(struck, &ball, 0.0),
        met_m: ball.position_m,
        open_deg: struck.at.open_deg,
        edges_m: [-closed, open].map(|off| bats.flown(struck, &ball, off)),
        end: end_words(answer.end, answer.over_net_m),
    })
}

impl BatView {
    /// What is said of it, a line each.
    pub(super) fn legend(&self) -> Vec<String> {
        // To five turns: the table's friction is not known better.
        let spin = |rev_s: f64| match (rev_s / 5.0).round() * 5.0 {
            0.0 => "hardly any topspin or backspin".to_owned(),
            turns if turns > 0.0 => format!("about {turns:.0} rev/s of topspin"),
            turns => format!("about {:.0} rev/s of backspin", -turns),
        };
        let SpinOnTheWay { leaves_hand_rev_s, reaches_bat_rev_s } = self.spin;
        let room = format!("Room for error: {}.", room_words(self.room));
        let turned = format!(
            "From the hand: {}; at the bat: {}. The table turns it.",
            spin(leaves_hand_rev_s),
            spin(reaches_bat_rev_s)
        );
        let twin = self.if_twin.as_ref().map(|said| format!("Its twin: {said}."));
        // What does not stand both has said already where the twin goes.
        let is_said =
            |twin: &&DrawnBall| self.if_twin.as_ref().is_some_and(|said| said.ends_with(&twin.end));
        let same = self.twin.as_ref().filter(|twin| !is_said(twin));
        let same = same.map(|twin| format!("With the bat drawn here its twin {}.", twin.end));
        [room].into_iter().chain(twin).chain(same).chain([turned]).collect()
    }
}

/// The room of receives against the serves of an opponent.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct RoomTable {
    pub opponent: String,
    pub receives: Vec<String>,
    pub rows: Vec<RoomRow>,
}

/// One serve of it.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct RoomRow {
    pub serve: String,
    pub called: String,
    pub shown: String,
    /// None where spin or depth is not known.
    pub rooms: Vec<Option<RoomLeft>>,
}

/// The receives of the table, as they are headed and as they are written.
const RECEIVES: [(&str, &str); 8] = [
    ("drop", "touch to short"),
    ("push", "push to long"),
    ("flick", "flick to long"),
    ("banana", "banana_flick to long"),
    ("loop", "slow_loop to long"),
    ("fast", "fast_loop to long"),
    ("drive", "drive to long"),
    ("block", "block to long"),
];

/// Computes it, lanes already the receiver's own.
pub fn room_table(bats: &Bats, deck: &Deck) -> RoomTable {
    let receives: Vec<Receive> =
        RECEIVES.iter().filter_map(|(_, words)| words.parse().ok()).collect();
    let rooms = bats.rooms(deck, &receives);
    let rows = deck.active().zip(rooms).map(|(serve, rooms)| RoomRow {
        serve: serve.id.to_string(),
        called: deck.short_word(serve),
        shown: serve.shown(),
        rooms,
    });
    RoomTable {
        opponent: one_line(&deck.opponent),
        receives: RECEIVES.map(|(head, _)| head.to_owned()).to_vec(),
        rows: rows.collect(),
    }
}

impl RoomTable {
    /// The text, `width` columns wide.
    pub fn text(&self, width: usize) -> String {
        let cell = |room: &Option<RoomLeft>| match room {
            None => "?",
            Some(RoomLeft::None) => "-",
            Some(RoomLeft::Little) => "=",
            Some(RoomLeft::Some) => "===",
            Some(RoomLeft::Plenty) => "=====",
        };
        let bars: Vec<Vec<&str>> =
            self.rows.iter().map(|row| row.rooms.iter().map(cell).collect()).collect();
        let page = context! { bars, ..Serde(self) };
        filled_text(include_str!("templates/bat_rooms.txt"), &page, width)
    }
}

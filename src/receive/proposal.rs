//! The receives a coach would propose for a serve, by expected worth: the chance to make it times
//! what follows. Nothing is proposed that the same judgement objects to.

use crate::game::{Depth, Direction, Lane, Pace, Receive, Serve, ServeId, Stroke};
use crate::receive::bats::RoomLeft;
use crate::receive::knowledge::{Play, broken_rule, is_attack, of_stroke, usual_of_ten};
use crate::receive::people::{Aim, Line, Meeting};
use crate::receive::usual_worth::share_won;

/// What is assumed to land of ten when the player has not listed the stroke.
pub const UNLISTED_OF_TEN: u8 = 5;

/// What a tenth more or less than most players land is worth against one serve. Common practice.
const OF_A_TENTH: f64 = 0.8;
/// What not owning a stroke leaves of it, what standing the twin adds, what falling for it costs,
/// and what another target of a stroke already proposed is worth beside it. Common practice.
const NOT_OWNED: f64 = 0.75;
const TWIN: [f64; 2] = [0.92, 1.08];
/// The same where nothing tells the two apart: what stands both comes first.
const TWIN_UNTOLD: [f64; 2] = [0.5, 1.08];
/// What the room a receive leaves adds to how many land of ten, from none to plenty: evidence
/// beside the knowledge, so little of it.
const ROOM: [f64; 4] = [-0.8, -0.3, 0.0, 0.2];
const SAME_STROKE: f64 = 0.8;
/// The same for another stroke to the same lane.
const SAME_LANE: f64 = 0.97;

/// A receive proposed for a serve.
#[derive(Debug, Clone, PartialEq)]
pub struct Proposal {
    /// With its reason.
    pub receive: Receive,
    /// Of ten, how many land, when the player has listed it.
    pub of_ten: Option<u8>,
    pub aim: Option<Aim>,
    /// What stands against it.
    pub against: Vec<Drawback>,
    /// The twin of the serve, when this receive is right for it, too.
    pub stands_twin: Option<ServeId>,
    /// What it forgives, where it was computed.
    pub room: Option<RoomLeft>,
    worth: f64,
}

/// What stands against a receive that is proposed all the same.
#[derive(Debug, Clone, PartialEq, Eq, serde::Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Drawback {
    /// The player has not listed it.
    NotOwned,
    /// Of ten, so few land.
    Lands(u8),
    /// It fails against the twin of the serve.
    Twin(ServeId),
    /// The side spin takes it out over the side line.
    Drifts,
    /// It goes to the stronger side.
    Stronger,
    /// Down the line from out wide, it opens the player's own other corner.
    OpensOwnSide,
}

/// Fewest of ten that land without a word about it.
const ENOUGH_OF_TEN: u8 = 6;

impl Meeting<'_> {
    /// The receives for this serve, best first, none twice.
    pub fn proposals(self, most: usize) -> Vec<Proposal> {
        // Of unknown pace it may be fast: an attack is to be right then, too.
        let is_open = self.serve.pace.is_none()
            && !matches!(self.serve.depth, Some(Depth::Short | Depth::HalfLong));
        let fast = Serve { pace: Some(Pace::Fast), ..self.serve.clone() };
        let fast = Meeting { serve: &fast, ..self };
        let when_fast = if is_open { fast.plays() } else { Vec::new() };
        let mut open = Vec::new();
        for play in self.plays() {
            let is_same = |it: &&&Play| {
                it.receive.stroke == play.receive.stroke && it.receive.to == play.receive.to
            };
            let lands = match when_fast.iter().find(is_same) {
                Some(fast) => f64::midpoint(play.lands, fast.lands),
                None if is_open && is_attack(play.receive.stroke) => continue,
                None => play.lands,
            };
            open.extend(self.with_targets(play, lands));
        }
        open.retain(|one: &Proposal| !is_open || fast.passes(&one.receive));
        let mut proposed: Vec<Proposal> = Vec::new();
        while proposed.len() < most {
            open.retain(|one| {
                let is_other = |known: &Proposal| {
                    known.receive.stroke != one.receive.stroke
                        || known.receive.to.is_far_from(one.receive.to)
                };
                proposed.iter().all(is_other)
            });
            let worth = |one: &Proposal| {
                let same = proposed.iter().filter(|it| it.receive.stroke == one.receive.stroke);
                let there = proposed.iter().filter(|it| it.receive.to == one.receive.to);
                let times = |count| i32::try_from(count).unwrap_or(i32::MAX);
                one.worth
                    * SAME_STROKE.powi(times(same.count()))
                    * SAME_LANE.powi(times(there.count()))
            };
            let best =
                (0..open.len()).rev().max_by(|a, b| worth(&open[*a]).total_cmp(&worth(&open[*b])));
            let Some(best) = best else { break };
            proposed.push(open.remove(best));
        }
        proposed
    }

    /// A play, of which so many of ten land, to every lane where nothing is wrong with it.
    fn with_targets(self, play: &Play, lands: f64) -> Vec<Proposal> {
        let lanes = Lane::ALL.iter().filter(|lane| {
            play.receive.to.depth != Some(Depth::Short)
                || matches!(lane, Lane::Forehand | Lane::Middle | Lane::Backhand)
        });
        let aimed = lanes.flat_map(|&lane| {
            let plain = [play.receive.weight, Some(crate::game::WeightName::Light)];
            let weights = if play.receive.weight.is_some() { &plain[..] } else { &plain[..1] };
            weights.iter().map(move |&weight| (lane, weight)).collect::<Vec<_>>()
        });
        aimed
            .filter_map(|(lane, weight)| {
                let mut receive = Receive { weight, ..play.receive.clone() };
                receive.to.lane = Some(lane);
                self.proposal(play, lands, receive)
            })
            .collect()
    }

    /// A play to one target with the wing that lands it best; none where nobody could, or a coach
    /// would object.
    fn proposal(self, play: &Play, mut lands: f64, mut receive: Receive) -> Option<Proposal> {
        let mut wings = self.wings(receive.stroke);
        wings.retain(|&wing| {
            let with = Receive { wing: Some(wing), ..receive.clone() };
            self.reaches(&with) && !self.grip_forbids(&with)
        });
        let listed = |receive: &Receive| self.player?.listed(receive, Some(self.serve));
        let of_wing = |wing| listed(&Receive { wing: Some(wing), ..receive.clone() });
        // The usual wing of equals.
        receive.wing = Some(*wings.iter().rev().max_by_key(|wing| of_wing(**wing))?);
        let own = listed(&receive);
        let is_rare = matches!(receive.stroke, Stroke::Chop | Stroke::Bump);
        if broken_rule(self, &receive).is_some() || is_rare && own.is_none() {
            return None;
        }
        let lane = receive.to.lane?;
        let of_play = lands;
        let (more_land, more_win, why_there) = self.of_target(&receive);
        lands += more_land;
        let has_repertoire = self.player.is_some_and(|player| !player.repertoire.is_empty());
        let mut worth = 1.0;
        let usual = usual_of_ten(receive.stroke);
        match own {
            Some((0, of_ten)) => lands += OF_A_TENTH * (f64::from(of_ten) - usual),
            Some((_, of_ten)) => lands += f64::from(of_ten) - of_play,
            None if has_repertoire => {
                lands += OF_A_TENTH * (f64::from(UNLISTED_OF_TEN) - usual);
                worth = NOT_OWNED;
            }
            None => {}
        }
        let twin = self.twin();
        let stands = twin.map(|twin| self.stands(twin, &receive));
        let is_told = twin.is_some_and(|twin| self.is_told_from(twin));
        let of_twin = if is_told { TWIN } else { TWIN_UNTOLD };
        worth *= stands.map_or(1.0, |stands| of_twin[usize::from(stands)]);
        let room_of = |receive: &Receive| self.bats?.room_left(&self.serve.id, receive);
        // How much spin to push with is the knowledge's to say.
        let plain = room_of(&Receive { weight: None, ..receive.clone() });
        lands += plain.map_or(0.0, |room| ROOM[room as usize]);
        let room = room_of(&receive);
        worth *= share_won(lands, play.wins + more_win);
        // A push without the spin of the play has the reason of its target only.
        let own_why = if receive.weight == play.receive.weight { play.why } else { "" };
        let (why, aim) = ([own_why, why_there], self.aim(&receive));
        let why: Vec<_> = why.into_iter().filter(|why| !why.is_empty()).collect();
        receive.why = Some(why.join("; "));
        let of_ten = own.map(|(_, of_ten)| of_ten);
        let twin_id =
            |wanted| twin.filter(|_| stands == Some(wanted)).map(|it| it.serve.id.clone());
        let is_wide = matches!(self.serve.lane, Some(Lane::WideForehand | Lane::WideBackhand));
        let against = [
            (has_repertoire && own.is_none()).then_some(Drawback::NotOwned),
            of_ten.filter(|of_ten| *of_ten < ENOUGH_OF_TEN).map(Drawback::Lands),
            twin_id(false).map(Drawback::Twin),
            aim.filter(|aim| aim.line == Some(Line::Inside)).map(|_| Drawback::Drifts),
            (self.is_at_stronger(lane) == Some(true)).then_some(Drawback::Stronger),
            (is_wide
                && self.direction(lane) == Some(Direction::DownTheLine)
                && receive.to.depth == Some(Depth::Long))
            .then_some(Drawback::OpensOwnSide),
        ];
        let against = against.into_iter().flatten().collect();
        Some(Proposal { stands_twin: twin_id(true), receive, of_ten, aim, against, room, worth })
    }

    /// Whether something tells the serve from its twin in time.
    pub(super) fn is_told_from(self, twin: Self) -> bool {
        let has_tell = |serve: &Serve| !serve.tells.is_empty();
        has_tell(self.serve) || has_tell(twin.serve) || self.serve.flies_unlike(twin.serve)
    }

    /// Whether a receive is right for the twin of the serve, too, when it was read as this one.
    pub(super) fn stands(self, twin: Self, receive: &Receive) -> bool {
        let is_like =
            self.serve.spin.zip(twin.serve.spin).is_some_and(|(one, other)| one.is_like(other));
        let known = self.bats.filter(|bats| {
            [self.serve, twin.serve].iter().all(|serve| bats.ball(&serve.id).is_some())
        });
        let forgives = || match known {
            Some(bats) => bats.shared(&self.serve.id, receive, &twin.serve.id).is_some(),
            None => of_stroke(receive.stroke).is_some_and(|nature| nature.stands_misread),
        };
        twin.reaches(receive) && broken_rule(twin, receive).is_none() && (is_like || forgives())
    }
}

impl Proposal {
    /// The player has listed it, or has listed nothing.
    pub fn is_owned(&self) -> bool {
        !self.against.contains(&Drawback::NotOwned)
    }
}

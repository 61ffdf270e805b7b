//! A serve as a coach sees it: who serves, who receives, where ball and target lie, and where the
//! side spin takes a ball off the bat.

use crate::deck::{Deck, Player};
use crate::game::{
    Covering, Depth, Direction, Grip, Hand, Lane, Pace, Receive, Serve, Side, Spin, Stroke, Style,
    WeightName, Wing, lane_y_m, server_y_m,
};
use crate::receive::bats::Bats;

/// A serve of an opponent, met by a player.
#[derive(Debug, Clone, Copy)]
pub struct Meeting<'a> {
    pub serve: &'a Serve,
    /// The opponent, lanes already the receiver's own.
    pub deck: &'a Deck,
    /// The one who receives; none where only the ball and the opponent count.
    pub player: Option<&'a Player>,
    /// What bat and ball do in this opponent's serves, where it was computed.
    pub bats: Option<&'a Bats>,
}

/// Where a side line is near, metres from the centre line.
const WIDE_M: f64 = 0.5;

impl<'a> Meeting<'a> {
    /// A serve of this opponent, whoever receives it.
    pub const fn new(serve: &'a Serve, deck: &'a Deck) -> Self {
        Self { serve, deck, player: None, bats: None }
    }

    /// The same opponent's other serve with the same look.
    pub(super) fn twin(self) -> Option<Self> {
        let serve = self.deck.twin(self.serve)?;
        Some(Self { serve, ..self })
    }

    /// What the opponent has on a side of the bat.
    fn covering(self, side: Wing) -> Option<Covering> {
        Covering::on(self.deck.rubbers.as_deref()?, side, self.deck.grip)
    }

    /// What the opponent takes a ball into this lane with; in the middle, where both sides have it.
    pub(super) fn covering_at(self, lane: Lane) -> Option<Covering> {
        let of_middle = || {
            self.covering(Wing::Forehand).filter(|it| self.covering(Wing::Backhand) == Some(*it))
        };
        wing_at(lane).map_or_else(of_middle, |side| self.covering(side))
    }

    /// True when the opponent lets a push come: a chopper, or long pimples or anti on the bat.
    pub(super) fn defends(self) -> bool {
        let soft =
            |side| matches!(self.covering(side), Some(Covering::LongPimples | Covering::Anti));
        self.deck.style == Some(Style::Chopper) || soft(Wing::Forehand) || soft(Wing::Backhand)
    }

    /// Metres to the receiver's right at which a lane of the opponent lies: they face the receiver.
    fn target_y_m(self, lane: Lane) -> f64 {
        -lane_y_m(lane, self.server())
    }

    fn server(self) -> Hand {
        self.deck.hand.unwrap_or(Hand::Right)
    }

    fn receiver(self) -> Hand {
        let written = self.deck.seen_against.unwrap_or(Hand::Right);
        self.player.map_or(written, |player| player.hand)
    }

    /// The direction of a target from where the ball is met; none where either is in the middle.
    pub(super) fn direction(self, to: Lane) -> Option<Direction> {
        Direction::between(self.serve.lane?, to, self.receiver(), self.server())
    }

    /// Whether the serve comes from one corner wide to the other side of the table.
    pub(super) fn is_angled(self) -> bool {
        let ends =
            self.serve.from.zip(self.serve.lane).map(|(from, lane)| {
                server_y_m(from, self.server()) * lane_y_m(lane, self.receiver())
            });
        ends.is_some_and(|product| product < -WIDE_M * WIDE_M)
    }

    /// The side to which the ball leaves the bat; none without side spin, or where it is not known.
    /// A corkscrew is thrown by the table, hardly by a bat.
    pub fn leaves_to(self) -> Option<Side> {
        let side = self.serve.breaks_for(self.deck.hand)?;
        (self.serve.spin != Some(Spin::Corkscrew)).then(|| side.other())
    }

    /// Where to aim against the side spin.
    pub fn aim(self, receive: &Receive) -> Option<Aim> {
        let leaves_to = self.leaves_to()?;
        let is_swung = !matches!(
            receive.stroke,
            Stroke::Touch | Stroke::Push | Stroke::SidespinPush | Stroke::Block
        );
        let heavy = self.serve.weight.is_some_and(|weight| weight.name() == WeightName::Heavy);
        let line = receive.to.lane.map(|lane| self.target_y_m(lane)).filter(|y| y.abs() > WIDE_M);
        let right = leaves_to == Side::Right;
        Some(Aim {
            // A ball pushed or blocked goes aside twice as far as one flicked or looped.
            hands: 1 + u8::from(!is_swung) + u8::from(heavy),
            side: leaves_to.other(),
            line: line.map(|y| if (y > 0.0) == right { Line::Inside } else { Line::Outside }),
        })
    }
}

/// Where to aim so that the side spin brings the ball to its target.
///
/// # Source
/// An unturned bat sends 25 rev/s aside by .73 to .78 m off a push or block, .44 off a flick, .37
/// off a banana flick (computed with published coverings). Hands: common practice.
#[derive(Debug, Clone, Copy, PartialEq, Eq, serde::Serialize)]
pub struct Aim {
    /// Hand's widths beside the target.
    pub hands: u8,
    /// To this side of it, as the receiver sees it.
    pub side: Side,
    /// Where the target is near a side line: which way that is from the line.
    pub line: Option<Line>,
}

/// Which way from a side line.
#[derive(Debug, Clone, Copy, PartialEq, Eq, serde::Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Line {
    Inside,
    Outside,
}

/// The wing a ball into this lane is taken with; none for the middle.
const fn wing_at(lane: Lane) -> Option<Wing> {
    match lane {
        Lane::WideForehand | Lane::Forehand => Some(Wing::Forehand),
        Lane::Backhand | Lane::WideBackhand => Some(Wing::Backhand),
        Lane::Middle | Lane::Elbow => None,
    }
}

impl Meeting<'_> {
    /// Whether a target is on the opponent's stronger side; none where neither is known.
    pub(super) fn is_at_stronger(self, lane: Lane) -> Option<bool> {
        Some(wing_at(lane)? == self.deck.stronger?)
    }

    /// The wing that gets to this ball with a stroke as a matter of course.
    fn own_side(self) -> Option<Wing> {
        wing_at(self.serve.lane?)
    }

    /// Whether the wing of this receive gets to the ball: across the body only with the strokes
    /// people cross over for, a banana flick of a ball over the table and a forehand attack around
    /// the backhand, out wide only where it is known to come slower (common practice).
    pub fn reaches(self, receive: &Receive) -> bool {
        let (Some(wing), Some(side)) = (receive.wing, self.own_side()) else { return true };
        let is_attack =
            matches!(receive.stroke, Stroke::SlowLoop | Stroke::FastLoop | Stroke::Drive);
        let (depth, pace, lane) = (self.serve.depth, self.serve.pace, self.serve.lane);
        wing == side
            || match wing {
                Wing::Backhand => {
                    receive.stroke == Stroke::BananaFlick
                        && depth != Some(Depth::Long)
                        && lane != Some(Lane::WideForehand)
                }
                Wing::Forehand => {
                    is_attack
                        && depth != Some(Depth::Short)
                        && pace != Some(Pace::Fast)
                        && (pace.is_some() || lane != Some(Lane::WideBackhand))
                        && self.player.is_none_or(|player| player.steps_around != Some(false))
                }
            }
    }

    /// The wings a player would take this ball with, the usual one first.
    pub(super) fn wings(self, stroke: Stroke) -> Vec<Wing> {
        if matches!(stroke, Stroke::BananaFlick | Stroke::ReverseFlick) {
            return vec![Wing::Backhand];
        }
        let steps = self.player.is_some_and(|player| player.steps_around == Some(true));
        match (self.serve.lane, self.own_side()) {
            (_, Some(Wing::Backhand)) if steps => vec![Wing::Forehand, Wing::Backhand],
            (_, Some(wing)) => vec![wing],
            (Some(_), None) if matches!(stroke, Stroke::SlowLoop | Stroke::FastLoop) => {
                vec![Wing::Forehand, Wing::Backhand]
            }
            _ => vec![Wing::Backhand, Wing::Forehand],
        }
    }

    /// True when the player's grip leaves the stroke out: a traditional penholder has no backhand
    /// swing.
    pub(super) fn grip_forbids(self, receive: &Receive) -> bool {
        let grip = self.player.and_then(|player| player.grip);
        grip == Some(Grip::Penhold)
            && receive.wing == Some(Wing::Backhand)
            && matches!(
                receive.stroke,
                Stroke::BananaFlick | Stroke::ReverseFlick | Stroke::SlowLoop | Stroke::FastLoop
            )
    }
}

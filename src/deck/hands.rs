//! Fitting a deck to hands other than those it was written for.
//!
//! Two things can differ, and they do different things:
//!
//! - **The receiver's hand.** The ball stays the same ball: lanes are renamed, breaks stay.
//! - **The server's hand.** The habit is mirrored in space: every break turns round, and the ball
//!   goes to the spot on the other side of the centre line, which the same receiver calls by the
//!   mirrored name.
//!
//! So lanes are renamed when exactly one of the two hands differs, and breaks turn round when the
//! server's does. A receive follows the ball: its wing changes where the lane was renamed, unless
//! the stroke belongs to one wing only. Targets are lanes of the opponent and keep their names; in
//! space they are mirrored with the opponent's hand.

use crate::deck::{Deck, Plan, Switch};
use crate::game::{Hand, Receive, Serve, Stroke, Wing};

/// The hands at both ends of the table.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Hands {
    /// The one who serves.
    pub server: Hand,
    /// The one who receives.
    pub receiver: Hand,
}

/// What a change of hands does to a serve and its receive.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Fitting {
    /// Lanes and wings take the mirrored name.
    pub renames_lanes: bool,
    /// Breaks turn round.
    pub turns_breaks: bool,
}

impl Hands {
    /// What changes when something written for these hands is used by `other` ones.
    pub fn fitting(self, other: Self) -> Fitting {
        let turns_breaks = self.server != other.server;
        Fitting { renames_lanes: turns_breaks != (self.receiver != other.receiver), turns_breaks }
    }
}

impl Fitting {
    /// The serve as these hands meet it.
    #[must_use]
    pub fn serve(self, serve: &Serve) -> Serve {
        let lane = serve.lane.map(|lane| if self.renames_lanes { lane.mirrored() } else { lane });
        let breaks = serve.breaks.map(|side| if self.turns_breaks { side.other() } else { side });
        Serve { breaks, lane, ..serve.clone() }
    }

    /// The receive as these hands play it.
    #[must_use]
    pub fn receive(self, receive: &Receive) -> Receive {
        let is_backhand = matches!(receive.stroke, Stroke::BananaFlick | Stroke::ReverseFlick);
        let wing = receive.wing.filter(|_| self.renames_lanes).map(|wing| match wing {
            Wing::Backhand if !is_backhand => Wing::Forehand,
            _ => Wing::Backhand,
        });
        Receive { wing: wing.or(receive.wing), ..receive.clone() }
    }

    /// The deck with every serve and receive fitted; names, hands and keys are left alone.
    #[must_use]
    pub fn deck(self, deck: &Deck) -> Deck {
        let plan = |plan: &Plan| -> Plan {
            plan.iter().map(|(id, receive)| (id.clone(), self.receive(receive))).collect()
        };
        let switch = |switch: &Switch| Switch { changes: plan(&switch.changes), ..switch.clone() };
        // The safe receive meets anything, so no lane decides its wing.
        Deck {
            serves: deck.serves.iter().map(|serve| self.serve(serve)).collect(),
            plan: plan(&deck.plan),
            switches: deck.switches.iter().map(switch).collect(),
            ..deck.clone()
        }
    }
}

impl Deck {
    /// A new opponent with the habits of this deck: fitted to their hand and the player's, under a
    /// key of its own.
    ///
    /// `server` is the opponent's hand; the deck's own when it is not known. A deck that does not
    /// say for whom it was written counts as written for right-handers.
    #[must_use]
    pub fn as_habit_for(
        &self,
        opponent: &str,
        key: String,
        server: Option<Hand>,
        receiver: Hand,
    ) -> Self {
        let written = Hands {
            server: self.hand.unwrap_or(Hand::Right),
            receiver: self.seen_against.unwrap_or(Hand::Right),
        };
        let wanted = Hands { server: server.unwrap_or(written.server), receiver };
        Self {
            key,
            opponent: opponent.to_owned(),
            hand: server.or(self.hand),
            seen_against: Some(receiver),
            last_met: None,
            private_note: None,
            ..written.fitting(wanted).deck(self)
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::game::{Lane, Motion, Side, Spin};

    const WRITTEN: Hands = Hands { server: Hand::Right, receiver: Hand::Right };

    fn pendulum() -> Serve {
        let mut serve = Serve::unknown("in".parse().unwrap());
        serve.motion = Some(Motion::Pendulum);
        serve.spin = Some(Spin::SideBackspin);
        serve.breaks = Some(Side::Left);
        serve.lane = Some(Lane::Forehand);
        serve
    }

    #[test]
    fn hands_are_right_in_all_four_combinations() {
        let met = |server, receiver| {
            let serve = WRITTEN.fitting(Hands { server, receiver }).serve(&pendulum());
            // What is written must always be what this motion of this hand usually does.
            assert_eq!(serve.breaks, crate::game::usual_break(&Motion::Pendulum, server));
            (serve.lane.unwrap(), serve.breaks.unwrap())
        };
        assert_eq!(met(Hand::Right, Hand::Right), (Lane::Forehand, Side::Left));
        // The same ball, met by the other hand.
        assert_eq!(met(Hand::Right, Hand::Left), (Lane::Backhand, Side::Left));
        // The mirrored habit goes down the other line and turns the other way.
        assert_eq!(met(Hand::Left, Hand::Right), (Lane::Backhand, Side::Right));
        // Both mirrored: the whole table is, and every name is the same again.
        assert_eq!(met(Hand::Left, Hand::Left), (Lane::Forehand, Side::Right));
    }

    #[test]
    fn a_ball_lies_where_geometry_says_it_does() {
        use crate::game::lane_y_m;
        let here = lane_y_m(Lane::Forehand, Hand::Right);
        for (server, receiver) in
            [(Hand::Right, Hand::Left), (Hand::Left, Hand::Right), (Hand::Left, Hand::Left)]
        {
            let serve = WRITTEN.fitting(Hands { server, receiver }).serve(&pendulum());
            let there = lane_y_m(serve.lane.unwrap(), receiver);
            let expected = if server == Hand::Right { here } else { -here };
            assert!((there - expected).abs() < 1e-12, "{server} serves, {receiver} receives");
        }
    }

    #[test]
    fn the_wing_follows_the_ball_but_a_banana_flick_stays_a_backhand() {
        let fitting = WRITTEN.fitting(Hands { server: Hand::Right, receiver: Hand::Left });
        let text = |given: &str| fitting.receive(&given.parse().unwrap()).text();
        assert_eq!(
            text("forehand push early to middle short"),
            "backhand push early to middle short"
        );
        assert_eq!(text("backhand banana_flick to elbow"), "backhand banana_flick to elbow");
        assert_eq!(text("push to wide_forehand"), "push to wide_forehand");
    }

    #[test]
    fn fitting_there_and_back_changes_nothing() {
        for (server, receiver) in [
            (Hand::Right, Hand::Right),
            (Hand::Right, Hand::Left),
            (Hand::Left, Hand::Right),
            (Hand::Left, Hand::Left),
        ] {
            let other = Hands { server, receiver };
            let there = WRITTEN.fitting(other).serve(&pendulum());
            assert_eq!(other.fitting(WRITTEN).serve(&there), pendulum());
        }
    }
}

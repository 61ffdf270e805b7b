//! What a receive is worth by the knowledge alone, whoever plays it: the chance to make it times
//! what follows.

use crate::game::{Receive, Stroke};
use crate::receive::knowledge::{KNOWLEDGE, Play, broken_rule};
use crate::receive::people::Meeting;

/// What a receive is worth that a coach objects to, of what its stroke is. Common practice.
const OBJECTED: f64 = 0.75;

/// So many of ten land, so many of a hundred of those win the point.
pub(super) fn share_won(lands: f64, wins: f64) -> f64 {
    lands.clamp(0.5, 9.5) / 10.0 * wins.clamp(5.0, 95.0) / 100.0
}

/// What these strokes are worth on average, over all serves the knowledge plays them against.
pub fn usual_worth(is_meant: impl Fn(Stroke) -> bool) -> f64 {
    let plays = KNOWLEDGE.plays.iter().filter(|play| is_meant(play.receive.stroke));
    let (sum, count) = plays.fold((0.0, 0.0), |(sum, count), play| {
        (sum + share_won(play.lands, play.wins), count + 1.0)
    });
    sum / f64::max(count, 1.0)
}

impl Meeting<'_> {
    /// What a receive is worth against this serve.
    pub fn usual_worth(self, receive: &Receive) -> f64 {
        let mut plays = self.plays();
        plays.retain(|play| play.receive.stroke == receive.stroke);
        let of_depth = plays.iter().find(|play| play.receive.to.depth == receive.to.depth);
        if let Some(play) = of_depth.or(plays.first()) {
            let (lands, wins, _) = self.of_target(receive);
            return share_won(play.lands + lands, play.wins + wins);
        }
        let is_wrong = broken_rule(self, receive).is_some_and(|(_, is_open)| !is_open);
        usual_worth(|stroke| stroke == receive.stroke) * if is_wrong { OBJECTED } else { 1.0 }
    }

    /// The plays for this serve. The first line of a receive that holds is about it; later ones are
    /// wider.
    pub(super) fn plays(self) -> Vec<&'static Play> {
        let plays = match self.serve.depth {
            Some(_) => &KNOWLEDGE.plays,
            None => &KNOWLEDGE.plays_of_any_depth,
        };
        let mut of_it: Vec<&Play> = Vec::new();
        for play in plays {
            let is_new = of_it.iter().all(|known| known.receive != play.receive);
            if is_new && play.condition.holds(self, &play.receive) == Some(true) {
                of_it.push(play);
            }
        }
        of_it
    }

    /// What a target adds to how many land of ten and to the points won of a hundred, and why.
    pub(super) fn of_target(self, receive: &Receive) -> (f64, f64, &'static str) {
        let (mut lands, mut wins, mut reason) = (0.0, 0.0, (0.1, ""));
        let Some(lane) = receive.to.lane else { return (0.0, 0.0, "") };
        let lines = KNOWLEDGE.targets.iter().filter(|line| {
            line.is_about(lane)
                && line.strokes.has(receive.stroke)
                && line.condition.holds(self, receive) == Some(true)
        });
        for line in lines {
            lands += line.lands;
            wins += line.wins;
            // Of equals the later line says more of this opponent.
            if !line.why.is_empty() && line.wins >= reason.0 {
                reason = (line.wins, line.why);
            }
        }
        (lands, wins, reason.1)
    }
}

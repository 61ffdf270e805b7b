//! What a receive wins before anything is known of it, by the knowledge of receives.

use crate::game::{Receive, Stroke};
use crate::receive::{Meeting, usual_worth};

/// Share of points a receiver wins before anything is known.
///
/// # Source
/// Receivers win slightly under half: Gomez, Garcia-de-Alcaraz & Furley 2017, 140 Olympic matches.
pub const RECEIVER_WINS: f64 = 0.48;

/// How far the knowledge's differences are believed: it says which receive is better, its chances
/// are a coach's. Assumption.
const BELIEVED: f64 = 0.5;

/// What a stroke wins, over all serves it is played against.
pub(crate) fn of_stroke(stroke: Stroke) -> f64 {
    let all = usual_worth(|_| true);
    RECEIVER_WINS * (1.0 + BELIEVED * (usual_worth(|it| it == stroke) / all - 1.0))
}

/// How much more than its stroke a receive wins against this serve.
pub(crate) fn beyond_stroke(meeting: Meeting<'_>, receive: &Receive) -> f64 {
    let more = meeting.usual_worth(receive) - usual_worth(|it| it == receive.stroke);
    RECEIVER_WINS * BELIEVED * more / usual_worth(|_| true)
}

//! Where a serve and its answer go on the table, seen from above.

use serde::Serialize;

use crate::game::{
    Depth, From, Hand, NET_X_M, Receive, Serve, TABLE_LENGTH_M, lane_y_m, server_y_m,
};

/// Where a serve and its answer go, in metres: `x` from the server's end line to the receiver's,
/// `y` to the receiver's right.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct TablePicture {
    /// Where the server contacts.
    pub server: (f64, f64),
    /// Where the serve comes down; none when neither lane nor depth is known.
    pub serve: Option<(f64, f64)>,
    /// Where the receive goes; none when it has no target.
    pub target: Option<(f64, f64)>,
}

/// How far behind the net a ball of this depth comes down, as drawn (m); about the middle when
/// unknown.
pub(super) const fn behind_net_m(depth: Option<Depth>) -> f64 {
    match depth {
        Some(Depth::Short) => 0.40,
        Some(Depth::HalfLong) => 0.85,
        Some(Depth::Long) => 1.18,
        None => 0.70,
    }
}

impl TablePicture {
    /// The picture of a serve and its answer.
    pub fn draw(
        serve: &Serve,
        receive: Option<&Receive>,
        server: Option<Hand>,
        player: Hand,
    ) -> Self {
        let hand = server.unwrap_or(Hand::Right);
        let from = serve.from.unwrap_or(From::BackhandCorner);
        let is_known = serve.lane.is_some() || serve.depth.is_some();
        let across = serve.lane.map_or(0.0, |lane| lane_y_m(lane, player));
        let target = receive.map(|receive| receive.to).filter(|to| !to.is_open()).map(|to| {
            // The opponent looks the other way: their lanes are seen in a mirror.
            let across = to.lane.map_or(0.0, |lane| -lane_y_m(lane, hand));
            (NET_X_M - behind_net_m(to.depth), across)
        });
        Self {
            server: (0.0, server_y_m(from, hand)),
            serve: is_known
                .then(|| ((NET_X_M + behind_net_m(serve.depth)).min(TABLE_LENGTH_M), across)),
            target,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_left_handers_forehand_is_drawn_on_the_receivers_right() {
        let mut serve = Serve::unknown("s".parse().unwrap());
        serve.lane = Some(crate::game::Lane::Forehand);
        serve.depth = Some(Depth::Short);
        let receive: Receive = "forehand push to forehand long".parse().unwrap();
        let of = |server| TablePicture::draw(&serve, Some(&receive), Some(server), Hand::Right);
        let (left, right) = (of(Hand::Left), of(Hand::Right));
        // A right-handed receiver's own forehand is on the right, whoever serves.
        assert!(left.serve.unwrap().1 > 0.0 && right.serve.unwrap().1 > 0.0);
        assert!(left.target.unwrap().1 > 0.0 && right.target.unwrap().1 < 0.0);
        assert!(left.server.1 < 0.0 && right.server.1 > 0.0);
        assert!(left.serve.unwrap().0 > NET_X_M && left.target.unwrap().0 < NET_X_M);
    }
}

//! What bat and ball do, in words: how much room, what becomes of a ball read wrong, what comes
//! back. Comparisons for one serve, never an angle as advice.

use crate::deck::Deck;
use crate::flight::bat::{BallEnd, HIGH_M};
use crate::game::{Covering, Receive, Serve};
use crate::receive::{Bats, ComingBack, RoomLeft};

/// How much room a receive leaves.
pub const fn room_words(room: RoomLeft) -> &'static str {
    match room {
        RoomLeft::Plenty => "plenty",
        RoomLeft::Some => "some",
        RoomLeft::Little => "little",
        RoomLeft::None => "none by the numbers; coaches play it",
    }
}

/// What becomes of a ball: `goes into the net`, `pops up 40 cm over the net`.
pub fn end_words(end: BallEnd, over_net_m: f64) -> String {
    match end {
        BallEnd::Lands => "lands all the same".to_owned(),
        BallEnd::High => format!("pops up {} over the net", about_cm(over_net_m)),
        BallEnd::Net => "goes into the net".to_owned(),
        BallEnd::Long => "goes long".to_owned(),
        BallEnd::Aside => "goes off the side".to_owned(),
    }
}

/// To ten centimetres: it is not known better.
fn about_cm(metres: f64) -> String {
    format!("{:.0} cm", (metres * 10.0).round() * 10.0)
}

/// What a receive does when the serve is the twin it looks like.
pub fn twin_words(bats: &Bats, deck: &Deck, serve: &Serve, receive: &Receive) -> Option<String> {
    let twin = deck.twin(serve).filter(|twin| !serve.flies_unlike(twin))?;
    let stroke = receive.stroke;
    if let Some(shared) = bats.shared(&serve.id, receive, &twin.id) {
        let high = shared.over_net_m > HIGH_M;
        let price = high.then(|| format!(", up to {} over the net", about_cm(shared.over_net_m)));
        return Some(format!("one {stroke} stands both{}", price.unwrap_or_default()));
    }
    let answer = bats.read_wrong(&serve.id, receive, &twin.id)?;
    let end = end_words(answer.end, answer.over_net_m);
    Some(format!("if it is {}, the {stroke} {end}", deck.short_word(twin)))
}

/// What comes back off the opponent's bat: `comes back with topspin off the long pimples`.
pub fn coming_back_words((covering, spin): (Covering, ComingBack)) -> String {
    let spin = match spin {
        ComingBack::Topspin => "topspin",
        ComingBack::Backspin => "backspin",
        ComingBack::LittleSpin => "little spin",
    };
    format!("comes back with {spin} off the {covering}")
}

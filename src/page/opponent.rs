//! What every page about an opponent says of them and of their serves.

use crate::base::text;
use crate::deck::Deck;
use crate::game::{Hand, Serve, Spin, leaves_your_bat};

/// What is known of an opponent's hand and bat; empty when it is nothing.
pub(super) fn about(deck: &Deck) -> String {
    let mut parts = Vec::new();
    parts.extend(deck.hand.map(|hand| hand.to_string()));
    parts.extend(deck.grip.map(|grip| grip.to_string()));
    parts.extend(deck.rubbers.as_deref().map(text::one_line));
    parts.join(", ")
}

/// `bends to your left, leaves a quiet bat to the right`; `probably` before what only follows from
/// hand and motion and nobody has confirmed.
pub(super) fn bends(serve: &Serve, server: Option<Hand>) -> Option<String> {
    let side = serve.breaks_for(server)?;
    let probably = if serve.breaks.is_some() { "" } else { "probably " };
    Some(if serve.spin == Some(Spin::Corkscrew) {
        // It turns about its way through the air: the table throws it, a bat hardly.
        format!("{probably}kicks to your {side} off the table")
    } else {
        let other = leaves_your_bat(side);
        format!("{probably}bends to your {side}, leaves a quiet bat to the {other}")
    })
}

/// How often a serve comes; empty when it is not known.
pub(super) fn how_often(serve: &Serve) -> String {
    serve.how_often.map(|often| often.to_string()).unwrap_or_default()
}

/// What a person wrote, as one line; none when it is empty.
pub(super) fn line(words: Option<&String>) -> Option<String> {
    words.map(|words| text::one_line(words)).filter(|words| !words.is_empty())
}

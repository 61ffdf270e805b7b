//! What every page about an opponent says of them and of their serves.

use crate::base::text;
use crate::deck::{Deck, SafeFor};
use crate::game::{Direction, Hand, Receive, Serve, Side, Spin, leaves_your_bat};
use crate::receive::{Aim, Line};

/// What is known of an opponent's hand and bat; empty when it is nothing.
pub(crate) fn about(deck: &Deck) -> String {
    let mut parts = Vec::new();
    parts.extend(deck.hand.map(|hand| hand.to_string()));
    parts.extend(deck.grip.map(|grip| grip.to_string()));
    parts.extend(deck.rubbers.as_deref().map(text::one_line));
    parts.extend(deck.style.map(|style| style.to_string()));
    parts.extend(deck.stronger.map(|wing| format!("stronger {wing}")));
    parts.extend(deck.waits.map(|place| format!("waits {place}")));
    parts.extend(deck.likes.map(|ball| format!("likes {ball}")));
    parts.extend(deck.hates.map(|ball| format!("hates {ball}")));
    parts.join(", ")
}

/// What a side spin does; `probably` before what only follows from hand and motion and nobody has
/// confirmed.
pub(super) fn bends(serve: &Serve, server: Option<Hand>) -> Option<String> {
    let does = side_words(serve.spin, serve.breaks_for(server)?);
    Some(if serve.breaks.is_some() { does } else { format!("probably {does}") })
}

/// `breaks to your left, kicks to your right off a still bat`.
pub(crate) fn side_words(spin: Option<Spin>, breaks: Side) -> String {
    if spin == Some(Spin::Corkscrew) {
        // It spins about its way through the air: the table throws it, a bat hardly.
        return format!("kicks to your {breaks} off the table");
    }
    let other = leaves_your_bat(breaks);
    format!("breaks to your {breaks}, kicks to your {other} off a still bat")
}

/// A receive with the direction that its lane lies in from where the serve comes: `forehand slow
/// loop, long to the wide forehand (down the line)`.
pub(super) fn receive_words(receive: &Receive, serve: &Serve, player: Hand, deck: &Deck) -> String {
    let lanes = serve.lane.zip(receive.to.lane).zip(deck.hand);
    let way = lanes.and_then(|((from, to), hand)| Direction::between(from, to, player, hand));
    let way = way.map(|way| format!(" ({way})")).unwrap_or_default();
    format!("{}{way}", receive.shown())
}

/// The safe answers, each behind its kind of serve: the one for everything last, where a kind has
/// none of its own.
pub(super) fn safe_words(deck: &Deck) -> Vec<(&'static str, String)> {
    let of_kind = |(kind, it): (SafeFor, &Receive)| (kind.shown(), it.short());
    let mut words: Vec<_> = deck.safe_for.each().map(of_kind).collect();
    let rest = if words.is_empty() { "any ball" } else { "others" };
    let is_needed = words.len() < SafeFor::ALL.len();
    words.extend(deck.safe.as_ref().filter(|_| is_needed).map(|it| (rest, it.short())));
    words
}

/// Where to aim against side spin: `Aim a hand inside the side line`.
pub(crate) fn aim_words(aim: Aim) -> String {
    let Aim { hands, side, line } = aim;
    let hands = ["a hand", "two hands", "three hands"][usize::from(hands.clamp(1, 3)) - 1];
    match line {
        Some(Line::Inside) => format!("Aim {hands} inside the side line"),
        Some(Line::Outside) => format!("Aim {hands} outside the side line: the spin brings it in"),
        None => format!("Aim {hands} to the {side}"),
    }
}

/// What a serve is called, with its spin: `short FH, side-back`.
pub(super) fn called_with_spin(deck: &Deck, serve: &Serve) -> String {
    let called = deck.called(&serve.id);
    let spin = serve.spin.filter(|spin| !called.contains(spin.shown()));
    let Some(spin) = spin.filter(|_| serve.lane.is_some() || serve.depth.is_some()) else {
        return called;
    };
    match called.strip_suffix(" (guess)") {
        Some(called) => format!("{called}, {spin} (guess)"),
        None => format!("{called}, {spin}"),
    }
}

/// How often a serve comes; empty when it is not known.
pub(super) fn how_often(serve: &Serve) -> String {
    serve.how_often.map(|often| often.to_string()).unwrap_or_default()
}

/// What a person wrote, as one line; none when it is empty.
pub(super) fn line(words: Option<&String>) -> Option<String> {
    words.map(|words| text::one_line(words)).filter(|words| !words.is_empty())
}

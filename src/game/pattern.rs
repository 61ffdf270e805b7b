//! The thing memorised: one (opponent, serve, receive) triple, and its key.

use serde::{Deserialize, Serialize};

use crate::game::{Receive, ServeId};

/// The canonical text of a receive, as a key.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(transparent)]
pub struct ReceiveKey(String);

impl ReceiveKey {
    /// The key of this receive; what was written about it plays no part.
    pub fn from_receive(receive: &Receive) -> Self {
        Self(receive.text())
    }

    /// A key read from a journal, kept as it is even when this version does not know its words.
    pub fn from_journal(text: impl Into<String>) -> Self {
        Self(text.into())
    }

    /// The text.
    pub fn as_str(&self) -> &str {
        &self.0
    }

    /// The receive in words, or the text itself when its words are not known.
    pub fn shown(&self) -> String {
        Receive::from_text(&self.0).map_or_else(|_| self.0.clone(), |receive| receive.shown())
    }
}

/// The key of a pattern: the deck's own random key, the serve's id, the receive's text.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
pub struct PatternKey {
    /// The deck's key.
    pub deck: String,
    /// The serve.
    pub serve: ServeId,
    /// The receive.
    pub receive: ReceiveKey,
}

impl PatternKey {
    /// The key of answering `serve` of the deck `deck` with `receive`.
    pub fn new(deck: impl Into<String>, serve: &ServeId, receive: &Receive) -> Self {
        Self { deck: deck.into(), serve: serve.clone(), receive: ReceiveKey::from_receive(receive) }
    }
}

impl std::fmt::Display for PatternKey {
    fn fmt(&self, out: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(out, "{}/{}/{}", self.deck, self.serve, self.receive.as_str())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_key_is_frozen_and_never_depends_on_the_reason() {
        let mut receive = Receive::from_text("forehand push early to middle short").unwrap();
        let serve: ServeId = "bh-short-fh".parse().unwrap();
        let key = PatternKey::new("k7f3q2", &serve, &receive);
        assert_eq!(key.to_string(), "k7f3q2/bh-short-fh/forehand push early to middle short");
        receive.why = Some("another reason".to_owned());
        assert_eq!(PatternKey::new("k7f3q2", &serve, &receive), key);
    }
}

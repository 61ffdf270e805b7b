//! Figures and the sentences about them in one written document.

use serde::Serialize;

/// The fields of both, side by side.
#[derive(Debug, Clone, Serialize)]
pub(crate) struct Worded<D, W> {
    #[serde(flatten)]
    pub data: D,
    #[serde(flatten)]
    pub words: W,
}

/// The sentences about some figures, most important first.
#[derive(Debug, Serialize)]
pub(crate) struct Says {
    pub says: Vec<String>,
}

/// What a serve is called.
#[derive(Debug, Clone, Serialize)]
pub(crate) struct CalledServe {
    pub called: Option<String>,
}

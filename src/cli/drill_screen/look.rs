//! The styles of the drill's screen. What colour says, a word says too.

use ratatui_core::style::{Color, Modifier, Style};

pub(super) const BOLD: Style = Style::new().add_modifier(Modifier::BOLD);

/// A grey would vanish on some dark grounds.
pub(super) const QUIET: Style = Style::new().add_modifier(Modifier::DIM);

/// How the player wants to see it.
#[derive(Debug, Clone, Copy)]
pub(super) struct Look {
    pub(super) has_colour: bool,
    /// Whether nothing may move.
    pub(super) is_still: bool,
}

impl Look {
    pub(super) fn colour(self, colour: Color) -> Style {
        if self.has_colour { Style::new().fg(colour) } else { Style::new() }
    }

    pub(super) fn right(self) -> Style {
        self.colour(Color::Cyan).add_modifier(Modifier::BOLD)
    }

    /// What was given and was not right.
    pub(super) fn given(self) -> Style {
        self.colour(Color::Magenta).add_modifier(Modifier::UNDERLINED)
    }
}

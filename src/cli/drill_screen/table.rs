//! The table, seen from above with the player at the bottom: the toss, the ball and where it has
//! been.

use ratatui_core::buffer::Buffer;
use ratatui_core::layout::Rect;
use ratatui_core::style::{Color, Style};
use ratatui_core::terminal::Frame;

use super::look::Look;
use crate::drill::{Frame as Ball, Phase, Picture};
use crate::game::{NET_X_M, TABLE_LENGTH_M, TABLE_WIDTH_M};

/// What is drawn along the table, metres: from behind the server to behind the player's end line.
const FROM_X_M: f64 = -0.55;
const TO_X_M: f64 = 3.25;
/// What is drawn across, metres to either side of the middle.
const HALF_Y_M: f64 = 0.95;
/// Below this height, metres, the ball is drawn as touching the table.
const LOW_M: f64 = 0.07;

/// The cell of a place of the table, if it lies in the area.
fn cell(area: Rect, x_m: f64, y_m: f64) -> Option<(u16, u16)> {
    let along = (x_m - FROM_X_M) / (TO_X_M - FROM_X_M);
    let across = (y_m + HALF_Y_M) / (2.0 * HALF_Y_M);
    let is_inside = (0.0..1.0).contains(&along) && (0.0..1.0).contains(&across);
    is_inside.then(|| (area.x + part(across, area.width), area.y + part(along, area.height)))
}

/// A share of a number of cells.
fn part(share: f64, cells: u16) -> u16 {
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "0 to cells")]
    let whole = (share * f64::from(cells)) as u16;
    whole
}

/// Draws the table and what is on it.
pub(super) fn draw(frame: &mut Frame<'_>, area: Rect, picture: &Picture, look: Look) {
    let buffer = frame.buffer_mut();
    lines(buffer, area);
    if let Some(permille) = picture.toss_permille {
        toss(buffer, area, permille, look);
    }
    if look.is_still {
        // Nothing moves: the whole path stands there at once.
        for ball in &picture.path {
            put(buffer, area, ball, "·", look.colour(Color::Yellow));
        }
        if let Some(last) = picture.path.last().filter(|_| picture.ball.is_some()) {
            put(buffer, area, last, "●", look.colour(Color::Yellow));
        }
        return;
    }
    let wrong = picture.feedback.as_ref().and_then(|told| told.wrong_bat.as_ref());
    for ball in wrong.iter().flat_map(|wrong| &wrong.frames) {
        put(buffer, area, ball, "x", look.given());
    }
    if let Some(ball) = picture.ball {
        for (nth, been) in picture.path.iter().enumerate() {
            if been.t_ms >= ball.t_ms {
                break;
            }
            let is_bounce = metres(been.z_mm) < LOW_M && is_lowest(&picture.path, nth);
            put(buffer, area, been, if is_bounce { "o" } else { "·" }, Style::new());
        }
        put(buffer, area, &ball, "●", look.colour(Color::Yellow));
    }
    if picture.phase == Phase::Paused {
        let words = "paused";
        let column = area.x + area.width.saturating_sub(6) / 2;
        buffer.set_string(column, area.y + area.height / 2, words, Style::new());
    }
}

/// True when the ball is lower here than just before and just after.
fn is_lowest(path: &[Ball], nth: usize) -> bool {
    let low = path[nth].z_mm;
    let before = nth.checked_sub(1).and_then(|before| path.get(before));
    before.is_some_and(|ball| ball.z_mm > low)
        && path.get(nth + 1).is_some_and(|ball| ball.z_mm >= low)
}

fn metres(mm: i32) -> f64 {
    f64::from(mm) / 1000.0
}

/// Puts a mark where the ball is.
fn put(buffer: &mut Buffer, area: Rect, ball: &Ball, mark: &str, style: Style) {
    if let Some(cell) = cell(area, metres(ball.x_mm), metres(ball.y_mm)) {
        buffer.set_string(cell.0, cell.1, mark, style);
    }
}

/// Side lines, end lines, the middle line and the net.
fn lines(buffer: &mut Buffer, area: Rect) {
    let half = TABLE_WIDTH_M / 2.0;
    let inside = 1e-6;
    let corners =
        (cell(area, 0.0, -half), cell(area, TABLE_LENGTH_M, half), cell(area, NET_X_M, 0.0));
    let (Some((left, top)), Some((right, bottom)), Some((middle, net))) = corners else { return };
    let style = Style::new();
    for row in top..=bottom {
        buffer.set_string(left, row, "│", style);
        buffer.set_string(right, row, "│", style);
        buffer.set_string(middle, row, "┊", style);
    }
    for column in left..=right {
        buffer.set_string(column, top, "─", style);
        buffer.set_string(column, bottom, "─", style);
        buffer.set_string(column, net, "═", style);
    }
    for (column, row, corner) in
        [(left, top, "┌"), (right, top, "┐"), (left, bottom, "└"), (right, bottom, "┘")]
    {
        buffer.set_string(column, row, corner, style);
    }
    if let Some((column, row)) = cell(area, TO_X_M - 0.1 - inside, 0.0) {
        buffer.set_string(column.saturating_sub(1), row, "you", style);
    }
}

/// The toss: the ball grows lighter on its way up and comes down again, beside the server.
fn toss(buffer: &mut Buffer, area: Rect, permille: u32, look: Look) {
    let Some((column, row)) = cell(area, FROM_X_M + 0.01, 0.0) else { return };
    let mark = if look.is_still {
        "toss"
    } else {
        match permille {
            0..250 => "toss  .",
            250..750 => "toss  °",
            _ => "toss  o",
        }
    };
    buffer.set_string(column.saturating_sub(2), row, mark, look.colour(Color::Yellow));
}

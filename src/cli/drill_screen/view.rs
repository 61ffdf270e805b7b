//! One picture of the machine, drawn on the terminal: header, table and palette, the moment, keys.
//!
//! Calm: nothing blinks, nothing is red or green; what colour says, a word says too. Below 60
//! columns or 20 rows a line asks for more room, and the drill waits.

use ratatui_core::layout::{Alignment, Constraint, Layout, Rect};
use ratatui_core::style::Modifier;
use ratatui_core::terminal::Frame;
use ratatui_core::text::{Line, Span, Text};

use super::look::{BOLD, Look, QUIET};
use super::{panels, table};
use crate::base::text;
use crate::drill::{LETTERS, Mark, Phase, Picture};

/// The least room there must be.
pub(super) const LEAST: (u16, u16) = (60, 20);

pub(super) fn draw(frame: &mut Frame<'_>, picture: &Picture, look: Look) {
    let area = frame.area();
    if is_too_small(frame, area) {
        return;
    }
    let [header, body, moment, keys] = Layout::vertical([
        Constraint::Length(1),
        Constraint::Min(9),
        Constraint::Length(5),
        Constraint::Length(1),
    ])
    .areas(area);
    draw_header(frame, header, picture);
    let room = usize::from(area.width);
    match picture.phase {
        Phase::Ready => panels::ready(frame, body.union(moment), picture, look),
        Phase::Call => panels::moment(frame, body, room, picture, look),
        Phase::Shadow | Phase::Own => panels::shadow(frame, body, picture, look),
        _ => {
            let table_columns = (body.width * 7 / 20).clamp(20, 36);
            let [left, _, right] = Layout::horizontal([
                Constraint::Length(table_columns),
                Constraint::Length(2),
                Constraint::Min(34),
            ])
            .areas(body);
            table::draw(frame, left, picture, look);
            panels::choices(frame, right, picture, look);
        }
    }
    if !matches!(picture.phase, Phase::Ready | Phase::Call) {
        panels::moment(frame, moment, room, picture, look);
    }
    frame.render_widget(Text::from(hint(picture)).style(QUIET), keys);
}

fn is_too_small(frame: &mut Frame<'_>, area: Rect) -> bool {
    let is_small = area.width < LEAST.0 || area.height < LEAST.1;
    if is_small {
        let words = format!(
            "The drill needs {} columns and {} rows; here are {} and {}. Make the window larger; p pauses.",
            LEAST.0, LEAST.1, area.width, area.height
        );
        frame.render_widget(Text::from(text::wrap(&words, usize::from(area.width), "")), area);
    }
    is_small
}

fn draw_header(frame: &mut Frame<'_>, area: Rect, picture: &Picture) {
    let mut right = Vec::new();
    right.extend(picture.under.as_ref().map(|under| format!("under \"{under}\"")));
    right.extend(picture.part.map(str::to_owned));
    right.extend(picture.reading.map(str::to_owned));
    if picture.of_turn > 0 {
        right.push(format!("serve {} of 2", picture.of_turn));
    }
    if let Some(left_s) = picture.left_s {
        right.push(format!("{}:{:02} left", left_s / 60, left_s % 60));
    } else if picture.ball_number > 0 {
        right.push(format!("ball {}/{}", picture.ball_number, picture.balls));
    }
    if picture.answers > 0 {
        let what = if picture.tempo_permille.is_some() { "in time" } else { "right" };
        right.push(format!("{what} {}/{}", picture.in_window, picture.answers));
    }
    let right = right.join("  ·  ");
    let room = usize::from(area.width).saturating_sub(text::width(&right) + 2);
    let line = Line::from(vec![
        Span::styled(text::fit(&picture.opponent, room), BOLD),
        Span::raw("  "),
        Span::styled(right, QUIET),
    ]);
    frame.render_widget(Text::from(line), area);
}

/// The keys that do something now.
fn hint(picture: &Picture) -> &'static str {
    match picture.phase {
        Phase::Ready => "space begins · ? shows the answers · Esc ends",
        Phase::Call => "space goes on when you have it · Esc pauses",
        Phase::Toss if picture.answers == 0 => "wait for the contact · Esc pauses",
        Phase::Toss => "wait for the contact · u takes the last back · Esc pauses",
        Phase::Flight | Phase::Do if picture.palette.iter().any(|one| one.mark == Mark::Open) => {
            "the same key again or the one beside it · Esc pauses"
        }
        Phase::Flight | Phase::Do if picture.palette.iter().any(|one| one.parts > 1) => {
            "its key answers, two keys where several lie together · Esc pauses"
        }
        Phase::Flight | Phase::Do => "its key answers · Esc pauses",
        Phase::Stroke => "a number for the stroke · Esc pauses",
        Phase::Target => "a key for the target · u: another stroke · Esc pauses",
        Phase::What => "a number for the serve · Esc pauses",
        Phase::Shadow => "play the stroke, bat in hand · Esc pauses",
        Phase::Own => "y played it · l late · n no · Esc pauses",
        Phase::Feedback
            if picture.feedback.as_ref().is_some_and(|told| !told.verdict.is_right()) =>
        {
            "space goes on · u takes it back · Esc pauses"
        }
        Phase::Feedback => "it goes on by itself · h holds it · u takes it back · Esc pauses",
        Phase::Between => "it goes on by itself, space at once · Esc pauses",
        Phase::Paused => "space goes on · Esc ends",
        Phase::Over => "m five minutes more · space ends",
        Phase::Done => "",
    }
}

/// Draws the warm-up: before it begins, between two prompts, or with a prompt.
pub(super) fn draw_warm_up(
    frame: &mut Frame<'_>,
    has_begun: bool,
    prompt: Option<(usize, &'static [usize])>,
    (done, all): (usize, usize),
    look: Look,
) {
    let area = frame.area();
    if is_too_small(frame, area) {
        return;
    }
    let [top, middle, bottom] =
        Layout::vertical([Constraint::Length(7), Constraint::Min(8), Constraint::Length(1)])
            .areas(area);
    let words = if has_begun {
        format!("Press the key that is shown.  {done} of {all}")
    } else {
        "How quickly do your fingers find a key?\n\n\
         Eighteen keys, half a minute. It is taken out of every window, so that the\n\
         drill asks for the receive and not for the typing. Put your fingers on\n\
         q w e, a s d, z x c, or on the numeric keypad; they lie like the targets."
            .to_owned()
    };
    frame.render_widget(Text::from(words), top);
    if let Some((wanted, among)) = prompt {
        let key = |place: usize| {
            let letter = LETTERS[place].to_ascii_uppercase();
            if place == wanted {
                let style = look.right().add_modifier(Modifier::REVERSED);
                Span::styled(format!("  [{letter}]  "), style)
            } else if among.contains(&place) {
                Span::raw(format!("   {letter}   "))
            } else {
                Span::raw("       ")
            }
        };
        let rows =
            (0..3).map(|row| Line::from((3 * row..3 * row + 3).map(key).collect::<Vec<_>>()));
        let rows: Vec<Line<'_>> = rows.flat_map(|row| [row, Line::default()]).collect();
        frame.render_widget(Text::from(rows).alignment(Alignment::Center), middle);
    }
    let hint =
        if has_begun { "Esc leaves it out" } else { "space begins · Esc leaves it out this time" };
    frame.render_widget(Text::from(hint).style(QUIET), bottom);
}

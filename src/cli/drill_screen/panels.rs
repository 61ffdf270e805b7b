//! The panels around the table: palette, menus, feedback, the call, the cue of a shadow stroke.

use ratatui_core::layout::{Alignment, Constraint, Layout, Rect};
use ratatui_core::style::Style;
use ratatui_core::terminal::Frame;
use ratatui_core::text::{Line, Span, Text};

use super::look::{BOLD, Look, QUIET};
use crate::base::text;
use crate::drill::{Cell, LETTERS, Mark, Phase, Picture};
use crate::game::{Depth, Lane};
use crate::page::drill::picture_panel;

/// The depths of the rows, far row first.
const ROWS: [Depth; 3] = [Depth::Long, Depth::HalfLong, Depth::Short];

/// Rows that a pad needs: its lanes, and three rows of two receives.
const LEAST_PAD: u16 = 7;

/// Palette, menu, or the square of targets: whatever is asked from.
pub(super) fn choices(frame: &mut Frame<'_>, area: Rect, picture: &Picture, look: Look) {
    if picture.phase == Phase::Target {
        targets(frame, area, picture);
    } else if !picture.menu.is_empty() {
        menu(frame, area, picture);
    } else if !picture.palette.is_empty() {
        palette(frame, area, picture, look);
    }
}

fn menu(frame: &mut Frame<'_>, area: Rect, picture: &Picture) {
    let question = if picture.phase == Phase::What { "What was it?" } else { "Which stroke?" };
    let mut lines = vec![Line::styled(question, BOLD), Line::default()];
    let room = usize::from(area.width).saturating_sub(4);
    for line in &picture.menu {
        let wrapped = text::wrap(&line.words, room, "");
        for (nth, part) in wrapped.lines().enumerate() {
            let key = if nth == 0 { format!("{}   ", line.key) } else { "    ".to_owned() };
            lines.push(Line::from(vec![Span::styled(key, BOLD), Span::raw(part.to_owned())]));
        }
    }
    frame.render_widget(Text::from(lines), area);
}

/// The nine cells of the square.
fn square(area: Rect) -> [Rect; 9] {
    let rows: [Rect; 3] = Layout::vertical([Constraint::Ratio(1, 3); 3]).areas(area);
    let mut cells = [Rect::default(); 9];
    for (row, &line) in rows.iter().enumerate() {
        let columns: [Rect; 3] = Layout::horizontal([Constraint::Ratio(1, 3); 3]).areas(line);
        cells[row * 3..row * 3 + 3].copy_from_slice(&columns);
    }
    cells
}

fn palette(frame: &mut Frame<'_>, area: Rect, picture: &Picture, look: Look) {
    let [lanes, area] = Layout::vertical([Constraint::Length(1), Constraint::Min(3)]).areas(area);
    let pad = &picture.palette;
    // A lane with a place that several share is wider.
    let width = [0, 1, 2].map(|column| {
        let is_shared = pad.iter().any(|choice| choice.cell % 3 == column && choice.parts > 1);
        Constraint::Fill(if is_shared { 3 } else { 2 })
    });
    let columns: [Rect; 3] = Layout::horizontal(width).areas(area);
    let whose = |lane: &Lane| format!("their {lane}");
    let has_room =
        |(lane, room): (&Lane, &Rect)| text::width(&whose(lane)) < usize::from(room.width);
    // All three lanes alike.
    let is_whose = picture.lanes.iter().zip(&columns).all(has_room);
    for (lane, column) in picture.lanes.iter().zip(&columns) {
        let words = if is_whose { whose(lane) } else { lane.to_string() };
        let over = Rect { y: lanes.y, height: 1, ..*column };
        frame.render_widget(Text::from(words).style(QUIET), over);
    }
    // What lies at one place stands one above the other, the left one first.
    let places: Vec<Vec<Line<'_>>> = (0..9)
        .map(|cell| {
            let room = usize::from(columns[cell % 3].width).saturating_sub(1);
            let here = pad.iter().filter(|choice| choice.cell == cell);
            here.flat_map(|choice| field(choice, room, look)).collect()
        })
        .collect();
    let need = [0, 3, 6].map(|row| places[row..row + 3].iter().map(Vec::len).max().unwrap_or(0));
    let used = need.iter().filter(|&&lines| lines > 0).count().max(1);
    let rest = usize::from(area.height).saturating_sub(need.iter().map(|&n| n.max(1)).sum());
    // A row without a receive is low.
    let height = need.map(|lines| if lines == 0 { 1 } else { lines + rest / used });
    let height = height.map(|lines| Constraint::Length(u16::try_from(lines).unwrap_or(u16::MAX)));
    let rows: [Rect; 3] = Layout::vertical(height).areas(area);
    for (cell, mut lines) in places.into_iter().enumerate() {
        if lines.is_empty() {
            lines.push(Line::styled("·", QUIET));
        }
        let (column, row) = (columns[cell % 3], rows[cell / 3]);
        let place = Rect { y: row.y, height: row.height, ..column };
        frame.render_widget(Text::from(lines), place);
    }
}

/// A receive of the pad: its keys and its stroke, as wide marked as not.
fn field(choice: &Cell, room: usize, look: Look) -> Vec<Line<'static>> {
    let (style, [before, after]) = match choice.mark {
        Mark::Plain => (Style::new(), ['[', ']']),
        Mark::Open => (BOLD, ['>', '<']),
        Mark::Right => (look.right(), ['✓'; 2]),
        Mark::Given => (look.given(), ['✕'; 2]),
    };
    let keys = format!("{before}{}{after} ", choice.keys.to_uppercase());
    let label = if choice.label.is_empty() { "·" } else { &choice.label };
    let wrapped = text::wrap(&format!("{keys}{label}"), room, "");
    let lines = wrapped.lines().map(|line| match line.strip_prefix(&keys) {
        Some(rest) => Line::from(vec![
            Span::styled(keys.clone(), style.patch(BOLD)),
            Span::styled(rest.to_owned(), style),
        ]),
        None => Line::styled(line.to_owned(), style),
    });
    lines.collect()
}

fn targets(frame: &mut Frame<'_>, area: Rect, picture: &Picture) {
    let [head, area] = Layout::vertical([Constraint::Length(2), Constraint::Min(3)]).areas(area);
    let question = match &picture.stroke {
        Some(stroke) => format!("{stroke}, where to?"),
        None => "Where to?".to_owned(),
    };
    frame.render_widget(Text::from(Line::styled(question, BOLD)), head);
    for (place, cell) in square(area).into_iter().enumerate() {
        let key = LETTERS[place].to_ascii_uppercase();
        let lines = vec![
            Line::styled(format!("[{key}]"), BOLD),
            Line::styled(format!("{},", ROWS[place / 3]), QUIET),
            Line::styled(picture.lanes[place % 3].to_string(), QUIET),
        ];
        frame.render_widget(Text::from(lines), cell);
    }
}

/// The cue of a shadow stroke, large; afterwards the answer.
pub(super) fn shadow(frame: &mut Frame<'_>, area: Rect, picture: &Picture, look: Look) {
    let room = usize::from(area.width / 2).max(20);
    let words = picture.words.as_deref().unwrap_or_default();
    let mut lines = vec![Line::default()];
    for line in text::wrap(words, room, "").lines() {
        lines.extend([Line::default(), Line::styled(spaced(line), BOLD)]);
    }
    lines.push(Line::default());
    if let Some(answer) = &picture.shadow_answer {
        let keys = picture.menu.iter().map(|line| format!("{}  {}", line.key, line.words));
        let keys = Line::raw(keys.collect::<Vec<_>>().join("     "));
        lines.extend([Line::styled(answer.clone(), look.right()), Line::default(), keys]);
    }
    frame.render_widget(Text::from(lines).alignment(Alignment::Center), area);
}

/// Letters with room between them: as large as a terminal gets.
fn spaced(line: &str) -> String {
    let letters: Vec<String> = line.to_uppercase().chars().map(String::from).collect();
    letters.join(" ")
}

/// What the round is, and under it the pad, for the fingers to find, where there is room for both.
pub(super) fn ready(frame: &mut Frame<'_>, area: Rect, picture: &Picture, look: Look) {
    let room = usize::from(area.width) - 2;
    let words = picture_panel(picture, room).lines().count() + 1;
    let words = Constraint::Length(u16::try_from(words).unwrap_or(u16::MAX));
    let [_, pad] = Layout::vertical([words, Constraint::Fill(1)]).areas(area);
    moment(frame, area, room, picture, look);
    if pad.height >= LEAST_PAD {
        choices(frame, pad, picture, look);
    }
}

/// The words of the moment, and what is left of the window.
pub(super) fn moment(
    frame: &mut Frame<'_>,
    area: Rect,
    room: usize,
    picture: &Picture,
    look: Look,
) {
    let mut style = Style::new();
    let mut lines = Vec::new();
    for line in picture_panel(picture, room).lines() {
        style = match line.as_bytes().first() {
            Some(b'#') => BOLD,
            Some(b'+') => look.right(),
            Some(b'-') => QUIET,
            Some(b'.') => Style::new(),
            _ => style,
        };
        lines.push(Line::styled(line.get(2..).unwrap_or_default().to_owned(), style));
    }
    let left = picture.countdown_permille;
    lines.extend(left.map(|permille| window(permille, picture.tempo_permille, room)));
    frame.render_widget(Text::from(lines), area);
}

/// What is left of the window, as a bar and in words.
fn window(permille: u32, tempo_permille: Option<u32>, room: usize) -> Line<'static> {
    let cells = room.saturating_sub(38).clamp(10, 40);
    let full = usize::try_from(permille).unwrap_or(0) * cells / 1000;
    let bar = format!("{}{}", "■".repeat(full), "·".repeat(cells - full));
    let words = match (permille, tempo_permille) {
        (0, _) => "  late".to_owned(),
        (_, Some(1000)) => "  match speed".to_owned(),
        (_, Some(tempo)) => {
            format!("  {}.{:02} times a match's time", tempo / 1000, tempo % 1000 / 10)
        }
        (_, None) => String::new(),
    };
    Line::from(vec![Span::raw(format!("window {bar}")), Span::styled(words, QUIET)])
}

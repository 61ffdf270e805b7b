//! The panels around the table: palette, menus, feedback, the call, the cue of a shadow stroke.

use ratatui_core::layout::{Alignment, Constraint, Layout, Rect};
use ratatui_core::style::Style;
use ratatui_core::terminal::Frame;
use ratatui_core::text::{Line, Span, Text};

use super::look::{BOLD, Look};
use crate::base::text;
use crate::drill::{Call, LETTERS, Mark, Phase, Picture};
use crate::game::{Depth, Lane};
use crate::page::drill::{reasons, verdict_shown};

/// The depths of the rows, far row first.
const ROWS: [Depth; 3] = [Depth::Long, Depth::HalfLong, Depth::Short];
/// Below this many columns a cell's key stands on a line of its own.
const NARROW: usize = 16;

/// Palette, menu, or the square of targets: whatever is asked from.
pub(super) fn choices(frame: &mut Frame<'_>, area: Rect, picture: &Picture, look: Look) {
    if picture.phase == Phase::Target {
        targets(frame, area, picture, look);
    } else if !picture.menu.is_empty() {
        menu(frame, area, picture);
    } else if !picture.palette.is_empty() {
        palette(frame, area, picture, look);
    }
}

fn menu(frame: &mut Frame<'_>, area: Rect, picture: &Picture) {
    let question = match picture.phase {
        Phase::What => "What was it?",
        _ => "Which stroke?",
    };
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
    let over: [Rect; 3] = Layout::horizontal([Constraint::Ratio(1, 3); 3]).areas(lanes);
    let has_room = |(lane, room): (&Lane, &Rect)| {
        text::width(&format!("their {lane}")) < usize::from(room.width)
    };
    // All three lanes alike.
    let is_whose = picture.lanes.iter().zip(&over).all(has_room);
    for (place, lane) in picture.lanes.iter().enumerate() {
        let words = if is_whose { format!("their {lane}") } else { lane.to_string() };
        frame.render_widget(Text::from(words).style(look.quiet()), over[place]);
    }
    for (place, cell) in square(area).into_iter().enumerate() {
        let Some(choice) = picture.palette.iter().find(|choice| choice.cell == place) else {
            continue;
        };
        let (style, mark) = match choice.mark {
            Mark::Plain => (Style::new(), ['[', ']']),
            Mark::Right => (look.right(), ['✓'; 2]),
            Mark::Given => (look.given(), ['✕'; 2]),
        };
        // As wide marked as not, so that nothing moves when the answer is shown.
        let [before, after] = mark;
        let key = format!("{before}{}{after} ", LETTERS[place].to_ascii_uppercase());
        let room = usize::from(cell.width).saturating_sub(1);
        let is_narrow = room < NARROW;
        // Without its target where there is little room: the cell says where the ball goes.
        let written = |words: &str, indent| {
            if is_narrow {
                format!("{key}\n{}", text::wrap(words, room, ""))
            } else {
                text::wrap(&format!("{key}{words}"), room, indent)
            }
        };
        let wrapped = [(&choice.words, "    "), (&choice.words, ""), (&choice.brief, "    ")]
            .map(|(words, indent)| written(words, indent))
            .into_iter()
            .find(|wrapped| {
                wrapped.lines().count() < usize::from(cell.height) + usize::from(is_narrow)
            })
            .unwrap_or_else(|| written(&choice.brief, ""));
        let lines: Vec<Line<'_>> = wrapped
            .lines()
            .map(|line| match line.strip_prefix(&key) {
                Some(rest) => Line::from(vec![
                    Span::styled(key.clone(), style.patch(BOLD)),
                    Span::styled(rest.to_owned(), style),
                ]),
                None => Line::styled(line.to_owned(), style),
            })
            .collect();
        frame.render_widget(Text::from(lines), cell);
    }
}

fn targets(frame: &mut Frame<'_>, area: Rect, picture: &Picture, look: Look) {
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
            Line::styled(format!("{},", ROWS[place / 3]), look.quiet()),
            Line::styled(picture.lanes[place % 3].to_string(), look.quiet()),
        ];
        frame.render_widget(Text::from(lines), cell);
    }
}

/// Before the first ball: serves and their receives.
pub(super) fn ready(frame: &mut Frame<'_>, area: Rect, picture: &Picture, look: Look) {
    let mut lines = Vec::new();
    if let Some(under) = &picture.under {
        let what = if picture.switch.is_some() {
            format!("`{under}` was called before and stays.")
        } else {
            format!("Under the switch `{under}`: only what it changes.")
        };
        lines.push(Line::styled(what, BOLD));
        lines.push(Line::default());
    }
    let room = usize::from(area.width).saturating_sub(2);
    if let Some(switch) = &picture.switch {
        let how = format!(
            "First your plan. When four in five of the first balls are in the window, `{switch}` is called: \
             then only what it changes is new. {} balls.",
            picture.balls
        );
        lines.push(Line::styled(text::fit(&format!("Switch round: {switch}"), room), BOLD));
        lines.extend(text::wrap(&how, room, "").lines().map(|line| Line::raw(line.to_owned())));
        lines.push(Line::default());
    }
    for (serve, receive) in &picture.serves {
        lines.push(Line::raw(text::fit(serve, room)));
        lines.push(Line::styled(format!("  {}", text::fit(receive, room)), look.right()));
    }
    frame.render_widget(Text::from(lines), area);
}

/// A call between two points.
pub(super) fn call(frame: &mut Frame<'_>, area: Rect, picture: &Picture, look: Look) {
    let Some(card) = &picture.call else { return };
    let room = usize::from(area.width);
    let wrapped = |words: &str, indent: &str, style: Style| {
        let wrapped = text::wrap(words, room, indent);
        wrapped.lines().map(|line| Line::styled(line.to_owned(), style)).collect::<Vec<_>>()
    };
    let mut lines = vec![Line::default()];
    lines.extend(wrapped(
        &match card.call {
            Call::Stay => "Stay. Everything as it is.".to_owned(),
            Call::Switch => format!("Switch: {}", card.name),
            Call::Back => format!("Back: no more `{}`", card.name),
        },
        "",
        BOLD,
    ));
    if let Some(cue) = card.cue.as_ref().filter(|_| card.call == Call::Switch) {
        lines.extend(wrapped(&format!("because: {cue}"), "", Style::new()));
    }
    for (serve, old, new) in &card.changes {
        lines.push(Line::default());
        lines.extend(wrapped(serve, "", Style::new()));
        lines.extend(wrapped(&format!("  until now   {old}"), &" ".repeat(14), look.quiet()));
        lines.extend(wrapped(&format!("  from now    {new}"), &" ".repeat(14), look.right()));
    }
    frame.render_widget(Text::from(lines), area);
}

/// The cue of a shadow stroke, large; afterwards the answer.
pub(super) fn shadow(frame: &mut Frame<'_>, area: Rect, picture: &Picture, look: Look) {
    let room = usize::from(area.width / 2).max(20);
    let mut lines = vec![Line::default(), Line::default()];
    let words = picture.words.as_deref().unwrap_or_default();
    for line in text::wrap(words, room, "").lines() {
        lines.push(Line::styled(spaced(line), BOLD));
        lines.push(Line::default());
    }
    if let Some(answer) = &picture.shadow_answer {
        lines.push(Line::styled(answer.clone(), look.right()));
        lines.push(Line::default());
        let keys: Vec<_> =
            picture.menu.iter().map(|line| format!("{}  {}", line.key, line.words)).collect();
        lines.push(Line::raw(keys.join("     ")));
    }
    frame.render_widget(Text::from(lines).alignment(Alignment::Center), area);
}

/// Letters with room between them: as large as a terminal gets.
fn spaced(line: &str) -> String {
    let letters: Vec<String> = line.to_uppercase().chars().map(String::from).collect();
    letters.join(" ")
}

/// The lines under the table: the serve's words, the window, what came of the answer.
pub(super) fn moment(frame: &mut Frame<'_>, area: Rect, picture: &Picture, look: Look) {
    let mut lines = Vec::new();
    let room = usize::from(area.width);
    match picture.phase {
        Phase::Shadow | Phase::Own | Phase::Ready | Phase::Call => {}
        Phase::Between => lines.push(Line::raw("Your own two serves: play them in your mind.")),
        Phase::Paused => lines.push(Line::raw("Paused. A ball that was in play comes again soon.")),
        _ => lines.push(Line::styled(
            text::fit(picture.words.as_deref().unwrap_or_default(), room),
            BOLD,
        )),
    }
    if let Some(permille) = picture.countdown_permille {
        lines.push(window(permille, picture.tempo_permille, room, look));
    }
    if let Some(told) = &picture.feedback {
        let time = match (told.ms, told.window_ms) {
            (Some(ms), Some(window_ms)) => format!("   {ms} ms of {window_ms}"),
            _ => String::new(),
        };
        let read = match told.was {
            Some((_, true)) => "recognised; ",
            Some((_, false)) => "not recognised; ",
            None => "",
        };
        let style = if told.verdict.is_right() { look.right() } else { BOLD };
        let said = format!("{read}{}{time}", verdict_shown(told));
        match told.given.as_ref().map(|given| format!("given: {given}")) {
            Some(given) if text::width(&said) + 3 + text::width(&given) <= room => {
                lines.push(Line::styled(format!("{said}   {given}"), style));
            }
            Some(given) if picture.palette.is_empty() => {
                lines.push(Line::styled(said, style));
                lines.push(Line::raw(text::fit(&given, room)));
            }
            // The palette marks it too, and the reasons need the room.
            _ => lines.push(Line::styled(said, style)),
        }
        if !told.right.is_empty() {
            lines.push(Line::styled(text::fit(&told.right, room), look.right()));
        }
        let reasons: Vec<_> = reasons(&told.reason)
            .into_iter()
            .map(|(name, words)| format!("{name}: {words}"))
            .collect();
        let wrapped = text::wrap(&reasons.join("; "), room, "  ");
        lines.extend(wrapped.lines().map(|line| Line::raw(line.to_owned())));
    }
    frame.render_widget(Text::from(lines), area);
}

/// What is left of the window, as a bar and in words.
fn window(permille: u32, tempo_permille: Option<u32>, room: usize, look: Look) -> Line<'static> {
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
    Line::from(vec![Span::raw(format!("window {bar}")), Span::styled(words, look.quiet())])
}

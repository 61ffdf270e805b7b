//! A session as CSV: one row for every ball that leaves the launcher on purpose, in order.
//!
//! Columns: `ball` (received balls from 1, empty for one let go), `block`, `phase`, `variation`, `role`,
//! `serve`, `throw`, `lane`, `depth`, `spin`, `rev_s`, `bends`, `pace`, `change`, `thrown_a_minute`,
//! `receive_every`, `set_up`, `behind_line_m`, `across_m`, `outlet_height_m`, `receive`, `before` (calls and
//! own serves), `rest_after_s` (last ball of a block), then `speed_m_s`, `elevation_deg`, `azimuth_deg`,
//! `top_rev_s`, `side_rev_s` and one column for each dial in entry order, empty until settings are computed.
//! `lane` and `bends` are the receiver's own, `across_m`, `azimuth_deg` and `side_rev_s` + to the launcher's left.

use crate::base::text;
use crate::game::Receive;
use crate::launcher::{Shade, Stand};
use crate::rehearsal::{Ball, Block, Cue, Session};

/// The fixed columns.
const COLUMNS: [&str; 28] = [
    "ball",
    "block",
    "phase",
    "variation",
    "role",
    "serve",
    "throw",
    "lane",
    "depth",
    "spin",
    "rev_s",
    "bends",
    "pace",
    "change",
    "thrown_a_minute",
    "receive_every",
    "set_up",
    "behind_line_m",
    "across_m",
    "outlet_height_m",
    "receive",
    "before",
    "rest_after_s",
    "speed_m_s",
    "elevation_deg",
    "azimuth_deg",
    "top_rev_s",
    "side_rev_s",
];

/// The session as CSV with a header row.
///
/// # Errors
/// Never for a session held in memory; the writer's own error otherwise.
pub fn csv(session: &Session) -> Result<String, csv::Error> {
    let mut writer = csv::Writer::from_writer(Vec::new());
    let dials = session.dials.iter().map(|dial| plain(dial));
    writer.write_record(COLUMNS.iter().map(|&column| column.to_owned()).chain(dials))?;
    for block in &session.blocks {
        for (place, ball) in block.balls.iter().enumerate() {
            writer.write_record(row(session, block, ball, place + 1 == block.balls.len()))?;
        }
    }
    let bytes = writer.into_inner().map_err(csv::IntoInnerError::into_error)?;
    Ok(String::from_utf8_lossy(&bytes).into_owned())
}

fn row(session: &Session, block: &Block, ball: &Ball, is_last: bool) -> Vec<String> {
    let thrown = &ball.thrown;
    let mut row = vec![
        ball.number.map(|number| number.to_string()).unwrap_or_default(),
        block.number.to_string(),
        block.phase.word().to_owned(),
        block.variation.word().to_owned(),
        ball.role.word().to_owned(),
        ball.serve.as_ref().map(ToString::to_string).unwrap_or_default(),
        thrown.throw.word().to_owned(),
        thrown.lane.word().to_owned(),
        thrown.depth.word().to_owned(),
        thrown.spin.word().to_owned(),
        format!("{:.0}", thrown.rev_s),
        thrown.breaks.map(|side| side.word().to_owned()).unwrap_or_default(),
        thrown.pace.word().to_owned(),
        thrown.shade.map(Shade::word).unwrap_or_default().to_owned(),
        format!("{:.0}", block.rate.thrown_a_minute),
        block.rate.receive_every.to_string(),
        Stand::word(block.set_up.stand).to_owned(),
        format!("{:.2}", block.set_up.behind_line_m),
        format!("{:.2}", block.set_up.across_m),
        block.set_up.outlet_height_m.map(|height| format!("{height:.2}")).unwrap_or_default(),
        ball.receive.as_ref().map(Receive::text).unwrap_or_default(),
        plain(&ball.cues.iter().map(said).collect::<Vec<_>>().join("; ")),
        if is_last { block.rest_s.to_string() } else { String::new() },
    ];
    let settings = ball.settings.as_ref().or(block.settings.as_ref());
    let physics = settings.map(|settings| {
        [
            settings.speed_m_s,
            settings.elevation_deg,
            settings.azimuth_deg,
            settings.top_rev_s,
            settings.side_rev_s,
        ]
    });
    for place in 0..5 {
        row.push(physics.map(|all| format!("{:.2}", all[place])).unwrap_or_default());
    }
    for dial in &session.dials {
        let value = settings.and_then(|all| all.dials.iter().find(|set| set.name == *dial));
        row.push(value.map(|set| set.value.to_string()).unwrap_or_default());
    }
    row
}

fn said(cue: &Cue) -> String {
    match cue {
        Cue::Stay => "call: stay".to_owned(),
        Cue::OwnServes(count) => text::count(*count as usize, "own serve"),
        Cue::Call(call) => format!("call: {}", call.name),
    }
}

/// A text that a spreadsheet takes for a text: one line, no formula.
fn plain(words: &str) -> String {
    let words = text::one_line(words);
    if words.starts_with(['=', '+', '-', '@']) { format!("'{words}") } else { words }
}

//! A session as CSV: one row for every ball that leaves the launcher on purpose, in order.
//!
//! Columns: `ball` (received balls from 1, empty for one let go), `block`, `phase`, `variation`,
//! `role`, `serve`, `throw`, `lane`, `depth`, `spin`, `rev_s`, `bends`, `pace`, `change`,
//! `thrown_a_minute`, `receive_every`, `set_up`, `behind_line_m`, `across_m`, `outlet_height_m`,
//! `receive`, `before` (calls and own serves), `rest_after_s` (last ball of a block), then
//! `speed_m_s`, `elevation_deg`, `azimuth_deg`, `top_rev_s`, `side_rev_s` and one column for each
//! dial in entry order, empty until settings are computed. `lane` and `bends` are the receiver's
//! own, `across_m`, `azimuth_deg` and `side_rev_s` + to the launcher's left.

use crate::base::text;
use crate::game::{Receive, ServeId, Side};
use crate::launcher::{Settings, Shade};
use crate::rehearsal::{BeforeBall, Block, Session, SessionBall};

/// The session as CSV with a header row.
///
/// # Errors
/// Never for a session held in memory; the writer's own error otherwise.
pub fn csv(session: &Session) -> Result<String, csv::Error> {
    let mut writer = csv::Writer::from_writer(Vec::new());
    let dials: Vec<&str> = session.launcher.dials.iter().map(|dial| dial.name.as_str()).collect();
    for block in &session.blocks {
        for (place, ball) in block.balls.iter().enumerate() {
            let settings = ball.settings.as_ref().or(block.settings.as_ref());
            let is_last = place + 1 == block.balls.len();
            let mut cells = ball_cells(block, ball, is_last);
            let physics = |value: fn(&Settings) -> f64| hundredths(settings.map(value));
            cells.extend([
                ("speed_m_s", physics(|it| it.speed_m_s)),
                ("elevation_deg", physics(|it| it.elevation_deg)),
                ("azimuth_deg", physics(|it| it.azimuth_deg)),
                ("top_rev_s", physics(|it| it.top_rev_s)),
                ("side_rev_s", physics(|it| it.side_rev_s)),
            ]);
            let names = cells.iter().map(|(name, _)| (*name).to_owned());
            if block.number == 1 && place == 0 {
                writer.write_record(names.chain(dials.iter().map(|name| plain(name))))?;
            }
            let entered = dials.iter().map(|name| {
                let dial = settings.and_then(|all| all.dials.iter().find(|it| it.name == *name));
                shown(dial.map(|dial| dial.value))
            });
            writer.write_record(cells.into_iter().map(|(_, cell)| cell).chain(entered))?;
        }
    }
    let bytes = writer.into_inner().map_err(csv::IntoInnerError::into_error)?;
    Ok(String::from_utf8_lossy(&bytes).into_owned())
}

/// What is known of a ball before it is aimed: column and cell.
fn ball_cells(block: &Block, ball: &SessionBall, is_last: bool) -> Vec<(&'static str, String)> {
    let (thrown, set_up) = (&ball.thrown, &block.set_up);
    let before: Vec<String> = ball.before.iter().map(said).collect();
    vec![
        ("ball", shown(ball.number)),
        ("block", block.number.to_string()),
        ("phase", block.phase.word().to_owned()),
        ("variation", block.variation.word().to_owned()),
        ("role", ball.role.word().to_owned()),
        ("serve", plain(ball.serve.as_ref().map_or("", ServeId::as_str))),
        ("throw", thrown.throw.word().to_owned()),
        ("lane", thrown.lane.word().to_owned()),
        ("depth", thrown.depth.word().to_owned()),
        ("spin", thrown.spin.word().to_owned()),
        ("rev_s", format!("{:.0}", thrown.rev_s)),
        ("bends", shown(thrown.breaks.map(Side::word))),
        ("pace", thrown.pace.word().to_owned()),
        ("change", shown(thrown.shade.map(Shade::word))),
        ("thrown_a_minute", format!("{:.0}", block.thrown_a_minute)),
        ("receive_every", block.receive_every.to_string()),
        ("set_up", set_up.stand.word().to_owned()),
        ("behind_line_m", hundredths(Some(set_up.behind_line_m))),
        ("across_m", hundredths(Some(set_up.across_m))),
        ("outlet_height_m", hundredths(set_up.outlet_height_m)),
        ("receive", plain(&shown(ball.receive.as_ref().map(Receive::text)))),
        ("before", plain(&before.join("; "))),
        ("rest_after_s", shown(Some(block.rest_s).filter(|_| is_last))),
    ]
}

/// Nothing where nothing is known.
fn shown(value: Option<impl ToString>) -> String {
    value.map(|value| value.to_string()).unwrap_or_default()
}

fn hundredths(value: Option<f64>) -> String {
    shown(value.map(|value| format!("{value:.2}")))
}

fn said(before: &BeforeBall) -> String {
    match before {
        BeforeBall::Stay => "call: stay".to_owned(),
        BeforeBall::OwnServes(count) => text::count(*count as usize, "own serve"),
        BeforeBall::Call(call) => format!("call: {}", call.name),
    }
}

/// A text that a spreadsheet takes for a text: one line, no formula.
fn plain(words: &str) -> String {
    let words = text::one_line(words);
    if words.starts_with(['=', '+', '-', '@']) { format!("'{words}") } else { words }
}

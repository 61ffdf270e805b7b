//! The sheet of a session: what it is, cautions, serves, what is lost, blocks, and how results are
//! written down. Its words are those of the template; here is what they are about.

use serde_json::{Value, json};

use crate::base::{Units, text};
use crate::launcher::{LauncherKind, Settings};
use crate::page::rehearsal::block::BlockSheet;
use crate::page::rehearsal::document::RehearsalSheet;
use crate::page::rehearsal::json::session_value;
use crate::page::rehearsal::reasons::said_cautions;
use crate::page::rehearsal::set_up::DrawnSetUp;
use crate::page::rehearsal::words::{Letters, unlogged};
use crate::page::text_page::filled_lines;
use crate::rehearsal::{Block, Session, Variation};

/// Columns of the command that brings the results back, so that it stays on one line.
const COMMAND: usize = 66;

/// The sheet of a session, lengths in the player's units; whole where each block stands alone.
pub(crate) fn sheet(session: &Session, units: Units, is_whole: bool) -> RehearsalSheet {
    let letters = Letters::for_session(session);
    let is_drawn = |block: &Block| {
        (block.is_moved || block.number == 1) && session.kind() != LauncherKind::Partner
    };
    let block = |block| {
        let is_drawn = is_drawn(block);
        BlockSheet { session, block, letters: &letters, units, is_drawn, is_whole }.value()
    };
    let (command, has_more) = command(session);
    let document = json!({
        "session": session_value(session),
        "cautions": said_cautions(session),
        "session_is_first": session.is_launcher_new,
        "kind": session.kind().shown(),
        "is_person": session.kind().is_person(),
        "minutes": session.minutes.ceil(),
        "unlearned": unlearned(session),
        "spins": session.serves.iter().map(|known| known.spin).collect::<Vec<_>>(),
        "unlogged": unlogged(session.blocks.iter()),
        "left_out": session.left_out.iter().copied().map(Variation::shown).collect::<Vec<_>>(),
        "blocks": session.blocks.iter().map(block).collect::<Vec<Value>>(),
        "command": command,
        "has_more": has_more,
    });
    let mut set_ups: Vec<DrawnSetUp> = Vec::new();
    for block in &session.blocks {
        if is_drawn(block) {
            let (block, set_up) = (block.number, block.set_up);
            set_ups.push(DrawnSetUp { block, set_up, balls: Vec::new() });
        }
        let Some(here) = set_ups.last_mut() else { continue };
        for eye in settings_of(block).filter_map(|settings| settings.by_eye) {
            let is_known = here.balls.iter().any(|ball| ball.lands_m == eye.lands_m);
            here.balls.extend(Some(eye).filter(|_| !is_known));
        }
    }
    RehearsalSheet::from_marks(
        &filled_lines(include_str!("../templates/rehearsal.txt"), &document),
        set_ups,
    )
}

/// What is entered in a block: for all of it, and ball by ball.
fn settings_of(block: &Block) -> impl Iterator<Item = &Settings> {
    let of_balls = block.balls.iter().filter_map(|ball| ball.settings.as_ref());
    block.settings.iter().chain(of_balls)
}

/// What is entered where the dials were never calibrated: guessed, or unknown.
fn unlearned(session: &Session) -> Option<&'static str> {
    let all: Vec<&Settings> = session.blocks.iter().flat_map(settings_of).collect();
    let has_guess = all.iter().any(|settings| settings.guess.is_some());
    let is_unknown = |it: &&Settings| it.dials.is_empty() && it.last.is_none();
    let is_unlearned = !all.is_empty() && all.iter().all(is_unknown);
    is_unlearned.then_some(if has_guess { "guessed" } else { "unknown" })
}

/// The command that brings the results back, to be typed as it stands, with as many of them as fit
/// on its line; whether there are more.
fn command(session: &Session) -> (String, bool) {
    let which = session.number.map(|number| format!(" --session {number}"));
    let mut command = format!("secondball rehearse log{}", which.unwrap_or_default());
    for line in session.log() {
        let result = format!(" {0}/{0}", line.balls);
        if text::width(&command) + result.len() > COMMAND {
            return (command, true);
        }
        command.push_str(&result);
    }
    (command, false)
}

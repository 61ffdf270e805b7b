//! A session as JSON, the form other programs may rely on (`format` 2).
//!
//! ```text
//! format, opponent, launcher: {name, kind, hand, dials, stored_balls}, player_hand, server_hand,
//!     seed,
//! balls, leaving, test_balls, minutes, warm_up_min, cautions: [..],
//! serves:   [{serve, words, bends, receive, receive_words, why, balls, stand_in: {from, motions,
//!     looks_right}}],
//! limits:   [{serve, what, why, nearest}], refused: [{serve, why, hint}],
//! switches: [{name, cue, at_ball, changes: [{serve, old, new}]}],
//! blocks:   [{number, phase, variation, around, set_up: {stand, from, behind_line_m, across_m,
//!             outlet_height_m, on_chair, words}, moved, called, sweep: [..], thrown_a_minute,
//!                 receive_every,
//!             change, coach, notes: [..], refill, rest_s, settings,
//!             balls: [{number, role, serve, throw, lane, depth, spin, rev_s, bends, pace, change,
//!                 receive,
//!                      stage, score: [theirs, mine], before: [..], settings}],
//!             log: [{number, serve, receive, balls}]}]
//! ```
//!
//! Words are those of the deck files: `lane` and `bends` are the receiver's own. A receive is its
//! canonical text; `settings` is null until computed, and its `guess` (in words) null where dials
//! are known or missing.

use serde::Serialize;
use serde_json::{Value, json};

use crate::base::Units;
use crate::game::{Receive, ServeId};
use crate::launcher::Settings;
use crate::page::launcher_words::set_up_words;
use crate::page::rehearsal::reasons;
use crate::page::rehearsal::words::give_spaces;
use crate::page::worded::Worded;
use crate::rehearsal::{BeforeBall, Block, Session, SessionBall, SwitchCall, Volumes};

/// The version of this form.
const FORMAT: u32 = 2;

/// The session as JSON text.
pub fn json(session: &Session) -> String {
    crate::page::json(&session_value(session)) + "\n"
}

/// A list of values.
fn all<T>(items: &[T], value: impl Fn(&T) -> Value) -> Value {
    items.iter().map(value).collect()
}

/// What is said of a serve.
fn with(serve: &ServeId, words: impl Serialize) -> Value {
    json!(Worded { data: json!({ "serve": serve }), words })
}

fn tenths(value: f64) -> f64 {
    (value * 10.0).round() / 10.0
}

fn session_value(session: &Session) -> Value {
    let launcher = &session.launcher;
    json!({
        "format": FORMAT,
        "opponent": session.opponent,
        "launcher": {
            "name": launcher.name,
            "kind": launcher.kind,
            "hand": launcher.hand.filter(|_| launcher.kind.is_person()),
            "dials": launcher.dials.iter().map(|dial| dial.name.as_str()).collect::<Vec<_>>(),
            "stored_balls": launcher.machine.as_ref().map_or(0, |machine| machine.stored_balls),
        },
        "player_hand": session.player,
        "server_hand": session.server,
        "seed": session.seed,
        "balls": session.received(),
        "leaving": session.leaving(),
        "test_balls": session.thrown_away(),
        "minutes": tenths(session.minutes),
        "warm_up_min": Volumes::WARM_UP_MIN,
        "cautions": reasons::cautions(launcher.kind),
        "serves": all(&session.serves, |known| json!({
            "serve": known.serve,
            "words": known.words,
            "bends": known.bends,
            "receive": known.receive.text(),
            "receive_words": known.receive.shown(),
            "why": known.receive.why,
            "balls": known.balls,
            "stand_in": known.stand_in,
        })),
        "limits": all(&session.limits, |loss| with(&loss.serve, reasons::lost(loss))),
        "refused": all(&session.refused, |refused| {
            with(&refused.serve, reasons::refusal(&refused.why, &session.opponent))
        }),
        "switches": all(&session.switches, |call| switch(call, Receive::text)),
        "blocks": all(&session.blocks, block_value),
    })
}

fn switch(call: &SwitchCall, say: fn(&Receive) -> String) -> Value {
    json!({
        "name": call.name,
        "cue": call.cue,
        "at_ball": call.at_ball,
        "changes": all(&call.changes, |change| json!({
            "serve": change.serve,
            "old": say(&change.old),
            "new": say(&change.new),
        })),
    })
}

/// A block.
fn block_value(block: &Block) -> Value {
    json!({
        "number": block.number,
        "phase": block.phase,
        "variation": block.variation,
        "around": block.around,
        "set_up": Worded {
            data: block.set_up,
            words: json!({ "words": set_up_words(&block.set_up, Units::Metric) }),
        },
        "moved": block.is_moved,
        "called": block.is_called,
        "sweep": block.sweep,
        "thrown_a_minute": block.thrown_a_minute,
        "receive_every": block.receive_every,
        "change": block.change.map(reasons::change),
        "coach": reasons::coaching(block),
        "notes": all(&block.notes, |note| json!(give_spaces(&reasons::note(note, block.variation)))),
        "refill": block.refill,
        "rest_s": block.rest_s,
        "settings": block.settings.as_ref().map(settings),
        "balls": all(&block.balls, ball),
        "log": all(&block.log, |line| json!({
            "number": line.number,
            "serve": line.serve,
            "receive": line.receive.text(),
            "balls": line.balls,
        })),
    })
}

fn ball(ball: &SessionBall) -> Value {
    let thrown = &ball.thrown;
    json!({
        "number": ball.number,
        "role": ball.role,
        "serve": ball.serve,
        "throw": thrown.throw,
        "lane": thrown.lane,
        "depth": thrown.depth,
        "spin": thrown.spin,
        "rev_s": tenths(thrown.rev_s),
        "bends": thrown.breaks,
        "pace": thrown.pace,
        "change": thrown.shade,
        "receive": ball.receive.as_ref().map(Receive::text),
        "stage": ball.stage,
        "score": ball.score,
        "before": all(&ball.before, |before| before_value(before, Receive::text)),
        "settings": ball.settings.as_ref().map(settings),
    })
}

/// What happens before a ball, receives in these words.
fn before_value(before: &BeforeBall, say: fn(&Receive) -> String) -> Value {
    match before {
        BeforeBall::Stay => json!({ "call": "stay" }),
        BeforeBall::OwnServes(count) => json!({ "own_serves": count }),
        BeforeBall::Call(call) => json!({ "call": "switch", "switch": switch(call, say) }),
    }
}

/// The setting, its guess null where dials are known or missing.
fn settings(settings: &Settings) -> Value {
    let mut value = json!(settings);
    value["guess"] = json!(settings.guess);
    value
}

//! A session as JSON, the form other programs may rely on (`format` 1).
//!
//! ```text
//! format, opponent, launcher: {name, kind, hand, dials, stored_balls}, player_hand, server_hand, seed,
//! balls, leaving, minutes, warm_up_min, cautions: [..],
//! serves:   [{serve, words, bends, receive, receive_words, why, balls, stand_in: {from, motions, looks_right}}],
//! limits:   [{serve, what, why, nearest}], refused: [{serve, why, hint}], left_out: [{variation, why}],
//! switch:   {name, cue, at_ball, changes: [{serve, old, new}]} or null,
//! blocks:   [{number, phase, variation, around, set_up: {stand, from, behind_line_m, across_m,
//!             outlet_height_m, on_chair, words}, moved, called, sweep: [..], thrown_a_minute, receive_every,
//!             change, coaching, notes: [..], refill, rest_s, settings,
//!             balls: [{number, role, serve, throw, lane, depth, spin, rev_s, bends, pace, change, receive,
//!                      stage, score: [theirs, mine], before: [..], settings}],
//!             log: [{number, serve, receive, balls}]}]
//! ```
//!
//! Words are those of the deck files: `lane` and `bends` are the receiver's own. A receive is its canonical
//! text; `settings` is null until computed, and its `guess` (in words) null where dials are known or missing.

use serde_json::{Value, json};

use crate::game::{Hand, Receive, Side};
use crate::journal::Stage;
use crate::launcher::{Settings, Shade};
use crate::rehearsal::{Ball, Block, Cue, Session, SwitchCall};

/// The version of this form.
pub const FORMAT: u32 = 1;

/// The session as JSON text.
pub fn json(session: &Session) -> String {
    format!("{:#}\n", value(session))
}

fn value(session: &Session) -> Value {
    let serves: Vec<Value> = session
        .serves
        .iter()
        .map(|known| {
            json!({
                "serve": known.serve,
                "words": known.words,
                "bends": known.bends.map(Side::word),
                "receive": known.receive.text(),
                "receive_words": known.receive.shown(),
                "why": known.receive.why,
                "balls": known.balls,
                "stand_in": known.stand_in.as_ref().map(|stand_in| json!({
                    "from": stand_in.from.word(),
                    "motions": stand_in.motions.iter().map(|name| name.word()).collect::<Vec<_>>(),
                    "looks_right": stand_in.looks_right,
                })),
            })
        })
        .collect();
    let limits: Vec<Value> = session
        .limits
        .iter()
        .map(|loss| {
            json!({
                "serve": loss.serve,
                "what": loss.limit.what,
                "why": loss.limit.why,
                "nearest": loss.limit.nearest,
            })
        })
        .collect();
    json!({
        "format": FORMAT,
        "opponent": session.opponent,
        "launcher": {
            "name": session.launcher,
            "kind": session.kind.word(),
            "hand": session.hand.map(Hand::word),
            "dials": session.dials,
            "stored_balls": session.stored_balls,
        },
        "player_hand": session.player.word(),
        "server_hand": session.server.word(),
        "seed": session.seed,
        "balls": session.received(),
        "leaving": session.leaving(),
        "minutes": tenths(session.minutes),
        "warm_up_min": session.warm_up_min,
        "cautions": session.cautions,
        "serves": serves,
        "limits": limits,
        "refused": session.refused,
        "left_out": session.left_out.iter().map(|left| json!({
            "variation": left.variation.word(),
            "why": left.why,
        })).collect::<Vec<_>>(),
        "switch": session.switch.as_ref().map(switch),
        "blocks": session.blocks.iter().map(block).collect::<Vec<_>>(),
    })
}

fn tenths(value: f64) -> f64 {
    (value * 10.0).round() / 10.0
}

fn switch(call: &SwitchCall) -> Value {
    json!({
        "name": call.name,
        "cue": call.cue,
        "at_ball": call.at_ball,
        "changes": call.changes.iter().map(|change| json!({
            "serve": change.serve,
            "old": change.old.text(),
            "new": change.new.text(),
        })).collect::<Vec<_>>(),
    })
}

fn block(block: &Block) -> Value {
    let set_up = &block.set_up;
    json!({
        "number": block.number,
        "phase": block.phase.word(),
        "variation": block.variation.word(),
        "around": block.around,
        "set_up": {
            "stand": set_up.stand.word(),
            "from": set_up.from.word(),
            "behind_line_m": set_up.behind_line_m,
            "across_m": set_up.across_m,
            "outlet_height_m": set_up.outlet_height_m,
            "on_chair": set_up.on_chair,
            "words": set_up.shown(),
        },
        "moved": block.is_moved,
        "called": block.is_called,
        "sweep": block.sweep.iter().map(|lane| lane.word()).collect::<Vec<_>>(),
        "thrown_a_minute": block.rate.thrown_a_minute,
        "receive_every": block.rate.receive_every,
        "change": block.change,
        "coaching": block.coaching,
        "notes": block.notes,
        "refill": block.refill,
        "rest_s": block.rest_s,
        "settings": block.settings.as_ref().map(settings),
        "balls": block.balls.iter().map(ball).collect::<Vec<_>>(),
        "log": block.log.iter().map(|line| json!({
            "number": line.number,
            "serve": line.serve,
            "receive": line.receive.text(),
            "balls": line.balls,
        })).collect::<Vec<_>>(),
    })
}

fn ball(ball: &Ball) -> Value {
    let thrown = &ball.thrown;
    json!({
        "number": ball.number,
        "role": ball.role.word(),
        "serve": ball.serve,
        "throw": thrown.throw.word(),
        "lane": thrown.lane.word(),
        "depth": thrown.depth.word(),
        "spin": thrown.spin.word(),
        "rev_s": tenths(thrown.rev_s),
        "bends": thrown.breaks.map(Side::word),
        "pace": thrown.pace.word(),
        "change": thrown.shade.map(Shade::word),
        "receive": ball.receive.as_ref().map(Receive::text),
        "stage": ball.stage.map(Stage::word),
        "score": ball.score.map(|(them, me)| [them, me]),
        "before": ball.cues.iter().map(cue).collect::<Vec<_>>(),
        "settings": ball.settings.as_ref().map(settings),
    })
}

fn cue(cue: &Cue) -> Value {
    match cue {
        Cue::Stay => json!({ "call": "stay" }),
        Cue::OwnServes(count) => json!({ "own_serves": count }),
        Cue::Call(call) => json!({ "call": "switch", "switch": switch(call) }),
    }
}

fn settings(settings: &Settings) -> Value {
    json!({
        "speed_m_s": settings.speed_m_s,
        "elevation_deg": settings.elevation_deg,
        "azimuth_deg": settings.azimuth_deg,
        "top_rev_s": settings.top_rev_s,
        "side_rev_s": settings.side_rev_s,
        "guess": settings.guess,
        "dials": settings.dials.iter().map(|dial| json!({
            "name": dial.name,
            "value": dial.value,
        })).collect::<Vec<_>>(),
    })
}

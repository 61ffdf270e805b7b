//! The sheet of a session: what it is, cautions, serves, what is lost, blocks, and how results are
//! written down.
//!
//! Every kind of launcher reads it in its own way: knob positions for one setting, lanes for a
//! sweep, a list for a programmed launcher, call sheets for people.

use crate::base::{Units, text};
use crate::launcher::{LauncherKind, Settings};
use crate::page::launcher_words::Loss;
use crate::page::rehearsal::block::BlockSheet;
use crate::page::rehearsal::document::RehearsalSheet;
use crate::page::rehearsal::reasons;
use crate::page::rehearsal::words::{Letters, aside, stand_in, unlogged};
use crate::rehearsal::Session;

/// Columns of the command that brings the results back, so that it stays on one line.
const COMMAND: usize = 66;

/// The sheet of a session, lengths in the player's units.
pub(in crate::page) fn sheet(session: &Session, units: Units) -> RehearsalSheet {
    let title = format!("Rehearsal against {}", text::one_line(&session.opponent));
    let mut sheet = RehearsalSheet::new(title);
    head(&mut sheet, session);
    serves(&mut sheet, session);
    losses(&mut sheet, session);
    let letters = Letters::for_session(session);
    for block in &session.blocks {
        BlockSheet { sheet: &mut sheet, session, block, letters: &letters, units }.write();
    }
    foot(&mut sheet, session);
    sheet
}

fn head(sheet: &mut RehearsalSheet, session: &Session) {
    sheet.line(format!(
        "{} in {}, about {:.0} min after {} min of warm-up; seed {}",
        text::count(session.received(), "ball"),
        text::count(session.blocks.len(), "block"),
        session.minutes.ceil(),
        session.warm_up_min,
        session.seed
    ));
    sheet.line(format!("{}: {}", text::one_line(&session.launcher.name), session.kind()));
    if let Some(switch) = &session.switch {
        sheet.line(format!(
            "The switch `{}` is called before ball {}",
            text::one_line(&switch.name),
            switch.at_ball
        ));
    }
    match session.kind() {
        LauncherKind::Feeder => sheet.line(
            "This sheet is the feeder's: where a ball lands and the side it bends to are your\nleft and right, facing the receiver, who must not see the order.",
        ),
        LauncherKind::Partner => sheet.line(
            "This sheet is the server's: left and right are yours, facing the receiver;\nhide the order from the receiver. Only your motion trains reading; say nothing\nbefore the serve.",
        ),
        _ => {
            sheet.line("Left and right are seen from behind the launcher, facing the receiver.");
            dials(sheet, session);
        }
    }
    sheet.part("Before the first ball", None);
    for caution in reasons::cautions(session.kind()) {
        sheet.entry(caution);
    }
}

/// What the numbers to enter are worth, where the dials were never calibrated.
fn dials(sheet: &mut RehearsalSheet, session: &Session) {
    let of_balls = session.blocks.iter().flat_map(|block| &block.balls);
    let of_balls = of_balls.filter_map(|ball| ball.settings.as_ref());
    let of_blocks = session.blocks.iter().filter_map(|block| block.settings.as_ref());
    let all: Vec<&Settings> = of_balls.chain(of_blocks).collect();
    if all.is_empty() || all.iter().any(|settings| !settings.dials.is_empty()) {
        return;
    }
    sheet.line(if all.iter().any(|settings| settings.guess.is_some()) {
        "Dial values are a guess to trim from; `secondball launcher calibrate --help`\nsays how to learn them."
    } else {
        "Your dials are unknown, so this is speed, angles and spin: set them by the\nfirst bounce, or teach them once: `secondball launcher calibrate --help`."
    });
}

fn serves(sheet: &mut RehearsalSheet, session: &Session) {
    sheet.part("The serves", None);
    for known in &session.serves {
        let balls = text::count(known.balls as usize, "ball");
        sheet.line(format!("  {} ({balls})", known.serve));
        sheet.labelled("", known.words.as_str());
        if let Some(words) = aside(known, session.player) {
            sheet.labelled("", words);
        }
        sheet.labelled("answer", known.receive.shown());
        if let Some(why) = &known.receive.why {
            sheet.labelled("because", why.as_str());
        }
        if let Some(own) = &known.stand_in {
            sheet.labelled("serve it", stand_in(own));
        }
    }
    if let Some(others) = unlogged(session.blocks.iter()) {
        sheet.line(format!("  and {others}"));
    }
}

fn losses(sheet: &mut RehearsalSheet, session: &Session) {
    if !session.limits.is_empty() {
        let title = if session.kind().is_person() {
            "What cannot be fed so, and the nearest that can"
        } else {
            "What this launcher cannot do, and the nearest it can"
        };
        sheet.part(title, None);
        for loss in &session.limits {
            let (serve, Loss { what, why, nearest }) = (&loss.serve, reasons::lost(loss));
            sheet.entry(format!("{serve}: not {what}, because {why}. Instead: {nearest}."));
        }
    }
    if !session.refused.is_empty() {
        sheet.part("Not in this session", None);
        for refused in &session.refused {
            let reason = reasons::refusal(&refused.why, &session.opponent);
            sheet.entry(format!("{}: {}. {}.", refused.serve, reason.why, reason.hint));
        }
    }
    if !session.left_out.is_empty() {
        sheet.part("Only with another launcher or a person", None);
        for variation in &session.left_out {
            sheet.entry(format!("{variation}: {}", reasons::left_out(session.kind())));
        }
    }
}

/// How the results are written down: a command that can be typed as it stands, as many results as
/// fit.
fn foot(sheet: &mut RehearsalSheet, session: &Session) {
    sheet.part("Afterwards", None);
    let which = session.number.map(|number| format!(" --session {number}"));
    let mut command = format!("secondball rehearse log{}", which.unwrap_or_default());
    let log = session.log();
    let results = log.iter().map(|line| format!(" {0}/{0}", line.balls));
    let mut written = 0;
    for result in results {
        if text::width(&command) + result.len() > COMMAND {
            break;
        }
        command.push_str(&result);
        written += 1;
    }
    sheet.labelled("write", command);
    let rest = if written == log.len() { "" } else { ", and so on" };
    sheet.labelled(
        "",
        format!(
            "with your numbers: one result a log line, in order{rest}; made/balls, or \
             made/balls/wrong receive; - skips a line"
        ),
    );
}

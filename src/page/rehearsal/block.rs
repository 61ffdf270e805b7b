//! The blocks of a session's sheet: what each does, in which order, what is written down; and the
//! labels under which the phone shows how one is set.

use std::collections::BTreeSet;

use crate::base::{Units, text};
use crate::game::Receive;
use crate::launcher::{LauncherKind, rate_dial};
use crate::page::launcher_by_eye::set_by_eye;
use crate::page::launcher_words::set_up_words;
use crate::page::rehearsal::balls::BallKinds;
use crate::page::rehearsal::document::{BlockSheet, LogSlot, OrderLine};
use crate::page::rehearsal::reasons::{change, coaching, note};
use crate::page::rehearsal::words::{give_spaces, name, person_ball, unbroken};
use crate::rehearsal::{BeforeBall, Block, Note, Session, SessionBall, SessionPhase, Variation};

/// Balls on a line of an order.
const A_LINE: usize = 12;

/// All blocks; what was said of one is not said again.
pub(super) fn blocks(session: &Session, kinds: &BallKinds<'_>) -> Vec<BlockSheet> {
    let (mut said, mut last) = (BTreeSet::new(), String::new());
    let sheet = |block: &Block| {
        let rate = rate(session, block);
        let is_new = rate != last;
        last.clone_from(&rate);
        let mut says = says(session, block);
        says.retain(|line| said.insert(line.clone()));
        BlockSheet {
            number: block.number,
            name: head(session, block, kinds, is_new.then_some(&rate)),
            says,
            order: order(session, block, kinds),
            log: log(block, kinds),
        }
    };
    session.blocks.iter().map(sheet).collect()
}

/// What a block does.
pub(crate) fn block_name(block: &Block) -> &'static str {
    match (block.phase, block.variation) {
        (SessionPhase::Groove, _) => "groove",
        (SessionPhase::MatchLike, Variation::Pairs) => "as a match",
        (_, variation) => variation.shown(),
    }
}

/// What it does, from where, with which ball, how fast where that is new.
fn head(session: &Session, block: &Block, kinds: &BallKinds<'_>, rate: Option<&str>) -> String {
    let mark = block.played().next().map(|first| kinds.mark(block, first)).unwrap_or_default();
    let is_person = session.kind().is_person();
    let stand = kinds.stands.iter().position(|stand| *stand == block.set_up).unwrap_or_default();
    let is_told = block.is_moved || block.number == 1 && kinds.stands.len() > 1;
    let stand = (is_told && !is_person).then(|| format!("stand {}", stand + 1));
    let count = block.received();
    let ball = if is_one(block) {
        let is_counted = block.notes.iter().any(|note| matches!(note, Note::StepsBack(_)));
        let made = if is_counted { format!(", made __ of {count}") } else { String::new() };
        Some(format!("{mark} x {count}{made}"))
    } else if !block.sweep.is_empty() {
        let mut marks: Vec<&str> = block.played().map(|ball| kinds.mark(block, ball)).collect();
        marks.sort_unstable();
        marks.dedup();
        Some(format!("{}, {count} balls", marks.join(" ")))
    } else {
        (block.is_called && !is_person).then(|| format!("every ball {mark}"))
    };
    let parts = [stand, ball, rate.map(str::to_owned)].into_iter().flatten();
    let parts = parts.collect::<Vec<_>>().join(", ");
    let name = block_name(block);
    if parts.is_empty() { name.to_owned() } else { format!("{name}: {parts}") }
}

/// Whether one ball comes again and again, without own serves between.
fn is_one(block: &Block) -> bool {
    let is_same = |pair: [&SessionBall; 2]| {
        pair[0].receive == pair[1].receive && pair[0].serve == pair[1].serve
    };
    let played: Vec<&SessionBall> = block.played().collect();
    block.is_one_setting()
        && played.windows(2).all(|pair| is_same([pair[0], pair[1]]))
        && played.iter().all(|ball| ball.before.is_empty())
}

/// `16 a minute (balls 1.5), every second one passes`.
fn rate(session: &Session, block: &Block) -> String {
    let dial = rate_dial(&session.launcher, block.thrown_a_minute);
    let dial = dial.map(|set| format!(" ({} {})", text::one_line(&set.name), set.value));
    let passes = match block.receive_every {
        1 => String::new(),
        2 => ", every 2nd passes".to_owned(),
        every => format!(", receive one in {every}"),
    };
    format!("{:.0} a minute{}{passes}", block.thrown_a_minute, dial.unwrap_or_default())
}

/// The coaching line, what to do first, notes, the score.
fn says(session: &Session, block: &Block) -> Vec<String> {
    let mut says = before_it(session, block);
    says.push(coaching(block).to_owned());
    says.extend(block.notes.iter().map(|known| note(known, block.variation)));
    if let Some((them, me)) = block.played().find_map(|ball| ball.score) {
        let own = block.played().any(has_own_serves);
        let own = if own { "; | own serves between" } else { "" };
        says.push(format!("{them}-{me} at the first ball, theirs first{own}."));
    }
    says
}

/// What the launcher wants before the block.
fn before_it(session: &Session, block: &Block) -> Vec<String> {
    let is_filled = block.refill && block.number > 1;
    let stored = session.launcher.machine.as_ref().map_or(0, |machine| machine.stored_balls);
    let is_stored =
        session.kind() == LauncherKind::PerBall && stored > 0 && !block.is_one_setting();
    let fill = is_filled.then(|| "Fill the hopper.".to_owned());
    let store = is_stored.then(|| format!("Store its balls as one sequence ({stored} fit)."));
    fill.into_iter().chain(store).collect()
}

/// The order of the balls, a bar where own serves come between.
fn order(session: &Session, block: &Block, kinds: &BallKinds<'_>) -> Vec<OrderLine> {
    if is_one(block) || !block.sweep.is_empty() {
        return Vec::new();
    }
    let played: Vec<&SessionBall> = block.played().collect();
    let is_run = |_: &&SessionBall, next: &&SessionBall| calls(next).next().is_none();
    let mark = |ball: &&SessionBall| {
        let bar = if has_own_serves(ball) { "| " } else { "" };
        if block.is_called {
            format!("{bar}{}", kinds.letter(ball))
        } else {
            format!("{bar}{}", kinds.mark(block, ball))
        }
    };
    let line = |run: &[&SessionBall]| OrderLine {
        calls: calls(run[0]).map(|call| called(session, call, kinds)).collect(),
        from: run[0].number.unwrap_or_default(),
        marks: run.iter().map(mark).collect(),
    };
    played.chunk_by(is_run).flat_map(|run| run.chunks(A_LINE)).map(line).collect()
}

/// What is called, in words: which serve is answered how from now on.
fn called(session: &Session, call: &BeforeBall, kinds: &BallKinds<'_>) -> String {
    let BeforeBall::Call(call) = call else { return "CALL \"Stay\": the plan is kept.".to_owned() };
    let balls = || session.blocks.iter().flat_map(Block::played);
    let new = |change: &crate::rehearsal::NewAnswer| {
        let text = change.new.text();
        let is_it = |ball: &&SessionBall| {
            ball.serve.as_ref() == Some(&change.serve)
                && ball.receive.as_ref().is_some_and(|receive| receive.text() == text)
        };
        let letter = balls().find(is_it).map(|ball| kinds.letter(ball));
        let letter = letter.map_or_else(|| change.new.shown(), |letter| format!("{letter} now"));
        format!("{} {letter}", name(session, &change.serve))
    };
    let changes: Vec<String> = call.changes.iter().map(new).collect();
    let when = call.cue.as_ref().map(|cue| format!(" ({})", text::one_line(cue)));
    format!(
        "CALL \"{}\"{}: {}.",
        unbroken(&call.name),
        when.unwrap_or_default(),
        text::and_list(&changes)
    )
}

fn log(block: &Block, kinds: &BallKinds<'_>) -> Vec<LogSlot> {
    let slot = |line: &crate::rehearsal::LogLine| {
        let is_its = |ball: &&SessionBall| {
            ball.serve.as_ref() == Some(&line.serve)
                && ball.receive.as_ref().is_some_and(|it| it.text() == line.receive.text())
        };
        let letter = block.played().find(is_its).map_or('?', |ball| kinds.letter(ball));
        LogSlot { letter, balls: line.balls }
    };
    block.log.iter().map(slot).collect()
}

/// Whether the player serves before this ball.
fn has_own_serves(ball: &SessionBall) -> bool {
    ball.before.iter().any(|before| matches!(before, BeforeBall::OwnServes(_)))
}

/// What is called before this ball.
fn calls(ball: &SessionBall) -> impl Iterator<Item = &BeforeBall> {
    ball.before.iter().filter(|before| !matches!(before, BeforeBall::OwnServes(_)))
}

/// How a block is set, and what to know: labels and words, for one block shown alone.
pub(crate) fn set_up_labels(
    session: &Session,
    block: &Block,
    units: Units,
) -> Vec<(&'static str, String)> {
    let is_person = session.kind().is_person();
    let mut labels = Vec::new();
    if !is_person && (block.is_moved || block.number == 1) {
        let label = if block.is_moved { "move" } else { "stand" };
        labels.push((label, set_up_words(&block.set_up, units)));
    }
    labels.extend(block.change.map(|known| ("change", change(known))));
    match (&block.settings, block.balls.first()) {
        (Some(settings), _) => labels.extend(set_by_eye(settings, units)),
        (None, Some(first)) if is_person && block.variation == Variation::OneServe => {
            labels.push(("ball", person_ball(session, &first.thrown)));
        }
        _ => {}
    }
    labels.push(("rate", rate(session, block)));
    if block.thrown_away() > 0 {
        labels.push(("test", text::count(block.thrown_away(), "ball")));
    }
    labels.extend(before_it(session, block).into_iter().map(|words| ("first", words)));
    labels.extend(
        block.notes.iter().map(|known| ("note", give_spaces(&note(known, block.variation)))),
    );
    labels.push(("coach", coaching(block).to_owned()));
    labels
}

/// The answers of a block, each once with its letter.
pub(crate) fn answers(session: &Session, block: &Block) -> Vec<String> {
    let kinds = BallKinds::find_all(session);
    let mut known: Vec<(char, String)> = Vec::new();
    for ball in block.played() {
        let letter = kinds.letter(ball);
        if let Some(receive) = &ball.receive
            && known.iter().all(|(other, _)| *other != letter)
        {
            known.push((letter, Receive::shown(receive)));
        }
    }
    known.sort_unstable();
    known.into_iter().map(|(letter, words)| format!("{letter}  {words}")).collect()
}

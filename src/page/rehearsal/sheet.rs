//! The sheet of a session: what it is, cautions, its balls, its blocks, and how results are
//! written down.

use crate::base::{Units, text};
use crate::game::ServeId;
use crate::launcher::{ByEye, LauncherKind, SetUp, Settings};
use crate::page::launcher_by_eye::{order_of_dials, unlearned};
use crate::page::rehearsal::balls::{BallKinds, has_many_dials};
use crate::page::rehearsal::block::blocks;
use crate::page::rehearsal::document::SessionSheet;
use crate::page::rehearsal::reasons::{lost, refusal, said_cautions};
use crate::page::rehearsal::set_up::DrawnSetUp;
use crate::page::rehearsal::words::{name, unbroken, unlogged};
use crate::rehearsal::{Block, Session, SessionPhase, SwitchCall, Volumes};

/// Columns of the command that brings the results back, so that it stays on one line.
const COMMAND: usize = 72;

/// The sheet of a session, lengths in the player's units.
pub(crate) fn sheet(session: &Session, units: Units) -> SessionSheet {
    let kinds = BallKinds::find_all(session);
    let (command, has_more) = command(session);
    SessionSheet {
        title: format!(
            "{} against {}",
            text::count(session.received(), "ball"),
            text::one_line(&session.opponent)
        ),
        head: head(session),
        reading: reading(session),
        cautions: said_cautions(session),
        stands: kinds.sheet(units),
        cannot: cannot(session),
        between: between(session),
        blocks: blocks(session, &kinds),
        command: Some(command).filter(|_| !session.log().is_empty()),
        has_more,
        drawn: drawn(session, &kinds),
    }
}

/// How long it takes, how many balls leave and are played, what is called.
fn head(session: &Session) -> Vec<String> {
    let is_person = session.kind().is_person();
    let setting_up = if is_person { "" } else { " with setting up" };
    let mut head = vec![format!(
        "{}: {}. About {:.0} min{setting_up}, after {} of warm-up.",
        unbroken(&session.launcher.name),
        session.kind().shown(),
        session.minutes.ceil(),
        Volumes::WARM_UP_MIN,
    )];
    if !is_person {
        let (leave, test) = (session.leaving(), session.thrown_away());
        let passed = leave - test - session.received();
        let pass = if passed > 0 { format!(", {passed} pass") } else { String::new() };
        head.push(format!(
            "{leave} leave: {test} to test{pass}, {} are played.",
            session.received()
        ));
    }
    head.extend(unlogged(session.blocks.iter()).map(|words| format!("{words}, not written down.")));
    let most = session.serves.iter().max_by_key(|known| known.balls);
    head.extend(
        most.filter(|known| known.is_weak && session.serves.len() > 1)
            .map(|known| format!("Most balls for {}, which is weak.", name(session, &known.serve))),
    );
    head.extend(session.switches.iter().map(|call| {
        let name = unbroken(&call.name);
        format!("The switch \"{name}\" is called before ball {}.", call.at_ball)
    }));
    let is_thrown = |serve: &&ServeId| session.serves.iter().any(|known| known.serve == **serve);
    for serve in session.looks_read.iter().filter(is_thrown) {
        let name = name(session, serve);
        let is_called = |call: &SwitchCall| call.changes.iter().any(|it| it.serve == *serve);
        head.push(if session.switches.iter().any(is_called) {
            format!("{name}: they wait for it, hence the switch.")
        } else {
            format!("{name}: they wait for it; a switch for it is not rehearsed here.")
        });
    }
    head.push(format!("Seed {}.", session.seed));
    head
}

/// How left, right and numbers are meant, for whoever throws.
pub(crate) fn reading(session: &Session) -> Vec<String> {
    let look = session.serves.iter().filter_map(|known| known.stand_in.as_ref());
    let look = look.map(|known| known.looks_right).reduce(|all, one| all && one);
    let lines: &[&str] = match session.kind() {
        LauncherKind::Feeder => &[
            "This sheet is the feeder's, who stands where the server stands, out of the line of hard returns.",
            "Left and right are the feeder's, facing the receiver, who must not see the order.",
        ],
        LauncherKind::Partner => &[
            "This sheet is the server's: left and right are yours, facing the receiver; hide the order from the receiver.",
            "Only your motion trains reading; say nothing before the serve.",
        ],
        _ => &[
            "Paper on the marks, counted from the nearer end line and the centre line, left and right seen from behind the launcher, facing the receiver; \"10 farther, 6 longer\" is what it does to the landing. The table turns the spin: no spin reaches the bat as topspin.",
        ],
    };
    let mut lines: Vec<String> = lines.iter().map(|&line| line.to_owned()).collect();
    if look == Some(false) {
        lines.push("With your other hand the ball is the same, the look is not: it trains the answer, not the reading.".to_owned());
    }
    if has_many_dials(session) {
        lines.extend(order_of_dials(session.blocks.iter().flat_map(settings_of)));
    }
    lines.extend(unlearned(session.blocks.iter().flat_map(settings_of)).map(str::to_owned));
    lines
}

/// What is entered in a block: for all of it, and ball by ball.
fn settings_of(block: &Block) -> impl Iterator<Item = &Settings> {
    let of_balls = block.balls.iter().filter_map(|ball| ball.settings.as_ref());
    block.settings.iter().chain(of_balls)
}

/// What this launcher cannot do, with the nearest it can, and what is not in the session.
pub(crate) fn cannot(session: &Session) -> Vec<String> {
    let limits = session.limits.iter().map(|limit| {
        let (loss, name) = (lost(limit), name(session, &limit.serve));
        format!("{name}: not {}, because {}. Instead: {}.", loss.what, loss.why, loss.nearest)
    });
    let refused = session.refused.iter().map(|refused| {
        let reason = refusal(&refused.why, &session.opponent);
        let words = text::one_line(&refused.called);
        format!("Not in this session: {words}: {}; {}.", reason.why, reason.hint)
    });
    limits.chain(refused).collect()
}

/// Rests and test balls, where they are the same for all blocks.
fn between(session: &Session) -> String {
    let rest = |is_groove: bool| {
        let mut blocks = session.blocks.iter().filter(|block| block.rest_s > 0);
        blocks.find(|block| (block.phase == SessionPhase::Groove) == is_groove)
    };
    let rests = match (rest(true), rest(false)) {
        (Some(one), Some(other)) if one.rest_s != other.rest_s => {
            Some(format!("rest {} s after a groove, {} s after others", one.rest_s, other.rest_s))
        }
        (Some(one), _) | (_, Some(one)) => Some(format!("rest {} s", one.rest_s)),
        _ => None,
    };
    let test = session.blocks.iter().map(Block::thrown_away).max().filter(|&away| away > 0);
    let test = test.map(|away| {
        format!("{away} test balls after each change, the first watched from the side")
    });
    let said: Vec<String> = [rests, test].into_iter().flatten().collect();
    if said.is_empty() { String::new() } else { format!("Between blocks: {}.", said.join("; ")) }
}

/// The stands with both marks of their balls; a person who serves needs no drawing.
fn drawn(session: &Session, kinds: &BallKinds<'_>) -> Vec<DrawnSetUp> {
    if session.kind() == LauncherKind::Partner {
        return Vec::new();
    }
    let stand = |set_up: &SetUp| {
        let mut balls: Vec<ByEye> = Vec::new();
        let blocks = session.blocks.iter().filter(|block| block.set_up == *set_up);
        for eye in blocks.flat_map(settings_of).filter_map(|settings| settings.by_eye) {
            let is_known = balls.iter().any(|ball| ball.lands_m == eye.lands_m);
            balls.extend(Some(eye).filter(|_| !is_known));
        }
        DrawnSetUp { set_up: *set_up, balls }
    };
    kinds.stands.iter().map(stand).collect()
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

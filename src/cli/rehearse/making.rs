//! A session made as it is wished for: with the opponent, the launcher and what is weak in memory.

use crate::base::text;
use crate::cli::desk::Desk;
use crate::cli::dossier::Dossiers;
use crate::cli::overview::Overview;
use crate::cli::rehearse::waiting;
use crate::cli::{Failure, World, launcher, plan};
use crate::deck::{Deck, Switch};
use crate::game::ServeId;
use crate::journal::TableMade;
use crate::page::rehearsal::refusal;
use crate::rehearsal::{
    Length, RehearsalError, Session, SessionPhase, SessionRequest, Variation, Volumes, enter,
    rehearse,
};
use crate::tactics::verdict::Verdict;

/// The session that is wished for.
#[derive(Debug)]
pub(crate) struct SessionWish<'a> {
    /// The opponent; the only one when nobody is named.
    pub opponent: Option<&'a str>,
    pub launcher: Option<&'a str>,
    pub balls: Option<u32>,
    pub minutes: Option<f64>,
    /// The phases; all three when empty.
    pub phases: &'a [SessionPhase],
    /// The switches to be called; where none is named, those that are due.
    pub switches: &'a [String],
    /// Only this drill.
    pub drill: Option<Variation>,
    pub volumes: Volumes,
}

/// The session with what is entered for each ball.
///
/// # Errors
/// [`Failure`] when there is no such opponent, launcher or switch, or nothing can be rehearsed.
pub(crate) fn make(
    wish: &SessionWish<'_>,
    desk: &Desk,
    world: &mut World<'_>,
) -> Result<Session, Failure> {
    let board = desk.overview(world)?;
    let (_, deck) = desk.opponent(wish.opponent)?;
    let feeds =
        wish.launcher.is_none() && !world.is_terminal && desk.home()?.launcher_stems()?.is_empty();
    let launcher = launcher::find(wish.launcher.or(feeds.then_some("feeder")), desk, world)?;
    let deck = deck.seen_by(board.player.hand);
    let mut switches: Vec<&Switch> =
        wish.switches.iter().map(|name| find_switch(&deck, name)).collect::<Result<_, _>>()?;
    let read = looks_read(&board, &deck)?;
    let is_free = wish.switches.is_empty() && wish.drill.is_none() && wish.phases.is_empty();
    if is_free {
        switches.extend(read.iter().filter_map(|(_, due)| deck.switch(due.as_ref()?)));
    }
    let (on, at_table) = (board.match_day(), board.at_table());
    let weakness = deck.planned().map(|(serve, receive)| {
        let key = deck.pattern(&serve.id, receive);
        let is_switched = switches.iter().any(|switch| switch.changes.contains_key(&serve.id));
        if is_switched || at_table.is_weak(&key) {
            return (key, 1.0);
        }
        // What is not known of the table counts half.
        let in_memory = board.recall(&key, on).unwrap_or(0.0);
        let made = at_table.find(&key).map_or(0.5, TableMade::share);
        (key, 1.0 - f64::midpoint(in_memory, made))
    });
    let (constants, _) = launcher::own_table(desk)?;
    let weakness = weakness.collect();
    let request = |switches: Vec<&'_ Switch>| {
        rehearse(&SessionRequest {
            deck: &deck,
            player: board.player.hand,
            switches,
            drill: wish.drill,
            weakness: &weakness,
            launcher: &launcher,
            constants,
            phases: wish.phases,
            length: Length { balls: wish.balls, minutes: wish.minutes },
            volumes: wish.volumes,
            seed: world.seed,
        })
    };
    let mut session = match request(switches.clone()) {
        // A change that is due is no reason to refuse a session that has no room for it.
        Err(RehearsalError::TooShortForSwitch { .. } | RehearsalError::SwitchOutOfReach(_))
            if is_free =>
        {
            request(Vec::new())?
        }
        made => made?,
    };
    session.looks_read = read.into_iter().map(|(serve, _)| serve).collect();
    enter(&mut session, &constants);
    session.is_launcher_new = waiting::is_new(desk.home()?, &session.launcher.name);
    if feeds {
        let how = "No launcher of yours is on file: this is for somebody who feeds. Another: \
                   --launcher fixed, oscillating, per-ball or partner.";
        world.note(how, "  ")?;
    }
    Ok(session)
}

/// Serves whose planned answer looks read, with the switch that is due.
fn looks_read(
    board: &Overview<'_>,
    deck: &Deck,
) -> Result<Vec<(ServeId, Option<String>)>, Failure> {
    let dossiers = Dossiers::read(board);
    let mut own = dossiers.each(*board).filter(|of| of.deck.key == deck.key);
    let Some(of) = own.find(|of| !of.history.is_empty()) else { return Ok(Vec::new()) };
    let due = of.lessons()?.into_iter().filter(|lesson| lesson.verdict == Verdict::Change);
    Ok(due.map(|lesson| (lesson.serve.clone(), lesson.due_switch().map(str::to_owned))).collect())
}

fn find_switch<'a>(deck: &'a Deck, name: &str) -> Result<&'a Switch, Failure> {
    deck.switch(name).ok_or_else(|| {
        let known: Vec<&str> = deck.switches.iter().map(|switch| switch.name.as_str()).collect();
        let hint = match (text::closest(name, &known), known.is_empty()) {
            (_, true) => format!("the deck has none yet: {}", plan::to_add_switch(deck)),
            (Some(meant), _) => format!("did you mean `{meant}`?"),
            (None, _) => format!("the deck has {}", text::and_list(&known)),
        };
        Failure::request(format!("no switch `{name}`"), hint)
    })
}

impl From<RehearsalError> for Failure {
    fn from(error: RehearsalError) -> Self {
        match error {
            RehearsalError::NoServes { opponent } => Self::request(
                format!("`{opponent}` has no serves to rehearse"),
                "add one: secondball scout",
            ),
            RehearsalError::NothingLeft { opponent, why } => {
                let reason = refusal(&why, &opponent);
                Self::request(
                    format!("no serve of `{opponent}` can be rehearsed: {}", reason.why),
                    reason.hint,
                )
            }
            RehearsalError::OutOfBounds(error) => Self::request(
                error.to_string(),
                "a club session is 150 to 250 balls, or 40 to 60 min",
            ),
            RehearsalError::NoTime { minutes, least } => Self::request(
                format!("{minutes} min are too few: {least} balls with their changes take longer"),
                "ask for more minutes, or name balls instead",
            ),
            RehearsalError::TooShortForSwitch { balls, least } => Self::request(
                format!("a switch round needs {least} balls or more, {balls} are asked for"),
                format!("--balls {least}, or no --switch"),
            ),
            RehearsalError::NotWithLauncher(drill) => Self::request(
                format!("this launcher cannot do `{}`: {drill}", drill.word().replace('_', "-")),
                "which launchers can: secondball rehearse drills",
            ),
            RehearsalError::NoBallsFor(drill) => Self::request(
                format!(
                    "no serve of this plan suits `{}`: {drill}",
                    drill.word().replace('_', "-")
                ),
                "another drill: secondball rehearse drills",
            ),
            RehearsalError::SwitchOutOfReach(name) => Self::request(
                format!("the switch `{name}` changes no serve that this launcher can rehearse"),
                "choose another switch, or a person who serves",
            ),
        }
    }
}

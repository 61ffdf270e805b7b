//! `plan choose`: receives by questions, one serve after the other; then the safe one and a switch.

use clap::Args;

use super::{read_receive, say, warn, write_receive};
use crate::base::text;
use crate::cli::ask::Asker;
use crate::cli::whom::Whom;
use crate::cli::{Desk, Failure, World};
use crate::deck::{Deck, Player, editing};
use crate::game::{Receive, Serve, ServeId};
use crate::store::Home;
use crate::tactics::usual::usual;

/// Choose receives one serve after the other, by questions
#[derive(Debug, Args)]
#[command(
    after_help = "Examples:\n  secondball plan choose Kim\n  secondball plan choose Kim --all"
)]
pub(super) struct ChooseArguments {
    #[command(flatten)]
    whom: Whom,
    /// Ask for serves that have a receive, too
    #[arg(long)]
    all: bool,
}

/// Receives offered for a serve: the usual ones, the player's own first.
fn offers(serve: &Serve, player: &Player) -> Vec<Receive> {
    usual(serve, player)
}

/// A receive by its place in the offers, or in words.
enum Chosen {
    Offer(usize),
    Words(Receive),
}

impl From<usize> for Chosen {
    fn from(place: usize) -> Self {
        Self::Offer(place)
    }
}

/// Asks.
pub(super) fn run(
    arguments: &ChooseArguments,
    desk: &Desk,
    world: &mut World<'_>,
) -> Result<(), Failure> {
    let home = desk.home()?;
    let player = desk.player()?;
    let (stem, mut deck) = desk.opponent(arguments.whom.opponent())?;
    let mut asker = Asker::default();
    let open: Vec<Serve> = deck
        .seen_by(player.hand)
        .active()
        .filter(|serve| arguments.all || !deck.plan.contains_key(&serve.id))
        .cloned()
        .collect();
    if deck.active().next().is_none() {
        writeln!(world.err, "No serve is written down yet.")?;
    } else if open.is_empty() {
        writeln!(world.err, "Every serve has a receive; `--all` asks for each again.")?;
    } else {
        let said = "A number, or a receive in your own words, for example `forehand push early to \
                    middle short`; Enter leaves it open, Ctrl-C leaves; what is chosen is kept. Targets are the opponent's \
                    own lanes.";
        writeln!(world.err, "{}", text::wrap(said, world.width, ""))?;
    }
    for serve in open {
        writeln!(world.err)?;
        let said = format!("{}: {}", serve.id, serve.shown());
        writeln!(world.err, "{}", text::wrap(&said, world.width, "    "))?;
        let offers = offers(&serve, player);
        let Some(mut receive) = ask_receive(&mut asker, world, "receive", &offers)? else {
            continue;
        };
        if receive.why.is_none() {
            receive.why = asker.line(world, "  why")?;
        }
        write_receive(world, home, player, &stem, &mut deck, &serve.id, &receive)?;
    }
    if deck.safe.is_none() && !asker.has_ended() {
        writeln!(world.err)?;
        writeln!(world.err, "The safe receive, for anything unread or new:")?;
        let usual = ["backhand push to middle long", "backhand block to middle long"];
        let usual: Vec<Receive> = usual.iter().filter_map(|text| text.parse().ok()).collect();
        if let Some(receive) = ask_receive(&mut asker, world, "safe", &usual)? {
            editing::set_safe(&mut deck, receive.clone());
            home.save_deck(&stem, &deck)?;
            say(world, "safe", &receive)?;
        }
    }
    if deck.switches.is_empty() && !asker.has_ended() && !deck.plan.is_empty() {
        ask_switch(&mut asker, world, home, player, &stem, &mut deck)?;
    }
    let left = deck.unplanned().count();
    if deck.active().next().is_none() {
        writeln!(world.err, "Next: secondball scout add {stem}")?;
    } else if left > 0 {
        let open = text::count(left, "serve");
        writeln!(world.err, "{open} without a receive. Next: secondball plan choose {stem}")?;
    } else {
        writeln!(world.err, "Next: secondball drill --opponent {stem}")?;
    }
    Ok(())
}

/// A receive from the offers or in words; asked again until it can be read.
fn ask_receive(
    asker: &mut Asker,
    world: &mut World<'_>,
    label: &str,
    offers: &[Receive],
) -> Result<Option<Receive>, Failure> {
    for (place, offer) in offers.iter().enumerate() {
        let why = offer.why.as_ref().map(|why| format!(": {why}")).unwrap_or_default();
        let said = format!("  {} {}{why}", place + 1, offer.shown());
        writeln!(world.err, "{}", text::wrap(&said, world.width, "    "))?;
    }
    loop {
        let Some(given) = asker.line(world, &format!("  {label}"))? else { return Ok(None) };
        let chosen = match given.parse::<usize>() {
            Ok(number) => (1..=offers.len()).contains(&number).then(|| Chosen::Offer(number - 1)),
            Err(_) => match read_receive(&given) {
                Ok(receive) => Some(Chosen::Words(receive)),
                Err(Failure::Findings(findings)) => {
                    for finding in findings {
                        writeln!(world.err, "{}", finding.shown())?;
                    }
                    None
                }
                Err(other) => return Err(other),
            },
        };
        match chosen {
            Some(Chosen::Words(receive)) => return Ok(Some(receive)),
            Some(Chosen::Offer(place)) => return Ok(offers.get(place).cloned()),
            None if given.parse::<usize>().is_ok() => {
                writeln!(world.err, "    there is no {given}, only 1 to {}", offers.len())?;
            }
            None => {}
        }
    }
}

/// `plan switch`: one switch by questions.
pub(super) fn switch(
    opponent: Option<&str>,
    desk: &Desk,
    world: &mut World<'_>,
) -> Result<(), Failure> {
    let home = desk.home()?;
    let player = desk.player()?;
    let (stem, mut deck) = desk.opponent(opponent)?;
    if deck.planned().next().is_none() {
        return Err(Failure::request(
            "a switch changes a receive of the plan, and no serve has one yet",
            format!("`secondball plan choose {stem}`"),
        ));
    }
    let before = deck.switches.clone();
    ask_switch(&mut Asker::default(), world, home, player, &stem, &mut deck)?;
    if deck.switches == before {
        return Err(Failure::request(
            "no switch was written",
            "by flags: `secondball plan switch add --help`",
        ));
    }
    writeln!(world.err, "Next: secondball drill --opponent {stem}")?;
    Ok(())
}

/// A name for a switch to this receive that no other switch has: `long push`, `long push 2`.
fn usual_name(deck: &Deck, receive: &Receive) -> String {
    let depth = receive.to.depth.map(|depth| format!("{depth} ")).unwrap_or_default();
    let name = format!("{depth}{}", receive.stroke);
    let is_free = |name: &String| deck.switch_called(name).is_none();
    std::iter::once(name.clone())
        .chain((2..100).map(|number| format!("{name} {number}")))
        .find(is_free)
        .unwrap_or(name)
}

/// One switch, when the player wants one.
fn ask_switch(
    asker: &mut Asker,
    world: &mut World<'_>,
    home: &Home,
    player: &Player,
    stem: &str,
    deck: &mut Deck,
) -> Result<(), Failure> {
    writeln!(world.err)?;
    let said = "One switch in reserve: a serve whose receive you will change when it is read. Enter \
                leaves it for later.";
    writeln!(world.err, "{}", text::wrap(said, world.width, ""))?;
    let serves: Vec<ServeId> = deck.planned().map(|(serve, _)| serve.id.clone()).collect();
    let words: Vec<String> = serves.iter().map(ToString::to_string).collect();
    let Some(place) = asker.choose(world, "serve", &words)? else { return Ok(()) };
    let id = &serves[place];
    let seen = deck.seen_by(player.hand);
    let old = deck.plan.get(id).map(Receive::text);
    let offers: Vec<Receive> = seen
        .serve(id)
        .map(|serve| offers(serve, player))
        .unwrap_or_default()
        .into_iter()
        .filter(|offer| Some(offer.text()) != old)
        .collect();
    if let Some(now) = deck.plan.get(id) {
        let said = format!("  now {}", now.shown());
        writeln!(world.err, "{}", text::wrap(&said, world.width, "      "))?;
    }
    let Some(receive) = ask_receive(asker, world, "instead", &offers)? else { return Ok(()) };
    let usual = usual_name(deck, &receive);
    let question = format!("  its name, as called on the bench (Enter: {usual})");
    let given = asker.line(world, &question)?;
    if asker.has_ended() && given.is_none() {
        writeln!(world.err, "No switch was written: nobody gave it a name.")?;
        return Ok(());
    }
    let name = given.unwrap_or(usual);
    let cue = asker.line(world, "  what you see that calls for it")?;
    editing::add_to_switch(deck, &name, cue.as_deref(), id, receive.clone())?;
    home.save_deck(stem, deck)?;
    say(world, &format!("switch {name}, {id}"), &receive)?;
    warn(world, player, deck.serve(id), &receive)
}

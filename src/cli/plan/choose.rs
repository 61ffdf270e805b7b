//! `plan choose`: receives by questions, serve after serve; then the safe ones and a switch.

use clap::Args;

use super::list::ListArguments;
use super::open_plan::{OpenPlan, read_receive, say, say_what_is_open};
use crate::cli::ask::{Asker, with_now};
use crate::cli::whom::Whom;
use crate::cli::{Desk, Failure, Result, World};
use crate::deck::editing::add_to_switch;
use crate::deck::{Deck, SafeFor};
use crate::game::{Receive, Serve, ServeId};
use crate::page::proposed::proposed;
use crate::receive::{Bats, Meeting};

/// Choose receives one serve after the other, by questions
#[derive(Debug, Args)]
#[command(after_help = "Examples:\n\
        \x20 secondball plan choose north\n\
        \x20 secondball plan choose north short-fh --list\n\
        \x20 secondball plan choose \\\n\
        \x20   --serve \"long to the backhand, heavy backspin\" \\\n\
        \x20   --rubbers \"long pimples on the backhand\"")]
pub(super) struct ChooseArguments {
    #[command(flatten)]
    whom: Whom,
    /// Ask for serves that have a receive, too
    #[arg(long)]
    all: bool,
    #[command(flatten)]
    list: ListArguments,
}

/// Asks.
pub(super) fn run(arguments: &ChooseArguments, desk: &Desk, world: &mut World<'_>) -> Result {
    if arguments.list.is_asked() {
        return arguments.list.run(arguments.whom.opponent(), desk, world);
    }
    let mut plan = OpenPlan::read(desk, arguments.whom.opponent())?;
    let mut asker = Asker::default();
    let open: Vec<Serve> = plan
        .deck
        .seen_by(plan.player.hand)
        .active()
        .filter(|serve| arguments.all || !plan.deck.plan.contains_key(&serve.id))
        .cloned()
        .collect();
    if plan.deck.active().next().is_none() {
        writeln!(world.err, "No serve is written down yet.")?;
    } else if open.is_empty() {
        writeln!(world.err, "Every serve has a receive; `--all` asks for each again.")?;
    } else {
        let how = "A number, or a receive in your own words, for example `forehand push on \
                   the rise, short to the middle`; Enter leaves it open, `<` goes one question back, \
                   Ctrl-D leaves; what is chosen is kept. Targets are the opponent's own lanes.";
        world.note(how, "")?;
    }
    let mut steps: Vec<Choosing> =
        open.into_iter().map(|serve| Choosing::Serve(Box::new(serve))).collect();
    if plan.deck.safe.is_none() || arguments.all {
        let of_kind = |kind: SafeFor| {
            let is_of_it = |it: &Serve| SafeFor::of_ball(it.depth, it.pace) == Some(kind);
            plan.deck.active().any(is_of_it)
                && (arguments.all || plan.deck.safe_for.to(kind).is_none())
        };
        let kinds = SafeFor::ALL.iter().copied().filter(|kind| of_kind(*kind));
        steps.extend(kinds.map(Some).chain([None]).map(Choosing::Safe));
    }
    steps.extend(plan.deck.switches.is_empty().then_some(Choosing::Switch));
    let mut place = 0;
    while let Some(step) = steps.get(place) {
        let asked = step.ask(&mut plan, &mut asker, world);
        place = asker.go_on(place, asked)?;
    }
    if !say_what_is_open(&plan.deck, &plan.stem, world)? {
        world.next(&format!("drill {}", plan.stem))?;
    }
    Ok(())
}

/// A step of choosing: one block of questions.
enum Choosing {
    Serve(Box<Serve>),
    /// To one kind of serve, or to everything else.
    Safe(Option<SafeFor>),
    Switch,
}

impl Choosing {
    fn ask(&self, plan: &mut OpenPlan<'_>, asker: &mut Asker, world: &mut World<'_>) -> Result {
        match self {
            Self::Serve(serve) => ask_serve(serve, plan, asker, world),
            &Self::Safe(kind) if !asker.has_ended() => ask_safe(kind, plan, asker, world),
            Self::Switch if !asker.has_ended() && !plan.deck.plan.is_empty() => {
                ask_switch(plan, asker, world).map(drop)
            }
            Self::Safe(_) | Self::Switch => Ok(()),
        }
    }
}

fn ask_serve(
    serve: &Serve,
    plan: &mut OpenPlan<'_>,
    asker: &mut Asker,
    world: &mut World<'_>,
) -> Result {
    let called = plan.deck.seen_by(plan.player.hand).called(&serve.id);
    writeln!(world.err)?;
    world.note(&format!("{called}: {}", serve.shown()), "    ")?;
    let (offers, now) = (offers(plan, serve), plan.deck.plan.get(&serve.id).cloned());
    let read = |it: &str| plan.read_receive_for(&serve.id, it);
    let Some(mut receive) = ask_receive("receive", &offers, now.as_ref(), read, asker, world)?
    else {
        return Ok(());
    };
    if receive.why.is_none() {
        receive.why = asker.line(world, "  why")?;
    }
    plan.set_receive(&serve.id, &receive, world)
}

fn ask_safe(
    kind: Option<SafeFor>,
    plan: &mut OpenPlan<'_>,
    asker: &mut Asker,
    world: &mut World<'_>,
) -> Result {
    let (serve, offers) = if let Some(kind) = kind {
        (format!("a {kind} serve you could not read"), offers(plan, &kind.as_serve()))
    } else {
        let safe = ["backhand push to middle long", "backhand block to middle long"];
        let safe = safe.iter().filter_map(|text| text.parse().ok());
        ("anything else".to_owned(), safe.map(|receive| (receive, String::new())).collect())
    };
    writeln!(world.err, "\nThe safe receive to {serve}:")?;
    let now = match kind {
        Some(kind) => plan.deck.safe_for.to(kind),
        None => plan.deck.safe.as_ref(),
    };
    let receive = ask_receive("safe", &offers, now, read_receive, asker, world)?;
    receive.map_or(Ok(()), |receive| plan.set_safe_for(kind, &receive, world))
}

/// A receive offered, and what is said of it.
type Offer = (Receive, String);

/// The receives proposed for a serve as the player meets it.
fn offers(plan: &OpenPlan<'_>, serve: &Serve) -> Vec<Offer> {
    let deck = plan.deck.seen_by(plan.player.hand);
    let bats = Bats::fly(&deck, Some(plan.player), &plan.constants);
    let meeting = Meeting { serve, deck: &deck, player: Some(plan.player), bats: Some(&bats) };
    let said = proposed(meeting).proposals.into_iter().map(|one| {
        let said = one.said();
        (Receive { expect: one.comes_back, ..one.receive }, said)
    });
    said.collect()
}

/// A receive from the offers by number, or in words; asked again until it can be read.
fn ask_receive(
    label: &str,
    offers: &[Offer],
    now: Option<&Receive>,
    read: impl Fn(&str) -> Result<Receive>,
    asker: &mut Asker,
    world: &mut World<'_>,
) -> Result<Option<Receive>> {
    for ((offer, said), number) in offers.iter().zip(1..) {
        asker.say(world, &format!("  {number} {}{said}", offer.shown()))?;
    }
    let question = with_now(&format!("  {label}"), now.map(Receive::short).as_deref());
    while let Some(given) = asker.line(world, &question)? {
        if let Ok(number) = given.parse::<usize>() {
            let offer = number.checked_sub(1).and_then(|place| offers.get(place));
            if let Some((receive, _)) = offer {
                return Ok(Some(receive.clone()));
            }
            writeln!(world.err, "    there is no {given}, only 1 to {}", offers.len())?;
        } else {
            match read(&given) {
                Err(Failure::Findings(findings)) => world.tell(&findings)?,
                read => return read.map(Some),
            }
        }
        asker.refuse();
    }
    Ok(None)
}

/// `plan switch`: one switch by questions.
pub(super) fn switch(whom: &Whom, desk: &Desk, world: &mut World<'_>) -> Result {
    let mut plan = OpenPlan::read(desk, whom.opponent())?;
    if plan.deck.planned().next().is_none() {
        return Err(Failure::request(
            "a switch changes a receive of the plan, and no serve has one yet",
            format!("`secondball plan choose {}`", plan.stem),
        ));
    }
    if !Asker::default().block(|asker| ask_switch(&mut plan, asker, world))? {
        return Err(Failure::request(
            "no switch was written",
            "by flags: `secondball plan switch add --help`",
        ));
    }
    world.next(&format!("drill {}", plan.stem))
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

/// One switch, when the player wants one; whether it was written.
fn ask_switch(plan: &mut OpenPlan<'_>, asker: &mut Asker, world: &mut World<'_>) -> Result<bool> {
    writeln!(world.err)?;
    let how = "One switch in reserve: a serve whose receive you will change when it is read. Enter \
               leaves it for later.";
    world.note(how, "")?;
    let seen = plan.deck.seen_by(plan.player.hand);
    let serves: Vec<ServeId> = seen.planned().map(|(serve, _)| serve.id.clone()).collect();
    let serve = asker.serve(world, "serve", (&seen, &serves), None)?;
    let Some(id) = &serve else { return Ok(false) };
    let now = plan.deck.plan.get(id);
    let mut offers = seen.serve(id).map(|serve| offers(plan, serve)).unwrap_or_default();
    offers.retain(|(offer, _)| now.is_none_or(|now| now.text() != offer.text()));
    let read = |given: &str| plan.read_change(id, given);
    let Some(receive) = ask_receive("instead", &offers, now, read, asker, world)? else {
        return Ok(false);
    };
    let usual = usual_name(&plan.deck, &receive);
    let question = format!("  its name, as called on the bench (Enter: {usual})");
    let given = asker.line(world, &question)?;
    if asker.has_ended() && given.is_none() {
        writeln!(world.err, "No switch was written: nobody gave it a name.")?;
        return Ok(false);
    }
    let name = given.unwrap_or(usual);
    let cue = asker.line(world, "  what you see that calls for it")?;
    add_to_switch(&mut plan.deck, &name, cue.as_deref(), id, receive.clone())?;
    plan.save()?;
    say(&format!("switch {name}, {}", seen.called(id)), &receive, world)?;
    plan.warn(Some(id), &receive, world)?;
    Ok(true)
}

//! `plan`: which receive answers which serve, the safe one, and the switches held in reserve.

mod choose;
mod open_plan;

use clap::{Args, Subcommand};

use crate::base::text;
use crate::cli::plan::open_plan::{OpenPlan, read_receive};
use crate::cli::whom::Whom;
use crate::cli::{Desk, Failure, Result, World, plan_advise, plan_worth};
use crate::deck::{Deck, advice, editing};
use crate::game::Receive;

/// Show or set your receives against an opponent
#[derive(Debug, Args)]
#[command(
    args_conflicts_with_subcommands = true,
    after_help = "A receive is written as you would say it: wing, stroke, timing, weight, with or against \
                  the spin, then `to` lane and depth (the opponent's own lanes).\n\nExamples:\n  \
                  secondball plan Kim\n  secondball plan set Kim short-fh \"forehand push early to middle \
                  short\" --why \"takes the first loop away\""
)]
pub struct PlanArguments {
    /// Set something; without it, the plan is shown
    #[command(subcommand)]
    what: Option<PlanCommand>,
    #[command(flatten)]
    whom: Whom,
    /// Print a document for programs
    #[arg(long)]
    json: bool,
}

/// What can be set.
#[derive(Debug, Subcommand)]
enum PlanCommand {
    /// Choose receives one serve after the other, by questions
    Choose(choose::ChooseArguments),
    /// Set the receive for a serve
    Set(SetArguments),
    /// Take the receive for a serve out of the plan
    Clear(ClearArguments),
    /// Set the safe receive, for anything unread or new
    Safe(SafeArguments),
    /// Add a switch by questions, or add and remove one by flags
    Switch(SwitchArguments),
    /// Which receive to play against each serve, how sure that is, and why
    Advise(plan_advise::AdviseArguments),
    /// What a better receive is worth in matches
    Worth(plan_worth::WorthArguments),
}

/// A switch: a named small difference from the plan, held in reserve
#[derive(Debug, Args)]
#[command(
    args_conflicts_with_subcommands = true,
    after_help = "Examples:\n  secondball plan switch Kim\n      asks for the serve, the new receive, a \
                  name and its cue\n  secondball plan switch add Kim \"long push\" short-fh \"forehand push \
                  heavy to backhand long\""
)]
struct SwitchArguments {
    /// Without it, questions are asked
    #[command(subcommand)]
    what: Option<SwitchCommand>,
    #[command(flatten)]
    whom: Whom,
}

/// What can be done with a switch.
#[derive(Debug, Subcommand)]
enum SwitchCommand {
    /// Add a switch, or one more change to it
    Add(SwitchAddArguments),
    /// Remove a switch; what was learnt of it is kept
    Remove(SwitchRemoveArguments),
}

/// What is written beside a receive.
#[derive(Debug, Default, Args)]
struct Words {
    /// Why this one
    #[arg(long, value_name = "WORDS")]
    why: Option<String>,
    /// The opponent's likely third ball
    #[arg(long, value_name = "WORDS")]
    expect: Option<String>,
    /// Your own fourth ball
    #[arg(long, value_name = "WORDS")]
    then: Option<String>,
}

/// Set the receive for a serve
#[derive(Debug, Args)]
#[command(
    after_help = "Examples:\n  secondball plan set Kim short-fh \"forehand push early to middle short\"\n  \
                  secondball plan set Kim fast-bh backhand block to middle long --why \"no time to swing\""
)]
struct SetArguments {
    /// The opponent
    opponent: String,
    /// The serve's short name
    serve: String,
    /// The receive
    #[arg(required = true, value_name = "RECEIVE")]
    receive: Vec<String>,
    #[command(flatten)]
    words: Words,
}

/// Take the receive for a serve out of the plan
#[derive(Debug, Args)]
#[command(after_help = "Examples:\n  secondball plan clear Kim short-fh\n  secondball plan clear \
                        \"Left-hander, north hall\" fast-bh")]
struct ClearArguments {
    /// The opponent
    opponent: String,
    /// The serve's short name
    serve: String,
}

/// Set the safe receive, for anything unread or new
#[derive(Debug, Args)]
#[command(
    after_help = "Examples:\n  secondball plan safe Kim \"backhand push to middle long\"\n  secondball plan \
                  safe Kim \"backhand block to middle long\" --why \"most of it is fast\""
)]
struct SafeArguments {
    /// The opponent
    opponent: String,
    /// The receive
    #[arg(required = true, value_name = "RECEIVE")]
    receive: Vec<String>,
    #[command(flatten)]
    words: Words,
}

/// Add a switch, or one more change to it
#[derive(Debug, Args)]
#[command(
    after_help = "Examples:\n  secondball plan switch add Kim \"long push\" short-fh \"forehand push heavy to \
                  backhand long\" --cue \"steps in for the short one\"\n  secondball plan switch add Kim \
                  \"hit it\" fast-bh \"backhand drive to wide backhand long\""
)]
struct SwitchAddArguments {
    /// The opponent
    opponent: String,
    /// The name you will call it by on the bench
    name: String,
    /// The serve whose receive changes
    serve: String,
    /// The new receive
    #[arg(required = true, value_name = "RECEIVE")]
    receive: Vec<String>,
    /// What you see that calls for it
    #[arg(long, visible_alias = "when", value_name = "WORDS")]
    cue: Option<String>,
    #[command(flatten)]
    words: Words,
}

/// Remove a switch; what was learnt of it is kept
#[derive(Debug, Args)]
#[command(
    after_help = "Examples:\n  secondball plan switch remove Kim \"long push\"\n  secondball plan \
                        switch remove \"Left-hander, north hall\" \"hit it\""
)]
struct SwitchRemoveArguments {
    /// The opponent
    opponent: String,
    /// The switch's name
    name: String,
}

/// Runs the command.
///
/// # Errors
/// What is wrong with the request or the files, or the machine's own trouble.
pub fn run(arguments: &PlanArguments, desk: &Desk, world: &mut World<'_>) -> Result {
    match &arguments.what {
        None => show(arguments, desk, world),
        Some(PlanCommand::Choose(choose)) => choose::run(choose, desk, world),
        Some(PlanCommand::Set(set)) => set_receive(set, desk, world),
        Some(PlanCommand::Clear(clear)) => clear_receive(clear, desk, world),
        Some(PlanCommand::Safe(safe)) => set_safe(safe, desk, world),
        Some(PlanCommand::Switch(switch)) => match &switch.what {
            None => choose::switch(&switch.whom, desk, world),
            Some(SwitchCommand::Add(add)) => add_switch(add, desk, world),
            Some(SwitchCommand::Remove(remove)) => remove_switch(remove, desk, world),
        },
        Some(PlanCommand::Advise(advise)) => plan_advise::run(advise, desk, world),
        Some(PlanCommand::Worth(worth)) => plan_worth::run(worth, desk, world),
    }
}

/// The command that adds a switch, or that makes the plan it departs from.
pub(crate) fn to_add_switch(deck: &Deck) -> String {
    let what = if deck.planned().next().is_some() { "switch" } else { "choose" };
    format!("secondball plan {what} {}", text::typed(&deck.opponent))
}

fn show(arguments: &PlanArguments, desk: &Desk, world: &mut World<'_>) -> Result {
    let (_, deck) = desk.opponent(arguments.whom.opponent())?;
    let mut page = crate::page::plan::plan(&deck, desk.player()?);
    let dossier = desk.dossier(arguments.whom.opponent(), world)?;
    page.add_points(dossier.history, &dossier.lessons()?);
    world.print(&page, arguments.json, crate::page::plan::PlanView::text)?;
    if !arguments.json
        && !open_plan::say_what_is_open(&deck, dossier.stem, world)?
        && deck.safe.is_none()
    {
        world.next(&format!("plan safe {} \"backhand push to middle long\"", dossier.stem))?;
    }
    Ok(())
}

/// The receive of the arguments with what is written beside it.
fn receive_of(words: &[String], beside: &Words) -> Result<Receive> {
    let mut receive = read_receive(&words.join(" "))?;
    let said = |words: &Option<String>| {
        words.as_deref().map(text::one_line).filter(|words| !words.is_empty())
    };
    receive.why = said(&beside.why).or(receive.why);
    receive.expect = said(&beside.expect).or(receive.expect);
    receive.then = said(&beside.then).or(receive.then);
    Ok(receive)
}

fn set_receive(arguments: &SetArguments, desk: &Desk, world: &mut World<'_>) -> Result {
    let mut plan = OpenPlan::read(desk, Some(&arguments.opponent))?;
    let id = editing::find_serve(&plan.deck, &arguments.serve)?;
    plan.set_receive(&id, &receive_of(&arguments.receive, &arguments.words)?, world)
}

fn clear_receive(arguments: &ClearArguments, desk: &Desk, world: &mut World<'_>) -> Result {
    let mut plan = OpenPlan::read(desk, Some(&arguments.opponent))?;
    let id = editing::find_serve(&plan.deck, &arguments.serve)?;
    if plan.deck.plan.remove(&id).is_none() {
        return Err(Failure::request(
            format!("`{id}` has no receive"),
            format!("`secondball plan {}` shows what has", plan.stem),
        ));
    }
    plan.save()?;
    Ok(writeln!(world.out, "{id} has no receive any more; what was learnt of it is kept")?)
}

fn set_safe(arguments: &SafeArguments, desk: &Desk, world: &mut World<'_>) -> Result {
    let mut plan = OpenPlan::read(desk, Some(&arguments.opponent))?;
    let receive = receive_of(&arguments.receive, &arguments.words)?;
    plan.set_safe(&receive, world)?;
    plan.warn(None, &receive, world)
}

fn add_switch(arguments: &SwitchAddArguments, desk: &Desk, world: &mut World<'_>) -> Result {
    let mut plan = OpenPlan::read(desk, Some(&arguments.opponent))?;
    let id = editing::find_serve(&plan.deck, &arguments.serve)?;
    let receive = receive_of(&arguments.receive, &arguments.words)?;
    let old = plan.deck.plan.get(&id);
    if old.is_some_and(|old| old.text() == receive.text()) {
        return Err(Failure::request(
            format!("that is the receive `{id}` has in the plan already"),
            "a switch changes something: name another stroke, timing or target",
        ));
    }
    let old = old.map(Receive::shown);
    let cue = arguments.cue.as_deref();
    editing::add_to_switch(&mut plan.deck, &arguments.name, cue, &id, receive.clone())?;
    plan.save()?;
    let name = text::one_line(&arguments.name);
    writeln!(world.out, "switch {name}")?;
    if let Some(old) = old {
        world.say(&format!("  not {old}"), "      ")?;
    }
    world.say(&format!("  now {}", receive.shown()), "      ")?;
    if plan.deck.switch_called(&name).is_some_and(|switch| switch.cue.is_none()) {
        writeln!(world.err, "It has no cue yet: `--cue` says what you see that calls for it.")?;
    }
    for judged in advice::of_deck(&plan.deck) {
        let of_this = judged.path.starts_with(&["switches".to_owned(), name.clone()]);
        if of_this && judged.path.len() == 3 {
            world.tell([&judged.finding])?;
        }
    }
    plan.warn(Some(&id), &receive, world)
}

fn remove_switch(arguments: &SwitchRemoveArguments, desk: &Desk, world: &mut World<'_>) -> Result {
    let mut plan = OpenPlan::read(desk, Some(&arguments.opponent))?;
    let name = editing::remove_switch(&mut plan.deck, &arguments.name)?;
    plan.save()?;
    Ok(writeln!(world.out, "switch {name} is removed; what was learnt of it is kept")?)
}

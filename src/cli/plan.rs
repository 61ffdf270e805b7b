//! `plan`: which receive answers which serve, the safe one, and the switches held in reserve.

mod choose;
mod list;
mod open_plan;

use clap::{Args, Subcommand};

use crate::base::text;
use crate::cli::launcher::own_table;
use crate::cli::plan::open_plan::{OpenPlan, read_receive};
use crate::cli::whom::Whom;
use crate::cli::{Desk, Failure, Result, World, plan_advise, plan_worth};
use crate::deck::{Deck, SafeFor, editing};
use crate::game::Receive;
use crate::receive::{self, Bats};

/// Show or set your receives against an opponent
#[derive(Debug, Args)]
#[command(
    args_conflicts_with_subcommands = true,
    after_help = "A receive is written as you would say it: wing, stroke, timing, amount of spin, \
        pace, with or against the spin, then `to` lane and depth (the opponent's own lanes), \
        or down the line or across. `secondball words receive` has the words.\n\n\
        Examples:\n\
        \x20 secondball plan north\n\
        \x20 secondball plan set north short-fh \\\n\
        \x20   \"forehand push on the rise, short to the middle\" \\\n\
        \x20   --why \"takes the first loop away\""
)]
pub struct PlanArguments {
    /// Set something; without it, the plan is shown
    #[command(subcommand)]
    what: Option<PlanCommand>,
    #[command(flatten)]
    whom: Whom,
    /// Also why, what comes back, and what a coach would object to
    #[arg(long)]
    why: bool,
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
    #[command(after_help = "Examples:\n\
            \x20 secondball plan set north short-fh \\\n\
            \x20   \"forehand push on the rise, short to the middle\"\n\
            \x20 secondball plan set north fast-wide-bh \\\n\
            \x20   backhand block down the line --why \"no time to swing\"")]
    Set {
        /// The opponent
        opponent: String,
        /// The serve, in its short word
        serve: String,
        #[command(flatten)]
        receive: SaidReceive,
    },
    /// Take the receive for a serve out of the plan
    #[command(after_help = "Examples:\n\
            \x20 secondball plan clear north short-fh\n\
            \x20 secondball plan clear north fast-wide-bh")]
    Clear {
        /// The opponent
        opponent: String,
        /// The serve, in its short word
        serve: String,
    },
    /// Set the safe receive, for anything unread or new, or for one kind of serve
    #[command(after_help = "Examples:\n\
            \x20 secondball plan safe north \"backhand push to middle long\"\n\
            \x20 secondball plan safe north --for fast \\\n\
            \x20   \"backhand block to middle long\"")]
    Safe {
        /// The opponent
        opponent: String,
        /// Only for serves that are short, half-long, long or fast
        #[arg(long = "for", value_name = "KIND")]
        kind: Option<SafeFor>,
        #[command(flatten)]
        receive: SaidReceive,
    },
    /// Add a switch by questions, or add and remove one by flags
    #[command(
        args_conflicts_with_subcommands = true,
        after_help = "Examples:\n\
            \x20 secondball plan switch north\n\
            \x20     asks for the serve, the new receive, a name, its cue\n\
            \x20 secondball plan switch add north \"deep push\" short-fh \\\n\
            \x20   \"forehand push heavy to backhand long\""
    )]
    Switch {
        /// Without it, questions are asked
        #[command(subcommand)]
        what: Option<SwitchCommand>,
        #[command(flatten)]
        whom: Whom,
    },
    /// Which receive to play against each serve, how sure that is, and why
    Advise(plan_advise::AdviseArguments),
    /// What a better receive is worth in matches
    Worth(plan_worth::WorthArguments),
}

/// What can be done with a switch: a named small difference from the plan, held in reserve.
#[derive(Debug, Subcommand)]
enum SwitchCommand {
    /// Add a switch, or one more change to it
    #[command(
        mut_arg("receive", |it| it.help("The new receive")),
        after_help = "Examples:\n\
            \x20 secondball plan switch add north \"deep push\" short-fh \\\n\
            \x20   \"forehand push heavy to backhand long\" \\\n\
            \x20   --cue \"steps in for the short one\"\n\
            \x20 secondball plan switch add north \"hit it\" fast-wide-bh \\\n\
            \x20   \"backhand drive to wide backhand long\""
    )]
    Add(SwitchAddArguments),
    /// Remove a switch; what was learnt of it is kept
    #[command(after_help = "Examples:\n\
            \x20 secondball plan switch remove north \"long push\"\n\
            \x20 secondball plan switch remove north across")]
    Remove {
        /// The opponent
        opponent: String,
        /// The switch's name
        name: String,
    },
}

/// A change of a switch.
#[derive(Debug, Args)]
struct SwitchAddArguments {
    /// The opponent
    opponent: String,
    /// The name you will call it by on the bench
    name: String,
    /// The serve whose receive changes
    serve: String,
    /// What you see that calls for it
    #[arg(long, visible_alias = "when", value_name = "WORDS")]
    cue: Option<String>,
    #[command(flatten)]
    receive: SaidReceive,
}

/// A receive, and what is written beside it.
#[derive(Debug, Args)]
struct SaidReceive {
    /// The receive
    #[arg(required = true, value_name = "RECEIVE")]
    receive: Vec<String>,
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

/// Runs the command.
///
/// # Errors
/// What is wrong with the request or the files, or the machine's own trouble.
pub fn run(arguments: &PlanArguments, desk: &Desk, world: &mut World<'_>) -> Result {
    match &arguments.what {
        None => show(arguments, desk, world),
        Some(PlanCommand::Choose(choose)) => choose::run(choose, desk, world),
        Some(PlanCommand::Set { opponent, serve, receive }) => {
            let (mut plan, id) = OpenPlan::read_for(desk, opponent, serve)?;
            let receive = receive.read(|words| plan.read_receive_for(&id, words))?;
            plan.set_receive(&id, &receive, world)
        }
        Some(PlanCommand::Clear { opponent, serve }) => clear_receive(opponent, serve, desk, world),
        Some(PlanCommand::Safe { opponent, kind, receive }) => {
            let mut plan = OpenPlan::read(desk, Some(opponent))?;
            let receive = receive.read(read_receive)?;
            plan.set_safe_for(*kind, &receive, world)?;
            plan.warn(None, &receive, world)
        }
        Some(PlanCommand::Switch { what, whom }) => match what {
            None => choose::switch(whom, desk, world),
            Some(SwitchCommand::Add(add)) => add_switch(add, desk, world),
            Some(SwitchCommand::Remove { opponent, name }) => {
                let mut plan = OpenPlan::read(desk, Some(opponent))?;
                let name = editing::remove_switch(&mut plan.deck, name)?;
                plan.save()?;
                Ok(writeln!(world.out, "switch {name} is removed; what was learnt of it is kept")?)
            }
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
    let seen = deck.seen_by(desk.player()?.hand);
    let bats = Bats::fly_twins(&seen, Some(desk.player()?), &own_table(desk)?.0);
    page.add_twins(&seen, &bats);
    page.add_table(dossier.deck, &dossier.home.at_table());
    world.print(&page, arguments.json, |page, width| page.text(arguments.why, width))?;
    if !arguments.json
        && !open_plan::say_what_is_open(&deck, dossier.stem, world)?
        && deck.safe_answers().next().is_none()
    {
        world.next(&format!("plan safe {} \"backhand push to middle long\"", dossier.stem))?;
    }
    Ok(())
}

impl SaidReceive {
    fn read(&self, read: impl Fn(&str) -> Result<Receive>) -> Result<Receive> {
        let receive = read(&self.receive.join(" "))?;
        let said = |words: &Option<String>, read: Option<String>| {
            let words = words.as_deref().map(text::one_line);
            words.filter(|words| !words.is_empty()).or(read)
        };
        Ok(Receive {
            why: said(&self.why, receive.why),
            expect: said(&self.expect, receive.expect),
            then: said(&self.then, receive.then),
            ..receive
        })
    }
}

fn clear_receive(opponent: &str, serve: &str, desk: &Desk, world: &mut World<'_>) -> Result {
    let (mut plan, id) = OpenPlan::read_for(desk, opponent, serve)?;
    if plan.deck.plan.remove(&id).is_none() {
        return Err(Failure::request(
            format!("{} has no receive", plan.called(&id)),
            format!("`secondball plan {}` shows what has", plan.stem),
        ));
    }
    plan.save()?;
    let called = plan.called(&id);
    Ok(writeln!(world.out, "{called} has no receive any more; what was learnt of it is kept")?)
}

fn add_switch(arguments: &SwitchAddArguments, desk: &Desk, world: &mut World<'_>) -> Result {
    let (mut plan, id) = OpenPlan::read_for(desk, &arguments.opponent, &arguments.serve)?;
    let receive = arguments.receive.read(|words| plan.read_change(&id, words))?;
    let old = plan.deck.plan.get(&id).map(Receive::shown);
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
        world.note("It has no cue yet: `--cue` says what you see that calls for it.", "  ")?;
    }
    for judged in receive::of_deck(&plan.deck) {
        let of_this = judged.path.starts_with(&["switches".to_owned(), name.clone()]);
        if of_this && judged.path.len() == 3 {
            world.tell([&judged.finding])?;
        }
    }
    plan.warn(Some(&id), &receive, world)
}

//! `plan`: which receive answers which serve, the safe one, and the switches held in reserve.

mod choose;

use clap::{Args, Subcommand};

use crate::base::text;
use crate::cli::due::Standing;
use crate::cli::whom::Whom;
use crate::cli::{Desk, Failure, World, plan_advise, plan_worth};
use crate::deck::{Deck, Player, advice, editing, written_out};
use crate::game::{Receive, Serve, ServeId};
use crate::store::Home;

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
pub fn run(arguments: &PlanArguments, desk: &Desk, world: &mut World<'_>) -> Result<(), Failure> {
    match &arguments.what {
        None => show(arguments, desk, world),
        Some(PlanCommand::Choose(choose)) => choose::run(choose, desk, world),
        Some(PlanCommand::Set(set)) => self::set(set, desk, world),
        Some(PlanCommand::Clear(clear)) => self::clear(clear, desk, world),
        Some(PlanCommand::Safe(safe)) => self::safe(safe, desk, world),
        Some(PlanCommand::Switch(switch)) => match &switch.what {
            None => choose::switch(switch.whom.opponent(), desk, world),
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

fn show(arguments: &PlanArguments, desk: &Desk, world: &mut World<'_>) -> Result<(), Failure> {
    let player = desk.player()?;
    let (stem, deck) = desk.opponent(arguments.whom.opponent())?;
    let mut page = crate::page::plan::plan(&deck, player);
    // Of every opponent: what the kinds of receive win is pooled over all of them.
    let board = desk.overview(world)?;
    let standing = Standing::of_board(&board);
    if let Some((history, lessons)) = standing.of(&stem)? {
        page.add_points(history, &lessons);
    }
    if arguments.json {
        writeln!(world.out, "{}", crate::page::json(&page))?;
        return Ok(());
    }
    write!(world.out, "{}", page.text(world.width))?;
    let open = page.open();
    if page.serves.is_empty() {
        writeln!(world.err, "Next: secondball scout add {stem}")?;
    } else if open > 0 {
        let open = text::count(open, "serve");
        writeln!(world.err, "{open} without a receive. Next: secondball plan choose {stem}")?;
    } else if page.safe.is_none() {
        writeln!(world.err, "Next: secondball plan safe {stem} \"backhand push to middle long\"")?;
    }
    Ok(())
}

/// Reads a receive as a person says it.
fn read_receive(given: &str) -> Result<Receive, Failure> {
    written_out(given).parse::<Receive>().map_err(|error| {
        let example = || "for example `forehand push early to middle short`".to_owned();
        Failure::request(error.to_string(), error.hint().unwrap_or_else(example))
    })
}

impl Words {
    fn write_into(&self, receive: &mut Receive) {
        let said = |words: &Option<String>| {
            words.as_deref().map(text::one_line).filter(|words| !words.is_empty())
        };
        receive.why = said(&self.why).or(receive.why.take());
        receive.expect = said(&self.expect).or(receive.expect.take());
        receive.then = said(&self.then).or(receive.then.take());
    }
}

/// The receive of the arguments with what is written beside it.
fn receive_of(words: &[String], beside: &Words) -> Result<Receive, Failure> {
    let mut receive = read_receive(&words.join(" "))?;
    beside.write_into(&mut receive);
    Ok(receive)
}

/// What a coach would object to, and what the repertoire does not hold.
fn warn(
    world: &mut World<'_>,
    player: &Player,
    serve: Option<&Serve>,
    receive: &Receive,
) -> Result<(), Failure> {
    if let Some(serve) = serve
        && let Some(objection) = advice::objection(serve, receive)
    {
        writeln!(world.err, "{}", objection.finding(&serve.id, receive.stroke).shown())?;
    }
    if receive.to.is_open() {
        writeln!(world.err, "It has no target yet: `to middle short` at its end gives it one.")?;
    }
    if !player.repertoire.is_empty() && player.of_ten(receive).is_none() {
        let said = format!(
            "A {} is not in your repertoire yet (player.ron): give it time at the table.",
            receive.stroke_shown()
        );
        writeln!(world.err, "{}", text::wrap(&said, world.width, "  "))?;
    }
    Ok(())
}

fn set(arguments: &SetArguments, desk: &Desk, world: &mut World<'_>) -> Result<(), Failure> {
    let home = desk.home()?;
    let player = desk.player()?;
    let (stem, mut deck) = desk.opponent(Some(&arguments.opponent))?;
    let id = editing::find_serve(&deck, &arguments.serve)?;
    let receive = receive_of(&arguments.receive, &arguments.words)?;
    write_receive(world, home, player, &stem, &mut deck, &id, &receive)
}

/// Sets, saves and says a receive.
fn write_receive(
    world: &mut World<'_>,
    home: &Home,
    player: &Player,
    stem: &str,
    deck: &mut Deck,
    id: &ServeId,
    receive: &Receive,
) -> Result<(), Failure> {
    let old = deck.plan.get(id).filter(|old| old.text() != receive.text()).map(Receive::shown);
    editing::set_receive(deck, id, receive.clone());
    home.save_deck(stem, deck)?;
    say(world, id.as_str(), receive)?;
    if let Some(old) = old {
        writeln!(world.err, "Before: {old}. What was learnt of it is kept.")?;
    }
    warn(world, player, deck.serve(id), receive)
}

/// `short-fh: forehand push, early, short to the middle`.
fn say(world: &mut World<'_>, name: &str, receive: &Receive) -> Result<(), Failure> {
    let said = format!("{name}: {}", receive.shown());
    writeln!(world.out, "{}", text::wrap(&said, world.width, "    "))?;
    Ok(())
}

fn clear(arguments: &ClearArguments, desk: &Desk, world: &mut World<'_>) -> Result<(), Failure> {
    let home = desk.home()?;
    let (stem, mut deck) = desk.opponent(Some(&arguments.opponent))?;
    let id = editing::find_serve(&deck, &arguments.serve)?;
    if deck.plan.remove(&id).is_none() {
        return Err(Failure::request(
            format!("`{id}` has no receive"),
            format!("`secondball plan {stem}` shows what has"),
        ));
    }
    home.save_deck(&stem, &deck)?;
    writeln!(world.out, "{id} has no receive any more; what was learnt of it is kept")?;
    Ok(())
}

fn safe(arguments: &SafeArguments, desk: &Desk, world: &mut World<'_>) -> Result<(), Failure> {
    let home = desk.home()?;
    let player = desk.player()?;
    let (stem, mut deck) = desk.opponent(Some(&arguments.opponent))?;
    let receive = receive_of(&arguments.receive, &arguments.words)?;
    editing::set_safe(&mut deck, receive.clone());
    home.save_deck(&stem, &deck)?;
    say(world, "safe", &receive)?;
    warn(world, player, None, &receive)
}

fn add_switch(
    arguments: &SwitchAddArguments,
    desk: &Desk,
    world: &mut World<'_>,
) -> Result<(), Failure> {
    let home = desk.home()?;
    let player = desk.player()?;
    let (stem, mut deck) = desk.opponent(Some(&arguments.opponent))?;
    let id = editing::find_serve(&deck, &arguments.serve)?;
    let receive = receive_of(&arguments.receive, &arguments.words)?;
    let cue = arguments.cue.as_deref();
    if deck.plan.get(&id).is_some_and(|old| old.text() == receive.text()) {
        return Err(Failure::request(
            format!("that is the receive `{id}` has in the plan already"),
            "a switch changes something: name another stroke, timing or target",
        ));
    }
    editing::add_to_switch(&mut deck, &arguments.name, cue, &id, receive.clone())?;
    home.save_deck(&stem, &deck)?;
    let name = text::one_line(&arguments.name);
    writeln!(world.out, "switch {name}")?;
    if let Some(old) = deck.plan.get(&id) {
        writeln!(
            world.out,
            "{}",
            text::wrap(&format!("  not {}", old.shown()), world.width, "      ")
        )?;
    }
    writeln!(
        world.out,
        "{}",
        text::wrap(&format!("  now {}", receive.shown()), world.width, "      ")
    )?;
    if deck.switch_called(&name).is_some_and(|switch| switch.cue.is_none()) {
        writeln!(world.err, "It has no cue yet: `--cue` says what you see that calls for it.")?;
    }
    for judged in advice::of_deck(&deck) {
        let of_this = judged.path.starts_with(&["switches".to_owned(), name.clone()]);
        if of_this && judged.path.len() == 3 {
            writeln!(world.err, "{}", judged.finding.shown())?;
        }
    }
    warn(world, player, deck.serve(&id), &receive)
}

fn remove_switch(
    arguments: &SwitchRemoveArguments,
    desk: &Desk,
    world: &mut World<'_>,
) -> Result<(), Failure> {
    let home = desk.home()?;
    let (stem, mut deck) = desk.opponent(Some(&arguments.opponent))?;
    let name = editing::remove_switch(&mut deck, &arguments.name)?;
    home.save_deck(&stem, &deck)?;
    writeln!(world.out, "switch {name} is removed; what was learnt of it is kept")?;
    Ok(())
}

//! `demo`: the whole job on an invented opponent, in a throw-away home.
//!
//! Every step is a command line a player could type; it is shown, and run by the same code. Where
//! there is no terminal (or with `--play-itself`) the drill is answered by a simulated player, and
//! says so.

use std::path::{Path, PathBuf};

use clap::Args;
use serde::Deserialize;

use crate::cli::{Failure, Result, World, prompt};
use crate::store::parse_ron;

/// Days from the first step to the event, which is today: what is kept of the demonstration lies
/// behind its reader.
const DAYS_TO_EVENT: u32 = 10;
/// Milliseconds in a day.
const DAY_MS: i64 = 86_400_000;

/// The files of the demonstration's home.
const FILES: [(&str, &str); 3] = [
    ("match.csv", include_str!("../../demo/match.csv")),
    ("player.ron", include_str!("../../demo/player.ron")),
    ("decks/left-hander-north-hall.ron", include_str!("../../demo/left-hander-north-hall.ron")),
];

/// What makes the home of a habit, and the drill of one who answers and of a simulated player.
const HABIT: [&str; 2] = [
    "init --name You --hand right",
    "scout \"Two pendulum serves\" --hand right --from-habit pendulum-pair --yes",
];
const HABIT_DRILL: (&str, &str) = ("drill two --minutes 1", "drill two --minutes 1 --simulated");

/// Watch the whole job on an invented opponent
#[derive(Debug, Args)]
#[command(after_help = "Examples:\n\
        \x20 secondball demo\n\
        \x20 secondball demo --habit\n\
        \x20 secondball demo --all --keep ./demo-home")]
pub struct DemoArguments {
    /// Drill one serve habit for a minute, with nothing to fill in
    #[arg(long, conflicts_with = "all")]
    pub habit: bool,
    /// Show everything that each command prints
    #[arg(long)]
    pub all: bool,
    /// Let the simulated player answer, also at a terminal
    #[arg(long)]
    pub play_itself: bool,
    /// Keep the home in this folder instead of a temporary one
    #[arg(long, value_name = "DIR")]
    pub keep: Option<PathBuf>,
}

/// What runs a command line: its words, the program's own name first.
pub type Runner = fn(&[String], &mut World<'_>) -> Result;

/// One step of `steps.ron`: what it is for, and the command lines that do it.
#[derive(Deserialize)]
struct DemoStep {
    title: String,
    why: String,
    /// How many days after the start of the demonstration it happens.
    day: u32,
    /// True where a player who answers goes on the same evening.
    #[serde(default)]
    is_same_evening: bool,
    /// True where only the simulated player has the patience.
    #[serde(default)]
    is_by_itself: bool,
    /// Each with the lines shown of what it prints.
    lines: Vec<(String, usize)>,
}

/// Runs the demonstration.
///
/// # Errors
/// [`Failure`] when a step fails, which would be a defect, or when the player leaves.
pub fn run(arguments: &DemoArguments, runner: Runner, world: &mut World<'_>) -> Result {
    let root = match &arguments.keep {
        Some(folder) => folder.clone(),
        None => crate::store::throw_away_folder()?,
    };
    if root.join("player.ron").exists() {
        let what = format!("there is a home already in `{}`", root.display());
        let hint = "name another folder; the demonstration never touches a real home";
        return Err(Failure::request(what, hint));
    }
    let plays_itself = arguments.play_itself || !world.is_terminal;
    if arguments.habit {
        return drill_habit(&root, plays_itself, runner, world);
    }
    crate::store::unpack(&root, &FILES)?;
    world.say(
        "Everything here is invented: the player, the opponent, the event. Each step shows the \
         command that does it and the beginning of what it prints; --all shows the rest.",
        "",
    )?;
    let ended = play(&root, plays_itself, arguments.all, runner, world);
    // Also for who leaves in the middle: what was played is theirs to look at.
    writeln!(world.out, "\nThe home of this demonstration, every file in it readable, is in")?;
    writeln!(world.out, "  {}", root.display())?;
    writeln!(world.out, "Now your own: secondball init")?;
    ended
}

/// Drills one habit in a throw-away home.
fn drill_habit(root: &Path, plays_itself: bool, runner: Runner, world: &mut World<'_>) -> Result {
    world.say(
        "Two serves that look alike, as a right-hander meets them from a right-hander. Nothing of \
         this is kept.",
        "",
    )?;
    let drill = if plays_itself { HABIT_DRILL.1 } else { HABIT_DRILL.0 };
    for (line, is_quiet) in HABIT.map(|line| (line, true)).into_iter().chain([(drill, false)]) {
        run_line((line, is_quiet), DAYS_TO_EVENT, root, plays_itself, runner, world)?;
    }
    Ok(writeln!(world.out, "Your own opponent: secondball init")?)
}

/// Plays every step.
fn play(
    root: &Path,
    plays_itself: bool,
    is_all: bool,
    runner: Runner,
    world: &mut World<'_>,
) -> Result {
    let today = world.now.day(4);
    let (drill, seed) = if plays_itself {
        // A seed with which the simulated player passes the gate of the switch round.
        (" --simulated --keep", " --seed 1")
    } else {
        ("", "")
    };
    let steps: Vec<DemoStep> = parse_ron("steps.ron", include_str!("../../demo/steps.ron"))?;
    let steps = steps.into_iter().filter(|step| plays_itself || !step.is_by_itself);
    for (step, number) in steps.zip(1..) {
        let ahead = if step.is_same_evening && !plays_itself { 0 } else { step.day };
        let day = today.minus(DAYS_TO_EVENT).plus(ahead);
        let (weekday, title) = (day.weekday(), step.title.to_uppercase());
        writeln!(world.out, "\n{number}. {title}, {weekday} {day}")?;
        world.say(&step.why, "")?;
        for (line, shown) in &step.lines {
            let line = line
                .replace("{today}", &today.to_string())
                .replace("{home}", &root.join("").display().to_string())
                .replace("{drill}", drill)
                .replace("{seed}", seed);
            writeln!(world.out, "$ secondball {line}")?;
            // Who answers sees the drill itself.
            let is_quiet = !is_all && (plays_itself || !line.starts_with("drill"));
            let line = (line.as_str(), is_quiet);
            let printed = run_line(line, ahead, root, plays_itself, runner, world)?;
            write!(world.out, "{}", first_lines(&printed, *shown))?;
        }
        if !plays_itself && !prompt::confirm("Go on?", true)? {
            break;
        }
    }
    Ok(())
}

/// The first lines of a text, so many, and a sign for the others.
fn first_lines(text: &str, most: usize) -> String {
    let lines: Vec<&str> = text.lines().filter(|line| !line.trim().is_empty()).collect();
    let shown = if lines.len() > most { most.saturating_sub(1) } else { lines.len() };
    let more = (shown < lines.len() && most > 0).then_some("  ...");
    lines[..shown].iter().copied().chain(more).flat_map(|line| [line, "\n"]).collect()
}

/// Runs one command line in the throw-away home, and gives what it printed where it is to be quiet.
fn run_line(
    (line, is_quiet): (&str, bool),
    day: u32,
    root: &Path,
    plays_itself: bool,
    runner: Runner,
    world: &mut World<'_>,
) -> Result<String> {
    let (mut printed, mut noted) = (Vec::new(), Vec::new());
    let ahead_ms = (i64::from(day) - i64::from(DAYS_TO_EVENT)) * DAY_MS;
    let clock = world.clock.ahead(ahead_ms);
    let mut inside = World {
        can_draw: world.can_draw,
        home_root: root.to_owned(),
        device_root: root.join("cache"),
        now: clock.now(),
        clock,
        seed: world.seed,
        asked_seed: Some(world.seed),
        out: if is_quiet { &mut printed } else { &mut *world.out },
        err: if is_quiet { &mut noted } else { &mut *world.err },
        input: &mut *world.input,
        is_terminal: world.is_terminal && !plays_itself,
        width: world.width,
        has_colour: world.has_colour,
        kept: 0,
    };
    // In double quotes stands one word.
    let words =
        line.split('"').zip([false, true].into_iter().cycle()).flat_map(|(part, is_one)| {
            if is_one { vec![part] } else { part.split_whitespace().collect() }
        });
    let words: Vec<String> =
        std::iter::once("secondball").chain(words).map(str::to_owned).collect();
    runner(&words, &mut inside)?;
    Ok(String::from_utf8_lossy(&printed).into_owned())
}

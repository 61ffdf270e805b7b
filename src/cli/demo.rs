//! `demo`: the whole job on an invented opponent, in a throw-away home.
//!
//! Every step is a command line a player could type; it is shown, and run by the same code. Where there is
//! no terminal (or with `--play-itself`) the drill is answered by a simulated player, and says so.

use std::path::{Path, PathBuf};

use clap::Args;

use crate::base::text;
use crate::cli::{Failure, World, ask};

/// Days from the first step to the event, which is today: what is kept of the demonstration lies behind its reader.
const DAYS_TO_EVENT: u32 = 10;
/// Milliseconds in a day.
const DAY_MS: i64 = 86_400_000;

/// Watch the whole job on an invented opponent
#[derive(Debug, Args)]
#[command(
    after_help = "Examples:\n  secondball demo\n  secondball demo --play-itself --keep ./demo-home"
)]
pub struct DemoArguments {
    /// Let the simulated player answer, also at a terminal
    #[arg(long)]
    pub play_itself: bool,
    /// Keep the home in this folder instead of a temporary one
    #[arg(long, value_name = "DIR")]
    pub keep: Option<PathBuf>,
}

/// What runs a command line: its words, the program's own name first.
pub type Runner = fn(&[String], &mut World<'_>) -> Result<(), Failure>;

/// One step: what it is for, and the command lines that do it.
struct Step {
    title: &'static str,
    why: &'static str,
    /// How many days after the start of the demonstration it happens.
    day: u32,
    lines: Vec<String>,
}

/// Runs the demonstration.
///
/// # Errors
/// [`Failure`] when a step fails, which would be a defect, or when the player leaves.
pub fn run(
    arguments: &DemoArguments,
    runner: Runner,
    world: &mut World<'_>,
) -> Result<(), Failure> {
    let root = match &arguments.keep {
        Some(folder) => folder.clone(),
        None => crate::store::throw_away_folder()?,
    };
    if root.join("player.ron").exists() {
        return Err(Failure::request(
            format!("there is a home already in `{}`", root.display()),
            "name another folder; the demonstration never touches a real home",
        ));
    }
    crate::store::unpack(&root, &files())?;
    let plays_itself = arguments.play_itself || !world.is_terminal;
    writeln!(
        world.out,
        "{}",
        text::wrap(
            "Everything here is invented: the player, the opponent, the event. Each step shows the \
             command that does it.",
            world.width,
            ""
        )
    )?;
    let ended = play(&root, plays_itself, runner, world);
    // Also for who leaves in the middle: what was played is theirs to look at.
    writeln!(world.out, "\nThe home of this demonstration, every file in it readable, is in\n")?;
    writeln!(world.out, "  {}\n", root.display())?;
    writeln!(world.out, "Now your own: secondball init")?;
    ended
}

/// Plays every step.
fn play(
    root: &Path,
    plays_itself: bool,
    runner: Runner,
    world: &mut World<'_>,
) -> Result<(), Failure> {
    for (number, step) in steps(world, root, plays_itself).into_iter().enumerate() {
        let day = world.now.day(4).minus(DAYS_TO_EVENT).plus(step.day);
        let (weekday, title) = (day.weekday(), step.title.to_uppercase());
        writeln!(world.out, "\n{}. {title}, {weekday} {day}", number + 1)?;
        writeln!(world.out, "{}", text::wrap(step.why, world.width, ""))?;
        for line in &step.lines {
            writeln!(world.out, "\n$ secondball {line}\n")?;
            run_line(line, step.day, root, plays_itself, runner, world)?;
        }
        if !plays_itself && !ask::confirm("Go on?", true)? {
            break;
        }
    }
    Ok(())
}

/// The files of the demonstration's home.
fn files() -> [(&'static str, &'static str); 3] {
    [
        ("match.csv", include_str!("../../demo/match.csv")),
        ("player.ron", include_str!("../../demo/player.ron")),
        ("decks/left-hander-north-hall.ron", include_str!("../../demo/left-hander-north-hall.ron")),
    ]
}

fn steps(world: &World<'_>, root: &Path, plays_itself: bool) -> Vec<Step> {
    let on = world.now.day(4);
    let file = |name: &str| root.join(name).display().to_string();
    let drill = if plays_itself { " --simulated --keep" } else { "" };
    let step = |day, title, why, lines: &[String]| Step { title, why, day, lines: lines.to_vec() };
    let mut steps = vec![
        step(
            0,
            "Scout",
            "What is known of the opponent: four serves, two of them with the same look.",
            &["scout show north".to_owned()],
        ),
        step(
            0,
            "Plan",
            "A receive for each serve, why, what comes back, and two switches held in reserve.",
            &[
                "plan north".to_owned(),
                format!("today --event \"Winter open (invented)={on}\" --against north"),
            ],
        ),
        step(
            0,
            "Drill",
            "One key in the time a real serve leaves. What counts is what was pressed and when.",
            &[format!("drill --opponent north --balls 16{drill}")],
        ),
    ];
    if plays_itself {
        steps.push(step(
            3,
            "Three evenings later",
            "Spaced, not crammed: a few minutes now hold longer than an hour at once.",
            &["drill --simulated --keep".to_owned()],
        ));
    }
    let day = if plays_itself { 6 } else { 0 };
    // A seed with which the simulated player passes the gate of the switch round.
    let seed = if plays_itself { " --seed 1" } else { "" };
    steps.extend([
        step(
            day,
            "Drill the switch",
            "One answer changes in the middle; the others must stay. Old answers and slips on kept \
             serves are told apart.",
            &[format!("drill --opponent north --switch \"long push\"{drill}{seed}")],
        ),
        step(
            day,
            "Rehearse",
            "The same serves at the table, for whatever throws them: here a programmable launcher, \
             and a friend who feeds.",
            &[
                format!(
                    "rehearse --opponent north --launcher per-ball --balls 60 --csv \"{}\"",
                    file("session.csv")
                ),
                "rehearse --opponent north --launcher feeder --balls 40".to_owned(),
            ],
        ),
        step(
            day,
            "Where you stand",
            "The forecast for match day, and the one thing to do next.",
            &["today".to_owned(), String::new()],
        ),
        step(
            DAYS_TO_EVENT - 1,
            "Play",
            "The evening before: one page for the bench, ordered by trouble.",
            &["sheet north".to_owned(), format!("sheet north --out \"{}\"", file("sheet.txt"))],
        ),
        step(
            DAYS_TO_EVENT,
            "After the match",
            "The points come back in, here from a file; then what was read, and which one answer to change.",
            &[
                format!("points north --csv \"{}\" --day {on}", file("match.csv")),
                "plan advise north".to_owned(),
            ],
        ),
    ]);
    steps
}

/// Runs one command line in the throw-away home.
fn run_line(
    line: &str,
    day: u32,
    root: &Path,
    plays_itself: bool,
    runner: Runner,
    world: &mut World<'_>,
) -> Result<(), Failure> {
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
        out: &mut *world.out,
        err: &mut *world.err,
        input: &mut *world.input,
        is_terminal: world.is_terminal && !plays_itself,
        width: world.width,
        has_colour: world.has_colour,
    };
    let words: Vec<String> = std::iter::once("secondball".to_owned()).chain(words(line)).collect();
    runner(&words, &mut inside)
}

/// Splits a command line at spaces outside double quotes.
fn words(line: &str) -> Vec<String> {
    let mut words = vec![String::new()];
    let mut is_quoted = false;
    for letter in line.chars() {
        match letter {
            '"' => is_quoted = !is_quoted,
            ' ' if !is_quoted => words.push(String::new()),
            other => {
                if let Some(word) = words.last_mut() {
                    word.push(other);
                }
            }
        }
    }
    words.retain(|word| !word.is_empty());
    words
}

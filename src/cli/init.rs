//! `init`: makes a home and the player file, by questions or by flags.

use clap::Args;

use crate::base::{Finding, Units, text};
use crate::cli::ask::{Asker, choices, prompt};
use crate::cli::{Desk, Failure, World};
use crate::deck::{Owned, Player};
use crate::game::{Grip, Hand, Receive};

/// Make a home and your player file
#[derive(Debug, Args)]
#[command(
    after_help = "Examples:\n  secondball init\n  secondball init --name Ines --hand left --minutes 15 \\\n    --own \"backhand banana flick=7\" --own \"forehand push=9\""
)]
pub struct InitArguments {
    /// Your name, as it will stand on sheets
    #[arg(long)]
    pub name: Option<String>,
    /// The hand that holds your bat: right or left
    #[arg(long)]
    pub hand: Option<Hand>,
    /// How you hold it: shakehand or penhold
    #[arg(long)]
    pub grip: Option<Grip>,
    /// What is on your bat
    #[arg(long)]
    pub rubbers: Option<String>,
    /// Minutes a day for the drill
    #[arg(long, allow_negative_numbers = true, value_parser = crate::cli::values::number)]
    pub minutes: Option<f64>,
    /// What you measure in: metric or imperial
    #[arg(long)]
    pub units: Option<Units>,
    /// A receive you own and how many of ten land: "backhand banana flick=7" (may be repeated)
    #[arg(long, value_name = "RECEIVE=OF_TEN")]
    pub own: Vec<String>,
}

/// Makes the home.
///
/// # Errors
/// [`Failure`] when there is one already, an answer cannot be right, or the disk refuses.
pub fn run(arguments: &InitArguments, desk: &Desk, world: &mut World<'_>) -> Result<(), Failure> {
    let home = desk.home_unchecked()?;
    let changes_only =
        arguments.name.is_none() && arguments.hand.is_none() && arguments.own.is_empty();
    let has_change = arguments.minutes.is_some()
        || arguments.units.is_some()
        || arguments.grip.is_some()
        || arguments.rubbers.is_some();
    if home.exists() && changes_only && has_change {
        return change(arguments, home, world);
    }
    if home.exists() {
        return Err(Failure::request(
            format!("there is a home already in `{}`", world.home_root.display()),
            "use it, name another folder with `--home DIR`, or change something in it: `secondball init --minutes 20`",
        ));
    }
    let asks = world.is_terminal && arguments.name.is_none() && arguments.hand.is_none();
    let mut asker = Asker::default();
    let (name, hand) = if asks {
        writeln!(world.err, "A home for your files in {}", world.home_root.display())?;
        writeln!(world.err, "A number, a word or its beginning answers.")?;
        let name = prompt("Your name, as it will stand on sheets", Some("Player"))?;
        (name, asked_hand(world, &mut asker)?)
    } else {
        let hand = arguments.hand.ok_or_else(|| {
            Failure::request(
                "which hand holds your bat?",
                "add `--hand right` or `--hand left`; without it lanes and breaks would be guesses",
            )
        })?;
        (arguments.name.clone().unwrap_or_else(|| "Player".to_owned()), hand)
    };
    let mut player = Player::new(text::one_line(&name), hand);
    player.grip = arguments.grip;
    player.rubbers.clone_from(&arguments.rubbers);
    player.units = arguments.units.unwrap_or(player.units);
    player.minutes_a_day = match arguments.minutes {
        Some(minutes) => minutes,
        None if asks => asked_minutes(world, &mut asker, player.minutes_a_day)?,
        None => player.minutes_a_day,
    };
    for own in &arguments.own {
        player.repertoire.push(owned(own)?);
    }
    let findings: Vec<Finding> =
        crate::deck::advice::of_player(&player).into_iter().map(|judged| judged.finding).collect();
    if !findings.is_empty() {
        return Err(Failure::Findings(findings));
    }
    home.create(&player)?;
    writeln!(world.out, "A home for {} in {}", player.name, world.home_root.display())?;
    writeln!(
        world.out,
        "Everything in it is text you may read and edit.\n`secondball check` looks it over."
    )?;
    writeln!(world.out, "Next: secondball scout \"the opponent you meet next\"")?;
    Ok(())
}

/// Changes what flags say of the player who is there already.
fn change(
    arguments: &InitArguments,
    home: &crate::store::Home,
    world: &mut World<'_>,
) -> Result<(), Failure> {
    let mut player = home.player()?;
    player.grip = arguments.grip.or(player.grip);
    player.rubbers = arguments.rubbers.clone().or(player.rubbers);
    player.units = arguments.units.unwrap_or(player.units);
    player.minutes_a_day = arguments.minutes.unwrap_or(player.minutes_a_day);
    let findings: Vec<Finding> =
        crate::deck::advice::of_player(&player).into_iter().map(|judged| judged.finding).collect();
    if !findings.is_empty() {
        return Err(Failure::Findings(findings));
    }
    home.save_player(&player)?;
    writeln!(world.out, "player.ron is changed; {} min a day", player.minutes_a_day)?;
    Ok(())
}

/// The bat's hand; there is no usual one, because every lane and break hangs on it.
fn asked_hand(world: &mut World<'_>, asker: &mut Asker) -> Result<Hand, Failure> {
    writeln!(world.err, "The hand that holds your bat")?;
    let why = "lanes and breaks hang on it";
    let chosen = asker.choose_needed(world, "your hand", &choices::<Hand>(), why)?;
    chosen.map(|place| Hand::ALL[place]).ok_or(Failure::Interrupted)
}

/// Minutes a day; Enter keeps the usual ones.
fn asked_minutes(world: &mut World<'_>, asker: &mut Asker, usual: f64) -> Result<f64, Failure> {
    let question = format!("Minutes a day for the drill (Enter: {usual})");
    loop {
        let Some(given) = asker.line(world, &question)? else { return Ok(usual) };
        let minutes = given.trim_end_matches("minutes").trim_end_matches("min").trim();
        match minutes.parse::<f64>().ok().and_then(|minutes| Player::MINUTES.check(minutes).ok()) {
            Some(minutes) => return Ok(minutes),
            None => writeln!(
                world.err,
                "    a number from {} to {}, for example 10",
                Player::MINUTES.least,
                Player::MINUTES.most
            )?,
        }
    }
}

/// Reads `backhand banana flick=7`.
pub(crate) fn owned(given: &str) -> Result<Owned, Failure> {
    let form = "write it as \"backhand banana flick=7\": wing, stroke, how many of ten land";
    let (receive, of_ten) = given
        .rsplit_once('=')
        .ok_or_else(|| Failure::request(format!("`{given}` has no number"), form))?;
    let receive =
        Receive::from_text(receive).map_err(|error| Failure::request(error.to_string(), form))?;
    let wing =
        receive.wing.ok_or_else(|| Failure::request(format!("`{given}` names no wing"), form))?;
    let of_ten =
        of_ten.trim().parse::<u8>().ok().filter(|of_ten| *of_ten <= 10).ok_or_else(|| {
            Failure::request(format!("`{}` is not a number from 0 to 10", of_ten.trim()), form)
        })?;
    Ok(Owned { wing, stroke: receive.stroke, of_ten })
}

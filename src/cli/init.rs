//! `init`: makes a home and the player file, by questions or by flags.

use clap::Args;

use crate::base::{Bound, Finding, Units, text};
use crate::cli::ask::Asker;
use crate::cli::{Desk, Failure, Result, World};
use crate::deck::{Owned, Player, ServeLine, advice};
use crate::game::{From, Grip, Hand, Receive, Serve};
use crate::store::Home;

/// Make a home and your player file
#[derive(Debug, Args)]
#[command(after_help = "Examples:\n\
        \x20 secondball init\n\
        \x20 secondball init --name Ines --hand left --minutes 15 \\\n\
        \x20   --own \"backhand banana flick=7\" \\\n\
        \x20   --own \"forehand push=9\"")]
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
    /// Where you stand to receive: backhand-corner, middle, forehand-corner
    #[arg(long, value_name = "PLACE")]
    pub stands: Option<From>,
    /// Whether you play your forehand from the backhand corner: true or false
    #[arg(long, value_name = "true|false")]
    pub steps_around: Option<bool>,
    /// Minutes a day for the drill
    #[arg(long, allow_negative_numbers = true, value_parser = crate::cli::values::number)]
    pub minutes: Option<f64>,
    /// What you measure in: metric or imperial
    #[arg(long)]
    pub units: Option<Units>,
    /// A receive you own and how many of ten land: "backhand banana flick=7"; against one kind of
    /// serve: "backhand push against short backspin=9" (may be repeated)
    #[arg(long, value_name = "RECEIVE=OF_TEN")]
    pub own: Vec<String>,
}

/// What a player is called who says no name.
const NAMELESS: &str = "Player";

/// Makes the home.
///
/// # Errors
/// [`Failure`] when there is one already, an answer cannot be right, or the disk refuses.
pub fn run(arguments: &InitArguments, desk: &Desk, world: &mut World<'_>) -> Result {
    let home = desk.home_unchecked()?;
    if home.exists() {
        return change(arguments, home, world);
    }
    let asks = world.is_terminal && arguments.name.is_none() && arguments.hand.is_none();
    let player = match arguments.hand {
        _ if asks => asked(arguments, world)?,
        Some(hand) => {
            Player::new(text::one_line(arguments.name.as_deref().unwrap_or(NAMELESS)), hand)
        }
        None => {
            return Err(Failure::request(
                "which hand holds your bat?",
                "add `--hand right` or `--hand left`; without it lanes and breaks would be guesses",
            ));
        }
    };
    let mut player = with_flags(player, arguments);
    player.repertoire = arguments.own.iter().map(|own| owned(own)).collect::<Result<_>>()?;
    refuse_mistakes(&player)?;
    home.create(&player)?;
    writeln!(world.out, "A home for {} in {}", player.name, world.home_root.display())?;
    writeln!(world.out, "Everything in it is text you may read and edit.")?;
    writeln!(world.out, "`secondball check` looks it over.")?;
    Ok(writeln!(world.out, "Next: secondball scout \"the opponent you meet next\"")?)
}

/// The player by questions.
fn asked(arguments: &InitArguments, world: &mut World<'_>) -> Result<Player> {
    writeln!(world.err, "A home for your files in {}", world.home_root.display())?;
    // There is no usual hand, because every lane and break hangs on it.
    Asker::needing("lanes and breaks hang on it").block(|asker| {
        let name = format!("Your name, as it will stand on sheets (Enter: {NAMELESS})");
        let name = asker.line(world, &name)?.unwrap_or_else(|| NAMELESS.to_owned());
        asker.say(
            world,
            "The hand that holds your bat; a number, a word or its beginning answers",
        )?;
        let hand = asker.word::<Hand>(world, "your hand", None)?.ok_or(Failure::Interrupted)?;
        let mut player = Player::new(name, hand);
        if arguments.minutes.is_none() {
            let question = format!("Minutes a day for the drill (Enter: {})", player.minutes_a_day);
            let minutes = asker.read(world, &question, read_minutes)?;
            player.minutes_a_day = minutes.unwrap_or(player.minutes_a_day);
        }
        Ok(player)
    })
}

/// The same player with what flags say beside name and hand.
fn with_flags(mut player: Player, arguments: &InitArguments) -> Player {
    player.grip = arguments.grip.or(player.grip);
    player.rubbers = arguments.rubbers.clone().or(player.rubbers);
    player.stands = arguments.stands.or(player.stands);
    player.steps_around = arguments.steps_around.or(player.steps_around);
    player.units = arguments.units.unwrap_or(player.units);
    player.minutes_a_day = arguments.minutes.unwrap_or(player.minutes_a_day);
    player
}

/// Refuses a player who cannot be right.
fn refuse_mistakes(player: &Player) -> Result {
    let findings: Vec<Finding> =
        advice::of_player(player).into_iter().map(|judged| judged.finding).collect();
    if findings.is_empty() { Ok(()) } else { Err(findings.into()) }
}

/// Changes what flags say of the player who is there already; a home is not made twice.
fn change(arguments: &InitArguments, home: &Home, world: &mut World<'_>) -> Result {
    let InitArguments { name, hand, grip, rubbers, stands, steps_around, minutes, units, own } =
        arguments;
    let is_new = name.is_some() || hand.is_some() || !own.is_empty();
    let is_change = minutes.is_some()
        || units.is_some()
        || grip.is_some()
        || rubbers.is_some()
        || stands.is_some()
        || steps_around.is_some();
    if is_new || !is_change {
        return Err(Failure::request(
            format!("there is a home already in `{}`", world.home_root.display()),
            "use it, name another folder with `--home DIR`, or change something in it: \
             `secondball init --minutes 20`",
        ));
    }
    let was = home.player()?;
    let player = with_flags(was.clone(), arguments);
    refuse_mistakes(&player)?;
    home.save_player(&was, &player)?;
    Ok(writeln!(world.out, "player.ron is changed; {} min a day", player.minutes_a_day)?)
}

/// Reads `10`, `10 min`.
fn read_minutes(given: &str) -> Result<f64, String> {
    let Bound { least, most, .. } = Player::MINUTES;
    let minutes = given.trim_end_matches("minutes").trim_end_matches("min").trim().parse().ok();
    let minutes = minutes.filter(|minutes| Player::MINUTES.check(*minutes).is_ok());
    minutes.ok_or_else(|| format!("a number from {least} to {most}, for example 10"))
}

/// Reads `backhand banana flick=7`.
pub(crate) fn owned(given: &str) -> Result<Owned> {
    let form = "write it as \"backhand banana flick=7\": wing, stroke, how many of ten land";
    let wrong = |what: String| Failure::request(what, form);
    let (receive, of_ten) =
        given.rsplit_once('=').ok_or_else(|| wrong(format!("`{given}` has no number")))?;
    let (receive, kind) = receive.split_once(" against ").unwrap_or((receive, ""));
    let mut serve = Serve::default();
    ServeLine::read(kind)?.write_into(&mut serve)?;
    let receive = Receive::from_text(receive).map_err(|error| wrong(error.what))?;
    let wing = receive.wing.ok_or_else(|| wrong(format!("`{given}` names no wing")))?;
    let number = of_ten.trim().parse::<u8>().ok().filter(|of_ten| *of_ten <= 10);
    let of_ten =
        number.ok_or_else(|| wrong(format!("`{}` is not a number from 0 to 10", of_ten.trim())))?;
    let of_all = Owned::new(wing, receive.stroke, of_ten);
    Ok(Owned { depth: serve.depth, spin: serve.spin, ..of_all })
}

//! `launcher trim`: five balls by eye, one notch at a time.

use clap::Args;

use super::choosing::{deck_and_table, find, own_stem};
use crate::base::text;
use crate::cli::ask::Asker;
use crate::cli::{Desk, Failure, World};
use crate::deck::editing::find_serve;
use crate::launcher::{DialSetting, KeptSetting, Launcher, Sight, Trim, TrimStep, aim_deck};
use crate::page;
use crate::page::launcher_by_eye::{last_words, set_by_eye};
use crate::page::launcher_trim::{StepWords, look_at_words};
use crate::page::launcher_words::{NoBallWords, set_up_words};

/// Trim one serve by eye: say what you saw, turn what it says, at most five balls
#[derive(Debug, Args)]
#[command(
    after_help = "Seen from behind the launcher: good, short, long, left, right, net, high.\n\n\
        Examples:\n\
        \x20 secondball launcher trim short-fh --launcher fixed\n\
        \x20 secondball launcher trim short-fh --launcher fixed \\\n\
        \x20   --seen long --seen net"
)]
pub struct TrimArguments {
    /// The serve, in its short word
    pub serve: String,
    /// The opponent: name or file; the only one when there is one
    #[arg(long, value_name = "NAME")]
    pub opponent: Option<String>,
    /// One of yours, or fixed, oscillating, per-ball
    #[arg(long, value_name = "NAME")]
    pub launcher: Option<String>,
    /// What was seen of each ball so far, in order; without it you are asked
    #[arg(long, value_name = "SEEN")]
    pub seen: Vec<Sight>,
    /// Print the steps as JSON; needs --seen
    #[arg(long, requires = "seen")]
    pub json: bool,
}

/// Trims.
///
/// # Errors
/// [`Failure`] when there is no such serve or launcher, or this launcher cannot throw it.
pub fn run(arguments: &TrimArguments, desk: &Desk, world: &mut World<'_>) -> Result<(), Failure> {
    let (deck, table, _) = deck_and_table(arguments.opponent.as_deref(), desk)?;
    let (launcher, today) = (find(arguments.launcher.as_deref(), desk, world)?, desk.today()?);
    let id = find_serve(&deck, &arguments.serve)?;
    let serve = deck.serve(&id).ok_or(Failure::Stopped)?;
    let aim = aim_deck(&launcher, &[serve], &table);
    let group = aim.groups.first();
    let Some((group, one)) = group.and_then(|group| Some((group, group.serves.first()?))) else {
        let cannot = aim.cannot.first().map(|cannot| NoBallWords::tell(&cannot.no_ball));
        let (why, nearest) = cannot.map(|no_ball| (no_ball.why, no_ball.nearest)).unzip();
        return Err(Failure::request(
            why.unwrap_or_else(|| "this launcher cannot throw it".to_owned()),
            nearest
                .flatten()
                .unwrap_or_else(|| "`secondball launcher aim` says what it can".to_owned()),
        ));
    };
    let found = |dials: &[DialSetting]| KeptSetting {
        deck: deck.key.clone(),
        serve: one.serve.clone(),
        on: today,
        ball: one.thrown,
        nozzle_m: one.ball.launch.outlet_m,
        on_chair: group.set_up.on_chair,
        dials: dials.to_vec(),
        aimed_deg: [one.ball.launch.elevation_deg, one.ball.launch.azimuth_deg],
        first_x_m: one.ball.outcome.first_bounce_m.map(|first| first[0]),
        lands_m: one.ball.outcome.bounce_m,
        next_x_m: one.ball.outcome.next_bounce_x_m,
    };
    let mut trim = Trim::new(&launcher, &one.ball, one.thrown.throw, &table.constants);
    if arguments.json {
        let see = |&seen| StepWords::tell(&trim.see(seen));
        let steps: Vec<StepWords> = arguments.seen.iter().map(see).collect();
        writeln!(world.out, "{}", page::json(&steps))?;
        if arguments.seen.contains(&Sight::Good) {
            let words = keep(&found(trim.dials()), &launcher, desk)?;
            world.note(&words, "  ")?;
        }
        return Ok(());
    }
    let (units, hang) = (desk.player()?.units, " ".repeat(9));
    world.say(&format!("stand    {}", set_up_words(&group.set_up, units)), &hang)?;
    for (label, words) in set_by_eye(&one.ball.settings, units) {
        world.say(&format!("{label:<9}{words}"), &hang)?;
    }
    let look = look_at_words(one.thrown.depth);
    world.say(&format!("Nobody in its line. Then {look}."), "")?;
    let mut given = arguments.seen.iter().copied();
    for number in 1.. {
        let is_asked = arguments.seen.is_empty();
        let mut asker = Asker::needing("what to turn hangs on it");
        let ball = format!("ball {number}");
        let seen = if is_asked { asker.word(world, &ball, None)? } else { given.next() };
        let Some(seen) = seen else { break };
        let step = trim.see(seen);
        let label = text::fit(&format!("{seen}:"), 15);
        let line = format!("{number}  {label}  {}", StepWords::tell(&step).line());
        world.say(&line, &" ".repeat(20))?;
        if matches!(step, TrimStep::Done { .. }) {
            let words = keep(&found(trim.dials()), &launcher, desk)?;
            return world.say(&words, "  ");
        }
        if !matches!(step, TrimStep::Turn(_)) {
            break;
        }
    }
    Ok(())
}

/// Keeps a setting with its launcher; says what came of it.
fn keep(found: &KeptSetting, launcher: &Launcher, desk: &Desk) -> Result<String, Failure> {
    let Some(stem) = own_stem(launcher, desk)? else {
        return Ok("not kept: this launcher is a shipped one; make your own with `secondball \
                   launcher add NAME`"
            .to_owned());
    };
    if found.dials.is_empty() {
        return Ok("not kept: this launcher has no knobs on file".to_owned());
    }
    let mut with = launcher.clone();
    with.keep(found.clone());
    desk.home()?.write_ron(&format!("launchers/{stem}.ron"), Some(launcher), &with)?;
    Ok(format!("kept: {}", last_words(found)))
}

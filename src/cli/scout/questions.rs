//! The questions about one serve: few, short, each left open with Enter.
//!
//! The answers become the same [`ServeLine`] that flags are read into, so both give the same serve.

use crate::base::text;
use crate::cli::ask::{Asker, choices};
use crate::cli::{Failure, World};
use crate::deck::{Deck, Part, ServeLine, editing};
use crate::game::{
    Depth, HowOften, Lane, MotionName, Pace, Serve, Side, Spin, SpinGuess, Stroke, UpOrDown,
    Weight, WeightName, YourBall, leaves_your_bat, usual_break,
};

/// A choice by its place, or words that stand for themselves.
enum Said {
    Place(usize),
    Words(String),
}

impl From<usize> for Said {
    fn from(place: usize) -> Self {
        Self::Place(place)
    }
}

/// Asks for one serve, once more from the first question as often as `<` is answered; none when
/// nothing at all was answered.
pub(crate) fn serve(
    asker: &mut Asker,
    world: &mut World<'_>,
    deck: &Deck,
) -> Result<Option<Serve>, Failure> {
    loop {
        let asked = once(asker, world, deck)?;
        if !asker.takes_again() {
            return Ok(asked);
        }
        writeln!(world.err, "  This serve once more, from its first question.")?;
    }
}

fn once(asker: &mut Asker, world: &mut World<'_>, deck: &Deck) -> Result<Option<Serve>, Failure> {
    let mut parts: Vec<(Part, String)> = Vec::new();
    let own = |given: &str| given.starts_with("own:").then(|| Said::Words(given.to_owned()));
    writeln!(world.err, "  The motion; `own: words` describes one without a name.")?;
    let motion = match asker.choose_or(world, "motion", &choices!(MotionName), own)? {
        Some(Said::Place(place)) => Some(MotionName::ALL[place].word().to_owned()),
        Some(Said::Words(words)) => Some(words),
        None => None,
    };
    parts.extend(motion.map(|motion| (Part::Motion, motion)));
    spin(asker, world, &mut parts)?;
    let depth = asker.choose(world, "depth", &choices!(Depth))?.map(|place| Depth::ALL[place]);
    parts.extend(depth.map(|depth| (Part::Depth, depth.word().to_owned())));
    let lane = asker.choose(world, "your lane", &choices!(Lane))?;
    parts.extend(lane.map(|place| (Part::Lane, Lane::ALL[place].word().to_owned())));
    if depth == Some(Depth::Long) {
        let pace = asker.choose(world, "pace", &choices!(Pace))?;
        parts.extend(pace.map(|place| (Part::Pace, Pace::ALL[place].word().to_owned())));
    }
    if parts.is_empty() {
        return Ok(None);
    }
    let often = ["often", "sometimes", "rarely"].map(str::to_owned);
    let share = |given: &str| {
        // A bare number is the place in the list; a share is written `40%` or `0.4`.
        let is_share = given.contains(['%', '.']) && given.parse::<HowOften>().is_ok();
        is_share.then(|| Said::Words(given.to_owned()))
    };
    match asker.choose_or(world, "how often", &often, share)? {
        Some(Said::Place(place)) => parts.push((Part::HowOften, often[place].clone())),
        Some(Said::Words(share)) => parts.push((Part::HowOften, share)),
        None => {}
    }
    let others: Vec<String> = deck.active().map(|serve| serve.id.to_string()).collect();
    if !others.is_empty() {
        let twin = asker.choose(world, "looks like", &others)?;
        parts.extend(twin.map(|place| (Part::LooksLike, others[place].clone())));
    }
    let mut serve =
        editing::serve_of_line(deck, &ServeLine::from_parts(parts)).map_err(Failure::Findings)?;
    name(asker, world, deck, &mut serve)?;
    Ok(Some(serve))
}

/// The spin, with its weight in front when it is known, or worked out from the receiver's own ball.
fn spin(
    asker: &mut Asker,
    world: &mut World<'_>,
    parts: &mut Vec<(Part, String)>,
) -> Result<(), Failure> {
    let mut spins = choices!(Spin);
    spins.push("work it out from what your ball did".to_owned());
    writeln!(world.err, "  The spin; `heavy backspin` says how much, too.")?;
    let weighted = |given: &str| {
        let (weight, spin) = given.split_once(' ')?;
        let is_both = weight.parse::<WeightName>().is_ok() && spin.parse::<Spin>().is_ok();
        is_both.then(|| Said::Words(given.to_owned()))
    };
    match asker.choose_or(world, "spin", &spins, weighted)? {
        None => {}
        Some(Said::Words(both)) => {
            if let Some((weight, spin)) = both.split_once(' ') {
                parts.push((Part::Spin, spin.to_owned()));
                parts.push((Part::Weight, weight.to_owned()));
            }
        }
        Some(Said::Place(place)) => {
            if let Some(spin) = Spin::ALL.get(place) {
                parts.push((Part::Spin, spin.word().to_owned()));
            } else if let Some(guess) = your_ball(asker, world)? {
                parts.push((Part::Spin, guess.spin.word().to_owned()));
                parts.extend(guess.weight.map(|w| (Part::Weight, w.word().to_owned())));
                parts.extend(guess.breaks.map(|b| (Part::Breaks, b.word().to_owned())));
                parts.push((Part::Sure, "guessed".to_owned()));
            } else {
                writeln!(
                    world.err,
                    "    the spin stays open; `secondball scout change --help` fills it in later"
                )?;
            }
        }
    }
    Ok(())
}

/// What did your ball do? The spin that speaks for, when the player takes it.
fn your_ball(asker: &mut Asker, world: &mut World<'_>) -> Result<Option<SpinGuess>, Failure> {
    writeln!(world.err, "  What did your ball do? All at once is fine: push, popped up, left")?;
    let whole = |given: &str| {
        let is_whole = given.contains(',');
        is_whole.then(|| given.parse::<YourBall>().ok()).flatten().map(Played::Ball)
    };
    let stroke = match asker.choose_or(world, "you played", &choices!(Stroke), whole)? {
        None => return Ok(None),
        Some(Played::Ball(ball)) => return taken(asker, world, &ball.suggests()),
        Some(Played::Stroke(place)) => place,
    };
    let went = asker.choose(world, "your ball", &choices!(UpOrDown))?;
    let jumped = asker.choose(world, "jumped to", &choices!(Side))?.map(|place| Side::ALL[place]);
    let ball = YourBall {
        stroke: Stroke::ALL[stroke],
        went: went.map_or(UpOrDown::AsMeant, |place| UpOrDown::ALL[place]),
        jumped,
    };
    if went.is_none() && jumped.is_none() {
        return Ok(None);
    }
    taken(asker, world, &ball.suggests())
}

/// The guess, when the player takes it.
fn taken(
    asker: &mut Asker,
    world: &mut World<'_>,
    guess: &SpinGuess,
) -> Result<Option<SpinGuess>, Failure> {
    tell_guess(world, guess)?;
    Ok(asker.yes(world, "  Write that down as a guess?", true)?.then(|| guess.clone()))
}

/// A stroke by its place, or all that the ball did.
enum Played {
    Stroke(usize),
    Ball(YourBall),
}

impl From<usize> for Played {
    fn from(place: usize) -> Self {
        Self::Stroke(place)
    }
}

/// Says which spin is suggested, and why.
pub(crate) fn tell_guess(world: &mut World<'_>, guess: &SpinGuess) -> Result<(), Failure> {
    let weight = guess.weight.map(|weight| format!("{weight} ")).unwrap_or_default();
    let said = format!("  Probably {weight}{}: {}.", guess.spin, guess.why);
    writeln!(world.err, "{}", text::wrap(&said, world.width, "  "))?;
    Ok(())
}

/// Puts a guess into a serve that does not know its spin.
pub(crate) fn fill_in_guess(serve: &mut Serve, guess: &SpinGuess) {
    serve.spin = Some(guess.spin);
    serve.weight = serve.weight.or_else(|| {
        guess.weight.map(|name| match name {
            WeightName::Light => Weight::Light,
            WeightName::Medium => Weight::Medium,
            WeightName::Heavy => Weight::Heavy,
        })
    });
    serve.breaks = serve.breaks.or(guess.breaks);
}

/// The name under which it is kept.
fn name(
    asker: &mut Asker,
    world: &mut World<'_>,
    deck: &Deck,
    serve: &mut Serve,
) -> Result<(), Failure> {
    loop {
        let question = format!("  short name (Enter: {})", serve.id);
        let Some(given) = asker.line(world, &question)? else { return Ok(()) };
        match given.to_lowercase().as_str() {
            "y" | "yes" => return Ok(()),
            "n" | "no" => {
                writeln!(world.err, "    then write the name")?;
                continue;
            }
            _ => {}
        }
        match given.parse() {
            Ok(id) if deck.serve_now_or_once(&id).is_some() => {
                writeln!(world.err, "    `{id}` is taken")?;
            }
            Ok(id) => {
                serve.id = id;
                return Ok(());
            }
            Err(error) => writeln!(world.err, "    {error}")?,
        }
    }
}

/// Fills in the break that motion and hand give, once it is confirmed; says so when what is written is
/// the other way round than usual.
pub(crate) fn settle_break(
    asker: &mut Asker,
    world: &mut World<'_>,
    deck: &Deck,
    serve: &mut Serve,
    is_confirmed: bool,
) -> Result<(), Failure> {
    let usual = serve.motion.as_ref().zip(deck.hand).and_then(|(m, hand)| usual_break(m, hand));
    if let (Some(written), Some(usual)) = (serve.breaks, usual)
        && written != usual
    {
        let motion = serve.motion.as_ref().map(ToString::to_string).unwrap_or_default();
        let said = format!(
            "  Mind: it breaks to your {written}, and their {motion} usually breaks to your \
             {usual}. Was it the reverse motion?"
        );
        writeln!(world.err, "{}", text::wrap(&said, world.width, "  "))?;
        return Ok(());
    }
    let Some(side) = editing::missing_break(deck, serve) else { return Ok(()) };
    let hand = deck.hand.map(|hand| format!("{}'s", hand.shown().replace("-handed", "-hander")));
    let does = if serve.spin == Some(Spin::Corkscrew) {
        format!("kicks to your {side} off the table")
    } else {
        format!("breaks to your {side} and leaves a quiet bat to your {}", leaves_your_bat(side))
    };
    let said = format!(
        "  A {} {} usually {does}.",
        hand.unwrap_or_default(),
        serve.motion.as_ref().map(ToString::to_string).unwrap_or_default(),
    );
    writeln!(world.err, "{}", text::wrap(&said, world.width, "  "))?;
    if is_confirmed || asker.yes(world, "  Did it?", true)? {
        serve.breaks = Some(side);
        return Ok(());
    }
    if asker.has_ended() {
        writeln!(world.err, "  Not written; `--yes` confirms it, or say `breaks={side}`.")?;
    } else {
        let other = asker.choose(world, "it broke to", &choices!(Side))?;
        serve.breaks = other.map(|place| Side::ALL[place]);
    }
    Ok(())
}

//! `scout add`, `change`, `retire`, `rename`: one serve at a time, by flags; `add` also by questions.

use clap::Args;

use crate::base::text;
use crate::cli::ask::Asker;
use crate::cli::scout::{ball, new, questions};
use crate::cli::{Desk, Failure, World};
use crate::deck::{Deck, Player, ServeLine, editing};
use crate::game::{Serve, ServeId};

/// Add a serve, by a line or by questions
#[derive(Debug, Args)]
#[command(
    after_help = "Parts: id, motion, spin, weight, breaks, from, lane, depth, pace, often, sure, \
                  scores, tells, toss, looks_like, last_seen, note. Lanes are your own.\n\n\
                  Examples:\n  secondball scout add Kim \"motion=reverse pendulum spin=side-backspin \
                  lane=forehand depth=short often=40%\" --yes\n  secondball scout add Kim \
                  \"motion=hook lane=elbow\" --ball \"push, popped up, left\""
)]
pub(crate) struct AddArguments {
    /// The opponent: file, name, or the beginning of either
    opponent: Option<String>,
    /// What is known, as `part=words`; without it, questions are asked
    #[arg(value_name = "PART=WORDS")]
    line: Vec<String>,
    /// What your own ball did, to suggest the spin
    #[arg(long, value_name = "WORDS")]
    ball: Option<String>,
    /// Confirm the break that follows from hand and motion
    #[arg(long)]
    yes: bool,
}

/// Change what is known of a serve
#[derive(Debug, Args)]
#[command(
    after_help = "Examples:\n  secondball scout change Kim short-fh \"weight=heavy sure=seen\"\n  \
                  secondball scout change Kim short-fh \"spin=? tells=drops the shoulder\""
)]
pub(crate) struct ChangeArguments {
    /// The opponent
    opponent: String,
    /// The serve's short name
    serve: String,
    /// What is different, as `part=words`; `part=?` makes it unknown
    #[arg(required = true, value_name = "PART=WORDS")]
    line: Vec<String>,
    /// Confirm the break that follows from hand and motion
    #[arg(long)]
    yes: bool,
}

/// A serve is no longer served (or again, with --back); its history is kept
#[derive(Debug, Args)]
#[command(
    after_help = "Examples:\n  secondball scout retire Kim short-fh\n  secondball scout retire Kim \
                  short-fh --back"
)]
pub(crate) struct RetireArguments {
    /// The opponent
    opponent: String,
    /// The serve's short name
    serve: String,
    /// It is served again
    #[arg(long)]
    back: bool,
}

/// Give a serve another short name; its history is kept
#[derive(Debug, Args)]
#[command(
    after_help = "Examples:\n  secondball scout rename Kim short-fh short-wide\n  secondball scout \
                  rename \"Left-hander, north hall\" serve half-long"
)]
pub(crate) struct RenameArguments {
    /// The opponent
    opponent: String,
    /// The short name it has
    old: String,
    /// The short name it gets
    new: String,
}

/// Reads a line of parts.
pub(crate) fn read_line(line: &str) -> Result<ServeLine, Failure> {
    ServeLine::read(line).map_err(Failure::Findings)
}

/// Adds the serve of a line to a deck that is not yet written.
pub(crate) fn add_line(
    world: &mut World<'_>,
    asker: &mut Asker,
    deck: &mut Deck,
    player: &Player,
    line: &str,
    ball: Option<&str>,
    yes: bool,
) -> Result<Serve, Failure> {
    let line = read_line(line)?;
    let mut serve = editing::serve_of_line(deck, &line).map_err(Failure::Findings)?;
    if let Some(words) = ball {
        let guess = ball::read(words)?.suggests();
        questions::tell_guess(world, &guess)?;
        if serve.spin.is_none() {
            questions::fill_in_guess(&mut serve, &guess);
            serve.sure.get_or_insert(crate::game::Sure::Guessed);
        } else if serve.spin != Some(guess.spin) {
            writeln!(world.err, "  You said another spin; yours is written.")?;
        }
    }
    settle(world, asker, deck, &mut serve, yes)?;
    refuse_same(deck, &serve, player)?;
    editing::add_serve(deck, &serve, player.hand)?;
    Ok(serve)
}

/// A serve of which the same is known is most likely the same line given twice.
pub(crate) fn refuse_same(deck: &Deck, serve: &Serve, player: &Player) -> Result<(), Failure> {
    match editing::same_serve(deck, serve, player.hand) {
        None => Ok(()),
        Some(other) => Err(Failure::request(
            format!("this is what `{}` is already; nothing was written", other.id),
            "say what is different, for example its depth, or change that one with `secondball scout change --help`",
        )),
    }
}

/// Settles the break; without a terminal nobody is asked, so that flags alone decide.
fn settle(
    world: &mut World<'_>,
    asker: &mut Asker,
    deck: &Deck,
    serve: &mut Serve,
    yes: bool,
) -> Result<(), Failure> {
    if world.is_terminal {
        questions::settle_break(asker, world, deck, serve, yes)
    } else {
        questions::settle_break(&mut Asker::silent(), world, deck, serve, yes)
    }
}

/// Adds a serve.
pub(crate) fn add(
    arguments: &AddArguments,
    desk: &Desk,
    world: &mut World<'_>,
) -> Result<(), Failure> {
    let home = desk.home()?;
    let player = desk.player()?;
    let mut asker = Asker::default();
    // `scout add "motion=hook"` with one opponent in the home: the line stands where the name would.
    let (named, line) = match &arguments.opponent {
        Some(first) if first.contains('=') => {
            (None, std::iter::once(first).chain(&arguments.line).cloned().collect::<Vec<_>>())
        }
        named => (named.as_deref(), arguments.line.clone()),
    };
    let (stem, mut deck) = desk.opponent(named)?;
    let serve = if line.is_empty() && arguments.ball.is_none() {
        let Some(mut serve) = questions::serve(&mut asker, world, &deck)? else {
            return Err(Failure::request(
                "nothing was said of the serve",
                "for example `secondball scout add \"motion=hook spin=dead depth=short\"`",
            ));
        };
        questions::settle_break(&mut asker, world, &deck, &mut serve, arguments.yes)?;
        refuse_same(&deck, &serve, player)?;
        editing::add_serve(&mut deck, &serve, player.hand)?;
        serve
    } else {
        let line = line.join(" ");
        let ball = arguments.ball.as_deref();
        add_line(world, &mut asker, &mut deck, player, &line, ball, arguments.yes)?
    };
    home.save_deck(&stem, &deck)?;
    new::tell(world, &serve)?;
    objections(world, &deck, &serve.id)?;
    writeln!(world.err, "Next: secondball plan choose {stem}")?;
    Ok(())
}

/// What a coach would object to in a serve and its receives.
fn objections(world: &mut World<'_>, deck: &Deck, id: &ServeId) -> Result<(), Failure> {
    for judged in crate::deck::advice::of_deck(deck) {
        if judged.path.iter().any(|name| name == id.as_str()) {
            writeln!(world.err, "{}", judged.finding.shown())?;
        }
    }
    Ok(())
}

/// Changes a serve.
pub(crate) fn change(
    arguments: &ChangeArguments,
    desk: &Desk,
    world: &mut World<'_>,
) -> Result<(), Failure> {
    let home = desk.home()?;
    let player = desk.player()?;
    let (stem, mut deck) = desk.opponent(Some(&arguments.opponent))?;
    let id = editing::find_serve(&deck, &arguments.serve)?;
    let line = read_line(&arguments.line.join(" "))?;
    editing::change_serve(&mut deck, &id, &line, player.hand).map_err(Failure::Findings)?;
    if let Some(place) = deck.serves.iter().position(|serve| serve.id == id) {
        let mut serve = deck.serves[place].clone();
        let touches_break =
            [crate::deck::Part::Breaks, crate::deck::Part::Motion, crate::deck::Part::Spin]
                .into_iter()
                .any(|part| line.get(part).is_some());
        if touches_break {
            settle(world, &mut Asker::default(), &deck, &mut serve, arguments.yes)?;
        }
        deck.serves[place] = serve;
    }
    home.save_deck(&stem, &deck)?;
    if let Some(serve) = deck.seen_by(player.hand).serve(&id) {
        new::tell(world, serve)?;
    }
    objections(world, &deck, &id)
}

/// Retires a serve or brings it back.
pub(crate) fn retire(
    arguments: &RetireArguments,
    desk: &Desk,
    world: &mut World<'_>,
) -> Result<(), Failure> {
    let home = desk.home()?;
    let (stem, mut deck) = desk.opponent(Some(&arguments.opponent))?;
    let id = editing::find_serve(&deck, &arguments.serve)?;
    editing::retire_serve(&mut deck, &id, !arguments.back)?;
    home.save_deck(&stem, &deck)?;
    let left = text::count(deck.active().count(), "serve");
    if arguments.back {
        writeln!(world.out, "{id} is back; {} has {left}", text::one_line(&deck.opponent))?;
    } else {
        writeln!(world.out, "{id} is retired; {} has {left} left", text::one_line(&deck.opponent))?;
        writeln!(
            world.err,
            "Its history is kept: `secondball scout retire {stem} {id} --back` undoes it."
        )?;
    }
    Ok(())
}

/// Renames a serve.
pub(crate) fn rename(
    arguments: &RenameArguments,
    desk: &Desk,
    world: &mut World<'_>,
) -> Result<(), Failure> {
    let home = desk.home()?;
    let (stem, mut deck) = desk.opponent(Some(&arguments.opponent))?;
    let old = editing::find_serve(&deck, &arguments.old)?;
    let new: ServeId = arguments.new.parse().map_err(|error: crate::game::BadServeId| {
        Failure::request(error.to_string(), format!("write `{}`", error.suggested))
    })?;
    editing::rename_serve(&mut deck, &old, &new)?;
    home.save_deck(&stem, &deck)?;
    writeln!(world.out, "{old} is now {new}; what was learnt under the old name stays with it")?;
    Ok(())
}

//! `scout count`: serves counted as they are watched, one key each; then their shares, if wanted.
//!
//! Every key is on disk before the next one. In a terminal one press is enough; without one, lines of the
//! same keys.

use clap::Args;
use ratatui_crossterm::crossterm::event::KeyCode;

use crate::base::{Moment, text};
use crate::cli::ask::Asker;
use crate::cli::raw_terminal::RawTerminal;
use crate::cli::scout::{as_watched, in_points, times_seen};
use crate::cli::whom::Whom;
use crate::cli::{Desk, Failure, World};
use crate::deck::Deck;
use crate::game::{HowOften, ServeId, Sure};
use crate::journal::{EventId, Fact, Seen};
use crate::store::Writer;

/// The keys of the serves, in the order of the deck.
const KEYS: &str = "123456789abcdefghijklmop";

/// Fewest serves counted before a share says anything.
const FEWEST: u32 = 8;

/// Count serves as you watch, one key each
#[derive(Debug, Args)]
#[command(
    after_help = "Examples:\n  secondball scout count Kim\n  echo 1121311 | secondball scout count Kim \
                  --write\n  secondball scout count Kim --points --write"
)]
pub(crate) struct CountArguments {
    #[command(flatten)]
    whom: Whom,
    /// Count the serves of the recorded points instead of keys
    #[arg(long)]
    points: bool,
    /// Write the shares into the deck without asking
    #[arg(long)]
    write: bool,
}

/// What a key means.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Press {
    /// The serve in this place.
    Serve(usize),
    /// A serve that is not in the deck.
    New,
    /// The last one was wrong.
    Undo,
    /// Enough.
    End,
    /// Nothing.
    Nothing,
}

/// One counted serve: its place, or none for a new one, and the fact that says so.
type Counted = (Option<usize>, Option<EventId>);

/// The count as it grows.
struct Count {
    deck: Deck,
    ids: Vec<ServeId>,
    counted: Vec<Counted>,
}

impl Count {
    fn meaning(&self, key: char) -> Press {
        match key.to_ascii_lowercase() {
            'u' => Press::Undo,
            'n' | '?' => Press::New,
            'q' => Press::End,
            key => match KEYS.find(key).filter(|place| *place < self.ids.len()) {
                Some(place) => Press::Serve(place),
                None => Press::Nothing,
            },
        }
    }

    /// Does what a key says; the words to show for it.
    fn press(
        &mut self,
        press: Press,
        writer: &mut Writer,
        at: Moment,
        day: crate::base::Day,
    ) -> Result<String, Failure> {
        Ok(match press {
            Press::Serve(place) => {
                let fact = Fact::Seen(Seen {
                    deck: self.deck.key.clone(),
                    serve: self.ids[place].clone(),
                    times: 1,
                });
                let id = writer.append(at, day, fact)?;
                self.counted.push((Some(place), Some(id)));
                self.ids[place].to_string()
            }
            Press::New => {
                self.counted.push((None, None));
                "a new one".to_owned()
            }
            Press::Undo => match self.counted.pop() {
                Some((place, id)) => {
                    if let Some(of) = id {
                        writer.append(at, day, Fact::Undo { of })?;
                    }
                    let name = place.map_or("a new one", |place| self.ids[place].as_str());
                    format!("taken back: {name}")
                }
                None => "nothing to take back".to_owned(),
            },
            Press::End | Press::Nothing => String::new(),
        })
    }

    /// `12 counted: 1 in-short 7, 2 out-short 5`.
    fn line(&self, last: &str) -> String {
        let tally: Vec<_> = self
            .ids
            .iter()
            .enumerate()
            .map(|(place, _)| format!("{}:{}", key(place), self.times(Some(place))))
            .collect();
        let new = self.times(None);
        let new = if new > 0 { format!("  n:{new}") } else { String::new() };
        format!("{} counted  {}{new}  {last}", self.counted.len(), tally.join(" "))
    }

    fn times(&self, place: Option<usize>) -> usize {
        self.counted.iter().filter(|(counted, _)| *counted == place).count()
    }
}

/// The key of the serve in this place.
fn key(place: usize) -> char {
    KEYS.chars().nth(place).unwrap_or(' ')
}

/// Counts, then offers the shares.
pub(crate) fn run(
    arguments: &CountArguments,
    desk: &Desk,
    world: &mut World<'_>,
) -> Result<(), Failure> {
    let home = desk.home()?;
    let player = desk.player()?;
    let (stem, deck) = desk.opponent(arguments.whom.opponent())?;
    let ids: Vec<ServeId> = deck.active().take(KEYS.len()).map(|serve| serve.id.clone()).collect();
    if ids.is_empty() {
        return Err(Failure::request(
            format!("{} has no serves to count", text::one_line(&deck.opponent)),
            "`secondball scout add` writes the first one down",
        ));
    }
    let day = desk.today()?;
    if arguments.points {
        let count = Count { deck, ids, counted: Vec::new() };
        return ended(arguments, desk, world, home, &stem, &count);
    }
    let mut writer = home.writer(world.now, day)?;
    for serve in deck.seen_by(player.hand).active().take(ids.len()) {
        let place = ids.iter().position(|id| *id == serve.id).unwrap_or_default();
        let said =
            format!("  {}  {}  {}", key(place), text::fit(serve.id.as_str(), 20), serve.shown());
        writeln!(world.err, "{}", text::wrap(&said, world.width, &" ".repeat(27)))?;
    }
    writeln!(world.err, "  n  one that is not here    u  take back    q  end")?;
    let mut count = Count { deck, ids, counted: Vec::new() };
    if world.is_terminal {
        keys(world, &mut count, &mut writer, day)?;
    } else {
        lines(world, &mut count, &mut writer, day)?;
    }
    drop(writer);
    ended(arguments, desk, world, home, &stem, &count)
}

/// One press each.
fn keys(
    world: &mut World<'_>,
    count: &mut Count,
    writer: &mut Writer,
    day: crate::base::Day,
) -> Result<(), Failure> {
    let raw = RawTerminal::take()?;
    let mut last = String::new();
    let ended = loop {
        write!(world.err, "\r{}", text::fit(&count.line(&last), world.width - 1))?;
        world.err.flush()?;
        let press = match raw.press() {
            Err(failure) => break Err(failure),
            Ok(KeyCode::Char(letter)) => count.meaning(letter),
            Ok(KeyCode::Backspace) => Press::Undo,
            Ok(KeyCode::Enter | KeyCode::Esc) => Press::End,
            Ok(_) => Press::Nothing,
        };
        if press == Press::End {
            break Ok(());
        }
        last = count.press(press, writer, world.clock.now(), day)?;
    };
    drop(raw);
    writeln!(world.err)?;
    ended
}

/// Lines of keys, or of short names.
fn lines(
    world: &mut World<'_>,
    count: &mut Count,
    writer: &mut Writer,
    day: crate::base::Day,
) -> Result<(), Failure> {
    let mut line = String::new();
    loop {
        if !world.read_line(&mut line)? {
            return Ok(());
        }
        let words = line.trim();
        let named = count.ids.iter().position(|id| id.as_str() == words).map(Press::Serve);
        let presses: Vec<Press> = match named {
            Some(press) => vec![press],
            None => words.chars().map(|key| count.meaning(key)).collect(),
        };
        for press in presses {
            if press == Press::End {
                return Ok(());
            }
            count.press(press, writer, world.clock.now(), day)?;
        }
    }
}

/// The result, and the shares over everything counted so far.
fn ended(
    arguments: &CountArguments,
    desk: &Desk,
    world: &mut World<'_>,
    home: &crate::store::Home,
    stem: &str,
    count: &Count,
) -> Result<(), Failure> {
    let mut deck = count.deck.clone();
    let day = desk.today()?;
    let counted = if arguments.points { in_points } else { as_watched };
    let seen = times_seen(desk, &deck, counted)?;
    let times = |id: &ServeId| seen.get(id.as_str()).copied().unwrap_or(0);
    let total: u32 = count.ids.iter().map(times).sum();
    if arguments.points {
        writeln!(world.out, "{} in the recorded points", text::count(total as usize, "serve"))?;
    } else {
        writeln!(world.out, "{}", text::count(count.counted.len(), "serve"))?;
    }
    for (place, id) in count.ids.iter().enumerate() {
        let share = f64::from(times(id)) / f64::from(total.max(1));
        let now = count.times(Some(place));
        let now = if arguments.points { String::new() } else { format!("{now:>3} now  ") };
        writeln!(
            world.out,
            "  {}  {now}{:>4} in all  {:>3.0} %",
            text::fit(id.as_str(), 24),
            times(id),
            share * 100.0
        )?;
    }
    let new = count.times(None);
    if new > 0 {
        writeln!(world.out, "  {}  {new:>3} now", text::fit("not in the deck", 24))?;
        writeln!(world.err, "Write the new one down: secondball scout add {stem}")?;
    }
    if total < FEWEST {
        writeln!(world.err, "Fewer than {FEWEST} in all: too few for shares.")?;
        return Ok(());
    }
    let question = format!("Write these shares of {total} serves into the deck?");
    // Without a terminal the input was the count itself; only the flag can say yes.
    let is_wanted =
        arguments.write || (world.is_terminal && Asker::default().yes(world, &question, true)?);
    if !is_wanted {
        writeln!(world.err, "The count is kept; `--write` puts the shares into the deck.")?;
        return Ok(());
    }
    for serve in &mut deck.serves {
        if !count.ids.contains(&serve.id) {
            continue;
        }
        let times = seen.get(serve.id.as_str()).copied().unwrap_or(0);
        // Two digits: no count at a hall is better than that.
        let share = (f64::from(times) / f64::from(total) * 100.0).round() / 100.0;
        serve.how_often = Some(HowOften::Share(share));
        if times > 0 {
            serve.sure = Some(Sure::Seen);
        }
        let place = count.ids.iter().position(|id| *id == serve.id);
        if count.times(place) > 0 {
            serve.last_seen = Some(day);
        }
    }
    home.save_deck(stem, &deck)?;
    writeln!(world.out, "shares written into decks/{stem}.ron")?;
    Ok(())
}

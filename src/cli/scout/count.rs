//! `scout count`: serves counted as they are watched, one key each; then their shares, if wanted.
//!
//! Every key is on disk before the next one. In a terminal one press is enough; without one, lines
//! of the same keys.

use std::collections::BTreeMap;

use clap::Args;
use ratatui_crossterm::crossterm::event::KeyCode;

use crate::base::{Day, text};
use crate::cli::raw_terminal::RawTerminal;
use crate::cli::scout::scouting::Scouting;
use crate::cli::whom::Whom;
use crate::cli::{Desk, Failure, Result, World};
use crate::deck::Deck;
use crate::game::{HowOften, ServeId, Sure};
use crate::journal::{EventId, Fact, Seen};
use crate::page::scouted::TimesSeen;

/// The keys of the serves, in the order of the deck.
const KEYS: &str = "123456789abcdefghijklmop";

/// Fewest serves counted before a share says anything.
const FEWEST: u32 = 8;

/// Count serves as you watch, one key each
#[derive(Debug, Args)]
#[command(after_help = "Examples:\n\
        \x20 secondball scout count north\n\
        \x20 echo 1121311 | secondball scout count north --write\n\
        \x20 secondball scout count north --points --write")]
pub struct CountArguments {
    #[command(flatten)]
    whom: Whom,
    /// Count the serves of the recorded points instead of keys
    #[arg(long)]
    points: bool,
    /// Write the shares into the deck without asking
    #[arg(long)]
    write: bool,
}

/// The count as it grows.
struct ServeCount<'r, 'w> {
    scouting: Scouting<'r, 'w>,
    today: Day,
    ids: Vec<ServeId>,
    counted: Vec<Counted>,
}

/// The place of a counted serve and the fact that says so; none for one that is not in the deck.
type Counted = Option<(usize, EventId)>;

/// The key of the serve in this place.
fn key(place: usize) -> char {
    KEYS.chars().nth(place).unwrap_or(' ')
}

/// What counts a serve.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Counting {
    Watched,
    InPoints,
}

/// How many times each serve was counted.
pub fn times_seen(desk: &Desk, deck: &Deck, by: Counting) -> Result<TimesSeen> {
    let mut seen = TimesSeen::new();
    for event in &desk.journal()?.events {
        match &event.fact {
            Fact::Seen(one) if by == Counting::Watched && one.deck == deck.key => {
                add(&mut seen, deck, &one.serve, one.times);
            }
            Fact::Point(point) if by == Counting::InPoints && point.deck == deck.key => {
                point.serve.iter().for_each(|serve| add(&mut seen, deck, serve, 1));
            }
            _ => {}
        }
    }
    Ok(seen)
}

/// How many clips of each serve the player keeps, by the device that has them.
pub fn film_seen(desk: &Desk, deck: &Deck) -> Result<BTreeMap<String, TimesSeen>> {
    let mut film: BTreeMap<String, TimesSeen> = BTreeMap::new();
    for event in &desk.journal()?.events {
        let Fact::Seen(seen) = &event.fact else { continue };
        if seen.film && seen.deck == deck.key {
            let device = seen.on.clone().unwrap_or_else(|| "a phone".to_owned());
            add(film.entry(device).or_default(), deck, &seen.serve, seen.times);
        }
    }
    Ok(film)
}

fn add(seen: &mut TimesSeen, deck: &Deck, serve: &ServeId, times: u32) {
    if let Some(serve) = deck.serve_now_or_once(serve) {
        let sum = seen.entry(serve.id.clone()).or_default();
        // Far more than anybody counts, and far below what a sum of all serves holds.
        *sum = (*sum + times).min(1_000_000);
    }
}

/// Counts, then offers the shares.
pub fn run(arguments: &CountArguments, desk: &Desk, world: &mut World<'_>) -> Result {
    let scouting = Scouting::find(desk, world, arguments.whom.opponent())?;
    let active = scouting.deck.active().take(KEYS.len());
    let ids: Vec<ServeId> = active.map(|serve| serve.id.clone()).collect();
    if ids.is_empty() {
        let what = format!("{} has no serves to count", text::one_line(&scouting.deck.opponent));
        return Err(Failure::request(what, "`secondball scout add` writes the first one down"));
    }
    let mut count = ServeCount { scouting, today: desk.today()?, ids, counted: Vec::new() };
    if !arguments.points {
        count.watch()?;
    }
    let by = if arguments.points { Counting::InPoints } else { Counting::Watched };
    let seen = times_seen(desk, &count.scouting.deck, by)?;
    let seen = count.ids.iter().map(|id| seen.get(id).copied().unwrap_or(0));
    let seen: Vec<u32> = seen.collect();
    count.tell(&seen, arguments.points)?;
    count.offer_shares(&seen, arguments.write)
}

/// All serves counted.
fn sum(seen: &[u32]) -> u32 {
    seen.iter().copied().fold(0, u32::saturating_add)
}

/// How often the serve in this place was counted now, or those not in the deck.
fn times_now(counted: &[Counted], place: Option<usize>) -> usize {
    let places = counted.iter().map(|one| one.as_ref().map(|(place, _)| *place));
    places.filter(|counted| *counted == place).count()
}

impl ServeCount<'_, '_> {
    /// Counts until the end is said.
    fn watch(&mut self) -> Result {
        let Scouting { home, player, deck, world, .. } = &mut self.scouting;
        // What would keep the count from being kept is said before the first.
        world.tell(home.writer(world.now, self.today)?.findings())?;
        for (place, serve) in deck.seen_by(player.hand).active().take(KEYS.len()).enumerate() {
            let name = text::fit(&deck.seen_by(player.hand).called(&serve.id), 20);
            let said = format!("  {}  {name}  {}", key(place), serve.shown());
            world.note(&said, &" ".repeat(27))?;
        }
        writeln!(world.err, "  n  one that is not here    u  take back    q  end")?;
        if world.is_terminal { self.read_keys() } else { self.read_lines() }
    }

    /// Writes a fact; it is on the disk then, in the file that is there now.
    fn append(&self, fact: Fact) -> Result<EventId> {
        let Scouting { home, world, .. } = &self.scouting;
        let now = world.clock.now();
        Ok(home.writer(now, self.today)?.append(now, self.today, fact)?)
    }

    /// Does what a key says; the words to show for it, none at the end.
    fn press(&mut self, key: char) -> Result<Option<String>> {
        Ok(Some(match key.to_ascii_lowercase() {
            'q' => return Ok(None),
            'n' | '?' => {
                self.counted.push(None);
                "a new one".to_owned()
            }
            'u' => match self.counted.pop() {
                None => "nothing to take back".to_owned(),
                Some(None) => "taken back: a new one".to_owned(),
                Some(Some((place, of))) => {
                    self.append(Fact::undo(of))?;
                    format!("taken back: {}", self.scouting.seen().called(&self.ids[place]))
                }
            },
            key => match KEYS.find(key).filter(|place| *place < self.ids.len()) {
                None => String::new(),
                Some(place) => {
                    let (deck, serve) = (self.scouting.deck.key.clone(), self.ids[place].clone());
                    let fact = Fact::Seen(Seen::once(deck, serve));
                    let id = self.append(fact)?;
                    self.counted.push(Some((place, id)));
                    self.scouting.seen().called(&self.ids[place])
                }
            },
        }))
    }

    /// One press each.
    fn read_keys(&mut self) -> Result {
        let raw = RawTerminal::take()?;
        let mut last = String::new();
        let ended = loop {
            let line = text::fit(&self.line(&last), self.scouting.world.width - 1);
            write!(self.scouting.world.err, "\r{line}")?;
            self.scouting.world.err.flush()?;
            let key = match raw.press() {
                Err(failure) => break Err(failure),
                Ok(KeyCode::Char(letter)) => letter,
                Ok(KeyCode::Backspace) => 'u',
                Ok(KeyCode::Enter | KeyCode::Esc) => 'q',
                Ok(_) => ' ',
            };
            match self.press(key)? {
                Some(words) => last = words,
                None => break Ok(()),
            }
        };
        drop(raw);
        writeln!(self.scouting.world.err)?;
        ended
    }

    /// Lines of keys, or of short names.
    fn read_lines(&mut self) -> Result {
        let mut line = String::new();
        while self.scouting.world.read_line(&mut line)? {
            let typed = line.trim().to_owned();
            let seen = self.scouting.seen();
            let said = |id: &ServeId| [id.to_string(), seen.called(id)].contains(&typed);
            let named = self.ids.iter().position(said);
            let keys = named.map_or(typed.clone(), |place| key(place).to_string());
            for key in keys.chars() {
                if self.press(key)?.is_none() {
                    return Ok(());
                }
            }
        }
        Ok(())
    }

    /// `12 counted  1:7 2:5  n:1  in-short`.
    fn line(&self, last: &str) -> String {
        let times = |place| times_now(&self.counted, place);
        let tally =
            (0..self.ids.len()).map(|place| format!("{}:{}", key(place), times(Some(place))));
        let tally: Vec<_> = tally.collect();
        let new = times(None);
        let new = if new > 0 { format!("  n:{new}") } else { String::new() };
        format!("{} counted  {}{new}  {last}", self.counted.len(), tally.join(" "))
    }

    /// The result over everything counted so far.
    fn tell(&mut self, seen: &[u32], by_points: bool) -> Result {
        let deck = self.scouting.seen();
        let Self { scouting: Scouting { world, stem, .. }, ids, counted, .. } = self;
        let total = sum(seen);
        let (number, behind) = if by_points {
            (total as usize, " in the recorded points")
        } else {
            (counted.len(), "")
        };
        writeln!(world.out, "{}{behind}", text::count(number, "serve"))?;
        for (place, (id, times)) in ids.iter().zip(seen).enumerate() {
            let percent = f64::from(*times) / f64::from(total.max(1)) * 100.0;
            let now = times_now(counted, Some(place));
            let now = if by_points { String::new() } else { format!("{now:>3} now  ") };
            let name = text::fit(&deck.called(id), 24);
            writeln!(world.out, "  {name}  {now}{times:>4} in all  {percent:>3.0} %")?;
        }
        let new = times_now(counted, None);
        if new > 0 {
            writeln!(world.out, "  {}  {new:>3} now", text::fit("not in the deck", 24))?;
            writeln!(world.err, "Write the new one down: secondball scout add {stem}")?;
        }
        Ok(())
    }

    /// Puts the shares into the deck, when they are wanted.
    fn offer_shares(&mut self, seen: &[u32], is_wanted: bool) -> Result {
        let Scouting { world, asker, deck, .. } = &mut self.scouting;
        let total = sum(seen);
        if total < FEWEST {
            return Ok(writeln!(world.err, "Fewer than {FEWEST} in all: too few for shares.")?);
        }
        let question = format!("Write these shares of {total} serves into the deck?");
        // Without a terminal the input was the count itself; only the flag can say yes.
        let is_wanted = is_wanted || (world.is_terminal && asker.yes(world, &question, true)?);
        if !is_wanted {
            let kept = "The count is kept; `--write` puts the shares into the deck.";
            return Ok(writeln!(world.err, "{kept}")?);
        }
        for serve in &mut deck.serves {
            let Some(place) = self.ids.iter().position(|id| *id == serve.id) else { continue };
            let times = seen[place];
            // Two digits: no count at a hall is better than that.
            let share = (f64::from(times) / f64::from(total) * 100.0).round() / 100.0;
            serve.how_often = Some(HowOften::Share(share));
            if times > 0 {
                serve.sure = Some(Sure::Seen);
            }
            if times_now(&self.counted, Some(place)) > 0 {
                serve.last_seen = Some(self.today);
            }
        }
        self.scouting.save()?;
        let Scouting { world, stem, .. } = &mut self.scouting;
        Ok(writeln!(world.out, "shares written into decks/{stem}.ron")?)
    }
}

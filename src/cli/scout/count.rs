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
    /// Each counted serve with its place and the fact that says so; none for one that is not in the
    /// deck.
    counted: Vec<Option<(usize, EventId)>>,
}

/// The key of the serve in this place.
fn key(place: usize) -> char {
    KEYS.chars().nth(place).unwrap_or(' ')
}

/// How many times each serve was counted: by the recorded points, or as it was watched.
pub fn times_seen(
    desk: &Desk,
    deck: &Deck,
    by_points: bool,
) -> Result<BTreeMap<ServeId, u32>, Failure> {
    let mut seen = BTreeMap::new();
    for event in &desk.journal()?.events {
        let (of, serve, times) = match &event.fact {
            Fact::Seen(seen) if !by_points => (&seen.deck, Some(&seen.serve), seen.times),
            Fact::Point(point) if by_points => (&point.deck, point.serve.as_ref(), 1),
            _ => continue,
        };
        if let Some(serve) = serve.and_then(|serve| deck.serve_now_or_once(serve))
            && *of == deck.key
        {
            *seen.entry(serve.id.clone()).or_insert(0) += times;
        }
    }
    Ok(seen)
}

/// Counts, then offers the shares.
pub fn run(arguments: &CountArguments, desk: &Desk, world: &mut World<'_>) -> Result<(), Failure> {
    let scouting = Scouting::find(desk, world, arguments.whom.opponent())?;
    let active = scouting.deck.active().take(KEYS.len());
    let ids: Vec<ServeId> = active.map(|serve| serve.id.clone()).collect();
    if ids.is_empty() {
        return Err(Failure::request(
            format!("{} has no serves to count", text::one_line(&scouting.deck.opponent)),
            "`secondball scout add` writes the first one down",
        ));
    }
    let mut count = ServeCount { scouting, today: desk.today()?, ids, counted: Vec::new() };
    if !arguments.points {
        count.watch()?;
    }
    let seen = times_seen(desk, &count.scouting.deck, arguments.points)?;
    count.tell(&seen, arguments.points)?;
    count.offer_shares(&seen, arguments.write)
}

impl ServeCount<'_, '_> {
    /// Counts until the end is said.
    fn watch(&mut self) -> Result<(), Failure> {
        let Scouting { home, player, .. } = self.scouting;
        let mut writer = home.writer(self.scouting.world.now, self.today)?;
        for serve in self.scouting.deck.seen_by(player.hand).active().take(self.ids.len()) {
            let place = self.ids.iter().position(|id| *id == serve.id).unwrap_or_default();
            let name = text::fit(serve.id.as_str(), 20);
            let said = format!("  {}  {name}  {}", key(place), serve.shown());
            self.scouting.world.note(&said, &" ".repeat(27))?;
        }
        let world = &mut *self.scouting.world;
        writeln!(world.err, "  n  one that is not here    u  take back    q  end")?;
        if world.is_terminal { self.read_keys(&mut writer) } else { self.read_lines(&mut writer) }
    }

    /// Counts the serve in this place.
    fn count(&mut self, place: usize, writer: &mut Writer) -> Result<(), Failure> {
        let (deck, serve) = (self.scouting.deck.key.clone(), self.ids[place].clone());
        let fact = Fact::Seen(Seen { deck, serve, times: 1 });
        let fact = writer.append(self.scouting.world.clock.now(), self.today, fact)?;
        self.counted.push(Some((place, fact)));
        Ok(())
    }

    /// Does what a key says; the words to show for it, none at the end.
    fn press(&mut self, key: char, writer: &mut Writer) -> Result<Option<String>, Failure> {
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
                    let now = self.scouting.world.clock.now();
                    writer.append(now, self.today, Fact::Undo { of })?;
                    format!("taken back: {}", self.ids[place])
                }
            },
            key => match KEYS.find(key).filter(|place| *place < self.ids.len()) {
                None => String::new(),
                Some(place) => {
                    self.count(place, writer)?;
                    self.ids[place].to_string()
                }
            },
        }))
    }

    /// One press each.
    fn read_keys(&mut self, writer: &mut Writer) -> Result<(), Failure> {
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
            match self.press(key, writer)? {
                Some(words) => last = words,
                None => break Ok(()),
            }
        };
        drop(raw);
        writeln!(self.scouting.world.err)?;
        ended
    }

    /// Lines of keys, or of short names.
    fn read_lines(&mut self, writer: &mut Writer) -> Result<(), Failure> {
        let mut line = String::new();
        while self.scouting.world.read_line(&mut line)? {
            if let Some(place) = self.ids.iter().position(|id| id.as_str() == line.trim()) {
                self.count(place, writer)?;
                continue;
            }
            for key in line.trim().chars() {
                if self.press(key, writer)?.is_none() {
                    return Ok(());
                }
            }
        }
        Ok(())
    }

    /// `12 counted  1:7 2:5  n:1  in-short`.
    fn line(&self, last: &str) -> String {
        let places = 0..self.ids.len();
        let tally = places.map(|place| format!("{}:{}", key(place), self.times(Some(place))));
        let tally: Vec<_> = tally.collect();
        let new = self.times(None);
        let new = if new > 0 { format!("  n:{new}") } else { String::new() };
        format!("{} counted  {}{new}  {last}", self.counted.len(), tally.join(" "))
    }

    fn times(&self, place: Option<usize>) -> usize {
        let places = self.counted.iter().map(|one| one.as_ref().map(|(place, _)| *place));
        places.filter(|counted| *counted == place).count()
    }

    /// Of all serves that were ever counted: how many, and how many of one of them.
    fn total(&self, seen: &BTreeMap<ServeId, u32>) -> u32 {
        self.ids.iter().filter_map(|id| seen.get(id)).sum()
    }

    /// The result over everything counted so far.
    fn tell(&mut self, seen: &BTreeMap<ServeId, u32>, by_points: bool) -> Result<(), Failure> {
        let total = self.total(seen);
        let (head, behind) = if by_points {
            (text::count(total as usize, "serve"), " in the recorded points")
        } else {
            (text::count(self.counted.len(), "serve"), "")
        };
        let new = self.times(None);
        let now: Vec<usize> = (0..self.ids.len()).map(|place| self.times(Some(place))).collect();
        let out = &mut self.scouting.world.out;
        writeln!(out, "{head}{behind}")?;
        for (id, now) in self.ids.iter().zip(now) {
            let times = seen.get(id).copied().unwrap_or(0);
            let percent = f64::from(times) / f64::from(total.max(1)) * 100.0;
            let now = if by_points { String::new() } else { format!("{now:>3} now  ") };
            let name = text::fit(id.as_str(), 24);
            writeln!(out, "  {name}  {now}{times:>4} in all  {percent:>3.0} %")?;
        }
        if new > 0 {
            writeln!(out, "  {}  {new:>3} now", text::fit("not in the deck", 24))?;
            let add = format!("secondball scout add {}", self.scouting.stem);
            writeln!(self.scouting.world.err, "Write the new one down: {add}")?;
        }
        Ok(())
    }

    /// Puts the shares into the deck, when they are wanted.
    fn offer_shares(
        &mut self,
        seen: &BTreeMap<ServeId, u32>,
        is_wanted: bool,
    ) -> Result<(), Failure> {
        let total = self.total(seen);
        let Scouting { world, asker, .. } = &mut self.scouting;
        if total < FEWEST {
            writeln!(world.err, "Fewer than {FEWEST} in all: too few for shares.")?;
            return Ok(());
        }
        let question = format!("Write these shares of {total} serves into the deck?");
        // Without a terminal the input was the count itself; only the flag can say yes.
        let is_wanted = is_wanted || (world.is_terminal && asker.yes(world, &question, true)?);
        if !is_wanted {
            writeln!(world.err, "The count is kept; `--write` puts the shares into the deck.")?;
            return Ok(());
        }
        for (place, id) in self.ids.iter().enumerate() {
            let is_new = self.times(Some(place)) > 0;
            let known = self.scouting.deck.serves.iter_mut().find(|serve| serve.id == *id);
            let Some(serve) = known else { continue };
            let times = seen.get(id).copied().unwrap_or(0);
            // Two digits: no count at a hall is better than that.
            let share = (f64::from(times) / f64::from(total) * 100.0).round() / 100.0;
            serve.how_often = Some(HowOften::Share(share));
            if times > 0 {
                serve.sure = Some(Sure::Seen);
            }
            if is_new {
                serve.last_seen = Some(self.today);
            }
        }
        self.scouting.save()?;
        writeln!(self.scouting.world.out, "shares written into decks/{}.ron", self.scouting.stem)?;
        Ok(())
    }
}

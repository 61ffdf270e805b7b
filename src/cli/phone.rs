//! `phone`: writes the page to take along, and reads the answers it gives back.

use std::collections::BTreeMap;
use std::io::Read;
use std::path::{Path, PathBuf};

use clap::{Args, Subcommand};
use serde::{Deserialize, Serialize};

use crate::agenda::progress::{Asked, switch_costs};
use crate::base::{Day, Finding, text};
use crate::cli::board::Board;
use crate::cli::points::known::Known;
use crate::cli::rehearse::{self, RehearseArguments};
use crate::cli::sheet::sheet_of;
use crate::cli::{Failure, World, due};
use crate::deck::Deck;
use crate::drill::flights;
use crate::flight::Constants;
use crate::game::{Depth, Lane, Motion, MotionName, Serve, ServeId, Spin};
use crate::journal::{Answer, EventId, Fact, Seen};
use crate::page::phone::{
    Brought, BroughtEvent, CallerSession, LARGEST_ANSWERS, News, PhoneRequest, PhoneSheet,
    PhoneTaken, phone_page, read_answers,
};
use crate::store::{Home, Trouble, Writer, read_page, unpack};

/// The file in the home that holds what pages and answers are matched by.
const FILE: &str = "phone.ron";

/// Take the drill, the sheets and the caller along on a phone
#[derive(Debug, Args)]
#[command(
    after_help = "Examples:\n  secondball phone write ~/Sync/phone\n  secondball phone read ~/Downloads/secondball-answers-2026-11-25.json"
)]
pub struct PhoneArguments {
    /// What to do
    #[command(subcommand)]
    pub what: PhoneCommand,
}

/// What to do with the phone.
#[derive(Debug, Subcommand)]
pub enum PhoneCommand {
    /// Write the page
    Write(WriteArguments),
    /// Read the answers a page gave back; reading them twice changes nothing
    Read(ReadArguments),
}

/// Write the page
#[derive(Debug, Args)]
#[command(
    after_help = "Examples:\n  secondball phone write ~/Sync/phone\n  secondball phone write page --rehearse north --launcher feeder --balls 60"
)]
pub struct WriteArguments {
    /// The folder to write into; `index.html` alone is the whole page
    pub folder: PathBuf,
    /// Only this opponent (may be repeated); all of them otherwise
    #[arg(long, value_name = "OPPONENT")]
    pub opponent: Vec<String>,
    /// Days of lists, today included
    #[arg(long, value_name = "DAYS", default_value_t = 14, value_parser = clap::value_parser!(u32).range(1..=60))]
    pub days: u32,
    /// Let your private notes go along too
    #[arg(long)]
    pub with_notes: bool,
    /// Take a session at the table along, against this opponent, for the caller
    #[arg(long, value_name = "OPPONENT")]
    pub rehearse: Option<String>,
    /// The launcher of that session: one of yours, or fixed, oscillating, per-ball, feeder, partner
    #[arg(long, value_name = "NAME", requires = "rehearse")]
    pub launcher: Option<String>,
    /// Balls of that session
    #[arg(long, value_name = "NUMBER", requires = "rehearse")]
    pub balls: Option<u32>,
    /// Call this switch in that session
    #[arg(long, value_name = "NAME", requires = "rehearse")]
    pub switch: Option<String>,
}

/// Read the answers a page gave back
#[derive(Debug, Args)]
#[command(
    after_help = "Examples:\n  secondball phone read ~/Downloads/secondball-answers-2026-11-25.json\n  secondball phone read -      then paste the text and end with Ctrl-D"
)]
pub struct ReadArguments {
    /// The file the page saved, or - for text on the standard input
    pub file: PathBuf,
    /// Print what was taken in as JSON
    #[arg(long)]
    pub json: bool,
}

/// The file in the home.
#[derive(Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct PhoneFile {
    format: u32,
    /// Pages of this home carry it, and answers with another one are refused.
    key: String,
}

/// Writes the page or reads answers.
///
/// # Errors
/// [`Failure`] when there is nothing to take along, or the answers cannot be read.
pub fn run(arguments: &PhoneArguments, world: &mut World<'_>) -> Result<(), Failure> {
    match &arguments.what {
        PhoneCommand::Write(arguments) => write(arguments, world),
        PhoneCommand::Read(arguments) => read(arguments, world),
    }
}

fn write(arguments: &WriteArguments, world: &mut World<'_>) -> Result<(), Failure> {
    let (sheets, board) = sheets(Board::load_whole(world)?, world)?;
    let mut board = board.recent();
    let changes = due::changes(&board)?;
    let home = world.home()?;
    if !arguments.opponent.is_empty() {
        let mut stems = Vec::new();
        for named in &arguments.opponent {
            stems.push(home.find_deck(named)?.0);
        }
        board.decks.retain(|(stem, _)| stems.contains(stem));
    }
    let caller = match &arguments.rehearse {
        None => None,
        Some(opponent) => {
            let wish = RehearseArguments {
                then: None,
                opponent: Some(opponent.clone()),
                launcher: arguments.launcher.clone(),
                balls: arguments.balls,
                minutes: None,
                phase: Vec::new(),
                switch: arguments.switch.clone(),
                under_twelve: false,
                eve: false,
                csv: None,
                text: None,
                html: None,
                paper: crate::page::sheet_html::Paper::A4,
                json: false,
            };
            Some(CallerSession::of(&rehearse::make(&wish, world)?, board.player.units))
        }
    };
    let air = home.read_ron::<Constants>("table.ron")?.unwrap_or_default();
    let hand = board.player.hand;
    let flown = board.decks.iter().map(|(stem, deck)| {
        let deck = deck.seen_by(hand);
        let serves: Vec<ServeId> = deck.active().map(|serve| serve.id.clone()).collect();
        (stem.clone(), flights(&deck, &serves, hand, &air))
    });
    let flown: BTreeMap<_, _> = flown.collect();
    let key = home_key(&home, world)?;
    let page = phone_page(&PhoneRequest {
        home: &key,
        now_ms: world.now.epoch_ms(),
        today: board.today,
        player: &board.player,
        decks: &board.decks,
        memories: &board.memories,
        events: &board.events,
        sheets: &sheets,
        changes: &changes,
        flights: &flown,
        receipts: receipts(home.origins()?.into_keys()),
        caller,
        has_notes: arguments.with_notes,
        days: arguments.days,
        seed: world.seed,
    })
    .map_err(|error| Failure::request(error.to_string(), error.hint()))?;
    unpack(
        &arguments.folder,
        &[
            ("index.html", &page.html),
            ("manifest.webmanifest", &page.manifest),
            ("worker.js", &page.worker),
        ],
    )?;
    let file = arguments.folder.join("index.html");
    writeln!(world.out, "{}", file.display())?;
    writeln!(
        world.err,
        "{} with {} and {} over {}, {} KiB",
        file.display(),
        text::count(page.opponents, "opponent"),
        text::count(page.answers, "answer"),
        text::count(usize::try_from(page.days).unwrap_or_default(), "day"),
        page.html.len().div_ceil(1024)
    )?;
    if page.days < arguments.days {
        writeln!(world.err, "more days would make the page too large; name fewer opponents")?;
    }
    let notes =
        if arguments.with_notes { "your private notes are in it" } else { "notes stay home" };
    writeln!(
        world.err,
        "{notes}; whoever has the file can read your plans, so mind where you put it"
    )?;
    Ok(())
}

/// The bench sheet of every opponent, by stem, as `sheet` prints it, with what its switches cost in the drill.
fn sheets(
    mut board: Board,
    world: &World<'_>,
) -> Result<(BTreeMap<String, PhoneSheet>, Board), Failure> {
    let costs = switch_costs(&Asked {
        player: &board.player,
        decks: &board.decks,
        opponent: None,
        memories: &board.memories,
        events: &board.events,
        today: board.today,
        // A difference of times needs no window.
        decision_ms: &|_, _| 0,
    });
    let mut sheets = BTreeMap::new();
    for (stem, deck) in board.decks.clone() {
        let known = Known::of_board(board, stem.clone(), &deck)?;
        let sheet = sheet_of(&known, world.seed)?;
        board = known.board;
        let own = costs.iter().filter(|cost| cost.deck == stem);
        let costs = own.filter_map(|cost| Some((cost.name.clone(), *cost.weeks.last()?))).collect();
        sheets.insert(stem, PhoneSheet { sheet, costs });
    }
    Ok((sheets, board))
}

/// The home's key, made at the first page.
fn home_key(home: &Home, world: &World<'_>) -> Result<String, Failure> {
    if let Some(file) = home.read_ron::<PhoneFile>(FILE)? {
        return Ok(file.key);
    }
    let mut dice = world.dice(&format!("phone key {}", world.now.epoch_ms()));
    let key = format!("{}{}", Deck::coin_key(&mut dice), Deck::coin_key(&mut dice));
    home.write_ron(FILE, &PhoneFile { format: 1, key: key.clone() })?;
    Ok(key)
}

/// For each sitting of a phone: up to which number everything is here.
fn receipts(origins: impl Iterator<Item = String>) -> BTreeMap<String, u64> {
    let mut numbers: BTreeMap<String, Vec<u64>> = BTreeMap::new();
    for origin in origins {
        let Some((sitting, number)) = origin.rsplit_once('/') else { continue };
        numbers.entry(sitting.to_owned()).or_default().extend(number.parse::<u64>().ok());
    }
    numbers
        .into_iter()
        .filter_map(|(sitting, mut own)| {
            own.sort_unstable();
            let whole = own.iter().zip(1..).take_while(|(number, place)| **number == *place);
            let highest = whole.last().map(|(number, _)| *number)?;
            Some((sitting, highest))
        })
        .collect()
}

fn read(arguments: &ReadArguments, world: &mut World<'_>) -> Result<(), Failure> {
    let home = world.home()?;
    let player = home.player()?;
    let today = world.now.day(player.rollover_hour);
    let Some(file) = home.read_ron::<PhoneFile>(FILE)? else {
        return Err(Failure::request(
            "this home has never written a page",
            "name the home that has with `--home DIR`",
        ));
    };
    let given =
        if arguments.file == Path::new("-") { pasted(world)? } else { read_page(&arguments.file)? };
    let Brought { events, findings, .. } =
        read_answers(&given, &file.key, today).map_err(Failure::Findings)?;
    world.tell(&findings)?;
    let mut decks = Vec::new();
    for stem in home.deck_stems()? {
        match home.judged_deck(&stem) {
            Ok(parsed) => decks.push((stem, parsed.value)),
            Err(Trouble::Findings(found)) => world.tell(&found)?,
            Err(trouble) => return Err(trouble.into()),
        }
    }
    let writer = home.writer(world.now, today)?;
    // Under the lock: nobody else brings the same answers meanwhile.
    let origins = home.origins()?;
    let mut taking = Taking {
        home,
        hand: player.hand,
        decks,
        writer,
        origins,
        taken: PhoneTaken { set_aside: findings.len(), ..PhoneTaken::default() },
        findings: Vec::new(),
    };
    for event in events {
        taking.event(event, world)?;
    }
    taking.writer.sync()?;
    let Taking { taken, findings, .. } = taking;
    world.tell(&findings)?;
    if arguments.json {
        writeln!(world.out, "{}", crate::page::json(&taken))?;
    } else {
        write!(world.out, "{}", taken.text(world.width))?;
    }
    Ok(())
}

/// Text on the standard input, not more than a phone can have sent.
fn pasted(world: &mut World<'_>) -> Result<String, Failure> {
    if world.is_terminal {
        writeln!(world.err, "Paste the text, then end with Ctrl-D:")?;
    }
    let mut bytes = Vec::new();
    let most = u64::try_from(LARGEST_ANSWERS).unwrap_or(u64::MAX).saturating_add(1);
    (&mut *world.input).take(most).read_to_end(&mut bytes)?;
    String::from_utf8(bytes)
        .map_err(|_| Failure::request("this is not text", "paste the text of the page whole"))
}

/// Answers being taken in.
struct Taking {
    home: Home,
    hand: crate::game::Hand,
    decks: Vec<(String, Deck)>,
    writer: Writer,
    origins: BTreeMap<String, EventId>,
    taken: PhoneTaken,
    findings: Vec<Finding>,
}

impl Taking {
    fn event(&mut self, event: BroughtEvent, world: &World<'_>) -> Result<(), Failure> {
        let BroughtEvent { origin, at_ms, day, news } = event;
        if self.origins.contains_key(&origin) {
            self.taken.known += 1;
            return Ok(());
        }
        let fact = match news {
            News::Fact(fact) => {
                self.count(&fact);
                fact
            }
            News::Undo { of } => {
                let Some(id) = self.origins.get(&of) else {
                    self.aside(&format!("event {origin} takes back {of}, which never came"));
                    return Ok(());
                };
                self.taken.taken_back += 1;
                Fact::Undo { of: id.clone() }
            }
            News::Scouted { deck, opponent, serve } => {
                match self.scouted(deck.as_deref(), &opponent, *serve, world) {
                    Ok(seen) => Fact::Seen(seen),
                    // The deck cannot be changed as it is: it can be brought again when it can.
                    Err(Trouble::Findings(found)) => {
                        self.findings.extend(found);
                        self.aside(&format!(
                            "a new serve of `{opponent}` could not be written down"
                        ));
                        return Ok(());
                    }
                    Err(trouble) => return Err(trouble.into()),
                }
            }
        };
        let id = self.writer.append_from(&origin, at_ms, day, fact)?;
        self.origins.insert(origin, id);
        self.note_day(day);
        Ok(())
    }

    fn note_day(&mut self, day: Day) {
        let (first, last) = self.taken.days.unwrap_or((day, day));
        self.taken.days = Some((first.min(day), last.max(day)));
    }

    fn aside(&mut self, what: &str) {
        self.taken.set_aside += 1;
        self.findings.push(Finding::warning(format!("{what}; set aside")));
    }

    fn count(&mut self, fact: &Fact) {
        let (deck, serve) = match fact {
            Fact::Answer(Answer { deck, serve, is_let, .. }) => {
                self.taken.answers += usize::from(!is_let);
                self.taken.lets += usize::from(*is_let);
                (deck, Some(serve))
            }
            Fact::Ball(ball) => {
                self.taken.balls +=
                    u64::from(ball.made) + u64::from(ball.missed) + u64::from(ball.wrong);
                (&ball.deck, Some(&ball.serve))
            }
            Fact::Debrief(debrief) => {
                self.taken.debriefs += 1;
                (&debrief.deck, None)
            }
            Fact::Seen(seen) => {
                self.taken.seen += 1;
                (&seen.deck, Some(&seen.serve))
            }
            Fact::Point(_) | Fact::Undo { .. } | Fact::Forget { .. } => return,
        };
        let found = self.decks.iter().find(|(_, own)| own.key == *deck);
        let is_known = found.is_some_and(|(_, own)| {
            serve.is_none_or(|serve| {
                own.serve_now_or_once(serve).is_some() && right_is_known(own, fact)
            })
        });
        if !is_known {
            let name = match serve {
                Some(serve) => format!("{}/{serve}", text::one_line(deck)),
                None => text::one_line(deck),
            };
            if !self.taken.unknown_patterns.contains(&name) {
                self.taken.unknown_patterns.push(name);
            }
            self.taken.unknown += 1;
        }
    }

    /// Writes a new serve into its deck, made when the opponent is new; the fact that it was seen.
    fn scouted(
        &mut self,
        key: Option<&str>,
        opponent: &str,
        serve: Serve,
        world: &World<'_>,
    ) -> Result<Seen, Trouble> {
        let by_key = |own: &Deck| key.is_some_and(|key| own.key == key);
        let by_name = |own: &Deck| text::one_line(&own.opponent).eq_ignore_ascii_case(opponent);
        let place = self
            .decks
            .iter()
            .position(|(_, own)| by_key(own))
            .or_else(|| self.decks.iter().position(|(_, own)| by_name(own)));
        let (stem, old) = if let Some(place) = place {
            let (stem, deck) = &self.decks[place];
            (Some(stem.clone()), deck.clone())
        } else {
            let mut dice = world.dice(&format!("new deck {opponent} {}", self.decks.len()));
            let key = key.map_or_else(|| Deck::coin_key(&mut dice), str::to_owned);
            (None, Deck::new(opponent, key))
        };
        let mut deck = old;
        // The lanes were said in this player's own words; the deck may keep those of another hand.
        let serve = match deck.seen_against {
            Some(other) => serve.seen_by(self.hand, other),
            None => serve,
        };
        let same =
            deck.serves.iter().find(|own| Serve { id: own.id.clone(), ..serve.clone() } == **own);
        let id = if let Some(same) = same {
            same.id.clone()
        } else {
            let taken: Vec<ServeId> = deck.serves.iter().map(|own| own.id.clone()).collect();
            let id = ServeId::coined(&coined_from(&serve), &taken);
            deck.serves.push(Serve { id: id.clone(), ..serve });
            self.taken.new_serves.push(format!("{}: {id}", text::one_line(&deck.opponent)));
            if let (Some(stem), Some(place)) = (&stem, place) {
                self.home.save_deck(stem, &deck)?;
                self.decks[place].1 = deck.clone();
            } else {
                let stem = self.home.add_deck(&deck)?;
                self.decks.push((stem, deck.clone()));
            }
            id
        };
        Ok(Seen { deck: deck.key, serve: id, times: 1 })
    }
}

/// Whether the receive of an answer or a ball is one this deck has anywhere.
fn right_is_known(deck: &Deck, fact: &Fact) -> bool {
    let right = match fact {
        Fact::Answer(answer) => &answer.right,
        Fact::Ball(ball) => &ball.right,
        _ => return true,
    };
    let switched = deck.switches.iter().flat_map(|switch| switch.changes.values());
    deck.plan.values().chain(switched).chain(&deck.safe).any(|own| own.text() == right.as_str())
}

/// Words to make an id of.
fn coined_from(serve: &Serve) -> String {
    let motion = serve.motion.as_ref().and_then(Motion::name).map(MotionName::word);
    let parts = [
        motion,
        serve.depth.map(Depth::word),
        serve.lane.map(Lane::word),
        serve.spin.map(Spin::word),
    ];
    let words: Vec<&str> = parts.into_iter().flatten().take(3).collect();
    if words.is_empty() { "new".to_owned() } else { words.join("-") }
}

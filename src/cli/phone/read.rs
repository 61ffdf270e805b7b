//! `phone read`: the answers a page gives back. Each event is taken in once, new serves go into
//! their decks, what is unknown is told.

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

use super::matching::{FILE, PhoneFile};
use crate::base::{Finding, text};
use crate::cli::{Desk, Failure, World};
use crate::deck::Deck;
use crate::game::{Depth, Hand, Lane, Motion, MotionName, ReceiveKey, Serve, ServeId, Spin};
use crate::import::phone_answers::{PhoneAnswers, PhoneEvent, PhoneNews, PhoneServe, read_answers};
use crate::journal::{EventId, Fact, Seen};
use crate::page::phone::PhoneTaken;
use crate::store::{Home, Trouble, Writer};

/// Read the answers a page gave back
#[derive(Debug, clap::Args)]
#[command(after_help = "Examples:\n\
        \x20 secondball phone read answers.json\n\
        \x20 secondball phone read -\n\
        \x20     then paste the text and end with Ctrl-D")]
pub struct ReadArguments {
    /// The file the page saved, or - for text on the standard input
    pub file: PathBuf,
    /// Print what was taken in as JSON
    #[arg(long)]
    pub json: bool,
}

/// Reads answers.
///
/// # Errors
/// [`Failure`] when the answers are none of this home's or cannot be read.
pub(super) fn run(
    arguments: &ReadArguments,
    desk: &Desk,
    world: &mut World<'_>,
) -> Result<(), Failure> {
    let (home, today) = (desk.home()?, desk.today()?);
    let Some(file) = home.read_ron::<PhoneFile>(FILE)? else {
        return Err(Failure::request(
            "this home has never written a page",
            "name the home that has with `--home DIR`",
        ));
    };
    if arguments.file == Path::new("-") && world.is_terminal {
        writeln!(world.err, "Paste the text, then end with Ctrl-D:")?;
    }
    let given = world.read_page(&arguments.file)?;
    let PhoneAnswers { events, findings } =
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
    let mut taking = Taking {
        home,
        hand: desk.player()?.hand,
        decks,
        writer: desk.writer(world)?,
        // Under the lock: nobody else brings the same answers meanwhile.
        origins: home.origins()?,
        taken: PhoneTaken { set_aside: findings.len(), ..PhoneTaken::default() },
        findings: Vec::new(),
    };
    for event in events {
        taking.event(event, world)?;
    }
    taking.writer.sync()?;
    let Taking { taken, findings, .. } = taking;
    world.tell(&findings)?;
    world.print(&taken, arguments.json, PhoneTaken::text)
}

/// Answers being taken in.
struct Taking<'d> {
    home: &'d Home,
    hand: Hand,
    decks: Vec<(String, Deck)>,
    writer: Writer,
    origins: BTreeMap<String, EventId>,
    taken: PhoneTaken,
    findings: Vec<Finding>,
}

impl Taking<'_> {
    /// Takes one event in, once.
    fn event(&mut self, event: PhoneEvent, world: &World<'_>) -> Result<(), Failure> {
        let PhoneEvent { origin, at_ms, day, news } = event;
        if self.origins.contains_key(&origin) {
            self.taken.known += 1;
            return Ok(());
        }
        let fact = match news {
            PhoneNews::Fact(Fact::Undo { of, .. }) => {
                let of = format!("{}/{}", of.device, of.n);
                let Some(id) = self.origins.get(&of) else {
                    self.aside(&format!("event {origin} takes back {of}, which never came"));
                    return Ok(());
                };
                self.taken.taken_back += 1;
                Fact::undo(id.clone())
            }
            PhoneNews::Fact(fact) => {
                self.count(&fact);
                fact
            }
            PhoneNews::Scouted(scouted) => {
                let opponent = scouted.opponent.clone();
                match self.scouted(*scouted, world) {
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
        let id = self.writer.append_from(Some(&origin), at_ms, day, fact)?;
        self.origins.insert(origin, id);
        let (first, last) = self.taken.days.unwrap_or((day, day));
        self.taken.days = Some((first.min(day), last.max(day)));
        Ok(())
    }

    fn aside(&mut self, what: &str) {
        self.taken.set_aside += 1;
        self.findings.push(Finding::warning(format!("{what}; set aside")));
    }

    fn count(&mut self, fact: &Fact) {
        let taken = &mut self.taken;
        let (deck, serve, right) = match fact {
            Fact::Answer(answer) => {
                taken.answers += usize::from(!answer.is_let);
                taken.lets += usize::from(answer.is_let);
                (&answer.deck, Some(&answer.serve), Some(&answer.right))
            }
            Fact::Ball(ball) => {
                taken.balls += ball.balls() as usize;
                (&ball.deck, Some(&ball.serve), Some(&ball.right))
            }
            Fact::Debrief(debrief) => {
                taken.debriefs += 1;
                (&debrief.deck, None, None)
            }
            Fact::Seen(seen) => {
                taken.seen += 1;
                (&seen.deck, Some(&seen.serve), None)
            }
            Fact::Point(_) | Fact::Undo { .. } | Fact::Forget { .. } => return,
        };
        let is_known = self.decks.iter().any(|(_, own)| {
            own.key == *deck
                && serve.is_none_or(|serve| own.serve_now_or_once(serve).is_some())
                && right.is_none_or(|right| has_receive(own, right))
        });
        if !is_known {
            let serve = serve.map(|serve| format!("/{serve}")).unwrap_or_default();
            let name = text::one_line(deck) + &serve;
            if !taken.unknown_patterns.contains(&name) {
                taken.unknown_patterns.push(name);
            }
            taken.unknown += 1;
        }
    }

    /// Writes a new serve into its deck, made when the opponent is new; the fact that it was seen.
    fn scouted(&mut self, scouted: PhoneServe, world: &World<'_>) -> Result<Seen, Trouble> {
        let PhoneServe { deck: key, opponent, serve } = scouted;
        let place = |is: &dyn Fn(&Deck) -> bool| self.decks.iter().position(|(_, own)| is(own));
        let place = place(&|own| key.as_ref() == Some(&own.key)).or_else(|| {
            place(&|own| text::one_line(&own.opponent).eq_ignore_ascii_case(&opponent))
        });
        let mut deck = if let Some(place) = place {
            self.decks[place].1.clone()
        } else {
            let mut dice = world.dice(&format!("new deck {opponent} {}", self.decks.len()));
            Deck::new(opponent, key.unwrap_or_else(|| Deck::coin_key(&mut dice)))
        };
        // The lanes were said in this player's own words; the deck may keep those of another hand.
        let serve = match deck.seen_against {
            Some(other) => serve.seen_by(self.hand, other),
            None => serve,
        };
        let same = |own: &&Serve| Serve { id: own.id.clone(), ..serve.clone() } == **own;
        if let Some(same) = deck.serves.iter().find(same) {
            return Ok(Seen::once(deck.key, same.id.clone()));
        }
        let taken: Vec<ServeId> = deck.serves.iter().map(|own| own.id.clone()).collect();
        let id = ServeId::coined(&coined_from(&serve), &taken);
        deck.serves.push(Serve { id: id.clone(), ..serve });
        self.taken.new_serves.push(format!("{}: {id}", text::one_line(&deck.opponent)));
        let seen = Seen::once(deck.key.clone(), id);
        if let Some(place) = place {
            let (stem, was) = &self.decks[place];
            self.home.save_deck(stem, was, &deck)?;
            self.decks[place].1 = deck;
        } else {
            self.decks.push((self.home.add_deck(&deck)?, deck));
        }
        Ok(seen)
    }
}

/// Whether this deck has a receive anywhere.
fn has_receive(deck: &Deck, receive: &ReceiveKey) -> bool {
    let switched = deck.switches.iter().flat_map(|switch| switch.changes.values());
    let mut all = deck.plan.values().chain(switched).chain(deck.safe_answers());
    all.any(|own| own.text() == receive.as_str())
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

//! A home of any size: so many opponents of so many serves, and years of a journal in two files.

use std::error::Error;
use std::fs;
use std::io::Write as _;
use std::path::Path;

use secondball::base::{Day, Dice, Moment};
use secondball::deck::{Deck, MatchDay, Opponent, Player, Switch};
use secondball::game::{Depth, End, Hand, Lane, Motion, Receive, ReceiveKey, Serve, ServeId, Spin};
use secondball::journal::{
    Answer, Event, EventId, Fact, Header, How, Input, Point, Quality, write_line,
};
use secondball::store::{Device, Home};

/// The day of the last event.
pub const LAST: &str = "2026-11-29";
/// Days of the journal.
const DAYS: usize = 3650;
/// Of so many events one is a point of a match, the others are answers.
const A_POINT_IN: usize = 50;
const RECEIVES: [&str; 2] =
    ["forehand push early to middle short", "backhand fast_loop to forehand long"];

/// How large a home is.
#[derive(Debug, Clone, Copy)]
pub struct Size {
    pub decks: usize,
    pub serves: usize,
    pub events: usize,
}

fn key(deck: usize) -> String {
    format!("deck{deck:03}")
}

fn serve_id(serve: usize) -> Result<ServeId, Box<dyn Error>> {
    Ok(format!("bh-short-fh-{serve}").parse()?)
}

/// Writes player, decks and journal; gives the size of the journal in bytes.
pub fn fill(root: &Path, size: Size) -> Result<u64, Box<dyn Error>> {
    let home = Home::at(root.to_owned(), Device::named("laptop"));
    let mut player = Player::new("Invented", Hand::Right);
    player.events.push(MatchDay {
        name: "Autumn open".to_owned(),
        day: LAST.parse::<Day>()?.plus(20),
        opponents: (0..size.decks.min(4))
            .map(|deck| Opponent { deck: key(deck), likely: 0.5 })
            .collect(),
    });
    home.create(&player)?;
    for deck in 0..size.decks {
        home.add_deck(&deck_of(deck, size.serves)?)?;
    }
    journal(root, size)
}

/// One opponent, every serve planned and three of them in a switch.
fn deck_of(number: usize, serves: usize) -> Result<Deck, Box<dyn Error>> {
    let mut deck = Deck::new(key(number), key(number));
    let receive = |text: &str| text.parse::<Receive>().map_err(|found| found.shown());
    let receives = [receive(RECEIVES[0])?, receive(RECEIVES[1])?];
    let mut switch = Switch { name: "other way".to_owned(), cue: None, changes: [].into() };
    for serve in 0..serves {
        let id = serve_id(serve)?;
        deck.plan.insert(id.clone(), receives[serve % 2].clone());
        if serve < 3 {
            switch.changes.insert(id.clone(), receives[(serve + 1) % 2].clone());
        }
        deck.serves.push(Serve {
            motion: Some(Motion::Pendulum),
            spin: Some(Spin::ALL[(serve + number) % Spin::ALL.len()]),
            lane: Some(Lane::ALL[serve % Lane::ALL.len()]),
            depth: Some(Depth::ALL[serve % Depth::ALL.len()]),
            ..Serve::unknown(id)
        });
    }
    deck.switches.push(switch);
    Ok(deck)
}

/// Writes the journals of two devices; gives their size in bytes.
fn journal(root: &Path, size: Size) -> Result<u64, Box<dyn Error>> {
    fs::create_dir_all(root.join("journal"))?;
    let mut dice = Dice::from_seed(1);
    let mut files = Vec::new();
    for device in ["laptop", "phone-import"] {
        let file = fs::File::create(root.join(format!("journal/{device}.jsonl")))?;
        let mut file = std::io::BufWriter::new(file);
        file.write_all(Header::for_device(device).line()?.as_bytes())?;
        files.push((device, file, 0_u64));
    }
    let first = LAST.parse::<Day>()?.minus(u32::try_from(DAYS)?);
    let a_day = size.events.div_ceil(DAYS).max(1);
    for number in 0..size.events {
        let day = first.plus(u32::try_from(number / a_day)?);
        let at_ms = Moment::noon(day).epoch_ms() + i64::try_from(number % a_day)? * 4000;
        let (device, file, n) = &mut files[usize::from(dice.chance(0.1))];
        *n += 1;
        let id = EventId { device: (*device).to_owned(), n: *n };
        let fact = fact(number, size, &mut dice)?;
        file.write_all(write_line(&Event { id, at_ms, day, origin: None, fact })?.as_bytes())?;
    }
    let mut bytes = 0;
    for (device, mut file, _) in files {
        file.flush()?;
        bytes += fs::metadata(root.join(format!("journal/{device}.jsonl")))?.len();
    }
    Ok(bytes)
}

fn fact(number: usize, size: Size, dice: &mut Dice) -> Result<Fact, Box<dyn Error>> {
    let (deck, serve) = (key(dice.below(size.decks)), dice.below(size.serves));
    let right = ReceiveKey::from_journal(RECEIVES[serve % 2]);
    let (serve, is_right) = (serve_id(serve)?, dice.chance(0.85));
    if number.is_multiple_of(A_POINT_IN) {
        return Ok(Fact::Point(Point {
            deck,
            // Some forty points a match.
            of_match: format!("match {}", number / (A_POINT_IN * 40)),
            server: End::Them,
            serve: Some(serve),
            meant: Some(right.clone()),
            played: Some(right),
            quality: Some(Quality::Tight),
            waiting: None,
            won: dice.chance(0.5),
            unknown: None,
        }));
    }
    Ok(Fact::Answer(Answer {
        deck,
        serve,
        right,
        given: (!is_right).then(|| "backhand block to middle".to_owned()),
        how: How::Snap,
        ms: 300 + u32::try_from(dice.below(600))?,
        window: 700,
        motor: 210,
        tempo: 0,
        input: Input::Keys,
        shown: false,
        is_let: false,
        cut: None,
        switch: None,
    }))
}

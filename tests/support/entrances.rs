//! The entrances: all that reads what people, phones and other programs have written, each as a
//! function of bytes. Whatever comes, it ends without a panic, and what was read keeps its promise:
//! written again it reads the same, and what is wrong has a place.
//!
//! `tests/trust/corpus.rs` goes through the files of `tests/corpus`, `tests/fuzz` looks for more.

#![expect(clippy::unwrap_used, reason = "a promise not kept must panic")]

use std::fmt::Debug;
use std::path::Path;

use secondball::base::{Day, Finding, Gravity, Moment};
use secondball::cli::{Everywhere, Failure, Result, World, run_line};
use secondball::deck::advice::{self, Judged};
use secondball::deck::{Deck, Owned, Player, ServeLine};
use secondball::drill::{Act, Machine, RoundRequest, Said, ServeOrder, build};
use secondball::flight::{Constants, FlightError};
use secondball::game::{End, Hand, Receive, Serve, ServeId, Stroke, Wing};
use secondball::import::phone_answers::{PhoneNews, read_answers};
use secondball::import::session_results::read_results;
use secondball::import::{points_csv, thrown_balls};
use secondball::journal::{
    Event, EventId, Fact, Header, How, Input, Renames, read_head, read_line, write_line,
};
use secondball::launcher::Launcher;
use secondball::memory::{Memories, Model};
use secondball::rehearsal::LogLine;
use secondball::store::{Device, Home, Trouble, judge_launcher_file, parse, parse_deck};
use serde::Serialize;
use serde::de::DeserializeOwned;

/// Whatever the bytes, it returns.
pub type Entrance = fn(&[u8]);

/// Each by the name of its folder in `tests/corpus`.
pub const ENTRANCES: [(&str, Entrance); 12] = [
    ("deck", deck),
    ("player", player),
    ("launcher", launcher),
    ("table", table),
    ("rehearsals", rehearsals),
    ("journal", journal),
    ("phone", phone),
    ("points", points),
    ("thrown", thrown),
    ("words", words),
    ("keys", keys),
    ("typed", typed),
];

/// The day of everything that is read here.
const TODAY: &str = "2026-11-25";
/// A home as it was once written.
const FIRST: [(&str, &str); 6] = [
    ("player.ron", include_str!("../fixtures/first/player.ron")),
    ("decks/north-hall.ron", include_str!("../fixtures/first/decks/north-hall.ron")),
    ("launchers/mine.ron", include_str!("../fixtures/first/launchers/mine.ron")),
    ("journal/olddevice.jsonl", include_str!("../fixtures/first/journal/olddevice.jsonl")),
    ("rehearsals.ron", include_str!("../fixtures/first/rehearsals.ron")),
    ("phone.ron", include_str!("../fixtures/first/phone.ron")),
];
/// What is typed, behind its letter: `a` for the first. `TEXT` is what comes as one word of the
/// command, `FILE` as a file; else it is typed where the command asks.
const COMMANDS: [&str; 22] = [
    "points north",
    "points north --csv -",
    "debrief north",
    "scout Kim",
    "scout count north --write",
    "plan choose north",
    "plan switch north",
    "phone read -",
    "check --settle",
    "forget north",
    "scout TEXT --hand left",
    "launcher calibrate FILE --launcher mine --write",
    "drill north --keys FILE",
    "scout add north TEXT --yes",
    "scout change north short-fh TEXT",
    "scout add north motion=hook --ball TEXT",
    "plan set north short-fh TEXT",
    "plan switch add north TEXT short-fh TEXT",
    "rehearse log --session 1 TEXT",
    "rehearse log --opponent north TEXT",
    "scout take FILE --with-notes",
    "forget TEXT",
];

fn text(bytes: &[u8]) -> Option<&str> {
    str::from_utf8(bytes).ok()
}

fn today() -> Day {
    TODAY.parse().unwrap()
}

/// A file of the home at `root`.
fn put(root: &Path, file: &str, bytes: &[u8]) {
    let path = root.join(file);
    std::fs::create_dir_all(path.parent().unwrap()).unwrap();
    std::fs::write(path, bytes).unwrap();
}

/// Each finding stands in the file, and can be said.
fn are_placed(file: &str, text: &str, findings: &[Finding]) {
    for finding in findings {
        let place = finding.place.as_ref().expect("a finding has a place");
        assert_eq!(place.file, file, "{}", finding.shown());
        if let Some((line, column)) = place.at {
            let its = text.split('\n').nth(line - 1).expect("there is such a line");
            assert!(column <= its.chars().count() + 1, "{}", finding.shown());
        }
    }
}

/// A file that people write, and a change to it.
fn file<T>(
    bytes: &[u8],
    file: &str,
    judge: impl Fn(&T) -> Vec<Judged>,
    changed: impl Fn(T, usize) -> T,
) where
    T: Serialize + DeserializeOwned + PartialEq + Clone + Debug,
{
    let Some(text) = text(bytes) else { return };
    let was = match parse(file, text, &judge) {
        Ok(parsed) => {
            are_placed(file, text, &parsed.findings);
            parsed.value
        }
        Err(findings) => {
            assert!(findings.iter().any(|finding| finding.gravity == Gravity::Error));
            return are_placed(file, text, &findings);
        }
    };
    let folder = tempfile::tempdir().unwrap();
    let home = Home::at(folder.path().to_owned(), Device::named("d"));
    home.write_ron("anew.ron", None, &was).unwrap();
    assert_eq!(home.read_ron("anew.ron").unwrap().as_ref(), Some(&was));
    put(folder.path(), file, bytes);
    let now = changed(was.clone(), bytes.len() % 5);
    let written = home.write_ron(file, Some(&was), &now);
    match written {
        Ok(()) => assert_eq!(home.read_ron(file).unwrap(), Some(now)),
        Err(Trouble::Findings(findings)) => {
            are_placed(file, text, &findings);
            assert_eq!(std::fs::read(folder.path().join(file)).unwrap(), bytes);
        }
        Err(Trouble::Machine { what, source }) => panic!("{what}: {source}"),
    }
}

fn deck(bytes: &[u8]) {
    file(bytes, "decks/a.ron", secondball::receive::of_deck, |mut deck: Deck, way| {
        match way {
            0 => deck.opponent = "Somebody else".to_owned(),
            1 => deck.serves.reverse(),
            2 => deck.serves.push(Serve::unknown("a-new-one".parse().unwrap())),
            3 => deck.safe = deck.plan.pop_first().map(|(_, receive)| receive),
            _ => deck.serves = deck.serves.split_off(deck.serves.len().min(1)),
        }
        deck
    });
}

fn player(bytes: &[u8]) {
    file(bytes, "player.ron", advice::of_player, |mut player: Player, way| {
        match way {
            0 => player.name = "Somebody else".to_owned(),
            1 => player.events.reverse(),
            2 => player.repertoire.push(Owned::new(Wing::Forehand, Stroke::Push, 7)),
            3 => drop(player.events.pop()),
            _ => player.minutes_a_day += 1.0,
        }
        player
    });
}

fn launcher(bytes: &[u8]) {
    file(bytes, "launchers/a.ron", judge_launcher_file, |mut launcher: Launcher, way| {
        match way {
            0 => launcher.name = "another".to_owned(),
            1 => launcher.dials.reverse(),
            2 => launcher.source = Some("said by \"nobody\"".to_owned()),
            3 => drop(launcher.dials.pop()),
            _ => launcher.calibrated = None,
        }
        launcher
    });
}

fn table(bytes: &[u8]) {
    let judge = |constants: &Constants| {
        let wrong = constants.checked().err();
        let said = |error: FlightError| Finding::error(error.to_string());
        wrong.map(|error| Judged { path: Vec::new(), finding: said(error) }).into_iter().collect()
    };
    file(bytes, "table.ron", judge, |mut constants: Constants, way| {
        constants.surface.friction = 0.1 * way as f64;
        constants
    });
}

/// A line of a command in the home at `root`, with this on its input; everything it said.
fn run(root: &Path, line: &[&str], mut input: &[u8]) -> (Result, String) {
    let everywhere = Everywhere {
        home: Some(root.to_owned()),
        now: Some(TODAY.parse().unwrap()),
        seed: Some(1),
    };
    let (mut out, mut err) = (Vec::new(), Vec::new());
    let mut world = World::real(&everywhere, &mut out, &mut err, &mut input).unwrap();
    world.device_root = root.join("../device");
    (world.is_terminal, world.can_draw, world.has_colour) = (false, false, false);
    let words: Vec<String> = ["secondball"].iter().chain(line).map(ToString::to_string).collect();
    let ended = run_line(&words, &mut world);
    // Nothing fails here but what was read.
    if let Err(Failure::Machine { what, source }) = &ended {
        panic!("{line:?}: {what}: {source}");
    }
    (ended, String::from_utf8(out).unwrap())
}

/// The fixture's home with this in one of its files.
fn home_with(file: &str, bytes: &[u8]) -> tempfile::TempDir {
    let folder = tempfile::tempdir().unwrap();
    for (name, text) in FIRST {
        put(&folder.path().join("home"), name, text.as_bytes());
    }
    put(folder.path(), "device/device", b"here\n");
    put(&folder.path().join("home"), file, bytes);
    folder
}

/// What `check` says needs a hand.
fn wrong_in(root: &Path) -> Vec<String> {
    let (_, said) = run(root, &["check", "--json"], b"");
    let findings: Vec<Finding> = serde_json::from_str(&said).unwrap();
    let wrong = findings.iter().filter(|finding| finding.gravity == Gravity::Error);
    wrong.map(Finding::shown).collect()
}

fn rehearsals(bytes: &[u8]) {
    let folder = home_with("rehearsals.ron", bytes);
    let root = &folder.path().join("home");
    let was = wrong_in(root);
    let (logged, _) = run(root, &["rehearse", "log", "--session", "1", "3/7", "-", "1/2"], b"");
    let (_, _) = run(root, &["rehearse", "log", "short-fh=2/4"], b"");
    assert!(was.is_empty() || logged.is_err(), "written down although {was:?}");
    assert!(!was.is_empty() || wrong_in(root).is_empty(), "{:?}", wrong_in(root));
}

/// Two files of a journal, parted by a form feed.
fn journal(bytes: &[u8]) {
    let mut parts = bytes.splitn(2, |byte| *byte == b'\x0c');
    let folder = home_with("journal/olddevice.jsonl", parts.next().unwrap_or_default());
    let root = &folder.path().join("home");
    if let Some(other) = parts.next() {
        let header = Header::for_device("other").line().unwrap();
        put(root, "journal/other.jsonl", &[header.as_bytes(), other].concat());
    }
    for line in bytes.split(|byte| *byte == b'\n') {
        let head = read_head(line);
        let Ok(event) = read_line("d", line) else { continue };
        let head = head.expect("a line that is read has a head");
        assert_eq!((head.n, head.at_ms, head.day), (event.id.n, event.at_ms, event.day));
        is_written(&event);
    }
    let home = Home::at(root.clone(), Device::named("here")).on(today());
    let (ledger, folded) = match home.journal() {
        Ok(ledger) => {
            (ledger, home.fold("none", today(), &Renames::default(), || 0, |n, _| *n += 1))
        }
        Err(Trouble::Findings(findings)) => {
            return assert!(findings.iter().all(|finding| finding.place.is_some()));
        }
        Err(Trouble::Machine { what, source }) => panic!("{what}: {source}"),
    };
    assert_eq!(folded.unwrap().state, ledger.events.len());
    assert!(ledger.findings.iter().all(|finding| finding.place.is_some()));
    let mut memories = Memories::default();
    for event in &ledger.events {
        memories.apply(&Model::default(), event);
    }
    for line in [&["progress", "--json"][..], &["check"]] {
        let (_, _) = run(root, line, b"");
    }
}

fn is_written_today(fact: Fact) {
    let id = EventId { device: "d".to_owned(), n: 1 };
    let at_ms = Moment::noon(today()).epoch_ms();
    is_written(&Event { id, at_ms, day: today(), origin: None, fact });
}

/// An event of somewhere else is written as a line that reads the same.
fn is_written(event: &Event) {
    let line = write_line(event).unwrap();
    assert_eq!(read_line(&event.id.device, line.trim_end().as_bytes()).as_ref(), Ok(event));
}

fn phone(bytes: &[u8]) {
    let Some(text) = text(bytes) else { return };
    let Ok(read) = read_answers(text, "abc234", today()) else { return };
    for event in read.events {
        if let PhoneNews::Fact(fact) = event.news {
            let (id, origin) = (EventId { device: "d".to_owned(), n: 1 }, Some(event.origin));
            is_written(&Event { id, at_ms: event.at_ms, day: event.day, origin, fact });
        }
    }
}

fn points(bytes: &[u8]) {
    let Some(text) = text(bytes) else { return };
    let rows = match points_csv::read("points.csv", text) {
        Ok(rows) => rows,
        Err(findings) => return are_placed("points.csv", text, &findings),
    };
    // The same points as a file of their own.
    let quoted =
        |cell: Option<String>| format!("\"{}\"", cell.unwrap_or_default().replace('"', "\"\""));
    let yes_no = |is: bool| Some(if is { "yes" } else { "no" }.to_owned());
    let mut written = format!("{},day\n", points_csv::COLUMNS.join(","));
    for row in rows.clone() {
        let cells = [
            Some(row.of_match),
            Some(if row.server == End::Me { "me" } else { "them" }.to_owned()),
            row.serve,
            row.meant,
            row.played,
            row.quality.map(|quality| quality.word().to_owned()),
            row.waiting.and_then(yes_no),
            yes_no(row.won),
            row.day.map(|day| day.to_string()),
        ];
        written += &(cells.map(quoted).join(",") + "\n");
    }
    let mut again = points_csv::read("points.csv", &written).unwrap();
    for (again, row) in again.iter_mut().zip(&rows) {
        again.line = row.line;
    }
    assert_eq!(again, rows);
}

fn thrown(bytes: &[u8]) {
    let Some(text) = text(bytes) else { return };
    let launcher = secondball::store::judge_launcher("a", FIRST[2].1).unwrap().value;
    let read = thrown_balls::read_balls("balls.csv", text, &launcher);
    // A remark above changes no ball.
    let below = thrown_balls::read_balls("balls.csv", &format!("# remark\n{text}"), &launcher);
    match (read, below) {
        (Ok(balls), Ok(mut below)) => {
            for ball in &mut below {
                ball.line -= 1;
            }
            assert_eq!(balls, below);
        }
        (Err(findings), Err(below)) => {
            are_placed("balls.csv", text, &findings);
            assert_eq!(findings.len(), below.len());
        }
        (read, below) => panic!("{read:?}, below a remark {below:?}"),
    }
}

/// A serve in parts, a receive in words, results.
fn words(bytes: &[u8]) {
    let Some(text) = text(bytes) else { return };
    let mut serve = Serve::unknown("a".parse().unwrap());
    if ServeLine::read(text).is_ok_and(|line| line.write_into(&mut serve).is_ok()) {
        let mut deck = Deck::new("Invented", "abc234".to_owned());
        deck.serves.push(serve);
        let folder = tempfile::tempdir().unwrap();
        let home = Home::at(folder.path().to_owned(), Device::named("d"));
        home.write_ron("a.ron", None, &deck).unwrap();
        assert_eq!(home.read_ron("a.ron").unwrap(), Some(deck));
    }
    if let Ok(receive) = text.parse::<Receive>() {
        let said = receive.shown();
        assert_eq!(said.parse::<Receive>().map_err(|found| found.shown()), Ok(receive), "{said}");
    }
    let lines: Vec<LogLine> = (1..4)
        .map(|number| LogLine {
            number,
            serve: ["short-fh", "long-bh"][number as usize % 2].parse().unwrap(),
            receive: "backhand block".parse().unwrap(),
            balls: 10 * number,
            up_to: (number == 3).then_some(40),
        })
        .collect();
    let given: Vec<String> = text.split_whitespace().map(str::to_owned).collect();
    if let Ok((logged, settled)) = read_results(&lines, &given, &ServeId::to_string) {
        assert!(settled.iter().all(|number| (1..4).contains(number)));
        for one in logged {
            assert!(one.balls() <= 50, "{one:?}");
            is_written_today(one.fact("abc234"));
        }
    }
}

/// A round by the keys of a terminal: a byte for the round, then a time and a key by turns.
fn keys(bytes: &[u8]) {
    let Some((&kind, presses)) = bytes.split_first() else { return };
    let deck = parse_deck("a", include_str!("../points/north.ron")).unwrap();
    let (kind, memories) = (usize::from(kind), Memories::default());
    let wish = RoundRequest {
        how: How::ALL[kind % How::ALL.len()],
        order: ServeOrder::ALL[kind / 8 % ServeOrder::ALL.len()],
        switch: deck.switches.first().filter(|_| kind & 0x80 != 0),
        balls: 12,
        has_back: kind & 0x40 != 0,
        ..RoundRequest::plain(&deck, Hand::Right, &memories, today())
    };
    let Ok(built) = build(&wish) else { return };
    let mut machine = Machine::new(built.script, Input::Keys);
    let (mut now_ms, mut kept) = (0, 0_usize);
    let presses = presses.chunks_exact(2).map(|press| {
        let act = match press[1] {
            b'\t' => Act::Tick,
            b'\x1b' => Act::Pause,
            key => Act::Key(char::from(key)),
        };
        (u64::from(press[0]) * 20, act)
    });
    for (wait_ms, act) in presses.chain([(0, Act::Interrupt)]) {
        now_ms += wait_ms;
        for said in machine.act(now_ms, act) {
            match said {
                Said::Answer(answer) => {
                    kept += 1;
                    is_written_today(Fact::Answer(answer));
                }
                Said::Undo => kept = kept.checked_sub(1).expect("an answer to take back"),
                Said::Done => assert!(machine.is_done()),
            }
        }
        let _ = machine.picture(now_ms);
    }
    assert!(machine.is_done());
    assert_eq!(machine.act(now_ms, Act::Key(' ')), []);
    let _ = machine.summary();
    // A reading answer is kept in two halves.
    assert!(kept <= 2 * machine.taken().len() + 1);
}

/// A letter for the command, then what is typed.
fn typed(bytes: &[u8]) {
    let Some((letter, given)) = bytes.split_first() else { return };
    let Some(line) = COMMANDS.get(usize::from(letter.wrapping_sub(b'a'))) else { return };
    let (true, Some(text)) = (!given.contains(&0), text(given)) else { return };
    let folder = home_with("../given", given);
    let (root, file) = (&folder.path().join("home"), folder.path().join("given"));
    let words: Vec<&str> = line
        .split(' ')
        .map(|word| match word {
            "TEXT" => text,
            "FILE" => file.to_str().unwrap(),
            word => word,
        })
        .collect();
    let (_, _) = run(root, &words, given);
    // What the program wrote it reads.
    assert!(wrong_in(root).is_empty(), "{words:?}: {:?}", wrong_in(root));
}

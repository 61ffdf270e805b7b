//! What comes with the program beside itself: completions and manual, homes of earlier versions.

#![expect(clippy::unwrap_used, reason = "what cannot be read must fail the test")]

use std::collections::BTreeMap;
use std::io::{Read as _, Write as _};
use std::process::{Command, Stdio};
use std::sync::mpsc;
use std::time::{Duration, Instant};

use crate::drill::terminal::begun;
use crate::harness::{Player, copy, repository};
use crate::hints::{commands, words};
use crate::points::fixture::journal_of;

/// Every command, with the flags of its help.
fn helped(player: &Player, path: &[String], found: &mut BTreeMap<Vec<String>, Vec<String>>) {
    let typed: Vec<&str> = path.iter().map(String::as_str).chain(["--help"]).collect();
    let help = player.run(&typed).fine();
    let flags = help.lines().map(str::trim_start).filter(|line| line.starts_with('-'));
    // Behind two spaces stands what it is for.
    let flags =
        flags.flat_map(|line| line.split("  ").take(1)).flat_map(|line| line.split([' ', ',']));
    let flags = flags.filter(|word| word.starts_with("--"));
    found.insert(path.to_vec(), flags.map(str::to_owned).collect());
    let below = help.lines().skip_while(|line| *line != "Commands:").skip(1);
    for line in below.take_while(|line| !line.is_empty()) {
        let name = line.strip_prefix("  ").filter(|line| !line.starts_with(' '));
        if let Some(name) = name.and_then(|name| name.split(' ').next())
            && name != "help"
        {
            helped(player, &[path, &[name.to_owned()]].concat(), found);
        }
    }
}

#[test]
fn every_command_and_flag_of_the_help_is_in_the_completions_and_in_the_manual() {
    let player = Player::without_home();
    let mut commands = BTreeMap::new();
    helped(&player, &[], &mut commands);
    assert!(commands.len() > 30, "{commands:?}");
    let manual = player.run(&["man"]).fine().replace("\\-", "-");
    let pages: Vec<&str> = manual.split(".TH ").skip(1).collect();
    for (path, flags) in &commands {
        let name = [&["secondball".to_owned()], &path[..]].concat().join("-");
        let page = pages.iter().find(|page| page.split(' ').next() == Some(&*name));
        let page = page.unwrap_or_else(|| panic!("no page of {name}"));
        for flag in flags {
            assert!(page.contains(flag.as_str()), "{flag} is not on the page of {name}:\n{page}");
        }
    }
    for shell in ["bash", "elvish", "fish", "powershell", "zsh"] {
        let script = player.run(&["completions", shell]).fine();
        for (path, flags) in &commands {
            assert!(path.last().is_none_or(|name| script.contains(name)), "{shell}: {path:?}");
            for flag in flags {
                let plain = flag.trim_start_matches('-');
                assert!(script.contains(plain), "{shell}: {path:?} {flag}");
            }
        }
    }
    let mut bash = Command::new("bash").arg("-n").stdin(Stdio::piped()).spawn().unwrap();
    let script = player.run(&["completions", "bash"]).fine();
    bash.stdin.take().unwrap().write_all(script.as_bytes()).unwrap();
    assert!(bash.wait().unwrap().success());
}

/// A home as version 0.1.0 left it before the lines of a journal had checksums.
#[test]
fn a_home_of_an_earlier_version_is_read_as_before_and_written_to() {
    let player = Player::without_home();
    copy(&repository("tests/fixtures/first"), &player.home());
    let counts = || {
        ["answer", "ball", "point", "debrief", "seen"].map(|kind| journal_of(&player, kind).len())
    };
    assert_eq!(counts(), [2, 1, 2, 1, 2]);
    let check = player.run(&["check"]);
    assert_eq!(check.code, 0, "{}{}", check.out, check.err);
    for page in ["today", "progress", "plan", "sheet", "rehearse"] {
        player.run(&[page]).fine();
    }
    let aims = player.run(&["launcher", "aim", "--launcher", "mine"]);
    assert_eq!(aims.code, 0, "{}", aims.err);
    player.run(&["rehearse", "log", "--session", "1", "2/2"]).fine();
    player.run(&["scout", "change", "north", "short-fh", "pace=slow"]).fine();
    assert!(player.read("decks/north-hall.ron").contains("// by hand"));
    player.run(&["points", "north", "--match", "old"]).fine();
    assert_eq!(counts(), [2, 2, 2, 1, 2]);
    // What was called otherwise gets its new name with the first change, and stands there once.
    player.run(&["init", "--minutes", "12"]).fine();
    let text = player.read("player.ron");
    assert!(text.contains("day_begins: 4") && text.contains("wanted_share: 0.9"), "{text}");
    assert!(!text.contains("rollover_hour") && !text.contains("target: "), "{text}");
}

/// What is answered to a question of a command; Enter to any other.
const ANSWERS: [(&str, &[&str]); 11] = [
    ("your hand:", &["right"]),
    ("their hand:", &["left"]),
    ("motion:", &["2", "7"]),
    ("spin:", &["1", "2"]),
    ("depth:", &["1", "3"]),
    ("your lane:", &["2", "4"]),
    ("receive:", &["1", "1"]),
    ("instead (now", &["1"]),
    ("who throws:", &["a friend who feeds"]),
    ("  serve:", &["1"]),
    ("its name", &["long push"]),
];

/// Types a command in a terminal, and answers whenever it waits; a drill is ended.
fn typed(player: &Player, command: &str) -> (u32, String) {
    let words = words(command);
    let (mut child, master) = begun(player, &words.iter().map(String::as_str).collect::<Vec<_>>());
    let (mut reader, mut keys) =
        (master.try_clone_reader().unwrap(), master.take_writer().unwrap());
    let (sender, shown) = mpsc::channel();
    std::thread::spawn(move || {
        let mut bytes = [0; 4096];
        while let Ok(count @ 1..) = reader.read(&mut bytes) {
            if sender.send(String::from_utf8_lossy(&bytes[..count]).into_owned()).is_err() {
                break;
            }
        }
    });
    let is_drill = words.first().is_some_and(|word| word == "drill");
    let (mut seen, mut used, mut last) = (String::new(), BTreeMap::new(), Instant::now());
    for _ in 0..10_000 {
        match shown.recv_timeout(Duration::from_millis(100)) {
            Ok(more) => {
                seen.push_str(&more);
                last = if is_drill { last } else { Instant::now() };
            }
            Err(mpsc::RecvTimeoutError::Timeout) => {}
            Err(mpsc::RecvTimeoutError::Disconnected) => {
                return (child.wait().unwrap().exit_code(), seen);
            }
        }
        if last.elapsed() < Duration::from_millis(200) {
            continue;
        }
        last = Instant::now();
        let plain = console::strip_ansi_codes(&seen).into_owned();
        // Behind an answer the line is empty until something else is asked, however long it takes.
        if !is_drill && plain.rsplit('\n').next().is_none_or(|last| last.trim().is_empty()) {
            continue;
        }
        let asked = ANSWERS.iter().find(|(question, _)| {
            plain.rsplit('\n').next().is_some_and(|last| last.contains(question))
        });
        let answer = asked.and_then(|(question, answers)| {
            let place: &mut usize = used.entry(*question).or_default();
            *place += 1;
            answers.get(*place - 1)
        });
        // The switch is made by its own command.
        let answer =
            answer.filter(|_| !(command.contains("choose") && plain.contains("switch in")));
        let answer = answer.copied().unwrap_or_default();
        let typed = if is_drill { "\u{1b}".to_owned() } else { format!("{answer}\r") };
        // It may have ended meanwhile.
        let _ = keys.write_all(typed.as_bytes());
    }
    panic!("`{command}` never ends: {seen}");
}

#[test]
fn the_five_minutes_of_the_readme_can_be_typed_as_they_stand() {
    let readme = std::fs::read_to_string(repository("README.md")).unwrap();
    let (_, five) = readme.split_once("## Five minutes").unwrap();
    let lines = five.split("```").nth(1).unwrap().lines().skip(1);
    let player = Player::without_home();
    for line in lines {
        let command = line.split('#').next().unwrap_or_default();
        let (code, said) = typed(&player, command);
        assert_eq!(code, 0, "{command}\n{said}");
        for next in
            commands(&console::strip_ansi_codes(&said)).iter().filter(|_| said.contains("Next: "))
        {
            let (code, said) = typed(&player.copied(), next);
            assert_eq!(code, 0, "{command} says `{next}`\n{said}");
        }
    }
    let stand = player.run(&[]).fine();
    assert!(stand.contains("Ready for 0 of 2 serves"), "{stand}");
}

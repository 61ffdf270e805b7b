//! What comes with the program beside itself: completions and manual, homes of earlier versions.

#![expect(clippy::unwrap_used, reason = "what cannot be read must fail the test")]

use std::collections::BTreeMap;
use std::io::Write as _;
use std::process::{Command, Stdio};

use crate::harness::{Player, copy, repository};
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
}

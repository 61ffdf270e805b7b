//! Processes that end badly or meet: nothing acknowledged is lost, nobody writes over anybody.

#![expect(clippy::unwrap_used, reason = "a test helper: a broken fixture is a failed test")]

use crate::harness::flat;
use std::collections::BTreeSet;
use std::io::{BufRead as _, BufReader, Write as _};
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};
use std::time::Duration;

use secondball::store::{Device, Home};

use super::files::{answer, day, home, noon, times};

/// Names the home in which a child process writes.
const CHILD: &str = "SECONDBALL_TEST_WRITER";

/// What the child says before the number of an event it has been told is safe.
const DISK: &str = "on the disk: ";

/// The number in a whole line of the child; a line may be cut off when it is killed.
fn acknowledged_in(line: &str) -> Option<u64> {
    line.split_once(DISK)?.1.strip_suffix('.')?.parse().ok()
}

/// The home named in the environment, when this process is such a child.
#[expect(clippy::disallowed_methods, reason = "the child is this very test, told so by its parent")]
fn child_root() -> Option<PathBuf> {
    std::env::var_os(CHILD).map(PathBuf::from)
}

/// Answers without end, saying each number once it is acknowledged.
fn write_for_ever(root: PathBuf) {
    let home = Home::at(root, Device::named("d1"));
    let today = "2026-11-25";
    let mut writer = home.writer(noon(today), day(today)).unwrap();
    let mut out = std::io::stdout();
    for number in 1_u32.. {
        let at = noon(today).plus_ms(i64::from(number));
        let id = writer.append(at, day(today), answer("k7f3q2", number)).unwrap();
        writeln!(out, "{DISK}{}.", id.n).unwrap();
        out.flush().unwrap();
    }
}

/// This test again in a process of its own.
fn child(test: &str, root: &Path) -> Child {
    Command::new(std::env::current_exe().unwrap())
        .args([test, "--exact", "--nocapture", "--test-threads", "1"])
        .env(CHILD, root)
        .stdout(Stdio::piped())
        .stderr(Stdio::null())
        .spawn()
        .unwrap()
}

#[test]
fn a_process_killed_while_answering_loses_nothing_it_acknowledged() {
    if let Some(root) = child_root() {
        return write_for_ever(root);
    }
    let (_folder, home) = home("d1");
    let mut acknowledged = BTreeSet::new();
    for round in 1..=3_u64 {
        let mut child = child(
            "journal::kill::a_process_killed_while_answering_loses_nothing_it_acknowledged",
            home.root(),
        );
        let mut lines = BufReader::new(child.stdout.take().unwrap()).lines();
        let mut heard = 0;
        while heard < 15 * round {
            if let Some(n) = acknowledged_in(&lines.next().unwrap().unwrap()) {
                acknowledged.insert(n);
                heard += 1;
            }
        }
        // SIGKILL: no handler runs, no buffer is flushed.
        child.kill().unwrap();
        child.wait().unwrap();
        // What it said before it died and nobody had read yet.
        let rest = lines.map_while(Result::ok);
        acknowledged.extend(rest.filter_map(|line| acknowledged_in(&line)));
        let there: BTreeSet<u64> =
            home.journal().unwrap().events.iter().map(|event| event.id.n).collect();
        let lost: Vec<_> = acknowledged.difference(&there).collect();
        assert!(lost.is_empty(), "round {round} lost {lost:?}");
    }
    assert!(acknowledged.len() >= 90, "{}", acknowledged.len());
}

#[test]
fn a_second_process_is_told_who_writes_and_gets_its_turn_afterwards() {
    if let Some(root) = child_root() {
        return write_for_ever(root);
    }
    let (_folder, home) = home("d2");
    let mut child = child(
        "journal::kill::a_second_process_is_told_who_writes_and_gets_its_turn_afterwards",
        home.root(),
    );
    let mut lines = BufReader::new(child.stdout.take().unwrap()).lines();
    while !lines.next().unwrap().unwrap().contains(DISK) {}
    let said = home.writer(noon("2026-11-25"), day("2026-11-25")).unwrap_err().to_string();
    let said = flat(&said);
    let holder = format!("process {} since 2026-11-25T12:00:00+00:00", child.id());
    assert!(said.contains(&holder), "{said}");
    // Reading needs no lock.
    assert!(!times(&home).is_empty());
    child.kill().unwrap();
    child.wait().unwrap();
    assert!(home.writer(noon("2026-11-25"), day("2026-11-25")).is_ok());
}

#[test]
fn a_writer_that_ends_soon_is_waited_for() {
    let (_folder, home) = home("d1");
    let writer = home.writer(noon("2026-11-25"), day("2026-11-25")).unwrap();
    let ending = std::thread::spawn(move || {
        std::thread::sleep(Duration::from_millis(150));
        drop(writer);
    });
    assert!(home.writer(noon("2026-11-25"), day("2026-11-25")).is_ok());
    ending.join().unwrap();
}

//! Damage to the lines of a journal: named with file and line, and everything else goes on.

#![expect(clippy::unwrap_used, reason = "a test helper: a broken fixture is a failed test")]

use crate::harness::{Player, flat};
use secondball::base::Finding;
use secondball::journal::{EventId, Fact};
use secondball::store::Home;

use super::files::{day, home, noon, said, times, write_answers};

/// A line without a checksum, as earlier versions wrote them.
fn old_line(n: u64, at: &str, day: &str, rest: &str) -> String {
    format!("{{\"n\":{n},\"at\":{at},\"day\":\"{day}\",{rest}}}\n")
}

const ANSWER: &str = "\"k\":\"answer\",\"deck\":\"k\",\"serve\":\"a\",\"right\":\"x\",\
                      \"ms\":612,\"window\":700,\"motor\":210";
const HEADER: &str = "{\"secondball\":\"journal\",\"format\":1,\"device\":\"old\"}\n";

#[test]
fn a_number_outside_its_bounds_is_set_aside_by_its_line_and_stops_nothing() {
    let (at, on) = ("1795608000000", "2026-11-25");
    let big = "4294967295";
    let ball = format!(
        "\"k\":\"ball\",\"deck\":\"k\",\"serve\":\"a\",\"right\":\"x\",\"made\":{big},\"missed\":{big}"
    );
    let seen = format!("\"k\":\"seen\",\"deck\":\"k\",\"serve\":\"a\",\"times\":{big}");
    let games =
        format!("\"k\":\"debrief\",\"deck\":\"k\",\"match\":\"m\",\"games\":[[{big},{big}]]");
    let cases = [
        ("the year is 26", old_line(1, at, "0026-11-25", ANSWER)),
        ("the year is 9026", old_line(1, "222711508800000", "9026-11-25", ANSWER)),
        ("counted from noon of the day", old_line(1, "1", on, ANSWER)),
        ("the number `n` is 0", old_line(0, at, on, ANSWER)),
        ("the number `n` is 18446744073709552000", old_line(u64::MAX, at, on, ANSWER)),
        ("a time is 4294967295 ms", old_line(1, at, on, &ANSWER.replace("612", big))),
        ("a time is 4294967295 ms", old_line(1, at, on, &ANSWER.replace("700", big))),
        ("a count is 4294967295", old_line(1, at, on, &ball)),
        ("a count is 4294967295", old_line(1, at, on, &seen)),
        ("a count is 4294967295", old_line(1, at, on, &games)),
        ("duplicate field `n`", old_line(1, at, on, &format!("{ANSWER},\"n\":2"))),
        ("duplicate field `ms`", old_line(1, at, on, &format!("{ANSWER},\"ms\":2"))),
        ("unknown field `gaven`", old_line(1, at, on, &format!("{ANSWER},\"gaven\":\"y\""))),
        (
            "unknown field `gaven`",
            old_line(1, at, on, &format!("{seen},\"gaven\":1").replace(big, "1")),
        ),
    ];
    for (what, line) in cases {
        let (_folder, home) = home("d1");
        std::fs::create_dir_all(home.root().join("journal")).unwrap();
        let good = old_line(2, at, on, ANSWER);
        std::fs::write(home.root().join("journal/old.jsonl"), [HEADER, &line, &good].concat())
            .unwrap();
        let said = flat(&said(&home));
        assert!(said.starts_with("journal/old.jsonl:2:1: warning: this line"), "{what}\n{said}");
        assert!(said.contains(what), "{what}:\n{said}");
        assert_eq!(times(&home), [612], "{what}");
    }
}

#[test]
fn no_day_of_the_journal_stops_a_command_or_what_is_kept_of_it() {
    let player = Player::with_home();
    for (day, at) in [("0026-11-25", "-61317000000000"), ("9026-11-25", "222711508800000")] {
        let line = old_line(1, at, day, ANSWER);
        std::fs::create_dir_all(player.home().join("journal")).unwrap();
        let file = player.home().join("journal/old.jsonl");
        std::fs::write(&file, [HEADER, &line].concat()).unwrap();
        let checked = player.run(&["check"]).out;
        assert!(checked.contains("journal/old.jsonl:2:1"), "{checked}");
        for command in [&["today"][..], &["progress"], &[]] {
            player.run(command).fine();
        }
    }
}

/// What `check` says of the journal.
pub(crate) fn checked(home: &Home) -> String {
    let findings = home.journal_findings().unwrap();
    findings.iter().map(secondball::base::Finding::shown).collect::<Vec<_>>().join("\n")
}

/// A small journal: answers, one taken back, an opponent forgotten.
fn small() -> (tempfile::TempDir, Home) {
    let (folder, home) = home("d1");
    write_answers(&home, "2026-11-25", 1, 3);
    let mut writer = home.writer(noon("2026-11-26"), day("2026-11-26")).unwrap();
    let now = noon("2026-11-26");
    let of = EventId { device: "d1".to_owned(), n: 2 };
    writer.append(now, day("2026-11-26"), Fact::undo(of)).unwrap();
    writer.append(now, day("2026-11-26"), Fact::Forget { deck: "other1".to_owned() }).unwrap();
    drop(writer);
    write_answers(&home, "2026-11-27", 9, 1);
    (folder, home)
}

#[test]
fn every_byte_changed_or_gone_and_every_line_gone_is_named_or_changes_nothing() {
    let (_folder, home) = small();
    let file = home.root().join("journal/d1.jsonl");
    let whole = std::fs::read(&file).unwrap();
    let right = home.journal().unwrap().events;
    assert_eq!(checked(&home), "");
    let mut silent = Vec::new();
    let mut damage = |what: String, bytes: &[u8]| {
        std::fs::write(&file, bytes).unwrap();
        let is_same = home.journal().is_ok_and(|ledger| ledger.events == right);
        let is_named = home.journal_findings().map_or(true, |found| !found.is_empty());
        if !is_same && !is_named {
            silent.push(what);
        }
    };
    for place in 0..whole.len() {
        for change in [1, 2, 4, 8, 16, 32, 64, 128, 3, 255] {
            let mut bytes = whole.clone();
            bytes[place] ^= change;
            damage(format!("byte {place} changed by {change}"), &bytes);
        }
        let mut bytes = whole.clone();
        bytes.remove(place);
        damage(format!("byte {place} gone"), &bytes);
    }
    let lines: Vec<&[u8]> = whole.split_inclusive(|byte| *byte == b'\n').collect();
    // The last line may be gone without a trace: the journal is then the one from before it.
    for gone in 0..lines.len() - 1 {
        let mut lines = lines.clone();
        lines.remove(gone);
        damage(format!("line {gone} gone"), &lines.concat());
    }
    assert_eq!(silent, Vec::<String>::new());
}

#[test]
fn a_missing_line_is_named_where_it_was() {
    let (_folder, home) = small();
    let file = home.root().join("journal/d1.jsonl");
    let text = std::fs::read_to_string(&file).unwrap();
    let lines: Vec<&str> = text.split_inclusive('\n').collect();
    std::fs::write(&file, [&lines[..2], &lines[4..]].concat().concat()).unwrap();
    let said = flat(&checked(&home));
    assert!(
        said.starts_with("journal/d1.jsonl:3:1: warning: 2 events missing before this line"),
        "{said}"
    );
}

#[test]
fn a_forgotten_opponents_events_are_no_damage() {
    let (_folder, home) = home("d1");
    let mut deck = secondball::deck::Deck::new("Invented", "k7f3q2".to_owned());
    deck.serves.push(secondball::game::Serve::unknown("bh-short-fh".parse().unwrap()));
    let stem = home.add_deck(&deck).unwrap();
    write_answers(&home, "2026-11-25", 1, 3);
    home.forget(&stem, noon("2026-11-27"), day("2026-11-27")).unwrap();
    write_answers(&home, "2026-11-28", 4, 1);
    assert_eq!((checked(&home), times(&home)), (String::new(), vec![4]));
}

#[test]
fn lines_of_earlier_versions_are_said_once_a_file_to_be_unprotected_by_check_alone() {
    let (_folder, home) = home("d1");
    std::fs::create_dir_all(home.root().join("journal")).unwrap();
    let lines = [4, 7].map(|n| old_line(n, "1795608000000", "2026-11-25", ANSWER)).concat();
    std::fs::write(home.root().join("journal/old.jsonl"), HEADER.to_owned() + &lines).unwrap();
    let said = flat(&checked(&home));
    assert!(said.contains("2 lines by an earlier version without a checksum"), "{said}");
    assert_eq!(home.journal().unwrap().findings, []);
    assert_eq!(said.matches("checksum").count(), 1, "a gap among them is not told: {said}");
}

/// `check` ended the program over it: it looked for the lines between two in the order of numbers.
#[test]
fn lines_in_another_order_beside_a_damaged_one_are_read() {
    let (_folder, home) = home("d1");
    std::fs::create_dir_all(home.root().join("journal")).unwrap();
    let line = |n| old_line(n, "1795608000000", "2026-11-25", ANSWER);
    let text = [HEADER, &line(2), &line(1), "{\"n\":3\n"].concat();
    std::fs::write(home.root().join("journal/old.jsonl"), text).unwrap();
    let said: String = home.journal_findings().unwrap().iter().map(Finding::shown).collect();
    assert!(said.contains("journal/old.jsonl:4:1: warning: this line was cut off"), "{said}");
    assert_eq!(times(&home), [612, 612]);
}

//! Damage to the lines of a journal: named with file and line, and everything else goes on.

#![expect(clippy::unwrap_used, reason = "a test helper: a broken fixture is a failed test")]

use crate::harness::{Player, flat};

use super::files::{home, said, times};

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
        let checked = player.run(&["check"]).fine();
        assert!(checked.contains("journal/old.jsonl:2:1"), "{checked}");
        for command in [&["today"][..], &["progress"], &[], &["check"]] {
            player.run(command).fine();
        }
    }
}

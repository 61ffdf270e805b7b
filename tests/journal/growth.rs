//! Nothing said of a journal, and no reading of it, grows with the square of what is wrong in it.

use std::fmt::Write as _;

use super::damage::checked;
use super::files::{answer, home, said, times, write_answers};
use super::merge::{event, put};
use crate::harness::flat;
use secondball::journal::Header;

#[test]
fn of_a_hundred_thousand_bad_lines_the_first_are_told_and_the_others_counted() {
    let (_folder, home) = home("d1");
    write_answers(&home, "2026-11-25", 1, 2);
    let mut bad = String::new();
    for number in 0..100_000 {
        writeln!(bad, "rubbish {number}").unwrap();
    }
    let text = Header::for_device("d2").line().unwrap() + &bad;
    std::fs::write(home.root().join("journal/d2.jsonl"), text).unwrap();
    assert_eq!(times(&home), [1, 2]);
    let findings = home.journal_findings().unwrap();
    assert_eq!(findings.len(), 21);
    let said = flat(&checked(&home));
    assert!(said.contains("journal/d2.jsonl:2:1: warning: this line"), "{said}");
    assert!(said.contains("journal/d2.jsonl:21:1: warning: this line"), "{said}");
    assert!(said.ends_with("journal/d2.jsonl: warning: and 99980 more like these"), "{said}");
}

#[test]
fn a_thousand_numbers_with_two_contents_are_told_once() {
    let (_folder, home) = home("d1");
    let events =
        |ms| -> Vec<_> { (1..=1000).map(|n| event("d1", n, 0, answer("k", ms))).collect() };
    put(&home, "d1", "d1", &events(1));
    put(&home, "d1 (2)", "d1", &events(2));
    assert_eq!(times(&home).len(), 2000);
    let findings = home.journal_findings().unwrap();
    assert_eq!(findings.len(), 1, "{findings:?}");
    assert!(findings[0].what.ends_with("and 999 more like it; all count"), "{findings:?}");
}

#[test]
fn a_line_of_nothing_but_noughts_is_named_and_swallows_nothing() {
    let (_folder, home) = home("d1");
    write_answers(&home, "2026-11-25", 1, 1);
    let file = home.root().join("journal/d1.jsonl");
    let mut bytes = std::fs::read(&file).unwrap();
    bytes.resize(bytes.len() + 3_000_000, 0);
    std::fs::write(&file, bytes).unwrap();
    write_answers(&home, "2026-11-26", 2, 1);
    assert_eq!(times(&home), [1, 2]);
    let said = flat(&said(&home));
    assert!(
        said.starts_with("journal/d1.jsonl:3:1: warning: this line has bytes that are no text"),
        "{said}"
    );
    assert!(said.len() < 400, "{}", said.len());
}

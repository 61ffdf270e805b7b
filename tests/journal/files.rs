//! One device's journal: written, cut off anywhere, written on, refused when it is newer.

#![expect(clippy::unwrap_used, reason = "a test helper: a broken fixture is a failed test")]

use crate::harness::{Player, flat};
use std::path::PathBuf;

use secondball::base::{Day, Moment};
use secondball::game::ReceiveKey;
use secondball::journal::{Answer, Event, EventId, Fact, Header, How, Input, Seen, write_line};
use secondball::store::{Device, Home};

/// An empty home of this device in a folder that goes with it.
pub(crate) fn home(device: &str) -> (tempfile::TempDir, Home) {
    let folder = tempfile::tempdir().unwrap();
    let home = Home::at(folder.path().to_owned(), Device::named(device));
    (folder, home)
}

/// The same folder, written to by another device.
pub(crate) fn beside(home: &Home, device: &str) -> Home {
    Home::at(home.root().to_owned(), Device::named(device))
}

pub(crate) fn day(text: &str) -> Day {
    text.parse().unwrap()
}

pub(crate) fn noon(text: &str) -> Moment {
    Moment::noon(day(text))
}

/// An answer in the deck `deck` that took `ms`.
pub(crate) fn answer(deck: &str, ms: u32) -> Fact {
    Fact::Answer(Answer {
        deck: deck.to_owned(),
        serve: "bh-short-fh".parse().unwrap(),
        right: ReceiveKey::from_journal("forehand push early to middle short"),
        given: None,
        how: How::Snap,
        ms,
        window: 700,
        motor: 210,
        tempo: 0,
        input: Input::Keys,
        shown: false,
        is_let: false,
        cut: None,
        switch: None,
    })
}

/// The milliseconds of every answer, in order.
pub(crate) fn times(home: &Home) -> Vec<u32> {
    let events = home.journal().unwrap().events;
    let time = |event: &Event| match &event.fact {
        Fact::Answer(answer) => Some(answer.ms),
        _ => None,
    };
    events.iter().filter_map(time).collect()
}

/// What reading the journal says.
pub(crate) fn said(home: &Home) -> String {
    let findings = home.journal().unwrap().findings;
    findings.iter().map(secondball::base::Finding::shown).collect::<Vec<_>>().join("\n")
}

fn own_file(home: &Home) -> PathBuf {
    home.root().join(format!("journal/{}.jsonl", home.device().id()))
}

/// Answers of 1, 2, ... `count` ms on one day.
pub(crate) fn write_answers(home: &Home, on: &str, from: u32, count: u32) {
    let mut writer = home.writer(noon(on), day(on)).unwrap();
    for number in from..from + count {
        let at = noon(on).plus_ms(i64::from(number) * 1000);
        writer.append(at, day(on), answer("k7f3q2", number)).unwrap();
    }
}

#[test]
fn events_read_back_in_order_with_their_numbers() {
    let (_folder, home) = home("d1");
    write_answers(&home, "2026-11-25", 1, 3);
    write_answers(&home, "2026-11-26", 4, 2);
    let ledger = home.journal().unwrap();
    assert_eq!(ledger.findings, []);
    assert_eq!(times(&home), [1, 2, 3, 4, 5]);
    assert_eq!(ledger.events.iter().map(|event| event.id.n).collect::<Vec<_>>(), [1, 2, 3, 4, 5]);
    assert_eq!(ledger.events[3].day, day("2026-11-26"));
}

#[test]
fn a_line_of_an_answer_is_about_as_long_as_planned() {
    let (_folder, home) = home("d1");
    write_answers(&home, "2026-11-25", 1, 100);
    let length = std::fs::metadata(own_file(&home)).unwrap().len() / 100;
    assert!((120..=200).contains(&length), "{length} bytes a line");
}

#[test]
fn cut_off_at_any_byte_loses_only_what_was_not_written_and_swallows_nothing_after() {
    let (_folder, home) = home("d1");
    write_answers(&home, "2026-11-25", 1, 4);
    let whole = std::fs::read(own_file(&home)).unwrap();
    let header = whole.iter().position(|byte| *byte == b'\n').unwrap() + 1;
    for length in header..=whole.len() {
        std::fs::write(own_file(&home), &whole[..length]).unwrap();
        // A line is whole once its closing bracket is there, with or without the newline.
        let kept = whole[header..length].split(|byte| *byte == b'\n');
        let kept = kept.filter(|line| line.last() == Some(&b'}')).count();
        let is_torn = !matches!(whole[length - 1], b'\n' | b'}');
        let before: Vec<u32> = (1..=u32::try_from(kept).unwrap()).collect();
        assert_eq!(times(&home), before, "cut at {length}");
        assert_eq!(said(&home).contains("this line was cut off"), is_torn, "cut at {length}");
        write_answers(&home, "2026-11-26", 77, 1);
        assert_eq!(times(&home), [before, vec![77]].concat(), "cut at {length}, then written on");
        let ids: Vec<u64> = home.journal().unwrap().events.iter().map(|e| e.id.n).collect();
        assert_eq!(ids, (1..=kept as u64 + 1).collect::<Vec<_>>(), "cut at {length}");
    }
}

#[test]
fn rubbish_in_the_middle_is_set_aside_by_line_and_told() {
    let (_folder, home) = home("d1");
    write_answers(&home, "2026-11-25", 1, 2);
    let mut bytes = std::fs::read(own_file(&home)).unwrap();
    bytes.extend_from_slice(b"\xff\xfe\x00 rubbish\n{\"n\":3}\n\n");
    std::fs::write(own_file(&home), bytes).unwrap();
    write_answers(&home, "2026-11-26", 9, 1);
    assert_eq!(times(&home), [1, 2, 9]);
    let said = said(&home);
    assert!(said.contains("journal/d1.jsonl:4:1: warning: this line has bytes"), "{said}");
    assert!(said.contains("journal/d1.jsonl:5:1: warning: this line is not an event"), "{said}");
}

#[test]
fn a_newer_journal_is_refused_and_left_alone() {
    let (_folder, home) = home("d1");
    write_answers(&home, "2026-11-25", 1, 1);
    let newer = Header { format: 2, ..Header::for_device("d2") }.line().unwrap();
    std::fs::write(home.root().join("journal/d2.jsonl"), &newer).unwrap();
    let said = home.journal().unwrap_err().to_string();
    assert!(said.contains("format 2 is newer than this program, which reads up to 1"), "{said}");
    assert!(said.starts_with("journal/d2.jsonl:1:1"), "{said}");
}

#[test]
fn the_first_format_is_read_for_ever() {
    let (_folder, home) = home("d1");
    std::fs::create_dir_all(home.root().join("journal")).unwrap();
    let fixture = include_str!("format-1.jsonl");
    std::fs::write(home.root().join("journal/k3f9mmq2ab.jsonl"), fixture).unwrap();
    let ledger = home.journal().unwrap();
    assert_eq!(ledger.findings, []);
    let kinds: Vec<&str> = ledger
        .events
        .iter()
        .map(|event| match &event.fact {
            Fact::Answer(_) => "answer",
            Fact::Ball(_) => "ball",
            Fact::Point(_) => "point",
            Fact::Debrief(_) => "debrief",
            Fact::Seen(_) => "seen",
            Fact::Undo { .. } | Fact::Forget { .. } => "applied",
        })
        .collect();
    assert_eq!(kinds, ["answer", "answer", "ball", "point", "debrief", "seen"]);
    assert_eq!(ledger.events[1].origin.as_deref(), Some("phone-2"));
    // What is read is written again as the very same line, fields in the same order.
    let lines: Vec<&str> = fixture.lines().collect();
    for event in &ledger.events {
        let line = write_line(event).unwrap();
        let (content, sum) = line.trim_end().split_once(",\"sum\":\"").unwrap();
        assert!(lines.contains(&&*format!("{content}}}")) && sum.len() == 10, "{line}");
    }
}

#[test]
fn a_clock_behind_the_last_event_asks_first() {
    let (_folder, home) = home("d1");
    write_answers(&home, "2026-11-25", 1, 1);
    let writer = home.writer(noon("2026-11-24"), day("2026-11-24")).unwrap();
    let asked = writer.findings()[0].shown();
    assert!(asked.contains("2026-11-25, 1440 min later"), "{asked}");
    drop(writer);
    let writer = home.writer(noon("2026-11-26"), day("2026-11-26")).unwrap();
    assert_eq!(writer.findings(), []);
}

#[test]
fn events_later_than_tomorrow_wait_until_their_day() {
    let (_folder, home) = home("d1");
    write_answers(&home, "2026-11-25", 1, 2);
    write_answers(&home, "2031-01-01", 3, 2);
    let early = home.clone().on(day("2026-11-26"));
    assert_eq!(times(&early), [1, 2]);
    let said = flat(&said(&early));
    assert!(said.contains("2 events set aside: later than tomorrow, up to 2031-01-01"), "{said}");
    assert_eq!(times(&home.on(day("2030-12-31"))), [1, 2, 3, 4]);
}

#[test]
fn events_of_a_clock_a_year_ahead_get_their_day_or_are_dropped() {
    let mut player = Player::with_home();
    player.at("2026-11-28");
    let kept = Home::at(player.home(), Device::named("testdevice"));
    write_answers(&kept, "2026-11-20", 1, 1);
    write_answers(&kept, "2027-11-25", 2, 2);
    write_answers(&kept, "2027-11-26", 4, 1);
    let checked = flat(&player.run(&["check"]).out);
    assert!(checked.contains("testdevice.jsonl: warning: 3 events set aside"), "{checked}");
    assert!(checked.contains("`secondball check --redate 2026-11-28`"), "{checked}");
    let before = player.journal();
    let refused = flat(&player.run(&["check", "--redate", "2026-11-28", "--yes"]).refused());
    assert!(refused.contains("would be on 2026-11-29: still to come"), "{refused}");
    let asked = flat(&player.run(&["check", "--redate", "2026-11-25"]).refused());
    assert!(asked.contains("moved to 2026-11-25 to 2026-11-26"), "{asked}");
    assert_eq!(player.journal(), before);
    player.run(&["check", "--redate", "2026-11-25", "--yes"]).fine();
    assert!(player.journal().starts_with(&before), "lines are only appended");
    player.run(&["check"]).fine();
    let days = || -> Vec<String> {
        let events = kept.journal().unwrap().events;
        events.iter().map(|event| event.day.to_string()).collect()
    };
    assert_eq!(days(), ["2026-11-20", "2026-11-25", "2026-11-25", "2026-11-26"]);
    assert_eq!(times(&kept), [1, 2, 3, 4]);
    write_answers(&kept, "2027-11-27", 5, 1);
    player.run(&["check", "--drop", "--yes"]).fine();
    assert_eq!(times(&kept), [1, 2, 3, 4]);
    player.run(&["check"]).fine();
}

#[test]
fn an_event_taken_back_is_gone_and_comes_again_when_that_is_taken_back() {
    let (_folder, home) = home("d1");
    write_answers(&home, "2026-11-25", 1, 3);
    let mut writer = home.writer(noon("2026-11-26"), day("2026-11-26")).unwrap();
    let of = EventId { device: "d1".to_owned(), n: 2 };
    let undo = writer.append(noon("2026-11-26"), day("2026-11-26"), Fact::undo(of)).unwrap();
    assert_eq!(times(&home), [1, 3]);
    let again = Fact::undo(undo);
    writer.append(noon("2026-11-26").plus_ms(1), day("2026-11-26"), again).unwrap();
    assert_eq!(times(&home), [1, 2, 3]);
}

#[test]
fn a_forgotten_opponent_counts_no_more_anywhere_and_is_deleted_after_a_month_in_the_bin() {
    let (_folder, home) = home("d1");
    let mut deck = secondball::deck::Deck::new("Invented", "k7f3q2".to_owned());
    deck.serves.push(secondball::game::Serve::unknown("bh-short-fh".parse().unwrap()));
    let stem = home.add_deck(&deck).unwrap();
    write_answers(&home, "2026-11-25", 1, 3);
    let other = beside(&home, "d2");
    write_answers(&other, "2026-11-25", 10, 2);
    let mut writer = home.writer(noon("2026-11-26"), day("2026-11-26")).unwrap();
    writer.append(noon("2026-11-26"), day("2026-11-26"), answer("other1", 99)).unwrap();
    drop(writer);
    let done = home.forget(&stem, noon("2026-11-27"), day("2026-11-27")).unwrap();
    assert_eq!((done.events, done.elsewhere), (3, vec!["journal/d2.jsonl".to_owned()]));
    assert_eq!(times(&home), [99]);
    let own = || std::fs::read_to_string(own_file(&home)).unwrap();
    for (today, lines) in [("2026-12-27", 4), ("2026-12-28", 1)] {
        home.sweep_bin(noon(today), day(today), None).unwrap();
        assert_eq!(own().matches("k7f3q2").count(), lines, "{today}");
    }
    let own = own();
    assert_eq!(own.matches("k7f3q2").count(), 1, "only the tombstone:\n{own}");
    assert_eq!(home.deck_stems().unwrap(), Vec::<String>::new());
    // The other device still had more to say; met again later, the opponent begins anew.
    write_answers(&other, "2026-11-26", 20, 1);
    write_answers(&home, "2026-11-28", 30, 1);
    assert_eq!(times(&home), [99, 30]);
}

#[test]
fn a_renamed_serve_brings_its_history_along() {
    let (_folder, home) = home("d1");
    let mut deck = secondball::deck::Deck::new("Invented", "k7f3q2".to_owned());
    let mut serve = secondball::game::Serve::unknown("short-one".parse().unwrap());
    serve.was.push("bh-short-fh".parse().unwrap());
    deck.serves.push(serve);
    home.add_deck(&deck).unwrap();
    let mut writer = home.writer(noon("2026-11-26"), day("2026-11-26")).unwrap();
    let serve = "bh-short-fh".parse().unwrap();
    let seen = Fact::Seen(Seen::once("k7f3q2".to_owned(), serve));
    writer.append(noon("2026-11-26"), day("2026-11-26"), seen).unwrap();
    let events = home.journal().unwrap().events;
    assert!(matches!(&events[0].fact, Fact::Seen(seen) if seen.serve.as_str() == "short-one"));
}

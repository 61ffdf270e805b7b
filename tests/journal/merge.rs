//! Several devices, copies and repetitions: a union, whatever the order.

#![expect(clippy::unwrap_used, reason = "a test helper: a broken fixture is a failed test")]

use crate::harness::flat;
use proptest::prelude::*;
use secondball::base::Moment;
use secondball::journal::{Event, EventId, Fact, Header, write_line};
use secondball::store::Home;

use super::files::{answer, beside, day, home, said, times, write_answers};

/// Writes a device's file with these events in this order.
pub(crate) fn put(home: &Home, file: &str, device: &str, events: &[Event]) {
    let lines: String = events.iter().map(|event| write_line(event).unwrap()).collect();
    std::fs::create_dir_all(home.root().join("journal")).unwrap();
    let text = Header::for_device(device).line().unwrap() + &lines;
    std::fs::write(home.root().join(format!("journal/{file}.jsonl")), text).unwrap();
}

/// An event so many hours behind noon of the first of November.
pub(crate) fn event(device: &str, n: u64, hour: i64, fact: Fact) -> Event {
    let at = Moment::noon(day("2026-11-01")).plus_ms(hour * 3_600_000);
    Event {
        id: EventId { device: device.to_owned(), n },
        at_ms: at.epoch_ms(),
        day: at.day(4),
        origin: None,
        fact,
    }
}

#[test]
fn two_devices_are_one_history_in_the_order_of_time() {
    let (_folder, home) = home("d1");
    write_answers(&home, "2026-11-25", 1, 1);
    write_answers(&beside(&home, "a9"), "2026-11-26", 2, 1);
    write_answers(&home, "2026-11-27", 3, 1);
    assert_eq!(times(&home), [1, 2, 3]);
    assert_eq!(said(&home), "");
}

#[test]
fn a_copy_of_a_file_changes_nothing() {
    let (_folder, home) = home("d1");
    write_answers(&home, "2026-11-25", 1, 3);
    let folder = home.root().join("journal");
    std::fs::copy(folder.join("d1.jsonl"), folder.join("d1 (conflict).jsonl")).unwrap();
    write_answers(&home, "2026-11-26", 4, 1);
    assert_eq!(times(&home), [1, 2, 3, 4]);
    assert_eq!(said(&home), "");
}

#[test]
fn one_id_with_two_contents_is_told_and_both_are_kept() {
    let (_folder, home) = home("d1");
    put(&home, "d1", "d1", &[event("d1", 1, 0, answer("k", 1)), event("d1", 2, 1, answer("k", 2))]);
    put(&home, "d1 (2)", "d1", &[event("d1", 2, 2, answer("k", 22))]);
    assert_eq!(times(&home), [1, 2, 22]);
    let said = flat(&said(&home));
    assert!(
        said.contains("event 2 of device d1 stands at journal/d1.jsonl:3 and, with other content, at journal/d1 (2).jsonl:2; both count"),
        "{said}"
    );
}

/// A few events of a device: hours, and whether an earlier one is taken back or a deck forgotten.
fn events(device: &'static str) -> impl Strategy<Value = Vec<Event>> {
    proptest::collection::vec((0_i64..200, 0_u8..12, 0_u64..8, 0_usize..3), 0..14).prop_map(
        move |drawn| {
            let fact = |(n, (_, kind, of, deck)): (u64, &(i64, u8, u64, usize))| match kind {
                0 => Fact::undo(EventId { device: device.to_owned(), n: *of }),
                1 => Fact::Forget { deck: ["k", "l", "m"][*deck].to_owned() },
                _ => answer(["k", "l", "m"][*deck], u32::try_from(n).unwrap()),
            };
            let numbered = (1..).zip(&drawn);
            numbered.map(|(n, drawn)| event(device, n, drawn.0, fact((n, drawn)))).collect()
        },
    )
}

fn all(home: &Home) -> Vec<Event> {
    home.journal().unwrap().events
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 128, ..ProptestConfig::default() })]

    #[test]
    fn the_order_of_files_and_lines_and_repetitions_change_nothing(
        first in events("d1"),
        second in events("d2"),
        // What the same device wrote in a home copied with it.
        copied in events("d1"),
        shift in 0_usize..14,
    ) {
        let (_folder, plain) = home("d1");
        put(&plain, "d1", "d1", &first);
        put(&plain, "d2", "d2", &second);
        put(&plain, "d3", "d1", &copied);
        let expected = all(&plain);
        prop_assert!(expected.is_sorted_by_key(|event| (event.day, event.at_ms, event.id.clone())));

        let (_folder, mixed) = home("d1");
        let mut turned = first.clone();
        turned.rotate_left(shift % first.len().max(1));
        // The lines in another order, some of them twice, and in a second file again.
        turned.extend(first.iter().take(3).cloned());
        put(&mixed, "z", "d1", &turned);
        put(&mixed, "y", "d1", &first);
        put(&mixed, "a", "d2", &second);
        put(&mixed, "b", "d1", &copied);
        prop_assert_eq!(all(&mixed), expected);
    }

    #[test]
    fn any_prefix_of_a_journal_is_a_journal(events in events("d1"), length in 0_usize..14) {
        let length = length.min(events.len());
        let (_folder, short) = home("d1");
        put(&short, "d1", "d1", &events[..length]);
        let (_folder, long) = home("d1");
        put(&long, "d1", "d1", &events);
        let path = long.root().join("journal/d1.jsonl");
        let text = std::fs::read_to_string(&path).unwrap();
        let cut: String = text.split_inclusive('\n').take(length + 1).collect();
        std::fs::write(&path, cut).unwrap();
        prop_assert_eq!(all(&short), all(&long));
    }
}

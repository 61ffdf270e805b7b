//! One id for two devices: a home copied together with its device, a machine put back from a copy.

#![expect(clippy::unwrap_used, reason = "a test helper: a broken fixture is a failed test")]

use std::path::Path;

use super::damage::checked;
use super::files::{answer, beside, day, home, noon, said, times, write_answers};
use crate::harness::flat;
use secondball::journal::{EventId, Fact};
use secondball::store::{Device, Home};

/// The home as it is now, in a second folder and written to by the same device.
fn copied(home: &Home) -> (tempfile::TempDir, Home) {
    let folder = tempfile::tempdir().unwrap();
    std::fs::create_dir(folder.path().join("journal")).unwrap();
    let copy = Home::at(folder.path().to_owned(), home.device().clone());
    bring(home, &copy, &format!("{}.jsonl", home.device().id()));
    (folder, copy)
}

/// Brings the device's file of one home into another under this name.
fn bring(from: &Home, to: &Home, name: &str) {
    let own = format!("journal/{}.jsonl", from.device().id());
    std::fs::copy(from.root().join(own), to.root().join("journal").join(name)).unwrap();
}

fn write(home: &Home, on: &str, fact: Fact) -> EventId {
    home.writer(noon(on), day(on)).unwrap().append(noon(on), day(on), fact).unwrap()
}

fn remembered(folder: &Path, random: u64) -> Device {
    Device::remembered(folder, random).unwrap()
}

#[test]
fn an_undo_takes_back_nothing_but_what_it_was_written_for() {
    let (_folder, home) = home("d1");
    write_answers(&home, "2026-11-25", 1, 1);
    let (_other, copy) = copied(&home);
    let of = write(&home, "2026-11-26", answer("k", 2));
    assert_eq!(write(&copy, "2026-11-26", answer("k", 22)), of);
    let undo = write(&home, "2026-11-27", Fact::undo(of));
    // In the copy the number of the taking back is that of an answer.
    assert_eq!(write(&copy, "2026-11-27", answer("k", 33)), undo);
    bring(&copy, &home, "d1 (2).jsonl");
    assert_eq!(times(&home), [1, 22, 33]);
    write(&beside(&home, "d2"), "2026-11-28", Fact::undo(undo));
    assert_eq!(times(&home), [1, 22, 2, 33]);
}

#[test]
fn the_next_number_is_behind_those_of_every_file_of_the_device() {
    let (_folder, home) = home("d1");
    write_answers(&home, "2026-11-25", 1, 2);
    let (_other, copy) = copied(&home);
    write_answers(&copy, "2026-11-26", 3, 3);
    bring(&copy, &home, "brought along.jsonl");
    assert_eq!(write(&home, "2026-11-27", answer("k", 6)).n, 6);
    assert_eq!((times(&home), said(&home)), (vec![1, 2, 3, 4, 5, 6], String::new()));
}

#[test]
fn an_id_used_for_two_contents_gives_the_writer_a_new_device_at_once() {
    let (folder, state) = (tempfile::tempdir().unwrap(), tempfile::tempdir().unwrap());
    let device = remembered(state.path(), 1);
    let home = Home::at(folder.path().to_owned(), device.clone());
    write_answers(&home, "2026-11-25", 1, 2);
    let (_other, copy) = copied(&home);
    // On the other machine, which remembers nothing.
    let copy = beside(&copy, device.id());
    write_answers(&home, "2026-11-26", 3, 1);
    write_answers(&copy, "2026-11-27", 33, 1);
    bring(&copy, &home, "brought along.jsonl");
    let told = |home: &Home| {
        let writer = home.writer(noon("2026-11-28"), day("2026-11-28")).unwrap();
        writer.findings().iter().map(|finding| flat(&finding.shown())).collect::<Vec<_>>().concat()
    };
    let told_first = told(&home);
    let new = remembered(state.path(), 2);
    assert_ne!(new.id(), device.id());
    let wanted = format!("event 3 of device {} is there with two contents, so this", device.id());
    assert!(told_first.contains(&wanted) && told_first.contains(new.id()), "{told_first}");
    // A run that has begun before writes as the new one too.
    for home in [&home, &beside(&home, new.id())] {
        let id = write(home, "2026-11-28", answer("k", 4));
        assert_eq!(id.device, new.id());
    }
    assert_eq!(told(&Home::at(folder.path().to_owned(), new)), "");
    assert_eq!(times(&home), [1, 2, 3, 33, 4, 4]);
    let said = flat(&said(&home));
    assert!(said.contains("event 3 of device") && said.contains("both count"), "{said}");
}

#[test]
fn the_lost_end_of_a_journal_is_told_and_its_numbers_are_not_given_again() {
    let (folder, state) = (tempfile::tempdir().unwrap(), tempfile::tempdir().unwrap());
    let home = Home::at(folder.path().to_owned(), remembered(state.path(), 1));
    write_answers(&home, "2026-11-25", 1, 3);
    assert_eq!(checked(&home), "");
    let file = folder.path().join(format!("journal/{}.jsonl", home.device().id()));
    let text = std::fs::read_to_string(&file).unwrap();
    let first: String = text.split_inclusive('\n').take(2).collect();
    std::fs::write(&file, &first).unwrap();
    let said = flat(&checked(&home));
    assert!(said.contains("2 events missing behind the last line, number 2 to 3"), "{said}");
    assert_eq!(write(&home, "2026-11-26", answer("k", 4)).n, 4);
    let said = flat(&checked(&home));
    assert!(said.contains("2 events missing before this line, number 2 to 3"), "{said}");
    // Another home in the same place knows nothing of it.
    std::fs::remove_file(&file).unwrap();
    assert_eq!(write(&home, "2026-11-26", answer("k", 5)).n, 1);
    assert_eq!(checked(&home), "");
}

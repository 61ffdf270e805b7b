//! Every file of `tests/corpus` goes through its entrance: what a search by coverage reached, and
//! each mistake it found.

use crate::entrances::ENTRANCES;
use crate::harness::repository;

#[test]
fn every_input_that_was_kept_is_read_without_a_panic_and_as_promised() {
    let mut broken = Vec::new();
    for (name, entrance) in ENTRANCES {
        let files = std::fs::read_dir(repository("tests/corpus").join(name)).unwrap();
        for file in files.map(|file| file.unwrap().path()) {
            let bytes = std::fs::read(&file).unwrap();
            if std::panic::catch_unwind(|| entrance(&bytes)).is_err() {
                broken.push(file);
            }
        }
    }
    assert!(broken.is_empty(), "{broken:#?}");
}

//! One entrance under libFuzzer, named by `ENTRANCE`.

#![no_main]

#[path = "../support/entrances.rs"]
mod entrances;

use std::sync::OnceLock;

static ENTRANCE: OnceLock<entrances::Entrance> = OnceLock::new();

libfuzzer_sys::fuzz_target!(|bytes: &[u8]| {
    let run = ENTRANCE.get_or_init(|| {
        let named = std::env::var("ENTRANCE").expect("ENTRANCE names one");
        entrances::ENTRANCES.iter().find(|(name, _)| *name == named).expect("an entrance").1
    });
    run(bytes);
});

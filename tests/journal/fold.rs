//! The fold that is kept gives the very same as a full reading, or is not used.

#![expect(clippy::unwrap_used, reason = "a test helper: a broken fixture is a failed test")]

use std::collections::BTreeMap;

use proptest::prelude::*;
use secondball::base::Day;
use secondball::journal::{Event, EventId, Fact, Renames};
use secondball::store::{Folded, Home};

use super::files::{answer, beside, day, home, noon};

/// Answers by deck and day, and a number that depends on their order.
type State = (BTreeMap<String, BTreeMap<String, u32>>, u64);

fn step(state: &mut State, event: &Event) {
    let deck = event.fact.deck().unwrap_or_default().to_owned();
    *state.0.entry(deck).or_default().entry(event.day.to_string()).or_default() += 1;
    state.1 = state.1.wrapping_mul(31).wrapping_add(event.id.n + event.at_ms.unsigned_abs());
}

/// The fold, or why there is none.
fn try_fold(home: &Home, today: Day) -> Result<Folded<State>, String> {
    home.fold("rules 1", today, &Renames::default(), State::default, step)
        .map_err(|trouble| trouble.to_string())
}

fn fold(home: &Home, today: Day) -> Folded<State> {
    try_fold(home, today).unwrap()
}

/// The fold without what is kept.
fn read_whole(home: &Home, today: Day) -> Result<Folded<State>, String> {
    let cache = home.root().join("cache");
    let aside = home.root().join("aside");
    let had_cache = std::fs::rename(&cache, &aside).is_ok();
    let whole = try_fold(home, today);
    std::fs::remove_dir_all(&cache).ok();
    if had_cache {
        std::fs::rename(&aside, &cache).unwrap();
    }
    whole
}

fn replayed(home: &Home, today: Day) -> State {
    read_whole(home, today).unwrap().state
}

/// `days` days with `a_day` answers each, from the first of January 2026.
fn fill(home: &Home, days: u32, a_day: u32) -> Day {
    let first = day("2026-01-01");
    let mut writer = home.writer(noon("2026-01-01"), first).unwrap();
    for number in 0..days {
        let today = first.plus(number);
        for ms in 0..a_day {
            let at = secondball::base::Moment::noon(today).plus_ms(i64::from(ms) * 1000);
            writer.append_unsynced(at, today, answer(["k", "l"][ms as usize % 2], ms)).unwrap();
        }
    }
    writer.sync().unwrap();
    first.plus(days)
}

fn append(home: &Home, today: Day, fact: Fact) -> EventId {
    let now = secondball::base::Moment::noon(today);
    home.writer(now, today).unwrap().append(now, today, fact).unwrap()
}

#[test]
fn only_what_came_since_is_folded_again() {
    let (_folder, home) = home("d1");
    let today = fill(&home, 100, 30);
    let full = fold(&home, today);
    assert_eq!(full.folded, 3000);
    let again = fold(&home, today);
    assert_eq!(again.folded, 900, "thirty days of thirty");
    assert_eq!(again.state, full.state);
    append(&home, today, answer("k", 5));
    let more = fold(&home, today.plus(1));
    assert_eq!(more.folded, 901);
    assert_eq!(more.state, replayed(&home, today.plus(1)));
    assert_ne!(more.state, full.state);
}

#[test]
fn a_new_device_counts_at_once() {
    let (_folder, home) = home("d1");
    let today = fill(&home, 100, 30);
    fold(&home, today);
    append(&beside(&home, "a2"), today, answer("k", 5));
    let more = fold(&home, today);
    assert_eq!((more.folded, more.state), (901, replayed(&home, today)));
}

#[test]
fn whatever_touches_what_is_folded_means_a_full_reading() {
    type Change = fn(&Home, Day);
    let changes: [(&str, Change); 6] = [
        ("a late event", |home, _| {
            append(home, day("2026-01-05"), answer("k", 1));
        }),
        ("a late event of a new device", |home, _| {
            append(&beside(home, "a2"), day("2026-01-05"), answer("k", 1));
        }),
        ("an old event taken back", |home, today| {
            let of = EventId { device: "d1".to_owned(), n: 7 };
            append(home, today, Fact::undo(of));
        }),
        ("a deck forgotten", |home, today| {
            append(home, today, Fact::Forget { deck: "k".to_owned() });
        }),
        ("a file rewritten", |home, _| {
            let path = home.root().join("journal/d1.jsonl");
            let text = std::fs::read_to_string(&path).unwrap();
            let mut lines: Vec<&str> = text.split_inclusive('\n').collect();
            lines.remove(5);
            std::fs::write(&path, lines.concat()).unwrap();
        }),
        ("a file gone", |home, _| {
            let journal = home.root().join("journal");
            std::fs::rename(journal.join("d1.jsonl"), journal.join("other.jsonl")).unwrap();
        }),
    ];
    for (what, change) in changes {
        let (_folder, home) = home("d1");
        let today = fill(&home, 100, 30);
        let before = fold(&home, today).state;
        change(&home, today);
        let after = fold(&home, today);
        assert!(after.folded > 1400, "{what}: {}", after.folded);
        assert_eq!(after.state, replayed(&home, today), "{what}");
        assert_eq!(after.state == before, what == "a file gone", "{what}");
    }
}

#[test]
fn a_recent_event_taken_back_needs_no_full_reading() {
    let (_folder, home) = home("d1");
    let today = fill(&home, 100, 30);
    fold(&home, today);
    let of = append(&home, today, answer("k", 5));
    append(&home, today, Fact::undo(of));
    let after = fold(&home, today);
    assert_eq!((after.folded, after.state), (900, replayed(&home, today)));
}

#[test]
fn a_fold_kept_by_a_later_clock_hides_none_of_the_last_thirty_days() {
    let (_folder, home) = home("d1");
    let today = fill(&home, 100, 30);
    fold(&home, today);
    let earlier = today.minus(10);
    let mut seen = std::collections::BTreeSet::new();
    let note = |state: &mut State, event: &Event| {
        seen.insert(event.day);
        step(state, event);
    };
    home.fold("rules 1", earlier, &Renames::default(), State::default, note).unwrap();
    assert!((0..=30).all(|ago| seen.contains(&earlier.minus(ago))), "{seen:?}");
}

#[test]
fn other_rules_and_a_damaged_file_are_not_used() {
    let (_folder, home) = home("d1");
    let today = fill(&home, 100, 30);
    let full = fold(&home, today).state;
    let other = home.fold("rules 2", today, &Renames::default(), State::default, step).unwrap();
    assert_eq!((other.folded, other.state), (3000, full.clone()));
    let path = home.root().join("cache/journal.json");
    let text = std::fs::read_to_string(&path).unwrap();
    std::fs::write(&path, &text[..text.len() / 2]).unwrap();
    assert_eq!(
        home.fold("rules 2", today, &Renames::default(), State::default, step).unwrap().state,
        full
    );
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 12, ..ProptestConfig::default() })]

    /// One byte of any line changed, put in or taken out, as a sync tool or a bad disk may do it.
    #[test]
    fn any_byte_of_any_line_counts(
        changes in proptest::collection::vec((any::<prop::sample::Index>(), 0_u8..3, any::<u8>()), 1..4),
    ) {
        let (_folder, home) = home("d1");
        let today = fill(&home, 75, 30);
        append(&beside(&home, "a2"), day("2026-01-03"), answer("k", 3));
        let of = EventId { device: "d1".to_owned(), n: 9 };
        append(&home, day("2026-01-20"), Fact::undo(of));
        fold(&home, today);
        for (place, kind, byte) in changes {
            let path = home.root().join(format!("journal/{}.jsonl", ["d1", "a2"][usize::from(byte > 240)]));
            let mut bytes = std::fs::read(&path).unwrap();
            let place = place.index(bytes.len());
            match kind {
                0 => bytes[place] ^= byte.max(1),
                1 => bytes.insert(place, byte),
                _ => {
                    bytes.remove(place);
                }
            }
            std::fs::write(&path, bytes).unwrap();
            let given = |folded: Folded<State>| (folded.state, folded.findings);
            let (kept, whole) = (try_fold(&home, today), read_whole(&home, today));
            prop_assert_eq!(kept.map(given), whole.map(given));
        }
    }

    /// Whatever is appended day after day, with late events and changes of mind among it.
    #[test]
    fn with_or_without_what_is_kept_the_state_is_the_same(
        changes in proptest::collection::vec((0_u8..8, 0_u32..60, 1_u64..3200, 0_u32..6), 1..8),
    ) {
        let (_folder, home) = home("d1");
        let mut today = fill(&home, 90, 30);
        for (kind, back, n, ahead) in changes {
            fold(&home, today);
            match kind {
                0 => {
                    let of = EventId { device: "d1".to_owned(), n };
                    append(&home, today, Fact::undo(of));
                }
                1 => {
                    append(&home, today.minus(back), Fact::Forget { deck: "l".to_owned() });
                }
                2 => {
                    append(&beside(&home, "a2"), today.minus(back), answer("l", back));
                }
                3 => {
                    append(&home, today.plus(back), answer("k", back));
                }
                _ => {
                    append(&home, today.minus(back), answer("k", back));
                }
            }
            let given = |folded: Folded<State>| (folded.state, folded.findings);
            let (kept, whole) = (try_fold(&home, today), read_whole(&home, today));
            prop_assert_eq!(kept.map(given), whole.map(given));
            today = today.plus(ahead * 4);
        }
    }
}

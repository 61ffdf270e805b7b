//! A home from nothing: made, filled, found again, checked.

#![expect(clippy::unwrap_used, reason = "a test helper: a broken fixture is a failed test")]

use secondball::deck::{Deck, Player};
use secondball::game::Hand;
use secondball::store::{Device, Home, Trouble, parse_deck};

/// The sample deck, as a person writes it (invented).
pub(crate) const SAMPLE: &str = r#"// The left-hander from the north hall (invented).
(
    format: 1,
    key: "k7f3q2",
    opponent: "Left-hander, north hall",
    hand: left, seen_against: right, // seen twice
    serves: [
        // His favourite.
        (id: "bh-short-fh", motion: backhand, spin: side_backspin, weight: medium, breaks: left,
         lane: forehand, depth: short, how_often: often, sure: seen, looks_like: "bh-long-bh"),
        (id: "bh-long-bh", motion: backhand, spin: side_topspin, weight: medium, breaks: left,
         lane: backhand, depth: long, pace: fast, how_often: sometimes, scores: [behind]), // watch it
    ],
    plan: {
        "bh-short-fh": (wing: forehand, stroke: push, timing: early, to: (lane: middle, depth: short),
                        why: "takes the first loop away", then: "backhand, close to the table"),
        "bh-long-bh": (wing: backhand, stroke: fast_loop, to: (lane: forehand, depth: long)),
    },
    safe: (wing: backhand, stroke: push, to: (lane: middle, depth: long)),
    switches: [
        (name: "long push", cue: "steps in for the short one", changes: {
            "bh-short-fh": (wing: forehand, stroke: push, weight: heavy, to: (lane: backhand, depth: long)),
        }),
    ],
    /* that is all */
)
"#;

/// A fresh home in a folder that goes with it.
pub(crate) fn home() -> (tempfile::TempDir, Home) {
    let folder = tempfile::tempdir().unwrap();
    let home = Home::at(folder.path().join("home"), Device::named("test"));
    home.create(&Player::new("Invented Player", Hand::Right)).unwrap();
    (folder, home)
}

/// The sample as a value.
pub(crate) fn sample() -> Deck {
    parse_deck("decks/sample.ron", SAMPLE).unwrap()
}

fn words(trouble: &Trouble) -> String {
    trouble.to_string()
}

#[test]
fn a_home_is_made_once() {
    let (_folder, home) = home();
    assert!(home.exists());
    assert_eq!(home.player().unwrap(), Player::new("Invented Player", Hand::Right));
    let again = home.create(&Player::new("Another", Hand::Left)).unwrap_err();
    assert!(words(&again).contains("there is a player file already"), "{again}");
    assert_eq!(home.check(), []);
}

#[test]
fn a_home_that_is_not_there_names_the_command_that_makes_one() {
    let folder = tempfile::tempdir().unwrap();
    let home = Home::at(folder.path().join("nowhere"), Device::named("test"));
    let trouble = home.player().unwrap_err();
    assert!(words(&trouble).contains("`secondball init`"), "{trouble}");
    assert_eq!(home.decks().unwrap(), []);
    assert_eq!(home.journal().unwrap().events, []);
}

#[test]
fn a_new_deck_reads_back_and_is_laid_out_for_a_person() {
    let (_folder, home) = home();
    let deck = sample();
    let stem = home.add_deck(&deck).unwrap();
    assert_eq!(stem, "left-hander-north-hall");
    assert_eq!(home.deck(&stem).unwrap(), deck);
    let text = std::fs::read_to_string(home.root().join("decks").join(format!("{stem}.ron")));
    insta::assert_snapshot!(text.unwrap());
}

#[test]
fn a_new_player_file_is_laid_out_for_a_person() {
    let (_folder, home) = home();
    let text = std::fs::read_to_string(home.root().join("player.ron")).unwrap();
    insta::assert_snapshot!(text);
}

#[test]
fn a_deck_is_found_by_file_key_name_or_the_beginning_of_only_one() {
    let (_folder, home) = home();
    let first = sample();
    home.add_deck(&first).unwrap();
    let second = Deck { opponent: "Left wing".to_owned(), ..Deck::new("", "zz9abc".to_owned()) };
    home.add_deck(&second).unwrap();
    let decks = home.read_decks().unwrap();
    for named in ["left-hander-north-hall", "k7f3q2", "Left-hander, north hall", "left h", "LEFT-H"]
    {
        assert_eq!(decks.get(&decks.find(named).unwrap()).unwrap().key, "k7f3q2", "{named}");
    }
    let several = decks.find("left").unwrap_err();
    assert!(words(&several).contains("may be 2 opponents"), "{several}");
    let none = decks.find("left-wnig").unwrap_err();
    assert!(words(&none).contains("did you mean `left-wing`?"), "{none}");
}

#[test]
fn two_files_with_one_key_are_never_silently_chosen_between() {
    let (_folder, home) = home();
    let stem = home.add_deck(&sample()).unwrap();
    let decks = home.root().join("decks");
    std::fs::copy(decks.join(format!("{stem}.ron")), decks.join("copy (2).ron")).unwrap();
    for trouble in [
        home.decks().unwrap_err(),
        home.read_decks().unwrap().find(&stem).unwrap_err(),
        home.read_decks().unwrap().find("k7f3q2").unwrap_err(),
        home.add_deck(&sample()).unwrap_err(),
    ] {
        assert!(words(&trouble).contains("key"), "{trouble}");
    }
    assert_eq!(home.check().len(), 1);
}

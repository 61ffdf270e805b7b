//! The file itself: what stands in it, what does not, and that nothing in it can run that is not its own.

use std::collections::BTreeMap;

use proptest::prelude::*;
use secondball::deck::{Deck, Player};
use secondball::game::{Hand, Serve};
use secondball::memory::Memories;
use secondball::page::phone::{
    LARGEST_PAGE, PhoneError, PhonePage, PhoneRequest, PhoneSheet, phone_page,
};
use secondball::page::sheet::{ServeTrouble, sheet};
use serde_json::Value;

use super::decks::deck;

fn page(
    player: &Player,
    decks: &[(String, Deck)],
    has_notes: bool,
) -> Result<PhonePage, PhoneError> {
    let sheets = decks.iter().map(|(stem, deck)| (stem.clone(), sheet_of(deck, player))).collect();
    phone_page(&PhoneRequest {
        home: "h2k4m6",
        now_ms: 1_764_064_243_123,
        today: "2026-11-25".parse().unwrap(),
        player,
        decks,
        memories: &Memories::default(),
        events: &[],
        sheets: &sheets,
        changes: &["a change".to_owned()],
        flights: &BTreeMap::new(),
        receipts: BTreeMap::from([("k3f9x2mw".to_owned(), 12)]),
        caller: None,
        has_notes,
        days: 14,
        seed: 3,
    })
}

/// The sheet of a deck of which nothing is known but itself.
fn sheet_of(deck: &Deck, player: &Player) -> PhoneSheet {
    let today = "2026-11-25".parse().unwrap();
    let due = |serve: &Serve| {
        let switch = deck.switches.first();
        let receive = switch.and_then(|switch| switch.changes.get(&serve.id));
        let due = receive.map(|receive| (switch.unwrap().name.clone(), receive.clone()));
        ServeTrouble { lesson: Some("a lesson".to_owned()), due, ..ServeTrouble::default() }
    };
    let ready = |name: &str| Some(format!("not firm: {name}"));
    let sheet = sheet(deck, player, today, &due, &ready, std::slice::from_ref(&deck.opponent));
    PhoneSheet { sheet, costs: BTreeMap::new() }
}

/// The data of a page, read back out of the file.
fn data(html: &str) -> Value {
    let start = html.find("id=\"data\">").unwrap() + "id=\"data\">".len();
    let end = start + html[start..].find("</script>").unwrap();
    serde_json::from_str(&html[start..end]).unwrap()
}

fn decks(count: u64) -> Vec<(String, Deck)> {
    (0..count).map(|seed| (format!("deck-{seed}"), deck(seed))).collect()
}

#[test]
fn a_page_holds_fourteen_days_in_one_file_and_asks_nobody_for_anything() {
    let player = Player::new("Invented", Hand::Right);
    let made = page(&player, &decks(3), false).unwrap();
    assert!(made.html.len() <= LARGEST_PAGE, "{} bytes", made.html.len());
    let data = data(&made.html);
    let days = data["days"].as_array().unwrap();
    assert_eq!((days.len(), made.days), (14, 14));
    assert!(!days[0]["lists"].as_array().unwrap().is_empty());
    assert_eq!(data["receipts"]["k3f9x2mw"], 12);
    for outside in ["http://", "https://", "src=\"", "@import", "url("] {
        let own = made.html.replace("http://www.w3.org/2000/svg", "");
        assert!(!own.contains(outside), "{outside}");
    }
    assert!(made.html.contains("default-src 'none'"));
    assert!(made.worker.contains("secondball-h2k4m6-1764064243123"));
    serde_json::from_str::<Value>(&made.manifest).unwrap();
}

#[test]
fn a_later_list_supposes_the_earlier_ones_were_answered() {
    let player = Player::new("Invented", Hand::Right);
    let made = page(&player, &decks(1), false).unwrap();
    let data = data(&made.html);
    let patterns = |day: usize| -> Vec<String> {
        let lists = data["days"][day]["lists"].as_array().unwrap();
        let of =
            |list: &Value| serde_json::from_value::<Vec<String>>(list["patterns"].clone()).unwrap();
        lists.iter().flat_map(of).collect()
    };
    assert!(!patterns(0).is_empty());
    assert!(
        patterns(0).iter().all(|one| !patterns(1).contains(one)),
        "not asked again the next day"
    );
    let later: Vec<String> = (1..14).flat_map(patterns).collect();
    assert!(patterns(0).iter().any(|one| later.contains(one)), "and once more within the days");
}

#[test]
fn the_sheet_says_what_the_printed_one_says_in_its_order() {
    let player = Player::new("Invented", Hand::Right);
    let decks = decks(1);
    let html = page(&player, &decks, false).unwrap().html;
    let own = sheet_of(&decks[0].1, &player).sheet;
    let switched = own.rows.iter().find(|row| row.due.is_some()).unwrap();
    let (_, plan) = switched.due.as_ref().unwrap();
    let wanted = [
        "Before the match",
        "Due now: switch the other (not firm: the other)",
        "<dt>when</dt><dd>from the first ball",
        "<ol class=\"serves\">",
        &format!("<p class=\"receive\">{}</p>", switched.receive.as_ref().unwrap()),
        &format!("the plan was {plan}"),
        "<dt>lesson</dt><dd>a lesson</dd>",
        "for anything unread or new",
    ];
    let mut rest = html.as_str();
    for words in wanted {
        let at = rest.find(words).unwrap_or_else(|| panic!("{words} is not there, or too early"));
        rest = &rest[at..];
    }
    assert_eq!(data(&html)["changes"][0], "a change");
}

#[test]
fn many_opponents_cost_days_before_they_cost_the_page() {
    let player = Player::new("Invented", Hand::Right);
    let days: Vec<usize> = (9..13)
        .map(|number| page(&player, &decks(number), false).unwrap())
        .inspect(|made| assert!(made.html.len() <= LARGEST_PAGE))
        .map(|made| made.days as usize)
        .collect();
    assert!(days.is_sorted_by(|more, less| more >= less), "{days:?}");
    assert!(days.iter().any(|days| (1..14).contains(days)), "{days:?}");
    let error = page(&player, &decks(60), false).unwrap_err();
    assert!(matches!(error, PhoneError::TooLarge { .. }), "{error}");
    let nothing = [("empty".to_owned(), Deck::new("Nobody", "abc234".to_owned()))];
    assert!(matches!(page(&player, &nothing, false).unwrap_err(), PhoneError::Nothing));
}

#[test]
fn notes_stay_home_unless_they_are_asked_for() {
    let player = Player::new("Invented", Hand::Right);
    let mut decks = decks(1);
    decks[0].1.private_note = Some("private one".to_owned());
    decks[0].1.serves[0].note = Some("private two".to_owned());
    let without = page(&player, &decks, false).unwrap().html;
    assert!(!without.contains("private one") && !without.contains("private two"));
    let with = page(&player, &decks, true).unwrap().html;
    assert!(with.contains("private one") && with.contains("private two"));
}

/// Text with everything that ever broke out of a page, and plain letters.
fn hostile() -> impl Strategy<Value = String> {
    let pieces = prop::sample::select(vec![
        "</script>",
        "<script>",
        "<!--",
        "-->",
        "]]>",
        "<",
        ">",
        "&",
        "\"",
        "'",
        "\\",
        "\u{2028}",
        "\u{2029}",
        "\0",
        "\n",
        "{{",
        "}}",
        "{%",
        "&lt;",
        "<svg onload=x>",
        "</style>",
        "</title>",
        "é",
        "\u{1f3d3}",
        "a",
        " ",
        "javascript:",
        "\u{202e}",
    ]);
    proptest::collection::vec(pieces, 1..12).prop_map(|pieces| pieces.concat())
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 48, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn no_text_of_a_deck_opens_or_ends_an_element(words in hostile(), name in hostile()) {
        let mut player = Player::new(name.clone(), Hand::Right);
        player.name = name;
        let count = |html: &str| (html.matches('<').count(), html.matches('>').count());
        let plain = page(&Player::new("x", Hand::Right), &filled("x"), true).unwrap().html;
        let made = page(&player, &filled(&words), true).unwrap().html;
        // Every bracket is one of the page's own.
        prop_assert_eq!(count(&made), count(&plain));
        let data = data(&made);
        let shown = data["opponents"][0]["name"].as_str().unwrap();
        prop_assert_eq!(shown, secondball::base::text::one_line(&words));
    }
}

/// A deck with the same words in every field that holds words.
fn filled(words: &str) -> Vec<(String, Deck)> {
    let mut deck = deck(5);
    let own = || Some(words.to_owned());
    deck.opponent = words.to_owned();
    deck.source = own();
    deck.rubbers = own();
    deck.private_note = own();
    for serve in &mut deck.serves {
        serve.motion = Some(secondball::game::Motion::Own(words.to_owned()));
        serve.tells = vec![words.to_owned()];
        serve.note = own();
    }
    for receive in deck.plan.values_mut() {
        (receive.why, receive.expect, receive.then) = (own(), own(), own());
    }
    deck.switches[0].name = words.to_owned();
    deck.switches[0].cue = own();
    vec![("filled".to_owned(), deck)]
}

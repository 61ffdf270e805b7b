//! `progress` as typed: an empty home, one opponent, the page, and names that would like to be more
//! than names.

use crate::harness::Player;

const DECK: &str = include_str!("../browser/north.ron");

/// A page of a home: its text.
fn page(player: &Player, more: &[&str]) -> String {
    let file = player.beside("progress.html");
    let file = file.to_str().unwrap();
    player.run(&[&["progress", "--html", file], more].concat()).fine();
    std::fs::read_to_string(file).unwrap()
}

/// A home in which the invented opponent was drilled and rehearsed.
fn drilled(deck: &str) -> Player {
    let mut player = Player::with_home();
    player.write("decks/north.ron", deck);
    for now in ["2026-11-23", "2026-11-24", "2026-11-25"] {
        player.at(now);
        let drill = ["drill", "--opponent", "north", "--balls", "60", "--simulated", "--keep"];
        player.run(&drill).fine();
    }
    player
        .run(&["rehearse", "log", "--opponent", "north", "bh-short-fh=9/20", "pend-mid=8/8"])
        .fine();
    player
}

#[test]
fn without_a_home_it_says_how_to_make_one() {
    let said = Player::without_home().run(&["progress"]).refused();
    assert!(said.contains("secondball init"), "{said}");
}

#[test]
fn an_empty_home_says_what_to_do_in_every_picture() {
    let player = Player::with_home();
    let said = player.run(&["progress", "--all"]).fine();
    assert_eq!(said.matches("  -> ").count(), 5, "{said}");
    // Without an opponent there is nothing else that would work.
    assert_eq!(said.matches("     secondball scout\n").count(), 5, "{said}");
    let page = page(&player, &[]);
    assert_eq!(page.matches("<p class=\"due\">").count(), 5);
    assert!(!page.contains("<svg"), "nothing is drawn of nothing");
}

#[test]
fn the_text_fits_eighty_columns_and_json_says_its_form() {
    let player = drilled(DECK);
    let said = player.run(&["progress", "--all"]).fine();
    assert!(said.lines().all(|line| line.chars().count() <= 80), "{said}");
    assert!(said.contains("Rehearse short FH: 9 of 20 made."), "{said}");
    assert!(said.contains("A short FH"), "{said}");
    let json = player.run(&["progress", "--opponent", "north", "--json"]).fine();
    let json: serde_json::Value = serde_json::from_str(&json).unwrap();
    assert_eq!(json["format"], 1);
    assert_eq!(json["opponent"], "Left-hander, north hall");
    // What the real drill wrote down is played again as it was: the first day settles, and the
    // next ones go on from there.
    let tempi = json["tempo"]["periods"].as_array().unwrap();
    assert_eq!(tempi.len(), 3);
    assert_eq!(tempi[0]["is_settled"], true, "{tempi:?}");
    let permilles: Vec<f64> = tempi.iter().filter_map(|tempo| tempo["permille"].as_f64()).collect();
    assert!(permilles[1..].iter().all(|later| *later < permilles[0]), "{tempi:?}");
    assert_eq!(json["table"]["opponents"][0]["serves"][0]["made"], 9);
    let unknown = player.run(&["progress", "--opponent", "nobody"]).refused();
    assert!(unknown.contains("nobody"), "{unknown}");
}

#[test]
fn every_picture_of_the_page_says_what_it_shows_and_nothing_is_loaded() {
    let player = drilled(DECK);
    let page = page(&player, &["--opponent", "north"]);
    let pictures = page.matches("<svg ").count();
    assert!(pictures >= 4, "{pictures} pictures");
    for part in ["</svg>", "<title id=", "<desc id=", "role=\"img\""] {
        assert_eq!(page.matches(part).count(), pictures, "{part}");
    }
    assert_eq!(page.matches("<details>").count(), 4);
    for outside in ["http://", "https://", "<script", "<link rel=\"stylesheet", "@import"] {
        assert!(!page.contains(outside), "{outside}");
    }
    assert!(page.contains("prefers-color-scheme: dark") && page.contains("@media print"));
}

#[test]
fn nothing_in_a_deck_becomes_markup() {
    let evil = "</title><script>alert(1)</script><img src=x onerror=alert(2)> \\\"&";
    let deck = DECK
        .replace("Left-hander, north hall", evil)
        .replace("\"long push\"", &format!("\"{evil}\""));
    let player = drilled(&deck);
    for more in [&[][..], &["--opponent", "north"]] {
        let page = page(&player, more);
        assert!(
            page.contains("&#60;script&#62;") || page.contains("&lt;script&gt;"),
            "it is shown"
        );
        assert!(!page.contains("<script") && !page.contains("<img"), "it is no markup");
        assert_eq!(page.matches("</title>").count(), 1 + page.matches("<title id=").count());
        assert!(page.contains("default-src 'none'"), "no script may run at all");
    }
}

//! Progress over a journal that is kept folded: the same pictures with and without that, and
//! whatever a serve was called when it was answered.

use std::fmt::Write as _;

use crate::harness::Player;

const DECK: &str = include_str!("../browser/north.ron");

/// Two years of answers of two devices, to two opponents, in every way and with every input; the
/// serve is called `name` until twelve weeks ago.
fn journal(device: &str, name: &str) -> String {
    let mut text = format!("{{\"secondball\":\"journal\",\"format\":1,\"device\":\"{device}\"}}\n");
    let first: secondball::base::Day = "2024-11-25".parse().unwrap();
    let mut n = 0;
    for ahead in (0..730_u32).filter(|ahead| ahead % 7 < 5) {
        for ball in 0..5_u32 {
            n += 1;
            let roll = (n * 7_919 + ahead * 31) % 101;
            let deck = if roll % 3 == 0 { "gone22" } else { "k7f3q2" };
            let serve = match roll % 4 {
                0 => "pend-mid",
                _ if ahead < 650 => name,
                _ => "bh-short-fh",
            };
            let given = if roll < 20 { ",\"given\":\"backhand block\"" } else { "" };
            let how = if roll % 13 == 0 { ",\"how\":\"think\"" } else { "" };
            let input = ["", ",\"input\":\"tap\"", ",\"input\":\"script\""][roll as usize % 3];
            let is_let = if roll % 17 == 0 { ",\"let\":true" } else { "" };
            let at = u64::from(ahead) * 86_400_000 + u64::from(ball) * 4_000 + 1_732_500_000_000;
            writeln!(
                text,
                "{{\"n\":{n},\"at\":{at},\"day\":\"{}\",\"k\":\"answer\",\"deck\":\"{deck}\",\"serve\":\"{serve}\",\
                 \"right\":\"forehand push\"{given}{how},\"ms\":{},\"window\":{},\"motor\":210{input}{is_let}}}",
                first.plus(ahead),
                300 + roll * 5,
                580 + roll % 8 * 20,
            )
            .unwrap();
        }
    }
    text
}

/// A home with such a journal, whose serve was called `name` once.
fn home(name: &str, deck: &str) -> Player {
    let mut player = Player::with_home();
    player.write("decks/north.ron", deck);
    player.write("journal/laptop.jsonl", &journal("laptop", name));
    player.write("journal/phone.jsonl", &journal("phone", name));
    player.at("2026-11-25");
    player
}

fn pictures(player: &Player) -> [String; 2] {
    let asked: [&[&str]; 2] =
        [&["progress", "--json"], &["progress", "--opponent", "north", "--json"]];
    asked.map(|command| player.run(command).fine())
}

#[test]
fn progress_says_the_same_from_the_kept_fold_and_whatever_a_serve_was_called() {
    let id = "(id: \"bh-short-fh\",";
    assert!(DECK.contains(id));
    let renamed = DECK.replace(id, "(id: \"bh-short-fh\", was: [\"hook\"],");
    let player = home("hook", &renamed);
    let replayed = pictures(&player);
    assert!(player.home().join("cache/journal.json").exists());
    assert_eq!(pictures(&player), replayed);
    assert_eq!(pictures(&home("bh-short-fh", DECK)), replayed);
    let all: serde_json::Value = serde_json::from_str(&replayed[0]).unwrap();
    assert_eq!(all["windows"]["periods"].as_array().unwrap().len(), 26);
    assert_eq!(all["tempo"]["periods"].as_array().unwrap().len(), 26);
    assert_ne!(
        all["windows"],
        serde_json::from_str::<serde_json::Value>(&replayed[1]).unwrap()["windows"]
    );
}

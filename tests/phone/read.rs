//! `phone read` with the real program: taken in once, with its origin, and nothing that cannot be right.

use serde_json::{Value, json};

use crate::harness::Player;

const DECK: &str = r#"(
    format: 1,
    key: "k7f3q2",
    opponent: "Invented north",
    serves: [
        // the short one
        (id: "short-fh", motion: pendulum, spin: backspin, lane: forehand, depth: short),
        (id: "long-bh", motion: backhand, lane: backhand, depth: long),
    ],
    plan: {
        "short-fh": (wing: forehand, stroke: push, to: (lane: middle, depth: short)),
        "long-bh": (wing: backhand, stroke: block),
    },
)
"#;

/// A home that has written a page, and the key its pages carry.
fn player() -> (Player, String) {
    let player = Player::with_home();
    player.write("decks/north.ron", DECK);
    let page = player.beside("page");
    player.run(&["phone", "write", page.to_str().unwrap()]).fine();
    let text = player.read("phone.ron");
    let key = text.split("key: \"").nth(1).unwrap().split('"').next().unwrap().to_owned();
    (player, key)
}

fn answer(n: u64, serve: &str) -> Value {
    json!({"sitting": "k3f9x2mw", "n": n, "at": 1_764_064_000_000_u64 + n, "day": "2026-11-25", "fact": {
        "k": "answer", "deck": "k7f3q2", "serve": serve, "right": "forehand push to middle short",
        "how": "snap", "ms": 600, "window": 900, "motor": 300, "input": "tap"}})
}

fn file(key: &str, events: &[Value]) -> String {
    json!({"secondball": "phone", "format": 1, "home": key, "version": "0.1.0", "made": 1,
        "count": events.len(), "events": events})
    .to_string()
}

fn journal(player: &Player) -> String {
    let folder = player.home().join("journal");
    let mut text = String::new();
    for entry in std::fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        if path.extension().is_some_and(|ending| ending == "jsonl") {
            text.push_str(&std::fs::read_to_string(path).unwrap());
        }
    }
    text
}

#[test]
fn answers_are_taken_in_once_with_their_origin() {
    let (player, key) = player();
    let first = file(&key, &[answer(1, "short-fh"), answer(2, "short-fh")]);
    let said = player.run_with_input(&["phone", "read", "-"], &first);
    assert_eq!(said.err, "");
    assert_eq!(said.fine(), "taken in: 2 answers, Wed 25 Nov\n");
    let lines = journal(&player);
    assert!(lines.contains("\"origin\":\"k3f9x2mw/2\""), "{lines}");
    assert!(lines.contains("\"at\":1764064000002,\"day\":\"2026-11-25\""), "{lines}");
    // Again, alone and with something new behind it, from a file and in another order.
    let again = player.run_with_input(&["phone", "read", "-"], &first).fine();
    assert_eq!(again, "nothing new\n2 events here already\n");
    assert_eq!(journal(&player), lines);
    let more = file(&key, &[answer(3, "short-fh"), answer(2, "short-fh"), answer(1, "short-fh")]);
    let path = player.beside("answers.json");
    std::fs::write(&path, format!("\u{feff}{more}\n")).unwrap();
    let more = player.run(&["phone", "read", path.to_str().unwrap(), "--json"]).fine();
    let taken: Value = serde_json::from_str(&more).unwrap();
    assert_eq!((&taken["answers"], &taken["known"]), (&json!(1), &json!(2)));
    assert!(player.run(&["check"]).fine().contains("reads well"));
    // The next page says so.
    let page = player.beside("page");
    player.run(&["phone", "write", page.to_str().unwrap()]).fine();
    let html = std::fs::read_to_string(page.join("index.html")).unwrap();
    assert!(html.contains("\"receipts\":{\"k3f9x2mw\":3}"));
}

#[test]
fn what_was_taken_back_on_the_phone_is_taken_back_here_and_stays_so() {
    let (player, key) = player();
    let undo = json!({"sitting": "k3f9x2mw", "n": 2, "at": 1_764_064_000_002_u64, "day": "2026-11-25",
        "fact": {"k": "undo", "of": {"device": "k3f9x2mw", "n": 1}}});
    let text = file(&key, &[answer(1, "short-fh"), undo.clone()]);
    let said = player.run_with_input(&["phone", "read", "-"], &text).fine();
    assert_eq!(said, "taken in: 1 answer and 1 slip taken back, Wed 25 Nov\n");
    let again = player.run_with_input(&["phone", "read", "-"], &text).fine();
    assert_eq!(again, "nothing new\n2 events here already\n");
    // A slip of something that never came is told.
    let lone = json!({"sitting": "other", "n": 2, "at": 1_764_064_000_005_u64, "day": "2026-11-25",
        "fact": {"k": "undo", "of": {"device": "other", "n": 1}}});
    let said = player.run_with_input(&["phone", "read", "-"], &file(&key, &[lone]));
    assert!(said.err.contains("takes back other/1, which never came; set aside"), "{}", said.err);
}

#[test]
fn a_pattern_that_is_not_here_is_kept_and_told() {
    let (player, key) = player();
    let mut elsewhere = answer(2, "gone");
    elsewhere["fact"]["deck"] = json!("zzz999");
    let mut other = answer(3, "short-fh");
    other["fact"]["right"] = json!("backhand chop");
    let said = player
        .run_with_input(
            &["phone", "read", "-"],
            &file(&key, &[answer(1, "short-fh"), elsewhere, other]),
        )
        .fine();
    assert!(said.starts_with("taken in: 3 answers"), "{said}");
    let plain = said.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(
        plain.contains(
            "2 events about patterns this home does not hold (zzz999/gone, k7f3q2/short-fh); kept"
        ),
        "{said}"
    );
    assert!(journal(&player).contains("zzz999"));
}

#[test]
fn a_serve_scouted_in_the_hall_is_written_into_its_deck_and_no_comment_is_lost() {
    let (player, key) = player();
    let scouted = |n: u64, deck: Value, opponent: &str| {
        json!({"sitting": "k3f9x2mw", "n": n, "at": 1_764_064_000_000_u64 + n, "day": "2026-11-25", "fact": {
            "k": "scouted", "deck": deck, "opponent": opponent,
            "serve": {"id": "new", "sure": "seen", "motion": "tomahawk", "depth": "short", "tells": ["looks \"up\""]}}})
    };
    let text = file(
        &key,
        &[
            scouted(1, json!("k7f3q2"), "Invented north"),
            scouted(2, Value::Null, "Invented east"),
            scouted(3, Value::Null, "invented EAST"),
        ],
    );
    let said = player.run_with_input(&["phone", "read", "-"], &text).fine();
    assert!(said.contains("2 new serves"), "{said}");
    assert!(said.contains("Invented north: tomahawk-short"), "{said}");
    let north = player.read("decks/north.ron");
    assert!(north.contains("// the short one") && north.contains("tomahawk"), "{north}");
    assert!(player.read("decks/invented-east.ron").contains("tomahawk-short"));
    player.run_with_input(&["phone", "read", "-"], &text).fine();
    assert_eq!(player.read("decks/north.ron"), north);
    assert!(player.run(&["check"]).out.contains("reads well"));
}

#[test]
fn what_cannot_be_right_is_set_aside_alone() {
    let (player, key) = player();
    let with = |n: u64, path: &str, value: Value| {
        let mut event = answer(n, "short-fh");
        *event.pointer_mut(path).unwrap() = value;
        event
    };
    let point = json!({"sitting": "a", "n": 1, "at": 5, "day": "2026-11-25", "fact": {"k": "forget", "deck": "k7f3q2"}});
    let events = [
        answer(1, "short-fh"),
        with(2, "/fact/serve", json!("NOT AN ID <b>")),
        with(3, "/fact/how", json!("telepathy")),
        with(4, "/fact/ms", json!(-4)),
        with(5, "/day", json!("2027-11-25")),
        with(6, "/day", json!("1999-01-01")),
        with(7, "/sitting", json!("../../etc")),
        with(8, "/fact/right", json!("x".repeat(3000))),
        with(9, "/n", json!(1)),
        point,
        answer(10, "long-bh"),
    ];
    let said = player.run_with_input(&["phone", "read", "-"], &file(&key, &events));
    assert_eq!(said.code, 0, "{}", said.err);
    assert!(said.out.starts_with("taken in: 2 answers"), "{}", said.out);
    assert!(said.out.contains("events set aside"), "{}", said.out);
    for words in [
        "NOT AN ID",
        "telepathy",
        "still to come",
        "too long ago",
        "no number of a phone",
        "3000 characters",
        "not send events of this kind",
    ] {
        assert!(said.err.contains(words), "{words}: {}", said.err);
    }
    assert!(!journal(&player).contains("forget"));
}

#[test]
fn what_cannot_be_read_as_a_whole_changes_nothing() {
    let (player, key) = player();
    let good = file(&key, &[answer(1, "short-fh")]);
    let cases = [
        (good[..good.len() - 20].to_owned(), "cut off"),
        (good.replace(&key, "somebody2else"), "belong to another home, `somebody2else`"),
        (good.replace("\"format\":1", "\"format\":9"), "format 9 is newer"),
        (
            good.replace("\"secondball\":\"phone\"", "\"secondball\":\"toaster\""),
            "not the answers of a phone",
        ),
        (good.replace("\"count\":1", "\"count\":2"), "of 2 events, 1 came"),
        ("hello".to_owned(), "no answers of a phone"),
        (String::new(), "there is nothing in it"),
        (format!("{}{good}", " ".repeat(9 * 1024 * 1024)), "larger than 8 MB"),
    ];
    for (text, words) in cases {
        let said = player.run_with_input(&["phone", "read", "-"], &text);
        assert!(said.err.contains(words), "{words}: {}", said.err);
        assert_eq!(said.code, 1);
    }
    assert!(!journal(&player).contains("answer"));
    let said = player.run(&["phone", "read", "nowhere.json"]).refused();
    assert!(said.contains("there is no file `nowhere.json`"), "{said}");
}

#[test]
fn a_message_with_the_answers_in_it_is_read_and_a_let_is_no_answer() {
    let (player, key) = player();
    let mut is_let = answer(2, "short-fh");
    is_let["fact"]["let"] = json!(true);
    let seen = |n: u64| {
        let mut seen = answer(n, "short-fh");
        seen["fact"] = json!({"k": "seen", "deck": "k7f3q2", "serve": "short-fh", "times": 1});
        seen
    };
    let text = file(&key, &[answer(1, "short-fh"), is_let, seen(3), seen(4), seen(5)]);
    let lines = text.replace("},{", "},\n{");
    let message = format!("Hello,\nhere they are:\n\n{lines}\n\nSee you\n-- \nsent by {{mail}}\n");
    let said = player.run_with_input(&["phone", "read", "-"], &message).fine();
    assert_eq!(said, "taken in: 1 answer, 1 let and 3 serves seen again, Wed 25 Nov\n");
}

#[test]
fn a_home_without_pages_and_a_home_without_plans_say_what_to_do() {
    let player = Player::with_home();
    let said = player.run_with_input(&["phone", "read", "-"], "{}").refused();
    assert!(said.contains("this home has never written a page"), "{said}");
    let said = player.run(&["phone", "write", "page"]).refused();
    assert!(said.contains("no serve has a receive yet"), "{said}");
}

#[test]
fn an_event_that_no_line_may_hold_is_set_aside_alone() {
    let (player, key) = player();
    let mut late = answer(2, "short-fh");
    // Its instant lies years from its day.
    late["at"] = json!(9_000_000_000_000_u64);
    let given = file(&key, &[answer(1, "short-fh"), late, answer(3, "long-bh")]);
    let said = player.run_with_input(&["phone", "read", "-"], &given);
    assert_eq!(said.code, 0, "{}", said.err);
    assert!(said.err.contains("event k3f9x2mw/2: the instant"), "{}", said.err);
    assert_eq!(journal(&player).matches("k3f9x2mw/").count(), 2);
}

//! The command `drill` of the real program, without a terminal.

use crate::harness::Player;

/// A home with one invented opponent: four serves, one switch.
pub fn player() -> Player {
    let player = Player::with_home();
    player.write("decks/north.ron", DECK);
    player
}

const DECK: &str = r#"(
    format: 1, key: "abc234", opponent: "Invented north", hand: left, seen_against: right,
    serves: [
        (id: "short-fh", motion: backhand, spin: backspin, lane: forehand, depth: short, looks_like: "long-bh"),
        (id: "long-bh", motion: backhand, spin: topspin, lane: backhand, depth: long),
        (id: "half-mid", motion: pendulum, spin: backspin, lane: middle, depth: half_long),
        (id: "long-fh", motion: forehand, spin: topspin, lane: wide_forehand, depth: long),
    ],
    plan: {
        "short-fh": (wing: forehand, stroke: push, timing: early, to: (lane: middle, depth: short), why: "takes the loop away"),
        "long-bh": (wing: backhand, stroke: fast_loop, to: (lane: forehand, depth: long)),
        "half-mid": (wing: backhand, stroke: banana_flick, to: (lane: backhand, depth: long)),
        "long-fh": (wing: forehand, stroke: slow_loop, to: (lane: middle, depth: long)),
    },
    switches: [
        (name: "long push", cue: "steps in", changes: {
            "short-fh": (wing: forehand, stroke: push, weight: heavy, to: (lane: backhand, depth: long)),
        }),
    ],
)
"#;

/// Answers in the journal.
pub fn answers(player: &Player) -> usize {
    journal(player).matches("\"k\":\"answer\"").count()
}

fn journal(player: &Player) -> String {
    let folder = player.home().join("journal");
    let mut text = String::new();
    for entry in std::fs::read_dir(folder).expect("a journal") {
        let path = entry.expect("an entry").path();
        if path.extension().is_some_and(|ending| ending == "jsonl") {
            text += &std::fs::read_to_string(path).expect("a journal file");
        }
    }
    text
}

#[test]
fn a_file_of_keys_is_played_back_the_same_every_time() {
    let keys = "# three right, one slip taken back, one ball let go\nright 600\nright 450\nx 500\nundo 200\n\
                right 700\nnone\nright 2600\nright -20\nright 500\n";
    let run = || {
        let player = player();
        std::fs::write(player.beside("my.keys"), keys).expect("a file");
        let out =
            player.run(&["drill", "--opponent", "north", "--keys", "my.keys", "--plain"]).fine();
        (out, journal(&player).lines().skip(1).map(str::to_owned).collect::<Vec<_>>())
    };
    let (out, lines) = run();
    assert_eq!(run(), (out.clone(), lines.clone()));
    assert!(out.contains("Let: a key before contact is a guess. It comes again soon."), "{out}");
    assert!(out.contains("No answer: counts as wrong"), "{out}");
    assert_eq!(lines.iter().filter(|line| line.contains("\"k\":\"undo\"")).count(), 1);
    assert!(lines.iter().any(|line| line.contains("\"input\":\"script\"")));
}

#[test]
fn a_simulated_player_is_labelled_and_leaves_no_answer_unless_asked_to() {
    let player = player();
    let out = player.run(&["drill", "--opponent", "north", "--simulated"]).fine();
    assert!(out.contains("A simulated player played this; nobody has learnt anything."), "{out}");
    player.run(&["drill", "--opponent", "north", "--simulated", "--keep"]).fine();
    assert!(answers(&player) >= 12);
    assert!(journal(&player).contains("\"input\":\"simulated\""));
}

#[test]
fn an_opponent_is_named_by_place_or_by_flag_but_not_by_both() {
    let player = player();
    let drilled = |whom: &[&str]| {
        let rest = ["--simulated", "--switch", "long push", "--json", "--seed", "7"];
        player.run(&[&["drill"], whom, &rest].concat())
    };
    assert_eq!(drilled(&["north"]).fine(), drilled(&["--opponent", "north"]).fine());
    let said = drilled(&["north", "--opponent", "north"]).refused();
    assert!(said.contains("cannot be used with"), "{said}");
    assert!(drilled(&[]).refused().contains("needs: opponent"));
}

#[test]
fn a_days_round_asks_what_is_due_and_goes_on_until_the_minutes_are_up() {
    let player = player();
    std::fs::write(player.beside("keys"), "right 500\n".repeat(300)).expect("a file");
    let said = player.run(&["drill", "--keys", "keys", "--plain"]).fine();
    // Four serves under the plan, then one under the switch, its receive not shown before.
    let (first, call) = (said.find("Ball 4."), said.find("Call: switch, long push."));
    assert!(first.is_some() && call > first, "{said}");
    let card = &said[call.unwrap_or_default()..];
    let card = &card[..card.find("Space goes on.").unwrap_or_default()];
    assert!(card.contains("Until now") && !card.contains("From now"), "{card}");
    assert!(said.contains("Your minutes are up."), "{said}");
    let in_ten_minutes = answers(&player);
    assert!((100..250).contains(&in_ten_minutes), "{in_ten_minutes}");
    // Once more on the same day is practice; nothing has to be due.
    let said = player.run(&["drill", "--keys", "keys", "--minutes", "2"]).fine();
    assert!(answers(&player) > in_ten_minutes + 20);
    assert!(said.ends_with(" right in time. 1.0 times match time.\n"), "{said}");
}

#[test]
fn a_serve_that_was_wrong_twice_is_named_at_the_end_and_comes_first_tomorrow() {
    let mut player = player();
    let keys = "right 500\n".repeat(5) + &"none\nspace\nnone\nspace\nnone\n".repeat(6);
    std::fs::write(player.beside("keys"), keys).expect("a file");
    let said = player.run(&["drill", "--keys", "keys"]).fine();
    let wrong: Vec<&str> = said.lines().filter(|line| line.contains("Wrong ")).collect();
    assert!(!wrong.is_empty(), "{said}");
    let named = said.split("Wrong ").nth(1).and_then(|rest| rest.split(": ").nth(1)).unwrap_or("");
    let named = named.split(" (").next().unwrap_or_default().to_owned();
    std::fs::write(player.beside("keys"), "right 500\n").expect("a file");
    let tomorrow = ["drill", "--keys", "keys", "--plain"];
    let said = player.at("2026-11-26T18:00:00+00:00").run(&tomorrow).fine();
    let first = said.split("Toss.").nth(1).unwrap_or_default().trim_start();
    let first = crate::harness::flat(first);
    // Named shortly at the end, in full when it comes again.
    let asked = first.split(" motion").next().unwrap_or_default();
    let full = named.replace("FH", "forehand").replace("BH", "backhand");
    assert!(full.split([' ', ',']).all(|word| asked.contains(word)), "{named} / {first}");
}

#[test]
fn a_switch_round_is_summed_up_with_the_balls_behind_every_number() {
    let player = player();
    std::fs::write(player.beside("keys"), "right 500\n".repeat(80)).expect("a file");
    let arguments = ["drill", "--opponent", "north", "--switch", "long push", "--keys", "keys"];
    let out = player.run(&arguments).fine();
    assert!(out.contains("switch cost   +0 ms (6 balls); +0 wrong of 100 (6 balls)"), "{out}");
    assert!(out.contains("three clean   after 3 switched balls"), "{out}");
    let stages = |stage: &str| journal(&player).matches(&format!("\"stage\":\"{stage}\"")).count();
    assert_eq!((stages("before"), stages("after")), (18, 24));
    let json = player.run(&[&arguments[..], &["--json"]].concat()).fine();
    let json: serde_json::Value = serde_json::from_str(&json).expect("JSON");
    assert_eq!(json["format"], 1);
    assert_eq!(json["rounds"][0]["switch"]["cost_ms"]["balls"], 6);
}

#[test]
fn a_second_switch_is_called_while_the_first_one_stands() {
    let player = player();
    let more =
        ["plan", "switch", "add", "north", "safe side", "short-fh", "backhand push to middle long"];
    player.run(&more).fine();
    std::fs::write(player.beside("keys"), "right 500\n".repeat(160)).expect("a file");
    let json = player
        .run(&[
            "drill",
            "--opponent",
            "north",
            "--switch",
            "long push",
            "--switch",
            "safe side",
            "--minutes",
            "60",
            "--keys",
            "keys",
            "--json",
        ])
        .fine();
    let json: serde_json::Value = serde_json::from_str(&json).expect("JSON");
    let of = |round: usize, what: &str| {
        let serves = json["rounds"][round]["serves"].as_array().expect("serves").clone();
        let one = serves.into_iter().find(|serve| serve["serve"] == "short-fh").expect("the serve");
        one[what].as_str().unwrap_or_default().to_owned()
    };
    assert_eq!(of(0, "changed_to"), "heavy forehand push, long to the backhand");
    assert_eq!(of(1, "receive"), of(0, "changed_to"));
    assert_eq!(of(1, "changed_to"), "backhand push, long to the middle");
}

#[test]
fn minutes_asked_for_are_filled_with_balls() {
    let player = player();
    std::fs::write(player.beside("keys"), "right 500\n".repeat(400)).expect("a file");
    let played = ["drill", "--opponent", "north", "--minutes", "3", "--keys", "keys", "--json"];
    let json = player.run(&played).fine();
    let json: serde_json::Value = serde_json::from_str(&json).expect("JSON");
    assert!(json["rounds"][0]["answers"].as_u64().expect("a number") > 30, "{json}");
}

#[test]
fn a_simulated_players_answers_are_never_kept_beside_a_persons() {
    let player = player();
    std::fs::write(player.beside("keys"), "right 500\n".repeat(20)).expect("a file");
    player.run(&["drill", "--opponent", "north", "--keys", "keys"]).fine();
    let before = journal(&player);
    let said = player.run(&["drill", "--opponent", "north", "--simulated", "--keep"]).refused();
    assert!(said.contains("this home holds your own answers"), "{said}");
    assert_eq!(journal(&player), before);
}

#[test]
fn requests_that_cannot_be_met_say_what_could() {
    let player = player();
    for (arguments, words) in [
        (&["drill", "--opponent", "north"][..], "there is no terminal to drill in"),
        (&["drill", "--opponent", "north", "--switch", "x", "--simulated"], "it has `long push`"),
        (&["drill", "--minutes", "0", "--simulated"], "minutes a day is 0 min"),
        (&["drill", "--opponent", "north", "--balls", "0", "--simulated"], "allowed is 1 to 1000"),
    ] {
        let said = player.run(arguments).refused();
        assert!(said.contains(words), "{said}");
    }
    let empty = Player::with_home();
    let said = empty.run(&["drill", "--simulated"]).refused();
    assert!(said.contains("there is no opponent yet"), "{said}");
}

#[test]
fn lines_can_be_piped_in() {
    let player = player();
    // Space begins; then the input ends.
    let said = player.run_with_input(&["drill", "--opponent", "north", "--plain"], "\n");
    assert_eq!(said.code, 130, "{said:?}");
    assert!(said.out.contains("Space begins") && said.out.contains("Ball 1. Toss."), "{said:?}");
}

#[test]
fn who_was_wrong_against_the_clock_is_not_told_that_the_answers_are_known() {
    let player = player();
    // Known by heart first, untimed, then the clock shows another picture.
    std::fs::write(player.beside("keys"), "right 500\nright 500\n".repeat(20)).expect("a file");
    player.run(&["drill", "--keys", "keys", "--think"]).fine();
    let said = crate::harness::flat(&player.run(&[]).fine());
    assert!(said.contains("only answered without the clock so far"), "{said}");
    assert!(said.contains("secondball drill north"), "{said}");
    std::fs::write(player.beside("keys"), "none\nspace\n".repeat(40)).expect("a file");
    player.run(&["drill", "--opponent", "north", "--keys", "keys"]).fine();
    let (bare, today) = (player.run(&[]).fine(), player.run(&["today"]).fine());
    for said in [&bare, &today] {
        let said = crate::harness::flat(said);
        assert!(said.contains("of the last"), "{said}");
        assert!(said.contains("secondball drill north"), "{said}");
        assert!(!said.contains("are known"), "{said}");
    }
    // One notion of ready: the same number everywhere, none that was wrong or is still slow.
    let progress = player.run(&["progress", "--all"]).fine();
    for said in [&bare, &today, &progress] {
        assert!(said.contains("Ready for 0 of 4 serves"), "{said}");
    }
    assert_eq!(progress.matches("] wrong ").count(), 8, "{progress}");
    let progress = crate::harness::flat(&progress);
    assert!(progress.contains("once more."), "{progress}");
    assert!(progress.contains("only right answers against the clock prove it"), "{progress}");
}

//! Choosing receives: by flags and by questions, with what a coach would say to it.

use crate::harness::{Player, flat};

fn player() -> Player {
    let player = Player::with_home();
    player
        .run(&[
            "scout",
            "Kim",
            "--hand",
            "left",
            "--yes",
            "--serve",
            "id=short motion=backhand spin=side-back lane=forehand depth=short",
            "--serve",
            "id=fast motion=forehand spin=topspin lane=backhand depth=long pace=fast",
        ])
        .fine();
    player
}

#[test]
fn a_plan_is_set_and_shown() {
    let player = player();
    player
        .run(&[
            "plan",
            "set",
            "Kim",
            "short",
            "forehand",
            "push,",
            "early,",
            "short",
            "to",
            "the",
            "middle",
            "--why",
            "takes the first loop away",
            "--then",
            "attack",
        ])
        .fine();
    player.run(&["plan", "set", "Kim", "fast", "backhand block to middle long"]).fine();
    player.run(&["plan", "safe", "Kim", "backhand push to middle long"]).fine();
    player
        .run(&[
            "plan",
            "switch",
            "add",
            "Kim",
            "long push",
            "short",
            "forehand push heavy to backhand long",
            "--cue",
            "steps in",
        ])
        .fine();
    assert_eq!(
        player.run(&["plan", "--why"]).fine(),
        "\
Kim     left-handed

short FH, side-back
  serve      short to the forehand, side-back, backhand motion
             breaks to your left, kicks to your right off a still bat
  receive    forehand push, on the rise, short to the middle
  why        takes the first loop away
  then       attack

fast BH, topspin
  serve      fast, long to the backhand, topspin, forehand motion
  receive    backhand block, long to the middle

  safe       backhand push, long to the middle

Switch: long push
  when       steps in
  serve      short FH
  instead of forehand push, on the rise, short to the middle
  receive    heavy forehand push, long to the backhand (across)
"
    );
    let json = player.run(&["plan", "Kim", "--json"]).fine();
    let json: serde_json::Value = serde_json::from_str(&json).unwrap_or_default();
    assert_eq!(json["serves"][0]["receive"]["text"], "forehand push early to middle short");
    player.run(&["plan", "switch", "remove", "Kim", "Long push"]).fine();
    player.run(&["plan", "clear", "Kim", "fast"]).fine();
    let said = player.run(&["plan", "Kim", "--why"]);
    assert!(!said.out.contains("Switch"), "{}", said.out);
    assert!(said.err.contains("1 serve without a receive"), "{}", said.err);
}

#[test]
fn questions_and_flags_give_the_same_plan() {
    let flags = player();
    flags
        .run(&["plan", "set", "Kim", "short", "forehand push early to middle short", "--why", "w"])
        .fine();
    flags.run(&["plan", "set", "Kim", "fast", "backhand block to middle long"]).fine();
    flags.run(&["plan", "safe", "Kim", "backhand push to middle long"]).fine();
    flags
        .run(&[
            "plan",
            "switch",
            "add",
            "Kim",
            "long push",
            "short",
            "forehand push heavy to backhand long",
            "--cue",
            "steps in",
        ])
        .fine();
    let questions = player();
    let answers = "forehand push early to middle short\nw\nbackhand blck to middle\nbackhand block \
                   to middle long\n\n\n\nbackhand push to middle long\nshort\nforehand push heavy to \
                   backhand long\nlong push\nsteps in\n";
    let said = questions.run_with_input(&["plan", "choose", "Kim"], answers);
    assert!(said.err.contains("did you mean `block`?"), "{}", said.err);
    said.fine();
    assert_eq!(
        questions.run(&["plan", "Kim", "--why"]).fine(),
        flags.run(&["plan", "Kim", "--why"]).fine()
    );
}

#[test]
fn what_a_coach_objects_to_is_a_warning_and_written_all_the_same() {
    let player = player();
    let said = player.run(&["plan", "set", "Kim", "fast", "forehand touch to middle short"]);
    assert!(said.err.contains("a drop against fast BH, which is fast and long"), "{}", said.err);
    said.fine();
    assert!(player.run(&["plan", "--why"]).fine().contains("A coach would object"));
}

#[test]
fn what_cannot_be_read_or_found_is_refused_with_a_way_out() {
    let player = player();
    let refused = |arguments: &[&str]| player.run(arguments).refused();
    let said = refused(&["plan", "set", "Kim", "fats", "backhand block"]);
    assert!(said.contains("did you mean `fast`?"), "{said}");
    let said = refused(&["plan", "set", "Kim", "fast", "backhand blok to middle"]);
    assert!(said.contains("did you mean `block`?"), "{said}");
    let said = refused(&["plan", "switch", "remove", "Kim", "nothing"]);
    assert!(said.contains("there is none yet"), "{said}");
    player.run(&["plan", "set", "Kim", "fast", "backhand block"]).fine();
    let said = refused(&["plan", "switch", "add", "Kim", "same", "fast", "backhand block"]);
    assert!(said.contains("has in the plan already"), "{said}");
}

#[test]
fn the_usual_receives_are_offered_by_number_with_their_reason() {
    let player = player();
    let said = player.run_with_input(&["plan", "choose", "Kim"], "1\n");
    assert!(said.err.contains("\n  3 "), "at least three are offered\n{}", said.err);
    said.fine();
    let plan = player.run(&["plan", "Kim", "--why"]).fine();
    assert!(plan.contains("  why        "), "the reason comes with it\n{plan}");
    assert!(!plan.contains("A coach would object"), "{plan}");
}

#[test]
fn a_switch_is_added_by_questions() {
    let player = crate::harness::Player::with_home();
    player
        .run(&["scout", "Kim", "--hand", "right", "--from-habit", "pendulum-pair", "--yes"])
        .fine();
    let serve = "in-short";
    let answers = format!("{serve}\nbackhand push to backhand long\nsafe long\nsteps in early\n");
    player.run_with_input(&["plan", "switch", "Kim"], &answers).fine();
    let deck = player.read("decks/kim.ron");
    assert!(deck.contains("safe long") && deck.contains("steps in early"), "{deck}");
    let said = player.run(&["plan", "switch", "Kim"]).refused();
    assert!(said.contains("no switch was written"), "{said}");
}

#[test]
fn a_switch_without_a_name_gets_one_and_an_open_serve_is_what_comes_next() {
    let player = Player::with_home();
    let serve = |id: &str, lane: &str| {
        format!("id={id} motion=backhand spin=backspin lane={lane} depth=short")
    };
    let (one, two) = (serve("one", "forehand"), serve("two", "backhand"));
    player.run(&["scout", "Kim", "--hand", "left", "--serve", &one, "--serve", &two]).fine();
    // One receive and why, the other left open, the safe one, then a switch whose name is left to the tool.
    let answers = "forehand push to middle short\n\n\n\nbackhand push to middle long\n1\n\
                   forehand push to backhand long\n\nsteps in\n";
    let said = player.run_with_input(&["plan", "choose", "kim"], answers);
    assert_eq!(said.code, 0, "{}", said.err);
    assert!(said.err.contains("1 serve without a receive. Next: secondball plan choose kim"));
    let deck = player.read("decks/kim.ron");
    assert!(deck.contains("name: \"long push\""), "{}\n{deck}", said.err);
}

#[test]
fn a_switch_is_meant_by_any_word_that_only_its_name_has() {
    let player = player();
    for (name, receive) in [("long push", "forehand push"), ("steps round", "forehand flick")] {
        let words = format!("{receive} to backhand long");
        let ask = ["plan", "switch", "add", "Kim", name, "short", &words, "--when", "steps in"];
        player.run(&ask).fine();
    }
    assert!(player.read("decks/kim.ron").contains("cue: \"steps in\""));
    player.run(&["plan", "set", "Kim", "short", "forehand push to middle short"]).fine();
    player.run(&["plan", "set", "Kim", "fast", "backhand block to middle long"]).fine();
    let said = player.run(&["rehearse", "--launcher", "feeder", "--switch", "rou"]).fine();
    assert!(said.contains("steps round"), "{said}");
    player.run(&["drill", "--opponent", "kim", "--simulated", "--switch", "push"]).fine();
    let said = player.run_with_input(&["points", "Kim", "--first", "them"], "switch steps\n");
    assert!(said.err.contains("the switch `steps round` is meant"), "{}", said.err);
    // A new one may begin like another; what two of them have is nobody's.
    let ask = ["plan", "switch", "add", "Kim", "push", "short", "backhand push to middle long"];
    player.run(&ask).fine();
    player.run(&["plan", "switch", "remove", "Kim", "pus"]).refused();
    player.run(&["plan", "switch", "remove", "Kim", "lon"]).fine();
    player.run(&["plan", "switch", "remove", "Kim", "pus"]).fine();
}

#[test]
fn a_stroke_in_everyday_words_is_refused_with_the_strokes_it_may_be() {
    let said = player()
        .run(&["plan", "set", "Kim", "fast", "backhand loop to wide backhand long"])
        .refused();
    assert!(said.contains("say which: `slow loop` or `fast loop`"), "{said}");
}

#[test]
fn a_receive_is_said_in_the_words_of_the_hall_and_its_line_from_where_the_serve_comes() {
    let player = player();
    let set = |words: &str| player.run(&["plan", "set", "Kim", "fast", words]).fine();
    // Kim plays with the left, the player with the right: straight from the backhand lies Kim's
    // backhand.
    let line = set("bh counter on the rise, deep, down the line");
    assert_eq!(line, "fast BH: backhand drive, on the rise, long to the backhand\n");
    let across = set("fast step around topspin, cross-court");
    assert_eq!(across, "fast BH: forehand fast loop, to the forehand\n");
    assert!(player.read("decks/kim.ron").contains("stroke: fast_loop"));
    let unclear = player.run(&["plan", "safe", "Kim", "bh push across"]).refused();
    assert!(unclear.contains("name the opponent's lane"), "{unclear}");
}

#[test]
fn choosing_understands_a_direction_from_where_the_serve_comes() {
    let player = player();
    let answers = "fh push across, deep\n\nbh block down the line\n\n\n\n";
    player.run_with_input(&["plan", "choose", "Kim"], answers).fine();
    let shown = player.run(&["plan", "Kim", "--why"]).fine();
    assert!(shown.contains("forehand push, long to the backhand (across)"), "{shown}");
    assert!(shown.contains("backhand block, to the backhand (down the line)"), "{shown}");
}

#[test]
fn choosing_asks_the_safe_answer_to_each_kind_that_the_serves_have() {
    let player = Player::with_home();
    let short = "id=short motion=backhand spin=backspin lane=forehand depth=short";
    let fast = "id=fast motion=backhand spin=topspin lane=backhand depth=long pace=fast";
    player.run(&["scout", "Kim", "--hand", "left", "--serve", short, "--serve", fast]).fine();
    let answers = "\n\nfh push deep\nbh block to the middle\nbh push to the middle\n\n";
    let said = player.run_with_input(&["plan", "choose", "Kim"], answers);
    for asked in ["a short serve you", "a fast serve you", "anything else"] {
        assert!(said.err.contains(&format!("The safe receive to {asked}")), "{}", said.err);
    }
    assert!(!said.err.contains("a half-long serve you") && !said.err.contains("a long serve you"));
    let shown = player.run(&["plan", "Kim", "--why"]).fine();
    let lines = "safe short: FH push, long fast: BH block, to the middle others: BH push, to the \
                 middle";
    assert!(crate::harness::flat(&shown).contains(lines), "{shown}");
}

#[test]
fn a_safe_answer_for_each_kind_of_serve_stands_in_a_line_and_before_the_old_one() {
    let player = player();
    let safe = |kind: &str, words: &str| player.run(&["plan", "safe", "Kim", "--for", kind, words]);
    player.run(&["plan", "safe", "Kim", "bh push to middle long"]).fine();
    assert_eq!(safe("short", "fh push deep").fine(), "safe, short: forehand push, long\n");
    safe("half-long", "slow forehand loop to middle").fine();
    safe("fast", "bh block to middle").fine();
    let warned = safe("long", "drop to middle short");
    let checked = player.run(&["check"]);
    assert!(
        (checked.out.clone() + &checked.err).contains("a drop against a long serve"),
        "{checked:?}"
    );
    assert!(warned.err.contains("a drop against a long serve, which is long"), "{}", warned.err);
    safe("long", "bh drive to middle").fine();
    let shown = player.run(&["plan", "Kim", "--why"]).fine();
    // The one for everything is left to no kind.
    let lines = "safe short: FH push, long half-long: FH slow loop, to the middle long: BH drive, \
                 to the middle fast: BH block, to the middle";
    let flat = crate::harness::flat(&shown);
    assert!(flat.contains(lines) && !flat.contains("others:"), "{shown}");
    let sheet = crate::harness::flat(&player.run(&["sheet", "Kim"]).fine());
    assert!(sheet.contains("short: FH PUSH, LONG; half-long: FH SLOW LOOP"), "{sheet}");
    let wrong = player.run(&["plan", "safe", "Kim", "--for", "shrt", "push"]).refused();
    assert!(wrong.contains("short"), "{wrong}");
}

#[test]
fn a_fast_light_push_and_a_slow_heavy_one_are_kept_apart() {
    let player = player();
    let set = |words: &str| player.run(&["plan", "set", "Kim", "short", words]);
    set("fast light push to middle long").fine();
    let said = set("slow heavy push to middle long");
    assert!(said.err.contains("Before: fast light push, long to the middle"), "{}", said.err);
    assert_eq!(said.fine(), "short FH: slow heavy push, long to the middle\n");
    assert!(player.read("decks/kim.ron").contains("weight: heavy, pace: slow"));
}

/// It ended the command, and what was typed next went to the shell.
#[test]
fn a_step_back_in_choosing_asks_the_question_before_once_more() {
    let player = Player::with_home();
    let one = "id=one motion=pendulum spin=backspin lane=forehand depth=short";
    let two = "id=two motion=pendulum spin=topspin lane=backhand depth=long";
    player.run(&["scout", "Kim", "--hand", "right", "--serve", one, "--serve", two]).fine();
    let long = "forehand push to backhand long";
    let other = "backhand push to middle long";
    // Back from the second serve to the reason of the first, and to its receive.
    let answers = format!("{long}\n\n<\n<\n{other}\nit is bold\n<\nit is safe\n{long}\n\n");
    player.run_with_input(&["plan", "choose", "Kim"], &answers).fine();
    let plan = player.read("decks/kim.ron");
    let (first, second) = (plan.find("it is safe"), plan.matches("to: (lane: backhand").count());
    assert!(first.is_some() && second == 1, "{plan}");
}

#[test]
fn without_a_launcher_on_file_a_session_is_for_somebody_who_feeds() {
    let player = Player::with_home();
    player.run(&["scout", "Kim", "--hand", "right", "--from-habit", "pendulum-pair"]).fine();
    player.run(&["plan", "set", "Kim", "in-short", "backhand push to middle long"]).fine();
    let said = player.run(&["rehearse", "kim", "--balls", "60"]);
    assert!(said.err.contains("for somebody who feeds"), "{}", said.err);
    assert!(said.fine().contains("feeder"));
}

#[test]
fn the_list_says_why_what_stands_against_it_and_how_sure_and_needs_no_home() {
    let player = Player::without_home();
    let serve = "short to the forehand, heavy backspin, pendulum motion, guessed";
    let list = ["plan", "choose", "--serve", serve, "--own", "forehand push=8"];
    let said = player.run(&list).fine();
    assert!(said.contains("1  heavy forehand push"), "{said}");
    assert!(said.contains("Yours: 8 of 10 land."), "{said}");
    assert!(said.contains("But: not in your repertoire"), "{said}");
    assert!(said.contains("a guess (nobody has seen this serve)"), "{said}");
    let json = player.run(&[&list[..], &["--json"]].concat()).fine();
    let json: serde_json::Value = serde_json::from_str(&json).unwrap();
    assert_eq!(json["sureness"], "a guess");
    assert!(json["proposals"].as_array().unwrap().len() >= 3);
    assert!(json["proposals"][0]["rate"].is_null(), "no rate without balls");
    let refused = player.run(&["plan", "choose", "--serve", "short and swete"]).refused();
    assert!(refused.contains("swete"), "{refused}");
}

#[test]
fn the_list_of_a_serve_of_the_deck_knows_its_twin_and_the_way_to_ask_for_one() {
    let player = Player::with_home();
    player.run(&["scout", "Kim", "--hand", "right", "--from-habit", "dead-among-heavy"]).fine();
    let refused = player.run(&["plan", "choose", "Kim", "--list"]).refused();
    assert!(refused.contains("plan choose kim SERVE --list"), "{refused}");
    let said = player.run(&["plan", "choose", "Kim", "heavy-short", "--list"]).fine();
    // The first stands both, as a push does; a flick needs to know.
    let first = said.split("\n2 ").next().unwrap();
    assert!(first.contains("Its twin: one push stands both"), "{said}");
    assert!(said.contains("if it is short middle, no spin, the banana flick goes long"), "{said}");
    assert!(said.contains("Room for error: "), "{said}");
}

#[test]
fn twins_that_want_different_bats_are_objected_to_until_something_tells_them_apart() {
    let player = Player::with_home();
    player.run(&["scout", "Kim", "--hand", "right", "--from-habit", "dead-among-heavy"]).fine();
    let said = player.run(&["plan", "Kim", "--why"]).fine();
    assert!(
        flat(&said).contains("if it is short middle, backspin, the flick goes into the net"),
        "{said}"
    );
    let sheet = player.run(&["sheet", "Kim"]).fine();
    assert!(
        flat(&sheet).contains("if it is short middle, backspin, the flick goes into the net"),
        "{sheet}"
    );
    player.run(&["sheet", "Kim", "--html", "sheet.html"]).fine();
    let paper = std::fs::read_to_string(player.beside("sheet.html")).unwrap();
    assert!(
        paper.contains("if it is short middle, backspin, the flick goes into the net"),
        "{paper}"
    );
    // The habit's tells tell them apart.
    assert!(!said.contains("look alike and want different bats"), "{said}");
    for serve in ["heavy-short", "dead-short"] {
        player.run(&["scout", "change", "Kim", serve, "tells="]).fine();
    }
    let found = flat(&player.run(&["check"]).out);
    let alike =
        "short middle, no spin and short middle, backspin look alike and want different bats";
    assert!(found.contains(alike) && found.contains("or play both alike"), "{found}");
    let both = "backhand push heavy early to wide_backhand long";
    player.run(&["plan", "set", "Kim", "heavy-short", both]).fine();
    let found = flat(&player.run(&["check"]).out);
    assert!(found.contains(alike), "the flick is still wrong for the heavy one: {found}");
    assert!(found.contains("or play both alike: heavy backhand push"), "{found}");
    for serve in ["heavy-short", "dead-short"] {
        player.run(&["plan", "set", "Kim", serve, both]).fine();
    }
    let found = player.run(&["check"]).out;
    assert!(!found.contains("look alike"), "{found}");
}

#[test]
fn the_room_of_receives_is_shown_for_all_serves_and_one_is_drawn_with_its_twin() {
    let player = Player::with_home();
    player.run(&["scout", "Kim", "--hand", "right", "--from-habit", "dead-among-heavy"]).fine();
    let table = player.run(&["bat", "Kim"]).fine();
    let bars = |serve: &str| -> Vec<String> {
        let line = table.lines().find(|line| line.starts_with(serve)).unwrap();
        line[22..].split_whitespace().map(str::to_owned).collect()
    };
    // drop, push, flick, banana, loop, fast, drive, block. Common practice: heavy backspin is
    // pushed, not blocked, and hardly flicked; nothing long is swung at a short ball.
    let heavy = bars("short middle, backspin");
    assert_eq!(heavy[1], "=====", "{table}");
    assert!(
        heavy[2].len() < heavy[1].len() && heavy[2].len() < bars("short middle, no spin")[2].len()
    );
    assert_eq!(heavy[4..], ["-", "-", "-", "-"], "{table}");
    let drawn = player.run(&["bat", "Kim", "heavy-short", "--receive", "banana flick long"]).fine();
    for part in ["=====", "o", "x its twin", "the banana flick goes long", "The table turns it"] {
        assert!(flat(&drawn).contains(part), "{part}: {drawn}");
    }
    assert!(drawn.lines().all(|line| line.chars().count() <= 80), "{drawn}");
    player.run(&["bat", "Kim", "heavy-short", "--svg", "bat.svg"]).fine();
    let refused = player.run(&["bat", "Kim", "heavy-short", "--receive", "block long"]).refused();
    assert!(
        refused.contains("no face of the bat lands it") && refused.contains("bat Kim"),
        "{refused}"
    );
    let refused = player.run(&["bat", "Kim", "heavy-short", "--receive", "slow loop long"]);
    assert!(refused.refused().contains("the table is in the way of the swing"));
}

#[test]
fn a_switch_that_changes_nothing_is_refused_where_it_is_entered_and_what_is_there_now_is_shown() {
    let player = player();
    player.run(&["plan", "set", "Kim", "short", "forehand push to middle short"]).fine();
    let same = "fh push to middle short";
    let answers = format!("1\n{same}\nfh push to backhand long\n\nsteps in\n");
    let said = player.run_with_input(&["plan", "switch", "Kim"], &answers);
    assert!(said.err.contains("that is the receive this serve has in the plan"), "{}", said.err);
    assert!(said.err.contains("instead (now: FH push"), "{}", said.err);
    said.fine();
    let deck = player.read("decks/kim.ron");
    assert!(deck.contains("\"long push\"") && deck.contains("steps in"), "{deck}");
    let said = player.run_with_input(&["plan", "choose", "Kim", "--all"], "\n");
    assert!(said.err.contains("receive (now: FH push, short to the middle)"), "{}", said.err);
}

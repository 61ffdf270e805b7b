//! Scouting as a player does it: by flags, by questions, from a habit, from a colleague, by counting.

#![expect(clippy::unwrap_used, reason = "a file that cannot be read must fail the test")]

use secondball::deck::Deck;
use secondball::store::parse_deck;

use crate::harness::Player;

fn deck(player: &Player, stem: &str) -> Deck {
    let file = format!("decks/{stem}.ron");
    parse_deck(&file, &player.read(&file)).unwrap()
}

const SHORT: &str = "motion=backhand spin=side-back weight=medium lane=forehand depth=short \
                     often=often";

#[test]
fn flags_and_questions_give_the_same_opponent() {
    let flags = Player::with_home();
    flags
        .run(&[
            "scout",
            "Kim",
            "--hand",
            "left",
            "--yes",
            "--serve",
            SHORT,
            "--serve",
            "motion=backhand spin=side-top lane=backhand depth=long pace=fast often=40% \
             looks_like=bh-short-fh",
        ])
        .fine();
    let questions = Player::with_home();
    let answers = [
        "left", // their hand
        "",     // their rubbers
        "",     // how they play
        "back",
        "medium side-back",
        "1",
        "forehand",
        "", // pace
        "", // from their backhand corner
        "often",
        "",  // the break is confirmed
        "",  // no tell
        "y", // another serve
        "7",
        "6",
        "long",
        "4",
        "fast",
        "",
        "40%",
        "1",
        "",
        "",
        "n",
    ];
    let said = questions.run_with_input(&["scout", "Kim"], &answers.join("\n"));
    said.fine();
    assert_eq!(deck(&questions, "kim"), deck(&flags, "kim"));
    assert_eq!(deck(&flags, "kim").serves.len(), 2);
}

#[test]
fn a_half_remembered_serve_costs_nothing_but_enter() {
    let player = Player::with_home();
    player.run_with_input(&["scout", "Kim"], "\n\n\n\n\nshort\n\n\n\n\n").fine();
    let deck = deck(&player, "kim");
    assert_eq!(deck.serves.len(), 1);
    assert_eq!(deck.serves[0].id.as_str(), "short");
    assert_eq!((&deck.serves[0].motion, deck.serves[0].spin), (&None, None));
    // Input that ends at once is no reason to fail: the opponent is there, their serves come later.
    player.run(&["scout", "Lee"]).fine();
    assert_eq!(self::deck(&player, "lee").serves, []);
}

#[test]
fn what_your_ball_did_gives_the_spin_by_questions_too() {
    let player = Player::with_home();
    // Work it out: a push that went into the net, off the bat to the left.
    let answers = "right\n\n\nhook\n8\npush\ninto\nleft\n\ny\nshort\nfore\n\n\n\n\nn\n";
    player.run_with_input(&["scout", "Kim"], answers).fine();
    let by_questions = deck(&player, "kim").serves.remove(0);
    let shown = player.run(&["scout", "show", "Kim"]).fine();
    assert!(!shown.contains("not seen") && shown.contains("guessed in part"), "{shown}");
    player.run(&["scout", "Lee", "--hand", "right"]).fine();
    player
        .run(&[
            "scout",
            "add",
            "Lee",
            "motion=hook depth=short lane=forehand",
            "--ball",
            "push, into the net, left",
        ])
        .fine();
    assert_eq!(deck(&player, "lee").serves[0], by_questions);
    assert_eq!(by_questions.breaks, Some(secondball::game::Side::Right));
}

#[test]
fn a_question_is_answered_by_number_word_or_another_word_for_it() {
    let hand = |answer: &str| {
        let player = Player::with_home();
        player.run_with_input(&["scout", "Kim"], &format!("{answer}\n\n\n\n\n\n")).fine();
        deck(&player, "kim").hand
    };
    let left = Some(secondball::game::Hand::Left);
    for answer in ["2", "left", "left-handed", "le", "lefty"] {
        assert_eq!(hand(answer), left, "{answer}");
    }
    // Every word of the ball in other words.
    let player = Player::with_home();
    let answers = "1\n\n\nscoop\nfloat\ndeep\nbody\nhard\n\n\n\nn\n";
    player.run_with_input(&["scout", "Kim"], answers).fine();
    let said = deck(&player, "kim").serves.remove(0);
    let flags = Player::with_home();
    let line = "motion=shovel spin=dead depth=long lane=elbow pace=fast";
    flags.run(&["scout", "Kim", "--hand", "right", "--serve", line]).fine();
    assert_eq!(said, deck(&flags, "kim").serves[0]);
}

#[test]
fn two_balls_settle_what_one_leaves_open_and_the_next_ball_is_named() {
    let player = Player::with_home();
    let ball = |said: &[&str]| player.run(&[&["scout", "ball"], said].concat()).fine();
    assert_eq!(
        ball(&["bh", "push,", "high,", "left"]),
        "probably sidespin or light side-back\nbreaks to your right, kicks to your left off a \
         still bat\nNot sure from one ball. Test it with a push: sidespin if it pops up, light\n  \
         side-back if it goes as meant.\n"
    );
    assert_eq!(ball(&["push, into the net", "banana, net"]), "heavy backspin\n");
    // By questions: the second ball settles it.
    let answers = "right\n\n\nhook\n8\npush, net\nbanana, net\ny\nshort\nbody\n\n\n\n\nn\n";
    player.run_with_input(&["scout", "Kim"], answers).fine();
    let serve = deck(&player, "kim").serves.remove(0);
    assert_eq!(serve.spin, Some(secondball::game::Spin::Backspin));
    assert_eq!(serve.lane, Some(secondball::game::Lane::Elbow));
}

#[test]
fn every_mistake_of_a_line_is_said_at_once_and_nothing_is_written() {
    let player = Player::with_home();
    player.run(&["scout", "Kim", "--hand", "left"]).fine();
    let before = player.read("decks/kim.ron");
    let said = player.run(&["scout", "add", "Kim", "motion=pendulm depth=shrt"]).refused();
    assert_eq!(
        said,
        "`pendulm` is not a motion\n  hint: did you mean `pendulum`?\n`shrt` is not a depth\n  hint: \
         did you mean `short`?\n"
    );
    let said = player.run(&["scout", "add", "Kim", "spin=wobbly"]).refused();
    assert!(said.contains("hint: backspin, topspin, no spin"), "{said}");
    assert_eq!(player.read("decks/kim.ron"), before);
    for line in ["shrt", "motion=pendulm"] {
        player.run(&["scout", "Lee", "--serve", "depth=short", "--serve", line]).refused();
        assert!(!player.home().join("decks/lee.ron").exists(), "{line}");
    }
}

#[test]
fn a_question_mark_says_what_the_words_mean_and_asks_again() {
    let player = Player::with_home();
    let said = player.run_with_input(&["scout", "Kim"], "left\n\n\n?\n2\n?\n5\n\n\n\n\n\n\n\nn\n");
    assert!(said.err.contains("hook  The bat goes round the outside of the ball."), "{}", said.err);
    assert!(said.err.contains("side-back  "), "{}", said.err);
    let text = player.read("decks/kim.ron");
    assert!(text.contains("motion: pendulum") && text.contains("spin: side_backspin"), "{text}");
}

#[test]
fn a_serve_typed_at_once_is_understood_at_the_first_question() {
    let player = Player::with_home();
    let line = "short side-back to my forehand, backhand motion, often";
    let answers = format!("left\n\n\n{line}\n\nthe elbow drops\nn\n");
    player.run_with_input(&["scout", "Kim"], &answers).fine();
    let text = player.read("decks/kim.ron");
    for part in [
        "motion: backhand",
        "spin: side_backspin",
        "lane: forehand",
        "depth: short",
        "how_often: often",
    ] {
        assert!(text.contains(part), "{part}: {text}");
    }
    assert!(text.contains("tells: [\"the elbow drops\"]"), "{text}");
}

#[test]
fn a_break_is_written_only_when_somebody_confirms_it() {
    let player = Player::with_home();
    player.run(&["scout", "Kim", "--hand", "left"]).fine();
    let said = player.run(&["scout", "add", "Kim", SHORT]);
    assert!(said.err.contains("usually breaks to your left"), "{}", said.err);
    assert_eq!(deck(&player, "kim").serves[0].breaks, None);
    player.run(&["scout", "change", "Kim", "bh", "spin=side-back", "--yes"]).fine();
    assert_eq!(deck(&player, "kim").serves[0].breaks, Some(secondball::game::Side::Left));
}

#[test]
fn comments_written_by_hand_survive_every_edit() {
    let player = Player::with_home();
    player.run(&["scout", "Kim", "--hand", "left", "--yes", "--serve", SHORT]).fine();
    let by_hand = player
        .read("decks/kim.ron")
        .replace("    serves: [", "    // seen twice in spring\n    serves: [")
        .replace("(id:", "/* the dangerous one */ (id:");
    player.write("decks/kim.ron", &by_hand);
    for arguments in [
        &["scout", "add", "Kim", "motion=pendulum depth=long lane=backhand"][..],
        &["scout", "change", "Kim", "bh-short-fh", "weight=heavy"],
        &["scout", "rename", "Kim", "bh-short-fh", "short"],
        &["plan", "set", "Kim", "short", "forehand push early to middle short"],
        &["plan", "safe", "Kim", "backhand push to middle long"],
        &["plan", "switch", "add", "Kim", "long push", "short", "forehand push to backhand long"],
        &["scout", "retire", "Kim", "pendulum"],
    ] {
        player.run(arguments).fine();
        let text = player.read("decks/kim.ron");
        assert!(text.contains("// seen twice in spring"), "{arguments:?}\n{text}");
        assert!(text.contains("/* the dangerous one */"), "{arguments:?}\n{text}");
    }
    let deck = deck(&player, "kim");
    assert_eq!(deck.serves[0].was[0].as_str(), "bh-short-fh");
    assert!(deck.serves[1].retired);
    assert_eq!(deck.switches[0].changes.len(), 1);
    player.run(&["check"]).fine();
}

#[test]
fn a_starter_deck_becomes_an_opponent_of_either_hand() {
    let player = Player::with_home();
    player.run(&["scout", "Kim", "--from-habit", "pendulum-pair"]).fine();
    player.run(&["scout", "Lee", "--hand", "left", "--from-habit", "pendulum pair"]).fine();
    let (kim, lee) = (deck(&player, "kim"), deck(&player, "lee"));
    assert_ne!(kim.key, lee.key);
    for (one, other) in kim.serves.iter().zip(&lee.serves) {
        assert_eq!(one.breaks.map(secondball::game::Side::other), other.breaks);
    }
    let said = player.run(&["scout", "Kim", "--from-habit", "pendulum-pair"]).refused();
    assert!(said.contains("written down already"), "{said}");
    let said = player.run(&["scout", "Max", "--from-habit", "pendulm-pair"]).refused();
    assert!(said.contains("did you mean `pendulum-pair`?"), "{said}");
    let listed = player.run(&["scout", "habits"]).fine();
    assert!(listed.lines().count() >= 10 && listed.contains("left-hander-wide"), "{listed}");
}

#[test]
fn a_colleagues_serves_are_taken_mirrored_and_nothing_of_ones_own_is_lost() {
    let colleague = Player::with_home();
    colleague.run(&["scout", "Kim", "--hand", "right", "--yes", "--serve", SHORT]).fine();
    let file = colleague.home().join("decks/kim.ron");
    let file = file.to_str().unwrap();
    let taker = Player::without_home();
    taker.run(&["init", "--name", "Invented Taker", "--hand", "left"]).fine();
    let said = taker.run(&["scout", "take", file]).fine();
    assert_eq!(said, "added      bh-short-fh\n1 serve taken into decks/kim.ron\n");
    let (theirs, mine) = (deck(&colleague, "kim"), deck(&taker, "kim"));
    assert_eq!(mine.serves[0].lane, theirs.serves[0].lane.map(secondball::game::Lane::mirrored));
    assert_eq!(mine.serves[0].breaks, theirs.serves[0].breaks);
    taker.run(&["scout", "change", "kim", "bh-short-fh", "depth=long"]).fine();
    let said = taker.run(&["scout", "take", file]).fine();
    assert!(said.starts_with("kept yours bh-short-fh: theirs differs in depth"), "{said}");
    assert_eq!(deck(&taker, "kim").serves[0].depth, Some(secondball::game::Depth::Long));
    let said = taker.run(&["scout", "take", "nowhere.ron"]).refused();
    assert!(said.contains("there is no file"), "{said}");
}

#[test]
fn counted_serves_become_facts_and_shares() {
    let player = Player::with_home();
    player.run(&["scout", "Kim", "--from-habit", "pendulum-pair"]).fine();
    let said = player.run_with_input(&["scout", "count", "Kim"], "112\n").fine();
    assert!(said.contains("short middle (guess)        2 now     2 in all   67 %"), "{said}");
    assert!(player.run(&["scout", "show", "Kim"]).fine().contains("counted 2 times"));
    // Taken back, an unknown one, a short name instead of a key.
    let said =
        player.run_with_input(&["scout", "count", "Kim", "--write"], "1113u\nnn\nout-short\n2q1\n");
    assert!(said.err.contains("Write the new one down"), "{}", said.err);
    said.fine();
    let deck = deck(&player, "kim");
    let share = |place: usize| deck.serves[place].how_often;
    assert_eq!(share(0), Some(secondball::game::HowOften::Share(0.63)));
    assert_eq!(share(1), Some(secondball::game::HowOften::Share(0.38)));
    assert_eq!(deck.serves[0].last_seen, "2026-11-25".parse().ok());
}

#[test]
fn a_less_than_sign_goes_one_question_back_and_no_serve_is_written_twice() {
    let player = Player::with_home();
    // Back from the spin to the motion, and, after a word that is none, from the lane to the depth.
    let answers = "right\n\n\npendulum\n<\nhook\ndaed\ndead\nlong\n<\nshort\nfore\n\n\n\n\nn\n";
    player.run_with_input(&["scout", "Kim"], answers).fine();
    let kept = deck(&player, "kim").serves;
    assert_eq!(kept.len(), 1);
    assert_eq!(kept[0].motion.as_ref().map(ToString::to_string).as_deref(), Some("hook"));
    assert_eq!(kept[0].spin, Some(secondball::game::Spin::Dead));
    assert_eq!(kept[0].depth, Some(secondball::game::Depth::Short));
    let line = ["scout", "add", "Kim", "motion=hook spin=dead depth=short lane=forehand"];
    let said = player.run(&line).refused();
    assert!(said.contains("this is what `"), "{said}");
    assert_eq!(deck(&player, "kim").serves.len(), 1);
}

#[test]
fn a_word_of_a_name_goes_on_with_that_opponent_and_a_new_name_begins_another() {
    let player = Player::with_home();
    player.run(&["scout", "Blue headband, Linz", "--hand", "right", "--serve", SHORT]).fine();
    let decks = || {
        let files = std::fs::read_dir(player.home().join("decks")).unwrap();
        files.filter(|file| file.as_ref().unwrap().path().extension().is_some()).count()
    };
    for word in ["blue", "Linz"] {
        let said = player.run(&["scout", word]);
        assert_eq!(said.code, 0, "{}", said.err);
        assert!(said.err.contains("Going on with Blue headband, Linz"), "{}", said.err);
        assert!(said.out.contains("1 serve"), "{}", said.out);
        assert_eq!(decks(), 1);
    }
    // What a word means is not turned round by a flag that does not fit.
    let said = player.run(&["scout", "blue", "--hand", "left"]).refused();
    assert!(said.contains("`blue` means Blue headband, Linz, who is right-handed"), "{said}");
    player.run(&["scout", "Blue bandana", "--hand", "left"]).fine();
    assert_eq!(decks(), 2);
    let said = player.run(&["scout", "blue"]).refused();
    assert!(said.contains("`blue` may be 2 opponents"), "{said}");
    player.run(&["scout", "Red shirt"]).fine();
    assert_eq!(decks(), 3);
}

#[test]
fn how_they_play_is_one_block_that_enter_leaves_open() {
    let player = Player::with_home();
    let answers =
        "right\nlong pips on the backhand\ny\nshakehand\nchopper\n\nback\n\nshort\n\n\n\n";
    player.run_with_input(&["scout", "Kim"], answers).fine();
    let kim = deck(&player, "kim");
    assert_eq!(kim.style, Some(secondball::game::Style::Chopper));
    assert_eq!(kim.rubbers.as_deref(), Some("long pips on the backhand"));
    assert_eq!((kim.waits, kim.stronger), (Some(secondball::game::WaitingPlace::Back), None));
    assert_eq!((kim.likes, kim.hates), (None, Some(secondball::game::ThirdBall::Short)));
    // Once more: what is known is said, what Enter leaves stays.
    let said = player.run_with_input(&["scout", "Kim"], "y\n\n\nblocker\n\n\n\n\n\n");
    assert!(said.err.contains("chopper"), "{}", said.err);
    assert!(said.err.contains("Change how they play?"), "{}", said.err);
    let kept = deck(&player, "kim");
    assert_eq!(kept, Deck { style: Some(secondball::game::Style::Blocker), ..kim });
    player.run_with_input(&["scout", "Kim"], "y\n\n\nchopper\n\n\n\n\n\n").fine();
    let shown = crate::harness::flat(&player.run(&["plan", "Kim"]).fine());
    let about =
        "right-handed, shakehand, long pips on the backhand, chopper, waits back from the table";
    assert!(shown.contains(about), "{shown}");
    assert!(shown.contains("hates a short ball"), "{shown}");
    player
        .run(&["scout", "Lee", "--hand", "left", "--style", "blocker", "--likes", "flick"])
        .fine();
    assert_eq!(deck(&player, "lee").likes, Some(secondball::game::ThirdBall::Flick));
}

/// It was skipped, with all questions behind it.
#[test]
fn a_less_than_sign_leads_back_into_the_serve_that_is_kept_already_and_to_the_opponent() {
    let player = Player::with_home();
    // Back from the second serve over `another serve?` to what gives the first one away, then on.
    let first = "pendulum\nback\nshort\nfore\n\n\n\nno\n";
    let answers =
        format!("<\nleft\n\n\n{first}y\n<\n<\nthe elbow drops\ny\nhook\n\n\nmid\n\n\n\n\nn\n");
    let said = player.run_with_input(&["scout", "Kim"], &answers);
    assert!(said.err.contains("this is the first question"), "{}", said.err);
    let kept = deck(&player, "kim").serves;
    assert_eq!(kept.len(), 2, "{}", said.err);
    assert_eq!(kept[0].tells, ["the elbow drops"]);
    // From the first serve to the opponent, who was right-handed by mistake.
    let answers = "right\n\n\n<\n<\n<\nleft\nanti\n\npendulum\n\nshort\n\n\n\n\n\nn\n";
    player.run_with_input(&["scout", "Lee"], answers).fine();
    let lee = deck(&player, "lee");
    assert_eq!(lee.hand, Some(secondball::game::Hand::Left));
    assert_eq!((lee.rubbers.as_deref(), lee.serves.len()), (Some("anti"), 1));
}

#[test]
fn four_serves_are_written_down_in_two_minutes_of_short_answers() {
    let player = Player::with_home();
    // Three seconds an answer: 40 of them.
    let serve = |depth: &str| format!("hook\ndead\n{depth}\nfore\n\n\n\n\n");
    // The second one may look like the first: one answer more.
    let by_questions = ["short", "half"].map(serve).join("y\n") + "\n";
    let at_once = ["short dead wide bh, hook", "fast long topspin bh, punch, often"]
        .map(|line| format!("{line}\n\n"))
        .join("y\n");
    let answers = format!("left\n\n\n{by_questions}y\n{at_once}n\n");
    player.run_with_input(&["scout", "Kim"], &answers).fine();
    assert_eq!(deck(&player, "kim").serves.len(), 4);
    assert!(answers.lines().count() <= 40, "{answers}");
    // What is asked of a serve is understood at once, too.
    let at_once = "medium pace short dead to my fh, hook, from the middle";
    player.run_with_input(&["scout", "Lee"], &format!("left\n\n\n{at_once}\n\nn\n")).fine();
    let serve = &deck(&player, "lee").serves[0];
    assert_eq!(serve.pace, Some(secondball::game::Pace::Medium));
    assert_eq!(serve.from, Some(secondball::game::From::Middle));
}

#[test]
fn a_serve_is_changed_by_questions_that_say_what_is_there_now() {
    let player = Player::with_home();
    let line = format!("{SHORT} breaks=left tells=the elbow drops");
    player.run(&["scout", "Kim", "--hand", "left", "--serve", &line]).fine();
    let before = deck(&player, "kim").serves.remove(0);
    let said = player.run_with_input(&["scout", "change", "Kim", "short FH"], "\n\nlong\n");
    for now in ["motion (now: backhand)", "spin (now: medium side-back)", "depth (now: short)"] {
        assert!(said.err.contains(now), "{now}: {}", said.err);
    }
    said.fine();
    let after = deck(&player, "kim").serves.remove(0);
    let long = Some(secondball::game::Depth::Long);
    assert_eq!(after, secondball::game::Serve { depth: long, ..before });
}

#[test]
fn a_serve_is_meant_by_its_short_word_or_its_number_on_every_command() {
    let player = Player::with_home();
    let other = "id=other motion=hook spin=dead lane=middle depth=half_long";
    player.run(&["scout", "Kim", "--hand", "left", "--serve", SHORT, "--serve", other]).fine();
    for (serve, receive) in
        [("2", "bh flick"), ("half-long middle", "bh push"), ("short fh", "fh push")]
    {
        let said = player.run(&["plan", "set", "Kim", serve, receive]).fine();
        assert!(!said.contains("bh-short-fh") && !said.contains("other"), "{said}");
    }
    let kim = deck(&player, "kim");
    assert_eq!(kim.plan.len(), 2);
    player.run(&["scout", "change", "Kim", "short", "looks_like=half-long middle"]).fine();
    assert_eq!(deck(&player, "kim").serves[0].looks_like, Some("other".parse().unwrap()));
    player.run(&["scout", "retire", "Kim", "2"]).fine();
    let back = player.run(&["scout", "retire", "Kim", "half-long middle", "--back"]).fine();
    assert!(back.contains("half-long middle is back"), "{back}");
    let said = player.run(&["plan", "clear", "Kim", "long bh"]).refused();
    assert!(said.contains("there is short FH and half-long middle"), "{said}");
    let aimed = player.run(&[
        "launcher",
        "aim",
        "Kim",
        "--launcher",
        "fixed",
        "--serve",
        "half-long middle",
    ]);
    assert_eq!(aimed.code, 0, "{}", aimed.err);
}

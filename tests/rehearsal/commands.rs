//! `rehearse` and `launcher` as typed.

use crate::harness::{Player, flat};

const DECK: &str = include_str!("left-hander.ron");

/// A player with the invented left-hander on file.
fn player() -> Player {
    let player = Player::with_home();
    player.write("decks/north.ron", DECK);
    player
}

#[test]
fn a_session_is_printed_for_every_shipped_launcher_and_repeats() {
    let player = player();
    for launcher in super::LAUNCHERS {
        let ask = ["rehearse", "--launcher", launcher, "--balls", "60", "--switch", "long push"];
        let said = player.run(&ask).fine();
        assert!(said.starts_with("60 balls against Left-hander, north hall"), "{said}");
        assert!(said.lines().all(|line| line.chars().count() <= 80), "{said}");
        assert_eq!(said, player.run(&ask).fine());
    }
}

#[test]
fn all_cautions_are_read_by_the_command_and_before_the_first_result_with_a_launcher() {
    let player = player();
    let all = flat(&player.run(&["rehearse", "cautions"]).fine());
    let unplug = "Unplug before clearing a jam";
    assert!(all.contains(unplug) && all.contains("The feeder stands beside"), "{all}");
    let ask = ["rehearse", "--launcher", "fixed", "--balls", "40"];
    for _ in 0..2 {
        let said = player.run(&ask).fine();
        assert!(said.contains(unplug), "nothing is written down yet: {said}");
    }
    player.run(&["rehearse", "log", "1/2"]).fine();
    let said = player.run(&ask).fine();
    assert!(!said.contains(unplug) && said.contains("secondball rehearse cautions"), "{said}");
    assert!(said.lines().all(|line| line.chars().count() <= 80), "{said}");
    let other = player.run(&["rehearse", "--launcher", "per-ball", "--balls", "40"]).fine();
    assert!(other.contains(unplug), "another launcher is new: {other}");
}

#[test]
fn a_serve_is_called_by_its_ball_and_by_its_spin_where_two_have_the_same_place() {
    let player = player();
    let said = player.run(&["rehearse", "--launcher", "per-ball", "--balls", "60"]).fine();
    assert!(said.contains("  short FH: ") && !said.contains("bh-short-fh"), "{said}");
    let deck = DECK.replace("weight: heavy, lane: backhand", "weight: heavy, lane: forehand");
    player.write("decks/north.ron", &deck);
    let said = player.run(&["rehearse", "--launcher", "per-ball", "--balls", "60"]).fine();
    assert!(said.contains("  short FH, side-back: "), "{said}");
}

#[test]
fn a_drill_comes_alone_by_its_name_and_one_of_ones_own_comes_back_by_its_own() {
    let player = player();
    let all = player.run(&["rehearse", "drills"]).fine();
    assert!(all.contains("until-long") && all.contains("--drill NAME"), "{all}");
    let ask = ["rehearse", "--launcher", "feeder"];
    let drill = |more: &[&str]| player.run(&[&ask[..], more].concat());
    let said = drill(&["--drill", "until-long", "--balls", "24", "--keep", "bus and back"]);
    assert!(said.err.contains("secondball rehearse --drill \"bus and back\""), "{}", said.err);
    let said = said.fine();
    assert!(
        said.starts_with("24 balls against") && said.contains("until a long one comes"),
        "{said}"
    );
    let own = player.run(&["rehearse", "--drill", "bus and back"]).fine();
    assert!(own.starts_with("24 balls against") && own.contains("until a long one comes"), "{own}");
    let more = player.run(&["rehearse", "--drill", "bus and back", "--balls", "30"]).fine();
    assert!(more.starts_with("30 balls against"), "{more}");
    let all = player.run(&["rehearse", "drills"]).fine();
    assert!(all.contains("bus and back") && all.contains("--balls 24"), "{all}");
    player.run(&["rehearse", "drills", "--remove", "bus and back"]).fine();
    let gone = player.run(&["rehearse", "--drill", "bus and back"]).refused();
    assert!(gone.contains("secondball rehearse drills"), "{gone}");
    let taken = drill(&["--keep", "off-tempo"]).refused();
    assert!(taken.contains("cannot be a name of yours"), "{taken}");
    let cannot = player.run(&["rehearse", "--launcher", "fixed", "--drill", "off-tempo"]).refused();
    assert!(cannot.contains("this launcher cannot do"), "{cannot}");
    let close = drill(&["--drill", "until-lon"]).refused();
    assert!(close.contains("did you mean `until-long`?"), "{close}");
    assert_eq!(player.run(&["check"]).code, 0);
}

#[test]
fn json_and_csv_say_the_same_balls() {
    let player = player();
    let ask = ["rehearse", "--launcher", "per-ball", "--balls", "60"];
    let json = player.run(&[&ask[..], &["--json"]].concat()).fine();
    let json: serde_json::Value = serde_json::from_str(&json).unwrap();
    assert_eq!(json["format"], 2);
    assert_eq!(json["balls"], 60);
    let csv = player.run(&[&ask[..], &["--csv", "-"]].concat()).fine();
    let mut rows = csv::Reader::from_reader(csv.as_bytes());
    let rows: Vec<csv::StringRecord> = rows.records().map(Result::unwrap).collect();
    let balls: Vec<&serde_json::Value> = json["blocks"]
        .as_array()
        .unwrap()
        .iter()
        .flat_map(|block| block["balls"].as_array().unwrap())
        .collect();
    assert_eq!(rows.len(), balls.len());
    for (row, ball) in rows.iter().zip(balls) {
        for (column, field) in
            [(5, "serve"), (7, "lane"), (8, "depth"), (9, "spin"), (20, "receive")]
        {
            assert_eq!(&row[column], ball[field].as_str().unwrap_or_default());
        }
    }
}

#[test]
fn results_come_back_into_the_journal_once() {
    let player = player();
    player.run(&["rehearse", "--launcher", "feeder", "--phase", "groove", "--balls", "40"]).fine();
    let said = player.run(&["rehearse", "log", "7/9", "-", "3/7/2"]).fine();
    assert!(said.contains("78 %"), "{said}");
    let journal: String = std::fs::read_dir(player.home().join("journal"))
        .unwrap()
        .map(|file| file.unwrap().path())
        .filter(|path| path.extension().is_some_and(|ending| ending == "jsonl"))
        .map(|path| std::fs::read_to_string(path).unwrap())
        .collect();
    assert_eq!(journal.matches("\"made\":7,\"missed\":2").count(), 1, "{journal}");
    assert_eq!(journal.matches("\"made\":3,\"missed\":2,\"wrong\":2").count(), 1, "{journal}");
    let again = player.run(&["rehearse", "log", "7/9"]).refused();
    assert!(again.contains("--again"), "{again}");
    player.run(&["rehearse", "log", "--again", "7/9"]).fine();
    player.run(&["rehearse", "log", "--opponent", "north", "bh-long-bh=3/4"]).fine();
}

#[test]
fn results_say_whose_they_are_and_several_sessions_are_told_apart() {
    let player = player();
    let sheet =
        |launcher: &str| player.run(&["rehearse", "--launcher", launcher, "--balls", "40"]).fine();
    let (feeder, fixed) = (sheet("feeder"), sheet("fixed"));
    // The same sheet printed once more is the same session.
    assert_eq!(sheet("feeder"), feeder);
    let command = |sheet: &str| {
        let line = sheet.lines().find(|line| line.contains("secondball rehearse log")).unwrap();
        line.split_once("secondball ").unwrap().1.to_owned()
    };
    assert!(command(&feeder).starts_with("rehearse log --session 1 "), "{feeder}");
    assert!(command(&fixed).starts_with("rehearse log --session 2 "), "{fixed}");
    let said = player.run(&["rehearse", "log", "--session", "9", "1/2"]).refused();
    assert!(said.contains("no session 9 waits"), "{said}");
    // Every sheet ends with a line of its own that can be typed as it stands.
    for sheet in [&fixed, &feeder] {
        let command = command(sheet);
        let typed: Vec<&str> = command.split_whitespace().collect();
        let said = player.run(&typed);
        if sheet == &fixed {
            let said = said.fine();
            assert!(said.starts_with("Written down: session 2, "), "{said}");
            assert!(said.contains("Wed 25 Nov") && said.contains("Against"), "{said}");
        } else {
            // Made before the one that was played, printed again after it: it still waits.
            assert!(said.fine().starts_with("Written down: session 1, "));
        }
    }
}

#[test]
fn a_session_written_down_leaves_every_other_one_waiting() {
    let player = player();
    for launcher in ["feeder", "fixed", "partner"] {
        player.run(&["rehearse", "--launcher", launcher, "--balls", "40"]).fine();
    }
    for session in ["3", "1", "2"] {
        let said = player.run(&["rehearse", "log", "--session", session, "1/2"]).fine();
        assert!(said.starts_with(&format!("Written down: session {session}, ")), "{said}");
    }
    // Several wait, and a result with the serve's name needs none of them.
    let named = ["rehearse", "log", "--opponent", "north", "bh-long-bh=3/4", "bh-short-fh=1/2"];
    let said = player.run(&named);
    assert!(said.err.contains("3 sessions against them wait for results as before"), "{said:?}");
    assert!(said.fine().starts_with("Against Left-hander, north hall"));
    assert_eq!(player.journal().matches("\"made\":3,\"missed\":1").count(), 1);
}

#[test]
fn the_newest_session_is_written_down_and_older_ones_fade_after_fourteen_days() {
    let mut player = player();
    for launcher in ["feeder", "partner"] {
        player.run(&["rehearse", "--launcher", launcher, "--balls", "40"]).fine();
    }
    assert!(
        flat(&player.run(&[]).fine())
            .contains("Waits for its results: session 2, A friend who serves, Wed 25 Nov")
    );
    player.at("2026-12-09");
    let said = player.run(&["rehearse", "log", "1/2"]).fine();
    assert!(said.starts_with("Written down: session 2, "), "{said}");
    player.at("2026-12-10");
    assert!(!player.run(&[]).fine().contains("Waits"));
    let said = player.run(&["rehearse", "log", "1/2"]).refused();
    assert!(said.contains("--session 2 writes it down all the same"), "{said}");
    let said = player.run(&["rehearse", "log", "--session", "1", "1/2"]).fine();
    assert!(said.starts_with("Written down: session 1, "), "{said}");
}

#[test]
fn lines_without_a_result_wait_until_they_have_one() {
    let player = player();
    player.run(&["rehearse", "--launcher", "feeder", "--phase", "groove", "--balls", "40"]).fine();
    let log = |rest: &[&str]| player.run(&[&["rehearse", "log"], rest].concat());
    let said = flat(&log(&["1/1", "-"]).fine());
    let (_, rest) = said.split_once("2 of ").unwrap();
    let lines: usize = rest.split(' ').next().unwrap().parse().unwrap();
    assert!(said.contains(&format!("lines 3 to {lines} wait:")), "{said}");
    assert!(said.contains("`secondball rehearse log --session 1 --from 3 "), "{said}");
    let said = flat(&log(&["1/1"]).refused());
    assert!(said.contains("line 1 written down already") && said.contains("--from 3"), "{said}");
    log(&["--from", "4", "2/2"]).fine();
    assert!(log(&["--from", "4", "2/2"]).refused().contains("line 4 written down already"));
    // From the third on, the fourth has its result already.
    let rest = vec!["-"; lines - 3];
    let said = log(&[&["--session", "1", "--from", "3"], &rest[..]].concat()).fine();
    assert!(!said.contains("wait"), "{said}");
    assert!(log(&["--session", "1", "1/1"]).refused().contains("--again"));
    assert!(log(&["--again", "--from", "99", "1/1"]).refused().contains("no log line 99"));
    assert_eq!(player.journal().matches("\"k\":\"ball\"").count(), 2);
}

#[test]
fn the_same_sheet_asked_for_again_is_the_same_session_until_it_was_played() {
    let player = player();
    // No seed is given here: every session has one of its own.
    let sheet = |balls: &str| {
        let mut program = std::process::Command::new(env!("CARGO_BIN_EXE_secondball"));
        let ask = ["rehearse", "--launcher", "feeder", "--balls", balls];
        program.env_clear().env("SECONDBALL_HOME", player.home()).env("HOME", player.beside("."));
        let output = program.args(ask).output().unwrap();
        String::from_utf8(output.stdout).unwrap()
    };
    let first = sheet("40");
    assert!(first.contains("--session 1 ") && sheet("30").contains("--session 2 "), "{first}");
    assert_eq!(sheet("40"), first);
    player.run(&["rehearse", "log", "--session", "1", "1/2"]).fine();
    assert!(sheet("40").contains("--session 3 "));
}

#[test]
fn a_result_for_another_number_of_balls_than_the_sheets_is_refused_with_its_line() {
    let player = player();
    player.run(&["rehearse", "--launcher", "feeder", "--balls", "20"]).fine();
    let said = player.run(&["rehearse", "log", "16/200"]).refused();
    assert!(said.contains("line 1, ") && said.contains("balls, not 200"), "{said}");
}

#[test]
fn a_request_that_cannot_be_met_says_the_way_out() {
    let player = player();
    for (arguments, hint) in [
        (&["launcher", "aim", "north"][..], "--launcher fixed"),
        (&["rehearse", "--launcher", "fixd"], "did you mean `fixed`?"),
        (
            &["rehearse", "--launcher", "feeder", "--switch", "lng push"],
            "did you mean `long push`?",
        ),
        (&["rehearse", "--launcher", "feeder", "--balls", "2"], "allowed is 4 to 600 balls"),
        (&["rehearse", "--launcher", "feeder", "--minutes", "NaN"], "allowed is 2 to 180 min"),
        (&["rehearse", "log", "1/2"], "no session waits"),
        (&["rehearse", "log", "--opponent", "north", "9/2"], "made/balls/wrong"),
        (&["rehearse", "log", "--opponent", "north", "ghost=1/2"], "there is short FH"),
        (&["launcher", "add", "hall", "--like", "catapult"], "per-ball"),
    ] {
        let said = player.run(arguments).refused();
        assert!(said.contains(hint), "{arguments:?}: {said}");
    }
}

#[test]
fn a_launcher_of_ones_own_is_added_shown_checked_and_used_alone() {
    let player = player();
    player.run(&["launcher", "add", "Club \"old\" launcher", "--like", "fixed"]).fine();
    let file = player.read("launchers/club-old-launcher.ron");
    assert!(file.contains("// The dials in the order"), "comments come with it: {file}");
    let card = player.run(&["launcher", "show"]).fine();
    assert!(card.contains("Club \"old\" launcher"), "{card}");
    assert!(card.contains("corkscrew"), "{card}");
    let said = player.run(&["rehearse", "--balls", "30"]).fine();
    assert!(said.contains("Club \"old\" launcher: one setting at a time"), "{said}");
    player.run(&["launcher", "add", "club old launcher", "--like", "fixed"]).refused();
    let broken = file.replace("most: 14.0", "most: 140.0");
    player.write("launchers/club-old-launcher.ron", &broken);
    let check = player.run(&["check"]);
    assert_eq!(check.code, 1);
    assert!(
        flat(&(check.out + &check.err)).contains("speed is 140 m/s, allowed is 0.5 to 40 m/s"),
        "a launcher file is checked too"
    );
}

#[test]
fn balls_that_a_phone_brought_home_are_not_written_down_twice_by_mistake() {
    let mut player = player();
    player.run(&["rehearse", "--launcher", "feeder", "--phase", "groove", "--balls", "40"]).fine();
    // A day later the phone's caller brings ten balls of one serve home, under this device's hand.
    player.at("2026-11-26");
    player.write(
        "journal/other.jsonl",
        "{\"secondball\":\"journal\",\"format\":1,\"device\":\"other\"}\n\
         {\"n\":1,\"at\":1795690800000,\"day\":\"2026-11-26\",\"origin\":\"phone-2\",\"k\":\"ball\",\
         \"deck\":\"k7f3q2\",\"serve\":\"bh-short-fh\",\
         \"right\":\"forehand push early to middle short\",\"made\":8,\"missed\":2}\n",
    );
    let said = player.run(&["rehearse", "log", "bh-short-fh=8/10"]).refused();
    assert!(
        said.contains("a phone has brought 10 balls of these serves home since Wed 25 Nov"),
        "{said}"
    );
    assert!(said.contains("--also"), "{said}");
    assert_eq!(player.journal().matches("\"made\":8").count(), 1);
    // Another serve was not counted there, and other balls of the same serve are welcome.
    player.run(&["rehearse", "log", "bh-long-bh=3/4"]).fine();
    player.run(&["rehearse", "log", "--again", "--also", "bh-short-fh=8/10"]).fine();
    assert_eq!(player.journal().matches("\"made\":8").count(), 2);
}

#[test]
fn a_trim_names_the_dials_that_are_there() {
    let player = player();
    let trim = |launcher: &str| {
        let ask = ["launcher", "trim", "pend-dead-mid", "--launcher", launcher, "--seen", "long"];
        flat(&player.run(&ask).fine())
    };
    // Two wheels and no dial for the speed: both of them make it.
    let said = trim("fixed");
    assert!(said.contains("upper from 4 to 3.5 and lower from 4 to 3.5"), "{said}");
}

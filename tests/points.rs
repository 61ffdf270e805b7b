//! Points and debriefs as a player brings them in: line by line, from a file, talked over afterwards.

#[path = "points/fixture.rs"]
pub(crate) mod fixture;

use std::fmt::Write as _;

use serde_json::Value;

use crate::harness::{Player, Said};
use fixture::{after_the_season, journal_of, north, season};

fn live(player: &Player, more: &[&str], lines: &str) -> Said {
    let arguments: Vec<&str> = ["points", "north"].iter().chain(more).copied().collect();
    player.run_with_input(&arguments, lines)
}

#[test]
fn a_line_a_point_and_the_score_follows() {
    let player = north();
    let said = live(
        &player,
        &["--first", "them", "--best-of", "3", "--match", "club"],
        "bh-short-fh won\nbh-short-fh lost loose waiting\nme won\nwon\nfast lost not waiting\n",
    );
    assert_eq!(said.out, "club: 5 points kept, 5 in all; games 0-0, 3-2, they serve\n");
    assert!(said.err.contains("games 0-0, 1-0, they serve"), "{}", said.err);
    let points = journal_of(&player, "point");
    assert_eq!(points.len(), 5);
    let short = &points[1];
    assert_eq!(short["meant"], "forehand push early to middle short");
    assert_eq!((&short["quality"], &short["waiting"]), (&Value::from("loose"), &Value::from(true)));
    // A bare `won` on the own serve is one.
    assert_eq!((&points[3]["server"], &points[3]["won"]), (&Value::from("me"), &Value::from(true)));
    assert_eq!(points[4]["serve"], "fast-bh");
}

#[test]
fn down_the_line_and_across_lead_from_where_the_serve_comes_in_every_record() {
    let player = north();
    // A left-hander serves the wide forehand of a right-hander: straight on lies their forehand.
    live(
        &player,
        &["--match", "a"],
        "pendulum fh slow loop down the line lost\nfast block across won\n",
    )
    .fine();
    let csv = "match,server,serve,meant,played,quality,waiting,won\n\
               b,them,pendulum-wide,,forehand slow loop down the line,,,no\n\
               b,them,fast-bh,block cross-court,,,,yes\n";
    player.run_with_input(&["points", "north", "--csv", "-"], csv).fine();
    let points = journal_of(&player, "point");
    let (line, across) = ("forehand slow_loop to wide_forehand", "block to wide_forehand");
    assert_eq!((&points[0]["played"], &points[1]["played"]), (&line.into(), &across.into()));
    assert_eq!((&points[2]["played"], &points[3]["meant"]), (&line.into(), &across.into()));
    player.run(&["debrief", "north", "--serve", "fast-bh many well block across"]).fine();
    assert_eq!(journal_of(&player, "debrief")[0]["serves"][0]["receive"], across);
    // From the middle neither leads anywhere: the words stay.
    live(&player, &["--match", "c"], "bh-half-long backhand drive across won\n").fine();
    assert_eq!(journal_of(&player, "point")[4]["unknown"], "backhand drive across");
}

#[test]
fn the_first_line_says_who_serves_first_and_a_later_one_that_cannot_be_is_told() {
    let player = north();
    let said = live(&player, &[], "me won\nme won\nme lost\n");
    let told = said.err.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(told.contains("by the score they serve: kept as said"), "{told}");
    assert_eq!(journal_of(&player, "point").len(), 3);
}

#[test]
fn a_point_is_taken_back_and_the_match_goes_on_another_time() {
    let player = north();
    live(&player, &["--first", "me"], "me won\nme lost\nundo\n").fine();
    let said = live(&player, &[], "me lost\n");
    assert!(
        said.err.contains("The match `2026-11-25` goes on: games 0-0, 1-0, you serve"),
        "{}",
        said.err
    );
    assert_eq!(said.out, "2026-11-25: 1 point kept, 2 in all; games 0-0, 1-1, they serve\n");
    // Over the two runs nothing is left to serve but what was not taken back.
    live(&player, &[], "undo\nundo\nundo\n").fine();
    let said = live(&player, &[], "");
    assert_eq!(said.out, "2026-11-25: 0 points kept, 0 in all; 0-0\n");
}

#[test]
fn a_match_that_is_over_takes_no_more_points_and_the_next_has_its_own_word() {
    let player = north();
    let won = "won\n".repeat(22);
    let said = live(&player, &["--best-of", "3", "--first", "me"], &format!("{won}won\n"));
    assert!(said.out.contains("22 points kept, 22 in all; won 2-0"), "{}", said.out);
    assert!(said.err.contains("not kept: the match is over"), "{}", said.err);
    let said = live(&player, &["--best-of", "3", "--first", "me"], "me won\n");
    assert!(said.out.starts_with("2026-11-25-2: 1 point kept"), "{}", said.out);
}

#[test]
fn words_nobody_knows_stay_with_the_point() {
    let player = north();
    let said = live(&player, &["--first", "them"], "bh-shrt-fh lost\nfast-bh strange swat won\n");
    assert!(said.err.contains("did you mean `short FH`?"), "{}", said.err);
    let points = journal_of(&player, "point");
    assert_eq!(points[0]["unknown"], "bh-shrt-fh");
    assert_eq!(
        (&points[1]["serve"], &points[1]["unknown"]),
        (&"fast-bh".into(), &"strange swat".into())
    );
    assert_eq!(points[1]["meant"], Value::Null);
    let why = player.run(&["plan", "advise", "north", "--why"]).fine();
    assert!(why.contains("bh-shrt-fh, strange swat"), "{why}");
}

#[test]
fn a_line_without_a_winner_is_told_and_the_others_are_kept() {
    let player = north();
    let said = live(&player, &["--first", "me"], "me won\nfast-bh\nme lost\nswitch nothing\n");
    assert_eq!(journal_of(&player, "point").len(), 2);
    let err = said.refused();
    assert!(err.contains("not kept: line 2 and 4"), "{err}");
    assert!(err.contains("`nothing` is no switch; one of `long push`, `loop across`"), "{err}");
}

#[test]
fn a_called_switch_is_what_is_meant_from_there_on() {
    let player = north();
    live(
        &player,
        &["--first", "them"],
        "bh-short won\nswitch long push\nbh-short won\nme won\nme won\nplan\nbh-short lost\n",
    )
    .fine();
    let meant: Vec<String> = journal_of(&player, "point")
        .iter()
        .filter_map(|point| Some(point["meant"].as_str()?.to_owned()))
        .collect();
    let (plan, long) =
        ("forehand push early to middle short", "forehand push heavy to backhand long");
    assert_eq!(meant, [plan, long, plan]);
}

#[test]
fn a_file_is_taken_once_and_a_match_that_differs_is_left_alone() {
    let player = north();
    let file = player.beside("season.csv");
    std::fs::write(&file, season()).unwrap_or_default();
    let name = file.display().to_string();
    let import = || player.run(&["points", "north", "--csv", &name]);
    let first = import();
    assert!(first.err.contains("1 point with words that name no serve"), "{}", first.err);
    let first = first.fine();
    assert!(first.starts_with("2026-02-01 invented, 64 points, 2026-02-01: kept; "), "{first}");
    let before = player.journal();
    let again = import().fine();
    assert_eq!(again.matches("there already, nothing written").count(), 5, "{again}");
    assert_eq!(player.journal(), before);
    // The same match with another ending is not mixed in.
    std::fs::write(&file, format!("{}2026-11-15 invented,me,,,,,,yes\n", season()))
        .unwrap_or_default();
    let said = import();
    assert!(said.err.contains("the match `2026-11-15 invented` is there already"), "{}", said.err);
    said.refused();
    assert_eq!(player.journal(), before);
}

#[test]
fn a_file_with_a_mistake_is_not_taken_at_all() {
    let player = north();
    let said = player.run_with_input(
        &["points", "north", "--csv", "-"],
        "match,server,serve,won\nclub,them,fast-bh,yes\nclub,them,fast-bh,perhaps\n",
    );
    let err = said.refused();
    assert!(err.contains("-:3:1: `perhaps` is no `won`"), "{err}");
    assert_eq!(journal_of(&player, "point").len(), 0);
}

#[test]
fn a_debrief_by_questions_and_by_flags_is_the_same() {
    let questions = north();
    let answers = "11-8 9-11 11-7 11-9\nmany badly\nsome\n\nfew well\nbh-short-fh\nhook from the \
                   middle\nwaits for the short push\n";
    let said = questions.run_with_input(&["debrief", "north"], answers);
    assert!(said.err.contains("Next: secondball plan advise"), "{}", said.err);
    said.fine();
    let flags = north();
    let by_flags = flags
        .run(&[
            "debrief",
            "north",
            "--games",
            "11-8 9-11 11-7 11-9",
            "--serve",
            "bh-short-fh many badly read",
            "--serve",
            "bh-half-long some",
            "--serve",
            "fast-bh few well",
            "--new",
            "hook from the middle",
            "--sentence",
            "waits for the short push",
        ])
        .fine();
    assert!(by_flags.contains("3 serves told"), "{by_flags}");
    assert!(by_flags.contains("read: short FH"), "{by_flags}");
    let told = |player| journal_of(player, "debrief");
    assert_eq!(told(&questions), told(&flags));
    assert_eq!(told(&flags)[0]["new"][0], "hook from the middle");
}

#[test]
fn a_debrief_told_again_replaces_the_first_and_unknown_serves_are_kept() {
    let player = north();
    player.run(&["debrief", "north", "--serve", "fast-bh many badly"]).fine();
    let said = player.run(&[
        "debrief",
        "north",
        "--serve",
        "fast-bh few well",
        "--serve",
        "tomahawk-wide few badly",
    ]);
    assert!(said.err.contains("The earlier debrief of this match is replaced."), "{}", said.err);
    assert!(said.out.contains("new: tomahawk-wide few badly"), "{}", said.out);
    let advice = player.run(&["plan", "advise", "north", "--json"]).fine();
    let advice: Value = serde_json::from_str(&advice).unwrap_or_default();
    // Few points of half weight are 1.5; the replaced many would be 7.
    assert_eq!(advice["advice"]["receiving_points"], 1.5);
}

#[test]
fn a_debrief_begun_again_starts_from_what_was_told() {
    let player = north();
    let answers = "11-8 9-11 11-7 11-9\nmany badly\n\n\n\nbh-short-fh\nhook\nwaits\n";
    player.run_with_input(&["debrief", "north"], answers).fine();
    let told = || journal_of(&player, "debrief");
    let first = told();
    // Ended at once, Enter at every question, and one thing more: nothing is lost.
    for input in ["", "\n\n\n\n\n\n\n\n"] {
        let said = player.run_with_input(&["debrief", "north"], input);
        assert!(said.err.contains("(now: 11-8 9-11 11-7 11-9)"), "{}", said.err);
        assert_eq!(told(), first);
    }
    player.run(&["debrief", "north", "--sentence", "stands wide"]).fine();
    let second = told();
    assert_eq!((second.len(), &second[0]["games"]), (1, &first[0]["games"]));
    assert_eq!(second[0]["sentence"], "stands wide");
}

#[test]
fn what_is_no_score_and_no_course_is_refused_with_an_example() {
    let player = north();
    let said = player.run(&["debrief", "north", "--games", "11-10"]).refused();
    assert!(said.contains("11-10 is no score a game ends with"), "{said}");
    let said = player.run(&["debrief", "north", "--serve", "fast-bh awful"]).refused();
    assert!(said.contains("few, some or many"), "{said}");
    assert!(player.run(&["debrief", "north"]).err.contains("Nothing told, nothing kept."));
}

#[test]
fn the_same_points_live_and_from_a_file_give_the_same_lessons() {
    let points = [(true, false), (false, true), (false, false), (true, false), (false, true)];
    let points: Vec<(bool, bool)> = points.iter().copied().cycle().take(13).collect();
    let word = |yes| if yes { "yes" } else { "no" };
    let mut lines = String::new();
    let mut file = "match,day,server,serve,meant,played,quality,waiting,won\n".to_owned();
    for (won, waiting) in points {
        lines.push_str(if won { "fast-bh won" } else { "fast-bh lost" });
        lines.push_str(if waiting { " waiting\n" } else { "\n" });
        for part in ["club,2026-11-25,them,fast-bh,plan,,,", word(waiting), ",", word(won), "\n"] {
            file.push_str(part);
        }
    }
    let typed = north();
    live(&typed, &["--first", "them", "--match", "club"], &lines);
    let read = north();
    let said = read.run_with_input(&["points", "north", "--csv", "-"], &file).fine();
    assert!(said.starts_with("club, 13 points, 2026-11-25: kept; games 0-0, 5-8, "), "{said}");
    let lessons = |player: &Player| player.run(&["points", "lessons", "north", "--json"]).fine();
    assert_eq!(lessons(&typed), lessons(&read));
    assert!(lessons(&read).contains("\"noted\": 13"), "{}", lessons(&read));
}

#[test]
fn a_file_with_strange_words_says_which_line_and_word() {
    let player = north();
    let file = "match,server,serve,meant,won\nclub,them,fast-bh,safe,yes\nclub,them,wobble,,no\n\
                club,them,fast-bh,swat,no\n";
    let said = player.run_with_input(&["points", "north", "--csv", "-"], file);
    assert!(said.err.contains("-:3: `wobble` names no serve or receive here"), "{}", said.err);
    assert!(said.err.contains("-:4: `swat` names no serve or receive here"), "{}", said.err);
    let missed = "match,server,serve,quality,won\nclub,them,fast-bh,missed,yes\n";
    let said = player.run_with_input(&["points", "north", "--csv", "-"], missed).refused();
    assert!(said.contains("`quality` is missed and `won` is yes"), "{said}");
}

/// A page without its line breaks.
fn joined(page: &str) -> String {
    page.split_whitespace().collect::<Vec<_>>().join(" ")
}

#[test]
fn a_change_that_is_due_stands_on_every_screen_and_one_serve_can_be_asked() {
    let player = fixture::after_the_season();
    for arguments in [&[][..], &["today"]] {
        let page = joined(&player.run(arguments).fine());
        assert!(page.contains("By the points: "), "{page}");
        assert!(page.contains("make the switch \"long push\""), "{page}");
    }
    for arguments in [&["plan", "north"][..], &["plan", "advise", "north", "bh-short-fh"]] {
        let page = joined(&player.run(arguments).fine()).to_lowercase();
        assert!(page.contains("make the switch \"long push\""), "{page}");
    }
    let page = player.run(&["plan", "advise", "north", "bh-short-fh", "--all"]).fine();
    assert!(!page.contains("half-long wide FH"), "{page}");
    let sheet = player.run(&["sheet", "north"]).fine();
    let (due, first) = (sheet.find("SWITCH \"LONG PUSH\", NOW"), sheet.find("\nSHORT FH"));
    assert!(due.is_some() && due < first, "{sheet}");
    // A home without points has no change due.
    assert!(!north().run(&["today"]).fine().contains("By the points"));
}

#[test]
fn old_points_and_counts_are_there_from_the_kept_fold_too() {
    let mut player = after_the_season();
    player.run_with_input(&["scout", "count", "north"], "1121").fine();
    // Enough plain answers, long ago, for the fold to be worth keeping.
    let mut old = String::from("{\"secondball\":\"journal\",\"format\":1,\"device\":\"zz\"}\n");
    for n in 1..=2_500 {
        writeln!(
            old,
            "{{\"n\":{n},\"at\":{},\"day\":\"2026-08-01\",\"k\":\"answer\",\"deck\":\"k7f3q2\",\"serve\":\
             \"bh-short-fh\",\"right\":\"forehand push\",\"ms\":500,\"window\":700,\"motor\":210}}",
            1_785_000_000_000_u64 + n
        )
        .unwrap();
    }
    player.write("journal/zz.jsonl", &old);
    player.at("2027-03-01T12:00:00+00:00");
    let asked: [&[&str]; 2] =
        [&["plan", "advise", "north", "--json"], &["scout", "show", "north", "--json"]];
    let replayed = asked.map(|command| player.run(command).fine());
    assert!(player.home().join("cache/journal.json").exists());
    assert_eq!(asked.map(|command| player.run(command).fine()), replayed);
    let lessons: Value = serde_json::from_str(&replayed[0]).unwrap();
    assert_eq!(lessons["advice"]["matches"], 5);
    let shown: Value = serde_json::from_str(&replayed[1]).unwrap();
    assert_eq!(shown["serves"][0]["seen"], 3);
}

#[test]
fn games_that_are_not_those_of_the_kept_points_are_asked_about() {
    let player = north();
    let points = "won\n".repeat(22);
    live(&player, &["--first", "them"], &points).fine();
    let told = "11-0 9-11 11-7";
    let said = player.run(&["debrief", "north", "--games", told]);
    assert!(said.err.contains("make 11-0 11-0, not 11-0 9-11 11-7"), "{}", said.err);
    let answers = format!("{told}\nn\n11-0 11-0 11-7\n");
    let said = player.run_with_input(&["debrief", "north"], &answers);
    assert!(said.err.contains("Keep the games as told?"), "{}", said.err);
    assert!(said.out.contains("11-0 11-0 11-7"), "{}", said.out);
}

#[test]
fn a_new_serve_called_almost_like_a_known_one_is_asked_about() {
    let player = north();
    let said = player.run(&["debrief", "north", "--serve", "fasst-bh many badly"]).refused();
    assert!(said.contains("did you mean `fast wide BH`?") && said.contains("--new"), "{said}");
    let answers = "\n\n\n\n\nfasst-bh; hook wide\nn\n\n";
    let said = player.run_with_input(&["debrief", "north"], answers);
    assert!(said.err.contains("did you mean `fast wide BH`, which is known?"), "{}", said.err);
    assert!(said.out.contains("new: hook wide"), "{}", said.out);
}

#[test]
fn what_a_key_stood_for_is_not_said_to_have_been_typed() {
    let player = north();
    live(&player, &["--first", "them"], "fast-bh lost\nodd thing lost\n").fine();
    // Keys once kept these words, in lines without a checksum.
    let file = player.home().join("journal/testdevice.jsonl");
    let text = std::fs::read_to_string(&file).unwrap_or_default();
    let line = text.lines().last().unwrap_or_default().replace("\"n\":2", "\"n\":3");
    let line = line.replace("odd thing", "another receive");
    let (line, _) = line.split_once(",\"sum\"").unwrap_or_default();
    std::fs::write(&file, format!("{text}{line}}}\n")).ok();
    let said = player.run(&["plan", "advise", "north", "--why"]).fine();
    assert!(said.contains("beside the plan: another receive (not named)"), "{said}");
    assert!(said.contains("kept as typed: odd thing. New"), "{said}");
}

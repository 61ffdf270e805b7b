//! Advice, worth, lessons and the sheet as a player reads them, before any point and after an invented season.

use secondball::base::text;
use serde_json::Value;

use crate::harness::Player;
use crate::points::fixture::{after_the_season, north};

/// A document read back.
fn json(player: &Player, arguments: &[&str]) -> Value {
    serde_json::from_str(&player.run(arguments).fine()).unwrap_or_default()
}

fn snapshot(name: &str, page: &str) {
    insta::with_settings!({ snapshot_path => "regression", prepend_module_to_snapshot => false }, {
        insta::assert_snapshot!(name, page);
    });
}

fn fits(page: &str) {
    for line in page.lines() {
        assert!(text::width(line) <= 80, "{line}");
    }
}

#[test]
fn before_any_point_the_plan_is_a_hint_and_its_receives_common_practice() {
    let page = north().run(&["plan", "advise", "north", "--all"]).fine();
    fits(&page);
    assert!(page.contains("A hint: no match yet, so the plan rests on common practice"), "{page}");
    assert!(page.contains("never drilled"), "{page}");
    snapshot("advice-before", &page);
}

#[test]
fn after_a_season_a_few_lines_say_what_to_do_and_how_sure_that_is() {
    let player = after_the_season();
    let page = player.run(&["plan", "advise", "north"]).fine();
    assert!(page.lines().count() <= 8, "{page}");
    assert!(!page.contains(" of 100"), "{page}");
    assert_eq!(page, player.run(&["points", "lessons", "north"]).fine());
    snapshot("advice-short", &page);
    // What is asked for more begins with the same lines.
    for more in ["--why", "--all"] {
        let longer = player.run(&["plan", "advise", "north", more]).fine();
        fits(&longer);
        assert!(longer.starts_with(&page), "{longer}");
    }
    snapshot("advice-season", &player.run(&["plan", "advise", "north", "--all"]).fine());
    let lessons = json(&player, &["plan", "advise", "north", "--json"]);
    let verdict = |serve: &str| {
        let lessons = lessons["lessons"]["lessons"].as_array().cloned().unwrap_or_default();
        let one = lessons.iter().find(|lesson| lesson["serve"] == serve).cloned();
        one.map(|lesson| lesson["verdict"].clone()).unwrap_or_default()
    };
    // As the season was made: waited for, and badly played.
    assert_eq!(verdict("bh-short-fh"), "change");
    assert_eq!(verdict("pendulum-wide"), "play_it_better");
}

#[test]
fn a_switch_that_is_not_firm_is_never_advised_without_saying_so() {
    let player = after_the_season();
    let page = player.run(&["plan", "advise", "north"]).fine();
    assert!(page.contains("the switch \"long push\" (never drilled)"), "{page}");
    let page = player.run(&["sheet", "north"]).fine();
    assert!(page.contains("SWITCH \"LONG PUSH\", NOW (never drilled)"), "{page}");
}

#[test]
fn another_drop_is_another_question_and_a_wild_one_is_refused() {
    let player = after_the_season();
    let drop = |drop| json(&player, &["plan", "advise", "north", "--drop", drop, "--json"]);
    let of = |page: &Value| page["advice"]["serves"][1]["choices"][0]["drop"].clone();
    assert_ne!(of(&drop("0.05")), of(&drop("0.3")));
    let said = player.run(&["plan", "advise", "north", "--drop", "0.9"]).refused();
    assert!(said.contains("`drop`"), "{said}");
}

#[test]
fn a_seed_gives_the_same_order() {
    let player = after_the_season();
    let page = || player.run(&["plan", "advise", "north", "--all"]).fine();
    assert_eq!(page(), page());
}

#[test]
fn worth_is_exact_from_any_score() {
    let player = north();
    let worth = |more: &[&str]| {
        let arguments: Vec<&str> =
            ["plan", "worth", "north"].iter().chain(more).chain(&["--json"]).copied().collect();
        json(&player, &arguments)["worths"][0].clone()
    };
    let number = |value: &Value| value.as_f64().unwrap_or(f64::NAN);
    // At 10-9 in the decider, serving: one point p_s, else deuce D = p_s p_r / (p_s p_r + q_s q_r).
    let late = worth(&["fast-bh", "--by", "0", "--score", "2-2/10-9", "--server", "me"]);
    let (serve, receive) = (number(&late["serving"]), number(&late["receiving"][0]));
    let deuce = serve * receive / (serve * receive + (1.0 - serve) * (1.0 - receive));
    let expected = serve + (1.0 - serve) * deuce;
    assert!((number(&late["match_chance"][0]) - expected).abs() < 1e-12, "{late}");
    // More is worth more, and nothing is worth nothing.
    assert_eq!(late["match_chance"][0], late["match_chance"][1]);
    let early = worth(&["fast-bh", "--by", "0.05"]);
    assert!(number(&early["match_chance"][1]) > number(&early["match_chance"][0]));
    let said = player.run(&["plan", "worth", "north", "--score", "3-0/0-0"]).refused();
    assert!(said.contains("3-0 in games is no score"), "{said}");
    let page =
        player.run(&["plan", "worth", "north", "--score", "1-1/8-8", "--server", "them"]).fine();
    fits(&page);
    assert!(page.contains("From 1-1 in games, 8-8, they serve, best of 5"), "{page}");
    assert!(page.contains("every serve alike"), "{page}");
}

#[test]
fn the_sheet_puts_trouble_first_with_what_the_points_say() {
    let player = after_the_season();
    let page = player.run(&["sheet", "north"]).fine();
    fits(&page);
    assert!(page.lines().count() <= 48, "{page}");
    snapshot("sheet-season", &page);
    let plan = player.run(&["plan", "north"]).fine();
    fits(&plan);
    assert!(plan.lines().count() <= 14, "{plan}");
    snapshot("plan-season", &plan);
    let before = json(&north(), &["sheet", "north", "--json"]);
    assert_eq!(before["rows"][0]["points"], Value::Null);
}

#[test]
fn the_printed_page_escapes_everything_and_draws_every_serve() {
    let player = after_the_season();
    let wild = player
        .read("decks/north.ron")
        .replace("takes the first loop away", "<script>alert(1)</script> & \\\"quoted\\\"")
        .replace("\"Left-hander, north hall\"", "\"<b>Left</b>\"");
    player.write("decks/north.ron", &wild);
    for (paper, size) in
        [("a4", "size: A4"), ("letter", "size: letter"), ("a6", "size: 105mm 148mm")]
    {
        let file = player.beside(&format!("sheet-{paper}.html"));
        let name = file.display().to_string();
        player.run(&["sheet", "north", "--html", &name, "--paper", paper]).fine();
        let page = std::fs::read_to_string(&file).unwrap_or_default();
        assert!(page.contains(size), "{paper}");
        assert_eq!(page.matches("<svg").count(), 4, "{paper}");
        assert!(page.contains("&lt;b&gt;Left&lt;&#x2f;b&gt;"), "{paper}");
        assert!(!page.contains("<script") && !page.contains("<b>Left"), "{paper}");
        // Nothing is loaded from anywhere.
        assert!(!page.contains("http"), "{paper}");
    }
    let said = player.run(&["sheet", "north", "--html", "x.html", "--paper", "a3"]);
    assert_eq!(said.code, 1);
    assert!(said.err.contains("`a3` is none of a4, letter and a6"), "{}", said.err);
}

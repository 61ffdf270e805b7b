//! `launcher fly`, `aim`, `trim` and `calibrate` as typed, and settings in a rehearsal.

#![expect(clippy::unwrap_used, reason = "a broken fixture ends the test")]

mod adding;
mod feasible;
mod kept;
mod marks;

use serde_json::Value;

use crate::harness::Player;

const DECK: &str = include_str!("rehearsal/left-hander.ron");
const PANEL: &str = include_str!("fixtures/launchers/panel.ron");

fn player() -> Player {
    let player = Player::with_home();
    player.write("decks/north.ron", DECK);
    player
}

fn json(said: &str) -> Value {
    serde_json::from_str(said).unwrap()
}

#[track_caller]
fn near(value: &Value, expected: f64, tolerance: f64) {
    let value = value.as_f64().unwrap();
    assert!((value - expected).abs() <= tolerance, "{value} is not {expected}");
}

#[test]
fn a_flown_ball_bounces_where_the_worked_example_says() {
    // The example settings of the flight specification, rounded there to 5 mm and 1 ms: (spin, speed,
    // elevation, side, azimuth) -> (first, landing, next, apex, net, time, depth).
    let rows = [
        ("-40", "5.30", "-16", "0", "0", [0.40, 1.81, 2.51, 0.221, 0.024, 0.526], "short"),
        ("-40", "5.70", "-15", "0", "0", [0.44, 1.98, 2.75, 0.220, 0.041, 0.528], "half_long"),
        ("0", "5.45", "-21", "0", "0", [0.29, 1.67, 2.55, 0.268, 0.022, 0.512], "short"),
        ("40", "6.25", "-14", "0", "0", [0.42, 2.15, 3.49, 0.220, 0.047, 0.461], "long"),
        ("0", "5.85", "-15", "30", "-2.3", [0.41, 1.87, 2.72, 0.220, 0.032, 0.490], "half_long"),
    ];
    let player = Player::with_home();
    player.write("table.ron", "(surface: (restitution: 0.93, friction: 0.25))\n");
    for (top, speed, elevation, side, azimuth, [first, lands, next, apex, net, time], depth) in rows
    {
        let ask = [
            "launcher",
            "fly",
            "--outlet",
            "-0.1,0,0.2",
            "--speed",
            speed,
            "--elevation",
            elevation,
            "--top",
            top,
            "--side",
            side,
            "--azimuth",
            azimuth,
            "--json",
        ];
        let flown = json(&player.run(&ask).fine());
        let bounces = &flown["bounces"];
        near(&bounces[0]["x_m"], first, 0.006);
        near(&bounces[1]["x_m"], lands, 0.006);
        near(&bounces[2]["x_m"], next, 0.006);
        near(&bounces[1]["apex_m"], apex, 0.001);
        near(&flown["net"]["clearance_m"], net, 0.001);
        near(&bounces[1]["time_s"], time, 0.001);
        assert_eq!(
            (flown["depth"].as_str(), flown["is_legal"].as_bool()),
            (Some(depth), Some(true))
        );
    }
}

#[test]
fn impossible_numbers_are_refused_with_range_and_unit() {
    let player = Player::without_home();
    for (flag, value, range) in [
        ("--speed", "-3", "speed is -3 m/s, allowed is 0 to 40 m/s"),
        ("--speed", "NaN", "speed is NaN m/s, allowed is 0 to 40 m/s"),
        ("--top", "10000", "top spin is 10000 rev/s, allowed is -200 to 200 rev/s"),
        ("--outlet", "0,0,9", "nozzle height is 9 m, allowed is 0.02 to 3 m"),
        ("--outlet", "0,0", "a nozzle has three numbers, not 2"),
    ] {
        let mut ask = vec!["launcher", "fly", flag, value];
        if flag != "--speed" {
            ask.extend(["--speed", "5"]);
        }
        let said = player.run(&ask).refused();
        assert!(said.contains(range), "{said}");
    }
}

#[test]
fn other_constants_make_another_flight_and_the_picture_keeps_its_width() {
    let player = Player::with_home();
    let ask = ["launcher", "fly", "--speed", "5.3", "--elevation", "-16", "--top", "-40"];
    let usual = player.run(&ask).fine();
    assert!(usual.lines().all(|line| line.chars().count() <= 80), "{usual}");
    assert!(usual.contains("from the side") && usual.contains("from above"), "{usual}");
    player.write("table.ron", "(surface: (friction: 0.15))\n");
    assert_ne!(usual, player.run(&ask).fine());
    player.write("table.ron", "(surface: (restitution: 1.2))\n");
    let said = player.run(&ask).refused();
    assert!(said.contains("restitution is 1.2, allowed is 0.3 to 1"), "{said}");
    std::fs::remove_file(player.home().join("table.ron")).unwrap();
    let svg = player.beside("ball.svg");
    player.run(&[&ask[..], &["--svg", svg.to_str().unwrap()]].concat()).fine();
    assert!(std::fs::read_to_string(svg).unwrap().starts_with("<svg "));
}

#[test]
fn settings_flown_again_land_where_they_were_aimed() {
    let player = player();
    for launcher in ["per-ball", "fixed", "oscillating"] {
        let aim = json(
            &player.run(&["launcher", "aim", "north", "--launcher", launcher, "--json"]).fine(),
        );
        let groups = aim["groups"].as_array().unwrap();
        let serves = groups.iter().flat_map(|group| group["serves"].as_array().unwrap());
        let mut count = aim["cannot"].as_array().unwrap().len();
        for one in serves {
            count += 1;
            let launch = &one["ball"]["launch"];
            let outlet = &launch["outlet_m"];
            let number = |value: &Value| value.as_f64().unwrap().to_string();
            let outlet = [number(&outlet[0]), number(&outlet[1]), number(&outlet[2])].join(",");
            let (speed, elevation, azimuth, top, side) = (
                number(&launch["speed_m_s"]),
                number(&launch["elevation_deg"]),
                number(&launch["azimuth_deg"]),
                number(&launch["spin"]["top_rev_s"]),
                number(&launch["spin"]["side_rev_s"]),
            );
            let flown = json(
                &player
                    .run(&[
                        "launcher",
                        "fly",
                        "--outlet",
                        &outlet,
                        "--speed",
                        &speed,
                        "--elevation",
                        &elevation,
                        "--azimuth",
                        &azimuth,
                        "--top",
                        &top,
                        "--side",
                        &side,
                        "--json",
                    ])
                    .fine(),
            );
            let outcome = &one["ball"]["outcome"];
            let at = usize::from(!outcome["first_bounce_m"].is_null());
            near(&flown["bounces"][at]["x_m"], outcome["bounce_m"][0].as_f64().unwrap(), 1e-6);
            near(&flown["bounces"][at]["y_m"], outcome["bounce_m"][1].as_f64().unwrap(), 1e-6);
            assert_eq!(flown["is_legal"], true);
        }
        assert_eq!(count, 4, "{launcher}: every serve is thrown or refused");
    }
}

#[test]
fn aiming_says_how_far_to_trust_it_why_a_chair_and_what_to_beware_of() {
    let player = player();
    let said = player.run(&["launcher", "aim", "north", "--launcher", "fixed", "--all"]).fine();
    assert!(said.contains("half of the landings within 9 cm"), "{said}");
    assert!(said.contains("wedged chair (28 cm)"), "{said}");
    assert!(said.contains("Nobody within two metres"), "{said}");
    assert!(said.lines().all(|line| line.chars().count() <= 80), "{said}");
    let person = player.run(&["launcher", "aim", "north", "--launcher", "feeder"]).refused();
    assert!(person.contains("is a person"), "{person}");
    let nobody = player.run(&["launcher", "aim", "--launcher", "fixed", "--serve", "bh"]).refused();
    assert!(nobody.contains("`bh` is no serve of"), "{nobody}");
}

#[test]
fn a_rehearsal_carries_the_settings_of_every_ball() {
    let player = player();
    let ask = ["rehearse", "--launcher", "per-ball", "--balls", "40", "--csv", "-"];
    let csv = player.run(&ask).fine();
    let mut rows = csv::Reader::from_reader(csv.as_bytes());
    let column = rows.headers().unwrap().iter().position(|name| name == "speed_m_s").unwrap();
    let rows: Vec<csv::StringRecord> = rows.records().map(Result::unwrap).collect();
    let is_set = |row: &csv::StringRecord| row[column].parse::<f64>().is_ok_and(|v| v > 3.0);
    let set = rows.iter().filter(|row| is_set(row)).count();
    assert_eq!(set, rows.len(), "{csv}");
}

#[test]
fn trimming_says_one_notch_a_ball() {
    let player = player();
    let ask = ["launcher", "trim", "pend-short-bh", "--launcher", "fixed"];
    let said = player.run(&[&ask[..], &["--seen", "long", "--seen", "good"]].concat()).fine();
    assert!(said.contains(" degree ") || said.contains("upper from "), "{said}");
    assert!(said.contains("trimmed in 2 balls"), "{said}");
    let asked = player.run_with_input(&ask, "lnog\nlong\nleft\ngood\n");
    assert!(asked.err.contains("`lnog` is not among them"), "{}", asked.err);
    assert!(asked.out.contains("to the right"), "{}", asked.out);
    assert_eq!(asked.code, 0);
}

#[test]
fn a_launcher_whose_dials_nobody_calibrated_gets_values_to_start_from_marked_as_a_guess() {
    let player = player();
    let said = player.run(&["rehearse", "--launcher", "fixed", "--balls", "40"]).fine();
    assert!(said.contains("Dials are a guess to trim"), "{said}");
    assert!(said.contains("; about upper "), "{said}");
    assert!(said.lines().all(|line| line.chars().count() <= 80), "{said}");
    let aim = player.run(&["launcher", "aim", "north", "--launcher", "fixed", "--all"]).fine();
    assert!(aim.contains("dials    about upper ") && aim.contains("a guess"), "{aim}");
    let (machine, _) = PANEL.split_once("    dials: [").unwrap();
    player.write("launchers/club.ron", &format!("{machine})\n"));
    let none = player.run(&["rehearse", "--launcher", "club", "--balls", "40"]).fine();
    assert!(
        none.contains("Your dials are unknown") && none.contains("launcher calibrate"),
        "{none}"
    );
}

#[test]
fn hints_and_verdicts_keep_to_eighty_columns() {
    let player = player();
    let which = player.run(&["launcher", "aim"]).refused();
    let fly = ["launcher", "fly", "--speed", "3", "--elevation", "20", "--top", "-40"];
    let flown = player.run(&fly).fine();
    assert!(flown.contains("not legal"), "{flown}");
    for line in which.lines().chain(flown.lines()) {
        assert!(line.chars().count() <= 80, "{line}");
    }
}

#[test]
fn a_list_of_balls_with_mistakes_says_where_they_are() {
    let player = player();
    player.write("launchers/club.ron", PANEL);
    let file = player.beside("balls.csv");
    let run = |text: &str| {
        std::fs::write(&file, text).unwrap();
        player
            .run(&["launcher", "calibrate", file.to_str().unwrap(), "--launcher", "club"])
            .refused()
    };
    let head = "speed,spin,side,height,direction,first_cm,land_cm,across_cm,next_cm\n";
    let unknown = run("speed,spn,side,height,direction,land_cm,across_cm\n");
    assert!(unknown.contains("did you mean `spin`"), "{unknown}");
    let wrong = run(&format!("{head}6,-3,0,20,0,38,18x,-12,254\n6,-3,0,99,0,38,182,-12,254\n"));
    assert!(wrong.contains("balls.csv:2:16") && wrong.contains("`18x` is not a number"), "{wrong}");
    assert!(wrong.contains("height is 99, allowed is 0 to 50"), "{wrong}");
    let few = run(&format!("{head}6,-3,0,20,0,38,182,-12,254\n"));
    assert!(few.contains("1 ball cannot teach"), "{few}");
    let missing =
        player.run(&["launcher", "calibrate", "nowhere.csv", "--launcher", "club"]).refused();
    assert!(missing.contains("no file `nowhere.csv`"), "{missing}");
}

#[test]
fn what_was_learned_is_written_down_and_aims_in_the_launchers_own_dials() {
    let player = player();
    player.write("launchers/club.ron", PANEL);
    let file = player.beside("balls.csv");
    std::fs::write(&file, crate::calibrate::list_of_balls()).unwrap();
    let ask = ["launcher", "calibrate", file.to_str().unwrap(), "--launcher", "club"];
    let said = player.run(&ask).fine();
    assert!(said.contains("friction") && said.contains("Next most useful ball"), "{said}");
    assert!(said.lines().all(|line| line.chars().count() <= 80), "{said}");
    assert!(!player.home().join("table.ron").exists());
    player.run(&[&ask[..], &["--write"]].concat()).fine();
    assert!(player.read("table.ron").contains("friction"));
    // The comments of the launcher's file are kept.
    assert!(player.read("launchers/club.ron").starts_with("// An invented launcher"));
    let aimed = player.run(&["launcher", "aim", "north", "--launcher", "club", "--all"]).fine();
    assert!(aimed.contains("dials    speed "), "{aimed}");
    assert!(aimed.contains("so it was with 14 balls"), "{aimed}");
    let csv = player.run(&["rehearse", "--launcher", "club", "--balls", "20", "--csv", "-"]).fine();
    let mut rows = csv::Reader::from_reader(csv.as_bytes());
    let dial = rows.headers().unwrap().iter().position(|name| name.ends_with("height")).unwrap();
    assert!(rows.records().all(|row| row.unwrap()[dial].parse::<f64>().is_ok()), "{csv}");
}

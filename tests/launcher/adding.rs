//! A launcher of one's own from eight answers, by questions and by flags; no file is edited.

use super::player;

const FLAGS: [&str; 18] = [
    "launcher",
    "add",
    "Hall",
    "--wheels",
    "two",
    "--head",
    "by-hand",
    "--knobs",
    "upper 0 10 0.5, lower 0-10, balls 1 to 10 by 1",
    "--tilt",
    "30",
    "--swing",
    "no",
    "--stores",
    "0",
    "--lowest",
    "28",
    "--slowest=25",
];

#[test]
fn eight_answers_make_the_same_launcher_as_eight_flags() {
    let (asked, told) = (player(), player());
    let answers = "Hall\n2\nby hand\nupper 0 10 0.5\n<\nupper 0 10 0.5\nlower\n0-10\nballs 1 to 10 by 1\n\n30\n28\n25\nno\n0\n";
    let said = asked.run_with_input(&["launcher", "add"], answers);
    assert_eq!(said.code, 0, "{}", said.err);
    told.run(&FLAGS).fine();
    assert_eq!(asked.read("launchers/hall.ron"), told.read("launchers/hall.ron"));
    // What it is good for: settings in its own knobs, no wheel at nothing.
    let aim = told.run(&["launcher", "aim", "north", "--launcher", "hall", "--all"]).fine();
    let dials: Vec<&str> = aim.lines().filter(|line| line.contains("dials    about")).collect();
    assert!(!dials.is_empty(), "{aim}");
    for line in dials {
        assert!(!line.contains("upper 0,") && !line.contains("lower 0:"), "{line}");
    }
    let sheet = told.run(&["rehearse", "--launcher", "hall", "--balls", "40"]).fine();
    assert!(sheet.contains(" a minute (balls "), "{sheet}");
}

#[test]
fn one_wheel_is_asked_for_the_spins_of_its_slowest_and_fastest_ball() {
    let player = player();
    let answers = "one\nlight topspin, heavy topspin\nspeed 0 10 1\n\n20\n25\n20\nno\n0\n";
    let said = player.run_with_input(&["launcher", "add", "One"], answers);
    assert!(said.err.contains("slowest and its fastest ball"), "{}", said.err);
    let card = player.run(&["launcher", "show", "one"]).fine();
    assert!(card.contains("spin        20 to 50 rev/s"), "{card}");
    player.run(&["launcher", "aim", "north", "--launcher", "one"]).fine();
}

#[test]
fn an_answer_that_cannot_be_is_asked_again_and_a_missing_one_names_its_flag() {
    let player = player();
    let said = player.run_with_input(
        &["launcher", "add", "Hall"],
        "two\nno\nA 0 ten\nA 0 10\nupper\nB=lower 0 10\n\nthirty\n30\n28\n25\nno\n0\n",
    );
    assert_eq!(said.code, 0, "{}", said.err);
    assert!(said.err.contains("`ten` in `A 0 ten` is not a number"), "{}", said.err);
    assert!(said.err.contains("A turns"), "{}", said.err);
    assert!(said.err.contains("`thirty` is not a number"), "{}", said.err);
    let missing = player.run_with_input(&["launcher", "add", "Other"], "two\nno\n").refused();
    assert!(missing.contains("--knobs"), "{missing}");
    let wide = FLAGS.map(|flag| if flag == "28" { "2800" } else { flag });
    let wide = player.run(&wide.map(|flag| if flag == "Hall" { "Wide" } else { flag })).refused();
    assert!(wide.contains("nozzle height above the table is 28 m"), "{wide}");
    assert!(!player.home().join("launchers/wide.ron").exists());
}

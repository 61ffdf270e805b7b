//! The program as a whole: help, exit codes, words that must not appear.

use crate::harness::Player;

#[test]
fn help_is_a_result_and_a_wrong_flag_a_problem_of_the_request() {
    let player = Player::without_home();
    let help = player.run(&["--help"]).fine();
    assert!(help.starts_with("Prepare your receives against a known opponent"), "{help}");
    let refused = player.run(&["--no-such-flag"]);
    assert_eq!((refused.code, refused.out.as_str()), (1, ""));
}

#[test]
fn a_time_that_is_none_is_refused_with_the_form_it_should_have() {
    let mut player = Player::without_home();
    let said = player.at("tomorrow").run(&["today"]).refused();
    assert!(said.contains("`tomorrow` is not a time; write it as 2026-11-29"), "{said}");
}

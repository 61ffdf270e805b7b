//! Simulated players with known thresholds and known costs: the drill must find them again.

use secondball::drill::{
    Machine, ServeOrder, SimulatedHabits, SimulatedPlayer, Summary, TempoRules, window,
};
use secondball::journal::Input;

use super::decks::Round;

fn played(round: Round, habits: SimulatedHabits, seed: u64) -> (Machine, Summary) {
    let mut machine = Machine::new(round.script(), Input::Simulated);
    let mut player = SimulatedPlayer::new(habits, seed);
    let mut now_ms = 0;
    while !machine.is_done() {
        let (at_ms, act) = player.next(&machine, now_ms);
        now_ms = at_ms;
        machine.act(now_ms, act);
    }
    let summary = machine.summary();
    (machine, summary)
}

/// Never guesses, never slips: only its time decides.
pub(super) const QUICK_OR_SLOW: SimulatedHabits = SimulatedHabits {
    middle_ms: 900.0,
    spread: 0.20,
    wrong: 0.0,
    silent: 0.0,
    guesses: 0.0,
    switch_cost_ms: 0.0,
    call_cost_ms: 0.0,
    old_answer: 0.0,
    spill: 0.0,
};

/// Levitt 1971, table I: three down, one up settles where p^3 = 1/2, p = 0.794.
/// A player whose time is log-normal (middle m, spread s) answers in a window of m exp(0.8204 s) in
/// 79.4 % of the cases: 0.8204 is the standard normal quantile of 0.794.
#[test]
fn three_down_one_up_settles_where_four_in_five_are_right() {
    let tempo = TempoRules { least_permille: 200, most_permille: 6000, ..TempoRules::default() };
    let mut shares = Vec::new();
    let mut misses = Vec::new();
    for seed in 0..40 {
        let round = Round { balls: 400, tempo, seed, ..Round::default() };
        let key_ms = f64::from(round.script().key_ms);
        let (machine, summary) = played(round, QUICK_OR_SLOW, seed);
        let settled = &machine.taken()[100..];
        let share =
            settled.iter().filter(|one| one.is_clean()).count() as f64 / settled.len() as f64;
        shares.push(share);
        // In milliseconds: the mean decision of this deck (320 once, 370 three times) at the
        // threshold, and the keys.
        let threshold = summary.threshold.unwrap();
        let decision_ms = f64::from(320 + 3 * 370) / 4.0;
        let found_ms = decision_ms * threshold.permille / 1000.0 + key_ms;
        let error_ms = decision_ms * threshold.error_permille / 1000.0;
        let true_ms = 900.0 * (0.8204_f64 * 0.20).exp();
        misses.push(((found_ms - true_ms) / error_ms, found_ms - true_ms));
    }
    let mean = shares.iter().sum::<f64>() / shares.len() as f64;
    // 40 runs of 300 balls; a run's share spreads by less than 0.02, so the mean by 0.003.
    assert!((mean - 0.794).abs() < 0.010, "right in the window: {mean:.4}");
    // A stated standard error must hold the truth within twice its size about 95 times in 100.
    let within = misses.iter().filter(|(errors, _)| errors.abs() < 2.0).count();
    assert!(within >= 36, "{within} of 40: {misses:?}");
    let bias_ms = misses.iter().map(|(_, ms)| ms).sum::<f64>() / misses.len() as f64;
    assert!(bias_ms.abs() < 20.0, "bias {bias_ms:.1} ms");
}

#[test]
fn eased_nine_in_ten_succeed() {
    let tempo =
        TempoRules { least_permille: 200, most_permille: 6000, ..TempoRules::default() }.eased();
    let mut shares = Vec::new();
    for seed in 0..40 {
        let round = Round { balls: 500, tempo, seed, ..Round::default() };
        let (machine, _) = played(round, QUICK_OR_SLOW, seed);
        let settled = &machine.taken()[150..];
        shares.push(
            settled.iter().filter(|one| one.is_clean()).count() as f64 / settled.len() as f64,
        );
    }
    let mean = shares.iter().sum::<f64>() / shares.len() as f64;
    // p^7 = 1/2 at p = 0.906.
    assert!((mean - 0.906).abs() < 0.012, "{mean:.4}");
}

#[test]
fn a_known_switch_cost_comes_back_out() {
    let habits = SimulatedHabits {
        middle_ms: 600.0,
        spread: 0.12,
        switch_cost_ms: 180.0,
        call_cost_ms: 25.0,
        old_answer: 0.2,
        spill: 0.08,
        ..QUICK_OR_SLOW
    };
    let (mut costs, mut wrongs, mut kept) = (Vec::new(), Vec::new(), Vec::new());
    for seed in 0..200 {
        let round = Round { switches: true, seed, ..Round::default() };
        let (_, summary) = played(round, habits, seed);
        let measures = summary.switch.expect("the gate is open for a player without slips");
        costs.extend(measures.cost_ms.value);
        wrongs.extend(measures.cost_wrong.value);
        kept.extend(measures.collateral_ms.value);
    }
    let mean = |values: &[f64]| values.iter().sum::<f64>() / values.len() as f64;
    // One round spreads by about 45 ms, 200 of them by 3.
    assert!((mean(&costs) - 180.0).abs() < 10.0, "{:.1} ms", mean(&costs));
    // Old answers 0.2 of the switched, spills 0.08 of the kept.
    assert!((mean(&wrongs) - 0.12).abs() < 0.03, "{:.3}", mean(&wrongs));
    assert!((mean(&kept) - 25.0).abs() < 5.0, "{:.1} ms", mean(&kept));
    assert!(costs.len() > 150, "{} rounds gave a number", costs.len());
}

#[test]
fn a_simulated_player_is_labelled_and_plays_every_kind_of_round_to_its_end() {
    use secondball::journal::How;
    for how in [How::Snap, How::Think, How::Read, How::Shadow] {
        for &order in ServeOrder::ALL {
            let round = Round { how, order, balls: 15, ..Round::default() };
            let (_, summary) = played(round, SimulatedHabits::default(), 3);
            assert_eq!(summary.input, Input::Simulated);
            assert!(summary.answers >= 15, "{how} {order}: {}", summary.answers);
            assert!(!summary.is_interrupted);
        }
    }
}

#[test]
fn the_same_seed_plays_the_same_round() {
    let round = Round { balls: 30, ..Round::default() };
    let one = played(round, SimulatedHabits::default(), 9).1;
    assert_eq!(one, played(round, SimulatedHabits::default(), 9).1);
    assert_ne!(one, played(round, SimulatedHabits::default(), 10).1);
    assert_eq!(window::FLIGHT_MS, 670);
}

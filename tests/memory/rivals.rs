//! The calendar is no worse than greedy and than going round, in a short form with wide bounds; the
//! whole table is made by hand (`cargo run --release --example recall`).

use crate::memory::rival_cells::Cell;
use crate::memory::seasons::Player;

const SEEDS: u64 = 3;
/// Of so few seeds.
const SLACK: f64 = 0.02;

fn loses_to_none(cell: Cell) {
    let outcome = cell.run(0, SEEDS);
    assert!(outcome.ahead > -SLACK, "{cell:?} {outcome:?}");
}

#[test]
fn with_everything_untried_and_little_time_the_calendar_loses_to_no_simple_rule() {
    loses_to_none(Cell::new((40, 7, 4), true));
}

#[test]
fn with_missed_days_that_it_has_to_learn_of_it_loses_to_none_either() {
    loses_to_none(Cell { misses: 0.3, is_told: false, ..Cell::new((40, 7, 4), true) });
}

#[test]
fn with_some_known_and_a_player_who_forgets_each_at_its_own_speed_it_loses_to_none_either() {
    loses_to_none(Cell { player: Player::EachItsOwn, ..Cell::new((40, 7, 4), false) });
}

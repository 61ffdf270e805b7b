//! One printed session of each kind, whole: a change of a word shows here.
//!
//! The expected texts are our own output, read and approved; they check no number.

use secondball::base::Units;
use secondball::flight::Constants;
use secondball::page::rehearsal;
use secondball::rehearsal::enter;

use super::{Asked, LAUNCHERS};

#[test]
fn the_sheet_of_each_kind_of_launcher() {
    for kind in LAUNCHERS {
        let mut asked = Asked::of(kind, 60);
        asked.switch = true;
        insta::with_settings!({ snapshot_path => "../regression", prepend_module_to_snapshot => false }, {
            let mut session = asked.session();
            enter(&mut session, &Constants::default());
            insta::assert_snapshot!(format!("rehearsal-{kind}"), rehearsal::text(&session, 80, Units::Metric));
        });
    }
}

#[test]
fn sixty_balls_take_few_lines_on_a_terminal_for_every_launcher() {
    for kind in LAUNCHERS {
        let mut session = Asked::of(kind, 60).session();
        enter(&mut session, &Constants::default());
        let sheet = rehearsal::text(&session, 80, Units::Metric);
        // A screen or two; how many pages paper takes is counted in a browser (`paper.test.mjs`).
        assert!(sheet.lines().count() <= 75, "{kind}: {}\n{sheet}", sheet.lines().count());
    }
}

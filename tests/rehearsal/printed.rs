//! One printed session of each kind, whole: a change of a word shows here.
//!
//! The expected texts are our own output, read and approved; they check no number.

use secondball::base::Units;
use secondball::page::rehearsal;

use super::{Asked, LAUNCHERS};

#[test]
fn the_sheet_of_each_kind_of_launcher() {
    for kind in LAUNCHERS {
        let mut asked = Asked::of(kind, 60);
        asked.switch = true;
        insta::with_settings!({ snapshot_path => "../regression", prepend_module_to_snapshot => false }, {
            insta::assert_snapshot!(format!("rehearsal-{kind}"), rehearsal::text(&asked.session(), 80, Units::Metric));
        });
    }
}

//! The printed sheets.

use super::Asked;
use secondball::page::{rehearsal, rehearsal_json, rehearsal_rows};

#[test]
fn show() {
    for kind in super::LAUNCHERS {
        let mut asked = Asked::of(kind, 60);
        asked.switch = true;
        std::fs::write(format!("/tmp/wt/r-{kind}.txt"), rehearsal::session(&asked.session(), 80))
            .unwrap();
        std::fs::write(
            format!("/tmp/wt/r-{kind}.csv"),
            rehearsal_rows::csv(&asked.session()).unwrap(),
        )
        .unwrap();
        std::fs::write(format!("/tmp/wt/r-{kind}.json"), rehearsal_json::json(&asked.session()))
            .unwrap();
    }
}

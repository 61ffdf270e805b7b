//! The printed card: every block of the session, the set-up in both units, boxes, cautions, calls, and names as names.

use secondball::base::Units;
use secondball::page::rehearsal::{cautions, html};
use secondball::page::sheet_html::Paper;

use super::{Asked, LAUNCHERS};
use crate::harness::Player;

fn page(kind: &str, units: Units) -> (secondball::rehearsal::Session, String) {
    let mut asked = Asked::of(kind, 60);
    asked.switch = true;
    let session = asked.session();
    let page = html(&session, Paper::A4, units).unwrap();
    (session, page)
}

#[test]
fn the_card_of_every_launcher_has_each_block_its_balls_and_its_boxes() {
    for kind in LAUNCHERS {
        let (session, page) = page(kind, Units::Metric);
        for block in &session.blocks {
            let title = format!("<h2>{}&ensp;", block.number);
            assert!(page.contains(&title), "{kind}: {title}");
        }
        let logs: usize = session.blocks.iter().map(|block| block.log.len()).sum();
        assert_eq!(page.matches("class=\"box\"").count(), logs, "{kind}: a box for every result");
        assert!(page.contains("CALL"), "{kind}: the switch is called");
        assert!(page.contains("size: A4"), "{kind}");
        assert!(!page.contains("<script") && !page.contains("http:"), "{kind}: nothing is loaded");
    }
}

#[test]
fn all_cautions_stand_on_the_first_card_of_a_launcher_and_two_lines_on_the_later_ones() {
    for kind in LAUNCHERS {
        let (mut session, later) = page(kind, Units::Metric);
        session.is_launcher_new = true;
        let first = html(&session, Paper::A4, Units::Metric).unwrap();
        for caution in cautions(session.kind()) {
            let shown = caution.replace('\'', "&#x27;").replace('/', "&#x2f;");
            assert!(first.contains(&shown) && !later.contains(&shown), "{kind}: {caution}");
        }
        assert!(later.contains("Table locked") && later.contains("stop at pain"), "{kind}");
        assert!(later.contains("secondball rehearse cautions"), "{kind}");
    }
}

#[test]
fn every_place_the_launcher_is_moved_to_is_drawn_with_both_heights() {
    let (session, metric) = page("fixed", Units::Metric);
    let imperial = page("fixed", Units::Imperial).1;
    let mut stands: Vec<_> = session.blocks.iter().map(|block| block.set_up).collect();
    stands.dedup();
    stands.sort_by(|a, b| a.behind_line_m.total_cmp(&b.behind_line_m));
    stands.dedup();
    assert!(stands.len() >= 2, "{}", stands.len());
    assert_eq!(metric.matches(">from the side<").count(), stands.len());
    for block in session.blocks.iter().filter(|block| block.is_moved) {
        let height_m = block.set_up.outlet_height_m.unwrap();
        // The surface is 0.76 m above the floor (ITTF 2.1.1); an inch is 0.0254 m.
        for (page, over_table, over_floor) in [
            (
                &metric,
                format!("{:.0} cm", height_m * 100.0),
                format!("{:.0} cm", height_m * 100.0 + 76.0),
            ),
            (
                &imperial,
                format!("{} in", (height_m / 0.0254 * 2.0).round() / 2.0),
                format!("{} in", ((height_m + 0.76) / 0.0254 * 2.0).round() / 2.0),
            ),
        ] {
            assert!(page.contains(&format!(">{over_table} above the table<")), "{over_table}");
            assert!(page.contains(&format!(">{over_floor} above the floor<")), "{over_floor}");
        }
    }
    assert!(!imperial.contains(" cm"), "no centimetre is left for somebody who measures in inches");
}

#[test]
fn the_call_sheets_are_for_the_person_and_say_how_to_stand_in() {
    let feeder = page("feeder", Units::Metric).1;
    assert!(feeder.contains("This sheet is the feeder&#x27;s"), "{feeder}");
    assert!(feeder.contains("who must not see the order"));
    assert!(!feeder.contains(">from the side<"), "a person has no outlet");
    let partner = page("partner", Units::Metric).1;
    assert!(partner.contains("hide the order from the receiver"));
    assert!(partner.contains("from your forehand corner"), "a right-hander for the left-hander");
    assert!(partner.contains("it trains the answer, not the reading"));
}

#[test]
fn the_card_is_written_in_the_players_units_and_names_are_only_names() {
    let player = Player::with_home();
    let evil = "</title><script>alert(1)</script>";
    player.write("decks/north.ron", &include_str!("left-hander.ron").replace("north hall", evil));
    let own = player.read("player.ron").replace("units: metric", "units: imperial");
    player.write("player.ron", &own);
    let file = player.beside("card.html");
    let ask = ["rehearse", "--launcher", "fixed", "--balls", "40", "--paper", "a6", "--html"];
    let said = player.run(&[&ask[..], &[file.to_str().unwrap()]].concat());
    assert!(said.err.contains("to print on A6"), "{}", said.err);
    assert_eq!(said.fine(), "", "the page replaces the printed sheet");
    let page = std::fs::read_to_string(file).unwrap();
    assert!(page.contains("size: 105mm 148mm") && page.contains(" in above the floor<"));
    assert!(page.contains("alert(1)") && !page.contains("<script"));
}

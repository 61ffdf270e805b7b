//! A hand-written deck is changed by span: nothing else moves, no comment is lost.

#![expect(clippy::unwrap_used, reason = "a test helper: a broken fixture is a failed test")]

use proptest::prelude::*;
use secondball::deck::{Deck, MatchDay, Opponent, Owned, Switch};
use secondball::game::{
    Depth, HowOften, Lane, Motion, Pace, Receive, ScoreHabit, Serve, ServeId, Stroke, Target,
    Weight, Wing,
};
use secondball::store::{Home, parse_deck};

use super::home::{SAMPLE, home, sample};
use crate::harness::flat;

/// A home with the sample as a person wrote it.
fn with_sample(text: &str) -> (tempfile::TempDir, Home) {
    let (folder, home) = home();
    std::fs::write(home.root().join("decks/sample.ron"), text).unwrap();
    (folder, home)
}

fn text_of(home: &Home) -> String {
    std::fs::read_to_string(home.root().join("decks/sample.ron")).unwrap()
}

fn id(text: &str) -> ServeId {
    text.parse().unwrap()
}

/// The lines that are only in the one or only in the other, marked as such.
fn difference(old: &str, new: &str) -> String {
    let only = |mark: &str, these: &str, those: &str| -> Vec<String> {
        let those: Vec<_> = those.lines().collect();
        let lines = these.lines().filter(|line| !those.contains(line));
        lines.map(|line| format!("{mark}{line}")).collect()
    };
    [only("-", old, new), only("+", new, old)].concat().join("\n")
}

/// What an edit of the sample changes in its text.
fn changed(edit: impl Fn(&mut Deck)) -> String {
    let (_folder, home) = with_sample(SAMPLE);
    let mut deck = sample();
    edit(&mut deck);
    home.save_deck("sample", &sample(), &deck).unwrap();
    assert_eq!(home.deck("sample").unwrap(), deck);
    difference(SAMPLE, &text_of(&home))
}

#[test]
fn nothing_to_change_leaves_every_byte() {
    let (_folder, home) = with_sample(SAMPLE);
    home.save_deck("sample", &sample(), &sample()).unwrap();
    assert_eq!(text_of(&home), SAMPLE);
}

#[test]
fn one_word_is_replaced_where_it_stands() {
    let change = changed(|deck| deck.serves[1].pace = Some(Pace::Medium));
    assert_eq!(
        change,
        "-         lane: backhand, depth: long, pace: fast, how_often: sometimes, scores: [behind]), // watch it\n\
         +         lane: backhand, depth: long, pace: medium, how_often: sometimes, scores: [behind]), // watch it"
    );
}

#[test]
fn a_new_field_of_a_serve_follows_its_neighbour() {
    let change = changed(|deck| deck.serves[0].pace = Some(Pace::Slow));
    assert_eq!(
        change,
        "-         lane: forehand, depth: short, how_often: often, sure: seen, looks_like: \"bh-long-bh\"),\n\
         +         lane: forehand, depth: short, pace: slow, how_often: often, sure: seen, looks_like: \"bh-long-bh\"),"
    );
}

#[test]
fn a_new_serve_stands_below_the_last_with_its_receive() {
    let change = changed(|deck| {
        let mut serve = Serve::unknown(id("fast-wide"));
        serve.depth = Some(Depth::Long);
        serve.pace = Some(Pace::Fast);
        deck.serves.push(serve);
        deck.plan.insert(id("fast-wide"), "backhand block to middle long".parse().unwrap());
    });
    assert_eq!(
        change,
        "+        (id: \"fast-wide\", depth: long, pace: fast),\n\
         +        \"fast-wide\": (wing: backhand, stroke: block, to: (lane: middle, depth: long)),"
    );
}

#[test]
fn a_new_field_of_the_deck_stands_in_a_line_of_its_own() {
    let change = changed(|deck| deck.rubbers = Some("long pimples".to_owned()));
    assert_eq!(change, "+    rubbers: \"long pimples\",");
}

#[test]
fn a_switch_is_taken_out_and_put_in() {
    let change = changed(|deck| {
        let changes = [(id("bh-long-bh"), "backhand block".parse().unwrap())].into();
        deck.switches.push(Switch { name: "quiet".to_owned(), cue: None, changes });
    });
    assert_eq!(
        change,
        "+        (name: \"quiet\", changes: {\n+            \"bh-long-bh\": (wing: backhand, stroke: block),"
    );
    let change = changed(|deck| deck.switches.clear());
    assert!(change.contains("-        (name: \"long push\""), "{change}");
}

#[test]
fn a_renamed_serve_keeps_its_place_its_comment_and_its_plan() {
    let change = changed(|deck| {
        deck.serves[0].id = id("short-one");
        deck.serves[0].was = vec![id("bh-short-fh")];
        let receive = deck.plan.remove(&id("bh-short-fh")).unwrap();
        deck.plan.insert(id("short-one"), receive);
        let receive = deck.switches[0].changes.remove(&id("bh-short-fh")).unwrap();
        deck.switches[0].changes.insert(id("short-one"), receive);
    });
    assert!(change.contains("(id: \"short-one\", was: [\"bh-short-fh\"], motion"), "{change}");
    assert_eq!(change.lines().filter(|line| line.contains("\"short-one\": (")).count(), 2);
}

#[test]
fn windows_lines_and_the_mark_at_the_beginning_stay() {
    let text = format!("\u{feff}{}", SAMPLE.replace('\n', "\r\n"));
    let (_folder, home) = with_sample(&text);
    let mut deck = sample();
    deck.rubbers = Some("anti".to_owned());
    deck.serves.push(Serve::unknown(id("new")));
    home.save_deck("sample", &sample(), &deck).unwrap();
    let saved = text_of(&home);
    assert!(saved.starts_with('\u{feff}'));
    assert_eq!(saved.matches('\n').count(), saved.matches("\r\n").count());
    assert_eq!(home.deck("sample").unwrap(), deck);
}

#[test]
fn what_an_editor_changed_since_the_deck_was_read_is_kept() {
    let (_folder, home) = with_sample(SAMPLE);
    let mut deck = sample();
    deck.serves[1].pace = Some(Pace::Medium);
    let other = SAMPLE.replacen("serves: [", "rubbers: \"anti\", // seen today\n    serves: [", 1);
    std::fs::write(home.root().join("decks/sample.ron"), &other).unwrap();
    home.save_deck("sample", &sample(), &deck).unwrap();
    deck.rubbers = Some("anti".to_owned());
    assert_eq!(home.deck("sample").unwrap(), deck);
    assert!(text_of(&home).contains("// seen today"));
}

#[test]
fn two_changes_of_the_same_are_said_and_nothing_is_written() {
    let (_folder, home) = with_sample(SAMPLE);
    let (mut deck, mut other) = (sample(), sample());
    deck.serves[1].pace = Some(Pace::Medium);
    other.serves[1].pace = Some(Pace::Slow);
    home.save_deck("sample", &sample(), &other).unwrap();
    let text = text_of(&home);
    let said = home.save_deck("sample", &sample(), &deck).unwrap_err().to_string();
    let said = flat(&said);
    assert!(said.contains("pace` has changed since it was read; nothing was written"), "{said}");
    assert!(said.contains("type the command again"), "{said}");
    std::fs::remove_file(home.root().join("decks/sample.ron")).unwrap();
    assert!(home.save_deck("sample", &sample(), &deck).is_err(), "who is gone does not come back");
    assert_eq!(text.matches("slow").count(), SAMPLE.matches("slow").count() + 1);
}

#[test]
fn a_comment_that_would_go_stops_the_change_and_shows_it() {
    let text = SAMPLE.replace(
        "motion: backhand, spin: side_topspin",
        "motion: backhand, /* sure? */ spin: side_topspin",
    );
    let (_folder, home) = with_sample(&text);
    let mut deck = sample();
    deck.serves.pop();
    deck.plan.remove(&id("bh-long-bh"));
    deck.serves[0].looks_like = None;
    let said = home.save_deck("sample", &sample(), &deck).unwrap_err().to_string();
    assert_eq!(text_of(&home), text);
    assert!(said.contains("this change would lose a comment; nothing was changed"), "{said}");
    assert!(said.contains("decks/sample.ron:11:46"), "{said}");
    assert!(said.contains("advice: this goes"), "{said}");
}

#[test]
fn a_value_that_cannot_be_is_refused_and_nothing_written() {
    let (_folder, home) = with_sample(SAMPLE);
    let mut deck = sample();
    deck.plan.insert(id("ghost"), "forehand push".parse().unwrap());
    let said = home.save_deck("sample", &sample(), &deck).unwrap_err().to_string();
    assert!(said.contains("a receive for `ghost`, which is not in this deck"), "{said}");
    assert_eq!(text_of(&home), SAMPLE);
}

#[test]
fn the_player_file_gains_events_and_receives() {
    let (_folder, home) = home();
    let before = home.player().unwrap();
    let mut player = before.clone();
    player.minutes_a_day = 15.0;
    player.repertoire.push(Owned::new(Wing::Forehand, Stroke::Push, 8));
    player.events.push(MatchDay {
        name: "Club open".to_owned(),
        day: "2026-12-20".parse().unwrap(),
        opponents: vec![Opponent { deck: "north".to_owned(), likely: 0.5 }],
    });
    home.save_player(&before, &player).unwrap();
    let before = player.clone();
    player.repertoire[0].of_ten = 9;
    player.repertoire.push(Owned::new(Wing::Backhand, Stroke::Block, 7));
    home.save_player(&before, &player).unwrap();
    assert_eq!(home.player().unwrap(), player);
    insta::assert_snapshot!(std::fs::read_to_string(home.root().join("player.ron")).unwrap());
}

fn receives() -> impl Strategy<Value = Receive> {
    (
        proptest::option::of(proptest::sample::select(Wing::ALL)),
        proptest::sample::select(Stroke::ALL),
        proptest::option::of(proptest::sample::select(Lane::ALL)),
        proptest::option::of("[ -~é\n]{0,12}"),
    )
        .prop_map(|(wing, stroke, lane, why)| Receive {
            wing,
            to: Target { lane, depth: None },
            why,
            ..Receive::with_stroke(stroke)
        })
}

fn serves() -> impl Strategy<Value = Serve> {
    (
        "[a-e]",
        proptest::option::of("[ -~ü]{1,9}"),
        proptest::option::of(0.0_f64..=1.0),
        proptest::option::of(0.0_f64..90.0),
        proptest::sample::subsequence(ScoreHabit::ALL, 0..3),
        proptest::collection::vec("[ -~]{0,6}", 0..3),
        any::<bool>(),
    )
        .prop_map(|(name, motion, share, rev_s, scores, tells, retired)| {
            let mut serve = Serve::unknown(name.parse().unwrap());
            serve.motion = motion.map(Motion::Own);
            serve.how_often = share.map(HowOften::Share);
            serve.weight = rev_s.map(Weight::RevS);
            (serve.scores, serve.tells, serve.retired) = (scores, tells, retired);
            serve
        })
}

/// Any deck that means something: unique ids, plans only for serves that are there.
fn decks() -> impl Strategy<Value = Deck> {
    (
        proptest::collection::vec((serves(), proptest::option::of(receives())), 0..5),
        proptest::array::uniform2(proptest::option::of(receives())),
        proptest::collection::vec(("[a-c]", receives()), 0..3),
        proptest::option::of("[ -~\\\\\"]{1,20}"),
    )
        .prop_map(|(planned, [safe, fast], switches, note)| {
            let mut deck = Deck::new("Invented", "k7f3q2".to_owned());
            for (serve, receive) in planned {
                if deck.serve(&serve.id).is_none() {
                    deck.plan.extend(receive.map(|receive| (serve.id.clone(), receive)));
                    deck.serves.push(serve);
                }
            }
            deck.serves.sort_by(|left, right| left.id.cmp(&right.id));
            for (name, receive) in switches {
                let first = deck.serves.first().map(|serve| serve.id.clone());
                if let Some(serve) = first.filter(|_| deck.switch(&name).is_none()) {
                    let changes = [(serve, receive)].into();
                    deck.switches.push(Switch { name, cue: None, changes });
                }
            }
            deck.switches.sort_by(|left, right| left.name.cmp(&right.name));
            (deck.safe, deck.safe_for.fast, deck.private_note) = (safe, fast, note);
            deck
        })
}

/// A text with a comment behind every line that ends in a comma.
fn commented(text: &str) -> String {
    let mut number = 0;
    let mark = |line: &str| {
        number += 1;
        if line.ends_with(',') { format!("{line} // {number}") } else { line.to_owned() }
    };
    text.lines().map(mark).collect::<Vec<_>>().join("\n")
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 64, ..ProptestConfig::default() })]

    #[test]
    fn any_deck_reads_back_as_it_was_written(deck in decks()) {
        let (_folder, home) = home();
        let stem = home.add_deck(&deck).unwrap();
        prop_assert_eq!(home.deck(&stem).unwrap(), deck);
    }

    #[test]
    fn any_edit_gives_exactly_the_deck_intended(old in decks(), new in decks()) {
        let (_folder, home) = home();
        let stem = home.add_deck(&old).unwrap();
        home.save_deck(&stem, &old, &new).unwrap();
        prop_assert_eq!(home.deck(&stem).unwrap(), new);
    }

    #[test]
    fn any_edit_keeps_every_comment_or_changes_nothing(old in decks(), new in decks()) {
        let (_folder, home) = home();
        let stem = home.add_deck(&old).unwrap();
        let path = home.root().join(format!("decks/{stem}.ron"));
        let text = commented(&std::fs::read_to_string(&path).unwrap());
        // A comment mark may have fallen into a text of several lines: then it is part of it.
        let Ok(read) = parse_deck("decks/invented.ron", &text) else { return Ok(()) };
        prop_assume!(read == old);
        std::fs::write(&path, &text).unwrap();
        let is_saved = home.save_deck(&stem, &old, &new).is_ok();
        let saved = std::fs::read_to_string(&path).unwrap();
        if is_saved {
            prop_assert_eq!(home.deck(&stem).unwrap(), new);
            for comment in text.lines().filter_map(|line| line.split_once(" // ")) {
                prop_assert!(saved.contains(&format!("// {}", comment.1)), "{}", saved);
            }
        } else {
            prop_assert_eq!(saved, text);
        }
    }
}

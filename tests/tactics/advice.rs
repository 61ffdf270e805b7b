//! Advice, lessons, worth and the switch on an invented season, as a player would use them.

#![expect(clippy::unwrap_used, reason = "a refused question is a failed test")]

use secondball::game::{End, Match, MatchLength, ReceiveKey};
use secondball::journal::{Fact, Point, Quality};
use secondball::page::advice::AdviceView;
use secondball::page::advice_words::{notes, serve_says, why_this_mix};
use secondball::page::switching;
use secondball::page::verdict_words::lesson_says;
use secondball::tactics::advice::advise;
use secondball::tactics::drops::ReadDrop;
use secondball::tactics::question::Question;
use secondball::tactics::rates::Knowledge;
use secondball::tactics::reserve::{Drilled, rank, weigh};
use secondball::tactics::verdict::{Verdict, Verdicts};
use secondball::tactics::worth::worth;

use super::season::{
    Dated, LONG, LOOP, PUSH, Table, day, deck, id, point, receive, season, untried,
};

fn start() -> Match {
    Match::start(MatchLength::best_of(5).unwrap(), End::Me)
}

#[test]
fn before_any_point_the_usual_receives_come_with_their_mark() {
    let table = Table::of(deck(), &[]);
    let advice = advise(&table.verdicts());
    assert_eq!(advice.matches, 0);
    for serve in &advice.serves {
        assert!(serve.choices.len() >= 3, "{}", serve.serve);
        assert!(serve.choices.iter().all(|choice| choice.known == Knowledge::PriorOnly));
        assert!(serve.choices.iter().any(|choice| choice.is_common_practice));
    }
    let unplanned = advice.serves.iter().find(|serve| serve.serve == id("dead")).unwrap();
    assert!(unplanned.choices[0].of_ten.is_some(), "the repertoire comes first");
    assert!(serve_says(unplanned)[0].starts_with("No plan yet"));
    assert!(notes(&advice.notes, &table.deck, "invented")[0].contains("common practice"));
}

#[test]
fn every_mix_is_certified_small_and_handed_out_in_order() {
    let table = Table::of(deck(), &season());
    let mut mixes = 0;
    for drop in [None, Some(0.05), Some(0.1), Some(0.3)] {
        let drop = drop.map(|share| ReadDrop::new(share).unwrap());
        let advice = advise(&Verdicts::judge(Question { drop, ..table.question() }));
        for serve in &advice.serves {
            let Some(mix) = &serve.mix else { continue };
            mixes += usize::from(!mix.is_single());
            assert!(mix.gap <= 1e-9);
            assert!(mix.parts.iter().sum::<u32>() <= 5);
            assert!((mix.exact.iter().sum::<f64>() - 1.0).abs() < 1e-9);
            assert!(mix.secures >= mix.alone - 1e-12);
            let total: u32 = mix.parts.iter().sum();
            let cycle = 2 * usize::try_from(total).unwrap();
            for (choice, part) in mix.parts.iter().enumerate() {
                let came = mix.order[..cycle].iter().filter(|at| **at == choice).count();
                assert_eq!(came, 2 * usize::try_from(*part).unwrap());
            }
        }
    }
    assert!(mixes >= 3, "the season has serves worth mixing: {mixes}");
}

#[test]
fn the_better_receive_comes_less_often_and_the_advice_says_why() {
    // Push: 60 of 100 unread, 30 when he waits. Long push: 50 and 40. Both noted often enough.
    let mut facts = Vec::new();
    for (with, waiting, won, played) in
        [(PUSH, false, 24, 40), (PUSH, true, 12, 40), (LONG, false, 20, 40), (LONG, true, 16, 40)]
    {
        for ball in 0..played {
            let mut one = point("m", "short-fh", with, ball < won);
            one.waiting = Some(waiting);
            facts.push((day("2026-11-01"), Fact::Point(one)));
        }
    }
    let table = Table::of(deck(), &facts);
    let advice = advise(&table.verdicts());
    let serve = advice.serves.iter().find(|serve| serve.serve == id("short-fh")).unwrap();
    let mix = serve.mix.as_ref().unwrap();
    let at = |text: &str| {
        serve
            .choices
            .iter()
            .position(|c| c.key == ReceiveKey::from_receive(&receive(text)))
            .unwrap()
    };
    let (push, long) = (at(PUSH), at(LONG));
    assert!(serve.choices[push].rates.unread > serve.choices[long].rates.unread);
    assert!(!serve.choices[push].drop_is_assumed);
    assert!(mix.parts[push] < mix.parts[long]);
    let why = why_this_mix(&serve.choices, mix);
    assert!(why.contains("still comes less often"), "{why}");
}

#[test]
fn losing_while_he_waits_calls_for_the_switch_and_playing_badly_never_does() {
    let played = |quality: Quality, waiting: Option<bool>| -> Vec<Dated> {
        (0..18)
            .map(|ball| {
                let won = if ball < 6 { ball % 3 > 0 } else { ball % 6 == 0 };
                let mut one = point("m", "short-fh", PUSH, won);
                // Lost points carry the quality; won ones were tight.
                one.quality = Some(if one.won { Quality::Tight } else { quality });
                one.waiting = waiting.map(|waits| waits && ball >= 6);
                (day("2026-11-01"), Fact::Point(one))
            })
            .collect()
    };
    let read = Table::of(deck(), &played(Quality::Tight, Some(true)));
    assert_eq!(read.verdict("short-fh"), Verdict::Change);
    let found = read.lessons();
    assert_eq!(found.lessons[0].switch.as_deref(), Some("long push"));
    let says = |drilled| lesson_says(&found.lessons[0], Some(drilled));
    assert!(says(Drilled::default()).iter().any(|line| line.contains("Likely, not sure")));
    assert!(says(Drilled::default())[1].contains("\"long push\" was never drilled"));
    let firm = Drilled { recall: Some(0.96), is_firm: true, slip: None };
    assert!(!says(firm)[1].contains("drilled"));
    for quality in [Quality::Loose, Quality::Missed] {
        let badly = Table::of(deck(), &played(quality, Some(true)));
        assert_eq!(badly.verdict("short-fh"), Verdict::PlayItBetter);
    }
    let surprised = Table::of(deck(), &played(Quality::Tight, Some(false)));
    assert_ne!(surprised.verdict("short-fh"), Verdict::PlayItBetter);
    assert_eq!(read.verdict("long-bh"), Verdict::Keep);
}

#[test]
fn worth_is_the_chance_after_less_the_chance_before() {
    let table = Table::of(deck(), &season());
    let verdicts = table.verdicts();
    let short = worth(&verdicts, Some(&id("short-fh")), 0.06, &start()).unwrap();
    let gain = short.match_chance.1 - short.match_chance.0;
    assert!(gain > 0.0 && gain < 0.2);
    assert!((short.receiving.1 - short.receiving.0 - short.share * 0.06).abs() < 1e-12);
    let advice = advise(&verdicts);
    assert!((advice.match_chance - short.match_chance.0).abs() < 1e-12);
    let nothing = worth(&verdicts, None, 0.0, &start()).unwrap();
    assert_eq!(nothing.match_chance.0, nothing.match_chance.1);
}

#[test]
fn a_switch_that_was_never_drilled_is_said_so_first() {
    let table = Table::of(deck(), &season());
    let switch = &table.deck.switches[0];
    let not_drilled = weigh(&table.verdicts(), switch, Drilled::default(), &start());
    assert!(switching::says(&not_drilled, &table.deck)[0].contains("was never drilled"));
    let firm = Drilled { recall: Some(0.97), is_firm: true, slip: Some(0.02) };
    let firm = weigh(&table.verdicts(), switch, firm, &start());
    assert!(!switching::says(&firm, &table.deck)[0].contains("drilled"));
    assert!(firm.net > not_drilled.net - 0.01);
    let ranked = rank(&table.verdicts(), &untried, &start());
    assert_eq!(ranked, [not_drilled]);
}

#[test]
fn documents_are_json_without_surprises() {
    let table = Table::of(deck(), &season());
    let verdicts = table.verdicts();
    let view = AdviceView {
        deck: &table.deck,
        file: "invented",
        history: &table.history,
        advice: advise(&verdicts),
        lessons: table.lessons(),
        switches: rank(&verdicts, &untried, &start()),
        seed: 7,
    };
    let written: serde_json::Value =
        serde_json::from_str(&secondball::page::json(&view.document())).unwrap();
    let serve = &written["advice"]["serves"][0];
    assert_eq!(serve["serve"], "short-fh");
    assert!(serve["choices"][0]["interval"][0].is_f64());
    let serves = written["advice"]["serves"].as_array().unwrap();
    let choices = serves.iter().flat_map(|of| of["choices"].as_array().unwrap());
    let unplayed: Vec<_> = choices.filter(|choice| choice["behind"] == 0.0).collect();
    assert!(unplayed.len() > 3, "{}", unplayed.len());
    for rate in ["rate", "interval", "unread", "drop", "better_than_plan"] {
        assert!(unplayed.iter().all(|choice| choice[rate].is_null()), "{rate} without a ball");
    }
    assert!(serve["says"][0].is_string() && serve["lesson"]["says"][0].is_string());
    assert!(serve["mix"]["why"].is_string() && serve["mix"]["parts"].is_array());
    assert!(written["advice"]["notes"][0].is_string());
    let lesson = &written["lessons"]["lessons"][0];
    assert!(lesson["verdict"].is_string() && lesson["says"][0].is_string());
    assert!(written["switches"][0]["cards"][0][1].is_object());
}

#[test]
fn an_unknown_serve_never_stops_the_advice() {
    let mut facts = season();
    let odd = Point { unknown: Some("wobble".to_owned()), ..point("match-5", "ghost", LOOP, true) };
    facts.push((day("2026-11-15"), Fact::Point(odd)));
    let table = Table::of(deck(), &facts);
    let advice = advise(&table.verdicts());
    let notes = notes(&advice.notes, &table.deck, "invented");
    assert!(notes.iter().any(|note| note.contains("1 point without a known serve")));
}

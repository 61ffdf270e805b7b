//! Advice, lessons, worth and the switch on an invented season, as a player would use them.

#![expect(clippy::unwrap_used, reason = "a refused question is a failed test")]

use secondball::game::{End, Match, MatchLength, ReceiveKey};
use secondball::journal::{Fact, Point, Quality};
use secondball::page::advice::AdviceView;
use secondball::page::advice_words::{notes, serve_says, why_this_mix};
use secondball::page::switching;
use secondball::page::verdict_words::lesson_says;
use secondball::tactics::adaptation::{Assumptions, Exposure, Filter};
use secondball::tactics::advice::advise;
use secondball::tactics::drops::ReadDrop;
use secondball::tactics::question::Question;
use secondball::tactics::rates::Knowledge;
use secondball::tactics::reserve::{Drilled, rank, weigh};
use secondball::tactics::verdict::{Verdict, Verdicts};
use secondball::tactics::worth::worth;

use super::cases::counts;
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
    assert!(notes(&advice.notes, "invented")[0].contains("common practice"));
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
    assert!(serve.choices[push].unread > serve.choices[long].unread);
    assert!(!serve.choices[push].drop_is_assumed);
    assert!(mix.parts[push] < mix.parts[long]);
    let why = why_this_mix(&serve.choices, mix);
    assert!(why.contains("still comes less often"), "{why}");
}

#[test]
fn losing_while_he_waits_calls_for_the_switch_and_playing_badly_never_does() {
    let played = |quality: Quality, waiting: Option<bool>| -> Vec<Dated> {
        (0..12)
            .map(|ball| {
                let mut one = point("m", "short-fh", PUSH, ball % 4 == 0);
                // Lost points carry the quality; won ones were tight.
                one.quality = Some(if one.won { Quality::Tight } else { quality });
                one.waiting = waiting;
                (day("2026-11-01"), Fact::Point(one))
            })
            .collect()
    };
    let read = Table::of(deck(), &played(Quality::Tight, Some(true)));
    assert_eq!(read.verdict("short-fh"), Verdict::Switch);
    let found = read.lessons();
    assert_eq!(found.lessons[0].switch.as_deref(), Some("long push"));
    let says = |drilled| lesson_says(&found.lessons[0], Some(drilled));
    assert!(says(Drilled::default()).iter().any(|line| line.contains("no proof")));
    assert!(says(Drilled::default())[1].contains("`long push` has not been drilled"));
    let firm = Drilled { recall: Some(0.96), is_firm: true, slip: None };
    assert!(!says(firm)[1].contains("drilled"));
    for quality in [Quality::Loose, Quality::Missed] {
        let badly = Table::of(deck(), &played(quality, Some(true)));
        assert_eq!(badly.verdict("short-fh"), Verdict::PlayedBadly);
    }
    let surprised = Table::of(deck(), &played(Quality::Tight, Some(false)));
    assert_ne!(surprised.verdict("short-fh"), Verdict::PlayedBadly);
    assert_eq!(read.verdict("long-bh"), Verdict::TooFew);
}

#[test]
fn the_same_receive_against_two_serves_is_read_together() {
    let mut facts = Vec::new();
    for ball in 0..6 {
        for serve in ["short-fh", "dead"] {
            let one = point("m", serve, PUSH, ball == 0);
            facts.push((day("2026-11-01"), Fact::Point(one)));
        }
    }
    let mut table = Table::of(deck(), &facts);
    let alone = {
        let only: Vec<Dated> = facts
            .iter()
            .filter(|(_, fact)| matches!(fact, Fact::Point(p) if p.serve == Some(id("short-fh"))))
            .cloned()
            .collect();
        let table = Table::of(deck(), &only);
        table.lessons().lessons[0].read.unwrap()
    };
    table.deck.plan.insert(id("dead"), receive(PUSH));
    let found = table.lessons();
    let short = found.lessons.iter().find(|lesson| lesson.serve == id("short-fh")).unwrap();
    assert_eq!(short.together_with, [id("dead")]);
    assert!(short.read.unwrap() > alone);
}

#[test]
fn shares_of_false_and_true_alarms_of_the_rule() {
    // Every sequence of ten balls, weighted: how often the rule calls for the switch at some ball.
    let alarms = |rate: f64| -> f64 {
        (0..1_u32 << 10)
            .map(|bits| {
                let prior = counts(11.0, 9.0);
                let mut filter = Filter::new(Assumptions::usual(prior, 0.2));
                let other = counts(4.8, 5.2);
                let (mut weight, mut called) = (1.0, false);
                for ball in 0..10 {
                    let won = bits >> ball & 1 == 1;
                    weight *= if won { rate } else { 1.0 - rate };
                    filter.see(Exposure { won, waiting: None });
                    called |= ball >= 3 && filter.outlook(other).is_worth_switching();
                }
                if called { weight } else { 0.0 }
            })
            .sum()
    };
    let (false_alarms, true_alarms) = (alarms(0.55), alarms(0.35));
    // Computed by an independent program (numpy and scipy, recursion instead of enumeration). A
    // single look after ten balls would have 26 against 75 of 100, or 10 against 51
    // (`best_test_at_10`).
    assert!((false_alarms - 0.216_975_661_345).abs() < 1e-7, "{false_alarms}");
    assert!((true_alarms - 0.663_787_866_129).abs() < 1e-7, "{true_alarms}");
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
    assert!(switching::says(&not_drilled)[0].contains("has not been drilled"));
    assert_eq!(not_drilled.timing.len(), 4);
    for row in &not_drilled.timing {
        assert!(row.perfect >= row.gain - 1e-12 && row.gain >= 0.0);
        assert!(row.rules.iter().all(|(_, win)| *win <= row.match_chance));
    }
    let firm = Drilled { recall: Some(0.97), is_firm: true, slip: Some(0.02) };
    let firm = weigh(&table.verdicts(), switch, firm, &start());
    assert!(!switching::says(&firm)[0].contains("drilled"));
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
    assert!(serve["says"][0].is_string() && serve["lesson"]["says"][0].is_string());
    assert!(serve["mix"]["why"].is_string() && serve["mix"]["parts"].is_array());
    assert!(written["advice"]["notes"][0].is_string());
    let lesson = &written["lessons"]["lessons"][0];
    assert!(lesson["verdict"].is_string() && lesson["says"][0].is_string());
    let row = &written["switches"][0]["timing"][0];
    assert!(
        row["assumes"].is_string() && row["best"].is_string() && row["rules"][0][0].is_string()
    );
}

#[test]
fn an_unknown_serve_never_stops_the_advice() {
    let mut facts = season();
    let odd = Point { unknown: Some("wobble".to_owned()), ..point("match-5", "ghost", LOOP, true) };
    facts.push((day("2026-11-15"), Fact::Point(odd)));
    let table = Table::of(deck(), &facts);
    let advice = advise(&table.verdicts());
    let notes = notes(&advice.notes, "invented");
    assert!(notes.iter().any(|note| note.contains("1 point without a known serve")));
}

//! How long advice and lessons take.

#![expect(clippy::unwrap_used, reason = "a broken fixture has to stop the bench")]

use std::hint::black_box;

use criterion::{Criterion, criterion_group, criterion_main};
use secondball::base::{Day, Dice};
use secondball::deck::{Deck, Player, Switch};
use secondball::game::{
    Depth, End, Hand, Lane, MatchLength, Receive, ReceiveKey, Serve, ServeId, Spin, Stroke, Target,
    Wing,
};
use secondball::journal::{Fact, Point};
use secondball::tactics::advice::advise;
use secondball::tactics::history::OpponentHistory;
use secondball::tactics::lessons::Lessons;
use secondball::tactics::question::Question;
use secondball::tactics::stroke_rates::StrokeRates;
use secondball::tactics::verdict::Verdicts;

const SERVES: usize = 12;
const RECEIVES: usize = 8;

/// Twelve invented serves; eight receives of each have been played.
fn deck() -> Deck {
    let mut deck = Deck::new("Invented", "abc234".to_owned());
    for number in 0..SERVES {
        let mut serve = Serve::unknown(ServeId::coined(&format!("s{number}"), &[]));
        serve.spin = Some(Spin::ALL[number % Spin::ALL.len()]);
        serve.lane = Some(Lane::ALL[number % Lane::ALL.len()]);
        serve.depth = Some(Depth::ALL[number % Depth::ALL.len()]);
        deck.plan.insert(serve.id.clone(), receive(0));
        deck.switches.push(Switch {
            name: format!("switch {number}"),
            cue: None,
            changes: [(serve.id.clone(), receive(1))].into(),
        });
        deck.serves.push(serve);
    }
    deck
}

fn receive(number: usize) -> Receive {
    Receive {
        wing: Some(Wing::ALL[number % 2]),
        to: Target::new(Lane::ALL[number % Lane::ALL.len()], Depth::Long),
        ..Receive::with_stroke(Stroke::ALL[number])
    }
}

/// Two thousand points in ten matches.
fn facts(deck: &Deck) -> Vec<(Day, Fact)> {
    let mut dice = Dice::from_seed(1);
    (0..2000)
        .map(|number| {
            let fact = Fact::Point(Point {
                deck: deck.key.clone(),
                of_match: format!("m{}", number / 200),
                server: End::Them,
                serve: Some(deck.serves[dice.below(SERVES)].id.clone()),
                meant: Some(ReceiveKey::from_receive(&receive(dice.below(RECEIVES)))),
                played: None,
                quality: None,
                waiting: Some(dice.chance(0.4)),
                won: dice.chance(0.48),
                unknown: None,
            });
            ("2026-11-01".parse().unwrap(), fact)
        })
        .collect()
}

fn documents(criterion: &mut Criterion) {
    let (deck, player) = (deck(), Player::new("Invented", Hand::Right));
    let facts = facts(&deck);
    let fold = || OpponentHistory::from_facts(&deck, facts.iter().map(|(day, fact)| (*day, fact)));
    let history = fold();
    let strokes = StrokeRates::from_histories([&history]);
    let question = Question {
        deck: &deck,
        player: &player,
        history: &history,
        strokes: &strokes,
        length: MatchLength::best_of(5).unwrap(),
        drop: None,
        seed: 1,
    };
    let advice = advise(&Verdicts::judge(question));
    assert!(advice.serves.iter().all(|serve| serve.choices.len() == RECEIVES));
    criterion.bench_function("2000 points folded, strokes included", |bench| {
        bench.iter(|| black_box(StrokeRates::from_histories([&fold()])));
    });
    criterion.bench_function("advice for 12 serves x 8 receives", |bench| {
        bench.iter(|| black_box(advise(&Verdicts::judge(question))));
    });
    criterion.bench_function("lessons for 12 serves", |bench| {
        bench.iter(|| black_box(Lessons::from_verdicts(&Verdicts::judge(question))));
    });
}

criterion_group!(benches, documents);
criterion_main!(benches);

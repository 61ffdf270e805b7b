//! How often "eight times in ten" is true, for invented players whose receives differ more or less
//! than assumed, against opponents stronger or weaker.

#![expect(clippy::unwrap_used, reason = "a broken fixture is a failed test")]

use secondball::base::{Day, Dice};
use secondball::deck::{Deck, Player};
use secondball::game::{Hand, MatchLength, Receive, Serve};
use secondball::tactics::chance::{Chances, Slope, win_match};
use secondball::tactics::history::OpponentHistory;
use secondball::tactics::question::Question;
use secondball::tactics::stroke_rates::StrokeRates;
use secondball::tactics::verdict::Verdicts;
use secondball::tactics::worth::UnsureChances;

use super::worlds::point;

/// Share of points won on the own serve and on theirs, on average.
const MEANS: (f64, f64) = (0.52, 0.48);
/// Four usual receives, each to a serve of its own.
const RECEIVES: [&str; 4] = [
    "forehand push to middle short",
    "backhand banana_flick to wide_backhand long",
    "forehand slow_loop to wide_forehand long",
    "backhand block to middle long",
];

/// How receives differ, and the opponent.
#[derive(Clone, Copy, Debug)]
pub struct Receiver {
    /// Standard deviation of the rates of one player's receives.
    pub spread: f64,
    /// What is won more against this opponent.
    pub level: f64,
}

/// Shares of ranges that hold the truth: of one receive, of all points on their serve, of the match.
pub fn coverage(of: Receiver, balls: u32, opponents: u64) -> [f64; 3] {
    let mut held = [0_u32; 3];
    for seed in 0..opponents {
        let mut dice = Dice::for_part(seed, "ranges");
        let receives = RECEIVES.map(|text| text.parse::<Receive>().unwrap());
        let deck = deck(&receives);
        let level = of.level + 0.04 * dice.normal();
        let own = (MEANS.0 + level).clamp(0.05, 0.95);
        let rates = receives
            .each_ref()
            .map(|_| (MEANS.1 + level + of.spread * dice.normal()).clamp(0.03, 0.97));
        let day: Day = "2026-11-01".parse().unwrap();
        let mut facts = Vec::new();
        for _ in 0..balls {
            for ((serve, receive), rate) in deck.serves.iter().zip(&receives).zip(rates) {
                facts.push((day, point(&deck, Some((serve, receive)), dice.chance(rate), None)));
                facts.push((day, point(&deck, None, dice.chance(own), None)));
            }
        }
        let history = OpponentHistory::from_facts(&deck, facts.iter().map(|(on, of)| (*on, of)));
        let (player, strokes) =
            (Player::new("Invented", Hand::Right), StrokeRates::from_histories([&history]));
        let length = MatchLength::best_of(5).unwrap();
        let verdicts = Verdicts::judge(Question {
            deck: &deck,
            player: &player,
            history: &history,
            strokes: &strokes,
            length,
            drop: None,
            seed: 1,
        });
        let holds = |(low, high): (f64, f64), truth: f64| u32::from(low <= truth && truth <= high);
        for ((serve, receive), rate) in deck.serves.iter().zip(&receives).zip(rates) {
            held[0] += holds(verdicts.question.belief(&serve.id, receive).interval(0.8), rate);
        }
        let unsure = UnsureChances::from_verdicts(&verdicts);
        let receiving = rates.iter().sum::<f64>() / 4.0;
        held[1] += holds(unsure.ranges().1, receiving);
        let slope = Slope::from_match(length, unsure.chances);
        let range = unsure.range_of(slope, |chances| win_match(length, chances));
        held[2] += holds(range, win_match(length, Chances::new(own, receiving)));
    }
    let of_opponents = opponents as f64;
    [
        f64::from(held[0]) / 4.0 / of_opponents,
        f64::from(held[1]) / of_opponents,
        f64::from(held[2]) / of_opponents,
    ]
}

fn deck(receives: &[Receive]) -> Deck {
    let mut deck = Deck::new("Invented", "abc234".to_owned());
    for (name, receive) in ["one", "two", "three", "four"].into_iter().zip(receives) {
        let serve = Serve::unknown(name.parse().unwrap());
        deck.plan.insert(serve.id.clone(), receive.clone());
        deck.serves.push(serve);
    }
    deck
}

//! Invented opponents who read an answer, or never do, and what the verdicts and the card make of
//! their balls: the worlds in which the limits of `tactics::verdict` were chosen.
//!
//! Rates about .48 with a spread; an opponent who adapts reads the answer in force with chance .03,
//! .08 or .16 a ball, for good in that match, and lets go of it half as fast while another is played;
//! being read costs .12, .22 or .32 of a point. Bad spells cost .20 whichever answer is played. The
//! answer in reserve slips in 5 of 100 balls. All of it assumed; no person was measured.

#![expect(clippy::unwrap_used, reason = "a broken fixture is a failed test")]

use secondball::base::{Day, Dice};
use secondball::deck::{Deck, Player, Switch};
use secondball::game::{End, Hand, MatchLength, Receive, ReceiveKey, Serve};
use secondball::journal::{Fact, Point, Quality};
use secondball::tactics::adaptation::{Adaptation, AnswerTo, Card, Exposure};
use secondball::tactics::history::OpponentHistory;
use secondball::tactics::question::Question;
use secondball::tactics::stroke_rates::StrokeRates;
use secondball::tactics::verdict::{Verdict, Verdicts};

/// Mean rate of every answer.
const MEAN: f64 = 0.48;
/// Share of points won on the own serve, and on the opponent's other serves.
const ELSEWHERE: (f64, f64) = (0.52, 0.48);
/// Share of the opponent's serves that the card is about.
const SHARE: f64 = 0.3;
/// Balls of it in the meeting before.
const MET_BEFORE: usize = 14;
/// A receive that slips wins half as often.
const SLIP: (f64, f64) = (0.05, 0.5);

/// How it is noted whether they waited.
#[derive(Clone, Copy, Debug)]
pub enum Noted {
    /// What the others are compared with, in the example.
    #[allow(dead_code, reason = "CI compares only the card with two lost")]
    Never,
    /// Right three times in four.
    Mostly,
    /// Eight in ten lost balls and two in ten won ones, whatever they did.
    AfterLost,
}

/// A kind of opponent and of answers.
#[derive(Clone, Copy, Debug)]
pub struct World {
    /// Share of opponents who read.
    pub adapts: f64,
    pub bad_spells: bool,
    /// Standard deviation of the rates.
    pub spread: f64,
    /// What the answer in reserve wins more, on average.
    pub reserve: f64,
    /// What the plan's answers win, when it is given.
    pub plan: Option<f64>,
    pub noted: Noted,
    /// How much sooner they read, and how much more it costs, than the belief takes for granted.
    pub beyond: (f64, f64),
}

impl World {
    /// Nobody reads, rates differ as much as is ordinary.
    pub const CALM: Self = Self {
        adapts: 0.0,
        bad_spells: false,
        spread: 0.06,
        reserve: 0.0,
        plan: None,
        noted: Noted::Never,
        beyond: (1.0, 1.0),
    };
    /// Six in ten read.
    pub const MOST_READ: Self = Self { adapts: 0.6, spread: 0.09, ..Self::CALM };
}

fn draw_answers(world: &World, dice: &mut Dice) -> [TrueAnswer; 2] {
    let mut rate = |mean: f64| (mean + world.spread * dice.normal()).clamp(0.05, 0.95);
    let rates = [world.plan.unwrap_or_else(|| rate(MEAN)), rate(MEAN + world.reserve)];
    rates.map(|rate| TrueAnswer { rate, is_read: false })
}

/// One opponent as they are.
struct Truth {
    reads: f64,
    drop: f64,
    has_spells: bool,
}

/// An answer as it is: its rate, and whether it is read (or the player in a bad spell) now.
struct TrueAnswer {
    rate: f64,
    is_read: bool,
}

impl Truth {
    fn draw(world: &World, dice: &mut Dice) -> Self {
        let reads = if dice.chance(world.adapts) { [0.03, 0.08, 0.16][dice.below(3)] } else { 0.0 };
        let drop = [0.12, 0.22, 0.32][dice.weighted(&[0.3, 0.4, 0.3]).unwrap_or(1)];
        let (reads, drop) = (reads * world.beyond.0, drop * world.beyond.1);
        Self { reads, drop, has_spells: world.bad_spells && reads == 0.0 }
    }

    fn begin(&self, answers: &mut [TrueAnswer], dice: &mut Dice) {
        let at_start = match self {
            _ if self.has_spells => 0.06 / 0.21,
            _ if self.reads > 0.0 => 0.07,
            _ => 0.0,
        };
        for answer in answers {
            answer.is_read = dice.chance(at_start);
        }
    }

    fn now(&self, answer: &TrueAnswer) -> f64 {
        let drop = if self.has_spells { 0.20 } else { self.drop };
        if answer.is_read { (answer.rate - drop).max(0.02) } else { answer.rate }
    }

    /// One ball: won, and whether they were waiting.
    fn ball(&self, answers: &mut [TrueAnswer], at: usize, dice: &mut Dice) -> (bool, bool) {
        let waits = answers[at].is_read;
        let slips = at == 1 && dice.chance(SLIP.0);
        let won = dice.chance(self.now(&answers[at]) * if slips { SLIP.1 } else { 1.0 });
        for (place, answer) in answers.iter_mut().enumerate() {
            let moves = match (self.has_spells, answer.is_read) {
                (true, read) => {
                    if read {
                        0.15
                    } else {
                        0.06
                    }
                }
                (false, false) if place == at => self.reads,
                (false, true) if place != at => self.reads / 2.0,
                _ => 0.0,
            };
            answer.is_read ^= dice.chance(moves);
        }
        (won, waits && !self.has_spells)
    }
}

impl Noted {
    fn note(self, won: bool, waits: bool, dice: &mut Dice) -> Option<bool> {
        match self {
            Self::Never => None,
            Self::Mostly => Some(waits ^ dice.chance(0.25)),
            Self::AfterLost => Some(dice.chance(if won { 0.2 } else { 0.8 })),
        }
    }
}

/// What was said of an answer, and what the other one would really win more.
pub type Said = (Verdict, f64);

/// Twelve clean balls of each of two serves against one opponent, judged as the program judges them.
pub fn meeting(world: &World, seed: u64) -> Vec<Said> {
    let mut dice = Dice::for_part(seed, "meeting");
    let truth = Truth::draw(world, &mut dice);
    let (mut deck, receives) = deck();
    let mut answers = [0, 1].map(|_| draw_answers(world, &mut dice));
    for pair in &mut answers {
        truth.begin(pair, &mut dice);
    }
    let day: Day = "2026-11-01".parse().unwrap();
    let mut facts: Vec<(Day, Fact)> = Vec::new();
    for _ in 0..12 {
        for (serve, pair) in deck.serves.iter().zip(&mut answers) {
            let (won, waits) = truth.ball(pair, 0, &mut dice);
            let waiting = world.noted.note(won, waits, &mut dice);
            facts.push((day, point(&deck, Some((serve, &receives[0])), won, waiting)));
        }
    }
    deck.plan = deck.serves.iter().map(|of| (of.id.clone(), receives[0].clone())).collect();
    let history = OpponentHistory::from_facts(&deck, facts.iter().map(|(day, fact)| (*day, fact)));
    let (player, strokes) =
        (Player::new("Invented", Hand::Right), StrokeRates::from_histories([&history]));
    let verdicts = Verdicts::judge(Question {
        deck: &deck,
        player: &player,
        history: &history,
        strokes: &strokes,
        length: MatchLength::best_of(5).unwrap(),
        drop: None,
        seed: 1,
    });
    let gain = |pair: &[TrueAnswer; 2]| {
        let win = |at: usize| {
            if truth.has_spells { pair[at].rate } else { truth.now(&pair[at]) }
        };
        win(1) - win(0)
    };
    verdicts.lessons.iter().zip(&answers).map(|(of, pair)| (of.verdict, gain(pair))).collect()
}

/// Two invented serves with a switch for each, and the two receives.
fn deck() -> (Deck, [Receive; 2]) {
    let receives: [Receive; 2] =
        ["forehand push to middle short", "forehand push to backhand long"]
            .map(|text| text.parse().unwrap());
    let mut deck = Deck::new("Invented", "abc234".to_owned());
    for name in ["one", "two"] {
        let serve = Serve::unknown(name.parse().unwrap());
        deck.switches.push(Switch {
            name: name.to_owned(),
            cue: None,
            changes: [(serve.id.clone(), receives[1].clone())].into(),
        });
        deck.serves.push(serve);
    }
    (deck, receives)
}

/// A point of their serve, received cleanly, or of the own serve.
pub fn point(
    deck: &Deck,
    received: Option<(&Serve, &Receive)>,
    won: bool,
    waiting: Option<bool>,
) -> Fact {
    Fact::Point(Point {
        deck: deck.key.clone(),
        of_match: "m".to_owned(),
        server: if received.is_some() { End::Them } else { End::Me },
        serve: received.map(|(serve, _)| serve.id.clone()),
        meant: received.map(|(_, with)| ReceiveKey::from_receive(with)),
        played: None,
        quality: received.map(|_| Quality::Tight),
        waiting,
        won,
        unknown: None,
    })
}

/// When the answer is changed in a match.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Rule {
    /// What the others are compared with, in the example.
    #[allow(dead_code, reason = "CI compares only the card with two lost")]
    Never,
    AfterTwoLost,
    /// The card, given before the match.
    CardOnce,
    /// The card, given again between games.
    CardRenewed,
}

/// What came of matches: won, and balls of the serve, won and in all.
#[derive(Clone, Copy, Debug, Default)]
pub struct Played {
    pub matches_won: u32,
    pub balls_won: u32,
    pub balls: u32,
}

/// One best of five against one opponent, after one recorded meeting.
pub fn play(world: &World, rule: Rule, seed: u64, played: &mut Played) {
    let mut dice = Dice::for_part(seed, "match");
    let truth = Truth::draw(world, &mut dice);
    let mut answers = draw_answers(world, &mut dice);
    let mut belief = Adaptation::new(vec![AnswerTo { serve: 0, mean: MEAN }; 2]);
    truth.begin(&mut answers, &mut dice);
    let mut hand =
        InHand::new(Card { change_after: Some(2), back_after: Some(2), starts_with_other: false });
    for _ in 0..MET_BEFORE {
        let at = hand.answer;
        let won = truth.ball(&mut answers, at, &mut dice).0;
        belief.see(at, Exposure { won, waiting: None });
        belief.let_go_of_others(at);
        hand.after(won);
    }
    for at in 0..2 {
        belief.next_match(at, 1.0, true);
    }
    truth.begin(&mut answers, &mut dice);
    let stay = Card { change_after: None, back_after: None, starts_with_other: false };
    hand = InHand::new(match rule {
        Rule::Never => stay,
        Rule::AfterTwoLost => hand.card,
        // As the verdict doubts an answer for which the other one is new.
        Rule::CardOnce => belief.card(0, 1, belief.outlook(0, 1).other_better >= 0.72),
        Rule::CardRenewed => belief.card(0, 1, is_other_more(&belief)),
    });
    let (mut games, mut i_serve) = ([0, 0], dice.chance(0.5));
    while games[0].max(games[1]) < 3 {
        let mut score = [0_u32, 0];
        let mut points = 0;
        while score[0].max(score[1]) < 11 || score[0].abs_diff(score[1]) < 2 {
            let turn = if points < 20 { points / 2 } else { points };
            let mine = (turn % 2 == 0) == i_serve;
            points += 1;
            let won = if mine || !dice.chance(SHARE) {
                dice.chance(if mine { ELSEWHERE.0 } else { ELSEWHERE.1 })
            } else {
                let at = hand.answer;
                let won = truth.ball(&mut answers, at, &mut dice).0;
                belief.see(at, Exposure { won, waiting: None });
                belief.let_go_of_others(at);
                hand.after(won);
                played.balls += 1;
                played.balls_won += u32::from(won);
                won
            };
            score[usize::from(!won)] += 1;
        }
        games[usize::from(score[1] > score[0])] += 1;
        i_serve = !i_serve;
        if rule == Rule::CardRenewed {
            hand = InHand::new(belief.card(0, 1, is_other_more(&belief)));
        }
    }
    played.matches_won += u32::from(games[0] == 3);
}

fn is_other_more(belief: &Adaptation) -> bool {
    let [answer, other] = belief.outlook(0, 1).now;
    other > answer
}

/// What a player holds in the head: the card, the answer in force, and how many were lost in a row.
struct InHand {
    card: Card,
    first: usize,
    answer: usize,
    lost: u32,
}

impl InHand {
    fn new(card: Card) -> Self {
        let first = usize::from(card.starts_with_other);
        Self { card, first, answer: first, lost: 0 }
    }

    fn after(&mut self, won: bool) {
        self.lost = if won { 0 } else { self.lost + 1 };
        let limit =
            if self.answer == self.first { self.card.change_after } else { self.card.back_after };
        if limit == Some(self.lost) {
            (self.answer, self.lost) = (1 - self.answer, 0);
        }
    }
}

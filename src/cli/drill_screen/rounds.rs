//! Which rounds a session plays: one opponent, or today's list opponent by opponent; with the
//! tempo where it was left, the key time of this device, and the limit of minutes.

use std::collections::{BTreeMap, VecDeque};

use crate::agenda::DayRound;
use crate::base::{Day, text};
use crate::cli::drill_arguments::DrillArguments;
use crate::cli::launcher::own_table;
use crate::cli::{Desk, Failure, Overview, World};
use crate::deck::{Deck, Player, Switch};
use crate::drill::{
    Built, DaySpeed, DrillError, KeyTime, RoundRequest, Script, Speeds, Summary, TempoRules, build,
    flights,
};
use crate::flight::Constants;
use crate::game::ServeId;
use crate::journal::How;
use crate::memory::Memories;
use crate::page::drill::way_out;
use crate::store::Home;

/// Balls of practice before they begin anew.
/// A round of at most so many milliseconds begins at once, by the usual key time.
const SHORT_MS: u64 = 120_000;
const PRACTICE_BALLS: usize = 100;
/// Balls of one round at most.
const MOST_BALLS: usize = 1000;

/// One round to be built when its turn comes.
#[derive(Debug, Clone)]
struct Round {
    deck: Deck,
    serves: Vec<ServeId>,
    balls: usize,
    /// Switches called in the rounds before, which stay.
    standing: Vec<Switch>,
    switch: Option<Switch>,
    /// What is asked from memory first.
    of_day: DayRound,
}

/// The rounds of a session.
#[derive(Debug)]
pub(in crate::cli) struct Rounds<'d> {
    arguments: &'d DrillArguments,
    player: &'d Player,
    memories: &'d Memories,
    today: Day,
    air: Constants,
    seed: u64,
    /// By deck, what its serves were answered at so far.
    speeds: BTreeMap<String, Speeds>,
    /// By deck, the tempo that was reached in this session.
    reached: BTreeMap<String, u32>,
    /// The deck of the last round.
    last: Option<String>,
    limit_ms: u64,
    waiting: VecDeque<Round>,
    played: u64,
    measured: Option<KeyTime>,
    /// Whether the key time was measured before this session's first round.
    pub(in crate::cli) is_just_measured: bool,
}

impl<'d> Rounds<'d> {
    /// Settles the rounds from the arguments and the home.
    pub(in crate::cli) fn settle(
        arguments: &'d DrillArguments,
        desk: &'d Desk,
        world: &World<'_>,
    ) -> Result<Self, Failure> {
        if let Some(minutes) = arguments.minutes {
            Player::MINUTES.check(minutes).map_err(|error| {
                Failure::request(error.to_string(), "for example `--minutes 10`")
            })?;
        }
        if let Some(balls) = arguments.balls.filter(|balls| !(1..=MOST_BALLS).contains(balls)) {
            return Err(Failure::request(
                format!("{balls} balls, allowed is 1 to {MOST_BALLS}"),
                "for example `--balls 30`",
            ));
        }
        let (home, player, today) = (desk.home()?, desk.player()?, desk.today()?);
        let journal = desk.journal()?;
        let mut rounds = Self {
            arguments,
            player,
            memories: &journal.memories,
            today,
            air: own_table(desk)?.0,
            seed: world.seed,
            speeds: Speeds::by_deck(journal.recent()),
            reached: BTreeMap::new(),
            last: None,
            limit_ms: milliseconds(arguments.minutes.unwrap_or(player.minutes_a_day)),
            waiting: VecDeque::new(),
            played: 0,
            measured: home.read_ron(&key_time_file(home))?,
            is_just_measured: false,
        };
        match arguments.whom.opponent() {
            Some(named) => rounds.add_opponent(named, desk)?,
            None => rounds.add_list(desk)?,
        }
        // What cannot be built is told before the screen opens.
        if let Some(first) = rounds.waiting.front() {
            rounds
                .build(first, None)
                .map_err(|error| Failure::request(error.to_string(), way_out(&error)))?;
        }
        Ok(rounds)
    }

    /// The key time in use, milliseconds by the number of keys.
    pub(in crate::cli) fn key_time(&self) -> KeyTime {
        self.measured.unwrap_or_default()
    }

    /// Whether the keys are to be measured first: when the player asks for it, and when their time
    /// matters, was never measured on this device and is worth half a minute.
    pub(in crate::cli) fn wants_warm_up(&self) -> bool {
        let is_long = self.limit_ms > SHORT_MS;
        let is_unknown = how(self.arguments) == How::Snap && self.measured.is_none();
        self.arguments.warm_up || (is_unknown && is_long)
    }

    /// A key time that was just measured, kept for this device.
    pub(super) fn measured(&mut self, key_time: KeyTime, home: &Home) -> Result<(), Failure> {
        self.measured = Some(key_time);
        self.is_just_measured = true;
        Ok(home.replace_ron(&key_time_file(home), &key_time)?)
    }

    fn add_opponent(&mut self, named: &str, desk: &Desk) -> Result<(), Failure> {
        let (stem, deck) = desk.opponent(Some(named))?;
        let deck = deck.seen_by(self.player.hand);
        let switches = self.arguments.switch.iter().map(|name| switch_named(&deck, name));
        let switches: Vec<Switch> = switches.collect::<Result<_, _>>()?;
        if switches.is_empty() {
            let decks = desk.home()?.decks()?;
            let agenda = Overview { decks: &decks, ..desk.overview_untold()? }.agenda();
            let mut rounds = agenda.rounds(self.player, &decks).into_iter();
            let of_day = rounds.find(|round| round.stem == stem);
            let of_day = of_day.unwrap_or_else(|| DayRound::new(stem));
            self.add_day(deck, DayRound { is_practised: true, ..of_day });
            return Ok(());
        }
        // As in a match: a second switch is called while the first one stands.
        for (called, switch) in switches.iter().enumerate() {
            let (standing, switch) = (switches[..called].to_vec(), Some(switch.clone()));
            let of_day = DayRound::new(stem.clone());
            let serves = deck.planned().map(|(serve, _)| serve.id.clone()).collect();
            let deck = deck.clone();
            self.waiting.push_back(Round { deck, serves, balls: 0, standing, switch, of_day });
        }
        Ok(())
    }

    /// What is asked against one opponent today: from memory, then practice.
    fn add_day(&mut self, deck: Deck, mut of_day: DayRound) {
        let most = self.arguments.balls.unwrap_or(MOST_BALLS);
        of_day.due.truncate(most);
        let serves: Vec<ServeId> = if of_day.is_practised {
            let others = deck.planned().map(|(serve, _)| &serve.id);
            let others = others.filter(|id| !of_day.due.contains(id));
            of_day.due.iter().chain(others).cloned().collect()
        } else {
            let called = of_day.called.iter().flat_map(|(_, due)| due);
            of_day.due.iter().chain(called).cloned().collect()
        };
        let balls = self
            .arguments
            .balls
            .map_or(PRACTICE_BALLS, |balls| balls.saturating_sub(of_day.due_count()));
        let balls = if of_day.is_practised { balls } else { 0 };
        let (standing, switch) = (Vec::new(), None);
        self.waiting.push_back(Round { deck, serves, balls, standing, switch, of_day });
    }

    /// Today's rounds, opponent by opponent.
    fn add_list(&mut self, desk: &Desk) -> Result<(), Failure> {
        let decks = desk.home()?.decks()?;
        let agenda = Overview { decks: &decks, ..desk.overview_untold()? }.agenda();
        for of_day in agenda.rounds(self.player, &decks) {
            let Some((_, deck)) = decks.iter().find(|(stem, _)| *stem == of_day.stem) else {
                continue;
            };
            self.add_day(deck.seen_by(self.player.hand), of_day);
        }
        match decks.first() {
            _ if !self.waiting.is_empty() => Ok(()),
            None => Err(Failure::request(
                "there is no opponent yet, so there is nothing to drill",
                "`secondball scout` puts an opponent's serves into a file",
            )),
            Some((first, _)) => Err(Failure::request(
                "no serve has a receive yet, so there is nothing to drill",
                format!(
                    "`secondball plan choose {}` chooses a receive for each serve",
                    text::typed(first)
                ),
            )),
        }
    }

    /// The next script, unless the minutes are over.
    pub(in crate::cli) fn next(&mut self, elapsed_ms: u64) -> Option<Script> {
        let left_ms = self.limit_ms.checked_sub(elapsed_ms).filter(|&left_ms| left_ms > 0)?;
        loop {
            let round = self.waiting.pop_front()?;
            self.played += 1;
            // A round that cannot be built (its last serve was retired meanwhile) is passed over.
            let Ok(Built { script, left }) = self.build(&round, Some(left_ms)) else { continue };
            // What found no room on the square is asked for itself, if it is due.
            let due: Vec<ServeId> =
                left.into_iter().filter(|id| round.of_day.due.contains(id)).collect();
            if !due.is_empty() && round.switch.is_none() {
                let of_day = DayRound { due: due.clone(), ..round.of_day.clone() };
                self.waiting.push_front(Round { serves: due, balls: 0, of_day, ..round });
            }
            return Some(script);
        }
    }

    /// Remembers where a round's staircase ended, for the next round against this opponent.
    pub(in crate::cli) fn took(&mut self, deck: String, summary: &Summary) {
        if summary.answers > 0 && summary.switch_name.is_none() {
            self.reached.insert(deck.clone(), summary.tempo_permille);
        }
        self.last = Some(deck);
    }

    /// The speed of the last day before today, against the opponent of the last round.
    pub(in crate::cli) fn before(&self) -> Option<DaySpeed> {
        self.speeds.get(self.last.as_ref()?)?.before(self.today)
    }

    /// The tempo against an opponent.
    fn tempo(&self, deck: &str) -> TempoRules {
        if self.arguments.plain {
            // The words are read out first: the clock can only be a wide one.
            let rules = TempoRules::default();
            return TempoRules { start_permille: rules.most_permille, ..rules }.fixed();
        }
        let rules = match (self.reached.get(deck), self.speeds.get(deck)) {
            (Some(permille), _) => TempoRules::default().resumed(*permille, false),
            (None, Some(speeds)) => speeds.rules(self.today),
            (None, None) => TempoRules::default(),
        };
        let next = self.player.next_event(self.today);
        rules.towards(next.map(|event| event.day.days_since(self.today)))
    }

    fn build(&self, round: &Round, limit_ms: Option<u64>) -> Result<Built, DrillError> {
        let hand = self.player.hand;
        build(&RoundRequest {
            serves: &round.serves,
            how: how(self.arguments),
            order: self.arguments.order,
            balls: round.balls,
            standing: &round.standing,
            switch: round.switch.as_ref(),
            due: &round.of_day.due,
            called: &round.of_day.called(&round.deck, self.memories, self.today),
            has_back: self.arguments.back,
            key_time: self.key_time(),
            tempo: self.tempo(&round.deck.key),
            has_words: !self.arguments.no_words,
            // A flight cannot be shown in lines.
            has_tells_only: self.arguments.tells || self.arguments.plain,
            limit_ms,
            repeats: round.of_day.is_practised && self.arguments.balls.is_none(),
            flights: Some(&flights(&round.deck, &round.serves, hand, &self.air)),
            seed: self.seed.wrapping_add(self.played),
            ..RoundRequest::plain(&round.deck, hand, self.memories, self.today)
        })
    }
}

fn switch_named(deck: &Deck, name: &str) -> Result<Switch, Failure> {
    deck.switch(name).cloned().ok_or_else(|| {
        let known: Vec<_> = deck.switches.iter().map(|switch| &switch.name).collect();
        Failure::request(
            format!("`{}` has no switch `{}`", deck.opponent, text::one_line(name)),
            if known.is_empty() {
                format!("add one with `{}`", crate::cli::plan::to_add_switch(deck))
            } else {
                format!("it has {}", text::one_of(&known))
            },
        )
    })
}

/// The file of this device's key time; it can be measured again at any time.
fn key_time_file(home: &Home) -> String {
    format!("cache/key-time-{}.ron", home.device().id())
}

const fn how(arguments: &DrillArguments) -> How {
    if arguments.think {
        How::Think
    } else if arguments.read || arguments.tells {
        How::Read
    } else if arguments.shadow {
        How::Shadow
    } else {
        How::Snap
    }
}

fn milliseconds(minutes: f64) -> u64 {
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "1 to 120 minutes")]
    let whole = (minutes * 60_000.0).round() as u64;
    whole
}

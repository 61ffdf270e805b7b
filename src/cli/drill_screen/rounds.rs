//! Which rounds a session plays: one opponent, or today's list opponent by opponent; with the tempo
//! where it was left, the key time of this device, and the limit of minutes.

use std::collections::{BTreeSet, VecDeque};

use crate::agenda::{Agenda, Due, Part, Slip};
use crate::base::{Day, order, text};
use crate::cli::drill::DrillArguments;
use crate::cli::{Desk, Failure, Overview, World};
use crate::deck::{Deck, Player, Switch};
use crate::drill::{Built, KeyTime, RoundRequest, Script, TempoRules, build, flights, window};
use crate::flight::Constants;
use crate::game::ServeId;
use crate::journal::{Event, Fact, How, Input};
use crate::memory::Memories;
use crate::store::Home;

/// Balls for each serve when nobody says how many, and the fewest of a round.
const BALLS_A_SERVE: usize = 3;
const FEWEST_BALLS: usize = 10;
/// No ball takes less: toss, flight, answer, feedback.
const FASTEST_BALL_MS: u64 = 3000;
/// Balls of one round at most.
const MOST_BALLS: usize = 1000;
/// Days before an event on which the tempo is eased.
const EASED_DAYS: i64 = 2;
/// The minutes that can be asked for.
const MINUTES: crate::base::Bound = Player::MINUTES;

/// One round to be built when its turn comes.
#[derive(Debug)]
struct Round {
    deck: Deck,
    serves: Vec<ServeId>,
    /// Switches called in the rounds before, which stay.
    standing: Vec<Switch>,
    switch: Option<Switch>,
    under: Option<Switch>,
    balls: usize,
}

/// The rounds of a session.
#[derive(Debug)]
#[expect(clippy::struct_excessive_bools, reason = "one field for each wish of the player")]
pub(in crate::cli) struct Rounds {
    waiting: VecDeque<Round>,
    how: How,
    player: Player,
    memories: Memories,
    today: Day,
    air: Constants,
    seed: u64,
    tempo: TempoRules,
    limit_ms: Option<u64>,
    order: crate::drill::ServeOrder,
    has_back: bool,
    has_words: bool,
    played: u64,
    /// Why nothing is to be answered, where that is so.
    pub(in crate::cli) nothing_due: Option<String>,
    /// What the player should know before the first ball.
    pub(in crate::cli) notes: Vec<String>,
    /// The key time in use.
    pub(in crate::cli) key_time: KeyTime,
    /// Whether it was ever measured on this device.
    pub(in crate::cli) has_key_time: bool,
    /// Whether it was measured before this session's first round.
    pub(in crate::cli) is_just_measured: bool,
    /// Whether the player asked for the warm-up.
    pub(in crate::cli) wants_warm_up: bool,
    /// The hour a day begins.
    pub(in crate::cli) rollover_hour: u8,
}

impl Rounds {
    /// Settles the rounds from the arguments and the home.
    pub(in crate::cli) fn settle(
        arguments: &DrillArguments,
        desk: &Desk,
        world: &World<'_>,
        home: &Home,
    ) -> Result<Self, Failure> {
        if let Some(minutes) = arguments.minutes {
            MINUTES.check(minutes).map_err(|error| {
                Failure::request(error.to_string(), "for example `--minutes 10`")
            })?;
        }
        let player = desk.player()?;
        let today = desk.today()?;
        let journal = desk.journal()?;
        let events = journal.recent();
        let measured: Option<KeyTime> = home.read_ron(&key_time_file(home))?;
        let tempo = tempo(player, events, today, arguments.plain);
        let mut rounds = Self {
            waiting: VecDeque::new(),
            how: how(arguments),
            memories: journal.memories.clone(),
            today,
            air: home.read_ron::<Constants>("table.ron")?.unwrap_or_default(),
            seed: world.seed,
            tempo,
            limit_ms: Some(milliseconds(arguments.minutes.unwrap_or(player.minutes_a_day))),
            order: arguments.order,
            has_back: arguments.back,
            has_words: !arguments.no_words,
            played: 0,
            nothing_due: None,
            notes: Vec::new(),
            key_time: measured.unwrap_or_default(),
            has_key_time: measured.is_some(),
            is_just_measured: false,
            wants_warm_up: arguments.warm_up,
            rollover_hour: player.rollover_hour,
            player: player.clone(),
        };
        match arguments.whom.opponent() {
            Some(named) => rounds.add_opponent(named, arguments, desk)?,
            None => rounds.add_list(arguments, desk)?,
        }
        Ok(rounds)
    }

    /// Whether keys are timed, so that the time they take matters.
    pub(in crate::cli) fn are_timed(&self) -> bool {
        self.how == How::Snap
    }

    fn add_opponent(
        &mut self,
        named: &str,
        arguments: &DrillArguments,
        desk: &Desk,
    ) -> Result<(), Failure> {
        let (_, deck) = desk.opponent(Some(named))?;
        let deck = deck.seen_by(self.player.hand);
        let switches: Vec<Switch> = arguments
            .switch
            .iter()
            .map(|name| switch_named(&deck, name))
            .collect::<Result<_, _>>()?;
        let planned = deck.planned().count();
        let balls = arguments.balls.unwrap_or_else(|| match arguments.minutes {
            // More than anybody answers in that time: the clock ends the round.
            Some(minutes) => {
                let balls = usize::try_from(milliseconds(minutes) / FASTEST_BALL_MS);
                balls.unwrap_or(MOST_BALLS).clamp(1, MOST_BALLS)
            }
            None => (planned * BALLS_A_SERVE).max(FEWEST_BALLS),
        });
        if !(1..=MOST_BALLS).contains(&balls) {
            return Err(Failure::request(
                format!("{balls} balls, allowed is 1 to {MOST_BALLS}"),
                "for example `--balls 30`",
            ));
        }
        let serves: Vec<ServeId> = deck.planned().map(|(serve, _)| serve.id.clone()).collect();
        if switches.is_empty() {
            let standing = Vec::new();
            let (switch, under) = (None, None);
            self.waiting.push_back(Round { deck, serves, standing, switch, under, balls });
        } else {
            // As in a match: a second switch is called while the first one stands.
            let mut standing = Vec::new();
            for switch in switches {
                self.waiting.push_back(Round {
                    deck: deck.clone(),
                    serves: serves.clone(),
                    standing: standing.clone(),
                    switch: Some(switch.clone()),
                    under: None,
                    balls,
                });
                standing.push(switch);
            }
        }
        // What cannot be built is told before the screen opens.
        self.check_first()
    }

    /// Today's list, opponent by opponent; the receives of a switch in rounds of their own.
    fn add_list(&mut self, arguments: &DrillArguments, desk: &Desk) -> Result<(), Failure> {
        let decks = desk.home()?.decks()?;
        let Agenda { list, slips, .. } =
            Overview { decks: &decks, ..desk.overview_untold()? }.agenda()?;
        let mut groups: Vec<(String, Part, Vec<ServeId>)> = Vec::new();
        let is_new = |due: &&Due| {
            due.part == Part::Plan && due.standing == crate::memory::Standing::Untried.word()
        };
        let untried: BTreeSet<String> =
            list.iter().filter(is_new).map(|due| due.deck.clone()).collect();
        for due in list {
            let Ok(serve) = due.serve.parse::<ServeId>() else { continue };
            match groups.iter_mut().find(|(stem, part, _)| *stem == due.deck && *part == due.part) {
                Some((_, _, serves)) => serves.push(serve),
                None => groups.push((due.deck, due.part, vec![serve])),
            }
        }
        // The plan last against each opponent: it is what should stay. But nobody departs from a plan that was never
        // drilled: then it comes first.
        order::by_key(&mut groups, |(stem, part, _)| {
            (stem.clone(), (*part == Part::Plan) != untried.contains(stem))
        });
        for (stem, part, serves) in groups {
            let Some((_, deck)) = decks.iter().find(|(known, _)| *known == stem) else { continue };
            let deck = deck.seen_by(self.player.hand);
            let under = match &part {
                Part::Plan => None,
                Part::Switch(name) => deck.switch(name).cloned(),
            };
            let balls = arguments.balls.unwrap_or(serves.len()).max(1);
            let standing = Vec::new();
            self.waiting.push_back(Round { deck, serves, standing, switch: None, under, balls });
        }
        if self.waiting.is_empty() {
            self.nothing_due = Some(self.why_nothing(&decks, &slips)?);
        }
        self.check_first()
    }

    /// Why nothing is to be answered, and what drills all the same.
    fn why_nothing(&self, decks: &[(String, Deck)], slips: &[Slip]) -> Result<String, Failure> {
        let Some((first, _)) = decks.first() else {
            return Err(Failure::request(
                "there is no opponent yet, so there is nothing to drill",
                "`secondball scout` puts an opponent's serves into a file",
            ));
        };
        let planned = decks.iter().find(|(_, deck)| deck.planned().next().is_some());
        let Some((stem, _)) = planned else {
            return Err(Failure::request(
                "no serve has a receive yet, so there is nothing to drill",
                format!(
                    "`secondball plan choose {}` chooses a receive for each serve",
                    text::typed(first)
                ),
            ));
        };
        let nothing = format!("Nothing is due on {}", self.today);
        Ok(match slips.first() {
            Some(slip) => {
                format!("{nothing}, but {}. Once more: `{}`", slip.said(), slip.command())
            }
            None => format!(
                "{nothing}: everything wanted today has been answered. One opponent all the same: \
                 `secondball drill --opponent {}`",
                text::typed(stem)
            ),
        })
    }

    fn check_first(&self) -> Result<(), Failure> {
        let Some(round) = self.waiting.front() else { return Ok(()) };
        self.build(round)
            .map(|_| ())
            .map_err(|error| Failure::request(error.to_string(), error.hint()))
    }

    /// The next script, unless the minutes are over.
    pub(in crate::cli) fn next(&mut self, elapsed_ms: u64) -> Option<Script> {
        let left_ms = match self.limit_ms {
            Some(limit_ms) => {
                Some(limit_ms.checked_sub(elapsed_ms).filter(|&left_ms| left_ms > 0)?)
            }
            None => None,
        };
        loop {
            let round = self.waiting.pop_front()?;
            self.played += 1;
            // A round that cannot be built (its last serve was retired meanwhile) is passed over.
            let Ok(built) = self.build(&round) else { continue };
            let Built { mut script, left } = built;
            script.limit_ms = script.limit_ms.and(left_ms);
            if !left.is_empty() && round.switch.is_none() {
                let balls = (round.balls * left.len() / round.serves.len().max(1)).max(left.len());
                self.waiting.push_front(Round { serves: left, balls, ..round });
            }
            return Some(script);
        }
    }

    fn build(&self, round: &Round) -> Result<Built, crate::drill::DrillError> {
        build(&RoundRequest {
            deck: &round.deck,
            hand: self.player.hand,
            serves: &round.serves,
            how: self.how,
            order: self.order,
            balls: round.balls,
            standing: &round.standing,
            switch: round.switch.as_ref(),
            under: round.under.as_ref(),
            has_back: self.has_back,
            key_time: self.key_time,
            tempo: self.tempo,
            has_words: self.has_words,
            limit_ms: self.limit_ms,
            flights: &flights(&round.deck, &round.serves, self.player.hand, &self.air),
            memories: &self.memories,
            today: self.today,
            seed: self.seed.wrapping_add(self.played),
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
pub(super) fn key_time_file(home: &Home) -> String {
    format!("cache/key-time-{}.ron", home.device().id())
}

const fn how(arguments: &DrillArguments) -> How {
    if arguments.think {
        How::Think
    } else if arguments.read {
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

/// The tempo: where the last timed answer left it, eased before an event, wide for plain lines.
fn tempo(player: &Player, events: &[Event], today: Day, is_plain: bool) -> TempoRules {
    let rules = TempoRules::default();
    if is_plain {
        // The words are read out first: the clock can only be a wide one.
        return TempoRules { start_permille: rules.most_permille, ..rules }.fixed();
    }
    let last = events.iter().rev().find_map(|event| match &event.fact {
        Fact::Answer(answer)
            if answer.how == How::Snap && answer.input != Input::Simulated && !answer.is_let =>
        {
            let decision_ms = window::decision_ms(window::FLIGHT_MS, window::BODY_MS);
            window::tempo_permille(answer.window, decision_ms, answer.motor)
        }
        _ => None,
    });
    let rules = last.map_or(rules, |permille| rules.resumed(permille));
    let is_near = player
        .next_event(today)
        .is_some_and(|event| (1..=EASED_DAYS).contains(&event.day.days_since(today)));
    if is_near { rules.eased() } else { rules }
}

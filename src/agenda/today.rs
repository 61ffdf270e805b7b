//! Today's list, the days ahead, and the forecast for the event with and without today's work.

use serde::Serialize;

use super::days::{DAYS_AHEAD, DayLoad, SECONDS_AN_ANSWER, answers_in, minutes_spent};
use super::patterns::{Pattern, PatternPart, patterns};
use super::standing::{AnswerStands, Lately, OpponentSpeed, Slip, Unready, day_that_counts};
use super::towards::{KeptPlan, towards};
use crate::base::Day;
use crate::deck::{Deck, MatchDay, Player};
use crate::memory::{
    Grade, History, Item, Memories, Model, Pick, Regularity, Standing, daily_list, days_between,
};

/// Untried patterns begun a day when no event presses.
const NEW_A_DAY: usize = 6;
/// How far ahead the event of an example lies.
const EXAMPLE_DAYS: u32 = 14;
/// Serves of one opponent looked at on the evening before.
const EVE_SERVES: usize = 2;

/// One pattern on today's list.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Due {
    /// The deck's file stem.
    pub deck: String,
    pub opponent: String,
    /// The serve's id, and what it is called.
    pub serve: String,
    pub called: String,
    /// The receive in words.
    pub receive: String,
    /// The pattern's key as text.
    pub pattern: String,
    pub part: PatternPart,
    /// For the day that counts.
    pub standing: Standing,
    /// Recall now, 0 to 1.
    pub recall_now: f64,
    /// What today's answer adds to its recall on the day that counts.
    pub gain: f64,
}

/// The event the list works towards.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Ahead {
    pub name: String,
    pub day: Day,
    pub days: u32,
    /// Share of the serves expected to be answered right there when nothing more is done.
    pub without: f64,
    /// The same when today is left out and every later list is answered.
    pub without_today: f64,
    /// The same when today's list is answered, and later ones as regularly as so far.
    pub with_all: f64,
    /// Whether there are days to know that by; else a usual rate is supposed.
    pub has_record: bool,
    /// The same when every later list is answered, where that makes a difference.
    pub every_day: Option<f64>,
    /// One standard deviation of the share really recalled, for `with_all`.
    pub spread: f64,
}

/// What the list works towards.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Goal {
    Event(Ahead),
    /// No event: recall is kept above the target.
    Target(f64),
}

/// The evening before: few serves, receives already owned, ending on what is ready.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Eve {
    /// Serves to look at once more, by opponent, weakest first; at most two an opponent.
    pub serves: Vec<Due>,
    /// Switches to think through once, untimed: opponent and switch.
    pub switches: Vec<(String, String)>,
}

/// Where the player stands on a day.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Agenda {
    pub today: Day,
    pub is_off: bool,
    /// What the list works towards.
    pub outlook: Goal,
    /// Patterns to answer today, most useful first.
    pub list: Vec<Due>,
    /// Minutes the list takes.
    pub minutes: f64,
    /// Every answer to those who may be met.
    pub answers: Vec<AnswerStands>,
    /// How many patterns are untried, not ready yet, ready for the day that counts.
    pub standing: [usize; 3],
    /// The speed of each opponent who may be met, where there were answers against the clock.
    pub speeds: Vec<OpponentSpeed>,
    /// Answers that were wrong too often lately.
    pub slips: Vec<Slip>,
    /// Answers that were made too seldom at the table.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub unready: Vec<Unready>,
    /// Opponents, by file stem, some of whose answers were given lately, but only untimed.
    pub untimed: Vec<String>,
    pub days: Vec<DayLoad>,
    /// On the day before an event.
    pub eve: Option<Eve>,
    /// What the player should know about this list.
    pub notes: Vec<ListNote>,
}

/// What the player should know about a list. In a document it stands in the words of the views.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum ListNote {
    DayOff,
    EventToday,
    // One could be added, for example on this day.
    NoEvent { example: Day },
}

/// Where the player stands today: list, forecast, days ahead. `known` is what an earlier look left;
/// what this one leaves comes back beside the agenda where there is an event. `lately` is how the
/// last answers went.
pub fn agenda(
    player: &Player,
    decks: &[(String, Deck)],
    memories: &Memories,
    today: Day,
    known: Option<&KeptPlan>,
    lately: &Lately,
) -> (Agenda, Option<KeptPlan>) {
    let model = Model::default();
    let event = player.next_event(today).filter(|event| event.day > today);
    let all = patterns(player, decks, player.next_event(today));
    let item = |(index, pattern): (usize, &Pattern)| Item {
        index,
        weight: pattern.weight,
        memory: pattern.history(memories).and_then(History::memory),
    };
    let items: Vec<Item> = all.iter().enumerate().map(item).collect();
    let day_that_counts = day_that_counts(event, today);
    let judge = |(pattern, item)| {
        lately.standing(&model, pattern, item, day_that_counts, player.wanted_share)
    };
    let standings: Vec<Standing> = all.iter().zip(&items).map(judge).collect();
    let mut standing = [0; 3];
    for one in &standings {
        standing[match one {
            Standing::Untried => 0,
            Standing::Shaky | Standing::Slow => 1,
            Standing::Ready => 2,
        }] += 1;
    }
    let solved = event
        .filter(|_| !items.is_empty())
        .and_then(|_| towards(&model, &all, &items, player, today, &lately.record, known));
    let (picks, days, outlook) = if let Some(event) = event {
        let ahead = Ahead::from_plan(event, today, &lately.record, solved.as_ref());
        let planned = solved.as_ref();
        let picks = planned.map(|solved| solved.plan.today.clone());
        let days = planned.map(|solved| solved.days(player, today));
        (picks.unwrap_or_default(), days.unwrap_or_default(), Goal::Event(ahead))
    } else {
        let (picks, days) = without_event(&model, items, player, today);
        (picks, days, Goal::Target(player.wanted_share))
    };
    let list: Vec<Due> = picks
        .iter()
        .map(|pick| due(&all[pick.index], standings[pick.index], pick.recall_now, pick.gain))
        .collect();
    let eve = event.filter(|event| event.day.days_since(today) == 1).map(|_| eve(&all, &standings));
    let agenda = Agenda {
        today,
        is_off: player.days_off.contains(&today.weekday()),
        minutes: list.len() as f64 * SECONDS_AN_ANSWER / 60.0,
        notes: notes(player, event, today, list.len()),
        outlook,
        list,
        answers: lately.answers(&all, &standings, event),
        standing,
        speeds: lately.opponent_speeds(decks, event),
        slips: lately.slips(&all),
        unready: lately.unready(&all),
        untimed: lately.untimed(&all),
        days,
        eve,
    };
    (agenda, solved)
}

impl Ahead {
    /// The forecast of an event by the plan towards it; nothing is expected where there is none.
    fn from_plan(
        event: &MatchDay,
        today: Day,
        record: &Regularity,
        solved: Option<&KeptPlan>,
    ) -> Self {
        let plan = solved.map(|known| &known.plan);
        Self {
            name: event.name.clone(),
            day: event.day,
            days: u32::try_from(event.day.days_since(today)).unwrap_or(0),
            without: plan.map_or(0.0, |plan| plan.without.expected),
            without_today: plan.map_or(0.0, |plan| plan.without_today.expected),
            with_all: plan.map_or(0.0, |plan| plan.with.expected),
            has_record: record.days_asked > 0,
            every_day: solved.and_then(|solved| solved.every_day),
            spread: plan.map_or(0.0, |plan| plan.with.spread),
        }
    }
}

fn due(pattern: &Pattern, standing: Standing, recall_now: f64, gain: f64) -> Due {
    Due {
        deck: pattern.stem.clone(),
        opponent: pattern.opponent.clone(),
        serve: pattern.serve.id.to_string(),
        called: pattern.called.clone(),
        receive: pattern.receive.shown(),
        pattern: pattern.key.to_string(),
        part: pattern.part.clone(),
        standing,
        recall_now,
        gain,
    }
}

/// What is due today when no event presses, and on the days ahead when every list before them is
/// answered right.
fn without_event(
    model: &Model,
    mut items: Vec<Item>,
    player: &Player,
    today: Day,
) -> (Vec<Pick>, Vec<DayLoad>) {
    let spent = minutes_spent(&items, today);
    let (mut picks, mut days): (Vec<Vec<Pick>>, Vec<DayLoad>) = (0..=DAYS_AHEAD)
        .map(|ahead| {
            let day = today.plus(ahead);
            let is_off = player.days_off.contains(&day.weekday());
            let minutes = player.minutes_a_day - if ahead == 0 { spent } else { 0.0 };
            let budget = if is_off { 0 } else { answers_in(minutes) };
            let picks =
                daily_list(model, &items, day.number(), player.wanted_share, budget, NEW_A_DAY);
            for pick in &picks {
                let memory = &mut items[pick.index].memory;
                let gap = memory.map_or(0, |(_, last)| days_between(last, day.number()));
                let after = model.after(memory.map(|(state, _)| state), Grade::InTime, gap);
                *memory = Some((after, day.number()));
            }
            let answers = picks.len();
            (picks, DayLoad { day, answers, is_off })
        })
        .unzip();
    days.remove(0);
    (picks.swap_remove(0), days)
}

/// The evening before: the weakest known receives of each opponent, each switch once in thought.
fn eve(all: &[Pattern], standings: &[Standing]) -> Eve {
    let known: Vec<(&Pattern, Standing)> = all
        .iter()
        .zip(standings.iter().copied())
        .filter(|(one, standing)| one.part == PatternPart::Plan && *standing != Standing::Untried)
        .collect();
    let mut serves = Vec::new();
    for own in known.chunk_by(|(one, _), (other, _)| one.stem == other.stem) {
        let mut own = own.to_vec();
        own.sort_by(|(one, _), (other, _)| other.weight.total_cmp(&one.weight));
        let first = own.into_iter().take(EVE_SERVES);
        serves.extend(first.map(|(pattern, standing)| due(pattern, standing, 0.0, 0.0)));
    }
    let mut switches: Vec<(String, String)> = Vec::new();
    for pattern in all {
        if let PatternPart::Switch(name) = &pattern.part {
            let pair = (pattern.opponent.clone(), name.clone());
            // Those of one switch stand side by side.
            if switches.last() != Some(&pair) {
                switches.push(pair);
            }
        }
    }
    Eve { serves, switches }
}

fn notes(player: &Player, event: Option<&MatchDay>, today: Day, listed: usize) -> Vec<ListNote> {
    let mut notes = Vec::new();
    if player.days_off.contains(&today.weekday()) {
        notes.push(ListNote::DayOff);
    }
    if event.is_some() {
        return notes;
    }
    if player.next_event(today).is_some() {
        notes.push(ListNote::EventToday);
    } else if listed > 0 {
        notes.push(ListNote::NoEvent { example: today.plus(EXAMPLE_DAYS) });
    }
    notes
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::agenda::patterns::tests::two_decks;

    fn day(text: &str) -> Day {
        text.parse().unwrap()
    }

    fn looked_at(player: &Player, decks: &[(String, Deck)], on: &str) -> Agenda {
        agenda(player, decks, &Memories::default(), day(on), None, &Lately::default()).0
    }

    #[test]
    fn the_same_question_is_answered_from_what_is_known() {
        let (player, decks) = two_decks();
        let ask = |on: &str, known: Option<&KeptPlan>| {
            agenda(&player, &decks, &Memories::default(), day(on), known, &Lately::default())
        };
        let (first, known) = ask("2026-11-25", None);
        let (again, kept) = ask("2026-11-25", known.as_ref());
        assert_eq!((&first, &known), (&again, &kept));
        let (tomorrow, moved) = ask("2026-11-26", known.as_ref());
        assert_ne!(known, moved);
        assert_eq!(tomorrow.list.len(), 6);
    }

    #[test]
    fn today_helps_and_every_day_until_the_event_helps_more() {
        let (player, decks) = two_decks();
        let agenda = looked_at(&player, &decks, "2026-11-25");
        let Goal::Event(ahead) = &agenda.outlook else { panic!("an event is ahead") };
        assert_eq!(ahead.days, 4);
        assert_eq!(ahead.without, 0.0);
        assert!(ahead.without_today > 0.3, "{ahead:?}");
        assert!(ahead.with_all > ahead.without_today, "{ahead:?}");
        assert_eq!(agenda.list.len(), 6);
        assert_eq!(agenda.standing, [6, 0, 0]);
    }

    #[test]
    fn what_is_begun_on_the_evening_before_counts_less_but_is_not_forbidden() {
        let (player, decks) = two_decks();
        let agenda = looked_at(&player, &decks, "2026-11-28");
        assert_eq!(agenda.list.len(), 6);
        let Goal::Event(ahead) = &agenda.outlook else { panic!("an event is ahead") };
        assert!(ahead.with_all < 0.6, "{ahead:?}");
    }

    #[test]
    fn the_forecast_is_at_the_players_rate_and_says_what_every_day_would_bring() {
        let (player, decks) = two_decks();
        let forecast = |practised: u32, asked: u32| {
            let record = Regularity {
                days_practised: practised,
                days_asked: asked,
                ..Regularity::default()
            };
            let lately = Lately { record, ..Lately::default() };
            let on = day("2026-11-25");
            let (agenda, _) = agenda(&player, &decks, &Memories::default(), on, None, &lately);
            let Goal::Event(ahead) = agenda.outlook else { panic!("an event is ahead") };
            (ahead.with_all, ahead.every_day)
        };
        let (always, nothing_to_add) = forecast(28, 28);
        assert_eq!(nothing_to_add, None);
        let (seldom, every_day) = forecast(10, 28);
        assert!(seldom < always - 0.02, "{seldom} {always}");
        assert!(every_day.unwrap() > seldom + 0.02, "{every_day:?} {seldom}");
    }

    #[test]
    fn a_day_off_asks_for_nothing() {
        let (mut player, decks) = two_decks();
        player.days_off.push(chrono::Weekday::Wed);
        let agenda = looked_at(&player, &decks, "2026-11-25");
        assert!(agenda.is_off && agenda.list.is_empty());
        assert!(agenda.days[0].answers > 0);
    }

    #[test]
    fn the_budget_in_minutes_is_kept() {
        let (mut player, decks) = two_decks();
        player.minutes_a_day = 0.5;
        let agenda = looked_at(&player, &decks, "2026-11-25");
        // Half a minute: an untried pattern may need its repair, so fewer than three fit.
        assert!((1..=3).contains(&agenda.list.len()), "{:?}", agenda.list);
        assert!(agenda.minutes <= player.minutes_a_day);
    }
}

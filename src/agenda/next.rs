//! The one next thing to do, from where the player stands.

use crate::agenda::{Agenda, Outlook};
use crate::base::text;
use crate::deck::Deck;

/// The next thing: why, and the command that does it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Next {
    /// What and why, one sentence.
    pub what: String,
    /// The command, ready to be typed.
    pub command: String,
}

/// What has been done today besides drilling.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct NextState {
    /// A deck's file that cannot be read, if there is one.
    pub unreadable: Option<String>,
    /// Answers given today.
    pub answers_today: usize,
    /// Whether balls were logged at the table in the last seven days.
    pub rehearsed_lately: bool,
    /// Whether an event lies behind without a debrief.
    pub owes_debrief: bool,
}

/// The one next thing: the first of scout, plan, debrief, drill, rehearse, sheet that is not done.
pub fn next_thing(decks: &[(String, Deck)], agenda: &Agenda, state: &NextState) -> Next {
    let next = |what: String, command: String| Next { what, command };
    if let Some(file) = &state.unreadable {
        return next(
            format!("{file} has a mistake in it, so that opponent is left out here; mend it first"),
            "secondball check".to_owned(),
        );
    }
    if state.owes_debrief {
        return next(
            "the event is over: a minute of debrief now is worth an hour of guessing later"
                .to_owned(),
            "secondball debrief".to_owned(),
        );
    }
    let Some((stem, deck)) = decks.first() else {
        return next(
            "no opponent yet: write down the serves of the one you meet next".to_owned(),
            "secondball scout".to_owned(),
        );
    };
    if let Some((stem, deck)) = decks.iter().find(|(_, deck)| deck.active().next().is_none()) {
        return next(
            format!("{} has no serves yet", text::one_line(&deck.opponent)),
            format!("secondball scout add {stem}"),
        );
    }
    if let Some((stem, deck)) = decks.iter().find(|(_, deck)| deck.unplanned().next().is_some()) {
        let missing = deck.unplanned().count();
        return next(
            format!(
                "{} of {} without a receive",
                text::count(missing, "serve"),
                text::one_line(&deck.opponent)
            ),
            format!("secondball plan choose {stem}"),
        );
    }
    if !agenda.list.is_empty() {
        let minutes = agenda.minutes.ceil().max(1.0);
        return next(
            format!(
                "{} to answer today, about {minutes:.0} min",
                text::count(agenda.list.len(), "pattern")
            ),
            "secondball drill".to_owned(),
        );
    }
    if matches!(agenda.outlook, Outlook::Event(ref ahead) if ahead.days <= 1) {
        return next(
            "everything is answered; print the sheet and leave it at that".to_owned(),
            format!("secondball sheet {stem}"),
        );
    }
    if let Some(slip) = agenda.slips.first() {
        return next(format!("{}; once more", slip.said()), slip.command());
    }
    if let Some((stem, deck)) = decks.iter().find(|(stem, _)| agenda.untimed.contains(stem)) {
        return next(
            format!(
                "the answers for {} were only given untimed; now against the clock",
                text::one_line(&deck.opponent)
            ),
            format!("secondball drill --opponent {stem}"),
        );
    }
    if !state.rehearsed_lately {
        let opponent = text::one_line(&deck.opponent);
        return next(
            match agenda.standing {
                [0, 0, _] => {
                    format!("the answers for {opponent} are known; take them to the table")
                }
                _ => format!(
                    "today's answers are given; the shaky ones get firm with the days, and at \
                     the table against {opponent}"
                ),
            },
            format!("secondball rehearse --opponent {stem}"),
        );
    }
    next("nothing more today; come back tomorrow".to_owned(), "secondball today".to_owned())
}

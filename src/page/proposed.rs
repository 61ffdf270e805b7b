//! The receives proposed for one serve: why, what stands against each, where to aim, how sure.

use serde::Serialize;

use crate::deck::Deck;
use crate::game::{Receive, Sure};
use crate::page::bat_words::{coming_back_words, room_words, twin_words};
use crate::page::opponent::{aim_words, bends};
use crate::page::text_page::filled_text;
use crate::receive::{Aim, Drawback, Meeting, Proposal, RoomLeft};

/// Receives in a list.
const LISTED: usize = 5;

/// The list.
#[derive(Debug, Serialize)]
pub struct ProposedView {
    /// The serve's id, and its words.
    pub serve: String,
    pub shown: String,
    pub bends: Option<String>,
    /// Parts nobody has seen.
    pub unknown: Vec<&'static str>,
    /// `a guess` where the serve is one or its spin or depth is not known, else `a hint`: common
    /// practice, no point of it.
    pub sureness: &'static str,
    pub why_so_sure: &'static str,
    pub proposals: Vec<ProposedReceive>,
}

/// One of them.
#[derive(Debug, Serialize)]
pub struct ProposedReceive {
    pub receive: Receive,
    /// In words, and as flags and files write it.
    pub shown: String,
    pub text: String,
    pub why: String,
    pub of_ten: Option<u8>,
    pub aim: Option<Aim>,
    pub aim_says: Option<String>,
    pub stands_twin: Option<String>,
    /// What it forgives: `plenty`, `some`, `little`, `none`.
    pub room: Option<RoomLeft>,
    pub room_says: Option<&'static str>,
    /// What becomes of it when the serve is the twin.
    pub if_twin: Option<String>,
    pub comes_back: Option<String>,
    pub against: Vec<Drawback>,
    pub against_says: Vec<String>,
}

/// Proposes.
pub fn proposed(meeting: Meeting<'_>) -> ProposedView {
    let serve = meeting.serve;
    let is_open = serve.spin.is_none() || serve.depth.is_none();
    let (sureness, why_so_sure) = match serve.sure {
        _ if is_open => ("a guess", "spin or depth is not known"),
        Some(Sure::Guessed) => ("a guess", "nobody has seen this serve"),
        _ => ("a hint", "common practice; your points are not in it"),
    };
    ProposedView {
        serve: serve.id.to_string(),
        shown: serve.shown(),
        bends: bends(serve, meeting.deck.hand),
        unknown: serve.unknown_parts(),
        sureness,
        why_so_sure,
        proposals: meeting
            .proposals(LISTED)
            .into_iter()
            .map(|one| receive_view(one, meeting))
            .collect(),
    }
}

fn receive_view(proposal: Proposal, meeting: Meeting<'_>) -> ProposedReceive {
    let Proposal { receive, of_ten, aim, against, stands_twin, room, .. } = proposal;
    let (serve, bats) = (meeting.serve, meeting.bats);
    let if_twin = bats.and_then(|bats| twin_words(bats, meeting.deck, serve, &receive));
    // Said once.
    let is_new = |against: &&Drawback| if_twin.is_none() || !matches!(against, Drawback::Twin(_));
    let back = bats.and_then(|bats| bats.comes_back(&serve.id, &receive));
    ProposedReceive {
        shown: receive.shown(),
        text: receive.text(),
        why: receive.why.clone().unwrap_or_default(),
        of_ten,
        aim_says: aim.map(aim_words),
        aim,
        stands_twin: stands_twin.map(|twin| meeting.deck.called(&twin)),
        room_says: room.map(room_words),
        room,
        comes_back: back.map(coming_back_words),
        against_says: against
            .iter()
            .filter(is_new)
            .map(|against| drawback_words(against, meeting.deck))
            .collect(),
        if_twin,
        against,
        receive,
    }
}

impl ProposedReceive {
    /// What is said of it on one line, behind its name.
    pub fn said(&self) -> String {
        let why = Some(&self.why).filter(|why| !why.is_empty());
        let but = self.against_says.iter().map(|against| format!("but {against}"));
        let aim = self.aim_says.as_ref().map(|aim| aim.replacen("Aim", "aim", 1));
        let parts: Vec<String> = why.cloned().into_iter().chain(aim).chain(but).collect();
        if parts.is_empty() { String::new() } else { format!(": {}", parts.join("; ")) }
    }
}

/// What stands against a receive.
fn drawback_words(drawback: &Drawback, deck: &Deck) -> String {
    match drawback {
        Drawback::NotOwned => "not in your repertoire: time at the table first".to_owned(),
        Drawback::Lands(of_ten) => format!("only {of_ten} of 10 of yours land"),
        Drawback::Twin(twin) => format!("wrong if it was {}", deck.called(twin)),
        Drawback::Drifts => "the sidespin takes it towards the side line".to_owned(),
        Drawback::Stronger => "to their stronger side".to_owned(),
        Drawback::OpensOwnSide => "down the line: your own other corner is open".to_owned(),
    }
}

impl ProposedView {
    /// The list as text, `width` columns at most.
    pub fn text(&self, width: usize) -> String {
        filled_text(include_str!("templates/proposed.txt"), self, width)
    }
}

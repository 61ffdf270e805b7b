//! `check`: reads everything a home holds and gives every finding; changes nothing.

use serde::de::DeserializeOwned;

use crate::base::finding::Place;
use crate::base::{Finding, text};
use crate::deck::advice::Judged;
use crate::deck::{MatchDay, Opponent, Player};
use crate::flight::{Constants, FlightError};
use crate::store::copies::{FILES, FileCopy};
use crate::store::decks::one_key;
use crate::store::launcher_file::judge_launcher_file;
use crate::store::saving::UNREADABLE;
use crate::store::{Home, Parsed, Trouble, disk};

/// What there is to say of a copy.
fn left_beside(copy: &FileCopy) -> Finding {
    let read =
        if copy.file.starts_with("journal/") { "each line counts once" } else { "it is not read" };
    Finding::warning(format!("this is a copy of {}; {read}", copy.of))
        .at(Place::file(&*copy.file))
        .hint("`secondball check --settle` says what differs and asks what to keep")
}

/// Opponents of events ahead or behind whom no deck is about.
pub fn strangers(player: &Player, stems: &[String]) -> Vec<Finding> {
    let known: Vec<&str> = stems.iter().map(String::as_str).collect();
    let stranger = |(event, opponent): (&MatchDay, &Opponent)| {
        let (name, deck) = (text::one_line(&event.name), text::one_line(&opponent.deck));
        let hint = match (text::closest(&deck, &known), known.is_empty()) {
            (Some(meant), _) => format!("did you mean `{meant}`?"),
            (None, true) => "no opponent is written down yet".to_owned(),
            (None, false) => format!("a file of decks/ without its ending: {}", known.join(", ")),
        };
        let what =
            format!("player.ron: `{name}` is against `{deck}`, and there is no decks/{deck}.ron");
        Finding::error(what).hint(hint)
    };
    let all =
        player.events.iter().flat_map(|event| event.opponents.iter().map(move |one| (event, one)));
    all.filter(|(_, opponent)| !known.contains(&opponent.deck.as_str())).map(stranger).collect()
}

/// What was read; what went wrong is noted.
fn noted<T>(read: Result<T, Trouble>, findings: &mut Vec<Finding>) -> Option<T> {
    read.map_err(|trouble| findings.extend(trouble.findings())).ok()
}

/// The same for what was judged, with what there is to say of it.
fn judged<T>(read: Result<Parsed<T>, Trouble>, findings: &mut Vec<Finding>) -> Option<T> {
    let parsed = noted(read, findings)?;
    findings.extend(parsed.findings);
    Some(parsed.value)
}

/// Ball, air and table outside of what they can be.
pub(super) fn judge_table(constants: &Constants) -> Vec<Judged> {
    let wrong = constants.checked().err();
    let said = |error: FlightError| Judged {
        path: Vec::new(),
        finding: Finding::error(error.to_string())
            .hint("put it right, or delete the file: then the usual ones are taken"),
    };
    wrong.into_iter().map(said).collect()
}

impl Home {
    /// What there is to say of a file.
    pub fn check_file<T: DeserializeOwned>(
        &self,
        file: &str,
        judge: impl Fn(&T) -> Vec<Judged>,
    ) -> Vec<Finding> {
        let mut findings = Vec::new();
        let parsed = noted(self.judged(file, judge), &mut findings).flatten();
        findings.extend(parsed.into_iter().flat_map(|parsed| parsed.findings));
        findings
    }

    /// Reads everything and gives every finding; changes nothing.
    pub fn check(&self) -> Vec<Finding> {
        let mut findings = Vec::new();
        let player = judged(self.judged_player(), &mut findings);
        let stems = noted(self.deck_stems(), &mut findings);
        let mut decks = Vec::new();
        for stem in stems.iter().flatten() {
            let deck = judged(self.judged_deck(stem), &mut findings);
            decks.extend(deck.map(|deck| (stem.clone(), deck)));
        }
        findings.extend(one_key(&decks));
        if let (Some(player), Some(stems)) = (player, stems) {
            findings.extend(strangers(&player, &stems));
        }
        for stem in noted(self.launcher_stems(), &mut findings).unwrap_or_default() {
            let file = format!("launchers/{stem}.ron");
            findings.extend(self.check_file(&file, judge_launcher_file));
        }
        findings.extend(self.check_file("table.ron", judge_table));
        let copies = noted(self.copies(), &mut findings).unwrap_or_default();
        findings.extend(copies.iter().map(left_beside));
        for file in noted(disk::stems(self.root(), ""), &mut findings).unwrap_or_default() {
            let is_unknown = file.strip_suffix(".ron").is_some() && !FILES.contains(&&*file);
            let (what, hint) = if copies.iter().any(|copy| copy.file == file) {
                continue;
            } else if file.contains(UNREADABLE) {
                let hint = "put it right and give it its old name again, or delete it";
                ("this could not be read and was moved aside", hint)
            } else if is_unknown {
                ("nothing reads this file", "take over what is new in it, then delete it")
            } else {
                continue;
            };
            findings.push(Finding::warning(what).at(Place::file(file)).hint(hint));
        }
        let journal = noted(self.journal_findings(), &mut findings);
        findings.extend(journal.unwrap_or_default());
        findings
    }
}

//! Checks of meaning: what in a deck or a player file cannot be right. What a coach would object to
//! is judged in `receive`.
//!
//! Text-level mistakes (unknown fields, misspelt words, duplicate keys) are found by `store`, which
//! also gives these findings their place: each names the path of the value it is about.

use crate::base::Finding;
use crate::deck::{Deck, FORMAT, Opponent, Plan, Player, Switch};
use crate::game::{Depth, HowOften, Pace, Serve, Weight};

/// Serves of one opponent, and switches against them: whoever was studied for years has forty.
const MOST_OF_ONE: usize = 1000;

/// A finding and the path of the value it is about, outermost name first: `["plan",
/// "bh-short-fh"]`. A serve is named by its id, a switch by its name.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Judged {
    pub path: Vec<String>,
    pub finding: Finding,
}

/// Notes a finding about the value that this path leads to.
fn note(found: &mut Vec<Judged>, path: &[&str], finding: Finding) {
    let path = path.iter().map(ToString::to_string).collect();
    found.push(Judged { path, finding });
}

/// Everything about a deck that cannot be right.
pub fn of_deck(deck: &Deck) -> Vec<Judged> {
    let mut found = judge_format(deck.format);
    if deck.opponent.trim().is_empty() {
        note(&mut found, &["opponent"], Finding::error("the opponent has no name"));
    }
    if deck.key.is_empty() || deck.key.contains(['/', '\n']) {
        let finding = Finding::error("`key` must be a short word without `/`")
            .hint("six letters and digits; it names this opponent's history, so never change it");
        note(&mut found, &["key"], finding);
    }
    for (field, many) in [("serves", deck.serves.len()), ("switches", deck.switches.len())] {
        if many > MOST_OF_ONE {
            let finding = Finding::error(format!("{many} {field}; {MOST_OF_ONE} at most"))
                .hint("nobody has as many; keep what you meet, or bring it back from a copy");
            note(&mut found, &[field], finding);
            return found;
        }
    }
    for (place, serve) in deck.serves.iter().enumerate() {
        let id = serve.id.as_str();
        judge_serve(&mut found, serve);
        if deck.serves[..place].iter().any(|other| other.id == serve.id) {
            let finding = Finding::error(format!("a second serve is called `{id}`"))
                .hint("every id is unique in its deck; rename one of the two");
            note(&mut found, &["serves", id, "id"], finding);
        }
        judge_twin(&mut found, deck, serve);
    }
    judge_plan(&mut found, &["plan"], deck, &deck.plan);
    for (place, switch) in deck.switches.iter().enumerate() {
        if deck.switches[..place].iter().any(|other| other.name == switch.name) {
            let finding = Finding::error(format!("a second switch is called `{}`", switch.name))
                .hint("every switch has a name of its own");
            note(&mut found, &["switches", &switch.name, "name"], finding);
        }
        judge_changes(&mut found, deck, switch);
    }
    found
}

/// Everything about a player file that cannot be right.
pub fn of_player(player: &Player) -> Vec<Judged> {
    let mut found = judge_format(player.format);
    for (field, bound, value) in [
        ("minutes_a_day", Player::MINUTES, player.minutes_a_day),
        ("day_begins", Player::DAY_BEGINS, f64::from(player.day_begins)),
        ("wanted_share", Player::WANTED_SHARE, player.wanted_share),
    ] {
        if let Err(error) = bound.check(value) {
            note(&mut found, &[field], Finding::error(error.to_string()));
        }
    }
    if player.days_off.len() >= 7 {
        let finding = Finding::error("every day of the week is a day off");
        note(&mut found, &["days_off"], finding);
    }
    for (place, owned) in
        player.repertoire.iter().enumerate().filter(|(_, owned)| owned.of_ten > 10)
    {
        let finding = Finding::error(format!("{} of ten cannot land", owned.of_ten))
            .hint("a whole number from 0 to 10");
        note(&mut found, &["repertoire", &place.to_string(), "of_ten"], finding);
    }
    for event in &player.events {
        for Opponent { deck, likely } in &event.opponents {
            if !(*likely > 0.0 && *likely <= 1.0) {
                let what = format!("`{deck}` is likely {likely}, allowed is above 0 to 1");
                note(&mut found, &["events", &event.name, "opponents"], Finding::error(what));
            }
        }
    }
    found
}

fn judge_format(format: u32) -> Vec<Judged> {
    let mut found = Vec::new();
    if format > FORMAT {
        let what =
            format!("format {format} is newer than this program, which reads up to {FORMAT}");
        let finding = Finding::error(what).hint("use a newer secondball; nothing was changed");
        note(&mut found, &["format"], finding);
    }
    found
}

fn known_serves(deck: &Deck) -> String {
    let known: Vec<_> = deck.serves.iter().map(|serve| serve.id.as_str()).collect();
    if known.is_empty() {
        "the deck has no serves yet".to_owned()
    } else {
        format!("the deck has {}", known.join(", "))
    }
}

fn judge_serve(found: &mut Vec<Judged>, serve: &Serve) {
    let id = serve.id.as_str();
    if let Some(Err(error)) = serve.weight.map(Weight::check) {
        note(found, &["serves", id, "weight"], Finding::error(error.to_string()));
    }
    if let Some(Err(error)) = serve.how_often.map(HowOften::check) {
        note(found, &["serves", id, "how_often"], Finding::error(error.to_string()));
    }
    if serve.breaks.is_some() && serve.spin.is_some_and(|spin| !spin.is_sideways()) {
        let finding = Finding::warning(format!("`{id}` breaks to a side but has no sidespin"))
            .hint("leave `breaks` out, or say side_backspin, side_topspin, sidespin or corkscrew");
        note(found, &["serves", id, "breaks"], finding);
    }
    if serve.depth == Some(Depth::Short) && serve.pace == Some(Pace::Fast) {
        let what = format!("`{id}` is short and fast: a fast ball does not bounce twice");
        let finding = Finding::warning(what).hint("leave the pace out, or make it long");
        note(found, &["serves", id, "pace"], finding);
    }
}

fn judge_twin(found: &mut Vec<Judged>, deck: &Deck, serve: &Serve) {
    let Some(twin) = &serve.looks_like else { return };
    let what = match deck.serve(twin) {
        None => format!("`{}` looks like `{twin}`, which is not in this deck", serve.id),
        Some(_) if *twin == serve.id => format!("`{twin}` looks like itself"),
        Some(_) => return,
    };
    let finding = Finding::error(what).hint(known_serves(deck));
    note(found, &["serves", serve.id.as_str(), "looks_like"], finding);
}

fn judge_changes(found: &mut Vec<Judged>, deck: &Deck, switch: &Switch) {
    let Switch { name, changes, .. } = switch;
    let path = ["switches", name, "changes"];
    if changes.is_empty() {
        let finding = Finding::error(format!("the switch `{name}` changes nothing"))
            .hint("name at least one serve and its new receive");
        note(found, &path, finding);
    }
    judge_plan(found, &path, deck, changes);
    for (id, receive) in changes {
        if deck.plan.get(id).is_some_and(|old| old.text() == receive.text()) {
            let what =
                format!("the switch `{name}` keeps the receive `{id}` already has in the plan");
            note(found, &["switches", name, "changes", id.as_str()], Finding::warning(what));
        }
    }
    if changes.len() > 2 {
        let what = format!("the switch `{name}` changes {} receives at once", changes.len());
        let finding =
            Finding::advice(what).hint("one change is easiest to bring out under pressure");
        note(found, &path, finding);
    }
}

fn judge_plan(found: &mut Vec<Judged>, path: &[&str], deck: &Deck, plan: &Plan) {
    for id in plan.keys().filter(|id| deck.serve(id).is_none()) {
        let what = format!("a receive for `{id}`, which is not in this deck");
        let finding = Finding::error(what).hint(known_serves(deck));
        note(found, &[path, &[id.as_str()]].concat(), finding);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_plan_for_a_serve_that_is_not_there_is_an_error() {
        let mut deck = Deck::new("Invented", "abc234".to_owned());
        deck.plan.insert("ghost".parse().unwrap(), "forehand push".parse().unwrap());
        let judged = of_deck(&deck);
        assert_eq!(judged.len(), 1);
        assert_eq!(judged[0].path, ["plan", "ghost"]);
        assert_eq!(judged[0].finding.gravity, crate::base::Gravity::Error);
    }

    #[test]
    fn numbers_out_of_range_are_found_in_the_player_file() {
        let mut player = Player::new("Invented", crate::game::Hand::Right);
        assert!(of_player(&player).is_empty());
        player.minutes_a_day = -3.0;
        player.wanted_share = f64::NAN;
        player.day_begins = 24;
        let paths: Vec<_> =
            of_player(&player).into_iter().map(|judged| judged.path[0].clone()).collect();
        assert_eq!(paths, ["minutes_a_day", "day_begins", "wanted_share"]);
    }
}

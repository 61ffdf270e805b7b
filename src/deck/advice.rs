//! Checks of meaning: what in a deck or a player file cannot be right, and what a coach would object to.
//!
//! Text-level mistakes (unknown fields, misspelt words, duplicate keys) are found by `store`, which also
//! gives these findings their place: each names the path of the value it is about.

use crate::base::Finding;
use crate::deck::{Deck, FORMAT, Player};
use crate::game::{Depth, Pace, Receive, Serve, Spin, Stroke};

/// A finding and the path of the value it is about, outermost name first: `["plan", "bh-short-fh"]`.
/// A serve is named by its id, a switch by its name.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Judged {
    /// Where.
    pub path: Vec<String>,
    /// What.
    pub finding: Finding,
}

/// Collects findings.
#[derive(Default)]
struct Judge(Vec<Judged>);

impl Judge {
    fn say<const N: usize>(&mut self, path: [&str; N], finding: Finding) {
        self.0.push(Judged { path: path.map(str::to_owned).into(), finding });
    }
}

/// Everything about a deck that cannot be right or that a coach would object to.
pub fn of_deck(deck: &Deck) -> Vec<Judged> {
    let mut judge = Judge::default();
    if deck.format > FORMAT {
        judge.say(["format"], newer_format(deck.format));
    }
    if deck.opponent.trim().is_empty() {
        judge.say(["opponent"], Finding::error("the opponent has no name"));
    }
    if deck.key.is_empty() || deck.key.contains(['/', '\n']) {
        judge.say(
            ["key"],
            Finding::error("`key` must be a short word without `/`").hint(
                "six letters and digits; it names this opponent's history, so never change it",
            ),
        );
    }
    for (place, serve) in deck.serves.iter().enumerate() {
        serve_alone(&mut judge, serve);
        if deck.serves[..place].iter().any(|other| other.id == serve.id) {
            judge.say(
                ["serves", serve.id.as_str(), "id"],
                Finding::error(format!("a second serve is called `{}`", serve.id))
                    .hint("every id is unique in its deck; rename one of the two"),
            );
        }
        if let Some(twin) = &serve.looks_like {
            let what = match deck.serve(twin) {
                None => format!("`{}` looks like `{twin}`, which is not in this deck", serve.id),
                Some(_) if *twin == serve.id => format!("`{twin}` looks like itself"),
                Some(_) => continue,
            };
            judge.say(
                ["serves", serve.id.as_str(), "looks_like"],
                Finding::error(what).hint(known_serves(deck)),
            );
        }
    }
    plan(&mut judge, deck, &["plan"], &deck.plan);
    for (place, switch) in deck.switches.iter().enumerate() {
        if deck.switches[..place].iter().any(|other| other.name == switch.name) {
            judge.say(
                ["switches", &switch.name, "name"],
                Finding::error(format!("a second switch is called `{}`", switch.name))
                    .hint("every switch has a name of its own"),
            );
        }
        if switch.changes.is_empty() {
            judge.say(
                ["switches", &switch.name, "changes"],
                Finding::error(format!("the switch `{}` changes nothing", switch.name))
                    .hint("name at least one serve and its new receive"),
            );
        }
        plan(&mut judge, deck, &["switches", &switch.name, "changes"], &switch.changes);
        for (id, receive) in &switch.changes {
            if deck.plan.get(id).is_some_and(|old| old.text() == receive.text()) {
                judge.say(
                    ["switches", &switch.name, "changes", id.as_str()],
                    Finding::warning(format!(
                        "the switch `{}` keeps the receive `{id}` already has in the plan",
                        switch.name
                    )),
                );
            }
        }
        if switch.changes.len() > 2 {
            judge.say(
                ["switches", &switch.name, "changes"],
                Finding::advice(format!(
                    "the switch `{}` changes {} receives at once",
                    switch.name,
                    switch.changes.len()
                ))
                .hint("one change is easiest to bring out under pressure"),
            );
        }
    }
    judge.0
}

/// Everything about a player file that cannot be right.
pub fn of_player(player: &Player) -> Vec<Judged> {
    let mut judge = Judge::default();
    if player.format > FORMAT {
        judge.say(["format"], newer_format(player.format));
    }
    for (field, bound, value) in [
        ("minutes_a_day", Player::MINUTES, player.minutes_a_day),
        ("rollover_hour", Player::ROLLOVER, f64::from(player.rollover_hour)),
        ("target", Player::TARGET, player.target),
    ] {
        if let Err(error) = bound.check(value) {
            judge.say([field], Finding::error(error.to_string()));
        }
    }
    if player.days_off.len() >= 7 {
        judge.say(["days_off"], Finding::error("every day of the week is a day off"));
    }
    for (place, owned) in player.repertoire.iter().enumerate() {
        let place = place.to_string();
        if owned.of_ten > 10 {
            judge.say(
                ["repertoire", &place, "of_ten"],
                Finding::error(format!("{} of ten cannot land", owned.of_ten))
                    .hint("a whole number from 0 to 10"),
            );
        }
    }
    for event in &player.events {
        for opponent in &event.opponents {
            if !(opponent.likely > 0.0 && opponent.likely <= 1.0) {
                judge.say(
                    ["events", &event.name, "opponents"],
                    Finding::error(format!(
                        "`{}` is likely {}, allowed is above 0 to 1",
                        opponent.deck, opponent.likely
                    )),
                );
            }
        }
    }
    judge.0
}

fn newer_format(format: u32) -> Finding {
    Finding::error(format!(
        "format {format} is newer than this program, which reads up to {FORMAT}"
    ))
    .hint("use a newer secondball; nothing was changed")
}

fn known_serves(deck: &Deck) -> String {
    let known: Vec<_> = deck.serves.iter().map(|serve| serve.id.as_str()).collect();
    if known.is_empty() {
        "the deck has no serves yet".to_owned()
    } else {
        format!("the deck has {}", known.join(", "))
    }
}

fn serve_alone(judge: &mut Judge, serve: &Serve) {
    let id = serve.id.as_str();
    if let Some(Err(error)) = serve.weight.map(crate::game::Weight::check) {
        judge.say(["serves", id, "weight"], Finding::error(error.to_string()));
    }
    if let Some(Err(error)) = serve.how_often.map(crate::game::HowOften::check) {
        judge.say(["serves", id, "how_often"], Finding::error(error.to_string()));
    }
    if serve.breaks.is_some() && serve.spin.is_some_and(|spin| !spin.is_sideways()) {
        judge.say(
            ["serves", id, "breaks"],
            Finding::warning(format!("`{id}` breaks to a side but has no side spin")).hint(
                "leave `breaks` out, or say side_backspin, side_topspin, sidespin or corkscrew",
            ),
        );
    }
    if serve.depth == Some(Depth::Short) && serve.pace == Some(Pace::Fast) {
        judge.say(
            ["serves", id, "pace"],
            Finding::warning(format!(
                "`{id}` is short and fast: a fast ball does not bounce twice"
            ))
            .hint("leave the pace out, or make it long"),
        );
    }
}

fn plan(judge: &mut Judge, deck: &Deck, path: &[&str], plan: &crate::deck::Plan) {
    for (id, receive) in plan {
        let mut full: Vec<String> = path.iter().map(|&name| name.to_owned()).collect();
        full.push(id.to_string());
        let finding = match deck.serve(id) {
            None => Some(
                Finding::error(format!("a receive for `{id}`, which is not in this deck"))
                    .hint(known_serves(deck)),
            ),
            Some(serve) => objection(serve, receive),
        };
        judge.0.extend(finding.map(|finding| Judged { path: full, finding }));
    }
}

/// What a coach would object to in answering this serve with this receive (common practice).
pub fn objection(serve: &Serve, receive: &Receive) -> Option<Finding> {
    let id = &serve.id;
    let is_long = serve.depth == Some(Depth::Long);
    let is_short = serve.depth == Some(Depth::Short);
    let is_fast_long = is_long && serve.pace == Some(Pace::Fast);
    let stroke = receive.stroke;
    let over_the_table = matches!(
        stroke,
        Stroke::Touch | Stroke::Flick | Stroke::BananaFlick | Stroke::ReverseFlick
    );
    let advice = |what: String, hint: &str| Some(Finding::warning(what).hint(hint));
    if is_fast_long && over_the_table {
        return advice(
            format!("a {stroke} against `{id}`, which is fast and long"),
            "there is no time over the table; block, drive or loop it",
        );
    }
    if is_long && stroke == Stroke::Touch {
        return advice(
            format!("a touch against `{id}`, which is long"),
            "a long ball cannot be kept short; push it long or attack it",
        );
    }
    if is_short && matches!(stroke, Stroke::SlowLoop | Stroke::FastLoop | Stroke::Chop) {
        return advice(
            format!("a {stroke} against `{id}`, which is short"),
            "the table is in the way; touch, push or flick it",
        );
    }
    if serve.spin.is_some_and(Spin::has_topspin)
        && matches!(stroke, Stroke::Push | Stroke::SidespinPush | Stroke::Touch)
    {
        return advice(
            format!("a {stroke} against `{id}`, which has topspin"),
            "it will pop up; block, flick or drive it",
        );
    }
    if serve.spin.is_some_and(Spin::has_backspin) && stroke == Stroke::Block {
        return advice(
            format!("a block against `{id}`, which has backspin"),
            "it will drop into the net; push, flick or loop it",
        );
    }
    None
}

#[cfg(test)]
mod tests {
    use super::*;

    fn serve(depth: Depth, pace: Option<Pace>, spin: Spin) -> Serve {
        let mut serve = Serve::unknown("a".parse().unwrap());
        (serve.depth, serve.pace, serve.spin) = (Some(depth), pace, Some(spin));
        serve
    }

    #[test]
    fn a_coach_objects_to_what_cannot_work() {
        let object =
            |serve: &Serve, receive: &str| objection(serve, &receive.parse().unwrap()).is_some();
        let fast_long = serve(Depth::Long, Some(Pace::Fast), Spin::Topspin);
        let short_back = serve(Depth::Short, None, Spin::Backspin);
        assert!(object(&fast_long, "forehand touch to middle short"));
        assert!(object(&short_back, "forehand fast_loop"));
        assert!(object(&short_back, "backhand block"));
        assert!(object(&fast_long, "backhand push to middle long"));
        assert!(!object(&fast_long, "backhand block to middle long"));
        assert!(!object(&short_back, "forehand push early to middle short"));
    }

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
        player.target = f64::NAN;
        player.rollover_hour = 24;
        let paths: Vec<_> =
            of_player(&player).into_iter().map(|judged| judged.path[0].clone()).collect();
        assert_eq!(paths, ["minutes_a_day", "rollover_hour", "target"]);
    }
}

//! Every edit of a deck, pure: a serve added, changed, retired or renamed; a receive, the safe one,
//! a switch set or taken away.
//!
//! Flags and questions both end here, which is why they give the same file. Lanes are given as the
//! player names them and kept as the deck's own receiver does. Writing the file is `store`'s work.

mod plans;
mod serves;

pub use plans::{add_to_switch, find_switch, remove_switch, set_receive, set_safe};
pub(super) use serves::every_id;
pub use serves::{
    add_serve, change_serve, find_serve, missing_break, rename_serve, retire_serve, same_serve,
    serve_of_line,
};

#[cfg(test)]
mod tests {
    use super::*;
    use crate::deck::{Deck, ServeLine};
    use crate::game::{Hand, Lane, Receive, Serve, ServeId, Side};

    fn line(text: &str) -> ServeLine {
        ServeLine::read(text).unwrap()
    }

    fn id(text: &str) -> ServeId {
        text.parse().unwrap()
    }

    fn deck() -> Deck {
        let mut deck = Deck::new("Invented", "abc234".to_owned());
        deck.hand = Some(Hand::Left);
        for text in ["id=one motion=backhand spin=side-backspin lane=forehand", "id=two twin=one"] {
            let serve = serve_of_line(&deck, &line(text)).unwrap();
            add_serve(&mut deck, &serve, Hand::Right).unwrap();
        }
        set_receive(&mut deck, &id("one"), "forehand push to middle short".parse().unwrap());
        deck
    }

    #[test]
    fn a_twin_is_a_twin_both_ways() {
        let deck = deck();
        assert_eq!(deck.serve(&id("one")).unwrap().looks_like, Some(id("two")));
        assert!(serve_of_line(&deck, &line("id=three looks_like=ghost")).is_err());
    }

    #[test]
    fn the_missing_break_comes_from_motion_and_hand() {
        let deck = deck();
        let one = deck.serve(&id("one")).unwrap();
        assert_eq!(missing_break(&deck, one), Some(Side::Left));
        assert_eq!(missing_break(&deck, deck.serve(&id("two")).unwrap()), None);
    }

    #[test]
    fn an_id_in_use_is_refused_with_a_free_one() {
        let mut deck = deck();
        let again = Serve::unknown(id("one"));
        let finding = add_serve(&mut deck, &again, Hand::Right).unwrap_err();
        assert!(finding.hint.unwrap().contains("`id=one-2`"));
        rename_serve(&mut deck, &id("one"), &id("uno")).unwrap();
        assert!(
            add_serve(&mut deck, &again, Hand::Right).is_err(),
            "the old name keeps its history"
        );
    }

    #[test]
    fn a_renamed_serve_keeps_its_plan_its_switches_its_twin_and_its_old_name() {
        let mut deck = deck();
        let receive: Receive = "forehand push to backhand long".parse().unwrap();
        add_to_switch(&mut deck, "long push", Some("steps in"), &id("one"), receive.clone())
            .unwrap();
        rename_serve(&mut deck, &id("one"), &id("uno")).unwrap();
        assert!(crate::deck::advice::of_deck(&deck).is_empty());
        assert_eq!(deck.switches[0].changes[&id("uno")], receive);
        assert_eq!(deck.serve(&id("two")).unwrap().looks_like, Some(id("uno")));
        assert_eq!(deck.serve(&id("uno")).unwrap().was, [id("one")]);
        rename_serve(&mut deck, &id("uno"), &id("one")).unwrap();
        assert_eq!(deck.serve(&id("one")).unwrap().was, [id("uno")]);
    }

    #[test]
    fn lanes_are_named_by_the_player_and_kept_as_the_deck_writes_them() {
        let mut deck = deck();
        deck.seen_against = Some(Hand::Right);
        change_serve(&mut deck, &id("two"), &line("lane=forehand"), Hand::Left).unwrap();
        assert_eq!(deck.serve(&id("two")).unwrap().lane, Some(Lane::Backhand));
        change_serve(&mut deck, &id("two"), &line("depth=short"), Hand::Left).unwrap();
        assert_eq!(deck.serve(&id("two")).unwrap().lane, Some(Lane::Backhand));
    }

    #[test]
    fn the_reason_stays_with_the_receive_it_was_written_for() {
        let mut deck = deck();
        let push = |why: Option<&str>| Receive {
            why: why.map(str::to_owned),
            ..deck_receive("forehand push to middle short")
        };
        set_receive(&mut deck, &id("one"), push(Some("takes the loop away")));
        set_receive(&mut deck, &id("one"), push(None));
        assert_eq!(deck.plan[&id("one")].why.as_deref(), Some("takes the loop away"));
        set_receive(&mut deck, &id("one"), deck_receive("forehand flick to elbow"));
        assert_eq!(deck.plan[&id("one")].why, None);
    }

    fn deck_receive(text: &str) -> Receive {
        text.parse().unwrap()
    }

    #[test]
    fn a_serve_is_found_by_the_beginning_of_its_name_and_a_typing_error_is_hinted() {
        let deck = deck();
        assert_eq!(find_serve(&deck, "tw").unwrap(), id("two"));
        let finding = find_serve(&deck, "onee").unwrap_err();
        assert_eq!(finding.hint.as_deref(), Some("did you mean `one`?"));
    }

    #[test]
    fn a_serve_is_found_by_any_word_of_its_name_that_no_other_has() {
        let mut deck = deck();
        deck.serves[0].id = id("pendulum-short-fh");
        deck.serves[1].id = id("pendulum-fast-bh");
        assert_eq!(find_serve(&deck, "short").unwrap(), id("pendulum-short-fh"));
        assert_eq!(find_serve(&deck, "Fast BH").unwrap(), id("pendulum-fast-bh"));
        assert!(find_serve(&deck, "pendulum").is_err());
        deck.serves[1].id = id("short-bh");
        assert_eq!(find_serve(&deck, "short").unwrap(), id("short-bh"));
    }

    #[test]
    fn what_is_retired_can_come_back_once() {
        let mut deck = deck();
        retire_serve(&mut deck, &id("one"), true).unwrap();
        assert!(retire_serve(&mut deck, &id("one"), true).is_err());
        retire_serve(&mut deck, &id("one"), false).unwrap();
        assert_eq!(deck.active().count(), 2);
    }
}

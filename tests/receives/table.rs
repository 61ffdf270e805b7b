//! The tables of two coaches beside this file: what must be among the first three, and what never.

use secondball::cli::them::Them;
use secondball::deck::{Deck, Owned, Player};
use secondball::game::{Grip, Hand, Receive, Side};

use super::said;
use secondball::flight::Constants;
use secondball::receive::{Bats, Meeting};

const TABLES: [&str; 2] = [include_str!("coach.txt"), include_str!("second.txt")];

/// One line of it.
struct Line<'t> {
    cells: [&'t str; 6],
}

fn lines() -> impl Iterator<Item = Line<'static>> {
    let is_line = |line: &&str| !line.is_empty() && !line.starts_with(['#', '[']);
    TABLES.iter().flat_map(|table| table.lines()).filter(is_line).map(|line| {
        let cells: Vec<_> = line.split('|').map(str::trim).collect();
        Line { cells: cells.try_into().unwrap() }
    })
}

/// The words of flags, quotes holding some together.
fn flags(words: &str) -> Vec<String> {
    crate::hints::words(&format!("secondball {words}"))
}

/// The opponent that flags tell of.
fn opponent(words: &str) -> Deck {
    #[derive(clap::Parser)]
    struct Flags {
        #[command(flatten)]
        them: Them,
    }
    let words = std::iter::once("x".to_owned()).chain(flags(words));
    let mut deck = Deck::new("Invented", "abc234".to_owned());
    <Flags as clap::Parser>::parse_from(words).them.write_into(&mut deck);
    deck
}

fn player(words: &str) -> Player {
    let mut player = Player::new("Invented", Hand::Right);
    let mut words = flags(words).into_iter();
    while let Some(flag) = words.next() {
        match flag.as_str() {
            "--steps-around" => player.steps_around = Some(true),
            "--stays" => player.steps_around = Some(false),
            "--hand" => player.hand = words.next().unwrap().parse().unwrap(),
            "--stands" => player.stands = Some(words.next().unwrap().parse().unwrap()),
            "--grip" => player.grip = Some(words.next().unwrap().parse::<Grip>().unwrap()),
            "--own" => {
                let own = words.next().unwrap();
                let (receive, of_ten) = own.split_once('=').unwrap();
                let receive: Receive = receive.parse().unwrap();
                let of_ten = of_ten.parse().unwrap();
                player.repertoire.push(Owned::new(receive.wing.unwrap(), receive.stroke, of_ten));
            }
            other => panic!("{other}"),
        }
    }
    player
}

/// Whether a receive has every part that the wanted one names.
fn is_of(receive: &Receive, wanted: &str) -> bool {
    let wanted: Receive = wanted.trim().parse().unwrap();
    wanted.stroke == receive.stroke
        && wanted.wing.is_none_or(|wing| receive.wing == Some(wing))
        && wanted.weight.is_none_or(|weight| receive.weight == Some(weight))
        && wanted.to.lane.is_none_or(|lane| receive.to.lane == Some(lane))
        && wanted.to.depth.is_none_or(|depth| receive.to.depth == Some(depth))
}

#[test]
fn a_coach_finds_what_he_would_say_among_the_first_three_and_never_what_he_would_shout_at() {
    let mut wrong = Vec::new();
    for Line { cells: [words, them, own, first, never, source] } in lines() {
        let (mut deck, player) = (opponent(them), player(own));
        let serve = said(words);
        deck.serves.push(serve.clone());
        let bats = Bats::fly(&deck, Some(&player), &Constants::default());
        let bats = Some(&bats);
        let meeting = Meeting { serve: &serve, deck: &deck, player: Some(&player), bats };
        let all: Vec<Receive> = meeting.proposals(20).into_iter().map(|one| one.receive).collect();
        let listed = || all.iter().take(3).map(Receive::text).collect::<Vec<_>>().join("; ");
        for wanted in first.split(';') {
            let is_there = |receive: &Receive| wanted.split(" or ").any(|one| is_of(receive, one));
            if !all.iter().take(3).any(is_there) {
                wrong.push(format!("{words} {them} {own}: no {wanted} among {}", listed()));
            }
        }
        for shouted in never.split(';').map(str::trim) {
            let (most, receive) = match shouted.split_once(' ') {
                Some(("first", receive)) => (1, receive),
                Some(("early", receive)) => (3, receive),
                _ => (20, shouted),
            };
            if let Some(offered) = all.iter().take(most).find(|one| is_of(one, receive)) {
                wrong.push(format!("{words} {them} {own}: offers {}", offered.text()));
            }
        }
        assert!(!source.is_empty(), "{words}");
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
    assert!(lines().count() >= 150);
}

#[test]
fn a_coach_objects_with_the_way_out_of_the_trade() {
    // Common practice, but where the coach's table gives a source for the same ball.
    const LONG_PIMPLES: &str = "--rubbers \"long pimples on the backhand\"";
    for (words, them, receive, ways) in [
        ("short heavy backspin", "", "drive to middle long", "push it"),
        ("short heavy backspin", "", "block to middle long", "push it"),
        ("long backspin", "", "block to middle long", "loop it with spin or push it on the rise"),
        ("slow long backspin", "", "push to middle short", "loop it with spin"),
        ("short no spin", "", "push to middle short", "flick it"),
        ("long topspin", "", "banana flick to elbow long", "drive it"),
        ("short to the middle", "", "banana flick to elbow long", "push it"),
        ("fast long topspin", "", "flick to elbow long", "block it"),
        ("fast long topspin", "", "touch to middle short", "block it"),
        ("fast long topspin to the wide backhand", "", "fast loop to elbow long", "block it"),
        ("short backspin", LONG_PIMPLES, "heavy push to wide backhand long", "push it lightly"),
        ("long backspin", "", "push to wide backhand long", "loop it with spin"),
        ("short topspin", "", "push to middle long", "flick it"),
        ("short backspin", "--likes short", "touch to middle short", "push it on the rise, deep"),
    ] {
        let (serve, deck) = (said(words), opponent(them));
        let objection = Meeting::new(&serve, &deck).objection(&receive.parse().unwrap());
        let hint = objection.map(|objection| objection.hint()).unwrap_or_default();
        assert!(hint.contains(ways), "{words}, {receive}: {hint}");
    }
    // What the hints send to is not objected to.
    for (words, receive) in [
        ("long backspin", "push early to wide backhand long"),
        ("short no spin", "push heavy to elbow long"),
        ("short backspin", "push light to wide backhand long"),
        ("fast long topspin to the wide backhand", "slow loop to elbow long"),
    ] {
        let (serve, deck) = (said(words), opponent(LONG_PIMPLES));
        assert!(Meeting::new(&serve, &deck).passes(&receive.parse().unwrap()), "{receive}");
    }
}

#[test]
fn a_side_spin_is_aimed_against_by_a_foot_at_most_when_attacked() {
    // Which break in or away from a right-hander: L. Hodges, tip of 14 February 2011,
    // tabletenniscoaching.com/TipOfTheWeek?page=135; the reverse pendulum, 23 April 2012, page=133.
    // A ball that breaks to one side leaves the bat to the other. A foot: H1; a hand.s width is
    // some 9 cm (practice). A left-hander's are the other way round.
    for (motion, aims) in [
        ("pendulum motion", Side::Left),
        ("reverse pendulum motion", Side::Right),
        ("tomahawk motion", Side::Right),
        ("backhand motion", Side::Right),
    ] {
        for (hand, aims) in [(Hand::Right, aims), (Hand::Left, aims.other())] {
            let deck = Deck { hand: Some(hand), ..opponent("") };
            for (ball, stroke) in [("short", "flick"), ("long", "drive"), ("long", "slow loop")] {
                let serve = said(&format!("{ball} to the middle, heavy side-topspin, {motion}"));
                let aim = Meeting::new(&serve, &deck)
                    .aim(&format!("{stroke} to elbow long").parse().unwrap())
                    .unwrap();
                assert_eq!(aim.side, aims, "{motion} {hand}");
                assert!(f64::from(aim.hands) * 0.09 <= 0.305, "{motion}: {} hands", aim.hands);
            }
        }
    }
}

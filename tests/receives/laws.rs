//! What holds for every serve that words can describe.

use secondball::deck::{Deck, Player};
use secondball::game::{
    Depth, From, Hand, Lane, Motion, Pace, Receive, Serve, Spin, Stroke, Style, Target, ThirdBall,
    Weight, WeightName, Wing,
};
use secondball::receive::Meeting;

fn open<T: Copy>(all: &[T]) -> Vec<Option<T>> {
    all.iter().map(|one| Some(*one)).chain([None]).collect()
}

/// Combinations of depth, spin, weight, pace and lane, each of them unknown, too.
fn serves() -> Vec<Serve> {
    let mut serves = Vec::new();
    for depth in open(Depth::ALL) {
        for spin in open(Spin::ALL) {
            for weight in open(WeightName::ALL) {
                for pace in open(&[Pace::Slow, Pace::Fast]) {
                    for lane in open(Lane::ALL) {
                        let weight = weight.map(Weight::from);
                        serves.push(Serve { depth, spin, weight, pace, lane, ..Serve::default() });
                    }
                }
            }
        }
    }
    serves
}

/// The same of ordinary pace and unknown weight: enough for each kind of opponent.
fn plain_serves(deck: &Deck) -> Vec<Serve> {
    let is_plain = |serve: &Serve| serve.weight.is_none() && serve.pace.is_none();
    let is_of = *deck == Deck::new("Invented", "abc234".to_owned());
    serves().into_iter().filter(|serve| is_of || is_plain(serve)).collect()
}

/// Opponents of every kind the judgement asks about.
fn opponents() -> Vec<Deck> {
    let plain = || Deck::new("Invented", "abc234".to_owned());
    let mut all = vec![plain()];
    all.extend(Style::ALL.iter().map(|style| Deck { style: Some(*style), ..plain() }));
    all.extend(ThirdBall::ALL.iter().map(|ball| Deck { likes: Some(*ball), ..plain() }));
    let rubbers = Some("long pimples on the backhand".to_owned());
    all.push(Deck { rubbers, ..plain() });
    all
}

/// Receives of every stroke to every target.
fn receives() -> Vec<Receive> {
    let mut receives = Vec::new();
    for &stroke in Stroke::ALL {
        for depth in open(&[Depth::Short, Depth::Long]) {
            for lane in [None, Some(Lane::WideBackhand)] {
                for weight in [None, Some(WeightName::Heavy)] {
                    let to = Target { lane, depth };
                    receives.push(Receive { weight, to, ..Receive::with_stroke(stroke) });
                }
            }
        }
    }
    receives
}

#[test]
fn nothing_is_proposed_that_the_same_judgement_objects_to() {
    let player = Player::new("Invented", Hand::Right);
    let mut few = Vec::new();
    for deck in opponents() {
        for serve in plain_serves(&deck) {
            let meeting = Meeting { serve: &serve, deck: &deck, player: Some(&player), bats: None };
            let proposals = meeting.proposals(5);
            for one in &proposals {
                assert!(meeting.passes(&one.receive), "{}: {}", serve.shown(), one.receive.text());
                assert!(meeting.reaches(&one.receive));
            }
            let is_known = serve.depth.is_some() && serve.spin.is_some();
            if proposals.len() < if is_known && deck.likes.is_none() { 3 } else { 1 } {
                few.push(format!("{}: {} {:?}", serve.shown(), proposals.len(), deck.likes));
            }
        }
    }
    few.truncate(40);
    assert!(few.is_empty(), "{}", few.join("\n"));
}

#[test]
fn no_objection_is_without_a_way_out_that_passes() {
    let mut without = Vec::new();
    for deck in opponents() {
        for serve in plain_serves(&deck) {
            let meeting = Meeting::new(&serve, &deck);
            for receive in receives() {
                let Some(objection) = meeting.objection(&receive) else { continue };
                let said = || format!("{} {:?}: {}", serve.shown(), deck.likes, receive.text());
                for way in &objection.instead {
                    assert!(meeting.passes(way), "{}: {}", said(), way.text());
                }
                without.extend(objection.instead.is_empty().then(said));
            }
        }
    }
    without.truncate(40);
    assert!(without.is_empty(), "{}", without.join("\n"));
}

#[test]
fn an_attack_on_what_is_not_known_is_right_whatever_it_turns_out_to_be() {
    let deck = Deck::new("Invented", "abc234".to_owned());
    let player = Player::new("Invented", Hand::Right);
    for serve in serves() {
        let meeting = Meeting { serve: &serve, deck: &deck, player: Some(&player), bats: None };
        let offered = meeting.proposals(8).into_iter().map(|one| one.receive);
        let attacks: Vec<Receive> = offered.filter(|receive| is_attack(receive.stroke)).collect();
        for known in one_more_known(&serve) {
            let known = Meeting { serve: &known, ..meeting };
            for receive in &attacks {
                let (here, there) = (serve.shown(), known.serve.shown());
                assert!(known.passes(receive), "{here}, {there}: {}", receive.text());
            }
        }
    }
}

#[test]
fn an_attack_on_a_serve_of_unknown_pace_is_one_on_a_fast_serve_too() {
    let deck = Deck::new("Invented", "abc234".to_owned());
    for serve in serves().into_iter().filter(|serve| serve.pace.is_none()) {
        let of = |serve: &Serve| -> Vec<Stroke> {
            let offered = Meeting::new(serve, &deck).proposals(20).into_iter();
            offered.map(|one| one.receive.stroke).filter(|stroke| is_attack(*stroke)).collect()
        };
        let fast = of(&Serve { pace: Some(Pace::Fast), ..serve.clone() });
        for stroke in of(&serve) {
            assert!(fast.contains(&stroke), "{}: {stroke}", serve.shown());
        }
    }
}

fn is_attack(stroke: Stroke) -> bool {
    use Stroke::{BananaFlick, Drive, FastLoop, Flick, ReverseFlick, SlowLoop};
    matches!(stroke, BananaFlick | Drive | FastLoop | Flick | ReverseFlick | SlowLoop)
}

/// The serve with one part known that was not.
fn one_more_known(serve: &Serve) -> Vec<Serve> {
    let mut known = Vec::new();
    if serve.depth.is_none() {
        known.extend(Depth::ALL.iter().map(|it| Serve { depth: Some(*it), ..serve.clone() }));
    }
    if serve.spin.is_none() {
        known.extend(Spin::ALL.iter().map(|it| Serve { spin: Some(*it), ..serve.clone() }));
    }
    if serve.weight.is_none() {
        let weights = WeightName::ALL.iter().map(|it| Some(Weight::from(*it)));
        known.extend(weights.map(|weight| Serve { weight, ..serve.clone() }));
    }
    if serve.pace.is_none() {
        known.extend(Pace::ALL.iter().map(|it| Serve { pace: Some(*it), ..serve.clone() }));
    }
    if serve.lane.is_none() {
        known.extend(Lane::ALL.iter().map(|it| Serve { lane: Some(*it), ..serve.clone() }));
    }
    known
}

#[test]
fn mirror_images_mirror() {
    let deck = |hand| Deck { hand: Some(hand), ..Deck::new("Invented", "abc234".to_owned()) };
    let all = |hand, motion: &Motion| -> Vec<_> {
        let (deck, player) = (deck(hand), Player::new("Invented", hand));
        let of = |serve: Serve| {
            let from = Some(From::ForehandCorner);
            let serve = Serve { motion: Some(motion.clone()), from, ..serve };
            let meeting = Meeting { serve: &serve, deck: &deck, player: Some(&player), bats: None };
            let sides = |one: &secondball::receive::Proposal| one.aim.map(|aim| aim.side);
            let of_one = |one| (sides(&one), one.receive);
            meeting.proposals(5).into_iter().map(of_one).collect::<Vec<_>>()
        };
        serves().into_iter().map(of).collect()
    };
    // Lanes and wings are the players' own, so that both hands turned round change nothing; sides
    // as they are seen turn.
    let (right, left) = (all(Hand::Right, &Motion::Pendulum), all(Hand::Left, &Motion::Pendulum));
    for (right, left) in right.iter().flatten().zip(left.iter().flatten()) {
        assert_eq!(right.1, left.1);
        assert_eq!(right.0.map(secondball::game::Side::other), left.0);
    }
}

#[test]
fn a_serve_from_one_corner_out_to_the_other_side_gives_its_angle_back() {
    // Common practice. Right-handers: the server's forehand corner lies opposite the backhand.
    let player = Player::new("Invented", Hand::Right);
    let is_given = |words: &str, hand| {
        let deck = Deck { hand: Some(hand), ..Deck::new("Invented", "abc234".to_owned()) };
        let serve = super::said(words);
        let meeting = Meeting { serve: &serve, deck: &deck, player: Some(&player), bats: None };
        let mut offered = meeting.proposals(20).into_iter().filter_map(|one| one.receive.why);
        offered.any(|why| why.contains("gives you the angle"))
    };
    for (lane, from, right, left) in [
        ("wide forehand", "forehand", true, false),
        ("wide forehand", "backhand", false, true),
        ("wide backhand", "backhand", true, false),
        ("wide backhand", "middle", false, false),
        ("middle", "forehand", false, false),
    ] {
        let words = format!("short topspin to the {lane} from={from} corner");
        let words = words.replace("middle corner", "middle");
        assert_eq!(is_given(&words, Hand::Right), right, "{words}");
        assert_eq!(is_given(&words, Hand::Left), left, "{words}, left");
    }
}

#[test]
fn a_left_hander_does_not_get_the_right_handers_list() {
    let player = Player::new("Invented", Hand::Right);
    let serve = super::said("short to the forehand, side-backspin, pendulum motion");
    let list = |hand| {
        let deck = Deck { hand: Some(hand), ..Deck::new("Invented", "abc234".to_owned()) };
        let meeting = Meeting { serve: &serve, deck: &deck, player: Some(&player), bats: None };
        meeting.proposals(5)
    };
    assert_ne!(list(Hand::Right), list(Hand::Left));
}

#[test]
fn the_ball_off_a_pendulum_is_aimed_against_where_it_leaves_the_bat() {
    // A right-hander's pendulum leaves the bat to the receiver's right: H4, "pops up and to your right".
    let deck = Deck { hand: Some(Hand::Right), ..Deck::new("Invented", "abc234".to_owned()) };
    let serve = super::said("short to the backhand, sidespin, pendulum motion");
    let aim = Meeting::new(&serve, &deck).aim(&"push to middle long".parse().unwrap()).unwrap();
    assert_eq!((aim.side, aim.line), (secondball::game::Side::Left, None));
}

#[test]
fn what_follows_counts_as_much_as_the_chance_to_make_it() {
    // H1, H5, E: a long ball is attacked, though a push lands more often.
    let deck = Deck::new("Invented", "abc234".to_owned());
    let mut player = Player::new("Invented", Hand::Right);
    for (stroke, of_ten) in [(Stroke::Push, 9), (Stroke::SlowLoop, 7)] {
        player.repertoire.push(secondball::deck::Owned::new(Wing::Backhand, stroke, of_ten));
    }
    let serve = super::said("long to the backhand, backspin");
    let meeting = Meeting { serve: &serve, deck: &deck, player: Some(&player), bats: None };
    let proposals = meeting.proposals(5);
    assert_eq!(proposals[0].receive.stroke, Stroke::SlowLoop);
    assert!(proposals.iter().filter(|one| one.is_owned()).all(|one| one.of_ten.is_some()));
    assert!(proposals.iter().any(secondball::receive::Proposal::is_owned));
    // Where the loop hardly ever lands, the push is the better ball.
    player.repertoire[1].of_ten = 2;
    let meeting = Meeting { serve: &serve, deck: &deck, player: Some(&player), bats: None };
    assert_eq!(meeting.proposals(5)[0].receive.stroke, Stroke::Push);
}

#[test]
fn a_reliability_against_one_kind_of_serve_counts_there_only() {
    let mut player = Player::new("Invented", Hand::Right);
    let push = secondball::deck::Owned::new(Wing::Backhand, Stroke::Push, 6);
    let of_kind = secondball::deck::Owned {
        depth: Some(Depth::Short),
        spin: Some(Spin::Backspin),
        of_ten: 9,
        ..push.clone()
    };
    player.repertoire = vec![push, of_kind];
    let push: Receive = "backhand push to middle long".parse().unwrap();
    let of = |words: &str| player.of_ten(&push, Some(&super::said(words)));
    assert_eq!(of("short side-backspin"), Some(9));
    assert_eq!(of("long side-backspin"), Some(6));
    assert_eq!(of("short no spin"), Some(6));
    assert_eq!(player.of_ten(&push, None), Some(6));
}

#[test]
fn what_stands_the_twin_comes_before_what_does_not() {
    let mut deck = Deck::new("Invented", "abc234".to_owned());
    for (id, words) in
        [("a", "short to the middle, light backspin"), ("b", "short to the middle, topspin")]
    {
        let serve = Serve { id: id.parse().unwrap(), ..super::said(words) };
        deck.serves.push(serve);
    }
    let player = Player::new("Invented", Hand::Right);
    let first = |deck: &Deck| {
        let meeting = Meeting { serve: &deck.serves[0], deck, player: Some(&player), bats: None };
        meeting.proposals(1).remove(0)
    };
    assert_eq!(first(&deck).stands_twin, None);
    deck.serves[0].looks_like = Some("b".parse().unwrap());
    let stands = first(&deck);
    assert_eq!(stands.stands_twin, Some("b".parse().unwrap()), "{}", stands.receive.text());
}

//! When a line of the knowledge holds: words about the serve, the receive and the two people.
//!
//! Words of one line hold together, words joined by a comma one for the other; `not:` turns one
//! round. A part of the serve that nobody has seen leaves a word open: it neither holds nor fails.

use std::str::FromStr;

use crate::game::{
    Covering, Depth, Direction, From, Grip, Lane, Pace, Receive, Spin, Style, Timing, WaitingPlace,
    WeightName, Wing,
};
use crate::receive::people::{Aim, Line, Meeting};

/// One word of a condition.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Aspect {
    Depth(Depth),
    /// The kind of spin, as far as a bat meets it.
    Spin(Spin),
    Sideways,
    UnknownSpin,
    Weight(WeightName),
    Pace(Pace),
    At(Lane),
    From(From),
    Angled,
    /// The receive: depth of its target, its own spin, timing and wing.
    To(Depth),
    With(WeightName),
    Timing(Timing),
    Wing(Wing),
    /// The target from the ball, and with the side spin.
    Across,
    Line,
    Drifts,
    /// The opponent.
    Their(Covering),
    Grip(Grip),
    Style(Style),
    Waits(WaitingPlace),
    Defends,
    Stronger,
    Weaker,
    Liked,
    Hated,
    /// Where the player stands.
    Stands(From),
}

/// Words of which one is to hold, or with `not:` none.
#[derive(Debug, Clone, PartialEq, Eq)]
struct Term {
    is_not: bool,
    any: Vec<Aspect>,
}

impl Term {
    fn holds(&self, meeting: Meeting<'_>, receive: &Receive) -> Option<bool> {
        let mut any = Some(false);
        for aspect in &self.any {
            match aspect.holds(meeting, receive) {
                Some(true) => return Some(!self.is_not),
                None => any = None,
                Some(false) => {}
            }
        }
        any.map(|any| any != self.is_not)
    }
}

/// Terms that hold together.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub(super) struct Condition(Vec<Term>);

impl Condition {
    /// Reads a line of words; none when one is not known.
    pub(super) fn read(words: &str) -> Option<Self> {
        let term = |word: &str| {
            let (is_not, rest) = word.strip_prefix("not:").map_or((false, word), |it| (true, it));
            let (about, words) = rest.split_once(':').unwrap_or(("", rest));
            let any = words.split(',').map(|word| fact(about, word)).collect::<Option<_>>()?;
            Some(Term { is_not, any })
        };
        words.split_whitespace().map(term).collect::<Option<_>>().map(Self)
    }

    /// Whether it holds for a receive; none where that hangs on what nobody has seen of the serve.
    pub(super) fn holds(&self, meeting: Meeting<'_>, receive: &Receive) -> Option<bool> {
        let mut all = Some(true);
        for term in &self.0 {
            match term.holds(meeting, receive) {
                Some(false) => return Some(false),
                None => all = None,
                Some(true) => {}
            }
        }
        all
    }
}

fn fact(about: &str, word: &str) -> Option<Aspect> {
    fn of<T: FromStr>(word: &str, make: impl Fn(T) -> Aspect) -> Option<Aspect> {
        word.parse().ok().map(make)
    }
    match about {
        "" => {}
        "at" => return of(word, Aspect::At),
        "from" => return of(word, Aspect::From),
        "to" => return of(word, Aspect::To),
        "with" => return of(word, Aspect::With),
        "wing" => return of(word, Aspect::Wing),
        "their" => return of(word, Aspect::Their),
        "grip" => return of(word, Aspect::Grip),
        "style" => return of(word, Aspect::Style),
        "waits" => return of(word, Aspect::Waits),
        "stands" => return of(word, Aspect::Stands),
        _ => return None,
    }
    Some(match word {
        "sideways" => Aspect::Sideways,
        "unknown_spin" => Aspect::UnknownSpin,
        "angled" => Aspect::Angled,
        "across" => Aspect::Across,
        "line" => Aspect::Line,
        "drifts" => Aspect::Drifts,
        "defends" => Aspect::Defends,
        "stronger" => Aspect::Stronger,
        "weaker" => Aspect::Weaker,
        "liked" => Aspect::Liked,
        "hated" => Aspect::Hated,
        _ => {
            return of(word, Aspect::Depth)
                .or_else(|| of(word, Aspect::Spin))
                .or_else(|| of(word, Aspect::Weight))
                .or_else(|| of(word, Aspect::Pace))
                .or_else(|| of(word, Aspect::Timing));
        }
    })
}

impl Aspect {
    /// Whether it holds; none where a part of the serve is not known that would tell.
    fn holds(self, meeting: Meeting<'_>, receive: &Receive) -> Option<bool> {
        let (serve, deck) = (meeting.serve, meeting.deck);
        let at = |of: &dyn Fn(Lane) -> bool| Some(receive.to.lane.is_some_and(of));
        let gives = |ball: Option<crate::game::ThirdBall>| {
            Some(ball.is_some_and(|ball| ball.is_given_by(receive)))
        };
        match self {
            Self::Depth(depth) => Some(serve.depth? == depth),
            Self::Spin(spin) => Some(serve.spin?.is_like(spin)),
            Self::Sideways => Some(serve.spin?.is_sideways()),
            Self::UnknownSpin => Some(serve.spin.is_none()),
            Self::Weight(_) if serve.spin == Some(Spin::Dead) => Some(false),
            Self::Weight(weight) => Some(serve.weight?.name() == weight),
            // Nobody notes an ordinary pace.
            Self::Pace(pace) => Some(serve.pace.unwrap_or(Pace::Medium) == pace),
            Self::At(lane) => Some(serve.lane? == lane),
            Self::From(from) => Some(serve.from == Some(from)),
            Self::Angled => Some(meeting.is_angled()),
            Self::To(depth) => Some(receive.to.depth == Some(depth)),
            Self::With(weight) => Some(receive.weight == Some(weight)),
            Self::Timing(timing) => Some(receive.timing == Some(timing)),
            Self::Wing(wing) => Some(receive.wing == Some(wing)),
            Self::Across => at(&|lane| meeting.direction(lane) == Some(Direction::Across)),
            Self::Line => at(&|lane| meeting.direction(lane) == Some(Direction::DownTheLine)),
            Self::Drifts => {
                let inside = |aim: Aim| aim.line == Some(Line::Inside);
                Some(meeting.aim(receive).is_some_and(inside))
            }
            Self::Their(covering) => at(&|lane| meeting.covering_at(lane) == Some(covering)),
            Self::Grip(grip) => Some(deck.grip == Some(grip)),
            Self::Style(style) => Some(deck.style == Some(style)),
            Self::Waits(place) => Some(deck.waits == Some(place)),
            Self::Defends => Some(meeting.defends()),
            Self::Stronger => at(&|lane| meeting.is_at_stronger(lane) == Some(true)),
            Self::Weaker => at(&|lane| meeting.is_at_stronger(lane) == Some(false)),
            Self::Liked => gives(deck.likes),
            Self::Hated => gives(deck.hates),
            Self::Stands(from) => {
                Some(meeting.player.and_then(|player| player.stands) == Some(from))
            }
        }
    }
}

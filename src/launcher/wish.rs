//! What one ball asks of a launcher, and the launch that gives it: pace and the look of a serve
//! give way before the ball does, and that is noted.

use crate::flight::aim::{Aimed, Band, FirstAimed, Measure, Refusal, Request, aim_first};
use crate::flight::service::ServeBall;
use crate::flight::{Constants, Fault, SpinRate, Throw};
use crate::game::{Depth, Hand, Pace};
use crate::launcher::dials::Beyond;
use crate::launcher::{REALISTIC_OUTLET_M, SetUp, Span, ThrowingMachine};

/// How far from the edge of a depth class a shaded ball stays, metres.
pub(super) const INSIDE_M: f64 = 0.03;

/// Who receives, who serves, on what.
#[derive(Debug, Clone, Copy)]
pub struct Table {
    /// Ball, air and table.
    pub constants: Constants,
    /// The hand of the player who receives.
    pub receiver: Hand,
    /// The hand of the opponent.
    pub server: Hand,
    /// The seed of the simulated throws.
    pub seed: u64,
}

/// What was let go so that a ball exists, or what to mind when entering it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum AimNote {
    /// Not at the pace of the serve; seconds to the landing instead.
    OtherPace { pace: Pace, time_s: f64 },
    /// Higher and later than a real serve; metres at its top.
    Higher { apex_m: f64 },
    /// No room for the small change that was asked for.
    Unshaded,
    /// The head does not turn that far: degrees for the whole launcher.
    TurnWhole { deg: f64, to_left: bool },
    /// A dial value outside what was calibrated.
    Uncalibrated(Beyond),
    /// At the nearest notches it is no legal ball.
    FaultAtNotches(Fault),
    /// The nearest notches move the next bounce, + farther.
    MovedByNotches { depth: Depth, by_m: f64 },
}

/// Why this launcher has no such ball.
#[derive(Debug, Clone, PartialEq)]
pub enum NoBall {
    Person,
    Refused(Box<Refusal>),
}

/// How much was given up for a ball; less is better.
pub(super) type Rank = usize;

/// What one ball asks for, apart from its spin.
pub(super) struct BallWish<'a> {
    pub(super) machine: &'a ThrowingMachine,
    pub(super) set_up: &'a SetUp,
    pub(super) throw: Throw,
    pub(super) depth: Depth,
    pub(super) pace: Pace,
    pub(super) across_m: f64,
    pub(super) next_m: Option<f64>,
}

impl BallWish<'_> {
    /// The request at a pace, fully or only that early.
    fn request(&self, spin: SpinRate, pace: AtPace) -> Request {
        let set_up = self.set_up;
        let outlet = [
            -set_up.behind_line_m,
            set_up.across_m,
            set_up.outlet_height_m.unwrap_or(REALISTIC_OUTLET_M),
        ];
        let span = |span: Span| Band::between(span.least, span.most);
        let request = match self.throw {
            Throw::Serve => {
                let ball = ServeBall {
                    spin,
                    across_m: self.across_m,
                    depth: self.depth,
                    pace: Some(self.pace),
                    supposed: Vec::new(),
                };
                let request = ball.request(outlet);
                match pace {
                    AtPace::Fully => ball.at_its_pace(request),
                    AtPace::Within(time_s) => {
                        request.wish(Measure::ReleaseToBounce, Band::at_most(time_s))
                    }
                    AtPace::Any => request,
                }
            }
            Throw::Feed => Request::feed(outlet, spin).across(self.across_m).depth(self.depth),
        };
        let mut request = request
            .launcher_limit(Measure::Speed, span(self.machine.speed_m_s))
            .launcher_limit(Measure::Elevation, span(self.machine.elevation_deg))
            .like_a_serve();
        if let Some(next_m) = self.next_m {
            request = request.wish(
                Measure::NextBounceX,
                Band::between(next_m - 0.5 * INSIDE_M, next_m + 0.5 * INSIDE_M),
            );
        }
        request.scatter = self.machine.flight_scatter();
        request
    }
}

/// How much of its pace a ball has to keep.
#[derive(Debug, Clone, Copy, PartialEq)]
enum AtPace {
    /// All of it.
    Fully,
    /// So many seconds to the landing at most.
    Within(f64),
    /// Nothing.
    Any,
}

/// What is tried for a pace, best first.
const fn tries(pace: Pace) -> &'static [AtPace] {
    match pace {
        Pace::Fast => &[
            AtPace::Fully,
            AtPace::Within(0.47),
            AtPace::Within(0.50),
            AtPace::Within(0.53),
            AtPace::Any,
        ],
        Pace::Slow => &[AtPace::Fully, AtPace::Any],
        Pace::Medium => &[AtPace::Any],
    }
}

/// A launch with what was let go for it.
#[derive(Clone)]
pub(super) struct Found {
    pub(super) aimed: Aimed,
    pub(super) notes: Vec<AimNote>,
    pub(super) rank: Rank,
}

/// The best ball of this spin.
pub(super) fn find(wish: &BallWish<'_>, spin: SpinRate, table: &Table) -> Result<Found, NoBall> {
    let paces = tries(if wish.throw == Throw::Serve { wish.pace } else { Pace::Medium });
    let requests: Vec<Request> = paces.iter().map(|&pace| wish.request(spin, pace)).collect();
    let FirstAimed { place, aimed, looks_like_a_serve } =
        aim_first(&requests, &table.constants, table.seed).map_err(NoBall::Refused)?;
    let outcome = &aimed.outcome;
    let note = if !looks_like_a_serve {
        Some(AimNote::Higher { apex_m: outcome.apex_m })
    } else if place > 0 {
        Some(AimNote::OtherPace { pace: wish.pace, time_s: outcome.release_to_bounce_s })
    } else {
        None
    };
    let rank = place + if looks_like_a_serve { 0 } else { 10 };
    Ok(Found { aimed, notes: note.into_iter().collect(), rank })
}

//! What one ball asks of a launcher, and the launch that gives it: pace and the look of a serve
//! give way before the ball does, and that is noted.

use crate::flight::aim::{
    Aimed, Band, Family, FirstAimed, Measure, Refusal, Request, aim_first, is_possible,
};
use crate::flight::service::{CONTACT_HEIGHT_M, at_its_pace, spin_of};
use crate::flight::{Constants, Fault, SpinRate, Throw};
use crate::game::{Depth, Hand, Pace, lane_y_m};
use crate::launcher::dials::Beyond;
use crate::launcher::{Launcher, SetUp, Shade, Span, ThrowingMachine, Thrown};

/// A hand's width, metres.
pub(super) const HAND_M: f64 = 0.10;
/// A little less spin.
const LIGHTER: f64 = 0.85;
/// The speed a search for the spin of one wheel begins with, m/s.
const USUAL_M_S: f64 = 6.0;
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

/// What one ball asks for.
#[derive(Clone, Copy)]
pub(super) struct BallWish<'a> {
    pub(super) launcher: &'a Launcher,
    pub(super) machine: &'a ThrowingMachine,
    pub(super) thrown: &'a Thrown,
    pub(super) set_up: &'a SetUp,
    pub(super) table: &'a Table,
}

impl<'a> BallWish<'a> {
    /// What is asked of a machine; a person is asked in words.
    pub(super) fn ask(
        launcher: &'a Launcher,
        thrown: &'a Thrown,
        set_up: &'a SetUp,
        table: &'a Table,
    ) -> Result<Self, NoBall> {
        let machine = launcher.throwing_machine().ok_or(NoBall::Person)?;
        Ok(Self { launcher, machine, thrown, set_up, table })
    }

    /// Where across the table the ball lands, its small change included, metres.
    fn across_m(&self) -> f64 {
        let plain = lane_y_m(self.thrown.lane, self.table.receiver);
        match self.thrown.shade {
            Some(Shade::Inwards) => plain - HAND_M.min(plain.abs()) * plain.signum(),
            // The receiver's right is the launcher's left.
            Some(Shade::Right) => plain + HAND_M,
            Some(Shade::Left) => plain - HAND_M,
            _ => plain,
        }
    }

    /// Whether one wheel decides about the spin.
    pub(super) fn is_tied(&self) -> bool {
        self.machine.tied_spin(0.0).is_some()
    }

    /// The spin it asks for; on one wheel what that has at the speed of a usual service.
    pub(super) fn spin(&self) -> SpinRate {
        let Thrown { spin, rev_s, breaks, shade, .. } = *self.thrown;
        let share = if shade == Some(Shade::Lighter) { LIGHTER } else { 1.0 };
        let tied = self.machine.tied_spin(USUAL_M_S).map(SpinRate::top);
        tied.unwrap_or_else(|| spin_of(spin, rev_s * share, breaks))
    }

    /// The laws of the game and the limits of the launcher.
    fn possible(&self, spin: SpinRate) -> Request {
        let Self { machine, thrown, set_up, .. } = self;
        let height_m = set_up.outlet_height_m.unwrap_or(CONTACT_HEIGHT_M);
        let outlet_m = [-set_up.behind_line_m, set_up.across_m, height_m];
        let span = |span: Span| Band::between(span.least, span.most);
        Request::new(thrown.throw, outlet_m, spin)
            .launcher_limit(Measure::Speed, span(machine.speed_m_s))
            .launcher_limit(Measure::Elevation, span(machine.elevation_deg))
    }

    /// Whether any flat service of this spin, or of less, leaves from here: of this depth in its
    /// lane, or anywhere on the table.
    pub(super) fn is_served(&self, depth: Option<Depth>) -> bool {
        let less: &[f64] = if depth.is_some() { &[1.0] } else { &[1.0, 0.4] };
        less.iter().any(|share| {
            let plain = self.possible(self.spin().scaled(*share));
            let flat = plain.launcher_limit(Measure::Elevation, Family::flat(Throw::Serve));
            let asked = match depth {
                Some(depth) => flat.across(self.across_m()).depth(depth),
                None => flat,
            };
            is_possible(&asked, &self.table.constants).unwrap_or(false)
        })
    }

    /// Whether a ball does all of it at its pace and looks like a serve.
    pub(super) fn is_like_a_serve(&self) -> bool {
        let request = self.request(self.spin(), AtPace::Fully, None);
        is_possible(&request, &self.table.constants).unwrap_or(false)
    }

    /// The request at a pace, fully or only that early, and with a place for the next bounce.
    fn request(&self, spin: SpinRate, pace: AtPace, next_m: Option<f64>) -> Request {
        let Self { machine, thrown, .. } = self;
        let plain = self.possible(spin).across(self.across_m()).depth(thrown.depth);
        let paced = match pace {
            AtPace::Fully => at_its_pace(plain, thrown.depth, thrown.pace),
            AtPace::Within(time_s) => plain.wish(Measure::ReleaseToBounce, Band::at_most(time_s)),
            AtPace::Any => plain,
        };
        let mut request = paced.like_a_serve();
        if let Some(next_m) = next_m {
            let around = Band::between(next_m - 0.5 * INSIDE_M, next_m + 0.5 * INSIDE_M);
            request = request.wish(Measure::NextBounceX, around);
        }
        request.scatter = machine.flight_scatter();
        request
    }

    /// The best ball of this spin, its next bounce wherever it is or at that place.
    pub(super) fn find(&self, spin: SpinRate, next_m: Option<f64>) -> Result<Found, NoBall> {
        let Thrown { throw, pace, .. } = *self.thrown;
        let paces = tries(if throw == Throw::Serve { pace } else { Pace::Medium });
        let requests: Vec<Request> =
            paces.iter().map(|&pace| self.request(spin, pace, next_m)).collect();
        let FirstAimed { place, aimed, looks_like_a_serve } =
            aim_first(&requests, &self.table.constants, self.table.seed)
                .map_err(NoBall::Refused)?;
        let outcome = &aimed.outcome;
        let note = match (looks_like_a_serve, place) {
            (true, 0) => None,
            (true, _) => Some(AimNote::OtherPace { pace, time_s: outcome.release_to_bounce_s }),
            (false, _) => Some(AimNote::Higher { apex_m: outcome.apex_m }),
        };
        let rank = place + if looks_like_a_serve { 0 } else { 10 };
        let notes = note.into_iter().collect();
        Ok(Found { aimed, notes, rank, is_like_a_serve: looks_like_a_serve })
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
    /// How much was given up for it; less is better.
    pub(super) rank: usize,
    pub(super) is_like_a_serve: bool,
}

impl Found {
    /// Whether it flies at most a little higher and later than a real serve: as high over the net
    /// as a feed may, and an eighth of the time more.
    pub(super) fn is_nearly_a_serve(&self) -> bool {
        let outcome = &self.aimed.outcome;
        self.is_like_a_serve
            || (outcome.net_clearance_m <= 0.15 && outcome.release_to_bounce_s <= 0.70)
    }
}

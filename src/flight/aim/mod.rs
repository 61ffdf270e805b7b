//! The way back: from what a ball should do to how it has to leave.
//!
//! Spin and outlet are given; speed, elevation and azimuth are looked for. All wishes are bands
//! ([`request`]); the solver (`solve`) walks from several plausible starts into them. When there
//! is room to choose, the bands are first entered by three standard deviations of the launcher's
//! scatter, then by less and less, so the ball that is found is one that survives uneven throws.
//! Among the ways to make the same ball the flat push of real serves comes first, then the one
//! that keeps its depth most often, then the earlier one. When nothing fits, a refusal says which
//! limit bit and what the nearest possible ball is.

mod outcome;
mod refusal;
pub mod request;
pub mod scatter;
mod solve;
mod starts;

pub use outcome::Outcome;
pub use refusal::{Miss, Refusal};
pub use request::{Band, Measure, Origin, Prefer, Request, Wish};
pub use scatter::{Scatter, Share};

use serde::Serialize;

use super::constants::Constants;
use super::legality::Throw;
use super::path::{STEP_S, Until, follow};
use super::{FlightError, Launch};
use outcome::Measured;
use solve::{Landing, Pull, walk};

/// Length of an integration step while aiming; bounce points are still good to a few micrometres.
const AIM_STEP_S: f64 = 0.02;
/// How close to a single value counts as there, in the measure's own unit.
const THERE: f64 = 2e-5;
/// How deep into the bands to go first, in standard deviations of the launcher's scatter.
const COMFORTABLY: f64 = 3.0;
/// How deep a ball at the edge of what is possible lies.
const BARELY: f64 = 0.01;
/// From a barely possible ball, how much deeper to try.
const DEEPER: [f64; 2] = [0.3, 1.0];
/// Starts that may end in the preferred family before the others are left out.
const ENOUGH: usize = 3;
/// Throws simulated for the share in the answer.
const THROWS: u32 = 200;
/// Throws simulated to compare two ways of making the same ball.
const THROWS_TO_COMPARE: u32 = 60;

/// One of the ways a ball can get somewhere.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Family {
    /// The flat push of real serves, or an ordinary feed.
    Flat,
    /// A high ball, late by a fifth of a second and more.
    Lob,
    /// Driven steeply into the table, so that it jumps up.
    Spike,
}

impl Family {
    /// The way a launch of this kind goes.
    pub fn of(throw: Throw, elevation_deg: f64) -> Self {
        let lob_from_deg = match throw {
            Throw::Service => 8.0,
            Throw::Feed => 38.0,
        };
        if elevation_deg > lob_from_deg {
            Self::Lob
        } else if elevation_deg < -32.0 {
            Self::Spike
        } else {
            Self::Flat
        }
    }
}

/// A launch that does what was asked.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Aimed {
    /// How the ball has to leave.
    pub launch: Launch,
    /// Like a serve, or straight.
    pub throw: Throw,
    /// What it then does.
    pub outcome: Outcome,
    /// Which way it goes.
    pub family: Family,
    /// How many uneven throws stay legal and keep the depth.
    pub keeps: Share,
}

/// Why there is no launch.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum AimError {
    /// The request itself is impossible to read.
    #[error(transparent)]
    Numbers(#[from] FlightError),
    /// No ball does all of it.
    #[error("{0}")]
    Refused(Box<Refusal>),
}

/// Finds the launch that does what is asked.
///
/// `seed` starts the simulation of uneven throws; the same request and seed always give the same
/// answer.
///
/// # Errors
/// [`AimError::Numbers`] when a number is impossible, [`AimError::Refused`] when no ball does all
/// that is asked.
pub fn aim(request: &Request, constants: &Constants, seed: u64) -> Result<Aimed, AimError> {
    match found(request, constants, seed)? {
        Some(aimed) => Ok(aimed),
        None => Err(AimError::Refused(Box::new(refusal(request, constants, seed)))),
    }
}

/// The first of these requests that a ball does, by its place, with that ball; else what [`aim`] says of each. The
/// nearest balls are looked for only then: that takes longer than a ball that is possible.
///
/// # Errors
/// What [`aim`] says of every request, in their order.
pub fn aim_first(
    requests: &[Request],
    constants: &Constants,
    seed: u64,
) -> Result<(usize, Aimed), Vec<AimError>> {
    let mut unmet = Vec::with_capacity(requests.len());
    for (place, request) in requests.iter().enumerate() {
        match found(request, constants, seed) {
            Ok(Some(aimed)) => return Ok((place, aimed)),
            Ok(None) => unmet.push(None),
            Err(error) => unmet.push(Some(error)),
        }
    }
    let refused = |request| AimError::Refused(Box::new(refusal(request, constants, seed)));
    let errors = unmet.into_iter().zip(requests);
    Err(errors.map(|(error, request)| error.unwrap_or_else(|| refused(request))).collect())
}

/// The ball that does what is asked; none when there is no way to it.
fn found(request: &Request, constants: &Constants, seed: u64) -> Result<Option<Aimed>, AimError> {
    let ways = all_ways(request, constants)?;
    let Some(first) = ways.first() else { return Ok(None) };
    let best = if ways.len() == 1 { first } else { best_of(request, constants, &ways, seed) };
    match finish(request, constants, best, seed, THROWS) {
        Some(aimed) => Ok(Some(aimed)),
        None => Err(AimError::Refused(Box::new(Refusal::of(request, None, None)))),
    }
}

/// Why there is no way, and the nearest ball.
fn refusal(request: &Request, constants: &Constants, seed: u64) -> Refusal {
    let nearest = nearest(request, constants);
    let aimed =
        nearest.as_ref().and_then(|near| finish(request, constants, &near.ball, seed, THROWS));
    Refusal::of(request, nearest.as_ref(), aimed)
}

/// Whether any ball does all that is asked; cheaper than [`aim`].
///
/// # Errors
/// [`FlightError`] when a number is impossible.
pub fn is_possible(request: &Request, constants: &Constants) -> Result<bool, FlightError> {
    all_ways(request, constants).map(|ways| !ways.is_empty())
}

/// Every different way the starts lead to, entered as deep into the bands as is possible.
fn all_ways(request: &Request, constants: &Constants) -> Result<Vec<Landing>, FlightError> {
    request.checked()?;
    constants.checked()?;
    let starts = starts::starts(request, constants);
    let mut ways = Vec::new();
    // Three single values leave no room to be careful in, and hardly ever two flat ways.
    if request.wishes.iter().filter(|wish| wish.band.is_exact()).count() >= 3 {
        enter(request, constants, 0.0, &starts, 1, &mut ways);
        return Ok(ways);
    }
    let ends = enter(request, constants, COMFORTABLY, &starts, ENOUGH, &mut ways);
    if ways.iter().any(|way| is_preferred(request, way)) {
        return Ok(ways);
    }
    enter(request, constants, BARELY, &ends, ENOUGH, &mut ways);
    for depth in DEEPER {
        let from: Vec<_> = ways.iter().map(|way| way.unknowns).collect();
        enter(request, constants, depth, &from, ENOUGH, &mut ways);
    }
    Ok(ways)
}

/// Walks from every start `depth` deep into the bands, adds the ends that meet the request to
/// `ways` and gives back all different ends, the best five. Stops early at `enough` ways of the
/// preferred family.
fn enter(
    request: &Request,
    constants: &Constants,
    depth: f64,
    starts: &[[f64; 3]],
    enough: usize,
    ways: &mut Vec<Landing>,
) -> Vec<[f64; 3]> {
    let pulls = pulls(request, depth, |_| 1.0);
    let mut ends: Vec<Landing> = Vec::with_capacity(starts.len());
    let mut preferred = 0;
    for &start in starts {
        let Some(end) = walk(request, constants, &pulls, start) else { continue };
        if is_met(request, &end.measured) {
            preferred += usize::from(is_preferred(request, &end));
            if !ways.iter().any(|other| is_same(&end, other)) {
                ways.push(end);
            }
        }
        ends.push(end);
        if preferred >= enough {
            break;
        }
    }
    different(ends).iter().map(|end| end.unknowns).collect()
}

/// The different ones of these ends, the best first, five at most.
fn different(mut ends: Vec<Landing>) -> Vec<Landing> {
    ends.sort_by(|a, b| a.cost.total_cmp(&b.cost));
    let mut kept: Vec<Landing> = Vec::with_capacity(ends.len());
    for end in ends {
        if !kept.iter().any(|other| is_same(&end, other)) {
            kept.push(end);
        }
    }
    kept.truncate(5);
    kept
}

/// Whether a way is of the kind that is looked for: a flat one, or any when time is all that counts.
fn is_preferred(request: &Request, way: &Landing) -> bool {
    request.prefer == Prefer::Early || Family::of(request.throw, way.unknowns[1]) == Family::Flat
}

/// The bands as the solver takes them.
fn pulls(request: &Request, depth: f64, weight: impl Fn(Origin) -> f64) -> Vec<Pull> {
    request
        .wishes
        .iter()
        .map(|wish| Pull {
            measure: wish.measure,
            band: wish.band.inset(depth * wish.measure.spread()),
            weight: weight(wish.origin),
        })
        .collect()
}

fn is_same(one: &Landing, other: &Landing) -> bool {
    let near = [0.02, 0.1, 0.1];
    (0..3).all(|i| (one.unknowns[i] - other.unknowns[i]).abs() < near[i])
}

fn is_met(request: &Request, measured: &Measured) -> bool {
    is_met_for(request, measured, &|_| true)
}

/// Whether every band that counts holds the ball.
fn is_met_for(request: &Request, measured: &Measured, counts: &dyn Fn(Origin) -> bool) -> bool {
    request.wishes.iter().filter(|wish| counts(wish.origin)).all(|wish| {
        let outside = wish.band.outside(measured[wish.measure as usize]).abs();
        outside <= if wish.band.is_exact() { THERE } else { 1e-9 }
    })
}

/// The way that is preferred: by family, then by how often it keeps its depth, then by time.
fn best_of<'a>(
    request: &Request,
    constants: &Constants,
    ways: &'a [Landing],
    seed: u64,
) -> &'a Landing {
    let time = |way: &Landing| way.measured[Measure::ReleaseToBounce as usize];
    let family = |way: &Landing| Family::of(request.throw, way.unknowns[1]);
    let mut order: Vec<&Landing> = ways.iter().collect();
    order.sort_by(|a, b| match request.prefer {
        Prefer::Flat => family(a).cmp(&family(b)).then(time(a).total_cmp(&time(b))),
        Prefer::Early => time(a).total_cmp(&time(b)),
    });
    let first = order[0];
    if request.prefer == Prefer::Early {
        return first;
    }
    let rivals = order.into_iter().filter(|way| family(way) == family(first)).take(3);
    rivals
        .map(|way| {
            let launch = launch_of(request, way);
            let keeps = scatter::keeps_class(
                &launch,
                request.throw,
                constants,
                &request.depth_rule,
                &request.scatter,
                seed,
                THROWS_TO_COMPARE,
            );
            (way, keeps.kept)
        })
        // `rev` order of equals: the earlier ball was listed first and has to win a draw.
        .fold((first, 0), |best, way| if way.1 > best.1 + 2 { way } else { best })
        .0
}

/// Where the search ends when nothing fits.
struct Nearest {
    /// The nearest ball that keeps what can be kept.
    ball: Landing,
    /// The ball that leans on every limit at once, which shows the limits.
    leaning: Landing,
    /// What it leans on.
    pulls: Vec<Pull>,
}

/// The ball that comes nearest when nothing fits.
///
/// Laws and launcher hold firmly, then what was asked; the look of a serve gives way first. The
/// weights only lean that way, so the ball found is then led exactly into what can be kept.
fn nearest(request: &Request, constants: &Constants) -> Option<Nearest> {
    let weighted = pulls(request, 0.05, |origin| match origin {
        Origin::Law | Origin::Launcher => 30.0,
        Origin::Asked => 4.0,
        Origin::LikeAServe => 1.0,
    });
    let starts = starts::starts(request, constants);
    let leaning = different(
        starts.iter().filter_map(|&start| walk(request, constants, &weighted, start)).collect(),
    );
    let firm = |origin| matches!(origin, Origin::Law | Origin::Launcher);
    let asked_too = |origin| firm(origin) || origin == Origin::Asked;
    let price = |landing: &Landing| solve::cost(&weighted, &landing.measured);
    let cheapest =
        |landings: Vec<Landing>| landings.into_iter().min_by(|a, b| price(a).total_cmp(&price(b)));
    let led = |keeps: &dyn Fn(Origin) -> bool, from: &[[f64; 3]]| -> Vec<Landing> {
        let only = pulls(request, 0.05, |origin| if keeps(origin) { 1.0 } else { 0.0 });
        from.iter()
            .filter_map(|&from| walk(request, constants, &only, from))
            .filter(|there| is_met_for(request, &there.measured, keeps))
            .collect()
    };
    let ends: Vec<[f64; 3]> = leaning.iter().map(|end| end.unknowns).collect();
    let leaning = cheapest(leaning)?;
    let ball = cheapest(led(&asked_too, &ends))
        .or_else(|| cheapest(led(&firm, &ends)))
        // All ends may lie in one dead corner; the starts themselves lead out of it.
        .or_else(|| {
            let possible = cheapest(led(&firm, &starts))?;
            let better = walk(request, constants, &weighted, possible.unknowns)?;
            let mut both = led(&firm, &[better.unknowns]);
            both.push(possible);
            cheapest(both)
        })
        .unwrap_or(leaning);
    Some(Nearest { ball, leaning, pulls: weighted })
}

fn launch_of(request: &Request, way: &Landing) -> Launch {
    let [speed_m_s, elevation_deg, azimuth_deg] = way.unknowns;
    Launch { outlet_m: request.outlet_m, speed_m_s, elevation_deg, azimuth_deg, spin: request.spin }
}

/// Flies the launch at full accuracy and says what it does. None when it is not legal at all.
fn finish(
    request: &Request,
    constants: &Constants,
    way: &Landing,
    seed: u64,
    throws: u32,
) -> Option<Aimed> {
    let launch = launch_of(request, way);
    let until = Until { bounces: request.throw.own_bounces() + 2, time_s: 6.0 };
    let path = follow(&launch.motion(), constants, until, STEP_S);
    if path.fault(request.throw).is_some() {
        return None;
    }
    let outcome = Outcome::of(&path, request.throw, &request.depth_rule)?;
    let keeps = scatter::keeps_class(
        &launch,
        request.throw,
        constants,
        &request.depth_rule,
        &request.scatter,
        seed,
        throws,
    );
    let family = Family::of(request.throw, launch.elevation_deg);
    Some(Aimed { launch, throw: request.throw, outcome, family, keeps })
}

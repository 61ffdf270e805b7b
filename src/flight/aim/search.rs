//! The search for the launch that does what is asked, and for the nearest one when none does.

use super::measure::Measure;
use super::outcome::{Aimed, BallOutcome, Family, Measured};
use super::refusal::{AimError, Nearest, Refusal};
use super::request::{Origin, Request};
use super::solve::{Landing, Pull, cost, walk};
use super::{scatter, starts};
use crate::flight::constants::Constants;
use crate::flight::path::{STEP_S, Until, follow};
use crate::flight::{FlightError, Launch};

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

/// What the first of several requests came to.
#[derive(Debug, Clone, PartialEq)]
pub struct FirstAimed {
    /// Which of the requests.
    pub place: usize,
    pub aimed: Aimed,
    /// False when it does all that was asked, and only flies higher or later than a real serve.
    pub looks_like_a_serve: bool,
}

/// The first of these requests that a ball does. When none is, of the nearest balls that do all
/// but look like a serve the earliest. The nearest are looked for only then: that takes longer.
///
/// # Errors
/// The refusal of the last request.
pub fn aim_first(
    requests: &[Request],
    constants: &Constants,
    seed: u64,
) -> Result<FirstAimed, Box<Refusal>> {
    let mut unmet = Vec::with_capacity(requests.len());
    for (place, request) in requests.iter().enumerate() {
        match found(request, constants, seed) {
            Ok(Some(aimed)) => return Ok(FirstAimed { place, aimed, looks_like_a_serve: true }),
            Ok(None) => unmet.push((place, request)),
            Err(_) => {}
        }
    }
    let mut earliest: Option<FirstAimed> = None;
    let mut last = Refusal::default();
    for (place, request) in unmet {
        last = refusal(request, constants, seed);
        let Some(aimed) = last.nearest.filter(|_| last.is_only_unlike_a_serve()) else { continue };
        let time_s = |aimed: &Aimed| aimed.outcome.release_to_bounce_s;
        if earliest.as_ref().is_none_or(|best| time_s(&aimed) < time_s(&best.aimed)) {
            earliest = Some(FirstAimed { place, aimed, looks_like_a_serve: false });
        }
    }
    earliest.ok_or_else(|| Box::new(last))
}

/// The ball that does what is asked; none when there is no way to it.
fn found(request: &Request, constants: &Constants, seed: u64) -> Result<Option<Aimed>, AimError> {
    let ways = all_ways(request, constants)?;
    let Some(first) = ways.first() else { return Ok(None) };
    let best = if ways.len() == 1 { first } else { best_of(request, constants, &ways, seed) };
    match finish(request, constants, best, seed, THROWS) {
        Some(aimed) => Ok(Some(aimed)),
        None => Err(AimError::Refused(Box::default())),
    }
}

/// Why there is no way, and the nearest ball.
fn refusal(request: &Request, constants: &Constants, seed: u64) -> Refusal {
    let nearest = nearest(request, constants);
    let aimed =
        nearest.as_ref().and_then(|near| finish(request, constants, &near.ball, seed, THROWS));
    nearest.map(|near| Refusal::explain(request, &near, aimed)).unwrap_or_default()
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
    if ways.iter().any(|way| is_flat(request, way)) {
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
        if is_met(request, &end.measured, &|_| true) {
            preferred += usize::from(is_flat(request, &end));
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

/// Whether a way is of the kind that is looked for: a flat one, or any when time is all that
/// counts.
fn is_flat(request: &Request, way: &Landing) -> bool {
    Family::of_launch(request.throw, way.unknowns[1]) == Family::Flat
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

/// Whether every band that counts holds the ball.
fn is_met(request: &Request, measured: &Measured, counts: &dyn Fn(Origin) -> bool) -> bool {
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
    let family = |way: &Landing| Family::of_launch(request.throw, way.unknowns[1]);
    let mut order: Vec<&Landing> = ways.iter().collect();
    order.sort_by(|a, b| family(a).cmp(&family(b)).then(time(a).total_cmp(&time(b))));
    let first = order[0];
    let rivals = order.into_iter().filter(|way| family(way) == family(first)).take(3);
    rivals
        .map(|way| {
            let launch = launch_of(request, way);
            let keeps = scatter::keeps_class(
                &launch,
                request.throw,
                constants,
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
    let price = |landing: &Landing| cost(&weighted, &landing.measured);
    let cheapest =
        |landings: Vec<Landing>| landings.into_iter().min_by(|a, b| price(a).total_cmp(&price(b)));
    let led = |keeps: &dyn Fn(Origin) -> bool, from: &[[f64; 3]]| -> Vec<Landing> {
        let only = pulls(request, 0.05, |origin| if keeps(origin) { 1.0 } else { 0.0 });
        from.iter()
            .filter_map(|&from| walk(request, constants, &only, from))
            .filter(|there| is_met(request, &there.measured, keeps))
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
    let outcome = BallOutcome::read_path(&path, request.throw)?;
    let keeps =
        scatter::keeps_class(&launch, request.throw, constants, &request.scatter, seed, throws);
    let family = Family::of_launch(request.throw, launch.elevation_deg);
    Some(Aimed { launch, throw: request.throw, outcome, family, keeps })
}

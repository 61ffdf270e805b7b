//! The search for the launch that does what is asked, and for the nearest one when none does.

use super::measure::Measure;
use super::outcome::{Aimed, BallOutcome, Family};
use super::refusal::{AimError, Nearest, Refusal};
use super::request::{Origin, Request, Wish};
use super::scatter::{Share, keeps_class};
use super::solve::{Landing, Pull, cost, walk};
use super::starts::starts;
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

/// One request in search of its ball.
struct BallSearch<'a> {
    request: &'a Request,
    constants: &'a Constants,
    seed: u64,
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
    let search = BallSearch { request, constants, seed };
    search.found()?.ok_or_else(|| AimError::Refused(Box::new(search.refusal())))
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
        let search = BallSearch { request, constants, seed };
        match search.found() {
            Ok(Some(aimed)) => return Ok(FirstAimed { place, aimed, looks_like_a_serve: true }),
            Ok(None) => unmet.push((place, search)),
            Err(_) => {}
        }
    }
    let mut earliest: Option<FirstAimed> = None;
    let mut last = Refusal::default();
    for (place, search) in unmet {
        // Where no ball does the rest, none does all but look like a serve: the last says why.
        if place + 1 < requests.len() && !search.is_possible_unlike_a_serve() {
            continue;
        }
        last = search.refusal();
        let Some(aimed) = last.nearest.filter(|_| last.is_only_unlike_a_serve()) else { continue };
        let time_s = |aimed: &Aimed| aimed.outcome.release_to_bounce_s;
        if earliest.as_ref().is_none_or(|best| time_s(&aimed) < time_s(&best.aimed)) {
            earliest = Some(FirstAimed { place, aimed, looks_like_a_serve: false });
        }
    }
    earliest.ok_or_else(|| Box::new(last))
}

/// Whether any ball does all that is asked; cheaper than [`aim`].
///
/// # Errors
/// [`FlightError`] when a number is impossible.
pub fn is_possible(request: &Request, constants: &Constants) -> Result<bool, FlightError> {
    BallSearch { request, constants, seed: 0 }.all_ways().map(|ways| !ways.is_empty())
}

impl BallSearch<'_> {
    /// The ball that does what is asked; none when there is no way to it.
    fn found(&self) -> Result<Option<Aimed>, AimError> {
        let ways = self.all_ways()?;
        let Some(best) = self.best_of(&ways) else { return Ok(None) };
        self.finish(best).map(Some).ok_or_else(|| AimError::Refused(Box::default()))
    }

    fn is_possible_unlike_a_serve(&self) -> bool {
        let mut request = self.request.clone();
        request.wishes.retain(|wish| wish.origin != Origin::LikeAServe);
        is_possible(&request, self.constants).unwrap_or(false)
    }

    /// Why there is no way, and the nearest ball.
    fn refusal(&self) -> Refusal {
        let Some(near) = self.nearest() else { return Refusal::default() };
        Refusal::explain(self.request, &near, self.finish(&near.ball))
    }

    /// Every different way the starts lead to, entered as deep into the bands as is possible.
    fn all_ways(&self) -> Result<Vec<Landing>, FlightError> {
        self.request.checked()?;
        self.constants.checked()?;
        let starts = starts(self.request, self.constants);
        let mut ways = Vec::new();
        // Three single values leave no room to be careful in, and hardly ever two flat ways.
        if self.request.wishes.iter().filter(|wish| wish.band.is_exact()).count() >= 3 {
            self.enter(0.0, &starts, 1, &mut ways);
            return Ok(ways);
        }
        let ends = self.enter(COMFORTABLY, &starts, ENOUGH, &mut ways);
        if ways.iter().any(|way| self.family(way) == Family::Flat) {
            return Ok(ways);
        }
        self.enter(BARELY, &ends, ENOUGH, &mut ways);
        for depth in DEEPER {
            let from: Vec<_> = ways.iter().map(|way| way.unknowns).collect();
            self.enter(depth, &from, ENOUGH, &mut ways);
        }
        Ok(ways)
    }

    /// Walks from every start `depth` deep into the bands, adds the ends that meet the request to
    /// `ways` and gives back all different ends, the best five. Stops early at `enough` ways of the
    /// preferred family.
    fn enter(
        &self,
        depth: f64,
        starts: &[[f64; 3]],
        enough: usize,
        ways: &mut Vec<Landing>,
    ) -> Vec<[f64; 3]> {
        let pulls = self.pulls(depth, |_| 1.0);
        let mut ends: Vec<Landing> = Vec::with_capacity(starts.len());
        let mut preferred = 0;
        for &start in starts {
            let Some(end) = walk(self.request, self.constants, &pulls, start) else { continue };
            if self.is_met(&end, |_| true) {
                preferred += usize::from(self.family(&end) == Family::Flat);
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

    /// The bands as the solver takes them.
    fn pulls(&self, depth: f64, weight: impl Fn(Origin) -> f64) -> Vec<Pull> {
        let pull = |wish: &Wish| Pull {
            measure: wish.measure,
            band: wish.band.inset(depth * wish.measure.spread()),
            weight: weight(wish.origin),
        };
        self.request.wishes.iter().map(pull).collect()
    }

    /// Whether every band that counts holds the ball.
    fn is_met(&self, there: &Landing, counts: impl Fn(Origin) -> bool) -> bool {
        self.request.wishes.iter().filter(|wish| counts(wish.origin)).all(|wish| {
            let outside = wish.band.outside(there.measured[wish.measure as usize]).abs();
            outside <= if wish.band.is_exact() { THERE } else { 1e-9 }
        })
    }

    fn family(&self, way: &Landing) -> Family {
        Family::of_launch(self.request.throw, way.unknowns[1])
    }

    /// How many of so many uneven throws of a way keep its depth.
    fn keeps(&self, launch: &Launch, throws: u32) -> Share {
        let Request { throw, scatter, .. } = self.request;
        keeps_class(launch, *throw, self.constants, scatter, self.seed, throws)
    }

    /// The way that is preferred: by family, then by how often it keeps its depth, then by time.
    fn best_of<'a>(&self, ways: &'a [Landing]) -> Option<&'a Landing> {
        let time = |way: &Landing| way.measured[Measure::ReleaseToBounce as usize];
        let family = |way: &Landing| self.family(way);
        let mut order: Vec<&Landing> = ways.iter().collect();
        order.sort_by(|a, b| family(a).cmp(&family(b)).then(time(a).total_cmp(&time(b))));
        let first = *order.first()?;
        if ways.len() == 1 {
            return Some(first);
        }
        let rivals = order.into_iter().filter(|way| family(way) == family(first)).take(3);
        let kept = rivals.map(|way| {
            let launch = self.request.launch(way.unknowns);
            (way, self.keeps(&launch, THROWS_TO_COMPARE).kept)
        });
        // The earlier ball was listed first and has to win a draw.
        Some(kept.fold((first, 0), |best, way| if way.1 > best.1 + 2 { way } else { best }).0)
    }

    /// The ball that comes nearest when nothing fits.
    ///
    /// Laws and launcher hold firmly, then what was asked; the look of a serve gives way first. The
    /// weights only lean that way, so the ball found is then led exactly into what can be kept.
    fn nearest(&self) -> Option<Nearest> {
        let pulls = self.pulls(0.05, |origin| match origin {
            Origin::Law | Origin::Launcher => 30.0,
            Origin::Asked => 4.0,
            Origin::LikeAServe => 1.0,
        });
        let walked = |pulls: &[Pull], from| walk(self.request, self.constants, pulls, from);
        let price = |landing: &Landing| cost(&pulls, &landing.measured);
        let by_price = |a: &Landing, b: &Landing| price(a).total_cmp(&price(b));
        let led = |keeps: &dyn Fn(Origin) -> bool, from: &[[f64; 3]]| {
            let only = self.pulls(0.05, |origin| if keeps(origin) { 1.0 } else { 0.0 });
            let there = from.iter().filter_map(|&from| walked(&only, from));
            there.filter(|there| self.is_met(there, keeps)).min_by(by_price)
        };
        let starts = starts(self.request, self.constants);
        let ends = starts.iter().filter_map(|&start| walked(&pulls, start));
        let leaning = different(ends.collect());
        let ends: Vec<[f64; 3]> = leaning.iter().map(|end| end.unknowns).collect();
        let leaning = leaning.into_iter().min_by(by_price)?;
        let firm = |origin| matches!(origin, Origin::Law | Origin::Launcher);
        // All ends may lie in one dead corner; the starts themselves lead out of it.
        let out_of_a_corner = || {
            let possible = led(&firm, &starts)?;
            let better = walked(&pulls, possible.unknowns)?;
            led(&firm, &[better.unknowns]).into_iter().chain([possible]).min_by(by_price)
        };
        let ball = led(&|origin| origin != Origin::LikeAServe, &ends)
            .or_else(|| led(&firm, &ends))
            .or_else(out_of_a_corner)
            .unwrap_or(leaning);
        Some(Nearest { ball, leaning, pulls })
    }

    /// Flies the launch at full accuracy and says what it does. None when it is not legal at all.
    fn finish(&self, way: &Landing) -> Option<Aimed> {
        let throw = self.request.throw;
        let launch = self.request.launch(way.unknowns);
        let until = Until { bounces: throw.own_bounces() + 2, time_s: 6.0 };
        let path = follow(&launch.motion(), self.constants, until, STEP_S);
        if path.fault(throw).is_some() {
            return None;
        }
        let outcome = BallOutcome::read_path(&path, throw)?;
        let keeps = self.keeps(&launch, THROWS);
        Some(Aimed { launch, throw, outcome, family: self.family(way), keeps })
    }
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

fn is_same(one: &Landing, other: &Landing) -> bool {
    let near = [0.02, 0.1, 0.1];
    (0..3).all(|i| (one.unknowns[i] - other.unknowns[i]).abs() < near[i])
}

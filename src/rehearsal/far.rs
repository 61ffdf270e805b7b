//! Distance and tempo as a bridge: far back and slow first, then from where a server stands.

use crate::base::Dice;
use crate::game::{Depth, Pace};
use crate::launcher::{SetUp, Stand, Throw, Thrown};
use crate::rehearsal::answer::{answer, suits};
use crate::rehearsal::settle::Draft;
use crate::rehearsal::shares::apportion;
use crate::rehearsal::vary::dealt;
use crate::rehearsal::work::{Work, received};
use crate::rehearsal::{Ball, Phase, Variation};

/// Far back and slow, then from the usual place.
pub(super) fn far_then_close(
    work: &mut Work<'_>,
    base: usize,
    count: u32,
    dice: &mut Dice,
) -> Vec<Draft> {
    if count < 8 {
        return Vec::new();
    }
    let home = work.place(base);
    let far = match &work.request.launcher.machine {
        Some(machine) => SetUp::of_machine(machine, Stand::FarBack, home.from, work.server),
        None => {
            SetUp { stand: Stand::FarBack, behind_line_m: Stand::FarBack.behind_line_m(), ..home }
        }
    };
    let shares = apportion(count, &[1.0, 1.0], 0);
    // From far back every ball is fed long: a service cannot be copied from there.
    let all: Vec<usize> = if work.kind().mixes_freely() { work.all() } else { vec![base] };
    let long: Vec<Ball> = all
        .iter()
        .filter_map(|&place| {
            let pattern = &work.patterns[place];
            let thrown = Thrown {
                throw: Throw::Feed,
                depth: Depth::Long,
                pace: Pace::Slow,
                ..pattern.mixed
            };
            // The same swing far and close, unless this is another serve of the deck.
            let (serve, receive) = match answer(work, &thrown, pattern) {
                Some((Some(serve), receive)) => (Some(serve), receive),
                _ if suits(&thrown, &pattern.serve, &pattern.receive) => {
                    (None, pattern.receive.clone())
                }
                other => other?,
            };
            suits(&thrown, &pattern.serve, &receive).then(|| Ball {
                serve,
                receive: Some(receive),
                ..received(pattern, thrown)
            })
        })
        .collect();
    if long.is_empty() {
        return Vec::new();
    }
    // Where all serves take turns the block is about none of them.
    let around = Some(work.patterns[base].serve.id.clone()).filter(|_| all.len() == 1);
    let far_draft = Draft {
        around: around.clone(),
        is_slow: true,
        ..Draft::of(Phase::Vary, Variation::FarThenClose, far, dealt(&long, shares[0], dice))
    };
    let mut before = Vec::new();
    let mut close = Vec::new();
    for _ in 0..shares[1] {
        let place = work.pick(&all, &before, dice);
        before.push(place);
        let pattern = &work.patterns[place];
        close.push(received(pattern, pattern.mixed));
    }
    let close_draft =
        Draft { around, ..Draft::of(Phase::Vary, Variation::FarThenClose, home, close) };
    vec![far_draft, close_draft]
}

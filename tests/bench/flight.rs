//! Benches of the flight model: one flight of three bounces, one aim, a deck of 40 serves, refusals,
//! and of the bat: one impact, one face, the room of a deck.
//!
//! `cargo bench --bench flight`; what they have to reach stands beside each.
#![expect(clippy::unwrap_used, reason = "a bench that cannot run has to stop")]

use std::hint::black_box;

use criterion::{BatchSize, Criterion, criterion_group, criterion_main};
use secondball::deck::Deck;
use secondball::flight::aim::{Band, Measure, Request, aim};
use secondball::flight::bat::{BatAt, BatLaw, BatSwing};
use secondball::flight::{BallMotion, Constants, Launch, SpinRate, Until, fly};
use secondball::game::{Covering, Depth, Receive, Serve, Spin};
use secondball::receive::Bats;

const OUTLET_M: [f64; 3] = [-0.1, 0.6, 0.25];

fn flight(bench: &mut Criterion) {
    let constants = Constants::default();
    let launch = Launch {
        outlet_m: OUTLET_M,
        speed_m_s: 6.7,
        elevation_deg: -13.0,
        azimuth_deg: -20.0,
        spin: SpinRate { top_rev_s: -20.0, side_rev_s: 20.0, gyro_rev_s: 0.0 },
    };
    bench.bench_function("one flight, three bounces (reach 20 us)", |b| {
        b.iter(|| fly(black_box(&launch), &constants, Until::default()).unwrap());
    });
}

fn aiming(bench: &mut Criterion) {
    let constants = Constants::default();
    let exact = Request::service(OUTLET_M, SpinRate::top(-30.0))
        .across(-0.4)
        .wish(Measure::NextBounceX, Band::exactly(2.5))
        .wish(Measure::NetClearance, Band::exactly(0.03));
    bench.bench_function("one aim, three exact targets (reach 3 ms)", |b| {
        b.iter(|| aim(black_box(&exact), &constants, 1).unwrap());
    });
    let class = Request::service(OUTLET_M, SpinRate::top(-30.0))
        .across(-0.4)
        .depth(Depth::Short)
        .like_a_serve();
    bench.bench_function("one aim, a depth like a serve (reach 3 ms)", |b| {
        b.iter(|| aim(black_box(&class), &constants, 1).unwrap());
    });
    let refused = Request::service([-0.1, 0.0, 0.45], SpinRate::top(-40.0))
        .across(0.0)
        .depth(Depth::Short)
        .like_a_serve();
    bench.bench_function("one refusal, unlike a serve (reach 20 ms)", |b| {
        b.iter(|| aim(black_box(&refused), &constants, 1).unwrap_err());
    });
    let cornered = Request::service([-0.4, 0.0, 0.25], SpinRate::DEAD)
        .across(0.0)
        .depth(Depth::Long)
        .wish(Measure::ReleaseToBounce, Band::at_most(0.5))
        .launcher_limit(Measure::Elevation, Band::between(-3.0, 40.0));
    bench.bench_function("one refusal, a launcher's limit (reach 20 ms)", |b| {
        b.iter(|| aim(black_box(&cornered), &constants, 1).unwrap_err());
    });
    let mut deck = Vec::new();
    for &depth in Depth::ALL {
        for lane in [-0.5, -0.25, 0.0, 0.25] {
            for spin in [SpinRate::top(-40.0), SpinRate::top(-15.0), SpinRate::side(25.0)] {
                deck.push(
                    Request::service(OUTLET_M, spin).across(lane).depth(depth).like_a_serve(),
                );
            }
        }
    }
    let deck: Vec<_> = deck.iter().cycle().take(40).collect();
    bench.bench_function("a deck of 40 serves (reach 100 ms)", |b| {
        b.iter(|| deck.iter().filter(|asked| aim(asked, &constants, 1).is_ok()).count());
    });
}

fn bat(bench: &mut Criterion) {
    let constants = Constants::default();
    let law = BatLaw::from_covering(Covering::Inverted);
    let way = BatAt { bat_m_s: 3.2, up_deg: -14.0, open_deg: 36.0, aside_deg: 0.0 };
    let swing = BatSwing { ways: [way; 3], turns_whole: true, length_m: 0.2 };
    let coming = BallMotion {
        position_m: [2.18, 0.0, 0.2],
        velocity_m_s: [2.1, -0.6, 0.0],
        spin_rad_s: [-49.0, -176.0, 0.0],
    };
    bench.bench_function("one impact and flight (reach 20 us)", |b| {
        b.iter(|| way.answer(&law, &constants, black_box(&coming)));
    });
    bench.bench_function("all faces for one landing (reach 1 ms)", |b| {
        b.iter(|| swing.solve(&law, &constants, black_box(&coming), way, [0.95, 0.0]));
    });
    let mut deck = Deck::default();
    let serves = Depth::ALL.iter().flat_map(|&depth| {
        [Spin::Backspin, Spin::Dead, Spin::SideTopspin, Spin::SideBackspin]
            .map(|spin| (Some(depth), Some(spin)))
    });
    deck.serves = serves
        .enumerate()
        .map(|(place, (depth, spin))| Serve {
            id: format!("s{place}").parse().unwrap(),
            depth,
            spin,
            ..Serve::default()
        })
        .collect();
    let receives = [
        "touch to short",
        "push to long",
        "push heavy to long",
        "flick to long",
        "banana_flick to long",
        "slow_loop to long",
        "drive to long",
        "block to long",
    ];
    let receives: Vec<Receive> = receives.iter().map(|words| words.parse().unwrap()).collect();
    // A new one each time: it remembers what it has computed.
    bench.bench_function("room of 12 serves x 8 receives (reach 300 ms)", |b| {
        let fly = || Bats::fly(&deck, None, &constants);
        b.iter_batched(fly, |bats| bats.rooms(&deck, &receives).len(), BatchSize::LargeInput);
    });
    bench.bench_function("flights of 12 serves", |b| {
        b.iter(|| Bats::fly(&deck, None, &constants));
    });
}

criterion_group!(benches, flight, aiming, bat);
criterion_main!(benches);

//! How long a proven plan takes: the quartet's setup, and random setups by size.
//!
//! A figure for a size is the time for all of its setups together, one after the
//! other. The seeds are fixed, so that figures of two versions compare.

#[path = "../tests/common/random_setup.rs"]
#[allow(dead_code, reason = "shared with the oracle's tests and the laws")]
mod random_setup;

use std::hint::black_box;
use std::time::Duration;

use criterion::{BenchmarkId, Criterion, criterion_group, criterion_main};
use random_setup::mid::{Family, mid_setup};
use wattberth::{Setup, Status, assign};

const QUARTET: &str = include_str!("../fixtures/quartet.json");

/// One size of a family: devices, ports, and the seeds of its setups.
type Size = (usize, usize, &'static [u64]);

const SIZES: [(Family, &[Size]); 4] = [
    (
        Family::Pools,
        &[
            (4, 5, &[0, 1, 2]),
            (8, 9, &[0, 1, 2]),
            (12, 14, &[5, 7, 9]),
            (16, 18, &[8, 9, 10]),
            (24, 27, &[13]),
            (32, 36, &[13]),
        ],
    ),
    (
        Family::Combinations,
        &[
            (4, 5, &[0, 1, 2]),
            (8, 9, &[0, 1, 2]),
            (12, 14, &[0, 1, 2]),
            (16, 18, &[0]),
        ],
    ),
    (
        Family::Alike,
        &[
            (4, 5, &[0, 1, 2]),
            (8, 9, &[0, 1, 2]),
            (12, 14, &[1, 4, 5]),
            (16, 18, &[2, 6, 8]),
            (24, 27, &[13]),
        ],
    ),
    (
        Family::Mixed,
        &[
            (4, 5, &[0, 1, 2]),
            (8, 9, &[0, 1, 2]),
            (12, 14, &[0, 1, 2]),
            (16, 18, &[0, 1, 2]),
            (24, 27, &[6, 10, 11]),
            (32, 36, &[6, 10, 18]),
        ],
    ),
];

/// A setup that is proven within the default budget: a figure for one that is not would
/// be the budget's.
fn proven(json: &str) -> Setup {
    let setup = Setup::from_json(json).expect("the text is a valid setup");
    let plan = assign(&setup).expect("it has a plan");
    assert_eq!(plan.status, Status::Optimal, "{json}");
    setup
}

fn quartet(c: &mut Criterion) {
    let mut group = c.benchmark_group("quartet");
    let setup = proven(QUARTET);
    group.bench_function("assign", |b| b.iter(|| assign(black_box(&setup))));
    group.bench_function("from JSON to JSON", |b| {
        b.iter(|| {
            let setup = Setup::from_json(black_box(QUARTET)).expect("proven above");
            assign(&setup).expect("proven above").to_json()
        });
    });
    group.finish();
}

fn by_size(c: &mut Criterion) {
    for (family, sizes) in &SIZES {
        let mut group = c.benchmark_group(format!("{family:?}"));
        for &(devices, ports, seeds) in *sizes {
            let setups: Vec<Setup> = seeds
                .iter()
                .map(|&seed| proven(&mid_setup(seed, devices, ports, *family)))
                .collect();
            group.bench_with_input(
                BenchmarkId::from_parameter(devices),
                &setups,
                |b, setups| {
                    b.iter(|| {
                        for setup in setups {
                            let _ = black_box(assign(black_box(setup)));
                        }
                    });
                },
            );
        }
        group.finish();
    }
}

criterion_group! {
    name = benches;
    config = Criterion::default()
        .sample_size(10)
        .warm_up_time(Duration::from_millis(500))
        .measurement_time(Duration::from_secs(2));
    targets = quartet, by_size
}
criterion_main!(benches);

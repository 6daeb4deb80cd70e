//! How long a proven plan takes: the quartet's setup, and measured setups by family and
//! size.
//!
//! A figure for a size is the time for its first seeds together, one after the other,
//! so that figures of two versions compare. `levels.rs` has medians and worst cases.

#[path = "../tests/common/random_setup.rs"]
#[allow(dead_code, reason = "shared with the oracle's tests and the laws")]
mod random_setup;

use std::hint::black_box;
use std::time::Duration;

use criterion::{BenchmarkId, Criterion, criterion_group, criterion_main};
use random_setup::measured::Measured;
use wattberth::{Setup, SolveOptions, Status, assign, assign_with};

const QUARTET: &str = include_str!("../fixtures/quartet.json");

const SEEDS: u64 = 5;

/// A size is left out where one of its setups is not proven within this.
const LONGEST: Duration = Duration::from_secs(2);

fn sizes(family: Measured) -> &'static [usize] {
    match family {
        Measured::Tables => &[8, 12, 16],
        Measured::Sold => &[8],
        _ => &[4, 8, 16, 32, 64],
    }
}

fn is_proven(setup: &Setup) -> bool {
    let mut options = SolveOptions::default();
    options.time_limit = Some(LONGEST);
    let plan = assign_with(setup, &options).expect("it has a plan");
    plan.status == Status::Optimal
}

fn quartet(c: &mut Criterion) {
    let mut group = c.benchmark_group("quartet");
    let setup = Setup::from_json(QUARTET).expect("a valid setup");
    assert!(is_proven(&setup), "a figure would be the limit's");
    group.bench_function("assign", |b| b.iter(|| assign(black_box(&setup))));
    group.bench_function("from JSON to JSON", |b| {
        b.iter(|| {
            let setup = Setup::from_json(black_box(QUARTET)).expect("read above");
            assign(&setup).expect("planned above").to_json()
        });
    });
    group.finish();
}

/// The first seeds of a size; none where one of them is not proven soon enough, since a
/// figure would then be the limit's.
#[allow(clippy::print_stderr, reason = "what is left out is to be seen")]
fn setups(family: Measured, size: usize) -> Option<Vec<Setup>> {
    let mut setups = Vec::new();
    for seed in 0..SEEDS {
        let setup = Setup::from_json(&family.setup(seed, size)).expect("a valid setup");
        if !is_proven(&setup) {
            let (name, seconds) = (family.name(), LONGEST.as_secs());
            eprintln!("{name}/{size}: left out, seed {seed} is not proven within {seconds} s");
            return None;
        }
        setups.push(setup);
    }
    Some(setups)
}

fn by_size(c: &mut Criterion) {
    for family in Measured::ALL {
        let mut group = c.benchmark_group(family.name());
        for &size in sizes(family) {
            let Some(setups) = setups(family, size) else {
                continue;
            };
            group.bench_with_input(BenchmarkId::from_parameter(size), &setups, |b, setups| {
                b.iter(|| {
                    for setup in setups {
                        let _ = black_box(assign(black_box(setup)));
                    }
                });
            });
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

//! How long a night takes to draw up, from its plan: every contract kept, and shared anew.

#[path = "../tests/common/random_setup.rs"]
#[allow(dead_code, reason = "shared with the oracle's tests and the laws")]
mod random_setup;

use std::hint::black_box;

use criterion::{BenchmarkId, Criterion, criterion_group, criterion_main};
use random_setup::measured::Measured;
use wattberth::{
    Level, Plan, Setup, Sharing, SolveOptions, Timeline, TimelineOptions, assign_with,
    timeline_with,
};

const QUARTET: &str = include_str!("../fixtures/quartet.json");
const DRESSING_ROOM: &str = include_str!("../fixtures/dressing-room.json");

fn planned(json: &str) -> (Setup, Plan) {
    let setup = Setup::from_json(json).expect("a valid setup");
    let mut options = SolveOptions::default();
    // A night can be drawn up of any plan.
    options.until = Level::Longest;
    let plan = assign_with(&setup, &options).expect("it has a plan");
    (setup, plan)
}

fn night(setup: &Setup, plan: &Plan, sharing: Sharing) -> Timeline {
    let mut options = TimelineOptions::default();
    options.sharing = sharing;
    timeline_with(setup, plan, &options).expect("its own plan")
}

fn nights(c: &mut Criterion) {
    let mut group = c.benchmark_group("night");
    let mut setups = vec![
        ("quartet".to_owned(), planned(QUARTET)),
        ("dressing room".to_owned(), planned(DRESSING_ROOM)),
    ];
    for size in [16, 64] {
        let name = format!("{size} devices");
        setups.push((name, planned(&Measured::UnlikeMid.setup(0, size))));
    }
    for (name, (setup, plan)) in &setups {
        for (way, sharing) in [("held", Sharing::Held), ("reshared", Sharing::Reshared)] {
            group.bench_function(BenchmarkId::new(way, name), |b| {
                b.iter(|| night(black_box(setup), plan, sharing));
            });
        }
    }
    group.finish();
}

criterion_group!(benches, nights);
criterion_main!(benches);

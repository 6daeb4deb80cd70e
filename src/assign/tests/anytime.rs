//! A search that is stopped, and one that begins with something: bounds hold of the best plan,
//! a start changes no answer of a search that ends, and who is told can end it.

use std::ops::ControlFlow;
use std::sync::Arc;
use std::sync::atomic::{AtomicU32, Ordering};

use serde_json::{Value, json};

use super::random_setup::measured::Measured;
use super::random_setup::mid::{Family, mid_setup};
use super::random_setup::{night, open, small_setup};
use crate::plan::bounds::{BoundedLevel, LevelBound};
use crate::plan::rota::Rota;
use crate::plan::{Plan, Status};
use crate::setup::Setup;
use crate::{
    ObjectiveValue, OnProgress, SolveOptions, assign, assign_from, assign_from_with, assign_with,
    rota_from_with, rota_with, verify, verify_rota,
};

/// Every rule of the model in few devices, and some families that take a search.
fn setups() -> impl Iterator<Item = Setup> {
    texts().map(|text| Setup::from_json(&text).expect("a valid setup"))
}

/// Without a tolerance, so that what is as good before is equal.
fn exact(text: &str) -> Setup {
    let mut setup: Value = serde_json::from_str(text).expect("the generator writes JSON");
    setup["tolerance_h"] = json!(0);
    Setup::from_json(&setup.to_string()).expect("a valid setup")
}

fn texts() -> impl Iterator<Item = String> {
    let small = (70_000..70_100).map(small_setup);
    let open = (70_000..70_060).map(open::small_setup);
    let mid = (0..12).map(|seed| {
        let family = Family::ALL[usize::try_from(seed).expect("a small number") % 4];
        mid_setup(seed, 7, 8, family)
    });
    let measured = [Measured::UnlikeBind, Measured::Tables, Measured::Crowded]
        .into_iter()
        .flat_map(|family| (0..3).map(move |seed| family.setup(seed, 8)));
    small.chain(open).chain(mid).chain(measured)
}

fn nights() -> impl Iterator<Item = String> {
    let small = (70_000..70_060).map(night::night_setup);
    let measured = [Measured::Rota, Measured::Scarce]
        .into_iter()
        .flat_map(|family| (0..3).map(move |seed| family.setup(seed, 7)));
    small.chain(measured)
}

fn within(budget: u64) -> SolveOptions {
    SolveOptions {
        budget,
        ..SolveOptions::default()
    }
}

/// A level by its number in the order, its part and what an answer has of it.
type Place = ((BoundedLevel, Option<usize>, Option<usize>), f64);

fn places(of: &ObjectiveValue, rest: [f64; 2]) -> Vec<Place> {
    let count = |count: usize| f64::from(u32::try_from(count).expect("a small number"));
    let mut places = Vec::new();
    for (priority, &unserved) in (1..).zip(&of.unserved_by_priority) {
        let part = (BoundedLevel::Unserved, Some(priority), None);
        places.push((part, count(unserved)));
    }
    places.push(((BoundedLevel::Missing, None, None), of.missing_wh));
    for (priority, &late) in (1..).zip(&of.late_by_priority) {
        places.push(((BoundedLevel::Late, Some(priority), None), count(late)));
    }
    places.push(((BoundedLevel::Longest, None, None), of.longest_h));
    for (class, priority) in [(0, None), (1, Some(3))] {
        for (place, hours) in (1..).zip(of.times_of(class)) {
            places.push(((BoundedLevel::Time, priority, Some(place)), hours));
        }
    }
    let [swaps, watts] = rest;
    places.push(((BoundedLevel::Swaps, None, None), swaps));
    places.push(((BoundedLevel::Hours, None, None), of.weighted_h));
    places.push(((BoundedLevel::Watts, None, None), watts));
    places
}

/// Holds bounds against a best answer, as far as it is as good as the stopped one before; how
/// many could be held.
fn hold(bounds: &[LevelBound], stopped: &[Place], best: &[Place]) -> usize {
    let mut held = 0;
    for (&(place, value), &(_, least)) in stopped.iter().zip(best) {
        let own = bounds
            .iter()
            .find(|of| (of.level, of.priority, of.place) == place);
        if let Some(of) = own {
            let bound = of.bound;
            assert!(bound <= least + 1e-6, "{place:?}: {bound} is above {least}");
            held += 1;
        }
        // The longest time of all is no level by itself.
        if place.0 != BoundedLevel::Longest && (value - least).abs() > 1e-9 {
            break;
        }
    }
    held
}

#[test]
fn bounds_hold_of_the_best_plan() {
    let mut held = 0;
    for setup in texts().map(|text| exact(&text)) {
        let best = assign(&setup).expect("a plan");
        if best.status != Status::Optimal {
            continue;
        }
        assert!(best.bounds.is_empty(), "{:?}", best.bounds);
        let places = |plan: &Plan| {
            let value = ObjectiveValue::of(&setup, plan);
            places(&value, [0.0, value.total_w])
        };
        for budget in [1, 3, 10, 40, 160, 640] {
            let stopped = assign_with(&setup, &within(budget)).expect("a plan");
            assert!(verify(&setup, &stopped).is_ok());
            held += hold(&stopped.bounds, &places(&stopped), &places(&best));
            assert!(
                stopped
                    .bound_unserved
                    .is_none_or(|bound| bound <= best.unserved)
            );
        }
    }
    assert!(held > 400, "{held} bounds only");
}

#[test]
fn bounds_hold_of_the_best_rota() {
    let mut held = 0;
    for setup in nights().map(|text| exact(&text)) {
        let best = rota_with(&setup, &SolveOptions::default()).expect("a rota");
        if best.status != Status::Optimal {
            continue;
        }
        let places = |rota: &Rota| {
            let swaps = f64::from(u32::try_from(rota.swaps).expect("a small number"));
            places(
                &ObjectiveValue::of_rota(&setup, rota),
                [swaps, rota.held_wh],
            )
        };
        for budget in [1, 10, 100, 1_000] {
            let stopped = rota_with(&setup, &within(budget)).expect("a rota");
            assert!(verify_rota(&setup, &stopped).is_ok());
            held += hold(&stopped.bounds, &places(&stopped), &places(&best));
        }
    }
    assert!(held > 60, "{held} bounds only");
}

#[test]
fn a_start_changes_no_answer_of_a_search_that_ends() {
    for (seed, setup) in setups().enumerate() {
        let best = assign(&setup).expect("a plan");
        if best.status != Status::Optimal {
            continue;
        }
        let early = assign_with(&setup, &within(1)).expect("a plan");
        let mut fewer = best.clone();
        fewer.berths.truncate(best.berths.len().div_ceil(2));
        let mut turned = best.clone();
        for (berth, other) in turned.berths.iter_mut().zip(best.berths.iter().rev()) {
            berth.device.clone_from(&other.device);
        }
        for start in [&best, &early, &fewer, &turned] {
            let plan = assign_from(&setup, start).expect("a plan");
            assert_eq!(plan, best, "setup {seed}");
        }
    }
    for (seed, text) in nights().enumerate() {
        let setup = Setup::from_json(&text).expect("a valid setup");
        let best = rota_with(&setup, &SolveOptions::default()).expect("a rota");
        if best.status != Status::Optimal {
            continue;
        }
        let early = rota_with(&setup, &within(1)).expect("a rota");
        for start in [&best, &early]
            .into_iter()
            .filter(|start| !start.berths.is_empty())
        {
            let rota = rota_from_with(&setup, start, &SolveOptions::default());
            assert_eq!(rota.expect("a rota"), best, "night {seed}");
        }
    }
}

/// Ends the search as soon as it tells anything.
fn stopping() -> (SolveOptions, Arc<AtomicU32>) {
    let told = Arc::new(AtomicU32::new(0));
    let progress = OnProgress::deciding({
        let told = Arc::clone(&told);
        move |_| {
            told.fetch_add(1, Ordering::Relaxed);
            ControlFlow::Break(())
        }
    });
    let options = SolveOptions {
        progress: Some(progress),
        ..SolveOptions::default()
    };
    (options, told)
}

#[test]
fn a_search_that_is_stopped_at_once_is_no_worse_than_its_start() {
    for (seed, setup) in setups().enumerate() {
        let best = assign(&setup).expect("a plan");
        if best.status != Status::Optimal || best.berths.is_empty() {
            continue;
        }
        let (options, _) = stopping();
        let stopped = assign_from_with(&setup, &best, &options).expect("a plan");
        let [stopped, best] = [&stopped, &best].map(|plan| ObjectiveValue::of(&setup, plan));
        let beyond = stopped.first_time_beyond(&best, crate::units::millionths(setup.tolerance_h));
        assert!(beyond.is_none(), "setup {seed}: {beyond:?}");
        let counts = |value: &ObjectiveValue| (value.unserved_by_priority, value.late_by_priority);
        assert_eq!(counts(&stopped), counts(&best), "setup {seed}");
    }
}

#[test]
fn who_is_told_can_end_the_search() {
    let setup = Setup::from_json(&Measured::UnlikeBind.setup(0, 12)).expect("a valid setup");
    let (options, told) = stopping();
    let plan = assign_with(&setup, &options).expect("a plan");
    assert_eq!(
        (plan.status, told.load(Ordering::Relaxed)),
        (Status::Feasible, 1)
    );
    assert!(!plan.berths.is_empty());
}

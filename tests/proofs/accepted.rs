//! Every plan has a proof that is accepted.

use wattberth::{Level, Proof, SolveOptions, Status, assign_with, prove_with, verify_with_proof};

use super::random_setup::mid::{Family, mid_setup};
use super::random_setup::small_setup;
use super::{by_times, cases, claimed, exactly, millionths, planned, proven, setup};

#[test]
fn every_small_plan_is_proven() {
    for seed in 0..cases(1000) {
        let json = small_setup(seed);
        for json in [by_times(&json), exactly(&json), json] {
            let setup = setup(&json);
            let plan = planned(&setup);
            let proof = proven(&setup, &plan);
            let read = Proof::from_json(&proof.to_json()).expect("our own text");
            assert_eq!(read, proof, "seed {seed}");
            let found = verify_with_proof(&setup, &plan, &read).violations;
            assert_eq!(found, [], "seed {seed}");
        }
    }
}

/// Also that every kind of number and of split occurs, so that the other tests have
/// something to change.
#[test]
fn mid_sized_plans_are_proven_in_every_way_there_is() {
    let mut text = String::new();
    let all = Family::ALL.into_iter().flat_map(|family| {
        let sizes = [(8, 8), (8, 6), (12, 9)];
        let seeds = sizes
            .into_iter()
            .flat_map(|size| (0..4).map(move |seed| (seed, size)));
        seeds.map(move |(seed, size)| (seed, size, family))
    });
    // A device is hardly ever what remains to be split on, by what it takes least of all: found
    // by trying.
    let all = all.chain([(52, (8, 8), Family::Pools), (17, (8, 8), Family::Alike)]);
    let mid = all.map(|(seed, (devices, ports), family)| mid_setup(seed, devices, ports, family));
    for document in mid.chain([658, 1613].map(small_setup)) {
        let setup = setup(&exactly(&document));
        let plan = planned(&setup);
        assert_eq!(plan.status, Status::Optimal);
        let proof = proven(&setup, &plan);
        assert!(verify_with_proof(&setup, &plan, &proof).is_ok());
        text += &proof.to_json();
    }
    for part in [
        "unserved-1",
        "unserved-2",
        "unserved-3",
        "\"less\":\"missing\"",
        "late-1",
        "late-2",
        "\"less\":\"longest\"",
        "\"device\"",
        "\"lines\"",
        "\"ports\":[[",
        "\"ways\":{\"ports\":[",
        "\"takes\"",
        "\"stays\"",
        "\"twins\"",
    ] {
        assert!(text.contains(part), "no proof has {part}");
    }
}

/// Within a tolerance what comes after the longest time is the harder part, and no proof is
/// about it: the search need not have come so far.
#[test]
fn a_plan_settled_as_far_as_the_longest_time_has_a_proof() {
    let mut options = SolveOptions::default();
    options.until = Level::Longest;
    for family in Family::ALL {
        for seed in 0..6 {
            let setup = setup(&by_times(&mid_setup(seed, 12, 9, family)));
            let plan = assign_with(&setup, &options).expect("a plan");
            let at = format!("{family:?}, seed {seed}");
            assert_eq!(plan.status, Status::Feasible, "{at}");
            assert_eq!(plan.settled, Some(Level::Longest), "{at}");
            let claimed = claimed(&proven(&setup, &plan));
            let bound_h = plan.bound_h.expect("the longest is settled");
            let longest = claimed.last().copied().expect("eight numbers");
            assert_eq!(longest, millionths(bound_h), "{at}");
        }
    }
}

/// The status says how far the search came, not how good the plan is.
#[test]
fn a_plan_that_was_not_proven_has_a_proof_where_it_is_best() {
    let (mut with, mut without) = (0, 0);
    for seed in 0..200 {
        let setup = setup(&exactly(&small_setup(seed)));
        let mut options = SolveOptions::default();
        options.budget = 2;
        let plan = assign_with(&setup, &options).expect("a plan");
        if plan.status == Status::Optimal {
            continue;
        }
        let best = claimed(&proven(&setup, &planned(&setup)));
        match plan.proof(&setup) {
            Ok(proof) => {
                with += 1;
                assert_eq!(claimed(&proof), best, "seed {seed}");
            }
            Err(_) => without += 1,
        }
    }
    assert!(with >= 5 && without >= 5, "{with} with, {without} without");
}

#[test]
fn the_same_setup_gives_the_same_proof() {
    for seed in 0..20 {
        let setup = setup(&by_times(&mid_setup(seed, 6, 6, Family::Combinations)));
        let plan = planned(&setup);
        assert_eq!(
            proven(&setup, &plan).to_json(),
            proven(&setup, &plan).to_json()
        );
    }
}

#[test]
fn a_budget_too_small_gives_no_proof_and_says_so() {
    let setup = setup(&by_times(&mid_setup(0, 12, 12, Family::Combinations)));
    let plan = planned(&setup);
    let mut options = SolveOptions::default();
    options.budget = 1;
    let error = prove_with(&setup, &plan, &options).expect_err("one step does not do");
    assert!(error.to_string().contains("a limit struck"), "{error}");
    options.budget = 0;
    let error = prove_with(&setup, &plan, &options).expect_err("no budget");
    assert!(error.to_string().contains("at least 1"), "{error}");
}

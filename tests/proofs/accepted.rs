//! Every plan has a proof that is accepted.

use wattberth::{
    Level, Proof, SolveOptions, Status, assign_with, prove_rota_with, prove_whole_rota_with,
    prove_whole_with, prove_with, rota, verify_rota_with_proof, verify_with_proof,
};

use super::random_setup::mid::{Family, mid_setup};
use super::random_setup::night::night_setup;
use super::random_setup::small_setup;
use super::{
    by_times, cases, claimed, exactly, is_proof, millionths, names, planned, proven, setup,
};

#[test]
fn every_small_plan_is_proven() {
    for seed in 0..cases(250) {
        let json = small_setup(seed);
        for json in [by_times(&json), exactly(&json), json] {
            let setup = setup(&json);
            let plan = planned(&setup);
            let proof = proven(&setup, &plan);
            let read = Proof::of_files(proof.files().to_vec()).expect("our own files");
            assert_eq!(read, proof, "seed {seed}");
            assert!(proof.is_of_times(), "seed {seed}");
            let found = verify_with_proof(&setup, &plan, &read).violations;
            assert_eq!(found, [], "seed {seed}");
        }
    }
}

#[test]
fn every_small_rota_is_proven() {
    for seed in 0..cases(250) {
        let json = night_setup(seed);
        for json in [by_times(&json), json] {
            let setup = setup(&json);
            let rota = rota(&setup).expect("the setup has a rota");
            let proof = prove_rota_with(&setup, &rota, &SolveOptions::default())
                .unwrap_or_else(|error| panic!("{error}: {json}"));
            let found = verify_rota_with_proof(&setup, &rota, &proof).violations;
            assert_eq!(found, [], "seed {seed}");
        }
    }
}

/// What comes after the longest time is claimed where a proof is found, and of these setups
/// it nearly always is.
#[test]
fn the_whole_order_is_proven_where_asked_for() {
    let (mut found, mut left_out) = (Vec::new(), 0);
    for seed in 0..cases(100) {
        let json = small_setup(seed);
        for json in [exactly(&json), json] {
            let setup = setup(&json);
            let plan = planned(&setup);
            let proof = prove_whole_with(&setup, &plan, &SolveOptions::default())
                .unwrap_or_else(|error| panic!("{error}: {json}"));
            assert!(proof.is_of_whole_order());
            let verified = verify_with_proof(&setup, &plan, &proof).violations;
            assert_eq!(verified, [], "seed {seed}");
            found.extend(names(&proof));
            left_out += proof.not_covered().len() - 1;
        }
        let setup = setup(&night_setup(seed));
        let rota = rota(&setup).expect("the setup has a rota");
        let proof = prove_whole_rota_with(&setup, &rota, &SolveOptions::default())
            .unwrap_or_else(|error| panic!("{error}: seed {seed}"));
        let verified = verify_rota_with_proof(&setup, &rota, &proof).violations;
        assert_eq!(verified, [], "seed {seed}");
        found.extend(names(&proof));
        left_out += proof.not_covered().len() - 1;
    }
    for name in [
        "time-2",
        "time-3",
        "spare-time-1",
        "swaps",
        "hours",
        "watts",
    ] {
        let times = found.iter().filter(|other| *other == name).count();
        assert!(times > 0, "no claim of {name}");
    }
    assert!(
        left_out * 20 <= found.len(),
        "{left_out} of {}",
        found.len()
    );
}

/// Also that every kind of claim and of step occurs, so that the other tests have something to
/// change.
#[test]
fn mid_sized_plans_are_proven_in_every_way_there_is() {
    let (mut found, mut steps) = (Vec::new(), String::new());
    let all = Family::ALL.into_iter().flat_map(|family| {
        let sizes = [(8, 8), (8, 6), (12, 9)];
        let seeds = sizes
            .into_iter()
            .flat_map(|size| (0..4).map(move |seed| (seed, size)));
        seeds.map(move |(seed, size)| (seed, size, family))
    });
    let mid = all.map(|(seed, (devices, ports), family)| mid_setup(seed, devices, ports, family));
    for (case, document) in mid.chain([658, 1613].map(small_setup)).enumerate() {
        let document = if case % 2 == 0 {
            exactly(&document)
        } else {
            document
        };
        let setup = setup(&document);
        let plan = planned(&setup);
        let proof = proven(&setup, &plan);
        assert!(verify_with_proof(&setup, &plan, &proof).is_ok());
        found.extend(names(&proof));
        for file in proof.files().iter().filter(|file| is_proof(file)) {
            steps += &file.text;
        }
    }
    for name in [
        "plan",
        "unserved-1",
        "unserved-2",
        "unserved-3",
        "missing",
        "late-1",
        "late-2",
        "longest",
    ] {
        assert!(
            found.iter().any(|other| other == name),
            "no claim of {name}"
        );
    }
    for part in [
        "\npol ",
        " * +",
        "\nrup >= 1 :",
        "\nrup 1 x",
        "\ndel id ",
        "SAT : ",
    ] {
        assert!(steps.contains(part), "no proof has {part:?}");
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
            let longest = claimed.last().copied().expect("nine numbers");
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
                // Devices of priority 3 may take longer.
                let but_its_own = |mut numbers: Vec<i64>| {
                    numbers.remove(7);
                    numbers
                };
                let own = but_its_own(claimed(&proof));
                assert_eq!(own, but_its_own(best), "seed {seed}");
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
        assert_eq!(proven(&setup, &plan), proven(&setup, &plan));
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

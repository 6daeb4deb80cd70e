//! A proof with one of its whole numbers changed.
//!
//! With the digests that it had, any change is refused. Whoever changes a number can also work
//! out the digests anew. What holds then: what is claimed must be exactly what it is, and every
//! row of a formula; another factor, or another row to add, may happen to make another proof,
//! and is accepted only if everything in it, worked out again, shows what is claimed. That none
//! of these ever shows what is false is in `false_claims.rs`.

use super::random_setup::mid::{Family, mid_setup};
use super::random_setup::small_setup;
use super::{
    CLAIMS, by_times, cases, is_proof, number, numbers, planned, proven, refusal, refusal_of,
    resealed, setup, with_number, with_text,
};

const SETUPS: u64 = 20;

fn changes(number: i128) -> Vec<i128> {
    let mut all = vec![
        number + 1,
        number - 1,
        -number,
        2 * number + 3,
        i128::from(i64::MAX),
        i128::from(u64::MAX) + 7,
    ];
    all.retain(|other| *other != number);
    all
}

#[test]
fn any_changed_number_is_refused() {
    let mut tried = 0_u64;
    for seed in 0..cases(SETUPS) {
        let json = small_setup(seed);
        let json = if seed % 2 == 0 { by_times(&json) } else { json };
        let setup = setup(&json);
        let plan = planned(&setup);
        let proof = proven(&setup, &plan);
        for file in proof.files() {
            // Every number of the claims, and some of each other file.
            let all = numbers(&file.text);
            let some = if file.name == CLAIMS {
                1
            } else {
                all.len() / 10 + 1
            };
            for at in all.iter().step_by(some) {
                for other in changes(number(&file.text, at)) {
                    tried += 1;
                    let changed = with_number(&file.text, at, other);
                    let files = with_text(&proof, &file.name, &changed);
                    assert!(
                        refusal_of(&setup, &plan, files).is_some(),
                        "seed {seed}: {} of {} to {other}",
                        &file.text[at.clone()],
                        file.name
                    );
                }
            }
        }
    }
    assert!(tried > SETUPS * 50, "only {tried} changes");
}

#[test]
fn a_changed_claim_or_row_is_refused_with_digests_that_fit() {
    let (mut fixed, mut free, mut refused_free) = (0, 0, 0);
    let small = (0..cases(SETUPS)).map(small_setup);
    let mid = (0..2).map(|seed| mid_setup(seed, 5, 4, Family::Combinations));
    for (case, json) in small.chain(mid).enumerate() {
        let json = if case % 2 == 0 { json } else { by_times(&json) };
        let setup = setup(&json);
        let plan = planned(&setup);
        let proof = proven(&setup, &plan);
        for file in proof.files() {
            let all = numbers(&file.text);
            for at in all.iter().step_by(all.len() / 15 + 1) {
                for other in changes(number(&file.text, at)) {
                    let changed = with_number(&file.text, at, other);
                    let forged = resealed(with_text(&proof, &file.name, &changed));
                    let refused = refusal_of(&setup, &plan, forged).is_some();
                    if is_proof(file) {
                        free += 1;
                        refused_free += u32::from(refused);
                    } else {
                        fixed += 1;
                        assert!(refused, "case {case}: {at:?} to {other} in {}", file.name);
                    }
                }
            }
        }
    }
    assert!(fixed > 2_000 && free > 2_000, "{fixed} and {free} changes");
    // A factor of what matters to no one is the exception.
    assert!(refused_free * 10 >= free * 6, "{refused_free} of {free}");
}

#[test]
fn a_proof_is_of_one_setup_and_one_plan() {
    let (mut setups, mut plans) = (0, 0);
    for seed in 0..20 {
        let (one, other) = (
            setup(&by_times(&small_setup(seed))),
            setup(&small_setup(seed + 1)),
        );
        let (plan, other_plan) = (planned(&one), planned(&other));
        let (proof, other_proof) = (proven(&one, &plan), proven(&other, &other_plan));
        let refused = refusal(&one, &plan, &other_proof);
        setups += u32::from(refused.is_some_and(|why| why.contains("another setup")));
        // The same plan but for the wording of a caution.
        let mut changed = plan.clone();
        changed.cautions.push("unplug at noon".to_owned());
        let refused = refusal(&one, &changed, &proof);
        plans += u32::from(refused.is_some_and(|why| why.contains("another plan")));
    }
    assert_eq!((setups, plans), (20, 20));
}

/// Rows in another order are the same formula; the proof must then speak of them so.
#[test]
fn the_order_of_rows_is_the_writers() {
    let setup = setup(&by_times(&small_setup(4)));
    let plan = planned(&setup);
    let proof = proven(&setup, &plan);
    let lines: Vec<&str> = super::text(&proof, "plan.opb").lines().collect();
    let mut turned = vec![lines[0]];
    turned.extend(lines[1..].iter().rev());
    let forged = resealed(with_text(&proof, "plan.opb", &(turned.join("\n") + "\n")));
    assert_eq!(refusal_of(&setup, &plan, forged), None);
    let twice = [&lines[..], &lines[1..2]].concat().join("\n");
    let forged = resealed(with_text(&proof, "plan.opb", &twice));
    let why = refusal_of(&setup, &plan, forged).expect("it is refused");
    assert!(why.contains("plan.opb:1: says "), "{why}");
}

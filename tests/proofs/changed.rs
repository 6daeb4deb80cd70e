//! A proof with one of its whole numbers changed.
//!
//! With the digest that the file had, any change is refused. Whoever changes a number can
//! also work out the digest anew. What holds then: the claimed numbers, the version and
//! every bound must be exactly what they are; another price, or another split, may happen
//! to make another proof, and is accepted only if every bound in it, worked out again, is
//! the one that is written there and every node is shown empty. That none of these ever
//! shows what is false is in `false_claims.rs`.

use super::random_setup::mid::{Family, mid_setup};
use super::random_setup::small_setup;
use super::{
    by_times, cases, number, numbers, planned, proven, refusal, rehashed, setup, with_number,
};

const SETUPS: u64 = 120;

fn changes(number: i128) -> Vec<i128> {
    let mut all = vec![
        number + 1,
        number - 1,
        -number,
        2 * number + 3,
        0,
        i128::from(i64::MAX),
        i128::from(i64::MIN),
        i128::from(u64::MAX) + 7,
    ];
    all.retain(|other| *other != number);
    all
}

#[test]
fn any_changed_number_is_refused() {
    let mut tried = 0_u64;
    for seed in 0..cases(SETUPS) {
        let setup = setup(&by_times(&small_setup(seed)));
        let plan = planned(&setup);
        let text = proven(&setup, &plan).to_json();
        for at in numbers(&text) {
            for other in changes(number(&text, &at)) {
                tried += 1;
                let changed = with_number(&text, &at, other);
                let refused = refusal(&setup, &plan, &changed);
                assert!(
                    refused.is_some(),
                    "seed {seed}: {} to {other}",
                    &text[at.clone()]
                );
            }
        }
    }
    assert!(tried > SETUPS * 50, "only {tried} changes");
}

/// What stands before a number: the field that it belongs to.
fn field(text: &str, at: usize) -> &str {
    let before = &text[..at];
    let end = before.rfind("\":").expect("every number is of a field");
    let start = before[..end].rfind('"').expect("a field has a name");
    &before[start + 1..end]
}

#[test]
fn a_changed_claim_or_bound_is_refused_with_a_digest_that_fits() {
    let (mut fixed, mut free, mut refused_free) = (0, 0, 0);
    let small = (0..cases(SETUPS)).map(small_setup);
    let mid = (0..6).map(|seed| mid_setup(seed, 8, 6, Family::Combinations));
    for (case, json) in small.chain(mid).enumerate() {
        // A proof of who sits, or of the times too.
        let json = if case % 3 == 0 { json } else { by_times(&json) };
        let setup = setup(&json);
        let plan = planned(&setup);
        let text = proven(&setup, &plan).to_json();
        for at in numbers(&text) {
            let of_fixed = matches!(
                field(&text, at.start),
                "version" | "unserved" | "missing" | "late" | "longest" | "bound"
            );
            for other in changes(number(&text, &at)) {
                let Some(forged) = rehashed(&with_number(&text, &at, other)) else {
                    continue;
                };
                let refused = refusal(&setup, &plan, &forged);
                if of_fixed {
                    fixed += 1;
                    assert!(
                        refused.is_some(),
                        "case {case}: {at:?} to {other} in {text}"
                    );
                } else {
                    free += 1;
                    refused_free += u32::from(refused.is_some());
                }
            }
        }
    }
    assert!(fixed > 2_000 && free > 2_000, "{fixed} and {free} changes");
    // A price that is not part of any least cost is the rare exception.
    assert!(refused_free * 10 >= free * 8, "{refused_free} of {free}");
}

#[test]
fn a_proof_is_of_one_setup_and_one_plan() {
    let (mut setups, mut plans) = (0, 0);
    for seed in 0..40 {
        let (one, other) = (
            setup(&by_times(&small_setup(seed))),
            setup(&small_setup(seed + 1)),
        );
        let (plan, other_plan) = (planned(&one), planned(&other));
        let (proof, other_proof) = (proven(&one, &plan), proven(&other, &other_plan));
        let refused = refusal(&one, &plan, &other_proof.to_json());
        setups += u32::from(refused.is_some_and(|why| why.contains("another setup")));
        // The same plan but for the wording of a caution.
        let mut changed = plan.clone();
        changed.cautions.push("unplug at noon".to_owned());
        let refused = refusal(&one, &changed, &proof.to_json());
        plans += u32::from(refused.is_some_and(|why| why.contains("another plan")));
    }
    assert_eq!((setups, plans), (40, 40));
}

#[test]
fn white_space_in_setup_plan_and_proof_does_not_matter() {
    let json = small_setup(4);
    let document: serde_json::Value = serde_json::from_str(&json).expect("JSON");
    let spaced = format!("{document:#}");
    assert_ne!(spaced, json);
    let plan = planned(&setup(&json));
    let text = proven(&setup(&json), &plan).to_json();
    let read = wattberth::Plan::from_json(&plan.to_json().replace('\n', "\n\n")).expect("a plan");
    assert_eq!(
        refusal(&setup(&spaced), &read, &text.replace('\n', " ")),
        None
    );
}

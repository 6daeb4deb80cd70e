//! Proofs: every plan has one that is accepted, and no false claim has any.

#[path = "../common/random_setup.rs"]
#[allow(dead_code, reason = "shared with the oracle, the laws and the benches")]
mod random_setup;

use random_setup::mid::{Family, mid_setup};
use random_setup::small_setup;
use wattberth::{Setup, assign, verify_with_proof};

/// How many random setups, where the environment does not say.
const CASES: u64 = 300;

fn cases() -> u64 {
    let given = std::env::var("WATTBERTH_CASES").ok();
    given.and_then(|text| text.parse().ok()).unwrap_or(CASES)
}

#[test]
fn every_small_plan_is_proven() {
    for seed in 0..cases() {
        let setup = Setup::from_json(&small_setup(seed)).expect("generated setups are valid");
        let plan = assign(&setup).expect("a generated setup has a plan");
        let proof = plan
            .proof(&setup)
            .unwrap_or_else(|error| panic!("seed {seed}: {error}"));
        let found = verify_with_proof(&setup, &plan, &proof).violations;
        assert_eq!(found, [], "seed {seed}");
    }
}

#[test]
fn mid() {
    let n: usize = std::env::var("N")
        .ok()
        .and_then(|t| t.parse().ok())
        .unwrap_or(8);
    let seeds: u64 = std::env::var("SEEDS")
        .ok()
        .and_then(|t| t.parse().ok())
        .unwrap_or(5);
    for family in Family::ALL {
        for ports in [n, n * 3 / 4, n * 5 / 4] {
            for seed in 0..seeds {
                let json = mid_setup(seed, n, ports, family);
                let setup = Setup::from_json(&json).expect("generated setups are valid");
                let start = std::time::Instant::now();
                let plan = assign(&setup).expect("a generated setup has a plan");
                let t1 = start.elapsed();
                let start = std::time::Instant::now();
                let proof = plan.proof(&setup);
                let t2 = start.elapsed();
                match proof {
                    Ok(proof) => {
                        let start = std::time::Instant::now();
                        let found = verify_with_proof(&setup, &plan, &proof).violations;
                        assert_eq!(found, [], "seed {seed}");
                        println!(
                            "{family:?} {n}/{ports} {seed}: assign {t1:.1?} prove {t2:.1?} check {:.1?} nodes {} steps {} bytes {}",
                            start.elapsed(),
                            proof.nodes(),
                            proof.steps(),
                            proof.to_json().len()
                        );
                    }
                    Err(error) => println!(
                        "{family:?} {n}/{ports} {seed}: assign {t1:.1?} prove {t2:.1?} {error} FAILED"
                    ),
                }
            }
        }
    }
}

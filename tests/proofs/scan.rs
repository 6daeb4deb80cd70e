
use super::random_setup::mid::{Family, mid_setup};
use super::{planned, setup};
use std::time::Instant;
fn env(name: &str, or: u64) -> u64 { std::env::var(name).ok().and_then(|t| t.parse().ok()).unwrap_or(or) }
#[test]
#[ignore]
fn scan() {
    let n = env("N", 8) as usize;
    for family in Family::ALL {
        for ports in [n, n * 3 / 4, n * 5 / 4] {
            for seed in env("FROM", 0)..env("SEEDS", 5) {
                let setup = setup(&mid_setup(seed, n, ports, family));
                let start = Instant::now();
                let plan = planned(&setup);
                let t1 = start.elapsed();
                let start = Instant::now();
                let proof = plan.proof(&setup);
                let t2 = start.elapsed();
                match proof {
                    Ok(proof) => {
                        let text = proof.to_json();
                        let start = Instant::now();
                        assert_eq!(wattberth::verify_with_proof(&setup, &plan, &proof).violations, []);
                        println!("{family:?} {n}/{ports} {seed}: assign_us {} prove_us {} check_us {} nodes {} steps {} cables {} twins {} lines {} bytes {}", t1.as_micros(), t2.as_micros(), start.elapsed().as_micros(), proof.nodes(), proof.steps(), text.matches("\"cables\"").count(), text.matches("twins").count(),text.matches("\"lines\"").count(), text.len());
                    }
                    Err(error) => println!("{family:?} {n}/{ports} {seed}: assign_us {} prove_us {} {:?} FAILED {error}", t1.as_micros(), t2.as_micros(), plan.status),
                }
            }
        }
    }
}

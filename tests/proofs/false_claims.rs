//! No false claim has a proof that is accepted, whoever wrote it.
//!
//! The forger here knows the format, recomputes every digest, and starts from proofs that are
//! true of something near.

use serde_json::Value;
use wattberth::{Plan, Proof, ProofFile, Setup, Status, assign};

use super::random_setup::rng::Rng;
use super::random_setup::small_setup;
use super::{
    CLAIMS, cases, claimed, claims, exactly, is_proof, number, numbers, planned, proven,
    refusal_of, resealed, setup, sha256, with_number,
};

const SETUPS: u64 = 40;
/// Changes of one number, and of several, tried on each false claim.
const CHANGES: usize = 60;

/// Legal plans of a setup that are worse: the best ones with a device pinned elsewhere.
/// With each, the setup in which it is best.
fn worse(json: &str, whole: &Setup, best: &[i64]) -> Vec<(Plan, Setup)> {
    let document: Value = serde_json::from_str(json).expect("JSON");
    let mut found: Vec<(Plan, Setup)> = Vec::new();
    for (device, spec) in document["devices"]
        .as_array()
        .expect("devices")
        .iter()
        .enumerate()
    {
        if spec.get("count").is_some() || spec.get("port").is_some() {
            continue;
        }
        for charger in document["chargers"].as_array().expect("chargers") {
            for port in charger["ports"].as_array().expect("ports") {
                let mut pinned = document.clone();
                let name = |of: &Value| of["name"].as_str().expect("a name").to_owned();
                pinned["devices"][device]["port"] =
                    format!("{}/{}", name(charger), name(port)).into();
                let pinned = Setup::from_json(&pinned.to_string()).expect("a valid setup");
                let mut plan = assign(&pinned).expect("a plan");
                // It is said to be of the setup without the pin.
                (plan.program, plan.setup_sha256) = (None, None);
                // What nobody could do better in the setup without the pin is no false claim.
                let numbers = claimed(&proven(&pinned, &plan));
                if told(json, &numbers) > told(json, best)
                    && wattberth::verify(whole, &plan).is_ok()
                    && !found.iter().any(|(other, _)| *other == plan)
                {
                    found.push((plan, pinned));
                }
            }
        }
    }
    found
}

/// Of the numbers claimed, those that a proof tells of every device: how long those of
/// priority 3 take, who delay nobody, is in the longest time and not in what it is not below.
fn told(json: &str, claimed: &[i64]) -> Vec<i64> {
    let mut numbers = claimed.to_vec();
    if json.contains("\"priority\":3") {
        numbers.remove(numbers.len() - 2);
    }
    numbers
}

/// The plan as one that a limit stopped, with the bounds of the best: then nothing of what it
/// says is false, and yet it is not the best.
fn unproven(plan: &Plan, best: &Plan) -> Plan {
    let mut plan = plan.clone();
    plan.status = Status::Feasible;
    // Who is left out is not late.
    plan.bound_late = Some(best.late.min(plan.late));
    plan.bound_unserved = Some(best.unserved);
    let as_few = (plan.unserved, plan.late) == (best.unserved, best.late);
    let longest_h = plan.longest_h;
    plan.bound_h = best
        .bound_h
        .filter(|bound_h| as_few && *bound_h <= longest_h);
    plan
}

/// The files said to be of this setup and this plan, with all digests made anew.
fn forged(files: Vec<ProofFile>, setup: &Setup, plan: &Plan) -> Vec<ProofFile> {
    let document = serde_json::to_string(setup.document()).expect("a document");
    with_claims(files, |claims| {
        claims["setup_sha256"] = sha256(&document).into();
        claims["plan_sha256"] = sha256(&plan.to_json()).into();
    })
}

fn with_claims(mut files: Vec<ProofFile>, change: impl Fn(&mut Value)) -> Vec<ProofFile> {
    for file in files.iter_mut().filter(|file| file.name == CLAIMS) {
        let mut claims: Value = serde_json::from_str(&file.text).expect("JSON");
        change(&mut claims);
        file.text = claims.to_string();
    }
    resealed(files)
}

/// The files with one number of a proof changed, or several.
fn mutated(files: &[ProofFile], rng: &mut Rng) -> Vec<ProofFile> {
    let mut files = files.to_vec();
    let proofs: Vec<usize> = (0..files.len())
        .filter(|&at| is_proof(&files[at]))
        .collect();
    for _ in 0..=rng.below(3) {
        let file = &mut files[proofs[rng.below(proofs.len())]];
        let all = numbers(&file.text);
        let at = &all[rng.below(all.len())];
        let now = number(&file.text, at);
        let other = rng.pick(&[now + 1, now - 1, now * 2, now / 2, -now, 0, 1, now + 1000]);
        file.text = with_number(&file.text, at, other);
    }
    resealed(files)
}

#[test]
fn a_false_claim_is_never_accepted() {
    let mut claims_tried = 0;
    for seed in 0..cases(SETUPS) {
        let json = exactly(&small_setup(seed));
        let setup = setup(&json);
        let best_plan = planned(&setup);
        let best_proof = proven(&setup, &best_plan);
        let best = claimed(&best_proof);
        let mut rng = Rng::new(seed);
        let worse = worse(&json, &setup, &best);
        // A longer time of a device of priority 3 is then no longer said to be the best.
        let delays = !json.contains("\"priority\":3");
        let unsure: Vec<_> = worse
            .iter()
            .filter(|_| delays)
            .map(|(plan, pinned)| (unproven(plan, &best_plan), pinned.clone()))
            .collect();
        for (plan, pinned) in worse.into_iter().chain(unsure) {
            claims_tried += 1;
            assert_eq!(wattberth::verify(&setup, &plan).violations, []);
            assert!(
                plan.proof(&setup).is_err(),
                "seed {seed}: an honest proof of what is false"
            );
            // The true proof of the worse plan where it is best, said to be of this setup;
            // the true proof of the best plan, said to be of this one; and the proofs of the
            // first with what the second claims, and the other way round.
            let true_there = proven(&pinned, &plan);
            let of_worse = forged(true_there.files().to_vec(), &setup, &plan);
            let of_best = forged(best_proof.files().to_vec(), &setup, &plan);
            let mixed = with_claimed(&of_best, &true_there);
            for files in [of_worse, of_best, mixed] {
                let why = refusal_of(&setup, &plan, files.clone());
                assert!(why.is_some(), "seed {seed}");
                for _ in 0..CHANGES / 3 {
                    let changed = mutated(&files, &mut rng);
                    let why = refusal_of(&setup, &plan, changed.clone());
                    assert!(why.is_some(), "seed {seed}: {changed:?}");
                }
            }
        }
    }
    assert!(claims_tried >= 30, "only {claims_tried} false claims");
}

/// The files with what another proof claims.
fn with_claimed(files: &[ProofFile], other: &Proof) -> Vec<ProofFile> {
    let other = claims(other);
    with_claims(files.to_vec(), |claims| {
        for field in ["claimed", "claims"] {
            claims[field] = other[field].clone();
        }
    })
}

/// The plan with its longest time `step` steps longer, everywhere in it.
fn longer(best: &Plan, step: f64) -> Plan {
    let mut plan = best.clone();
    plan.longest_h += step * 1e-6;
    plan.bound_h = Some(plan.longest_h);
    for berth in &mut plan.berths {
        if (berth.hours - best.longest_h).abs() < 1e-9 {
            berth.hours = plan.longest_h;
        }
    }
    plan
}

/// The plan with only its bound `step` steps longer.
fn bound_longer(best: &Plan, step: f64) -> Plan {
    let mut plan = best.clone();
    plan.bound_h = best.bound_h.map(|bound_h| bound_h + step * 1e-6);
    plan
}

/// The longest time, or its bound, one step lower or higher, in the plan and in the proof.
#[test]
fn the_longest_time_is_exact_to_the_last_step() {
    let mut tried = 0;
    for seed in 0..cases(SETUPS) {
        let json = exactly(&small_setup(seed));
        let setup = setup(&json);
        let best = planned(&setup);
        if best.longest_h <= 0.0 {
            continue;
        }
        let proof = proven(&setup, &best);
        let mut changed = vec![longer(&best, -1.0), longer(&best, 1.0)];
        // Devices of priority 3 may take longer than the bound, which then may be lower.
        if !json.contains("\"priority\":3") {
            changed.extend([bound_longer(&best, -1.0), bound_longer(&best, 1.0)]);
        }
        for plan in changed {
            for by in [0, 1, -1] {
                let moved = with_claims(forged(proof.files().to_vec(), &setup, &plan), |claims| {
                    let of = &mut claims["claimed"]["least_longest"];
                    *of = (of.as_i64().expect("a number") + by).into();
                });
                tried += 1;
                let (longest_h, bound_h) = (plan.longest_h, plan.bound_h);
                assert!(
                    refusal_of(&setup, &plan, moved).is_some(),
                    "seed {seed}, {longest_h}, {bound_h:?} and {by}"
                );
            }
            assert!(plan.proof(&setup).is_err(), "seed {seed}: an honest proof");
        }
    }
    assert!(tried > 100, "only {tried}");
}

//! No false claim has a proof that is accepted, whoever wrote it.
//!
//! The forger here knows the format, recomputes every digest, starts from proofs that are
//! true of something near, and is told by the check itself what each bound must be.

use serde_json::Value;
use wattberth::{Plan, Setup, Status, assign};

use super::random_setup::rng::Rng;
use super::random_setup::small_setup;
use super::{
    cases, claimed, exactly, number, numbers, planned, proven, refusal, rehashed, setup, sha256,
    with_number,
};

const SETUPS: u64 = 60;
/// Changes of one number, and of several, tried on each false claim.
const CHANGES: usize = 150;

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
                if numbers.as_slice() > best
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

/// The text with another digest of the setup and of the plan, and its own made anew.
fn forged(text: &str, setup: &Setup, plan: &Plan) -> String {
    let with = |text: &str, field: &str, value: &str| {
        let from = text.find(field).expect("the field is there") + field.len() + 3;
        format!("{}{value}{}", &text[..from], &text[from + 64..])
    };
    let document = serde_json::to_string(setup.document()).expect("a document");
    let text = with(text, "setup_sha256", &sha256(&document));
    let text = with(&text, "plan_sha256", &sha256(&plan.to_json()));
    rehashed(&text).expect("the form is kept")
}

/// Why the proof is refused in the end, once every bound is what the check says it is.
fn refused_with_right_bounds(setup: &Setup, plan: &Plan, mut text: String) -> Option<String> {
    loop {
        let why = refusal(setup, plan, &text)?;
        let Some((place, bounds)) = why.split_once(": the bound is ") else {
            return Some(why);
        };
        let (right, wrong) = bounds.split_once(", not ").expect("both bounds");
        let mut document: Value = serde_json::from_str(&text).expect("JSON");
        let pointer = place
            .trim_start_matches("proof")
            .replace(['.', '['], "/")
            .replace(']', "");
        let bound = document
            .pointer_mut(&format!("{pointer}/bound"))
            .expect("a step");
        assert_eq!(bound.to_string(), wrong);
        // Beyond what a file can hold no bound is right.
        let Ok(right) = right.parse::<i64>() else {
            return Some(why);
        };
        *bound = right.into();
        text = rehashed(&document.to_string()).expect("the form is kept");
    }
}

/// `text` with one number changed, or several.
fn mutated(text: &str, rng: &mut Rng) -> Option<String> {
    let mut text = text.to_owned();
    for _ in 0..=rng.below(3) {
        let all = numbers(&text);
        let at = &all[rng.below(all.len())];
        let now = number(&text, at);
        let other = rng.pick(&[now + 1, now - 1, now * 2, now / 2, -now, 0, 1, now + 1000]);
        text = with_number(&text, at, other);
    }
    rehashed(&text)
}

#[test]
fn a_false_claim_is_never_accepted() {
    let (mut claims, mut repaired) = (0, 0);
    for seed in 0..cases(SETUPS) {
        let json = exactly(&small_setup(seed));
        let setup = setup(&json);
        let best_plan = planned(&setup);
        let best_proof = proven(&setup, &best_plan);
        let best = claimed(&best_proof);
        let mut rng = Rng::new(seed);
        let worse = worse(&json, &setup, &best);
        // Devices of priority 3 delay nobody: how long theirs take a proof does not tell.
        let told = !json.contains("\"priority\":3");
        let unsure: Vec<_> = worse
            .iter()
            .filter(|_| told)
            .map(|(plan, pinned)| (unproven(plan, &best_plan), pinned.clone()))
            .collect();
        for (plan, pinned) in worse.into_iter().chain(unsure) {
            claims += 1;
            assert_eq!(wattberth::verify(&setup, &plan).violations, []);
            assert!(
                plan.proof(&setup).is_err(),
                "seed {seed}: an honest proof of what is false"
            );
            // The true proof of the worse plan where it is best, said to be of this setup;
            // and the true proof of the best plan, said to be of this one.
            let numbers = proven(&pinned, &plan);
            let of_worse = forged(&numbers.to_json(), &setup, &plan);
            let of_best = forged(&best_proof.to_json(), &setup, &plan);
            let mixed = with_claimed(&of_best, &of_worse);
            for text in [of_worse, of_best, mixed] {
                assert!(
                    refused_with_right_bounds(&setup, &plan, text.clone()).is_some(),
                    "seed {seed}: {text}"
                );
                for _ in 0..CHANGES / 3 {
                    let Some(changed) = mutated(&text, &mut rng) else {
                        continue;
                    };
                    let why = refused_with_right_bounds(&setup, &plan, changed.clone());
                    assert!(why.is_some(), "seed {seed}: {changed}");
                    repaired += u32::from(why.is_some_and(|why| why.contains("neither closed")));
                }
            }
        }
    }
    assert!(claims >= 40, "only {claims} false claims");
    assert!(
        repaired >= 500,
        "only {repaired} came as far as a node that is not empty"
    );
}

/// The claimed numbers and the kinds of claims of the second in the first.
fn with_claimed(text: &str, other: &str) -> String {
    let mut document: Value = serde_json::from_str(text).expect("JSON");
    let other: Value = serde_json::from_str(other).expect("JSON");
    document["body"]["claimed"] = other["body"]["claimed"].clone();
    let trees: Vec<Value> = document["body"]["claims"]
        .as_array()
        .expect("a list")
        .clone();
    let claims = other["body"]["claims"].as_array().expect("a list").iter();
    let claims = claims.zip(0..).map(|(claim, at)| {
        let mut claim = claim.clone();
        if let Some(tree) = trees.get(at) {
            claim["nodes"] = tree["nodes"].clone();
        }
        claim
    });
    document["body"]["claims"] = claims.collect();
    rehashed(&document.to_string()).expect("the form is kept")
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
        let text = proven(&setup, &best).to_json();
        let at = text.find("\"longest\":").expect("it is claimed") + "\"longest\":".len();
        let place = numbers(&text)
            .into_iter()
            .find(|n| n.start == at)
            .expect("a number");
        let mut changed = vec![longer(&best, -1.0), longer(&best, 1.0)];
        // Devices of priority 3 may take longer than the bound, which then may be lower.
        if !json.contains("\"priority\":3") {
            changed.extend([bound_longer(&best, -1.0), bound_longer(&best, 1.0)]);
        }
        for plan in changed {
            for in_proof in [0, 1, -1] {
                let moved = with_number(&text, &place, number(&text, &place) + in_proof);
                let moved = forged(&moved, &setup, &plan);
                tried += 1;
                let why = refused_with_right_bounds(&setup, &plan, moved);
                let (longest_h, bound_h) = (plan.longest_h, plan.bound_h);
                assert!(
                    why.is_some(),
                    "seed {seed}, {longest_h}, {bound_h:?} and {in_proof}"
                );
            }
            assert!(plan.proof(&setup).is_err(), "seed {seed}: an honest proof");
        }
    }
    assert!(tried > 100, "only {tried}");
}

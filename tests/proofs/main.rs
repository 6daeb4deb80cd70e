//! Proofs: every plan has one that is accepted, whatever is changed in one is refused, and
//! a false claim has none.

#[path = "../common/random_setup.rs"]
#[allow(dead_code, reason = "shared with the oracle, the laws and the benches")]
mod random_setup;

mod accepted;
mod by_hand;
mod changed;
mod false_claims;
mod hostile;

use std::fmt::Write as _;
use std::ops::Range;

use serde_json::Value;
use sha2::{Digest, Sha256};
use wattberth::{Plan, Proof, Setup, assign, verify_with_proof};

/// How many random setups of the `default` number; the environment may ask for more.
fn cases(default: u64) -> u64 {
    let given = std::env::var("WATTBERTH_CASES").ok();
    given.and_then(|text| text.parse().ok()).unwrap_or(default)
}

fn setup(json: &str) -> Setup {
    Setup::from_json(json).expect("the setup is valid")
}

/// The setup with its plan chosen by the times at best, of which a proof tells too.
fn by_times(json: &str) -> String {
    let mut document: Value = serde_json::from_str(json).expect("JSON");
    document["aim"] = "best".into();
    document.to_string()
}

/// As [`by_times`], the longest time as short as can be, nothing let pass.
fn exactly(json: &str) -> String {
    let mut document: Value = serde_json::from_str(&by_times(json)).expect("JSON");
    document["tolerance_h"] = 0.into();
    document.to_string()
}

fn planned(setup: &Setup) -> Plan {
    assign(setup).expect("the setup has a plan")
}

#[track_caller]
fn proven(setup: &Setup, plan: &Plan) -> Proof {
    plan.proof(setup)
        .unwrap_or_else(|error| panic!("{error}: {}", setup.document().to_json()))
}

/// Why a proof is refused, read from its text; `None` where it is accepted.
fn refusal(setup: &Setup, plan: &Plan, text: &str) -> Option<String> {
    match Proof::from_json(text) {
        Err(error) => Some(error.to_string()),
        Ok(proof) => {
            let found = verify_with_proof(setup, plan, &proof).violations;
            found.first().map(ToString::to_string)
        }
    }
}

fn sha256(text: &str) -> String {
    let bytes = Sha256::digest(text);
    bytes.iter().fold(String::new(), |mut hex, byte| {
        write!(hex, "{byte:02x}").expect("text can be written to");
        hex
    })
}

/// The proof with the digest that its body has now, as whoever forges one would give it.
fn rehashed(text: &str) -> Option<String> {
    let proof = Proof::from_json(text).ok()?;
    let text = proof.to_json().replace('\n', "");
    let (body, _) = text
        .strip_prefix("{\"body\":")?
        .rsplit_once(",\"sha256\":")?;
    Some(format!(
        "{{\"body\":{body},\"sha256\":\"{}\"}}",
        sha256(body)
    ))
}

/// Hours as proofs have them.
fn millionths(hours: f64) -> i64 {
    #[expect(clippy::cast_possible_truncation, reason = "it is whole, and small")]
    let whole = (hours * 1e6).round() as i64;
    whole
}

/// Where the whole numbers of a text stand, those within quotes aside.
fn numbers(text: &str) -> Vec<Range<usize>> {
    let (mut found, mut quoted, mut start) = (Vec::new(), false, None);
    for (at, c) in text.char_indices() {
        let of_number = !quoted && (c.is_ascii_digit() || c == '-');
        match start {
            None if of_number => start = Some(at),
            Some(from) if !of_number => {
                found.push(from..at);
                start = None;
            }
            _ => {}
        }
        quoted ^= c == '"';
    }
    found
}

fn with_number(text: &str, at: &Range<usize>, number: i128) -> String {
    format!("{}{number}{}", &text[..at.start], &text[at.end..])
}

fn number(text: &str, at: &Range<usize>) -> i128 {
    text[at.clone()].parse().expect("it was found as a number")
}

/// The numbers claimed: without a berth by priority, missing, late by priority, longest.
fn claimed(proof: &Proof) -> Vec<i64> {
    let text: Value = serde_json::from_str(&proof.to_json()).expect("JSON");
    let claimed = &text["body"]["claimed"];
    let of = |name: &str| match &claimed[name] {
        Value::Array(by_priority) => by_priority.clone(),
        number => vec![number.clone()],
    };
    let all = ["unserved", "missing", "late", "longest"]
        .into_iter()
        .flat_map(of);
    all.map(|value| value.as_i64().expect("a whole number"))
        .collect()
}

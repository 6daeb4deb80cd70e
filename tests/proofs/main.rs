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
#[cfg(feature = "cli")]
mod on_file;

use std::fmt::Write as _;
use std::ops::Range;

use serde_json::Value;
use sha2::{Digest, Sha256};
use wattberth::{Plan, Proof, ProofFile, Setup, assign, verify_with_proof};

/// How many random setups of the `default` number; the environment may ask for more.
fn cases(default: u64) -> u64 {
    let given = std::env::var("WATTBERTH_CASES").ok();
    given.and_then(|text| text.parse().ok()).unwrap_or(default)
}

fn setup(json: &str) -> Setup {
    Setup::from_json(json).expect("the setup is valid")
}

/// The setup with its plan chosen by the times at best.
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

/// Why a proof is refused; `None` where it is accepted.
fn refusal(setup: &Setup, plan: &Plan, proof: &Proof) -> Option<String> {
    let found = verify_with_proof(setup, plan, proof).violations;
    found.first().map(ToString::to_string)
}

/// The same of files; also what is no proof by its form.
fn refusal_of(setup: &Setup, plan: &Plan, files: Vec<ProofFile>) -> Option<String> {
    match Proof::of_files(files) {
        Err(error) => Some(error.to_string()),
        Ok(proof) => refusal(setup, plan, &proof),
    }
}

fn sha256(text: &str) -> String {
    let bytes = Sha256::digest(text);
    bytes.iter().fold(String::new(), |mut hex, byte| {
        write!(hex, "{byte:02x}").expect("text can be written to");
        hex
    })
}

const CLAIMS: &str = "claims.json";

fn text<'p>(proof: &'p Proof, name: &str) -> &'p str {
    let file = proof.files().iter().find(|file| file.name == name);
    &file.unwrap_or_else(|| panic!("there is no {name}")).text
}

/// Whether a file is a proof, and no formula.
fn is_proof(file: &ProofFile) -> bool {
    file.name.rsplit('.').next() == Some("pbp")
}

/// The files with another text in one of them.
fn with_text(proof: &Proof, name: &str, text: &str) -> Vec<ProofFile> {
    let mut files = proof.files().to_vec();
    for file in files.iter_mut().filter(|file| file.name == name) {
        text.clone_into(&mut file.text);
    }
    files
}

fn claims(proof: &Proof) -> Value {
    serde_json::from_str(text(proof, CLAIMS)).expect("JSON")
}

/// The files with the digests that they have now, as whoever forges one would give them.
fn resealed(mut files: Vec<ProofFile>) -> Vec<ProofFile> {
    let digests: Vec<(String, String)> = files
        .iter()
        .map(|file| (file.name.clone(), sha256(&file.text)))
        .collect();
    let digest = |name: String| digests.iter().find(|(of, _)| *of == name);
    for file in files.iter_mut().filter(|file| file.name == CLAIMS) {
        let Ok(mut claims) = serde_json::from_str::<Value>(&file.text) else {
            continue;
        };
        for claim in claims["claims"].as_array_mut().expect("a list") {
            let name = claim["name"].as_str().unwrap_or_default().to_owned();
            for (field, form) in [("formula_sha256", "opb"), ("proof_sha256", "pbp")] {
                if let Some((_, sha256)) = digest(format!("{name}.{form}")) {
                    claim[field] = sha256.clone().into();
                }
            }
        }
        file.text = claims.to_string();
    }
    files
}

/// Hours as proofs have them.
fn millionths(hours: f64) -> i64 {
    #[expect(clippy::cast_possible_truncation, reason = "it is whole, and small")]
    let whole = (hours * 1e6).round() as i64;
    whole
}

/// Where the whole numbers of a text stand, digests and the like aside.
fn numbers(text: &str) -> Vec<Range<usize>> {
    let (mut found, mut start) = (Vec::new(), None);
    let mut before = ' ';
    for (at, c) in text.char_indices().chain([(text.len(), ' ')]) {
        let of_number = c.is_ascii_digit() || (c == '-' && !before.is_alphanumeric());
        match start {
            None if of_number && (!before.is_alphanumeric() || before == 'x') => start = Some(at),
            Some(from) if !of_number => {
                if !c.is_alphabetic() && text[from..at].parse::<i128>().is_ok() {
                    found.push(from..at);
                }
                start = None;
            }
            _ => {}
        }
        before = c;
    }
    found
}

fn with_number(text: &str, at: &Range<usize>, number: i128) -> String {
    format!("{}{number}{}", &text[..at.start], &text[at.end..])
}

fn number(text: &str, at: &Range<usize>) -> i128 {
    text[at.clone()].parse().expect("it was found as a number")
}

/// The numbers claimed: without a berth by priority, missing, late by priority, the longest
/// time, and what it is not below.
fn claimed(proof: &Proof) -> Vec<i64> {
    let claimed = &claims(proof)["claimed"];
    let of = |name: &str| match &claimed[name] {
        Value::Array(by_priority) => by_priority.clone(),
        number => vec![number.clone()],
    };
    let all = ["unserved", "missing", "late", "longest", "least_longest"];
    let all = all.into_iter().flat_map(of);
    all.map(|value| value.as_i64().expect("a whole number"))
        .collect()
}

/// The names of the claims, in order.
fn names(proof: &Proof) -> Vec<String> {
    let claims = claims(proof)["claims"].as_array().expect("a list").clone();
    let name = |claim: Value| claim["name"].as_str().expect("a name").to_owned();
    claims.into_iter().map(name).collect()
}

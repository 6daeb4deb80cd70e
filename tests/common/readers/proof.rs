//! The files of proofs.

use std::fmt::Write as _;
use std::sync::LazyLock;

use serde_json::{Value, json};
use sha2::{Digest, Sha256};
use wattberth::{Plan, Proof, ProofFile, Setup, assign, verify_with_proof};

use super::{Outcome, sentences};

const CLAIMS: &str = "claims.json";

/// Two devices, one of them too many: formulas that can be kept and others that cannot.
static CASE: LazyLock<(Setup, Plan, Proof)> = LazyLock::new(|| {
    let device =
        |name, priority| json!({"name": name, "pd_w": 20, "battery_wh": 20, "priority": priority});
    let document = json!({
        "aim": "best",
        "chargers": [{
            "name": "desk",
            "ports": [{"name": "C1", "pd_w": 20}, {"name": "C2", "pd_w": 30}],
            "combinations": [{"C1": 20}, {"C2": 20}]
        }],
        "cables": [{"name": "braided", "count": 2}],
        "devices": [device("viola", 2), device("cello", 2)]
    });
    let setup = Setup::from_json(&document.to_string()).expect("it is valid");
    let plan = assign(&setup).expect("it has a plan");
    let proof = plan.proof(&setup).expect("it is proven");
    (setup, plan, proof)
});

/// Another text in the place of `claims.json`.
pub(super) fn claims(text: &str) -> Outcome {
    put(CLAIMS, text)
}

/// The name of a file on the first line, and another text for it; the digests are made to fit.
pub(super) fn check(text: &str) -> Outcome {
    let (name, text) = text.split_once('\n').unwrap_or((text, ""));
    put(name, text)
}

fn put(name: &str, text: &str) -> Outcome {
    let (setup, plan, proof) = &*CASE;
    let mut files = proof.files().to_vec();
    match files.iter_mut().find(|file| file.name == name) {
        Some(file) => text.clone_into(&mut file.text),
        None => files.push(ProofFile::new(name, text)),
    }
    let files = resealed(files, proof);
    let proof = match Proof::of_files(files.clone()) {
        Ok(proof) => proof,
        Err(error) => {
            let faults = sentences(error);
            assert!(
                faults.iter().all(|fault| fault.file == CLAIMS),
                "{faults:?}"
            );
            for fault in &faults {
                super::placed(&files[0].text, fault);
            }
            return Outcome::Refused;
        }
    };
    assert_eq!(proof.files(), files);
    proof.claims();
    proof.not_covered();
    let found = verify_with_proof(setup, plan, &proof);
    assert_eq!(verify_with_proof(setup, plan, &proof), found);
    let violations = &found.violations;
    for violation in violations {
        assert!(violation.path.starts_with("proof"), "{violation}");
        assert!(!violation.message.contains(char::is_control), "{violation}");
    }
    if found.is_ok() {
        Outcome::Read
    } else {
        Outcome::Refused
    }
}

/// The files with the digests that they have now, and those of the setup and of the plan, as
/// whoever forges one would give them.
fn resealed(mut files: Vec<ProofFile>, of: &Proof) -> Vec<ProofFile> {
    let digest = |name: String| {
        let file = files.iter().find(|file| file.name == name)?;
        let bytes = Sha256::digest(&file.text);
        let hex = |mut hex: String, byte: &u8| {
            let _ = write!(hex, "{byte:02x}");
            hex
        };
        Some(bytes.iter().fold(String::new(), hex))
    };
    let Ok(mut claims) = serde_json::from_str::<Value>(&files[0].text) else {
        return files;
    };
    let own: Value = serde_json::from_str(&of.files()[0].text).expect("JSON");
    for field in ["setup_sha256", "plan_sha256"] {
        if let Some(place) = claims.get_mut(field) {
            *place = own[field].clone();
        }
    }
    let Some(all) = claims.get_mut("claims").and_then(Value::as_array_mut) else {
        return files;
    };
    for claim in all.iter_mut().filter_map(Value::as_object_mut) {
        let name = claim.get("name").and_then(Value::as_str);
        let name = name.unwrap_or_default().to_owned();
        for (field, form) in [("formula_sha256", "opb"), ("proof_sha256", "pbp")] {
            if let (Some(sha256), Some(place)) =
                (digest(format!("{name}.{form}")), claim.get_mut(field))
            {
                *place = sha256.into();
            }
        }
    }
    files[0].text = claims.to_string();
    files
}

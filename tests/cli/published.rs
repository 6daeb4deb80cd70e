//! The published set of the benches: all that its index names is there, and the command accepts it.

use std::collections::BTreeSet;
use std::fs;
use std::path::{Path, PathBuf};

use serde_json::Value;

use super::random_setup::measured::Measured;
use super::run;

#[path = "../../benches/levels/published.rs"]
mod set;

use set::{Counts, Instance, Limits, digest};

/// Enough for plans of six devices.
const LIMITS: Limits = Limits {
    steps: 2_000_000,
    proof_bytes: 16 << 20,
};

fn instance(family: Measured, devices: usize) -> Instance {
    Instance {
        family: family.name(),
        devices,
        seed: 0,
        has_sessions: family.has_sessions(),
        setup: family.setup(0, devices),
    }
}

fn instances() -> impl Iterator<Item = Instance> {
    let families = [Measured::UnlikeMid, Measured::Crowded, Measured::Rota];
    families.into_iter().map(|family| instance(family, 6))
}

/// A name that nothing has yet.
fn folder(name: &str) -> PathBuf {
    let folder = Path::new(env!("CARGO_TARGET_TMPDIR")).join(name);
    if folder.exists() {
        fs::remove_dir_all(&folder).expect("it can be removed");
    }
    folder
}

fn index(folder: &Path) -> Vec<Value> {
    let text = fs::read_to_string(folder.join("index.ndjson")).expect("there is an index");
    text.lines()
        .map(|line| serde_json::from_str(line).expect("JSON"))
        .collect()
}

/// What is in a folder, by name.
fn names(folder: PathBuf) -> BTreeSet<String> {
    let entries = fs::read_dir(folder).expect("the folder is there");
    entries
        .map(|entry| {
            let entry = entry.expect("an entry");
            entry.file_name().to_string_lossy().into_owned()
        })
        .collect()
}

/// The file or folder that a line names.
fn named(folder: &Path, line: &Value, what: &str) -> String {
    let name = line[what]
        .as_str()
        .unwrap_or_else(|| panic!("{what}: {line}"));
    folder.join(name).to_string_lossy().into_owned()
}

#[test]
fn it_is_whole_and_accepted() {
    let folder = folder("published");
    let counts = set::write(instances(), LIMITS, &folder).expect("it is written");
    let all = Counts {
        setups: 3,
        optimal: 3,
        proofs: 3,
    };
    assert_eq!(counts, all);
    let expected = [
        "LICENSE",
        "README.md",
        "index.ndjson",
        "plans",
        "proofs",
        "setups",
    ];
    assert_eq!(names(folder.clone()), expected.map(str::to_owned).into());
    let lines = index(&folder);
    let of = |form: &str| -> BTreeSet<String> {
        let name = |line: &Value| format!("{}{form}", line["name"].as_str().expect("a name"));
        lines.iter().map(name).collect()
    };
    assert_eq!(lines.len(), 3);
    assert_eq!(names(folder.join("setups")), of(".json"));
    assert_eq!(names(folder.join("plans")), of(".json"));
    assert_eq!(names(folder.join("proofs")), of(""));
    for line in &lines {
        let [setup, plan, proof] =
            ["setup", "plan", "proof"].map(|what| named(&folder, line, what));
        let bytes = fs::read(&setup).expect("the setup is there");
        assert_eq!(line["sha256"], digest(&bytes).as_str(), "{line}");

        let document = fs::read_to_string(&plan).expect("the plan is there");
        let document: Value = serde_json::from_str(&document).expect("JSON");
        for field in ["status", "aim", "unserved"] {
            assert_eq!(line[field], document[field], "{field}: {line}");
        }
        assert_eq!(line["longest_h"], document["promised_longest_h"], "{line}");
        let is_rota = document["sessions"].is_array();
        assert_eq!(line["question"] == "rota", is_rota, "{line}");

        let ran = run(&["verify", &setup, &plan, "--proof", &proof]);
        assert_eq!((ran.code, ran.err.as_str()), (0, ""), "{line}");
        assert!(ran.out.contains("proven: nothing is better"), "{}", ran.out);
        let files = fs::read_dir(&proof).expect("the proof is there");
        let sizes = files.map(|file| file.expect("a file").metadata().expect("a size").len());
        assert_eq!(line["proof_bytes"], sizes.sum::<u64>(), "{line}");
    }
}

#[test]
fn it_is_the_same_bytes_again() {
    let [one, other] = ["published-1", "published-2"].map(folder);
    for folder in [&one, &other] {
        set::write(instances().take(1), LIMITS, folder).expect("it is written");
    }
    let read = |folder: &Path| fs::read(folder.join("index.ndjson")).expect("an index");
    assert_eq!(read(&one), read(&other));
    let claims = |folder: &Path| {
        fs::read(folder.join("proofs/unlike-mid-6-0/claims.json")).expect("a proof")
    };
    assert_eq!(claims(&one), claims(&other));
}

#[test]
fn what_is_not_proven_or_too_large_has_no_proof_and_says_why() {
    let small = Limits {
        proof_bytes: 1_000,
        ..LIMITS
    };
    let few_steps = Limits { steps: 1, ..LIMITS };
    let cases = [
        ("too-large", Measured::UnlikeMid, small, "bytes"),
        (
            "too-few-steps",
            Measured::Tables,
            few_steps,
            "not known to be best",
        ),
    ];
    for (name, family, limits, why) in cases {
        let folder = folder(&format!("published-{name}"));
        let one = std::iter::once(instance(family, 12));
        let counts = set::write(one, limits, &folder).expect("it is written");
        assert_eq!(counts.proofs, 0, "{name}");
        let line = &index(&folder)[0];
        let said = line["without_proof"].as_str().expect("a reason");
        assert!(said.contains(why), "{said}");
        assert!(line.get("proof").is_none(), "{line}");
        assert!(names(folder.join("proofs")).is_empty());
        let [setup, plan] = ["setup", "plan"].map(|what| named(&folder, line, what));
        let ran = run(&["verify", &setup, &plan]);
        assert_eq!(ran.code, 0, "{}", ran.out);
        assert_eq!(line["status"] == "feasible", name == "too-few-steps");
        // What is open has a bound that no answer is below.
        let bounds = line["bounds"].as_array().expect("a list");
        assert_eq!(bounds.is_empty(), name == "too-large", "{line}");
    }
}

#[test]
fn a_folder_with_other_things_is_left_as_it_is() {
    let folder = folder("published-other");
    fs::create_dir_all(&folder).expect("it can be made");
    fs::write(folder.join("notes"), "mine").expect("it can be written");
    set::write(instances().take(1), LIMITS, &folder).expect_err("it is refused");
    assert_eq!(names(folder), ["notes".to_owned()].into());
}

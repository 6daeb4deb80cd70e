//! Where a document comes from: the program, and the setup that it is of.

use std::path::{Path, PathBuf};

use serde_json::{Value, json};

use super::{run, run_with, small};

const QUARTET: &str = "fixtures/quartet.json";
const BAG: &str = "fixtures/quartet-bag.json";
const NIGHT: &str = "fixtures/quartet-night.json";

fn folder() -> PathBuf {
    let folder = Path::new(env!("CARGO_TARGET_TMPDIR")).join("origin");
    std::fs::create_dir_all(&folder).expect("a folder can be made");
    folder
}

#[test]
fn every_document_names_its_program_and_its_setup() {
    let digest = |question: &[&str]| {
        let document = run(&[question, &["--json"]].concat()).json();
        let program = json!({"name": "wattberth", "version": env!("CARGO_PKG_VERSION")});
        assert_eq!(document["program"], program, "{question:?}");
        let digest = document["setup_sha256"].as_str().expect("a digest");
        assert!(digest.len() == 64 && digest.chars().all(|c| c.is_ascii_hexdigit()));
        digest.to_owned()
    };
    let plan = digest(&["assign", QUARTET]);
    for other in [
        &["improve", QUARTET][..],
        &["wish", QUARTET, "everybody served"],
        &["timeline", QUARTET],
        &["score", QUARTET, "fixtures/quartet-berths.json"],
    ] {
        assert_eq!(digest(other), plan, "{other:?}");
    }
    let night = digest(&["rota", NIGHT]);
    assert_eq!(digest(&["timeline", NIGHT, "--rota"]), night);
    assert_ne!(night, plan);
    let bag = digest(&["size", BAG]);
    assert_eq!(
        digest(&["rank", BAG, "fixtures/candidates.ndjson", "--top", "1"]),
        bag
    );
    digest(&["trip", "fixtures/quartet-tour.json"]);
}

/// White space, the order of fields and the name of a schema are no part of a setup.
#[test]
fn how_a_setup_is_written_is_no_part_of_its_digest() {
    let of = |text: &str| {
        let ran = run_with(&["assign", "-", "--json"], text);
        ran.json()["setup_sha256"].clone()
    };
    let setup = small();
    let plain = of(&setup.to_string());
    assert_eq!(of(&format!("{setup:#}")), plain);
    let mut named = setup.clone();
    named["$schema"] = "urn:wattberth:schema:setup:1".into();
    assert_eq!(of(&named.to_string()), plain);
    // The chargers may stand in a file of their own.
    let folder = folder();
    let file = folder.join("cube.json");
    std::fs::write(&file, setup["chargers"][0].to_string()).expect("it can be written");
    let mut bag = setup.clone();
    bag.as_object_mut().expect("an object").remove("chargers");
    let args = [
        "assign",
        "-",
        "--json",
        "--charger",
        &file.display().to_string(),
    ];
    assert_eq!(
        run_with(&args, &bag.to_string()).json()["setup_sha256"],
        plain
    );
    let mut other = setup;
    other["devices"][0]["battery_wh"] = 15.1.into();
    assert_ne!(of(&other.to_string()), plain);
}

#[test]
fn an_answer_to_another_setup_is_refused() {
    let folder = folder();
    let write = |name: &str, document: &Value| {
        let path = folder.join(name);
        std::fs::write(&path, document.to_string()).expect("it can be written");
        path.display().to_string()
    };
    let mut setup = small();
    setup["sessions"] = json!([{"name": "night", "hours": 8}]);
    let mut renamed = setup.clone();
    renamed["name"] = "the second night".into();
    let (one, other) = (write("one.json", &setup), write("other.json", &renamed));
    for question in ["assign", "rota"] {
        let mut answer = run(&[question, &one, "--json"]).json();
        let verify = |setup: &str, answer: &Value| {
            run_with(&["verify", setup, "-", "--json"], &answer.to_string())
        };
        assert_eq!(verify(&one, &answer).code, 0);
        // Every number is right for the other, too.
        let refused = verify(&other, &answer);
        assert_eq!(refused.code, 1, "{}", refused.out);
        let violations = json!([
            {"path": "setup_sha256", "message": "it was made for another setup"}
        ]);
        assert_eq!(refused.json()["violations"], violations, "{question}");
        // A document that names no setup is held against the one that is given.
        let fields = answer.as_object_mut().expect("an object");
        fields.remove("program");
        let digest = fields.remove("setup_sha256");
        assert_eq!(verify(&other, &answer).code, 0);
        // Whoever wrote it: another version is no fault, but a program has both fields.
        answer["setup_sha256"] = digest.unwrap_or_default();
        answer["program"] = json!({"name": "by hand", "version": "0"});
        assert_eq!(verify(&one, &answer).code, 0);
        answer["program"] = json!({"name": "by hand"});
        let faulty = verify(&one, &answer);
        assert_eq!(faulty.code, 2, "{}", faulty.out);
        assert!(faulty.out.contains("`version`"), "{}", faulty.out);
    }
}

/// A line of `batch` has its setup beside it, and a digest of each would take its time.
#[test]
fn lines_are_not_signed() {
    let line = json!({"id": 1, "setup": small()}).to_string();
    let answer = run_with(&["batch"], &line).json();
    assert!(answer["plan"].get("setup_sha256").is_none());
    assert!(answer["plan"].get("program").is_none());
}

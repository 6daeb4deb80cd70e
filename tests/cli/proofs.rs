//! `--proof`: what is written, what is said of it, and what is refused.

use std::path::{Path, PathBuf};

use super::{Ran, run, run_with, small};

/// A folder of its own for one test, empty.
fn folder(name: &str) -> PathBuf {
    let folder = Path::new(env!("CARGO_TARGET_TMPDIR")).join(name);
    if folder.exists() {
        std::fs::remove_dir_all(&folder).expect("it can be removed");
    }
    std::fs::create_dir_all(&folder).expect("it can be made");
    folder
}

fn text(path: &Path) -> String {
    path.to_str().expect("a name of letters").to_owned()
}

fn files(folder: &Path) -> Vec<String> {
    let entries = std::fs::read_dir(folder).expect("the folder is there");
    let name = |entry: std::fs::DirEntry| entry.file_name().to_string_lossy().into_owned();
    entries
        .map(|entry| name(entry.expect("an entry")))
        .collect()
}

const SETUP: &str = "fixtures/quartet.json";
/// By `aim` best: its proof has a claim, that of the longest time.
const ROOM: &str = "fixtures/dressing-room.json";

/// A plan with its proof in `folder`; the proof's path.
fn proven(folder: &Path, setup: &str) -> (Ran, String) {
    let proof = text(&folder.join("night.proof"));
    let ran = run(&["assign", setup, "--json", "--proof", &proof]);
    assert_eq!((ran.code, ran.err.as_str()), (0, ""));
    (ran, proof)
}

#[test]
fn a_plan_is_written_with_its_proof_and_both_are_accepted() {
    let folder = folder("accepted");
    let (ran, proof) = proven(&folder, SETUP);
    assert_eq!(files(&folder), ["night.proof"]);
    assert_eq!(
        ran.out,
        run(&["assign", SETUP, "--json"]).out,
        "the plan alone"
    );
    let checked = run_with(&["verify", SETUP, "-", "--proof", &proof], &ran.out);
    assert_eq!(
        (checked.code, checked.out.as_str()),
        (
            0,
            "legal: every rule is kept\nnumbers right: each was computed again\n\
             proven: no plan is better in devices without a port; what comes after these\n\
             is proven by the search only\n\
             the time with sharing anew lies within its bounds; it is not computed again\n\
             cautions not checked\nwhy it is no better: not checked\n"
        )
    );
    let checked = run_with(
        &["verify", SETUP, "-", "--proof", &proof, "--json"],
        &ran.out,
    )
    .json();
    assert_eq!(checked["legal"], true);
    assert_eq!(checked["optimality"], "proven in devices without a berth");

    let schema = run(&["schema", "proof"]).json();
    assert_eq!(run(&["schema"]).json()["proof"], schema);
    let schema = jsonschema::validator_for(&schema).expect("a schema");
    let written = std::fs::read_to_string(&proof).expect("the proof");
    let document = serde_json::from_str(&written).expect("JSON");
    assert!(schema.is_valid(&document));
    assert!(!schema.is_valid(&run(&["example", "--json"]).json()));
}

#[test]
fn people_are_told_what_the_proof_covers() {
    let proof = text(&folder("told").join("night.proof"));
    let ran = run(&["assign", SETUP, "--proof", &proof]);
    let expected = format!(
        "\nProof: {proof}\n  \
         - no plan is better in devices without a port:\n    \
         `wattberth verify --proof` checks that\n  \
         - what comes after these is proven by the search only\n"
    );
    assert_eq!(ran.code, 0);
    assert!(ran.out.ends_with(&expected), "{}", ran.out);
}

/// By `aim` best a proof goes as far as the longest time.
#[test]
fn what_a_proof_covers_goes_by_the_aim() {
    let proof = text(&folder("by-aim").join("room.proof"));
    let told = run(&["assign", ROOM, "--proof", &proof]).out;
    assert!(
        told.contains("in late ones and in the\n    longest time"),
        "{told}"
    );
    let plan = run(&["assign", ROOM, "--json"]).out;
    let args = ["verify", ROOM, "-", "--proof", &proof];
    let checked = run_with(&args, &plan);
    assert_eq!((checked.code, checked.err.as_str()), (0, ""));
    assert!(
        checked.out.contains("late ones and longest\ntime;"),
        "{}",
        checked.out
    );
    let checked = run_with(&[&args[..], &["--json"]].concat(), &plan).json();
    assert_eq!(checked["optimality"], "proven as far as the longest time");
}

#[test]
fn a_changed_proof_is_refused_where_it_was_changed() {
    let folder = folder("changed");
    let (ran, proof) = proven(&folder, ROOM);
    let written = std::fs::read_to_string(&proof).expect("the proof");
    let changed = written.replacen("\"bound\":", "\"bound\":1", 1);
    std::fs::write(&proof, changed).expect("it can be written");
    let args = ["verify", ROOM, "-", "--proof", &proof];
    let checked = run_with(&args, &ran.out);
    assert_eq!(
        (checked.code, checked.out.as_str()),
        (
            1,
            "refused: 1 violation\n  proof.sha256: is not the body's: the proof was changed\n"
        )
    );
    let checked = run_with(&[&args[..], &["--json"]].concat(), &ran.out).json();
    assert_eq!(checked["legal"], true);
    assert_eq!(checked["optimality"], "not proven");
    assert_eq!(checked["violations"][0]["path"], "proof.sha256");

    std::fs::write(&proof, "{\"body\": 3").expect("it can be written");
    let checked = run_with(&args, &ran.out);
    assert_eq!(checked.code, 2);
    assert!(checked.err.contains("this is no proof"), "{}", checked.err);
    assert!(checked.err.contains("night.proof:1:"), "{}", checked.err);
    std::fs::remove_file(&proof).expect("it can be removed");
    let checked = run_with(&args, &ran.out);
    assert_eq!(checked.code, 2);
    assert!(
        checked.err.contains("there is no such file"),
        "{}",
        checked.err
    );
}

#[test]
fn where_no_file_can_be_nothing_is_worked_out() {
    let folder = folder("nowhere");
    let inside = text(&folder.join("missing").join("night.proof"));
    for (path, expected) in [
        (inside.as_str(), "there is no directory"),
        (&text(&folder), "this is a directory, not a file"),
        ("-", "a proof is written to a file"),
    ] {
        let ran = run(&["assign", SETUP, "--proof", path]);
        assert_eq!((ran.code, ran.out.as_str()), (2, ""), "{path}");
        assert!(ran.err.contains(expected), "{}", ran.err);
    }
    assert_eq!(files(&folder), [""; 0]);
}

#[test]
fn a_search_that_was_stopped_has_a_plan_and_no_proof() {
    let folder = folder("stopped");
    let proof = text(&folder.join("night.proof"));
    for json in [&["--json"][..], &[]] {
        let args = ["assign", SETUP, "--budget", "1", "--proof", &proof];
        let ran = run(&[&args[..], json].concat());
        assert_eq!(ran.code, 3);
        assert!(!ran.out.is_empty(), "there is a plan all the same");
        assert!(
            ran.err.contains("no proof: the search was stopped before"),
            "{}",
            ran.err
        );
    }
    assert_eq!(files(&folder), [""; 0]);
}

#[test]
fn a_proof_that_was_there_stays_until_another_takes_its_place() {
    let folder = folder("again");
    let proof = folder.join("night.proof");
    std::fs::write(&proof, "before").expect("it can be written");
    let args = ["assign", SETUP, "--budget", "1", "--proof", &text(&proof)];
    assert_eq!(run(&args).code, 3);
    let now = std::fs::read_to_string(&proof).expect("it is there");
    assert_eq!(now, "before");
    let ran = run_with(
        &["assign", "-", "--proof", &text(&proof)],
        &small().to_string(),
    );
    assert_eq!(ran.code, 0, "{}", ran.err);
    let now = std::fs::read_to_string(&proof).expect("it is there");
    assert!(now.starts_with("{\"body\":"));
    assert_eq!(files(&folder), ["night.proof"]);
}

#[test]
fn what_is_wrong_in_a_proof_is_said_with_its_place_and_in_plain_words() {
    let folder = folder("plain");
    let (ran, proof) = proven(&folder, ROOM);
    let written = std::fs::read_to_string(&proof).expect("the proof");
    let none = "\"version\":\"one\"";
    for (from, to, path, said) in [
        (
            "\"steps\":[",
            "\"steps\":[4,",
            "body.claims[0].nodes[0].steps[0]",
            "this must be an object, not the number 4",
        ),
        (
            "\"version\":2",
            none,
            "body.version",
            "this must be a whole number from 0, not the text \"one\"",
        ),
        (
            "\"steps\"",
            "\"step\"",
            "body.claims[0].nodes[0].step",
            "`step` is no field here, but ",
        ),
    ] {
        assert!(written.contains(from), "{from}");
        std::fs::write(&proof, written.replacen(from, to, 1)).expect("it can be written");
        let args = ["verify", ROOM, "-", "--proof", &proof, "--json"];
        let checked = run_with(&args, &ran.out);
        assert_eq!(checked.code, 2, "{to}");
        let fault = &checked.json()["errors"][0];
        assert_eq!(fault["path"], path, "{fault}");
        let message = fault["message"].as_str().expect("a sentence");
        assert!(
            message.starts_with(&format!("this is no proof: {said}")),
            "{message}"
        );
    }
}

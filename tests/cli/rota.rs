//! `rota`: what to do at each moment, the document, and what checks it.

use serde_json::{Value, json};

use super::{fits, run, run_with};

const NIGHT: &str = "fixtures/quartet-night.json";

/// The text without its line breaks.
fn unwrapped(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

fn night() -> Value {
    let text = std::fs::read_to_string(NIGHT).expect("the fixture is there");
    serde_json::from_str(&text).expect("it is JSON")
}

#[test]
fn the_evening_is_told_moment_by_moment() {
    let ran = run(&["rota", NIGHT]);
    assert_eq!((ran.code, ran.err.as_str()), (0, ""));
    let first = unwrapped(ran.out.split("\n\n").next().unwrap_or_default());
    assert!(first.starts_with("all 12 devices full by "), "{first}");
    assert!(first.contains("; proven: no rota promises more"), "{first}");
    let moments: Vec<&str> = ran
        .out
        .lines()
        .filter(|line| line.starts_with(|c: char| c.is_ascii_digit()))
        .collect();
    assert_eq!(
        moments,
        ["19:30  concert", "22:00  night", "06:00  the end"]
    );
    assert!(ran.out.lines().all(|line| line.chars().count() <= 80));
}

#[test]
fn without_a_start_moments_are_hours_from_the_beginning() {
    let mut setup = night();
    setup.as_object_mut().expect("an object").remove("start");
    let ran = run_with(&["rota", "-"], &setup.to_string());
    assert_eq!(ran.code, 0);
    for line in [
        "start  concert",
        "+2 h 30 min  night",
        "+10 h 30 min  the end",
    ] {
        assert!(
            ran.out.contains(&format!("\n{line}\n")),
            "{line}: {}",
            ran.out
        );
    }
}

#[test]
fn the_document_fits_its_schema_and_is_verified() {
    let rota = run(&["rota", NIGHT, "--json"]);
    assert_eq!((rota.code, rota.err.as_str()), (0, ""));
    fits("rota", &rota.json());
    let ran = run_with(&["verify", NIGHT, "-"], &rota.out);
    assert_eq!(ran.code, 0, "{}", ran.out);

    let mut wrong = rota.json();
    wrong["berths"][0]["until_session"] = json!("concert");
    wrong["berths"][1]["finish_h"] = json!(1);
    let ran = run_with(&["verify", NIGHT, "-", "--json"], &wrong.to_string());
    assert_eq!(ran.code, 1);
    let violations = &ran.json()["violations"];
    let paths: Vec<&Value> = violations
        .as_array()
        .expect("a list")
        .iter()
        .map(|v| &v["path"])
        .collect();
    assert_eq!(paths, ["berths[0].until_session", "berths[1].finish_h"]);

    wrong["berths"][1]
        .as_object_mut()
        .expect("a berth")
        .remove("finish_h");
    let ran = run_with(&["verify", NIGHT, "-"], &wrong.to_string());
    assert_eq!(ran.code, 2);
    assert!(
        ran.err.contains("needs the field `finish_h`"),
        "{}",
        ran.err
    );
}

#[test]
fn who_is_late_or_left_out_is_said_with_the_reason() {
    let mut setup = night();
    setup["sessions"][1]["hours"] = json!(1.5);
    setup["devices"][0]["ready_by_h"] = json!(4);
    setup["devices"][5]["sessions"] = json!([]);
    let ran = run_with(&["rota", "-"], &setup.to_string());
    assert_eq!(ran.code, 1, "{}", ran.out);
    for part in [
        "not full when taken out",
        "(not full)",
        "not full before it is taken out",
        "not reached",
        "it is at hand in no session at whose start plugs can be swapped",
    ] {
        assert!(unwrapped(&ran.out).contains(part), "{part}: {}", ran.out);
    }
}

#[test]
fn a_setup_without_sessions_is_refused() {
    let ran = run(&["rota", "fixtures/quartet.json"]);
    assert_eq!((ran.code, ran.out.as_str()), (2, ""));
    assert!(ran.err.contains("a rota needs sessions"), "{}", ran.err);
    let rota = run(&["rota", NIGHT, "--json"]).out;
    let ran = run_with(&["verify", "fixtures/quartet.json", "-"], &rota);
    assert_eq!(ran.code, 1);
    assert!(ran.out.contains("the setup has no sessions"), "{}", ran.out);
}

#[test]
fn what_a_limit_stops_is_told_as_such() {
    let ran = run(&["rota", NIGHT, "--budget", "1", "--json"]);
    assert_eq!(ran.json()["status"], "feasible");
    let ran = run_with(&["verify", NIGHT, "-"], &ran.out);
    assert_eq!(ran.code, 0, "{}", ran.out);
    let ran = run(&["rota", NIGHT, "--budget", "1"]);
    let told = unwrapped(&ran.out);
    for part in [
        "not proven: a limit stopped the search",
        "proven so far of the best rota",
    ] {
        assert!(told.contains(part), "{part}: {told}");
    }
}

#[test]
fn other_questions_say_that_they_leave_sessions_out() {
    let said = "the setup has sessions, and this is for one night without swaps";
    for args in [
        &["assign", NIGHT][..],
        &["size", NIGHT],
        &["improve", NIGHT],
        &["wish", NIGHT, "laptop served"],
        &["rank", NIGHT, "fixtures/candidates.ndjson", "--top", "1"],
        &["timeline", NIGHT],
        &["score", NIGHT, "-"],
    ] {
        let way = r#"{"laptop": "C1"}"#;
        let told = unwrapped(&run_with(args, way).out);
        assert_eq!(told.matches(said).count(), 1, "{args:?}: {told}");
        let document = run_with(&[args, &["--json"]].concat(), way).json();
        let cautions = document["cautions"].to_string();
        assert_eq!(cautions.matches(said).count(), 1, "{args:?}: {cautions}");
    }
    for args in [&["rota", NIGHT][..], &["timeline", NIGHT, "--rota"]] {
        let told = unwrapped(&run(args).out);
        assert!(!told.contains(said), "{args:?}: {told}");
    }
    let setup = std::fs::read_to_string(NIGHT).expect("a fixture");
    let setup: Value = serde_json::from_str(&setup).expect("JSON");
    let line = serde_json::json!({"id": 1, "setup": setup}).to_string();
    let answer = run_with(&["batch"], &line).out;
    assert_eq!(answer.matches(said).count(), 1, "{answer}");
}

//! `assign --keep`: only the moves, and what is said of a plan that does not fit.

use serde_json::{Value, json};

use super::{fits, run, run_with};

const BEFORE: &str = "fixtures/green-room.txt";
const LATE: &str = "fixtures/green-room-guest.txt";

fn at_hand() -> String {
    run(&["assign", BEFORE, "--json"]).out
}

/// The plan at hand, changed.
fn changed(change: impl Fn(&mut Value)) -> String {
    let mut plan: Value = serde_json::from_str(&at_hand()).expect("a plan document");
    change(&mut plan);
    plan.to_string()
}

#[test]
fn the_same_setup_moves_nothing() {
    let ran = run_with(&["assign", BEFORE, "--keep", "-"], &at_hand());
    assert_eq!((ran.code, ran.err.as_str()), (0, ""));
    assert!(
        ran.out.contains("Everything stays where it is."),
        "{}",
        ran.out
    );
    assert!(!ran.out.contains("Port"), "{}", ran.out);
    let ran = run_with(&["assign", BEFORE, "--keep", "-", "--json"], &at_hand());
    assert_eq!(ran.json()["moves"], json!([]));
}

#[test]
fn whoever_comes_late_is_plugged_in_and_who_moves_is_told() {
    let ran = run_with(&["assign", LATE, "--keep", "-"], &at_hand());
    assert_eq!((ran.code, ran.err.as_str()), (0, ""));
    assert!(
        ran.out.contains("Plug in\n  - cello tablet on "),
        "{}",
        ran.out
    );
    let ran = run_with(&["assign", LATE, "--keep", "-", "--json"], &at_hand());
    let plan = ran.json();
    fits("plan", &plan);
    let checked = run_with(&["verify", LATE, "-"], &ran.out);
    assert_eq!(checked.code, 0, "{}", checked.out);
    assert!(checked.out.contains("moves not checked"), "{}", checked.out);
    let card = run_with(&["assign", LATE, "--keep", "-", "--card"], &at_hand());
    assert!(card.out.contains("laptop"), "{}", card.out);
}

#[test]
fn what_is_no_longer_there_is_said_and_counts_as_moved() {
    let gone = changed(|plan| {
        plan["berths"][0]["port"] = json!("C9");
        plan["berths"][1]["device"] = json!("metronome");
    });
    let ran = run_with(&["assign", BEFORE, "--keep", "-", "--json"], &gone);
    let plan = ran.json();
    assert_eq!(plan["moves"][0]["from"]["port"], "C9");
    let cautions = plan["cautions"].to_string();
    for part in [
        "no longer there: port C9 of hub, which the plan at hand has",
        "no longer there: metronome, which the plan at hand has",
    ] {
        assert!(cautions.contains(part), "{cautions}");
    }
}

#[test]
fn a_plan_that_does_not_fit_is_a_fault_at_its_place() {
    let rename = |plan: &mut Value| {
        for berth in plan["berths"].as_array_mut().expect("a list") {
            berth["device"] = json!(format!("{}s", berth["device"].as_str().expect("a name")));
        }
    };
    let twice = |plan: &mut Value| {
        let first = plan["berths"][0].clone();
        plan["berths"][1] = first;
    };
    for (plan, part) in [
        (changed(rename), "none of its devices is in the setup"),
        (changed(twice), "\"laptop\" has a berth already"),
        (changed(twice), "another device is on this port already"),
        ("{}".to_owned(), "<stdin>:1:1"),
    ] {
        let ran = run_with(&["assign", BEFORE, "--keep", "-"], &plan);
        assert_eq!((ran.code, ran.out.as_str()), (2, ""), "{part}");
        assert!(ran.err.contains(part), "{part}: {}", ran.err);
        assert!(ran.err.contains("--> <stdin>:"), "{part}: {}", ran.err);
    }
    let rota = run(&["rota", "fixtures/quartet-night.json", "--json"]);
    let ran = run_with(&["assign", BEFORE, "--keep", "-"], &rota.out);
    assert_eq!(ran.code, 2);
    assert!(ran.err.contains("this document is a rota"), "{}", ran.err);
    assert_eq!(
        run(&["rota", "fixtures/quartet-night.json", "--keep", "-"]).code,
        2
    );
}

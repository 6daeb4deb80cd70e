//! `assign --keep`, `--from` and `guest`: only the moves, the places, and what is said of a plan
//! that does not fit.

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

#[test]
fn a_search_begins_with_a_plan_and_comes_to_the_same() {
    let without = run(&["assign", LATE, "--json"]);
    let ran = run_with(&["assign", LATE, "--from", "-", "--json"], &at_hand());
    assert_eq!((ran.code, ran.err.as_str()), (0, ""));
    assert_eq!(ran.out, without.out);
    // Nothing else is told of it.
    let ran = run_with(&["assign", BEFORE, "--from", "-"], &at_hand());
    assert_eq!(ran.out, run(&["assign", BEFORE]).out);
    let stopped = ["assign", BEFORE, "--budget", "1", "--from", "-", "--json"];
    let stopped = run_with(&stopped, &at_hand()).json();
    let best = run(&["assign", BEFORE, "--json"]).json();
    for field in ["unserved", "promised_late", "promised_longest_h"] {
        assert_eq!(stopped[field], best[field], "{field}");
    }

    let night = "fixtures/quartet-night.json";
    let rota = run(&["rota", night, "--json"]);
    let ran = run_with(&["rota", night, "--from", "-", "--json"], &rota.out);
    assert_eq!(ran.out, rota.out);

    let other = changed(|plan| plan["berths"][1] = plan["berths"][0].clone());
    for (arguments, text, part) in [
        (["assign", BEFORE], other, "\"laptop\" has a berth already"),
        (["assign", BEFORE], rota.out, "this document is a rota"),
        (["rota", night], at_hand(), "this document is a plan"),
    ] {
        let ran = run_with(&[&arguments[..], &["--from", "-"]].concat(), &text);
        assert_eq!((ran.code, ran.out.as_str()), (2, ""), "{part}");
        assert!(ran.err.contains(part), "{part}: {}", ran.err);
    }
    let both = ["assign", BEFORE, "--from", "-", "--keep", "-"];
    assert_eq!(run_with(&both, &at_hand()).code, 2);
}

#[test]
fn a_guest_is_told_its_places_and_who_would_have_to_move() {
    let ran = run_with(&["guest", LATE, "-"], &at_hand());
    assert_eq!((ran.code, ran.err.as_str()), (0, ""));
    assert!(
        ran.out
            .starts_with("cello tablet on A1, cable A-C: full after"),
        "{}",
        ran.out
    );
    for line in ran.out.lines() {
        assert!(line.chars().count() <= 80, "{line}");
    }
    let ran = run_with(
        &["guest", LATE, "-", "--device", "cello tablet", "--json"],
        &at_hand(),
    );
    let found = ran.json();
    fits("guest", &found);
    assert_eq!(found["device"], "cello tablet");
    assert_eq!(found["undecided_places"], json!([]));
    assert_eq!(
        found["one_move"]["plan"]["moves"].as_array().map(Vec::len),
        Some(1)
    );
}

#[test]
fn under_a_small_budget_what_was_not_looked_at_is_named() {
    let few = ["guest", LATE, "-", "--budget", "1"];
    let ran = run_with(&few, &at_hand());
    assert_eq!(ran.code, 1, "{}", ran.out);
    assert!(ran.out.contains("Not looked at to the end"), "{}", ran.out);
    assert_eq!(ran.out, run_with(&few, &at_hand()).out);
}

#[test]
fn it_must_be_clear_who_comes() {
    let two_left = changed(|plan| {
        plan["berths"].as_array_mut().expect("a list").truncate(2);
    });
    for (args, plan, part) in [
        (
            &["guest", BEFORE, "-"][..],
            at_hand(),
            "every device of the setup has a berth",
        ),
        (
            &["guest", LATE, "-"],
            two_left,
            "say which: \"score tablet 2\", \"phone\", \"cello tablet\"",
        ),
        (
            &["guest", LATE, "-", "--device", "celo tablet"],
            at_hand(),
            "did you mean `cello tablet`?",
        ),
        (
            &["guest", LATE, "-", "--device", "phone"],
            at_hand(),
            "has a berth in the plan at hand",
        ),
    ] {
        let ran = run_with(args, &plan);
        assert_eq!((ran.code, ran.out.as_str()), (2, ""), "{part}");
        assert!(ran.err.contains(part), "{part}: {}", ran.err);
    }
    let other = changed(|plan| plan["berths"][0]["port"] = json!("C9"));
    let ran = run_with(&["guest", LATE, "-"], &other);
    assert_eq!(ran.code, 2);
    assert!(ran.err.contains("--> <stdin>:1:"), "{}", ran.err);
}

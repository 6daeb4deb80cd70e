//! `why`, and the sentence that every plan has of it.

use crate::{run, run_with};

const QUARTET: &str = "fixtures/quartet.json";

/// The names of the devices among the limits of a reason.
fn devices(reason: &serde_json::Value) -> Vec<&str> {
    let limits = reason["limits"].as_array().expect("limits");
    limits
        .iter()
        .filter_map(|of| of["device"].as_str())
        .collect()
}

#[test]
fn the_quartet_waits_for_the_battery_pack_alone() {
    let plan = run(&["assign", QUARTET, "--json"]).json();
    let because = plan["because"].as_array().expect("reasons");
    assert_eq!(because.len(), 1);
    assert_eq!(because[0]["about"], "longest");
    assert_eq!(because[0]["least"], true);
    assert_eq!(devices(&because[0]), ["battery pack"]);

    let ran = run(&["why", QUARTET]);
    assert_eq!((ran.code, ran.err.as_str()), (0, ""));
    for said in [
        "battery pack: the last, and no sooner",
        "- the table of travel cube",
        "- the 8 USB-C ports",
    ] {
        assert!(ran.out.contains(said), "{said}: {}", ran.out);
    }
    assert!(!ran.out.contains("score tablet"), "{}", ran.out);
    assert_eq!(run(&["why", QUARTET, "--json"]).json(), plan);
}

#[test]
fn a_device_that_is_slow_by_itself_is_named_alone() {
    let ran = run(&["assign", "fixtures/family.json"]);
    let alone = "No sooner: children's tablet alone needs 3 h 20 min on any port here.";
    assert!(ran.out.contains(alone), "{}", ran.out);
}

#[test]
fn who_has_no_port_and_who_is_late_are_told_what_is_in_the_way() {
    let ran = run(&["assign", "fixtures/quartet-eight.json"]);
    assert_eq!(ran.code, 1);
    for said in [
        "What is in the way",
        "- laptop: late: 7 devices would need more than",
    ] {
        assert!(ran.out.contains(said), "{said}: {}", ran.out);
    }
}

#[test]
fn a_search_that_was_stopped_gives_no_reason_that_it_does_not_know() {
    for steps in ["1", "20", "200"] {
        let ran = run(&["why", "fixtures/quartet-eight.json", "--budget", steps]);
        assert_eq!(ran.code, 0, "{}", ran.err);
        assert!(ran.out.contains("not proven"), "{}", ran.out);
    }
    let ran = run(&["why", QUARTET, "--time-limit", "0"]);
    assert!(
        ran.out.contains("It is not known what is in the way."),
        "{}",
        ran.out
    );
}

#[test]
fn what_is_full_waits_for_nothing() {
    let list = "charger cube: C1 65 W\ncable C-C\nphone 100 % left\n";
    let ran = run_with(&["why", "-"], list);
    assert!(ran.out.contains("Nothing is in the way"), "{}", ran.out);
}

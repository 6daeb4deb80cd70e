//! `wattberth timeline`: what it tells, from a setup and from a plan, and with which code.

use serde_json::{Value, json};

use super::{fits, run, run_with, small};

const ROOM: &str = "fixtures/dressing-room.json";

#[test]
fn the_document_has_its_schema_and_both_times() {
    for flags in [&[][..], &["--reshared"]] {
        let ran = run(&[&["timeline", ROOM, "--json"], flags].concat());
        assert_eq!((ran.code, ran.err.as_str()), (0, ""));
        let night = ran.json();
        fits("timeline", &night);
        let hours = |field: &str| night[field].as_f64().expect("a number");
        assert!(hours("reshared_h") < hours("longest_h"));
        assert_eq!(night["start"], "17:00");
        let reshared = !flags.is_empty();
        let changes = night["events"].as_array().expect("events");
        let changes = changes.iter().filter(|event| event["what"] == "contract");
        assert_eq!(changes.count() > 0, reshared);
    }
}

#[test]
fn a_plan_is_taken_and_one_that_is_wrong_is_refused() {
    let plan = run(&["assign", ROOM, "--json"]);
    let from_plan = run_with(&["timeline", ROOM, "--plan", "-", "--json"], &plan.out);
    let planned = run(&["timeline", ROOM, "--json"]);
    assert_eq!((from_plan.code, &from_plan.out), (0, &planned.out));

    let wrong = plan.out.replace("\"tier_w\": 45", "\"tier_w\": 30");
    assert_ne!(wrong, plan.out);
    let refused = run_with(&["timeline", ROOM, "--plan", "-"], &wrong);
    assert_eq!((refused.code, refused.out.as_str()), (2, ""));
    assert!(refused.err.contains("berths[0].tier_w"), "{}", refused.err);
    // At the very number, in the plan's own text.
    let before = wrong
        .split("\"tier_w\": 30")
        .next()
        .expect("the text before it");
    let line = before.lines().count();
    let place = format!("--> <stdin>:{line}:17\n");
    assert!(refused.err.contains(&place), "{place}{}", refused.err);
    assert!(refused.err.contains("\"tier_w\": 30"), "{}", refused.err);

    // A cause that is none, in words for people.
    let mut plan = plan.json();
    plan["without_berth"] = json!([{"device": "d", "reason": "", "cause": 3}]);
    let refused = run_with(&["timeline", ROOM, "--plan", "-"], &plan.to_string());
    let said = "a cause must be an object in braces, not the number 3";
    assert!(refused.err.contains(said), "{}", refused.err);
}

#[test]
fn the_table_keeps_to_the_page_and_steps_to_their_range() {
    let ran = run(&["timeline", "fixtures/quartet.json", "--reshared"]);
    assert_eq!((ran.code, ran.err.as_str()), (0, ""));
    assert!(ran.out.lines().all(|line| line.chars().count() <= 80));
    assert!(!ran.out.contains('\u{1b}'), "colour in a pipe");
    for step in ["0", "-5", "1441", "NaN"] {
        let ran = run(&["timeline", ROOM, "--step", step]);
        assert_eq!((ran.code, ran.out.as_str()), (2, ""), "{step}");
        assert!(ran.err.contains("a step must be from 0.01 to 1440 min"));
    }
    let fine = run(&["timeline", ROOM, "--step", "0.25", "--json"]).json();
    assert_eq!(fine["step_min"], 0.25);
}

#[test]
fn both_times_are_told_where_they_are_asked_for() {
    let plan = run(&["assign", ROOM, "--json"]).json();
    let reshared_h = plan["reshared_h"].clone();
    assert!(reshared_h.as_f64() < plan["longest_h"].as_f64());
    let first = run(&["assign", ROOM]).out;
    assert!(first.starts_with(
        "all 3 devices full by 18:59 at the latest, by 18:50 if the charger shares anew;"
    ));

    let setup: Value =
        serde_json::from_str(&std::fs::read_to_string(ROOM).expect("it is there")).expect("JSON");
    let line = json!({"id": 1, "setup": setup}).to_string();
    let plain: Value = run_with(&["batch"], &line).json();
    assert_eq!(plain["plan"].get("reshared_h"), None);
    let asked: Value = run_with(&["batch", "--reshared"], &line).json();
    assert_eq!(asked["plan"]["reshared_h"], reshared_h);

    let way = json!({"laptop": "C1", "score tablet 1": "C2", "score tablet 2": "C3"});
    let scored = run_with(&["score", ROOM, "-", "--json"], &way.to_string()).json();
    assert_eq!(scored["reshared_h"], reshared_h);
    assert_eq!(scored["best_reshared_h"], reshared_h);
}

#[test]
fn one_device_alone_is_told_of_plainly() {
    let ran = run_with(&["timeline", "-"], &small().to_string());
    assert_eq!((ran.code, ran.err.as_str()), (0, ""));
    assert!(
        ran.out.starts_with("the only device full after "),
        "{}",
        ran.out
    );
}

#[test]
fn the_rules_by_which_chargers_share_are_told_where_they_are_asked_for() {
    let told = run(&["timeline", ROOM, "--rules", "--json"]);
    assert_eq!((told.code, told.err.as_str()), (0, ""));
    let night = told.json();
    fits("timeline", &night);
    let rules = night["rules"]["rules"].as_array().expect("a list");
    let names: Vec<&str> = rules.iter().filter_map(|of| of["rule"].as_str()).collect();
    let expected = [
        "fair-share",
        "first-come",
        "last-come",
        "one-port-first",
        "by-demand",
        "by-battery",
    ];
    assert_eq!(names, expected);
    assert!(rules.iter().all(|of| of["source"].is_string()));
    assert!(run(&["timeline", ROOM, "--json"]).json()["rules"].is_null());

    let page = run(&["timeline", ROOM, "--rules"]);
    assert_eq!((page.code, page.err.as_str()), (0, ""));
    assert!(page.out.lines().all(|line| line.chars().count() <= 80));
    let words = page.out.split_whitespace().collect::<Vec<_>>().join(" ");
    for said in [
        "When the last is full, by the rule that the charger follows",
        "- if the charger serves who came first: ",
        "; plug in laptop first (last, if it serves who came last)",
        "; best with laptop on it",
    ] {
        assert!(words.contains(said), "{said}\n{}", page.out);
    }
}

#[test]
fn a_rota_is_told_by_no_rule() {
    let night = "fixtures/quartet-night.json";
    let both = run(&["timeline", night, "--rota", "--rules"]);
    assert_eq!((both.code, both.out.as_str()), (2, ""));
    let rota = run(&["rota", night, "--json"]);
    let refused = run_with(&["timeline", night, "--plan", "-", "--rules"], &rota.out);
    assert_eq!((refused.code, refused.out.as_str()), (2, ""));
    assert!(
        refused.err.contains("this document is a rota"),
        "{}",
        refused.err
    );
}

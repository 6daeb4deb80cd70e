//! `score` and `improve`: answers, exit codes, documents.

use serde_json::json;

use super::{fits, run, run_with};

const QUARTET: &str = "fixtures/quartet.json";

#[test]
fn the_best_plan_scores_as_such() {
    let plan = run(&["assign", QUARTET, "--json"]);
    let ran = run_with(&["score", QUARTET, "-"], &plan.out);
    assert_eq!((ran.code, ran.err.as_str()), (0, ""));
    let first = "Every rule is kept: all 12 devices full after 5 h 39 min at the latest; as good as \
                 the best plan.";
    let said = ran.out.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(said.starts_with(first), "{said}");
    let ran = run_with(&["score", QUARTET, "-", "--json"], &plan.out);
    let score = ran.json();
    assert_eq!((ran.code, &score["legal"]), (0, &json!(true)));
    fits("score", &score);
}

#[test]
fn a_broken_rule_or_a_device_left_out_is_said_by_the_exit_code() {
    let berths = "fixtures/quartet-berths.json";
    let ran = run(&["score", QUARTET, berths]);
    assert_eq!((ran.code, ran.err.as_str()), (1, ""));
    let ran = run(&["score", QUARTET, berths, "--json"]);
    assert_eq!(ran.code, 1);
    let score = ran.json();
    fits("score", &score);
    assert_eq!(score["broken"][0]["rule"], "not-joined");
    let nobody = run_with(&["score", QUARTET, "-", "--json"], "{}");
    let score = nobody.json();
    assert_eq!((nobody.code, &score["legal"]), (1, &json!(true)));
    assert_eq!(score["without_berth"].as_array().map(Vec::len), Some(12));
}

#[test]
fn faults_of_the_berths_are_shown_with_their_line() {
    let ran = run_with(
        &["score", QUARTET, "-"],
        "{\"laptop\":\n  \"C2\", \"phon 1\": \"A2\"}",
    );
    assert_eq!((ran.code, ran.out.as_str()), (2, ""));
    for part in [
        "--> <stdin>:2:3",
        "more than one charger has a port \"C2\"",
        "no device is called \"phon 1\"",
        "did you mean `phone 1`?",
        "2 faults",
    ] {
        assert!(ran.err.contains(part), "{part}: {}", ran.err);
    }
    let ran = run_with(&["score", QUARTET, "-", "--json"], "{\"bass\": 1}");
    assert_eq!(ran.code, 2);
    assert_eq!(ran.json()["errors"][0]["path"], "bass");
    assert_eq!(run(&["score", QUARTET]).code, 2);
}

#[test]
fn improve_says_what_to_buy() {
    let args = [
        "improve",
        "fixtures/quartet-bag.json",
        "--charger",
        "fixtures/chargers/hotel-eight.json",
    ];
    let ran = run(&args);
    assert_eq!((ran.code, ran.err.as_str()), (0, ""));
    // Four more devices than ports: whoever swaps plugs once need buy nothing.
    assert!(
        ran.out.starts_with("Buy nothing: swap plugs once"),
        "{}",
        ran.out
    );
    assert!(ran.out.contains("one more port"), "{}", ran.out);
    let ran = run(&[&args[..], &["--json"]].concat());
    let found = ran.json();
    fits("improve", &found);
    assert_eq!((ran.code, &found["now"]["status"]), (0, &json!("optimal")));
    assert!(
        found["changes"]
            .as_array()
            .is_some_and(|changes| !changes.is_empty())
    );
}

#[test]
fn a_limit_leaves_changes_undecided() {
    let ran = run(&["improve", QUARTET, "--time-limit", "0", "--json"]);
    let found = ran.json();
    assert_eq!((ran.code, &found["now"]["status"]), (0, &json!("feasible")));
    assert_eq!(found["changes"], json!([]));
    assert!(
        found["undecided"].as_u64().is_some_and(|n| n > 10),
        "{found}"
    );
    let ran = run(&["improve", QUARTET, "--time-limit", "0"]);
    assert!(
        ran.out
            .starts_with("Nothing was found to help before a limit"),
        "{}",
        ran.out
    );
    assert_eq!(run(&["improve", QUARTET, "--budget", "0"]).code, 2);
}

#[test]
fn pages_keep_their_width_whatever_the_names() {
    let long = "x".repeat(190);
    let names = [
        long.as_str(),
        "譜面用タブレットの一番目の非常に長い名前の機械",
    ];
    for name in names {
        let setup = json!({
            "chargers": [{"name": name, "max_w": 40, "ports": [
                {"name": name, "pd_w": 30}, {"name": "C2", "pd_w": 20}]}],
            "cables": [{"name": name, "count": 2}],
            "devices": [{"name": name, "pd_w": 30, "battery_wh": 15},
                        {"name": "pedals", "pd_w": 15, "battery_wh": 5, "port": "C2"}],
        });
        let folder = std::env::temp_dir().join(format!("wattberth-{}", std::process::id()));
        std::fs::create_dir_all(&folder).expect("a place for the setup");
        let path = folder.join("setup.json");
        std::fs::write(&path, setup.to_string()).expect("the setup is written");
        let path = path.to_str().expect("a path of text");
        let berths = json!({name: name, "pedals": name}).to_string();
        for ran in [
            run_with(&["score", path, "-"], &berths),
            run(&["improve", path]),
        ] {
            assert!(ran.code < 2, "{ran:?}");
            for line in ran.out.lines() {
                // Of the wide letters, two columns each, no line holds more than forty.
                let columns: usize = line.chars().map(|c| 1 + usize::from(c > '\u{2e80}')).sum();
                assert!(columns <= 80, "{columns} columns: {line}");
            }
        }
        std::fs::remove_dir_all(&folder).expect("the place is cleared");
    }
}

//! `wattberth size`: what it answers, and with which code.

use serde_json::json;

use super::{Value, fits, run_with};

/// Two devices, two cables, no charger.
fn bag() -> Value {
    json!({
        "cables": [{"name": "k", "length_m": 1, "count": 2}],
        "devices": [
            {"name": "laptop", "accepts": "15V 3A, 20V 3.25A", "battery_wh": 56},
            {"name": "phone", "accepts": "5V 3A, 9V 2A", "battery_wh": 15}
        ]
    })
}

#[test]
fn the_document_has_its_schema_and_its_shape() {
    let ran = run_with(&["size", "-", "--by", "3", "--json"], &bag().to_string());
    assert_eq!((ran.code, ran.err.as_str()), (0, ""));
    let size = ran.json();
    fits("size", &size);

    assert_eq!(size["by_h"], 3);
    let ports = size["ports"].as_array().expect("ports");
    let sum: f64 = ports.iter().filter_map(|p| p["port_w"].as_f64()).sum();
    assert_eq!(size["total_w"].as_f64(), Some(sum));
    assert_eq!(size["labels_sum_w"], 83);
    assert_eq!(
        (&size["unreached"], &size["too_late"]),
        (&json!([]), &json!([]))
    );
    for point in size["frontier"].as_array().expect("a frontier") {
        assert!(point["longest_h"].is_number() && point["total_w"].is_number());
    }
}

#[test]
fn the_first_line_is_what_to_look_for() {
    let ran = run_with(&["size", "-", "--by", "3"], &bag().to_string());
    assert_eq!((ran.code, ran.err.as_str()), (0, ""));
    let first = ran.out.lines().next().unwrap_or_default();
    assert!(first.starts_with("look for 2 USB-C ports, "), "{first}");
    assert!(
        ran.out.lines().all(|line| line.chars().count() <= 80),
        "{}",
        ran.out
    );
    assert!(!ran.out.contains('\u{1b}'), "colour in a pipe");
}

#[test]
fn who_is_left_out_is_named_and_the_code_says_so() {
    let mut bag = bag();
    bag["cables"][0]["count"] = 1.into();
    let ran = run_with(&["size", "-", "--by", "8"], &bag.to_string());
    assert_eq!((ran.code, ran.err.as_str()), (1, ""));
    assert!(
        ran.out.contains("phone: no cable is left for it (k)"),
        "{}",
        ran.out
    );

    let ran = run_with(&["size", "-", "--by", "0.1"], &bag.to_string());
    assert_eq!(ran.code, 1);
    let first = ran.out.lines().next().unwrap_or_default();
    assert_eq!(first, "no charger can be sized for any of the 2 devices");
    assert!(ran.out.contains("laptop: full after "), "{}", ran.out);
}

#[test]
fn a_full_bag_needs_nothing() {
    let mut bag = bag();
    for device in bag["devices"].as_array_mut().expect("devices") {
        device["start_pct"] = 100.into();
    }
    let ran = run_with(&["size", "-"], &bag.to_string());
    assert_eq!(ran.code, 0);
    assert!(ran.out.starts_with("nothing to charge"), "{}", ran.out);
}

#[test]
fn faults_are_said_once_with_their_place() {
    for by in ["-1", "NaN", "1e9"] {
        let ran = run_with(&["size", "-", "--by", by], &bag().to_string());
        assert_eq!((ran.code, ran.out.as_str()), (2, ""), "{by}");
        assert!(
            ran.err.contains("the time must be from 0 to 10000 h"),
            "{}",
            ran.err
        );
    }
    let ran = run_with(&["size", "-"], r#"{"devices": [{"name": "d", "pd_w": 5}]}"#);
    assert_eq!((ran.code, ran.out.as_str()), (2, ""));
    assert!(ran.err.contains("<stdin>:1:14"), "{}", ran.err);
    let ran = run_with(&["size", "-", "--json"], "{");
    assert_eq!(ran.code, 2);
    assert!(ran.json()["errors"].is_array(), "{}", ran.out);
}

#[test]
fn names_from_files_do_not_reach_the_terminal_raw() {
    let mut bag = bag();
    bag["devices"][0]["name"] = "l\u{202e}aptop".into();
    bag["cables"][0]["name"] = "a very long name of a cable ".repeat(5).into();
    bag["cables"][0]["count"] = 1.into();
    let ran = run_with(&["size", "-"], &bag.to_string());
    assert!(!ran.out.contains('\u{202e}'), "{}", ran.out);
    assert!(
        ran.out.lines().all(|line| line.chars().count() <= 80),
        "{}",
        ran.out
    );
}

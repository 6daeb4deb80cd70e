//! `wattberth calendar`: the screen, the document, the exit codes.

use serde_json::{Value, json};

use super::{fits, run, run_with};

const WEEK: &str = "fixtures/week.txt";

/// A charger of one port, and so many things that charge every second night.
fn lamps(count: usize) -> Value {
    let lamp = |number: usize| {
        let name = format!("lamp {number}");
        json!({"name": name, "pd_w": 18, "battery_wh": 20, "every_nights": 2})
    };
    json!({
        "chargers": [{"name": "cube", "ports": [{"name": "C1", "pd_w": 20}]}],
        "cables": [{"name": "braided"}],
        "devices": (1..=count).map(lamp).collect::<Vec<_>>(),
        "session_h": 8
    })
}

#[test]
fn the_document_fits_its_schema_and_every_thing_has_its_nights() {
    let ran = run(&["calendar", WEEK, "--json"]);
    assert_eq!((ran.code, ran.err.as_str()), (0, ""));
    let calendar = ran.json();
    fits("calendar", &calendar);
    assert_eq!(calendar["status"], "optimal");
    assert_eq!(
        (&calendar["nights"], &calendar["repeats"]),
        (&json!(6), &json!(true))
    );
    for device in calendar["devices"].as_array().expect("devices") {
        let every = device["every_nights"].as_u64().expect("a number");
        let nights = device["nights"].as_array().expect("nights");
        let nights: Vec<u64> = nights.iter().filter_map(Value::as_u64).collect();
        assert!(nights[0] <= every, "{device}");
        assert!(
            nights.windows(2).all(|two| two[1] - two[0] == every),
            "{device}"
        );
        assert_eq!(nights.len() as u64, 6 / every, "{device}");
        for plan in calendar["plans"].as_array().expect("plans") {
            let named = plan["devices"].as_array().expect("names");
            let is_named = named.contains(&device["device"]);
            let of_plan = plan["nights"].as_array().expect("nights");
            let charged = of_plan
                .iter()
                .all(|night| nights.contains(&night.as_u64().unwrap_or(0)));
            assert_eq!(is_named, charged, "{device}: {}", plan["nights"]);
        }
    }
    for night in calendar["plans"].as_array().expect("plans") {
        fits("plan", &night["plan"]);
    }
}

#[test]
fn the_screen_keeps_to_its_width_and_same_bytes_come_twice() {
    let ran = run(&["calendar", WEEK]);
    assert_eq!((ran.code, ran.err.as_str()), (0, ""));
    assert!(!ran.out.contains('\u{1b}'), "colour in a pipe");
    let wide = ran.out.lines().find(|line| line.chars().count() > 80);
    assert_eq!(wide, None);
    for name in ["metronome", "e-reader", "recorder", "power bank"] {
        assert!(ran.out.contains(name), "{name}: {}", ran.out);
    }
    assert_eq!(run(&["calendar", WEEK]).out, ran.out);
    let document = run(&["calendar", WEEK, "--json"]).out;
    assert_eq!(run(&["calendar", WEEK, "--json"]).out, document);
}

#[test]
fn the_code_says_whether_every_night_serves() {
    for (count, code) in [(1, 0), (2, 0), (3, 1)] {
        let ran = run_with(&["calendar", "-", "--json"], &lamps(count).to_string());
        assert_eq!((ran.code, ran.err.as_str()), (code, ""), "{count}");
        let calendar = ran.json();
        fits("calendar", &calendar);
        assert_eq!(calendar["nights"], 2);
    }
}

#[test]
fn nights_that_hold_a_thing_and_a_half_do_not_begin_anew() {
    let mut setup = lamps(2);
    setup["nights"] = 3.into();
    let ran = run_with(&["calendar", "-", "--json"], &setup.to_string());
    assert_eq!(ran.code, 0, "{}", ran.err);
    assert_eq!(ran.json()["repeats"], false);
    let nights = |at: usize| ran.json()["devices"][at]["nights"].clone();
    let mut both = [nights(0), nights(1)];
    both.sort_by_key(|nights| std::cmp::Reverse(nights.as_array().map(Vec::len)));
    assert_eq!(both, [json!([1, 3]), json!([2])]);
    setup["nights"] = 0.into();
    let ran = run_with(&["calendar", "-"], &setup.to_string());
    assert_eq!((ran.code, ran.out.as_str()), (2, ""));
}

#[test]
fn what_is_cut_short_is_an_answer_all_the_same() {
    for budget in ["1", "10", "100"] {
        let args = ["calendar", WEEK, "--json", "--budget", budget];
        let ran = run(&args);
        assert!(ran.code < 2, "{budget}: {}", ran.err);
        let calendar = ran.json();
        fits("calendar", &calendar);
        let plans = calendar["plans"].as_array().expect("plans").iter();
        let served = plans
            .clone()
            .all(|night| night["plan"]["unserved"] == 0 && night["plan"]["promised_late"] == 0);
        assert_eq!(ran.code == 0, served, "{budget}");
        assert_eq!(run(&args).out, ran.out, "{budget}");
        let text = run(&["calendar", WEEK, "--budget", budget]);
        assert_eq!((text.code, text.err.as_str()), (ran.code, ""));
    }
}

#[test]
fn without_a_charger_it_is_bad_input() {
    let mut setup = lamps(1);
    setup["chargers"] = json!([]);
    let ran = run_with(&["calendar", "-"], &setup.to_string());
    assert_eq!((ran.code, ran.out.as_str()), (2, ""));
    assert!(ran.err.contains("`chargers` is empty"), "{}", ran.err);
    let ran = run(&["calendar", "fixtures/none.txt"]);
    assert_eq!((ran.code, ran.out.as_str()), (2, ""));
}

//! `wattberth trip`: the screen, the document, the exit codes.

use serde_json::Value;

use super::{fits, run, run_with, small};

const TOUR: &str = "fixtures/quartet-tour.json";

#[test]
fn the_screen_keeps_to_its_width_and_has_its_parts_in_order() {
    let ran = run(&["trip", TOUR]);
    assert_eq!((ran.code, ran.err.as_str()), (1, ""));
    assert!(!ran.out.contains('\u{1b}'), "colour in a pipe");
    let wide = ran.out.lines().find(|line| line.chars().count() > 80);
    assert_eq!(wide, None);
    let mut at = 0;
    for part in [
        "\n  Stop ",
        "\nNights\n",
        "\nTake\n",
        "\nLeave at home\n",
        "\nCannot be used\n",
        "\nBy air\n",
        "\nCautions\n",
    ] {
        let found = ran.out[at..].find(part);
        at += found.unwrap_or_else(|| panic!("no {part:?} there:\n{}", ran.out));
    }
    for stop in ["Copenhagen", "Edinburgh", "Boston", "Osaka", "São Paulo"] {
        assert!(ran.out.contains(&format!("\n  {stop} ")), "{stop}");
    }
}

#[test]
fn the_document_fits_its_schema_and_every_finding_is_complete() {
    let ran = run(&["trip", TOUR, "--json"]);
    assert_eq!((ran.code, ran.err.as_str()), (1, ""));
    let trip = ran.json();
    fits("trip", &trip);
    let stops = trip["stops"].as_array().expect("stops");
    assert_eq!(stops.len(), 5);
    let of_stops = stops.iter().filter_map(|stop| stop["findings"].as_array());
    let lists = of_stops.chain(trip["air"].as_array());
    let mut count = 0;
    for finding in lists.flatten() {
        count += 1;
        for field in ["thing", "verdict", "reason", "source", "date"] {
            let text = finding[field].as_str().unwrap_or_default();
            assert!(!text.is_empty(), "{field}: {finding}");
        }
    }
    assert!(count > 150, "{count}");
    // Each night is a plan of its own.
    for stop in stops {
        fits("plan", &stop["plan"]);
    }
    for list in ["take", "leave"] {
        assert!(
            trip["bag"][list]
                .as_array()
                .is_some_and(|list| !list.is_empty())
        );
    }
}

#[test]
fn the_code_says_whether_everything_works() {
    let mut setup = small();
    setup["chargers"][0]["plug"] = "C".into();
    setup["chargers"][0]["input_v"] = "100-240V 50/60Hz".into();
    setup["trip"] = serde_json::json!({"stops": [{"name": "Graz", "country": "AT"}]});
    let ran = run_with(&["trip", "-"], &setup.to_string());
    assert_eq!((ran.code, ran.err.as_str()), (0, ""));
    let first = ran.out.lines().next().unwrap_or_default();
    assert_eq!(first, "1 stop, 1 night: every device is full each morning");
    setup["trip"]["stops"][0]["country"] = "GB".into();
    let ran = run_with(&["trip", "-"], &setup.to_string());
    assert_eq!(ran.code, 1);
    let wanted = "an adapter from C to G for at least 0.2 A would do";
    let said = ran.out.replace("\n    ", " ");
    assert!(said.contains(wanted), "{}", ran.out);
}

#[test]
fn a_setup_without_a_trip_is_bad_input() {
    let ran = run_with(&["trip", "-"], &small().to_string());
    assert_eq!((ran.code, ran.out.as_str()), (2, ""));
    assert!(ran.err.contains("the setup has no `trip`"), "{}", ran.err);
    let ran = run_with(&["trip", "-", "--json"], &small().to_string());
    assert_eq!(ran.code, 2);
    assert_eq!(ran.json()["errors"][0]["path"], Value::from("trip"));
}

#[test]
fn hostile_names_are_shown_and_do_nothing() {
    let text = std::fs::read_to_string(TOUR).expect("the tour");
    let hostile = text.replace("São Paulo", "S\\u00e3o \\u202eoluaP\\u200b");
    let ran = run_with(&["trip", "-"], &hostile);
    assert_eq!(ran.code, 1, "{}", ran.err);
    assert!(!ran.out.contains('\u{202e}') && !ran.out.contains('\u{200b}'));
}

#[test]
fn the_page_names_every_stop_and_asks_for_nothing() {
    let file = std::env::temp_dir().join(format!("wattberth-tour-{}.html", std::process::id()));
    let path = file.display().to_string();
    let ran = run(&["trip", TOUR, "--html", &path]);
    assert_eq!((ran.code, ran.err.as_str()), (1, ""));
    let page = std::fs::read_to_string(&file).expect("the page");
    std::fs::remove_file(&file).expect("it can go");
    for part in [
        "Copenhagen",
        "São Paulo",
        "garment steamer",
        "IEC 60038",
        "By air",
        "Leave at home",
    ] {
        assert!(page.contains(part), "{part}");
    }
    for part in ["<script", "http://", "https://", "url("] {
        assert!(!page.contains(part), "{part}");
    }
}

#[test]
fn sessions_make_a_rota_of_the_night() {
    let mut setup = small();
    setup["chargers"][0]["plug"] = "C".into();
    setup["chargers"][0]["input_v"] = "100-240V 50/60Hz".into();
    setup["devices"][0]["count"] = 2.into();
    setup["sessions"] = serde_json::json!([
        {"name": "evening", "hours": 3.5},
        {"name": "night", "hours": 8}
    ]);
    setup["trip"] = serde_json::json!({"stops": [
        {"name": "Graz", "country": "AT"},
        {"name": "Linz", "country": "AT", "session_h": 8}
    ]});
    let ran = run_with(&["trip", "-", "--json"], &setup.to_string());
    let trip = ran.json();
    fits("trip", &trip);
    // One port for two phones: one after the other, where plugs can be swapped.
    let berths = trip["stops"][0]["rota"]["berths"]
        .as_array()
        .expect("a rota");
    assert_eq!(berths.len(), 2);
    assert_eq!(trip["stops"][1]["plan"]["unserved"], 1);
    assert_eq!(ran.code, 1);
}

/// On the screen and on the page, as in the document: a question and the stricter rule.
#[test]
fn a_power_bank_among_the_devices_is_asked_about_on_screen_and_page() {
    let mut setup = small();
    setup["devices"][0]["name"] = "power bank".into();
    setup["trip"] = serde_json::json!({"stops": [{"name": "Graz", "country": "AT"}]});
    let file = std::env::temp_dir().join(format!("wattberth-bank-{}.html", std::process::id()));
    let path = file.display().to_string();
    let ran = run_with(&["trip", "-", "--html", &path], &setup.to_string());
    let page = std::fs::read_to_string(&file).expect("the page");
    std::fs::remove_file(&file).expect("it can go");
    let screen = ran.out.replace("\n    ", " ").replace('\n', " ");
    for text in [screen, page] {
        for part in [
            "is the battery built in?",
            "look before flying what battery is in power bank",
            "power bank: Power banks travel in the cabin only.",
        ] {
            assert!(text.contains(part), "{part}: {text}");
        }
        assert!(!text.contains("A device with its battery in it"), "{text}");
    }
    let ran = run_with(&["trip", "-", "--json"], &setup.to_string());
    let trip = ran.json();
    fits("trip", &trip);
    assert_eq!(trip["air"][0]["about"], "built-in");
    assert_eq!(trip["air"][0]["verdict"], "unknown");
}

/// Lithium metal goes by its grams: nothing is said of its watt-hours.
#[test]
fn lithium_metal_is_not_told_in_watt_hours() {
    let mut setup = small();
    setup["trip"] = serde_json::json!({
        "stops": [{"name": "Graz", "country": "AT"}],
        "batteries": [{"name": "meter cells", "kind": "spare", "lithium_g": 0.6}]
    });
    let ran = run_with(&["trip", "-"], &setup.to_string());
    assert!(
        ran.out
            .contains("meter cells: 0.6 g of lithium, not above 2 g:"),
        "{}",
        ran.out
    );
    assert!(
        !ran.out.contains("meter cells: up to 100 Wh"),
        "{}",
        ran.out
    );
    assert!(!ran.out.contains("meter cells, "), "{}", ran.out);
}

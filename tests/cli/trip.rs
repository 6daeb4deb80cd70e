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
        "\n5 stops, 12 nights",
        "\nCopenhagen, 2 nights: 230 V 50 Hz, socket K\n",
        "\n  - at night: ",
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
        assert!(ran.out.contains(&format!("\n{stop}, ")), "{stop}");
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
    assert_eq!(first, "Adapters: none needed at any stop");
    let second = ran.out.lines().nth(1).unwrap_or_default();
    assert_eq!(second, "1 stop, 1 night: every device is full each morning");
    setup["trip"]["stops"][0]["country"] = "GB".into();
    let ran = run_with(&["trip", "-"], &setup.to_string());
    assert_eq!(ran.code, 1);
    let wanted = "an adapter from C to G for at least 0.2 A would do";
    let said = ran.out.replace("\n    ", " ");
    assert!(said.contains(wanted), "{}", ran.out);
}

/// A list through the reader, answered as text in one line, and as the document.
fn of_list(list: &str) -> (String, Value) {
    let text = run_with(&["trip", "-"], list);
    assert!(text.code < 2, "{}", text.err);
    let document = run_with(&["trip", "-", "--json"], list).json();
    fits("trip", &document);
    let wide = text.out.lines().find(|line| line.chars().count() > 80);
    assert_eq!(wide, None);
    let words: Vec<&str> = text.out.split_whitespace().collect();
    (words.join(" "), document)
}

#[test]
fn the_first_lines_name_the_adapters_by_letter() {
    let tour = std::fs::read_to_string("fixtures/tour.txt").expect("the list");
    let (text, document) = of_list(&tour);
    let wanted = "Adapters: EF to G for Edinburgh; EF to J for Zurich; EF to A for Osaka; none \
                  in Vienna, Copenhagen 5 stops, 9 nights";
    assert!(text.starts_with(wanted), "{text}");
    let need = &document["adapters"][0];
    assert_eq!(need["stop"], "Edinburgh");
    assert_eq!(need["have"], "EF to G");
    assert_eq!(need["things"][1], "garment steamer");
    // One that is not in the bag.
    let without = tour.replace("adapter EF to G, 10 A, fuse 13 A, earthed, 45 g\n", "");
    let (text, document) = of_list(&without);
    let wanted = "An adapter from EF to G is missing in Edinburgh: hub, garment steamer";
    assert!(text.contains(wanted), "{text}");
    assert!(document["adapters"][0].get("have").is_none());
    let other = without.replace("850 W, 220-240 V, plug EF", "850 W, 220-240 V, plug C");
    let (text, _) = of_list(&other.replace("850 W", "450 W"));
    let wanted = "An adapter from EF (or C) to G is missing in Edinburgh: hub, garment steamer";
    assert!(text.contains(wanted), "{text}");
}

#[test]
fn a_route_alone_is_answered_and_nothing_else_takes_it() {
    let (text, document) = of_list("stop Edinburgh: GB\nstop Rome: IT\nplug EF\n");
    for part in [
        "an adapter from EF to G is missing in Edinburgh: plug EF",
        "Edinburgh, 1 night: 230 V 50 Hz, socket G",
        "if your room has F: plug EF: goes straight in",
        "if your room has L10: plug EF: does not go in",
    ] {
        assert!(text.contains(part), "{part}: {text}");
    }
    assert_eq!(document["plugs"], serde_json::json!(["EF"]));
    assert_eq!(
        document["stops"][1]["by_socket"][1]["ways"][0]["verdict"],
        "no"
    );
    let (text, _) = of_list("stop Edinburgh: GB\ncharger hub: C1 65 W; plug EF\n");
    assert!(
        text.contains("from EF to G is missing in Edinburgh: hub"),
        "{text}"
    );
    let (text, _) = of_list("stop Edinburgh: GB\n");
    assert!(text.contains("230 V 50 Hz, socket G"), "{text}");
    let route = r#"{"trip": {"stops": [{"name": "Rome", "country": "IT"}], "plugs": ["EF"]}}"#;
    let ran = run_with(&["trip", "-", "--json"], route);
    assert_eq!(ran.json()["adapters"][0]["to"], "L10");
    for question in ["assign", "improve", "timeline"] {
        let ran = run_with(&[question, "-"], route);
        assert_eq!((ran.code, ran.out.as_str()), (2, ""), "{question}");
        assert!(ran.err.contains("`devices` is empty"), "{}", ran.err);
    }
    let ran = run_with(&["check", "-"], route);
    assert!(
        ran.out.contains("as a route for `trip`: 1 stop"),
        "{}",
        ran.out
    );
}

#[test]
fn an_appliance_that_is_seldom_of_use_stays_at_home_with_its_price() {
    let bag = "charger hub: C1 65 W; plug EF; 100-240 V; 50/60 Hz\nphone\n\
               kettle: 850 W, 220-240 V, plug G\nadapter G to EF, 13 A, 60 g\n";
    let rare =
        format!("{bag}stop Vienna: AT, 1 night\nstop Osaka: JP, 2 nights\nadapter EF to A\n");
    let (text, document) = of_list(&rare);
    let wanted = "kettle (it works on 1 of 3 nights, would take 1 adapter and 60 g)";
    assert!(text.contains(wanted), "{text}");
    let leave = document["bag"]["leave"].as_array().expect("a list");
    let kettle = leave.iter().find(|packing| packing["thing"] == "kettle");
    let costs = &kettle.expect("it stays")["costs"];
    assert_eq!(costs["adapters"], 1);
    assert_eq!(costs["weight_g"], 60);
    let often =
        format!("{bag}stop Vienna: AT, 2 nights\nstop Osaka: JP, 2 nights\nadapter EF to A\n");
    let (text, _) = of_list(&often);
    let wanted = "kettle (costs 1 adapter and 60 g, no use in Osaka)";
    assert!(text.contains(wanted), "{text}");
}

#[test]
fn an_adapter_is_taken_for_each_kind_of_socket() {
    let list = "charger hub: C1 65 W; plug EF; 100-240 V; 50/60 Hz\nphone\nstop Rome: IT\n\
                adapter EF to L10, 10 A\n";
    let (text, document) = of_list(list);
    assert!(
        text.contains("if your room has L10: hub: goes through EF to L10"),
        "{text}"
    );
    assert_eq!(document["bag"]["take"][0]["thing"], "EF to L10");
    let (text, _) = of_list(
        "charger hub: C1 65 W; plug EF; 100-240 V; 50/60 Hz\nphone\n\
                             stop Osaka: JP\nadapter EF to A, 10 A\n",
    );
    assert!(
        text.contains("through EF to A, whichever socket it is: hub"),
        "{text}"
    );
    assert!(!text.contains("if your room has"), "{text}");
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
        "<details>",
        "socket N10",
        "plug EF",
    ] {
        assert!(page.contains(part), "{part}");
    }
    // The name of SVG is no address to ask.
    let page = page.replace("http://www.w3.org/2000/svg", "");
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

//! Lists: from the things on the table to a plan.

use std::fs;

use super::{run, run_with};

/// The five things of which nobody knows more than watts, promised to be full.
#[test]
fn a_list_of_eight_lines_is_planned_with_a_promise() {
    let text = fs::read_to_string("fixtures/table.txt").expect("a fixture");
    let lines = text.lines().filter(|line| !line.starts_with('#'));
    assert!(lines.count() <= 8);
    let ran = run(&["assign", "fixtures/table.txt"]);
    assert_eq!(ran.code, 0, "{}{}", ran.out, ran.err);
    assert!(
        ran.out.starts_with("all 5 devices full after"),
        "{}",
        ran.out
    );
    assert!(ran.out.contains("\nAssumed\n"), "{}", ran.out);
}

#[test]
fn the_same_things_can_be_named_as_arguments() {
    let text = fs::read_to_string("fixtures/table.txt").expect("a fixture");
    let lines = text.lines().filter(|line| !line.starts_with('#'));
    let args: Vec<&str> = std::iter::once("try").chain(lines).collect();
    let (listed, named) = (run(&["assign", "fixtures/table.txt"]), run(&args));
    assert_eq!((named.code, &named.out), (0, &listed.out), "{}", named.err);
}

/// A first try without any cable.
#[test]
fn cables_that_nobody_names_are_assumed_and_said_to_be() {
    let ran = run(&["try", "charger: C1 65 W; A1 12 W", "laptop", "2 phones"]);
    assert!(
        ran.out.contains("no cable was named"),
        "{}{}",
        ran.out,
        ran.err
    );
    assert_eq!(ran.code, 1, "three devices, two ports");
}

#[test]
fn what_was_understood_reads_back_to_the_same_setup() {
    for name in ["fixtures/table.txt", "fixtures/tour.txt"] {
        let list = run(&["read", name]);
        assert_eq!(list.code, 0, "{}", list.err);
        assert!(
            list.out.contains("  # "),
            "guesses are marked: {}",
            list.out
        );
        let (first, again) = (
            run(&["read", "--json", name]),
            run_with(&["read", "--json", "-"], &list.out),
        );
        assert_eq!(first.out, again.out, "{name}");
        let plan = run_with(&["assign", "--json", "-"], &first.out);
        assert!(plan.code < 2, "the document is a setup: {}", plan.err);
    }
    for args in [
        &["example"][..],
        &["example", "--trip"],
        &["example", "--json"],
    ] {
        let example = run(args);
        let read = run_with(&["read", "-"], &example.out);
        assert_eq!(read.code, 0, "{args:?}: {}", read.err);
    }
}

#[test]
fn every_command_that_takes_a_setup_takes_a_list() {
    let list = "fixtures/table.txt";
    let hotel = "fixtures/chargers/hotel-eight.json";
    for args in [
        &["check", list][..],
        &["assign", list, "--json"],
        &["assign", list, "--charger", hotel],
        &["assign", "fixtures/hotel.json", "--charger", list],
        &["improve", list, "--budget", "20000"],
        &["wish", list, "laptop by 1 h", "--budget", "20000"],
        &["size", list],
        &["rank", list, hotel],
        &["rank", "fixtures/hotel.json", list],
        &["timeline", list],
    ] {
        let ran = run(args);
        assert!(ran.code < 2 && !ran.out.is_empty(), "{args:?}: {}", ran.err);
    }
    let night = run_with(
        &["rota", "-"],
        "charger: C1 30 W\ncable C to C\nphone\ntablet\nsession evening 4 h\nsession late: 8 h\n",
    );
    assert_eq!(night.code, 0, "{}{}", night.out, night.err);
    let bag = run_with(&["check", "-"], "phone\ncable C to C\n");
    assert!(bag.out.contains("as a bag"), "{}{}", bag.out, bag.err);
}

/// The whole journey on twenty lines.
#[test]
fn a_trip_is_a_list_of_twenty_lines() {
    let text = fs::read_to_string("fixtures/tour.txt").expect("a fixture");
    assert!(text.lines().count() <= 20);
    let ran = run(&["trip", "fixtures/tour.txt"]);
    assert!(ran.code < 2, "{}", ran.err);
    for place in [
        "Vienna",
        "Edinburgh",
        "Zurich",
        "Copenhagen",
        "Osaka",
        "garment steamer",
    ] {
        assert!(ran.out.contains(place), "{place}: {}", ran.out);
    }
}

#[test]
fn all_faults_of_a_list_are_said_at_once_with_their_lines() {
    let ran = run(&["check", "fixtures/slips.txt"]);
    assert_eq!((ran.code, ran.out.as_str()), (2, ""));
    for said in [
        "slips.txt:2:1",
        "slips.txt:3:7",
        "slips.txt:4:17",
        "laptop",
        "3 faults",
    ] {
        assert!(ran.err.contains(said), "{said}: {}", ran.err);
    }
    // What the checks of the document find has its line, too, and no path of a document.
    let ran = run_with(
        &["check", "-"],
        "charger: C1 65 W\nphone x2\nphone\nphone\n",
    );
    assert!(ran.err.contains("<stdin>:4:1"), "{}", ran.err);
    assert!(!ran.err.contains("devices["), "{}", ran.err);
    let ran = run_with(&["assign", "-"], "phone\n");
    assert!(ran.err.contains("no line is a charger"), "{}", ran.err);
    assert_eq!(ran.code, 2);
}

#[test]
fn a_time_of_day_is_told_where_the_night_has_one() {
    let list = "charger: C1 30 W\ncable C to C\nphone 20 W, 18 Wh, by 7:00\n";
    let without = run_with(&["assign", "-"], list);
    assert!(
        without.out.contains("charging begins at 22:00 assumed"),
        "{}",
        without.out
    );
    let with = run_with(&["assign", "-"], &format!("night 21:30 to 7:00\n{list}"));
    assert!(with.out.contains("full by 22:"), "{}", with.out);
    assert!(!with.out.contains("begins at"), "{}", with.out);
}

/// The lists with a shop are read, and read back to themselves.
#[test]
fn a_shop_is_read_and_read_back() {
    for (list, chargers) in [
        ("shop", 45),
        ("tour-shop", 45),
        ("residency", 45),
        ("kiosk", 2),
    ] {
        let file = format!("fixtures/{list}.txt");
        let read = run_with(&["read", &file], "");
        assert_eq!(read.code, 0, "{list}: {}", read.err);
        let again = run_with(&["read", "-"], &read.out);
        let plain = |text: &str| -> Vec<String> {
            let lines = text.lines().map(|line| line.split("  #").next());
            lines.flatten().map(str::to_owned).collect()
        };
        assert_eq!(plain(&again.out), plain(&read.out), "{list}: {}", again.err);
        let json = run_with(&["read", &file, "--json"], "");
        let document: serde_json::Value = serde_json::from_str(&json.out).expect("it is JSON");
        let sold = document["shop"]["chargers"].as_array().map(Vec::len);
        assert_eq!(sold, Some(chargers), "{list}");
    }
}

#[test]
fn what_stands_under_a_shop_and_is_not_for_sale_is_refused_once() {
    let list = "charger: C1 30 W\nphone\n\nshop\ntablet\ncharger cube: C1 45 W\n";
    let ran = run_with(&["check", "-"], list);
    assert_eq!(ran.code, 2);
    assert!(ran.err.contains("<stdin>:5:1"), "{}", ran.err);
    assert!(
        ran.err.contains("a heading `bag` ends the shop"),
        "{}",
        ran.err
    );
    assert!(ran.err.contains("its weight and its price"), "{}", ran.err);
    assert!(ran.err.contains("2 faults"), "{}", ran.err);
}

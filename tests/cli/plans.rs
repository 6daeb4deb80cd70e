//! What each subcommand answers, and with which code.

use std::collections::BTreeSet;

use super::{Ran, Value, run, run_with, small};

fn plan(args: &[&str]) -> (Ran, Value) {
    let ran = run(args);
    let plan = ran.json();
    (ran, plan)
}

#[test]
fn the_quartet_is_full_by_the_morning() {
    let ran = run(&["assign", "fixtures/quartet.json"]);
    assert_eq!((ran.code, ran.err.as_str()), (0, ""));
    let first = ran.out.split("\n\n").next().unwrap_or_default();
    assert!(first.starts_with("all 12 devices full after "), "{first}");
    let proven = "; proven: no plan promises more\nNo sooner: battery pack would need more than";
    assert!(first.contains(proven), "{first}");

    let (ran, plan) = plan(&["assign", "fixtures/quartet.json", "--json"]);
    assert_eq!(ran.code, 0);
    assert_eq!(plan["status"], "optimal");
    let berths = plan["berths"].as_array().expect("berths");
    assert_eq!(berths.len(), 12);
    let places: BTreeSet<String> = berths
        .iter()
        .map(|b| format!("{}/{}", b["charger"], b["port"]))
        .collect();
    assert_eq!(places.len(), 12, "two devices on one port");
    for berth in berths {
        let promised_h = berth["promised_h"].as_f64().expect("a promise");
        let hours = berth["hours"].as_f64().expect("hours");
        assert!(hours <= promised_h && promised_h <= 8.0, "{berth}");
    }
}

#[test]
fn the_quartet_leaves_something_to_decide() {
    // With two chargers the demands fit into the pools; with one they do not.
    for (file, limit) in [("quartet", "combination"), ("quartet-eight", "pool")] {
        let (_, plan) = plan(&["assign", &format!("fixtures/{file}.json"), "--json"]);
        let limits: BTreeSet<&str> = plan["berths"]
            .as_array()
            .expect("berths")
            .iter()
            .filter_map(|berth| berth["limited_by"].as_str())
            .collect();
        assert!(limits.contains(limit), "{file}: {limits:?}");
        assert!(
            plan["cautions"]
                .as_array()
                .is_some_and(|cautions| !cautions.is_empty())
        );
    }
}

/// Who says only what kinds of things lie there is told what was assumed of them.
#[test]
fn kinds_alone_are_planned_and_what_they_stand_for_is_listed() {
    let (ran, plan) = plan(&["assign", "fixtures/hotel.json", "--json"]);
    assert_eq!((ran.code, &plan["unserved"]), (0, &Value::from(0)));
    let devices: BTreeSet<&str> = plan["assumed"]
        .as_array()
        .expect("a list")
        .iter()
        .filter(|one| one["field"] == "battery_wh")
        .filter_map(|one| one["device"].as_str())
        .collect();
    assert_eq!(devices.len(), 6, "every device says only its kind");
    let ran = run(&["assign", "fixtures/hotel.json"]);
    assert!(ran.out.contains("\nAssumed\n  - laptop: "), "{}", ran.out);
    assert!(ran.out.contains("41 to 76 usual"), "{}", ran.out);
}

/// The same charger, once with its rule left open and once as the plan would have it.
#[test]
fn what_is_not_certain_is_said_with_what_would_help() {
    let ran = run(&["assign", "fixtures/quartet-eight.json"]);
    assert!(ran.out.contains("\nNot certain\n"), "{}", ran.out);
    let words: Vec<&str> = ran.out.split_whitespace().collect();
    let text = words.join(" ");
    assert!(text.contains("plugged in later"), "{}", ran.out);
    let text = std::fs::read_to_string("fixtures/quartet-eight.json").expect("a fixture");
    let best = text.replacen('{', "{\"aim\": \"best\",", 1);
    let best = run_with(&["assign", "-"], &best);
    assert!(!best.out.contains("Not certain"), "{}", best.out);
    assert!(
        best.out.contains("this plan is the best case"),
        "{}",
        best.out
    );
}

#[test]
fn eight_ports_leave_four_out_and_say_why() {
    let args = [
        "assign",
        "fixtures/quartet-bag.json",
        "--charger",
        "fixtures/chargers/hotel-eight.json",
        "--json",
    ];
    let (ran, plan) = plan(&args);
    assert_eq!(ran.code, 1);
    assert_eq!(plan["unserved"], 4);
    let left: Vec<&Value> = plan["without_berth"]
        .as_array()
        .expect("a list")
        .iter()
        .collect();
    assert_eq!(left.len(), 4);
    assert!(
        left.iter().any(|device| device["device"] == "battery pack"),
        "{left:?}"
    );
    for device in &left {
        assert!(
            device["reason"]
                .as_str()
                .is_some_and(|reason| !reason.is_empty()),
            "{device}"
        );
        // Those that must be charged have room.
        assert!(
            !device["device"]
                .as_str()
                .unwrap_or_default()
                .starts_with("score"),
            "{device}"
        );
    }
    let one_file = run(&["assign", "fixtures/quartet-eight.json", "--json"]);
    // The setups have names of their own, so they are two.
    let unsigned = |ran: &Ran| -> String {
        let lines = ran.out.lines();
        lines
            .filter(|line| !line.contains("setup_sha256"))
            .collect()
    };
    assert_eq!((one_file.code, unsigned(&one_file)), (1, unsigned(&ran)));

    let ran = run(&args[..4]);
    assert!(
        // The laptop has a berth, and nothing is certain of it.
        ran.out.starts_with("7 of 12 devices full after "),
        "{}",
        ran.out
    );
    assert!(ran.out.contains("\nWithout a port\n"), "{}", ran.out);
}

#[test]
fn the_bag_is_the_quartets() {
    let read = |file: &str| -> Value {
        serde_json::from_str(&std::fs::read_to_string(file).expect(file)).expect(file)
    };
    let whole = read("fixtures/quartet.json");
    let bag = read("fixtures/quartet-bag.json");
    let eight = read("fixtures/quartet-eight.json");
    for part in ["devices", "cables", "session_h"] {
        assert_eq!(whole[part], bag[part]);
        assert_eq!(whole[part], eight[part]);
    }
    assert_eq!(
        eight["chargers"],
        read("fixtures/chargers/hotel-eight.json")["chargers"]
    );
}

#[test]
fn every_fixture_is_planned_with_proof() {
    for (file, code) in [
        ("desk", 0),
        ("family", 0),
        ("hotel", 0),
        ("quartet", 0),
        ("quartet-eight", 1),
    ] {
        let (ran, plan) = plan(&["assign", &format!("fixtures/{file}.json"), "--json"]);
        assert_eq!(
            (ran.code, &plan["status"]),
            (code, &Value::from("optimal")),
            "{file}"
        );
    }
}

#[test]
fn a_late_device_is_named_with_how_late() {
    let mut setup = small();
    setup["session_h"] = 0.25.into();
    let ran = run_with(&["assign", "-"], &setup.to_string());
    assert_eq!(ran.code, 1);
    assert!(
        ran.out
            .lines()
            .next()
            .is_some_and(|line| line.contains(", 1 late")),
        "{}",
        ran.out
    );
    assert!(ran.out.contains("needed after 15 min: "), "{}", ran.out);
    // In time at best is not enough where that is not certain.
    let room = std::fs::read_to_string("fixtures/dressing-room.json").expect("a fixture");
    let sure = room.replacen("\"aim\": \"best\"", "\"aim\": \"promise\"", 1);
    assert_ne!(room, sure);
    for (setup, code) in [(room, 0), (sure, 1)] {
        let ran = run_with(&["assign", "-"], &setup);
        assert_eq!(ran.code, code, "{}", ran.out);
        let told = ran.out.contains("laptop: certain only by ");
        assert_eq!(told, code == 1, "{}", ran.out);
    }
}

#[test]
fn the_same_setup_gives_the_same_bytes() {
    let args = ["assign", "fixtures/quartet.json", "--json"];
    assert_eq!(run(&args).out, run(&args).out);
}

#[test]
fn a_budget_of_nothing_claims_nothing() {
    let ran = run(&["assign", "fixtures/quartet.json", "--budget", "1", "--json"]);
    match ran.code {
        0 | 1 => assert_ne!(ran.json()["berths"], Value::Null),
        code => assert!(code == 130 || code == 2, "{ran:?}"),
    }
}

#[test]
fn check_says_that_a_setup_is_fine() {
    let ran = run(&["check", "fixtures/quartet.json"]);
    assert_eq!(
        (ran.code, ran.out.as_str()),
        (
            0,
            "fixtures/quartet.json is fine: 12 devices, 12 ports on 2 chargers, 14 cables\n"
        )
    );
    let ran = run(&["check", "fixtures/quartet.json", "--json"]);
    assert_eq!(ran.json()["errors"], Value::Array(Vec::new()));
    assert_eq!(ran.json()["setup"]["ports"], 12);
}

#[test]
fn verify_takes_what_assign_gives_and_refuses_a_changed_number() {
    let setup = "fixtures/quartet.json";
    let given = run(&["assign", setup, "--json"]);
    let ran = run_with(&["verify", setup, "-"], &given.out);
    assert_eq!((ran.code, ran.err.as_str()), (0, ""));
    for said in [
        "legal",
        "numbers right",
        "optimality not checked",
        "cautions not checked",
    ] {
        assert!(ran.out.contains(said), "{}", ran.out);
    }
    let data = run_with(&["verify", setup, "-", "--json"], &given.out).json();
    let not_checked = serde_json::json!(["optimality", "reshared_h", "cautions", "because"]);
    assert_eq!(data["not_checked"], not_checked);

    let mut plan = given.json();
    let hours = plan["berths"][2]["hours"].as_f64().expect("hours");
    plan["berths"][2]["hours"] = (hours * 0.9).into();
    let ran = run_with(&["verify", setup, "-"], &plan.to_string());
    assert_eq!(ran.code, 1);
    assert!(ran.out.contains("berths[2].hours"), "{}", ran.out);

    let ran = run_with(&["verify", setup, "-", "--json"], &plan.to_string());
    assert_eq!((ran.code, &ran.json()["legal"]), (1, &Value::Bool(false)));
}

/// What a plan says beside its numbers is looked at, or is no part of a plan.
#[test]
fn verify_refuses_changed_causes_and_unknown_fields() {
    let setup = "fixtures/quartet-eight.json";
    let given = run(&["assign", setup, "--json"]);
    let ran = run_with(&["verify", setup, "-"], &given.out);
    assert_eq!((ran.code, ran.err.as_str()), (0, ""));
    assert!(ran.out.contains("reasons true"), "{}", ran.out);

    let mut plan = given.json();
    plan["without_berth"][0]["cause"]["devices"] = 99.into();
    plan["without_berth"][0]["reason"] = "99 devices for 8 ports".into();
    plan["without_berth"][1]["reason"] = "the laptop is on fire".into();
    let ran = run_with(&["verify", setup, "-"], &plan.to_string());
    assert_eq!((ran.code, ran.err.as_str()), (1, ""));
    for path in ["without_berth[0].cause: ", "without_berth[1].reason: "] {
        assert!(ran.out.contains(path), "{}", ran.out);
    }
    // Its lines are wrapped.
    let said: Vec<&str> = ran.out.split_whitespace().collect();
    let said = said.join(" ");
    assert!(said.contains("99 devices, must be 12"), "{}", ran.out);

    let mut plan = given.json();
    plan["zzz"] = 1.into();
    plan["berths"][0]["voltz"] = 9.into();
    let ran = run_with(&["verify", setup, "-"], &plan.to_string());
    assert_eq!((ran.code, ran.out.as_str()), (2, ""));
    for part in ["a plan has no field `zzz`", "`voltz`", "`volts`"] {
        assert!(ran.err.contains(part), "{part}: {}", ran.err);
    }
    let twice = given
        .out
        .replacen("\"late\": 0", "\"late\": 0, \"late\": 0", 1);
    let ran = run_with(&["verify", setup, "-"], &twice);
    assert_eq!(ran.code, 2);
    assert!(ran.err.contains("`late` is given twice"), "{}", ran.err);
    let ran = run_with(
        &["verify", setup, "-"],
        &given.out.replacen("\"version\": 1", "\"version\": 2", 1),
    );
    assert_eq!(ran.code, 2, "{}", ran.out);
}

/// 20 V at 8 microwatts are 0.4 microamperes: nothing, as amperes are rounded.
#[test]
fn nothing_that_rounds_to_no_current_is_a_berth() {
    let mut setup = small();
    setup["chargers"][0]["ports"][0] =
        serde_json::json!({"name": "C1", "offers": "20V 3A", "max_w": 0.000_008});
    setup["devices"][0] =
        serde_json::json!({"name": "phone", "accepts": "20V 1A", "battery_wh": 1});
    let plan = run_with(&["assign", "-", "--json"], &setup.to_string()).json();
    assert_eq!(plan["unserved"], 1, "{plan}");
    // Ten microwatts are half a microampere, which is rounded up to one.
    setup["chargers"][0]["ports"][0]["max_w"] = 0.000_01.into();
    let plan = run_with(&["assign", "-", "--json"], &setup.to_string()).json();
    assert_eq!(plan["unserved"], 0, "{plan}");
    assert!(
        plan["berths"][0]["amps"]
            .as_f64()
            .is_some_and(|amps| amps > 0.0)
    );
}

#[test]
fn verify_refuses_two_devices_on_one_port() {
    let setup = "fixtures/desk.json";
    let mut plan = run(&["assign", setup, "--json"]).json();
    plan["berths"][1]["port"] = plan["berths"][0]["port"].clone();
    let ran = run_with(&["verify", setup, "-"], &plan.to_string());
    assert_eq!(ran.code, 1, "{}", ran.out);
}

#[test]
fn the_example_is_planned_as_it_is() {
    let example = run(&["example"]);
    assert_eq!((example.code, example.err.as_str()), (0, ""));
    let ran = run_with(&["assign", "-"], &example.out);
    assert_eq!((ran.code, ran.err.as_str()), (0, ""));
    assert!(
        ran.out.starts_with("all 6 devices full after "),
        "{}",
        ran.out
    );
}

#[test]
fn the_schemas_take_our_own_documents() {
    let setup = run(&["schema", "setup"]).json();
    let plan = run(&["schema", "plan"]).json();
    let both = run(&["schema"]).json();
    assert_eq!((&both["setup"], &both["plan"]), (&setup, &plan));

    let setup = jsonschema::validator_for(&setup).expect("a schema");
    let example = run(&["example", "--json"]).json();
    if let Err(error) = setup.validate(&example) {
        panic!("the example: {error}");
    }
    assert!(!setup.is_valid(&serde_json::json!({"chargers": 3})));
    let plan = jsonschema::validator_for(&plan).expect("a schema");
    let planned = run(&["assign", "fixtures/quartet.json", "--json"]).json();
    if let Err(error) = plan.validate(&planned) {
        panic!("the plan: {error}");
    }
    assert!(!plan.is_valid(&example));
}

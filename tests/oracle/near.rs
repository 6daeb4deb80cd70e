//! A plan that stays near another, against the exhaustive implementation with the same level; and
//! what holds of it whatever the setup.

use serde_json::{Value, json};
use wattberth::{Plan, Setup, assign_near_with, assign_with, verify};

use super::against_library::{Compare, compare_all, patient};
use super::model;
use super::model::document::document;
use super::model::near::{moves_between, moves_said};
use super::model::plan::{plan, plan_near};
use super::random_setup::crowd::crowded_setup;
use super::random_setup::rng::Rng;
use super::random_setup::{open, small_setup};

#[test]
fn same_plan_near_another_as_the_oracle() {
    compare_all(small_setup, 250, differences);
}

#[test]
fn same_plan_near_another_as_the_oracle_where_it_is_crowded() {
    compare_all(crowded_setup, 15, differences);
}

#[test]
fn same_plan_near_another_as_the_oracle_where_much_is_open() {
    compare_all(open::small_setup, 150, differences);
}

/// So that the comparison is worth its name: plans move somebody, and would move more were it not
/// asked.
#[test]
fn the_random_plans_at_hand_reach_what_they_are_for() {
    let (mut moving, mut unplugging, mut kept, mut renamed) = (0, 0, 0, 0);
    for seed in 0..240 {
        let json = if seed % 2 == 0 {
            small_setup(seed)
        } else {
            crowded_setup(seed)
        };
        let mut rng = rng_of(&json);
        let json = aimed(&json, &mut rng);
        let at_hand = at_hand(&json, &mut rng);
        let (found, free) = (plan_near(&json, &at_hand), plan(&json));
        moving += u64::from(found.score.moves > 0);
        unplugging += u64::from(
            moves_said(&found)
                .as_array()
                .is_some_and(|moves| moves.iter().any(|of| of["to"].is_null())),
        );
        let free = moves_between(&json, &at_hand, &document(&free, false));
        kept += u64::from(i64::try_from(free).is_ok_and(|free| found.score.moves < free));
        renamed += u64::from(names_differ(&json, &at_hand));
    }
    for (what, times) in [
        ("with a move", moving),
        ("with one unplugged", unplugging),
        ("with fewer moves than without asking", kept),
        ("with names that are kept", renamed),
    ] {
        assert!(times >= 5, "only {times} {what}");
    }
}

/// Whether names are handed out otherwise than as listed.
fn names_differ(json: &str, at_hand: &Value) -> bool {
    let mut setup = model::setup::read(json);
    setup.at_hand = Some(model::near::former(&setup, at_hand));
    let chosen = model::search::best_plan(&setup).chosen;
    model::near::with_own_names(&setup, &chosen) != chosen
}

/// So that each setup has its own numbers.
fn rng_of(json: &str) -> Rng {
    let seed = json.bytes().fold(7_u64, |sum, byte| {
        sum.wrapping_mul(31).wrapping_add(u64::from(byte))
    });
    Rng::new(seed)
}

fn read(json: &str) -> Value {
    serde_json::from_str(json).expect("it is JSON")
}

fn setup(json: &str) -> Setup {
    Setup::from_json(json).expect("a valid setup")
}

/// The setup by one of the two aims, with more or less that nobody notices.
fn aimed(json: &str, rng: &mut Rng) -> String {
    let mut document = read(json);
    if rng.chance(50) {
        document["aim"] = json!("best");
    }
    document["tolerance_h"] = json!(rng.pick(&[0.0, 0.05, 0.5]));
    document.to_string()
}

/// The plan document that is at hand: the best one of a setup that is a little different, or
/// devices anywhere.
fn at_hand(json: &str, rng: &mut Rng) -> Value {
    let mut before = read(json);
    match rng.below(4) {
        0 => change_pools(&mut before, rng),
        1 => {
            let devices = before["devices"].as_array_mut().expect("a list");
            if devices.len() > 1 {
                devices.remove(rng.below(devices.len()));
            }
        }
        2 => {
            let devices = before["devices"].as_array_mut().expect("a list");
            let mut other = devices[0].clone();
            other["name"] = json!("one that left");
            devices.insert(0, other);
        }
        _ => {
            let ports = before["chargers"][0]["ports"].as_array_mut();
            let ports = ports.expect("a list");
            let mut other = ports[0].clone();
            other["name"] = json!("one that broke");
            ports.insert(0, other);
        }
    }
    // What is changed may be none; then the setup is as it was.
    let before = Setup::from_json(&before.to_string()).unwrap_or_else(|_| setup(json));
    let plan = assign_with(&before, &patient()).expect("a plan");
    let mut plan = read(&plan.to_json());
    if rng.chance(40) {
        scatter(&setup(json), &mut plan, rng);
    }
    plan
}

fn change_pools(document: &mut Value, rng: &mut Rng) {
    for charger in document["chargers"].as_array_mut().expect("a list") {
        if let Some(max_w) = charger.get("max_w").and_then(Value::as_f64) {
            charger["max_w"] = json!(max_w * rng.pick(&[0.5, 0.8, 1.5]));
        }
    }
}

/// Puts the devices of a plan anywhere, each on a port of its own.
fn scatter(setup: &Setup, plan: &mut Value, rng: &mut Rng) {
    let document = read(&setup.document().to_json());
    let mut places = Vec::new();
    for charger in document["chargers"].as_array().expect("a list") {
        for port in charger["ports"].as_array().expect("a list") {
            places.push((charger["name"].clone(), port["name"].clone()));
        }
    }
    rng.shuffle(&mut places);
    let cables = document["cables"].as_array().expect("a list").clone();
    for berth in plan["berths"].as_array_mut().expect("a list") {
        let Some((charger, port)) = places.pop() else {
            berth["port"] = json!(format!("no port of {}", berth["device"]));
            continue;
        };
        (berth["charger"], berth["port"]) = (charger, port);
        if !cables.is_empty() {
            berth["cable"] = cables[rng.below(cables.len())]["name"].clone();
        }
    }
}

/// Every field in which the library's plan is not the oracle's, and every law that it breaks.
fn differences(json: &str) -> Vec<String> {
    let mut rng = rng_of(json);
    let json = aimed(json, &mut rng);
    let at_hand = at_hand(&json, &mut rng);
    let plan = Plan::from_json(&at_hand.to_string()).expect("a plan document");
    let setup = setup(&json);
    let mut compare = Compare::default();
    match assign_near_with(&setup, &plan, &patient()) {
        Ok(found) => {
            compare.same("violations", &verify(&setup, &found).violations.len(), &0);
            compare.plan(&found, &plan_near(&json, &at_hand));
            let free = assign_with(&setup, &patient()).expect("a plan");
            laws(&setup, (&found, &free), &mut compare);
            let moved = found.moves.as_ref().map_or(0, Vec::len);
            let most = moves_between(&json, &at_hand, &read(&free.to_json()));
            compare.same("more moves than without asking", &(moved > most), &false);
        }
        // Of the devices of the plan none is left.
        Err(_) => compare.same("refused", &names_any(&setup, &plan), &false),
    }
    compare.differences
}

fn names_any(setup: &Setup, plan: &Plan) -> bool {
    let berths = plan.berths.iter().map(|berth| &berth.device);
    let mut named = berths.chain(plan.without_berth.iter().map(|left| &left.device));
    named.any(|name| setup.device_names().any(|device| device == name))
}

/// A plan near itself moves nobody; the best plan without one at hand, held to itself, neither.
fn laws(setup: &Setup, (found, free): (&Plan, &Plan), compare: &mut Compare) {
    let again = assign_near_with(setup, found, &patient()).expect("a plan");
    compare.same("moves from itself", &again.moves, &Some(Vec::new()));
    let kept = assign_near_with(setup, free, &patient()).expect("a plan");
    compare.same("moves from the best", &kept.moves, &Some(Vec::new()));
    compare.same("berths of the best", &kept.berths, &free.berths);
}

//! A device that comes late, against the exhaustive implementation with at most none, one, or any
//! number of moves; and each place against the same setup with pins.

use serde_json::{Value, json};
use wattberth::{
    Guest, GuestPlace, GuestPlan, ObjectiveValue, Plan, Setup, assign_with, guest_with,
};

use super::against_library::{Compare, compare_all, patient};
use super::model::order::times_end;
use super::model::plan::{best_near, said_of};
use super::model::search::Best;
use super::model::setup::Setup as Read;
use super::random_setup::crowd::crowded_setup;
use super::random_setup::small_setup;

#[test]
fn the_same_places_and_plans_as_the_oracle() {
    compare_all(small_setup, 150, differences);
}

#[test]
fn the_same_places_and_plans_as_the_oracle_where_it_is_crowded() {
    compare_all(crowded_setup, 20, differences);
}

/// So that the comparison is worth its name.
#[test]
fn the_random_guests_reach_what_they_are_for() {
    let (mut placed, mut one, mut freely, mut costs) = (0, 0, 0, 0);
    for seed in 0..300 {
        let json = small_setup(seed);
        let Some(late) = Late::of(&json) else {
            continue;
        };
        let found = late.found();
        placed += u64::from(found.places.len() > 1);
        one += u64::from(found.one_move.is_some());
        freely += u64::from(found.freely.is_some());
        costs += u64::from(found.places.iter().any(|place| !place.costs.is_empty()));
    }
    for (what, times) in [
        ("with several places", placed),
        ("where one move gains", one),
        ("where more moves gain", freely),
        ("that cost somebody something", costs),
    ] {
        assert!(times >= 5, "only {times} {what}");
    }
}

/// A setup, and the best plan without its last device that has a name of its own.
struct Late {
    json: String,
    guest: String,
    at_hand: Plan,
}

impl Late {
    /// None where somebody has no port before, or is the only one.
    fn of(json: &str) -> Option<Self> {
        let mut before: Value = serde_json::from_str(json).expect("it is JSON");
        if json.len().is_multiple_of(2) {
            before["aim"] = json!("best");
        }
        let aimed = before.to_string();
        let devices = before["devices"].as_array_mut().expect("a list");
        let single = |device: &Value| device.get("count").is_none();
        let at = devices.iter().rposition(single)?;
        let guest = devices.remove(at)["name"].as_str()?.to_owned();
        let before = Setup::from_json(&before.to_string()).ok()?;
        let at_hand = assign_with(&before, &patient()).expect("a plan");
        let late = Self {
            json: aimed,
            guest,
            at_hand,
        };
        let sits = late.at_hand.unserved == 0 && !late.at_hand.berths.is_empty();
        let comes = guest_with(&late.setup(), &late.at_hand, Some(&late.guest), &patient());
        (sits && comes.is_ok()).then_some(late)
    }

    fn setup(&self) -> Setup {
        Setup::from_json(&self.json).expect("a valid setup")
    }

    fn found(&self) -> Guest {
        guest_with(&self.setup(), &self.at_hand, None, &patient()).expect("it is clear who comes")
    }

    fn best(&self, most_moves: i64) -> (Read, Best) {
        let at_hand = serde_json::from_str(&self.at_hand.to_json()).expect("it is JSON");
        best_near(&self.json, &at_hand, most_moves)
    }
}

fn differences(json: &str) -> Vec<String> {
    let mut compare = Compare::default();
    let Some(late) = Late::of(json) else {
        return compare.differences;
    };
    let found = late.found();
    compare.same("device", &found.device, &late.guest);
    let open = (found.undecided_places.len(), found.undecided.len());
    compare.same("undecided", &open, &(0, 0));
    by_pins(&late, &found.places, &mut compare);

    let (setup, still) = late.best(0);
    let guest = setup.devices.iter().position(|d| d.name == late.guest);
    let guest = guest.expect("it is in the setup");
    let seated = still.chosen[guest].is_some();
    compare.same("a place", &!found.places.is_empty(), &seated);
    let (_, one) = late.best(1);
    let (_, free) = late.best(i64::MAX);
    let one_gains = !seated || gains(&setup, &one, &still);
    plan(found.one_move.as_ref(), (one_gains, &late, 1), &mut compare);
    let before = if one_gains { &one } else { &still };
    let free_gains = gains(&setup, &free, before);
    plan(
        found.freely.as_ref(),
        (free_gains, &late, i64::MAX),
        &mut compare,
    );
    compare.differences
}

/// Whether the first of two is better in who has a berth, who is late, or the first time that
/// differs by more than the tolerance.
fn gains(setup: &Read, a: &Best, b: &Best) -> bool {
    let (counts, times) = (&a.least[..7], &a.least[7..times_end(setup)]);
    let order = counts.cmp(&b.least[..7]);
    let mut differing = times.iter().zip(&b.least[7..]);
    let beyond = differing.find(|(a, b)| (**a - **b).abs() > setup.tolerance);
    order.is_lt() || order.is_eq() && beyond.is_some_and(|(a, b)| a < b)
}

/// A plan that gains, every field; none where none gains.
fn plan(found: Option<&GuestPlan>, (gains, late, most): (bool, &Late, i64), compare: &mut Compare) {
    compare.same("whether it gains", &found.is_some(), &gains);
    if let Some(found) = found {
        let (setup, best) = late.best(most);
        compare.plan(&found.plan, &said_of(setup, best));
    }
}

/// Each place as the best plan with everybody pinned, and every other pin as one like it.
fn by_pins(late: &Late, places: &[GuestPlace], compare: &mut Compare) {
    let mut pinned: Value = serde_json::from_str(&late.json).expect("it is JSON");
    let each = expanded(&pinned);
    pinned["devices"] = each;
    let mut possible = Vec::new();
    for charger in pinned["chargers"].as_array().expect("a list").clone() {
        for port in charger["ports"].as_array().expect("a list") {
            let full = format!("{}/{}", text(&charger["name"]), text(&port["name"]));
            for cable in pinned["cables"].as_array().expect("a list").clone() {
                let value = with_pins(late, &pinned, &full, text(&cable["name"]));
                if let Some(value) = value {
                    possible.push((full.clone(), text(&cable["name"]).to_owned(), value));
                }
            }
        }
    }
    for place in places {
        let full = format!("{}/{}", place.place.charger, place.place.port);
        let mut all = possible.iter();
        let pin = all.find(|(port, cable, _)| *port == full && *cable == place.place.cable);
        // A lead is no cable that can be pinned.
        if place.place.cable != "lead" {
            let reached = pin.map(|(.., value)| value);
            compare.same(&full, &Some(&place.reached.value), &reached);
        }
    }
    for (port, cable, value) in &possible {
        let known = places.iter().any(|place| place.reached.value == *value);
        compare.same(&format!("{port} with {cable} is known"), &known, &true);
    }
    let sorted =
        places.is_sorted_by(|a, b| a.reached.value.compare_whole(&b.reached.value).is_le());
    compare.same("the best first", &sorted, &true);
}

fn text(value: &Value) -> &str {
    value.as_str().expect("a text")
}

/// The devices, each by itself.
fn expanded(setup: &Value) -> Value {
    let mut each = Vec::new();
    for device in setup["devices"].as_array().expect("a list") {
        let count = device.get("count").and_then(Value::as_u64).unwrap_or(1);
        for number in 1..=count {
            let mut one = device.clone();
            one.as_object_mut().expect("an object").remove("count");
            if count > 1 {
                one["name"] = json!(format!("{} {number}", text(&device["name"])));
            }
            each.push(one);
        }
    }
    Value::Array(each)
}

/// What the best plan reaches with all where they are and the guest here; none where not all sit.
fn with_pins(late: &Late, setup: &Value, port: &str, cable: &str) -> Option<ObjectiveValue> {
    let mut setup = setup.clone();
    for device in setup["devices"].as_array_mut().expect("a list") {
        let name = text(&device["name"]).to_owned();
        let berth = late
            .at_hand
            .berths
            .iter()
            .find(|berth| berth.device == name);
        let (own_port, own_cable) = match berth {
            Some(berth) => (
                format!("{}/{}", berth.charger, berth.port),
                berth.cable.as_str(),
            ),
            None if name == late.guest => (port.to_owned(), cable),
            None => continue,
        };
        for (pin, own) in [("port", own_port.as_str()), ("cable", own_cable)] {
            let before = device.get(pin).and_then(Value::as_str);
            let same =
                before.is_none_or(|before| own == before || own.ends_with(&format!("/{before}")));
            if !same {
                return None;
            }
            if own != "lead" {
                device[pin] = json!(own);
            }
        }
    }
    let setup = Setup::from_json(&setup.to_string()).expect("a valid setup");
    let plan = assign_with(&setup, &patient()).expect("a plan");
    (plan.unserved == 0).then(|| ObjectiveValue::of(&setup, &plan))
}

//! `improve` against every single change, made here once more on the JSON document and
//! planned again: by the library, and on small setups by the exhaustive search too.

use std::cmp::Reverse;
use std::sync::Arc;
use std::sync::atomic::AtomicBool;
use std::time::Duration;

use crate::model::rounding::micro;
use crate::random_setup::mid::{Family, mid_setup};
use crate::random_setup::small_setup;
use serde_json::{Value, json};
use wattberth::{Error, Setup, SolveOptions, assign, improve, improve_with, rota};

/// Levels 1 to 3, and the watts.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
struct Levels {
    unserved: [u64; 3],
    missing: i64,
    late: u64,
    times: Vec<i64>,
}

type Solve = fn(&Value) -> (Levels, i64);

fn by_oracle(setup: &Value) -> (Levels, i64) {
    if setup.get("sessions").is_some() {
        // A rota is held against an exhaustive search of its own.
        return by_library(setup);
    }
    let score = crate::model::plan::plan(&setup.to_string()).score;
    let levels = Levels {
        unserved: score.unserved,
        missing: score.missing,
        late: score.late,
        times: score.times,
    };
    (levels, score.watts)
}

fn by_library(document: &Value) -> (Levels, i64) {
    let text = document.to_string();
    let setup = Setup::from_json(&text).expect("the changed document is valid");
    let plan: Value = if document.get("sessions").is_some() {
        serde_json::to_value(rota(&setup).expect("there is a rota")).expect("JSON")
    } else {
        serde_json::to_value(assign(&setup).expect("there is a plan")).expect("JSON")
    };
    let list = |field: &str| plan[field].as_array().expect("a list");
    let read = crate::model::setup::read(&without_sessions(document).to_string());
    let mut unserved = [0; 3];
    for left in list("without_berth") {
        let device = read
            .devices
            .iter()
            .find(|d| left["device"] == d.name.as_str());
        let priority = device.expect("it is one of them").priority;
        unserved[usize::try_from(priority).expect("1, 2 or 3") - 1] += 1;
    }
    let number = |of: &Value| micro(of.as_f64().expect("a number"));
    let time = |berth: &Value| number(berth.get("finish_h").unwrap_or(&berth["hours"]));
    let mut times: Vec<i64> = list("berths").iter().map(time).collect();
    times.sort_by_key(|&time| Reverse(time));
    let levels = Levels {
        unserved,
        missing: number(&plan["missing_wh"]),
        late: plan["late"].as_u64().expect("a number"),
        times,
    };
    let watts = list("berths").iter().map(|berth| number(&berth["port_w"]));
    (levels, watts.sum())
}

fn without_sessions(document: &Value) -> Value {
    let mut document = document.clone();
    remove(&mut document, "sessions");
    document
}

/// Two halves of the night, everything at hand in both.
fn swapped(document: &Value, now: &Levels) -> Option<Made> {
    let longest = now.times.first().copied().unwrap_or(0);
    let night = document["session_h"].as_f64().map_or(longest, micro);
    let half = (night + 1) / 2;
    if half == 0 {
        return None;
    }
    #[expect(
        clippy::cast_precision_loss,
        reason = "a night in millionths of an hour"
    )]
    let at_h = half as f64 / 1e6;
    let mut setup = document.clone();
    setup["sessions"] = json!([{"name": "one", "hours": at_h}, {"name": "two", "hours": at_h}]);
    let named = json!({"change": "swap", "at_h": at_h});
    Some(Made { named, setup })
}

/// A change made: the fields that name it in the document of `improve`, and the changed
/// setup; of a pool the one without its limit.
struct Made {
    named: Value,
    setup: Value,
}

/// Every single change of a setup.
fn all_changes(document: &Value) -> Vec<Made> {
    let mut all = Vec::new();
    let read = crate::model::setup::read(&document.to_string());
    let mut add = |named: Value, setup: Value| all.push(Made { named, setup });
    for (c, charger) in read.chargers.iter().enumerate() {
        let owner = &charger.name;
        for pool in &charger.pools {
            let named = json!({"change": "pool", "charger": owner, "name": pool.name});
            add(named, with_limit(document, c, &pool.name, None));
        }
        let best_of = |connector: Option<&str>| {
            (0..charger.ports.len())
                .filter(|&p| connector.is_none_or(|kind| charger.ports[p].connector == kind))
                .min_by_key(|&p| Reverse(micro(charger.ports[p].cap_w)))
        };
        for (p, port) in charger.ports.iter().enumerate() {
            let best = best_of(Some(&port.connector)).expect("at least itself");
            if micro(charger.ports[best].cap_w) == micro(port.cap_w) {
                continue;
            }
            let like = &charger.ports[best].name;
            let mut changed = document.clone();
            let ports = &mut changed["chargers"][c]["ports"];
            let mut raised = ports[best].clone();
            raised["name"] = ports[p]["name"].clone();
            ports[p] = raised;
            let named =
                json!({"change": "port", "charger": owner, "name": port.name, "like": like});
            add(named, changed);
        }
        let like = &charger.ports[best_of(None).expect("a charger has ports")].name;
        let named = json!({"change": "port-added", "charger": owner, "like": like});
        add(named, with_port(document, c, like));
        if charger.lines.is_some() {
            let mut changed = document.clone();
            remove(&mut changed["chargers"][c], "combinations");
            add(json!({"change": "combinations", "name": owner}), changed);
        }
    }
    let reaches = read
        .devices
        .iter()
        .filter(|d| d.inlet == "usb-c")
        .map(|d| d.reach_m);
    if let Some(length_m) = reaches.reduce(f64::max) {
        let mut changed = document.clone();
        if changed.get("cables").is_none() {
            changed["cables"] = json!([]);
        }
        changed["cables"]
            .as_array_mut()
            .expect("a list")
            .push(json!({
                "name": "added here", "from": "usb-c", "to": "usb-c", "e_marked": true,
                "max_a": 5, "max_v": 50, "length_m": length_m,
            }));
        add(
            json!({"change": "cable-added", "length_m": length_m}),
            changed,
        );
    }
    let split = expanded(document);
    for (d, device) in read
        .devices
        .iter()
        .enumerate()
        .filter(|(_, d)| d.needs_berth())
    {
        let (port, cable) = (device.port_pin.is_some(), device.cable_pin.is_some());
        for (drop_port, drop_cable) in [(true, false), (false, true), (true, true)] {
            if drop_port && !port || drop_cable && !cable {
                continue;
            }
            let mut changed = split.clone();
            let mut named = json!({"change": "pin", "name": device.name});
            for (dropped, field) in [(drop_port, "port"), (drop_cable, "cable")] {
                if dropped {
                    named[field] = changed["devices"][d][field].clone();
                    remove(&mut changed["devices"][d], field);
                }
            }
            add(named, changed);
        }
    }
    all
}

fn list_of<'v>(of: &'v mut Value, field: &str) -> Option<&'v mut Vec<Value>> {
    of.get_mut(field)?.as_array_mut()
}

fn remove(of: &mut Value, field: &str) {
    of.as_object_mut().expect("an object").remove(field);
}

fn with_limit(document: &Value, charger: usize, pool: &str, watts: Option<f64>) -> Value {
    let mut changed = document.clone();
    let of = &mut changed["chargers"][charger];
    if pool == "total" && of.get("max_w").is_some() {
        match watts {
            Some(watts) => of["max_w"] = json!(watts),
            None => remove(of, "max_w"),
        }
        return changed;
    }
    let pools = of["pools"].as_array_mut().expect("it has pools");
    let at = pools
        .iter()
        .position(|p| p["name"] == pool)
        .expect("it has that pool");
    match watts {
        Some(watts) => pools[at]["max_w"] = json!(watts),
        None => drop(pools.remove(at)),
    }
    changed
}

/// With one more port like `like`: beside it in pools and lines; a line that held only
/// that one stays for each of the two.
fn with_port(document: &Value, charger: usize, like: &str) -> Value {
    let mut changed = document.clone();
    let of = &mut changed["chargers"][charger];
    let ports = of["ports"].as_array_mut().expect("ports");
    let mut twin = ports
        .iter()
        .find(|p| p["name"] == like)
        .expect("its model")
        .clone();
    twin["name"] = json!("added here");
    ports.push(twin);
    for pool in list_of(of, "pools").into_iter().flatten() {
        if let Some(names) = pool["ports"].as_array_mut()
            && names.contains(&json!(like))
        {
            names.push(json!("added here"));
        }
    }
    if let Some(lines) = list_of(of, "combinations") {
        let mut more = Vec::new();
        for line in lines.iter() {
            let Some(watts) = line.get(like) else {
                continue;
            };
            let mut both = line.clone();
            both["added here"] = watts.clone();
            more.push(both);
            if line.as_object().is_some_and(|line| line.len() == 1) {
                more.push(json!({"added here": watts}));
            }
        }
        lines.retain(|line| {
            line.get(like).is_none() || line.as_object().is_some_and(|l| l.len() == 1)
        });
        lines.append(&mut more);
    }
    changed
}

/// Counts written out: one entry for each device.
fn expanded(document: &Value) -> Value {
    let mut changed = document.clone();
    let mut devices = Vec::new();
    for device in document["devices"].as_array().expect("devices") {
        let count = device.get("count").and_then(Value::as_u64).unwrap_or(1);
        for number in 1..=count {
            let mut one = device.clone();
            remove(&mut one, "count");
            if count > 1 {
                let name = device["name"].as_str().expect("a name");
                one["name"] = json!(format!("{name} {number}"));
            }
            devices.push(one);
        }
    }
    changed["devices"] = Value::Array(devices);
    changed
}

/// Whether a line of the answer is this change: it has all the fields that name it.
fn is_line_of(line: &Value, made: &Made) -> bool {
    let mut fields = made.named.as_object().expect("an object").iter();
    let pins = |of: &Value| (of.get("port").is_some(), of.get("cable").is_some());
    // 0 and 0.0 are the same length.
    let same = |a: &Value, b: &Value| a == b || a.is_f64() && a.as_f64() == b.as_f64();
    fields.all(|(field, value)| same(value, &line[field]))
        && (made.named["change"] != "pin" || pins(line) == pins(&made.named))
}

fn levels_of(line: &Value) -> (Levels, i64) {
    let number = |field: &str| micro(line[field].as_f64().expect("a number"));
    let whole = |value: &Value| value.as_u64().expect("a whole number");
    let list = |field: &str| line[field].as_array().expect("a list").clone();
    let priorities: Vec<u64> = list("unserved_by_priority").iter().map(whole).collect();
    let times: Vec<i64> = list("times_h")
        .iter()
        .map(|hours| micro(hours.as_f64().expect("hours")))
        .collect();
    assert_eq!(priorities.iter().sum::<u64>(), whole(&line["unserved"]));
    assert_eq!(times.first().copied().unwrap_or(0), number("longest_h"));
    let levels = Levels {
        unserved: priorities.try_into().expect("three priorities"),
        missing: number("missing_wh"),
        late: whole(&line["late"]),
        times,
    };
    (levels, number("total_w"))
}

/// How many changes helped, and how many of them were pools.
fn compare(text: &str, solve: Solve) -> (usize, usize) {
    let document: Value = serde_json::from_str(text).expect("JSON");
    let setup = Setup::from_json(text).expect("a valid setup");
    let found = improve(&setup).expect("an answer");
    let found: Value = serde_json::from_str(&found.to_json()).expect("JSON");
    assert_eq!(
        (&found["version"], &found["undecided"]),
        (&json!(1), &json!(0)),
        "{text}"
    );
    let now = solve(&document);
    assert_eq!(levels_of(&found["now"]), now, "{text}");
    let lines = found["changes"].as_array().expect("changes");
    let mut listed = 0;
    for made in all_changes(&document)
        .into_iter()
        .chain(swapped(&document, &now.0))
    {
        let after = solve(&made.setup);
        let line = lines
            .iter()
            .filter(|line| is_line_of(line, &made))
            .collect::<Vec<_>>();
        if after.0 >= now.0 {
            assert!(
                line.is_empty(),
                "{} is no help: {line:?}\n{text}",
                made.named
            );
            continue;
        }
        let [line] = line.as_slice() else {
            panic!("{} helps: {lines:#?}\n{text}", made.named)
        };
        listed += 1;
        assert_eq!(line["status"], "optimal");
        let (levels, watts) = levels_of(line);
        assert_eq!(levels, after.0, "{}\n{text}", made.named);
        if line["change"] == "pool" {
            least_is_least(&document, line, &after.0, watts, solve);
        } else {
            assert_eq!(watts, after.1, "{}\n{text}", made.named);
        }
    }
    assert_eq!(listed, lines.len(), "{lines:#?}\n{text}");
    let order: Vec<_> = lines.iter().map(levels_of).collect();
    assert!(order.is_sorted(), "{order:?}\n{text}");
    (
        listed,
        lines.iter().filter(|line| line["change"] == "pool").count(),
    )
}

/// The limit gives all that no limit gives, and one millionth less does not.
fn least_is_least(document: &Value, line: &Value, aim: &Levels, watts: i64, solve: Solve) {
    let owner = |c: &Value| c["name"] == line["charger"];
    let charger = document["chargers"]
        .as_array()
        .and_then(|all| all.iter().position(owner));
    let pool = line["name"].as_str().expect("a name");
    let to_w = line["to_w"].as_f64().expect("the least watts");
    let at = |watts: f64| {
        solve(&with_limit(
            document,
            charger.expect("its charger"),
            pool,
            Some(watts),
        ))
    };
    assert_eq!(
        (&at(to_w).0, at(to_w).1),
        (aim, watts),
        "{line}\n{document}"
    );
    let less = (to_w * 1e6).round() / 1e6 - 1e-6;
    assert!(
        at(less).0 > *aim,
        "{less} W would do, too: {line}\n{document}"
    );
    assert!(to_w > line["from_w"].as_f64().expect("watts"), "{line}");
}

fn compared(setups: impl Iterator<Item = String>, solve: Solve) -> (usize, usize) {
    setups.fold((0, 0), |(helped, pools), text| {
        let (more, of_pools) = compare(&text, solve);
        (helped + more, pools + of_pools)
    })
}

#[test]
fn every_line_is_what_the_exhaustive_search_says_of_the_changed_setup() {
    let (helped, pools) = compared((0..250).map(small_setup), by_oracle);
    assert!(
        helped > 100 && pools > 20,
        "{helped} lines, {pools} of pools"
    );
}

#[test]
fn every_line_is_what_assign_says_of_the_changed_setup() {
    let mid = Family::ALL
        .into_iter()
        .zip(0..)
        .map(|(family, seed)| mid_setup(seed, 7, 8, family));
    let fixtures = ["quartet", "quartet-eight"].map(|name| {
        let path = format!("{}/fixtures/{name}.json", env!("CARGO_MANIFEST_DIR"));
        let text = std::fs::read_to_string(path).expect("the fixture is there");
        // The second reading knows labels in one form only.
        text.replace('⎓', " ")
            .replace(" (65W)", "")
            .replace(" / ", ", ")
            .replace("500mA", "0.5A")
    });
    let small = (1_000..1_200).map(small_setup);
    let (helped, pools) = compared(small.chain(mid).chain(fixtures), by_library);
    assert!(
        helped > 100 && pools > 20,
        "{helped} lines, {pools} of pools"
    );
}

#[test]
fn small_setups_reach_every_kind_of_change() {
    for kind in [
        "pool",
        "port",
        "port-added",
        "cable-added",
        "pin",
        "swap",
        "combinations",
    ] {
        let helps = |seed| {
            let setup = Setup::from_json(&small_setup(seed)).expect("a valid setup");
            let found = improve(&setup).expect("an answer").to_json();
            found.contains(&format!("\"change\": \"{kind}\""))
        };
        assert!((0..150).any(helps), "{kind} never helps");
    }
}

#[test]
fn one_of_several_devices_may_lose_its_pin() {
    let setup = json!({
        "chargers": [{"name": "cube", "ports": [{"name": "C1", "pd_w": 30}, {"name": "C2", "pd_w": 30}]}],
        "cables": [{"name": "white", "count": 3}],
        "devices": [{"name": "phone", "count": 2, "pd_w": 18, "battery_wh": 15, "port": "C1"}],
    });
    let (helped, _) = compare(&setup.to_string(), by_oracle);
    // Either of the two may move; a thicker cable is something, too.
    assert_eq!(helped, 3);
}

#[test]
fn limits_of_the_call_are_passed_on() {
    let text = small_setup(3);
    let setup = Setup::from_json(&text).expect("a valid setup");
    let with = |change: fn(&mut SolveOptions)| {
        let mut options = SolveOptions::default();
        change(&mut options);
        improve_with(&setup, &options)
    };
    assert!(matches!(with(|o| o.budget = 0), Err(Error::Options { .. })));
    for stopped in [
        with(|o| o.time_limit = Some(Duration::ZERO)),
        with(|o| o.interrupt = Some(Arc::new(AtomicBool::new(true)))),
    ] {
        let stopped = stopped.expect("an answer");
        assert!(stopped.changes.is_empty(), "{stopped:?}");
        let document: Value = serde_json::from_str(&text).expect("JSON");
        // Every change, the swap at half time among them.
        assert_eq!(stopped.undecided, all_changes(&document).len() + 1);
    }
}

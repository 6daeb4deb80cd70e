//! `improve` against every single change, made here once more on the JSON document and
//! planned again: by the library, and on small setups by the exhaustive search too.

use std::cmp::{Ordering, Reverse};
use std::sync::Arc;
use std::sync::atomic::AtomicBool;
use std::time::Duration;

use crate::model::order::times_end;
use crate::model::promise::NEVER;
use crate::model::rounding::micro;
use crate::model::search::best_plan;
use crate::random_setup::mid::{Family, mid_setup};
use crate::random_setup::small_setup;
use serde_json::{Value, json};
use wattberth::{Error, ObjectiveValue, Setup, SolveOptions, assign, improve, improve_with, rota};

/// Where a plan stands, in the order in which plans are compared but for the last ties.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
struct Standing {
    unserved: [i64; 3],
    missing: i64,
    late: [i64; 3],
    /// Of priority 1 and 2, then of 3, by the aim, each longest first.
    times: [Vec<i64>; 2],
    hours: i64,
    watts: i64,
}

impl Standing {
    /// Levels 1 and 2.
    fn counts(&self) -> ([i64; 3], i64, [i64; 3]) {
        (self.unserved, self.missing, self.late)
    }

    fn longest_first(&self) -> Vec<i64> {
        let mut times = self.times.concat();
        times.sort_by_key(|&time| Reverse(time));
        times
    }
}

/// The best plan of a setup, and the least of each place in its lists of times: within the
/// tolerance its own may be longer.
struct Solved {
    standing: Standing,
    least: Vec<i64>,
}

impl Solved {
    /// Whether levels 1 and 2 are better, or the first time that is another one by more than
    /// the tolerance is shorter.
    fn gains_on(&self, now: &Self, tolerance: i64) -> bool {
        let counts = self.standing.counts().cmp(&now.standing.counts());
        let times = self.least.iter().zip(&now.least);
        let first = times.into_iter().find(|(a, b)| (*a - *b).abs() > tolerance);
        counts
            .then(first.map_or(Ordering::Equal, |(a, b)| a.cmp(b)))
            .is_lt()
    }

    /// What a pool without its limit gives.
    fn all(&self) -> (Counts, &[i64]) {
        (self.standing.counts(), &self.least)
    }
}

/// Unserved by priority, what is missing, late by priority.
type Counts = ([i64; 3], i64, [i64; 3]);

type Solve = fn(&Value) -> Solved;

fn by_oracle(document: &Value) -> Solved {
    let text = document.to_string();
    let setup = if document.get("sessions").is_some() {
        crate::model::setup::read_for_rota(&text)
    } else {
        crate::model::setup::read(&text)
    };
    let best = best_plan(&setup);
    let score = best.score;
    let least = &best.least[7..times_end(&setup)];
    let watts = best.chosen.iter().flatten();
    Solved {
        // Places of devices without a berth are below all times.
        least: least.iter().copied().filter(|&time| time >= 0).collect(),
        standing: Standing {
            unserved: score.unserved,
            missing: score.missing,
            late: score.late,
            times: [score.times, score.times_of_3],
            hours: score.hours,
            watts: watts.map(|choice| micro(choice.contract.port_w())).sum(),
        },
    }
}

/// Of setups without a tolerance: the least times are then those of the plan.
fn by_library(document: &Value) -> Solved {
    assert_eq!(document["tolerance_h"], json!(0), "{document}");
    let setup = Setup::from_json(&document.to_string()).expect("the changed document is valid");
    let (plan, value) = if document.get("sessions").is_some() {
        let rota = rota(&setup).expect("there is a rota");
        let value = ObjectiveValue::of_rota(&setup, &rota);
        (serde_json::to_value(rota).expect("JSON"), value)
    } else {
        let plan = assign(&setup).expect("there is a plan");
        let value = ObjectiveValue::of(&setup, &plan);
        (serde_json::to_value(plan).expect("JSON"), value)
    };
    let fields = match document["aim"].as_str() {
        Some("best") => ["finish_h", "hours"],
        _ => ["promised_finish_h", "promised_h"],
    };
    let read = crate::model::setup::read(&without_sessions(document).to_string());
    let mut times = [Vec::new(), Vec::new()];
    for berth in plan["berths"].as_array().expect("a list") {
        let device = read
            .devices
            .iter()
            .find(|d| berth["device"] == d.name.as_str());
        let of_3 = device.expect("it is one of them").priority == 3;
        let is_rota = document.get("sessions").is_some();
        let time = berth[fields[usize::from(!is_rota)]].as_f64();
        times[usize::from(of_3)].push(time.map_or(NEVER, micro));
    }
    for times in &mut times {
        times.sort_by_key(|&time| Reverse(time));
    }
    let whole = |counts: [usize; 3]| counts.map(|n| i64::try_from(n).expect("a few"));
    Solved {
        least: times.concat(),
        standing: Standing {
            unserved: whole(value.unserved_by_priority),
            missing: micro(value.missing_wh),
            late: whole(value.late_by_priority),
            times,
            hours: micro(value.weighted_h),
            watts: micro(value.total_w),
        },
    }
}

fn without_sessions(document: &Value) -> Value {
    let mut document = document.clone();
    remove(&mut document, "sessions");
    document
}

/// Two halves of the night, everything at hand in both.
fn swapped(document: &Value, now: &Standing) -> Option<Made> {
    let longest = now.longest_first().first().copied().unwrap_or(0);
    let night = document["session_h"].as_f64().map_or(longest, micro);
    let half = (night + 1) / 2;
    if half == 0 || night == NEVER {
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

/// That a line, or what it says of now, tells where this plan stands.
fn tells(line: &Value, standing: &Standing) {
    let time = |hours: &Value| hours.as_f64().map_or(NEVER, micro);
    let number = |field: &str| micro(line[field].as_f64().expect("a number"));
    let whole = |value: &Value| value.as_i64().expect("a whole number");
    let list = |field: &str| line[field].as_array().expect("a list").clone();
    let counts = |field: &str| list(field).iter().map(whole).collect::<Vec<_>>();
    assert_eq!(counts("unserved_by_priority"), standing.unserved);
    assert_eq!(
        whole(&line["unserved"]),
        standing.unserved.iter().sum::<i64>()
    );
    assert_eq!(number("missing_wh"), standing.missing);
    assert_eq!(counts("late_by_priority"), standing.late);
    assert_eq!(whole(&line["late"]), standing.late.iter().sum::<i64>());
    let times: Vec<i64> = list("times_h").iter().map(time).collect();
    // Half a millionth may fall either way; hours count up to four times.
    let wanted = standing.longest_first();
    let mut pairs = times.iter().zip(&wanted);
    let agree = times.len() == wanted.len() && pairs.all(|(a, b)| (a - b).abs() <= 1);
    assert!(agree, "{times:?} {wanted:?}");
    let longest = times.first().copied().unwrap_or(0);
    assert_eq!(time(&line["longest_h"]), longest);
    let apart = number("weighted_h") - standing.hours;
    assert!(apart.abs() <= 16, "{line} {standing:?}");
    assert_eq!(number("total_w"), standing.watts);
}

/// What to do costs nothing.
fn is_free(line: &Value) -> bool {
    ["swap", "pin"]
        .map(|kind| json!(kind))
        .contains(&line["change"])
}

/// How many changes helped, how many of them were pools, and how many gain something that
/// the tolerance swallows.
fn compare(text: &str, solve: Solve) -> [usize; 3] {
    let document: Value = serde_json::from_str(text).expect("JSON");
    let tolerance = document["tolerance_h"].as_f64().map_or(50_000, micro);
    let setup = Setup::from_json(text).expect("a valid setup");
    // What is true is asked here, not how soon it is known.
    let mut options = SolveOptions::default();
    options.budget = 20 * SolveOptions::DEFAULT_BUDGET;
    let found = improve_with(&setup, &options).expect("an answer");
    let found: Value = serde_json::from_str(&found.to_json()).expect("JSON");
    assert_eq!(
        (&found["version"], &found["undecided"]),
        (&json!(1), &json!(0)),
        "{}\n{text}",
        found["undecided_changes"]
    );
    let now = solve(&document);
    tells(&found["now"], &now.standing);
    let lines = found["changes"].as_array().expect("changes");
    let mut order = vec![None; lines.len()];
    let mut swallowed = 0;
    for made in all_changes(&document)
        .into_iter()
        .chain(swapped(&document, &now.standing))
    {
        let after = solve(&made.setup);
        let listed: Vec<usize> = (0..lines.len())
            .filter(|&at| is_line_of(&lines[at], &made))
            .collect();
        if !after.gains_on(&now, tolerance) {
            assert!(listed.is_empty(), "{} is no help\n{text}", made.named);
            swallowed += usize::from(after.gains_on(&now, 0));
            continue;
        }
        let [at] = listed[..] else {
            panic!("{} helps: {lines:#?}\n{text}", made.named)
        };
        let line = &lines[at];
        assert_eq!(line["status"], "optimal");
        let after = if line["change"] == "pool" {
            least_is_least(&document, line, &after, solve)
        } else {
            after
        };
        tells(line, &after.standing);
        order[at] = Some((!is_free(line), after.standing));
    }
    assert!(order.iter().all(Option::is_some), "{lines:#?}\n{text}");
    assert!(order.is_sorted(), "{order:?}\n{text}");
    let pools = lines.iter().filter(|line| line["change"] == "pool").count();
    [lines.len(), pools, swallowed]
}

/// The limit gives all that no limit gives, and one millionth less does not.
fn least_is_least(document: &Value, line: &Value, free: &Solved, solve: Solve) -> Solved {
    let owner = |c: &Value| c["name"] == line["charger"];
    let charger = document["chargers"]
        .as_array()
        .and_then(|all| all.iter().position(owner))
        .expect("its charger");
    let pool = line["name"].as_str().expect("a name");
    let to_w = line["to_w"].as_f64().expect("the least watts");
    let at = |watts: f64| solve(&with_limit(document, charger, pool, Some(watts)));
    let with = at(to_w);
    assert_eq!(with.all(), free.all(), "{line}\n{document}");
    let less = (to_w * 1e6).round() / 1e6 - 1e-6;
    assert!(
        at(less).all() > free.all(),
        "{less} W would do, too: {line}\n{document}"
    );
    assert!(to_w > line["from_w"].as_f64().expect("watts"), "{line}");
    with
}

fn compared(setups: impl Iterator<Item = String>, solve: Solve) -> [usize; 3] {
    setups.fold([0; 3], |sum, text| {
        let more = compare(&text, solve);
        std::array::from_fn(|i| sum[i] + more[i])
    })
}

/// The setup with another aim and another tolerance.
fn aimed(text: &str, aim: &str, tolerance_h: f64) -> String {
    let mut setup: Value = serde_json::from_str(text).expect("JSON");
    setup["aim"] = json!(aim);
    setup["tolerance_h"] = if tolerance_h > 0.0 {
        json!(tolerance_h)
    } else {
        json!(0)
    };
    setup.to_string()
}

#[test]
fn every_line_is_what_the_exhaustive_search_says_of_the_changed_setup() {
    let setups = (0..140).map(|seed| {
        let text = small_setup(seed);
        match seed % 5 {
            0 => aimed(&text, "best", 0.0),
            1 => aimed(&text, "promise", 0.0),
            2 => aimed(&text, "best", 0.3),
            3 => aimed(&text, "promise", 0.3),
            // A promise, and what nobody notices.
            _ => text,
        }
    });
    let [helped, pools, swallowed] = compared(setups, by_oracle);
    assert!(
        helped > 60 && pools > 10 && swallowed > 10,
        "{helped} lines, {pools} of pools, {swallowed} left out"
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
    let all = small.chain(mid).chain(fixtures).enumerate();
    let all = all.map(|(i, text)| aimed(&text, ["promise", "best"][i % 2], 0.0));
    let [helped, pools, _] = compared(all, by_library);
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
    // Either of the two may move. A thicker cable gains about a minute, which nobody
    // notices: of 9 V 2 A, 1 W is lost along the white one of 0.25 ohm and 0.6 W along one
    // of 0.15 ohm.
    let lines = |tolerance_h: f64| {
        let setup = aimed(&setup.to_string(), "promise", tolerance_h);
        compare(&setup, by_oracle)[0]
    };
    assert_eq!(lines(0.05), 2);
    assert_eq!(lines(0.0), 3);
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

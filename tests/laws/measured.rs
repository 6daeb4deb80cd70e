//! The families that are measured are what they say they are.

use serde_json::Value;
use wattberth::{Level, LimitedBy, Plan, Setup, SolveOptions, Status, assign, rota, rota_with};

use crate::random_setup::measured::Measured;

const SEEDS: u64 = 12;

fn document(family: Measured, seed: u64) -> Value {
    let text = family.setup(seed, 8);
    assert_eq!(text, family.setup(seed, 8), "{family:?}, seed {seed}");
    serde_json::from_str(&text).expect("JSON")
}

fn plan(document: &Value) -> Plan {
    let setup = Setup::from_json(&document.to_string()).expect("a valid setup");
    let plan = assign(&setup).expect("a plan");
    assert_eq!(plan.status, Status::Optimal, "{document}");
    plan
}

fn list<'a>(of: &'a Value, field: &str) -> &'a [Value] {
    of[field].as_array().map_or(&[], Vec::as_slice)
}

/// The number of different values, names aside.
fn kinds(of: &[Value]) -> usize {
    let mut seen: Vec<Value> = Vec::new();
    for value in of {
        let mut value = value.clone();
        value["name"] = Value::Null;
        if !seen.contains(&value) {
            seen.push(value);
        }
    }
    seen.len()
}

#[test]
fn ports_and_devices_are_as_many_and_as_unlike_as_said() {
    for family in Measured::ALL {
        for seed in 0..SEEDS {
            let document = document(family, seed);
            let chargers = list(&document, "chargers");
            let ports: Vec<Value> = chargers
                .iter()
                .flat_map(|c| list(c, "ports").to_vec())
                .collect();
            let devices = list(&document, "devices");
            let at = format!("{family:?}, seed {seed}");
            assert_eq!((devices.len(), kinds(devices)), (8, 8), "{at}");
            let (wanted_ports, wanted_kinds) = match family {
                Measured::GroupsMid | Measured::GroupsBind => (8, 3..=3),
                Measured::Sold => (8, 2..=3),
                Measured::Tables => (10, 10..=10),
                Measured::Crowded => (6, 6..=6),
                _ => (8, 8..=8),
            };
            assert_eq!(ports.len(), wanted_ports, "{at}");
            assert!(wanted_kinds.contains(&kinds(&ports)), "{at}");
            let sizes = chargers.iter().map(|c| list(c, "ports").len());
            match family {
                Measured::Tables | Measured::Chargers => {
                    assert!(chargers.len() > 1, "{at}");
                    assert!(sizes.clone().all(|ports| (3..=5).contains(&ports)), "{at}");
                }
                _ => assert_eq!(chargers.len(), 1, "{at}"),
            }
        }
    }
}

#[test]
fn everybody_has_a_berth_and_the_limits_bind() {
    for family in [
        Measured::UnlikeMid,
        Measured::UnlikeBind,
        Measured::GroupsMid,
        Measured::GroupsBind,
        Measured::Chargers,
    ] {
        let mut bound = 0;
        for seed in 0..SEEDS {
            let mut document = document(family, seed);
            let limited = plan(&document);
            assert_eq!(limited.unserved, 0, "{family:?}, seed {seed}");
            for charger in document["chargers"].as_array_mut().expect("chargers") {
                let charger = charger.as_object_mut().expect("a charger");
                charger.remove("max_w");
                charger.remove("pools");
            }
            bound += u64::from(plan(&document).longest_h < limited.longest_h);
        }
        assert!(bound >= SEEDS / 2, "{family:?}: {bound} of {SEEDS}");
    }
}

#[test]
fn some_are_late_or_without_a_berth_where_that_is_the_family() {
    let (mut late, mut tables) = (0, 0);
    for seed in 0..SEEDS {
        assert_eq!(plan(&document(Measured::Crowded, seed)).unserved, 2);
        late += usize::from(plan(&document(Measured::Deadlines, seed)).late > 0);
        let document = document(Measured::Tables, seed);
        let chargers = list(&document, "chargers");
        tables += usize::from(chargers.iter().all(|c| !list(c, "combinations").is_empty()));
    }
    assert!(late > 6, "late in {late} setups");
    assert_eq!(tables, 12);
}

#[test]
fn a_charger_as_sold_has_pools_or_a_table() {
    let (mut pools, mut tables) = (0, 0);
    for seed in 0..4 * SEEDS {
        let document = document(Measured::Sold, seed);
        let charger = &document["chargers"][0];
        let limits = usize::from(charger.get("max_w").is_some()) + list(charger, "pools").len();
        let table = !list(charger, "combinations").is_empty();
        assert!(table || (1..=3).contains(&limits), "seed {seed}");
        assert!(!table || limits == 0, "seed {seed}");
        pools += usize::from(limits > 0);
        tables += usize::from(table);
        assert_eq!(plan(&document).unserved, 0, "seed {seed}");
    }
    assert!(pools > 10 && tables > 10, "{pools} and {tables}");
}

#[test]
fn nights_have_more_devices_than_ports_and_pools_that_bind() {
    for (size, sessions, ports) in [(8, 2, 5), (16, 3, 6), (30, 4, 8)] {
        for seed in 0..SEEDS {
            let text = Measured::Rota.setup(seed, size);
            let document: Value = serde_json::from_str(&text).expect("JSON");
            let at = format!("{size}, seed {seed}");
            let own = list(&document["chargers"][0], "ports");
            assert_eq!((own.len(), kinds(own)), (ports, ports), "{at}");
            assert_eq!(list(&document, "sessions").len(), sessions, "{at}");
            assert_eq!(list(&document, "devices").len(), size, "{at}");
        }
    }
    let (mut served, mut slowed, mut swapped, mut away) = (0, 0, 0, 0);
    for seed in 0..SEEDS {
        let text = Measured::Rota.setup(seed, 8);
        let mut document: Value = serde_json::from_str(&text).expect("JSON");
        document["aim"] = "best".into();
        let setup = Setup::from_json(&document.to_string()).expect("a valid setup");
        let rota = rota(&setup).expect("a rota");
        assert_eq!(rota.status, Status::Optimal, "seed {seed}");
        served += u64::from(rota.unserved == 0 && rota.late == 0);
        swapped += u64::from(rota.swaps > 0);
        away += u64::from(text.contains(r#""sessions":["session"#));
        let mut berths = rota.berths.iter();
        slowed += u64::from(berths.any(|berth| berth.berth.limited_by == LimitedBy::Pool));
    }
    let most = |of: u64| 2 * of > SEEDS;
    assert!(
        most(served) && most(slowed) && most(swapped) && most(away),
        "of {SEEDS}: served {served}, slowed {slowed}, swapped {swapped}, away {away}"
    );
}

#[test]
fn scarce_nights_have_few_cables_and_ports_enough() {
    let (mut tables, mut pools, mut unserved, mut swapped) = (0, 0, 0, 0);
    for seed in 0..SEEDS {
        for size in [6, 9, 12] {
            let text = Measured::Scarce.setup(seed, size);
            let document: Value = serde_json::from_str(&text).expect("JSON");
            let setup = Setup::from_json(&text).expect("a valid setup");
            let count = |of: &str| -> u64 {
                let each = list(&document, of).iter();
                each.map(|thing| thing["count"].as_u64().expect("a count"))
                    .sum()
            };
            let at = format!("{size}, seed {seed}");
            assert_eq!(count("devices"), size as u64, "{at}");
            assert!(3 * count("cables") <= size as u64, "{at}");
            assert!((2..=4).contains(&list(&document, "sessions").len()), "{at}");
            tables += u64::from(text.contains("combinations"));
            pools += u64::from(text.contains("\"pools\""));
            if size == 6 {
                let mut options = SolveOptions::default();
                options.budget = 200_000;
                let rota = rota_with(&setup, &options).expect("a rota");
                assert!(
                    rota.status == Status::Optimal || rota.settled == Some(Level::Times),
                    "{at}"
                );
                unserved += u64::from(rota.unserved > 0);
                swapped += u64::from(rota.swaps > 0);
            }
        }
    }
    assert!(
        tables > SEEDS && pools > SEEDS && 2 * unserved > SEEDS && 2 * swapped > SEEDS,
        "of {SEEDS}: tables {tables}, pools {pools}, unserved {unserved}, swapped {swapped}"
    );
}

//! What can be asked of a ranking beside its kits: another order, times of devices, plans.

use std::collections::BTreeMap;
use std::sync::{Arc, Mutex};

use wattberth::{
    Aim, Bag, Error, ObjectiveValue, OnKitPlan, RankBy, RankOptions, Ranked, Ranking, Setup,
    TimesOf, assign, rank_with, verify,
};

use super::{BAG, candidates};

fn asked(bag: &str, set: impl FnOnce(&mut RankOptions)) -> Ranking {
    let bag = Bag::from_json(bag).expect("it is valid");
    let mut options = RankOptions::default();
    set(&mut options);
    rank_with(&bag, &candidates(), &options, |_| ()).expect("they can be ranked")
}

/// The time of a device in a kit: 99 where it is never, 100 without a berth.
fn hours(kit: &Ranked, device: &str) -> f64 {
    let mut times = kit.times.iter();
    let time = times.find(|time| time.device == device);
    let hours = time.expect("it was asked for").hours;
    hours.map_or(100.0, |hours| hours.min(99.0))
}

/// What kits are sorted by.
type Key = Box<dyn Fn(&Ranked) -> f64>;

#[test]
fn kits_are_sorted_by_what_is_asked_for_behind_the_counts() {
    let last = |kit: &Ranked| {
        let mut last = 0.0;
        for time in &kit.times {
            if time.device.starts_with("score tablet") || time.device == "recorder" {
                last = f64::max(last, time.hours.unwrap_or(0.0).min(99.0));
            }
        }
        last
    };
    let number = |value: Option<f64>| value.unwrap_or(f64::INFINITY);
    let orders: [(&str, Key); 5] = [
        ("longest", Box::new(|kit| kit.longest_h)),
        ("weight", Box::new(move |kit| number(kit.weight_g))),
        ("price", Box::new(move |kit| number(kit.price))),
        ("priority-1", Box::new(last)),
        ("viola's phone", Box::new(|kit| hours(kit, "viola's phone"))),
    ];
    let mut firsts = Vec::new();
    for (word, key) in &orders {
        let ranking = asked(BAG, |options| {
            options.by = (*word).into();
            options.times = vec![TimesOf::All];
            options.threads = Some(2);
        });
        let keys = ranking.ranked.iter().map(|kit| {
            let [first, second, third] = kit.unserved_by_priority;
            (first, second, third, kit.late, key(kit))
        });
        assert!(keys.is_sorted_by(|a, b| a <= b), "by {word}");
        assert_eq!(ranking.ranked.len(), 40);
        firsts.push(ranking.ranked);
    }
    let order = |ranked: &[Ranked]| -> Vec<Vec<String>> {
        ranked.iter().map(|kit| kit.candidate.clone()).collect()
    };
    let others = firsts[1..].iter();
    let differ = others.filter(|one| order(one) != order(&firsts[0])).count();
    assert!(differ > 1, "an order that changes nothing tells nothing");
    // A mark does not depend on the order.
    for one in &firsts[1..] {
        for kit in one {
            let same = firsts[0].iter().find(|same| same.members == kit.members);
            assert_eq!(same, Some(kit));
        }
    }
}

#[test]
fn times_are_those_of_the_plans() {
    for aim in [Aim::Promise, Aim::Best] {
        let bag_text = match aim {
            Aim::Best => BAG.replacen('{', r#"{"aim": "best","#, 1),
            Aim::Promise => BAG.to_owned(),
        };
        let ranking = asked(&bag_text, |options| {
            options.times = vec![TimesOf::PriorityOne, TimesOf::Device("pedals".to_owned())];
            options.plans = 3;
        });
        let bag = Bag::from_json(&bag_text).expect("it is valid");
        let candidates = candidates();
        for (at, kit) in ranking.ranked.iter().enumerate() {
            let names: Vec<&str> = kit.times.iter().map(|time| time.device.as_str()).collect();
            let tablets = ["1", "2", "3", "4"].map(|number| format!("score tablet {number}"));
            let mut expected: Vec<&str> = tablets.iter().map(String::as_str).collect();
            expected.extend(["recorder", "pedals"]);
            assert_eq!(names, expected);
            assert_eq!(kit.plan.is_some(), at < 3);
            let Some(plan) = &kit.plan else { continue };
            let members: Vec<_> = kit
                .members
                .iter()
                .map(|&member| &candidates[member])
                .collect();
            let setup: Setup = bag.with_kit(&members).expect("it was planned");
            assert!(verify(&setup, plan).violations.is_empty());
            let mut alone = assign(&setup).expect("it has a plan");
            (alone.program, alone.setup_sha256) = (None, None);
            assert_eq!(**plan, alone);
            assert_eq!(kit.longest_h, ObjectiveValue::of(&setup, plan).longest_h);
            for time in &kit.times {
                let berth = plan.berths.iter().find(|berth| berth.device == time.device);
                let full = berth.map(|berth| match aim {
                    Aim::Best => berth.hours,
                    Aim::Promise => berth.promised_h.unwrap_or(f64::INFINITY),
                });
                assert_eq!(time.hours, full, "{}", time.device);
            }
        }
    }
}

#[test]
fn plans_are_of_the_first_that_are_wanted() {
    let all = asked(BAG, |options| options.plans = 40);
    assert!(all.ranked.iter().all(|kit| kit.plan.is_some()));
    let unbeaten = asked(BAG, |options| (options.top, options.plans) = (Some(0), 4));
    assert!(unbeaten.ranked.len() > 4);
    for (at, kit) in unbeaten.ranked.iter().enumerate() {
        assert!(kit.unbeaten);
        let same = all.ranked.iter().find(|same| same.members == kit.members);
        let plan = same.and_then(|same| same.plan.clone());
        assert_eq!(kit.plan, plan.filter(|_| at < 4));
    }
}

#[test]
fn names_that_no_device_has_are_all_told_with_the_near_one() {
    let bag = Bag::from_json(BAG).expect("it is valid");
    let mut options = RankOptions::default();
    options.by = "wieght".into();
    options.times = ["laptpo", "al", "pedals"].map(TimesOf::from).to_vec();
    let Err(Error::Input(faults)) = rank_with(&bag, &candidates(), &options, |_| ()) else {
        panic!("three names are wrong")
    };
    let told: Vec<String> = faults.iter().map(ToString::to_string).collect();
    assert_eq!(
        told,
        [
            "no device is called \"wieght\" (did you mean `weight`?)",
            "no device is called \"laptpo\" (did you mean `laptop`?)",
            "no device is called \"al\" (did you mean `all`?)",
        ]
    );
    let text = r#"{"cables": [{"name": "braided"}],
        "devices": [{"name": "phone", "pd_w": 18, "battery_wh": 15},
                    {"name": "tuner", "pd_w": 10, "battery_wh": 4, "start_pct": 100}]}"#;
    let bag = Bag::from_json(text).expect("it is valid");
    options.by = RankBy::PriorityOne;
    options.times = vec![TimesOf::PriorityOne, TimesOf::Device("tuner".to_owned())];
    let Err(Error::Input(faults)) = rank_with(&bag, &candidates(), &options, |_| ()) else {
        panic!("nobody has these times")
    };
    let told: Vec<String> = faults.iter().map(ToString::to_string).collect();
    assert_eq!(
        told,
        [
            "no device of priority 1 needs to be charged",
            "\"tuner\" is full as it is, and has no time",
        ]
    );
}

/// Whatever the threads, and however many of the kits are listed in the end.
#[test]
fn each_plan_is_handed_over_as_it_is_made() {
    let bag = Bag::from_json(BAG).expect("it is valid");
    let candidates = candidates();
    for (threads, top) in [(1, None), (2, None), (2, Some(3))] {
        let handed = Arc::new(Mutex::new(BTreeMap::new()));
        let ranking = asked(BAG, |options| {
            options.threads = Some(threads);
            options.top = top;
            options.on_plan = Some(OnKitPlan::new({
                let handed = Arc::clone(&handed);
                move |kit| {
                    let mut handed = handed.lock().expect("no panic");
                    let before = handed.insert(kit.members.to_vec(), kit.plan.clone());
                    assert_eq!(before, None, "each once");
                }
            }));
        });
        let mut handed = handed.lock().expect("no panic");
        assert_eq!(handed.len(), ranking.planned);
        assert!(top.is_none() || ranking.ruled_out > 0);
        for kit in &ranking.ranked {
            let plan = handed.remove(&kit.members).expect("it was planned");
            assert_eq!((plan.unserved, plan.status), (kit.unserved, kit.status));
        }
        for (members, plan) in handed.iter().take(5) {
            let kit: Vec<_> = members.iter().map(|&at| &candidates[at]).collect();
            let setup = bag.with_kit(&kit).expect("a valid setup");
            assert!(verify(&setup, plan).is_ok());
        }
    }
}

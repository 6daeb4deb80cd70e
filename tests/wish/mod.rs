//! `wish` against every set of up to three changes: whether a set leaves room for what is
//! wished is asked of the exhaustive implementation, on the changed document; whether the
//! best plan holds it, of the library's plans.

mod asked;
mod labels;

use std::collections::BTreeSet;
use std::sync::Arc;
use std::sync::atomic::AtomicBool;

use crate::model::rounding::micro;
use crate::random_setup::small_setup;
use serde_json::{Value, json};
use wattberth::{
    Change, Setup, SetupDocument, Shortfall, SolveOptions, Wish, Wishes, assign, improve_with,
    wish, wish_with,
};

use asked::{Asked, ends, turned};
use labels::{Labels, labels, parts};

/// Every single change.
fn all_changes(document: &SetupDocument, asked: &Asked) -> Vec<Change> {
    let setup = document.clone().check().expect("it is valid");
    let mut options = SolveOptions::default();
    options.interrupt = Some(Arc::new(AtomicBool::new(true)));
    // What was not looked at is named.
    let stopped = improve_with(&setup, &options).expect("an answer");
    let mut all = Vec::new();
    for change in stopped.undecided_changes {
        match &change {
            Change::Swap { .. } => {}
            Change::CableAdded { name, .. } | Change::PortAdded { name, .. } => {
                for more in ["", " 2", " 3"] {
                    let named = format!("{name}{more}");
                    let mut another = change.clone();
                    match &mut another {
                        Change::CableAdded { name, .. } | Change::PortAdded { name, .. } => {
                            *name = named;
                        }
                        _ => {}
                    }
                    all.push(another);
                }
            }
            _ => all.push(change),
        }
    }
    let times = asked.now.values().map(|(time, _)| *time);
    let longest = times.collect::<Option<Vec<i64>>>();
    let longest = longest.map(|times| times.into_iter().max().unwrap_or(0));
    let night = document.session_h.map(micro).or(longest);
    let night = night.into_iter().chain(asked.by_h.map(micro)).max();
    if let Some(night) = night.filter(|&night| night > 0) {
        #[expect(clippy::cast_precision_loss, reason = "hours in millionths")]
        let at_h = ((night + 1) / 2) as f64 / 1e6;
        all.push(Change::Swap { at_h });
    }
    let names: Vec<String> = asked.wished.clone();
    all.push(Change::Priority { names, to: 1 });
    for device in &asked.document.devices {
        if !asked.wished.contains(&device.name) && asked.now.contains_key(&device.name) {
            let name = device.name.clone();
            all.push(Change::DeviceLess { name });
        }
    }
    let mut deadlines = document.devices.iter().map(|of| of.ready_by_h);
    let of_a_clock =
        asked.by_h.or(document.session_h).is_some() || deadlines.any(|of| of.is_some());
    if document.start.is_some() && of_a_clock {
        let whole = Change::Start {
            from: "22:00".to_owned(),
            to: String::new(),
            earlier_h: 0.0,
        };
        all.push(turned(&whole, 48));
    }
    all
}

/// How many changes, of chargers, of cables.
fn cost(set: &[Change]) -> [usize; 3] {
    let cables = set
        .iter()
        .filter(|of| matches!(of, Change::CableAdded { .. }));
    let chargers = set.iter().filter(|of| {
        matches!(
            of,
            Change::Pool { .. }
                | Change::Port { .. }
                | Change::PortAdded { .. }
                | Change::Combinations { .. }
        )
    });
    [set.len(), chargers.count(), cables.count()]
}

/// All least sets, by what they cost.
fn least_sets(document: &SetupDocument, asked: &Asked) -> Vec<(Vec<Change>, Labels)> {
    let all = all_changes(document, asked);
    let mut sets: Vec<Vec<Change>> = vec![Vec::new()];
    let mut seen = BTreeSet::new();
    for i in 0..all.len() {
        sets.push(vec![all[i].clone()]);
        for j in i + 1..all.len() {
            sets.push(vec![all[i].clone(), all[j].clone()]);
            for k in j + 1..all.len() {
                sets.push(vec![all[i].clone(), all[j].clone(), all[k].clone()]);
            }
        }
    }
    for set in &mut sets {
        // What costs nothing is made first, and as little of it as will do.
        set.sort_by_key(|change| cost(std::slice::from_ref(change)));
    }
    sets.sort_by_key(|set| cost(set));
    let mut found: Vec<(Vec<Change>, Labels)> = Vec::new();
    for set in sets {
        let own = parts(&set, asked);
        if found.iter().any(|(of, _)| parts(of, asked).is_subset(&own))
            || !seen.insert(labels(&set, asked))
            || !asked.leaves_room(&set)
        {
            continue;
        }
        let least = asked.least(&set);
        if let Some(set) = [least, set].into_iter().find(|set| asked.is_held(set)) {
            let labels = labels(&set, asked);
            found.push((set, labels));
        }
    }
    found
}

/// That what `wish` says is what trying every set comes to. The sets that grant it.
fn compare(document: &SetupDocument, wished: &[String], by_h: Option<f64>) -> Vec<Vec<Change>> {
    let setup = document.clone().check().expect("it is valid");
    let (first, rest) = wished.split_first().expect("somebody is wished for");
    let mut wanted = rest.iter().fold(Wish::device(first), Wish::and);
    if let Some(by_h) = by_h {
        wanted = wanted.by_h(by_h);
    }
    let mut options = SolveOptions::default();
    options.budget = 20 * SolveOptions::DEFAULT_BUDGET;
    let told = wish_with(&setup, &wanted, &options).expect("an answer");
    let what = || {
        format!(
            "{wished:?} by {by_h:?}\n{}",
            serde_json::to_string(document).expect("JSON")
        )
    };
    assert_eq!(told.undecided, 0, "{}", what());
    let asked = Asked::of(document, wished, by_h);
    if told.had {
        assert!(told.granted[0].changes.is_empty(), "{}", what());
        let has = |name: &String| {
            asked.now.get(name).is_none_or(|has| match by_h {
                Some(by_h) => has.0.is_some_and(|time| time <= micro(by_h)),
                None => true,
            })
        };
        assert!(wished.iter().all(has), "{}", what());
        return Vec::new();
    }
    let expected = least_sets(document, &asked);
    let found: Vec<Labels> = told
        .granted
        .iter()
        .map(|of| labels(&of.changes, &asked))
        .collect();
    for (granted, labels) in told.granted.iter().zip(&found) {
        let same = expected.iter().find(|(_, of)| of == labels);
        let Some((same, _)) = same else {
            panic!(
                "{:?} is no least set of {expected:#?}\n{}",
                granted.changes,
                what()
            );
        };
        for change in &granted.changes {
            if ends(change).is_some() {
                assert!(same.contains(change), "{change:?} or {same:?}\n{}", what());
            }
        }
    }
    let costs: Vec<[usize; 3]> = told.granted.iter().map(|of| cost(&of.changes)).collect();
    assert!(costs.is_sorted(), "{costs:?}\n{}", what());
    let last = costs.last().filter(|_| costs.len() == 5);
    for (set, labels) in &expected {
        let may_be_left = last.is_some_and(|last| cost(set) >= *last);
        assert!(may_be_left || found.contains(labels), "{set:?}\n{}", what());
    }
    if told.granted.is_empty() && !asked.leaves_room(&[]) {
        let because = told.because.as_ref().expect("there is a reason");
        assert_eq!(
            (because.about, because.least),
            (Shortfall::Wish, true),
            "{}",
            what()
        );
    }
    told.granted.into_iter().map(|of| of.changes).collect()
}

/// A small setup with an aim, and a time at which it begins, or none.
fn prepared(seed: u64) -> Option<SetupDocument> {
    let mut document: Value = serde_json::from_str(&small_setup(seed)).expect("JSON");
    document["aim"] = json!(["promise", "best"][usize::try_from(seed % 2).expect("0 or 1")]);
    if !seed.is_multiple_of(3) {
        document["start"] = json!("22:00");
    }
    let setup = Setup::from_json(&document.to_string()).expect("a valid setup");
    let small = (2..=3).contains(&setup.device_names().count());
    small.then(|| setup.document().clone())
}

#[test]
fn every_least_set_is_found_and_none_else() {
    let (mut sizes, mut kinds) = ([0; 4], BTreeSet::new());
    for seed in 0..70 {
        let Some(document) = prepared(seed) else {
            continue;
        };
        let setup = document.clone().check().expect("it is valid");
        let plan = assign(&setup).expect("there is a plan");
        let names: Vec<String> = setup.device_names().map(str::to_owned).collect();
        let has = |name: &String| {
            let own = plan.berths.iter().find(|berth| berth.device == *name);
            own.map_or(1.0, |berth| berth.promised_h.unwrap_or(berth.hours))
        };
        let [first, last] = [0, names.len() - 1].map(|at| vec![names[at].clone()]);
        let of = |hours: f64, part: f64| Some((hours * part * 1e6).round() / 1e6);
        for (wished, by_h) in [
            (&names, None),
            (&first, of(has(&first[0]), 0.8)),
            (&last, of(has(&last[0]), 0.95)),
            (&names, of(plan.longest_h, 0.9)),
        ] {
            for set in compare(&document, wished, by_h) {
                sizes[set.len()] += 1;
                let named = set.iter().map(|of| serde_json::to_value(of).expect("JSON"));
                kinds.extend(named.map(|of| of["change"].to_string()));
            }
        }
    }
    assert!(sizes.iter().all(|n| *n > 3), "{sizes:?} {kinds:?}");
    assert_eq!(kinds.len(), 10, "{kinds:?}");
}

fn fixture(name: &str) -> Setup {
    let path = format!("{}/fixtures/{name}", env!("CARGO_MANIFEST_DIR"));
    let text = std::fs::read_to_string(path).expect("the fixture is there");
    Setup::from_text(&text).expect("it is valid")
}

fn of(setup: &Setup, text: &str) -> Wishes {
    let wanted = Wish::parse(text, setup).expect("it is understood");
    wish(setup, &wanted).expect("an answer")
}

/// One port and one cable for two power banks: neither of both helps alone.
#[test]
fn two_changes_may_be_needed_at_once() {
    let setup = fixture("night-bus.txt");
    let found = of(&setup, "everybody served");
    let kinds = |set: &[Change]| -> Vec<&'static str> {
        let kind = |change: &Change| match change {
            Change::PortAdded { .. } => "port",
            Change::CableAdded { .. } => "cable",
            _ => "other",
        };
        set.iter().map(kind).collect()
    };
    let first = found.granted.first().expect("it can be had");
    assert_eq!(kinds(&first.changes), ["cable", "port"]);
    assert!(found.because.is_none() && !found.had);
    for change in &first.changes {
        let alone = change.applied(setup.document()).expect("it can be made");
        let plan = assign(&alone.check().expect("it is valid")).expect("there is a plan");
        assert_eq!(plan.unserved, 1, "{change:?}");
    }
}

//! `rank` against `assign` and against a comparison of every two kits, on the forty
//! candidates of the fixtures and the quartet's bag.

#[path = "../common/random_setup.rs"]
#[allow(
    dead_code,
    reason = "shared with other suites and the benches, which use other parts of it"
)]
mod random_setup;
#[path = "../common/shelf.rs"]
mod shelf;

mod asked;
mod bound;

use serde_json::{Value, json};
use wattberth::{
    Bag, Candidate, Error, RankOptions, Ranking, Setup, Source, Status, assign, rank_with,
};

const BAG: &str = include_str!("../../fixtures/quartet-bag.json");
const CANDIDATES: &str = include_str!("../../fixtures/candidates.ndjson");

fn candidates() -> Vec<Candidate> {
    read(CANDIDATES)
}

fn read(text: &str) -> Vec<Candidate> {
    let file = "candidates.ndjson";
    Candidate::from_source(Source { file, text }).expect("every line is a candidate")
}

fn ranked(candidates: &[Candidate], up_to: usize, threads: usize) -> Ranking {
    let bag = Bag::from_json(BAG).expect("it is valid");
    let mut options = RankOptions::default();
    options.up_to = up_to;
    options.threads = Some(threads);
    rank_with(&bag, candidates, &options, |_| ()).expect("they can be ranked")
}

/// The candidates as JSON, by name.
fn by_name(name: &str) -> Value {
    CANDIDATES
        .lines()
        .map(|line| serde_json::from_str::<Value>(line).expect("it is JSON"))
        .find(|candidate| candidate["name"] == name)
        .expect("it is one of the forty")
}

/// The chargers of a candidate, and what they weigh and cost, from its JSON.
fn chargers(candidate: &Value) -> Vec<Value> {
    match &candidate["chargers"] {
        Value::Array(several) => several.clone(),
        _ => vec![candidate.clone()],
    }
}

#[test]
fn every_kit_has_the_numbers_of_its_own_plan() {
    let ranking = ranked(&candidates(), 2, 2);
    assert_eq!((ranking.kits, ranking.ranked.len()), (820, 820));
    for row in ranking.ranked.iter().step_by(7) {
        let members: Vec<Value> = row.candidate.iter().map(|name| by_name(name)).collect();
        let all: Vec<Value> = members.iter().flat_map(chargers).collect();
        let mut document: Value = serde_json::from_str(BAG).expect("it is JSON");
        document["chargers"] = json!(all);
        let setup = Setup::from_json(&document.to_string()).expect("it is valid");
        let plan = assign(&setup).expect("it has a plan");
        assert_eq!(row.unserved, plan.unserved, "{:?}", row.candidate);
        assert_eq!(
            row.unserved_by_priority.iter().sum::<usize>(),
            plan.unserved
        );
        assert_eq!(row.late, plan.promised_late);
        let promised_h = plan.promised_longest_h.unwrap_or(f64::INFINITY);
        assert_eq!(row.longest_h, promised_h);
        // A kit has less to spend than a plan alone.
        let known = row.status == Status::Optimal;
        assert!(
            !known || plan.status == Status::Optimal,
            "{:?}",
            row.candidate
        );
        let sum = |of: &[Value], field: &str| -> Option<f64> {
            of.iter().map(|thing| thing[field].as_f64()).sum()
        };
        assert_eq!(row.weight_g, sum(&all, "weight_g"));
        // A set has its own price, whatever its chargers cost alone.
        assert_eq!(row.price, sum(&members, "price"));
    }
}

/// The five merits of a row, the unknown as infinite.
fn merits(row: &Value) -> [f64; 7] {
    let number = |value: &Value| value.as_f64().unwrap_or(f64::INFINITY);
    let by = &row["unserved_by_priority"];
    [
        number(&by[0]),
        number(&by[1]),
        number(&by[2]),
        number(&row["late"]),
        number(&row["longest_h"]),
        number(&row["weight_g"]),
        number(&row["price"]),
    ]
}

/// Whether `a` beats `b`: the document's words, one by one.
fn beats(a: &[f64; 7], b: &[f64; 7]) -> bool {
    let unserved = a[..3]
        .iter()
        .zip(&b[..3])
        .find(|(a, b)| a != b)
        .map_or(0.0, |(a, b)| a - b);
    let rest = (3..7).map(|i| if a[i] == b[i] { 0.0 } else { a[i] - b[i] });
    let differences: Vec<f64> = std::iter::once(unserved).chain(rest).collect();
    differences.iter().all(|d| *d <= 0.0) && differences.iter().any(|d| *d < 0.0)
}

#[test]
fn nothing_beats_the_unbeaten_and_something_beats_the_rest() {
    for (up_to, some) in [(1, 10), (2, 20)] {
        let ranking = ranked(&candidates(), up_to, 2);
        let json: Value = serde_json::from_str(&ranking.to_json()).expect("it is JSON");
        let rows = json["ranked"].as_array().expect("a list");
        let all: Vec<[f64; 7]> = rows.iter().map(merits).collect();
        let mut marked = 0;
        for (row, own) in rows.iter().zip(&all) {
            let beaten = all.iter().any(|other| beats(other, own));
            assert_eq!(row["unbeaten"], !beaten, "{}", row["candidate"]);
            marked += usize::from(!beaten);
        }
        assert!((some..rows.len()).contains(&marked), "{marked} are marked");
        assert!(all.is_sorted_by(|a, b| a <= b), "the best first");
    }
}

#[test]
fn threads_change_no_byte() {
    let candidates = candidates();
    let one = ranked(&candidates[..12], 2, 1).to_json();
    for threads in [2, 8] {
        assert_eq!(ranked(&candidates[..12], 2, threads).to_json(), one);
    }
}

#[test]
fn equals_stay_as_listed_and_share_their_mark() {
    let line = by_name("green room").to_string();
    let twice = format!("{line}\n{}\n", line.replace("green room", "blue room"));
    let ranking = ranked(&read(&twice), 2, 1);
    let names: Vec<&[String]> = ranking
        .ranked
        .iter()
        .map(|row| &row.candidate[..])
        .collect();
    assert_eq!(names[1..], [["green room"], ["blue room"]]);
    assert!(ranking.ranked.iter().all(|row| row.unbeaten));
}

#[test]
fn chargers_of_one_name_are_used_together() {
    let line = by_name("grace note").to_string();
    let both = ranked(&read(&format!("{line}\n{line}\n")), 2, 1);
    let single = &both.ranked[1];
    assert_eq!(both.ranked[0].candidate, ["grace note", "grace note"]);
    assert_eq!(both.ranked[0].unserved + 1, single.unserved);
}

#[test]
fn a_stopped_ranking_says_so() {
    let bag = Bag::from_json(BAG).expect("it is valid");
    let mut options = RankOptions::default();
    options.search.budget = 1;
    let short = rank_with(&bag, &candidates(), &options, |_| ()).expect("a plan is never missing");
    let unproven = |row: &&wattberth::Ranked| row.status == Status::Feasible;
    assert!(short.ranked.iter().filter(unproven).count() > 10);

    let flag = std::sync::Arc::new(std::sync::atomic::AtomicBool::new(false));
    options = RankOptions::default();
    options.threads = Some(1);
    options.search.interrupt = Some(flag.clone());
    let stop = |progress: wattberth::RankProgress| {
        if progress.planned == 5 {
            flag.store(true, std::sync::atomic::Ordering::SeqCst);
        }
    };
    let stopped = rank_with(&bag, &candidates(), &options, stop).expect("some are planned");
    assert_eq!(
        (stopped.ranked.len(), stopped.not_planned, stopped.kits),
        (5, 35, 40)
    );
}

#[test]
fn what_cannot_be_ranked_is_refused_in_words() {
    let pinned = BAG.replace(r#""name": "laptop","#, r#""name": "laptop", "port": "C2","#);
    let bag = Bag::from_json(&pinned).expect("a pin is no fault before there are chargers");
    let options = RankOptions::default();
    let candidates = candidates();
    let has_c2 = |candidate: &&Candidate| {
        let mut ports = candidate.chargers.iter().flat_map(|charger| &charger.ports);
        ports.any(|port| port.name == "C2")
    };
    let (with, without): (Vec<&Candidate>, Vec<&Candidate>) = candidates.iter().partition(has_c2);
    let ranking = rank_with(&bag, &candidates, &options, |_| ()).expect("some have a port C2");
    assert_eq!(ranking.ranked.len(), with.len());
    assert_eq!((ranking.left_out, ranking.not_planned), (without.len(), 0));
    let mute = &ranking.left_out_kits[0];
    assert_eq!(mute.candidate, ["mute"]);
    assert!(
        mute.reason.contains("no port is called \"C2\""),
        "{}",
        mute.reason
    );

    // Where nothing is left to rank, that is a fault.
    let without: Vec<Candidate> = without.into_iter().cloned().collect();
    let Err(Error::Input(faults)) = rank_with(&bag, &without, &options, |_| ()) else {
        panic!("none of them has a port C2")
    };
    assert_eq!(faults.len(), without.len());
    assert!(
        faults[0]
            .message
            .contains("with \"mute\": no port is called \"C2\""),
        "{}",
        faults[0]
    );
    assert_eq!(faults[0].path, "devices[3].port");

    let plain = Bag::from_json(BAG).expect("it is valid");
    let mut broken = candidates[..2].to_vec();
    broken[1].price = Some(-1.0);
    broken[1].chargers[0].weight_g = Some(f64::NAN);
    let Err(Error::Input(faults)) = rank_with(&plain, &broken, &options, |_| ()) else {
        panic!("two numbers are wrong")
    };
    let paths: Vec<&str> = faults.iter().map(|fault| fault.path.as_str()).collect();
    assert_eq!(
        paths,
        ["candidates[1].chargers[0].weight_g", "candidates[1].price"]
    );

    for (list, up_to) in [
        (&candidates[..0], 1),
        (&candidates[..], 0),
        (&candidates[..], 39),
    ] {
        let mut options = RankOptions::default();
        options.up_to = up_to;
        let refused = rank_with(&plain, list, &options, |_| ());
        assert!(
            matches!(refused, Err(Error::Options { .. })),
            "{} {up_to}",
            list.len()
        );
    }
}

#[test]
fn a_port_with_its_own_lead_charges_as_in_a_plan() {
    let text = r#"{"devices": [{"name": "phone", "pd_w": 18, "battery_wh": 15}]}"#;
    let bag = Bag::from_json(text).expect("it is valid");
    let lamp = r#"{"name": "lamp", "ports": [{"name": "C1", "pd_w": 30, "lead": {}}]}"#;
    let options = RankOptions::default();
    let ranking = rank_with(&bag, &read(lamp), &options, |_| ()).expect("it can be ranked");
    let setup = text.replacen('{', &format!(r#"{{"chargers": [{lamp}], "#), 1);
    let plan = assign(&Setup::from_json(&setup).expect("it is valid")).expect("it has a plan");
    assert_eq!(plan.unserved, 0);
    let row = &ranking.ranked[0];
    assert_eq!(
        (row.unserved, Some(row.longest_h)),
        (0, plan.promised_longest_h)
    );
}

//! What holds of the limits of a call, whatever it is that is asked: all that is worked
//! out within it draws on the same steps, and what was not looked at is said.

#[path = "limits/ended.rs"]
mod ended;
#[path = "common/random_setup.rs"]
#[allow(dead_code, reason = "shared with the oracle, the laws and the benches")]
mod random_setup;

use std::sync::atomic::AtomicBool;
use std::sync::{Arc, Mutex};

use serde_json::json;
use wattberth::{
    Bag, Cable, Candidate, Charger, Device, Error, OnProgress, Plan, Port, Progress, RankOptions,
    Ranking, Settling, Setup, SetupDocument, SolveOptions, Source, Status, Wish, assign,
    assign_with, improve_with, rank_with, size, size_with, trip_with, wish_with,
};

const BAG: &str = include_str!("../fixtures/quartet-bag.json");
const QUARTET: &str = include_str!("../fixtures/quartet.json");
const CANDIDATES: &str = include_str!("../fixtures/candidates.ndjson");

fn steps(budget: u64) -> SolveOptions {
    let mut options = SolveOptions::default();
    options.budget = budget;
    options
}

fn interrupted() -> SolveOptions {
    let mut options = SolveOptions::default();
    options.interrupt = Some(Arc::new(AtomicBool::new(true)));
    options
}

fn ranking(budget: u64, threads: usize) -> Ranking {
    let bag = Bag::from_json(BAG).expect("it is valid");
    let source = Source {
        file: "candidates.ndjson",
        text: CANDIDATES,
    };
    let candidates = Candidate::from_source(source).expect("every line is a candidate");
    let mut options = RankOptions::default();
    options.search.budget = budget;
    options.up_to = 2;
    options.threads = Some(threads);
    rank_with(&bag, &candidates, &options, |_| ()).expect("a first part is always looked at")
}

#[test]
fn a_ranking_ends_where_its_budget_does_whatever_the_threads() {
    let whole = ranking(RankOptions::DEFAULT_BUDGET, 2);
    assert_eq!((whole.not_planned, whole.ranked.len()), (0, 820));
    let mut last = 0;
    for budget in [1, 20_000, 60_000] {
        let one = ranking(budget, 1);
        assert_eq!(one.ranked.len() + one.not_planned, one.kits);
        assert_eq!(one, ranking(budget, 3), "budget {budget}");
        assert!(one.ranked.len() >= last);
        last = one.ranked.len();
    }
    let one = ranking(1, 1);
    assert!(
        one.not_planned > 0,
        "nothing is left of one step after the first part"
    );
    assert!(one.ranked.iter().any(|kit| kit.status == Status::Feasible));
}

#[test]
fn a_size_under_limits_has_the_least_watts_and_says_what_is_open() {
    let bag = Bag::from_json(BAG).expect("it is valid");
    for by_h in [None, Some(2.5), Some(8.0)] {
        let whole = size(&bag, by_h).expect("an answer");
        assert_eq!(
            (whole.status, whole.frontier_complete),
            (Status::Optimal, true)
        );
        let early = size_with(&bag, by_h, &steps(1)).expect("an answer under any budget");
        assert_eq!(
            (early.status, early.frontier_complete),
            (Status::Feasible, false)
        );
        assert_eq!(
            (early.longest_h, early.total_w, early.ports.len()),
            (whole.longest_h, whole.total_w, whole.ports.len())
        );
        // Each pair that is listed is one of all.
        for pair in &early.frontier {
            assert!(whole.frontier.contains(pair), "{pair:?}");
        }
        assert!(
            early
                .cautions
                .iter()
                .any(|caution| caution.contains("a limit"))
        );
        let none = size_with(&bag, by_h, &interrupted());
        assert!(matches!(none, Err(Error::NoPlanInTime)), "{none:?}");
    }
}

#[test]
fn changes_that_were_not_looked_at_are_named() {
    let setup = Setup::from_json(QUARTET).expect("it is valid");
    let all = improve_with(&setup, &SolveOptions::default()).expect("an answer");
    assert_eq!((all.undecided, all.undecided_changes.len()), (0, 0));
    let none = improve_with(&setup, &interrupted()).expect("an answer");
    assert!(none.changes.is_empty());
    assert_eq!(none.undecided, none.undecided_changes.len());
    assert!(none.undecided > 10);
}

#[test]
fn sets_that_were_not_looked_at_are_counted() {
    let setup = Setup::from_json(QUARTET).expect("it is valid");
    let wanted = Wish::device("laptop").by_h(0.1);
    let all = wish_with(&setup, &wanted, &SolveOptions::default()).expect("an answer");
    assert_eq!((all.undecided, all.granted.len()), (0, 0));
    assert!(all.because.is_some());
    let none = wish_with(&setup, &wanted, &interrupted()).expect("an answer");
    assert!(none.granted.is_empty());
    assert!(none.undecided > 500, "{}", none.undecided);
    let after = |budget| {
        let few = wish_with(&setup, &wanted, &steps(budget)).expect("an answer");
        few.undecided
    };
    assert!(after(20_000) > after(100_000) && after(100_000) > 0);
}

/// Seven chargers into three outlets are many sets, too many for few steps.
#[test]
fn a_trip_says_which_sets_it_did_not_plan() {
    let chargers: Vec<_> = (1..=7)
        .map(|n| {
            let ports: Vec<_> = (1..=3)
                .map(|port| json!({"name": format!("C{port}"), "pd_w": 20 + 5 * port + n}))
                .collect();
            json!({"name": format!("cube {n}"), "plug": "C", "input_v": "100-240V~",
                   "input_hz": "50/60Hz", "ports": ports, "max_w": 60})
        })
        .collect();
    let devices: Vec<_> = (1..=9)
        .map(|n| json!({"name": format!("tablet {n}"), "pd_w": 30 + n, "battery_wh": 30 + n}))
        .collect();
    let text = json!({
        "session_h": 8, "chargers": chargers, "devices": devices,
        "cables": [{"name": "braided", "count": 9}],
        "trip": {"stops": [{"name": "Basel", "country": "CH", "nights": 2, "outlets": 3}]},
    });
    let setup = Setup::from_json(&text.to_string()).expect("it is valid");
    let early = trip_with(&setup, &steps(20)).expect("an answer");
    assert!(early.stops[0].sets_untried > 0);
    assert!(early.stops[0].plan.is_some());
    let again = trip_with(&setup, &steps(20)).expect("an answer");
    assert_eq!(early, again, "steps are the same everywhere");
}

/// What would take minutes to list is refused before it is begun; what fits is not.
#[test]
fn more_ways_than_one_plan_is_made_from_are_refused_at_once() {
    let hall = |ports: u32, cables: u32, devices: u32| {
        let mut charger = Charger::new("hall");
        for port in 0..ports {
            charger = charger.port(Port::pd(format!("C{port}"), 20.0 + f64::from(port) / 8.0));
        }
        let mut document = SetupDocument::new().charger(charger);
        for cable in 0..cables {
            let lead = Cable::c_to_c(format!("lead {cable}"));
            document = document.cable(lead.ohm(0.001 * f64::from(cable)));
        }
        for device in 0..devices {
            let tablet = Device::new(format!("tablet {device}"), 30.0 + f64::from(device));
            document = document.device(tablet.accepts("5V 3A, 9V 3A, 15V 3A, 20V 3A"));
        }
        document.check().expect("each size is within its limit")
    };
    let setup = hall(256, 256, 256);
    for refused in [setup.check_ways(), assign(&setup).map(|_| ())] {
        let refused = refused.expect_err("256 times 256 times 256 ways to plug in");
        let message = refused.to_string();
        assert!(
            message.contains("in 16777216 ways; at most 1000000"),
            "{message}"
        );
    }
    assert!(hall(8, 4, 8).check_ways().is_ok());
}

/// A crowded setup, with what is told while its plan is looked for.
fn told_of(setup: &Setup, budget: u64) -> (Plan, Vec<Progress>) {
    let told = Arc::new(Mutex::new(Vec::new()));
    let mut options = steps(budget);
    let to = Arc::clone(&told);
    options.progress = Some(OnProgress::new(move |progress: &Progress| {
        to.lock().expect("nobody panics").push(progress.clone());
    }));
    let plan = assign_with(setup, &options).expect("there is always a plan");
    let told = told.lock().expect("nobody panics").clone();
    (plan, told)
}

#[test]
fn who_is_told_how_far_it_is_gets_the_same_plan_and_what_is_true() {
    let setup = Setup::from_json(QUARTET).expect("it is valid");
    let best = assign(&setup).expect("there is always a plan");
    for budget in [1, 40, 300, 2_000, SolveOptions::DEFAULT_BUDGET] {
        let (plan, told) = told_of(&setup, budget);
        let alone = assign_with(&setup, &steps(budget)).expect("there is always a plan");
        assert_eq!(plan, alone, "budget {budget}");
        assert_eq!(told, told_of(&setup, budget).1, "budget {budget}");
        assert!(told.is_sorted_by_key(|progress| (progress.steps, progress.nodes)));
        for progress in &told {
            assert!(progress.bound <= progress.value, "{progress:?}");
            let of_best = match progress.settling {
                Settling::Unserved => f64::from(u32::try_from(best.unserved).expect("few")),
                Settling::Longest => best.promised_longest_h.unwrap_or(f64::INFINITY),
                _ => continue,
            };
            assert!(progress.bound <= of_best, "{progress:?}");
        }
    }
    let (plan, told) = told_of(&setup, SolveOptions::DEFAULT_BUDGET);
    let last = told.last().expect("a search was needed");
    assert_eq!(last.settling, Settling::Watts);
    assert_eq!(
        (Some(last.longest_h), last.late),
        (plan.promised_longest_h, plan.promised_late)
    );
    assert_eq!(
        (last.unserved, last.missing_wh),
        (plan.unserved, plan.missing_wh)
    );
    assert_eq!(last.bound, last.value);
}

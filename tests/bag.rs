//! A bag planned with chargers directly, against `assign` on the whole setup: the same bytes,
//! and no plan missed by what is to be bettered.

#[path = "common/random_setup.rs"]
#[allow(dead_code, reason = "shared with the oracle, the laws and the benches")]
mod random_setup;

use serde_json::{Value, json};
use wattberth::{
    Aim, Bag, Charger, Error, ObjectiveValue, Plan, Port, Setup, SetupDocument, SolveOptions,
    Status, assign_with,
};

use random_setup::measured::Measured;

const FIXTURES: [&str; 4] = [
    include_str!("../fixtures/quartet.json"),
    include_str!("../fixtures/desk.json"),
    include_str!("../fixtures/family.json"),
    include_str!("../fixtures/quartet-night.json"),
];

fn steps(budget: u64) -> SolveOptions {
    let mut options = SolveOptions::default();
    options.budget = budget;
    options
}

fn document(text: &str) -> SetupDocument {
    Setup::from_json(text)
        .expect("a valid setup")
        .document()
        .clone()
}

/// Random setups of every kind, pins, sessions, tables and open labels among them.
fn random_documents(count: u64) -> Vec<SetupDocument> {
    let small = (0..count).map(random_setup::small_setup);
    let crowded = (0..count / 4).map(random_setup::crowd::crowded_setup);
    let night = (0..count / 4).map(random_setup::night::night_setup);
    let open = (0..count / 4).map(random_setup::open::small_setup);
    let families = [Measured::Tables, Measured::Chargers, Measured::Deadlines];
    let measured = families.into_iter().map(|family| family.setup(3, 6));
    let all = small.chain(crowded).chain(night).chain(open);
    all.chain(measured).map(|text| document(&text)).collect()
}

fn bag(document: &SetupDocument) -> Bag {
    document.clone().check().expect("a valid setup").bag()
}

/// What `assign` says of the whole.
fn whole(document: &SetupDocument, chargers: &[Charger], options: &SolveOptions) -> Plan {
    let mut document = document.clone();
    document.chargers = chargers.to_vec();
    let setup = document.check().expect("a valid setup");
    assign_with(&setup, options).expect("there is always a plan")
}

#[test]
fn a_bag_is_planned_as_the_whole_setup_is() {
    let fixtures = FIXTURES.iter().map(|text| document(text));
    let (mut pinned, mut sessions, mut tables) = (0, 0, 0);
    for document in random_documents(400).into_iter().chain(fixtures) {
        pinned += u32::from(document.devices.iter().any(|of| of.port.is_some()));
        sessions += u32::from(!document.sessions.is_empty());
        let table = |of: &Charger| !of.combinations.is_empty();
        tables += u32::from(document.chargers.iter().any(table));
        for aim in [Aim::Best, Aim::Promise] {
            let document = document.clone().aim(aim);
            let bag = bag(&document);
            for budget in [1, 60, SolveOptions::DEFAULT_BUDGET] {
                let options = steps(budget);
                // Asked twice: what is known then changes nothing.
                let first = bag.plan(&document.chargers, &options).expect("a plan");
                let again = bag.plan(&document.chargers, &options).expect("a plan");
                let whole = whole(&document, &document.chargers, &options);
                assert_eq!(first.to_json(), whole.to_json(), "{}", json!(document));
                assert_eq!(first, again);
            }
        }
    }
    assert!(pinned > 50 && sessions > 50 && tables > 50, "each is tried");
}

/// The same devices on chargers of other setups.
fn chargers_for(all: &[SetupDocument], at: usize) -> Vec<Vec<Charger>> {
    let others = (0..6).map(|next| all[(at + 7 * next) % all.len()].chargers.clone());
    others.collect()
}

#[test]
fn only_what_is_better_is_planned_to_the_end() {
    let all = random_documents(160);
    let (mut better, mut not) = (0, 0);
    for (at, document) in all.iter().enumerate() {
        let aim = [Aim::Best, Aim::Promise][at % 2];
        let mut document = document.clone().aim(aim);
        if at % 3 == 0 {
            document = document.tolerance_h(0.0);
        }
        let bag = bag(&document);
        let options = SolveOptions::default();
        let planned: Vec<(Vec<Charger>, Plan, ObjectiveValue)> = chargers_for(&all, at)
            .into_iter()
            .filter_map(|chargers| {
                // A pin may be on none of them.
                let plan = bag.plan(&chargers, &options).ok()?;
                let value = bag.value_of(&plan);
                Some((chargers, plan, value))
            })
            .collect();
        for (_, _, best) in &planned {
            for (chargers, plan, value) in &planned {
                let found = bag.plan_better_than(chargers, best, &options);
                let found = found.expect("an answer");
                assert_eq!(plan.status, Status::Optimal, "else nothing is known");
                let expected = value.compare(best).is_lt().then_some(plan);
                assert_eq!(found.as_ref(), expected, "{}", json!(document));
                better += u32::from(found.is_some());
                not += u32::from(found.is_none());
                // However soon a limit strikes, none is missed, and what is given is the plan
                // that there is without.
                for budget in [1, 30] {
                    let early = bag.plan_better_than(chargers, best, &steps(budget));
                    match early.expect("an answer") {
                        None => assert_eq!(expected, None, "{}", json!(document)),
                        Some(early) => {
                            let plain = bag.plan(chargers, &steps(budget)).expect("a plan");
                            assert_eq!(early, plain);
                        }
                    }
                }
            }
        }
    }
    assert!(better > 500 && not > 500, "{better}, {not}");
}

#[test]
fn nothing_betters_what_is_best_or_better_than_all() {
    let document = document(FIXTURES[0]);
    let bag = bag(&document);
    let options = SolveOptions::default();
    let plan = bag.plan(&document.chargers, &options).expect("a plan");
    let own = bag.value_of(&plan);
    let asked = |best: &ObjectiveValue| {
        let found = bag.plan_better_than(&document.chargers, best, &options);
        found.expect("an answer")
    };
    assert_eq!(asked(&own), None);
    // More room, and every port the largest.
    let ports = (0..16).map(|n| Port::pd(format!("C{n}"), 240.0));
    let hub = ports.fold(Charger::new("hub"), Charger::port);
    let more = document.chargers.iter().cloned().chain([hub]);
    let large = bag.plan(&more.collect::<Vec<_>>(), &options);
    let large = large.expect("a plan");
    let best = bag.value_of(&large);
    assert!(best.compare(&own).is_lt());
    assert_eq!(asked(&best), None);
    let cube = Charger::new("cube").port(Port::pd("C1", 20.0));
    let small = bag.plan(&[cube], &options).expect("a plan");
    assert_eq!(asked(&bag.value_of(&small)), Some(plan));
}

#[test]
fn what_is_wrong_is_said_as_of_the_whole_setup() {
    let document = document(FIXTURES[0]);
    let bag = bag(&document);
    let port = |pd_w| Port::pd("C1", pd_w);
    let cube = |name: &str, pd_w| Charger::new(name).port(port(pd_w));
    for chargers in [
        Vec::new(),
        vec![cube("cube", 650.0)],
        vec![cube("cube", 65.0), cube("cube", 30.0)],
        vec![Charger::new("cube")],
        vec![cube("cube", 65.0).port(port(30.0))],
    ] {
        let found = bag.plan(&chargers, &SolveOptions::default());
        let whole = bag.with_chargers(chargers).expect_err("it has faults");
        let found = found.expect_err("it has faults");
        assert_eq!(found.to_string(), whole.to_string());
    }
    let none = bag.plan(&document.chargers, &steps(0));
    assert!(matches!(none, Err(Error::Options { .. })));
}

#[test]
fn a_pin_onto_a_lead_is_looked_up_on_every_charger() {
    let text = json!({
        "chargers": [{"name": "cube", "ports": [
            {"name": "C1", "pd_w": 65, "lead": {"length_m": 1.5}}, {"name": "C2", "pd_w": 30}]}],
        "cables": [{"name": "braided", "count": 2}],
        "devices": [
            {"name": "laptop", "pd_w": 65, "battery_wh": 56, "port": "C1", "cable": "lead"},
            {"name": "phone", "pd_w": 18, "battery_wh": 15}],
    });
    let setup = Setup::from_json(&text.to_string()).expect("a valid setup");
    let bag = setup.bag();
    let mut other: Value = text.clone();
    other["chargers"][0]["ports"][0] = json!({"name": "C2", "pd_w": 65});
    other["chargers"][0]["ports"][1] = json!({"name": "C1", "pd_w": 20, "lead": {"length_m": 1}});
    let with = |text: &Value| {
        let setup = Setup::from_json(&text.to_string()).expect("a valid setup");
        setup.document().chargers.clone()
    };
    for chargers in [with(&text), with(&other), with(&text)] {
        let found = bag.plan(&chargers, &SolveOptions::default());
        let whole = whole(setup.document(), &chargers, &SolveOptions::default());
        assert_eq!(found.expect("a plan").to_json(), whole.to_json());
    }
    let bare = [Charger::new("cube").port(Port::pd("C1", 65.0))];
    assert!(
        bag.plan(&bare, &SolveOptions::default()).is_err(),
        "no lead"
    );
}

#[test]
fn threads_that_share_a_bag_get_the_same_plans() {
    let document = document(FIXTURES[0]);
    let bag = bag(&document);
    let chargers = |n: u32| [Charger::new("cube").port(Port::pd("C1", 15.0 + f64::from(n % 40)))];
    let plans = || -> Vec<String> {
        let one = |n| {
            bag.plan(&chargers(n), &SolveOptions::default())
                .expect("a plan")
        };
        (0..200).map(|n| one(n).to_json()).collect()
    };
    let alone = plans();
    std::thread::scope(|scope| {
        let both = [scope.spawn(plans), scope.spawn(plans)];
        for other in both {
            assert_eq!(other.join().expect("no panic"), alone);
        }
    });
}

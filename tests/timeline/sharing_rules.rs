//! The rules by which chargers share: a charger worked by hand; against the oracle's own
//! simulators and times; and never less, or later, than is promised.

use std::collections::BTreeSet;

use serde_json::{Value, json};
use wattberth::{
    Grants, Plan, PlugAdvice, PlugPlace, RuleNight, RuleNights, RuleOutcome, Setup, SharingRule,
    SharingRules, TimelineOptions, assign, sharing_rules, sharing_rules_with,
};

use super::stepped::rate;
use super::{Seated, cases_or};
use crate::model::contract::{Contract, negotiate};
use crate::model::offers::offers_at;
use crate::model::options::Choice;
use crate::model::promise::{self, Promises};
use crate::model::rounding::micro;
use crate::model::setup::Device;
use crate::model::time;
use crate::random_setup::open;
use crate::sharing::{Group, groups};

/// Four ports of 65 W on 67.5 W together; everything takes whatever it gets, without losses.
fn four() -> Value {
    let device = |name: &str, accepts: &str, wh: f64| {
        json!({"name": name, "accepts": accepts, "battery_wh": wh, "efficiency": 1,
               "draw_w": [[0, 45]]})
    };
    let mut laptop = device("laptop", "20V 2.25A", 74.0);
    laptop["running_w"] = json!(8);
    let mut tablets = device("tablet", "15V 2A", 30.0);
    tablets["count"] = json!(2);
    let ports: Vec<Value> = (1..=4)
        .map(|n| json!({"name": format!("C{n}"), "pd_w": 65}))
        .collect();
    json!({
        "aim": "best",
        "chargers": [{"name": "cube", "max_w": 67.5, "ports": ports}],
        "cables": [{"name": "bare", "ohm": 0, "count": 9}],
        "devices": [laptop, tablets, device("phone", "9V 2A", 12.0)],
    })
}

fn planned(setup: &Value) -> (Setup, Plan) {
    let setup = Setup::from_json(&setup.to_string()).expect("it is a setup");
    let plan = assign(&setup).expect("it is planned");
    (setup, plan)
}

fn told(setup: &Value) -> SharingRules {
    let (setup, plan) = planned(setup);
    sharing_rules(&setup, &plan).expect("its own plan")
}

fn of(told: &SharingRules, rule: SharingRule) -> &RuleOutcome {
    let found = told.rules.iter().find(|of| of.rule == rule);
    found.expect("the rule was looked at")
}

fn worst(nights: &RuleNights) -> &RuleNight {
    nights.worst.as_ref().expect("something is left open")
}

fn granted(night: &RuleNight) -> Vec<f64> {
    night.berths.iter().map(|berth| berth.granted_w).collect()
}

#[track_caller]
fn takes(night: &RuleNight, hours: f64) {
    let longest_h = night.longest_h.expect("it ends");
    assert!(
        (longest_h - hours).abs() < 1e-6,
        "{longest_h} h, not {hours} h"
    );
}

#[test]
fn a_charger_of_four_by_hand() {
    let told = told(&four());
    takes(&of(&told, SharingRule::FirstCome).held.best, 4.0);
    assert_eq!(told.promised_h, None);
    // At best 30 W for the laptop, which runs on 8 W, and 15, 15 and 7.5 W.
    assert!((told.planned_h - 74.0 / 22.0).abs() < 1e-6);

    // 16.875 W each, so 15 W: 7 W for the laptop's battery.
    let fair = of(&told, SharingRule::FairShare);
    assert_eq!(granted(&fair.held.best), [16.875; 4]);
    takes(&fair.held.best, 74.0 / 7.0);
    assert_eq!(
        (&fair.held.worst, fair.tried, fair.tried_all),
        (&None, 1, true)
    );

    // The laptop first: 45 W, and the others' 7.5 W each, of which a tablet needs 4 h. With
    // both tablets first it has 7.5 W, less than it runs on.
    for rule in [SharingRule::FirstCome, SharingRule::LastCome] {
        let outcome = of(&told, rule);
        assert_eq!((outcome.tried, outcome.tried_all), (24, true));
        assert_eq!(granted(&outcome.held.best), [45.0, 7.5, 7.5, 7.5]);
        takes(&outcome.held.best, 4.0);
        assert_eq!(worst(&outcome.held).longest_h, None);
        assert_eq!(worst(&outcome.held).berths[0].granted_w, 7.5);
        // Handed on: the phone is full after 1.6 h and one tablet has its 7.5 W; the laptop
        // after 2 h, and keeps 8 W; of 59.5 W one tablet takes 30 and is full after 2.4 h,
        // the other 27 W, 10.8 Wh, and then 30.
        takes(&outcome.handed_on.best, 2.4 + (15.0 - 10.8) / 30.0);
        // At worst the tablets first, then the phone: 1 h, a quarter and a twelfth go by
        // with 0, 10 and 22 W for the laptop's battery, which then has 37.
        let done = 10.0 * 0.25 + 22.0 / 12.0;
        takes(worst(&outcome.handed_on), 4.0 / 3.0 + (74.0 - done) / 37.0);
    }
    let order = &of(&told, SharingRule::LastCome).held.best.orders[0];
    assert_eq!(
        (order.charger.as_str(), order.devices[3].as_str()),
        ("cube", "laptop")
    );

    // The laptop goes first, or a tablet: then 12.5 W are left for it.
    let port = of(&told, SharingRule::OnePortFirst);
    assert_eq!(port.tried, 4);
    assert_eq!(granted(&port.held.best), [45.0, 7.5, 7.5, 7.5]);
    assert_eq!(granted(worst(&port.held)), [12.5, 30.0, 12.5, 12.5]);

    let demand = of(&told, SharingRule::ByDemand);
    assert_eq!(granted(&demand.held.best), [45.0, 7.5, 7.5, 7.5]);
    assert_eq!(granted(worst(&demand.held)), [7.5, 30.0, 12.0, 18.0]);

    // 37.5 W by what the batteries hold, 74, 30, 30 and 12 of 146 Wh.
    let battery = of(&told, SharingRule::ByBattery);
    let shares = [74.0, 30.0, 30.0, 12.0].map(|wh| 7.5 + 37.5 * wh / 146.0);
    for (granted, share) in granted(&battery.held.best).iter().zip(shares) {
        assert!((granted - share).abs() < 1e-6);
    }
    takes(&battery.held.best, 74.0 / 12.0);

    let advice = |place: PlugPlace| -> &PlugAdvice {
        let found = told.advice.iter().find(|advice| advice.place == place);
        found.expect("it is worth something")
    };
    for place in [PlugPlace::First, PlugPlace::Last, PlugPlace::FirstPort] {
        let advice = advice(place);
        assert_eq!(
            (advice.device.as_str(), advice.grants),
            ("laptop", Grants::Held)
        );
        assert_eq!(
            (advice.best_h, advice.then_h, advice.worst_h),
            (Some(4.0), Some(4.0), None)
        );
        assert!(advice.is_enough);
    }
    assert_eq!(told.advice.len(), 3);
}

#[test]
fn a_half_full_battery_counts_for_less() {
    let mut setup = four();
    setup["devices"][0]["start_pct"] = json!(80);
    setup["devices"][1]["start_pct"] = json!(60);
    setup["devices"][2]["start_pct"] = json!(90);
    let told = told(&setup);
    let weights = [37.0, 30.0, 30.0, 3.0];
    let granted = granted(&of(&told, SharingRule::ByBattery).held.best);
    for (granted, weight) in granted.iter().zip(weights) {
        assert!((granted - (7.5 + 37.5 * weight / 100.0)).abs() < 1e-6);
    }
}

#[test]
fn a_charger_that_reserves_its_offers_hands_nothing_on() {
    let mut setup = four();
    setup["chargers"][0]["reserve"] = json!("offer");
    for outcome in told(&setup).rules {
        assert_eq!(
            outcome.held.best.longest_h,
            outcome.handed_on.best.longest_h
        );
    }
}

#[test]
fn where_all_ports_have_their_watts_no_rule_matters() {
    let mut setup = four();
    setup["chargers"][0]["max_w"] = json!(260);
    let told = told(&setup);
    assert_eq!(told.rules[0].rule, SharingRule::Assured);
    assert_eq!(told.rules.len(), 7);
    for outcome in &told.rules {
        takes(&outcome.held.best, 2.0);
        let worst = outcome.held.worst.as_ref().unwrap_or(&outcome.held.best);
        takes(worst, 2.0);
        assert!(outcome.held.best.orders.is_empty());
    }
    assert!(told.advice.is_empty());
}

#[test]
fn of_seven_devices_a_selection_of_orders_is_tried_and_said_so() {
    let mut setup = four();
    setup["devices"][1]["count"] = json!(5);
    let more: Vec<Value> = (1..=7)
        .map(|n| json!({"name": format!("C{n}"), "pd_w": 65}))
        .collect();
    setup["chargers"][0]["ports"] = json!(more);
    let told = told(&setup);
    let outcome = of(&told, SharingRule::FirstCome);
    assert!(!outcome.tried_all && (14..=18).contains(&outcome.tried));
    assert!(told.advice.iter().any(|advice| !advice.tried_all));
    assert!(of(&told, SharingRule::OnePortFirst).tried_all);
}

#[test]
fn a_limit_that_strikes_is_told() {
    let (setup, plan) = planned(&four());
    let mut options = TimelineOptions::default();
    options.search.budget = 1;
    let told = sharing_rules_with(&setup, &plan, &options).expect("its own plan");
    assert!(told.rules.is_empty() && told.undecided.len() == 6);
    options.search.budget = 1_000;
    let part = sharing_rules_with(&setup, &plan, &options).expect("its own plan");
    assert!(part.undecided.is_empty());
    let first = of(&part, SharingRule::FirstCome);
    assert!(!first.tried_all && (1..24).contains(&first.tried));
    options.search = TimelineOptions::default().search;
    options.search.interrupt = Some(std::sync::Arc::new(true.into()));
    let told = sharing_rules_with(&setup, &plan, &options).expect("its own plan");
    assert_eq!(told.undecided.len(), 6);
}

/// A berth of the oracle's model, with what is promised there.
struct Place<'a> {
    seated: &'a Seated,
    device: usize,
    choice: &'a Choice,
}

impl Place<'_> {
    /// The contract at best with so much granted.
    fn contract(&self, granted: i64, floor_w: f64, demand: i64) -> Option<Contract> {
        let setup = &self.seated.setup;
        let port = &setup.chargers[self.choice.charger].ports[self.choice.port];
        let mut tiers = port.tiers_w.iter().copied();
        let tier_w = tiers.rfind(|&tier_w| micro(tier_w) <= granted);
        let held_w = if granted >= demand {
            port.cap_w
        } else {
            tier_w.unwrap_or(0.0).max(floor_w)
        };
        let cable = &setup.cables[self.choice.cable];
        let offers = offers_at(port, held_w);
        let contract = (held_w > 0.0).then(|| negotiate(&offers, held_w, cable, self.device()));
        contract.flatten()
    }

    /// The time at best with so much granted, in whole 1e-6 h.
    fn time(&self, granted: i64, floor_w: f64, demand: i64) -> Option<i64> {
        let contract = self.contract(granted, floor_w, demand)?;
        time::hours(self.device(), contract.inlet_w).map(micro)
    }

    fn device(&self) -> &Device {
        &self.seated.setup.devices[self.device]
    }
}

fn nights(outcome: &RuleOutcome) -> Vec<&RuleNight> {
    let both = [&outcome.held, &outcome.handed_on];
    let nights = both.map(|nights| [Some(&nights.best), nights.worst.as_ref()]);
    nights.into_iter().flatten().flatten().collect()
}

/// What the oracle's simulators give under a rule, for rules of which it is sure.
fn simulated(group: &Group, rule: SharingRule, order: &[usize]) -> Option<Vec<f64>> {
    let even = vec![1.0; group.asks.len()];
    let reversed: Vec<usize> = order.iter().rev().copied().collect();
    match rule {
        SharingRule::Assured => Some(group.asks.clone()),
        SharingRule::FairShare => Some(group.rising(group.kept(), &even)),
        SharingRule::FirstCome | SharingRule::ByDemand => {
            Some(group.one_after_the_other(group.kept(), order))
        }
        SharingRule::LastCome => Some(group.one_after_the_other(group.kept(), &reversed)),
        SharingRule::OnePortFirst => {
            let first = group.one_after_the_other(group.kept(), order.get(..1)?);
            Some(group.rising(first, &even))
        }
        _ => None,
    }
}

#[test]
#[expect(clippy::too_many_lines, reason = "one plan, looked at from all sides")]
fn no_rule_gives_less_or_takes_longer_than_is_promised() {
    let (mut looked_at, mut equal, mut never, mut orders, mut timed) = (0, 0, 0, 0, 0);
    let mut advised = BTreeSet::new();
    let cases = cases_or(400);
    for seed in 0..cases {
        let json = match seed % 4 {
            0 => open::crowded_setup(seed),
            _ => open::small_setup(seed),
        };
        let seated = Seated::of(&json, &TimelineOptions::default());
        let setup = Setup::from_json(&json).expect("it is a setup");
        let told = sharing_rules(&setup, &seated.plan).expect("its own plan");
        assert!(told.undecided.is_empty());
        advised.extend(
            told.advice
                .iter()
                .map(|advice| format!("{:?}", advice.place)),
        );
        let promises = Promises::new(&seated.setup);
        let berths: Vec<promise::Berth<'_>> = seated
            .berths
            .iter()
            .map(|berth| (berth.device, &berth.ladder[0]))
            .collect();
        for outcome in &told.rules {
            for (nth, night) in nights(outcome).into_iter().enumerate() {
                assert_eq!(night.berths.len(), berths.len());
                for (told, berth) in night.berths.iter().zip(&berths) {
                    let what = format!("seed {seed}, {:?}, {}\n{json}", outcome.rule, told.device);
                    let grant = promises.grant(*berth, &berths);
                    let demand = promises.demand(*berth);
                    let granted = micro(told.granted_w);
                    assert!(granted >= grant.watts.min(demand) - 1, "{what}");
                    let promised = seated.plan.berths.iter();
                    let promised = promised.clone().find(|berth| berth.device == told.device);
                    let promised_h = promised.expect("it has a port").promised_h;
                    if let Some(promised_h) = promised_h {
                        let full_h = told.full_h.unwrap_or(f64::INFINITY);
                        assert!(full_h <= promised_h + 2e-6, "{full_h} {promised_h} {what}");
                    }
                    never += usize::from(told.full_h.is_none());
                    looked_at += 1;
                    // Held grants come first in the list.
                    let held = nth < 1 + usize::from(outcome.held.worst.is_some());
                    if held {
                        let place = Place {
                            seated: &seated,
                            device: berth.0,
                            choice: berth.1,
                        };
                        let expected = place.time(granted, grant.floor_w, demand);
                        match (expected, told.full_h.map(micro)) {
                            (None, None) => {}
                            (Some(a), Some(b)) if (a - b).abs() <= 1 => {}
                            other => panic!("{other:?} {what}"),
                        }
                        timed += 1;
                    }
                }
                // As the simulators divide, where one line governs at most and the order is told.
                for (c, charger) in seated.setup.chargers.iter().enumerate() {
                    let here: Vec<promise::Berth<'_>> = berths
                        .iter()
                        .filter(|berth| berth.1.charger == c)
                        .copied()
                        .collect();
                    if here.is_empty() {
                        continue;
                    }
                    // Whether a floor is kept for a plug of another kind is open.
                    let mut ports = here.iter().map(|berth| &charger.ports[berth.1.port]);
                    let floors = !ports.any(|port| port.connector.starts_with("other:"));
                    let [group] = &groups(&promises, charger, &here)[..] else {
                        continue;
                    };
                    if !floors {
                        continue;
                    }
                    let name = |d: usize| seated.setup.devices[d].name.as_str();
                    let order = night
                        .orders
                        .iter()
                        .find(|order| order.charger == charger.name);
                    let order: Vec<usize> = match order {
                        Some(order) => order
                            .devices
                            .iter()
                            .map(|device| {
                                let at = here.iter().position(|berth| name(berth.0) == device);
                                at.expect("it is on this charger")
                            })
                            .collect(),
                        None if outcome.depends_on.is_none() => (0..here.len()).collect(),
                        None => continue,
                    };
                    let Some(given) = simulated(group, outcome.rule, &order) else {
                        continue;
                    };
                    for (berth, given) in here.iter().zip(given) {
                        let told = night
                            .berths
                            .iter()
                            .find(|told| told.device == name(berth.0));
                        let granted_w = told.expect("every berth is told").granted_w;
                        assert!(
                            (granted_w - given).abs() < 2e-6,
                            "seed {seed}, {:?}: {granted_w} W, {given} W\n{json}",
                            outcome.rule
                        );
                        equal += 1;
                    }
                    orders += usize::from(outcome.depends_on.is_some());
                }
            }
            // The best is the best.
            for nights in [&outcome.held, &outcome.handed_on] {
                let longest = |night: &RuleNight| night.longest_h.unwrap_or(f64::INFINITY);
                let worst = nights.worst.as_ref().unwrap_or(&nights.best);
                assert!(longest(&nights.best) <= longest(worst));
            }
        }
        for advice in &told.advice {
            let hours = |hours: Option<f64>| hours.unwrap_or(f64::INFINITY);
            assert!(hours(advice.best_h) < hours(advice.worst_h));
            assert!(hours(advice.then_h) <= hours(advice.worst_h));
            assert!(hours(advice.best_h) <= hours(advice.then_h));
            let within = |hours: f64| micro(hours) - seated.setup.tolerance - 1;
            let then = advice.then_h.map_or(promise::NEVER, within);
            let enough = then <= advice.best_h.map_or(promise::NEVER, micro);
            assert!(enough || !advice.is_enough);
        }
    }
    let seen = (looked_at, equal, never, orders, timed);
    assert!(
        looked_at > 10_000 && equal > 2_000 && never > 100 && orders > 300 && timed > 5_000,
        "{seen:?}"
    );
    assert_eq!(advised.len(), 3, "{advised:?}");
}

#[test]
fn the_best_and_the_worst_order_are_those_of_all_orders() {
    // Every order of plugging in by hand, against what is told.
    let mut several = 0;
    for seed in 0..cases_or(300) {
        let json = open::crowded_setup(seed);
        let seated = Seated::of(&json, &TimelineOptions::default());
        let setup = Setup::from_json(&json).expect("it is a setup");
        let told = sharing_rules(&setup, &seated.plan).expect("its own plan");
        let promises = Promises::new(&seated.setup);
        let berths: Vec<promise::Berth<'_>> = seated
            .berths
            .iter()
            .map(|berth| (berth.device, &berth.ladder[0]))
            .collect();
        let outcome = of(&told, SharingRule::FirstCome);
        if !outcome.tried_all {
            continue;
        }
        let (mut best, mut worst_of_all) = (0, 0);
        for (c, charger) in seated.setup.chargers.iter().enumerate() {
            let here: Vec<promise::Berth<'_>> = berths
                .iter()
                .filter(|berth| berth.1.charger == c)
                .copied()
                .collect();
            if here.is_empty() {
                continue;
            }
            let mut orders: Vec<Vec<usize>> = vec![Vec::new()];
            for at in 0..here.len() {
                orders = orders
                    .iter()
                    .flat_map(|order| {
                        (0..=order.len()).map(move |place| {
                            let mut order = order.clone();
                            order.insert(place, at);
                            order
                        })
                    })
                    .collect();
            }
            let longest = orders.iter().map(|order| {
                let of_line = groups(&promises, charger, &here).into_iter().map(|group| {
                    let given = group.one_after_the_other(group.kept(), order);
                    let times = here.iter().zip(given).map(|(berth, given)| {
                        let place = Place {
                            seated: &seated,
                            device: berth.0,
                            choice: berth.1,
                        };
                        let grant = promises.grant(*berth, &berths);
                        let time = place.time(micro(given), grant.floor_w, promises.demand(*berth));
                        time.unwrap_or(promise::NEVER)
                    });
                    times.max().unwrap_or(0)
                });
                of_line.max().unwrap_or(0)
            });
            let longest: Vec<i64> = longest.collect();
            several += usize::from(longest.iter().min() != longest.iter().max());
            best = best.max(longest.iter().copied().min().unwrap_or(0));
            worst_of_all = worst_of_all.max(longest.iter().copied().max().unwrap_or(0));
        }
        let found = |night: &RuleNight| night.longest_h.map_or(promise::NEVER, micro);
        assert!(
            (found(&outcome.held.best) - best).abs() <= 1,
            "seed {seed}\n{json}"
        );
        let found = found(worst(&outcome.held));
        assert!((found - worst_of_all).abs() <= 1, "seed {seed}\n{json}");
    }
    assert!(several > 20, "{several}");
}

/// Small steps of a charger's night, what a full device leaves handed on at once: when each
/// is full, where it is by `until_h`.
fn stepped(
    (group, places): (Group, &[Place<'_>]),
    (rule, order): (SharingRule, &[usize]),
    (demands, until_h): (&[i64], f64),
) -> Vec<Option<f64>> {
    const STEP_H: f64 = 2e-4;
    let mut group = group;
    let mut pct: Vec<f64> = places
        .iter()
        .map(|place| place.device().start_pct)
        .collect();
    let mut full_h: Vec<Option<f64>> = vec![None; places.len()];
    let mut contracts: Vec<Option<Contract>> = vec![None; places.len()];
    let (mut now_h, mut anew) = (0.0, true);
    while now_h <= until_h && full_h.iter().any(Option::is_none) {
        if anew {
            let given = simulated(&group, rule, order).expect("a rule that is simulated");
            for at in 0..places.len() {
                if full_h[at].is_none() {
                    let (granted, floor_w) = (micro(given[at]), group.floors[at]);
                    contracts[at] = places[at].contract(granted, floor_w, demands[at]);
                }
            }
            anew = false;
        }
        for (at, place) in places.iter().enumerate() {
            let (device, contract) = (place.device(), contracts[at]);
            let charging =
                contract.filter(|contract| micro(contract.inlet_w) > micro(device.running_w));
            let (None, Some(contract)) = (full_h[at], charging) else {
                continue;
            };
            if pct[at] < device.target_pct {
                pct[at] += rate(device, contract.inlet_w, pct[at]) * STEP_H;
            }
            if pct[at] >= device.target_pct {
                full_h[at] = Some(now_h);
                let ohm = place.seated.setup.cables[place.choice.cable].ohm;
                let root = (contract.volts.powi(2) - 4.0 * ohm * device.running_w)
                    .max(0.0)
                    .sqrt();
                let amps = 2.0 * device.running_w / (contract.volts + root);
                group.asks[at] = group.asks[at].min(contract.volts * amps);
                anew = true;
            }
        }
        now_h += STEP_H;
    }
    full_h
}

#[test]
fn small_steps_agree_while_grants_are_handed_on() {
    let (mut agreed, mut handed_on) = (0, 0);
    for seed in 0..cases_or(150) {
        let json = open::crowded_setup(seed);
        let seated = Seated::of(&json, &TimelineOptions::default());
        let setup = Setup::from_json(&json).expect("it is a setup");
        let told = sharing_rules(&setup, &seated.plan).expect("its own plan");
        let promises = Promises::new(&seated.setup);
        let berths: Vec<promise::Berth<'_>> = seated
            .berths
            .iter()
            .map(|berth| (berth.device, &berth.ladder[0]))
            .collect();
        let name = |d: usize| seated.setup.devices[d].name.as_str();
        for (c, charger) in seated.setup.chargers.iter().enumerate() {
            let mut here = berths.clone();
            here.retain(|berth| berth.1.charger == c);
            let mut ports = charger.ports.iter();
            if charger.reserves_tier || ports.any(|port| port.connector.starts_with("other:")) {
                continue;
            }
            let places: Vec<Place<'_>> = here
                .iter()
                .map(|berth| Place {
                    seated: &seated,
                    device: berth.0,
                    choice: berth.1,
                })
                .collect();
            let demands: Vec<i64> = here.iter().map(|berth| promises.demand(*berth)).collect();
            let both = [SharingRule::FairShare, SharingRule::LastCome];
            for (rule, outcome) in both.map(|rule| (rule, of(&told, rule))) {
                let Ok([group]) = <[Group; 1]>::try_from(groups(&promises, charger, &here)) else {
                    continue;
                };
                let night = outcome
                    .handed_on
                    .worst
                    .as_ref()
                    .unwrap_or(&outcome.handed_on.best);
                let order = night
                    .orders
                    .iter()
                    .find(|order| order.charger == charger.name);
                if order.is_none() && outcome.depends_on.is_some() {
                    continue;
                }
                let place_of = |device: &String| here.iter().position(|b| name(b.0) == device);
                let order = order.map_or_else(
                    || (0..here.len()).collect(),
                    |order| {
                        order
                            .devices
                            .iter()
                            .filter_map(place_of)
                            .collect::<Vec<_>>()
                    },
                );
                let full = |night: &RuleNight, d: usize| {
                    let told = night.berths.iter().find(|told| told.device == name(d));
                    told.expect("every berth is told").full_h
                };
                let until_h = here
                    .iter()
                    .filter_map(|b| full(night, b.0))
                    .fold(0.0, f64::max);
                if until_h > 30.0 {
                    continue;
                }
                let found = stepped((group, &places), (rule, &order), (&demands, until_h + 0.1));
                for (berth, found) in here.iter().zip(found) {
                    let expected = full(night, berth.0);
                    let near = match (expected, found) {
                        (None, None) => true,
                        (Some(a), Some(b)) => (a - b).abs() < 2e-3 + 1e-3 * a,
                        _ => false,
                    };
                    assert!(
                        near,
                        "seed {seed}, {rule:?}: {expected:?}, {found:?}\n{json}"
                    );
                    agreed += 1;
                    let held = outcome.held.worst.as_ref().unwrap_or(&outcome.held.best);
                    handed_on += usize::from(full(held, berth.0) != expected);
                }
            }
        }
    }
    assert!(agreed > 150 && handed_on > 50, "{agreed} {handed_on}");
}

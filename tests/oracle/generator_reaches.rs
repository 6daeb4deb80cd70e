//! A meta-test: the generator reaches every case that the comparison is for. A
//! comparison on setups that never tie, never bind and never fail shows nothing.
//!
//! Runs on the oracle alone.

use std::collections::BTreeMap;

use super::model::causes::Cause;
use super::model::limited_by::Limit;
use super::model::plan::{Plan, plan};
use super::model::rules::governing;
use super::random_setup::small_setup;

const SETUPS: u64 = 2_000;

/// The least number of setups in 2 000 that must show each case.
const WANTED: [(&str, usize); 46] = [
    ("all served", 400),
    ("nobody served", 130),
    ("somebody needs nothing", 250),
    ("time 0 with a berth", 20),
    ("late", 300),
    ("in time under a deadline", 500),
    ("unserved: pinned", 70),
    ("unserved: no cable for the inlet", 20),
    ("unserved: no cable reaches", 160),
    ("unserved: no port for the cable", 6),
    ("unserved: no common supply", 180),
    ("unserved: below the minimum", 80),
    ("unserved: never full", 90),
    ("unserved: ports", 150),
    ("unserved: cables", 220),
    ("unserved: pool", 40),
    ("unserved: combination", 50),
    ("unserved of priority 1", 110),
    ("unserved of priority 3", 170),
    ("limited by a pool", 110),
    ("limited by a combination", 110),
    ("limited by the port", 250),
    ("limited by the cable", 350),
    ("limited by the device", 600),
    ("tie of whole plans", 600),
    ("two equal times", 100),
    ("a pool filled", 50),
    ("two chargers in use", 140),
    ("several lines govern", 140),
    ("incomparable lines govern", 40),
    ("a line of more ports governs", 170),
    ("a pool beside a table", 170),
    ("reserve by contract, pool used", 130),
    ("held below the cap", 900),
    ("tier of a table only", 40),
    ("pinned and served", 210),
    ("PPS contract", 80),
    ("AVS contract", 20),
    ("above 21 V", 40),
    ("usb-a served", 240),
    ("micro-B served", 200),
    ("barrel served", 30),
    ("wide input served", 140),
    ("other volts than accepted", 40),
    ("a cable used twice", 400),
    ("a step in the curve served", 290),
];

#[test]
fn every_case_is_reached() {
    let mut most_visited = 0;
    enough(
        &WANTED,
        (0..SETUPS).flat_map(|seed| {
            let plan = plan(&small_setup(seed));
            most_visited = most_visited.max(plan.visited);
            cases(&plan)
        }),
    );
    assert!(
        most_visited < 5_000_000,
        "a setup that is not small: {most_visited}"
    );
}

/// That each case is shown as often as is wanted of it.
#[track_caller]
pub(crate) fn enough(wanted: &[(&str, usize)], cases: impl Iterator<Item = (&'static str, bool)>) {
    let mut seen: BTreeMap<&str, usize> = BTreeMap::new();
    for (case, shown) in cases {
        *seen.entry(case).or_default() += usize::from(shown);
    }
    assert_eq!(seen.len(), wanted.len(), "every case has a wanted number");
    let rare: Vec<String> = wanted
        .iter()
        .map(|&(case, wanted)| (case, wanted, seen.get(case).copied().unwrap_or(0)))
        .filter(|&(_, wanted, found)| found < wanted)
        .map(|(case, wanted, found)| format!("{case}: {found} of {wanted}"))
        .collect();
    assert!(rare.is_empty(), "too rare: {rare:#?}\nall: {seen:#?}");
}

fn cases(plan: &Plan) -> Vec<(&'static str, bool)> {
    let mut all = vec![
        ("all served", plan.unserved == 0 && !plan.berths.is_empty()),
        ("nobody served", plan.berths.is_empty() && plan.unserved > 0),
        (
            "somebody needs nothing",
            plan.setup.devices.iter().any(|d| !d.needs_berth()),
        ),
        ("late", plan.late > 0),
        ("unserved of priority 1", plan.score.unserved[0] > 0),
        ("unserved of priority 3", plan.score.unserved[2] > 0),
        ("tie of whole plans", plan.ties > 0),
        (
            "two equal times",
            plan.score.times.windows(2).any(|pair| pair[0] == pair[1]),
        ),
        (
            "a pool filled",
            plan.pools
                .iter()
                .any(|p| p.used_w > 0.0 && p.used_w >= p.max_w - 1e-6),
        ),
    ];
    all.extend(unserved_cases(plan));
    all.extend(table_cases(plan));
    all.extend(berth_cases(plan));
    all
}

fn unserved_cases(plan: &Plan) -> Vec<(&'static str, bool)> {
    [
        ("unserved: pinned", Cause::Pinned),
        ("unserved: no cable for the inlet", Cause::NoCableForInlet),
        ("unserved: no cable reaches", Cause::NoCableReaches),
        ("unserved: no port for the cable", Cause::NoPortForCable),
        ("unserved: no common supply", Cause::NoCommonSupply),
        ("unserved: below the minimum", Cause::BelowMinimum),
        ("unserved: never full", Cause::NeverFull),
        ("unserved: ports", Cause::Ports),
        ("unserved: cables", Cause::Cables),
        ("unserved: pool", Cause::Pool),
        ("unserved: combination", Cause::Combination),
    ]
    .into_iter()
    .map(|(case, cause)| {
        (
            case,
            plan.without_berth.iter().any(|&(_, found)| found == cause),
        )
    })
    .collect()
}

fn table_cases(plan: &Plan) -> Vec<(&'static str, bool)> {
    let (mut several, mut incomparable, mut wider, mut beside_pool) = (false, false, false, false);
    let mut chargers_in_use = 0;
    for (c, charger) in plan.setup.chargers.iter().enumerate() {
        let in_use: Vec<usize> = plan
            .berths
            .iter()
            .filter(|b| b.choice.charger == c)
            .map(|b| b.choice.port)
            .collect();
        chargers_in_use += usize::from(!in_use.is_empty());
        let Some(lines) = charger.lines.as_ref().filter(|_| !in_use.is_empty()) else {
            continue;
        };
        let governing = governing(lines, &in_use);
        let ports = |i: usize| {
            governing[i]
                .watts
                .iter()
                .map(Option::is_some)
                .collect::<Vec<_>>()
        };
        several |= governing.len() > 1;
        incomparable |= (1..governing.len()).any(|i| ports(i) != ports(0));
        wider |= (0..governing.len())
            .any(|i| ports(i).into_iter().filter(|&held| held).count() > in_use.len());
        beside_pool |= !charger.pools.is_empty();
    }
    vec![
        ("two chargers in use", chargers_in_use > 1),
        ("several lines govern", several),
        ("incomparable lines govern", incomparable),
        ("a line of more ports governs", wider),
        ("a pool beside a table", beside_pool),
    ]
}

fn berth_cases(plan: &Plan) -> Vec<(&'static str, bool)> {
    use super::model::label::Kind;
    use super::model::rounding::micro;

    let setup = &plan.setup;
    let any = |shows: &dyn Fn(&super::model::plan::Berth) -> bool| plan.berths.iter().any(shows);
    let port = |b: &super::model::plan::Berth| {
        setup.chargers[b.choice.charger].ports[b.choice.port].clone()
    };
    let device = |b: &super::model::plan::Berth| setup.devices[b.device].clone();
    // By what the device accepts at these volts, and nothing else of it.
    let only_by = |b: &super::model::plan::Berth, kind: Kind| {
        let volts = b.choice.contract.volts;
        let mut fitting = device(b).accepts;
        fitting.retain(|e| e.low * 0.95 <= volts && volts <= e.high / 0.95);
        !fitting.is_empty() && fitting.iter().all(|e| e.kind == kind)
    };
    let used = |k: usize| plan.berths.iter().filter(|b| b.choice.cable == k).count();
    vec![
        ("time 0 with a berth", any(&|b| b.choice.hours == 0.0)),
        (
            "in time under a deadline",
            any(&|b| device(b).ready_by_h.is_some() && !b.choice.late),
        ),
        ("limited by a pool", any(&|b| b.limited_by == Limit::Pool)),
        (
            "limited by a combination",
            any(&|b| b.limited_by == Limit::Combination),
        ),
        ("limited by the port", any(&|b| b.limited_by == Limit::Port)),
        (
            "limited by the cable",
            any(&|b| b.limited_by == Limit::Cable),
        ),
        (
            "limited by the device",
            any(&|b| b.limited_by == Limit::Device),
        ),
        (
            "reserve by contract, pool used",
            any(&|b| {
                let charger = &setup.chargers[b.choice.charger];
                !charger.reserves_tier
                    && charger
                        .pools
                        .iter()
                        .any(|p| p.ports.contains(&b.choice.port))
            }),
        ),
        (
            "held below the cap",
            any(&|b| micro(b.choice.tier_w) < micro(port(b).cap_w)),
        ),
        (
            "tier of a table only",
            any(&|b| {
                [11.0, 17.5, 22.5, 38.0].contains(&b.choice.tier_w)
                    && b.choice.tier_w < port(b).cap_w
            }),
        ),
        (
            "pinned and served",
            any(&|b| device(b).port_pin.is_some() || device(b).cable_pin.is_some()),
        ),
        ("PPS contract", any(&|b| only_by(b, Kind::Pps))),
        ("AVS contract", any(&|b| only_by(b, Kind::Avs))),
        ("above 21 V", any(&|b| b.choice.contract.volts > 21.0)),
        ("usb-a served", any(&|b| port(b).connector == "usb-a")),
        ("micro-B served", any(&|b| device(b).inlet == "usb-micro-b")),
        ("barrel served", any(&|b| device(b).inlet == "other:barrel")),
        ("wide input served", any(&|b| only_by(b, Kind::Wide))),
        (
            "other volts than accepted",
            any(&|b| {
                only_by(b, Kind::Fixed)
                    && device(b)
                        .accepts
                        .iter()
                        .all(|e| e.high != b.choice.contract.volts)
            }),
        ),
        (
            "a cable used twice",
            (0..setup.cables.len()).any(|k| used(k) > 1),
        ),
        (
            "a step in the curve served",
            any(&|b| {
                device(b)
                    .draw_w
                    .windows(2)
                    .any(|pair| pair[0].0 == pair[1].0)
            }),
        ),
    ]
}

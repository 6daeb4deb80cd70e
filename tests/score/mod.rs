//! `score`: every rule broken once by hand; random ways of plugging in against the
//! exhaustive second implementation of the model; the best plan against itself.

use std::cmp::Reverse;
use std::sync::Arc;
use std::sync::atomic::AtomicBool;

use crate::model::options::{Choice, options_of};
use crate::model::order;
use crate::model::promise::{NEVER, Promises};
use crate::model::rounding::micro;
use crate::model::rules::{lines_hold, no_place_twice, pools_hold, taken};
use crate::model::search::best_plan;
use crate::model::setup::Aim;
use crate::random_setup::mid::{Family, mid_setup};
use crate::random_setup::rng::Rng;
use crate::random_setup::small_setup;
use serde_json::{Value, json};
use wattberth::{
    Broken, Error, Objective, ObjectiveValue, Score, Setup, SolveOptions, Way, assign, score,
    score_with,
};

/// A charger with pools, one with a table, and a device for every rule.
fn desk() -> Setup {
    let setup = json!({
        "chargers": [
            {"name": "desk", "max_w": 75, "reserve": "contract",
             "ports": [{"name": "C1", "pd_w": 65}, {"name": "C2", "pd_w": 30},
                       {"name": "A1", "connector": "usb-a", "offers": "5V 2.4A"}],
             "pools": [{"name": "lower bank", "ports": ["C2", "A1"], "max_w": 24}]},
            {"name": "cube", "tiers_w": [15, 30],
             "ports": [{"name": "C1", "pd_w": 45}, {"name": "C3", "pd_w": 30},
                       {"name": "C4", "pd_w": 30}],
             "combinations": [{"C1": 45}, {"C1": 30, "C3": 15}, {"C1": 15, "C3": 30}]}],
        "cables": [{"name": "long", "length_m": 2, "count": 2}, {"name": "short", "length_m": 0.5},
                   {"name": "A to C", "from": "usb-a", "length_m": 1}],
        "devices": [
            {"name": "laptop", "accepts": "5V 3A, 9V 3A, 15V 3A, 20V 3.25A", "battery_wh": 60,
             "draw_w": [[0, 65]], "reach_m": 1.5},
            {"name": "tablet", "accepts": "5V 3A, 9V 3A", "battery_wh": 30, "draw_w": [[0, 27]]},
            {"name": "phone", "accepts": "5V 2A", "battery_wh": 15, "draw_w": [[0, 10]]},
            {"name": "picky", "accepts": "5V 3A, 15V 3A", "min_w": 20, "battery_wh": 30,
             "draw_w": [[0, 45]]},
            {"name": "busy", "accepts": "5V 1A", "running_w": 6, "battery_wh": 5},
            {"name": "barrel", "accepts": "12V 1A", "battery_wh": 5},
            {"name": "tied", "accepts": "5V 1A", "battery_wh": 5, "port": "desk/C2", "cable": "long"},
            {"name": "full", "accepts": "5V 1A", "battery_wh": 5, "start_pct": 100}],
    });
    Setup::from_json(&setup.to_string()).expect("the setup is valid")
}

fn scored(setup: &Setup, way: &Value) -> Score {
    let way = Way::from_json(setup, &way.to_string()).expect("the way is read");
    score(setup, &way).expect("an answer")
}

#[test]
fn each_rule_is_named_with_its_numbers() {
    let setup = desk();
    let (v, a) = ("volts", "amps");
    for (way, expected) in [
        // Nothing broken.
        (
            json!({"laptop": "desk/C1", "tablet": "cube/C3", "phone": "A1"}),
            &[][..],
        ),
        (json!({}), &[]),
        // Full as it is: counted nowhere, wherever it hangs.
        (json!({"full": "A1", "phone": "A1"}), &[]),
        (
            json!({"phone": "desk/C1", "tablet": "desk/C1"}),
            &["port C1 of desk: 2 devices on it (tablet, phone)"],
        ),
        (
            json!({"laptop": {"port": "desk/C1", "cable": "long"},
                   "tablet": {"port": "C2", "cable": "long"},
                   "phone": {"port": "cube/C1", "cable": "long"}}),
            &["cable long: used 3 times, there is 2"],
        ),
        (
            json!({"phone": {"port": "A1", "cable": "long"}}),
            &["phone: cable long joins usb-c to usb-c, not usb-a to usb-c"],
        ),
        (
            json!({"laptop": {"port": "desk/C1", "cable": "short"}}),
            &["laptop: cable short is 0.5 m long, and it lies 1.5 m away"],
        ),
        // The only cable that fits there is too short, too.
        (
            json!({"laptop": "A1"}),
            &["laptop: cable A to C is 1 m long, and it lies 1.5 m away"],
        ),
        (
            json!({"tied": {"port": "cube/C1", "cable": "short"}}),
            &[
                "tied: pinned to desk/C2, plugged into cube/C1",
                "tied: pinned to cable long, plugged in with short",
            ],
        ),
        // At 7.5, 15, 18, 20 and 27 W: 9 V lose less than 5 V do along 0.25 ohm.
        (
            json!({"tablet": {"port": "C2", v: 20, a: 1}}),
            &[
                "tablet: no contract of 20 V 1 A; there is 9 V 0.833333 A, 9 V 1.666667 A, \
               9 V 2 A, 9 V 2.222222 A, 9 V 3 A",
            ],
        ),
        (
            json!({"barrel": "C2"}),
            &["barrel: C2 of desk offers nothing through long that it accepts"],
        ),
        (json!({"picky": "C3"}), &[]),
        // What it needs counts at the port, whatever the cable loses: 5 V 2.4 A.
        (
            json!({"picky": "A1"}),
            &["picky: gets 12 W and needs at least 20 W"],
        ),
        // With C3 at 15 W.
        (
            json!({"picky": {"port": "C3", v: 15, a: 1}}),
            &["picky: gets 15 W and needs at least 20 W"],
        ),
        (
            json!({"picky": {"port": "C3", v: 5, a: 3}}),
            &["picky: no contract of 5 V 3 A; there is 15 V 2 A"],
        ),
        (
            json!({"busy": "A1"}),
            &["busy: never gets full with 4.75 W"],
        ),
        // By contract 27 + 12 W of 24.
        (
            json!({"tablet": {"port": "C2", v: 9, a: 3}, "phone": {"port": "A1", v: 5, a: 2}}),
            &["pool lower bank of desk: 37 W held, 24 W allowed"],
        ),
        (
            json!({"laptop": {"port": "desk/C1", v: 20, a: 3}, "tablet": {"port": "C2", v: 9, a: 2}}),
            &["pool total of desk: 78 W held, 75 W allowed"],
        ),
        // C3 and C4 are in no line together.
        (
            json!({"tablet": "C3", "phone": "C4"}),
            &["cube: no combination allows C3, C4 together"],
        ),
        // Two lines govern; one of them would do.
        (
            json!({"laptop": {"port": "cube/C1", v: 15, a: 2}, "phone": "C3"}),
            &[],
        ),
        (
            json!({"laptop": {"port": "cube/C1", v: 15, a: 2}, "tablet": {"port": "C3", v: 9, a: 3}}),
            &["C3 of cube: held at 30 W, 15 W allowed by the combination C1 30 W + C3 15 W"],
        ),
        (
            json!({"laptop": {"port": "cube/C1", v: 15, a: 3}, "tablet": {"port": "C3", v: 9, a: 3}}),
            &["C1 of cube: held at 45 W, 15 W allowed by the combination C1 15 W + C3 30 W"],
        ),
        (
            json!({"berths": [{"device": "phone", "port": "A1"}, {"device": "phone", "port": "C2"}]}),
            &["phone: plugged in 2 times"],
        ),
    ] {
        let found = scored(&setup, &way);
        let texts: Vec<&str> = found.broken.iter().map(|b| b.text.as_str()).collect();
        assert_eq!(texts, expected, "{way}");
        assert_eq!(found.legal, expected.is_empty(), "{way}");
    }
}

#[test]
fn where_nothing_joins_it_is_said() {
    let setup = json!({
        "chargers": [{"name": "cube", "ports": [{"name": "C1", "pd_w": 30}]}],
        "devices": [{"name": "recorder", "inlet": "usb-micro-b", "accepts": "5V 1A", "battery_wh": 5}],
    });
    let setup = Setup::from_json(&setup.to_string()).expect("a valid setup");
    let found = scored(&setup, &json!({"recorder": "C1"}));
    assert_eq!(found.broken.len(), 1);
    assert_eq!(
        found.broken[0].text,
        "recorder: no cable joins usb-c to usb-micro-b as far as it lies"
    );
    assert_eq!(
        (found.berths[0].cable.as_ref(), found.berths[0].hours),
        (None, None)
    );
    assert_eq!(found.without_berth, ["recorder"]);
}

/// Worked by hand: 60 Wh at 0.88, R = 0.25 Ω. On cube/C1 alone at 45 W the laptop has
/// 15 V 3 A, 45 − 2.25 W at the inlet; the best place is desk/C1: 20 V 3 A (the cable's
/// amps), 57.75 W.
#[test]
fn the_distance_is_worked_out_level_by_level() {
    let setup = json!({
        "session_h": 1.5,
        "chargers": [{"name": "desk", "ports": [{"name": "C1", "pd_w": 65}]},
                     {"name": "cube", "ports": [{"name": "C2", "pd_w": 45}]}],
        "cables": [{"name": "white"}],
        "devices": [{"name": "laptop", "accepts": "5V 3A, 9V 3A, 15V 3A, 20V 3.25A",
                     "battery_wh": 60, "draw_w": [[0, 65]]}],
    });
    let setup = Setup::from_json(&setup.to_string()).expect("a valid setup");
    let (slow, fast) = (60.0 / 0.88 / 42.75, 60.0 / 0.88 / 57.75);
    let near = |a: f64, b: f64| assert!((a - b).abs() < 1.5e-6, "{a} {b}");
    let found = scored(&setup, &json!({"laptop": "C2"}));
    assert!(found.legal);
    near(found.yours.longest_h, slow);
    near(found.best.value.longest_h, fast);
    near(found.behind.times_h[0].expect("both end"), slow - fast);
    assert_eq!(
        (
            found.behind.level,
            found.behind.late_by_priority.iter().sum::<i64>()
        ),
        (Some(Objective::Late), 1)
    );
    near(found.behind.total_w, 45.0 - 60.0);
    near(found.berths[0].best_h.expect("the best plan has it"), fast);

    let nobody = scored(&setup, &json!({"version": 1}));
    assert_eq!(nobody.without_berth, ["laptop"]);
    assert_eq!(nobody.behind.level, Some(Objective::Unserved));
    assert_eq!(nobody.behind.unserved_by_priority, [0, 1, 0]);
    near(nobody.behind.missing_wh, 60.0);
    assert_eq!(nobody.behind.times_h, [None; 0]);

    let best = scored(&setup, &json!({"laptop": "desk/C1"}));
    assert_eq!((best.behind.level, best.yours), (None, best.best.value));
}

#[test]
fn every_fault_of_a_way_is_found_with_its_place() {
    let setup = desk();
    for (text, expected) in [
        (
            "{\"labtop\": \"C2\",\n \"tablet\": \"C1\",\n \"phone\": \"C9\"}",
            &[
                "way.json:1:12: labtop: no device is called \"labtop\" (did you mean `laptop`?)",
                "way.json:2:12: tablet: more than one charger has a port \"C1\"; write it in \
                 full: \"desk/C1\" or \"cube/C1\"",
                "way.json:3:11: phone: no port is called \"C9\" (did you mean `C1`?)",
            ][..],
        ),
        (
            "{\"tablet\": {\"port\": \"C2\", \"cable\": \"lang\"},\n \"phone\": {\"prot\": \"A1\"},\n \"laptop\": 3}",
            &[
                "way.json:1:36: tablet.cable: no cable is called \"lang\" (did you mean `long`?)",
                "way.json:2:12: phone.prot: a plugged device has no field `prot` (did you mean `port`?)",
                "way.json:3:12: laptop: the place of \"laptop\" must be a port's name in quotes, \
                 or an object with `port`, not the number 3",
            ],
        ),
        (
            "{\"tablet\": {\"port\": \"C2\", \"volts\": 9}, \"phone\": {\"port\": \"A1\", \"volts\": -5, \"amps\": 1}}",
            &[
                "way.json:1:12: tablet: a contract has `volts` and `amps`: give both, or neither",
                "way.json:1:73: phone.volts: a contract's voltage must be from 0 to 1000 V, not -5 V",
            ],
        ),
        (
            "{\"tablet\": \"C2\", \"tablet\": \"A1\", \"version\": 2}",
            &[
                "way.json:1:18: tablet: `tablet` is given twice",
                "way.json:1:45: version: the version must be 1, not 2",
            ],
        ),
        (
            "{\"berths\": [{\"device\": \"phone\"}, {\"device\": \"phone\", \"charger\": \"dusk\", \"port\": \"A1\"},\n {\"device\": \"phone\", \"charger\": \"desk\", \"port\": \"C3\"}, 7]}",
            &[
                "way.json:1:13: berths[0]: a berth needs the field `port`",
                "way.json:1:65: berths[1].charger: no charger is called \"dusk\" (did you mean `desk`?)",
                "way.json:2:49: berths[2].port: no port is called \"C3\" on charger \"desk\" (did you mean `C1`?)",
                "way.json:2:56: berths[3]: a berth must be an object in braces, not the number 7",
            ],
        ),
        (
            "[]",
            &["way.json:1:1: a way of plugging in must be an object in braces, not a list"],
        ),
    ] {
        let source = wattberth::Source {
            file: "way.json",
            text,
        };
        let Err(Error::Input(faults)) = Way::from_source(&setup, source) else {
            panic!("accepted: {text}")
        };
        let found: Vec<String> = faults.iter().map(ToString::to_string).collect();
        assert_eq!(found, expected, "{text}");
    }
    let way = Way::new().plug("labtop", "C1");
    let Err(Error::Input(faults)) = score(&setup, &way) else {
        panic!("accepted: {way:?}")
    };
    let paths: Vec<&str> = faults.iter().map(|fault| fault.path.as_str()).collect();
    assert_eq!(paths, ["plugs[0].device", "plugs[0].port"]);
}

#[test]
fn a_plan_of_ours_is_as_good_as_the_best() {
    let mid = Family::ALL
        .into_iter()
        .map(|family| mid_setup(7, 7, 8, family));
    for text in (0..600).map(small_setup).chain(mid) {
        let setup = Setup::from_json(&text).expect("a valid setup");
        let plan = assign(&setup).expect("a plan");
        let read = Way::from_json(&setup, &plan.to_json()).expect("a plan document is read");
        assert_eq!(read, Way::from(&plan), "{text}");
        let found = score(&setup, &read).expect("an answer");
        assert!(found.legal, "{:?}\n{text}", found.broken);
        assert_eq!(found.yours, found.best.value, "{text}");
        assert_eq!(found.yours, ObjectiveValue::of(&setup, &plan), "{text}");
        let behind = &found.behind;
        assert_eq!(
            (behind.level, behind.late_by_priority, behind.total_w),
            (None, [0; 3], 0.0)
        );
        assert!(
            behind.times_h.iter().all(|hours| *hours == Some(0.0)),
            "{behind:?}"
        );
        for (ours, berth) in found.berths.iter().zip(&plan.berths) {
            assert_eq!((ours.hours, ours.late), (Some(berth.hours), berth.late));
            let contract = ours.contract.expect("a berth has a contract");
            assert_eq!((contract.volts, contract.amps), (berth.volts, berth.amps));
            assert_eq!(
                (contract.tier_w, contract.inlet_w),
                (berth.tier_w, berth.inlet_w)
            );
        }
        assert_eq!(found.berths.len(), plan.berths.len());
    }
}

/// A device's random place: charger, port, and perhaps a cable.
type Somewhere = (usize, usize, Option<usize>);

/// The oracle's setup with each device pinned where it is put and the others gone.
fn pinned(
    setup: &crate::model::setup::Setup,
    places: &[Option<Somewhere>],
) -> crate::model::setup::Setup {
    let mut posed = setup.clone();
    posed.devices.clear();
    for (device, place) in setup.devices.iter().zip(places) {
        let Some((charger, port, cable)) = place else {
            continue;
        };
        let mut device = device.clone();
        let owner = &setup.chargers[*charger];
        device.port_pin = Some(format!("{}/{}", owner.name, owner.ports[*port].name));
        if let Some(cable) = cable {
            device.cable_pin = Some(setup.cables[*cable].name.clone());
        }
        posed.devices.push(device);
    }
    posed
}

fn random_places(rng: &mut Rng, setup: &crate::model::setup::Setup) -> Vec<Option<Somewhere>> {
    let somewhere = |rng: &mut Rng| {
        let charger = rng.below(setup.chargers.len());
        let port = rng.below(setup.chargers[charger].ports.len());
        let cable = rng.chance(40).then(|| rng.below(setup.cables.len()));
        (charger, port, cable)
    };
    let devices = setup.devices.iter();
    devices
        .map(|_| rng.chance(85).then(|| somewhere(rng)))
        .collect()
}

fn short_form(setup: &crate::model::setup::Setup, places: &[Option<Somewhere>]) -> Value {
    let mut way = json!({});
    for (device, place) in setup.devices.iter().zip(places) {
        let Some((charger, port, cable)) = place else {
            continue;
        };
        let owner = &setup.chargers[*charger];
        let port = format!("{}/{}", owner.name, owner.ports[*port].name);
        way[&device.name] = match cable {
            Some(cable) => json!({"port": port, "cable": setup.cables[*cable].name}),
            None => json!(port),
        };
    }
    way
}

fn is_shared(broken: &Broken) -> bool {
    matches!(
        broken,
        Broken::PortTwice { .. }
            | Broken::TooFewCables { .. }
            | Broken::Pool { .. }
            | Broken::NoCombination { .. }
            | Broken::AboveCombination { .. }
    )
}

/// Ports, perhaps cables, never contracts: where they can all be had together, what is
/// chosen is the exhaustive search's best; where not, a rule is named.
#[test]
fn what_is_not_given_is_the_best_that_there_is() {
    let (mut legal, mut crowded, mut impossible) = (0, 0, 0);
    for seed in 0..1_500 {
        let text = aimed(seed);
        let setup = Setup::from_json(&text).expect("a valid setup");
        let read = crate::model::setup::read(&text);
        if read.cables.is_empty() {
            continue;
        }
        let mut rng = Rng::new(seed);
        let places = random_places(&mut rng, &read);
        let way = short_form(&read, &places);
        let found = scored(&setup, &way);
        let posed = pinned(&read, &places);
        let in_need = || posed.devices.iter().filter(|d| d.needs_berth());
        let shared = found.broken.iter().any(|b| is_shared(&b.rule));
        if in_need().any(|device| options_of(&posed, device).is_empty()) {
            impossible += 1;
            assert!(!found.legal, "{way}\n{text}");
            continue;
        }
        let best = best_plan(&posed).score;
        if best.unserved != [0; 3] {
            crowded += 1;
            assert!(shared, "{:?}\n{way}\n{text}", found.broken);
            continue;
        }
        legal += 1;
        assert!(!shared, "{:?}\n{way}\n{text}", found.broken);
        let longest_first = longest_first([best.times, best.times_of_3].concat());
        assert!(agree(&times_of(&found), &longest_first), "{way}\n{text}");
        let ours = found.yours.late_by_priority.map(whole);
        assert_eq!(ours, best.late, "{way}\n{text}");
        assert_eq!(micro(found.yours.total_w), best.watts, "{way}\n{text}");
        // Each may have fallen the other way, and counts up to four times.
        let hours = micro(found.yours.weighted_h) - best.hours;
        assert!(hours.abs() <= 16, "{way}\n{text}");
    }
    let counts = [legal, crowded, impossible];
    assert!(counts.iter().all(|&n| n > 100), "{counts:?}");
}

/// The pools that hold more than they may, with what they hold.
fn pools_over(setup: &crate::model::setup::Setup, chosen: &[Choice]) -> Vec<(String, String, i64)> {
    let mut over: Vec<(String, String, i64)> = Vec::new();
    for (c, charger) in setup.chargers.iter().enumerate() {
        for pool in &charger.pools {
            let of_pool = chosen
                .iter()
                .filter(|x| x.charger == c && pool.ports.contains(&x.port));
            let used: i64 = of_pool.map(|x| taken(charger, x)).sum();
            if used > micro(pool.max_w) {
                over.push((charger.name.clone(), pool.name.clone(), used));
            }
        }
    }
    over
}

/// Places with contracts, each possible by itself: the rules that they break together,
/// and where they stand, by the oracle's own rules.
#[test]
#[expect(
    clippy::too_many_lines,
    reason = "one walk through what the oracle says of each"
)]
fn given_contracts_are_held_against_every_rule() {
    let (mut legal, mut illegal) = (0, [0; 5]);
    let mut promised = 0;
    for seed in 0..2_000 {
        let text = aimed(seed);
        let setup = Setup::from_json(&text).expect("a valid setup");
        let read = crate::model::setup::read(&text);
        let mut rng = Rng::new(seed ^ 0x5eed);
        let mut berths = Vec::new();
        let mut chosen: Vec<Choice> = Vec::new();
        let mut by_device: Vec<Option<Choice>> = vec![None; read.devices.len()];
        let mut pins = 0;
        for (device, chosen_here) in read.devices.iter().zip(&mut by_device) {
            let free = crate::model::setup::Device {
                port_pin: None,
                cable_pin: None,
                ..device.clone()
            };
            let options = options_of(&read, &free);
            if options.is_empty() || rng.chance(15) {
                continue;
            }
            let choice = options[rng.below(options.len())].clone();
            let charger = &read.chargers[choice.charger];
            let (port, cable) = (&charger.ports[choice.port], &read.cables[choice.cable]);
            pins += usize::from(!device.may_use(charger, port, cable));
            berths.push(json!({
                "device": device.name, "charger": charger.name, "port": port.name,
                "cable": cable.name, "volts": choice.contract.volts, "amps": choice.contract.amps,
            }));
            *chosen_here = Some(choice.clone());
            chosen.push(choice);
        }
        let way = json!({"berths": berths});
        let found = scored(&setup, &way);
        let count = |of: fn(&Broken) -> bool| found.broken.iter().filter(|b| of(&b.rule)).count();

        let places = count(|b| matches!(b, Broken::PortTwice { .. } | Broken::TooFewCables { .. }));
        assert_eq!(places == 0, no_place_twice(&read, &chosen), "{way}\n{text}");
        let over = pools_over(&read, &chosen);
        let pools = found.broken.iter().filter_map(|b| match &b.rule {
            Broken::Pool {
                charger,
                pool,
                used_w,
                ..
            } => Some((charger.clone(), pool.clone(), micro(*used_w))),
            _ => None,
        });
        assert_eq!(pools.collect::<Vec<_>>(), over, "{way}\n{text}");
        assert_eq!(over.is_empty(), pools_hold(&read, &chosen));
        let lines = count(|b| {
            matches!(
                b,
                Broken::NoCombination { .. } | Broken::AboveCombination { .. }
            )
        });
        assert_eq!(lines == 0, lines_hold(&read, &chosen), "{way}\n{text}");
        let pinned = count(|b| matches!(b, Broken::PortPin { .. } | Broken::CablePin { .. }));
        assert_eq!(pinned == 0, pins == 0, "{way}\n{text}");
        assert_eq!(
            places + over.len() + lines + pinned,
            found.broken.len(),
            "{:?}",
            found.broken
        );

        // The page says what is promised where a port has one device.
        let mut ports: Vec<_> = chosen.iter().map(|x| (x.charger, x.port)).collect();
        ports.sort_unstable();
        ports.dedup();
        let own_ports = ports.len() == chosen.len();
        if read.aim == Aim::Best || own_ports {
            let promises = Promises::new(&read).of_plan(&by_device);
            let score = order::Score::of(&read, &by_device, &promises);
            let ours = times_of(&found);
            let theirs = longest_first([score.times, score.times_of_3].concat());
            assert!(agree(&ours, &theirs), "{ours:?} {theirs:?} {way}\n{text}");
            let ours = found.yours.late_by_priority.map(whole);
            assert_eq!(ours, score.late, "{way}\n{text}");
            let hours = micro(found.yours.weighted_h) - score.hours;
            assert!(hours.abs() <= 16, "{way}\n{text}");
            promised += usize::from(read.aim == Aim::Promise);
        }
        let watts: i64 = chosen
            .iter()
            .map(|choice| micro(choice.contract.port_w()))
            .sum();
        assert_eq!(micro(found.yours.total_w), watts);
        if found.legal {
            legal += 1;
            // Nothing legal is better than the best.
            let (yours, best) = (&found.yours, &found.best.value);
            if read.tolerance == 0 {
                assert!(yours.compare_whole(best).is_ge());
            }
            let counts = |of: &ObjectiveValue| {
                let missing = micro(of.missing_wh);
                (of.unserved_by_priority, missing, of.late_by_priority)
            };
            assert!(counts(yours) >= counts(best), "{way}\n{text}");
            let all_wait = read.devices.iter().all(|device| device.priority < 3);
            if counts(yours) == counts(best) && all_wait {
                let [yours, best] = [yours, best].map(|of| time(of.longest_h));
                assert!(yours >= best - read.tolerance, "{way}\n{text}");
            }
        }
        for (reached, broken) in illegal.iter_mut().zip([places, over.len(), lines, pinned]) {
            *reached += usize::from(broken > 0);
        }
        illegal[4] += usize::from(!found.legal);
    }
    assert!(
        legal > 100 && promised > 500 && illegal.iter().all(|&n| n > 20),
        "{legal} {promised} {illegal:?}"
    );
}

fn whole(count: usize) -> i64 {
    i64::try_from(count).expect("a small number")
}

/// A small setup, by its promise or at best, with a tolerance or without.
fn aimed(seed: u64) -> String {
    let mut setup: Value = serde_json::from_str(&small_setup(seed)).expect("JSON");
    if seed.is_multiple_of(3) {
        setup["aim"] = json!("best");
    }
    if seed.is_multiple_of(2) {
        setup["tolerance_h"] = json!(0);
    }
    setup.to_string()
}

fn time(hours: f64) -> i64 {
    if hours.is_finite() {
        micro(hours)
    } else {
        NEVER
    }
}

fn times_of(found: &Score) -> Vec<i64> {
    found
        .yours
        .times_h
        .iter()
        .map(|&hours| time(hours))
        .collect()
}

fn longest_first(mut times: Vec<i64>) -> Vec<i64> {
    times.sort_by_key(|&time| Reverse(time));
    times
}

/// Half a millionth may fall either way.
fn agree(ours: &[i64], theirs: &[i64]) -> bool {
    let mut pairs = ours.iter().zip(theirs);
    ours.len() == theirs.len() && pairs.all(|(a, b)| (a - b).abs() <= 1)
}

#[test]
fn limits_of_the_call_are_passed_on() {
    let setup = desk();
    let way = Way::new().plug_through("laptop", "desk/C1", "long");
    let mut options = SolveOptions::default();
    options.budget = 0;
    assert!(matches!(
        score_with(&setup, &way, &options),
        Err(Error::Options { .. })
    ));
    let mut options = SolveOptions::default();
    options.interrupt = Some(Arc::new(AtomicBool::new(true)));
    let stopped = score_with(&setup, &way, &options).expect("an answer");
    assert_eq!(stopped.best.status, wattberth::Status::Feasible);
    // The time is that of the place, whether or not the best is known.
    assert!(stopped.yours.longest_h > 0.0);
}

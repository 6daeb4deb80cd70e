//! Every choice of tiny bags, looked at one by one.

use std::cmp::Reverse;

use serde_json::{Value, json};
use wattberth::SizedPort;

use super::{SOLD_W, aimed, on, points, sized};
use crate::model::contract::{Contract, joins, negotiate, promised_contract};
use crate::model::offers::offers_at;
use crate::model::options::options_of;
use crate::model::order::weight;
use crate::model::promise::NEVER;
use crate::model::rounding::micro;
use crate::model::setup::{self, Aim, Device, Setup};
use crate::model::time::hours;
use crate::random_setup::rng::Rng;
use crate::random_setup::{open, small_setup};

const CASES: u64 = 400;

/// What sets one sizing apart from another: served in order of weight, watts and the longest
/// time, which no other pair may beat in both; then the order of plans: times of priority 1
/// and 2, of 3, weighted hours, device by device cable, volts and amps.
type Key = (
    Vec<Reverse<bool>>,
    (i64, Option<i64>),
    Vec<i64>,
    Vec<i64>,
    i64,
    Vec<Option<(usize, i64, i64)>>,
);

struct Tiny {
    setup: Setup,
    /// By device: what no other option through the same cable beats.
    options: Vec<Vec<Sold>>,
    /// The devices in need, those first that matter most.
    weight: Vec<usize>,
}

/// A device on a port that is sold with so many watts.
#[derive(Debug, Clone)]
struct Sold {
    cable: usize,
    contract: Contract,
    tier_w: f64,
    /// At best, in whole millionths.
    best: i64,
    /// By the aim.
    time: i64,
}

impl Tiny {
    fn of(json: &str) -> Self {
        let mut setup = setup::read(&on(json, &charger(240.0)).to_string());
        for device in &mut setup.devices {
            device.min_w = device.min_w.max(device.promised.min_w);
        }
        let options = setup
            .devices
            .iter()
            .map(|device| {
                let sold = sold(json, &setup, device);
                held_is_sold(&setup, device, &sold);
                unbeaten(&sold)
            })
            .collect();
        let mut weight: Vec<usize> = (0..setup.devices.len())
            .filter(|&d| setup.devices[d].needs_berth())
            .collect();
        weight.sort_by_key(|&d| {
            let device = &setup.devices[d];
            (device.priority, Reverse(micro(device.missing_wh())), d)
        });
        Self {
            setup,
            options,
            weight,
        }
    }

    fn in_time(&self, device: usize, choice: &Sold, by: i64) -> bool {
        let own = self.setup.devices[device].ready_by_h.map_or(by, micro);
        choice.time <= by.min(own)
    }

    /// Every way to give the devices cables, each seen once.
    fn every<'a>(&'a self, by: i64, see: &mut impl FnMut(&[Option<&'a Sold>])) {
        let left: Vec<u64> = self.setup.cables.iter().map(|cable| cable.count).collect();
        self.go(by, &mut Vec::new(), &left, see);
    }

    fn go<'a>(
        &'a self,
        by: i64,
        chosen: &mut Vec<Option<&'a Sold>>,
        left: &[u64],
        see: &mut impl FnMut(&[Option<&'a Sold>]),
    ) {
        let device = chosen.len();
        if device == self.options.len() {
            see(chosen);
            return;
        }
        chosen.push(None);
        self.go(by, chosen, left, see);
        chosen.pop();
        for choice in &self.options[device] {
            if left[choice.cable] > 0 && self.in_time(device, choice, by) {
                let mut fewer = left.to_vec();
                fewer[choice.cable] -= 1;
                chosen.push(Some(choice));
                self.go(by, chosen, &fewer, see);
                chosen.pop();
            }
        }
    }

    fn key(&self, chosen: &[Option<&Sold>]) -> Key {
        let places = chosen.iter().map(|choice| {
            let choice = (*choice)?;
            let contract = &choice.contract;
            Some((choice.cable, micro(contract.volts), micro(contract.amps)))
        });
        (
            self.weight
                .iter()
                .map(|&d| Reverse(chosen[d].is_some()))
                .collect(),
            (watts(chosen), times(chosen).first().copied()),
            self.times_of_class(chosen, |priority| priority < 3),
            self.times_of_class(chosen, |priority| priority == 3),
            self.weighted(chosen),
            places.collect(),
        )
    }

    fn times_of_class(&self, chosen: &[Option<&Sold>], is_of: fn(u64) -> bool) -> Vec<i64> {
        let both = chosen.iter().zip(&self.setup.devices);
        let of_class = both.filter(|(_, device)| is_of(device.priority));
        times(&of_class.map(|(choice, _)| *choice).collect::<Vec<_>>())
    }

    fn weighted(&self, chosen: &[Option<&Sold>]) -> i64 {
        let both = chosen.iter().zip(&self.setup.devices);
        let each = both.filter_map(|(choice, device)| Some(weight(device) * (*choice)?.best));
        each.sum()
    }

    /// The best of all; devices at hand only if in time by `by`.
    fn best(&self, by: i64) -> Key {
        let mut best: Option<Key> = None;
        self.every(by, &mut |chosen| {
            let key = self.key(chosen);
            if best.as_ref().is_none_or(|best| key < *best) {
                best = Some(key);
            }
        });
        best.expect("nobody with a cable is one of them")
    }

    /// The pairs of longest time and watts, of those with just these served, that no
    /// other pair beats; the shortest first.
    fn frontier(&self, served: &[Reverse<bool>]) -> Vec<(i64, i64)> {
        let mut pairs = Vec::new();
        self.every(i64::MAX, &mut |chosen| {
            if self.key(chosen).0 == served {
                pairs.push((times(chosen).first().copied().unwrap_or(0), watts(chosen)));
            }
        });
        pairs.sort_unstable();
        let mut least = i64::MAX;
        pairs.retain(|&(_, watts)| {
            let fewer = watts < least;
            least = least.min(watts);
            fewer
        });
        pairs
    }
}

fn watts(chosen: &[Option<&Sold>]) -> i64 {
    let watts = |choice: &&Sold| micro(choice.contract.port_w());
    chosen.iter().flatten().map(watts).sum()
}

/// Longest first.
fn times(chosen: &[Option<&Sold>]) -> Vec<i64> {
    let mut times: Vec<i64> = chosen.iter().flatten().map(|sold| sold.time).collect();
    times.sort_unstable_by_key(|&time| Reverse(time));
    times
}

fn unbeaten(options: &[Sold]) -> Vec<Sold> {
    let numbers = |sold: &Sold| (micro(sold.contract.port_w()), sold.time, sold.best);
    let beats = |other: &Sold, sold: &Sold| {
        let (a, b) = (numbers(other), numbers(sold));
        other.cable == sold.cable && a.0 <= b.0 && a.1 <= b.1 && a.2 <= b.2 && a != b
    };
    let kept = |sold: &&Sold| !options.iter().any(|other| beats(other, sold));
    options.iter().filter(kept).cloned().collect()
}

/// A charger with a port of this power, and one for what no USB-C cable reaches.
fn charger(pd_w: f64) -> Value {
    json!({
        "name": "any", "voltages": "rules", "tiers_w": SOLD_W,
        "ports": [{"name": "p", "pd_w": pd_w},
                  {"name": "a", "connector": "usb-a", "offers": "5V 2.4A"}],
    })
}

/// The ports that a device may have, by their place on the charger.
fn port_of(setup: &Setup, device: &Device) -> usize {
    let reached = |from: &str| {
        let mut cables = setup.cables.iter();
        cables.any(|cable| {
            let pinned = device
                .cable_pin
                .as_ref()
                .is_none_or(|pin| *pin == cable.name);
            let fits = cable.to == device.inlet && cable.length_m >= device.reach_m;
            pinned && fits && cable.from == from
        })
    };
    usize::from(reached("usb-a") && !reached("usb-c"))
}

/// Each port that is sold, through each cable, with the least that gives a contract.
fn sold(json: &str, setup: &Setup, device: &Device) -> Vec<Sold> {
    let mut all: Vec<Sold> = Vec::new();
    if !device.needs_berth() {
        return all;
    }
    for pd_w in SOLD_W {
        let ports = setup::read(&on(json, &charger(pd_w)).to_string());
        let port = &ports.chargers[0].ports[port_of(setup, device)];
        for (k, cable) in setup.cables.iter().enumerate() {
            let pinned = device
                .cable_pin
                .as_ref()
                .is_none_or(|pin| *pin == cable.name);
            if !pinned || !joins(port, cable, device) {
                continue;
            }
            let offers = offers_at(port, port.cap_w);
            let Some(contract) = negotiate(&offers, port.cap_w, cable, device) else {
                continue;
            };
            let Some(best_h) = hours(device, contract.inlet_w) else {
                continue;
            };
            let promised = device.as_promised();
            let surely = promised_contract(port, port.cap_w, cable, &promised);
            let time = match setup.aim {
                Aim::Best => Some(best_h),
                Aim::Promise => surely.and_then(|surely| hours(&promised, surely.inlet_w)),
            };
            let known = |sold: &Sold| sold.cable == k && sold.contract.same(&contract);
            if !all.iter().any(known) {
                all.push(Sold {
                    cable: k,
                    contract,
                    tier_w: port.cap_w,
                    best: micro(best_h),
                    time: time.map_or(NEVER, micro),
                });
            }
        }
    }
    all
}

/// A port of 240 W that is held at a power gives the contracts of one that is sold with it.
fn held_is_sold(setup: &Setup, device: &Device, sold: &[Sold]) {
    let port = port_of(setup, device);
    let held = options_of(setup, device);
    let held = held.iter().filter(|choice| choice.port == port);
    let mut held: Vec<_> = held
        .map(|x| facts(x.cable, &x.contract, x.tier_w))
        .collect();
    let each = sold.iter();
    let mut sold: Vec<_> = each
        .map(|x| facts(x.cable, &x.contract, x.tier_w))
        .collect();
    held.sort_unstable();
    sold.sort_unstable();
    assert_eq!(held, sold, "{device:?}");
}

fn facts(cable: usize, contract: &Contract, tier_w: f64) -> (usize, i64, i64, i64) {
    (
        cable,
        micro(contract.volts),
        micro(contract.amps),
        micro(tier_w),
    )
}

/// What the cases reached.
#[derive(Debug, Default)]
struct Reached {
    several_ports: usize,
    usb_a: usize,
    long_frontiers: usize,
    short_of_cables: usize,
    too_late: usize,
    scarce_choice: usize,
}

#[test]
fn nothing_is_left_to_gain() {
    let mut reached = Reached::default();
    for seed in 0..CASES {
        let json = match seed % 4 {
            0 => aimed(&small_setup(seed), "best"),
            1 => small_setup(seed),
            _ => open::small_setup(seed),
        };
        let mut rng = Rng::new(seed);
        let by_h = rng.pick(&[None, Some(0.7), Some(1.3), Some(2.5), Some(6.0)]);
        compare(seed, &json, by_h, &mut reached);
    }
    let Reached {
        several_ports,
        usb_a,
        long_frontiers,
        short_of_cables,
        too_late,
        scarce_choice,
    } = reached;
    for count in [
        several_ports,
        usb_a,
        long_frontiers,
        short_of_cables,
        too_late,
        scarce_choice,
    ] {
        assert!(count >= 10, "the cases say too little: {reached:?}");
    }
}

fn compare(seed: u64, json: &str, by_h: Option<f64>, reached: &mut Reached) {
    let sizing = sized(json, by_h);
    let tiny = Tiny::of(json);
    let session = serde_json::from_str::<Value>(json).expect("JSON")["session_h"].as_f64();
    let by_h = by_h.or(session);
    let served = tiny.best(by_h.map_or(i64::MAX, micro)).0;
    let frontier = tiny.frontier(&served);
    let by = by_h.map_or(frontier[0].0, micro);
    let best = tiny.best(by);

    let told = format!("seed {seed}, by {by_h:?}:\n{json}\n{sizing:#?}");
    let ports: Vec<&str> = sizing
        .ports
        .iter()
        .map(|port| port.device.as_str())
        .collect();
    let wanted: Vec<&str> = (0..tiny.setup.devices.len())
        .filter(|&d| best.5[d].is_some())
        .map(|d| tiny.setup.devices[d].name.as_str())
        .collect();
    assert_eq!(ports, wanted, "served: {told}");
    assert_eq!(micro(sizing.total_w), best.1.0, "watts: {told}");
    let mut wanted = [best.2.clone(), best.3.clone()].concat();
    wanted.sort_unstable_by_key(|&time| Reverse(time));
    let longest = wanted.first().copied().unwrap_or(0);
    assert_eq!(micro(sizing.longest_h), longest, "time: {told}");
    let by_aim = |port: &SizedPort| match tiny.setup.aim {
        Aim::Best => micro(port.hours),
        Aim::Promise => micro(port.promised_h.expect("it is promised")),
    };
    let mut hours: Vec<i64> = sizing.ports.iter().map(by_aim).collect();
    hours.sort_unstable_by_key(|&time| Reverse(time));
    assert_eq!(hours, wanted, "times: {told}");
    let own = serde_json::from_str::<Value>(json).expect("JSON")["cables"]
        .as_array()
        .is_none_or(Vec::is_empty);
    let cable = |name: &str| {
        let mut cables = tiny.setup.cables.iter();
        // It is called as each likes.
        cables.position(|cable| own || cable.name == name)
    };
    let places: Vec<_> = sizing
        .ports
        .iter()
        .filter_map(|port| Some((cable(&port.cable)?, micro(port.volts), micro(port.amps))))
        .collect();
    let wanted: Vec<_> = best.5.iter().flatten().copied().collect();
    assert_eq!(places, wanted, "ties: {told}");
    let wanted = if ports.is_empty() {
        Vec::new()
    } else {
        frontier
    };
    assert_eq!(points(&sizing), wanted, "frontier: {told}");

    for late in &sizing.too_late {
        let d = tiny
            .setup
            .devices
            .iter()
            .position(|d| d.name == late.device);
        let earliest = d.and_then(|d| tiny.options[d].iter().map(|sold| sold.time).min());
        assert_eq!(Some(micro(late.earliest_h)), earliest, "{told}");
        assert!(late.earliest_h > late.needed_h, "{told}");
    }
    let in_need = tiny.weight.len();
    let named = sizing.ports.len() + sizing.too_late.len() + sizing.unreached.len();
    assert_eq!(named, in_need, "everybody is named: {told}");

    let scarce = sizing
        .unreached
        .iter()
        .any(|w| w.reason.starts_with("no cable is left"));
    let has_usb_a = sizing.ports.iter().any(|port| port.connector.is_some());
    reached.usb_a += usize::from(has_usb_a);
    reached.several_ports += usize::from(ports.len() > 1);
    reached.long_frontiers += usize::from(sizing.frontier.len() > 3);
    reached.short_of_cables += usize::from(scarce);
    reached.too_late += usize::from(!sizing.too_late.is_empty());
    reached.scarce_choice += usize::from(
        sizing
            .ports
            .iter()
            .any(|a| sizing.ports.iter().any(|b| a.cable != b.cable)),
    );
}

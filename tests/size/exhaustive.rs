//! Every choice of tiny bags, looked at one by one.

use std::cmp::Reverse;

use serde_json::json;

use super::{on, points, sized};
use crate::model::options::{Choice, options_of};
use crate::model::rounding::micro;
use crate::model::setup::{self, Setup};
use crate::random_setup::rng::Rng;
use crate::random_setup::small_setup;

const CASES: u64 = 400;

/// What sets one sizing apart from another: served in order of weight, watts, times,
/// then device by device cable, volts and amps.
type Key = (
    Vec<Reverse<bool>>,
    i64,
    Vec<i64>,
    Vec<Option<(usize, i64, i64)>>,
);

struct Tiny {
    setup: Setup,
    /// By device: what no other option through the same cable beats.
    options: Vec<Vec<Choice>>,
    /// The devices in need, those first that matter most.
    weight: Vec<usize>,
}

impl Tiny {
    fn of(json: &str) -> Self {
        let port = json!({"name": "any", "ports": [{"name": "p", "pd_w": 240}]});
        let setup = setup::read(&on(json, &port).to_string());
        let options = setup
            .devices
            .iter()
            .map(|device| unbeaten(&options_of(&setup, device)))
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

    fn in_time(&self, device: usize, choice: &Choice, by: i64) -> bool {
        let own = self.setup.devices[device].ready_by_h.map_or(by, micro);
        micro(choice.hours) <= by.min(own)
    }

    /// Every way to give the devices cables, each seen once.
    fn every<'a>(&'a self, by: i64, see: &mut impl FnMut(&[Option<&'a Choice>])) {
        let left: Vec<u64> = self.setup.cables.iter().map(|cable| cable.count).collect();
        self.go(by, &mut Vec::new(), &left, see);
    }

    fn go<'a>(
        &'a self,
        by: i64,
        chosen: &mut Vec<Option<&'a Choice>>,
        left: &[u64],
        see: &mut impl FnMut(&[Option<&'a Choice>]),
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

    fn key(&self, chosen: &[Option<&Choice>]) -> Key {
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
            watts(chosen),
            times(chosen),
            places.collect(),
        )
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

fn watts(chosen: &[Option<&Choice>]) -> i64 {
    let watts = |choice: &&Choice| micro(choice.contract.port_w());
    chosen.iter().flatten().map(watts).sum()
}

/// Longest first.
fn times(chosen: &[Option<&Choice>]) -> Vec<i64> {
    let mut times: Vec<i64> = chosen.iter().flatten().map(|c| micro(c.hours)).collect();
    times.sort_unstable_by_key(|&time| Reverse(time));
    times
}

fn unbeaten(options: &[Choice]) -> Vec<Choice> {
    let numbers = |choice: &Choice| (micro(choice.contract.port_w()), micro(choice.hours));
    let beats = |other: &Choice, choice: &Choice| {
        let (a, b) = (numbers(other), numbers(choice));
        other.cable == choice.cable && a.0 <= b.0 && a.1 <= b.1 && a != b
    };
    let kept = |choice: &&Choice| !options.iter().any(|other| beats(other, choice));
    options.iter().filter(kept).cloned().collect()
}

/// What the cases reached.
#[derive(Debug, Default)]
struct Reached {
    several_ports: usize,
    long_frontiers: usize,
    short_of_cables: usize,
    too_late: usize,
    scarce_choice: usize,
}

#[test]
fn nothing_is_left_to_gain() {
    let mut reached = Reached::default();
    for seed in 0..CASES {
        let json = small_setup(seed);
        let mut rng = Rng::new(seed);
        let by_h = rng.pick(&[None, Some(0.7), Some(1.3), Some(2.5), Some(6.0)]);
        compare(seed, &json, by_h, &mut reached);
    }
    let Reached {
        several_ports,
        long_frontiers,
        short_of_cables,
        too_late,
        scarce_choice,
    } = reached;
    for count in [
        several_ports,
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
    let session =
        serde_json::from_str::<serde_json::Value>(json).expect("JSON")["session_h"].as_f64();
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
        .filter(|&d| best.3[d].is_some())
        .map(|d| tiny.setup.devices[d].name.as_str())
        .collect();
    assert_eq!(ports, wanted, "served: {told}");
    assert_eq!(micro(sizing.total_w), best.1, "watts: {told}");
    let longest = best.2.first().copied().unwrap_or(0);
    assert_eq!(micro(sizing.longest_h), longest, "time: {told}");
    let mut hours: Vec<i64> = sizing.ports.iter().map(|port| micro(port.hours)).collect();
    hours.sort_unstable_by_key(|&time| Reverse(time));
    assert_eq!(hours, best.2, "times: {told}");
    let cable = |name: &str| {
        tiny.setup
            .cables
            .iter()
            .position(|cable| cable.name == name)
    };
    let places: Vec<_> = sizing
        .ports
        .iter()
        .filter_map(|port| Some((cable(&port.cable)?, micro(port.volts), micro(port.amps))))
        .collect();
    let wanted: Vec<_> = best.3.iter().flatten().copied().collect();
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
        let earliest = d.and_then(|d| tiny.options[d].iter().map(|c| micro(c.hours)).min());
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

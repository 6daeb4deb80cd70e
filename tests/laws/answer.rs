//! A plan as the laws compare it, whoever made it.

use std::cell::Cell;

use serde_json::Value;
use wattberth::{Setup, Status, assign};

use crate::model::order::{Score, weight};
use crate::model::plan::plan;
use crate::model::promise::NEVER;
use crate::model::rounding::micro;
use crate::model::setup::{self, Aim, Device};

/// The order of plans without the listed order, compared from the first to the last.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) struct Levels {
    pub(crate) unserved: [i64; 3],
    pub(crate) missing: i64,
    /// By the aim, as the times are.
    pub(crate) late: [i64; 3],
    /// Of priority 1 and 2, longest first.
    pub(crate) times: Vec<i64>,
    pub(crate) times_of_3: Vec<i64>,
    pub(crate) hours: i64,
    pub(crate) watts: i64,
}

impl Levels {
    /// Whether it is as good in levels 1 to 3 as `other`, or better.
    pub(crate) fn no_later_than(&self, other: &Self) -> bool {
        let up_to_times = |levels: &Self| Self {
            hours: 0,
            watts: 0,
            ..levels.clone()
        };
        up_to_times(self) <= up_to_times(other)
    }
}

/// One device's place, by name.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Berth {
    pub(crate) device: String,
    pub(crate) charger: String,
    pub(crate) port: String,
    pub(crate) cable: String,
    /// Volts, amps, tier, inlet watts and hours in whole millionths.
    pub(crate) numbers: [i64; 5],
}

#[derive(Debug, Clone)]
pub(crate) struct Answer {
    pub(crate) levels: Levels,
    pub(crate) berths: Vec<Berth>,
    pub(crate) without_berth: Vec<String>,
    /// Charger, pool, watts used.
    pub(crate) pools: Vec<(String, String, f64)>,
    /// The whole plan document.
    pub(crate) document: String,
}

impl Answer {
    /// The berths by the places of their devices, chargers, ports and cables in the
    /// setup's lists.
    pub(crate) fn by_position(&self, setup: &Value) -> Vec<([usize; 4], [i64; 5])> {
        let setup = setup::read(&setup.to_string());
        let at = |found: Option<usize>| found.expect("a plan names what the setup has");
        self.berths
            .iter()
            .map(|berth| {
                let device = at(setup.devices.iter().position(|d| d.name == berth.device));
                let charger = at(setup.chargers.iter().position(|c| c.name == berth.charger));
                let ports = &setup.chargers[charger].ports;
                let port = at(ports.iter().position(|p| p.name == berth.port));
                let cable = at(setup.cables.iter().position(|k| k.name == berth.cable));
                ([device, charger, port, cable], berth.numbers)
            })
            .collect()
    }
}

pub(crate) fn by_oracle(setup: &Value) -> Answer {
    let plan = plan(&setup.to_string());
    let berths = plan.berths.iter().map(|berth| {
        let x = &berth.choice;
        let charger = &plan.setup.chargers[x.charger];
        Berth {
            device: plan.setup.devices[berth.device].name.clone(),
            charger: charger.name.clone(),
            port: charger.ports[x.port].name.clone(),
            cable: plan.setup.cables[x.cable].name.clone(),
            numbers: [
                x.contract.volts,
                x.contract.amps,
                x.tier_w,
                x.contract.inlet_w,
                x.hours,
            ]
            .map(micro),
        }
    });
    let without = plan
        .without_berth
        .iter()
        .map(|&(d, _)| plan.setup.devices[d].name.clone());
    let pools = plan
        .pools
        .iter()
        .map(|p| (p.charger.clone(), p.pool.clone(), p.used_w));
    Answer {
        levels: levels_of(plan.score.clone()),
        berths: berths.collect(),
        without_berth: without.collect(),
        pools: pools.collect(),
        document: format!(
            "{:?} {:?} {:?}",
            plan.berths, plan.without_berth, plan.pools
        ),
    }
}

fn levels_of(score: Score) -> Levels {
    Levels {
        unserved: score.unserved,
        missing: score.missing,
        late: score.late,
        times: score.times,
        times_of_3: score.times_of_3,
        hours: score.hours,
        watts: score.watts,
    }
}

thread_local! {
    /// Whether some plan of the library was not proven to its last level.
    pub(crate) static UNPROVEN: Cell<bool> = const { Cell::new(false) };
}

pub(crate) fn by_library(setup: &Value) -> Answer {
    let json = setup.to_string();
    let checked = Setup::from_json(&json)
        .unwrap_or_else(|error| panic!("a valid setup is refused: {error}\n{json}"));
    let plan = assign(&checked).unwrap_or_else(|error| panic!("no plan: {error}\n{json}"));
    if plan.status != Status::Optimal {
        UNPROVEN.set(true);
    }

    // The plan document does not repeat the setup's priorities and batteries.
    let read = setup::read(&json);
    let named = |name: &str| -> &Device {
        read.devices
            .iter()
            .find(|d| d.name == name)
            .expect("a plan names the setup's devices")
    };
    let mut score = Score::nothing();
    for berth in &plan.berths {
        let device = named(&berth.device);
        let (time, late) = match read.aim {
            Aim::Best => (micro(berth.hours), berth.late),
            Aim::Promise => {
                let time = berth.promised_h.map_or(NEVER, micro);
                (time, device.ready_by_h.is_some_and(|by| time > micro(by)))
            }
        };
        score.seat(device, time, late);
        score.hours += weight(device) * micro(berth.hours);
        score.watts += micro(berth.port_w);
    }
    for without in &plan.without_berth {
        score.leave(named(&without.device));
    }
    score.longest_first();
    let berths = plan.berths.iter().map(|berth| Berth {
        device: berth.device.clone(),
        charger: berth.charger.clone(),
        port: berth.port.clone(),
        cable: berth.cable.clone(),
        numbers: [
            berth.volts,
            berth.amps,
            berth.tier_w,
            berth.inlet_w,
            berth.hours,
        ]
        .map(micro),
    });
    let without = plan
        .without_berth
        .iter()
        .map(|without| without.device.clone());
    let pools = plan
        .pools
        .iter()
        .map(|p| (p.charger.clone(), p.pool.clone(), p.used_w));
    Answer {
        levels: levels_of(score),
        berths: berths.collect(),
        without_berth: without.collect(),
        pools: pools.collect(),
        document: serde_json::to_string(&plan).expect("a plan serialises"),
    }
}

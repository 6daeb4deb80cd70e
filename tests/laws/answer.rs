//! A plan as the laws compare it, whoever made it.

use serde_json::Value;
use wattberth::{Setup, assign};

use crate::model::plan::plan;
use crate::model::rounding::micro;
use crate::model::setup::{self, Device};

/// Levels 1 to 4 without the listed order, compared from the first to the last.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) struct Levels {
    pub(crate) unserved: [u64; 3],
    pub(crate) missing: i64,
    pub(crate) late: u64,
    /// Longest first.
    pub(crate) times: Vec<i64>,
    pub(crate) watts: i64,
}

impl Levels {
    /// Whether it is as good in levels 1 to 3 as `other`, or better.
    pub(crate) fn no_later_than(&self, other: &Self) -> bool {
        let without_watts = |levels: &Self| Self {
            watts: 0,
            ..levels.clone()
        };
        without_watts(self) <= without_watts(other)
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
    let score = plan.score.clone();
    Answer {
        levels: Levels {
            unserved: score.unserved,
            missing: score.missing,
            late: score.late,
            times: score.times,
            watts: score.watts,
        },
        berths: berths.collect(),
        without_berth: without.collect(),
        pools: pools.collect(),
        document: format!(
            "{:?} {:?} {:?}",
            plan.berths, plan.without_berth, plan.pools
        ),
    }
}

pub(crate) fn by_library(setup: &Value) -> Answer {
    let json = setup.to_string();
    let checked = Setup::from_json(&json)
        .unwrap_or_else(|error| panic!("a valid setup is refused: {error}\n{json}"));
    let plan = assign(&checked).unwrap_or_else(|error| panic!("no plan: {error}\n{json}"));

    // The plan document does not repeat the setup's priorities and batteries.
    let devices = setup::read(&json).devices;
    let named = |name: &str| -> &Device {
        devices
            .iter()
            .find(|d| d.name == name)
            .expect("a plan names the setup's devices")
    };
    let mut levels = Levels {
        unserved: [0; 3],
        missing: 0,
        late: plan.berths.iter().filter(|berth| berth.late).count() as u64,
        times: plan.berths.iter().map(|berth| micro(berth.hours)).collect(),
        watts: plan.berths.iter().map(|berth| micro(berth.port_w)).sum(),
    };
    levels.times.sort_unstable_by(|a, b| b.cmp(a));
    for without in &plan.without_berth {
        let device = named(&without.device);
        levels.unserved[usize::try_from(device.priority - 1).expect("1, 2 or 3")] += 1;
        levels.missing += micro(device.missing_wh());
    }
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
        levels,
        berths: berths.collect(),
        without_berth: without.collect(),
        pools: pools.collect(),
        document: serde_json::to_string(&plan).expect("a plan serialises"),
    }
}

//! What a charger promises a berth, whatever rule it shares by (section 6).

use std::cell::RefCell;
use std::collections::HashMap;

use super::contract::{Contract, most_asked_w, promised_contract};
use super::offers::offers_at;
use super::options::Choice;
use super::rounding::micro;
use super::rules::governing;
use super::setup::{Charger, Device, Line, Port, Setup};
use super::stay::{end_of, ready_by, start_of};
use super::time::hours;

/// The time of what never ends: later than any.
pub(crate) const NEVER: i64 = i64::MAX / 4;

/// Nothing is withheld below this while power is left.
const FLOOR_W: f64 = 7.5;

/// What a berth is promised.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Promise {
    pub(crate) contract: Option<Contract>,
    /// To full, from the start of the berth on; `None` where never.
    pub(crate) hours: Option<f64>,
    /// When the device is full, in whole microhours; [`NEVER`] where never.
    pub(crate) finish: i64,
    pub(crate) late: bool,
}

/// What a charger gives a berth at least.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Grant {
    /// In whole microwatts.
    pub(crate) watts: i64,
    /// 0 where no floor counts.
    pub(crate) floor_w: f64,
}

/// A device's place: the device, the charger, its port, the cable.
type Seat = (usize, usize, usize, usize);

/// The contract and the hours with the port at some watts.
type Outcome = (Option<Contract>, Option<f64>);

/// The promises of a setup's plans; what was worked out once is kept.
pub(crate) struct Promises<'a> {
    setup: &'a Setup,
    /// In the promised reading.
    devices: Vec<Device>,
    demands: RefCell<HashMap<Seat, i64>>,
    outcomes: RefCell<HashMap<(Seat, i64), Outcome>>,
}

/// A device and what it has chosen.
pub(crate) type Berth<'b> = (usize, &'b Choice);

impl<'a> Promises<'a> {
    pub(crate) fn new(setup: &'a Setup) -> Self {
        Self {
            setup,
            devices: setup.devices.iter().map(Device::as_promised).collect(),
            demands: RefCell::default(),
            outcomes: RefCell::default(),
        }
    }

    /// Per device what its berth is promised.
    pub(crate) fn of_plan(&self, chosen: &[Option<Choice>]) -> Vec<Option<Promise>> {
        let berths: Vec<Berth<'_>> = berthed(chosen).collect();
        chosen
            .iter()
            .enumerate()
            .map(|(d, choice)| choice.as_ref().map(|choice| self.of((d, choice), &berths)))
            .collect()
    }

    /// What one of these berths is promised.
    pub(crate) fn of(&self, berth: Berth<'_>, berths: &[Berth<'_>]) -> Promise {
        let grant = self.grant(berth, berths);
        let (contract, hours) = match self.held_at(berth, grant) {
            Some(limit_w) => self.outcome(berth, limit_w),
            None => (None, None),
        };
        let stay = berth.1.stay;
        let start = start_of(self.setup, stay.first);
        let finish = hours.map_or(NEVER, |hours| start.saturating_add(micro(hours)));
        let ready_by = ready_by(self.setup, &self.devices[berth.0]);
        Promise {
            contract,
            hours,
            finish,
            late: finish > ready_by || finish > end_of(self.setup, stay.last),
        }
    }

    /// The least grant, and the least floor, of the sessions that the berth lasts.
    pub(crate) fn grant(&self, berth: Berth<'_>, berths: &[Berth<'_>]) -> Grant {
        let stay = berth.1.stay;
        let grants = (stay.first..=stay.last).map(|session| {
            let lasts = |b: &&Berth<'_>| (b.1.stay.first..=b.1.stay.last).contains(&session);
            let there: Vec<Berth<'_>> = berths.iter().filter(lasts).copied().collect();
            self.grant_among(berth, &there)
        });
        grants
            .reduce(|a, b| Grant {
                watts: a.watts.min(b.watts),
                floor_w: a.floor_w.min(b.floor_w),
            })
            .expect("a berth lasts a session")
    }

    /// The grant of a berth among those that are there with it.
    fn grant_among(&self, berth: Berth<'_>, there: &[Berth<'_>]) -> Grant {
        let (charger, port) = self.charger_and_port(berth);
        let here: Vec<Berth<'_>> = there
            .iter()
            .filter(|b| b.1.charger == berth.1.charger)
            .copied()
            .collect();
        let in_use: Vec<usize> = here.iter().map(|b| b.1.port).collect();
        let lines: Vec<&Line> = charger
            .lines
            .as_ref()
            .map_or_else(Vec::new, |lines| governing(lines, &in_use));
        let given = lines.iter().filter_map(|line| line.watts[berth.1.port]);
        let least_given_w = given.fold(f64::INFINITY, f64::min);

        let mut floor_w = pools_floor_w(charger, berth.1.port);
        let mut watts = i64::MAX;
        for pool in holding(charger, berth.1.port) {
            let others = here
                .iter()
                .filter(|b| b.0 != berth.0 && pool.ports.contains(&b.1.port));
            let loads: i64 = others.map(|&b| self.load(b, &lines)).sum();
            watts = watts.min(micro(pool.max_w) - loads);
        }
        floor_w = floor_w.min(least_given_w);
        watts = watts
            .max(micro(floor_w))
            .min(micro(port.cap_w))
            .min(micro(least_given_w));
        Grant { watts, floor_w }
    }

    /// What a berth can take from others.
    fn load(&self, berth: Berth<'_>, lines: &[&Line]) -> i64 {
        let (charger, port) = self.charger_and_port(berth);
        let load = if charger.reserves_tier {
            micro(port.cap_w)
        } else {
            self.demand(berth)
        };
        let given = lines.iter().filter_map(|line| line.watts[berth.1.port]);
        given.map(micro).max().map_or(load, |most| load.min(most))
    }

    /// The most that its device asks there, in whole microwatts.
    pub(crate) fn demand(&self, berth: Berth<'_>) -> i64 {
        *self
            .demands
            .borrow_mut()
            .entry(seat(berth))
            .or_insert_with(|| {
                let (_, port) = self.charger_and_port(berth);
                let offers = offers_at(port, port.cap_w);
                let cable = &self.setup.cables[berth.1.cable];
                let device = &self.setup.devices[berth.0];
                micro(most_asked_w(&offers, port.cap_w, cable, device))
            })
    }

    /// The watts at which the promised contract is made; `None` where there are none.
    fn held_at(&self, berth: Berth<'_>, grant: Grant) -> Option<f64> {
        let (_, port) = self.charger_and_port(berth);
        if grant.watts >= self.demand(berth) {
            return Some(port.cap_w);
        }
        let within = |tier: &&f64| micro(**tier) <= grant.watts;
        let tier = port.tiers_w.iter().rev().find(within).copied();
        let floor = (grant.floor_w > 0.0).then_some(grant.floor_w);
        match (tier, floor) {
            (Some(tier), Some(floor)) => Some(if micro(floor) > micro(tier) {
                floor
            } else {
                tier
            }),
            (tier, floor) => tier.or(floor),
        }
    }

    fn outcome(&self, berth: Berth<'_>, limit_w: f64) -> Outcome {
        *self
            .outcomes
            .borrow_mut()
            .entry((seat(berth), micro(limit_w)))
            .or_insert_with(|| {
                let (_, port) = self.charger_and_port(berth);
                let cable = &self.setup.cables[berth.1.cable];
                let device = &self.devices[berth.0];
                let contract = promised_contract(port, limit_w, cable, device);
                let hours = contract.and_then(|contract| hours(device, contract.inlet_w));
                (contract, hours)
            })
    }

    /// A finishing time that no promise of this berth is better than, whatever berths are
    /// added to these (for the search alone). More berths take from a pool and give nothing;
    /// what a table says of more ports can be anything, so that there every tier is tried.
    pub(crate) fn at_soonest(&self, berth: Berth<'_>, berths: &[Berth<'_>]) -> i64 {
        let (charger, port) = self.charger_and_port(berth);
        let most = if charger.lines.is_some() {
            i64::MAX
        } else {
            self.grant(berth, berths).watts
        };
        let mut limits: Vec<f64> = port
            .tiers_w
            .iter()
            .copied()
            .filter(|&tier| micro(tier) <= most)
            .collect();
        limits.push(pools_floor_w(charger, berth.1.port));
        if most >= self.demand(berth) {
            limits.push(port.cap_w);
        }
        limits.retain(|&limit_w| limit_w > 0.0);
        let times = limits
            .into_iter()
            .filter_map(|limit_w| self.outcome(berth, limit_w).1);
        let start = start_of(self.setup, berth.1.stay.first);
        times
            .map(|hours| start.saturating_add(micro(hours)))
            .min()
            .unwrap_or(NEVER)
    }

    fn charger_and_port(&self, berth: Berth<'_>) -> (&'a Charger, &'a Port) {
        let charger = &self.setup.chargers[berth.1.charger];
        (charger, &charger.ports[berth.1.port])
    }
}

/// The berths of a plan.
pub(crate) fn berthed(chosen: &[Option<Choice>]) -> impl Iterator<Item = Berth<'_>> {
    chosen
        .iter()
        .enumerate()
        .filter_map(|(d, choice)| choice.as_ref().map(|choice| (d, choice)))
}

fn seat(berth: Berth<'_>) -> Seat {
    (berth.0, berth.1.charger, berth.1.port, berth.1.cable)
}

/// The pools that hold a port.
fn holding(charger: &Charger, port: usize) -> impl Iterator<Item = &super::setup::Pool> {
    let pools = charger.pools.iter();
    pools.filter(move |pool| pool.ports.contains(&port))
}

/// What a port keeps though nothing is left: as far as its pools have it for all of their
/// ports. A supply with a plug of another kind gives what it prints, or nothing.
#[expect(clippy::cast_precision_loss, reason = "a handful of ports")]
fn pools_floor_w(charger: &Charger, port: usize) -> f64 {
    if charger.ports[port].connector.starts_with("other:") {
        return 0.0;
    }
    let shares = holding(charger, port).map(|pool| pool.max_w / pool.ports.len() as f64);
    shares.fold(FLOOR_W.min(charger.ports[port].cap_w), f64::min)
}

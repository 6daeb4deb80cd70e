//! Least reasons against trying every plan: with the named limits alone what was asked
//! cannot be had, and without any one of them it can.
//!
//! What a limit is that is left out stands at `Because` and `LimitKind` of the library: a
//! device may stay unplugged; a pool or a table is not there; any number of devices sits
//! on each port with the connector, each as if it had one of its own; there are as many
//! cables of the kind as are wanted.

use serde_json::Value;
use wattberth::{Because, BindingLimit, LimitKind, Setup, Shortfall, assign_with};

use super::against_library::{compare_all, patient};
use super::model::options::{Choice, options_of};
use super::model::promise::{NEVER, Promises};
use super::model::rounding::micro;
use super::model::rules::{lines_hold, lines_may_hold, pools_hold};
use super::model::search::least_of_each_place;
use super::model::setup::{self, Aim};
use super::random_setup::crowd::crowded_setup;
use super::random_setup::{open, small_setup};

/// What lies half-way between two whole microhours may be rounded either way.
const STEP: i64 = 1;

#[test]
fn reasons_are_least() {
    compare_all(small_setup, 400, faults);
}

#[test]
fn reasons_are_least_where_it_is_crowded() {
    compare_all(crowded_setup, 100, faults);
}

#[test]
fn reasons_are_least_where_much_is_open() {
    compare_all(open::small_setup, 400, faults);
}

#[test]
fn reasons_are_least_where_it_is_crowded_and_much_is_open() {
    compare_all(open::crowded_setup, 100, faults);
}

/// What is wrong with the reasons of a setup's plan.
fn faults(json: &str) -> Vec<String> {
    let setup = Setup::from_json(json).expect("a valid setup");
    let mut options = patient();
    options.because = true;
    let plan = assign_with(&setup, &options).expect("a plan");
    let mut faults = missing(&plan, json);
    for because in &plan.because {
        let asked = Asked::of(json, &plan, because);
        let named = &because.limits;
        if asked.is_possible(named, -STEP) {
            faults.push(format!("it can be had all the same: {because:?}"));
        }
        if !because.least {
            continue;
        }
        for (left_out, limit) in named.iter().enumerate() {
            let mut rest = named.clone();
            rest.remove(left_out);
            if !asked.is_possible(&rest, STEP) {
                faults.push(format!("it is not needed: {limit:?} in {because:?}"));
            }
        }
    }
    faults
}

/// What a plan falls short in without a reason.
fn missing(plan: &wattberth::Plan, json: &str) -> Vec<String> {
    let told = |about: Shortfall, device: &str| {
        let reasons = plan.because.iter().filter(|of| of.about == about);
        reasons.flat_map(|of| &of.devices).any(|of| of == device)
    };
    let without = plan.without_berth.iter();
    let mut faults: Vec<String> = without
        .filter(|of| !told(Shortfall::Unserved, &of.device))
        .map(|of| format!("no reason for {}", of.device))
        .collect();
    let model = setup::read(json);
    let by_aim = |berth: &wattberth::Berth| match model.aim {
        Aim::Best => Some(berth.hours),
        Aim::Promise => berth.promised_h,
    };
    let times: Vec<i64> = plan.berths.iter().filter_map(by_aim).map(micro).collect();
    let longest = times.iter().copied().max().unwrap_or(0);
    let is_told = plan.because.iter().any(|of| of.about == Shortfall::Longest);
    if (longest > model.tolerance) != is_told {
        faults.push(format!("a longest time of {longest}, told: {is_told}"));
    }
    for berth in plan.berths.iter().filter(|of| by_aim(of).is_none()) {
        let is_told = told(Shortfall::Uncertain, &berth.device);
        if !is_told && !told(Shortfall::Late, &berth.device) {
            faults.push(format!(
                "no reason for {}, which is never full",
                berth.device
            ));
        }
    }
    if model.aim == Aim::Best {
        for berth in plan.berths.iter().filter(|of| of.late) {
            if !told(Shortfall::Late, &berth.device) {
                faults.push(format!("no reason for {}, which is late", berth.device));
            }
        }
    }
    faults
}

/// A question about a setup, to be answered where only some limits hold.
struct Asked {
    json: Value,
    /// By device that comes before the question, when it must be full.
    beside: Vec<(String, i64)>,
}

impl Asked {
    fn of(json: &str, plan: &wattberth::Plan, because: &Because) -> Self {
        let json: Value = serde_json::from_str(json).expect("JSON");
        let aim = setup::read(&json.to_string()).aim;
        let time = |name: &String| {
            let mut berths = plan.berths.iter();
            let berth = berths
                .find(|of| of.device == *name)
                .expect("it has a berth");
            let hours = match aim {
                Aim::Best => Some(berth.hours),
                Aim::Promise => berth.promised_h,
            };
            (name.clone(), hours.map_or(NEVER, micro))
        };
        Self {
            beside: because.beside.iter().map(time).collect(),
            json,
        }
    }

    /// Whether the devices among the limits can have what is asked, where only these limits
    /// hold, with times that are so much longer.
    fn is_possible(&self, limits: &[BindingLimit], slack: i64) -> bool {
        let setup = self.reduced(limits);
        let mut demands = vec![None; setup.devices.len()];
        let at = |name: &str| {
            let found = setup.devices.iter().position(|of| of.name == name);
            found.expect("a device of the setup")
        };
        for (name, by) in &self.beside {
            demands[at(name)] = Some(*by + slack);
        }
        for limit in limits.iter().filter(|of| of.limit == LimitKind::Device) {
            let name = limit.device.as_deref().expect("its name");
            let by = match (limit.by_h, limit.full) {
                (Some(by_h), _) => micro(by_h) + slack,
                (None, Some(true)) => NEVER - 1,
                _ => NEVER,
            };
            demands[at(name)] = Some(by);
        }
        let named = |kind: LimitKind| limits.iter().filter(move |of| of.limit == kind);
        let ports = named(LimitKind::Ports).filter_map(|of| of.connector.clone());
        let cables = named(LimitKind::Cables).flat_map(|of| of.cables.clone());
        let tries = Tries {
            promises: Promises::new(&setup),
            options: options(&setup, &demands),
            setup: &setup,
            demands,
            ports: ports.collect(),
            cables: cables.collect(),
        };
        tries.any(&mut Vec::new())
    }

    /// The setup with no other pools and tables than those named.
    fn reduced(&self, limits: &[BindingLimit]) -> setup::Setup {
        let holds = |kind: LimitKind, charger: &str, pool: Option<&str>| {
            limits.iter().any(|of| {
                of.limit == kind
                    && of.charger.as_deref() == Some(charger)
                    && of.pool.as_deref() == pool
            })
        };
        let mut json = self.json.clone();
        let chargers = json["chargers"].as_array_mut().expect("chargers");
        for charger in chargers {
            let name = charger["name"].as_str().expect("a name").to_owned();
            if !holds(LimitKind::Combinations, &name, None)
                && let Some(charger) = charger.as_object_mut()
            {
                charger.remove("combinations");
            }
        }
        let mut setup = setup::read(&json.to_string());
        for charger in &mut setup.chargers {
            let name = charger.name.clone();
            charger
                .pools
                .retain(|pool| holds(LimitKind::Pool, &name, Some(&pool.name)));
        }
        setup
    }
}

/// By device, the ways to sit that can be what is asked, of each place those that take the
/// least.
fn options(setup: &setup::Setup, demands: &[Option<i64>]) -> Vec<Vec<Choice>> {
    let of_device = |(device, demand): (&setup::Device, &Option<i64>)| {
        let mut options = options_of(setup, device);
        if setup.aim == Aim::Best {
            options.retain(|option| demand.is_some_and(|by| option.stay.finish <= by));
        }
        least_of_each_place(setup, &options)
    };
    setup.devices.iter().zip(demands).map(of_device).collect()
}

struct Tries<'a> {
    setup: &'a setup::Setup,
    promises: Promises<'a>,
    options: Vec<Vec<Choice>>,
    /// By device, by when it must be full; `None` where nothing is asked for it.
    demands: Vec<Option<i64>>,
    /// Connectors of which each port serves one device.
    ports: Vec<String>,
    /// Cables of which there are no more than there are.
    cables: Vec<String>,
}

impl Tries<'_> {
    fn any(&self, chosen: &mut Vec<Option<Choice>>) -> bool {
        let berths: Vec<Choice> = chosen.iter().flatten().cloned().collect();
        let may_stand = self.places_hold(&berths)
            && pools_hold(self.setup, &berths)
            && lines_may_hold(self.setup, &berths);
        if !may_stand {
            return false;
        }
        if chosen.len() == self.demands.len() {
            return lines_hold(self.setup, &berths) && self.in_time(chosen);
        }
        let device = chosen.len();
        let options = match self.demands[device] {
            None => vec![None],
            Some(_) => self.options[device].iter().cloned().map(Some).collect(),
        };
        options.into_iter().any(|option| {
            chosen.push(option);
            let found = self.any(chosen);
            chosen.pop();
            found
        })
    }

    fn places_hold(&self, berths: &[Choice]) -> bool {
        let connector = |x: &Choice| &self.setup.chargers[x.charger].ports[x.port].connector;
        let taken_twice = berths.iter().enumerate().any(|(i, a)| {
            let same = |b: &Choice| (a.charger, a.port) == (b.charger, b.port);
            self.ports.contains(connector(a)) && berths[..i].iter().any(same)
        });
        // Alike cables count together; leads with their ports.
        let named: Vec<usize> = (0..self.setup.cables.len())
            .filter(|&k| {
                let cable = &self.setup.cables[k];
                cable.lead_of.is_none() && self.cables.contains(&cable.name)
            })
            .collect();
        let enough = named.iter().all(|&k| {
            let used = berths.iter().filter(|x| x.cable == k).count() as u64;
            used <= self.setup.cables[k].count
        });
        !taken_twice && enough
    }

    fn in_time(&self, chosen: &[Option<Choice>]) -> bool {
        let promises = self.promises.of_plan(chosen);
        let mut each = self.demands.iter().zip(chosen.iter().zip(promises));
        each.all(|(demand, (choice, promise))| {
            let (Some(by), Some(choice), Some(promise)) = (demand, choice, promise) else {
                return true;
            };
            match self.setup.aim {
                Aim::Best => choice.stay.finish <= *by,
                Aim::Promise => promise.finish <= *by,
            }
        })
    }
}

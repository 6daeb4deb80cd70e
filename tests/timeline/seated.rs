//! A plan's night beside the second implementation's reading of the same setup.

use wattberth::{Happening, Plan, Setup, Timeline, TimelineOptions, assign, timeline_with};

use crate::model::contract::{Contract, negotiate};
use crate::model::offers::offers_at;
use crate::model::options::Choice;
use crate::model::rounding::micro;
use crate::model::setup::{self, Device};
use crate::model::stay::{held, stay};

pub(crate) struct Seated {
    pub(crate) json: String,
    pub(crate) setup: setup::Setup,
    pub(crate) plan: Plan,
    pub(crate) night: Timeline,
    /// In the order of the series.
    pub(crate) berths: Vec<Berth>,
}

/// A device on its port.
pub(crate) struct Berth {
    pub(crate) device: usize,
    pub(crate) charger: usize,
    pub(crate) cable: usize,
    /// Its contracts, tiers ascending.
    pub(crate) ladder: Vec<Choice>,
    /// Those that it holds, each from a moment on.
    pub(crate) holds: Vec<(f64, Choice)>,
}

impl Seated {
    pub(crate) fn of(json: &str, options: &TimelineOptions) -> Self {
        let checked = Setup::from_json(json).expect("the generator writes setups");
        let plan = assign(&checked).expect("small setups are planned");
        let night = timeline_with(&checked, &plan, options).expect("the plan is the setup's");
        let setup = setup::read(json);
        let berths = night.series.iter().map(|series| {
            let named = plan.berths.iter().find(|b| b.device == series.device);
            let named = named.expect("a series is a berth's");
            let at = |names: Vec<&String>, name: &String| {
                names.iter().position(|n| *n == name).expect("a known name")
            };
            let device = at(
                setup.devices.iter().map(|d| &d.name).collect(),
                &named.device,
            );
            let charger = at(
                setup.chargers.iter().map(|c| &c.name).collect(),
                &named.charger,
            );
            let ports = &setup.chargers[charger].ports;
            let port = at(ports.iter().map(|p| &p.name).collect(), &named.port);
            // The leads of all ports have one name.
            let lead = (named.charger.clone(), named.port.clone());
            let lead_of = ports[port].has_lead.then_some(lead);
            let mut cables = setup.cables.iter();
            let cable = cables.position(|c| c.lead_of == lead_of && c.name == named.cable);
            let cable = cable.expect("a known name");
            let mut berth = Berth {
                device,
                charger,
                cable,
                ladder: ladder(&setup, device, charger, port, cable),
                holds: Vec::new(),
            };
            berth.holds = night
                .events
                .iter()
                .filter(|event| event.device.as_ref() == Some(&series.device))
                .filter_map(|event| {
                    let held = event.contract.as_ref()?;
                    Some((event.at_h, berth.rung(held.volts, held.amps, held.tier_w)))
                })
                .collect();
            berth
        });
        Self {
            json: json.to_owned(),
            berths: berths.collect(),
            plan,
            night,
            setup,
        }
    }

    pub(crate) fn device(&self, berth: &Berth) -> &Device {
        &self.setup.devices[berth.device]
    }

    /// When something happens to a device on a charger by itself, each moment once.
    pub(crate) fn moments(&self, charger: usize) -> Vec<f64> {
        let mut moments: Vec<f64> = Vec::new();
        for event in &self.night.events {
            let by_itself = matches!(
                event.what,
                Happening::Taper | Happening::Unfilled | Happening::Full
            );
            let here = self.berths.iter().any(|berth| {
                berth.charger == charger && event.device.as_ref() == Some(&self.device(berth).name)
            });
            if by_itself && here && moments.last() != Some(&event.at_h) {
                moments.push(event.at_h);
            }
        }
        moments.sort_by(f64::total_cmp);
        moments.dedup();
        moments
    }

    /// The state of charge of a berth's device at one of the series' points.
    pub(crate) fn pct_at(&self, berth: &Berth, at_h: f64) -> f64 {
        let mut series = self.night.series.iter();
        let series = series.find(|s| s.device == self.device(berth).name);
        let series = series.expect("every berth has a series");
        let next = series.at_h.partition_point(|point| *point < at_h);
        let Some(&next_h) = series.at_h.get(next) else {
            return *series.soc_pct.last().expect("a series has points");
        };
        if next_h - at_h < 1e-12 || next == 0 {
            return series.soc_pct[next];
        }
        // Another device's event: the way there from the point before, by a bisection on
        // the exact time between two states.
        let from_h = series.at_h[next - 1];
        let held = berth.held(from_h.midpoint(at_h));
        let (mut low, mut high) = (series.soc_pct[next - 1], series.soc_pct[next]);
        let from = low;
        for _ in 0..200 {
            let middle = low.midpoint(high);
            let part = Device {
                start_pct: from,
                target_pct: middle,
                ..self.device(berth).clone()
            };
            let hours = crate::model::time::hours(&part, held.contract.inlet_w);
            if hours.is_some_and(|hours| from_h + hours <= at_h) {
                low = middle;
            } else {
                high = middle;
            }
        }
        low
    }
}

impl Berth {
    /// The contract that it holds just after `at_h`.
    pub(crate) fn held(&self, at_h: f64) -> &Choice {
        let held = self.holds.iter().rev().find(|(from_h, _)| *from_h <= at_h);
        &held.expect("a berth begins with a contract").1
    }

    /// The contract that it holds just before `at_h`.
    pub(crate) fn held_before(&self, at_h: f64) -> &Choice {
        let held = self.holds.iter().rev().find(|(from_h, _)| *from_h < at_h);
        // At the very start it is the plan's.
        let held = held.or(self.holds.first());
        &held.expect("a berth begins with a contract").1
    }

    fn rung(&self, volts: f64, amps: f64, tier_w: f64) -> Choice {
        let same = |choice: &&Choice| {
            (micro(choice.contract.volts) - micro(volts)).abs() <= 1
                && (micro(choice.contract.amps) - micro(amps)).abs() <= 1
                && micro(choice.tier_w) == micro(tier_w)
        };
        let rung = self.ladder.iter().find(same);
        rung.expect("a contract that port, cable and device agree on")
            .clone()
    }
}

fn ladder(
    setup: &setup::Setup,
    device: usize,
    charger: usize,
    port: usize,
    cable: usize,
) -> Vec<Choice> {
    let socket = &setup.chargers[charger].ports[port];
    let mut found: Vec<Choice> = Vec::new();
    for &tier_w in &socket.tiers_w {
        let offers = offers_at(socket, tier_w);
        let contract: Option<Contract> = negotiate(
            &offers,
            tier_w,
            &setup.cables[cable],
            &setup.devices[device],
        );
        let Some(contract) = contract else {
            continue;
        };
        if found.iter().all(|choice| !choice.contract.same(&contract)) {
            let stay = stay(setup, &setup.devices[device], 0, 0.0);
            found.push(Choice {
                charger,
                port,
                cable,
                held: held(setup, stay, contract.volts * contract.amps),
                contract,
                tier_w,
                hours: 0.0,
                stay,
                late: false,
            });
        }
    }
    found
}

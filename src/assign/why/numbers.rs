//! A reason with its numbers.

use super::{Asked, Core, Question};
use crate::assign::options::PortGroup;
use crate::assign::possible::{Demand, Shared};
use crate::plan::because::{Because, BindingLimit, LimitKind};
use crate::plan::promise::NEVER;
use crate::setup::Setup;
use crate::setup::document::Aim;
use crate::solve::budget::Budget;
use crate::solve::model::Column;
use crate::units::{from_millionths, millionths, rounded};

impl Asked<'_> {
    /// The reason as data.
    pub(super) fn told(
        &mut self,
        question: &Question,
        core: &Core,
        budget: &mut Budget,
    ) -> Because {
        let named = |device: &usize| self.setup.devices[*device].name.clone();
        let devices = question.devices.iter().map(named).collect();
        let asked = |device: &&usize| core.demands[**device] != Demand::Nothing;
        let beside = question.beside.iter().filter(asked).map(named).collect();
        let mut limits = self.devices(question, core, budget);
        for shared in &core.shared {
            limits.push(self.shared(shared, core, budget));
        }
        Because {
            about: question.about,
            devices,
            beside,
            limits,
            least: core.least,
        }
    }

    /// The devices that matter.
    fn devices(
        &mut self,
        question: &Question,
        core: &Core,
        budget: &mut Budget,
    ) -> Vec<BindingLimit> {
        let ways = self.possible.ways(&self.limits, budget);
        let alone = |device: usize| {
            let (model, _) = ways?;
            let own = model.of_device(device);
            own.map(|column| model.column(column).time).min()
        };
        let mut limits = Vec::new();
        for (device, &demand) in core.demands.iter().enumerate() {
            let Demand::Berth { by, in_time } = demand else {
                continue;
            };
            if question.beside.contains(&device) {
                continue;
            }
            let spec = &self.setup.devices[device];
            let ready_by = spec.ready_by_h.filter(|_| in_time).map(millionths);
            let by = ready_by.map_or(by, |ready_by| ready_by.min(by));
            limits.push(BindingLimit {
                device: Some(spec.name.clone()),
                by_h: (by < NEVER - 1).then(|| from_millionths(by)),
                full: (by == NEVER - 1).then_some(true),
                alone_h: alone(device)
                    .filter(|&time| time < NEVER)
                    .map(from_millionths),
                ..BindingLimit::of(LimitKind::Device)
            });
        }
        limits
    }

    fn shared(&mut self, shared: &Shared, core: &Core, budget: &mut Budget) -> BindingLimit {
        let setup = self.setup;
        let charger = |at: usize| Some(setup.chargers[at].name.clone());
        match shared {
            &Shared::Pool { charger: at, pool } => {
                let spec = &setup.chargers[at].pools[pool];
                BindingLimit {
                    charger: charger(at),
                    pool: Some(spec.name.clone()),
                    max_w: Some(rounded(spec.max_w)),
                    asked_w: self.asked_of(at, pool, core, budget),
                    ..BindingLimit::of(LimitKind::Pool)
                }
            }
            &Shared::Table { charger: at } => BindingLimit {
                charger: charger(at),
                ..BindingLimit::of(LimitKind::Combinations)
            },
            Shared::Ports(connector) => {
                let ports = setup.chargers.iter().flat_map(|of| &of.ports);
                BindingLimit {
                    connector: Some(connector.to_string()),
                    count: Some(ports.filter(|port| port.connector == *connector).count()),
                    ..BindingLimit::of(LimitKind::Ports)
                }
            }
            &Shared::Cables(first) => self.cables(first),
        }
    }

    fn cables(&self, first: usize) -> BindingLimit {
        let mut kinds = self.choices.cables.iter();
        let alike = kinds.find(|group| group.cables[0] == first);
        let names = alike.map(|group| {
            let names = group.cables.iter();
            names
                .map(|&at| self.setup.cables[at].name.clone())
                .collect()
        });
        let count = alike.and_then(|group| usize::try_from(group.count).ok());
        BindingLimit {
            cables: names.unwrap_or_default(),
            count,
            ..BindingLimit::of(LimitKind::Cables)
        }
    }

    /// The least that the devices that matter take of a pool together, where each has what is
    /// asked for it and nothing else is shared.
    fn asked_of(
        &mut self,
        charger: usize,
        pool: usize,
        core: &Core,
        budget: &mut Budget,
    ) -> Option<f64> {
        let (model, groups) = self.possible.ways(&self.limits, budget)?;
        let of = &self.setup.chargers[charger].pools[pool];
        let is_in = |group: &PortGroup| {
            group.charger == charger && group.ports.iter().all(|port| of.ports.contains(port))
        };
        let mut sum = 0;
        for (device, &demand) in core.demands.iter().enumerate() {
            if demand == Demand::Nothing {
                continue;
            }
            let columns = model.of_device(device).map(|column| model.column(column));
            let fit = columns.filter(|column| demand.is_met_by(column));
            let least = fit.map(|column| {
                let takes = is_in(&groups[column.port]);
                if takes { drawn(self.setup, column) } else { 0 }
            });
            sum += least.min().unwrap_or(0);
        }
        Some(from_millionths(sum))
    }
}

/// What a column takes of a pool, as its limit counts: what is held at best, or what can be
/// drawn where it is about what is certain.
fn drawn(setup: &Setup, column: &Column) -> i64 {
    match setup.aim {
        Aim::Best => column.takes,
        Aim::Promise => column.load,
    }
}

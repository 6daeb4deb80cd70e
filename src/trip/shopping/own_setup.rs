//! A bag as a setup of its own: what is bought is one's own, and what stays at home is not
//! there.

use std::collections::BTreeMap;

use super::Question;
use super::goods::{From, Good, bought};
use super::kits::Bag;
use crate::setup::document::{Adapter, SetupDocument};

impl Question<'_> {
    /// The setup of a bag: what is bought is one's own.
    pub(super) fn document(&self, bag: &Bag, appliances: &[usize]) -> SetupDocument {
        let mut document = self.setup.document().clone();
        let shop = document.shop.take().unwrap_or_default();
        document.sessions.clear();
        for device in &mut document.devices {
            device.sessions = None;
        }
        let own_chargers = std::mem::take(&mut document.chargers);
        let own_cables = std::mem::take(&mut document.cables);
        let mut adapters = bag.rest.adapters.clone();
        let mut numbered: BTreeMap<usize, usize> = BTreeMap::new();
        for &source in &bag.kit {
            let good = &self.goods.sources[source];
            if good.spec.adapter.is_some() {
                let same = |other: &Good<_>| other.from == good.from;
                if let Some(at) = self.goods.adapters.iter().position(same) {
                    adapters[at] += 1;
                }
                continue;
            }
            document.chargers.push(match good.from {
                From::Bag(at) => own_chargers[at].clone(),
                From::Shop(at) => {
                    let charger = &shop.chargers[at];
                    let number = numbered.entry(source).or_default();
                    *number += 1;
                    let several = bag.kit.iter().filter(|&&other| other == source).count() > 1;
                    let name = if several {
                        format!("{} {number}", charger.name)
                    } else {
                        charger.name.clone()
                    };
                    bought(charger, name)
                }
            });
        }
        for (good, &count) in self.goods.cables.iter().zip(&bag.rest.cables) {
            if count == 0 {
                continue;
            }
            let mut cable = match good.from {
                From::Bag(at) => own_cables[at].clone(),
                From::Shop(at) => shop.cables[at].clone(),
            };
            cable.count = u32::try_from(count).ok();
            document.cables.push(cable);
        }
        self.unpin(&mut document);
        let Some(trip) = &mut document.trip else {
            return document;
        };
        let own = std::mem::take(&mut trip.adapters);
        // As the route has them: those with ports of their own are listed piece by piece.
        let of_route = own.iter().enumerate().flat_map(|(at, adapter)| {
            let pieces = if adapter.ports.is_empty() {
                1
            } else {
                adapter.count.unwrap_or(1)
            };
            (0..pieces).map(move |_| at)
        });
        let of_route: Vec<usize> = of_route.collect();
        for (good, &count) in self.goods.adapters.iter().zip(&adapters) {
            if count == 0 {
                continue;
            }
            let adapter = match good.from {
                From::Bag(at) => &own[of_route[at]],
                From::Shop(at) => &shop.adapters[at],
            };
            let count = u32::try_from(count).unwrap_or(u32::MAX);
            match trip
                .adapters
                .iter_mut()
                .find(|known| known.name == adapter.name)
            {
                Some(known) => known.count = Some(known.count.unwrap_or(1) + count),
                None => trip.adapters.push(Adapter {
                    count: Some(count),
                    ..adapter.clone()
                }),
            }
        }
        let own = std::mem::take(&mut trip.converters);
        for (good, &taken) in self.goods.converters.iter().zip(&bag.rest.converters) {
            if taken {
                trip.converters.push(match good.from {
                    From::Bag(at) => own[at].clone(),
                    From::Shop(at) => shop.converters[at].clone(),
                });
            }
        }
        let all = std::mem::take(&mut trip.appliances).into_iter().enumerate();
        let taken = all.filter(|(at, _)| appliances.contains(at));
        trip.appliances = taken.map(|(_, appliance)| appliance).collect();
        document
    }

    /// A pin onto what stays at home holds nothing.
    fn unpin(&self, document: &mut SetupDocument) {
        let mut expanded = self.setup.devices.iter();
        for device in &mut document.devices {
            let count = usize::try_from(device.count.unwrap_or(1)).unwrap_or(1);
            let Some(spec) = expanded.by_ref().take(count).last() else {
                continue;
            };
            let charger = spec
                .pinned_port
                .map(|port| &self.setup.chargers[port.charger.0].name);
            if charger.is_some_and(|name| document.chargers.iter().all(|c| c.name != *name)) {
                device.port = None;
            }
            let cable = device.cable.as_ref();
            if cable.is_some_and(|name| document.cables.iter().all(|c| c.name != *name)) {
                device.cable = None;
            }
        }
    }
}

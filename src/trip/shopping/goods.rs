//! Everything that could go into the bag: what is owned and what is for sale, by what it is
//! good for, each with what it weighs and costs.

use std::ops::{Add, AddAssign};

use crate::limits::SOURCES;
use crate::setup::document::Charger;
use crate::setup::{
    AdapterSpec, CableSpec, ChargerSpec, ConverterSpec, DeviceSpec, MainsSide, Setup, TripSpec,
};
use crate::units::{from_millionths, millionths};

use super::PackBy;

/// What things weigh and cost, in whole tenths of a gram and hundredths of the price's unit,
/// and how many they are.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub(super) struct Worth {
    pub(super) weight: i64,
    pub(super) price: i64,
    pub(super) pieces: i64,
}

impl Worth {
    fn one(weight_g: Option<f64>, price: Option<f64>) -> Self {
        Self {
            weight: millionths(weight_g.unwrap_or(0.0) / 1e5),
            price: millionths(price.unwrap_or(0.0) / 1e4),
            pieces: 1,
        }
    }

    pub(super) fn weight_g(&self) -> f64 {
        from_millionths(self.weight * 100_000)
    }

    pub(super) fn price(&self) -> f64 {
        from_millionths(self.price * 10_000)
    }

    /// What is wanted least first, the others behind it: the better is the lesser.
    pub(super) fn key(&self, by: PackBy) -> [i64; 3] {
        let Self {
            weight,
            price,
            pieces,
        } = *self;
        match by {
            PackBy::Weight => [weight, price, pieces],
            PackBy::Price => [price, weight, pieces],
            PackBy::Pieces => [pieces, weight, price],
        }
    }

    pub(super) fn times(&self, count: usize) -> Self {
        let count = i64::try_from(count).unwrap_or(i64::MAX);
        Self {
            weight: self.weight.saturating_mul(count),
            price: self.price.saturating_mul(count),
            pieces: self.pieces.saturating_mul(count),
        }
    }
}

impl Add for Worth {
    type Output = Self;

    fn add(self, other: Self) -> Self {
        Self {
            weight: self.weight + other.weight,
            price: self.price + other.price,
            pieces: self.pieces + other.pieces,
        }
    }
}

impl AddAssign for Worth {
    fn add_assign(&mut self, other: Self) {
        *self = *self + other;
    }
}

/// Where a thing comes from, and its place in the list there.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum From {
    Bag(usize),
    Shop(usize),
}

impl From {
    pub(super) fn is_bought(self) -> bool {
        matches!(self, Self::Shop(_))
    }
}

/// Something of which there are several alike.
#[derive(Debug, Clone)]
pub(super) struct Good<T> {
    pub(super) spec: T,
    pub(super) from: From,
    pub(super) worth: Worth,
    /// How many of it could be taken.
    pub(super) most: usize,
}

/// A charger, or an adapter with USB ports of its own.
#[derive(Debug, Clone)]
pub(super) struct Source {
    pub(super) charger: ChargerSpec,
    pub(super) side: MainsSide,
    /// As an adapter, where it is one.
    pub(super) adapter: Option<AdapterSpec>,
}

/// All of it.
#[derive(Debug, Clone)]
pub(super) struct Goods {
    pub(super) sources: Vec<Good<Source>>,
    /// Those of the bag first, so that their places are those of the setup.
    pub(super) cables: Vec<Good<CableSpec>>,
    /// Those with ports of their own included, as what a plug goes through.
    pub(super) adapters: Vec<Good<AdapterSpec>>,
    pub(super) converters: Vec<Good<ConverterSpec>>,
}

impl Goods {
    /// What the setup has and what its shop sells; of a thing without a count as many as
    /// could be of use.
    pub(super) fn of(setup: &Setup, trip: Option<&TripSpec>) -> Self {
        let mut goods = Self {
            sources: Vec::new(),
            cables: Vec::new(),
            adapters: Vec::new(),
            converters: Vec::new(),
        };
        goods.own(setup, trip);
        goods.sold(setup, trip.is_some());
        goods
    }

    fn own(&mut self, setup: &Setup, trip: Option<&TripSpec>) {
        let document = setup.document();
        for (at, (charger, spec)) in document.chargers.iter().zip(&setup.chargers).enumerate() {
            let side = trip.and_then(|trip| trip.chargers.get(at));
            self.sources.push(Good {
                spec: Source {
                    charger: spec.clone(),
                    side: side.cloned().unwrap_or(MainsSide::UNKNOWN),
                    adapter: None,
                },
                from: From::Bag(at),
                worth: Worth::one(charger.weight_g, None),
                most: 1,
            });
        }
        for (at, (cable, spec)) in document.cables.iter().zip(setup.bag_cables()).enumerate() {
            self.cables.push(Good {
                spec: spec.clone(),
                from: From::Bag(at),
                worth: Worth::one(cable.weight_g, None),
                most: usize::try_from(spec.count).unwrap_or(usize::MAX),
            });
        }
        let Some(trip) = trip else { return };
        for (at, spec) in trip.adapters.iter().enumerate() {
            let worth = Worth::one(Some(spec.weight_g), None);
            self.adapter(spec, From::Bag(at), worth, 1, spec.count);
        }
        for (at, spec) in trip.converters.iter().enumerate() {
            self.converters.push(Good {
                spec: spec.clone(),
                from: From::Bag(at),
                worth: Worth::one(Some(spec.weight_g), None),
                most: 1,
            });
        }
    }

    fn sold(&mut self, setup: &Setup, route: bool) {
        let (Some(shop), Some(specs)) = (&setup.document().shop, &setup.shop) else {
            return;
        };
        let count = |count: Option<u32>| {
            count.map_or(usize::MAX, |count| {
                usize::try_from(count).unwrap_or(usize::MAX)
            })
        };
        let sides = specs.chargers.iter().zip(&specs.sides);
        for (at, (charger, (spec, side))) in shop.chargers.iter().zip(sides).enumerate() {
            self.sources.push(Good {
                spec: Source {
                    charger: spec.clone(),
                    side: side.clone(),
                    adapter: None,
                },
                from: From::Shop(at),
                worth: Worth::one(charger.weight_g, charger.price),
                most: count(charger.count).min(SOURCES.most),
            });
        }
        for (at, (cable, spec)) in shop.cables.iter().zip(&specs.cables).enumerate() {
            self.cables.push(Good {
                spec: spec.clone(),
                from: From::Shop(at),
                worth: Worth::one(cable.weight_g, cable.price),
                most: count(cable.count),
            });
        }
        if !route {
            return;
        }
        for (at, (adapter, spec)) in shop.adapters.iter().zip(&specs.adapters).enumerate() {
            let worth = Worth::one(adapter.weight_g, adapter.price);
            let most = count(adapter.count).min(SOURCES.most);
            let pieces = u32::try_from(most).unwrap_or(u32::MAX);
            self.adapter(spec, From::Shop(at), worth, most, pieces);
        }
        for (at, (converter, spec)) in shop.converters.iter().zip(&specs.converters).enumerate() {
            self.converters.push(Good {
                spec: spec.clone(),
                from: From::Shop(at),
                worth: Worth::one(converter.weight_g, converter.price),
                most: 1,
            });
        }
    }

    /// An adapter, which with ports of its own is a source, too.
    fn adapter(&mut self, spec: &AdapterSpec, from: From, worth: Worth, most: usize, pieces: u32) {
        if let Some((charger, side)) = &spec.charger {
            self.sources.push(Good {
                spec: Source {
                    charger: charger.clone(),
                    side: side.clone(),
                    adapter: Some(spec.clone()),
                },
                from,
                worth,
                most,
            });
        }
        self.adapters.push(Good {
            spec: spec.clone(),
            from,
            worth,
            most: usize::try_from(pieces)
                .unwrap_or(usize::MAX)
                .min(SOURCES.most),
        });
    }
}

impl Goods {
    /// By kind of cable, as many as could be had.
    pub(super) fn every_cable(&self) -> Vec<usize> {
        self.cables.iter().map(|good| good.most).collect()
    }

    /// The kinds of cables with the same ends, each sort with the one that does whatever any
    /// of them does; sorts without such a one are left out.
    pub(super) fn sorts(&self, devices: &[DeviceSpec]) -> Vec<(Vec<usize>, usize)> {
        let far = devices.iter().any(|device| device.reach_m > 0.0);
        let does_all = |one: &CableSpec, other: &CableSpec| {
            one.max_a >= other.max_a
                && one.max_v >= other.max_v
                && one.e_marked >= other.e_marked
                && one.ohm <= other.ohm
                && (!far || one.length_m >= other.length_m)
        };
        let pinned = devices.iter().any(|device| device.pinned_cable.is_some());
        let mut sorts: Vec<Vec<usize>> = Vec::new();
        for (kind, good) in self.cables.iter().enumerate() {
            let ends = |kind: usize| {
                let spec = &self.cables[kind].spec;
                (&spec.from, &spec.to)
            };
            let same = |sort: &&mut Vec<usize>| ends(sort[0]) == (&good.spec.from, &good.spec.to);
            match sorts.iter_mut().find(same) {
                Some(sort) => sort.push(kind),
                None => sorts.push(vec![kind]),
            }
        }
        let best = |sort: Vec<usize>| {
            let specs = || sort.iter().map(|&kind| &self.cables[kind].spec);
            let best = sort.iter().copied().find(|&kind| {
                let spec = &self.cables[kind].spec;
                specs().all(|other| does_all(spec, other))
            });
            best.map(|best| (sort.clone(), best))
        };
        if pinned {
            return Vec::new();
        }
        sorts.into_iter().filter_map(best).collect()
    }
}

/// What a charger gives at most over all its ports, in watts.
pub(super) fn most_w(charger: &ChargerSpec) -> f64 {
    let caps: f64 = charger.ports.iter().map(|port| port.cap_w).sum();
    let whole = charger
        .pools
        .iter()
        .filter(|pool| pool.ports.len() == charger.ports.len());
    let pools = whole.map(|pool| pool.max_w).fold(caps, f64::min);
    let line = |line: &crate::setup::LineSpec| line.watts.iter().flatten().sum::<f64>();
    let lines = charger.lines.iter().map(line).reduce(f64::max);
    lines.map_or(pools, |most| pools.min(most))
}

/// A charger of the shop as it stands in a bag.
pub(super) fn bought(charger: &Charger, name: String) -> Charger {
    let mut charger = charger.clone();
    charger.count = None;
    charger.name = name;
    charger
}

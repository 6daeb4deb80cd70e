//! The places where the bag is opened: the stops of the route, or one place with nothing to
//! adapt. Which sources of a kit can be plugged in there at the same time, and what else
//! goes into the wall.

use super::goods::{From, Goods};
use crate::limits::SOURCES;
use crate::setup::{AdapterSpec, ApplianceSpec, ChargerSpec, MainsSide, Setup, TripSpec};
use crate::trip::chosen::{converted_ways, has_a_way, plain_ways};
use crate::trip::night::{Sources, all_counts, plugging};
use crate::trip::pack::Route;
use crate::trip::site::Site;
use crate::trip::thing::{Answer, Role, Thing};
use crate::units::millionths;

/// One place.
pub(super) struct Place<'a> {
    /// None where there is no trip.
    pub(super) site: Option<Site<'a>>,
    /// The night's length, in whole 1e-6 h.
    pub(super) session: Option<i64>,
    pub(super) nights: u32,
}

/// The places of a setup.
pub(super) fn places<'a>(setup: &Setup, trip: Option<&'a TripSpec>, nights: u32) -> Vec<Place<'a>> {
    let session = setup.document().session_h;
    let Some(trip) = trip else {
        return vec![Place {
            site: None,
            session: session.map(millionths),
            nights,
        }];
    };
    let place = |stop| Place {
        site: Some(Site::of(stop)),
        session: stop.session_h.or(session).map(millionths),
        nights: stop.nights,
    };
    trip.stops.iter().map(place).collect()
}

/// A kit of sources on the route, with every adapter and converter that could be had.
pub(super) struct Kit {
    /// The trip with those adapters, the kit's own last.
    trip: TripSpec,
    members: Vec<Member>,
}

struct Member {
    charger: ChargerSpec,
    side: MainsSide,
    /// Its place among the trip's adapters, where it is one.
    adapter: Option<usize>,
}

impl Member {
    fn thing<'k>(&'k self, trip: &'k TripSpec) -> Thing<'k> {
        let Self {
            charger,
            side,
            adapter,
        } = self;
        let Some(at) = *adapter else {
            return Thing::charging(charger, Role::Charger(charger), side, side.plug.as_slice());
        };
        let adapter = &trip.adapters[at];
        Thing {
            max_a: adapter.max_a,
            ..Thing::charging(charger, Role::Ports(at, charger), side, &adapter.makes)
        }
    }
}

/// What a kit can do at one place.
pub(super) struct There<'k> {
    pub(super) answers: Vec<Answer<'k>>,
    /// The sets of its sources that can be plugged in together.
    pub(super) sets: Vec<Sources>,
    /// By appliance that is wanted, its ways at the voltages that its label holds, and at
    /// the others.
    pub(super) appliances: Vec<Vec<Route>>,
}

impl Kit {
    pub(super) fn of(goods: &Goods, route: &TripSpec, kit: &[usize]) -> Self {
        let most = kit.len().max(1);
        let in_kit = |from: From| {
            let same = |&&source: &&usize| {
                let source = &goods.sources[source];
                source.from == from && source.spec.adapter.is_some()
            };
            kit.iter().filter(same).count()
        };
        let mut adapters: Vec<AdapterSpec> = goods
            .adapters
            .iter()
            .map(|good| {
                let left = good.most.saturating_sub(in_kit(good.from)).min(most);
                AdapterSpec {
                    count: u32::try_from(left).unwrap_or(u32::MAX),
                    ..good.spec.clone()
                }
            })
            .collect();
        let mut members = Vec::with_capacity(kit.len());
        for &source in kit {
            let source = &goods.sources[source].spec;
            let adapter = source.adapter.as_ref().map(|adapter| {
                adapters.push(AdapterSpec {
                    count: 1,
                    ..adapter.clone()
                });
                adapters.len() - 1
            });
            members.push(Member {
                charger: source.charger.clone(),
                side: source.side.clone(),
                adapter,
            });
        }
        let converters = goods.converters.iter().map(|good| good.spec.clone());
        Self {
            trip: TripSpec {
                adapters,
                converters: converters.collect(),
                ..route.clone()
            },
            members,
        }
    }

    pub(super) fn trip(&self) -> &TripSpec {
        &self.trip
    }

    pub(super) fn things(&self) -> Vec<Thing<'_>> {
        self.members
            .iter()
            .map(|member| member.thing(&self.trip))
            .collect()
    }

    /// What it can do at a place.
    pub(super) fn at<'k>(
        &'k self,
        site: &'k Site<'k>,
        things: &'k [Thing<'k>],
        appliances: &'k [Thing<'k>],
    ) -> There<'k> {
        let answers: Vec<Answer<'k>> = things
            .iter()
            .map(|thing| Answer::of(thing, site, &self.trip))
            .collect();
        let counts = all_counts(&self.trip);
        debug_assert!(things.len() <= SOURCES.most, "as kits are made");
        let all: Sources = (1 << things.len()) - 1;
        let sets = (1..=all)
            .filter(|&set| plugging(set, &answers, site, &self.trip, &counts).is_some())
            .collect();
        let mut ways = Vec::with_capacity(2 * appliances.len());
        for thing in appliances {
            let answer = Answer::of(thing, site, &self.trip);
            ways.push(plain_ways(&answer));
            ways.push(converted_ways(&answer));
        }
        There {
            answers,
            sets,
            appliances: ways,
        }
    }
}

/// By source, whether it can be plugged in at a place by itself.
pub(super) fn plugs(goods: &Goods, route: Option<&TripSpec>, place: &Place<'_>) -> Vec<bool> {
    let (Some(route), Some(site)) = (route, &place.site) else {
        return vec![true; goods.sources.len()];
    };
    (0..goods.sources.len())
        .map(|source| {
            let kit = Kit::of(goods, route, &[source]);
            let things = kit.things();
            !kit.at(site, &things, &[]).sets.is_empty()
        })
        .collect()
}

/// By appliance, the nights at whose stops it can be used with what could be had, and all.
pub(super) fn usable(goods: &Goods, route: &TripSpec, places: &[Place<'_>]) -> Vec<(u32, u32)> {
    let kit = Kit::of(goods, route, &[]);
    let of = |appliance: &ApplianceSpec| {
        let thing = Thing::appliance(appliance);
        let mut nights = (0, 0);
        for place in places {
            let Some(site) = &place.site else { continue };
            let answer = Answer::of(&thing, site, kit.trip());
            // A stop without a night is a day.
            let stay = place.nights.max(1);
            nights = (
                nights.0 + if has_a_way(&answer) { stay } else { 0 },
                nights.1 + stay,
            );
        }
        nights
    };
    route.appliances.iter().map(of).collect()
}

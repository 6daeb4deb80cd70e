//! What is plugged into the mains on a trip, and whether it can be at a stop.

use super::link::{Draw, Link, links, taken};
use super::site::Site;
use crate::facts::{MainsLabel, Plug, Suits, Verdict as Suitable, load_a};
use crate::setup::document::Load;
use crate::setup::efficiency::{rated_w, wall_w};
use crate::setup::{ApplianceSpec, ChargerSpec, ConverterSpec, MainsSide, TripSpec};
use crate::units::millionths;

/// A thing that is plugged into the mains.
#[derive(Debug)]
pub(super) struct Thing<'a> {
    pub(super) name: &'a str,
    pub(super) role: Role<'a>,
    /// Its plug; several where they can be chosen; none where it is not known.
    pub(super) plugs: &'a [Plug],
    pub(super) input: Option<&'a MainsLabel>,
    /// The most that it draws from the wall, in watts.
    pub(super) most_w: f64,
    pub(super) load: Load,
    pub(super) needs_earth: bool,
    /// A rating of its own beside its plug's, in amperes.
    pub(super) max_a: Option<f64>,
}

/// What a thing is.
#[derive(Debug, Clone, Copy)]
pub(super) enum Role<'a> {
    Charger(&'a ChargerSpec),
    /// An adapter with USB ports of its own, by its index.
    Ports(usize, &'a ChargerSpec),
    Appliance(&'a ApplianceSpec),
    /// The plug of something that is not listed.
    Plug,
}

impl<'a> Thing<'a> {
    /// Chargers, then adapters with ports: what can charge at night.
    pub(super) fn sources(chargers: &'a [ChargerSpec], trip: &'a TripSpec) -> Vec<Self> {
        let unknown = &MainsSide::UNKNOWN;
        let mut things = Vec::new();
        for (i, charger) in chargers.iter().enumerate() {
            let side = trip.chargers.get(i).unwrap_or(unknown);
            let plugs = side.plug.as_slice();
            things.push(Self::charging(charger, Role::Charger(charger), side, plugs));
        }
        for (i, adapter) in trip.adapters.iter().enumerate() {
            if let Some((charger, side)) = &adapter.charger {
                let thing = Self::charging(charger, Role::Ports(i, charger), side, &adapter.makes);
                things.push(Self {
                    max_a: adapter.max_a,
                    ..thing
                });
            }
        }
        things
    }

    pub(super) fn charging(
        charger: &'a ChargerSpec,
        role: Role<'a>,
        side: &'a MainsSide,
        plugs: &'a [Plug],
    ) -> Self {
        Self {
            name: &charger.name,
            role,
            plugs,
            input: side.input.as_ref(),
            most_w: wall_w(charger, rated_w(charger)),
            load: Load::Electronic,
            needs_earth: false,
            max_a: None,
        }
    }

    pub(super) fn appliance(appliance: &'a ApplianceSpec) -> Self {
        Self {
            name: &appliance.name,
            role: Role::Appliance(appliance),
            plugs: std::slice::from_ref(&appliance.plug),
            input: Some(&appliance.input),
            most_w: appliance.max_w,
            load: appliance.kind,
            needs_earth: appliance.needs_earth,
            max_a: None,
        }
    }

    /// A plug of which nothing else is known.
    pub(super) fn plug(plug: &'a Plug) -> Self {
        Self {
            name: plug.name(),
            role: Role::Plug,
            plugs: std::slice::from_ref(plug),
            input: None,
            most_w: 0.0,
            load: Load::Electronic,
            needs_earth: false,
            max_a: None,
        }
    }

    /// The current at `volts`, in amperes: as printed, else from the watts.
    pub(super) fn amps(&self, volts: f64) -> f64 {
        let printed = self.input.and_then(|input| input.most_a);
        printed
            .or_else(|| load_a(self.most_w, volts))
            .unwrap_or(f64::INFINITY)
    }
}

/// A thing at a stop: everything that the verdicts are made from.
#[derive(Debug)]
pub(super) struct Answer<'a> {
    pub(super) thing: &'a Thing<'a>,
    pub(super) volts: Suits,
    pub(super) voltage: Suitable,
    pub(super) frequency: Suitable,
    /// The voltages that its label holds, lowest first, and those that it does not.
    pub(super) held: Vec<f64>,
    pub(super) not_held: Vec<f64>,
    /// The ways to the wall at the voltages that are held; were none held, as if all were.
    pub(super) links: Vec<Link>,
    /// What the converters could do at the other voltages; appliances only.
    pub(super) conversions: Vec<Conversion>,
}

/// One converter between a thing and the wall.
#[derive(Debug)]
pub(super) struct Conversion {
    pub(super) converter: usize,
    /// Why it cannot be used, whatever the sockets.
    pub(super) unfit: Option<Unfit>,
    /// The ways of its own plug to the wall.
    pub(super) links: Vec<Link>,
}

/// Why a converter is of no use to a thing.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Unfit {
    /// It does not run on the voltage of the place.
    From,
    /// It makes another voltage than is needed.
    To,
    /// It is not made for such a load.
    Kind,
    /// It gives too few watts.
    TooSmall,
    /// The plug does not go into it.
    Plug,
    /// It leads no earth through.
    Earth,
}

impl<'a> Answer<'a> {
    pub(super) fn of(thing: &'a Thing<'a>, site: &Site<'_>, trip: &TripSpec) -> Self {
        let nothing = MainsLabel::default();
        let label = thing.input.unwrap_or(&nothing);
        let volts = label.voltage_suits(&site.volts);
        let hertz = label.frequency_suits(&site.hertz);
        let (mut held, mut not_held) = (Vec::new(), Vec::new());
        for at in &volts.at {
            match at.held {
                crate::facts::Held::Not { .. } => not_held.push(at.nominal),
                _ => held.push(at.nominal),
            }
        }
        // Without a voltage that is held or even known, the shape of the plug is still worth
        // knowing.
        let lowest = held.first().or(site.volts.first()).copied();
        let volts_there = lowest.unwrap_or(f64::INFINITY);
        let draw = Draw {
            plugs: thing.plugs,
            is_adapter: matches!(thing.role, Role::Ports(..)),
            max_a: thing.max_a,
            needs_earth: thing.needs_earth,
            volts: volts_there,
            amps: lowest.map_or(0.0, |volts| thing.amps(volts)),
        };
        let links = links(draw, site, &trip.adapters);
        let conversions = match thing.role {
            Role::Appliance(appliance) if !not_held.is_empty() => trip
                .converters
                .iter()
                .enumerate()
                .map(|(index, converter)| {
                    conversion(index, converter, appliance, &not_held, site, trip)
                })
                .collect(),
            _ => Vec::new(),
        };
        Self {
            thing,
            voltage: volts.verdict(),
            frequency: hertz.verdict(),
            volts,
            held,
            not_held,
            links,
            conversions,
        }
    }

    /// Whether it can be plugged in at every voltage of the stop, without a converter.
    pub(super) fn is_plain(&self) -> bool {
        matches!(self.voltage, Suitable::Suits | Suitable::SuitsNearly)
            && !self.turns_wrongly()
            && self.links.iter().any(Link::is_usable)
    }

    /// Whether it would do there as far as its label goes, and has no way into the wall.
    pub(super) fn lacks_a_plug(&self) -> bool {
        self.voltage != Suitable::SuitsNot
            && !self.turns_wrongly()
            && !self.links.iter().any(Link::is_usable)
    }

    /// Whether a motor would turn at another speed than it is made for.
    pub(super) fn turns_wrongly(&self) -> bool {
        self.thing.load == Load::Motor
            && matches!(self.frequency, Suitable::SuitsNot | Suitable::Depends)
    }

    /// The ways that may be used.
    pub(super) fn usable(&self) -> impl Iterator<Item = &Link> {
        self.links.iter().filter(|link| link.is_usable())
    }
}

fn conversion(
    index: usize,
    converter: &ConverterSpec,
    appliance: &ApplianceSpec,
    volts: &[f64],
    site: &Site<'_>,
    trip: &TripSpec,
) -> Conversion {
    let suits = |label: &MainsLabel, volts: &[f64]| {
        matches!(
            label.voltage_suits(volts).verdict(),
            Suitable::Suits | Suitable::SuitsNearly
        )
    };
    let into = taken(appliance.plug, &converter.takes);
    let unfit = if !suits(&appliance.input, &[converter.to_v]) {
        Some(Unfit::To)
    } else if !suits(&converter.from, volts) {
        Some(Unfit::From)
    } else if !converter.kinds.contains(&appliance.kind) {
        Some(Unfit::Kind)
    } else if millionths(converter.max_w) < millionths(appliance.max_w) {
        Some(Unfit::TooSmall)
    } else if into.is_none() {
        Some(Unfit::Plug)
    } else if appliance.needs_earth && !(converter.earthed && into == Some(true)) {
        Some(Unfit::Earth)
    } else {
        None
    };
    let lowest = volts.first().copied().unwrap_or(1.0);
    let draw = Draw {
        plugs: std::slice::from_ref(&converter.plug),
        is_adapter: false,
        max_a: None,
        needs_earth: appliance.needs_earth,
        volts: lowest,
        amps: load_a(appliance.max_w, lowest).unwrap_or(f64::INFINITY),
    };
    Conversion {
        converter: index,
        unfit,
        links: links(draw, site, &trip.adapters),
    }
}

//! The trip: stops, plugs and mains labels, checked and resolved.

mod battery;
mod mains;

use super::ask::{At, unique};
use super::charger::resolve_charger;
use super::{ChargerSpec, DeviceSpec};
use battery::{of_devices, of_sources, resolve_battery};
use mains::{input, label, list_holds, plug, plugs};

use crate::diagnostics::{Findings, Path, shown};
use crate::facts::{Bare, MainsLabel, Missing, Plug, Socket, missing};
use crate::limits::{
    ADAPTER_A, ADAPTERS, APPLIANCE_W, APPLIANCES, BATTERIES, CONVERTER_W, CONVERTERS, FUSE_A,
    MAINS_HZ, MAINS_V, MAINS_VALUES, NIGHTS, OUTLETS, PLUG_KINDS, PORTS, PRICE, Quantity,
    SESSION_H, SOURCES, STOPS, TRAVELLERS, TRIP_COUNT, WEIGHT_G,
};
use crate::setup::document::{
    Adapter, Appliance, BatteryKind, Charger, Converter, Load, SetupDocument, Stop, TripDocument,
};

/// A trip with its names read.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct TripSpec {
    pub(crate) travellers: u32,
    pub(crate) stops: Vec<StopSpec>,
    /// By charger of the setup.
    pub(crate) chargers: Vec<MainsSide>,
    /// Counts not expanded.
    pub(crate) adapters: Vec<AdapterSpec>,
    /// Of things that are not listed, each once.
    pub(crate) plugs: Vec<Plug>,
    pub(crate) appliances: Vec<ApplianceSpec>,
    pub(crate) converters: Vec<ConverterSpec>,
    /// The trip's own, then the devices that it does not name, then the chargers and
    /// adapters that may be power banks.
    pub(crate) batteries: Vec<BatterySpec>,
}

#[derive(Debug, Clone, PartialEq)]
pub(crate) struct StopSpec {
    pub(crate) name: String,
    /// As given.
    pub(crate) country: String,
    pub(crate) nights: u32,
    /// As given at the stop.
    pub(crate) session_h: Option<f64>,
    pub(crate) outlets: Option<u32>,
    /// As given at the stop, lowest first.
    pub(crate) volts: Option<Vec<f64>>,
    pub(crate) hertz: Option<Vec<f64>>,
    pub(crate) sockets: Option<Vec<Socket>>,
}

/// A charger's plug and what it runs on, as far as they are known.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct MainsSide {
    pub(crate) plug: Option<Plug>,
    pub(crate) input: Option<MainsLabel>,
}

#[derive(Debug, Clone, PartialEq)]
pub(crate) struct AdapterSpec {
    pub(crate) name: String,
    pub(crate) count: u32,
    pub(crate) takes: Vec<Plug>,
    pub(crate) makes: Vec<Plug>,
    pub(crate) max_a: Option<f64>,
    pub(crate) earthed: bool,
    pub(crate) fuse_a: Option<f64>,
    pub(crate) weight_g: f64,
    /// Where it has USB ports: as a charger, and what that runs on.
    pub(crate) charger: Option<(ChargerSpec, MainsSide)>,
}

#[derive(Debug, Clone, PartialEq)]
pub(crate) struct ApplianceSpec {
    pub(crate) name: String,
    pub(crate) plug: Plug,
    pub(crate) input: MainsLabel,
    pub(crate) max_w: f64,
    pub(crate) kind: Load,
    pub(crate) needs_earth: bool,
}

#[derive(Debug, Clone, PartialEq)]
pub(crate) struct ConverterSpec {
    pub(crate) name: String,
    pub(crate) from: MainsLabel,
    pub(crate) to_v: f64,
    pub(crate) max_w: f64,
    pub(crate) kinds: Vec<Load>,
    pub(crate) plug: Plug,
    pub(crate) takes: Vec<Plug>,
    pub(crate) earthed: bool,
    pub(crate) weight_g: f64,
}

#[derive(Debug, Clone, PartialEq)]
pub(crate) struct BatterySpec {
    pub(crate) name: String,
    /// As declared; else built in, unless the name speaks against it.
    pub(crate) kind: BatteryKind,
    /// What the name says against the kind that was declared, or that would be assumed.
    pub(crate) doubt: Option<Doubt>,
    /// `None` where the setup does not know that there is a battery, or how large it is.
    pub(crate) wh: Option<f64>,
    /// Of lithium metal, in grams: then nobody asks for watt-hours.
    pub(crate) lithium_g: Option<f64>,
    pub(crate) medical: bool,
    /// Whether `wh` was worked out with a cell voltage that nobody stated.
    pub(crate) assumed_v: bool,
    /// As printed, where milliampere-hours were: with the cells' volts.
    pub(crate) mah: Option<(f64, f64)>,
    pub(crate) count: u32,
}

/// Why the kind of a battery is to be asked for.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Doubt {
    /// What speaks against it, in quotes: the words of the name, or the kind of device.
    pub(crate) words: String,
    pub(crate) by: Speaks,
    pub(crate) asks: Asks,
}

/// What speaks against a battery's being built in.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Speaks {
    Name,
    /// The `kind` of the device.
    Kind,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Asks {
    /// Nobody said whether it is built in: the stricter kind was taken.
    BuiltIn,
    /// Whether there is a battery in a charger or an adapter.
    AnyBattery,
    /// Whether the kind that was declared is right: it was taken.
    Declared,
    /// The same of one that was not taken: a power bank is never built in.
    Overruled,
}

impl MainsSide {
    /// Of a charger of which nothing was said.
    pub(crate) const UNKNOWN: Self = Self {
        plug: None,
        input: None,
    };
}

impl Adapter {
    /// Its USB ports as a charger of their own.
    pub(crate) fn as_charger(&self) -> Charger {
        Charger {
            name: self.name.clone(),
            ports: self.ports.clone(),
            max_w: self.max_w,
            pools: self.pools.clone(),
            combinations: self.combinations.clone(),
            ..Charger::default()
        }
    }
}

/// Checks the trip of a document, where it has one, and resolves it.
pub(super) fn resolve_trip(
    document: &SetupDocument,
    devices: &[DeviceSpec],
    findings: &mut Findings,
) -> Option<TripSpec> {
    let path = Path::default().field("trip");
    let list = Path::default().field("chargers");
    let chargers = resolve_mains_sides(&document.chargers, &list, findings);
    let trip = document.trip.as_ref()?;
    let mut at = At::new(findings, path.clone());
    let travellers = trip.travellers.map(f64::from);
    at.number("travellers", travellers, &TRAVELLERS);
    if trip.stops.is_empty() {
        at.fault("stops", "`stops` is empty; a trip needs at least one");
    }
    if !sizes_hold(document, trip, &mut at) {
        return None;
    }
    let plugs = plugs(&mut at, "plugs", &trip.plugs);
    let list = |name: &str| path.field(name);
    let stops = each(&trip.stops, &list("stops"), findings, resolve_stop);
    let adapters = resolve_adapters(&trip.adapters, &list("adapters"), findings);
    let adapters: Vec<AdapterSpec> = adapters.into_iter().flat_map(pieces).collect();
    let appliances = each(
        &trip.appliances,
        &list("appliances"),
        findings,
        resolve_appliance,
    );
    let converters = resolve_converters(&trip.converters, &list("converters"), findings);
    let mut batteries = Vec::new();
    for (i, battery) in trip.batteries.iter().enumerate() {
        let at = At::new(findings, list("batteries").index(i));
        batteries.push(resolve_battery(battery, document, devices, at));
    }
    names(document, trip, &path, findings);
    batteries.extend(of_devices(document, trip, devices));
    batteries.extend(of_sources(document, trip));
    Some(TripSpec {
        travellers: trip.travellers.unwrap_or(1),
        stops,
        chargers,
        adapters,
        plugs,
        appliances,
        converters,
        batteries,
    })
}

/// An adapter with ports is a charger: several of it are several, with names of their own.
fn pieces(adapter: AdapterSpec) -> Vec<AdapterSpec> {
    let Some((charger, side)) = &adapter.charger else {
        return vec![adapter];
    };
    piece_names(&adapter.name, adapter.count)
        .into_iter()
        .map(|name| AdapterSpec {
            charger: Some((
                ChargerSpec {
                    name: name.clone(),
                    ..charger.clone()
                },
                side.clone(),
            )),
            name,
            count: 1,
            ..adapter.clone()
        })
        .collect()
}

/// `NAME 1` … `NAME n`; `NAME` alone where there is one.
fn piece_names(name: &str, count: u32) -> Vec<String> {
    match count {
        0 | 1 => vec![name.to_owned()],
        several => (1..=several).map(|n| format!("{name} {n}")).collect(),
    }
}

/// Resolves every element of a list.
fn each<T, R>(
    things: &[T],
    path: &Path,
    findings: &mut Findings,
    resolve: impl Fn(&T, At<'_>) -> R,
) -> Vec<R> {
    let mut resolved = Vec::with_capacity(things.len());
    for (i, thing) in things.iter().enumerate() {
        resolved.push(resolve(thing, At::new(findings, path.index(i))));
    }
    resolved
}

/// Refuses lists that are too long before anything is built from them.
fn sizes_hold(document: &SetupDocument, trip: &TripDocument, at: &mut At<'_>) -> bool {
    let many = |adapter: &Adapter| {
        let count = adapter.count.filter(|&n| TRIP_COUNT.holds(f64::from(n)));
        usize::try_from(count.unwrap_or(1)).unwrap_or(1)
    };
    let adapters: usize = trip.adapters.iter().map(many).sum();
    let with_ports = trip
        .adapters
        .iter()
        .filter(|adapter| !adapter.ports.is_empty());
    let sources = document.chargers.len() + with_ports.clone().map(many).sum::<usize>();
    let ports = with_ports.map(|adapter| many(adapter) * adapter.ports.len());
    let ports = ports.sum::<usize>()
        + document
            .chargers
            .iter()
            .map(|c| c.ports.len())
            .sum::<usize>();
    let mut hold = true;
    for (field, count, size) in [
        ("stops", trip.stops.len(), STOPS),
        ("adapters", adapters, ADAPTERS),
        ("adapters", sources, SOURCES),
        ("adapters", ports, PORTS),
        ("appliances", trip.appliances.len(), APPLIANCES),
        ("converters", trip.converters.len(), CONVERTERS),
        ("batteries", trip.batteries.len(), BATTERIES),
    ] {
        if !size.holds(count) {
            at.fault(field, size.refusal(count));
            hold = false;
        }
    }
    hold
}

/// Checks that names are unique where findings speak of them.
fn names(document: &SetupDocument, trip: &TripDocument, path: &Path, findings: &mut Findings) {
    let at = |list: &str, i: usize| path.field(list).index(i).field("name");
    let mut plugged: Vec<(Path, String)> = Vec::new();
    for (i, adapter) in trip.adapters.iter().enumerate() {
        // Those with ports have names of their own.
        let count = adapter.count.filter(|_| !adapter.ports.is_empty());
        let count = count
            .filter(|&n| TRIP_COUNT.holds(f64::from(n)))
            .unwrap_or(1);
        let names = piece_names(&adapter.name, count);
        plugged.extend(names.into_iter().map(|name| (at("adapters", i), name)));
    }
    for (i, appliance) in trip.appliances.iter().enumerate() {
        plugged.push((at("appliances", i), appliance.name.clone()));
    }
    for (i, converter) in trip.converters.iter().enumerate() {
        plugged.push((at("converters", i), converter.name.clone()));
    }
    for (path, name) in &plugged {
        if document
            .chargers
            .iter()
            .any(|charger| charger.name == *name)
        {
            let message = format!("a charger is called \"{}\", too", shown(name));
            findings.add(path.clone(), message);
        }
    }
    let plugged = plugged
        .iter()
        .map(|(path, name)| (path.clone(), name.as_str()));
    unique(findings, plugged, "things to plug in");
    let stops = trip.stops.iter().enumerate();
    let stops = stops.map(|(i, stop)| (at("stops", i), stop.name.as_str()));
    unique(findings, stops, "stops");
    let batteries = trip.batteries.iter().enumerate();
    let batteries = batteries.map(|(i, battery)| (at("batteries", i), battery.name.as_str()));
    unique(findings, batteries, "batteries");
}

pub(super) fn resolve_mains_sides(
    chargers: &[Charger],
    list: &Path,
    findings: &mut Findings,
) -> Vec<MainsSide> {
    each(chargers, list, findings, |charger, mut at| MainsSide {
        plug: charger
            .plug
            .as_deref()
            .and_then(|name| plug(&mut at, "plug", name)),
        input: input(
            &mut at,
            charger.input_v.as_deref(),
            charger.input_hz.as_deref(),
        ),
    })
}

fn resolve_stop(stop: &Stop, mut at: At<'_>) -> StopSpec {
    at.name(&stop.name, "a stop");
    at.number("nights", stop.nights.map(f64::from), &NIGHTS);
    at.number("session_h", stop.session_h, &SESSION_H);
    at.number("outlets", stop.outlets.map(f64::from), &OUTLETS);
    country(stop, &mut at);
    let volts = values("voltages_v", stop.voltages_v.as_deref(), &MAINS_V, &mut at);
    let hertz = values(
        "frequencies_hz",
        stop.frequencies_hz.as_deref(),
        &MAINS_HZ,
        &mut at,
    );
    if stop.sockets.as_ref().is_some_and(Vec::is_empty) {
        at.fault(
            "sockets",
            "`sockets` is empty; leave it out, or give at least one",
        );
    }
    // No socket is of both: where either can be met, both are.
    let systems = |plug: Plug| match plug {
        Plug::EF => vec![Plug::E, Plug::F],
        other => vec![other],
    };
    let sockets = stop.sockets.as_ref().map(|names| {
        let mut sockets: Vec<Socket> = Vec::new();
        let named = plugs(&mut at, "sockets", names);
        for socket in named.into_iter().flat_map(systems).map(Socket::of) {
            if !sockets.contains(&socket) {
                sockets.push(socket);
            }
        }
        sockets
    });
    StopSpec {
        name: stop.name.clone(),
        country: stop.country.clone(),
        nights: stop.nights.unwrap_or(1),
        session_h: stop.session_h,
        outlets: stop.outlets,
        volts,
        hertz,
        sockets,
    }
}

/// A country whose mains nobody listed is accepted: it is then said to be missing.
fn country(stop: &Stop, at: &mut At<'_>) {
    let Some(Missing::NoSuchCode { near }) = missing(&stop.country) else {
        return;
    };
    let message = match near {
        Some((_, name)) => format!(
            "`{}` is no country's code (ISO 3166-1); {name} has another",
            shown(&stop.country)
        ),
        None => format!(
            "`{}` is no country's code; two letters are needed (ISO 3166-1), such as DK",
            shown(&stop.country)
        ),
    };
    let suggestion = near.map(|(code, _)| code.to_owned());
    let path = at.path.field("country");
    at.findings.add(path, message).near(suggestion);
}

/// The values of a stop's own mains, lowest first, each once.
fn values(
    field: &str,
    given: Option<&[f64]>,
    range: &Quantity,
    at: &mut At<'_>,
) -> Option<Vec<f64>> {
    let given = given?;
    if given.is_empty() {
        let message = format!("`{field}` is empty; leave it out, or give at least one");
        at.fault(field, message);
    }
    if !list_holds(field, given.len(), MAINS_VALUES, at) {
        return None;
    }
    let path = at.path.field(field);
    for (i, value) in given.iter().enumerate() {
        if !range.holds(*value) {
            at.findings.add(path.index(i), range.refusal(*value));
        }
    }
    let mut values = given.to_vec();
    values.sort_by(f64::total_cmp);
    values.dedup();
    Some(values)
}

/// The adapters of the list at `path`, in the bag or for sale, counts not expanded.
pub(super) fn resolve_adapters(
    adapters: &[Adapter],
    path: &Path,
    findings: &mut Findings,
) -> Vec<AdapterSpec> {
    each(adapters, path, findings, resolve_adapter)
}

/// The converters of the list at `path`, in the bag or for sale.
pub(super) fn resolve_converters(
    converters: &[Converter],
    path: &Path,
    findings: &mut Findings,
) -> Vec<ConverterSpec> {
    each(converters, path, findings, resolve_converter)
}

fn resolve_adapter(adapter: &Adapter, mut at: At<'_>) -> AdapterSpec {
    at.name(&adapter.name, "an adapter");
    at.number("count", adapter.count.map(f64::from), &TRIP_COUNT);
    at.number("max_a", adapter.max_a, &ADAPTER_A);
    at.number("fuse_a", adapter.fuse_a, &FUSE_A);
    at.number("weight_g", adapter.weight_g, &WEIGHT_G);
    at.number("price", adapter.price, &PRICE);
    let takes = plugs(&mut at, "takes", &adapter.takes);
    let makes = plugs(&mut at, "makes", &adapter.makes);
    if adapter.makes.is_empty() {
        at.fault(
            "makes",
            "`makes` is empty; an adapter needs a plug for the wall",
        );
    }
    let input = input(
        &mut at,
        adapter.input_v.as_deref(),
        adapter.input_hz.as_deref(),
    );
    let mut charger = None;
    if !adapter.ports.is_empty() {
        let path = at.path.clone();
        let spec = resolve_charger(&adapter.as_charger(), at.findings, &path);
        charger = Some((spec, MainsSide { plug: None, input }));
    } else if adapter.takes.is_empty() {
        let message = "an adapter needs `takes` or `ports`, to be of use";
        at.findings
            .add(at.path.clone(), message)
            .about(&["takes", "ports"]);
    }
    AdapterSpec {
        name: adapter.name.clone(),
        count: adapter
            .count
            .filter(|&n| TRIP_COUNT.holds(f64::from(n)))
            .unwrap_or(1),
        takes,
        makes,
        max_a: adapter.max_a,
        earthed: adapter.earthed.unwrap_or(false),
        fuse_a: adapter.fuse_a,
        weight_g: adapter.weight_g.unwrap_or(0.0),
        charger,
    }
}

fn resolve_appliance(appliance: &Appliance, mut at: At<'_>) -> ApplianceSpec {
    at.name(&appliance.name, "an appliance");
    at.number("max_w", Some(appliance.max_w), &APPLIANCE_W);
    ApplianceSpec {
        name: appliance.name.clone(),
        plug: plug(&mut at, "plug", &appliance.plug).unwrap_or(Plug::C),
        input: input(
            &mut at,
            Some(&appliance.input_v),
            appliance.input_hz.as_deref(),
        )
        .unwrap_or_default(),
        max_w: appliance.max_w,
        kind: appliance.kind,
        needs_earth: appliance.needs_earth.unwrap_or(false),
    }
}

fn resolve_converter(converter: &Converter, mut at: At<'_>) -> ConverterSpec {
    at.name(&converter.name, "a converter");
    at.number("to_v", Some(converter.to_v), &MAINS_V);
    at.number("max_w", Some(converter.max_w), &CONVERTER_W);
    at.number("weight_g", converter.weight_g, &WEIGHT_G);
    at.number("price", converter.price, &PRICE);
    if converter.kinds.is_empty() {
        at.fault(
            "kinds",
            "`kinds` is empty; a converter is made for at least one kind of load",
        );
    }
    if converter.takes.is_empty() {
        at.fault(
            "takes",
            "`takes` is empty; a converter needs plugs that go into it",
        );
    }
    list_holds("kinds", converter.kinds.len(), PLUG_KINDS, &mut at);
    ConverterSpec {
        name: converter.name.clone(),
        from: label(&mut at, "from_v", &converter.from_v, Bare::Volts).unwrap_or_default(),
        to_v: converter.to_v,
        max_w: converter.max_w,
        kinds: converter.kinds.clone(),
        plug: plug(&mut at, "plug", &converter.plug).unwrap_or(Plug::C),
        takes: plugs(&mut at, "takes", &converter.takes),
        earthed: converter.earthed.unwrap_or(false),
        weight_g: converter.weight_g.unwrap_or(0.0),
    }
}

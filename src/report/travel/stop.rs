//! One stop: what plugs in how, which socket asks for what, who sits where, and when all is
//! full.

use super::{counted, grouped, heading};
use crate::plan::{Berth, Plan};
use crate::report::clock::Clock;
use crate::report::page::{Line, Page, Rows, Section, Shown};
use crate::report::printable::{printable, short_name};
use crate::setup::document::Aim;
use crate::setup::{ChargerSpec, Setup};
use crate::trip::{About, Finding, PackingKind, SocketWay, Trip, TripStop, Verdict};
use crate::units::quantity::{decimals, time};

/// A device on a port at night.
#[derive(Debug, Clone, PartialEq)]
struct Seat {
    charger: String,
    port: String,
    device: String,
    full: String,
}

impl Page {
    /// Every stop in a few lines; when each device is full, and what all that rests on, is
    /// folded away.
    pub(super) fn each_stop(&mut self, setup: &Setup, trip: &Trip, nights: bool) {
        let mut known: Vec<Night> = Vec::new();
        for stop in &trip.stops {
            let night = Night {
                stop: short_name(&stop.name),
                seats: if nights {
                    seats(setup, stop)
                } else {
                    Vec::new()
                },
                told: night(stop).filter(|_| nights).map(|told| printable(&told)),
            };
            let of =
                || Section::titled(title(stop)).lines(lines(trip, stop).iter().map(Line::item));
            let (text, page) = night.told(&known);
            self.push(of().lines(text).shown(Shown::InText));
            self.push(of().lines(page).shown(Shown::InPictures));
            if night.as_in(&known).is_none() {
                self.when_full(setup, &night);
            }
            self.findings(&format!("{}: why", night.stop), &stop.findings);
            known.push(night);
        }
    }

    fn when_full(&mut self, setup: &Setup, night: &Night) {
        if night.seats.is_empty() {
            return;
        }
        let when = Clock::of(setup.start).full_heading();
        let rows = Rows::of(&night.seats)
            .names("Device", |seat| seat.device.clone())
            .names(&format!("Port, {}", when.to_lowercase()), |seat| {
                format!("{} {}, {}", seat.charger, seat.port, seat.full)
            });
        let title = format!("{}: port by port, and when", night.stop);
        let table = Section::titled(title).table(rows.table());
        self.push(table.shown(Shown::InPictures).folded());
    }
}

/// The night of a stop.
struct Night {
    stop: String,
    seats: Vec<Seat>,
    told: Option<String>,
}

impl Night {
    /// The first of the nights before in which everything sits as in this one.
    fn as_in<'n>(&self, known: &'n [Self]) -> Option<&'n Self> {
        let mut known = known.iter();
        known.find(|other| !self.seats.is_empty() && other.seats == self.seats)
    }

    /// What is told of it in a text, and on a page, which tells only once what is the same.
    fn told(&self, known: &[Self]) -> (Vec<Line>, Vec<Line>) {
        let told = || self.told.iter().map(Line::item);
        let Some(other) = self.as_in(known) else {
            let seats = || on_chargers(&self.seats).into_iter().map(Line::item);
            return (
                told().chain(seats()).collect(),
                told().chain(seats()).collect(),
            );
        };
        let seats = Line::item(format!("who sits where: as in {}", other.stop));
        let text = told().chain([seats]).collect();
        let page = if other.told == self.told {
            vec![Line::item(format!("at night: as in {}", other.stop))]
        } else {
            Vec::clone(&text)
        };
        (text, page)
    }
}

/// `Vienna, 2 nights: 230 V 50 Hz, socket F`.
fn title(stop: &TripStop) -> String {
    let [name, mains, socket] = heading(stop);
    match stop.nights {
        0 => format!("{name}: {mains}, {socket}"),
        nights => format!("{name}, {}: {mains}, {socket}", counted(nights, "night")),
    }
}

/// What plugs in how, and each kind of socket that asks for something else.
fn lines(trip: &Trip, stop: &TripStop) -> Vec<String> {
    let differs = |thing: &str| {
        let mut all = stop.by_socket.iter().flat_map(|of| &of.ways);
        all.any(|way| way.thing == thing)
    };
    let stays = |thing: &str| {
        let mut leave = trip.bag.leave.iter();
        leave.any(|packing| packing.kind != PackingKind::Adapter && packing.thing == thing)
    };
    let uses = stop.findings.iter().filter(|found| {
        found.about == About::Use && !differs(&found.thing) && !stays(&found.thing)
    });
    let ways = uses.map(|found| (way(stop, found), short_name(&found.thing)));
    let plugs = plugs(trip, stop, &differs);
    let told = |(way, things): (String, Vec<String>)| format!("{way}: {}", things.join(", "));
    let mut lines: Vec<String> = grouped(ways.chain(plugs)).into_iter().map(told).collect();
    lines.extend(stop.by_socket.iter().map(|of| {
        let ways = of
            .ways
            .iter()
            .map(|way| (in_socket(way), short_name(&way.thing)));
        let told = |(way, things): (String, Vec<String>)| format!("{}: {way}", things.join(", "));
        let ways: Vec<String> = grouped(ways).into_iter().map(told).collect();
        format!("if your room has {}: {}", of.socket, ways.join("; "))
    }));
    lines.iter().map(|line| printable(line)).collect()
}

/// The plugs of things that are not listed.
fn plugs(trip: &Trip, stop: &TripStop, differs: &dyn Fn(&str) -> bool) -> Vec<(String, String)> {
    let name = |plug: &String| format!("plug {plug}");
    let plugs = trip.plugs.iter().map(name).filter(|name| !differs(name));
    let way = |name: String| {
        let mut needs = trip.adapters.iter();
        let need = needs.find(|need| need.stop == stop.name && need.things.contains(&name));
        let way = match need {
            _ if stop.sockets.is_empty() => "not known".to_owned(),
            None => "straight in".to_owned(),
            Some(need) => match &need.have {
                Some(have) => format!("through {have}"),
                None => "not without an adapter".to_owned(),
            },
        };
        (way, name)
    };
    plugs.map(way).collect()
}

/// How a thing goes into one kind of socket, after its name.
fn in_socket(way: &SocketWay) -> String {
    match way.verdict {
        Verdict::Direct => "goes straight in".to_owned(),
        Verdict::No => "does not go in".to_owned(),
        _ => format!("goes through {}", way.with.join(" and ")),
    }
}

/// How a thing gets to the wall, before its name: at night as it is plugged in then.
fn way(stop: &TripStop, found: &Finding) -> String {
    let mut nights = stop.findings.iter();
    let night = nights.find(|of| of.about == About::Night && of.thing == found.thing);
    if night.is_some_and(|night| night.verdict == Verdict::Caution) {
        return "no outlet left for".to_owned();
    }
    let at_night = night.map(|night| night.with.as_slice()).unwrap_or_default();
    let with = if at_night.is_empty() {
        &found.with[..]
    } else {
        at_night
    };
    let through = format!("through {}", with.join(" and "));
    let several = if stop.sockets.len() > 1 {
        ", whichever socket it is"
    } else {
        ""
    };
    match found.verdict {
        Verdict::Depends => {
            let volts: Vec<String> = found.at_v.iter().map(|v| decimals(*v, 1)).collect();
            let how = if with.is_empty() {
                "straight in"
            } else {
                &through
            };
            format!("at {} V only, {how}", volts.join("/"))
        }
        Verdict::Unknown => "not known".to_owned(),
        Verdict::No => "not".to_owned(),
        Verdict::Direct if with.is_empty() => "straight in".to_owned(),
        _ => through + several,
    }
}

/// What is plugged in at night, and when all is full.
fn night(stop: &TripStop) -> Option<String> {
    let plan = stop.night()?;
    if stop.plugged_in.is_empty() {
        return Some("at night: nothing can be charged".to_owned());
    }
    let outlets = counted(stop.outlets_used, "outlet");
    let late = plan.late_by_aim();
    let full = match (plan.aim, plan.promised_longest_h) {
        (Aim::Best, _) => time(plan.longest_h),
        (Aim::Promise, Some(sure_h)) => time(sure_h),
        (Aim::Promise, None) => format!("{} at best, not all for certain", time(plan.longest_h)),
    };
    let without = plan.without_berth.iter();
    let without: Vec<&str> = without.map(|w| w.device.as_str()).collect();
    let charged = match (plan.unserved, late) {
        (0, 0) => format!("all full after {full}"),
        (0, late) => format!("{late} late, the last full after {full}"),
        _ if plan.berths.is_empty() => format!("no port for {}", without.join(", ")),
        _ => format!(
            "no port for {}, the others full after {full}",
            without.join(", ")
        ),
    };
    let untried = match stop.sets_untried {
        0 => "",
        _ => " (a limit stopped the search: another choice of chargers may be better)",
    };
    let plugged = stop.plugged_in.join(" + ");
    Some(format!(
        "at night: {plugged}, {outlets}: {charged}{untried}"
    ))
}

/// Who sits where, in the order of the chargers and their ports.
fn seats(setup: &Setup, stop: &TripStop) -> Vec<Seat> {
    let clock = Clock::of(setup.start);
    let seat = |berth: &Berth, aim: Aim, when: Option<String>| {
        let full = match (aim, berth.promised_h) {
            (Aim::Promise, Some(sure_h)) => clock.full(sure_h),
            (Aim::Promise, None) => format!("{} at best", clock.full(berth.hours)),
            (Aim::Best, _) => clock.full(berth.hours),
        };
        Seat {
            charger: printable(&berth.charger),
            port: printable(&berth.port),
            device: printable(&berth.device),
            full: when.unwrap_or(full),
        }
    };
    let mut seats: Vec<Seat> = match (&stop.rota, &stop.plan) {
        (Some(rota), _) => {
            let of = rota.berths.iter();
            of.map(|of| seat(&of.berth, Aim::Best, Some(printable(&of.session))))
                .collect()
        }
        (None, Some(Plan { berths, aim, .. })) => {
            berths.iter().map(|berth| seat(berth, *aim, None)).collect()
        }
        (None, None) => Vec::new(),
    };
    let place = |seat: &Seat| {
        stop.plugged_in
            .iter()
            .position(|of| printable(of) == seat.charger)
    };
    let of_adapters = setup.trip.iter().flat_map(|trip| &trip.adapters);
    let of_adapters = of_adapters.filter_map(|adapter| Some(&adapter.charger.as_ref()?.0));
    let chargers: Vec<&ChargerSpec> = setup.chargers.iter().chain(of_adapters).collect();
    let port = |seat: &Seat| {
        let charger = chargers
            .iter()
            .find(|of| printable(&of.name) == seat.charger)?;
        let mut ports = charger.ports.iter();
        ports.position(|port| printable(&port.name) == seat.port)
    };
    seats.sort_by_key(|seat| (place(seat), port(seat)));
    seats
}

/// `hub: C1 laptop, C2 score tablet 1`, a line for each charger.
fn on_chargers(seats: &[Seat]) -> Vec<String> {
    let on = seats.iter().map(|seat| {
        let place = format!("{} {}", seat.port, seat.device);
        (seat.charger.as_str(), place)
    });
    let line = |(charger, places): (&str, Vec<String>)| format!("{charger}: {}", places.join(", "));
    grouped(on).into_iter().map(line).collect()
}

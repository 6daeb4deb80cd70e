//! What keeps a berth from being full sooner: each limit is lifted alone, the
//! other berths kept, and the time gained at best is compared (section 7).

use super::contract::negotiate;
use super::label::Entry;
use super::offers::{Offer, offers_at};
use super::options::Choice;
use super::read_cable::best_in_place_of;
use super::rounding::{micro, watts};
use super::rules::{governing, lines_hold, pools_hold, taken};
use super::setup::{Cable, Device, Port, Setup};
use super::stay::{during, stay};
use super::time::hours;

/// In the order in which ties go.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) enum Limit {
    Pool,
    Combination,
    Port,
    Cable,
    Device,
}

/// The limit whose lifting shortens the berth's time the most.
pub(crate) fn limited_by(setup: &Setup, chosen: &[Option<Choice>], device: usize) -> Limit {
    let base = best_time(setup, chosen, device, None).expect("the berth itself is legal");
    // What is less than this counts as nothing.
    let noticed = setup.tolerance.max(1);
    let mut most = (Limit::Device, 0);
    for limit in [
        Limit::Pool,
        Limit::Combination,
        Limit::Port,
        Limit::Cable,
        Limit::Device,
    ] {
        let gained = best_time(setup, chosen, device, Some(limit)).map_or(0, |time| base - time);
        if gained >= noticed && gained > most.1 {
            most = (limit, gained);
        }
    }
    most.0
}

/// The best time, in whole microhours, of one berth on its port and cable, the
/// other berths kept, one limit lifted. `None` where nothing legal is left: what may
/// draw more also takes more, and a pool can be too small for that.
pub(crate) fn best_time(
    setup: &Setup,
    chosen: &[Option<Choice>],
    device: usize,
    lifted: Option<Limit>,
) -> Option<i64> {
    let here = chosen[device].as_ref().expect("a berthed device");
    let others: Vec<Choice> = chosen
        .iter()
        .enumerate()
        .filter(|&(d, _)| d != device)
        .filter_map(|(_, choice)| choice.clone())
        .collect();
    let mut setup = setup.clone();
    lift(&mut setup, here, device, lifted);
    let sink = &setup.devices[device];
    let cable = &setup.cables[here.cable];
    let port = &setup.chargers[here.charger].ports[here.port];

    let mut tries: Vec<(f64, Vec<Offer>)> = port
        .tiers_w
        .iter()
        .map(|&tier| (tier, offers_at(port, tier)))
        .collect();
    if lifted == Some(Limit::Port) {
        // A port without a cap steps up to whatever the others leave it; there its
        // offers stand as printed.
        let sessions = here.stay.first..=here.stay.last;
        let beyond = sessions
            .flat_map(|session| left_for(&setup, &during(&others, session), here))
            .filter(|&w| w > port.cap_w);
        tries.extend(beyond.map(|w| (w, offers_at(port, f64::INFINITY))));
    }
    let times = tries.into_iter().filter_map(|(tier_w, offers)| {
        let contract = negotiate(&offers, tier_w, cable, sink)?;
        // Without a cap there are no steps above it: the port takes what it gives.
        let tier_w = if tier_w > port.cap_w {
            contract.port_w()
        } else {
            tier_w
        };
        let hours = hours(sink, contract.inlet_w)?;
        let lasts = stay(&setup, sink, here.stay.first, hours);
        let legal = (lasts.first..=lasts.last).all(|session| {
            let mut all = during(&others, session);
            all.push(Choice {
                contract,
                tier_w,
                ..here.clone()
            });
            pools_hold(&setup, &all) && lines_hold(&setup, &all)
        });
        legal.then(|| micro(hours))
    });
    times.min()
}

/// Changes the setup as if a limit were not there.
fn lift(setup: &mut Setup, here: &Choice, device: usize, lifted: Option<Limit>) {
    let unlimited = |entries: &mut Vec<Entry>| {
        for entry in entries {
            (entry.amps, entry.watts) = (f64::INFINITY, f64::INFINITY);
        }
    };
    match lifted {
        None => {}
        Some(Limit::Pool) => setup
            .chargers
            .iter_mut()
            .for_each(|charger| charger.pools.clear()),
        Some(Limit::Combination) => {
            setup
                .chargers
                .iter_mut()
                .for_each(|charger| charger.lines = None);
        }
        Some(Limit::Port) => {
            let charger = &mut setup.chargers[here.charger];
            let port: &mut Port = &mut charger.ports[here.port];
            unlimited(&mut port.offers);
            // The line "it alone, at its cap" says no more than the cap does.
            for line in charger
                .lines
                .iter_mut()
                .flatten()
                .filter(|line| line.implied)
            {
                line.watts[here.port] = line.watts[here.port].map(|_| f64::INFINITY);
            }
        }
        Some(Limit::Cable) => {
            let cable: &mut Cable = &mut setup.cables[here.cable];
            *cable = best_in_place_of(cable);
        }
        Some(Limit::Device) => {
            let sink: &mut Device = &mut setup.devices[device];
            unlimited(&mut sink.accepts);
            sink.max_w = f64::INFINITY;
            // What it takes from a `usb-a` port is an accepted current too.
            sink.usb_a_a = sink.usb_a_a.map(|_| f64::INFINITY);
        }
    }
}

/// The watts that pools and each governing line leave the berth's port.
fn left_for(setup: &Setup, others: &[Choice], here: &Choice) -> Vec<f64> {
    let charger = &setup.chargers[here.charger];
    let others: Vec<&Choice> = others
        .iter()
        .filter(|x| x.charger == here.charger)
        .collect();
    let pool_room = charger
        .pools
        .iter()
        .filter(|pool| pool.ports.contains(&here.port))
        .map(|pool| {
            // In whole microwatts, as the pool itself compares them.
            let of_pool = others.iter().filter(|x| pool.ports.contains(&x.port));
            let used: i64 = of_pool.map(|x| taken(charger, x)).sum();
            watts(micro(pool.max_w) - used)
        })
        .fold(f64::INFINITY, f64::min);
    let mut in_use: Vec<usize> = others.iter().map(|x| x.port).collect();
    in_use.push(here.port);
    match &charger.lines {
        None => vec![pool_room],
        Some(lines) => governing(lines, &in_use)
            .iter()
            .filter_map(|line| line.watts[here.port])
            .map(|watts| watts.min(pool_room))
            .collect(),
    }
}

//! Every vector of contracts at every event: none is better than the one that is taken.

use std::cell::Cell;

use wattberth::Sharing;

use super::nights;
use super::seated::{Berth, Seated};
use crate::model::options::Choice;
use crate::model::rounding::micro;
use crate::model::rules::{lines_hold, pools_hold};
use crate::model::setup::Device;
use crate::model::time::hours;

/// The sorted times at which all are full in whole 1e-6 h, longest first, then the watts.
type Key = (Vec<i64>, i64);

#[test]
fn no_vector_of_contracts_is_better_at_any_event() {
    let (events, better) = (Cell::new(0), Cell::new(0));
    nights(400, Sharing::Reshared, |seated| {
        for charger in 0..seated.setup.chargers.len() {
            for at_h in seated.moments(charger) {
                let (now, best) = look(seated, charger, at_h);
                events.set(events.get() + 1);
                better.set(better.get() + i32::from(best < now));
            }
        }
    });
    assert!(
        events.get() > 1_000 && better.get() > 100,
        "{events:?} {better:?}"
    );
}

/// The keys of the contracts held before and after a moment, the latter the best there is.
fn look(seated: &Seated, charger: usize, at_h: f64) -> (Key, Key) {
    let here: Vec<&Berth> = seated
        .berths
        .iter()
        .filter(|berth| berth.charger == charger)
        .collect();
    let devices: Vec<(Device, bool)> = here
        .iter()
        .map(|berth| {
            let device = seated.device(berth);
            let pct = seated.pct_at(berth, at_h);
            let series = seated.night.series.iter().find(|s| s.device == device.name);
            let full_h = series.and_then(|series| series.full_h);
            let full = full_h.is_some_and(|full_h| full_h <= at_h);
            let now = Device {
                start_pct: pct,
                ..device.clone()
            };
            (now, full)
        })
        .collect();
    let key = |chosen: &[Choice]| -> Option<Key> {
        let mut times = Vec::new();
        let mut watts = 0;
        for ((device, full), choice) in devices.iter().zip(chosen) {
            watts += micro(choice.contract.port_w());
            if !full {
                times.push(micro(at_h + hours(device, choice.contract.inlet_w)?));
            }
        }
        times.sort_by(|a, b| b.cmp(a));
        Some((times, watts))
    };
    let before: Vec<Choice> = here.iter().map(|b| b.held_before(at_h).clone()).collect();
    let after: Vec<Choice> = here.iter().map(|b| b.held(at_h).clone()).collect();
    let open: Vec<Vec<Choice>> = here
        .iter()
        .zip(&devices)
        .map(|(berth, (device, full))| {
            let mut open = berth.ladder.clone();
            if *full {
                // It keeps only what it runs on.
                open.retain(|choice| micro(choice.contract.inlet_w) >= micro(device.running_w));
                open.truncate(1);
            }
            open
        })
        .collect();
    let now = key(&before).expect("what is held gets everybody full");
    let taken = key(&after).expect("what is taken gets everybody full");
    let mut best = now.clone();
    let mut chosen = Vec::new();
    every(&open, &mut chosen, &mut |vector| {
        if pools_hold(&seated.setup, vector)
            && lines_hold(&seated.setup, vector)
            && let Some(key) = key(vector)
        {
            best = best.clone().min(key);
        }
    });
    // The last digit of a time may come out on the other side of a rounding.
    let near = taken.0.len() == best.0.len()
        && taken.0.iter().zip(&best.0).all(|(a, b)| (a - b).abs() <= 1);
    assert!(
        near && (taken.0 != best.0 || taken.1 == best.1),
        "at {at_h} h: {taken:?}, best {best:?}\n{}",
        seated.json
    );
    (now, taken)
}

fn every(open: &[Vec<Choice>], chosen: &mut Vec<Choice>, look: &mut dyn FnMut(&[Choice])) {
    let Some((first, rest)) = open.split_first() else {
        look(chosen);
        return;
    };
    for choice in first {
        chosen.push(choice.clone());
        every(rest, chosen, look);
        chosen.pop();
    }
}

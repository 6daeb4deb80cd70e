//! Every watt-hour is accounted for, by integrals over the state of charge instead of over
//! time.

use wattberth::{Setup, Sharing};

use super::nights;
use super::seated::{Berth, Seated};
use crate::model::contract::Contract;
use crate::model::setup::Device;

/// Gauss and Legendre's 8 points on (0, 1), with their weights.
const POINTS: [(f64, f64); 8] = [
    (0.019_855_071_751_231_912, 0.050_614_268_145_188_13),
    (0.101_666_761_293_186_64, 0.111_190_517_226_687_24),
    (0.237_233_795_041_835_5, 0.156_853_322_938_943_63),
    (0.408_282_678_752_175_1, 0.181_341_891_689_180_97),
    (0.591_717_321_247_825, 0.181_341_891_689_180_97),
    (0.762_766_204_958_164_5, 0.156_853_322_938_943_63),
    (0.898_333_238_706_813_4, 0.111_190_517_226_687_24),
    (0.980_144_928_248_768_1, 0.050_614_268_145_188_13),
];

/// Into so many parts each stretch between two points is cut.
const PARTS: i32 = 8;

#[test]
fn what_goes_in_is_stored_used_or_lost() {
    nights(200, Sharing::Held, closes);
    nights(200, Sharing::Reshared, closes);
}

/// Watts at the port while `inlet_w` arrive: the smaller root of V I − I² R = p. Where the
/// contract is filled it is that, since close to the most that a cable lets through hardly
/// any of the root's digits are left.
fn port_w(seated: &Seated, berth: &Berth, held: &Contract, inlet_w: f64) -> f64 {
    let ohm = seated.setup.cables[berth.cable].ohm;
    if inlet_w >= held.inlet_w {
        return held.port_w();
    }
    let root = (held.volts * held.volts - 4.0 * ohm * inlet_w)
        .max(0.0)
        .sqrt();
    // The form in which nothing cancels.
    held.volts * 2.0 * inlet_w / (held.volts + root)
}

/// The curve between two states that have no point between them.
fn between(device: &Device, from: f64, to: f64) -> impl Fn(f64) -> f64 {
    let middle = from.midpoint(to);
    let left = device.draw_w.iter().rev().find(|point| point.0 <= middle);
    let right = device.draw_w.iter().find(|point| point.0 > middle);
    let (a, b) = match (left, right) {
        (Some(a), Some(b)) => (*a, *b),
        (Some(a), None) | (None, Some(a)) => (*a, (a.0 + 1.0, a.1)),
        (None, None) => unreachable!("a curve has a point"),
    };
    move |pct| a.1 + (b.1 - a.1) * (pct - a.0) / (b.0 - a.0)
}

fn closes(seated: &Seated) {
    let checked = Setup::from_json(&seated.json).expect("it was read before");
    assert_eq!(checked.device_names().count(), seated.setup.devices.len());
    let night = &seated.night;
    let (mut stored_wh, mut running_wh, mut charging_wh, mut ports_wh) = (0.0, 0.0, 0.0, 0.0);
    for (berth, series) in seated.berths.iter().zip(&night.series) {
        let device = seated.device(berth);
        let kappa = device.efficiency * 100.0 / device.battery_wh;
        let ends = series.soc_pct.last().expect("a series has points") - device.start_pct;
        stored_wh += ends / 100.0 * device.battery_wh;
        charging_wh += ends / kappa;
        running_wh += device.running_w * night.until_h;
        for i in 1..series.at_h.len() {
            let (from_h, to_h) = (series.at_h[i - 1], series.at_h[i]);
            if to_h <= from_h {
                continue;
            }
            let held = &berth.held(from_h.midpoint(to_h)).contract;
            let (from, to) = (series.soc_pct[i - 1], series.soc_pct[i]);
            if to <= from {
                let watts = port_w(seated, berth, held, device.running_w);
                ports_wh += watts * (to_h - from_h);
                continue;
            }
            let spare_w = held.inlet_w - device.running_w;
            let curve = between(device, from, to);
            let parts = (0..PARTS).flat_map(|part| {
                POINTS.map(|(at, weight)| ((f64::from(part) + at) / f64::from(PARTS), weight))
            });
            for (at, weight) in parts {
                // Slowly from either end: where the cable lets no more through, watts leave
                // their most as a root does.
                let weight = weight / f64::from(PARTS) * 6.0 * at * (1.0 - at);
                let at = at * at * (3.0 - 2.0 * at);
                let pct = from + (to - from) * at;
                let charging_w = curve(pct).min(spare_w);
                let watts = port_w(seated, berth, held, device.running_w + charging_w);
                ports_wh += watts / (kappa * charging_w) * (to - from) * weight;
            }
        }
    }
    let energy = &night.energy;
    let near = |a: f64, b: f64, what: &str| {
        assert!(
            (a - b).abs() <= 1e-9 * a.abs().max(b.abs()).max(1.0),
            "{what}: {a} ≠ {b}\n{}",
            seated.json
        );
    };
    near(energy.stored_wh, stored_wh, "stored");
    near(energy.running_wh, running_wh, "running");
    near(
        energy.charging_lost_wh,
        charging_wh - stored_wh,
        "in the devices",
    );
    near(
        energy.stored_wh + energy.running_wh + energy.charging_lost_wh + energy.cable_lost_wh,
        ports_wh,
        "at the ports",
    );
    near(
        ports_wh + energy.charger_lost_wh,
        night.wall_wh,
        "from the socket",
    );
    assert!(energy.cable_lost_wh >= -1e-9 && energy.charger_lost_wh >= 0.0);
    let most = night.wall.watts.iter().copied().fold(0.0, f64::max);
    near(most, night.wall.peak_w, "the peak");
}

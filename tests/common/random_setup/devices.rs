//! Random devices: what a player has in the case, and how empty it is.

use serde_json::{Map, Value, json};

use super::chargers::{object, text};
use super::rng::Rng;
use super::{Flavour, maybe};

const NAMES: [&str; 5] = ["violin", "viola", "cello", "bass", "harp"];

/// Devices that are `wanted` when their counts are expanded.
pub(super) fn devices(rng: &mut Rng, wanted: usize, flavour: Flavour) -> Vec<Value> {
    let mut made: Vec<Map<String, Value>> = Vec::new();
    let mut left = wanted;
    while left > 0 {
        let mut device = match made.last() {
            Some(last) if flavour.alike && rng.chance(40) => last.clone(),
            _ => device(rng, flavour),
        };
        device.remove("count");
        if left > 1 && rng.chance(if flavour.alike { 40 } else { 12 }) {
            let count = 2 + rng.below(left - 1);
            device.insert("count".to_owned(), json!(count));
            left -= count;
        } else {
            left -= 1;
        }
        device.insert("name".to_owned(), json!(NAMES[made.len()]));
        made.push(device);
    }
    made.into_iter().map(Value::Object).collect()
}

/// One device; the caller names it.
pub(super) fn device(rng: &mut Rng, flavour: Flavour) -> Map<String, Value> {
    let mut device = electrics(rng, flavour);
    battery(rng, &mut device);
    charging_curve(rng, &mut device);
    maybe(rng, 12, &mut device, "min_w", &[4.0, 7.0, 12.0, 18.0, 30.0]);
    maybe(rng, 12, &mut device, "running_w", &[1.0, 3.0, 8.0, 15.0]);
    maybe(rng, 20, &mut device, "efficiency", &[0.8, 0.9, 1.0]);
    maybe(
        rng,
        20,
        &mut device,
        "ready_by_h",
        &[0.5, 1.0, 2.0, 4.0, 8.0],
    );
    maybe(rng, 35, &mut device, "priority", &[1, 2, 3]);
    maybe(rng, 16, &mut device, "reach_m", &[0.0, 0.5, 0.8, 1.5, 2.5]);
    device
}

fn electrics(rng: &mut Rng, flavour: Flavour) -> Map<String, Value> {
    let barrel = if flavour.barrel { 5 } else { 0 };
    let extended = if flavour.extended { 8 } else { 0 };
    let kind = rng.weighted(&[(5, 0), (5, 1), (5, 2), (2, 3), (barrel, 4), (extended, 5)]);
    let device = match kind {
        0 => json!({"pd_w": rng.pick(&[15.0, 20.0, 27.0, 30.0, 45.0, 65.0])}),
        1 => json!({"accepts": rng.pick(&[
            "5V 3A, 9V 2.22A",
            "5V 2A",
            "5V 3A, 9V 3A, PPS 3.3-11V 3A",
            "5V 3A, 9V 2A, PPS 3.3-16V 3A 30W",
            "5V 3A, 12V 2A",
            "PPS 3.3-5.9V 3A, 3.3-11V 2A",
        ])}),
        2 => json!({"accepts": rng.pick(&[
            "5V 3A, 9V 3A, 15V 3A, 20V 2.25A",
            "5V 3A, 9V 3A, 15V 3A, 20V 3.25A",
            "15V 3A, 20V 3A 45W",
            "5-20V 3A",
            "9-20V 3A",
            "19V 3.42A",
            "5V 3A, 9V 3A, PPS 5-20V 3A",
            "15V 3A, 20V 5A, AVS 9-20V 5A",
        ])}),
        3 => {
            json!({"inlet": "usb-micro-b", "accepts": rng.pick(&["5V 2A", "5V 1A", "5V 1.5A, 9V 1.2A"])})
        }
        4 => {
            json!({"inlet": "other:barrel", "accepts": rng.pick(&["12V 2A", "12V 4A", "19V 3A", "9-20V 3A"])})
        }
        _ => match rng.below(3) {
            0 => json!({"pd_w": rng.pick(&[100.0, 140.0, 180.0, 240.0])}),
            1 => json!({"accepts": "9V 3A, 15V 3A, 20V 5A, 28V 5A"}),
            _ => json!({"accepts": rng.pick(&["20V 3A, AVS 15-28V 5A", "AVS 20-36V 4A 130W"])}),
        },
    };
    let mut device = object(device);
    maybe(rng, 15, &mut device, "max_w", &[10.0, 18.0, 33.0, 50.0]);
    device
}

fn battery(rng: &mut Rng, device: &mut Map<String, Value>) {
    if rng.chance(20) {
        device.insert(
            "battery_mah".to_owned(),
            json!(rng.pick(&[3000.0, 5000.0, 10000.0])),
        );
        maybe(rng, 30, device, "battery_v", &[3.85, 7.4]);
    } else {
        let sizes = [5.0, 11.4, 18.0, 20.0, 38.0, 52.5, 70.0, 99.0];
        device.insert("battery_wh".to_owned(), json!(rng.pick(&sizes)));
    }
    maybe(
        rng,
        60,
        device,
        "start_pct",
        &[0.0, 10.0, 20.0, 35.0, 50.0, 79.5, 90.0, 95.0, 100.0],
    );
    maybe(rng, 25, device, "target_pct", &[80.0, 90.0, 95.0, 100.0]);
}

fn charging_curve(rng: &mut Rng, device: &mut Map<String, Value>) {
    if !rng.chance(45) {
        return;
    }
    let top = rng.pick(&[8.0, 22.5, 40.0, 80.0, 140.0]);
    let curve = match rng.weighted(&[(8, 0), (5, 1), (5, 2), (3, 3), (1, 4), (1, 5), (3, 6)]) {
        // Constant.
        0 => json!([[0.0, top]]),
        // A taper.
        1 => json!([[0.0, top], [70.0, top], [100.0, top / 8.0]]),
        // Steps.
        2 => json!([
            [0.0, top],
            [50.0, top],
            [50.0, top / 2.0],
            [85.0, top / 2.0],
            [85.0, top / 5.0]
        ]),
        // Slow at first, and a slope that nearly is none.
        3 => json!([
            [5.0, top / 4.0],
            [20.0, top],
            [60.0, top * 0.999_999_9],
            [100.0, top / 3.0]
        ]),
        // Falls to nothing at the end: full only below 100 %.
        4 => json!([[0.0, top], [80.0, top], [100.0, 0.0]]),
        // Nothing at all on the way.
        5 => json!([
            [0.0, top],
            [60.0, top],
            [60.0, 0.0],
            [65.0, 0.0],
            [65.0, top]
        ]),
        // Down at once.
        _ => json!([[0.0, top], [60.0, top], [60.0, top / 3.0], [100.0, 1.0]]),
    };
    device.insert("draw_w".to_owned(), curve);
}

/// Pins some devices to a port, a cable or both: mostly at random, so that some
/// pins cannot be kept.
pub(super) fn pin_some(rng: &mut Rng, devices: &mut [Value], chargers: &[Value], cables: &[Value]) {
    if !rng.chance(25) {
        return;
    }
    for device in devices.iter_mut().filter_map(Value::as_object_mut) {
        if rng.chance(45) {
            let charger = &chargers[rng.below(chargers.len())];
            let ports = charger["ports"].as_array().map_or(&[][..], Vec::as_slice);
            let port = text(&object(ports[rng.below(ports.len())].clone()), "name");
            let full = format!("{}/{port}", charger["name"].as_str().unwrap_or_default());
            let pin = if rng.chance(50) { full } else { port };
            device.insert("port".to_owned(), json!(pin));
        }
        if rng.chance(25) && !cables.is_empty() {
            device.insert(
                "cable".to_owned(),
                cables[rng.below(cables.len())]["name"].clone(),
            );
        }
    }
}

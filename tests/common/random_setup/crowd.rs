//! Random setups of 5 or 6 devices that meet on few ports at few power levels: small
//! enough to look at every plan, large enough that some stay without a berth, some
//! must be slow, and who that is decides what the limits leave to the others.

use serde_json::{Map, Value, json};

use super::chargers::{cap_w, object, text};
use super::devices::pin_some;
use super::limits::{combinations, pools};
use super::rng::Rng;
use super::{document, maybe};

const CHARGERS: [&str; 3] = ["bow", "scroll", "rosin"];

const DEVICES: [&str; 6] = ["violin", "viola", "cello", "bass", "harp", "lute"];

/// Few levels, so that what devices take is often equal where their times are not.
const LEVELS: [&[f64]; 6] = [
    &[15.0],
    &[7.5, 30.0],
    &[7.5, 20.0],
    &[15.0, 30.0],
    &[7.5, 45.0],
    &[7.5, 15.0, 30.0],
];

/// A crowded setup: 5 or 6 devices, 3 to 6 ports, up to 3 chargers.
pub(crate) fn crowded_setup(seed: u64) -> String {
    let mut rng = Rng::new(seed ^ 0x6372_6F77_6465_6400);
    let devices_wanted = 5 + usize::from(rng.chance(40));
    let ports = rng.weighted(&[(3, 3), (5, 4), (4, 5), (1, 6)]);
    of_few_kinds(&mut rng, devices_wanted, ports)
}

/// A setup of few kinds of devices, all of which find some port and cable.
pub(super) fn of_few_kinds(rng: &mut Rng, devices_wanted: usize, ports: usize) -> String {
    let alike = rng.chance(35);
    let levels = rng.pick(&LEVELS);
    let chargers = chargers(rng, ports, alike, levels);
    let mut devices = devices(rng, devices_wanted, alike);
    let cables = cables(rng, devices_wanted, ports);
    if rng.chance(30) {
        pin_some(rng, &mut devices, &chargers, &cables);
    }
    document(rng, &chargers, &cables, &devices)
}

fn chargers(rng: &mut Rng, ports: usize, alike: bool, levels: &[f64]) -> Vec<Value> {
    let wanted = rng.weighted(&[(5, 1), (4, 2), (2, 3)]).min(ports);
    let mut sizes = vec![1; wanted];
    for _ in wanted..ports {
        let more = rng.below(wanted);
        sizes[more] += 1;
    }
    let sizes = sizes.into_iter().zip(CHARGERS);
    sizes
        .map(|(size, name)| charger(rng, name, size, alike, levels))
        .collect()
}

fn charger(rng: &mut Rng, name: &str, ports: usize, alike: bool, levels: &[f64]) -> Value {
    let usual = rng.pick(&[20.0, 30.0, 45.0, 65.0]);
    let made: Vec<Map<String, Value>> = (0..ports)
        .map(|i| {
            let name = format!("{}{}", &name[..1], i + 1);
            let watts = if alike && rng.chance(80) {
                usual
            } else {
                rng.pick(&[15.0, 20.0, 30.0, 45.0, 65.0])
            };
            object(json!({"name": name, "pd_w": watts}))
        })
        .collect();
    let names: Vec<String> = made.iter().map(|port| text(port, "name")).collect();
    let caps: Vec<f64> = made.iter().map(cap_w).collect();
    let mut charger = object(json!({"name": name, "ports": made, "tiers_w": levels}));
    let (pooled, table) = rng.weighted(&[
        (1, (false, false)),
        (5, (true, false)),
        (3, (false, true)),
        (2, (true, true)),
    ]);
    if pooled {
        pools(rng, &mut charger, &names, &caps);
    }
    if table && ports > 1 {
        charger.insert("combinations".to_owned(), combinations(rng, &names, &caps));
    }
    maybe(rng, 25, &mut charger, "reserve", &["contract"]);
    Value::Object(charger)
}

/// Mostly of one kind each, at times several that differ in nothing but the name.
fn devices(rng: &mut Rng, wanted: usize, alike: bool) -> Vec<Value> {
    let mut made: Vec<Map<String, Value>> = Vec::new();
    let deadlines = rng.chance(45);
    let ranks = rng.chance(45);
    let sleeves = rng.chance(30);
    let guests = rng.chance(50);
    // Slow wherever they sit, though they miss little: often those who stay.
    let slow = rng.chance(50);
    let mut left = wanted;
    while left > 0 {
        let count = if alike && left > 1 && rng.chance(30) {
            2 + usize::from(left > 2 && rng.chance(30))
        } else {
            1
        };
        let mut device = match made.last() {
            // The same but for the battery: at every place it takes the same.
            Some(last) if rng.chance(if alike { 50 } else { 20 }) => last.clone(),
            _ if slow && rng.chance(30) => object(json!({
                "accepts": rng.pick(&["5V 1A", "5V 1A", "5V 2A"]),
            })),
            _ => object(json!({
                "pd_w": rng.pick(&[15.0, 18.0, 20.0, 30.0, 30.0, 45.0, 65.0]),
            })),
        };
        device.insert("name".to_owned(), json!(DEVICES[made.len()]));
        device.insert("count".to_owned(), json!(count));
        let sizes = [8.0, 11.4, 15.0, 19.3, 28.6, 38.0, 52.6, 70.0, 99.5];
        device.insert("battery_wh".to_owned(), json!(rng.pick(&sizes)));
        maybe(rng, 60, &mut device, "start_pct", &[0, 10, 20, 50, 85, 100]);
        maybe(rng, 10, &mut device, "min_w", &[8.0, 16.0]);
        if ranks {
            maybe(rng, 70, &mut device, "priority", &[1, 2, 3]);
        }
        // Charged only if there is room, and then not by little: who stays instead of
        // one that could be full earlier.
        if guests && rng.chance(35) {
            device.insert("priority".to_owned(), json!(3));
            maybe(rng, 80, &mut device, "min_w", &[8.0, 16.0, 25.0]);
        }
        if deadlines {
            maybe(rng, 60, &mut device, "ready_by_h", &[0.5, 1.0, 2.0, 4.0]);
        }
        if sleeves {
            maybe(rng, 50, &mut device, "reach_m", &[0.5, 1.5]);
        }
        left -= count;
        made.push(device);
    }
    made.into_iter().map(Value::Object).collect()
}

/// Enough good cables, too few of them, or too few in all.
fn cables(rng: &mut Rng, devices: usize, ports: usize) -> Vec<Value> {
    let seats = devices.min(ports);
    let some = 1 + rng.below(seats);
    let good = rng
        .weighted(&[(4, seats), (3, some), (1, seats - 1)])
        .max(1);
    let mut made = vec![json!({"name": "short", "length_m": 1.0, "count": good})];
    if rng.chance(if good < seats { 75 } else { 15 }) {
        let count = 1 + rng.below(seats);
        let ohm = rng.pick(&[0.35, 0.6, 1.2]);
        made.push(json!({"name": "long", "length_m": 2.0, "ohm": ohm, "count": count}));
    }
    made
}

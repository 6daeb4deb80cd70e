//! Random setups of a chosen size, for laws, stress and benches.

use serde_json::{Map, Value, json};

use super::cables::cable;
use super::chargers::{cap_w, charger, object, text};
use super::devices::{device, pin_some};
use super::limits::{combinations, pools};
use super::rng::Rng;
use super::{Flavour, document};

/// What the setups of a family are hard by.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Family {
    /// USB-C ports of many powers under nested pools.
    Pools,
    /// Chargers of 3 or 4 ports, each with a table.
    Combinations,
    /// Few kinds of ports and devices, many of each, under pools.
    Alike,
    /// Everything that `small_setup` has: barrel plugs, extended range, pins, reach.
    Mixed,
}

impl Family {
    /// Every family, to go through them.
    pub(crate) const ALL: [Self; 4] = [Self::Pools, Self::Combinations, Self::Alike, Self::Mixed];
}

/// A setup of `devices` devices (counts expanded) on `ports` ports, at most 100.
pub(crate) fn mid_setup(seed: u64, devices: usize, ports: usize, family: Family) -> String {
    let mut rng = Rng::new(seed ^ 0x6D69_6473_697A_6564);
    let flavour = match family {
        Family::Mixed => Flavour {
            extended: rng.chance(50),
            barrel: rng.chance(50),
            alike: false,
        },
        Family::Alike => Flavour {
            extended: false,
            barrel: false,
            alike: true,
        },
        _ => Flavour {
            extended: false,
            barrel: false,
            alike: false,
        },
    };
    let mut chargers = Vec::new();
    let mut left = ports;
    for letter in 'a'..='z' {
        let size = if family == Family::Combinations { 3 } else { 4 } + rng.below(2);
        // The last charger of the alphabet takes what is left.
        let size = if letter == 'z' { left } else { size.min(left) };
        if size == 0 {
            break;
        }
        left -= size;
        let name = format!("{letter} stand");
        chargers.push(match family {
            Family::Mixed => charger(&mut rng, &name, size, flavour),
            _ => plain_charger(&mut rng, &name, size, family),
        });
    }
    let mut made: Vec<Map<String, Value>> = Vec::new();
    for i in 0..devices {
        let mut next = match family {
            Family::Mixed => device(&mut rng, flavour),
            Family::Alike if i > 0 && rng.chance(65) => made[rng.below(i)].clone(),
            _ => plain_device(&mut rng),
        };
        next.insert("name".to_owned(), json!(format!("desk {}", i + 1)));
        made.push(next);
    }
    let mut devices: Vec<Value> = made.into_iter().map(Value::Object).collect();
    let cables = bag(&mut rng, &devices, flavour);
    if family == Family::Mixed {
        pin_some(&mut rng, &mut devices[..3.min(ports)], &chargers, &cables);
    }
    document(&mut rng, &chargers, &cables, &devices)
}

fn plain_charger(rng: &mut Rng, name: &str, ports: usize, family: Family) -> Value {
    let powers: &[f64] = match family {
        Family::Alike => &[30.0, 65.0],
        _ => &[18.0, 20.0, 30.0, 45.0, 60.0, 65.0, 100.0],
    };
    let made: Vec<Map<String, Value>> = (0..ports)
        .map(|i| {
            let name = format!("{}{}", &name[..1], i + 1);
            object(json!({"name": name, "pd_w": rng.pick(powers)}))
        })
        .collect();
    let names: Vec<String> = made.iter().map(|port| text(port, "name")).collect();
    let caps: Vec<f64> = made.iter().map(cap_w).collect();
    let mut charger = object(json!({"name": name, "ports": made}));
    if family == Family::Combinations && ports > 1 {
        charger.insert("combinations".to_owned(), combinations(rng, &names, &caps));
    } else {
        pools(rng, &mut charger, &names, &caps);
    }
    Value::Object(charger)
}

fn plain_device(rng: &mut Rng) -> Map<String, Value> {
    object(json!({
        "pd_w": rng.pick(&[15.0, 18.0, 20.0, 27.0, 30.0, 45.0, 60.0, 65.0, 100.0]),
        "battery_wh": rng.pick(&[8.0, 11.4, 15.0, 19.3, 28.6, 38.0, 52.6, 70.0, 99.5]),
        "start_pct": rng.pick(&[0, 5, 10, 20, 30, 40, 60]),
    }))
}

/// About as many cables as devices, of few kinds: some of them better.
fn bag(rng: &mut Rng, devices: &[Value], flavour: Flavour) -> Vec<Value> {
    let count = |inlet: &str| {
        devices
            .iter()
            .filter(|d| d["inlet"].as_str().unwrap_or("usb-c") == inlet)
            .count()
    };
    let kinds = [
        ("usb-c", "usb-c", count("usb-c").div_ceil(2)),
        ("usb-c", "usb-c", count("usb-c").div_ceil(2)),
        ("usb-a", "usb-c", count("usb-c").div_ceil(4)),
        ("usb-c", "usb-micro-b", count("usb-micro-b")),
        ("usb-a", "usb-micro-b", count("usb-micro-b")),
        ("other:barrel", "other:barrel", count("other:barrel")),
        ("usb-c", "other:barrel", count("other:barrel")),
    ];
    let mut made = Vec::new();
    for (i, (from, to, count)) in kinds.into_iter().enumerate() {
        if count > 0 {
            let mut cable = cable(rng, from, to, flavour);
            cable.insert("name".to_owned(), json!(format!("cable {}", i + 1)));
            cable.insert("count".to_owned(), json!(count));
            made.push(Value::Object(cable));
        }
    }
    made
}

//! Random setups from a seed, as JSON text: the same seed is the same setup on
//! every machine.
//!
//! `small_setup` is for exhaustive comparison: few devices and ports, and every
//! rule of the model in play. `crowded_setup` is for it too: more devices, of few
//! kinds. `open` leaves more open in either. `mid_setup` is for laws, stress and benches.

use serde_json::{Map, Value, json};

#[path = "random_setup/cables.rs"]
mod cables;
#[path = "random_setup/chargers.rs"]
mod chargers;
#[path = "random_setup/crowd.rs"]
pub(crate) mod crowd;
#[path = "random_setup/devices.rs"]
mod devices;
#[path = "random_setup/limits.rs"]
mod limits;
#[path = "random_setup/measured.rs"]
pub(crate) mod measured;
#[path = "random_setup/mid.rs"]
pub(crate) mod mid;
#[path = "random_setup/night.rs"]
pub(crate) mod night;
#[path = "random_setup/open.rs"]
pub(crate) mod open;
#[path = "random_setup/rng.rs"]
pub(crate) mod rng;

use rng::Rng;

/// What the things of one setup have in common, so that they meet often enough.
#[derive(Debug, Clone, Copy)]
struct Flavour {
    /// Above 100 W: extended-range ports, cables and devices are likely.
    extended: bool,
    /// Barrel plugs beside USB.
    barrel: bool,
    /// Ports and devices repeat, so that many plans tie.
    alike: bool,
}

impl Flavour {
    fn of(rng: &mut Rng) -> Self {
        Self {
            extended: rng.chance(25),
            barrel: rng.chance(15),
            alike: rng.chance(30),
        }
    }
}

/// A small setup: at most 4 devices, 5 ports, 2 chargers.
pub(crate) fn small_setup(seed: u64) -> String {
    let mut rng = Rng::new(seed);
    let flavour = Flavour::of(&mut rng);
    let devices_wanted = rng.weighted(&[(1, 1), (2, 2), (4, 3), (4, 4)]);
    let ports = (devices_wanted + 1).min(5) - usize::from(rng.chance(30));
    let split = if ports > 1 && rng.chance(28) {
        1 + rng.below(ports - 1)
    } else {
        ports
    };

    let mut chargers = vec![chargers::charger(&mut rng, "bow", split, flavour)];
    if split < ports {
        chargers.push(chargers::charger(
            &mut rng,
            "scroll",
            ports - split,
            flavour,
        ));
    }
    let mut devices = devices::devices(&mut rng, devices_wanted, flavour);
    let cables = cables::cables(&mut rng, &chargers, &devices, flavour);
    devices::pin_some(&mut rng, &mut devices, &chargers, &cables);
    document(&mut rng, &chargers, &cables, &devices)
}

/// A charger of `ports` ports for usual devices: pools, tables and tiers as they come.
pub(crate) fn lone_charger(seed: u64, ports: usize) -> Value {
    let mut rng = Rng::new(seed ^ 0x6C6F_6E65_6368_6172);
    let flavour = Flavour {
        extended: false,
        barrel: false,
        alike: rng.chance(30),
    };
    chargers::charger(&mut rng, "bow", ports, flavour)
}

fn document(rng: &mut Rng, chargers: &[Value], cables: &[Value], devices: &[Value]) -> String {
    let mut document = json!({
        "chargers": chargers,
        "cables": cables,
        "devices": devices,
    });
    if rng.chance(50) {
        document["version"] = json!(1);
    }
    if rng.chance(40) {
        document["session_h"] = json!(rng.pick(&[1.0, 1.5, 2.0, 3.0, 5.0, 8.0]));
    }
    document.to_string()
}

/// Sets a field with a chance in percent.
fn maybe<T: Into<Value> + Copy>(
    rng: &mut Rng,
    percent: u64,
    of: &mut Map<String, Value>,
    field: &str,
    values: &[T],
) {
    if rng.chance(percent) {
        of.insert(field.to_owned(), rng.pick(values).into());
    }
}

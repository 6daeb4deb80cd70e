//! Families of setups that are measured by size, as setup documents: the same seed is
//! the same setup on every machine and in every version, whatever the library does.

use serde_json::{Map, Value, json};

use super::limits::combinations;
use super::rng::Rng;

#[path = "measured/least.rs"]
mod least;
#[path = "measured/night.rs"]
mod night;
#[path = "measured/parts.rs"]
mod parts;
#[path = "measured/scarce.rs"]
mod scarce;
#[path = "measured/sold.rs"]
mod sold;

use least::{Table, least_plan};
use parts::{Cable, Device, Port};

/// What the setups of a family are hard by.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Measured {
    /// One charger, as many ports as devices, no two ports equal, nested pools at 1.4
    /// times what a plan of least power takes.
    UnlikeMid,
    /// The same with a total of just the least power at a middling threshold, and inner
    /// pools at 0.8 to 0.85 of what that plan takes from them.
    UnlikeBind,
    /// Ports of three kinds, pools over whole kinds, limits as in `UnlikeMid`.
    GroupsMid,
    /// Ports of three kinds, limits as in `UnlikeBind`.
    GroupsBind,
    /// Chargers of 3 to 5 unlike ports, each with a combination table; a quarter more
    /// ports than devices.
    Tables,
    /// Chargers of 3 to 5 unlike ports, each with pools of its own.
    Chargers,
    /// Four devices for every three ports, of all priorities.
    Crowded,
    /// `UnlikeMid` with a deadline for every device, near what it can have.
    Deadlines,
    /// One charger of eight ports in two or three kinds, with one to three pools or a
    /// table; eight devices, whatever the size asked for.
    Sold,
    /// Sessions: one charger of far fewer unlike ports than devices, pools as in
    /// `UnlikeMid` for as many devices as there are ports. Not one of [`Self::ALL`]: it is
    /// measured by its rota.
    Rota,
    /// Sessions: ports enough, with tables and pools, but at most one cable for three
    /// devices. Measured by its rota, too.
    Scarce,
}

impl Measured {
    /// Those that are measured by their plan.
    pub(crate) const ALL: [Self; 9] = [
        Self::UnlikeMid,
        Self::UnlikeBind,
        Self::GroupsMid,
        Self::GroupsBind,
        Self::Tables,
        Self::Chargers,
        Self::Crowded,
        Self::Deadlines,
        Self::Sold,
    ];

    pub(crate) const fn name(self) -> &'static str {
        match self {
            Self::UnlikeMid => "unlike-mid",
            Self::UnlikeBind => "unlike-bind",
            Self::GroupsMid => "groups-mid",
            Self::GroupsBind => "groups-bind",
            Self::Tables => "tables",
            Self::Chargers => "chargers",
            Self::Crowded => "crowded",
            Self::Deadlines => "deadlines",
            Self::Sold => "sold",
            Self::Rota => "rota",
            Self::Scarce => "scarce",
        }
    }

    pub(crate) fn named(name: &str) -> Option<Self> {
        let mut all = Self::ALL.into_iter().chain([Self::Rota, Self::Scarce]);
        all.find(|family| family.name() == name)
    }

    /// Whether it is measured by its rota.
    pub(crate) fn has_sessions(self) -> bool {
        matches!(self, Self::Rota | Self::Scarce)
    }

    /// A setup of `size` devices, 4 to 100.
    pub(crate) fn setup(self, seed: u64, size: usize) -> String {
        let mut rng = Rng::new(seed ^ 0x006D_6561_7375_7265);
        match self {
            Self::Tables => tables(&mut rng, size),
            Self::Sold => sold::sold(&mut rng),
            Self::Rota => night::night(&mut rng, size),
            Self::Scarce => scarce::scarce(&mut rng, size),
            _ => self.limited(&mut rng, size),
        }
    }

    fn limited(self, rng: &mut Rng, size: usize) -> String {
        let seats = if self == Self::Crowded {
            size * 3 / 4
        } else {
            size
        };
        let alike = matches!(self, Self::GroupsMid | Self::GroupsBind);
        let bind = matches!(self, Self::UnlikeBind | Self::GroupsBind);
        let ports = if alike {
            parts::alike_ports(rng, seats)
        } else {
            parts::unlike_ports(rng, seats)
        };
        let cables = parts::bag(seats);
        let by_offer = rng.chance(50);
        let mut devices: Vec<Device> = (0..size).map(|_| parts::device(rng)).collect();
        // The limits come from plans for as many devices as there are ports.
        let mut table = Table::of(&devices[..seats], &ports, &cables, by_offer);
        let mut least = least_plan(&table, &table.least_w());
        if least.is_none() {
            for device in &mut devices {
                device.min_w = 0.0;
            }
            table = Table::of(&devices[..seats], &ports, &cables, by_offer);
            least = least_plan(&table, &table.least_w());
        }
        let least =
            least.expect("there are cables to spare, and without a least power all are as good");
        let binding = bind.then(|| table.middling_plan(&devices[..seats], &least));

        let split: Vec<Vec<usize>> = if self == Self::Chargers {
            split(rng, seats)
        } else {
            vec![(0..seats).collect()]
        };
        let mut chargers = Vec::new();
        for (number, own) in split.iter().enumerate() {
            let nested = parts::nested(rng, own, &ports, alike);
            let limits: Vec<(Vec<usize>, f64)> = nested
                .into_iter()
                .enumerate()
                .map(|(depth, members)| {
                    let floor = least.load(&members);
                    let watts = match &binding {
                        None => 1.4 * floor,
                        Some(plan) if depth == 0 => plan.load(&members),
                        Some(plan) => {
                            let share = rng.pick(&[0.8, 0.81, 0.82, 0.83, 0.84, 0.85]);
                            share * plan.load(&members)
                        }
                    };
                    (members, watts.max(floor))
                })
                .collect();
            chargers.push(charger(number, own, &ports, &limits, by_offer));
        }
        let late = self == Self::Deadlines;
        let devices: Vec<Value> = devices
            .iter()
            .enumerate()
            .map(|(number, device)| {
                let mut json = device.json(number);
                if self == Self::Crowded {
                    json.insert("priority".to_owned(), json!(1 + rng.below(3)));
                }
                if late {
                    let had_w = 1.3 * least.inlet_w(number);
                    let hours = device.hours(had_w) * rng.pick(&[0.7, 0.8, 0.9, 1.0, 1.1, 1.3]);
                    let ready = (hours * 20.0).ceil() / 20.0;
                    json.insert("ready_by_h".to_owned(), json!(ready));
                }
                Value::Object(json)
            })
            .collect();
        document(&chargers, &cables, &devices)
    }
}

/// Chargers of 3 to 5 ports, by their ports.
fn split(rng: &mut Rng, ports: usize) -> Vec<Vec<usize>> {
    let mut made = Vec::new();
    let mut from = 0;
    while from < ports {
        let left = ports - from;
        let wanted = 3 + rng.below(3);
        // Three at least are left for the next.
        let to = from
            + if left <= 5 {
                left
            } else {
                wanted.min(left - 3)
            };
        made.push((from..to).collect());
        from = to;
    }
    made
}

fn tables(rng: &mut Rng, size: usize) -> String {
    let seats = size + size / 4;
    let ports = parts::unlike_ports(rng, seats);
    let cables = parts::bag(size);
    let devices: Vec<Value> = (0..size)
        .map(|number| Value::Object(parts::device(rng).json(number)))
        .collect();
    let mut chargers = Vec::new();
    for (number, own) in split(rng, seats).iter().enumerate() {
        let by_offer = rng.chance(50);
        let mut charger = charger(number, own, &ports, &[], by_offer);
        let names: Vec<String> = own.iter().map(|&p| port_name(p)).collect();
        let caps: Vec<f64> = own.iter().map(|&p| ports[p].cap_w).collect();
        if own.len() > 1 {
            charger["combinations"] = combinations(rng, &names, &caps);
        }
        chargers.push(charger);
    }
    document(&chargers, &cables, &devices)
}

fn port_name(port: usize) -> String {
    format!("C{}", port + 1)
}

/// A charger with its pools; the first of them is its total.
fn charger(
    number: usize,
    own: &[usize],
    ports: &[Port],
    limits: &[(Vec<usize>, f64)],
    by_offer: bool,
) -> Value {
    let made: Vec<Value> = own
        .iter()
        .map(|&p| {
            let mut port = ports[p].json();
            port.insert("name".to_owned(), json!(port_name(p)));
            Value::Object(port)
        })
        .collect();
    let mut charger = json!({
        "name": format!("stand {}", number + 1),
        "ports": made,
        "tiers_w": parts::TIERS_W,
        "reserve": if by_offer { "offer" } else { "contract" },
    });
    let watts = |w: f64| (w * 100.0).ceil() / 100.0;
    let mut pools = Vec::new();
    for (depth, (members, most)) in limits.iter().enumerate() {
        if depth == 0 {
            charger["max_w"] = json!(watts(*most));
            continue;
        }
        let names: Vec<String> = members.iter().map(|&p| port_name(p)).collect();
        pools.push(json!({"name": format!("bank {depth}"), "ports": names, "max_w": watts(*most)}));
    }
    if !pools.is_empty() {
        charger["pools"] = Value::Array(pools);
    }
    charger
}

fn document(chargers: &[Value], cables: &[Cable], devices: &[Value]) -> String {
    let cables: Vec<Map<String, Value>> = cables.iter().map(Cable::json).collect();
    json!({"version": 1, "chargers": chargers, "cables": cables, "devices": devices}).to_string()
}

//! Plans of least power, to set limits by: shortest augmenting paths over devices and
//! ports, and a price on the better cable that rises until there are enough of them.

use super::parts::{Cable, Device, Port, TIERS_W};

/// A way to sit on one port with one cable.
#[derive(Debug, Clone, Copy)]
struct Way {
    cable: usize,
    /// What it takes from pools.
    takes_w: f64,
    inlet_w: f64,
}

/// By device and port, every way to sit.
pub(super) struct Table {
    ways: Vec<Vec<Vec<Way>>>,
    min_w: Vec<f64>,
    counts: Vec<usize>,
}

/// By device, its port and its way there.
pub(super) struct LeastPlan {
    berths: Vec<(usize, Way)>,
}

impl Table {
    pub(super) fn of(devices: &[Device], ports: &[Port], cables: &[Cable], by_offer: bool) -> Self {
        let ways = devices.iter().map(|device| {
            let on = |port: &Port| ways(device, port, cables, by_offer);
            ports.iter().map(on).collect()
        });
        Self {
            ways: ways.collect(),
            min_w: devices.iter().map(|device| device.min_w).collect(),
            counts: cables.iter().map(|cable| cable.count).collect(),
        }
    }

    /// By device, the least that it needs to charge at all.
    pub(super) fn least_w(&self) -> Vec<f64> {
        self.min_w.clone()
    }

    /// A plan of least power at a middling threshold: the median of all times between
    /// what the slowest device takes at its best and what it takes in the plan of least
    /// power; later where none keeps that.
    pub(super) fn middling_plan(&self, devices: &[Device], least: &LeastPlan) -> LeastPlan {
        let slowest = |watts: &dyn Fn(usize) -> f64| {
            (0..devices.len())
                .map(|d| devices[d].hours(watts(d)))
                .fold(0.0, f64::max)
        };
        let best = slowest(&|d| {
            let ways = self.ways[d].iter().flatten();
            ways.map(|way| way.inlet_w).fold(0.0, f64::max)
        });
        let last = slowest(&|d| least.inlet_w(d));
        let mut times: Vec<f64> = devices
            .iter()
            .zip(&self.ways)
            .flat_map(|(device, ways)| ways.iter().flatten().map(|way| device.hours(way.inlet_w)))
            .filter(|hours| (best..=last).contains(hours))
            .collect();
        times.sort_by(f64::total_cmp);
        let mut hours = times.get(times.len() / 2).copied().unwrap_or(last);
        for _ in 0..20 {
            if let Some(plan) = self.plan_within(devices, hours) {
                return plan;
            }
            hours = (hours * last).sqrt();
        }
        LeastPlan {
            berths: least.berths.clone(),
        }
    }

    /// A plan of least power in which every device is full within so many hours.
    pub(super) fn plan_within(&self, devices: &[Device], hours: f64) -> Option<LeastPlan> {
        let needs: Vec<f64> = devices.iter().map(|d| needs_w(d, hours)).collect();
        least_plan(self, &needs)
    }
}

impl LeastPlan {
    /// What arrives at a device that has a berth in it.
    pub(super) fn inlet_w(&self, device: usize) -> f64 {
        self.berths[device].1.inlet_w
    }

    /// What the plan takes on these ports.
    pub(super) fn load(&self, ports: &[usize]) -> f64 {
        let there = self.berths.iter().filter(|(port, _)| ports.contains(port));
        there.map(|(_, way)| way.takes_w).sum()
    }
}

/// The least power at which a device is full within so many hours.
fn needs_w(device: &Device, hours: f64) -> f64 {
    let (mut low, mut high) = (device.min_w.max(0.1), device.max_w);
    if device.hours(low) <= hours {
        return low;
    }
    for _ in 0..60 {
        let middle = f64::midpoint(low, high);
        if device.hours(middle) <= hours {
            high = middle;
        } else {
            low = middle;
        }
    }
    high
}

/// The model's own page, sections 2 and 3, as far as fixed voltages need it.
fn ways(device: &Device, port: &Port, cables: &[Cable], by_offer: bool) -> Vec<Way> {
    let below = TIERS_W.into_iter().filter(|&tier| tier < port.cap_w);
    let tiers: Vec<f64> = below.chain([port.cap_w]).collect();
    let mut made: Vec<Way> = Vec::new();
    for (index, cable) in cables.iter().enumerate() {
        for &tier in &tiers {
            let best = port
                .offers
                .iter()
                .filter(|(volts, _)| tier == port.cap_w || tier > from_w(*volts))
                .filter_map(|&(volts, offered)| {
                    let (_, accepted) = device.accepts.iter().find(|(v, _)| *v == volts)?;
                    let amps = [*accepted, cable.max_a, tier / volts, device.max_w / volts]
                        .into_iter()
                        .fold(offered, f64::min);
                    Some((volts * amps, volts * amps - amps * amps * cable.ohm))
                })
                .max_by(|a, b| a.1.total_cmp(&b.1));
            if let Some((port_w, inlet_w)) = best {
                made.push(Way {
                    cable: index,
                    takes_w: if by_offer { tier } else { port_w },
                    inlet_w,
                });
            }
        }
    }
    made
}

/// Sources above so many watts have the voltage (USB PD R3.2, 10.2).
fn from_w(volts: f64) -> f64 {
    match volts {
        v if v <= 5.9 => 0.0,
        v if v <= 11.0 => 15.0,
        v if v <= 16.0 => 27.0,
        _ => 45.0,
    }
}

/// A plan of least power in which every device gets what it needs, where there is one.
/// It is the least but for what the whole number of cables costs.
pub(super) fn least_plan(table: &Table, needs_w: &[f64]) -> Option<LeastPlan> {
    let mut kept = None;
    let (mut low, mut high) = (-100.0, 100.0);
    // The better cable is the last; first without a price, then by halves.
    let mut price = 0.0;
    for _ in 0..30 {
        let plan = priced_plan(table, needs_w, price)?;
        let used = |cable: usize| plan.berths.iter().filter(|b| b.1.cable == cable).count();
        let too_many = used(table.counts.len() - 1) > table.counts[table.counts.len() - 1];
        let too_few = used(0) > table.counts[0];
        if too_many {
            low = price;
        } else if too_few {
            high = price;
        } else {
            kept = Some(plan);
            high = price;
        }
        if kept.is_some() && high - low < 0.1 {
            break;
        }
        price = f64::midpoint(low, high);
    }
    kept
}

fn priced_plan(table: &Table, needs_w: &[f64], price: f64) -> Option<LeastPlan> {
    const NONE: f64 = 1e6;
    let dear = table.counts.len() - 1;
    // Devices that would all change their cable at one price change it one by one.
    let cost = |way: &Way, device: u32| {
        let price = price + 1e-4 * f64::from(device);
        way.takes_w + if way.cable == dear { price } else { 0.0 }
    };
    let cheapest: Vec<Vec<Option<Way>>> = table
        .ways
        .iter()
        .zip(needs_w)
        .zip(0..)
        .map(|((ports, &needs), device)| {
            let best = |ways: &Vec<Way>| {
                let enough = ways.iter().filter(|way| way.inlet_w >= needs);
                enough
                    .min_by(|a, b| cost(a, device).total_cmp(&cost(b, device)))
                    .copied()
            };
            ports.iter().map(best).collect()
        })
        .collect();
    let costs: Vec<Vec<f64>> = cheapest
        .iter()
        .zip(0..)
        .map(|(ports, device)| {
            ports
                .iter()
                .map(|way| way.as_ref().map_or(NONE, |way| cost(way, device)))
                .collect()
        })
        .collect();
    let berths = assignment(&costs)
        .into_iter()
        .zip(&cheapest)
        .map(|(port, ways)| ways[port].map(|way| (port, way)))
        .collect::<Option<Vec<_>>>()?;
    Some(LeastPlan { berths })
}

/// By row the column of a cheapest assignment (Jonker and Volgenant 1987: shortest
/// augmenting paths); at least as many columns as rows.
fn assignment(costs: &[Vec<f64>]) -> Vec<usize> {
    let columns = costs[0].len();
    let mut row_of: Vec<Option<usize>> = vec![None; columns];
    let mut row_price = vec![0.0; costs.len()];
    let mut column_price = vec![0.0; columns];
    for free in 0..costs.len() {
        let mut reach = vec![f64::INFINITY; columns];
        let mut before = vec![None; columns];
        let mut done = vec![false; columns];
        let (mut row, mut at, mut far) = (free, None, 0.0);
        let end = loop {
            for column in (0..columns).filter(|&c| !done[c]) {
                let to = far + costs[row][column] - row_price[row] - column_price[column];
                if to < reach[column] {
                    reach[column] = to;
                    before[column] = at;
                }
            }
            let next = (0..columns)
                .filter(|&c| !done[c])
                .min_by(|&a, &b| reach[a].total_cmp(&reach[b]))
                .expect("no fewer columns than rows");
            done[next] = true;
            far = reach[next];
            at = Some(next);
            match row_of[next] {
                Some(taken) => row = taken,
                None => break next,
            }
        };
        row_price[free] += far;
        for column in (0..columns).filter(|&c| done[c]) {
            column_price[column] -= far - reach[column];
            if let Some(row) = row_of[column].filter(|_| column != end) {
                row_price[row] += far - reach[column];
            }
        }
        let mut column = end;
        while let Some(previous) = before[column] {
            row_of[column] = row_of[previous];
            column = previous;
        }
        row_of[column] = Some(free);
    }
    let mut made = vec![0; costs.len()];
    for (column, row) in row_of.into_iter().enumerate() {
        if let Some(row) = row {
            made[row] = column;
        }
    }
    made
}

//! The ports, cables and devices of measured setups.

use serde_json::{Map, Value, json};

use super::super::chargers::object;
use super::super::rng::Rng;

/// With a port's own cap, six levels.
pub(super) const TIERS_W: [f64; 5] = [7.5, 15.0, 20.0, 30.0, 45.0];

/// A fixed voltage with a current.
pub(super) type Fixed = (f64, f64);

#[derive(Debug, Clone, PartialEq)]
pub(super) struct Port {
    pub(super) offers: Vec<Fixed>,
    pub(super) cap_w: f64,
}

#[derive(Debug, Clone)]
pub(super) struct Cable {
    pub(super) name: &'static str,
    pub(super) max_a: f64,
    pub(super) ohm: f64,
    pub(super) count: usize,
}

#[derive(Debug, Clone)]
pub(super) struct Device {
    pub(super) accepts: Vec<Fixed>,
    pub(super) max_w: f64,
    pub(super) min_w: f64,
    pub(super) battery_wh: f64,
    pub(super) start_pct: f64,
    /// Where the curve begins to fall, to a tenth at 100 %.
    pub(super) knee_pct: f64,
    pub(super) efficiency: f64,
}

/// Ports of which no two are equal: their caps differ, and their currents mostly do.
pub(super) fn unlike_ports(rng: &mut Rng, ports: usize) -> Vec<Port> {
    let mut caps: Vec<f64> = (0..141).map(|half| 30.0 + 0.5 * f64::from(half)).collect();
    rng.shuffle(&mut caps);
    caps.into_iter()
        .take(ports)
        .map(|cap| port(rng, cap))
        .collect()
}

/// Ports of three kinds, equal ones in a row.
pub(super) fn alike_ports(rng: &mut Rng, ports: usize) -> Vec<Port> {
    let small = port(rng, 30.0);
    let middle = port(rng, 60.0);
    let large = port(rng, 100.0);
    (0..ports)
        .map(|p| match p * 8 / ports {
            0 | 1 => large.clone(),
            2..5 => middle.clone(),
            _ => small.clone(),
        })
        .collect()
}

fn port(rng: &mut Rng, cap_w: f64) -> Port {
    let mut offers = vec![(5.0, 3.0)];
    for (volts, above_w) in [(9.0, 15.0), (15.0, 27.0), (20.0, 45.0)] {
        if cap_w > above_w {
            let most = f64::min(cap_w / volts, if volts == 20.0 { 5.0 } else { 3.0 });
            offers.push((volts, hundredths(most * share(rng, 80, 100))));
        }
    }
    Port { offers, cap_w }
}

/// Two kinds of cable: not enough of the better one.
pub(super) fn bag(wanted: usize) -> Vec<Cable> {
    let better = (wanted / 2).max(1);
    vec![
        Cable {
            name: "long",
            max_a: 3.0,
            ohm: 0.24,
            count: wanted - wanted / 4,
        },
        Cable {
            name: "short",
            max_a: 5.0,
            ohm: 0.08,
            count: better,
        },
    ]
}

/// A phone, a tablet, a laptop: no two are equal.
pub(super) fn device(rng: &mut Rng) -> Device {
    let about_w = rng.pick(&[15.0, 18.0, 20.0, 25.0, 30.0, 45.0, 60.0, 65.0, 90.0]);
    let max_w = hundredths(about_w * share(rng, 90, 100));
    let mut accepts = vec![(5.0, hundredths(share(rng, 240, 300)))];
    for (volts, above_w) in [(9.0, 15.0), (15.0, 27.0), (20.0, 45.0)] {
        if max_w > above_w {
            let most = f64::min(max_w / volts, if volts == 20.0 { 5.0 } else { 3.0 });
            accepts.push((volts, hundredths(most)));
        }
    }
    let least = rng.pick(&[0.0, 0.0, 0.1, 0.2, 0.3]);
    Device {
        accepts,
        max_w,
        min_w: hundredths(least * max_w),
        battery_wh: hundredths(max_w * share(rng, 90, 130)),
        start_pct: (share(rng, 0, 40) * 100.0).round(),
        knee_pct: (share(rng, 65, 85) * 100.0).round(),
        efficiency: share(rng, 85, 92),
    }
}

/// Limits inside one another, all of them first: 2 or 3 where there is room. Of
/// alike ports a kind is in or out as a whole.
pub(super) fn nested(rng: &mut Rng, own: &[usize], ports: &[Port], alike: bool) -> Vec<Vec<usize>> {
    let mut made = vec![own.to_vec()];
    let mut members = own.to_vec();
    rng.shuffle(&mut members);
    for _ in 0..=rng.below(2) {
        let left = (members.len() * 3).div_ceil(5);
        if left < 2 || left == members.len() {
            break;
        }
        if alike {
            let dropped = ports[members[0]].clone();
            members.retain(|&p| ports[p] != dropped);
        } else {
            members.truncate(left);
        }
        if members.is_empty() {
            break;
        }
        let mut listed = members.clone();
        listed.sort_unstable();
        made.push(listed);
    }
    made
}

/// A whole number of hundredths.
fn hundredths(value: f64) -> f64 {
    (value * 100.0).floor() / 100.0
}

/// From one whole number of hundredths to another.
fn share(rng: &mut Rng, from: u32, to: u32) -> f64 {
    let steps = usize::try_from(to - from).expect("a small number");
    let step = u32::try_from(rng.below(steps + 1)).expect("a small number");
    f64::from(from + step) / 100.0
}

/// As a label prints them.
fn label(fixed: &[Fixed]) -> String {
    let entries: Vec<String> = fixed.iter().map(|(v, a)| format!("{v}V {a}A")).collect();
    entries.join(", ")
}

impl Port {
    pub(super) fn json(&self) -> Map<String, Value> {
        object(json!({"offers": label(&self.offers), "max_w": self.cap_w}))
    }
}

impl Cable {
    pub(super) fn json(&self) -> Map<String, Value> {
        object(json!({
            "name": self.name, "e_marked": self.max_a > 3.0, "max_a": self.max_a,
            "ohm": self.ohm, "count": self.count,
        }))
    }
}

impl Device {
    pub(super) fn json(&self, number: usize) -> Map<String, Value> {
        object(json!({
            "name": format!("desk {}", number + 1),
            "accepts": label(&self.accepts), "max_w": self.max_w, "min_w": self.min_w,
            "battery_wh": self.battery_wh, "start_pct": self.start_pct,
            "draw_w": [[self.knee_pct, self.max_w], [100.0, self.max_w / 10.0]],
            "efficiency": self.efficiency,
        }))
    }

    /// Hours to full at so many watts.
    pub(super) fn hours(&self, watts: f64) -> f64 {
        let flat_w = watts.min(self.max_w);
        // Where the falling curve meets the watts at hand.
        let fall = 0.9 * self.max_w / (100.0 - self.knee_pct);
        let meets = (self.knee_pct + (self.max_w - flat_w) / fall).min(100.0);
        let flat = (meets - self.start_pct).max(0.0) / flat_w;
        let from = meets.max(self.start_pct);
        let draw = |pct: f64| self.max_w - fall * (pct - self.knee_pct).max(0.0);
        let falling = (draw(from) / draw(100.0)).ln() / fall;
        self.battery_wh / 100.0 / self.efficiency * (flat + falling)
    }
}

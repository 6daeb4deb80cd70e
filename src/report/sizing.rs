//! What to look for in words and cells: the least charger, what more watts would gain,
//! and how far the labels' sum is beside it.

#[cfg(feature = "cli")]
mod text;

#[cfg(feature = "cli")]
pub use text::write_size_text;

use super::Note;
use super::printable::{printable, short_name};
use crate::decide::bag::Bag;
use crate::decide::size::{SizedPort, Sizing, Tradeoff};
use crate::units::millionths;
use crate::units::quantity::{contract, factor, time, watts};

/// Points of the frontier that are shown, the ends and the chosen one among them.
const SHOWN: usize = 9;

/// A sizing in words and cells.
#[derive(Debug, Clone, PartialEq, Eq)]
#[non_exhaustive]
pub struct SizeReport {
    /// What to look for, in one line.
    pub headline: String,
    /// Whether every device has a port.
    pub all_served: bool,
    /// How many ports there are of each tier, the largest first: `65 W, 4 × 30 W`.
    pub tiers: String,
    /// The ports, in the order of the devices.
    pub ports: Vec<SizeRow>,
    /// The watts of chargers that share otherwise, and of the labels.
    pub sums: Vec<String>,
    /// Longest times with the least watts for each: the ends, the chosen one, and some
    /// between them.
    pub frontier: Vec<FrontierRow>,
    /// How many such pairs there are.
    pub frontier_size: usize,
    /// The devices that cannot be full in time, and when they are.
    pub too_late: Vec<Note>,
    /// The devices without a cable, and why.
    pub unreached: Vec<Note>,
    /// The devices that are full as they are.
    pub no_need: Vec<String>,
    /// What to keep in mind.
    pub cautions: Vec<String>,
}

/// One port to look for.
#[derive(Debug, Clone, PartialEq, Eq)]
#[non_exhaustive]
pub struct SizeRow {
    /// The device.
    pub device: String,
    /// The cable.
    pub cable: String,
    /// The power to look for on the label: `30 W`.
    pub port: String,
    /// The contract: `9 V 2.77 A`.
    pub contract: String,
    /// Its watts at the port: `24.9 W`.
    pub watts: String,
    /// When it is full, rounded up.
    pub full_after: String,
}

/// One pair of the frontier.
#[derive(Debug, Clone, PartialEq, Eq)]
#[non_exhaustive]
pub struct FrontierRow {
    /// When the last device is full, rounded up.
    pub full_after: String,
    /// The least watts for that.
    pub watts: String,
    /// Whether it is the one whose ports are shown.
    pub chosen: bool,
}

impl SizeReport {
    /// The report of `sizing`, which is one of `bag`.
    pub fn new(bag: &Bag, sizing: &Sizing) -> Self {
        let note = |device: &str, text: String| Note {
            device: printable(device),
            text: printable(&text),
        };
        Self {
            headline: headline(sizing),
            all_served: sizing.unreached.is_empty() && sizing.too_late.is_empty(),
            tiers: tiers(&sizing.ports),
            ports: sizing.ports.iter().map(row).collect(),
            sums: sums(sizing),
            frontier: frontier(sizing),
            frontier_size: sizing.frontier.len(),
            too_late: sizing
                .too_late
                .iter()
                .map(|late| {
                    let text = format!(
                        "full after {} at the earliest, needed after {}",
                        time(late.earliest_h),
                        time(late.needed_h)
                    );
                    note(&late.device, text)
                })
                .collect(),
            unreached: sizing
                .unreached
                .iter()
                .map(|without| note(&without.device, without.reason.clone()))
                .collect(),
            no_need: bag
                .setup()
                .devices
                .iter()
                .filter(|device| !device.needs_berth())
                .map(|device| printable(&device.name))
                .collect(),
            cautions: sizing
                .cautions
                .iter()
                .map(|caution| printable(caution))
                .collect(),
        }
    }
}

fn headline(sizing: &Sizing) -> String {
    let ports = sizing.ports.len();
    let total = ports + sizing.unreached.len() + sizing.too_late.len();
    let devices = match (ports, total) {
        (_, 0) => return "nothing to charge: every device is full as it is".to_owned(),
        (0, 1) => return "no charger can be sized for the only device".to_owned(),
        (0, _) => return format!("no charger can be sized for any of the {total} devices"),
        (1, 1) => "the only device".to_owned(),
        (all, of) if all == of => format!("all {of} devices"),
        _ => format!("{ports} of {total} devices"),
    };
    let looked_for = if ports == 1 {
        format!("1 USB-C port with {}", watts(sizing.total_w))
    } else {
        format!("{ports} USB-C ports, {} together", watts(sizing.total_w))
    };
    let latest = if ports == 1 { "" } else { " at the latest" };
    format!(
        "look for {looked_for}: {devices} full after {}{latest}; proven: no fewer watts will do",
        time(sizing.longest_h)
    )
}

/// How many ports there are of each tier, the largest first.
fn tiers(ports: &[SizedPort]) -> String {
    let mut tiers: Vec<i64> = ports.iter().map(|port| millionths(port.tier_w)).collect();
    tiers.sort_unstable_by(|a, b| b.cmp(a));
    let each: Vec<String> = tiers
        .chunk_by(|a, b| a == b)
        .map(|same| {
            let tier = watts(crate::units::from_millionths(same[0]));
            match same.len() {
                1 => tier,
                many => format!("{many} × {tier}"),
            }
        })
        .collect();
    each.join(", ")
}

fn row(port: &SizedPort) -> SizeRow {
    SizeRow {
        device: short_name(&port.device),
        cable: short_name(&port.cable),
        port: watts(port.tier_w),
        contract: contract(port.volts, port.amps),
        watts: watts(port.port_w),
        full_after: time(port.hours),
    }
}

fn sums(sizing: &Sizing) -> Vec<String> {
    let Some(times) = sizing.labels_factor else {
        return Vec::new();
    };
    let labels = watts(sizing.labels_sum_w);
    let beside = if millionths(sizing.labels_sum_w) > millionths(sizing.total_w) {
        format!("{} times as much", factor(times))
    } else {
        "no more than is needed".to_owned()
    };
    let mut sums = vec![format!(
        "the most that the devices' labels ask for adds up to {labels}: {beside}"
    )];
    if millionths(sizing.tiers_sum_w) > millionths(sizing.total_w) {
        sums.push(format!(
            "a charger that keeps the whole of a port's power for it, drawn or not, needs {} \
             together",
            watts(sizing.tiers_sum_w)
        ));
    }
    sums
}

fn frontier(sizing: &Sizing) -> Vec<FrontierRow> {
    let points = &sizing.frontier;
    let chosen = |point: &Tradeoff| millionths(point.longest_h) == millionths(sizing.longest_h);
    shown(points.len(), points.iter().position(chosen))
        .into_iter()
        .map(|at| FrontierRow {
            full_after: time(points[at].longest_h),
            watts: watts(points[at].total_w),
            chosen: chosen(&points[at]),
        })
        .collect()
}

/// Which of so many points are shown: evenly spread, both ends and the chosen one among
/// them.
fn shown(count: usize, chosen: Option<usize>) -> Vec<usize> {
    if count <= SHOWN {
        return (0..count).collect();
    }
    let steps = SHOWN - 2;
    let mut at: Vec<usize> = (0..=steps).map(|i| i * (count - 1) / steps).collect();
    at.extend(chosen);
    at.sort_unstable();
    at.dedup();
    at
}

#[cfg(test)]
mod tests {
    use super::{SHOWN, shown};

    #[test]
    fn the_ends_and_the_chosen_point_are_always_shown() {
        for count in 0..60 {
            for chosen in (0..count).map(Some).chain([None]) {
                let at = shown(count, chosen);
                assert!(at.len() <= SHOWN, "{count} {chosen:?}: {at:?}");
                assert!(at.len() >= count.min(SHOWN - 1), "{count}: {at:?}");
                assert!(at.is_sorted_by(|a, b| a < b), "{at:?}");
                let needed = [0, count.wrapping_sub(1)].into_iter().chain(chosen);
                assert!(needed.filter(|&i| i < count).all(|i| at.contains(&i)));
            }
        }
    }
}

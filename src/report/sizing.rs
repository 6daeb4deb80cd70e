//! What to look for as a page: the least charger, what more watts would gain, and how far
//! the labels' sum is beside it.

use std::iter;

use super::page::{Line, Page, Rows, Section, Shown, Table, Tone};
use super::plan::{note, without_berth};
use super::printable::{printable, short_name};
use crate::decide::bag::Bag;
use crate::decide::size::{SizedPort, Sizing, TooLate, Tradeoff};
use crate::units::millionths;
use crate::units::quantity::{contract, factor, time, watts};

/// Points of the frontier that are shown, the ends and the chosen one among them.
const SHOWN: usize = 9;

impl Page {
    /// The page of `sizing`, which is one of `bag`.
    pub fn of_sizing(bag: &Bag, sizing: &Sizing) -> Self {
        let name = bag.setup().name();
        let title = name.map_or_else(|| "What to look for".to_owned(), printable);
        let mut page = Self::new(title, headline(sizing), sizing.all_served());
        if !sizing.ports.is_empty() {
            page.sections.extend(in_text(sizing));
            page.notes_in(Shown::InText, "Beside it", Tone::Plain, sums(sizing));
            page.sections.extend(in_pictures(sizing));
        }
        for (shown, title) in [
            (Shown::InText, "Too late with any charger"),
            (Shown::InPictures, "Too late with any port"),
        ] {
            let late = sizing.too_late.iter().map(too_late).collect();
            page.notes_in(shown, title, Tone::Bad, late);
        }
        let unreached = sizing.unreached.iter().map(without_berth).collect();
        page.notes("Without a cable", Tone::Bad, unreached);
        page.full_as_they_are(bag.setup());
        page.cautions(&sizing.cautions);
        page
    }
}

/// The ports and the frontier, in few columns.
fn in_text(sizing: &Sizing) -> [Section; 2] {
    let mark = |of: &Tradeoff| is_chosen(sizing, of).then_some("as above");
    let frontier = pairs(sizing).facts("", |of| mark(of).unwrap_or_default());
    let sections = [
        Section::titled("Ports to look for")
            .table(ports(sizing, short_name))
            .lines(Line::labelled("in all", &[tiers(&sizing.ports)], "")),
        Section::titled(FRONTIER)
            .table(frontier.table())
            .lines(left_out(sizing, "; --json has all of them")),
    ];
    sections.map(|section| section.shown(Shown::InText))
}

/// What the drawings show: the ports, by device, and the frontier where it is more than a
/// point.
fn in_pictures(sizing: &Sizing) -> impl Iterator<Item = Section> {
    let ports = ports(sizing, printable).second_first().drawn();
    let ports = Section::titled("The ports")
        .table(ports)
        .lines(Line::labelled("In all", &[tiers(&sizing.ports)], ""));
    let pairs = pairs(sizing).chosen(|of| is_chosen(sizing, of));
    let frontier = Section::titled(FRONTIER)
        .table(pairs.table().drawn())
        .lines(left_out(sizing, ""));
    let frontier = (sizing.frontier.len() > 1).then_some(frontier);
    let sections = iter::once(ports).chain(frontier);
    sections.map(|section| section.shown(Shown::InPictures))
}

const FRONTIER: &str = "The least watts for each time";

fn ports(sizing: &Sizing, shown: fn(&str) -> String) -> Table {
    Rows::of(&sizing.ports)
        .facts("Port", |port| match port.connector {
            Some(_) => format!("USB-A, {}", watts(port.tier_w)),
            None => watts(port.tier_w),
        })
        .names("Device", |port| shown(&port.device))
        .names("Cable", |port| shown(&port.cable))
        .facts("Volts, amps", |port| contract(port.volts, port.amps))
        .facts("Watts", |port| watts(port.port_w))
        .facts("Full after", |port| {
            time(port.promised_h.unwrap_or(port.hours))
        })
        .table()
}

fn pairs(sizing: &Sizing) -> Rows<&Tradeoff> {
    Rows::of(frontier(sizing))
        .facts("All full after", |of| time(of.longest_h))
        .facts("Watts together", |of| watts(of.total_w))
}

/// How many points of the frontier are shown, where that is not all of them.
fn left_out(sizing: &Sizing, more: &str) -> Option<Line> {
    let (shown, all) = (frontier(sizing).len(), sizing.frontier.len());
    (all > shown).then(|| Line::text(format!("{shown} of {all}{more}")))
}

fn too_late(late: &TooLate) -> String {
    let text = format!(
        "full after {} at the earliest, needed after {}",
        time(late.earliest_h),
        time(late.needed_h)
    );
    note(&late.device, &text)
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
    let usb_a = sizing.ports.iter().filter(|port| port.connector.is_some());
    let of_kinds = match (ports, usb_a.count()) {
        (1, 0) => "1 USB-C port".to_owned(),
        (1, _) => "1 USB-A port".to_owned(),
        (_, 0) => format!("{ports} USB-C ports"),
        (_, all) if all == ports => format!("{ports} USB-A ports"),
        (_, some) => format!("{} USB-C and {some} USB-A ports", ports - some),
    };
    let looked_for = if ports == 1 {
        format!("{of_kinds} with {}", watts(sizing.total_w))
    } else {
        format!("{of_kinds}, {} together", watts(sizing.total_w))
    };
    let latest = if ports == 1 { "" } else { " at the latest" };
    format!(
        "look for {looked_for}: {devices} full after {}{latest}; proven: no fewer watts will do",
        time(sizing.longest_h)
    )
}

/// How many ports there are of each tier, the largest first.
pub(super) fn tiers(ports: &[SizedPort]) -> String {
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

/// The watts of chargers that share otherwise, and of the labels.
pub(super) fn sums(sizing: &Sizing) -> Vec<String> {
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

/// The points of the frontier that are shown.
fn frontier(sizing: &Sizing) -> Vec<&Tradeoff> {
    let points = &sizing.frontier;
    let chosen = points.iter().position(|point| is_chosen(sizing, point));
    let shown = shown(points.len(), chosen).into_iter();
    shown.map(|at| &points[at]).collect()
}

/// Whether a point is the one whose ports are shown.
fn is_chosen(sizing: &Sizing, point: &Tradeoff) -> bool {
    millionths(point.longest_h) == millionths(sizing.longest_h)
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

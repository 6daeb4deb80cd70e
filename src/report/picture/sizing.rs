//! The least charger, drawn.

use super::frontier::Frontier;
use super::table::{Row, Table, columns};
use super::wanted::Wanted;
use super::{Drawn, Figure, Notes, Picture};
use crate::decide::bag::Bag;
use crate::decide::size::Sizing;
use crate::report::printable::sentence;
use crate::report::{SizeReport, printable};
use crate::units::quantity::{contract, time, watts};

/// The picture of `sizing`, which is one of `bag`: the frontier with what the labels add
/// up to, the ports to look for, and both as tables.
pub fn sizing(bag: &Bag, sizing: &Sizing) -> Picture {
    let report = SizeReport::new(bag, sizing);
    let frontier = Frontier::of(sizing).map(|frontier| Figure {
        title: "The least watts for each time".to_owned(),
        words: frontier.words(),
        caption: report.sums.iter().map(|sum| sentence(sum)).collect(),
        drawn: Drawn::Frontier(frontier),
    });
    let wanted = Wanted::of(bag, sizing).map(|wanted| Figure {
        title: format!("Ports to look for: {}", report.tiers),
        words: wanted.words(),
        caption: vec!["What is drawn of the most that each device's label asks for.".to_owned()],
        drawn: Drawn::Wanted(wanted),
    });
    let notes = |title: &str, items: Vec<String>| Notes {
        title: title.to_owned(),
        items,
    };
    let mut tables = vec![ports(sizing, &report)];
    tables.extend(pairs(&report));
    tables.retain(|table| !table.rows.is_empty());
    let said = |notes: &[crate::report::Note]| notes.iter().map(ToString::to_string).collect();
    let mut notes = vec![
        notes("Too late with any port", said(&report.too_late)),
        notes("Without a cable", said(&report.unreached)),
        notes("Full as they are", report.no_need.clone()),
        notes("Cautions", report.cautions.clone()),
    ];
    notes.retain(|notes| !notes.items.is_empty());
    Picture {
        title: bag
            .setup()
            .name()
            .map_or_else(|| "What to look for".to_owned(), printable),
        headline: sentence(&report.headline),
        good: report.all_served,
        figures: wanted.into_iter().chain(frontier).collect(),
        tables,
        moments: Vec::new(),
        notes,
        details: Vec::new(),
    }
}

fn ports(sizing: &Sizing, report: &SizeReport) -> Table {
    let rows = sizing.ports.iter().map(|port| Row {
        cells: vec![
            printable(&port.device),
            watts(port.tier_w),
            printable(&port.cable),
            contract(port.volts, port.amps),
            watts(port.port_w),
            time(port.hours),
        ],
        chosen: false,
    });
    Table {
        title: "The ports".to_owned(),
        header: columns(["Device", "Port", "Cable", "Contract", "Watts", "Full after"]),
        rows: rows.collect(),
        notes: vec![format!("In all: {}", report.tiers)],
        drawn: true,
    }
}

/// The frontier, where it is more than a point.
fn pairs(report: &SizeReport) -> Option<Table> {
    let rows = report.frontier.iter().map(|point| Row {
        cells: vec![point.full_after.clone(), point.watts.clone()],
        chosen: point.chosen,
    });
    let left_out = report.frontier_size - report.frontier.len();
    (report.frontier_size > 1).then(|| Table {
        title: "The least watts for each time".to_owned(),
        header: columns(["All full after", "Watts together"]),
        rows: rows.collect(),
        notes: (left_out > 0)
            .then(|| format!("{} of {}", report.frontier.len(), report.frontier_size))
            .into_iter()
            .collect(),
        drawn: true,
    })
}

//! A plan, drawn: each charger over the night.

use super::board::{Board, Limit, Sample, Stay};
use super::palette::Look;
use super::scale::{Tick, hour_step, hours, ticks};
use super::seat::{Seat, Shape};
use super::table::{Row, Table};
use super::{Drawn, Figure, Notes, Picture};
use crate::plan::{Berth, Plan};
use crate::report::quantity::{contract, decimals, time, watts};
use crate::report::{Report, limited_by, printable};
use crate::setup::{ChargerSpec, Setup};

/// The picture of `plan`, which is a plan of `setup`: for each charger the watts of its
/// devices over the night under its limit, who sits on which port, and how full each one
/// is; then the same as a table, and what to keep in mind.
pub fn night(setup: &Setup, plan: &Plan) -> Picture {
    let report = Report::new(setup, plan);
    let longest = plan
        .berths
        .iter()
        .map(|berth| berth.hours)
        .fold(0.0, f64::max);
    let span_h = longest * 1.04;
    let mut looks = (0..).map(Look);
    let mut figures = Vec::new();
    let mut tables = Vec::new();
    for (charger, rows) in setup.chargers.iter().zip(&report.chargers) {
        let stays = stays(setup, charger, plan, &mut looks, span_h);
        if stays.is_empty() {
            continue;
        }
        let taken: Vec<&Berth> = on(charger, plan).collect();
        tables.push(table(charger, &taken));
        let free = charger
            .ports
            .iter()
            .filter(|port| taken.iter().all(|berth| berth.port != port.name));
        let board = Board {
            span_h,
            ticks_wide: hour_ticks(span_h, 7),
            ticks_narrow: hour_ticks(span_h, 4),
            borders: Vec::new(),
            limit: limit(charger),
            pools: rows.pools.clone(),
            stays,
            free: free
                .map(|port| (printable(&port.name), Shape::of(&port.connector)))
                .collect(),
        };
        figures.push(Figure {
            title: printable(&charger.name),
            words: words(charger, &taken),
            caption: Vec::new(),
            drawn: Drawn::Board(board),
        });
    }
    let said = |notes: &[crate::report::Note]| notes.iter().map(ToString::to_string).collect();
    let notes = |title, items: Vec<String>| Notes { title, items };
    let mut notes = vec![
        notes("What is proven", report.bounds.iter().cloned().collect()),
        notes("Late", said(&report.late)),
        notes("Without a berth", said(&report.without_berth)),
        notes("Full as they are", report.no_need.clone()),
        notes("Cautions", report.cautions.clone()),
    ];
    notes.retain(|notes| !notes.items.is_empty());
    Picture {
        title: setup
            .name()
            .map_or_else(|| "The night".to_owned(), printable),
        headline: report.headline,
        good: report.all_served,
        figures,
        tables,
        notes,
    }
}

fn on<'a>(charger: &'a ChargerSpec, plan: &'a Plan) -> impl Iterator<Item = &'a Berth> {
    let ports = charger.ports.iter();
    ports.filter_map(|port| {
        let here = |berth: &&Berth| berth.charger == charger.name && berth.port == port.name;
        plan.berths.iter().find(here)
    })
}

fn stays(
    setup: &Setup,
    charger: &ChargerSpec,
    plan: &Plan,
    looks: &mut impl Iterator<Item = Look>,
    span_h: f64,
) -> Vec<Stay> {
    let mut stays = Vec::new();
    for berth in on(charger, plan) {
        let device = setup
            .devices
            .iter()
            .find(|device| device.name == berth.device);
        let port = charger.ports.iter().find(|port| port.name == berth.port);
        let (Some(device), Some(port), Some(look)) = (device, port, looks.next()) else {
            continue;
        };
        stays.push(Stay {
            seat: Seat {
                socket: printable(&berth.port),
                shape: Shape::of(&port.connector),
                cable: printable(&berth.cable),
                device: printable(&berth.device),
                contract: contract(berth.volts, berth.amps),
                end: time(berth.hours),
                late: berth.late,
                limited_by: limited_by(berth.limited_by),
                look,
            },
            until_h: span_h,
            full_h: berth.hours,
            course: vec![
                Sample {
                    at_h: 0.0,
                    pct: device.start_pct,
                    watts: berth.port_w,
                },
                Sample {
                    at_h: berth.hours,
                    pct: device.target_pct,
                    watts: berth.port_w,
                },
            ],
        });
    }
    stays
}

/// What all ports together may give: the least of such pools.
fn limit(charger: &ChargerSpec) -> Option<Limit> {
    let of_all = charger
        .pools
        .iter()
        .filter(|pool| pool.ports.len() == charger.ports.len());
    let least = of_all.min_by(|a, b| a.max_w.total_cmp(&b.max_w))?;
    Some(Limit {
        name: format!("{}: at most {}", printable(&least.name), watts(least.max_w)),
        max_w: least.max_w,
    })
}

fn hour_ticks(span_h: f64, count: usize) -> Vec<Tick> {
    ticks(0.0, span_h, hour_step(span_h, count).max(1.0 / 12.0), hours)
}

fn words(charger: &ChargerSpec, taken: &[&Berth]) -> String {
    let each = taken.iter().map(|berth| {
        format!(
            "{} on {} through {} at {}, full after {}",
            printable(&berth.device),
            printable(&berth.port),
            printable(&berth.cable),
            contract(berth.volts, berth.amps),
            time(berth.hours)
        )
    });
    let sum: f64 = taken.iter().map(|berth| berth.port_w).sum();
    let limit = limit(charger).map_or_else(String::new, |limit| format!(" ({})", limit.name));
    format!(
        "The watts of each device over time, {} W at the start{limit}, and each one's state of \
         charge. {}.",
        decimals(sum, 1),
        each.collect::<Vec<_>>().join("; ")
    )
}

fn table(charger: &ChargerSpec, taken: &[&Berth]) -> Table {
    let rows = taken.iter().map(|berth| Row {
        cells: vec![
            printable(&berth.device),
            printable(&berth.port),
            printable(&berth.cable),
            contract(berth.volts, berth.amps),
            watts(berth.port_w),
            time(berth.hours) + if berth.late { ", late" } else { "" },
            limited_by(berth.limited_by).to_owned(),
        ],
        chosen: false,
    });
    Table {
        title: format!("{}: who sits where", printable(&charger.name)),
        header: vec![
            "Device",
            "Port",
            "Cable",
            "Contract",
            "Watts",
            "Full after",
            "Limited by",
        ],
        rows: rows.collect(),
        notes: Vec::new(),
        drawn: true,
    }
}

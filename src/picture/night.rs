//! A plan, drawn: each charger over the night.

use super::board::{Board, Limit, Sample, Stay};
use super::palette::Look;
use super::scale::night_ticks;
use super::seat::{Seat, Shape};
use super::table::{Row, Table};
use super::{Drawn, Figure, Notes, Picture, sentence};
use crate::place::governing;
use crate::plan::{Berth, Plan};
use crate::report::quantity::{contract, full_at, time, watts};
use crate::report::{Report, limited_by, printable};
use crate::setup::{ChargerSpec, PortSpec, Setup};
use crate::timeline::{Series, Timeline};
use crate::units::millionths;

/// The picture of `plan`, which is a plan of `setup`, and of its night: for each charger
/// the watts of its devices under its limit, who sits on which port, and how full each one
/// is; then the same as a table, and what to keep in mind.
pub fn night(setup: &Setup, plan: &Plan, timeline: &Timeline) -> Picture {
    let report = Report::new(setup, plan);
    let night = Night {
        setup,
        plan,
        timeline,
        span_h: timeline.until_h * 1.04,
    };
    let mut looks = (0..).map(Look);
    let mut figures = Vec::new();
    let mut tables = Vec::new();
    for (charger, rows) in setup.chargers.iter().zip(&report.chargers) {
        let taken: Vec<&Berth> = night.on(charger).collect();
        if taken.is_empty() {
            continue;
        }
        let free = |port: &&PortSpec| taken.iter().all(|berth| berth.port != port.name);
        let free = charger.ports.iter().filter(free);
        let board = Board {
            span_h: night.span_h,
            ticks_wide: night_ticks(setup.start, night.span_h, 7),
            ticks_narrow: night_ticks(setup.start, night.span_h, 4),
            borders: Vec::new(),
            limit: limit(charger, &taken),
            pools: rows.pools.clone(),
            stays: night.stays(charger, &mut looks),
            free: free
                .map(|port| (printable(&port.name), Shape::of(&port.connector)))
                .collect(),
            full: if setup.start.is_some() {
                "full at"
            } else {
                "full after"
            },
        };
        figures.push(Figure {
            title: printable(&charger.name),
            words: night.words(charger, &taken),
            caption: Vec::new(),
            drawn: Drawn::Board(board),
        });
        tables.push(night.table(charger, &taken));
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
        headline: sentence(&report.headline),
        good: report.all_served,
        figures,
        tables,
        notes,
    }
}

/// What a night is drawn from.
struct Night<'a> {
    setup: &'a Setup,
    plan: &'a Plan,
    timeline: &'a Timeline,
    /// What is shown of it: a little more than all of it.
    span_h: f64,
}

impl<'a> Night<'a> {
    /// The berths on a charger, in the order of its ports.
    fn on(&self, charger: &'a ChargerSpec) -> impl Iterator<Item = &'a Berth> {
        let berths = &self.plan.berths;
        charger.ports.iter().filter_map(|port| {
            let here = |berth: &&Berth| berth.charger == charger.name && berth.port == port.name;
            berths.iter().find(here)
        })
    }

    fn stays(&self, charger: &'a ChargerSpec, looks: &mut impl Iterator<Item = Look>) -> Vec<Stay> {
        let mut stays = Vec::new();
        for berth in self.on(charger) {
            let series = self
                .timeline
                .series
                .iter()
                .find(|series| series.device == berth.device);
            let port = charger.ports.iter().find(|port| port.name == berth.port);
            let (Some(series), Some(port), Some(look)) = (series, port, looks.next()) else {
                continue;
            };
            stays.push(Stay {
                seat: Seat {
                    socket: printable(&berth.port),
                    shape: Shape::of(&port.connector),
                    cable: printable(&berth.cable),
                    device: printable(&berth.device),
                    contract: contract(berth.volts, berth.amps),
                    end: self.full(berth),
                    late: berth.late,
                    limited_by: limited_by(berth.limited_by),
                    look,
                },
                until_h: self.span_h,
                full_h: berth.hours,
                course: samples(series),
            });
        }
        stays
    }

    /// When a device is full: a time of day, where it is known when the night begins.
    fn full(&self, berth: &Berth) -> String {
        match self.setup.start {
            Some(start) => full_at(start, berth.hours),
            None => time(berth.hours),
        }
    }

    fn words(&self, charger: &ChargerSpec, taken: &[&Berth]) -> String {
        let when = if self.setup.start.is_some() {
            "at"
        } else {
            "after"
        };
        let each = taken.iter().map(|berth| {
            format!(
                "{} on {} through {} at {}, full {when} {}",
                printable(&berth.device),
                printable(&berth.port),
                printable(&berth.cable),
                contract(berth.volts, berth.amps),
                self.full(berth)
            )
        });
        let sum: f64 = taken.iter().map(|berth| berth.port_w).sum();
        let limit =
            limit(charger, taken).map_or_else(String::new, |limit| format!(" ({})", limit.name));
        format!(
            "The watts of each device over time, {} at the start{limit}, and each one's state of \
             charge. {}.",
            watts(sum),
            each.collect::<Vec<_>>().join("; ")
        )
    }

    fn table(&self, charger: &ChargerSpec, taken: &[&Berth]) -> Table {
        let rows = taken.iter().map(|berth| Row {
            cells: vec![
                printable(&berth.device),
                printable(&berth.port),
                printable(&berth.cable),
                contract(berth.volts, berth.amps),
                watts(berth.port_w),
                self.full(berth) + if berth.late { ", late" } else { "" },
                limited_by(berth.limited_by).to_owned(),
            ],
            chosen: false,
        });
        let full = if self.setup.start.is_some() {
            "Full at"
        } else {
            "Full after"
        };
        Table {
            title: format!("{}: who sits where", printable(&charger.name)),
            header: vec![
                "Device",
                "Port",
                "Cable",
                "Contract",
                "Watts",
                full,
                "Limited by",
            ],
            rows: rows.collect(),
            notes: Vec::new(),
            drawn: true,
        }
    }
}

fn samples(series: &Series) -> Vec<Sample> {
    let points = series.at_h.iter().zip(&series.soc_pct).zip(&series.watts);
    points
        .map(|((&at_h, &pct), &watts)| Sample { at_h, pct, watts })
        .collect()
}

/// What the ports in use may give together: the least of the pools over all ports, and
/// of the line of the table that is kept.
fn limit(charger: &ChargerSpec, taken: &[&Berth]) -> Option<Limit> {
    let line = line_w(charger, taken).map(|max_w| Limit {
        name: format!("its table: at most {}", watts(max_w)),
        max_w,
    });
    let both = pool_limit(charger).into_iter().chain(line);
    both.min_by(|a, b| a.max_w.total_cmp(&b.max_w))
}

/// What the line of the table that is kept grants the ports in use together.
fn line_w(charger: &ChargerSpec, taken: &[&Berth]) -> Option<f64> {
    let tiers: Vec<Option<i64>> = charger
        .ports
        .iter()
        .map(|port| {
            let berth = taken.iter().find(|berth| berth.port == port.name)?;
            Some(millionths(berth.tier_w))
        })
        .collect();
    let in_use: Vec<bool> = tiers.iter().map(Option::is_some).collect();
    let mut sums = governing(charger, &in_use).filter_map(|line| {
        let granted = tiers.iter().zip(&line.watts);
        let in_use = granted.filter_map(|(tier, granted)| Some(((*tier)?, *granted)));
        in_use
            .map(|(tier, granted)| granted.filter(|&watts| tier <= millionths(watts)))
            .sum::<Option<f64>>()
    });
    sums.next()
}

fn pool_limit(charger: &ChargerSpec) -> Option<Limit> {
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

//! The bedside card: what to plug where, and when it is full; the few lines worth a photo.

#[cfg(feature = "cli")]
use std::io::{self, Write};

use super::clock::Clock;
use super::printable::{printable, short_name};
use super::standing::{self, Longest};
use super::{MomentReport, RotaReport};
use crate::plan::rota::{Rota, RotaBerth};
use crate::plan::{Berth, Plan, WithoutBerth};
use crate::setup::Setup;

/// A plan or a rota on a card.
#[derive(Debug, Clone, PartialEq, Eq)]
#[non_exhaustive]
pub struct Card {
    /// What is reached, in one line.
    pub headline: String,
    /// Whether every device has a berth and none is late.
    pub all_served: bool,
    /// Chargers with what is plugged into them, or moments with what is to be done.
    pub parts: Vec<CardPart>,
    /// The devices without a berth.
    pub without_berth: Vec<String>,
}

/// Rows under a title.
#[derive(Debug, Clone, PartialEq, Eq)]
#[non_exhaustive]
pub struct CardPart {
    /// A charger; of a rota the moment, and the session that begins.
    pub title: String,
    /// What is to be taken out first.
    pub take_out: Vec<String>,
    /// What is plugged in, in the order of the ports.
    pub rows: Vec<CardRow>,
}

/// One port: what is plugged in, through what, and when it is full.
#[derive(Debug, Clone, PartialEq, Eq)]
#[non_exhaustive]
pub struct CardRow {
    /// The port.
    pub port: String,
    /// The device.
    pub device: String,
    /// The cable.
    pub cable: String,
    /// `full at 00:48` where the setup says when the night begins, else
    /// `full after 1 h 38 min`, from its start.
    pub full: String,
}

impl Card {
    /// The card of `plan`, which is a plan of `setup`.
    pub fn new(setup: &Setup, plan: &Plan) -> Self {
        let clock = Clock::of(setup.start);
        let parts = setup.chargers.iter().map(|charger| {
            let on = |port: &str| {
                let here = |b: &&Berth| b.charger == charger.name && b.port == port;
                plan.berths.iter().find(here)
            };
            let berths = charger.ports.iter().filter_map(|port| on(&port.name));
            let full = |berth: &Berth| full(clock, Some(berth.hours), berth.late);
            CardPart {
                title: printable(&charger.name),
                take_out: Vec::new(),
                rows: berths
                    .map(|b| row(b, short_name(&b.port), full(b)))
                    .collect(),
            }
        });
        let longest = Longest {
            held_h: plan.longest_h,
            reshared_h: None,
            chargers: setup.chargers.len(),
        };
        Self {
            headline: standing::reached(plan.berths.len(), plan.unserved, plan.late, longest),
            all_served: plan.unserved == 0 && plan.late == 0,
            parts: parts.filter(|part| !part.rows.is_empty()).collect(),
            without_berth: names(&plan.without_berth),
        }
    }

    /// The card of `rota`, which is a rota of `setup`.
    pub fn of_rota(setup: &Setup, rota: &Rota) -> Self {
        let report = RotaReport::new(setup, rota);
        let (headline, _) = report
            .headline
            .split_once("; ")
            .unwrap_or((&report.headline, ""));
        Self {
            headline: headline.to_owned(),
            all_served: report.all_served,
            parts: report
                .moments
                .iter()
                .map(|moment| part(setup, rota, moment))
                .collect(),
            without_berth: names(&rota.without_berth),
        }
    }
}

/// A moment of a rota.
fn part(setup: &Setup, rota: &Rota, moment: &MomentReport) -> CardPart {
    let clock = Clock::of(setup.start);
    let ends_h = |name: &str| {
        let session = rota.sessions.iter().find(|session| session.name == name);
        session.map_or(0.0, |session| session.end_h)
    };
    let plugged = |charger: &str, port: &str| {
        let here = |of: &&RotaBerth| {
            let begins = !moment.plug_in.is_empty() && printable(&of.session) == moment.begins;
            begins && of.berth.charger == charger && of.berth.port == port
        };
        rota.berths.iter().find(here)
    };
    let mut rows = Vec::new();
    for charger in &setup.chargers {
        let berths = charger
            .ports
            .iter()
            .filter_map(|port| plugged(&charger.name, &port.name));
        rows.extend(berths.map(|of| {
            let full_h = Some(of.finish_h).filter(|&full_h| full_h <= ends_h(&of.until_session));
            let port = if setup.chargers.len() > 1 {
                format!(
                    "{}/{}",
                    short_name(&charger.name),
                    short_name(&of.berth.port)
                )
            } else {
                short_name(&of.berth.port)
            };
            row(
                &of.berth,
                port,
                full(clock, full_h, of.berth.late && full_h.is_some()),
            )
        }));
    }
    CardPart {
        title: format!("{} {}", moment.at, moment.begins),
        take_out: moment.take_out.clone(),
        rows,
    }
}

fn row(berth: &Berth, port: String, full: String) -> CardRow {
    CardRow {
        port,
        device: short_name(&berth.device),
        cable: short_name(&berth.cable),
        full,
    }
}

fn full(clock: Clock, full_h: Option<f64>, late: bool) -> String {
    let Some(full_h) = full_h else {
        return "not full".to_owned();
    };
    let when = if clock.is_known() { "at" } else { "after" };
    let late = if late { ", late" } else { "" };
    format!("full {when} {}{late}", clock.full(full_h))
}

fn names(without: &[WithoutBerth]) -> Vec<String> {
    without
        .iter()
        .map(|without| short_name(&without.device))
        .collect()
}

/// Writes the card, at most 80 columns wide.
///
/// # Errors
/// Those of `out`.
#[cfg(feature = "cli")]
pub fn write_card(card: &Card, palette: &super::Palette, out: &mut impl Write) -> io::Result<()> {
    use super::page::{hanging, paragraph};
    use super::table::Columns;

    const COLUMNS: Columns<4> = Columns {
        header: [""; 4],
        yielding: &[1, 2],
    };

    let first = if card.all_served {
        palette.good
    } else {
        palette.bad
    };
    paragraph(&card.headline, first, out)?;
    let cells = |row: &CardRow| {
        let then = |what: &str| format!("→ {what}");
        [
            row.port.clone(),
            then(&row.device),
            then(&row.cable),
            then(&row.full),
        ]
    };
    let all: Vec<[String; 4]> = card
        .parts
        .iter()
        .flat_map(|part| &part.rows)
        .map(cells)
        .collect();
    let widths = COLUMNS.widths(&all);
    for part in &card.parts {
        writeln!(out)?;
        paragraph(&part.title, palette.title, out)?;
        if !part.take_out.is_empty() {
            hanging("take out: ", &part.take_out.join(", "), out)?;
        }
        let rows: Vec<[String; 4]> = part.rows.iter().map(cells).collect();
        if !rows.is_empty() {
            COLUMNS.write(&rows, &widths, palette.title, out)?;
        }
    }
    super::page::notes(
        "without a berth",
        palette.bad,
        card.without_berth.iter().cloned(),
        out,
    )
}

//! The bedside card: what to plug where, and when it is full; the few lines worth a photo.

#[cfg(feature = "cli")]
use std::io::{self, Write};

use super::printable::{printable, short_name};
use super::quantity::{full_at, time};
use super::standing;
use crate::plan::{Berth, Plan};
use crate::setup::Setup;

/// A plan on a card.
#[derive(Debug, Clone, PartialEq, Eq)]
#[non_exhaustive]
pub struct Card {
    /// What is reached, in one line.
    pub headline: String,
    /// Whether every device has a berth and none is late.
    pub all_served: bool,
    /// Chargers with what is plugged into them; who has no berth comes last.
    pub parts: Vec<CardPart>,
}

/// Rows under a title.
#[derive(Debug, Clone, PartialEq, Eq)]
#[non_exhaustive]
pub struct CardPart {
    /// A charger, as a rule.
    pub title: String,
    /// Its ports in order.
    pub rows: Vec<CardRow>,
}

/// One port: what is plugged in, through what, and when it is full.
#[derive(Debug, Clone, PartialEq, Eq)]
#[non_exhaustive]
pub struct CardRow {
    /// The port; empty for a device without one.
    pub port: String,
    /// The device.
    pub device: String,
    /// The cable.
    pub cable: String,
    /// `full at 00:48` where the setup says when the night begins, else
    /// `full after 1 h 38 min`.
    pub full: String,
}

impl Card {
    /// The card of `plan`, which is a plan of `setup`.
    pub fn new(setup: &Setup, plan: &Plan) -> Self {
        let row = |berth: &Berth| CardRow {
            port: short_name(&berth.port),
            device: short_name(&berth.device),
            cable: short_name(&berth.cable),
            full: match setup.start {
                Some(start) => format!("full at {}", full_at(start, berth.hours)),
                None => format!("full after {}", time(berth.hours)),
            } + if berth.late { ", late" } else { "" },
        };
        let mut parts: Vec<CardPart> = Vec::new();
        for charger in &setup.chargers {
            let on = |port: &str| {
                let here = |b: &&Berth| b.charger == charger.name && b.port == port;
                plan.berths.iter().find(here)
            };
            let rows = charger.ports.iter().filter_map(|port| on(&port.name));
            parts.push(CardPart {
                title: printable(&charger.name),
                rows: rows.map(row).collect(),
            });
        }
        parts.push(CardPart {
            title: "without a berth".to_owned(),
            rows: plan
                .without_berth
                .iter()
                .map(|without| CardRow {
                    port: String::new(),
                    device: short_name(&without.device),
                    cable: String::new(),
                    full: String::new(),
                })
                .collect(),
        });
        parts.retain(|part| !part.rows.is_empty());
        Self {
            headline: standing::reached(
                plan.berths.len(),
                plan.unserved,
                plan.late,
                plan.longest_h,
            ),
            all_served: plan.unserved == 0 && plan.late == 0,
            parts,
        }
    }
}

/// Writes the card, at most 80 columns wide.
///
/// # Errors
/// Those of `out`.
#[cfg(feature = "cli")]
pub fn write_card(card: &Card, palette: &super::Palette, out: &mut impl Write) -> io::Result<()> {
    use super::page::{paragraph, styled};
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
        let then = |what: &str| match what {
            "" => String::new(),
            _ => format!("→ {what}"),
        };
        if row.port.is_empty() {
            [
                row.device.clone(),
                String::new(),
                String::new(),
                String::new(),
            ]
        } else {
            [
                row.port.clone(),
                then(&row.device),
                then(&row.cable),
                then(&row.full),
            ]
        }
    };
    let rows: Vec<Vec<[String; 4]>> = card
        .parts
        .iter()
        .map(|part| part.rows.iter().map(cells).collect())
        .collect();
    // A device without a port stands where ports do, and is no reason to widen them.
    let plugged: Vec<[String; 4]> = rows
        .iter()
        .flatten()
        .filter(|row| !row[1].is_empty())
        .cloned()
        .collect();
    let widths = COLUMNS.widths(&plugged);
    for (part, rows) in card.parts.iter().zip(&rows) {
        writeln!(out)?;
        styled(&part.title, palette.title, out)?;
        if rows.iter().any(|row| !row[1].is_empty()) {
            COLUMNS.write(rows, &widths, palette.title, out)?;
        } else {
            for row in rows {
                super::page::hanging("", &row[0], out)?;
            }
        }
    }
    Ok(())
}

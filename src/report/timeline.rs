//! The night as a table of events, and what the socket gives.

#[cfg(feature = "cli")]
use std::io::{self, Write};

#[cfg(feature = "cli")]
use super::layout::{notes, paragraph};
use super::printable::{printable, short_name};
use super::standing::{Longest, reached};
#[cfg(feature = "cli")]
use super::table::Columns;
#[cfg(feature = "cli")]
use super::text::Palette;
use crate::plan::Status;
use crate::setup::clock::TimeOfDay;
use crate::setup::efficiency::efficiency;
use crate::setup::{ChargerSpec, Setup};
use crate::timeline::{Energy, Event, Happening, Sharing, Timeline};
use crate::units::millionths;
use crate::units::quantity::{contract, decimals, time, watts};

/// A night in words and cells.
#[derive(Debug, Clone, PartialEq, Eq)]
#[non_exhaustive]
pub struct TimelineReport {
    /// When all are full, in one sentence.
    pub headline: String,
    /// Whether every device is full before its plug is pulled.
    pub all_full: bool,
    /// How the chargers share in what follows.
    pub sharing: String,
    /// What happens, in order of time.
    pub rows: Vec<EventRow>,
    /// What the socket gives, and where it goes.
    pub socket: Vec<String>,
    /// What to keep in mind.
    pub cautions: Vec<String>,
}

/// What happens to one device, or to several at once.
#[derive(Debug, Clone, PartialEq, Eq)]
#[non_exhaustive]
pub struct EventRow {
    /// From the start of the night: `3 h 05 min`, rounded up; empty where the row before
    /// has it.
    pub when: String,
    /// The time of day, where the setup says when the night begins.
    pub clock: Option<String>,
    /// The devices, or the session.
    pub who: String,
    /// What happens.
    pub what: String,
    /// The state of charge: `80 %`.
    pub charge: String,
}

impl TimelineReport {
    /// The report of `night`, which is one of `setup`.
    pub fn new(setup: &Setup, night: &Timeline) -> Self {
        let need = setup.devices.iter().filter(|d| d.needs_berth()).count();
        let seated = night.series.len();
        let longest = Longest {
            held_h: night.longest_h,
            reshared_h: night.reshared_h,
            chargers: setup.chargers.len(),
        };
        let mut headline = reached(seated, need.saturating_sub(seated), 0, longest);
        if night.not_full > 0 {
            headline = format!(
                "{headline}; {} unplugged before they are full",
                night.not_full
            );
        }
        if night.reshared_status == Some(Status::Feasible) {
            headline += "; re-sharing not proven best: its budget struck";
        }
        let chargers = if setup.chargers.len() == 1 {
            "the charger renegotiates"
        } else {
            "the chargers renegotiate"
        };
        Self {
            headline,
            all_full: night.not_full == 0 && need <= seated,
            sharing: match night.sharing {
                Sharing::Held => "The night, every contract kept".to_owned(),
                Sharing::Reshared => format!("The night, if {chargers} as devices need less"),
            },
            rows: rows(setup.start, &night.events),
            socket: socket(setup, night),
            cautions: night.cautions.iter().map(|text| printable(text)).collect(),
        }
    }
}

fn rows(start: Option<TimeOfDay>, events: &[Event]) -> Vec<EventRow> {
    let mut rows: Vec<EventRow> = Vec::new();
    let mut last_h = None;
    for event in events {
        let at_h = millionths(event.at_h);
        let who = event.device.as_ref().or(event.session.as_ref());
        let who = who.map_or_else(String::new, |name| short_name(name));
        let what = what(event);
        let charge = event
            .soc_pct
            .map_or_else(String::new, |pct| format!("{} %", decimals(pct, 0)));
        match rows.last_mut() {
            Some(row) if last_h == Some(at_h) && row.what == what && row.charge == charge => {
                row.who.push_str(", ");
                row.who.push_str(&who);
            }
            _ => {
                let shown = time(event.at_h);
                let again = rows.iter().rev().find(|row| !row.when.is_empty());
                let again = again.is_some_and(|row| row.when == shown);
                rows.push(EventRow {
                    clock: start.map(|start| {
                        if again {
                            String::new()
                        } else {
                            clock(start, event.at_h)
                        }
                    }),
                    when: if again { String::new() } else { shown },
                    who,
                    what,
                    charge,
                });
            }
        }
        last_h = Some(at_h);
    }
    rows
}

/// The whole minute in which it has happened, as the elapsed time is shown.
#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "the cast saturates"
)]
fn clock(start: TimeOfDay, at_h: f64) -> String {
    start
        .after((at_h * 60.0 - 3e-5).max(0.0).ceil() as u32)
        .to_string()
}

fn what(event: &Event) -> String {
    let negotiated = event
        .contract
        .as_ref()
        .map_or_else(String::new, |held| contract(held.volts, held.amps));
    match event.what {
        Happening::SessionEnds => "the session ends".to_owned(),
        Happening::Unplugged => "unplugged".to_owned(),
        Happening::PluggedIn => format!("plugged in, {negotiated}"),
        Happening::Taper => "begins to taper".to_owned(),
        Happening::Unfilled => "draws less than it could have".to_owned(),
        Happening::Full => "full".to_owned(),
        Happening::Contract => format!("from now on {negotiated}"),
    }
}

fn socket(setup: &Setup, night: &Timeline) -> Vec<String> {
    let wh = |value: f64| format!("{} Wh", decimals(value, 1));
    let Energy {
        stored_wh,
        running_wh,
        charging_lost_wh,
        cable_lost_wh,
        charger_lost_wh,
    } = night.energy;
    let mut parts = vec![format!("{} into the batteries", wh(stored_wh))];
    if running_wh > 0.0 {
        parts.push(format!("{} to run on", wh(running_wh)));
    }
    parts.push(format!(
        "{} lost in the devices, {} in the cables, {} in the chargers",
        wh(charging_lost_wh),
        wh(cable_lost_wh),
        wh(charger_lost_wh)
    ));
    let used = |charger: &&ChargerSpec| night.series.iter().any(|s| s.charger == charger.name);
    let mut lines = vec![
        format!(
            "{} in {}, at most {} at once",
            wh(night.wall_wh),
            time(night.until_h),
            watts(night.wall.peak_w)
        ),
        parts.join(", "),
    ];
    lines.extend(setup.chargers.iter().filter(used).map(|charger| {
        let percent = decimals(efficiency(charger) * 100.0, 1);
        let source = match charger.efficiency {
            Some(_) => "as given",
            None => "the least the law allows, (EU) 2019/1782",
        };
        format!(
            "{}: {percent} % efficient, {source}",
            printable(&charger.name)
        )
    }));
    lines
}

/// Writes the report as a table and notes, at most 80 columns wide.
///
/// # Errors
/// Those of `out`.
#[cfg(feature = "cli")]
pub fn write_timeline(
    report: &TimelineReport,
    palette: &Palette,
    out: &mut impl Write,
) -> io::Result<()> {
    const PLAIN: Columns<4> = Columns {
        header: ["After", "Who", "What happens", "Charge"],
        yielding: &[1],
    };
    const CLOCKED: Columns<5> = Columns {
        header: ["After", "At", "Who", "What happens", "Charge"],
        yielding: &[2],
    };
    let first = if report.all_full {
        palette.good
    } else {
        palette.bad
    };
    paragraph(&report.headline, first, out)?;
    if !report.rows.is_empty() {
        writeln!(out)?;
        paragraph(&report.sharing, palette.title, out)?;
        let rows = report.rows.iter();
        if report.rows.iter().any(|row| row.clock.is_some()) {
            let rows: Vec<[String; 5]> = rows
                .map(|row| {
                    let clock = row.clock.clone().unwrap_or_default();
                    let [when, who, what, charge] = cells(row);
                    [when, clock, who, what, charge]
                })
                .collect();
            CLOCKED.write(&rows, &CLOCKED.widths(&rows), palette.title, out)?;
        } else {
            let rows: Vec<[String; 4]> = rows.map(cells).collect();
            PLAIN.write(&rows, &PLAIN.widths(&rows), palette.title, out)?;
        }
    }
    notes(
        "From the socket",
        palette.title,
        report.socket.iter().cloned(),
        out,
    )?;
    let cautions = report.cautions.iter().cloned();
    notes("Cautions", palette.caution, cautions, out)
}

#[cfg(feature = "cli")]
fn cells(row: &EventRow) -> [String; 4] {
    [
        row.when.clone(),
        row.who.clone(),
        row.what.clone(),
        row.charge.clone(),
    ]
}

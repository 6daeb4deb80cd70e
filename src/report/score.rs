//! A way of plugging in held against the best, in words and cells.

#[cfg(feature = "cli")]
use std::io::{self, Write};

#[cfg(feature = "cli")]
use super::layout::{notes, paragraph, styled};
use super::nth;
use super::printable::{printable, short_name};
use super::standing::reached_with;
#[cfg(feature = "cli")]
use super::table::Columns;
#[cfg(feature = "cli")]
use super::text::{Palette, full_after};
use crate::decide::score::{Level, Score, ScoredBerth};
use crate::plan::Status;
use crate::setup::{ChargerSpec, Setup};
use crate::units::quantity::{contract, time, time_at_least, watts};

/// A score in words.
#[derive(Debug, Clone, PartialEq, Eq)]
#[non_exhaustive]
pub struct ScoreReport {
    /// How good it is, in one sentence.
    pub headline: String,
    /// What the best plan reaches.
    pub best: String,
    /// Whether no rule is broken, every device has a berth and none is late.
    pub all_served: bool,
    /// The rules that are broken, a sentence each.
    pub broken: Vec<String>,
    /// What is plugged in, by charger, those left out on which nothing is.
    pub chargers: Vec<PluggedCharger>,
    /// The levels of the plan's order, yours and the best.
    pub levels: Vec<LevelRow>,
    /// The devices that need a berth and get no charge.
    pub without_berth: Vec<String>,
    /// What to keep in mind.
    pub cautions: Vec<String>,
}

/// One charger with what is plugged into it.
#[derive(Debug, Clone, PartialEq, Eq)]
#[non_exhaustive]
pub struct PluggedCharger {
    /// Its name.
    pub name: String,
    /// What is plugged in, in the order of its ports.
    pub rows: Vec<PlugRow>,
}

/// One device as it is plugged in.
#[derive(Debug, Clone, PartialEq, Eq)]
#[non_exhaustive]
pub struct PlugRow {
    /// The port.
    pub port: String,
    /// The device.
    pub device: String,
    /// The cable.
    pub cable: String,
    /// The contract: `20 V 3.25 A`.
    pub contract: String,
    /// When it is full: `3 h 05 min`, rounded up; `never`.
    pub full_after: String,
    /// Whether that is too late.
    pub late: bool,
    /// When it is full in the best plan.
    pub at_best: String,
}

/// One level of the plan's order.
#[derive(Debug, Clone, PartialEq, Eq)]
#[non_exhaustive]
pub struct LevelRow {
    /// The level: `longest time`.
    pub level: String,
    /// As it is plugged in.
    pub yours: String,
    /// In the best plan.
    pub best: String,
    /// The difference: `24 min more`.
    pub behind: String,
}

const NONE: &str = "-";

impl ScoreReport {
    /// The report of `score`, which is of a way to plug in `setup`.
    pub fn new(setup: &Setup, score: &Score) -> Self {
        let best = match score.best.status {
            Status::Optimal => "no plan is better, which is proven",
            Status::Feasible => "not proven: a limit stopped the search",
        };
        let chargers = setup.chargers.len();
        Self {
            headline: headline(score, chargers),
            best: format!(
                "The best plan: {}; {best}.",
                reached_with(&score.best.standing, score.best_reshared_h, chargers)
            ),
            all_served: score.legal && score.yours.unserved == 0 && score.yours.late == 0,
            broken: score.broken.iter().map(|b| printable(&b.text)).collect(),
            chargers: setup
                .chargers
                .iter()
                .map(|charger| plugged(charger, score))
                .filter(|charger| !charger.rows.is_empty())
                .collect(),
            levels: levels(score),
            without_berth: score.without_berth.iter().map(|d| printable(d)).collect(),
            cautions: score.cautions.iter().map(|text| printable(text)).collect(),
        }
    }
}

fn headline(score: &Score, chargers: usize) -> String {
    let reached = reached_with(&score.yours, score.reshared_h, chargers);
    match score.broken.len() {
        0 => {}
        1 => return format!("1 rule is broken; if it could be held: {reached}."),
        many => return format!("{many} rules are broken; if it could be held: {reached}."),
    }
    let behind = &score.behind;
    let how = match behind.level {
        None => "as good as the best plan".to_owned(),
        Some(Level::Unserved) => "a better plan has a berth for more".to_owned(),
        Some(Level::Missing) => "a better plan leaves less uncharged".to_owned(),
        Some(Level::Late) => format!("{} late that need not be", behind.late),
        Some(Level::Times) => match behind.times_h.iter().position(|hours| *hours != 0.0) {
            Some(0) => format!("{} longer than need be", difference(behind.times_h[0])),
            Some(at) => format!(
                "the longest time is the least, the {} is {} longer than need be",
                nth(at + 1),
                difference(behind.times_h[at])
            ),
            None => String::new(),
        },
        Some(Level::Watts) => "as soon as the best plan, at more watts".to_owned(),
    };
    format!("Every rule is kept: {reached}; {how}.")
}

/// A difference of times, rounded down: it promises nothing that is not there.
fn difference(hours: f64) -> String {
    match time_at_least(hours.abs()) {
        none if none == "0 min" => "less than a minute".to_owned(),
        some => some,
    }
}

fn plugged(charger: &ChargerSpec, score: &Score) -> PluggedCharger {
    let on = |name: &str| {
        let here = |b: &&ScoredBerth| b.charger == charger.name && b.port == name;
        score
            .berths
            .iter()
            .filter(here)
            .map(row)
            .collect::<Vec<_>>()
    };
    PluggedCharger {
        name: printable(&charger.name),
        rows: charger
            .ports
            .iter()
            .flat_map(|port| on(&port.name))
            .collect(),
    }
}

fn row(berth: &ScoredBerth) -> PlugRow {
    PlugRow {
        port: short_name(&berth.port),
        device: short_name(&berth.device),
        cable: berth
            .cable
            .as_deref()
            .map_or_else(|| NONE.to_owned(), short_name),
        contract: berth
            .contract
            .map_or_else(|| NONE.to_owned(), |c| contract(c.volts, c.amps)),
        full_after: berth.hours.map_or_else(|| "never".to_owned(), time),
        late: berth.late,
        at_best: berth.best_h.map_or_else(|| NONE.to_owned(), time),
    }
}

fn levels(score: &Score) -> Vec<LevelRow> {
    let (yours, best, behind) = (&score.yours, &score.best.standing, &score.behind);
    let mut rows = Vec::new();
    let mut add = |level: String, yours: String, best: String, behind: String| {
        rows.push(LevelRow {
            level,
            yours,
            best,
            behind,
        });
    };
    let count = |n: i64| match n {
        0 => "the same".to_owned(),
        more if more > 0 => format!("{more} more"),
        fewer => format!("{} fewer", fewer.abs()),
    };
    for (rank, more) in behind.unserved_by_priority.into_iter().enumerate() {
        let (a, b) = (
            yours.unserved_by_priority[rank],
            best.unserved_by_priority[rank],
        );
        if a + b > 0 {
            let level = format!("without a berth, priority {}", rank + 1);
            add(level, a.to_string(), b.to_string(), count(more));
        }
    }
    if yours.unserved + best.unserved == 0 {
        add(
            "without a berth".to_owned(),
            "0".to_owned(),
            "0".to_owned(),
            count(0),
        );
    } else if behind.unserved_by_priority == [0; 3] && behind.missing_wh != 0.0 {
        let wh = |value: f64| format!("{} Wh", crate::units::quantity::decimals(value, 1));
        let more = format!("{} more", wh(behind.missing_wh));
        add(
            "missing in them".to_owned(),
            wh(yours.missing_wh),
            wh(best.missing_wh),
            more,
        );
    }
    add(
        "late".to_owned(),
        yours.late.to_string(),
        best.late.to_string(),
        count(behind.late),
    );
    let hours = |more: f64| match more {
        0.0 => "the same".to_owned(),
        more if more > 0.0 => format!("{} more", difference(more)),
        less => format!("{} less", difference(less)),
    };
    for (at, &more) in behind.times_h.iter().enumerate() {
        let level = if at == 0 {
            "longest time".to_owned()
        } else {
            format!("{} longest time", nth(at + 1))
        };
        add(
            level,
            time(yours.times_h[at]),
            time(best.times_h[at]),
            hours(more),
        );
        // What comes after the first difference no longer counts.
        if more != 0.0 {
            break;
        }
        if at == 0 && behind.times_h.iter().all(|more| *more == 0.0) {
            break;
        }
    }
    let more = match behind.total_w {
        0.0 => "the same".to_owned(),
        more if more > 0.0 => format!("{} more", watts(more)),
        less => format!("{} less", watts(less.abs())),
    };
    add(
        "watts in all".to_owned(),
        watts(yours.total_w),
        watts(best.total_w),
        more,
    );
    rows
}

/// Writes the report, at most 80 columns wide.
///
/// # Errors
/// Those of `out`.
#[cfg(feature = "cli")]
pub fn write_score(
    report: &ScoreReport,
    palette: &Palette,
    out: &mut impl Write,
) -> io::Result<()> {
    const PLUGS: Columns<6> = Columns {
        header: [
            "Port",
            "Device",
            "Cable",
            "Contract",
            "Full after",
            "Best plan",
        ],
        yielding: &[1, 2],
    };
    const LEVELS: Columns<4> = Columns {
        header: ["Level", "Yours", "Best", "Yours is"],
        yielding: &[0],
    };
    let first = if report.all_served {
        palette.good
    } else {
        palette.bad
    };
    paragraph(&report.headline, first, out)?;
    paragraph(&report.best, anstyle::Style::new(), out)?;
    notes(
        "Broken rules",
        palette.bad,
        report.broken.iter().cloned(),
        out,
    )?;
    let cells = |charger: &PluggedCharger| -> Vec<[String; 6]> {
        charger.rows.iter().map(plug_cells).collect()
    };
    let all: Vec<_> = report.chargers.iter().flat_map(cells).collect();
    let widths = PLUGS.widths(&all);
    for charger in &report.chargers {
        writeln!(out)?;
        paragraph(&charger.name, palette.title, out)?;
        PLUGS.write(&cells(charger), &widths, palette.title, out)?;
    }
    notes(
        "Not charged",
        palette.bad,
        report.without_berth.iter().cloned(),
        out,
    )?;
    writeln!(out)?;
    styled("Beside the best plan", palette.title, out)?;
    let cells: Vec<[String; 4]> = report.levels.iter().map(level_cells).collect();
    LEVELS.write(&cells, &LEVELS.widths(&cells), palette.title, out)?;
    let cautions = report.cautions.iter().cloned();
    notes("Cautions", palette.caution, cautions, out)
}

#[cfg(feature = "cli")]
fn plug_cells(row: &PlugRow) -> [String; 6] {
    [
        row.port.clone(),
        row.device.clone(),
        row.cable.clone(),
        row.contract.clone(),
        full_after(&row.full_after, row.late),
        row.at_best.clone(),
    ]
}

#[cfg(feature = "cli")]
fn level_cells(row: &LevelRow) -> [String; 4] {
    let LevelRow {
        level,
        yours,
        best,
        behind,
    } = row.clone();
    [level, yours, best, behind]
}

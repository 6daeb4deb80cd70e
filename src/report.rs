//! What people read: one [`Report`] of a plan, decided once, and its renderers.
//!
//! The report holds finished sentences and cells, so that every renderer says the
//! same. Names are as given, with whatever is invisible escaped.

mod card;
pub(crate) mod clock;
mod improve;
#[cfg(feature = "cli")]
mod page;
#[cfg(feature = "pictures")]
pub mod picture;
pub(crate) mod printable;
mod ranking;
mod rota;
mod score;
mod sizing;
mod standing;
#[cfg(feature = "cli")]
mod table;
#[cfg(feature = "cli")]
mod text;
mod timeline;
mod travel;

#[cfg(feature = "cli")]
pub use card::write_card;
pub use card::{Card, CardPart, CardRow};
#[cfg(feature = "cli")]
pub use improve::write_improve;
pub use improve::{ChangeRow, ImproveReport};
#[cfg(feature = "cli")]
pub(crate) use page::indented;
pub use printable::printable;
#[cfg(feature = "cli")]
pub use ranking::write_ranking;
pub use ranking::{RankingReport, RankingRow};
#[cfg(feature = "cli")]
pub use rota::write_rota;
pub use rota::{MomentReport, RotaReport, RotaRow};
#[cfg(feature = "cli")]
pub use score::write_score;
pub use score::{LevelRow, PlugRow, PluggedCharger, ScoreReport};
#[cfg(feature = "cli")]
pub use sizing::write_size_text;
pub use sizing::{FrontierRow, SizeReport, SizeRow};
#[cfg(feature = "cli")]
pub use text::{Palette, write_text};
#[cfg(feature = "cli")]
pub use timeline::write_timeline;
pub use timeline::{EventRow, TimelineReport};
#[cfg(feature = "cli")]
pub use travel::write_trip;
pub use travel::{TripReport, TripRow};

use std::fmt;

use crate::plan::{Berth, LimitedBy, Plan, PoolUse, Status, WithoutBerth};
use crate::setup::{ChargerSpec, Setup};
use crate::units::quantity::{contract, time, time_at_least, watts, watts_of};
use printable::short_name;
use standing::Longest;

/// A plan in words and cells.
#[derive(Debug, Clone, PartialEq, Eq)]
#[non_exhaustive]
pub struct Report {
    /// What was reached and what was proven, in one line.
    pub headline: String,
    /// Where the search was stopped: what is proven so far.
    pub bounds: Option<String>,
    /// Whether every device has a berth and none is late.
    pub all_served: bool,
    /// Every charger, in listed order, with its berths.
    pub chargers: Vec<ChargerReport>,
    /// The devices that are late, and by how much.
    pub late: Vec<Note>,
    /// The devices without a berth, and why.
    pub without_berth: Vec<Note>,
    /// The devices that are full as they are.
    pub no_need: Vec<String>,
    /// What to keep in mind.
    pub cautions: Vec<String>,
}

/// One charger with what is plugged into it.
#[derive(Debug, Clone, PartialEq, Eq)]
#[non_exhaustive]
pub struct ChargerReport {
    /// Its name.
    pub name: String,
    /// Its berths, in the order of its ports.
    pub rows: Vec<Row>,
    /// The ports that stay free, in listed order.
    pub free: Vec<String>,
    /// Its pools, as `NAME 59.5 of 60 W`.
    pub pools: Vec<String>,
}

/// One berth.
#[derive(Debug, Clone, PartialEq, Eq)]
#[non_exhaustive]
pub struct Row {
    /// The port.
    pub port: String,
    /// The device.
    pub device: String,
    /// The cable.
    pub cable: String,
    /// The contract: `20 V 3.25 A`.
    pub contract: String,
    /// Its watts at the port: `65 W`.
    pub watts: String,
    /// When it is full: `3 h 05 min`, rounded up.
    pub full_after: String,
    /// Whether that is too late.
    pub late: bool,
    /// What keeps it from being full sooner.
    pub limited_by: &'static str,
}

/// A device and a sentence about it.
#[derive(Debug, Clone, PartialEq, Eq)]
#[non_exhaustive]
pub struct Note {
    /// The device.
    pub device: String,
    /// The sentence.
    pub text: String,
}

impl fmt::Display for Note {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}: {}", self.device, self.text)
    }
}

impl Report {
    /// The report of `plan`, which is a plan of `setup`.
    pub fn new(setup: &Setup, plan: &Plan) -> Self {
        let ready_by = |name: &str| {
            setup
                .devices
                .iter()
                .find(|d| d.name == name)
                .and_then(|d| d.ready_by_h)
        };
        Self {
            headline: headline(setup, plan),
            bounds: bounds(plan, "plan"),
            all_served: plan.unserved == 0 && plan.late == 0,
            chargers: setup
                .chargers
                .iter()
                .map(|c| charger_report(c, plan))
                .collect(),
            late: plan
                .berths
                .iter()
                .filter(|berth| berth.late)
                .map(|berth| late_note(berth, ready_by(&berth.device)))
                .collect(),
            without_berth: without_berth(&plan.without_berth),
            no_need: no_need(setup),
            cautions: plan.cautions.iter().map(|text| printable(text)).collect(),
        }
    }
}

fn headline(setup: &Setup, plan: &Plan) -> String {
    let total = plan.berths.len() + plan.unserved;
    let reached = standing::reached(
        plan.berths.len(),
        plan.unserved,
        plan.late,
        Longest {
            held_h: plan.longest_h,
            reshared_h: plan.reshared_h,
            chargers: setup.chargers.len(),
        },
    );
    if total == 0 {
        return reached;
    }
    format!("{reached}; {}", proven(plan.status, "plan"))
}

/// Whether an answer, which `what` names, is proven best.
fn proven(status: Status, what: &str) -> String {
    match status {
        Status::Optimal => format!("proven: no {what} is better"),
        Status::Feasible => "not proven: a limit stopped the search".to_owned(),
    }
}

fn without_berth(without: &[WithoutBerth]) -> Vec<Note> {
    let note = |without: &WithoutBerth| Note {
        device: printable(&without.device),
        text: printable(&without.reason),
    };
    without.iter().map(note).collect()
}

/// The devices that are full as they are.
fn no_need(setup: &Setup) -> Vec<String> {
    let full = setup.devices.iter().filter(|device| !device.needs_berth());
    full.map(|device| printable(&device.name)).collect()
}

/// What is proven of the best answer, which `what` names, where the search was stopped.
fn bounds(plan: &Plan, what: &str) -> Option<String> {
    if plan.status == Status::Optimal {
        return None;
    }
    let mut proven = Vec::new();
    // That it is at least none needs no proof.
    if let Some(unserved) = plan.bound_unserved.filter(|&least| least > 0) {
        proven.push(format!("at least {unserved} without a berth"));
    }
    if let Some(late) = plan.bound_late.filter(|&least| least > 0) {
        proven.push(format!("at least {late} late"));
    }
    if let Some(hours) = plan.bound_h {
        proven.push(format!(
            "the last one full after at least {}",
            time_at_least(hours)
        ));
    }
    if proven.is_empty() {
        proven.push("nothing".to_owned());
    }
    Some(format!(
        "proven so far of the best {what}: {}",
        proven.join(", ")
    ))
}

fn charger_report(charger: &ChargerSpec, plan: &Plan) -> ChargerReport {
    let mut rows = Vec::new();
    let mut free = Vec::new();
    for port in &charger.ports {
        let berth = plan
            .berths
            .iter()
            .find(|berth| berth.charger == charger.name && berth.port == port.name);
        match berth {
            Some(berth) => rows.push(row(berth)),
            None => free.push(short_name(&port.name)),
        }
    }
    let of_charger = plan
        .pools
        .iter()
        .filter(|pool| pool.charger == charger.name);
    let pools = of_charger.map(pool).collect();
    ChargerReport {
        name: printable(&charger.name),
        rows,
        free,
        pools,
    }
}

fn pool(pool: &PoolUse) -> String {
    let of_max = watts_of(pool.used_w, pool.max_w);
    format!("{} {of_max}", short_name(&pool.pool))
}

fn row(berth: &Berth) -> Row {
    Row {
        port: short_name(&berth.port),
        device: short_name(&berth.device),
        cable: short_name(&berth.cable),
        contract: contract(berth.volts, berth.amps),
        watts: watts(berth.port_w),
        full_after: time(berth.hours),
        late: berth.late,
        limited_by: limited_by(berth.limited_by),
    }
}

/// In a word.
pub(crate) fn limited_by(limit: LimitedBy) -> &'static str {
    match limit {
        LimitedBy::Pool => "pool",
        LimitedBy::Combination => "combination",
        LimitedBy::Port => "port",
        LimitedBy::Cable => "cable",
        LimitedBy::Device => "device",
    }
}

fn late_note(berth: &Berth, ready_by_h: Option<f64>) -> Note {
    let text = match ready_by_h {
        Some(ready_by) => format!(
            "full after {}, needed after {}: {} late",
            time(berth.hours),
            time(ready_by),
            time(berth.hours - ready_by)
        ),
        None => format!("full after {}", time(berth.hours)),
    };
    Note {
        device: printable(&berth.device),
        text,
    }
}

/// `1st`, `2nd`, `3rd`, `4th` …
fn nth(n: usize) -> String {
    let ending = match (n % 10, n % 100) {
        (1, rest) if rest != 11 => "st",
        (2, rest) if rest != 12 => "nd",
        (3, rest) if rest != 13 => "rd",
        _ => "th",
    };
    format!("{n}{ending}")
}

#[cfg(test)]
pub(crate) mod tests;

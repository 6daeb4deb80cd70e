//! A plan as a page: each charger with its berths, who is late or without one, and why.

use super::page::{Line, Page, Rows, Section, Shown, Tone};
use super::printable::{printable, short_name};
use super::seating::Seating;
use super::standing::{self, Longest};
use crate::plan::{Berth, Plan, PoolUse, Status, WithoutBerth};
use crate::setup::{ChargerSpec, Setup};
use crate::units::quantity::{contract, time, time_at_least, watts, watts_of};

impl Page {
    /// The page of `plan`, which is a plan of `setup`.
    pub fn of_plan(setup: &Setup, plan: &Plan) -> Self {
        let mut page = Self::new(
            name_of_night(setup),
            headline(setup, plan),
            plan.unserved == 0 && plan.late == 0,
        );
        page.lead.extend(bounds(plan, "plan"));
        let chargers = setup.chargers.iter();
        let sections = chargers.map(|charger| section(charger, plan).shown(Shown::InText));
        page.sections.extend(sections);
        page.seats(&Seating::of_plan(setup, plan));
        page.proven(plan, "plan");
        let late = plan.berths.iter().filter(|berth| berth.late);
        let late = late.map(|berth| late_note(setup, berth)).collect();
        page.notes("Late", Tone::Bad, late);
        page.left_over(setup, &plan.without_berth, &plan.cautions);
        page
    }

    /// Where the search was stopped, what is proven, as a picture tells it.
    pub(super) fn proven(&mut self, plan: &Plan, what: &str) {
        let bounds = bounds(plan, what).into_iter().collect();
        self.notes_in(Shown::InPictures, "What is proven", Tone::Plain, bounds);
    }

    /// The devices without a berth, and why, those that are full as they are, and what to
    /// keep in mind.
    pub(super) fn left_over(
        &mut self,
        setup: &Setup,
        without: &[WithoutBerth],
        cautions: &[String],
    ) {
        let without = without.iter().map(without_berth).collect();
        self.notes("Without a berth", Tone::Bad, without);
        self.full_as_they_are(setup);
        self.cautions(cautions);
    }

    /// The devices that need nothing.
    pub(super) fn full_as_they_are(&mut self, setup: &Setup) {
        let full = setup.devices.iter().filter(|device| !device.needs_berth());
        let names = full.map(|device| printable(&device.name)).collect();
        self.notes("Full as they are", Tone::Plain, names);
    }

    /// What to keep in mind.
    pub(super) fn cautions(&mut self, cautions: &[String]) {
        let cautions = cautions.iter().map(|text| printable(text)).collect();
        self.notes("Cautions", Tone::Caution, cautions);
    }
}

/// What a night is called.
pub(super) fn name_of_night(setup: &Setup) -> String {
    let name = setup.name();
    name.map_or_else(|| "The night".to_owned(), printable)
}

fn headline(setup: &Setup, plan: &Plan) -> String {
    let reached = reached(setup, plan, plan.reshared_h);
    if plan.berths.len() + plan.unserved == 0 {
        return reached;
    }
    format!("{reached}; {}", proven(plan.status, "plan"))
}

/// What a plan reaches, and with sharing anew, where that is to be told.
pub(super) fn reached(setup: &Setup, plan: &Plan, reshared_h: Option<f64>) -> String {
    let longest = Longest {
        held_h: plan.longest_h,
        reshared_h,
        chargers: setup.chargers.len(),
    };
    standing::reached(plan.berths.len(), plan.unserved, plan.late, longest)
}

/// Whether an answer, which `what` names, is proven best.
pub(super) fn proven(status: Status, what: &str) -> String {
    match status {
        Status::Optimal => format!("proven: no {what} is better"),
        Status::Feasible => "not proven: a limit stopped the search".to_owned(),
    }
}

/// What is proven of the best answer, which `what` names, where the search was stopped.
pub(super) fn bounds(plan: &Plan, what: &str) -> Option<String> {
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

/// A charger with its berths, in the order of its ports.
fn section(charger: &ChargerSpec, plan: &Plan) -> Section {
    let (mut rows, mut free) = (Vec::new(), Vec::new());
    for port in &charger.ports {
        let here = |berth: &&Berth| berth.charger == charger.name && berth.port == port.name;
        match plan.berths.iter().find(here) {
            Some(berth) => rows.push(berth),
            None => free.push(short_name(&port.name)),
        }
    }
    let title = printable(&charger.name);
    if rows.is_empty() {
        return Section::titled(title).lines([Line::text("not used")]);
    }
    let pools = plan.pools.iter();
    let pools: Vec<String> = pools
        .filter(|pool| pool.charger == charger.name)
        .map(pool)
        .collect();
    let table = Rows::of(rows)
        .facts("Port", |berth| short_name(&berth.port))
        .names("Device", |berth| short_name(&berth.device))
        .names("Cable", |berth| short_name(&berth.cable))
        .facts("Contract", |berth| contract(berth.volts, berth.amps))
        .facts("Watts", |berth| watts(berth.port_w))
        .facts("Full after", |of| late_below(time(of.hours), of.late))
        .facts("Limited by", |berth| berth.limited_by.word())
        .table();
    Section::titled(title)
        .table(table)
        .lines(Line::labelled("pools", &pools, "; "))
        .lines(Line::labelled("free", &free, ", "))
}

/// How much of a pool is taken: `total 59.5 of 60 W`.
pub(super) fn pool(pool: &PoolUse) -> String {
    let of_max = watts_of(pool.used_w, pool.max_w);
    format!("{} {of_max}", short_name(&pool.pool))
}

/// A time, with a word below it where that is too late.
pub(super) fn late_below(time: String, late: bool) -> String {
    if late { time + "\nlate" } else { time }
}

fn late_note(setup: &Setup, berth: &Berth) -> String {
    let device = setup.devices.iter().find(|d| d.name == berth.device);
    let full = time(berth.hours);
    let text = match device.and_then(|device| device.ready_by_h) {
        Some(ready_by) => format!(
            "full after {full}, needed after {}: {} late",
            time(ready_by),
            time(berth.hours - ready_by)
        ),
        None => format!("full after {full}"),
    };
    note(&berth.device, &text)
}

/// Who has none, and why.
pub(super) fn without_berth(without: &WithoutBerth) -> String {
    note(&without.device, &without.reason)
}

/// A device and a sentence about it.
pub(super) fn note(device: &str, text: &str) -> String {
    format!("{}: {}", printable(device), printable(text))
}

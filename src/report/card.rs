//! The bedside card: what to plug where, and when it is full; the few lines worth a photo.

use super::clock::Clock;
use super::page::{Line, Page, Rows, Section, Tone};
use super::plan::{name_of_night, told};
use super::printable::{printable, short_name};
use super::rota::Told;
use crate::plan::objective::{promised_late, promised_late_in};
use crate::plan::rota::{Rota, RotaBerth};
use crate::plan::{Berth, Plan, WithoutBerth};
use crate::setup::Setup;
use crate::setup::document::Aim;

/// A device on its port, and when it is full.
struct CardRow<'a> {
    berth: &'a Berth,
    port: String,
    full: String,
}

impl Page {
    /// The card of `plan`, which is a plan of `setup`: chargers with what is plugged in.
    pub fn card_of_plan(setup: &Setup, plan: &Plan) -> Self {
        let clock = Clock::of(setup.start);
        let good = plan.serves_all();
        let mut page = Self::new(name_of_night(setup), told(setup, plan, None), good);
        for charger in &setup.chargers {
            let on = |port: &str| {
                let here = |b: &&Berth| b.charger == charger.name && b.port == port;
                plan.berths.iter().find(here)
            };
            let berths = charger.ports.iter().filter_map(|port| on(&port.name));
            let rows = berths.map(|berth| CardRow {
                berth,
                port: short_name(&berth.port),
                full: match (plan.aim, berth.promised_h) {
                    (Aim::Best, _) => full(clock, Some(berth.hours), berth.late),
                    (Aim::Promise, None) => not_certain(clock, berth.hours),
                    (Aim::Promise, sure) => full(clock, sure, promised_late(setup, berth)),
                },
            });
            let part = on_card(Section::titled(printable(&charger.name)), rows.collect());
            page.sections
                .extend(Some(part).filter(|part| !part.blocks.is_empty()));
        }
        page.not_on_card(&plan.without_berth);
        page
    }

    /// The card of `rota`, which is a rota of `setup`: moments with what is to be done.
    pub fn card_of_rota(setup: &Setup, rota: &Rota) -> Self {
        let told = Told::of(setup, rota);
        let mut page = Self::new(name_of_night(setup), told.reached(), rota.serves_all());
        page.lead.extend(told.promised());
        for moment in &told.moments() {
            let take_out = Line::labelled("take out", &told.taken(moment), ", ");
            let berths = moment.plug_in.iter();
            let rows = berths.map(|berth| rota_row(setup, &told, rota, berth));
            let part = Section::titled(told.title(moment, " ")).lines(take_out);
            page.push(on_card(part, rows.collect()));
        }
        page.not_on_card(&rota.without_berth);
        page
    }

    fn not_on_card(&mut self, without: &[WithoutBerth]) {
        let names = without.iter().map(|without| short_name(&without.device));
        self.notes("without a port", Tone::Bad, names.collect());
    }
}

fn on_card(part: Section, rows: Vec<CardRow>) -> Section {
    if rows.is_empty() {
        return part;
    }
    let rows = Rows::of(rows)
        .facts("", |row| row.port.clone())
        .names("", |row| format!("→ {}", short_name(&row.berth.device)))
        .names("", |row| format!("→ {}", short_name(&row.berth.cable)))
        .facts("", |row| format!("→ {}", row.full));
    part.table(rows.table())
}

fn rota_row<'a>(setup: &Setup, told: &Told, rota: &Rota, of: &'a RotaBerth) -> CardRow<'a> {
    let clock = Clock::of(setup.start);
    let best_h = Some(of.finish_h).filter(|_| told.is_full(of));
    let late = of.berth.late && best_h.is_some();
    CardRow {
        berth: &of.berth,
        port: told.on(&of.berth.charger, &short_name(&of.berth.port)),
        full: match (rota.aim, told.surely_full_h(of), best_h) {
            (Aim::Promise, Some(sure_h), _) => {
                full(clock, Some(sure_h), promised_late_in(setup, rota, of))
            }
            (Aim::Promise, None, Some(best_h)) => not_certain(clock, best_h),
            _ => full(clock, best_h, late),
        },
    }
}

/// `not certain; 1 h 57 min at best`.
fn not_certain(clock: Clock, best_h: f64) -> String {
    format!("not certain; {} at best", clock.full(best_h))
}

/// `full at 00:48` where it is known when the night begins, else `full after 1 h 38 min`.
fn full(clock: Clock, full_h: Option<f64>, late: bool) -> String {
    let Some(full_h) = full_h else {
        return "not full".to_owned();
    };
    let when = if clock.is_known() { "at" } else { "after" };
    let late = if late { ", late" } else { "" };
    format!("full {when} {}{late}", clock.full(full_h))
}

//! The bedside card: what to plug where, and when it is full; the few lines worth a photo.

use super::clock::Clock;
use super::page::{Block, Cells, Line, Page, Section, Table, Tone};
use super::plan::{name_of_night, reached};
use super::printable::{printable, short_name};
use super::rota::Told;
use crate::plan::rota::{Rota, RotaBerth};
use crate::plan::{Berth, Plan, WithoutBerth};
use crate::setup::Setup;

/// Port, device, cable, and when it is full.
type CardRow = [String; 4];

impl Page {
    /// The card of `plan`, which is a plan of `setup`: chargers with what is plugged in.
    pub fn card_of_plan(setup: &Setup, plan: &Plan) -> Self {
        let clock = Clock::of(setup.start);
        let good = plan.unserved == 0 && plan.late == 0;
        let mut page = Self::new(name_of_night(setup), reached(setup, plan, None), good);
        for charger in &setup.chargers {
            let on = |port: &str| {
                let here = |b: &&Berth| b.charger == charger.name && b.port == port;
                plan.berths.iter().find(here)
            };
            let berths = charger.ports.iter().filter_map(|port| on(&port.name));
            let full = |berth: &Berth| full(clock, Some(berth.hours), berth.late);
            let rows = berths.map(|b| row(b, short_name(&b.port), full(b)));
            let table = table(rows.collect()).into_iter();
            let part = Section::new(printable(&charger.name), table);
            page.sections
                .extend(Some(part).filter(|part| !part.blocks.is_empty()));
        }
        page.not_on_card(&plan.without_berth);
        page
    }

    /// The card of `rota`, which is a rota of `setup`: moments with what is to be done.
    pub fn card_of_rota(setup: &Setup, rota: &Rota) -> Self {
        let told = Told::of(setup, rota);
        let good = rota.unserved == 0 && rota.late == 0;
        let mut page = Self::new(name_of_night(setup), told.reached(), good);
        for moment in &told.moments() {
            let take_out = Line::labelled("take out", &told.taken(moment), ", ");
            let rows = moment
                .plug_in
                .iter()
                .map(|berth| rota_row(setup, &told, berth));
            let blocks = take_out.into_iter().chain(table(rows.collect()));
            page.sections
                .push(Section::new(told.title(moment, " "), blocks));
        }
        page.not_on_card(&rota.without_berth);
        page
    }

    fn not_on_card(&mut self, without: &[WithoutBerth]) {
        let names = without.iter().map(|without| short_name(&without.device));
        self.notes("without a berth", Tone::Bad, names.collect());
    }
}

fn table(rows: Vec<CardRow>) -> Option<Block> {
    let columns = [Cells::Facts, Cells::Names, Cells::Names, Cells::Facts];
    let columns = columns.map(|cells| ("", cells));
    (!rows.is_empty()).then(|| Table::new(columns, rows).into())
}

fn rota_row(setup: &Setup, told: &Told, of: &RotaBerth) -> CardRow {
    let full_h = Some(of.finish_h).filter(|_| told.is_full(of));
    let port = told.on(&of.berth.charger, &short_name(&of.berth.port));
    let late = of.berth.late && full_h.is_some();
    row(&of.berth, port, full(Clock::of(setup.start), full_h, late))
}

fn row(berth: &Berth, port: String, full: String) -> CardRow {
    let then = |what: &str| format!("→ {what}");
    let (device, cable) = (short_name(&berth.device), short_name(&berth.cable));
    [port, then(&device), then(&cable), then(&full)]
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

//! Who sits on which port, from when to when: what a night's drawings show, and the same
//! as tables.

use super::clock::Clock;
use super::page::{Page, Rows, Section, Shown, Table};
use super::plan::{certain, limit};
use super::printable::printable;
use super::rota::sessions;
use crate::plan::rota::Rota;
use crate::plan::{Berth, Plan};
use crate::setup::{ChargerSpec, Setup};
use crate::units::quantity::{contract, watts};

/// A device on its port.
pub(super) struct Sitting<'a> {
    pub(super) berth: &'a Berth,
    pub(super) from_h: f64,
    /// When it is unplugged, where that is said.
    pub(super) until_h: Option<f64>,
    /// When it would be full.
    finish_h: f64,
    /// The sessions that it takes.
    pub(super) sessions: Option<String>,
}

impl Sitting<'_> {
    /// When it is full, where that is before its plug is pulled.
    pub(super) fn full_h(&self) -> Option<f64> {
        let pulled = self.until_h.is_some_and(|until_h| until_h < self.finish_h);
        (!pulled).then_some(self.finish_h)
    }
}

/// A night's devices on their ports.
pub(super) struct Seating<'a> {
    pub(super) setup: &'a Setup,
    pub(super) clock: Clock,
    sittings: Vec<Sitting<'a>>,
    /// Where sessions begin, with their names; none where there is only one.
    pub(super) borders: Vec<(f64, String)>,
}

impl<'a> Seating<'a> {
    pub(super) fn of_plan(setup: &'a Setup, plan: &'a Plan) -> Self {
        let sittings = plan.berths.iter().map(|berth| Sitting {
            berth,
            from_h: 0.0,
            until_h: None,
            finish_h: berth.hours,
            sessions: None,
        });
        Self {
            setup,
            clock: Clock::of(setup.start),
            sittings: sittings.collect(),
            borders: Vec::new(),
        }
    }

    pub(super) fn of_rota(setup: &'a Setup, rota: &'a Rota) -> Self {
        let session = |name: &str| rota.sessions.iter().find(|session| session.name == name);
        let sittings = rota.berths.iter().filter_map(|of| {
            let until_h = session(&of.until_session)?.end_h;
            Some(Sitting {
                berth: &of.berth,
                from_h: session(&of.session)?.start_h,
                until_h: Some(until_h),
                finish_h: of.finish_h,
                sessions: Some(sessions(of, printable)),
            })
        });
        let borders = rota.sessions.iter().filter(|_| rota.sessions.len() > 1);
        Self {
            setup,
            clock: Clock::of(setup.start),
            sittings: sittings.collect(),
            borders: borders
                .map(|session| (session.start_h, printable(&session.name)))
                .collect(),
        }
    }

    /// The chargers in use with who sits on them, in the order of their ports, then of
    /// time.
    pub(super) fn in_use(&self) -> Vec<(&'a ChargerSpec, Vec<&Sitting<'a>>)> {
        let chargers = self.setup.chargers.iter();
        let taken = chargers.map(|charger| (charger, self.on(charger)));
        taken.filter(|(_, taken)| !taken.is_empty()).collect()
    }

    fn on(&self, charger: &ChargerSpec) -> Vec<&Sitting<'a>> {
        let mut taken = Vec::new();
        for port in &charger.ports {
            let here = |sitting: &&Sitting| {
                sitting.berth.charger == charger.name && sitting.berth.port == port.name
            };
            let first = taken.len();
            taken.extend(self.sittings.iter().filter(here));
            taken[first..].sort_by(|a: &&Sitting, b| a.from_h.total_cmp(&b.from_h));
        }
        taken
    }

    /// When a device is full: a time of day, where it is known when the night begins.
    pub(super) fn full(&self, sitting: &Sitting) -> String {
        sitting
            .full_h()
            .map_or_else(|| "not full".to_owned(), |full_h| self.clock.full(full_h))
    }

    fn table(&self, taken: &[&Sitting]) -> Table {
        let when = if self.clock.is_known() {
            "Full at"
        } else {
            "Full after"
        };
        let late = |berth: &Berth| if berth.late { ", late" } else { "" };
        let mut rows = Rows::of(taken)
            .names("Device", |of| printable(&of.berth.device))
            .facts("Port", |of| printable(&of.berth.port))
            .names("Cable", |of| printable(&of.berth.cable))
            .facts("Volts, amps", |of| contract(of.berth.volts, of.berth.amps))
            .facts("Watts", |of| watts(of.berth.port_w))
            .facts("Certain after", |of| certain(of.berth.promised_h))
            .facts(when, |of| self.full(of) + late(of.berth))
            .facts("Limited by", |of| limit(of.berth.limited_by));
        if !self.borders.is_empty() {
            rows = rows.names("Sessions", |of| of.sessions.clone().unwrap_or_default());
        }
        rows.table().drawn()
    }
}

impl Page {
    /// Who sits where, as the drawings show it.
    pub(super) fn seats(&mut self, seating: &Seating) {
        let tables = seating.in_use().into_iter().map(|(charger, taken)| {
            let title = format!("{}: who sits where", printable(&charger.name));
            Section::titled(title)
                .table(seating.table(&taken))
                .shown(Shown::InPictures)
        });
        self.sections.extend(tables);
    }
}

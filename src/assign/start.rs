//! A plan or rota known from before, with which a search begins: what of it can be had still.

use crate::assign::near::{cable_group, cable_of, check, port_group, port_of};
use crate::assign::options::Choices;
use crate::diagnostics::Result;
use crate::plan::objective::{Full, full_in_plan, full_in_rota};
use crate::plan::rota::Rota;
use crate::plan::{Berth, Plan};
use crate::setup::Setup;
use crate::solve::model::{Assignment, Column, Model};
use crate::units::millionths;

/// Columns that are tried for one device: those most like what it had come first.
const MOST_TRIED: usize = 16;

/// Where the devices of a setup were.
#[derive(Debug, Clone)]
pub(crate) struct Start {
    /// By device of the setup.
    held: Vec<Option<Held>>,
}

/// What a device had, as far as the setup has that.
#[derive(Debug, Clone, Copy)]
struct Held {
    /// Groups of the choices.
    port: usize,
    cable: usize,
    first: usize,
    /// Volts and amperes, in whole millionths.
    contract: (i64, i64),
    /// When it was full by the aim, in whole 1e-6 h.
    time: i64,
}

impl Start {
    /// Where `plan` has the devices of `setup`.
    ///
    /// # Errors
    /// [`Error::Input`](crate::Error::Input) where it has none of them, or a device or a port
    /// twice.
    pub(super) fn of_plan(setup: &Setup, plan: &Plan, choices: &Choices) -> Result<Self> {
        check(setup, plan, true)?;
        let mut start = Self::none(setup);
        for (berth, full) in full_in_plan(setup, plan) {
            start.hold(setup, choices, (berth, full), 0);
        }
        Ok(start)
    }

    /// As [`Start::of_plan`], of a rota: a port may be there twice.
    ///
    /// # Errors
    /// As [`Start::of_plan`].
    pub(super) fn of_rota(setup: &Setup, rota: &Rota, choices: &Choices) -> Result<Self> {
        check(setup, &rota.without_sessions(), false)?;
        let mut start = Self::none(setup);
        for (of, (berth, full)) in rota.berths.iter().zip(full_in_rota(setup, rota)) {
            let mut sessions = setup.sessions.iter();
            if let Some(first) = sessions.position(|session| session.name == of.session) {
                start.hold(setup, choices, (berth, full), first);
            }
        }
        Ok(start)
    }

    fn none(setup: &Setup) -> Self {
        Self {
            held: vec![None; setup.devices.len()],
        }
    }

    fn hold(&mut self, setup: &Setup, choices: &Choices, of: (&Berth, Full), first: usize) {
        let (berth, full) = of;
        let port = port_of(setup, berth);
        let cable = cable_of(setup, port, berth);
        let device = setup.device_names().position(|name| name == berth.device);
        let port = port.and_then(|port| port_group(choices, port));
        let cable = cable.and_then(|cable| cable_group(choices, cable));
        if let (Some(device), Some(port), Some(cable)) = (device, port, cable) {
            self.held[device] = Some(Held {
                port,
                cable,
                first,
                contract: (millionths(berth.volts), millionths(berth.amps)),
                time: full.time,
            });
        }
    }

    /// The assignment that it is in a model of these choices: all of it where that can be had,
    /// else device by device what it had, where that can be had beside those before it.
    pub(crate) fn begun(&self, model: &Model) -> Assignment {
        let columns = |(at, &device): (usize, &usize)| {
            let held = self.held[device].as_ref();
            held.map_or_else(Vec::new, |held| held.columns(model, at))
        };
        let columns: Vec<Vec<u32>> = model.devices.iter().enumerate().map(columns).collect();
        // With fewer ports in use another line of a table may govern, which grants less.
        let whole = columns.iter().map(|own| own.first().copied()).collect();
        if has_seats(model, &whole) && model.holds(&whole) {
            return whole;
        }
        let mut assignment = vec![None; model.len()];
        let mut left = model.seats.clone();
        for (at, own) in columns.iter().enumerate() {
            for &column in own {
                let seats = &mut left[model.dominance_key(column).port as usize];
                if *seats == 0 {
                    continue;
                }
                assignment[at] = Some(column);
                if model.holds(&assignment) {
                    *seats -= 1;
                    break;
                }
                assignment[at] = None;
            }
        }
        assignment
    }
}

/// Whether no berth has more devices than seats.
fn has_seats(model: &Model, assignment: &Assignment) -> bool {
    let mut left = model.seats.clone();
    assignment.iter().flatten().all(|&column| {
        let seats = &mut left[model.dominance_key(column).port as usize];
        let had = *seats;
        *seats = had.saturating_sub(1);
        had > 0
    })
}

impl Held {
    /// The columns of a device at this place, those most like it first.
    fn columns(&self, model: &Model, at: usize) -> Vec<u32> {
        let here = |column: &Column| {
            (column.port, column.cable, column.first) == (self.port, self.cable, self.first)
        };
        let open = model.of_device[at].clone();
        let mut columns: Vec<u32> = open.filter(|&c| here(model.column(c))).collect();
        columns.sort_by_key(|&c| {
            let column = model.column(c);
            let other = (column.time > self.time, column.contract != self.contract);
            (other, column.needs, column.takes)
        });
        columns.truncate(MOST_TRIED);
        columns
    }
}

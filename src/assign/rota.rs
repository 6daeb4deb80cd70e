//! The best rota. All levels but the ties are settled over groups of equal ports and
//! cables: berths that take whole runs of sessions, never more at a time than there are
//! ports of a group, can always be told which port is theirs. The ties are settled
//! device by device, and what the devices before have is told apart by name: whether a
//! later one can follow on the same port is then a question like any other.

mod answer;

use crate::assign::options::{self, Columns, Ungrouped};
use crate::diagnostics::Result;
use crate::plan::rota::Rota;
use crate::plan::schedule::Schedule;
use crate::plan::sessions::Sessions;
use crate::setup::Setup;
use crate::setup::ids::{CableId, PortId};
use crate::solve::backend::ENGINE;
use crate::solve::budget::Budget;
use crate::solve::levels::{Level, Levels, Outcome};
use crate::solve::model::{Assignment, Column, Model};
use crate::solve::search::Search;

/// A device's berth by name: indices into the charger's ports and the setup's cables.
#[derive(Debug, Clone)]
pub(super) struct Seat {
    pub(super) port: PortId,
    pub(super) cable: CableId,
    pub(super) column: options::Column,
}

/// What was found, by device of the model.
pub(super) struct Found {
    pub(super) outcome: Outcome,
    /// Index into the setup's devices.
    pub(super) devices: Vec<usize>,
    pub(super) seats: Vec<Option<Seat>>,
    pub(super) columns: Columns,
}

/// The best rota of a setup that has sessions, unverified, and the schedule that it is the
/// document of.
pub(super) fn best(setup: &Setup, until: Level, budget: &mut Budget) -> Result<(Rota, Schedule)> {
    let sessions = Sessions::of(setup);
    let found = found(setup, &sessions, until, budget)?;
    Ok(answer::rota(setup, &sessions, &found))
}

pub(super) fn found(
    setup: &Setup,
    sessions: &Sessions,
    until: Level,
    budget: &mut Budget,
) -> Result<Found> {
    let mut apart = Ungrouped::default();
    let columns = Columns::over(setup, sessions, &apart, budget)?;
    let model = Model::of(setup, &columns);
    if !columns.are_complete() {
        return Ok(Found {
            outcome: Outcome::unknown(&model),
            seats: vec![None; model.len()],
            devices: model.devices,
            columns,
        });
    }
    let search = Search::new(&model, &ENGINE, budget.clone());
    let mut levels = Levels::new(search).until(until);
    let mut outcome = levels.solve();
    let mut seats = named(&columns, &model, levels.incumbent(), None);
    let limits = levels.limits().clone();
    *budget = levels.search.budget;
    let mut device = if outcome.proven { 0 } else { seats.len() };
    while device < seats.len() {
        let columns = Columns::over(setup, sessions, &apart, budget)?;
        let model = Model::of(setup, &columns);
        // None where the clock ended the listing, too.
        let Some(assignment) = assignment(&columns, &model, &seats) else {
            outcome.proven = false;
            break;
        };
        let search = Search::new(&model, &ENGINE, budget.clone());
        let mut levels = Levels::resumed(search, &limits, assignment, device);
        let mut grouped = false;
        while device < seats.len() && !grouped && outcome.proven {
            outcome.proven = levels.solve_tie(device).is_ok();
            grouped = levels.incumbent()[device].is_some_and(|column| {
                let column = model.column(column);
                columns.ports[column.port].ports.len() > 1
                    || columns.cables[column.cable].cables.len() > 1
            });
            device += 1;
        }
        let settled = device - 1;
        seats = named(&columns, &model, levels.incumbent(), Some(settled));
        if let Some(seat) = &seats[settled] {
            apart.ports.push(seat.port);
            apart.cables.push(seat.cable);
        }
        if !outcome.proven {
            break;
        }
        *budget = levels.search.budget;
    }
    if outcome.proven {
        outcome.settled = Some(Level::Everything);
    }
    Ok(Found {
        outcome,
        devices: model.devices,
        seats,
        columns,
    })
}

/// The same berths in a model with other groups.
fn assignment(columns: &Columns, model: &Model, seats: &[Option<Seat>]) -> Option<Assignment> {
    let same = |seat: &Seat, column: &Column| {
        let (port, cable) = (&columns.ports[column.port], &columns.cables[column.cable]);
        port.charger == seat.port.charger.0
            && port.ports.contains(&seat.port.index)
            && cable.cables.contains(&seat.cable.0)
            && column.contract == seat.column.whole.contract
            && column.first == seat.column.whole.first
    };
    let mut assignment = Assignment::new();
    for (device, seat) in seats.iter().enumerate() {
        assignment.push(match seat {
            None => None,
            Some(seat) => {
                let mut open = model.of_device[device].clone();
                Some(open.find(|&column| same(seat, model.column(column)))?)
            }
        });
    }
    Some(assignment)
}

/// Gives every berth a port and a cable of its group. The first of both go to `settled`.
fn named(
    columns: &Columns,
    model: &Model,
    assignment: &Assignment,
    settled: Option<usize>,
) -> Vec<Option<Seat>> {
    let numbers = |group_of: &dyn Fn(&Column) -> usize, groups: usize| {
        let mut numbers = vec![0; assignment.len()];
        for group in 0..groups {
            let mut stays: Vec<(usize, usize, usize)> = Vec::new();
            for (device, column) in assignment.iter().enumerate() {
                let column = column.map(|column| model.column(column));
                if let Some(column) = column.filter(|column| group_of(column) == group) {
                    stays.push((column.first, device, column.last));
                }
            }
            number(&mut stays, settled, &mut numbers);
        }
        numbers
    };
    let ports = numbers(&|column| column.port, columns.ports.len());
    let cables = numbers(&|column| column.cable, columns.cables.len());
    let seat = |(device, column): (usize, &Option<u32>)| {
        column.map(|column| {
            let column = model.taken(columns, device, column).clone();
            let group = &columns.ports[column.whole.port];
            Seat {
                port: PortId::new(group.charger, group.ports[ports[device]]),
                cable: CableId(model.listed_cable(column.whole.cable, cables[device])),
                column,
            }
        })
    };
    assignment.iter().enumerate().map(seat).collect()
}

/// Numbers stays (first session, device, last session) so that those with one number
/// never overlap: with the lowest number that is free, in the order in which they begin,
/// no more numbers are needed than stays overlap at a time. `settled` gets number 0.
fn number(stays: &mut [(usize, usize, usize)], settled: Option<usize>, numbers: &mut [usize]) {
    stays.sort_unstable();
    let mut until: Vec<usize> = Vec::new();
    for &(first, device, last) in stays.iter() {
        let free = until.iter().position(|&until| until < first);
        let number = free.unwrap_or(until.len());
        if number == until.len() {
            until.push(last);
        } else {
            until[number] = last;
        }
        numbers[device] = number;
    }
    let own = settled.filter(|settled| stays.iter().any(|(_, device, _)| device == settled));
    if let Some(other) = own.map(|settled| numbers[settled]) {
        for (_, device, _) in stays.iter() {
            let number = &mut numbers[*device];
            *number = match *number {
                0 => other,
                now if now == other => 0,
                now => now,
            };
        }
    }
}

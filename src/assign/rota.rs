//! The best rota. All levels but the ties are settled over groups of equal ports and
//! cables: berths that take whole runs of sessions, never more at a time than there are
//! ports of a group, can always be told which port is theirs. The ties are settled
//! device by device, and what the devices before have is told apart by name: whether a
//! later one can follow on the same port is then a question like any other.

mod answer;

use super::model::Part;
use super::{Solved, solved};
use crate::assign::options::{Choice, Choices, Ungrouped};
use crate::assign::start::Start;
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
    pub(super) choice: Choice,
    /// What must be left to it for what is promised of it, in whole 1e-6 W.
    needs: i64,
}

/// What was found, by device of the model.
pub(super) struct Found {
    pub(super) outcome: Outcome,
    /// Index into the setup's devices.
    pub(super) devices: Vec<usize>,
    pub(super) seats: Vec<Option<Seat>>,
    pub(super) choices: Choices,
}

/// The best rota of a setup that has sessions, unverified, and the schedule that it is the
/// document of.
pub(super) fn best(
    setup: &Setup,
    start: Option<&Rota>,
    until: Level,
    budget: &mut Budget,
) -> Result<(Rota, Schedule, [Vec<i64>; 2])> {
    let sessions = Sessions::of(setup);
    let found = found(setup, &sessions, start, until, budget)?;
    let (rota, schedule) = answer::rota(setup, &sessions, &found);
    Ok((rota, schedule, found.outcome.least))
}

pub(super) fn found(
    setup: &Setup,
    sessions: &Sessions,
    start: Option<&Rota>,
    until: Level,
    budget: &mut Budget,
) -> Result<Found> {
    let mut apart = Ungrouped::default();
    let mut choices = Choices::over(setup, sessions, &apart, budget)?;
    if let Some(start) = start {
        choices.start = Some(Start::of_rota(setup, start, &choices)?);
    }
    let Solved {
        model,
        mut outcome,
        limits,
    } = solved(setup, sessions, &choices, (until, None), budget);
    let mut seats = named(&choices, &model, &outcome.assignment, None);
    let mut device = if outcome.proven { 0 } else { seats.len() };
    while device < seats.len() {
        let choices = Choices::over(setup, sessions, &apart, budget)?;
        let model = Model::of(setup, sessions, &choices, Part::Within(&limits));
        // None where the clock ended the listing, too.
        let Some(assignment) = assignment(&choices, &model, &seats) else {
            outcome.proven = false;
            break;
        };
        let search = Search::new(&model, &ENGINE, budget.clone());
        let mut levels = Levels::resumed(search, &limits, assignment, device);
        let mut grouped = false;
        while device < seats.len() && !grouped && outcome.proven {
            outcome.proven = levels.solve_tie(device).is_ok();
            grouped = levels.incumbent()[device].is_some_and(|choice| {
                let choice = model.column(choice);
                choices.ports[choice.port].ports.len() > 1
                    || choices.cables[choice.cable].cables.len() > 1
            });
            device += 1;
        }
        let settled = device - 1;
        seats = named(&choices, &model, levels.incumbent(), Some(settled));
        if let Some(seat) = &seats[settled] {
            apart.ports.push(seat.port);
            apart.cables.push(seat.cable);
        }
        if !outcome.proven {
            break;
        }
        budget.go_on_after(levels.search.budget);
    }
    if outcome.proven {
        outcome.settled = Some(Level::Everything);
    }
    Ok(Found {
        outcome,
        devices: model.devices,
        seats,
        choices,
    })
}

/// The same berths in a model with other groups.
fn assignment(choices: &Choices, model: &Model, seats: &[Option<Seat>]) -> Option<Assignment> {
    let same = |seat: &Seat, choice: &Column| {
        let (port, cable) = (&choices.ports[choice.port], &choices.cables[choice.cable]);
        port.charger == seat.port.charger.0
            && port.ports.contains(&seat.port.index)
            && cable.cables.contains(&seat.cable.0)
            && choice.contract == seat.choice.key()
            && choice.first == seat.choice.first
            && choice.needs <= seat.needs
    };
    let mut assignment = Assignment::new();
    for (device, seat) in seats.iter().enumerate() {
        assignment.push(match seat {
            None => None,
            Some(seat) => {
                let open = model.of_device[device].clone();
                let same = open.filter(|&choice| same(seat, model.column(choice)));
                Some(same.max_by_key(|&choice| model.column(choice).needs)?)
            }
        });
    }
    Some(assignment)
}

/// Gives every berth a port and a cable of its group. The first of both go to `settled`.
fn named(
    choices: &Choices,
    model: &Model,
    assignment: &Assignment,
    settled: Option<usize>,
) -> Vec<Option<Seat>> {
    let numbers = |group_of: &dyn Fn(&Column) -> usize, groups: usize| {
        let mut numbers = vec![0; assignment.len()];
        for group in 0..groups {
            let mut stays: Vec<(usize, usize, usize)> = Vec::new();
            for (device, choice) in assignment.iter().enumerate() {
                let choice = choice.map(|choice| model.column(choice));
                if let Some(choice) = choice.filter(|choice| group_of(choice) == group) {
                    stays.push((choice.first, device, choice.last));
                }
            }
            number(&mut stays, settled, &mut numbers);
        }
        numbers
    };
    let ports = numbers(&|choice| choice.port, choices.ports.len());
    let cables = numbers(&|choice| choice.cable, choices.cables.len());
    let seat = |(device, choice): (usize, &Option<u32>)| {
        choice.map(|column| {
            let choice = model.taken(choices, device, column).clone();
            let group = &choices.ports[choice.port];
            Seat {
                port: PortId::new(group.charger, group.ports[ports[device]]),
                cable: CableId(model.listed_cable(choice.cable, cables[device])),
                choice,
                needs: model.column(column).needs,
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

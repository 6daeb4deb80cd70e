//! How many ways to sit one plan is made from: what is counted before they are listed,
//! and what is said where there are too many.

use super::ways::Meeting;
use super::{Choices, PortGroup, Ungrouped};
use crate::diagnostics::{Error, Fault, Result};
use crate::limits::{MOST_CHOICES, MOST_ENTRIES, MOST_JOINED};
use crate::plan::sessions::Sessions;
use crate::setup::contract::joins;
use crate::setup::ids::PortId;
use crate::setup::{CableSpec, ChargerSpec, Setup};
use crate::solve::budget::Budget;

impl Setup {
    /// Refuses at once what [`assign`](crate::assign()), or [`rota`](crate::rota()) where
    /// there are sessions, would refuse for its size, without planning anything.
    ///
    /// # Errors
    /// [`Error::Input`] where the devices have more ways to be plugged in, or to sit, than
    /// one plan is made from.
    pub fn check_ways(&self) -> Result<()> {
        let mut budget = Budget::of_steps(0);
        let sessions = Sessions::of(self);
        let tiers = |charger: &ChargerSpec| {
            let of_port = charger.ports.iter().map(|port| port.tiers_w.len());
            of_port.max().unwrap_or(0)
        };
        let tiers = self.chargers.iter().map(tiers).max().unwrap_or(0);
        let most = self.devices.len()
            * self
                .chargers
                .iter()
                .map(|charger| charger.ports.len())
                .sum::<usize>()
            * self.cables.len()
            * tiers;
        let pools = self
            .chargers
            .iter()
            .map(|charger| charger.pools.len())
            .max();
        // A berth that starts with a session lasts some of those from there on.
        let starts = most * sessions.len();
        let entries = starts * sessions.len() * pools.unwrap_or(0);
        if starts <= MOST_CHOICES && entries <= MOST_ENTRIES {
            return Ok(());
        }
        Choices::of(self, &mut budget)?;
        if !self.sessions.is_empty() {
            Choices::over(self, &sessions, &Ungrouped::default(), &mut budget)?;
        }
        Ok(())
    }
}

/// How many devices, kinds of ports and kinds of cables can be plugged together; devices
/// that a `count` made stand for one.
pub(super) fn joined(setup: &Setup, ports: &[PortGroup], meeting: &Meeting<'_>) -> usize {
    let devices = setup.devices.iter().enumerate();
    let open = devices.filter(|&(index, device)| device.needs_berth() && !meeting.is_twin(index));
    open.map(|(_, device)| {
        let cables: Vec<&CableSpec> = meeting.cables_of(device).map(|(_, cable)| cable).collect();
        let of_port = |group: &PortGroup| {
            let place = PortId::new(group.charger, group.ports[0]);
            if device.pinned_port.is_some_and(|pin| pin != place) {
                return 0;
            }
            let join = |cable: &&&CableSpec| joins(place, &setup[place], cable, device);
            cables.iter().filter(join).count()
        };
        ports.iter().map(of_port).sum::<usize>()
    })
    .sum()
}

pub(super) fn too_many_joined(joined: usize) -> Error {
    refused(format!(
        "devices, kinds of ports and kinds of cables can be plugged together in {joined} ways; at \
         most {MOST_JOINED} are accepted: fewer unlike ports or kinds of cable are needed"
    ))
}

pub(super) fn too_many(first: usize, ports: usize) -> Error {
    refused(format!(
        "on the first {first} of {ports} kinds of ports alone the devices have more than \
         {MOST_CHOICES} ways to sit (port, cable and contract): fewer unlike ports or kinds of \
         cable are needed"
    ))
}

pub(super) fn too_many_entries() -> Error {
    refused(format!(
        "the devices' ways to sit (port, cable and contract) take from pools in more than \
         {MOST_ENTRIES} places, counted pool by pool and session by session: fewer pools over the \
         same ports are needed"
    ))
}

fn refused(message: String) -> Error {
    Error::Input(vec![Fault {
        path: "devices".to_owned(),
        message,
        ..Fault::default()
    }])
}

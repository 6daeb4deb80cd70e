//! A bag: devices and cables, checked once, to be planned with many chargers.

use std::collections::HashSet;

use crate::assign::{Options, planned};
use crate::document::{Charger, SetupDocument};
use crate::error::Result;
use crate::limits::{CHARGERS, PORTS};
use crate::options::{Choices, Memory};
use crate::plan::Plan;
use crate::setup::{CableSpec, ChargerSpec, DeviceSpec, Setup};

/// Devices and cables without chargers, checked.
///
/// It remembers, within bounds (about 5 MB), what its devices can negotiate on the ports
/// it has met, so that an equal port on the next charger is not worked out again. No plan
/// depends on that.
#[derive(Debug)]
pub struct Bag {
    /// Without chargers.
    document: SetupDocument,
    cables: Vec<CableSpec>,
    devices: Vec<DeviceSpec>,
    /// Whether a device is pinned to a port, which only the chargers can resolve.
    pinned: bool,
    memory: Memory,
}

impl Bag {
    /// Of a document without chargers, and the setup that it is without pins onto ports.
    pub(crate) fn of(document: SetupDocument, resolved: Setup) -> Self {
        Self {
            pinned: document.devices.iter().any(|device| device.port.is_some()),
            document,
            cables: resolved.cables,
            devices: resolved.devices,
            memory: Memory::default(),
        }
    }

    /// The setup with these chargers.
    ///
    /// # Errors
    /// [`Error::Input`](crate::Error::Input) with every fault found, by path.
    pub fn with_chargers(&self, chargers: Vec<Charger>) -> Result<Setup> {
        let mut document = self.document.clone();
        document.chargers = chargers;
        document.check()
    }

    /// The setup with chargers that are checked already.
    pub(crate) fn with(&self, chargers: Vec<Charger>, specs: Vec<ChargerSpec>) -> Result<Setup> {
        let ports: usize = specs.iter().map(|charger| charger.ports.len()).sum();
        let mut names = HashSet::new();
        let plain = !self.pinned
            && !specs.is_empty()
            && CHARGERS.holds(specs.len())
            && PORTS.holds(ports)
            && specs.iter().all(|charger| names.insert(&charger.name));
        if !plain {
            return self.with_chargers(chargers);
        }
        let mut document = self.document.clone();
        document.chargers = chargers;
        Ok(Setup {
            document,
            chargers: specs,
            cables: self.cables.clone(),
            devices: self.devices.clone(),
        })
    }

    /// The best plan of a setup that was made from this bag, within limits that are in
    /// range.
    pub(crate) fn assign(&self, setup: &Setup, options: &Options) -> Result<Plan> {
        planned(setup, &Choices::known(setup, &self.memory)?, options)
    }

    /// By device, its priority.
    pub(crate) fn priority_of(&self, device: &str) -> Option<u8> {
        let found = self.devices.iter().find(|spec| spec.name == device)?;
        Some(found.priority)
    }
}

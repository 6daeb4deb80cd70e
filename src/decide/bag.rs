//! A bag: devices and cables, checked once, to be planned with many chargers.

mod plan;
mod reading;

use std::collections::HashSet;

use crate::assign::counts::{Counts, counts_within};
use crate::assign::options::{Choices, Listing, Memory};
use crate::assign::planned;
use crate::diagnostics::Result;
use crate::limits::{CHARGERS, PORTS};
use crate::plan::proof::document_digest;
use crate::plan::{Assumed, Plan};
use crate::setup::document::{Charger, SetupDocument};
use crate::setup::{ChargerSpec, Setup};
use crate::solve::budget::Budget;
use crate::solve::options::Wanted;

/// Devices and cables without chargers, checked: what [`rank`](crate::rank()) and
/// [`size`](crate::size()) look for chargers for.
///
/// It remembers, within bounds (about 5 MB), what its devices can negotiate on the ports
/// it has met, so that an equal port on the next charger is not worked out again. No plan
/// depends on that.
#[derive(Debug)]
pub struct Bag {
    /// Without chargers.
    document: SetupDocument,
    /// The same, and without pins onto ports.
    setup: Setup,
    /// Whether a device is pinned to a port, which only the chargers can resolve.
    pinned: bool,
    memory: Memory,
}

/// The same devices and cables; what is remembered of ports is gathered anew.
impl Clone for Bag {
    fn clone(&self) -> Self {
        Self {
            document: self.document.clone(),
            setup: self.setup.clone(),
            pinned: self.pinned,
            memory: Memory::default(),
        }
    }
}

/// What is remembered of ports makes no difference.
impl PartialEq for Bag {
    fn eq(&self, other: &Self) -> bool {
        self.setup == other.setup && self.document == other.document
    }
}

impl Bag {
    /// Of a document without chargers, and the setup that it is without pins onto ports.
    pub(crate) fn of(document: SetupDocument, setup: Setup) -> Self {
        Self {
            pinned: document.devices.iter().any(|device| device.port.is_some()),
            document,
            setup,
            memory: Memory::default(),
        }
    }

    /// What is assumed of its things where nobody said it.
    pub fn assumed(&self) -> Vec<Assumed> {
        self.setup.assumed()
    }

    /// That an answer about it is of one of its sessions, where it has any.
    pub(crate) fn sessions_unused(&self) -> Option<String> {
        crate::plan::cautions::sessions_unused(&self.setup)
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
        let plain = !specs.is_empty()
            && CHARGERS.holds(specs.len())
            && PORTS.holds(ports)
            && specs.iter().all(|charger| names.insert(&charger.name));
        if !plain {
            return self.with_chargers(chargers);
        }
        let mut setup = self.unpinned(chargers, specs);
        if self.pinned {
            setup.document.devices.clone_from(&self.document.devices);
            if !setup.pin_again() {
                return self.with_chargers(setup.document.chargers);
            }
        }
        Ok(setup)
    }

    /// The same without pins onto ports, of chargers whose names differ.
    pub(crate) fn unpinned(&self, chargers: Vec<Charger>, specs: Vec<ChargerSpec>) -> Setup {
        let mut setup = self.setup.clone();
        setup.document.chargers = chargers;
        setup.replace_chargers(specs);
        setup
    }

    /// Whether a device is pinned to a port.
    pub(crate) fn is_pinned(&self) -> bool {
        self.pinned
    }

    /// Every way to sit in a setup that was made from this bag.
    pub(crate) fn choices(&self, setup: &Setup, budget: &mut Budget) -> Result<Choices> {
        Choices::known(setup, Listing::among_many(self.memory_for(setup)), budget)
    }

    /// What is known of a setup that was made from this bag: ways to sit depend on the cable that
    /// a device is pinned to, and the lead of one port is none of another.
    fn memory_for(&self, setup: &Setup) -> Option<&Memory> {
        let mut both = setup.devices.iter().zip(&self.setup.devices);
        let alike = both.all(|(own, other)| own.pinned_cable == other.pinned_cable);
        alike.then_some(&self.memory)
    }

    /// The best plan of a setup that was made from this bag, within limits that are in
    /// range.
    pub(crate) fn assign(
        &self,
        setup: &Setup,
        wanted: Wanted,
        budget: &mut Budget,
    ) -> Result<Plan> {
        let choices = self.choices(setup, budget)?;
        Ok(planned(setup, &choices, wanted, budget)?.plan)
    }

    /// The least counts of a setup that was made from this bag, and whether they are proven.
    pub(crate) fn counts(&self, setup: &Setup, budget: &mut Budget) -> Result<(Counts, bool)> {
        counts_within(setup, Listing::among_many(self.memory_for(setup)), budget)
    }

    /// What answers about it call it by.
    pub(crate) fn digest(&self) -> String {
        document_digest(&self.document)
    }

    /// The document, without chargers.
    pub fn document(&self) -> &SetupDocument {
        &self.document
    }

    /// Its devices and cables as a setup without chargers and without pins onto ports.
    pub(crate) fn setup(&self) -> &Setup {
        &self.setup
    }
}

impl Setup {
    /// Its devices and cables.
    pub fn bag(&self) -> Bag {
        let mut setup = self.clone();
        setup.chargers.clear();
        setup.document.chargers.clear();
        let document = setup.document.clone();
        let named = setup.document.devices.iter_mut();
        named.for_each(|device| device.port = None);
        let resolved = setup.devices.iter_mut();
        resolved.for_each(|device| device.pinned_port = None);
        Bag::of(document, setup)
    }
}

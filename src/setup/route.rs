//! A route by itself: a setup with stops may have nothing to charge, or nothing to charge
//! with. Only `trip` answers such a one.

use super::Setup;
use super::document::SetupDocument;
use crate::diagnostics::{Error, Fault, Result};

impl SetupDocument {
    /// Whether it has stops, so that devices and chargers may be missing.
    pub(crate) fn is_route(&self) -> bool {
        self.trip
            .as_ref()
            .is_some_and(|trip| !trip.stops.is_empty())
    }
}

impl Setup {
    /// Refuses a route that lacks what a plan is made of.
    ///
    /// # Errors
    /// [`Error::Input`] where there are no devices, or no chargers.
    pub(crate) fn check_plannable(&self) -> Result<()> {
        let lists = [
            ("chargers", self.document.chargers.is_empty()),
            ("devices", self.document.devices.is_empty()),
        ];
        let faults: Vec<Fault> = lists
            .into_iter()
            .filter(|(_, empty)| *empty)
            .map(|(list, _)| Fault {
                path: list.to_owned(),
                message: format!(
                    "`{list}` is empty; a plan needs at least one (`trip` answers a route \
                     without)"
                ),
                ..Fault::default()
            })
            .collect();
        if faults.is_empty() {
            Ok(())
        } else {
            Err(Error::Input(faults))
        }
    }
}

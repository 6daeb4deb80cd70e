//! Faults as a document of their own.

use serde::{Deserialize, Serialize};

use super::document;
use crate::diagnostics::{Error, Fault};
use crate::setup::document::SetupDocument;

/// What is said of an input: its faults or, where it has none, how much is in it. Serialises
/// to the document that every command gives with `--json` where its input is refused.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[non_exhaustive]
pub struct Faults {
    /// The faults, by file and place.
    pub errors: Vec<Fault>,
    /// What a setup without a fault holds; of `check` alone.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub setup: Option<SetupCounts>,
}

document!(Faults, "document of faults", faults_schema);

/// How much a setup holds, counts expanded.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[non_exhaustive]
pub struct SetupCounts {
    /// Devices.
    pub devices: u64,
    /// Ports of all chargers.
    pub ports: usize,
    /// Chargers.
    pub chargers: usize,
    /// Cables.
    pub cables: u64,
    /// Stops of its route; left out where it has none.
    #[serde(default, skip_serializing_if = "is_none")]
    pub stops: usize,
}

impl SetupCounts {
    /// Those of a document.
    pub fn of(document: &SetupDocument) -> Self {
        Self {
            devices: document
                .devices
                .iter()
                .map(|device| u64::from(device.count.unwrap_or(1)))
                .sum(),
            ports: document
                .chargers
                .iter()
                .map(|charger| charger.ports.len())
                .sum(),
            chargers: document.chargers.len(),
            stops: document.trip.as_ref().map_or(0, |trip| trip.stops.len()),
            cables: document
                .cables
                .iter()
                .map(|cable| u64::from(cable.count.unwrap_or(1)))
                .sum(),
        }
    }
}

#[expect(
    clippy::trivially_copy_pass_by_ref,
    reason = "the signature is serde's"
)]
fn is_none(stops: &usize) -> bool {
    *stops == 0
}

impl From<&Error> for Faults {
    /// Those of an input; any other error as one fault without a place.
    fn from(error: &Error) -> Self {
        let errors = match error {
            Error::Input(faults) => faults.clone(),
            other => vec![Fault {
                message: other.to_string(),
                ..Fault::default()
            }],
        };
        Self {
            errors,
            setup: None,
        }
    }
}

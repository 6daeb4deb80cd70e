//! `wattberth check`: every fault of a setup at once.

use serde_json::json;

use super::input::SetupArgs;
use super::output::{self, Ended, Output};
use super::{Exit, faults};
use crate::{SetupDocument, report};

/// List every fault of a setup, or say that it is fine.
#[derive(Debug, clap::Args)]
pub(super) struct Args {
    #[command(flatten)]
    setup: SetupArgs,
    /// Print the faults as JSON.
    #[arg(long)]
    json: bool,
}

pub(super) fn run(args: &Args, out: &Output) -> Result<Exit, Ended> {
    let (texts, setup) = args.setup.read(out, args.json)?;
    let count = Count::of(setup.document());
    if args.json {
        output::data(&faults::none_json(json!({
            "devices": count.devices,
            "ports": count.ports,
            "chargers": count.chargers,
            "cables": count.cables,
        })))?;
    } else {
        let file = texts
            .first()
            .map_or_else(String::new, |text| report::printable(&text.file));
        out.text(|out| writeln!(out, "{file} is fine: {}", count.sentence()))?;
    }
    Ok(Exit::Done)
}

/// How much there is of each, counts expanded.
struct Count {
    devices: u64,
    ports: usize,
    chargers: usize,
    cables: u64,
}

impl Count {
    fn of(document: &SetupDocument) -> Self {
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
            cables: document
                .cables
                .iter()
                .map(|cable| u64::from(cable.count.unwrap_or(1)))
                .sum(),
        }
    }

    fn sentence(&self) -> String {
        let plural = |many: bool| if many { "s" } else { "" };
        format!(
            "{} device{}, {} port{} on {} charger{}, {} cable{}",
            self.devices,
            plural(self.devices != 1),
            self.ports,
            plural(self.ports != 1),
            self.chargers,
            plural(self.chargers != 1),
            self.cables,
            plural(self.cables != 1),
        )
    }
}

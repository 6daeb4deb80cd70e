//! `wattberth check`: every fault of a setup at once.

use serde::Deserialize;
use serde::de::IgnoredAny;
use serde_json::json;

use super::input::{self, SetupArgs, Text};
use super::output::{self, Ended, Output};
use super::{Exit, faults};
use crate::{Result, SetupDocument, report};

/// List every fault of a setup, or say that it is fine.
///
/// A setup without chargers is a bag, as `size` and `rank` take it: it is checked as one.
/// What `assign` or `rota` would refuse for its size is refused here, too.
#[derive(Debug, clap::Args)]
pub(super) struct Args {
    #[command(flatten)]
    setup: SetupArgs,
    /// Print the faults as JSON.
    #[arg(long)]
    json: bool,
}

pub(super) fn run(args: &Args, out: &Output) -> Result<Exit, Ended> {
    let texts =
        input::read_all(args.setup.paths()).map_err(|error| out.refuse(&error, &[], args.json))?;
    let count =
        count(&args.setup, &texts).map_err(|error| out.refuse(&error, &texts, args.json))?;
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
        let sentence = format!("{file} is fine{}", count.sentence());
        // The name of a file is never cut, so that it can be copied.
        let sentence = if sentence.chars().count() > 80 {
            sentence.replacen(": ", ":\n  ", 1)
        } else {
            sentence
        };
        out.text(|out| writeln!(out, "{sentence}"))?;
    }
    Ok(Exit::Done)
}

/// What a setup or a bag holds.
fn count(args: &SetupArgs, texts: &[Text]) -> Result<Count> {
    if let [text] = texts
        && is_bag(&text.text)
    {
        return input::bag(texts).map(|bag| Count::of(bag.document()));
    }
    let setup = args.setup_of(texts)?;
    setup.check_ways()?;
    Ok(Count::of(setup.document()))
}

/// Whether a text is an object without chargers, or a list that never speaks of one; a
/// route may have none.
fn is_bag(text: &str) -> bool {
    #[derive(Deserialize)]
    struct Chargers {
        #[serde(default)]
        chargers: Option<IgnoredAny>,
        #[serde(default)]
        trip: Option<IgnoredAny>,
    }
    let text = text.trim_start_matches('\u{feff}').trim_start();
    if !text.starts_with(['{', '[']) {
        let text = text.to_lowercase();
        return !(text.contains("charger") || text.contains("stop"));
    }
    serde_json::from_str::<Chargers>(text)
        .is_ok_and(|found| found.chargers.is_none() && found.trip.is_none())
}

/// How much there is of each, counts expanded.
struct Count {
    devices: u64,
    ports: usize,
    chargers: usize,
    cables: u64,
    stops: usize,
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
            stops: document.trip.as_ref().map_or(0, |trip| trip.stops.len()),
            cables: document
                .cables
                .iter()
                .map(|cable| u64::from(cable.count.unwrap_or(1)))
                .sum(),
        }
    }

    fn sentence(&self) -> String {
        let plural = |many: bool| if many { "s" } else { "" };
        if self.stops > 0 && (self.chargers == 0 || self.devices == 0) {
            return format!(
                " as a route for `trip`: {} stop{}",
                self.stops,
                plural(self.stops != 1)
            );
        }
        if self.chargers == 0 {
            return format!(
                " as a bag: {} device{}, {} cable{}, no charger",
                self.devices,
                plural(self.devices != 1),
                self.cables,
                plural(self.cables != 1),
            );
        }
        format!(
            ": {} device{}, {} port{} on {} charger{}, {} cable{}",
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

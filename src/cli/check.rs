//! `wattberth check`: every fault of a setup at once.

use serde::Deserialize;
use serde::de::IgnoredAny;

use super::Exit;
use super::input::{self, SetupArgs, Text};
use super::output::{self, Ended, Output};
use crate::{Faults, Result, SetupCounts, report};

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
        let found = Faults {
            setup: Some(count),
            ..Faults::default()
        };
        output::data(&found.to_json())?;
    } else {
        let file = texts
            .first()
            .map_or_else(String::new, |text| report::printable(&text.file));
        let sentence = format!("{file} is fine{}", sentence(&count));
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
fn count(args: &SetupArgs, texts: &[Text]) -> Result<SetupCounts> {
    if let [text] = texts
        && is_bag(text)
    {
        return input::bag(texts).map(|bag| SetupCounts::of(bag.document()));
    }
    let setup = args.setup_of(texts)?;
    setup.check_ways()?;
    Ok(SetupCounts::of(setup.document()))
}

/// Whether a text is an object without chargers, or a list that never speaks of one; a
/// route may have none.
fn is_bag(text: &Text) -> bool {
    #[derive(Deserialize)]
    struct Chargers {
        #[serde(default)]
        chargers: Option<IgnoredAny>,
        #[serde(default)]
        trip: Option<IgnoredAny>,
    }
    let text = text.source().plain_json();
    let text = text.trim_start_matches('\u{feff}').trim_start();
    if !text.starts_with(['{', '[']) {
        let text = text.to_lowercase();
        return !(text.contains("charger") || text.contains("stop"));
    }
    serde_json::from_str::<Chargers>(text)
        .is_ok_and(|found| found.chargers.is_none() && found.trip.is_none())
}

/// What is said of a setup without a fault.
fn sentence(count: &SetupCounts) -> String {
    let plural = |many: bool| if many { "s" } else { "" };
    if count.stops > 0 && (count.chargers == 0 || count.devices == 0) {
        return format!(
            " as a route for `trip`: {} stop{}",
            count.stops,
            plural(count.stops != 1)
        );
    }
    if count.chargers == 0 {
        return format!(
            " as a bag: {} device{}, {} cable{}, no charger",
            count.devices,
            plural(count.devices != 1),
            count.cables,
            plural(count.cables != 1),
        );
    }
    format!(
        ": {} device{}, {} port{} on {} charger{}, {} cable{}",
        count.devices,
        plural(count.devices != 1),
        count.ports,
        plural(count.ports != 1),
        count.chargers,
        plural(count.chargers != 1),
        count.cables,
        plural(count.cables != 1),
    )
}

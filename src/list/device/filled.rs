//! What a device's line comes to: its kind, and what is filled in where nobody said it.

use std::ops::Range;

use super::Said;
use crate::diagnostics::{Path, near, shown};
use crate::facts::Kind;
use crate::limits::ACCEPT_V;
use crate::list::charger::is_port;
use crate::list::line::Line;
use crate::list::{Reading, made_plain};
use crate::setup::document::{Device, Span};
use crate::usb::LabelVolts;
use crate::usb::label::{self, Held};

/// The least that any USB port gives before anything is negotiated: 5 V at 500 mA
/// (USB 2.0, 7.2.1: a high-power function may draw five unit loads of 100 mA).
const ANY_PORT_W: f64 = 2.5;

/// The kind of exactly this name, in the singular or the plural.
pub(super) fn kind_of(text: &str) -> Option<&'static Kind> {
    let singular = text.strip_suffix('s').unwrap_or(text);
    Kind::named(text).or_else(|| Kind::named(singular))
}

/// The kind whose words stand in a name, the longest; and whether they stand there in the
/// plural.
pub(in crate::list) fn kind_in(name: &str) -> Option<(&'static Kind, bool)> {
    let words: Vec<String> = made_plain(name)
        .split_whitespace()
        .map(str::to_owned)
        .collect();
    let mut best: Option<(usize, &'static Kind, bool)> = None;
    for kind in Kind::all() {
        for wanted in std::iter::once(&kind.name).chain(kind.other_names) {
            let wanted = made_plain(wanted);
            let wanted: Vec<&str> = wanted.split(' ').collect();
            let joined = wanted.concat();
            if wanted.len() > 1
                && words
                    .iter()
                    .any(|word| word.trim_end_matches('s') == joined)
            {
                best = Some((joined.len(), kind, false));
            }
            for window in words.windows(wanted.len()) {
                let same = window.iter().zip(&wanted).all(|(a, b)| a == b);
                let last = window.len() - 1;
                let plural = window[last].strip_suffix('s') == Some(wanted[last])
                    && window[..last].iter().zip(&wanted).all(|(a, b)| a == b);
                let length = wanted.iter().map(|word| word.len()).sum();
                if (same || plural) && best.is_none_or(|(most, ..)| length > most) {
                    best = Some((length, kind, plural));
                }
            }
        }
    }
    best.map(|(_, kind, plural)| (kind, plural))
}

/// Why a name is none of a thing that is charged, if it is not.
fn no_device(name: &str) -> Option<&'static str> {
    const NOT_CHARGED: [&str; 9] = [
        "bag", "mouse", "case", "stand", "supply", "sleeve", "holder", "cover", "strap",
    ];
    const OTHER_THINGS: [&str; 3] = ["cable", "charger", "adapter"];
    let plain = made_plain(name);
    let last = plain.split_whitespace().last().unwrap_or_default();
    if is_port(name.split_whitespace().next().unwrap_or_default()) {
        return Some(
            "this looks like a port: it belongs to the line of its charger, or to one right below that",
        );
    }
    let like = |word: &str| {
        matches!(word, "kabel" | "câble" | "wire") || near(word, OTHER_THINGS).is_some()
    };
    if kind_in(name).is_none() && plain.split_whitespace().any(like) {
        return Some("is this a cable, a charger or an adapter? Its line has that word in it");
    }
    if plain.contains(' ') && NOT_CHARGED.contains(&last) && kind_in(name).is_some() {
        return Some(
            "is this charged? A thing of its own kind says it in brackets: `mouse (earbuds)`",
        );
    }
    None
}

/// What the line comes to.
pub(super) fn finish(
    line: &mut Line<'_>,
    mut said: Said,
    whole: &Range<usize>,
    into: &mut Reading,
) {
    let Some((mut name, name_span)) = said.name.take() else {
        if line.faults.is_empty() {
            line.fault(
                whole.clone(),
                "what is it? a device's line has its name: `laptop 65 W`",
            );
        }
        return;
    };
    let bare = said.places.is_empty()
        && said.device.count.is_none()
        && line.all[..whole.end].ends_with(':');
    if bare && kind_in(&name).is_none() {
        let message =
            "what is this a heading of? `chargers:`, `cables:`, `devices:`, `adapters:`, `stops:`";
        line.fault(name_span.clone(), message);
    }
    if let Some(message) = no_device(&name) {
        line.fault(name_span.clone(), message);
    }
    // Both are printed on most power banks; the watt-hours are the better number.
    if said.device.battery_wh.is_some() {
        said.device.battery_mah = None;
    }
    let found = kind_in(&name);
    if let Some((_, true)) = found
        && said.device.count.is_some()
        && let Some(singular) = name.strip_suffix('s')
    {
        name = singular.to_owned();
    }
    let kind = said.kind.or(found.map(|(kind, _)| kind));
    if let Some(volts) = said.no_wh_but_v {
        if said.device.battery_mah.is_some() {
            said.device.battery_v = Some(volts);
        } else {
            let message = "volts alone say nothing: write the amps, too (`5 V 2 A`), or the watts";
            line.fault(name_span.end..line.end(), message);
        }
    }
    let path = Path::default()
        .field("devices")
        .index(into.document.devices.len());
    let guesses = guessed(&mut said, kind, &name, line, &name_span);
    if !line.faults.is_empty() {
        return;
    }
    let Said {
        mut device,
        places,
        by,
        ..
    } = said;
    device.kind = kind.map(|kind| kind.name.to_owned());
    device.count = device.count.filter(|&count| count > 1);
    device.name.clone_from(&name);
    into.places.put(path.clone(), whole.clone(), false);
    into.places
        .put(path.field("name"), name_span.clone(), false);
    for (field, span, verbatim) in places {
        into.places.put(path.field(field), span, verbatim);
    }
    into.guess(&path, &name, guesses);
    if let Some((minutes, span)) = by {
        into.places.put(path.field("ready_by_h"), span, false);
        into.ready_by.push((into.document.devices.len(), minutes));
    }
    into.document.devices.push(device);
}

/// Puts in what nobody said and no kind stands in for, and tells what.
fn guessed(
    said: &mut Said,
    kind: Option<&'static Kind>,
    name: &str,
    line: &mut Line<'_>,
    span: &Range<usize>,
) -> Vec<String> {
    let mut guesses = Vec::new();
    let device = &mut said.device;
    let no_battery = device.battery_wh.is_none() && device.battery_mah.is_none();
    let no_watts = device.pd_w.is_none() && device.accepts.is_none();
    if kind.is_some() || !(no_battery || no_watts) {
        return guesses;
    }
    if no_battery && no_watts {
        let words: Vec<String> = made_plain(name)
            .split_whitespace()
            .map(str::to_owned)
            .collect();
        let meant = words
            .iter()
            .rev()
            .find_map(|word| near(word, Kind::names()))
            .or_else(|| near(&made_plain(name), Kind::names()));
        if let Some(meant) = meant {
            let message = format!(
                "nothing is known of `{}`: write its watts, or what kind of thing it is in brackets",
                shown(name)
            );
            line.faults.push((span.clone(), message, Some(meant)));
            return guesses;
        }
    }
    if no_watts {
        device.pd_w = Some(ANY_PORT_W);
        guesses.push(format!("{ANY_PORT_W} W assumed, what any USB port gives"));
    }
    if no_battery {
        let watts = device
            .pd_w
            .or_else(|| most_accepted(device))
            .unwrap_or(ANY_PORT_W);
        let of = |hours: f64| (watts * hours * 10.0).round() / 10.0;
        let (low, high) = hours_of_all_kinds();
        let (low, high) = (of(low).max(0.1), of(high).max(0.2));
        device.battery_wh = Some(Span::Between(low, high));
        guesses.push(format!(
            "{low} to {high} Wh assumed, as things of so many watts have"
        ));
    }
    guesses
}

/// The most watts of what a device accepts.
fn most_accepted(device: &Device) -> Option<f64> {
    let held = Held {
        volts: &ACCEPT_V,
        usb: false,
        pd_w: false,
    };
    let entries = label::parse(&device.accepts.as_ref()?.0, held).ok()?;
    let watts = entries.iter().map(|entry| match entry.volts {
        LabelVolts::Single(volts) | LabelVolts::Range { high_v: volts, .. } => volts * entry.amps,
    });
    watts.reduce(f64::max)
}

/// The least and the most hours for which things of all kinds could run on their battery
/// at the watts that they charge with.
fn hours_of_all_kinds() -> (f64, f64) {
    let low = Kind::all().iter().map(|kind| kind.low_wh / kind.typical_w);
    let high = Kind::all().iter().map(|kind| kind.high_wh / kind.typical_w);
    (low.fold(f64::INFINITY, f64::min), high.fold(0.0, f64::max))
}

//! A setup as a list, with what was filled in as a remark: it reads back to the same.

use std::fmt::Write as _;

use super::charger::is_port;
use super::device::kind_in;
use super::{Guess, List, Of, add_cables, cable, is_list, read, tell_apart};
use crate::diagnostics::{Findings, Path};
use crate::setup::document::{
    Adapter, Aim, Appliance, Cable, Charger, Combination, Converter, Device, Label, Pool,
    PoolPorts, Port, SetupDocument, Shop, Span, Stop,
};
use crate::setup::{AssumedValue, Setup, check};

impl Setup {
    /// The setup as a list, one thing on a line, as it is read from lists; what nobody said
    /// stands behind a `#`. `None` where it says what no list can, as a charging curve, or a
    /// name of a port that would be read as something else.
    pub fn to_list(&self) -> Option<String> {
        let mut remarks: Vec<Guess> = self.guesses.clone();
        let mut expanded = self.devices.iter();
        for (index, device) in self.document.devices.iter().enumerate() {
            let count = usize::try_from(device.count.unwrap_or(1)).unwrap_or(1);
            let Some(first) = expanded.by_ref().take(count).last() else {
                continue;
            };
            for one in &first.assumed {
                let text = match one.value {
                    AssumedValue::Connector("usb-c") => continue,
                    AssumedValue::Connector(connector) => format!("{connector} assumed"),
                    AssumedValue::Number(number) => format!("{number} {} assumed", unit(one.field)),
                    AssumedValue::Between(usual, low, high) => {
                        format!("{usual} {} assumed, {low} to {high} usual", unit(one.field))
                    }
                };
                let path = Path::default().field("devices").index(index);
                remarks.push(Guess {
                    path,
                    of: String::new(),
                    text,
                });
            }
        }
        written(&self.document, &remarks).filter(|list| self.is_read_from(list))
    }

    /// Whether a list is read as this setup. What a document says is written as it stands
    /// there, and only a reader can tell what else that could mean on a line.
    fn is_read_from(&self, list: &str) -> bool {
        if !is_list(list) {
            return false;
        }
        let mut findings = Findings::new();
        let List {
            mut document,
            mut guesses,
            ..
        } = read(list, &mut findings);
        tell_apart(&mut document, &mut guesses);
        if findings.is_empty() {
            add_cables(&mut document, &mut guesses);
        }
        let again = check(document, &mut findings);
        findings.is_empty() && again.is_some_and(|again| again.document == self.document)
    }
}

fn unit(field: &str) -> &'static str {
    match field {
        "battery_wh" => "Wh",
        "battery_v" => "V",
        "min_w" => "W at least",
        _ => "W",
    }
}

/// A list being written.
struct Lines<'g> {
    text: String,
    guesses: &'g [Guess],
}

impl Lines<'_> {
    /// One line, with what was filled in of what is at `path` or below it.
    fn line(&mut self, line: &str, path: &Path) {
        self.text += line;
        let of = self
            .guesses
            .iter()
            .filter(|guess| guess.path.0.starts_with(&path.0) && !path.0.is_empty());
        let texts: Vec<&str> = of.map(|guess| guess.text.as_str()).collect();
        if !texts.is_empty() {
            let _ = write!(self.text, "  # {}", texts.join("; "));
        }
        self.text.push('\n');
    }
}

/// A document as a list; `None` where it says what no list can.
pub(crate) fn written(document: &SetupDocument, guesses: &[Guess]) -> Option<String> {
    let mut lines = Lines {
        text: String::new(),
        guesses,
    };
    let top = Path::default();
    let known = SetupDocument {
        version: document.version,
        name: document.name.clone(),
        session_h: document.session_h,
        aim: document.aim,
        start: document.start.clone(),
        sessions: document.sessions.clone(),
        chargers: document.chargers.clone(),
        cables: document.cables.clone(),
        devices: document.devices.clone(),
        trip: document.trip.clone(),
        nights: document.nights,
        shop: document.shop.clone(),
        ..SetupDocument::default()
    };
    if known != *document {
        return None;
    }
    if let Some(name) = &document.name {
        lines.line(&format!("name: {}", plain(name)?), &top);
    }
    if let Some(aim) = document.aim {
        lines.line(
            if aim == Aim::Best {
                "aim best"
            } else {
                "aim promise"
            },
            &top,
        );
    }
    match (&document.start, document.session_h) {
        (Some(start), Some(hours)) => {
            lines.line(&format!("night {start}, {hours} h"), &top.field("start"));
        }
        (Some(start), None) => lines.line(&format!("start {start}"), &top.field("start")),
        (None, Some(hours)) => lines.line(&format!("night {hours} h"), &top.field("session_h")),
        (None, None) => {}
    }
    if let Some(nights) = document.nights {
        lines.line(&format!("nights {nights}"), &top.field("nights"));
    }
    for session in &document.sessions {
        let swap = if session.swap == Some(false) {
            ", no swap"
        } else {
            ""
        };
        lines.line(
            &format!(
                "session {}: {} h{swap}",
                name(&session.name)?,
                session.hours
            ),
            &top,
        );
    }
    for (index, charger) in document.chargers.iter().enumerate() {
        lines.line(&charger_line(charger)?, &top.field("chargers").index(index));
    }
    for (index, cable) in document.cables.iter().enumerate() {
        lines.line(&cable_line(cable)?, &top.field("cables").index(index));
    }
    for (index, device) in document.devices.iter().enumerate() {
        lines.line(&device_line(device)?, &top.field("devices").index(index));
    }
    if let Some(trip) = &document.trip {
        if !trip.batteries.is_empty() {
            return None;
        }
        let path = |field: &str, index| top.field("trip").field(field).index(index);
        if let Some(people) = trip.travellers {
            lines.line(&format!("travellers {people}"), &top);
        }
        for (index, stop) in trip.stops.iter().enumerate() {
            lines.line(&stop_line(stop)?, &path("stops", index));
        }
        for (index, adapter) in trip.adapters.iter().enumerate() {
            lines.line(&adapter_line(adapter)?, &path("adapters", index));
        }
        for (index, converter) in trip.converters.iter().enumerate() {
            lines.line(&converter_line(converter)?, &path("converters", index));
        }
        for (index, plug) in trip.plugs.iter().enumerate() {
            lines.line(&format!("plug {plug}"), &path("plugs", index));
        }
        for (index, appliance) in trip.appliances.iter().enumerate() {
            lines.line(&appliance_line(appliance)?, &path("appliances", index));
        }
    }
    if let Some(shop) = &document.shop {
        shop_lines(shop, &mut lines)?;
    }
    Some(lines.text)
}

/// What is for sale, under its heading, which nothing else may follow.
fn shop_lines(shop: &Shop, lines: &mut Lines<'_>) -> Option<()> {
    lines.line("\nshop", &Path::default());
    let path = |field: &str, index| Path::default().field("shop").field(field).index(index);
    for (index, charger) in shop.chargers.iter().enumerate() {
        lines.line(&charger_line(charger)?, &path("chargers", index));
    }
    for (index, cable) in shop.cables.iter().enumerate() {
        lines.line(&cable_line(cable)?, &path("cables", index));
    }
    for (index, adapter) in shop.adapters.iter().enumerate() {
        lines.line(&adapter_line(adapter)?, &path("adapters", index));
    }
    for (index, converter) in shop.converters.iter().enumerate() {
        lines.line(&converter_line(converter)?, &path("converters", index));
    }
    Some(())
}

/// A text that stands on a line as it is.
fn plain(text: &str) -> Option<&str> {
    (!text.contains(['#', '\n', '"', '\r']) && text.trim() == text).then_some(text)
}

/// Words that say something wherever they stand.
const SAYS: [&str; 5] = ["plug", "once", "weekly", "nightly", "fortnightly"];

/// A name, in quotes where it could be read as something else.
fn name(name: &str) -> Option<String> {
    let harmless = |c: char| c.is_alphanumeric() || matches!(c, ' ' | '\'' | '-' | '_' | '.');
    let begins = name.chars().next().is_some_and(char::is_alphabetic);
    let says = name
        .to_lowercase()
        .split_whitespace()
        .any(|word| Of::of_word(word).is_some() || SAYS.contains(&word));
    let heads = matches!(name.to_lowercase().as_str(), "shop" | "bag" | "for sale");
    if begins && !heads && name.chars().all(harmless) && !says && plain(name).is_some() {
        Some(name.to_owned())
    } else {
        plain(name).map(|name| format!("\"{name}\""))
    }
}

fn joined(parts: &[String]) -> String {
    parts.join(", ")
}

/// What is there of an amount, with its unit.
fn amount(value: Option<f64>, unit: &str) -> Option<String> {
    value.map(|value| format!("{value} {unit}"))
}

fn priced(price: Option<f64>) -> Option<String> {
    price.map(|price| format!("price {price}"))
}

fn charger_line(charger: &Charger) -> Option<String> {
    let known = Charger {
        name: charger.name.clone(),
        ports: charger.ports.clone(),
        max_w: charger.max_w,
        pools: charger.pools.clone(),
        combinations: charger.combinations.clone(),
        weight_g: charger.weight_g,
        price: charger.price,
        plug: charger.plug.clone(),
        input_v: charger.input_v.clone(),
        input_hz: charger.input_hz.clone(),
        count: charger.count,
        ..Charger::default()
    };
    if known != *charger {
        return None;
    }
    let mut parts = label_parts(
        &charger.ports,
        &charger.combinations,
        &charger.pools,
        charger.max_w,
    )?;
    parts.extend(amount(charger.weight_g, "g"));
    parts.extend(priced(charger.price));
    parts.extend(charger.count.map(|count| format!("x{count}")));
    parts.extend(charger.plug.as_ref().map(|plug| format!("plug {plug}")));
    parts.extend(charger.input_v.clone());
    parts.extend(charger.input_hz.clone());
    Some(format!(
        "charger {}: {}",
        name(&charger.name)?,
        parts.join("; ")
    ))
}

/// What a label says of ports, part by part.
fn label_parts(
    ports: &[Port],
    combinations: &[Combination],
    pools: &[Pool],
    max_w: Option<f64>,
) -> Option<Vec<String>> {
    let mut parts = Vec::new();
    for port in ports {
        let is_a = port.connector.as_deref() == Some("usb-a");
        if port.lead.is_some() || !(is_a || port.connector.is_none()) {
            return None;
        }
        parts.push(match (&port.offers, port.pd_w, port.max_w) {
            (Some(Label(lines)), None, None) => format!("{}: {}", port.name, lines.join(", ")),
            (Some(Label(lines)), None, Some(watts)) => {
                format!("{} ({watts} W): {}", port.name, lines.join(", "))
            }
            (None, Some(watts), None) => format!("{} {watts} W", port.name),
            _ => return None,
        });
    }
    for line in combinations {
        let names: Vec<&str> = line.0.iter().map(|(port, _)| port.as_str()).collect();
        let watts: Vec<String> = line
            .0
            .iter()
            .map(|(_, watts)| format!("{watts} W"))
            .collect();
        parts.push(format!("{}: {}", names.join("+"), watts.join(" + ")));
    }
    for pool in pools {
        let PoolPorts::Named(names) = &pool.ports else {
            return None;
        };
        parts.push(format!("{}: {} W max", names.join("+"), pool.max_w));
    }
    parts.extend(max_w.map(|watts| format!("total {watts} W")));
    Some(parts)
}

fn end(connector: Option<&str>) -> String {
    match connector.unwrap_or("usb-c") {
        "usb-c" => "C".to_owned(),
        "usb-a" => "A".to_owned(),
        "usb-micro-b" => "micro".to_owned(),
        "usb-mini-b" => "mini".to_owned(),
        other => other.to_owned(),
    }
}

fn cable_line(cable: &Cable) -> Option<String> {
    let mut line = "cable ".to_owned();
    if cable.name != cable::called(cable) {
        let _ = write!(line, "{}: ", name(&cable.name)?);
    }
    let mut parts = vec![format!(
        "{} to {}",
        end(cable.from.as_deref()),
        end(cable.to.as_deref())
    )];
    for (value, unit) in [
        (cable.watts, "W"),
        (cable.max_a, "A"),
        (cable.max_v, "V"),
        (cable.length_m, "m"),
        (cable.awg, "AWG"),
        (cable.ohm, "ohm"),
        (cable.weight_g, "g"),
    ] {
        parts.extend(amount(value, unit));
    }
    if cable.e_marked == Some(true) {
        parts.push("e-marked".to_owned());
    }
    parts.extend(priced(cable.price));
    parts.extend(cable.count.map(|count| format!("x{count}")));
    line += &joined(&parts);
    Some(line)
}

fn device_line(device: &Device) -> Option<String> {
    let known = Device {
        name: device.name.clone(),
        count: device.count,
        kind: device.kind.clone(),
        inlet: device.inlet.clone(),
        accepts: device.accepts.clone(),
        pd_w: device.pd_w,
        min_w: device.min_w,
        battery_wh: device.battery_wh,
        battery_mah: device.battery_mah,
        battery_v: device.battery_v,
        start_pct: device.start_pct,
        target_pct: device.target_pct,
        running_w: device.running_w,
        ready_by_h: device.ready_by_h,
        priority: device.priority,
        reach_m: device.reach_m,
        port: device.port.clone(),
        every_nights: device.every_nights,
        ..Device::default()
    };
    if known != *device {
        return None;
    }
    let span = |span: Option<Span>| match span? {
        Span::Of(value) => Some(format!("{value}")),
        Span::Between(low, high) => Some(format!("{low} to {high}")),
    };
    let mut parts = Vec::new();
    let kind = kind_in(&device.name).map(|(kind, _)| kind.name);
    if device.kind.as_deref() != kind {
        parts.push(format!("({})", device.kind.as_deref()?));
    }
    parts.extend(device.count.map(|count| format!("x{count}")));
    parts.extend(device.inlet.clone());
    parts.extend(amount(device.pd_w, "W"));
    parts.extend(device.accepts.as_ref().map(|Label(lines)| lines.join(", ")));
    parts.extend(device.min_w.map(|watts| format!("at least {watts} W")));
    parts.extend(span(device.battery_wh).map(|wh| format!("{wh} Wh")));
    parts.extend(amount(device.battery_mah, "mAh"));
    parts.extend(amount(device.battery_v, "V"));
    parts.extend(span(device.start_pct).map(|pct| format!("{pct} % left")));
    parts.extend(device.target_pct.map(|pct| format!("to {pct} %")));
    parts.extend(device.running_w.map(|watts| format!("uses {watts} W")));
    parts.extend(device.ready_by_h.map(|hours| format!("within {hours} h")));
    parts.extend(
        device
            .priority
            .map(|priority| format!("priority {priority}")),
    );
    parts.extend(device.every_nights.map(|nights| match nights {
        1 => "every night".to_owned(),
        more => format!("every {more} nights"),
    }));
    parts.extend(device.reach_m.map(|metres| format!("{metres} m away")));
    parts.extend(device.port.as_ref().map(|port| format!("on {port}")));
    let name = name(&device.name)?;
    Some(
        if parts.is_empty() && name.contains(|c: char| c.is_ascii_digit()) {
            format!("{name}:")
        } else if parts.is_empty() {
            name
        } else {
            format!("{name}: {}", joined(&parts))
        },
    )
}

fn stop_line(stop: &Stop) -> Option<String> {
    let mut parts = vec![stop.country.clone()];
    parts.extend(
        stop.nights
            .map(|nights| format!("{nights} night{}", if nights == 1 { "" } else { "s" })),
    );
    parts.extend(
        stop.outlets
            .map(|outlets| format!("{outlets} outlet{}", if outlets == 1 { "" } else { "s" })),
    );
    parts.extend(amount(stop.session_h, "h"));
    parts.extend(
        stop.voltages_v
            .iter()
            .flatten()
            .map(|volts| format!("{volts} V")),
    );
    parts.extend(
        stop.frequencies_hz
            .iter()
            .flatten()
            .map(|hertz| format!("{hertz} Hz")),
    );
    parts.extend(
        stop.sockets
            .as_ref()
            .map(|sockets| format!("sockets {}", sockets.join(", "))),
    );
    Some(format!("stop {}: {}", name(&stop.name)?, joined(&parts)))
}

fn adapter_line(adapter: &Adapter) -> Option<String> {
    let read = |port: &Port| is_port(&port.name) || matches!(port.name.as_str(), "C" | "A");
    if !adapter.ports.iter().all(read) {
        return None;
    }
    if adapter.ports.is_empty()
        && (adapter.max_w.is_some() || adapter.input_v.is_some() || adapter.input_hz.is_some())
    {
        return None;
    }
    let mut parts = Vec::new();
    if !adapter.takes.is_empty() {
        parts.push(format!("takes {}", adapter.takes.join(", ")));
    }
    parts.push(format!("makes {}", adapter.makes.join(", ")));
    parts.extend(label_parts(
        &adapter.ports,
        &adapter.combinations,
        &adapter.pools,
        adapter.max_w,
    )?);
    parts.extend(adapter.input_v.clone());
    parts.extend(adapter.input_hz.clone());
    parts.extend(amount(adapter.max_a, "A"));
    parts.extend(adapter.fuse_a.map(|amps| format!("fuse {amps} A")));
    parts.extend(amount(adapter.weight_g, "g"));
    parts.extend(priced(adapter.price));
    if adapter.earthed == Some(true) {
        parts.push("earthed".to_owned());
    }
    parts.extend(adapter.count.map(|count| format!("x{count}")));
    Some(format!(
        "adapter {}: {}",
        name(&adapter.name)?,
        parts.join("; ")
    ))
}

fn converter_line(converter: &Converter) -> Option<String> {
    let mut parts = vec![
        format!("{} to {} V", converter.from_v, converter.to_v),
        format!("{} W", converter.max_w),
    ];
    parts.extend(converter.kinds.iter().map(|kind| kind.word().to_owned()));
    parts.push(format!("plug {}", converter.plug));
    parts.push(format!("takes {}", converter.takes.join(", ")));
    if converter.earthed == Some(true) {
        parts.push("earthed".to_owned());
    }
    parts.extend(amount(converter.weight_g, "g"));
    parts.extend(priced(converter.price));
    Some(format!(
        "converter {}: {}",
        name(&converter.name)?,
        parts.join("; ")
    ))
}

fn appliance_line(appliance: &Appliance) -> Option<String> {
    let mut parts = vec![format!("{} W", appliance.max_w), appliance.input_v.clone()];
    parts.extend(appliance.input_hz.clone());
    parts.push(format!("plug {}", appliance.plug));
    parts.push(appliance.kind.word().to_owned());
    if appliance.needs_earth == Some(true) {
        parts.push("needs earth".to_owned());
    }
    Some(format!(
        "appliance {}: {}",
        name(&appliance.name)?,
        parts.join("; ")
    ))
}

#[cfg(test)]
mod tests {
    use crate::Setup;

    #[test]
    fn what_would_be_read_as_something_else_is_no_list() {
        let written = |port: &str, device: &str| {
            let document = format!(
                r#"{{"chargers": [{{"name": "desk", "ports": [{{"name": "{port}", "pd_w": 30}}]}}],
                    "cables": [{{"name": "braided"}}], "devices": [{device}]}}"#
            );
            let setup = Setup::from_json(&document).expect("it is valid");
            let list = setup.to_list()?;
            let again = Setup::from_text(&list).unwrap_or_else(|error| panic!("{error}\n{list}"));
            assert_eq!(again.document(), setup.document(), "{list}");
            Some(list)
        };
        let viola = r#"{"name": "viola", "pd_w": 20, "battery_wh": 20}"#;
        assert!(written("C1", viola).is_some());
        assert_eq!(written("C1; total 30 W", viola), None);
        let round = viola.replace("\"pd_w\"", "\"inlet\": \"other:5 mm, x3\", \"pd_w\"");
        assert_eq!(written("C1", &round), None);
    }
}

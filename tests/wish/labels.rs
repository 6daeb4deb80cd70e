//! Which set of changes one is, whatever the names of things that are alike.

use std::collections::{BTreeMap, BTreeSet};

use serde_json::{Value, json};
use wattberth::Change;

use super::asked::Asked;

/// Which change it is, however much of it is made; things that are alike are one.
fn label(change: &Change, asked: &Asked) -> String {
    let mut named = serde_json::to_value(change).expect("JSON");
    let document = serde_json::to_value(&asked.document).expect("JSON");
    let fields = named.as_object_mut().expect("an object");
    for field in ["to_w", "to", "earlier_h", "names"] {
        fields.remove(field);
    }
    match change {
        Change::DeviceLess { name } => {
            let devices = document["devices"].as_array().expect("devices");
            let mut own = devices
                .iter()
                .find(|of| of["name"] == **name)
                .expect("it")
                .clone();
            own["name"] = json!(
                asked
                    .now
                    .get(name)
                    .map(|&(time, late)| time.is_some() && !late)
            );
            format!("less {own}")
        }
        Change::CableAdded { .. } => "cable".to_owned(),
        Change::PortAdded { charger, .. } => format!("port added to {charger}"),
        Change::Port { charger, name, .. } => {
            let chargers = document["chargers"].as_array().expect("chargers");
            let own = chargers
                .iter()
                .find(|of| of["name"] == **charger)
                .expect("it");
            // Where the two names can change places everywhere, the ports are alike.
            let text = document.to_string();
            let ports = own["ports"].as_array().expect("ports");
            let other = ports.iter().map(|of| of["name"].as_str().expect("a name"));
            let alike = other.filter(|other| swapped(&text, name, other, charger) == document);
            let first = alike.min().unwrap_or(name.as_str());
            format!("port of {charger} raised: {first}")
        }
        _ => named.to_string(),
    }
}

/// The document where two ports of a charger have changed places, by name.
fn swapped(text: &str, one: &str, other: &str, charger: &str) -> Value {
    let mut document: Value = serde_json::from_str(text).expect("JSON");
    for device in document["devices"].as_array_mut().expect("devices") {
        if device.get("port").is_some() {
            device["port"] = json!("pinned somewhere");
        }
    }
    let chargers = document["chargers"].as_array_mut().expect("chargers");
    let own = chargers
        .iter_mut()
        .find(|of| of["name"] == *charger)
        .expect("it");
    let other_name = |name: &str| match name {
        name if name == one => other.to_owned(),
        name if name == other => one.to_owned(),
        name => name.to_owned(),
    };
    let by_name = |list: &mut Vec<Value>| list.sort_by_key(|of| of["name"].to_string());
    let ports = own["ports"].as_array_mut().expect("ports");
    let order: Vec<Value> = ports.iter().map(|of| of["name"].clone()).collect();
    for port in ports.iter_mut() {
        port["name"] = json!(other_name(port["name"].as_str().expect("a name")));
    }
    by_name(ports);
    ports.sort_by_key(|of| order.iter().position(|name| *name == of["name"]));
    for pool in own
        .get_mut("pools")
        .and_then(Value::as_array_mut)
        .into_iter()
        .flatten()
    {
        if let Some(names) = pool["ports"].as_array_mut() {
            let order = names.clone();
            for name in names.iter_mut() {
                *name = json!(other_name(name.as_str().expect("a name")));
            }
            names.sort_by_key(|name| order.iter().position(|of| of == name));
        }
    }
    for line in own
        .get_mut("combinations")
        .and_then(Value::as_array_mut)
        .into_iter()
        .flatten()
    {
        let fields = line.as_object().expect("an object").clone();
        *line = fields
            .into_iter()
            .map(|(name, watts)| (other_name(&name), watts))
            .collect();
    }
    document
}

pub(super) type Labels = BTreeSet<(String, usize)>;

pub(super) fn labels(set: &[Change], asked: &Asked) -> Labels {
    let mut counts: BTreeMap<String, usize> = BTreeMap::new();
    for change in set {
        *counts.entry(label(change, asked)).or_default() += 1;
    }
    let each = counts.into_iter();
    each.flat_map(|(label, count)| (1..=count).map(move |n| (label.clone(), n)))
        .collect()
}

/// Both pins of a device are the one and the other.
pub(super) fn parts(set: &[Change], asked: &Asked) -> Labels {
    let mut apart = Vec::new();
    for change in set {
        match change {
            Change::Pin {
                name,
                port: port @ Some(_),
                cable: cable @ Some(_),
            } => {
                let name = name.clone();
                let (port, cable) = (port.clone(), cable.clone());
                apart.push(Change::Pin {
                    name: name.clone(),
                    port,
                    cable: None,
                });
                apart.push(Change::Pin {
                    name,
                    port: None,
                    cable,
                });
            }
            _ => apart.push(change.clone()),
        }
    }
    labels(&apart, asked)
}

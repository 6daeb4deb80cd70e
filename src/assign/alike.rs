//! What can be exchanged without any change in an answer.

use super::options::{Ungrouped, cable_groups, port_groups, twins};
use crate::setup::Setup;

/// What of a setup is alike: whichever of them is taken, no time and no watt of any plan
/// differs. What is like nothing else is not listed, and neither is what a device is pinned to.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
#[non_exhaustive]
pub struct Alike {
    /// Ports of one charger: its name, and theirs.
    pub ports: Vec<(String, Vec<String>)>,
    /// Cables of different names. Those of one name are alike anyway.
    pub cables: Vec<Vec<String>>,
    /// Devices that need a berth.
    pub devices: Vec<Vec<String>>,
}

impl Setup {
    /// What is alike, each group as listed.
    pub fn alike(&self) -> Alike {
        let ports = port_groups(self, &Ungrouped::default()).into_iter();
        let ports = ports.filter(|group| group.ports.len() > 1).map(|group| {
            let charger = &self.chargers[group.charger];
            let names = group
                .ports
                .iter()
                .map(|&port| charger.ports[port].name.clone());
            (charger.name.clone(), names.collect())
        });
        let cables = cable_groups(self, &Ungrouped::default()).into_iter();
        let cables = cables.filter(|group| group.cables.len() > 1).map(|group| {
            let names = group
                .cables
                .iter()
                .map(|&cable| self.cables[cable].name.clone());
            names.collect()
        });
        Alike {
            ports: ports.collect(),
            cables: cables.collect(),
            devices: self.alike_devices(),
        }
    }

    fn alike_devices(&self) -> Vec<Vec<String>> {
        let needing = (0..self.devices.len()).filter(|&at| self.devices[at].needs_berth());
        let mut groups = twins(self, needing);
        groups.retain(|group| group.len() > 1);
        let named = groups.iter().map(|group| {
            let names = group
                .iter()
                .map(|&device| self.devices[device].name.clone());
            names.collect()
        });
        named.collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_a_pin_or_a_number_tells_apart_is_not_alike() {
        let setup = Setup::from_json(
            r#"{"chargers": [{"name": "hub", "max_w": 90, "ports": [
                  {"name": "C1", "pd_w": 30}, {"name": "C2", "pd_w": 30},
                  {"name": "C3", "pd_w": 30}, {"name": "C4", "pd_w": 20}]}],
                "cables": [{"name": "white", "count": 2}, {"name": "braided"},
                           {"name": "long", "max_a": 5, "e_marked": true}],
                "devices": [{"name": "tablet", "pd_w": 30, "battery_wh": 28, "count": 2},
                            {"name": "reader", "pd_w": 30, "battery_wh": 28},
                            {"name": "phone", "pd_w": 20, "battery_wh": 15, "port": "C1"}]}"#,
        );
        let alike = setup.expect("a valid setup").alike();
        let words = |names: &[&str]| names.iter().map(|&name| name.to_owned()).collect();
        let expected = Alike {
            ports: vec![("hub".to_owned(), words(&["C2", "C3"]))],
            cables: vec![words(&["white", "braided"])],
            devices: vec![words(&["tablet 1", "tablet 2", "reader"])],
        };
        assert_eq!(alike, expected);
    }
}

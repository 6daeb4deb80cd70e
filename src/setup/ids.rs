//! Which device, cable, charger or port of a setup is meant: numbers that cannot be taken for
//! one another.

use std::ops::Index;

use super::{CableSpec, ChargerSpec, DeviceSpec, PortSpec, Setup};

/// A device of a setup, by its place in the list.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub(crate) struct DeviceId(pub(crate) usize);

/// A cable of a setup, by its place in the list.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub(crate) struct CableId(pub(crate) usize);

/// A charger of a setup, by its place in the list.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub(crate) struct ChargerId(pub(crate) usize);

/// A port of a setup: its charger, and its place among the charger's ports.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub(crate) struct PortId {
    pub(crate) charger: ChargerId,
    pub(crate) index: usize,
}

impl PortId {
    pub(crate) fn new(charger: usize, index: usize) -> Self {
        Self {
            charger: ChargerId(charger),
            index,
        }
    }
}

impl Index<DeviceId> for Vec<DeviceSpec> {
    type Output = DeviceSpec;

    fn index(&self, id: DeviceId) -> &DeviceSpec {
        &self[id.0]
    }
}

impl Index<CableId> for Vec<CableSpec> {
    type Output = CableSpec;

    fn index(&self, id: CableId) -> &CableSpec {
        &self[id.0]
    }
}

impl Index<ChargerId> for Vec<ChargerSpec> {
    type Output = ChargerSpec;

    fn index(&self, id: ChargerId) -> &ChargerSpec {
        &self[id.0]
    }
}

impl Index<PortId> for Setup {
    type Output = PortSpec;

    fn index(&self, id: PortId) -> &PortSpec {
        &self.chargers[id.charger].ports[id.index]
    }
}

impl Setup {
    /// All ports, charger by charger, as listed.
    pub(crate) fn port_ids(&self) -> impl Iterator<Item = PortId> {
        let ports = |(c, charger): (usize, &ChargerSpec)| {
            (0..charger.ports.len()).map(move |p| PortId::new(c, p))
        };
        self.chargers.iter().enumerate().flat_map(ports)
    }

    /// A port as pins name it in full: `CHARGER/PORT`.
    pub(crate) fn full_name(&self, id: PortId) -> String {
        format!("{}/{}", self.chargers[id.charger].name, self[id].name)
    }
}

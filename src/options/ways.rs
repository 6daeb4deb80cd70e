//! The ways in which a bag's devices meet one port, whatever charger it is on, and the
//! bounded memory that keeps them where many chargers are tried with one bag.

use std::collections::HashMap;
use std::sync::{Arc, Mutex, PoisonError};

use super::{CableGroup, Ladder, same_but_name};
use crate::curve::hours_to_full;
use crate::setup::{CableSpec, DeviceSpec, PortSpec};
use crate::units::millionths;
use crate::usb::contract::{Carries, Contract, joins};
use crate::usb::{Connector, Supply};

/// One way to meet: cable and contract, before the charger's limits are looked at.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Way {
    /// Index into the groups of cables.
    pub(super) cable: usize,
    pub(super) contract: Contract,
    pub(super) tier_w: f64,
    pub(super) hours: f64,
    pub(super) time: i64,
    pub(super) watts: i64,
    pub(super) tier: i64,
    pub(super) late: bool,
}

/// By device, its ways on one port, cable by cable. Empty where it needs no berth.
#[derive(Debug)]
pub(super) struct PortWays(pub(super) Vec<Arc<[Way]>>);

/// What the ways depend on beside the port.
pub(super) struct Meeting<'a> {
    pub(super) cables: &'a [CableSpec],
    pub(super) devices: &'a [DeviceSpec],
    pub(super) groups: &'a [CableGroup],
    /// By group of cables.
    pub(super) carried: &'a [Carries],
}

impl Meeting<'_> {
    /// The ways of every device on `port`, pins to ports aside.
    pub(super) fn on(&self, port: &PortSpec) -> PortWays {
        let ladder = Ladder::of(port);
        let mut by_device: Vec<Arc<[Way]>> = Vec::with_capacity(self.devices.len());
        for (index, device) in self.devices.iter().enumerate() {
            // The devices of one `count` stand side by side and differ in name only.
            let twin = index
                .checked_sub(1)
                .filter(|&before| same_but_name(&self.devices[before], device));
            by_device.push(match twin {
                Some(twin) => Arc::clone(&by_device[twin]),
                None => self.of_device(device, port, &ladder).into(),
            });
        }
        PortWays(by_device)
    }

    fn of_device(&self, device: &DeviceSpec, port: &PortSpec, ladder: &Ladder) -> Vec<Way> {
        let mut ways = Vec::new();
        if !device.needs_berth() {
            return ways;
        }
        let ready_by = device.ready_by_h.map(millionths);
        for (cable, group) in self.groups.iter().enumerate() {
            let first = group.cables[0];
            if device.pinned_cable.is_some_and(|pin| pin != first)
                || !joins(&port.connector, &self.cables[first], device)
            {
                continue;
            }
            for (tier_w, contract) in ladder.contracts(&self.carried[cable], device) {
                if device.pinned_contract.is_some_and(|pin| !contract.is(pin)) {
                    continue;
                }
                let Some(hours) = hours_to_full(device, contract.inlet_w) else {
                    continue;
                };
                let time = millionths(hours);
                ways.push(Way {
                    cable,
                    contract,
                    tier_w,
                    hours,
                    time,
                    watts: millionths(contract.port_w()),
                    tier: millionths(tier_w),
                    late: ready_by.is_some_and(|ready_by| time > ready_by),
                });
            }
        }
        ways
    }
}

/// The ways on the ports seen so far, for one bag. No answer depends on what it holds:
/// what is not there is worked out anew.
#[derive(Debug, Default)]
pub(crate) struct Memory {
    held: Mutex<Held>,
}

#[derive(Debug, Default)]
struct Held {
    ports: HashMap<Vec<u64>, Arc<PortWays>>,
    ways: usize,
}

impl Memory {
    /// The most ways held at a time, of about 100 bytes each.
    pub(crate) const MOST_WAYS: usize = 50_000;

    /// The ways on `port`, from memory where they are there.
    pub(super) fn ways(&self, port: &PortSpec, meeting: &Meeting<'_>) -> Arc<PortWays> {
        let key = key(port);
        let lock = || self.held.lock().unwrap_or_else(PoisonError::into_inner);
        if let Some(known) = lock().ports.get(&key) {
            return Arc::clone(known);
        }
        // Worked out without the lock: two threads may do the same once, none waits.
        let fresh = Arc::new(meeting.on(port));
        let size = 1 + fresh.0.iter().map(|ways| ways.len()).sum::<usize>();
        if size <= Self::MOST_WAYS {
            let mut held = lock();
            if held.ways + size > Self::MOST_WAYS {
                *held = Held::default();
            }
            held.ways += size;
            held.ports.insert(key, Arc::clone(&fresh));
        }
        fresh
    }
}

/// Everything of a port that its ways depend on, and nothing else: its name does not
/// count.
fn key(port: &PortSpec) -> Vec<u64> {
    let PortSpec {
        name: _,
        connector,
        offers,
        cap_w,
        tiers_w,
    } = port;
    let mut key = Vec::with_capacity(4 + 5 * offers.len() + tiers_w.len());
    match connector {
        Connector::UsbC => key.push(0),
        Connector::UsbA => key.push(1),
        Connector::UsbMicroB => key.push(2),
        Connector::UsbMiniB => key.push(3),
        Connector::Other(name) => {
            key.extend([4, name.len() as u64]);
            key.extend(name.bytes().map(u64::from));
        }
    }
    key.extend([offers.len() as u64, cap_w.to_bits()]);
    for offer in offers {
        let (kind, low_v, high_v) = match offer.supply {
            Supply::Fixed { volts } => (0, volts, volts),
            Supply::Pps { low_v, high_v } => (1, low_v, high_v),
            Supply::Avs { low_v, high_v } => (2, low_v, high_v),
        };
        key.push(kind);
        key.extend([low_v, high_v, offer.amps, offer.watts].map(f64::to_bits));
    }
    key.extend(tiers_w.iter().map(|tier_w| tier_w.to_bits()));
    key
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::document::{Cable, Charger, Device, Port, SetupDocument};
    use crate::options::Choices;
    use crate::setup::Setup;

    fn setup(ports: &[(&str, f64)]) -> Setup {
        let mut charger = Charger::new("desk");
        for (name, pd_w) in ports {
            charger = charger.port(Port::pd(*name, *pd_w));
        }
        SetupDocument::new()
            .charger(charger)
            .cable(Cable::c_to_c("braided").count(2))
            .device(Device::new("laptop", 56.0).pd_w(65.0))
            .device(Device::new("phone", 15.0).pd_w(18.0).count(40))
            .check()
            .expect("it is valid")
    }

    #[test]
    fn memory_changes_no_choice() {
        let memory = Memory::default();
        for ports in [
            &[("C1", 65.0)][..],
            &[("C1", 65.0), ("C2", 30.0)],
            &[("left", 30.0), ("right", 65.0)],
        ] {
            let setup = setup(ports);
            let plain = Choices::of(&setup).expect("few");
            for _ in 0..2 {
                let known = Choices::known(&setup, &memory).expect("few");
                assert_eq!(known.by_device, plain.by_device);
            }
        }
        let held = memory.held.lock().expect("no thread panicked");
        assert_eq!(held.ports.len(), 2, "equal ports share what is known");
    }

    #[test]
    fn memory_is_bounded() {
        let memory = Memory::default();
        for watts in 1..2_000 {
            let setup = setup(&[("C1", f64::from(watts) / 10.0)]);
            Choices::known(&setup, &memory).expect("few");
        }
        let held = memory.held.lock().expect("no thread panicked");
        let counted: usize = held
            .ports
            .values()
            .map(|ways| 1 + ways.0.iter().map(|ways| ways.len()).sum::<usize>())
            .sum();
        assert_eq!(counted, held.ways);
        assert!(counted <= Memory::MOST_WAYS);
        assert!(held.ports.len() < 1_999, "it was emptied on the way");
    }
}

//! The ways in which a bag's devices meet one port, whatever charger it is on, and the
//! bounded memory that keeps them where many chargers are tried with one bag.

use std::collections::HashMap;
use std::sync::{Arc, PoisonError, RwLock};

use super::{CableGroup, same_but_name};
use crate::setup::contract::{Carries, Contract, Negotiation, joins, reaches};
use crate::setup::curve::hours_to_full;
use crate::setup::document::Voltages;
use crate::setup::ids::{CableId, PortId};
use crate::setup::ladder::Ladder;
use crate::setup::{CableSpec, DeviceSpec, PortSpec};
use crate::units::millionths;
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
type Listed = Vec<Arc<[Way]>>;

/// What the ways depend on beside the port.
pub(super) struct Meeting<'a> {
    pub(super) cables: &'a [CableSpec],
    pub(super) devices: &'a [DeviceSpec],
    pub(super) groups: &'a [CableGroup],
    /// By group of cables.
    pub(super) carried: &'a [Carries],
}

/// The ways of one device after the other on one port, pins to ports aside: from memory,
/// or listed as they are asked for, since all at once may be more than there is room for.
pub(super) enum PortWays<'a> {
    Known(Arc<Listed>),
    Fresh {
        meeting: &'a Meeting<'a>,
        place: PortId,
        port: &'a PortSpec,
        ladder: Ladder,
        /// Those listed last, and whose they are.
        last: Option<(usize, Arc<[Way]>)>,
    },
}

impl<'a> PortWays<'a> {
    pub(super) fn on(
        place: PortId,
        port: &'a PortSpec,
        meeting: &'a Meeting<'a>,
        memory: Option<&Memory>,
    ) -> Self {
        match memory {
            // A lead is no cable of the bag, and not known by the port alone.
            Some(memory) if port.lead.is_none() => memory.ways(place, port, meeting),
            _ => Self::fresh(place, port, meeting),
        }
    }

    fn fresh(place: PortId, port: &'a PortSpec, meeting: &'a Meeting<'a>) -> Self {
        Self::Fresh {
            place,
            ladder: Ladder::of(port),
            meeting,
            port,
            last: None,
        }
    }

    /// Asked for each device in turn.
    pub(super) fn of_device(&mut self, device: usize) -> Arc<[Way]> {
        match self {
            Self::Known(listed) => Arc::clone(&listed[device]),
            Self::Fresh {
                place,
                meeting,
                port,
                ladder,
                last,
            } => {
                let twin = last
                    .take()
                    .filter(|(before, _)| before + 1 == device && meeting.is_twin(device));
                let ways = match twin {
                    Some((_, ways)) => ways,
                    None => meeting
                        .of_device(&meeting.devices[device], *place, port, ladder)
                        .into(),
                };
                *last = Some((device, Arc::clone(&ways)));
                ways
            }
        }
    }
}

impl Meeting<'_> {
    /// Whether a device differs from the one before it in name only, as those of one
    /// `count` do.
    pub(super) fn is_twin(&self, device: usize) -> bool {
        device
            .checked_sub(1)
            .is_some_and(|before| same_but_name(&self.devices[before], &self.devices[device]))
    }

    /// The kinds of cables that end in the device's inlet and reach it, with the first of
    /// each kind.
    pub(super) fn cables_of(
        &self,
        device: &DeviceSpec,
    ) -> impl Iterator<Item = (usize, &CableSpec)> {
        let first = self.groups.iter().map(|group| group.cables[0]);
        let kinds = first.enumerate().filter(move |&(_, first)| {
            let cable = &self.cables[first];
            device.pinned_cable.is_none_or(|pin| pin == CableId(first)) && reaches(cable, device)
        });
        kinds.map(|(kind, first)| (kind, &self.cables[first]))
    }

    fn of_device(
        &self,
        device: &DeviceSpec,
        place: PortId,
        port: &PortSpec,
        ladder: &Ladder,
    ) -> Vec<Way> {
        let mut ways = Vec::new();
        if !device.needs_berth() {
            return ways;
        }
        let ready_by = device.ready_by_h.map(millionths);
        for (cable, first) in self.cables_of(device) {
            if !joins(place, port, first, device) {
                continue;
            }
            let negotiation = Negotiation::best(port, &self.carried[cable], device);
            for (tier_w, contract) in ladder.contracts(&negotiation) {
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
    held: RwLock<Held>,
}

#[derive(Debug, Default)]
struct Held {
    ports: HashMap<Vec<u64>, Arc<Listed>>,
    ways: usize,
}

impl Memory {
    /// The most ways held at a time, of about 100 bytes each.
    pub(crate) const MOST_WAYS: usize = 50_000;

    /// The ways on `port`, from memory where they are there.
    fn ways<'a>(
        &self,
        place: PortId,
        port: &'a PortSpec,
        meeting: &'a Meeting<'a>,
    ) -> PortWays<'a> {
        let key = key(port);
        {
            let held = self.held.read().unwrap_or_else(PoisonError::into_inner);
            if let Some(known) = held.ports.get(&key) {
                return PortWays::Known(Arc::clone(known));
            }
        }
        let mut fresh = PortWays::fresh(place, port, meeting);
        // Worked out without the lock: two threads may do the same once, none waits.
        let (mut listed, mut size) = (Listed::new(), 1);
        for device in 0..meeting.devices.len() {
            let ways = fresh.of_device(device);
            size += ways.len();
            if size > Self::MOST_WAYS {
                return PortWays::fresh(place, port, meeting);
            }
            listed.push(ways);
        }
        let listed = Arc::new(listed);
        let mut held = self.held.write().unwrap_or_else(PoisonError::into_inner);
        if let Some(known) = held.ports.get(&key) {
            return PortWays::Known(Arc::clone(known));
        }
        if held.ways + size > Self::MOST_WAYS {
            *held = Held::default();
        }
        held.ways += size;
        held.ports.insert(key, Arc::clone(&listed));
        PortWays::Known(listed)
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
        voltages,
        lead: _,
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
    let voltages = match voltages {
        None => 0,
        Some(Voltages::Kept) => 1,
        Some(Voltages::Rules) => 2,
    };
    key.extend([offers.len() as u64, cap_w.to_bits(), voltages]);
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
    use crate::assign::options::{Choices, Listing};
    use crate::setup::Setup;
    use crate::setup::document::{Cable, Charger, Device, Port, SetupDocument};
    use crate::solve::budget::Budget;

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

    fn known(setup: &Setup, memory: &Memory) -> crate::diagnostics::Result<Choices> {
        let listing = Listing::among_many(Some(memory));
        Choices::known(setup, listing, &mut Budget::of_steps(1))
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
            let plain = Choices::of(&setup, &mut Budget::of_steps(1)).expect("few");
            for _ in 0..2 {
                let known = known(&setup, &memory).expect("few");
                assert_eq!(known.by_device, plain.by_device);
            }
        }
        let held = memory.held.read().expect("no thread panicked");
        assert_eq!(held.ports.len(), 2, "equal ports share what is known");
    }

    #[test]
    fn memory_is_bounded() {
        let memory = Memory::default();
        for watts in 1..2_000 {
            let setup = setup(&[("C1", f64::from(watts) / 10.0)]);
            known(&setup, &memory).expect("few");
        }
        let held = memory.held.read().expect("no thread panicked");
        let counted: usize = held
            .ports
            .values()
            .map(|listed| 1 + listed.iter().map(|ways| ways.len()).sum::<usize>())
            .sum();
        assert_eq!(counted, held.ways);
        assert!(counted <= Memory::MOST_WAYS);
        assert!(held.ports.len() < 1_999, "it was emptied on the way");
    }
}

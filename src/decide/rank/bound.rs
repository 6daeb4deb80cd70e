//! What no plan of a kit betters, worked out without one: so a kit that is beaten all the same
//! need not be planned.

use super::alone::Alone;
use super::members::{Kit, compared};
use super::order::{NOBODY, Order, Place};
use super::unbeaten::Merits;
use crate::assign::counts::Counts;
use crate::decide::bag::Bag;
use crate::setup::DeviceSpec;
use crate::units::millionths;

/// The bag and its candidates, as far as the bounds of their kits depend on them.
pub(super) struct Bounds {
    /// By priority, the devices that need a berth: indices into the setup's.
    devices: [Vec<usize>; 3],
    /// By device of the setup, when it must be ready, in whole 1e-6 h.
    ready_by: Vec<i64>,
    /// By candidate, where it is known.
    alone: Vec<Option<Alone>>,
}

/// What a kit does not better.
pub(super) struct Bound {
    merits: Merits,
    /// The longest time of priority 1.
    of_first: i64,
    /// By device of the setup, the least time over the candidates.
    least: Vec<i64>,
}

impl Bound {
    /// Where the kit stands at best.
    pub(super) fn place(&self, order: Order) -> Place {
        order.place(self.merits, self.of_first, &self.least)
    }

    /// Where it stands at best with a longest time.
    pub(super) fn place_with(&self, longest: i64, order: Order) -> Place {
        let merits = Merits {
            longest: longest.max(self.merits.longest),
            ..self.merits
        };
        order.place(merits, self.of_first, &self.least)
    }
}

/// Devices without a berth, by priority: neither fewer nor more, where the first priority that
/// differs decides.
#[derive(Clone, Copy)]
struct Unserved {
    least: [u32; 3],
    most: [u32; 3],
}

impl Bounds {
    pub(super) fn of(bag: &Bag, alone: Vec<Option<Alone>>) -> Self {
        let devices = &bag.setup().devices;
        let needing = |priority: u8| {
            let each = devices.iter().enumerate();
            each.filter(|(_, device)| device.needs_berth() && device.priority == priority)
                .map(|(index, _)| index)
                .collect()
        };
        let ready_by = |device: &DeviceSpec| device.ready_by_h.map_or(i64::MAX, millionths);
        Self {
            devices: [1, 2, 3].map(needing),
            ready_by: devices.iter().map(ready_by).collect(),
            alone,
        }
    }

    /// Of a kit; nothing where one of its candidates is not known.
    pub(super) fn of_kit(&self, kit: Kit<'_>) -> Option<Bound> {
        let members = kit.own.iter().map(|&index| self.alone[index].as_ref());
        let members: Vec<&Alone> = members.collect::<Option<_>>()?;
        let mut least = vec![NOBODY; self.ready_by.len()];
        for member in &members {
            for (least, own) in least.iter_mut().zip(&member.least) {
                *least = (*least).min(*own);
            }
        }
        let all = || self.devices.each_ref().map(|of| small(of.len()));
        let most = members.iter().filter_map(|member| member.unserved).min();
        let unserved = Unserved {
            least: self.without_port(&members),
            most: most.unwrap_or_else(all),
        };
        let times = self.times(&least, unserved);
        Some(Bound {
            merits: Merits {
                unserved: unserved.least,
                late: times.late,
                longest: times.longest,
                weight: compared(kit.weight_g()),
                price: compared(kit.price()),
            },
            of_first: times.of_first,
            least,
        })
    }

    /// The same once it is known how many it leaves without a berth, and how many late.
    pub(super) fn counted(&self, bound: &mut Bound, counts: &Counts) {
        let unserved = Unserved {
            least: counts.unserved,
            most: counts.unserved,
        };
        let times = self.times(&bound.least, unserved);
        bound.merits.unserved = counts.unserved;
        bound.merits.late = counts.late.iter().sum();
        bound.merits.longest = times.longest;
        bound.of_first = times.of_first;
    }

    /// What those that surely have a berth come to at least: of each priority the quickest, so
    /// many as do.
    fn times(&self, least: &[i64], unserved: Unserved) -> Times {
        let mut times = Times::default();
        for (rank, devices) in self.devices.iter().enumerate() {
            let served = devices.len().saturating_sub(large(unserved.most[rank]));
            let mut own: Vec<i64> = devices.iter().map(|&device| least[device]).collect();
            own.sort_unstable();
            let last = served.checked_sub(1).map_or(0, |last| own[last]);
            let in_time = |&&device: &&usize| least[device] <= self.ready_by[device];
            let in_time = devices.iter().filter(in_time).count();
            times.late += small(served.saturating_sub(in_time));
            times.longest = times.longest.max(last);
            if rank == 0 {
                times.of_first = last;
            }
            // Where fewer of this priority are without a berth, more of the next may be.
            if unserved.least[rank] != unserved.most[rank] {
                break;
            }
        }
        times
    }

    /// Devices that find no port of their own, by priority: the fewest of the first, then of the
    /// second (what can be matched is a matroid, so taking one after the other is the best there
    /// is).
    fn without_port(&self, members: &[&Alone]) -> [u32; 3] {
        let mut matching = Matching::of(members);
        self.devices.each_ref().map(|devices| {
            let without = devices
                .iter()
                .filter(|&&device| !matching.seats(device, device));
            small(without.count())
        })
    }
}

#[derive(Default)]
struct Times {
    late: u32,
    longest: i64,
    /// The longest of priority 1.
    of_first: i64,
}

/// Devices on ports, each on one of its own.
struct Matching<'a> {
    members: &'a [&'a Alone],
    of_port: Vec<Option<usize>>,
    /// By port, for which device it was looked at last.
    seen: Vec<usize>,
}

impl<'a> Matching<'a> {
    fn of(members: &'a [&'a Alone]) -> Self {
        let ports = members.iter().map(|member| member.numbered).sum();
        Self {
            members,
            of_port: vec![None; ports],
            seen: vec![usize::MAX; ports],
        }
    }

    /// Finds a port for a device, those before it moved on where need be; `for_whom` is the
    /// device that all of that is for.
    fn seats(&mut self, device: usize, for_whom: usize) -> bool {
        let mut from = 0;
        for member in self.members {
            for port in &member.ports[device] {
                let port = from + port;
                if self.seen[port] == for_whom {
                    continue;
                }
                self.seen[port] = for_whom;
                let free = match self.of_port[port] {
                    None => true,
                    Some(other) => self.seats(other, for_whom),
                };
                if free {
                    self.of_port[port] = Some(device);
                    return true;
                }
            }
            from += member.numbered;
        }
        false
    }
}

fn small(count: usize) -> u32 {
    u32::try_from(count).unwrap_or(u32::MAX)
}

fn large(count: u32) -> usize {
    usize::try_from(count).unwrap_or(usize::MAX)
}

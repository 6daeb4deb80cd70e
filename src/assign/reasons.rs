//! Why a device has no berth: the first cause that holds, as data, and its wording.

use std::fmt;

use crate::assign::options::{Choice, Choices};
use crate::plan::Reason;
use crate::plan::schedule::Slot;
use crate::plan::sessions::Sessions;
use crate::plan::shared::{lines_allow, pool_use};
use crate::setup::contract::{Lift, Negotiation, carries, joins};
use crate::setup::curve::hours_to_full;
use crate::setup::document::Reserve;
use crate::setup::ids::{CableId, ChargerId, PortId};
use crate::setup::{DeviceSpec, Setup};
use crate::units::{from_millionths, millionths, rounded, watts_text};

/// Why `device` has no berth beside `places`.
pub(crate) fn reason(setup: &Setup, choices: &Choices, slots: &[Slot], device: usize) -> Reason {
    alone(setup, choices, slots, device).rounded()
}

fn alone(setup: &Setup, choices: &Choices, slots: &[Slot], device: usize) -> Reason {
    if !choices.are_complete() {
        return Reason::SearchStopped;
    }
    let spec = &setup.devices[device];
    if choices.by_device[device].is_empty() {
        let because = nowhere(setup, spec);
        return match pin_text(setup, spec) {
            Some(pin) => Reason::PinnedImpossible {
                pin,
                because: Box::new(because),
            },
            None => because,
        };
    }
    let own: Vec<&Choice> = choices.by_device[device].iter().collect();
    crowded_out(setup, choices, &own, slots)
}

/// Why `device` has no berth in a rota, given all places of each session: what stands in
/// the way in the first session with which it could start.
pub(crate) fn rota_reason(
    setup: &Setup,
    choices: &Choices,
    sessions: &Sessions,
    slots: &[Vec<Slot>],
    device: usize,
) -> Reason {
    let own = &choices.by_device[device];
    if own.is_empty() {
        if sessions.starts(device).next().is_none() {
            return Reason::NeverAtHand;
        }
        return reason(setup, choices, &[], device);
    }
    let mut reasons = sessions.starts(device).filter_map(|session| {
        let own: Vec<&Choice> = own.iter().filter(|c| c.first == session).collect();
        let reason = crowded_out(setup, choices, &own, &slots[session]);
        // Room at its start is not yet room to the end.
        (reason != Reason::SearchStopped).then_some(reason)
    });
    reasons.next().unwrap_or(Reason::NoRoom).rounded()
}

/// Why a device could not sit anywhere even if it were alone.
fn nowhere(setup: &Setup, device: &DeviceSpec) -> Reason {
    let usable = |index: usize| device.pinned_cable.is_none_or(|pin| pin == CableId(index));
    let fitting: Vec<usize> = (0..setup.cables.len())
        .filter(|&c| usable(c) && setup.cables[c].to == device.inlet)
        .collect();
    if fitting.is_empty() {
        return Reason::NoCableForInlet {
            inlet: device.inlet.to_string(),
        };
    }
    let reaching: Vec<usize> = fitting
        .iter()
        .copied()
        .filter(|&c| setup.cables[c].length_m >= device.reach_m)
        .collect();
    if reaching.is_empty() {
        let longest_m = fitting
            .iter()
            .map(|&c| setup.cables[c].length_m)
            .fold(0.0, f64::max);
        return Reason::NoCableReaches {
            reach_m: device.reach_m,
            longest_m,
        };
    }
    let mut joined = false;
    // The most at a port, and the most that arrives.
    let mut best_w: Option<f64> = None;
    let mut best_inlet_w = 0.0_f64;
    let mut fills = false;
    let mut tightest: Option<Reason> = None;
    for (c, charger) in setup.chargers.iter().enumerate() {
        for (p, port) in charger.ports.iter().enumerate() {
            if device
                .pinned_port
                .is_some_and(|pin| pin != PortId::new(c, p))
            {
                continue;
            }
            for cable in reaching.iter().map(|&cable| &setup.cables[cable]) {
                if !joins(PortId::new(c, p), port, cable, device) {
                    continue;
                }
                joined = true;
                let carried = carries(cable, Lift::Nothing);
                let modest = DeviceSpec {
                    min_w: 0.0,
                    ..device.clone()
                };
                let negotiation = Negotiation::best(port, &carried, &modest);
                for &tier_w in &port.tiers_w {
                    if negotiation.meets(tier_w) {
                        best_w.get_or_insert(0.0);
                    }
                    if let Some(found) = negotiation.contract_at(tier_w) {
                        best_w = Some(best_w.map_or(found.port_w(), |w| w.max(found.port_w())));
                        best_inlet_w = best_inlet_w.max(found.inlet_w);
                        if millionths(found.port_w()) >= millionths(device.min_w)
                            && hours_to_full(device, found.inlet_w).is_some()
                        {
                            fills = true;
                            let needs_w = match charger.reserve {
                                Reserve::Offer => tier_w,
                                Reserve::Contract => found.port_w(),
                            };
                            tightest = tightest.or_else(|| too_tight(setup, c, p, needs_w));
                        }
                    }
                }
            }
        }
    }
    if !joined {
        let mut connectors: Vec<String> = reaching
            .iter()
            .map(|&cable| setup.cables[cable].from.to_string())
            .collect();
        connectors.sort();
        connectors.dedup();
        return Reason::NoPortForCable { connectors };
    }
    match best_w {
        None => Reason::NoCommonSupply,
        Some(best_w) if millionths(best_w) < millionths(device.min_w) => Reason::BelowMinimum {
            best_w,
            min_w: device.min_w,
        },
        Some(_) if !fills => Reason::NeverFull {
            best_w: best_inlet_w,
        },
        Some(_) => tightest.unwrap_or(Reason::NoRoom),
    }
}

/// The pool or table that does not let even a lone device have `needs_w` on a port.
fn too_tight(setup: &Setup, charger: usize, port: usize, needs_w: f64) -> Option<Reason> {
    let spec = &setup.chargers[charger];
    let pool = spec
        .pools
        .iter()
        .find(|pool| pool.ports.contains(&port) && pool.max_w < needs_w);
    match pool {
        Some(pool) => Some(Reason::PoolTooSmall {
            charger: spec.name.clone(),
            pool: pool.name.clone(),
            left_w: pool.max_w,
            needs_w,
        }),
        None if !spec.lines.is_empty() => Some(Reason::NoCombination {
            charger: spec.name.clone(),
        }),
        None => None,
    }
}

/// Why a device that could sit alone finds no room beside the others.
fn crowded_out(setup: &Setup, choices: &Choices, own: &[&Choice], slots: &[Slot]) -> Reason {
    let taken: Vec<PortId> = slots.iter().map(|slot| slot.port).collect();
    let free_port = |choice: &Choice| {
        let group = &choices.ports[choice.port];
        group
            .ports
            .iter()
            .copied()
            .find(|&port| !taken.contains(&PortId::new(group.charger, port)))
    };
    let on_free: Vec<(&Choice, usize)> = own
        .iter()
        .filter_map(|&choice| free_port(choice).map(|port| (choice, port)))
        .collect();
    if on_free.is_empty() {
        let mut groups: Vec<usize> = own.iter().map(|choice| choice.port).collect();
        groups.sort_unstable();
        groups.dedup();
        let suits = |other: &Vec<Choice>| other.iter().any(|c| groups.contains(&c.port));
        return Reason::FewerPorts {
            devices: choices
                .by_device
                .iter()
                .filter(|other| suits(other))
                .count(),
            ports: groups
                .iter()
                .map(|&group| choices.ports[group].ports.len())
                .sum(),
        };
    }
    let left = |choice: &Choice| {
        let group = &choices.cables[choice.cable];
        let used = slots
            .iter()
            .filter(|slot| group.cables.contains(&slot.cable.0))
            .count();
        used < group.count as usize
    };
    let cabled: Vec<&(&Choice, usize)> =
        on_free.iter().filter(|(choice, _)| left(choice)).collect();
    if cabled.is_empty() {
        let mut cables: Vec<String> = on_free
            .iter()
            .flat_map(|(choice, _)| &choices.cables[choice.cable].cables)
            .map(|&cable| setup.cables[cable].name.clone())
            .collect();
        cables.sort();
        cables.dedup();
        return Reason::FewerCables { cables };
    }
    let mut pool_short: Option<(f64, Reason)> = None;
    let mut table_short = None;
    for &&(choice, port) in &cabled {
        let c = choices.ports[choice.port].charger;
        let charger = &setup.chargers[c];
        let used = pool_use(setup, ChargerId(c), slots);
        let short = charger.pools.iter().zip(&used).find(|(pool, used)| {
            pool.ports.contains(&port) && *used + choice.takes > millionths(pool.max_w)
        });
        if let Some((pool, &used)) = short {
            let needs_w = from_millionths(choice.takes);
            if pool_short
                .as_ref()
                .is_none_or(|(least, _)| needs_w < *least)
            {
                let reason = Reason::PoolTooSmall {
                    charger: charger.name.clone(),
                    pool: pool.name.clone(),
                    left_w: (pool.max_w - from_millionths(used)).max(0.0),
                    needs_w,
                };
                pool_short = Some((needs_w, reason));
            }
            continue;
        }
        let mut tiers: Vec<Option<i64>> = vec![None; charger.ports.len()];
        for slot in slots
            .iter()
            .filter(|slot| slot.port.charger == ChargerId(c))
        {
            tiers[slot.port.index] = Some(millionths(slot.tier_w));
        }
        tiers[port] = Some(choice.tier);
        if lines_allow(charger, &tiers) {
            // No best plan leaves a place empty that would do.
            return Reason::SearchStopped;
        }
        table_short = Some(Reason::NoCombination {
            charger: charger.name.clone(),
        });
    }
    table_short
        .or(pool_short.map(|(_, reason)| reason))
        .unwrap_or(Reason::NoRoom)
}

fn pin_text(setup: &Setup, device: &DeviceSpec) -> Option<String> {
    let port = device.pinned_port.map(|port| setup.full_name(port));
    let cable = device
        .pinned_cable
        .map(|cable| format!("cable {}", setup.cables[cable].name));
    match (port, cable) {
        (Some(port), Some(cable)) => Some(format!("{port}, {cable}")),
        (port, cable) => port.or(cable),
    }
}

impl Reason {
    /// With its numbers as documents have them, so that its sentence is the same when it is
    /// made from one that was read.
    fn rounded(self) -> Self {
        match self {
            Self::PinnedImpossible { pin, because } => Self::PinnedImpossible {
                pin,
                because: Box::new(because.rounded()),
            },
            Self::NoCableReaches { reach_m, longest_m } => Self::NoCableReaches {
                reach_m: rounded(reach_m),
                longest_m: rounded(longest_m),
            },
            Self::BelowMinimum { best_w, min_w } => Self::BelowMinimum {
                best_w: rounded(best_w),
                min_w: rounded(min_w),
            },
            Self::NeverFull { best_w } => Self::NeverFull {
                best_w: rounded(best_w),
            },
            Self::PoolTooSmall {
                charger,
                pool,
                left_w,
                needs_w,
            } => Self::PoolTooSmall {
                charger,
                pool,
                left_w: rounded(left_w),
                needs_w: rounded(needs_w),
            },
            other => other,
        }
    }
}

impl fmt::Display for Reason {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::PinnedImpossible { pin, because } => write!(f, "pinned to {pin}: {because}"),
            Self::NoCableForInlet { inlet } => write!(f, "no cable ends in {inlet}"),
            Self::NoCableReaches { reach_m, longest_m } => write!(
                f,
                "no cable reaches: it lies {reach_m} m away, the longest that fits is {longest_m} m"
            ),
            Self::NoPortForCable { connectors } => {
                write!(
                    f,
                    "no port takes the other end of its cables ({})",
                    connectors.join(", ")
                )
            }
            Self::NoCommonSupply => f.write_str(
                "no port offers, through a cable that joins it, a voltage that it accepts",
            ),
            Self::BelowMinimum { best_w, min_w } => write!(
                f,
                "gets {} at best and needs at least {}",
                watts_text(*best_w),
                watts_text(*min_w)
            ),
            Self::NeverFull { best_w } => {
                write!(
                    f,
                    "never gets full with the {} it gets at best",
                    watts_text(*best_w)
                )
            }
            Self::FewerPorts { devices, ports } => {
                write!(
                    f,
                    "{devices} devices for {ports} {}",
                    plural(*ports, "port", "ports")
                )
            }
            Self::FewerCables { cables } => {
                write!(
                    f,
                    "a port is free, but no cable is left ({})",
                    cables.join(", ")
                )
            }
            Self::PoolTooSmall {
                charger,
                pool,
                left_w,
                needs_w,
            } => write!(
                f,
                "pool {pool} of {charger} has {} left, and it needs {}",
                watts_text(*left_w),
                watts_text(*needs_w)
            ),
            Self::NoCombination { charger } => write!(
                f,
                "no combination of {charger} has room for it beside those in use"
            ),
            Self::NeverAtHand => {
                f.write_str("it is at hand in no session at whose start plugs can be swapped")
            }
            Self::SearchStopped => {
                f.write_str("the search was stopped before it was given the slot there is for it")
            }
            Self::NoRoom => f.write_str("no port, cable and limit fit together beside the others"),
        }
    }
}

fn plural<'a>(count: usize, one: &'a str, many: &'a str) -> &'a str {
    if count == 1 { one } else { many }
}

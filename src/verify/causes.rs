//! Why devices have no berth: each cause is a claim, and each claim is looked at anew.
//!
//! That another cause would hold as well is not asked: the sentence must be true, its
//! numbers must be right, and it must be that of the cause.

use super::carried::{connectors_meet, is_elsewhere, reaches};
use super::negotiation::{Contract, Lifted, contracts};
use super::rules::{Place, lines_grant, pools_suffice, taken};
use super::time::hours_to_full;
use super::{Findings, same, shown};
use crate::plan::{Reason, WithoutBerth};
use crate::setup::document::Reserve;
use crate::setup::ids::{CableId, PortId};
use crate::setup::{CableSpec, ChargerSpec, DeviceSpec, Setup};
use crate::units::{from_millionths, millionths};

/// Checks every cause. `places` are those of a plan; in a rota they change from session to
/// session, and what a device lacks beside others is not judged.
pub(super) fn check(
    setup: &Setup,
    without_berth: &[WithoutBerth],
    places: Option<&[Place]>,
    findings: &mut Findings,
) {
    if without_berth.is_empty() {
        return;
    }
    let by_ports = |without: &WithoutBerth| matches!(without.cause, Reason::FewerPorts { .. });
    let all = if places.is_some() && without_berth.iter().any(by_ports) {
        Lone::ports_of_all(setup)
    } else {
        Vec::new()
    };
    for (index, without) in without_berth.iter().enumerate() {
        let Some(device) = setup.devices.iter().position(|d| d.name == without.device) else {
            continue;
        };
        let sentence = without.cause.to_string();
        if without.reason != sentence {
            findings.add(
                format!("without_berth[{index}].reason"),
                format!("is `{}`, but the cause says `{sentence}`", without.reason),
            );
        }
        let lone = Lone::of(setup, device);
        if let Err(must) = lone.holds(&without.cause, places, &all) {
            findings.add(
                format!("without_berth[{index}].cause"),
                format!("`{sentence}` does not hold: {must}"),
            );
        }
    }
}

/// Whether what the cause says of places beside others is not judged in a rota.
pub(super) fn is_about_others(cause: &Reason) -> bool {
    matches!(
        cause,
        Reason::FewerPorts { .. }
            | Reason::FewerCables { .. }
            | Reason::PoolTooSmall { .. }
            | Reason::NoCombination { .. }
            | Reason::SearchStopped
            | Reason::NoRoom
    )
}

/// What does not hold of a claim, in a few words.
type Claim = Result<(), String>;

fn must(holds: bool, otherwise: impl FnOnce() -> String) -> Claim {
    if holds { Ok(()) } else { Err(otherwise()) }
}

fn number(what: &str, printed: f64, exact: f64) -> Claim {
    must(same(printed, exact), || {
        format!("{what} is {}, must be {}", shown(printed), shown(exact))
    })
}

fn count(what: &str, printed: usize, exact: usize) -> Claim {
    must(printed == exact, || {
        format!("{printed} {what}, must be {exact}")
    })
}

/// One way of a device to a port, as if it were alone.
#[derive(Clone, Copy)]
struct Way {
    charger: usize,
    port: usize,
    cable: usize,
    contract: Contract,
}

/// A device by itself.
struct Lone<'a> {
    setup: &'a Setup,
    device: usize,
    /// The ways with which it gets full, and for which its charger has room at all.
    ways: Vec<Way>,
}

impl<'a> Lone<'a> {
    /// The ports that suit each device of the setup, sorted; what differs in the name alone
    /// is worked out once.
    fn ports_of_all(setup: &Setup) -> Vec<Vec<(usize, usize)>> {
        let nameless = |device: &DeviceSpec| DeviceSpec {
            name: String::new(),
            ..device.clone()
        };
        let mut all: Vec<Vec<(usize, usize)>> = Vec::with_capacity(setup.devices.len());
        for (device, spec) in setup.devices.iter().enumerate() {
            let spec = nameless(spec);
            let before = setup.devices[..device].iter();
            let twin = before.rev().position(|other| nameless(other) == spec);
            let ports = match twin {
                Some(back) => all[device - 1 - back].clone(),
                None => Lone::of(setup, device).ports(),
            };
            all.push(ports);
        }
        all
    }

    /// The ports of its ways, sorted.
    fn ports(&self) -> Vec<(usize, usize)> {
        let ways = self.ways.iter();
        let mut ports: Vec<(usize, usize)> = ways.map(|way| (way.charger, way.port)).collect();
        ports.sort_unstable();
        ports.dedup();
        ports
    }

    fn of(setup: &'a Setup, device: usize) -> Self {
        let mut lone = Self {
            setup,
            device,
            ways: Vec::new(),
        };
        let mut ways = lone.filling();
        ways.retain(|way| lone.has_room(way));
        lone.ways = ways;
        lone
    }

    fn spec(&self) -> &'a DeviceSpec {
        &self.setup.devices[self.device]
    }

    fn may_use_cable(&self, cable: usize) -> bool {
        self.spec()
            .pinned_cable
            .is_none_or(|pin| pin == CableId(cable))
    }

    /// Its cables by their ends, pins kept.
    fn fitting(&self) -> Vec<&'a CableSpec> {
        let cables = self.setup.cables.iter().enumerate();
        cables
            .filter(|&(index, cable)| self.may_use_cable(index) && cable.to == self.spec().inlet)
            .map(|(_, cable)| cable)
            .collect()
    }

    /// Ports and cables that are joined, pins kept.
    fn joined(&self) -> Vec<(usize, usize, usize)> {
        let spec = self.spec();
        let mut joined = Vec::new();
        for (c, charger) in self.setup.chargers.iter().enumerate() {
            for (p, port) in charger.ports.iter().enumerate() {
                if spec.pinned_port.is_some_and(|pin| pin != PortId::new(c, p)) {
                    continue;
                }
                for (k, cable) in self.setup.cables.iter().enumerate() {
                    let meets = connectors_meet(port, cable, spec)
                        && reaches(cable, spec)
                        && !is_elsewhere(cable, PortId::new(c, p));
                    if meets && self.may_use_cable(k) {
                        joined.push((c, p, k));
                    }
                }
            }
        }
        joined
    }

    /// Every contract where it is joined, whatever it needs at least.
    fn negotiated(&self) -> Vec<Way> {
        let modest = DeviceSpec {
            min_w: 0.0,
            ..self.spec().clone()
        };
        let ways = self
            .joined()
            .into_iter()
            .flat_map(|(charger, port, cable)| {
                let spec = &self.setup.chargers[charger].ports[port];
                let found = contracts(spec, &self.setup.cables[cable], &modest, Lifted::Nothing);
                found.into_iter().map(move |contract| Way {
                    charger,
                    port,
                    cable,
                    contract,
                })
            });
        ways.collect()
    }

    /// Those with which it gets full.
    fn filling(&self) -> Vec<Way> {
        let mut ways = self.negotiated();
        ways.retain(|way| {
            let enough = millionths(way.contract.port_w()) >= millionths(self.spec().min_w);
            enough && hours_to_full(self.spec(), way.contract.inlet_w).is_some()
        });
        ways
    }

    /// Whether pools and some line have enough for one port alone.
    fn has_room(&self, way: &Way) -> bool {
        let charger = &self.setup.chargers[way.charger];
        let takes = takes(charger, &way.contract);
        let mut pools = charger.pools.iter();
        let pools_do =
            pools.all(|pool| !pool.ports.contains(&way.port) || takes <= millionths(pool.max_w));
        let grants = |watts: Option<f64>| {
            watts.is_some_and(|watts| millionths(way.contract.tier_w) <= millionths(watts))
        };
        let mut lines = charger.lines.iter();
        let granted = lines.any(|line| grants(line.watts.get(way.port).copied().flatten()));
        pools_do && (charger.lines.is_empty() || granted)
    }

    /// The most that it could have at a port, or that could arrive.
    fn best_w(&self, of: impl Fn(&Contract) -> f64) -> f64 {
        let negotiated = self.negotiated();
        negotiated
            .iter()
            .map(|way| of(&way.contract))
            .fold(0.0, f64::max)
    }

    fn holds(
        &self,
        cause: &Reason,
        places: Option<&[Place]>,
        all: &[Vec<(usize, usize)>],
    ) -> Claim {
        match cause {
            Reason::NeverAtHand => {
                let sessions = self.setup.sessions.iter().enumerate();
                let mut starts =
                    sessions.filter(|(at, session)| session.swap && self.spec().is_at_hand(*at));
                must(places.is_none() && starts.next().is_none(), || {
                    "a berth of it can start".to_owned()
                })
            }
            Reason::PinnedImpossible { pin, because } => {
                must(self.pin().as_ref() == Some(pin), || {
                    format!("the setup does not pin it to {pin}")
                })?;
                must(self.ways.is_empty(), || {
                    "it can be charged there".to_owned()
                })?;
                self.by_itself(because)
            }
            cause if !self.ways.is_empty() => match places {
                Some(places) => Beside {
                    lone: self,
                    places,
                    all,
                }
                .holds(cause),
                None if is_about_others(cause) => Ok(()),
                None => Err("alone it could be charged".to_owned()),
            },
            cause => self.by_itself(cause),
        }
    }

    /// A cause that holds whatever the others do.
    fn by_itself(&self, cause: &Reason) -> Claim {
        let spec = self.spec();
        match cause {
            Reason::NoCableForInlet { inlet } => {
                let its_own = spec.inlet.to_string();
                must(*inlet == its_own, || format!("its inlet is {its_own}"))?;
                must(self.fitting().is_empty(), || "a cable does".to_owned())
            }
            Reason::NoCableReaches { reach_m, longest_m } => {
                let fitting = self.fitting();
                must(!fitting.is_empty(), || "no cable fits".to_owned())?;
                let longest = fitting.iter().map(|cable| cable.length_m);
                number("its distance", *reach_m, spec.reach_m)?;
                number("the longest cable", *longest_m, longest.fold(0.0, f64::max))?;
                must(!fitting.iter().any(|cable| reaches(cable, spec)), || {
                    "a cable reaches".to_owned()
                })
            }
            Reason::NoPortForCable { connectors } => {
                let fitting = self.fitting();
                let reaching = fitting.iter().filter(|cable| reaches(cable, spec));
                let mut ends: Vec<String> = reaching.map(|cable| cable.from.to_string()).collect();
                ends.sort();
                ends.dedup();
                must(!ends.is_empty() && *connectors == ends, || {
                    format!("the other ends are {}", ends.join(", "))
                })?;
                must(self.joined().is_empty(), || "a port does".to_owned())
            }
            Reason::NoCommonSupply => {
                must(!self.joined().is_empty(), || "nothing joins it".to_owned())?;
                must(self.negotiated().is_empty(), || {
                    "there is a contract".to_owned()
                })
            }
            Reason::BelowMinimum { best_w, min_w } => {
                let best = self.best_w(Contract::port_w);
                number("the best", *best_w, best)?;
                number("the least it needs", *min_w, spec.min_w)?;
                must(millionths(best) < millionths(spec.min_w), || {
                    "that is enough".to_owned()
                })
            }
            Reason::NeverFull { best_w } => {
                number(
                    "the best",
                    *best_w,
                    self.best_w(|contract| contract.inlet_w),
                )?;
                must(self.filling().is_empty(), || "it gets full".to_owned())
            }
            Reason::PoolTooSmall {
                charger,
                pool,
                left_w,
                needs_w,
            } => self.pool_too_small(charger, pool, *left_w, *needs_w),
            Reason::NoCombination { charger } => {
                let here = |way: &Way| self.setup.chargers[way.charger].name == *charger;
                let filling = self.filling();
                let table =
                    |way: &Way| !self.setup.chargers[way.charger].lines.is_empty() && here(way);
                must(filling.iter().any(table), || {
                    format!("no table of {charger} stands in its way")
                })
            }
            Reason::NoRoom => must(!self.filling().is_empty(), || {
                "nothing charges it at all".to_owned()
            }),
            _ => Err("it cannot be charged even alone".to_owned()),
        }
    }

    /// A pool that is too small for it even alone.
    fn pool_too_small(&self, charger: &str, pool: &str, left_w: f64, needs_w: f64) -> Claim {
        let Some(spec) = self.setup.chargers.iter().find(|c| c.name == charger) else {
            return Err(format!("there is no charger {charger}"));
        };
        let Some(pool) = spec.pools.iter().find(|p| p.name == pool) else {
            return Err(format!("{charger} has no pool {pool}"));
        };
        number("what is left", left_w, pool.max_w)?;
        let filling = self.filling();
        let needs = |way: &Way| {
            let here = self.setup.chargers[way.charger].name == charger;
            let needed = from_millionths(takes(spec, &way.contract));
            here && pool.ports.contains(&way.port) && same(needed, needs_w)
        };
        must(needs_w > left_w && filling.iter().any(needs), || {
            format!("it does not need {} W there", shown(needs_w))
        })
    }

    /// What it is pinned to, as plans say it.
    fn pin(&self) -> Option<String> {
        let spec = self.spec();
        let port = spec.pinned_port.map(|port| self.setup.full_name(port));
        let cable = spec.pinned_cable;
        let cable = cable.map(|cable| format!("cable {}", self.setup.cables[cable].name));
        match (port, cable) {
            (Some(port), Some(cable)) => Some(format!("{port}, {cable}")),
            (port, cable) => port.or(cable),
        }
    }
}

/// A device beside the places of a plan.
struct Beside<'a> {
    lone: &'a Lone<'a>,
    places: &'a [Place],
    /// By device, the ports that suit it; where a cause is about ports.
    all: &'a [Vec<(usize, usize)>],
}

impl Beside<'_> {
    fn port_is_free(&self, way: &Way) -> bool {
        let mut places = self.places.iter();
        !places.any(|place| (place.charger, place.port) == (way.charger, way.port))
    }

    fn cable_is_free(&self, way: &Way) -> bool {
        let used = self.places.iter().filter(|place| place.cable == way.cable);
        let count = self.lone.setup.cables[way.cable].count;
        usize::try_from(count).map_or(true, |count| used.count() < count)
    }

    /// The places and the way.
    fn with(&self, way: &Way) -> Vec<Place> {
        let mut with = self.places.to_vec();
        with.push(Place {
            device: self.lone.device,
            charger: way.charger,
            port: way.port,
            cable: way.cable,
            contract: way.contract,
        });
        with
    }

    /// Whether the charger has enough for the way beside the others, whatever its table.
    fn pools_do(&self, way: &Way) -> bool {
        pools_suffice(
            &self.lone.setup.chargers[way.charger],
            &self.with(way),
            way.charger,
        )
    }

    fn fits(&self, way: &Way) -> bool {
        self.port_is_free(way)
            && self.cable_is_free(way)
            && self.pools_do(way)
            && lines_grant(
                &self.lone.setup.chargers[way.charger],
                &self.with(way),
                way.charger,
            )
    }

    fn holds(&self, cause: &Reason) -> Claim {
        let Lone { setup, ways, .. } = self.lone;
        let room = || ways.iter().any(|way| self.fits(way));
        let free = || ways.iter().filter(|way| self.port_is_free(way));
        let mut cabled = free().filter(|way| self.cable_is_free(way));
        match cause {
            Reason::FewerPorts { devices, ports } => {
                must(free().next().is_none(), || "a port is free".to_owned())?;
                let own = self.lone.ports();
                let suits = |(spec, ports): &(&DeviceSpec, &Vec<(usize, usize)>)| {
                    let mut ports = ports.iter();
                    spec.needs_berth() && ports.any(|port| own.binary_search(port).is_ok())
                };
                let compete = setup.devices.iter().zip(self.all).filter(suits).count();
                count("devices", *devices, compete)?;
                count("ports", *ports, own.len())
            }
            Reason::FewerCables { cables } => {
                must(free().next().is_some(), || "no port is free".to_owned())?;
                must(cabled.next().is_none(), || "a cable is left".to_owned())?;
                let mut names: Vec<&str> = free()
                    .map(|way| setup.cables[way.cable].name.as_str())
                    .collect();
                names.sort_unstable();
                names.dedup();
                must(*cables == names, || {
                    format!("its cables are {}", names.join(", "))
                })
            }
            Reason::PoolTooSmall {
                charger,
                pool,
                left_w,
                needs_w,
            } => {
                must(!room(), || "there is room for it".to_owned())?;
                let short = cabled.any(|way| {
                    let spec = &setup.chargers[way.charger];
                    let named = spec.pools.iter().find(|p| p.name == *pool);
                    named.is_some_and(|pool| {
                        let used =
                            taken(&setup.chargers[way.charger], self.places, way.charger, pool);
                        let left = from_millionths((millionths(pool.max_w) - used).max(0));
                        spec.name == *charger
                            && pool.ports.contains(&way.port)
                            && same(*left_w, left)
                            && same(*needs_w, from_millionths(takes(spec, &way.contract)))
                            && needs_w > left_w
                    })
                });
                must(short, || "that is not left, or not needed".to_owned())
            }
            Reason::NoCombination { charger } => {
                must(!room(), || "there is room for it".to_owned())?;
                let table = cabled.any(|way| {
                    setup.chargers[way.charger].name == *charger
                        && !lines_grant(&setup.chargers[way.charger], &self.with(way), way.charger)
                });
                must(table, || format!("no table of {charger} stands in its way"))
            }
            Reason::SearchStopped => must(room(), || "there is no room for it".to_owned()),
            Reason::NoRoom => must(!room(), || "there is room for it".to_owned()),
            _ => Err("alone it could be charged".to_owned()),
        }
    }
}

/// What a contract takes from the pools of a charger, in whole 1e-6 W.
fn takes(charger: &ChargerSpec, contract: &Contract) -> i64 {
    match charger.reserve {
        Reserve::Offer => millionths(contract.tier_w),
        Reserve::Contract => millionths(contract.port_w()),
    }
}

#[cfg(test)]
mod tests;

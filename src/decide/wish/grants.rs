//! Whether a set of changes grants a wish: first as one question to the search, then as the
//! best plan of the changed setup.

use std::collections::BTreeMap;

use super::changes::{Dial, dial};
use super::said::Asked;
use super::{Granted, Later, Wished};
use crate::assign::possible::{Demand, Possible};
use crate::assign::{reached_within, rota_reached_within, why};
use crate::decide::improve::Change;
use crate::decide::improve::apply::split_out;
use crate::diagnostics::{Error, Result};
use crate::plan::because::Because;
use crate::plan::objective::{Full, Reached, full_in_plan, full_in_rota};
use crate::plan::promise::NEVER;
use crate::plan::sessions::Sessions;
use crate::plan::{Berth, Plan, Status};
use crate::setup::document::SetupDocument;
use crate::setup::{DeviceSpec, Setup};
use crate::solve::budget::Budget;
use crate::solve::options::Wanted;
use crate::units::{from_millionths, millionths};

/// What the devices with a berth have, by name.
type AllHave = BTreeMap<String, Full>;

/// A wish about a setup, and what its plan gives now.
pub(super) struct Granting<'a> {
    /// Of the wish's aim.
    pub(super) setup: &'a Setup,
    /// Its document, with the wish as the deadline of the wished devices.
    document: SetupDocument,
    /// By name, as listed.
    pub(super) wished: Vec<String>,
    /// Whether they are to be full by a time.
    pub(super) by_h: Option<f64>,
    now: AllHave,
    wanted: Wanted,
    /// What is no loss in a time, in whole 1e-6 h.
    tolerance: i64,
}

/// What came of one set of changes.
pub(super) enum Verdict {
    Granted(Box<Granted>),
    Not,
    /// There would be room for it, but the best plan is better for others.
    ForOthers,
    Unknown,
}

/// How many parts of what is left a set may take for its plans, once it leaves room.
const PARTS_TO_PLANS: usize = 8;

impl<'a> Granting<'a> {
    pub(super) fn of(setup: &'a Setup, asked: &Asked, plan: &Plan, wanted: Wanted) -> Self {
        let names = asked.devices.iter().map(|&at| &setup.devices[at].name);
        let wished: Vec<String> = names.cloned().collect();
        let mut document = setup.document().clone();
        for name in asked.by_h.iter().flat_map(|_| &wished) {
            if let Some(device) = split_out(&mut document.devices, name) {
                device.ready_by_h = asked.by_h;
            }
        }
        Self {
            setup,
            document,
            wished,
            by_h: asked.by_h,
            now: have(full_in_plan(setup, plan)),
            wanted,
            tolerance: millionths(setup.tolerance_h),
        }
    }

    pub(super) fn is_wished(&self, device: &DeviceSpec) -> bool {
        self.wished.contains(&device.name)
    }

    /// What a device has now, where it has a berth.
    pub(super) fn has_now(&self, device: &DeviceSpec) -> Option<Full> {
        self.now.get(&device.name).copied()
    }

    /// Whether the wish is so already.
    pub(super) fn is_had(&self) -> bool {
        let by = self.by_h.map_or(i64::MAX, millionths);
        let wished = self.setup.devices.iter().filter(|of| self.is_wished(of));
        let mut wished = wished.filter(|of| of.needs_berth());
        wished.all(|of| self.has_now(of).is_some_and(|has| has.time <= by))
    }

    /// The wished devices, and what they have now.
    pub(super) fn have_now(&self) -> Vec<Wished> {
        self.wished_of(self.setup, &self.now)
    }

    /// What is had without a change.
    pub(super) fn as_it_is(&self, now: &Reached) -> Granted {
        Granted {
            changes: Vec::new(),
            at_priority_1: false,
            devices: self.have_now(),
            later: Vec::new(),
            reached: now.clone(),
        }
    }

    /// What is in the way, as it is now; none where that is not known.
    pub(super) fn because(&self, budget: &mut Budget) -> Result<Option<Because>> {
        let Some(setup) = self.changed(&[], false) else {
            return Ok(None);
        };
        let all = setup.devices.iter().enumerate();
        let wished = all.filter(|(_, of)| self.is_wished(of) && of.needs_berth());
        let devices = wished.map(|(at, _)| at).collect();
        let asked = (devices, self.demands(&setup));
        why::against(&setup, &Sessions::one(), asked, budget)
    }

    /// The setup with changes, and where that is so with the wished devices first; `None`
    /// where it is none that is accepted.
    fn changed(&self, set: &[Change], first: bool) -> Option<Setup> {
        let mut changes = set.iter();
        let with = |document, change: &Change| change.applied(&document);
        let mut document = changes.try_fold(self.document.clone(), with)?;
        if first {
            let names = self.wished.clone();
            document = Change::Priority { names, to: 1 }.applied(&document)?;
        }
        document.check().ok()
    }

    /// What is asked for each device of a changed setup.
    fn demands(&self, setup: &Setup) -> Vec<Demand> {
        let all = setup.devices.iter();
        let wished = all.clone().filter(|of| self.is_wished(of));
        // Who must be charged comes before all who only are to be.
        let first = wished.clone().all(|of| of.priority == 1) && wished.count() > 0;
        let demand = |device: &DeviceSpec| {
            if !device.needs_berth() {
                return Demand::Nothing;
            }
            let now = self.has_now(device);
            let stays = now.is_some_and(Full::is_in_time);
            let in_time = if self.is_wished(device) {
                self.by_h.is_some() || stays
            } else if now.is_some() {
                stays && !(first && device.priority > 1)
            } else {
                return Demand::Nothing;
            };
            Demand::Berth {
                by: i64::MAX,
                in_time,
            }
        };
        all.map(demand).collect()
    }

    /// Whether a set leaves room for what is wished; `None` where that is not known.
    pub(super) fn is_possible(&self, set: &[Change], budget: &mut Budget) -> Option<bool> {
        let Some(setup) = self.changed(set, false) else {
            return Some(false);
        };
        let sessions = if swaps(set) {
            Sessions::of(&setup)
        } else {
            Sessions::one()
        };
        let demands = self.demands(&setup);
        Possible::new(&setup, &sessions).is_possible(&demands, &[], budget)
    }

    /// What comes of a set that leaves room for what is wished.
    pub(super) fn granted(&self, set: &[Change], budget: &mut Budget) -> Result<Verdict> {
        budget.share(PARTS_TO_PLANS, |part| {
            let least = self.least(set, part);
            let mut sets = vec![least];
            if sets[0] != set {
                sets.push(set.to_vec());
            }
            let mut known = true;
            for set in sets {
                for first in [false, true] {
                    let Some((granted, holds)) = self.planned(&set, first, part)? else {
                        continue;
                    };
                    if holds {
                        return Ok(Verdict::Granted(Box::new(granted)));
                    }
                    known &= granted.reached.status == Status::Optimal;
                }
            }
            Ok(if known {
                Verdict::ForOthers
            } else {
                Verdict::Unknown
            })
        })
    }

    /// The set with as little of each of its changes as leaves room for what is wished.
    fn least(&self, set: &[Change], budget: &mut Budget) -> Vec<Change> {
        let mut least = set.to_vec();
        for at in 0..set.len() {
            let Some(Dial { low, high, turned }) = dial(self.setup, &set[at]) else {
                continue;
            };
            let mut leaves_room = |steps: i64| {
                least[at] = turned(steps);
                self.is_possible(&least, budget) == Some(true)
            };
            let (mut too_little, mut enough) = (low, high);
            let found = leaves_room(enough);
            while found && enough > too_little + 1 {
                let middle = too_little + (enough - too_little) / 2;
                if leaves_room(middle) {
                    enough = middle;
                } else {
                    too_little = middle;
                }
            }
            least[at] = if found {
                turned(enough)
            } else {
                set[at].clone()
            };
        }
        least
    }

    /// What the best plan with a set comes to, and whether it holds what is wished.
    fn planned(
        &self,
        set: &[Change],
        first: bool,
        budget: &mut Budget,
    ) -> Result<Option<(Granted, bool)>> {
        let Some(setup) = self.changed(set, first) else {
            return Ok(None);
        };
        let answer = if swaps(set) {
            rota_reached_within(&setup, self.wanted, budget)
                .map(|(rota, reached)| (have(full_in_rota(&setup, &rota)), reached))
        } else {
            reached_within(&setup, self.wanted, budget)
                .map(|(plan, reached)| (have(full_in_plan(&setup, &plan)), reached))
        };
        let (have, reached) = match answer {
            Ok(answer) => answer,
            Err(Error::Input(_)) => return Ok(None),
            Err(other) => return Err(other),
        };
        // Who comes first in the plan has no more to ask for.
        let Some(asking) = self.changed(set, false) else {
            return Ok(None);
        };
        let devices = setup.devices.iter().zip(self.demands(&asking));
        let holds = devices.into_iter().all(|(device, demand)| match demand {
            Demand::Nothing => true,
            Demand::Berth { in_time, .. } => {
                let has = have.get(&device.name);
                has.is_some_and(|has| !(in_time && has.late))
            }
        });
        let granted = Granted {
            changes: set.to_vec(),
            at_priority_1: first,
            devices: self.wished_of(&setup, &have),
            later: self.later(set, &setup, &have),
            reached,
        };
        Ok(Some((granted, holds)))
    }

    fn wished_of(&self, setup: &Setup, have: &AllHave) -> Vec<Wished> {
        let wished = setup.devices.iter().filter(|of| self.is_wished(of));
        let told = wished.map(|device| {
            let has = have.get(&device.name);
            Wished {
                device: device.name.clone(),
                served: has.is_some() || !device.needs_berth(),
                full_h: match has {
                    Some(has) if has.time < NEVER => from_millionths(has.time),
                    None if !device.needs_berth() => 0.0,
                    _ => f64::INFINITY,
                },
            }
        });
        told.collect()
    }

    /// The others that are full later than now, or late.
    fn later(&self, set: &[Change], setup: &Setup, have: &AllHave) -> Vec<Later> {
        let earlier = set.iter().map(|change| match change {
            Change::Start { earlier_h, .. } => millionths(*earlier_h),
            _ => 0,
        });
        let earlier: i64 = earlier.sum();
        let others = setup.devices.iter().filter(|of| !self.is_wished(of));
        let told = others.filter_map(|device| {
            let (now, then) = (self.has_now(device)?, have.get(&device.name)?);
            let from = now.time + earlier;
            let late = now.is_in_time() && then.late;
            (now.time < NEVER && (late || then.time > from + self.tolerance)).then(|| Later {
                device: device.name.clone(),
                from_h: from_millionths(from),
                to_h: if then.time < NEVER {
                    from_millionths(then.time)
                } else {
                    f64::INFINITY
                },
                late,
            })
        });
        told.collect()
    }
}

/// Whether the night has two sessions.
fn swaps(set: &[Change]) -> bool {
    let is_swap = |change: &Change| matches!(change, Change::Swap { .. });
    set.iter().any(is_swap)
}

/// What the devices with a berth have.
fn have<'a>(berths: impl Iterator<Item = (&'a Berth, Full)>) -> AllHave {
    berths
        .map(|(berth, full)| (berth.device.clone(), full))
        .collect()
}

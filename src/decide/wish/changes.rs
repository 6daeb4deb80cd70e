//! Every change that may be part of a set, in the order in which changes are made and those
//! of equal cost are told.

use super::grants::Granting;
use crate::assign::options::{Choices, PortGroup, same_but_name};
use crate::decide::improve::all::{cable, one_more_port, pins, pools, ports, swap, tables};
use crate::decide::improve::{Change, Cost};
use crate::limits::POOL_MAX_W;
use crate::plan::objective::{Full, ObjectiveValue};
use crate::setup::clock::TimeOfDay;
use crate::setup::{DeviceSpec, Setup};
use crate::units::{from_millionths, millionths, rounded};

/// The most changes in one set.
pub(super) const MOST_CHANGES: usize = 3;

/// The other start is found in steps of so many minutes, and at most so many steps earlier:
/// 4 hours are what an evening has.
const START_STEP_MIN: u32 = 5;
const START_STEPS: u32 = 48;

/// A change that may be part of a set.
pub(super) struct Candidate {
    pub(super) change: Change,
    pub(super) cost: Cost,
    /// One like it that is taken before it: of two that are alike the second alone is the
    /// first over again.
    pub(super) after: Option<usize>,
    /// What it changes: a set contains another where it changes all that the other does.
    pub(super) parts: Vec<usize>,
}

/// All of them.
pub(super) fn candidates(
    granting: &Granting<'_>,
    now: &ObjectiveValue,
    choices: &Choices,
) -> Vec<Candidate> {
    let setup = granting.setup;
    let mut all = Vec::new();
    dropped_pins(setup, &mut all);
    all.add(first(granting));
    all.add(swap(night_h(granting, now)));
    all.add(earliest(granting));
    stay_away(granting, &mut all);
    several(&mut all, |others| cable(setup, others));
    setup.chargers.iter().for_each(|of| all.add(pools(of)));
    raised_ports(setup, choices, &mut all);
    for charger in &setup.chargers {
        several(&mut all, |others| one_more_port(setup, charger, others));
    }
    all.add(tables(setup));
    all
}

trait Add {
    fn add(&mut self, changes: impl IntoIterator<Item = Change>);

    fn add_after(&mut self, change: Change, after: Option<usize>);
}

impl Add for Vec<Candidate> {
    fn add(&mut self, changes: impl IntoIterator<Item = Change>) {
        for change in changes {
            self.add_after(change, None);
        }
    }

    fn add_after(&mut self, change: Change, after: Option<usize>) {
        self.push(Candidate {
            cost: change.cost(),
            change,
            after,
            parts: vec![self.len()],
        });
    }
}

/// Both pins of a device are the one and the other.
fn dropped_pins(setup: &Setup, all: &mut Vec<Candidate>) {
    for change in pins(setup) {
        let is_both = matches!(
            &change,
            Change::Pin {
                port: Some(_),
                cable: Some(_),
                ..
            }
        );
        all.add([change]);
        let last = all.len() - 1;
        if is_both {
            all[last].parts = vec![last - 2, last - 1];
        }
    }
}

/// The wished devices before all others, where that lets one of these be late.
fn first(granting: &Granting<'_>) -> Option<Change> {
    let devices = &granting.setup.devices;
    let (wished, others): (Vec<&DeviceSpec>, Vec<&DeviceSpec>) =
        devices.iter().partition(|of| granting.is_wished(of));
    let may_wait = |of: &&DeviceSpec| {
        let now = granting.has_now(of);
        of.priority > 1 && now.is_some_and(Full::is_in_time)
    };
    let lower: Vec<String> = wished
        .iter()
        .filter(|of| of.priority > 1)
        .map(|of| of.name.clone())
        .collect();
    (!lower.is_empty() && others.iter().any(may_wait)).then_some(Change::Priority {
        names: lower,
        to: 1,
    })
}

/// How long the night is that one swap halves: to the wished time, where that is later.
fn night_h(granting: &Granting<'_>, now: &ObjectiveValue) -> f64 {
    let given = granting.setup.document().session_h;
    let longest = Some(now.longest_h).filter(|hours| hours.is_finite());
    let night = given.or(longest).into_iter().chain(granting.by_h);
    night.fold(0.0, f64::max)
}

/// Begun as early as may be, where the time of day of anything depends on it.
fn earliest(granting: &Granting<'_>) -> Option<Change> {
    let setup = granting.setup;
    let mut deadlines = setup.devices.iter().map(|of| of.ready_by_h);
    let matters = granting.by_h.is_some() || deadlines.any(|of| of.is_some());
    let start = setup.start.filter(|_| matters)?;
    Some(begun_earlier(start, START_STEPS))
}

fn begun_earlier(start: TimeOfDay, steps: u32) -> Change {
    let minutes = steps * START_STEP_MIN;
    Change::Start {
        from: start.to_string(),
        to: start.before(minutes).to_string(),
        earlier_h: rounded(f64::from(minutes) / 60.0),
    }
}

/// Each device that is not wished and takes room, those that are alike one after the other.
fn stay_away(granting: &Granting<'_>, all: &mut Vec<Candidate>) {
    let mut before: Vec<(&DeviceSpec, bool, usize)> = Vec::new();
    for device in &granting.setup.devices {
        let Some(has) = granting
            .has_now(device)
            .filter(|_| !granting.is_wished(device))
        else {
            continue;
        };
        let in_time = has.is_in_time();
        let twin = before
            .iter()
            .rev()
            .find(|(of, so, _)| *so == in_time && same_but_name(of, device));
        let after = twin.map(|(.., at)| *at);
        let name = device.name.clone();
        before.push((device, in_time, all.len()));
        all.add_after(Change::DeviceLess { name }, after);
    }
}

/// As many of the same as a set may have.
fn several(all: &mut Vec<Candidate>, one: impl Fn(&[String]) -> Option<Change>) {
    let mut names = Vec::new();
    let mut after = None;
    for _ in 0..MOST_CHANGES {
        let Some(change) = one(&names) else {
            return;
        };
        if let Change::CableAdded { name, .. } | Change::PortAdded { name, .. } = &change {
            names.push(name.clone());
        }
        all.add_after(change, after);
        after = Some(all.len() - 1);
    }
}

/// Each port that can be raised, those that are alike one after the other.
fn raised_ports(setup: &Setup, choices: &Choices, all: &mut Vec<Candidate>) {
    for (c, charger) in setup.chargers.iter().enumerate() {
        let mut before: Vec<(usize, usize)> = Vec::new();
        for change in ports(charger) {
            let Change::Port { name, .. } = &change else {
                continue;
            };
            let port = charger.ports.iter().position(|of| of.name == *name);
            let is_here = |group: &&PortGroup| {
                group.charger == c && port.is_some_and(|port| group.ports.contains(&port))
            };
            let group = choices.ports.iter().find(is_here).map(|of| of.ports[0]);
            let twin = before.iter().rev().find(|(of, _)| Some(*of) == group);
            let after = twin.map(|(_, at)| *at);
            before.extend(group.map(|group| (group, all.len())));
            all.add_after(change, after);
        }
    }
}

/// How much of a change is made, in whole steps.
pub(super) struct Dial {
    /// What is too little, and the most that there is.
    pub(super) low: i64,
    pub(super) high: i64,
    pub(super) turned: Box<dyn Fn(i64) -> Change>,
}

/// The dial of a change, where it has one: the watts of a pool, an earlier start.
pub(super) fn dial(setup: &Setup, change: &Change) -> Option<Dial> {
    match change {
        Change::Pool {
            charger,
            name,
            from_w,
            ..
        } => {
            let (charger, name, from_w) = (charger.clone(), name.clone(), *from_w);
            Some(Dial {
                low: millionths(from_w),
                high: millionths(POOL_MAX_W.high),
                turned: Box::new(move |limit| Change::Pool {
                    charger: charger.clone(),
                    name: name.clone(),
                    from_w,
                    to_w: Some(from_millionths(limit)),
                }),
            })
        }
        Change::Start { .. } => {
            let start = setup.start?;
            let steps = move |steps: i64| u32::try_from(steps).unwrap_or(START_STEPS);
            Some(Dial {
                low: 0,
                high: i64::from(START_STEPS),
                turned: Box::new(move |by| begun_earlier(start, steps(by))),
            })
        }
        _ => None,
    }
}

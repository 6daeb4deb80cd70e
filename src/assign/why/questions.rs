//! What a plan falls short in, each as demands that cannot all be met.

use crate::assign::options::twins;
use crate::assign::possible::Demand;
use crate::plan::because::Shortfall;
use crate::plan::objective::{Full, full_in_plan, full_in_rota};
use crate::plan::promise::NEVER;
use crate::plan::rota::Rota;
use crate::plan::{Berth, Plan};
use crate::setup::{DeviceSpec, Setup};
use crate::solve::goal::class;
use crate::units::millionths;

/// What a device of the setup has in the plan, by the aim.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Place {
    /// It needs none.
    Full,
    /// No berth.
    Nowhere,
    Berth {
        /// In whole 1e-6 h.
        time: i64,
        late: bool,
        /// At the port, in whole 1e-6 W.
        watts: i64,
    },
}

/// One thing that cannot be had.
pub(super) struct Question {
    pub(super) about: Shortfall,
    /// Whom it is about.
    pub(super) devices: Vec<usize>,
    /// By device of the setup.
    pub(super) demands: Vec<Demand>,
    /// The devices of which something is asked: those that are likely to matter last.
    pub(super) order: Vec<usize>,
    /// Devices that come before all of these and keep what they have, whatever the reason.
    pub(super) beside: Vec<usize>,
}

/// By device, what a plan gives it.
pub(super) fn places(setup: &Setup, plan: &Plan) -> Vec<Place> {
    each_place(setup, full_in_plan(setup, plan))
}

/// By device, what a rota gives it.
pub(super) fn places_of_rota(setup: &Setup, rota: &Rota) -> Vec<Place> {
    each_place(setup, full_in_rota(setup, rota))
}

fn each_place<'a>(setup: &Setup, berths: impl Iterator<Item = (&'a Berth, Full)>) -> Vec<Place> {
    let without = |device: &DeviceSpec| {
        if device.needs_berth() {
            Place::Nowhere
        } else {
            Place::Full
        }
    };
    let mut places: Vec<Place> = setup.devices.iter().map(without).collect();
    for (berth, full) in berths {
        if let Some(device) = setup.device_names().position(|name| name == berth.device) {
            places[device] = Place::Berth {
                time: full.time,
                late: full.late,
                watts: millionths(berth.port_w),
            };
        }
    }
    places
}

impl Question {
    /// Whether all of these demands, one for each device of the setup, can be met.
    pub(super) fn of_demands(devices: Vec<usize>, demands: Vec<Demand>) -> Self {
        let asks = |device: &usize| demands[*device] != Demand::Nothing;
        let order = (0..demands.len()).filter(asks).collect();
        Self {
            about: Shortfall::Wish,
            devices,
            demands,
            order,
            beside: Vec::new(),
        }
    }
}

/// All that the plan falls short in, each thing once.
pub(super) fn questions(setup: &Setup, places: &[Place]) -> Vec<Question> {
    let known = Known { setup, places };
    let unserved = known.each(|place| place == Place::Nowhere);
    let unserved = unserved.map(|of| known.question(Shortfall::Unserved, of));
    let late = known.each(|place| matches!(place, Place::Berth { late: true, .. }));
    let late = late.map(|of| known.question(Shortfall::Late, of));
    let never = |place| {
        let Place::Berth { time, late, .. } = place else {
            return false;
        };
        time == NEVER && !late
    };
    let uncertain = known.each(never);
    let uncertain = uncertain.map(|of| known.question(Shortfall::Uncertain, of));
    let all = unserved.chain(late).chain(uncertain);
    all.chain(known.longest()).collect()
}

struct Known<'a> {
    setup: &'a Setup,
    places: &'a [Place],
}

impl Known<'_> {
    fn rank(&self, device: usize) -> usize {
        usize::from(self.setup.devices[device].priority) - 1
    }

    /// The devices in such a place, those together that differ in name only.
    fn each(&self, is: impl Fn(Place) -> bool) -> impl Iterator<Item = Vec<usize>> {
        let those = (0..self.places.len()).filter(|&device| is(self.places[device]));
        twins(self.setup, those).into_iter()
    }

    /// What is asked of the first of some devices that are alike, beside what the order of
    /// plans gives the others before.
    fn question(&self, about: Shortfall, devices: Vec<usize>) -> Question {
        let (asking, rank) = (devices[0], self.rank(devices[0]));
        let demand = |device: usize| {
            let Place::Berth { time, late, .. } = self.places[device] else {
                return Demand::Nothing;
            };
            let before = self.rank(device) <= rank;
            match about {
                Shortfall::Unserved if before => Demand::ANY,
                Shortfall::Unserved => Demand::Nothing,
                Shortfall::Late => Demand::Berth {
                    by: i64::MAX,
                    in_time: !late && before,
                },
                _ => Demand::Berth {
                    by: self.kept(
                        device,
                        class(rank),
                        |time| {
                            if time < NEVER { NEVER - 1 } else { i64::MAX }
                        },
                        time,
                    ),
                    in_time: !late,
                },
            }
        };
        let mut demands: Vec<Demand> = (0..self.places.len()).map(demand).collect();
        demands[asking] = match about {
            Shortfall::Unserved => Demand::ANY,
            Shortfall::Late => Demand::Berth {
                by: i64::MAX,
                in_time: true,
            },
            _ => Demand::Berth {
                by: NEVER - 1,
                in_time: !matches!(self.places[asking], Place::Berth { late: true, .. }),
            },
        };
        self.asked(about, devices, demands)
    }

    /// Where the times of devices of the last class are asked about, those of the first are
    /// beside the question.
    fn asked(&self, about: Shortfall, devices: Vec<usize>, demands: Vec<Demand>) -> Question {
        let asking = devices[0];
        let of_times = matches!(about, Shortfall::Uncertain | Shortfall::Longest);
        let of = class(self.rank(asking));
        let is_before = |device: &usize| of_times && class(self.rank(*device)) < of;
        let order = self.order(&demands, asking);
        let (beside, order) = order.into_iter().partition(is_before);
        Question {
            about,
            devices,
            demands,
            order,
            beside,
        }
    }

    /// By when a device must be full, where the times of a class are asked about: those of
    /// a class before keep theirs, those of one after have to wait.
    fn kept(&self, device: usize, of: usize, own: impl Fn(i64) -> i64, time: i64) -> i64 {
        match class(self.rank(device)).cmp(&of) {
            std::cmp::Ordering::Less => time,
            std::cmp::Ordering::Equal => own(time),
            std::cmp::Ordering::Greater => i64::MAX,
        }
    }

    /// Why the last of those that are certain is full no sooner.
    fn longest(&self) -> Option<Question> {
        let tolerance = millionths(self.setup.tolerance_h);
        let times = self.places.iter().enumerate();
        let times = times.filter_map(|(device, place)| match place {
            Place::Berth { time, .. } if *time < NEVER => Some((*time, device)),
            _ => None,
        });
        let times: Vec<(i64, usize)> = times.collect();
        let longest = times.iter().map(|(time, _)| *time).max()?;
        let by = longest.saturating_sub(tolerance).saturating_sub(1);
        if by < 0 {
            return None;
        }
        // Those of the last priority come after all others.
        let longest = times.iter().filter(|(time, _)| *time == longest);
        let of = longest.map(|&(_, device)| class(self.rank(device))).min()?;
        let is_last =
            |&&(time, device): &&(i64, usize)| time > by && class(self.rank(device)) == of;
        let last: Vec<usize> = times.iter().filter(is_last).map(|of| of.1).collect();
        let demand = |device: usize| match self.places[device] {
            Place::Berth { time, late, .. } => Demand::Berth {
                by: self.kept(
                    device,
                    of,
                    |time| if time < NEVER { by } else { i64::MAX },
                    time,
                ),
                in_time: !late,
            },
            Place::Full | Place::Nowhere => Demand::Nothing,
        };
        let demands: Vec<Demand> = (0..self.places.len()).map(demand).collect();
        Some(self.asked(Shortfall::Longest, last, demands))
    }

    /// The devices of which something is asked, those that take the least first, then by
    /// when they are full, `asking` last.
    fn order(&self, demands: &[Demand], asking: usize) -> Vec<usize> {
        let mut order: Vec<usize> = (0..demands.len())
            .filter(|&device| demands[device] != Demand::Nothing)
            .collect();
        let key = |&device: &usize| match self.places[device] {
            Place::Berth { time, watts, .. } => (device == asking, watts, time),
            Place::Full | Place::Nowhere => (device == asking, 0, 0),
        };
        order.sort_by_key(key);
        order
    }
}

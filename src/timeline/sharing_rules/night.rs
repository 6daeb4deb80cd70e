//! The night of one charger under one rule: its grants as at the start to the end, and
//! handed on as devices get full.

use super::SharingRule;
use super::division::{Asks, Group};
use crate::limits::LONGEST_H;
use crate::plan::promise::{Asking, Granted, NEVER};
use crate::plan::schedule::Slot;
use crate::plan::shared::governing;
use crate::setup::contract::{Carries, Contract};
use crate::setup::document::Reserve;
use crate::setup::{ChargerSpec, DeviceSpec, Setup};
use crate::solve::budget::Budget;
use crate::timeline::course::{Course, line};
use crate::units::{from_millionths, millionths, rounded};

/// A device on a port of the charger.
pub(super) struct Berth<'a> {
    pub(super) slot: &'a Slot,
    setup: &'a Setup,
    asking: Asking<'a>,
    /// In whole 1e-6 W, as what follows.
    load: i64,
    floor: i64,
}

impl<'a> Berth<'a> {
    /// `floor` is what its charger keeps for it.
    pub(super) fn of(setup: &'a Setup, slot: &'a Slot, carried: &'a Carries, floor: i64) -> Self {
        let asking = Asking::of(setup, slot.port, carried, &setup.devices[slot.device]);
        let reserve = setup.chargers[slot.port.charger].reserve;
        Self {
            slot,
            setup,
            load: asking.load(reserve),
            floor,
            asking,
        }
    }

    /// What it asks for, in whole 1e-6 W.
    pub(super) fn demand(&self) -> i64 {
        self.asking.demand()
    }

    fn device(&self) -> &'a DeviceSpec {
        &self.setup.devices[self.slot.device]
    }

    /// What lies ahead from a moment on at so much; none where nothing is negotiated, or
    /// where the device runs on all that arrives.
    fn way(&self, granted: Granted, from_h: f64, from_pct: f64) -> Way {
        let contract = self.asking.at_best(granted);
        let charges = contract
            .filter(|contract| millionths(contract.inlet_w) > millionths(self.device().running_w));
        let course =
            charges.map(|contract| Course::of(self.setup, self.slot, &contract, from_h, from_pct));
        Way {
            contract,
            course: course.filter(|course| course.full_h.is_finite()),
        }
    }
}

/// A contract, and what lies ahead at it.
#[derive(Debug, Clone)]
struct Way {
    contract: Option<Contract>,
    course: Option<Course>,
}

impl Way {
    fn full_h(&self) -> f64 {
        self.course
            .as_ref()
            .map_or(f64::INFINITY, |course| course.full_h)
    }
}

/// One of the lines that a charger's table may follow, or its pools alone.
struct Line {
    /// By berth the most that it takes from others.
    asks: Vec<i64>,
}

/// A charger with the devices on it.
pub(super) struct Charger<'a> {
    pub(super) berths: Vec<Berth<'a>>,
    spec: &'a ChargerSpec,
    /// Those that govern; one without limits where there is no table.
    lines: Vec<Line>,
    pools_of: Vec<Vec<usize>>,
}

/// What comes of a rule and an order.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Outcome {
    pub(super) held: Nights,
    pub(super) handed_on: Nights,
}

/// By berth.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Nights {
    /// Times to full, the longest first, in whole 1e-6 h, never being later than any time.
    pub(super) sorted: Vec<i64>,
    pub(super) times: Vec<i64>,
    /// What is granted at the start, in whole 1e-6 W.
    pub(super) granted: Vec<i64>,
    /// Volts × amperes of the contract at the start.
    pub(super) port_w: Vec<Option<f64>>,
}

impl Nights {
    /// When the last is full.
    pub(super) fn longest(&self) -> i64 {
        self.sorted.first().copied().unwrap_or(0)
    }

    fn of(times: Vec<i64>, granted: &[Granted], ways: &[Way]) -> Self {
        let mut sorted = times.clone();
        sorted.sort_unstable_by(|a, b| b.cmp(a));
        let port_w = ways
            .iter()
            .map(|way| way.contract.map(|contract| contract.port_w()));
        Self {
            sorted,
            times,
            granted: granted.iter().map(|granted| granted.watts).collect(),
            port_w: port_w.collect(),
        }
    }
}

impl<'a> Charger<'a> {
    pub(super) fn of(spec: &'a ChargerSpec, berths: Vec<Berth<'a>>) -> Self {
        let port = |berth: &Berth<'_>| berth.slot.port.index;
        let lines = if spec.lines.is_empty() {
            vec![Line {
                asks: berths.iter().map(|berth| berth.load).collect(),
            }]
        } else {
            let mut in_use = vec![false; spec.ports.len()];
            for berth in &berths {
                in_use[port(berth)] = true;
            }
            governing(spec, &in_use)
                .map(|line| Line {
                    asks: berths
                        .iter()
                        .map(|berth| {
                            let given = line.watts[port(berth)].map(millionths);
                            given.map_or(berth.load, |given| given.min(berth.load))
                        })
                        .collect(),
                })
                .collect()
        };
        let pools_of = berths.iter().map(|berth| {
            let holding = spec.pools.iter().enumerate();
            let holding = holding.filter(|(_, pool)| pool.ports.contains(&port(berth)));
            holding.map(|(index, _)| index).collect()
        });
        Self {
            pools_of: pools_of.collect(),
            spec,
            lines,
            berths,
        }
    }

    /// Whether every port has its watts, whoever else draws: nothing is divided then.
    pub(super) fn is_assured(&self) -> bool {
        let caps = |line: Option<&[Option<f64>]>| -> Vec<i64> {
            let ports = self.spec.ports.iter().enumerate();
            ports
                .map(|(index, port)| {
                    let given = line.map(|watts| watts[index].unwrap_or(0.0));
                    millionths(given.map_or(port.cap_w, |given| given.min(port.cap_w)))
                })
                .collect()
        };
        let fit = |caps: Vec<i64>| {
            self.spec.pools.iter().all(|pool| {
                let sum: i64 = pool.ports.iter().map(|&port| caps[port]).sum();
                sum <= millionths(pool.max_w)
            })
        };
        if self.spec.lines.is_empty() {
            fit(caps(None))
        } else {
            let mut lines = self.spec.lines.iter();
            lines.all(|line| fit(caps(Some(&line.watts))))
        }
    }

    /// What comes of a rule and an order, each way of telling it by the worst of the lines
    /// that may govern; none where a limit struck.
    pub(super) fn outcome(
        &self,
        rule: SharingRule,
        order: &[usize],
        budget: &mut Budget,
    ) -> Option<Outcome> {
        let mut worst: Option<Outcome> = None;
        for line in &self.lines {
            let found = self.under(line, rule, order, budget)?;
            worst = Some(match worst {
                None => found,
                Some(worst) => Outcome {
                    held: later(worst.held, found.held),
                    handed_on: later(worst.handed_on, found.handed_on),
                },
            });
        }
        worst
    }

    fn under(
        &self,
        line: &Line,
        rule: SharingRule,
        order: &[usize],
        budget: &mut Budget,
    ) -> Option<Outcome> {
        let mut group = self.group(line);
        if !budget.affords(self.work()) {
            return None;
        }
        let granted = group.divided(rule, order);
        let start = self.berths.iter().zip(&granted);
        let mut ways: Vec<Way> = start
            .map(|(berth, granted)| berth.way(*granted, 0.0, berth.device().start_pct))
            .collect();
        let times = ways.iter().map(|way| whole(way.full_h())).collect();
        let held = Nights::of(times, &granted, &ways);
        // One that holds back what it advertises does not notice what is no longer asked for.
        if self.spec.reserve == Reserve::Offer {
            return Some(Outcome {
                handed_on: held.clone(),
                held,
            });
        }
        let at_start = ways.clone();
        let mut full = vec![false; self.berths.len()];
        loop {
            let waiting = ways.iter().zip(&full).filter(|(_, full)| !**full);
            let next_h = waiting
                .map(|(way, _)| way.full_h())
                .fold(f64::INFINITY, f64::min);
            if next_h == f64::INFINITY {
                break;
            }
            for (at, way) in ways.iter().enumerate() {
                if !full[at] && way.full_h() <= next_h {
                    full[at] = true;
                    self.release(&mut group.berths[at], at, way);
                }
            }
            if full.iter().all(|full| *full) {
                break;
            }
            if !budget.affords(self.work()) {
                return None;
            }
            self.go_on(&mut group, &mut ways, &full, next_h, |group| {
                group.divided(rule, order)
            });
        }
        let times = ways.iter().map(|way| whole(way.full_h())).collect();
        Some(Outcome {
            held,
            handed_on: Nights::of(times, &granted, &at_start),
        })
    }

    /// Divides anew among those that are not full.
    fn go_on(
        &self,
        group: &mut Group,
        ways: &mut [Way],
        full: &[bool],
        now_h: f64,
        divided: impl Fn(&Group) -> Vec<Granted>,
    ) {
        for (at, berth) in self.berths.iter().enumerate() {
            // Without a course its charge stays as it is.
            if let Some(course) = &ways[at].course {
                group.berths[at].soc_pct = course.pct_at(berth.device(), now_h);
            }
        }
        let granted = divided(group);
        for (at, berth) in self.berths.iter().enumerate() {
            if !full[at] && berth.asking.at_best(granted[at]) != ways[at].contract {
                ways[at] = berth.way(granted[at], now_h, group.berths[at].soc_pct);
            }
        }
    }

    /// A full device asks for what it runs on.
    fn release(&self, asks: &mut Asks, at: usize, way: &Way) {
        let berth = &self.berths[at];
        let running = way.contract.map_or(0.0, |contract| {
            let running_w = berth.device().running_w;
            line(berth.setup, berth.slot, &contract).port_w(running_w)
        });
        asks.ask_w = asks.ask_w.min(running);
    }

    fn group(&self, line: &Line) -> Group {
        let berths = self.berths.iter().zip(&line.asks).map(|(berth, ask)| {
            let device = berth.device();
            Asks {
                ask_w: from_millionths(*ask),
                floor_w: from_millionths(berth.floor),
                min_w: device.min_w,
                battery_wh: device.battery_wh,
                soc_pct: device.start_pct,
            }
        });
        Group {
            berths: berths.collect(),
            pools_w: self
                .spec
                .pools
                .iter()
                .map(|pool| rounded(pool.max_w))
                .collect(),
            pools_of: self.pools_of.clone(),
        }
    }

    /// Looks at a berth that one division costs, what follows from it included.
    fn work(&self) -> usize {
        /// Points of a curve that take as long as a look.
        const POINTS: usize = 8;
        let pools: usize = self.pools_of.iter().map(Vec::len).sum();
        let points = self.berths.iter();
        let points = points.map(|berth| berth.device().draw_w.len() / POINTS);
        self.berths.len() + pools + points.sum::<usize>()
    }
}

fn later(a: Nights, b: Nights) -> Nights {
    if b.sorted > a.sorted { b } else { a }
}

/// In whole 1e-6 h.
fn whole(hours: f64) -> i64 {
    if LONGEST_H.holds(hours) {
        millionths(hours)
    } else {
        NEVER
    }
}

//! A charger that renegotiates at each event of a device on it, and where a session
//! starts; chargers know nothing of each other.
//!
//! That loses nothing: of two sorted lists the lesser stays the lesser when the same times
//! are put into both, so the best of every charger together is the best of all.

use super::course::Course;
use super::share::{Key, Seat, Way, share};
use super::track::Track;
use crate::plan::schedule::{Bounds, Schedule, Slot, contracts};
use crate::plan::shared::taken;
use crate::setup::Setup;
use crate::setup::contract::Contract;
use crate::setup::curve::hours_from;
use crate::setup::ids::ChargerId;
use crate::solve::budget::Budget;
use crate::units::millionths;

/// By stay its night, renegotiated; and whether every answer is proven best.
pub(super) fn reshared(
    setup: &Setup,
    schedule: &Schedule,
    held: &[Track],
    budget: &mut Budget,
) -> (Vec<Track>, bool) {
    let mut tracks: Vec<Track> = schedule
        .slots
        .iter()
        .map(|slot| Track::new(setup, schedule, slot))
        .collect();
    let last = schedule.sessions.len().saturating_sub(1);
    let behind = schedule.slots.iter().zip(held);
    let somebody_is_not_full = behind
        .into_iter()
        .any(|(slot, held)| slot.last == last && held.full_h.is_none());
    for charger in (0..setup.chargers.len()).map(ChargerId) {
        let on_it = schedule.slots.iter().zip(held).zip(&mut tracks);
        let mut berths: Vec<Berth<'_>> = on_it
            .filter(|((slot, _), _)| slot.port.charger == charger)
            .map(|((slot, held), track)| Berth {
                slot,
                held,
                ladder: contracts(setup, slot.port, slot.cable, &setup.devices[slot.device]),
                course: track.course(setup, slot),
                marked: 0,
                track,
            })
            .collect();
        for (session, &bounds) in schedule.sessions.iter().enumerate() {
            let mut part = Part {
                setup,
                charger,
                bounds,
                must_keep_up: session < last || somebody_is_not_full,
                berths: berths
                    .iter_mut()
                    .filter(|berth| (berth.slot.first..=berth.slot.last).contains(&session))
                    .collect(),
                budget: &mut *budget,
            };
            if session > 0 && !part.berths.is_empty() {
                part.renegotiate(bounds.start_h, true);
            }
            part.run();
        }
        for berth in &mut berths {
            let end_h = schedule.ends_h(berth.slot);
            berth.track.follow(setup, berth.slot, &berth.course, end_h);
        }
    }
    (tracks, !budget.is_spent())
}

/// Times that are equal are worked out on several ways here, and differ in the last digit.
/// Plain input makes halves of a millionth as a rule rather than by chance: with this much
/// more, all of them are rounded up.
const HALF_UP_H: f64 = 1e-11;

/// A contract, with the least tier that gives it.
type Rung = (f64, Contract);

/// A stay while the night goes on.
struct Berth<'a> {
    slot: &'a Slot,
    held: &'a Track,
    /// Its contracts, each with the least tier that gives it.
    ladder: Vec<Rung>,
    /// As far as contracts have changed.
    track: &'a mut Track,
    /// What lies ahead from there.
    course: Course,
    /// How many of its marks have been noticed.
    marked: usize,
}

impl Berth<'_> {
    /// When something happens next.
    fn next_h(&self) -> f64 {
        let mark = self.course.marks.get(self.marked);
        mark.map_or(f64::INFINITY, |(at_h, _)| *at_h)
    }

    fn notice(&mut self, at_h: f64) {
        while self.next_h() <= at_h {
            self.marked += 1;
        }
    }

    fn is_full(&self, at_h: f64) -> bool {
        self.course.full_h <= at_h
    }

    /// From now on at another contract, where it is another.
    fn take(&mut self, setup: &Setup, at_h: f64, (tier_w, contract): Rung) {
        if self.track.holds().contract == contract {
            return;
        }
        let full = self.is_full(at_h);
        self.track.follow(setup, self.slot, &self.course, at_h);
        self.track.renegotiate(at_h, tier_w, contract);
        let from_pct = self.track.now_pct();
        self.course = Course::of(setup, self.slot, &contract, at_h, from_pct);
        self.marked = 0;
        if full {
            // That was noticed before.
            self.course.marks.clear();
        }
    }
}

/// One session on one charger.
struct Part<'a, 'b> {
    setup: &'a Setup,
    charger: ChargerId,
    bounds: Bounds,
    /// Whether nobody may be behind `held` at its end.
    must_keep_up: bool,
    berths: Vec<&'b mut Berth<'a>>,
    budget: &'b mut Budget,
}

impl Part<'_, '_> {
    fn run(&mut self) {
        loop {
            let next = self.berths.iter().map(|berth| berth.next_h());
            let at_h = next.fold(f64::INFINITY, f64::min);
            if at_h >= self.bounds.end_h {
                return;
            }
            for berth in &mut self.berths {
                berth.notice(at_h);
            }
            self.renegotiate(at_h, false);
        }
    }

    /// Shares anew; at the start of a session, the plan's contracts are what can always be
    /// had, else those that are held now.
    fn renegotiate(&mut self, at_h: f64, at_start: bool) {
        let charger = &self.setup.chargers[self.charger];
        let mut seats = Vec::with_capacity(self.berths.len());
        let mut offers = Vec::with_capacity(self.berths.len());
        let mut bases = Vec::with_capacity(self.berths.len());
        let looks: usize = self.berths.iter().map(|berth| self.looks(berth)).sum();
        let affordable = self.budget.affords(looks);
        for berth in &self.berths {
            let base = if at_start {
                (berth.slot.tier_w, berth.slot.contract)
            } else {
                let held = berth.track.holds();
                (held.tier_w, held.contract)
            };
            let charging = !berth.is_full(at_h);
            let way = |(tier_w, contract): Rung, full: i64| Way {
                tier: millionths(tier_w),
                takes: taken(charger, tier_w, &contract),
                full,
                watts: millionths(contract.port_w()),
            };
            let open = if affordable {
                self.open(berth, at_h, base)
            } else {
                Vec::new()
            };
            let full = self.full(berth, at_h, base.1).unwrap_or(i64::MAX);
            bases.push((base, charging, way(base, full)));
            seats.push(Seat {
                port: berth.slot.port.index,
                ways: open.iter().map(|&(rung, full)| way(rung, full)).collect(),
                charging,
            });
            offers.push(open);
        }
        let now = Key::of(bases.iter().map(|(_, charging, way)| (*charging, way)));
        let shared = if affordable {
            share(charger, &seats, &now, self.budget)
        } else {
            None
        };
        for (i, berth) in self.berths.iter_mut().enumerate() {
            let rung = match &shared {
                Some(ways) => offers[i][ways[i]].0,
                None => bases[i].0,
            };
            berth.take(self.setup, at_h, rung);
        }
    }

    /// The steps of working out when a berth is full at each of its contracts.
    fn looks(&self, berth: &Berth<'_>) -> usize {
        berth.ladder.len() * self.setup.devices[berth.slot.device].draw_w.len()
    }

    /// The contracts that a berth may have now, each with when it is full then.
    fn open(&self, berth: &Berth<'_>, at_h: f64, base: Rung) -> Vec<(Rung, i64)> {
        let device = &self.setup.devices[berth.slot.device];
        if berth.is_full(at_h) {
            let keeps = berth
                .ladder
                .iter()
                .find(|(_, contract)| millionths(contract.inlet_w) >= millionths(device.running_w));
            return vec![(*keeps.unwrap_or(&base), 0)];
        }
        let ladder = berth.ladder.iter();
        ladder
            .filter_map(|&rung| {
                let full = self.full(berth, at_h, rung.1)?;
                let keeps_up =
                    rung.1 == base.1 || !self.must_keep_up || self.keeps_up(berth, at_h, &rung.1);
                keeps_up.then_some((rung, full))
            })
            .collect()
    }

    /// When a berth is full at a contract from now on, in whole 1e-6 h from the start of the
    /// night: these are compared instead of what remains, so that nothing is lost by
    /// rounding again and again. `None` where that never is.
    fn full(&self, berth: &Berth<'_>, at_h: f64, contract: Contract) -> Option<i64> {
        if berth.is_full(at_h) || berth.track.holds().contract == contract {
            return Some(millionths(berth.course.full_h + HALF_UP_H));
        }
        let device = &self.setup.devices[berth.slot.device];
        let from_pct = berth.course.pct_at(device, at_h);
        let hours = hours_from(device, contract.inlet_w, from_pct)?;
        Some(millionths(at_h + hours + HALF_UP_H))
    }

    /// Whether a device that keeps this contract is at the end of the session at least as
    /// full as the plan has it.
    fn keeps_up(&self, berth: &Berth<'_>, at_h: f64, contract: &Contract) -> bool {
        let device = &self.setup.devices[berth.slot.device];
        let end_h = self.bounds.end_h;
        let from_pct = berth.course.pct_at(device, at_h);
        let then = Course::of(self.setup, berth.slot, contract, at_h, from_pct);
        let planned = berth.held.pct_at(device, end_h);
        millionths(then.pct_at(device, end_h)) >= millionths(planned)
    }
}

//! A rota in words and cells: what to do at each moment, then every device.

#[cfg(feature = "cli")]
mod text;

#[cfg(feature = "cli")]
pub use text::write_rota;

use super::clock::Clock;
use super::printable::{printable, short_name};
use super::standing::Longest;
use super::{Note, bounds, limited_by, no_need, pool, proven, without_berth};
use crate::plan::PoolUse;
use crate::plan::rota::{Rota, RotaBerth};
use crate::setup::Setup;
use crate::units::quantity::{contract, time};

/// A rota in words and cells. Moments are times of day where the setup says when the
/// first session begins, else hours from there: `01:40`, `+3 h 10 min`.
#[derive(Debug, Clone, PartialEq, Eq)]
#[non_exhaustive]
pub struct RotaReport {
    /// What was reached and what was proven, in one line.
    pub headline: String,
    /// When the last one is full, how often somebody comes back, what is held.
    pub totals: String,
    /// Where the search was stopped: what is proven so far.
    pub bounds: Option<String>,
    /// Whether every device has a berth and none is late.
    pub all_served: bool,
    /// The moments at which something is to be done, in order.
    pub moments: Vec<MomentReport>,
    /// Every berth, in the order of the devices.
    pub rows: Vec<RotaRow>,
    /// The devices that are late, and how.
    pub late: Vec<Note>,
    /// The devices without a berth, and why.
    pub without_berth: Vec<Note>,
    /// The devices that are full as they are.
    pub no_need: Vec<String>,
    /// What to keep in mind.
    pub cautions: Vec<String>,
}

/// A moment at which something is to be done.
#[derive(Debug, Clone, PartialEq, Eq)]
#[non_exhaustive]
pub struct MomentReport {
    /// When: `22:30`.
    pub at: String,
    /// The session that begins, or that all have ended.
    pub begins: String,
    /// The devices to take out, with a word where one is not full.
    pub take_out: Vec<String>,
    /// What to plug in, in the order of the ports:
    /// `score tablet 1 → C1 with long (20 V 2.25 A, full 01:40)`.
    pub plug_in: Vec<String>,
    /// What pools give from then on, as `NAME 59.5 of 60 W`.
    pub pools: Vec<String>,
}

/// One berth.
#[derive(Debug, Clone, PartialEq, Eq)]
#[non_exhaustive]
pub struct RotaRow {
    /// The device.
    pub device: String,
    /// The sessions that it takes: `evening`, `evening to night`.
    pub sessions: String,
    /// How long it charges: `3 h 05 min`, rounded up.
    pub charges_for: String,
    /// When it is full, or would be.
    pub full: String,
    /// When it must be.
    pub needed: String,
    /// Whether it is full too late, or not at all.
    pub late: Option<&'static str>,
    /// What keeps it from being full sooner.
    pub limited_by: &'static str,
}

impl RotaReport {
    /// The report of `rota`, which is a rota of `setup`.
    pub fn new(setup: &Setup, rota: &Rota) -> Self {
        let told = Told::of(setup, rota);
        let plan = rota.without_sessions();
        Self {
            headline: told.headline(),
            totals: told.totals(),
            bounds: bounds(&plan, "rota"),
            all_served: rota.unserved == 0 && rota.late == 0,
            moments: told.moments(),
            rows: rota.berths.iter().map(|berth| told.row(berth)).collect(),
            late: rota
                .berths
                .iter()
                .filter(|berth| berth.berth.late)
                .map(|berth| told.late_note(berth))
                .collect(),
            without_berth: without_berth(&rota.without_berth),
            no_need: no_need(setup),
            cautions: rota.cautions.iter().map(|text| printable(text)).collect(),
        }
    }
}

/// A rota while it is told.
struct Told<'a> {
    setup: &'a Setup,
    rota: &'a Rota,
    clock: Clock,
}

impl<'a> Told<'a> {
    fn of(setup: &'a Setup, rota: &'a Rota) -> Self {
        Self {
            setup,
            rota,
            clock: Clock::of(setup.start),
        }
    }

    fn session(&self, name: &str) -> usize {
        let found = self.rota.sessions.iter().position(|s| s.name == name);
        found.unwrap_or_default()
    }

    /// When a berth ends.
    fn end_h(&self, berth: &RotaBerth) -> f64 {
        let last = self.rota.sessions.get(self.session(&berth.until_session));
        last.map_or(0.0, |last| last.end_h)
    }

    fn is_full(&self, berth: &RotaBerth) -> bool {
        berth.finish_h <= self.end_h(berth)
    }

    fn headline(&self) -> String {
        let rota = self.rota;
        let total = rota.berths.len() + rota.unserved;
        if total == 0 {
            return "nothing to charge: every device is full as it is".to_owned();
        }
        let full: Vec<f64> = rota
            .berths
            .iter()
            .filter(|berth| self.is_full(berth))
            .map(|berth| berth.finish_h)
            .collect();
        let held_h = full.iter().copied().fold(0.0, f64::max);
        let longest = Longest {
            held_h,
            reshared_h: rota.reshared_h,
            chargers: self.setup.chargers.len(),
        };
        let latest = longest.at_the_latest();
        let mut parts = vec![match (full.len(), total) {
            (0, 1) => "the only device is not full by the end".to_owned(),
            (0, _) => format!("none of the {total} devices is full by the end"),
            (1, 1) => format!("the only device full after {}", time(held_h)),
            (all, of) if all == of => format!("all {of} devices full after {latest}"),
            (some, of) => format!("{some} of {of} devices full after {latest}"),
        }];
        let unfinished = rota.berths.len() - full.len();
        for (count, what) in [
            (rota.unserved, "without a berth"),
            (unfinished, "not full when taken out"),
            (rota.late.saturating_sub(unfinished), "late"),
        ] {
            if count > 0 {
                parts.push(format!("{count} {what}"));
            }
        }
        format!("{}; {}", parts.join(", "), proven(rota.status, "rota"))
    }

    fn totals(&self) -> String {
        let last = self.rota.berths.iter().filter(|berth| self.is_full(berth));
        let last = last.map(|berth| berth.finish_h).reduce(f64::max);
        let full = last.map(|last_h| format!("the last one full {}", self.clock.at(last_h)));
        let swaps = match self.rota.swaps {
            0 => "nothing to plug in after the start".to_owned(),
            1 => "1 to plug in after the start".to_owned(),
            more => format!("{more} to plug in after the start"),
        };
        let held = format!(
            "{} Wh held",
            crate::units::quantity::decimals(self.rota.held_wh, 0)
        );
        let parts: Vec<String> = full.into_iter().chain([swaps, held]).collect();
        parts.join("; ")
    }

    /// The session at whose start a device is taken out, or one more than there are: the
    /// first at which somebody is there, or it is away.
    fn taken_out(&self, berth: &RotaBerth) -> usize {
        let sessions = self.setup.sessions.len();
        let device = self
            .setup
            .devices
            .iter()
            .find(|d| d.name == berth.berth.device);
        let stays = |session: usize| {
            !self.setup.sessions[session].swap && device.is_some_and(|d| d.is_at_hand(session))
        };
        let after = self.session(&berth.until_session) + 1;
        (after..sessions)
            .find(|&session| !stays(session))
            .unwrap_or(sessions)
    }

    fn moments(&self) -> Vec<MomentReport> {
        let sessions = &self.rota.sessions;
        let moment = |index: usize| {
            let (at_h, begins) = match sessions.get(index) {
                Some(session) => (session.start_h, printable(&session.name)),
                None => (
                    sessions.last().map_or(0.0, |last| last.end_h),
                    "the end".to_owned(),
                ),
            };
            let take_out = self.rota.berths.iter();
            let take_out = take_out.filter(|berth| self.taken_out(berth) == index);
            let mut plug_in: Vec<&RotaBerth> = self
                .rota
                .berths
                .iter()
                .filter(|berth| index < sessions.len() && self.session(&berth.session) == index)
                .collect();
            plug_in.sort_by_key(|berth| self.place(berth));
            let pools: Vec<PoolUse> = self
                .rota
                .pools
                .iter()
                .filter(|pool| sessions.get(index).is_some_and(|s| s.name == pool.session))
                .map(|pool| pool.of.clone())
                .collect();
            MomentReport {
                at: self.clock.at(at_h),
                begins,
                take_out: take_out.map(|berth| self.take_out(berth)).collect(),
                plug_in: plug_in.iter().map(|berth| self.plug_in(berth)).collect(),
                pools: pools
                    .iter()
                    .map(|of| self.on(&of.charger, &pool(of)))
                    .collect(),
            }
        };
        (0..=sessions.len())
            .map(moment)
            .filter(|moment| !(moment.take_out.is_empty() && moment.plug_in.is_empty()))
            .collect()
    }

    /// Charger and port, as listed.
    fn place(&self, berth: &RotaBerth) -> Option<(usize, usize)> {
        let charger = self
            .setup
            .chargers
            .iter()
            .position(|c| c.name == berth.berth.charger)?;
        let ports = &self.setup.chargers[charger].ports;
        let port = ports
            .iter()
            .position(|port| port.name == berth.berth.port)?;
        Some((charger, port))
    }

    /// A part of a charger, whose name goes without saying where there is one.
    fn on(&self, charger: &str, part: &str) -> String {
        if self.setup.chargers.len() > 1 {
            format!("{}/{part}", short_name(charger))
        } else {
            part.to_owned()
        }
    }

    fn take_out(&self, berth: &RotaBerth) -> String {
        let device = short_name(&berth.berth.device);
        if self.is_full(berth) {
            device
        } else {
            format!("{device} (not full)")
        }
    }

    fn plug_in(&self, berth: &RotaBerth) -> String {
        let of = &berth.berth;
        let full = if self.is_full(berth) {
            format!("full {}", self.clock.at(berth.finish_h))
        } else {
            "not full before it is taken out".to_owned()
        };
        format!(
            "{} → {} with {} ({}, {full})",
            short_name(&of.device),
            self.on(&of.charger, &short_name(&of.port)),
            short_name(&of.cable),
            contract(of.volts, of.amps),
        )
    }

    /// When a device must be full.
    fn needed_h(&self, name: &str) -> f64 {
        let device = self.setup.devices.iter().find(|device| device.name == name);
        let own = device.and_then(|device| device.ready_by_h);
        own.or(self.rota.sessions.last().map(|last| last.end_h))
            .unwrap_or(0.0)
    }

    fn row(&self, berth: &RotaBerth) -> RotaRow {
        let (from, until) = (short_name(&berth.session), short_name(&berth.until_session));
        RotaRow {
            device: short_name(&berth.berth.device),
            sessions: if from == until {
                from
            } else {
                format!("{from} to {until}")
            },
            charges_for: time(berth.berth.hours),
            full: self.clock.at(berth.finish_h),
            needed: self.clock.at(self.needed_h(&berth.berth.device)),
            late: match (berth.berth.late, self.is_full(berth)) {
                (false, _) => None,
                (true, true) => Some("late"),
                (true, false) => Some("not reached"),
            },
            limited_by: limited_by(berth.berth.limited_by),
        }
    }

    fn late_note(&self, berth: &RotaBerth) -> Note {
        let needed_h = self.needed_h(&berth.berth.device);
        let full = self.clock.at(berth.finish_h);
        let text = if self.is_full(berth) {
            let late = time(berth.finish_h - needed_h);
            format!(
                "full {full}, needed {}: {late} late",
                self.clock.at(needed_h)
            )
        } else {
            let end_h = self.end_h(berth);
            let short = time(berth.finish_h - end_h);
            format!(
                "taken out {}, {short} before it is full",
                self.clock.at(end_h)
            )
        };
        Note {
            device: printable(&berth.berth.device),
            text,
        }
    }
}

//! A rota: who sits where in which sessions, when more is to be charged than there are
//! ports, and somebody swaps plugs between sessions.
//!
//! A berth starts with a session in which the device is at hand and at whose start plugs
//! can be swapped. It stays, without moving, to the end of the session in which the device
//! is full; a device that is not full by then stays to the end of the last session of that
//! unbroken run of sessions in which it is at hand. Its port, its cable and its watts are
//! taken in every session that it lasts. A device has at most one berth.

use std::borrow::Cow;

use crate::json::document;
use crate::plan::because::Because;
use crate::plan::bounds::LevelBound;
use crate::plan::origin::Program;
use crate::plan::{Assumed, Berth, Plan, PoolUse, Status, WithoutBerth};
use crate::setup::document::Aim;
use crate::setup::document::fields::answer_fields;
use crate::solve::levels::Level;
use crate::units::millionths;

answer_fields! {
    /// The answer to a setup with sessions, as data. Serialises to the rota document: a plan
    /// document whose berths and pools say in which sessions they are.
    ///
    /// ```
    /// use wattberth::{Cable, Charger, Device, Port, Session, SetupDocument, rota};
    ///
    /// // One port for two tablets, and somebody who comes by at half past ten.
    /// let setup = SetupDocument::new()
    ///     .start("19:00")
    ///     .session(Session::new("evening", 3.5))
    ///     .session(Session::new("night", 8.0))
    ///     .charger(Charger::new("cube").port(Port::pd("C1", 30.0)))
    ///     .cable(Cable::c_to_c("braided"))
    ///     .device(Device::new("score tablet", 28.6).pd_w(30.0).count(2))
    ///     .check()?;
    /// let rota = rota(&setup)?;
    /// assert_eq!((rota.unserved, rota.late, rota.swaps), (0, 0, 1));
    /// assert_eq!(rota.berths[1].session, "night");
    /// # Ok::<(), wattberth::Error>(())
    /// ```
    pub struct Rota, "a rota", handed on by rota_fields {
        /// Version of the document's form.
        needs version: u32, in FORM;
        /// The program that wrote it; absent where the rota is a part of another document.
        may program: Program;
        /// SHA-256 of the setup's document, defaults and chargers from other files as they
        /// were read, white space aside. Absent as `program` is.
        may setup_sha256: String;
        /// Whether the rota is proven best.
        needs status: Status;
        /// The last level of the order that is proven; present where `status` is `feasible`
        /// and there is one.
        may settled: Level;
        /// By which of its two readings it was chosen.
        needs aim: Aim;
        /// The longest finishing time at best, in hours from the start of the first session; 0
        /// where nothing has a berth.
        needs longest_h: f64;
        /// The longest finishing time that is promised whatever rule the chargers follow;
        /// absent where that of some berth is never.
        may promised_longest_h: f64;
        /// When the last device is full if the chargers renegotiate as devices need less, in
        /// hours; absent where nobody asked, or where the plug of some device is pulled before
        /// it is full.
        may reshared_h: f64;
        /// A proven bound on the longest finishing time among rotas with the shown numbers
        /// unserved and late; absent unless these equal their own bounds.
        may bound_h: f64;
        /// Devices that need a berth and have none.
        needs unserved: usize, in PLAN_COUNT;
        /// Proven least number unserved; present where `status` is `feasible`.
        may bound_unserved: usize, in PLAN_COUNT;
        /// Watt-hours missing in devices without a berth.
        needs missing_wh: f64;
        /// Devices that are full later than they must be, or whose berth ends before they
        /// are full.
        needs late: usize, in PLAN_COUNT;
        /// Devices that are not promised to be full in time, and before their berth ends.
        needs promised_late: usize, in PLAN_COUNT;
        /// Proven least number late; present where `status` is `feasible`.
        may bound_late: usize, in PLAN_COUNT;
        /// What is proven of the levels of the order that a limit left open, in that order;
        /// absent where none is, the listed order aside, or none more was wanted.
        any bounds: Vec<LevelBound>, in PLAN_ENTRIES;
        /// The berths, in the order of the devices.
        needs berths: Vec<RotaBerth>, in PLAN_ENTRIES;
        /// What the kinds of devices stood in for.
        needs assumed: Vec<Assumed>, in PLAN_ENTRIES;
        /// Devices that need a berth and have none, with the reason.
        needs without_berth: Vec<WithoutBerth>, in PLAN_ENTRIES;
        /// Session by session, every pool of every charger, with what is taken from it.
        needs pools: Vec<RotaPoolUse>, in PLAN_ENTRIES;
        /// What to keep in mind, each once.
        needs cautions: Vec<String>, in PLAN_ENTRIES, each "a caution";
        /// Why it is no better, thing by thing; absent where nobody asked.
        any because: Vec<Because>, in PLAN_ENTRIES;
        /// The time of day at which the first session begins, `22:30`, where the setup says it.
        may start: String;
        /// The sessions, in order.
        needs sessions: Vec<RotaSession>, in PLAN_ENTRIES;
        /// Berths that start after the first session.
        needs swaps: usize, in PLAN_COUNT;
        /// Watt-hours held: by berth, the contract's watts for the hours of the sessions taken.
        needs held_wh: f64;
    }
}

document! {
    /// Only its form is read, and what is no part of it is a fault;
    /// [`verify_rota`](crate::verify_rota()) checks what it says.
    Rota, "rota document", rota_schema
}

answer_fields! {
    /// One device's place, and the sessions that it takes.
    ///
    /// `hours` is the time to full from the start of the berth on, as if the device could
    /// stay. `limited_by` is the limit whose removal alone would shorten that time the most on
    /// the same port and cable, the other berths and their sessions kept, each contract judged
    /// in the sessions that it would take.
    pub struct RotaBerth, "a berth of a rota", handed on by rota_berth_fields {
        /// As in a plan of one session.
        flat berth: Berth;
        /// The session with which it starts.
        needs session: String;
        /// The session with whose end it ends; it may be the same.
        needs until_session: String;
        /// When the device is full, or would be if it could stay: hours from the start of the
        /// first session.
        needs finish_h: f64;
        /// When it is surely full, in hours from the start of the first session; absent where
        /// that is never.
        may promised_finish_h: f64;
    }
}

answer_fields! {
    /// What is taken from a pool in one session.
    pub struct RotaPoolUse, "a pool's use in a rota", handed on by rota_pool_use_fields {
        /// The pool, and what is taken.
        flat of: PoolUse;
        /// The session.
        needs session: String;
    }
}

answer_fields! {
    /// A session of a rota.
    pub struct RotaSession, "a session", handed on by rota_session_fields {
        /// As the setup names it.
        needs name: String;
        /// When it starts, in hours from the start of the first.
        needs start_h: f64;
        /// When it ends, in hours from the start of the first.
        needs end_h: f64;
    }
}

impl Rota {
    /// Devices late by what the rota was chosen by.
    pub fn late_by_aim(&self) -> usize {
        match self.aim {
            Aim::Best => self.late,
            Aim::Promise => self.promised_late,
        }
    }

    /// The longest time by what the rota was chosen by; `None` where it is never.
    pub fn longest_by_aim(&self) -> Option<f64> {
        match self.aim {
            Aim::Best => Some(self.longest_h),
            Aim::Promise => self.promised_longest_h,
        }
    }

    /// The berth of a device, by its name, with its number where there are several of it.
    pub fn berth(&self, device: &str) -> Option<&RotaBerth> {
        let mut berths = self.berths.iter();
        berths.find(|berth| berth.berth.device == device)
    }

    /// Whether every device has a berth and, by what the rota was chosen by, none is late.
    pub fn serves_all(&self) -> bool {
        self.unserved == 0 && self.late_by_aim() == 0
    }

    /// Whether every device with a berth is full before its plug is pulled.
    pub(crate) fn fills_all(&self) -> bool {
        self.berths.iter().all(|berth| {
            let last = self.sessions.iter().find(|s| s.name == berth.until_session);
            last.is_some_and(|last| millionths(berth.finish_h) <= millionths(last.end_h))
        })
    }

    /// The plan document that it is without its sessions: the pools of all of them follow
    /// one another. The setup that it would be of is another, so none is named.
    pub fn without_sessions(&self) -> Plan {
        Plan {
            version: self.version,
            program: None,
            setup_sha256: None,
            status: self.status,
            settled: self.settled,
            aim: self.aim,
            longest_h: self.longest_h,
            promised_longest_h: self.promised_longest_h,
            reshared_h: self.reshared_h,
            bound_h: self.bound_h,
            unserved: self.unserved,
            bound_unserved: self.bound_unserved,
            missing_wh: self.missing_wh,
            late: self.late,
            promised_late: self.promised_late,
            assumed: self.assumed.clone(),
            bound_late: self.bound_late,
            bounds: self.bounds.clone(),
            berths: self
                .berths
                .iter()
                .map(|berth| berth.berth.clone())
                .collect(),
            without_berth: self.without_berth.clone(),
            moves: None,
            pools: self.pools.iter().map(|pool| pool.of.clone()).collect(),
            cautions: self.cautions.clone(),
            because: self.because.clone(),
        }
    }
}

/// A night's plan; of a rota, what it is without its sessions.
pub(crate) fn plan_of<'a>(plan: Option<&'a Plan>, rota: Option<&Rota>) -> Option<Cow<'a, Plan>> {
    let rota = rota.map(|rota| Cow::Owned(rota.without_sessions()));
    plan.map(Cow::Borrowed).or(rota)
}

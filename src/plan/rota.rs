//! A rota: who sits where in which sessions, when more is to be charged than there are
//! ports, and somebody swaps plugs between sessions.
//!
//! A berth starts with a session in which the device is at hand and at whose start plugs
//! can be swapped. It stays, without moving, to the end of the session in which the device
//! is full; a device that is not full by then stays to the end of the last session of that
//! unbroken run of sessions in which it is at hand. Its port, its cable and its watts are
//! taken in every session that it lasts. A device has at most one berth.

use crate::json::document;
use schemars::JsonSchema;
use serde::Serialize;

use crate::plan::{Berth, Plan, PoolUse, Status, WithoutBerth};
use crate::solve::levels::Until;
use crate::units::millionths;

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
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
#[non_exhaustive]
pub struct Rota {
    /// Version of the document's form.
    pub version: u32,
    /// Whether the rota is proven best.
    pub status: Status,
    /// The last level of the order that is proven; present where `status` is `feasible`
    /// and there is one.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub settled: Option<Until>,
    /// The longest finishing time, in hours from the start of the first session; 0 where
    /// nothing has a berth.
    pub longest_h: f64,
    /// When the last device is full if the chargers renegotiate as devices need less, in
    /// hours; absent where nobody asked, or where the plug of some device is pulled before
    /// it is full.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub reshared_h: Option<f64>,
    /// A proven bound on the longest finishing time among rotas with the shown numbers
    /// unserved and late; absent unless these equal their own bounds.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub bound_h: Option<f64>,
    /// Devices that need a berth and have none.
    pub unserved: usize,
    /// Proven least number unserved; present where `status` is `feasible`.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub bound_unserved: Option<usize>,
    /// Watt-hours missing in devices without a berth.
    pub missing_wh: f64,
    /// Devices that are full later than they must be, or whose berth ends before they
    /// are full.
    pub late: usize,
    /// Proven least number late; present where `status` is `feasible`.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub bound_late: Option<usize>,
    /// The berths, in the order of the devices.
    pub berths: Vec<RotaBerth>,
    /// Devices that need a berth and have none, with the reason.
    pub without_berth: Vec<WithoutBerth>,
    /// Session by session, every pool of every charger, with what is taken from it.
    pub pools: Vec<RotaPoolUse>,
    /// What to keep in mind, each once.
    pub cautions: Vec<String>,
    /// The time of day at which the first session begins, `22:30`, where the setup says it.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub start: Option<String>,
    /// The sessions, in order.
    pub sessions: Vec<RotaSession>,
    /// Berths that start after the first session.
    pub swaps: usize,
    /// Watt-hours held: by berth, the contract's watts for the hours of the sessions taken.
    pub held_wh: f64,
}

document!(Rota, "rota document", rota_schema);

/// One device's place, and the sessions that it takes.
///
/// `hours` is the time to full from the start of the berth on, as if the device could
/// stay. `limited_by` is the limit whose removal alone would shorten that time the most on
/// the same port and cable, the other berths and their sessions kept, each contract judged
/// in the sessions that it would take.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
#[non_exhaustive]
pub struct RotaBerth {
    /// As in a plan of one session.
    #[serde(flatten)]
    pub berth: Berth,
    /// The session with which it starts.
    pub session: String,
    /// The session with whose end it ends; it may be the same.
    pub until_session: String,
    /// When the device is full, or would be if it could stay: hours from the start of the
    /// first session.
    pub finish_h: f64,
}

/// What is taken from a pool in one session.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
#[non_exhaustive]
pub struct RotaPoolUse {
    /// The pool, and what is taken.
    #[serde(flatten)]
    pub of: PoolUse,
    /// The session.
    pub session: String,
}

/// A session of a rota.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
#[non_exhaustive]
pub struct RotaSession {
    /// As the setup names it.
    pub name: String,
    /// When it starts, in hours from the start of the first.
    pub start_h: f64,
    /// When it ends, in hours from the start of the first.
    pub end_h: f64,
}

impl Rota {
    /// Whether every device with a berth is full before its plug is pulled.
    pub(crate) fn fills_all(&self) -> bool {
        self.berths.iter().all(|berth| {
            let last = self.sessions.iter().find(|s| s.name == berth.until_session);
            last.is_some_and(|last| millionths(berth.finish_h) <= millionths(last.end_h))
        })
    }

    /// The plan document that it is without its sessions: the pools of all of them follow
    /// one another.
    pub fn without_sessions(&self) -> Plan {
        Plan {
            version: self.version,
            status: self.status,
            settled: self.settled,
            longest_h: self.longest_h,
            reshared_h: self.reshared_h,
            bound_h: self.bound_h,
            unserved: self.unserved,
            bound_unserved: self.bound_unserved,
            missing_wh: self.missing_wh,
            late: self.late,
            bound_late: self.bound_late,
            berths: self
                .berths
                .iter()
                .map(|berth| berth.berth.clone())
                .collect(),
            without_berth: self.without_berth.clone(),
            pools: self.pools.iter().map(|pool| pool.of.clone()).collect(),
            cautions: self.cautions.clone(),
        }
    }
}

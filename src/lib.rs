//! Which device goes on which charger port, through which cable, at which contract,
//! so that the last one is full as early as possible: proven, not guessed.
//!
//! A label on a charger says what each port can do alone. What it grants when several
//! ports are in use, what the cable carries and what the device asks for decide how
//! long the night is. Wattberth works all of this out for every place a device could
//! have, and finds the plan than which no other is better.
//!
//! # A first plan
//!
//! What things say on their labels goes in; [`assign()`] gives the plan:
//!
//! ```
//! use wattberth::{Cable, Charger, Device, Port, SetupDocument, Status, assign};
//!
//! let setup = SetupDocument::new()
//!     .charger(Charger::new("cube").port(Port::pd("C1", 65.0)).port(Port::pd("C2", 20.0)))
//!     .cable(Cable::c_to_c("braided").length_m(1.0).count(2))
//!     .device(Device::new("laptop", 56.0).accepts("20V 3.25A, 15V 3A").start_pct(30.0))
//!     .device(Device::new("score tablet", 28.6).accepts("5V 3A, 9V 2A").start_pct(20.0))
//!     .check()?;
//! let plan = assign(&setup)?;
//! assert_eq!(plan.status, Status::Optimal);
//! for berth in &plan.berths {
//!     println!("{} on {}: {:.1} h", berth.device, berth.port, berth.hours);
//! }
//! # Ok::<(), wattberth::Error>(())
//! ```
//!
//! Every optional field of the document is a method of the same name on [`Charger`],
//! [`Port`], [`Cable`] and [`Device`], with its unit as a suffix (`_w` watts, `_wh`
//! watt-hours, `_h` hours, `_pct` percent, `_a` amperes, `_v` volts, `_m` metres) and
//! its default beside it. [`SetupDocument::check`] turns the document into a
//! [`Setup`], which is valid by its existence.
//!
//! # From JSON
//!
//! The same document as text is what files hold and programs send:
//!
//! ```
//! use wattberth::{Setup, assign};
//!
//! let setup = Setup::from_json(
//!     r#"{
//!       "session_h": 8,
//!       "chargers": [{
//!         "name": "stage box",
//!         "ports": [
//!           {"name": "C1", "pd_w": 65},
//!           {"name": "C2", "offers": "5V 3A, 9V 2.22A, PPS 3.3-11V 2A"},
//!           {"name": "A1", "connector": "usb-a", "offers": "5V 2.4A"}
//!         ],
//!         "combinations": [{"C1": 45, "C2": 20, "A1": 12}, {"C1": 65}]
//!       }],
//!       "cables": [{"name": "braided", "count": 2}, {"name": "old", "from": "usb-a"}],
//!       "devices": [
//!         {"name": "laptop", "pd_w": 65, "battery_wh": 56, "start_pct": 35},
//!         {"name": "phone", "accepts": "5V 3A, 9V 2A", "battery_mah": 4100, "count": 2}
//!       ]
//!     }"#,
//! )?;
//! assert_eq!(setup.device_names().collect::<Vec<_>>(), ["laptop", "phone 1", "phone 2"]);
//! let document = assign(&setup)?.to_json();
//! assert!(document.contains("\"status\": \"optimal\""));
//! # Ok::<(), wattberth::Error>(())
//! ```
//!
//! [`setup_schema`] and [`plan_schema`] are the JSON Schemas of both documents;
//! [`Setup::from_sources`] joins a bag with chargers from other files.
//!
//! # Reading the plan
//!
//! A [`Plan`] is plain data. Each [`Berth`] has its contract, its hours, and what it is
//! [limited by](LimitedBy); who found no place is listed with the [`Reason`]:
//!
//! ```
//! use wattberth::{Cable, Charger, Device, LimitedBy, Port, Reason, SetupDocument, assign};
//!
//! let cube = Charger::new("cube").port(Port::pd("C1", 45.0)).port(Port::pd("C2", 45.0));
//! let setup = SetupDocument::new()
//!     .charger(cube.max_w(60.0))
//!     .cable(Cable::c_to_c("braided").count(3))
//!     .device(Device::new("laptop", 56.0).pd_w(65.0).priority(1))
//!     .device(Device::new("score tablet", 28.6).pd_w(30.0).priority(1))
//!     .device(Device::new("recorder", 9.6).accepts("5V 1.5A").priority(3))
//!     .check()?;
//! let plan = assign(&setup)?;
//!
//! let laptop = &plan.berths[0];
//! assert_eq!((laptop.port.as_str(), laptop.volts), ("C1", 15.0));
//! // Both ports together may give 60 W: without that limit the laptop had 45 W.
//! assert!(laptop.port_w < 45.0);
//! assert_eq!(laptop.limited_by, LimitedBy::Pool);
//!
//! let left = &plan.without_berth[0];
//! assert_eq!(left.device, "recorder");
//! assert_eq!(left.cause, Reason::FewerPorts { devices: 3, ports: 2 });
//! assert_eq!(left.reason, "3 devices for 2 ports");
//! # Ok::<(), wattberth::Error>(())
//! ```
//!
//! Plans are compared in this order: fewest devices without a berth (those of
//! `priority` 1 first) and fewest watt-hours missing in them; fewest late ones; the
//! sorted times, longest first; total watts; then ports, cables and contracts as
//! listed. The same setup always gives the same plan.
//!
//! Every plan is held against its setup by [`verify()`] before it is returned; call it
//! for plans that came from elsewhere. [`report::Page`] has the plan in sentences and cells.
//!
//! # A proof to hand on
//!
//! That a plan is best, as far as the longest time, can be shown to somebody who does not
//! trust the search: [`Plan::proof`] has every step of it in whole numbers, and
//! [`verify_with_proof`] checks it by code that shares nothing with the search. [`Proof`]
//! is a document, too.
//!
//! # Around a plan
//!
//! [`score()`] holds a person's own way of plugging in against the rules and the best
//! plan; [`improve()`] makes each single change, plans again, and sorts what helps.
//!
//! [`rota()`] is for more devices than ports, and somebody who swaps the plugs between
//! sessions: who charges in which of them, best in the same order, as a [`Rota`].
//! [`verify_rota`] checks it.
//!
//! Two questions look for chargers for a [`Bag`] of devices and cables: [`size()`], what
//! is the least that will do in so many hours, and [`rank()`], which of many
//! [`Candidate`]s is best. [`batch()`] answers setups line by line.
//!
//! [`timeline()`] is the night as it happens: state of charge and watts of every device
//! over time, what the socket gives, and, where chargers renegotiate as devices need less,
//! how much sooner the last one is full ([`reshared()`]; [`Options::reshared`] has plans
//! tell it).
//!
//! [`trip()`] takes a setup along a route: what plugs in where, each night's plan, what
//! may fly and what to pack, every [`Finding`] with its reason, source and date; what it
//! knows of countries and plugs are [`facts`].
//!
//! # Limits
//!
//! The search counts its steps, so a budget means the same on every machine. Where one
//! strikes, the plan is the best so far, its [`Status`] says so, and its `bound_…`
//! fields say what is proven of the best one. A time limit or a flag stops it too:
//!
//! ```
//! # let setup = wattberth::SetupDocument::new()
//! #     .charger(wattberth::Charger::new("cube").port(wattberth::Port::pd("C1", 45.0)))
//! #     .cable(wattberth::Cable::c_to_c("braided"))
//! #     .device(wattberth::Device::new("laptop", 56.0).pd_w(65.0))
//! #     .check()?;
//! use std::time::Duration;
//! use wattberth::{Options, Status, assign_with};
//!
//! let mut options = Options::default();
//! options.time_limit = Some(Duration::from_secs(5));
//! let plan = assign_with(&setup, &options)?;
//! match plan.status {
//!     Status::Optimal => println!("nothing is better than {} h", plan.longest_h),
//!     Status::Feasible => println!("{} h; proven: at least {:?}", plan.longest_h, plan.bound_h),
//! }
//! # Ok::<(), wattberth::Error>(())
//! ```
//!
//! # Faults
//!
//! Wrong input is answered with all of its faults at once, each with its place in the
//! text, its path in the document, one sentence, and the near name where there is one:
//!
//! ```
//! use wattberth::{Error, Setup};
//!
//! let text = r#"{"chargers": [{"name": "cube", "ports": [{"name": "C1", "pd_w": 650}]}],
//!   "devices": [{"name": "phone", "batery_wh": 15, "pd_w": 18}]}"#;
//! let Err(Error::Input(faults)) = Setup::from_json(text) else {
//!     panic!("the text has faults")
//! };
//! assert_eq!((faults[0].line, faults[0].path.as_str()), (1, "chargers[0].ports[0].pd_w"));
//! assert_eq!(faults[1].message, "a device has no field `batery_wh`");
//! assert_eq!(faults[1].suggestion.as_deref(), Some("battery_wh"));
//! ```
//!
//! # What is modelled, and what is not
//!
//! Modelled: printed offers and USB PD powers, PPS, AVS and EPR; pools, combination
//! tables and power levels; cable ratings, e-markers, reach and drop; charging curves,
//! deadlines, priorities and pins. Not modelled in a plan: replugging and what one
//! device hands on to another ([`timeline()`] has the latter), battery packs as sources, makers' own schemes, cold or old batteries.
//! The README has both lists in full, and how to pose what the model has no word for.
//! Everything is worked out from labels; nothing is measured.
//!
//! # Features
//!
//! `cli`, on by default, is the `wattberth` command with its dependencies; the library
//! alone builds with `default-features = false`. `parallel`, a part of `cli`, lets
//! [`rank()`] and [`batch()`] use several threads. `pictures`, a part of `cli`, too,
//! writes a [`report::Page`] as SVG and as HTML, with plans, sizes and rankings drawn.
//! `highs` has `HiGHS` as the engine of last resort instead of `microlp`: the same answers,
//! a longer build (cmake, a C++ compiler and libclang are needed).

mod assign;
#[cfg(feature = "cli")]
pub mod cli;
mod decide;
mod diagnostics;
pub mod facts;
mod json;
mod limits;
mod plan;
pub mod report;
mod setup;
mod solve;
mod timeline;
mod trip;
mod units;
mod usb;
mod verify;

pub use crate::decide::bag::Bag;
pub use crate::decide::batch::{BatchOptions, LINE_BYTES, answer_line, batch, lines};
pub use crate::decide::improve::{
    Change, Improvement, Improvements, improve, improve_schema, improve_with,
};
pub use crate::decide::rank::{
    LeftOutKit, Progress, RankOptions, Ranked, Ranking, rank, rank_schema,
};
pub use crate::decide::score::{
    Behind, Broken, BrokenRule, Level, Score, ScoredBerth, ScoredContract, score, score_schema,
    score_with,
};
pub use crate::decide::size::{SizedPort, Sizing, TooLate, Tradeoff, size, size_schema, size_with};
pub use crate::diagnostics::{Error, Fault, Result, Source};
pub use crate::json::setup_schema;
pub use crate::plan::proof::{Proof, proof_schema};
pub use crate::plan::rota::{Rota, RotaBerth, RotaPoolUse, RotaSession, rota_schema};
pub use crate::plan::standing::{Reached, Standing};
pub use crate::plan::way::{Plug, Way};
pub use crate::setup::candidate::Candidate;
pub use crate::setup::document::{
    Adapter, Appliance, Battery, BatteryKind, Cable, Charger, Combination, Converter, Device,
    Label, Load, Pool, PoolPorts, Port, Reserve, Session, SetupDocument, Stop, TripDocument,
};
pub use crate::solve::levels::Until;
pub use assign::{Options, assign, assign_with, prove, prove_with, rota, rota_with};
pub use plan::{Berth, LimitedBy, Plan, PoolUse, Reason, Status, WithoutBerth, plan_schema};
pub use setup::Setup;
pub use timeline::{
    Energy, Event, EventContract, Happening, Reshared, Series, Sharing, Timeline, TimelineOptions,
    Wall, reshared, reshared_with, rota_reshared, rota_reshared_with, rota_timeline, timeline,
    timeline_schema,
};
pub use trip::{
    About, Finding, Missing, Packing, PackingKind, PackingList, Trip, TripCaution, TripStop,
    Verdict, trip, trip_schema, trip_with,
};
pub use verify::{NotChecked, Verification, Violation, verify, verify_rota, verify_with_proof};

#[cfg(doctest)]
#[doc = include_str!("../README.md")]
struct Readme;

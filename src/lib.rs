//! Which device goes on which charger port, through which cable, at which contract,
//! so that the last one is full as early as possible: proven, not guessed.
//!
//! A label on a charger says what each port can do alone. What it grants when several
//! ports are in use, what the cable carries and what the device asks for decide how
//! long the night is. Wattberth works all of this out for every place a device could
//! have, and finds the plan than which no other is better.
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
//! assert_eq!((plan.berths[0].device.as_str(), plan.berths[0].port.as_str()), ("laptop", "C1"));
//! # Ok::<(), wattberth::Error>(())
//! ```
//!
//! The [`guide`] goes on from here: [the library](guide::library) step by step, the
//! [command line](guide::start), the [input](guide::input), the
//! [words](guide::words) of all of it.

#![cfg_attr(docsrs, feature(doc_cfg))]

mod assign;
#[cfg(feature = "cli")]
pub mod cli;
mod decide;
mod diagnostics;
pub mod facts;
#[cfg(any(doc, doctest))]
pub mod guide;
mod json;
mod limits;
mod list;
mod plan;
pub mod report;
mod setup;
mod solve;
mod timeline;
mod trip;
mod units;
mod usb;
mod verify;

pub use assign::{
    Alike, assign, assign_from, assign_from_with, assign_near, assign_near_with, assign_with,
    prove, prove_rota_with, prove_whole_rota_with, prove_whole_with, prove_with, rota,
    rota_from_with, rota_with, why, why_with,
};
pub use decide::bag::Bag;
pub use decide::batch::{
    BatchAnswer, BatchLine, BatchOptions, LINE_BYTES, answer_line, batch, lines,
};
pub use decide::calendar::{Calendar, CalendarDevice, CalendarNight, calendar, calendar_with};
pub use decide::guest::{
    Freedom, Guest, GuestCost, GuestPlace, GuestPlan, GuestTimes, guest, guest_with,
};
pub use decide::improve::{Change, Improvement, Improvements, improve, improve_with};
pub use decide::rank::{
    DeviceTime, KitPlan, LeftOutKit, OnKitPlan, RankBy, RankOptions, RankProgress, Ranked, Ranking,
    TimesOf, rank, rank_with,
};
pub use decide::score::{
    Behind, Broken, BrokenRule, Objective, Score, ScoredBerth, ScoredContract, score, score_with,
};
pub use decide::size::{SizedPort, Sizing, TooLate, Tradeoff, size, size_with};
pub use decide::wish::{Granted, Later, Wish, Wished, Wishes, wish, wish_with};
pub use diagnostics::{Error, Fault, Result, Source, UnknownWord};
pub use json::{Faults, SetupCounts};
pub use plan::because::{Because, BindingLimit, LimitKind, Shortfall};
pub use plan::bounds::{BoundedLevel, LevelBound};
pub use plan::moves::{Move, Place};
pub use plan::objective::{ObjectiveValue, Reached};
pub use plan::origin::Program;
pub use plan::proof::{Proof, ProofFile};
pub use plan::rota::{Rota, RotaBerth, RotaPoolUse, RotaSession};
pub use plan::way::{Plug, Way};
pub use plan::{
    Assumed, AssumedValue, Berth, LimitedBy, Plan, PoolUse, Reason, Status, WithoutBerth,
};
pub use setup::Setup;
pub use setup::candidate::Candidate;
pub use setup::document::{
    Adapter, Aim, Appliance, Battery, BatteryKind, Cable, Charger, Combination, Converter, Device,
    Label, Lead, Load, Pool, PoolPorts, Port, Reserve, Session, SetupDocument, Shop, Span, Stop,
    TripDocument, Voltages,
};
pub use solve::levels::Level;
pub use solve::options::SolveOptions;
pub use solve::progress::{OnProgress, Progress, Settling};
pub use timeline::{
    DependsOn, Energy, Event, EventContract, Grants, Happening, PlugAdvice, PlugOrder, PlugPlace,
    Reshared, RuleBerth, RuleNight, RuleNights, RuleOutcome, Series, Sharing, SharingRule,
    SharingRules, Timeline, TimelineOptions, Wall, reshared, reshared_with, rota_reshared,
    rota_reshared_with, rota_timeline, rota_timeline_with, sharing_rules, sharing_rules_with,
    timeline, timeline_with,
};
pub use trip::shopping::{
    BagWorth, ChargeWith, Luggage, OtherSort, PackBy, PackOptions, Piece, ThingCost, pack,
    pack_with,
};
pub use trip::{
    About, AdapterNeed, Finding, Missing, Packing, PackingCosts, PackingKind, PackingList,
    SocketWay, SocketWays, Trip, TripCaution, TripNight, TripStop, Verdict, trip, trip_with,
};
pub use usb::Connector;
pub use verify::{
    NotChecked, Verification, Violation, verify, verify_rota, verify_rota_with_proof,
    verify_with_proof,
};
#[cfg(feature = "schema")]
pub use {
    decide::batch::{batch_answer_schema, batch_line_schema},
    decide::calendar::calendar_schema,
    decide::guest::guest_schema,
    decide::improve::improve_schema,
    decide::rank::rank_schema,
    decide::score::score_schema,
    decide::size::size_schema,
    decide::wish::wish_schema,
    json::faults_schema,
    json::{bag_schema, candidate_schema, setup_schema},
    plan::rota::rota_schema,
    plan::{berths_schema, plan_schema},
    timeline::sharing_rules_schema,
    timeline::timeline_schema,
    trip::shopping::pack_schema,
    trip::trip_schema,
};

#[cfg(doctest)]
#[doc = include_str!("../README.md")]
struct Readme;

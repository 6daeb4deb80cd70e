//! The model, a second time: every plan of a small setup is looked at, at best and as
//! promised, and the best by the stated order is kept.
//!
//! Written for reading, from the model's page alone; it shares nothing with the
//! library. It reads the setup's JSON itself and trusts it to be valid, since its
//! setups come from the generator or are written by hand: it may panic where the
//! library must not.

#[path = "model/causes.rs"]
pub(crate) mod causes;
#[path = "model/contract.rs"]
pub(crate) mod contract;
#[path = "model/document.rs"]
pub(crate) mod document;
#[path = "model/json.rs"]
pub(crate) mod json;
#[path = "model/kinds.rs"]
pub(crate) mod kinds;
#[path = "model/label.rs"]
pub(crate) mod label;
#[path = "model/limited_by.rs"]
pub(crate) mod limited_by;
#[path = "model/near.rs"]
pub(crate) mod near;
#[path = "model/offers.rs"]
pub(crate) mod offers;
#[path = "model/options.rs"]
pub(crate) mod options;
#[path = "model/order.rs"]
pub(crate) mod order;
#[path = "model/plan.rs"]
pub(crate) mod plan;
#[path = "model/promise.rs"]
pub(crate) mod promise;
#[path = "model/read_cable.rs"]
pub(crate) mod read_cable;
#[path = "model/read_charger.rs"]
pub(crate) mod read_charger;
#[path = "model/read_device.rs"]
pub(crate) mod read_device;
#[path = "model/rounding.rs"]
pub(crate) mod rounding;
#[path = "model/rules.rs"]
pub(crate) mod rules;
#[path = "model/search.rs"]
pub(crate) mod search;
#[path = "model/setup.rs"]
pub(crate) mod setup;
#[path = "model/stay.rs"]
pub(crate) mod stay;
#[path = "model/time.rs"]
pub(crate) mod time;

//! Facts that hold wherever a setup is taken: mains and sockets by country, plugs and
//! what they fit, labels of the mains side, batteries by air, and what to beware of.
//!
//! Every fact carries its [`Source`], with a date and how far it can be relied on.
//! Nothing here knows a setup: the functions are rules over the facts alone, and their
//! answers are data with the reasons in it, for somebody else to word.

mod air;
mod caution;
mod current;
mod fit;
mod label;
mod mains;
mod plug;
mod source;
mod suits;

pub use air::{
    AIRLINES, AirClass, AirFinding, AirReason, AirRule, AirVerdict, Battery, BatteryKind, Counted,
    Energy, EnergyFault, NationalRule, Place, flight, national_rules,
};
pub use caution::{Caution, When, all_cautions, cautions};
pub use current::{
    CurrentCheck, LEAST_RATING_RULE, Part, Rating, check_current, least_rating, load_a,
};
pub use fit::{Earth, Fit, Fits, SocketFit, all_fits, fit, fit_socket};
pub use label::{Bare, MainsLabel, MainsLabelFault, Rated};
pub use mains::{Mains, Missing, Socket, all_mains, country_name, mains, missing};
pub use plug::{EarthPin, Plug, PlugFacts, PlugNameFault};
pub use source::{Confidence, Date, Source};
pub use suits::{
    FREQUENCY_RULE, Held, Suits, SuitsAt, VOLTAGE_RULE, Verdict, frequency_suits, voltage_suits,
};

#[cfg(test)]
mod tests;

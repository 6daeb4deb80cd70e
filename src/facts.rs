//! Facts that hold wherever a setup is taken: mains and sockets by country, plugs and
//! what they fit, labels of the mains side, batteries by air, and what to beware of.
//!
//! Every fact carries its [`Source`], with a date and how far it can be relied on.
//! Nothing here knows a setup: the functions are rules over the facts alone, and their
//! answers are data with the reasons in it, for somebody else to word.
//!
//! ```
//! use wattberth::facts::{
//!     Bare, Earth, Fit, Fits, Mains, MainsLabel, Plug, Verdict, load_a,
//! };
//!
//! let japan = Mains::of("JP").expect("Japan is in the table");
//! let steamer = MainsLabel::parse("230 V 50 Hz 1200 W", Bare::Volts).expect("as printed");
//! assert_eq!(steamer.voltage_suits(japan.nominal_v).verdict(), Verdict::SuitsNot);
//! assert_eq!(steamer.frequency_suits(japan.frequency_hz).verdict(), Verdict::Depends);
//!
//! // A German plug goes into a Danish outlet, but its earth meets nothing there.
//! let danish = Fit::of(Plug::F, Plug::K);
//! assert_eq!((danish.fits, danish.earth), (Fits::Yes, Earth::Lost));
//! println!("{} ({}, {})", danish.note, danish.source.title, danish.source.date);
//!
//! assert_eq!(load_a(1200.0, 240.0), Some(5.0));
//! ```

mod air;
mod caution;
mod current;
mod fit;
mod kind;
mod label;
mod mains;
mod plug;
mod source;
mod suits;

#[cfg(feature = "schema")]
pub(crate) use air::USB_5_V;
pub use air::{
    AIRLINES, AirClass, AirFinding, AirReason, AirRule, AirVerdict, Battery, BatteryKind, Counted,
    Energy, EnergyFault, MetalClass, NOT_BUILT_IN, NameSays, NationalRule, Place, flight,
    kind_says, name_plainly_says, name_says, national_rules,
};
pub use caution::{Caution, When, all_cautions, cautions};
pub use current::{
    CurrentCheck, LEAST_RATING_RULE, Part, Rating, check_current, least_rating, load_a,
};
pub use fit::{Earth, Fit, Fits, Local, LocalNote, SocketFit, local_notes};
pub use kind::Kind;
pub use label::{Bare, MainsLabel, MainsLabelFault, Rated};
pub use mains::{Mains, Missing, Socket, country_name, missing};
pub(crate) use plug::words as plug_words;
pub use plug::{EarthPin, Face, NamedPlug, Pin, PinRole, PinShape, Plug, PlugFacts, PlugNameFault};
pub use source::{Confidence, Date, Source};
pub use suits::{FREQUENCY_RULE, Held, Suits, SuitsAt, VOLTAGE_RULE, Verdict};

#[cfg(test)]
mod tests;

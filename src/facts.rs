//! Facts that hold wherever a setup is taken: mains and sockets by country, plugs and
//! what they fit, labels of the mains side, batteries by air, and what to beware of.
//!
//! Every fact carries its [`Source`], with a date and how far it can be relied on.
//! Nothing here knows a setup: the functions are rules over the facts alone, and their
//! answers are data with the reasons in it, for somebody else to word.

mod fit;
mod label;
mod mains;
mod plug;
mod source;

pub use fit::{Earth, Fit, Fits, SocketFit, all_fits, fit, fit_socket};
pub use label::{Bare, MainsLabel, MainsLabelFault, Rated};
pub use mains::{Mains, Missing, Socket, all_mains, country_name, mains, missing};
pub use plug::{EarthPin, Plug, PlugFacts, PlugNameFault};
pub use source::{Confidence, Date, Source};

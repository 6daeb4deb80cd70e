//! Who moves from a plan at hand to another, as the plan document tells it.

use crate::plan::Berth;
use crate::setup::document::fields::answer_fields;

answer_fields! {
    /// A device that is on another port, or has another cable, than in the plan at hand. Ports
    /// that are alike count as one, and so do cables.
    pub struct Move, "a move", handed on by move_fields {
        /// The device.
        needs device: String;
        /// Where it was.
        needs from: Place;
        /// Where it is now; absent where it has no berth any more.
        may to: Place;
    }
}

answer_fields! {
    /// A port and a cable.
    pub struct Place, "a place", handed on by place_fields {
        /// The charger.
        needs charger: String;
        /// The port, as the charger names it.
        needs port: String;
        /// The cable.
        needs cable: String;
    }
}

impl From<&Berth> for Place {
    fn from(berth: &Berth) -> Self {
        Self {
            charger: berth.charger.clone(),
            port: berth.port.clone(),
            cable: berth.cable.clone(),
        }
    }
}

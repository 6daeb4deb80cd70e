//! The shop of a setup document: what could be bought beside what is in the bag.

use super::fields::fields;
use super::{Adapter, Cable, Charger, Converter};

fields! {
    /// What is for sale. Everything has its weight and its price; of what has no `count`
    /// there is as much as is wanted.
    #[cfg_attr(feature = "schema", schemars(transform = crate::setup::document::rules::shop))]
    pub struct Shop, "a shop", handed on by shop_fields {
        /// Chargers, each as one of a setup.
        any chargers: Vec<Charger>,
            in SHOP_CHARGERS, add (charger: Charger, "Adds a charger.");
        /// Cables, by kind.
        any cables: Vec<Cable>, in SHOP_CABLES, add (cable: Cable, "Adds a kind of cable.");
        /// Plug adapters.
        any adapters: Vec<Adapter>,
            in SHOP_ADAPTERS, add (adapter: Adapter, "Adds an adapter.");
        /// Voltage converters, of each of which one is enough.
        any converters: Vec<Converter>,
            in CONVERTERS, add (converter: Converter, "Adds a converter.");
    }
}

//! A candidate: one charger, or several that are bought together.

use serde::Serialize;

use crate::setup::document::Charger;

/// What could be bought or packed: one charger, or several as a set.
///
/// Weight and price belong to the chargers; the set's own `price` stands for all of it.
#[derive(Debug, Clone, PartialEq, Default, Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[cfg_attr(feature = "schema", schemars(deny_unknown_fields))]
#[cfg_attr(
    feature = "schema",
    schemars(transform = crate::setup::document::rules::only_a_shop_counts)
)]
#[non_exhaustive]
pub struct Candidate {
    /// The set's name; a candidate without one is called by its chargers' names.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub name: Option<String>,
    /// The chargers; at least one.
    #[cfg_attr(feature = "schema", schemars(transform = { crate::limits::CHARGERS }))]
    #[cfg_attr(feature = "schema", schemars(transform = crate::setup::document::rules::some))]
    pub chargers: Vec<Charger>,
    /// The price of the whole set, in the currency that all candidates share.
    #[cfg_attr(feature = "schema", schemars(transform = { crate::limits::PRICE }))]
    #[serde(skip_serializing_if = "Option::is_none")]
    pub price: Option<f64>,
}

impl Candidate {
    /// A set of chargers with a name of its own.
    pub fn set(name: impl Into<String>, chargers: impl IntoIterator<Item = Charger>) -> Self {
        Self {
            name: Some(name.into()),
            chargers: chargers.into_iter().collect(),
            price: None,
        }
    }

    /// The name under which it is listed: its own, or those of its chargers.
    pub fn title(&self) -> String {
        self.name.clone().unwrap_or_else(|| {
            let names: Vec<&str> = self.chargers.iter().map(|c| c.name.as_str()).collect();
            names.join(" + ")
        })
    }

    /// Grams of all its chargers, where each one's weight is known.
    pub fn weight_g(&self) -> Option<f64> {
        self.chargers.iter().map(|charger| charger.weight_g).sum()
    }

    /// Its own price, else that of all its chargers, where each one's is known.
    pub fn price(&self) -> Option<f64> {
        self.price
            .or_else(|| self.chargers.iter().map(|charger| charger.price).sum())
    }
}

impl From<Charger> for Candidate {
    fn from(charger: Charger) -> Self {
        Self {
            chargers: vec![charger],
            ..Self::default()
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::setup::document::Port;

    #[test]
    fn sums_are_known_where_every_part_is() {
        let cube = Charger::new("cube")
            .port(Port::pd("C1", 30.0))
            .weight_g(90.0);
        let brick = Charger::new("brick").port(Port::pd("C1", 65.0));
        let priced = brick.clone().weight_g(210.0).price(30.0);
        for (chargers, own, weight_g, price, title) in [
            (vec![cube.clone()], None, Some(90.0), None, "cube"),
            (vec![cube.clone(), brick], None, None, None, "cube + brick"),
            (
                vec![cube.clone(), priced.clone()],
                None,
                Some(300.0),
                None,
                "cube + brick",
            ),
            (
                vec![cube, priced.clone()],
                Some(45.0),
                Some(300.0),
                Some(45.0),
                "cube + brick",
            ),
            (vec![priced], None, Some(210.0), Some(30.0), "brick"),
        ] {
            let candidate = Candidate {
                name: None,
                chargers,
                price: own,
            };
            assert_eq!(candidate.weight_g(), weight_g);
            assert_eq!(candidate.price(), price);
            assert_eq!(candidate.title(), title);
        }
    }
}

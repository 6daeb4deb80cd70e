//! What a port offers at each of its tiers, and the contracts that come of it.

use std::borrow::Cow;

use super::PortSpec;
use super::contract::{Contract, Lift, Negotiation, Reading};
use super::document::Voltages;
use crate::units::millionths;
use crate::usb::Offer;
use crate::usb::tier::offers_by_rules;

/// A port's offers at each of its tiers, ascending.
pub(crate) struct Ladder {
    rungs: Vec<(f64, Vec<Offer>)>,
}

impl Ladder {
    pub(crate) fn of(port: &PortSpec) -> Self {
        let rungs = port
            .tiers_w
            .iter()
            .map(|&tier_w| (tier_w, held_at(port, tier_w).into_owned()))
            .collect();
        Self { rungs }
    }

    /// The distinct contracts over the tiers, each with its least tier.
    pub(crate) fn contracts(&self, meeting: &Negotiation<'_>) -> Vec<(f64, Contract)> {
        let mut found: Vec<(f64, Contract)> = Vec::new();
        for (tier_w, offers) in &self.rungs {
            let Some(new) = meeting.contract(offers, *tier_w) else {
                continue;
            };
            let same = |old: &Contract| {
                millionths(old.volts) == millionths(new.volts)
                    && millionths(old.amps) == millionths(new.amps)
            };
            if !found.iter().any(|(_, old)| same(old)) {
                found.push((*tier_w, new));
            }
        }
        found
    }
}

/// What a port offers at best while it is held at `tier_w`.
pub(crate) fn held_at(port: &PortSpec, tier_w: f64) -> Cow<'_, [Offer]> {
    match port.voltages {
        Some(Voltages::Rules) => Cow::Owned(by_rules(port, tier_w)),
        Some(Voltages::Kept) | None => Cow::Borrowed(&port.offers),
    }
}

fn by_rules(port: &PortSpec, tier_w: f64) -> Vec<Offer> {
    offers_by_rules(&port.offers, &port.connector, port.cap_w, tier_w)
}

impl Negotiation<'_> {
    /// The contract on the port held at `tier_w`.
    pub(crate) fn contract_at(&self, tier_w: f64) -> Option<Contract> {
        self.contract(&held_at(self.port, tier_w), tier_w)
    }

    /// Whether an offer of the port held at `tier_w` meets what the device accepts at all,
    /// however little then arrives.
    pub(crate) fn meets(&self, tier_w: f64) -> bool {
        self.matches(&held_at(self.port, tier_w), tier_w)
            .next()
            .is_some()
    }

    /// What is certain of the port held at `tier_w`: where it is not known which voltages it
    /// keeps, the contract that gives less, none being the least.
    pub(crate) fn promised_at(&self, tier_w: f64) -> Option<Contract> {
        let promised = Self {
            reading: Reading::Promised,
            ..*self
        };
        let found = promised.contract_at(tier_w)?;
        let known = self.port.voltages.is_some();
        if known || millionths(tier_w) >= millionths(self.port.cap_w) {
            return Some(found);
        }
        let by_rules = promised.contract(&by_rules(self.port, tier_w), tier_w)?;
        let less = by_rules.inlet_w < found.inlet_w;
        Some(if less { by_rules } else { found })
    }

    /// The contract where the port's own limit is lifted and more than its cap is left to it,
    /// with its tier: it is then held at just what the contract needs.
    pub(crate) fn beyond(&self, room_w: f64) -> Option<(f64, Contract)> {
        if room_w <= self.port.cap_w {
            return None;
        }
        let lifted = Self {
            lift: Lift::Port,
            ..*self
        };
        let found = lifted.contract(&self.port.offers, room_w)?;
        Some((found.port_w(), found))
    }
}

//! What a charger takes from the mains for what it gives: its own efficiency, else the
//! least that the law allows.
//!
//! The legal minimum is an average over a quarter, half, three quarters and all of the
//! rated output, and holds for the class of a supply, not for one unit at one load
//! (Commission Regulation (EU) 2019/1782, Annex II, in force since 1 April 2020, read on
//! 2026-11-25; 10 CFR 430.32(w), "Level VI", has the same numbers up to 250 W and 0.875 or
//! 0.860 above, from memory). What a charger takes while it gives nothing, at most 0.3 W,
//! is left out.

use crate::setup::ChargerSpec;
use crate::usb::{Offer, Supply};

/// The classes of supplies that the rule knows, as far as chargers go.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Class {
    /// Several outputs that can give different voltages at once.
    Multiple,
    /// One output.
    Basic,
    /// One output below 6 V, of at least 0.55 A.
    LowVoltage,
}

/// The rated output up to which the minimum grows with it.
const GROWS_TO_W: f64 = 49.0;

/// The end of the European rule's scope; the American one goes on.
const SCOPE_TO_W: f64 = 250.0;

/// The least average efficiency that a supply of a rated output may have.
pub(crate) fn legal_minimum(class: Class, rated_w: f64) -> f64 {
    let grows = |slope: f64, bend: f64, base: f64| slope * rated_w.ln() - bend * rated_w + base;
    match class {
        Class::Multiple if rated_w <= 1.0 => 0.497 * rated_w + 0.067,
        Class::Multiple if rated_w <= GROWS_TO_W => grows(0.075, 0.0, 0.561),
        Class::Multiple => 0.86,
        Class::Basic if rated_w <= 1.0 => 0.5 * rated_w + 0.16,
        Class::Basic if rated_w <= GROWS_TO_W => grows(0.071, 0.0014, 0.67),
        Class::Basic if rated_w <= SCOPE_TO_W => 0.88,
        Class::LowVoltage if rated_w <= 1.0 => 0.517 * rated_w + 0.087,
        Class::LowVoltage if rated_w <= GROWS_TO_W => grows(0.0834, 0.0014, 0.609),
        Class::LowVoltage if rated_w <= SCOPE_TO_W => 0.87,
        Class::Basic | Class::LowVoltage => 0.875,
    }
}

/// What a charger gives at most on all ports together: the least of its ports' caps added
/// up, its pools over every port, and the largest line of its table.
pub(crate) fn rated_w(charger: &ChargerSpec) -> f64 {
    let caps: f64 = charger.ports.iter().map(|port| port.cap_w).sum();
    let pools = charger
        .pools
        .iter()
        .filter(|pool| pool.ports.len() == charger.ports.len())
        .map(|pool| pool.max_w);
    let line = charger.lines.iter().map(|line| {
        let granted = charger.ports.iter().zip(&line.watts);
        granted
            .filter_map(|(port, watts)| watts.map(|watts| watts.min(port.cap_w)))
            .sum::<f64>()
    });
    pools.chain(line.reduce(f64::max)).fold(caps, f64::min)
}

fn class(charger: &ChargerSpec) -> Class {
    let [port] = charger.ports.as_slice() else {
        return Class::Multiple;
    };
    let low = |offer: &Offer| {
        matches!(offer.supply, Supply::Fixed { volts } if volts < 6.0) && offer.amps >= 0.55
    };
    if port.offers.iter().all(low) {
        Class::LowVoltage
    } else {
        Class::Basic
    }
}

/// The efficiency to reckon with: the charger's own, else the legal minimum.
pub(crate) fn efficiency(charger: &ChargerSpec) -> f64 {
    charger
        .efficiency
        .unwrap_or_else(|| legal_minimum(class(charger), rated_w(charger)))
}

/// What a charger takes from the socket while its ports give `output_w` together.
pub(crate) fn wall_w(charger: &ChargerSpec, output_w: f64) -> f64 {
    output_w / efficiency(charger)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::setup::document::{Charger, Port};

    #[test]
    fn the_legal_minimum_has_its_worked_numbers() {
        // Worked from the regulation's formulas, to four digits.
        for (class, rated_w, expected) in [
            (Class::Multiple, 1.0, 0.564),
            (Class::Multiple, 5.0, 0.6817),
            (Class::Multiple, 30.0, 0.8161),
            (Class::Multiple, 49.0, 0.8529),
            (Class::Multiple, 49.01, 0.86),
            (Class::Multiple, 65.0, 0.86),
            (Class::Multiple, 100.0, 0.86),
            (Class::Multiple, 200.0, 0.86),
            (Class::Multiple, 300.0, 0.86),
            (Class::Basic, 1.0, 0.66),
            (Class::Basic, 30.0, 0.8695),
            (Class::Basic, 49.0, 0.8777),
            (Class::Basic, 49.01, 0.88),
            (Class::Basic, 65.0, 0.88),
            (Class::Basic, 250.01, 0.875),
            (Class::LowVoltage, 1.0, 0.604),
            (Class::LowVoltage, 10.0, 0.787),
            (Class::LowVoltage, 49.0, 0.865),
            (Class::LowVoltage, 49.01, 0.87),
        ] {
            let got = legal_minimum(class, rated_w);
            assert!(
                (got - expected).abs() < 5e-5,
                "{class:?} {rated_w}: {got} ≠ {expected}"
            );
        }
    }

    #[test]
    fn a_charger_is_rated_by_what_binds_it_and_its_own_efficiency_counts() {
        let desk = Charger::new("desk")
            .port(Port::pd("C1", 65.0))
            .port(Port::pd("C2", 30.0));
        let table = desk
            .clone()
            .combination([("C1", 45.0), ("C2", 20.0)])
            .combination([("C1", 65.0)]);
        let five = Charger::new("plug").port(Port::usb_a("A1", "5V 2A"));
        for (charger, rated, wall) in [
            (desk.clone(), 95.0, 43.0 / 0.86),
            (desk.clone().max_w(45.0), 45.0, 43.0 / 0.846_499),
            (desk.clone().pool("one", ["C2"], 10.0), 95.0, 43.0 / 0.86),
            (table, 65.0, 43.0 / 0.86),
            (desk.efficiency(0.93), 95.0, 43.0 / 0.93),
            (
                Charger::new("cube").port(Port::pd("C1", 65.0)),
                65.0,
                43.0 / 0.88,
            ),
            (five, 10.0, 43.0 / 0.787_037),
        ] {
            let setup = crate::SetupDocument::new()
                .charger(charger)
                .device(crate::Device::new("phone", 10.0).pd_w(18.0))
                .check()
                .expect("it is a setup");
            let spec = &setup.chargers[0];
            assert!((rated_w(spec) - rated).abs() < 1e-9, "{}", spec.name);
            assert!((wall_w(spec, 43.0) - wall).abs() < 1e-4, "{}", spec.name);
        }
    }
}

//! A cable: its ratings and its loop resistance, checked and resolved.

use super::CableSpec;
use super::ask::{At, is_usb};
use crate::diagnostics::{Findings, Path};
use crate::limits::{AWG, CABLE_COUNT, CABLE_MAX_A, CABLE_MAX_V, LENGTH_M, OHM, PRICE, WEIGHT_G};
use crate::setup::document::{Cable, Lead};
use crate::usb::Connector;
use crate::usb::label::USB_MAX_A;

/// Resistivity of annealed copper at 20 °C, in Ω m (model.md, section 3).
const COPPER_OHM_M: f64 = 1.7241e-8;

/// The drop that USB Type-C allows over a cable at its full current: 0.5 V on VBUS
/// and 0.25 V on ground (model.md, section 3).
const ALLOWED_DROP_V: f64 = 0.75;

/// Rated current of a cable of USB, e-marked or not: most cables for fast data have a marker,
/// and most of those are for 3 A.
const PLAIN_A: f64 = 3.0;
/// Rated current of a micro-B plug (from memory).
const MICRO_B_A: f64 = 1.8;
/// Rated current of a mini-B plug (from memory).
const MINI_B_A: f64 = 1.0;
/// Rated voltage of a cable that is not for EPR.
const PLAIN_V: f64 = 21.0;

/// The watts that are printed on USB-C cables, with the current, the voltage and the marker
/// that they stand for (USB Type-C R2.1, 3.11 and 4.9; read in secondary texts).
const PRINTED: [(f64, f64, f64, bool); 3] = [
    (60.0, 3.0, PLAIN_V, false),
    (100.0, 5.0, PLAIN_V, true),
    (240.0, 5.0, 50.0, true),
];

/// These watts.
#[cfg(feature = "schema")]
pub(super) const PRINTED_WATTS: [f64; 3] = [PRINTED[0].0, PRINTED[1].0, PRINTED[2].0];

/// How a port's own lead is called in a plan.
pub(crate) const LEAD: &str = "lead";

pub(super) fn resolve_cable(cable: &Cable, findings: &mut Findings, path: Path) -> CableSpec {
    let mut at = At::new(findings, path);
    at.name(&cable.name, "a cable");
    let from = at.connector("from", cable.from.as_deref());
    at.number("count", cable.count.map(f64::from), &CABLE_COUNT);
    at.number("weight_g", cable.weight_g, &WEIGHT_G);
    at.number("price", cable.price, &PRICE);
    let printed = Lead {
        to: cable.to.clone(),
        watts: cable.watts,
        max_a: cable.max_a,
        max_v: cable.max_v,
        e_marked: cable.e_marked,
        length_m: cable.length_m,
        awg: cable.awg,
        ohm: cable.ohm,
    };
    CableSpec {
        name: cable.name.clone(),
        count: cable.count.unwrap_or(1),
        ..resolve(&printed, from, is_usb(cable.from.as_deref()), &mut at)
    }
}

/// The lead of a port with a connector. It counts as e-marked, since a charger need not ask
/// a lead of its own.
pub(super) fn resolve_lead(
    lead: &Lead,
    from: Connector,
    findings: &mut Findings,
    path: Path,
) -> CableSpec {
    let from_usb = from.is_usb();
    CableSpec {
        e_marked: true,
        ..resolve(lead, from, from_usb, &mut At::new(findings, path))
    }
}

/// What is printed on a cable or a lead, with its defaults.
fn resolve(printed: &Lead, from: Connector, from_usb: bool, at: &mut At<'_>) -> CableSpec {
    let to = at.connector("to", printed.to.as_deref());
    let by_watts = by_watts(printed, at);
    let max_a = at.number("max_a", printed.max_a, &CABLE_MAX_A);
    let usb = from_usb || is_usb(printed.to.as_deref());
    let max_a = max_a.filter(|&amps| !usb || holds_for_usb(amps, at));
    let max_v = at.number("max_v", printed.max_v, &CABLE_MAX_V);
    let length_m = at.number("length_m", printed.length_m, &LENGTH_M);
    let awg = at.number("awg", printed.awg, &AWG);
    let ohm = at.number("ohm", printed.ohm, &OHM);
    let (max_a, max_v, e_marked) = by_watts.unwrap_or_else(|| {
        let max_a = max_a.unwrap_or_else(|| default_a(&from, &to));
        let e_marked = printed.e_marked.unwrap_or(false);
        (max_a, max_v.unwrap_or(PLAIN_V), e_marked)
    });
    let ohm = ohm.unwrap_or_else(|| match (awg, length_m) {
        (Some(awg), Some(length_m)) => loop_ohm(awg, length_m),
        _ => ALLOWED_DROP_V / max_a,
    });
    CableSpec {
        name: LEAD.to_owned(),
        from,
        to,
        max_a,
        max_v,
        e_marked,
        length_m: length_m.unwrap_or(0.0),
        ohm,
        count: 1,
        lead_of: None,
    }
}

/// Whether a cable with a plug of USB may have so many amps: at most 5 (USB Type-C R2.1, 4.9;
/// from memory). What is above that is mostly the watts that are printed on it.
fn holds_for_usb(amps: f64, at: &mut At<'_>) -> bool {
    if amps <= USB_MAX_A {
        return true;
    }
    let watts = match PRINTED.iter().find(|(watts, ..)| *watts == amps) {
        Some((watts, ..)) => format!("if {watts} W are printed on it, write \"watts\": {watts}"),
        None => "if watts are printed on it, write those, as in \"watts\": 100".to_owned(),
    };
    let message =
        format!("a cable with a plug of USB has at most {USB_MAX_A} A, not {amps} A; {watts}");
    at.fault("max_a", message);
    false
}

/// What printed watts stand for; they exclude what they stand for.
fn by_watts(printed: &Lead, at: &mut At<'_>) -> Option<(f64, f64, bool)> {
    let watts = printed.watts?;
    for (field, given) in [
        ("max_a", printed.max_a.is_some()),
        ("max_v", printed.max_v.is_some()),
        ("e_marked", printed.e_marked.is_some()),
    ] {
        if given {
            let message = format!("`watts` stands for `{field}`, too; keep one of them");
            at.fault(field, message);
        }
    }
    let found = PRINTED.iter().find(|(known, ..)| *known == watts);
    if found.is_none() {
        let message =
            format!("the watts of a cable are 60, 100 or 240, as printed on it, not {watts}");
        at.fault("watts", message);
    }
    found.map(|&(_, max_a, max_v, e_marked)| (max_a, max_v, e_marked))
}

/// The rated current of a cable that states none.
fn default_a(from: &Connector, to: &Connector) -> f64 {
    match (from, to) {
        (_, Connector::UsbMicroB) => MICRO_B_A,
        (_, Connector::UsbMiniB) => MINI_B_A,
        (Connector::Other(_), _) | (_, Connector::Other(_)) => f64::INFINITY,
        _ => PLAIN_A,
    }
}

/// The resistance of both conductors of a cable, in ohms.
fn loop_ohm(awg: f64, length_m: f64) -> f64 {
    let diameter_m = 0.127e-3 * 92_f64.powf((36.0 - awg) / 39.0);
    let area_m2 = std::f64::consts::PI * diameter_m * diameter_m / 4.0;
    2.0 * length_m * COPPER_OHM_M / area_m2
}

#[cfg(test)]
mod tests {
    use super::*;

    fn resolved(cable: &Cable) -> CableSpec {
        let mut findings = Findings::new();
        let spec = resolve_cable(cable, &mut findings, Path::default());
        assert!(findings.is_empty(), "{:?}", findings.all);
        spec
    }

    #[test]
    fn ratings_and_resistance_take_their_defaults() {
        let plain = Cable::c_to_c("a");
        for (cable, max_a, max_v, ohm) in [
            (plain.clone(), 3.0, 21.0, 0.25),
            (plain.clone().e_marked(), 3.0, 21.0, 0.25),
            (plain.clone().watts(60.0), 3.0, 21.0, 0.25),
            (plain.clone().watts(100.0), 5.0, 21.0, 0.15),
            (plain.clone().watts(240.0), 5.0, 50.0, 0.15),
            (plain.clone().epr(), 5.0, 50.0, 0.15),
            (plain.clone().max_a(1.5), 1.5, 21.0, 0.5),
            (plain.clone().ohm(0.1), 3.0, 21.0, 0.1),
            (plain.clone().ohm(0.0), 3.0, 21.0, 0.0),
            (plain.clone().awg(22.0), 3.0, 21.0, 0.25),
            (plain.clone().length_m(2.0), 3.0, 21.0, 0.25),
            (
                Cable::new("b", "usb-a", "usb-micro-b"),
                1.8,
                21.0,
                0.75 / 1.8,
            ),
            (
                Cable::new("b", "usb-a", "usb-mini-b").e_marked(),
                1.0,
                21.0,
                0.75,
            ),
            (
                Cable::new("b", "other:barrel 5.5 mm", "other:barrel 5.5 mm"),
                f64::INFINITY,
                21.0,
                0.0,
            ),
        ] {
            let spec = resolved(&cable);
            assert_eq!(
                (spec.max_a, spec.max_v, spec.ohm),
                (max_a, max_v, ohm),
                "{cable:?}"
            );
        }
    }

    /// Ohms per kilometre of solid copper wire at 20 °C, from the usual wire tables
    /// (from memory; tables round the resistivity differently, hence 0.3 %).
    #[test]
    fn gauges_have_the_resistance_of_the_wire_tables() {
        for (awg, ohm_per_km) in [
            (20.0, 33.31),
            (22.0, 52.96),
            (24.0, 84.22),
            (26.0, 133.9),
            (28.0, 212.9),
        ] {
            let found = resolved(&Cable::c_to_c("a").awg(awg).length_m(500.0)).ohm;
            assert!(
                (found / ohm_per_km - 1.0).abs() < 3e-3,
                "AWG {awg}: {found}"
            );
        }
    }
}

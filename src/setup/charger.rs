//! A charger: its ports, pools and combination lines, checked and resolved.

use std::collections::{HashMap, HashSet};

use super::ask::{At, is_usb, unique};
use super::cable::resolve_lead;
use super::{ChargerSpec, LineSpec, PoolSpec, PortSpec};
use crate::diagnostics::{Findings, Path, near, shown};
use crate::limits::{
    CHARGER_MAX_W, COMBINATION_W, COMBINATIONS, EFFICIENCY, OFFER_V, PD_W, POOL_MAX_W, POOLS,
    PORT_MAX_W, PRICE, TIER_W, TIERS, WEIGHT_G,
};
use crate::setup::document::{Charger, Combination, Pool, PoolPorts, Port};
use crate::units::millionths;
use crate::usb::label::Held;
use crate::usb::{Connector, Offer, Supply, power_rules};

/// The power levels of a charger that states none: the common PDPs (model.md,
/// section 1).
const DEFAULT_TIERS_W: [f64; 13] = [
    7.5, 15.0, 18.0, 20.0, 27.0, 30.0, 45.0, 60.0, 65.0, 100.0, 140.0, 180.0, 240.0,
];

/// The pool that a charger's own `max_w` is.
pub(super) const TOTAL: &str = "total";

/// Indices of a charger's ports by name.
type ByName<'n> = HashMap<&'n str, usize>;

pub(super) fn resolve_charger(
    charger: &Charger,
    findings: &mut Findings,
    path: &Path,
) -> ChargerSpec {
    let mut at = At::new(findings, path.clone());
    at.name(&charger.name, "a charger");
    let max_w = at.number("max_w", charger.max_w, &CHARGER_MAX_W);
    let efficiency = at.number("efficiency", charger.efficiency, &EFFICIENCY);
    at.number("weight_g", charger.weight_g, &WEIGHT_G);
    at.number("price", charger.price, &PRICE);
    // A label that is still there has been refused.
    if charger.ports.is_empty() && charger.label.is_none() {
        let path = at.path.clone();
        let message = "a charger needs `ports`, at least one, or its `label`";
        at.findings.add(path, message).about(&["ports", "label"]);
    }
    let mut sizes = true;
    for (field, count, size) in [
        ("pools", charger.pools.len(), POOLS),
        ("combinations", charger.combinations.len(), COMBINATIONS),
        (
            "tiers_w",
            charger.tiers_w.as_ref().map_or(0, Vec::len),
            TIERS,
        ),
    ] {
        if !size.holds(count) {
            at.fault(field, size.refusal(count));
            sizes = false;
        }
    }
    let tiers = tiers(charger, &mut at);
    let list = path.field("ports");
    let mut ports: Vec<PortSpec> = Vec::with_capacity(charger.ports.len());
    for (i, port) in charger.ports.iter().enumerate() {
        ports.push(PortSpec {
            voltages: charger.voltages,
            ..resolve_port(port, findings, list.index(i))
        });
    }
    let names = charger.ports.iter().enumerate();
    unique(
        findings,
        names.map(|(i, port)| (list.index(i).field("name"), port.name.as_str())),
        "ports of one charger",
    );
    let by_name: ByName<'_> = charger
        .ports
        .iter()
        .enumerate()
        .rev()
        .map(|(i, p)| (p.name.as_str(), i))
        .collect();
    let (mut pools, mut lines) = (Vec::new(), Vec::new());
    if sizes {
        pools = resolve_pools(charger, max_w, &by_name, findings, path);
        lines = resolve_lines(charger, &ports, &by_name, findings, path);
    }
    for (i, port) in ports.iter_mut().enumerate() {
        let granted = lines
            .iter()
            .filter_map(|line| line.watts.get(i).copied().flatten());
        port.tiers_w = port_tiers(&port.connector, port.cap_w, &tiers, granted);
    }
    let reserve = charger.reserve.unwrap_or_default();
    ChargerSpec {
        name: charger.name.clone(),
        ports,
        pools,
        lines,
        reserve,
        efficiency,
    }
}

fn tiers(charger: &Charger, at: &mut At<'_>) -> Vec<f64> {
    let Some(given) = &charger.tiers_w else {
        return DEFAULT_TIERS_W.to_vec();
    };
    if given.is_empty() {
        at.fault(
            "tiers_w",
            "`tiers_w` is empty; leave it out, or give at least one",
        );
    }
    let path = at.path.field("tiers_w");
    for (i, tier) in given.iter().enumerate().take(TIERS.most) {
        if !TIER_W.holds(*tier) {
            at.findings.add(path.index(i), TIER_W.refusal(*tier));
        }
    }
    given.clone()
}

fn resolve_port(port: &Port, findings: &mut Findings, path: Path) -> PortSpec {
    let mut at = At::new(findings, path);
    at.name(&port.name, "a port");
    let connector = at.connector("connector", port.connector.as_deref());
    let pd_w = at.number("pd_w", port.pd_w, &PD_W);
    let max_w = at.number("max_w", port.max_w, &PORT_MAX_W);
    if port.pd_w.is_none() && port.offers.is_none() {
        let path = at.path.clone();
        let message = "a port needs `pd_w` or `offers`, to say what it supplies";
        at.findings.add(path, message).about(&["pd_w", "offers"]);
    }
    let held = Held {
        volts: &OFFER_V,
        usb: is_usb(port.connector.as_deref()),
        pd_w: true,
    };
    let printed = at.label("offers", port.offers.as_ref(), held);
    let mut offers: Vec<Offer> = printed
        .into_iter()
        .map(crate::usb::LabelEntry::offered)
        .collect();
    let largest = offers.iter().map(most_w).fold(0.0, f64::max);
    if let Some(pd_w) = pd_w {
        offers.extend(power_rules::source_offers(pd_w));
    }
    let lead = port.lead.as_ref().map(|lead| {
        let path = at.path.field("lead");
        resolve_lead(lead, connector.clone(), at.findings, path)
    });
    PortSpec {
        name: port.name.clone(),
        connector,
        offers,
        cap_w: max_w.or(pd_w).unwrap_or(largest),
        tiers_w: Vec::new(),
        voltages: None,
        lead,
    }
}

/// The most that an offer supplies, in watts.
fn most_w(offer: &Offer) -> f64 {
    let volts = match offer.supply {
        Supply::Fixed { volts } => volts,
        Supply::Pps { high_v, .. } | Supply::Avs { high_v, .. } => high_v,
    };
    (volts * offer.amps).min(offer.watts)
}

/// The tiers of one port (model.md, section 1), ascending, the cap last.
fn port_tiers(
    connector: &Connector,
    cap_w: f64,
    charger: &[f64],
    granted: impl Iterator<Item = f64>,
) -> Vec<f64> {
    let mut tiers: Vec<f64> = granted.collect();
    if *connector == Connector::UsbC {
        tiers.extend_from_slice(charger);
    }
    tiers.retain(|tier| millionths(*tier) < millionths(cap_w));
    tiers.sort_by(f64::total_cmp);
    tiers.dedup_by_key(|tier| millionths(*tier));
    tiers.push(cap_w);
    tiers
}

fn resolve_pools(
    charger: &Charger,
    max_w: Option<f64>,
    by_name: &ByName<'_>,
    findings: &mut Findings,
    path: &Path,
) -> Vec<PoolSpec> {
    let everything: Vec<usize> = (0..charger.ports.len()).collect();
    let mut pools = Vec::with_capacity(charger.pools.len() + 1);
    if let Some(max_w) = max_w {
        pools.push(PoolSpec {
            name: TOTAL.to_owned(),
            ports: everything.clone(),
            max_w,
        });
    }
    let list = path.field("pools");
    for (i, pool) in charger.pools.iter().enumerate() {
        let mut at = At::new(findings, list.index(i));
        at.name(&pool.name, "a pool");
        if pool.name == TOTAL && charger.max_w.is_some() {
            let message = "the pool `total` is the charger's `max_w`; give one of them";
            at.fault("name", message);
        }
        let max_w = at
            .number("max_w", Some(pool.max_w), &POOL_MAX_W)
            .unwrap_or_default();
        let ports = match &pool.ports {
            PoolPorts::All => everything.clone(),
            PoolPorts::Named(names) => pool_ports(pool, names, charger, by_name, &mut at),
        };
        pools.push(PoolSpec {
            name: pool.name.clone(),
            ports,
            max_w,
        });
    }
    let names = charger.pools.iter().enumerate();
    unique(
        findings,
        names.map(|(i, pool)| (list.index(i).field("name"), pool.name.as_str())),
        "pools of one charger",
    );
    pools
}

fn pool_ports(
    pool: &Pool,
    names: &[String],
    charger: &Charger,
    by_name: &ByName<'_>,
    at: &mut At<'_>,
) -> Vec<usize> {
    let list = at.path.field("ports");
    if names.is_empty() {
        let message = format!("the pool \"{}\" has no ports", shown(&pool.name));
        at.findings.add(list.clone(), message);
    }
    let mut ports = Vec::with_capacity(names.len());
    let mut seen = HashSet::new();
    for (i, name) in names.iter().enumerate() {
        if !seen.insert(name.as_str()) {
            let message = format!(
                "\"{}\" is in the pool \"{}\" twice",
                shown(name),
                shown(&pool.name)
            );
            at.findings.add(list.index(i), message);
        } else if let Some(port) = by_name.get(name.as_str()) {
            ports.push(*port);
        } else {
            unknown_port(at.findings, list.index(i), name, charger);
        }
    }
    ports.sort_unstable();
    ports
}

fn resolve_lines(
    charger: &Charger,
    ports: &[PortSpec],
    by_name: &ByName<'_>,
    findings: &mut Findings,
    path: &Path,
) -> Vec<LineSpec> {
    let list = path.field("combinations");
    let mut lines = Vec::with_capacity(charger.combinations.len());
    for (i, Combination(entries)) in charger.combinations.iter().enumerate() {
        let path = list.index(i);
        if entries.is_empty() {
            findings.add(path.clone(), "this combination names no port");
        }
        let mut watts = vec![None; ports.len()];
        let mut seen = HashSet::new();
        for (name, granted) in entries {
            let path = path.field(name);
            if !seen.insert(name.as_str()) {
                let message = format!("\"{}\" is in this combination twice", shown(name));
                findings.add(path.clone(), message);
            }
            if !COMBINATION_W.holds(*granted) {
                findings.add(path.clone(), COMBINATION_W.refusal(*granted));
            }
            match by_name.get(name.as_str()) {
                Some(port) => watts[*port] = Some(*granted),
                None => unknown_port(findings, path, name, charger),
            }
        }
        lines.push(LineSpec {
            implied: false,
            watts,
        });
    }
    if !lines.is_empty() {
        imply_single_lines(&mut lines, ports);
    }
    lines
}

/// Adds, for each port without a line of its own, that it may be used alone at its cap.
fn imply_single_lines(lines: &mut Vec<LineSpec>, ports: &[PortSpec]) {
    let alone = |line: &LineSpec, port: usize| {
        line.watts
            .iter()
            .enumerate()
            .all(|(i, watts)| watts.is_some() == (i == port))
    };
    for (i, port) in ports.iter().enumerate() {
        if !lines.iter().any(|line| alone(line, i)) {
            let mut watts = vec![None; ports.len()];
            watts[i] = Some(port.cap_w);
            lines.push(LineSpec {
                implied: true,
                watts,
            });
        }
    }
}

fn unknown_port(findings: &mut Findings, path: Path, name: &str, charger: &Charger) {
    let message = format!(
        "no port is called \"{}\" on charger \"{}\"",
        shown(name),
        shown(&charger.name)
    );
    let suggestion = near(name, charger.ports.iter().map(|port| port.name.as_str()));
    findings.add(path, message).near(suggestion).reference();
}

#[cfg(test)]
mod tests {
    use super::*;

    fn resolved(charger: &Charger) -> ChargerSpec {
        let mut findings = Findings::new();
        let spec = resolve_charger(charger, &mut findings, &Path::default());
        assert!(findings.is_empty(), "{:?}", findings.all);
        spec
    }

    #[test]
    fn tiers_end_with_the_cap_and_hold_what_combinations_grant() {
        let desk = Charger::new("desk")
            .port(Port::pd("C1", 65.0))
            .port(Port::pd("C2", 30.0));
        let table = desk
            .clone()
            .combination([("C1", 50.0), ("C2", 20.000_000_1)]);
        let own = desk.clone().tiers_w([40.0, 15.0, 40.000_000_4, 65.0, 90.0]);
        for (charger, port, expected) in [
            (
                &desk,
                0,
                &[7.5, 15.0, 18.0, 20.0, 27.0, 30.0, 45.0, 60.0, 65.0][..],
            ),
            (&desk, 1, &[7.5, 15.0, 18.0, 20.0, 27.0, 30.0]),
            (
                &table,
                0,
                &[7.5, 15.0, 18.0, 20.0, 27.0, 30.0, 45.0, 50.0, 60.0, 65.0],
            ),
            (&table, 1, &[7.5, 15.0, 18.0, 20.0, 27.0, 30.0]),
            (&own, 0, &[15.0, 40.0, 65.0]),
        ] {
            assert_eq!(resolved(charger).ports[port].tiers_w, expected);
        }
    }

    #[test]
    fn ports_of_other_shapes_step_only_where_combinations_say_so() {
        let barrel = Port::pd("DC", 60.0).connector("other:barrel 5.5 mm");
        let charger = Charger::new("desk").port(barrel).port(Port::pd("C1", 30.0));
        assert_eq!(resolved(&charger).ports[0].tiers_w, [60.0]);
        let table = charger
            .combination([("DC", 36.0), ("C1", 18.0)])
            .combination([("DC", 60.0)]);
        assert_eq!(resolved(&table).ports[0].tiers_w, [36.0, 60.0]);
    }

    #[test]
    fn a_port_without_a_line_of_its_own_may_be_used_alone() {
        let desk = Charger::new("desk")
            .port(Port::pd("C1", 65.0))
            .port(Port::pd("C2", 30.0));
        assert!(resolved(&desk).lines.is_empty());
        let table = desk
            .combination([("C1", 45.0), ("C2", 20.0)])
            .combination([("C1", 60.0)]);
        let watts: Vec<_> = resolved(&table)
            .lines
            .into_iter()
            .map(|line| line.watts)
            .collect();
        assert_eq!(
            watts,
            [
                vec![Some(45.0), Some(20.0)],
                vec![Some(60.0), None],
                vec![None, Some(30.0)],
            ]
        );
    }

    #[test]
    fn the_charger_s_limit_is_the_first_pool() {
        let desk = Charger::new("desk")
            .port(Port::pd("C1", 65.0))
            .port(Port::pd("C2", 30.0))
            .port(Port::pd("C3", 30.0))
            .pool("lower bank", ["C3", "C2"], 40.0)
            .pool_of_all("fuse", 90.0)
            .max_w(75.0);
        let pools = resolved(&desk).pools;
        let found: Vec<_> = pools
            .iter()
            .map(|p| (p.name.as_str(), p.ports.as_slice(), p.max_w))
            .collect();
        assert_eq!(
            found,
            [
                ("total", &[0, 1, 2][..], 75.0),
                ("lower bank", &[1, 2], 40.0),
                ("fuse", &[0, 1, 2], 90.0)
            ]
        );
    }

    #[test]
    fn an_offer_is_worth_its_volts_and_amps_within_its_printed_watts() {
        let (low_v, high_v) = (3.3, 11.0);
        for (supply, amps, watts, expected) in [
            (Supply::Fixed { volts: 20.0 }, 3.25, f64::INFINITY, 65.0),
            (Supply::Fixed { volts: 20.0 }, 3.25, 60.0, 60.0),
            (Supply::Pps { low_v, high_v }, 5.0, f64::INFINITY, 55.0),
            (Supply::Pps { low_v, high_v }, 5.0, 45.0, 45.0),
        ] {
            assert_eq!(
                most_w(&Offer {
                    supply,
                    amps,
                    watts
                }),
                expected
            );
        }
    }
}

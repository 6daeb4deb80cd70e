//! The flight: what the rules say of the batteries that are taken.

use super::finding::{About, Finding, Grounds, Verdict};
use crate::document;
use crate::facts::{
    AirFinding, AirReason, AirVerdict, Battery, BatteryKind, country_name, flight, national_rules,
};
use crate::setup::{BatterySpec, TripSpec};

/// The findings of the air: each battery's class and place, the counts, then what is to
/// be kept, and what the countries of the stops ask beyond that.
pub(super) fn air(trip: &TripSpec) -> Vec<Finding> {
    let batteries: Vec<Battery> = trip.batteries.iter().map(as_fact).collect();
    let found = flight(&batteries, trip.travellers);
    let mut findings: Vec<Finding> = found.iter().map(|found| finding(found, trip)).collect();
    let banks: Vec<&str> = trip
        .batteries
        .iter()
        .filter(|battery| battery.kind == document::BatteryKind::PowerBank)
        .map(|battery| battery.name.as_str())
        .collect();
    if banks.is_empty() {
        return findings;
    }
    let mut seen: Vec<&str> = Vec::new();
    for stop in &trip.stops {
        if seen
            .iter()
            .any(|code| code.eq_ignore_ascii_case(&stop.country))
        {
            continue;
        }
        seen.push(&stop.country);
        for rule in national_rules(&stop.country) {
            let country = country_name(&stop.country).unwrap_or(&stop.country);
            let reason = format!("{country}: {}", rule.says);
            let grounds = Grounds::of(rule.source);
            findings.push(grounds.find(&banks.join(", "), About::Keep, Verdict::Caution, reason));
        }
    }
    findings
}

fn as_fact(battery: &BatterySpec) -> Battery {
    Battery {
        wh: battery.wh,
        kind: match battery.kind {
            document::BatteryKind::Installed => BatteryKind::BuiltIn,
            document::BatteryKind::Spare => BatteryKind::Spare,
            document::BatteryKind::PowerBank => BatteryKind::PowerBank,
        },
        count: battery.count,
    }
}

fn finding(found: &AirFinding, trip: &TripSpec) -> Finding {
    let named: Vec<&BatterySpec> = found
        .batteries
        .iter()
        .filter_map(|&index| trip.batteries.get(index))
        .collect();
    let names: Vec<String> = named.iter().map(|battery| counted(battery)).collect();
    let verdict = match found.verdict {
        AirVerdict::Allowed => Verdict::Fine,
        AirVerdict::Condition => Verdict::Caution,
        AirVerdict::NeedsApproval => Verdict::Approval,
        AirVerdict::Forbidden => Verdict::No,
    };
    let (about, thing, reason) = match found.reason {
        AirReason::Class { .. } => {
            let worked = named
                .first()
                .map_or(String::new(), |battery| worked(battery));
            let reason = format!("{}{worked}: {}", found.reason, found.rule.says);
            let name = named.first().map_or("", |battery| &battery.name);
            (About::Battery, name.to_owned(), reason)
        }
        AirReason::Travels(_) => {
            let name = named.first().map_or("", |battery| &battery.name);
            (About::Carry, name.to_owned(), found.rule.says.to_owned())
        }
        AirReason::Count { count, allowed } => {
            let people = match trip.travellers {
                1 => "for 1 person".to_owned(),
                many => format!("for {many} people"),
            };
            let reason = format!("{count} of {allowed} {people}: {}", found.rule.says);
            (About::Count, names.join(", "), reason)
        }
        AirReason::Keep => (About::Keep, names.join(", "), found.rule.says.to_owned()),
    };
    Grounds::of(found.rule.source).find(&thing, about, verdict, reason)
}

/// `4 × score tablet`.
fn counted(battery: &BatterySpec) -> String {
    match battery.count {
        1 => battery.name.clone(),
        count => format!("{count} × {}", battery.name),
    }
}

/// How the watt-hours were come by, where they were not printed.
fn worked(battery: &BatterySpec) -> String {
    let Some((mah, volts)) = battery.mah else {
        return String::new();
    };
    let assumed = if battery.assumed_v {
        ", the usual cell voltage"
    } else {
        ""
    };
    format!(" ({mah} mAh × {volts} V{assumed})")
}

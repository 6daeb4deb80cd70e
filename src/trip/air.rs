//! The flight: what the rules say of the batteries that are taken.

use super::finding::{About, Finding, Grounds, Verdict};
use crate::facts::{
    AirFinding, AirReason, AirVerdict, Battery, BatteryKind, Counted, NOT_BUILT_IN, country_name,
    flight, national_rules,
};
use crate::setup::{Asks, BatterySpec, Speaks, TripSpec, document};

/// The findings of the air: what is to be asked first, each battery's class and place, the
/// counts, then what is to be kept, and what the countries of the stops ask beyond that.
pub(super) fn air(trip: &TripSpec) -> Vec<Finding> {
    let batteries: Vec<Battery> = trip.batteries.iter().map(as_fact).collect();
    let found = flight(&batteries, trip.travellers);
    let mut findings: Vec<Finding> = trip.batteries.iter().filter_map(doubted).collect();
    findings.extend(found.iter().map(|found| finding(found, trip)));
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
        lithium_g: battery.lithium_g,
        medical: battery.medical,
        kind: match battery.kind {
            document::BatteryKind::Installed => BatteryKind::BuiltIn,
            document::BatteryKind::Spare => BatteryKind::Spare,
            document::BatteryKind::PowerBank => BatteryKind::PowerBank,
            document::BatteryKind::Bag => BatteryKind::Bag,
            document::BatteryKind::BagFixed => BatteryKind::BagFixed,
        },
        count: battery.count,
    }
}

/// The question about a battery whose name or kind speaks against its being built in.
fn doubted(battery: &BatterySpec) -> Option<Finding> {
    let doubt = battery.doubt.as_ref()?;
    let (whose, of_setup) = match doubt.by {
        Speaks::Name => ("name", "its name"),
        Speaks::Kind => ("`kind`", "its `kind`"),
    };
    let named = format!("its {whose} says \"{}\"", doubt.words);
    let taken = match battery.kind {
        document::BatteryKind::PowerBank => "a power bank",
        _ => "a spare battery",
    };
    let (verdict, reason) = match doubt.asks {
        Asks::BuiltIn => (
            Verdict::Unknown,
            format!(
                "is the battery built in? {named}: until `trip.batteries` gives its kind it \
                 counts as {taken}, by the stricter rule: in the cabin, never in the hold"
            ),
        ),
        Asks::AnyBattery => (
            Verdict::Unknown,
            format!(
                "is there a battery in it? {named}: until `trip.batteries` gives its kind and \
                 its watt-hours it counts as {taken}, by the stricter rule: in the cabin, \
                 never in the hold"
            ),
        ),
        Asks::Declared => {
            let (declared, not) = match battery.kind {
                document::BatteryKind::Installed => ("built in", "it is not in the hold"),
                document::BatteryKind::Bag => ("in a bag", "there may be two per person"),
                _ => ("a spare battery", "there may be two per person"),
            };
            let reason = format!(
                "the setup says {declared}, but {named}: look again; if it charges other things \
                 or comes out, {not}"
            );
            (Verdict::Caution, reason)
        }
        Asks::Overruled => {
            let reason = format!(
                "`trip.batteries` gives another kind, but {named}: it counts as a power bank, in \
                 the cabin, never in the hold; if it is none, name it otherwise"
            );
            (Verdict::Caution, reason)
        }
    };
    let grounds = Grounds::of(NOT_BUILT_IN.source).and_said(of_setup);
    let reason = format!("{reason}. {}", NOT_BUILT_IN.says);
    Some(grounds.find(&battery.name, About::BuiltIn, verdict, reason))
}

/// How many of those that a rule counts are only taken for such.
fn only_taken_for(named: &[&BatterySpec]) -> String {
    let taken = named
        .iter()
        .filter(|battery| {
            let asks = battery.doubt.as_ref().map(|doubt| doubt.asks);
            matches!(asks, Some(Asks::BuiltIn | Asks::AnyBattery))
        })
        .map(|battery| u64::from(battery.count))
        .sum::<u64>();
    match taken {
        0 => String::new(),
        _ => format!(" ({taken} of them by the stricter reading)"),
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
        AirVerdict::Unknown => Verdict::Unknown,
        AirVerdict::NeedsApproval => Verdict::Approval,
        AirVerdict::Forbidden => Verdict::No,
    };
    let (about, thing, reason) = match found.reason {
        AirReason::Class { .. }
        | AirReason::Metal { .. }
        | AirReason::StuckInBag
        | AirReason::NoEnergy => {
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
            let taken = only_taken_for(&named);
            let carried = carried(found, count, &named);
            let each = per_person(found);
            let together = match trip.travellers {
                0 | 1 => String::new(),
                many => format!(", {allowed} for {many} people"),
            };
            let reason = format!("you carry {carried}{taken}, {each}{together}");
            (About::Count, names.join(", "), reason)
        }
        AirReason::Keep => (About::Keep, names.join(", "), found.rule.says.to_owned()),
    };
    Grounds::of(found.rule.source).find(&thing, about, verdict, reason)
}

/// `3 power banks`.
fn carried(found: &AirFinding, count: u64, named: &[&BatterySpec]) -> String {
    let unknown = |battery: &&BatterySpec| battery.wh.is_none() && battery.lithium_g.is_none();
    let spares = ("spare battery", "spare batteries");
    let ((one, many), which) = match found.rule.limit.map(|(_, counted)| counted) {
        Some(Counted::PowerBanks) => (("power bank", "power banks"), ""),
        Some(Counted::LargeSpares) if named.iter().any(unknown) => {
            (spares, " above 100 Wh or of unknown size")
        }
        Some(Counted::LargeSpares) => (spares, " above 100 Wh or 2 g"),
        Some(Counted::SmallSpares) => (spares, " of up to 100 Wh or 2 g"),
        Some(Counted::Devices) | None => (("device with a battery", "devices with batteries"), ""),
    };
    let things = if count == 1 { one } else { many };
    format!("{count} {things}{which}")
}

/// `two per person may fly`.
fn per_person(found: &AirFinding) -> String {
    let (number, counted) = found.rule.limit.unwrap_or((0, Counted::Devices));
    let number = match number {
        2 => "two".to_owned(),
        other => other.to_string(),
    };
    let approval = match counted {
        Counted::PowerBanks => "",
        Counted::LargeSpares => ", with approval",
        Counted::SmallSpares | Counted::Devices => ", more with approval",
    };
    format!("{number} per person may fly{approval}")
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

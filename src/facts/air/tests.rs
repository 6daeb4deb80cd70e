//! The worked examples and the limits, with their sources.

use super::*;

/// 49 CFR 171.8 (watt-hours are ampere-hours times the nominal voltage); ICAO Technical
/// Instructions, table 8-1, for the limits, which are themselves allowed ("not exceed").
/// 27 027 and 43 243 mAh are what airlines publish for 100 and 160 Wh at 3.7 V.
#[test]
fn worked_examples_of_watt_hours() {
    use AirClass::{Over160Wh, UpTo100Wh, UpTo160Wh};
    for (mah, cell_v, wh, class) in [
        (10_000.0, 3.7, 37.0, UpTo100Wh),
        (20_000.0, 3.7, 74.0, UpTo100Wh),
        (26_800.0, 3.7, 99.16, UpTo100Wh),
        (27_000.0, 3.7, 99.9, UpTo100Wh),
        (27_027.0, 3.7, 99.9999, UpTo100Wh),
        (27_028.0, 3.7, 100.0036, UpTo160Wh),
        (30_000.0, 3.7, 111.0, UpTo160Wh),
        (43_243.0, 3.7, 159.9991, UpTo160Wh),
        (43_244.0, 3.7, 160.0028, Over160Wh),
        (4_377.0, 11.4, 49.8978, UpTo100Wh),
        (8_919.0, 11.1, 99.0009, UpTo100Wh),
        // The product is a hair above 160 in floating point.
        (50_000.0, 3.2, 160.0, UpTo160Wh),
    ] {
        let found = Energy::Charge { mah, cell_v }
            .watt_hours()
            .expect("the label is sound");
        assert!((found - wh).abs() < 1e-9, "{mah} mAh: {found}");
        assert_eq!(AirClass::of(found), Some(class), "{mah} mAh");
    }
    for (wh, class) in [
        (100.0, UpTo100Wh),
        (100.000_001, UpTo160Wh),
        (160.0, UpTo160Wh),
        (160.000_001, Over160Wh),
    ] {
        assert_eq!(Energy::WattHours(wh).watt_hours(), Ok(wh));
        assert_eq!(AirClass::of(wh), Some(class), "{wh} Wh");
    }
}

#[test]
fn an_output_voltage_gives_no_energy() {
    for cell_v in [4.75, 5.0, 5.1, 5.5] {
        let fault = Energy::Charge {
            mah: 20_000.0,
            cell_v,
        }
        .watt_hours()
        .expect_err("that is the output");
        assert_eq!(fault, EnergyFault::OutputVoltage(cell_v));
        assert!(fault.to_string().contains("USB output"), "{fault}");
    }
    for energy in [
        Energy::WattHours(0.0),
        Energy::WattHours(f64::NAN),
        Energy::WattHours(f64::INFINITY),
        Energy::Charge {
            mah: -1.0,
            cell_v: 3.7,
        },
        Energy::Charge {
            mah: 1000.0,
            cell_v: 0.0,
        },
    ] {
        assert_eq!(energy.watt_hours(), Err(EnergyFault::NotPositive));
    }
}

fn battery(wh: f64, kind: BatteryKind, count: u32) -> Battery {
    Battery {
        wh: Some(wh),
        lithium_g: None,
        medical: false,
        kind,
        count,
    }
}

fn metal(grams: f64, kind: BatteryKind) -> Battery {
    Battery {
        wh: None,
        lithium_g: Some(grams),
        ..battery(0.0, kind, 1)
    }
}

/// The verdicts of the rules of that name, by batteries.
#[track_caller]
fn verdict(findings: &[AirFinding], id: &str) -> Option<AirVerdict> {
    let mut found = findings.iter().filter(|finding| finding.rule.id == id);
    let verdict = found.next().map(|finding| finding.verdict);
    assert!(found.next().is_none(), "{id} applies more than once");
    verdict
}

/// IATA Dangerous Goods Regulations 67th edition (20 spares, 15 devices); ICAO Technical
/// Instructions, table 8-1 (two spares above 100 Wh), and their Addendum No. 1, in force
/// since 27 March 2026 (two power banks).
#[test]
fn counts_are_per_person() {
    use AirVerdict::{Allowed, Forbidden, NeedsApproval};
    use BatteryKind::{BuiltIn, PowerBank, Spare};
    for (id, kind, wh, most, beyond) in [
        ("small-spares", Spare, 74.0, 20, NeedsApproval),
        ("large-spares", Spare, 130.0, 2, Forbidden),
        ("large-spares", PowerBank, 130.0, 2, Forbidden),
        ("power-banks", PowerBank, 74.0, 2, Forbidden),
        ("power-banks", PowerBank, 130.0, 2, Forbidden),
        ("devices", BuiltIn, 50.0, 15, NeedsApproval),
    ] {
        for travellers in [1, 4] {
            let most = most * travellers;
            for (count, expected) in [(most, Allowed), (most + 1, beyond)] {
                let findings = flight(&[battery(wh, kind, count)], travellers);
                assert_eq!(
                    verdict(&findings, id),
                    Some(expected),
                    "{id}, {count} of {travellers}"
                );
            }
        }
    }
}

#[test]
fn counts_go_over_all_batteries_of_their_kind() {
    use BatteryKind::{PowerBank, Spare};
    let batteries = [
        battery(74.0, PowerBank, 1),
        battery(130.0, Spare, 1),
        battery(130.0, PowerBank, 2),
        battery(130.0, Spare, 0),
    ];
    let findings = flight(&batteries, 1);
    for (id, indices, count) in [
        ("power-banks", vec![0, 2], 3),
        ("large-spares", vec![1, 2], 3),
    ] {
        let finding = findings
            .iter()
            .find(|finding| finding.rule.id == id)
            .expect("the rule applies");
        assert_eq!(finding.batteries, indices, "{id}");
        assert_eq!(finding.verdict, AirVerdict::Forbidden, "{id}");
        assert_eq!(finding.reason, AirReason::Count { count, allowed: 2 });
    }
    assert_eq!(verdict(&findings, "small-spares"), None);
    assert_eq!(verdict(&findings, "devices"), None);
}

#[test]
fn each_battery_has_its_class_and_its_place() {
    use BatteryKind::{BuiltIn, PowerBank, Spare};
    for (kind, wh, class, place) in [
        (BuiltIn, 50.0, "up-to-100-wh", Some("installed")),
        (Spare, 130.0, "up-to-160-wh", Some("spares-in-cabin")),
        (
            PowerBank,
            74.0,
            "up-to-100-wh",
            Some("power-banks-in-cabin"),
        ),
        (PowerBank, 200.0, "over-160-wh", None),
    ] {
        let findings = flight(&[battery(wh, kind, 1)], 1);
        assert_eq!(findings[0].rule.id, class);
        let found = findings.iter().find_map(|finding| match finding.reason {
            AirReason::Travels(_) => Some(finding.rule.id),
            _ => None,
        });
        assert_eq!(found, place, "{kind:?} of {wh} Wh");
    }
}

/// ICAO Addendum No. 1, as the UK Civil Aviation Authority gives it.
#[test]
fn what_is_to_be_kept_depends_on_what_is_carried() {
    use BatteryKind::{BuiltIn, PowerBank, Spare};
    let kept = |kind| -> Vec<&'static str> {
        flight(&[battery(50.0, kind, 1)], 1)
            .iter()
            .filter(|finding| finding.reason == AirReason::Keep)
            .map(|finding| finding.rule.id)
            .collect()
    };
    assert_eq!(kept(BuiltIn), ["damaged", "airlines"]);
    assert_eq!(kept(Spare), ["terminals", "damaged", "airlines"]);
    assert_eq!(
        kept(PowerBank),
        [
            "terminals",
            "no-recharging-on-board",
            "no-charging-from-on-board",
            "some-airlines",
            "damaged",
            "airlines"
        ]
    );
    assert!(flight(&[], 1).is_empty());
}

/// What nobody knows the energy of is asked for, and counted as the larger.
#[test]
fn a_battery_without_watt_hours_is_not_known_to_be_free() {
    let unknown = |count| Battery {
        wh: None,
        ..battery(0.0, BatteryKind::PowerBank, count)
    };
    let findings = flight(&[unknown(1)], 1);
    assert_eq!(findings[0].reason, AirReason::NoEnergy);
    assert_eq!(findings[0].verdict, AirVerdict::Unknown);
    for id in ["power-banks-in-cabin", "terminals"] {
        assert_eq!(verdict(&findings, id), Some(AirVerdict::Condition), "{id}");
    }
    let findings = flight(&[unknown(3)], 1);
    for id in ["large-spares", "power-banks"] {
        assert_eq!(verdict(&findings, id), Some(AirVerdict::Forbidden), "{id}");
    }
}

#[test]
fn states_with_rules_of_their_own_are_found() {
    for (code, count) in [
        ("CN", 1),
        ("hk", 1),
        ("IN", 1),
        ("KR", 1),
        ("JP", 1),
        ("DE", 0),
    ] {
        assert_eq!(national_rules(code).count(), count, "{code}");
    }
}

/// FAA `PackSafe` (2 g); IATA Dangerous Goods Regulations, 2.3 (2 to 8 g for portable medical
/// devices, two spares).
#[test]
fn lithium_metal_goes_by_its_grams() {
    use AirVerdict::{Allowed, Forbidden, NeedsApproval};
    use BatteryKind::{BuiltIn, Spare};
    for (grams, medical, rule, verdict) in [
        (0.1, false, "up-to-2-g", Allowed),
        (2.0, false, "up-to-2-g", Allowed),
        (2.000_001, false, "up-to-8-g", Forbidden),
        (2.000_001, true, "up-to-8-g", NeedsApproval),
        (8.0, true, "up-to-8-g", NeedsApproval),
        (8.000_001, true, "over-8-g", Forbidden),
    ] {
        for kind in [BuiltIn, Spare] {
            let battery = Battery {
                medical,
                ..metal(grams, kind)
            };
            let findings = flight(&[battery], 1);
            assert_eq!(findings[0].rule.id, rule, "{grams} g");
            assert_eq!(findings[0].verdict, verdict, "{grams} g");
        }
    }
    let cells = Battery {
        count: 20,
        ..metal(1.0, Spare)
    };
    let findings = flight(&[cells], 1);
    assert_eq!(verdict(&findings, "small-spares"), Some(Allowed));
    assert_eq!(
        verdict(&findings, "spares-in-cabin"),
        Some(AirVerdict::Condition)
    );
    let large = Battery {
        count: 3,
        medical: true,
        ..metal(5.0, Spare)
    };
    let findings = flight(&[large], 1);
    assert_eq!(verdict(&findings, "large-spares"), Some(Forbidden));
}

/// FAA `PackSafe`, baggage equipped with lithium batteries (2.7 Wh, 0.3 g); IATA Dangerous
/// Goods Regulations, 2.3 (a battery that does not come out).
#[test]
fn bags_with_a_battery_have_rules_of_their_own() {
    use AirVerdict::{Allowed, Condition, Forbidden};
    use BatteryKind::{Bag, BagFixed};
    for (kind, wh, rule, expected) in [
        (Bag, 2.7, "bag-up-to-2.7-wh", Allowed),
        (Bag, 2.700_001, "bag-taken-out", Condition),
        (BagFixed, 2.7, "bag-up-to-2.7-wh", Allowed),
        (BagFixed, 2.700_001, "bag-fixed", Forbidden),
    ] {
        let findings = flight(&[battery(wh, kind, 1)], 1);
        assert_eq!(
            verdict(&findings, rule),
            Some(expected),
            "{kind:?}, {wh} Wh"
        );
    }
    for (kind, grams, rule) in [
        (Bag, 0.3, "bag-up-to-2.7-wh"),
        (Bag, 0.31, "bag-taken-out"),
        (BagFixed, 0.31, "bag-fixed"),
    ] {
        let findings = flight(&[metal(grams, kind)], 1);
        assert!(verdict(&findings, rule).is_some(), "{kind:?}, {grams} g");
    }
    // Out of its bag it is a spare, and the label of one that nobody knows decides.
    let findings = flight(&[battery(130.0, Bag, 3)], 1);
    assert_eq!(verdict(&findings, "large-spares"), Some(Forbidden));
    assert_eq!(verdict(&findings, "terminals"), Some(Condition));
    let unknown = Battery {
        wh: None,
        ..battery(0.0, BagFixed, 1)
    };
    let findings = flight(&[unknown], 1);
    assert_eq!(findings[0].reason, AirReason::NoEnergy);
    assert_eq!(verdict(&findings, "bag-fixed"), Some(AirVerdict::Unknown));
}

//! Ports that know 5 V only: battery charging, type A, and the old plugs.

use serde_json::json;
use wattberth::Reason;

use crate::common::{berth_of, charger, near, setup, thirsty, unserved};

/// A port with its label, a cable to an inlet, and the amps that flow at 5 V.
#[track_caller]
fn case(from: &str, offers: &str, inlet: &str, amps: f64) {
    let port = json!({"name": "A1", "connector": from, "offers": offers});
    let cable = json!({"name": "cable", "from": from, "to": inlet});
    let device = json!({"name": "device", "inlet": inlet, "accepts": "5V 3A", "battery_wh": 10});
    let berth = berth_of(&setup(&charger(&port), &cable, &device));
    assert_eq!(berth.volts, 5.0, "5 V and nothing else");
    near("amps", berth.amps, amps, 1e-6);
    near("watts at the port", berth.port_w, 5.0 * amps, 1e-5);
}

/// 0.5 A from USB 2.0 and 0.9 A from USB 3.x ports; 1.5 A (7.5 W) from a dedicated
/// charging port of BC 1.2 (IEC 62680-1-1); 1.5 and 3.0 A from a type C port
/// (IEC 63002:2021, 4.4). All read. Into the old plugs no more than their contacts bear,
/// 1.8 A into micro and 1 A into mini: memory.
#[test]
fn currents() {
    case("usb-a", "5V 500mA", "usb-micro-b", 0.5);
    case("usb-a", "5V 900mA", "usb-micro-b", 0.9);
    case("usb-a", "5V 1.5A", "usb-micro-b", 1.5);
    case("usb-a", "5V 2.4A", "usb-micro-b", 1.8);
    case("usb-a", "5V 500mA", "usb-mini-b", 0.5);
    case("usb-a", "5V 2.4A", "usb-mini-b", 1.0);
    case("usb-a", "5V 2.4A", "usb-c", 2.4);
    case("usb-c", "5V 500mA", "usb-c", 0.5);
    case("usb-c", "5V 1.5A", "usb-c", 1.5);
    case("usb-c", "5V 3A", "usb-c", 3.0);
    case("usb-c", "5V 3A", "usb-micro-b", 1.8);
    case("usb-c", "5V 3A", "usb-mini-b", 1.0);
}

/// What is promised at a type A port; `known_a` is the current that the device is known to
/// take there.
#[track_caller]
fn promised(offers: &str, known_a: Option<f64>, amps: f64) {
    let port = json!({"name": "A1", "connector": "usb-a", "offers": offers});
    let cable = json!({"name": "cable", "from": "usb-a"});
    let mut device = json!({"name": "device", "accepts": "5V 3A", "battery_wh": 10});
    if let Some(known_a) = known_a {
        device["usb_a_a"] = json!(known_a);
    }
    let berth = berth_of(&setup(&charger(&port), &cable, &device));
    let watts = berth.promised_w.expect("5 V are promised");
    near("promised watts", watts, 5.0 * amps, 1e-5);
}

/// From a dedicated charging port a device draws at most 1.5 A: BC 1.2 (IEC 62680-1-1);
/// read. More is a scheme of the makers, which only counts where it is known to work.
#[test]
fn what_type_a_promises() {
    promised("5V 500mA", None, 0.5);
    promised("5V 900mA", None, 0.9);
    promised("5V 1.5A", None, 1.5);
    promised("5V 2.4A", None, 1.5);
    promised("5V 2.4A", Some(2.4), 2.4);
    promised("5V 2.4A", Some(1.0), 1.0);
}

/// Anything but 5 V needs USB PD (IEC 63002:2021, 4.5; read), which speaks over a
/// wire that type A and the old plugs do not have.
#[track_caller]
fn no_higher_voltage(from: &str, inlet: &str) {
    let port = json!({"name": "P", "connector": from, "offers": "5V 3A, 9V 2A, PPS 3.3-11V 2A"});
    let cable = json!({"name": "cable", "from": from, "to": inlet, "max_a": 3});
    for accepts in ["9V 2A", "PPS 3.3-11V 2A"] {
        let mut device = thirsty(accepts);
        device["inlet"] = json!(inlet);
        let plan = unserved(&setup(&charger(&port), &cable, &device));
        assert_eq!(
            plan.without_berth[0].cause,
            Reason::NoCommonSupply,
            "{from} to {inlet}"
        );
    }
    let mut device = thirsty("5V 2A, 9V 2A, PPS 3.3-11V 2A");
    device["inlet"] = json!(inlet);
    let berth = berth_of(&setup(&charger(&port), &cable, &device));
    assert_eq!(
        (berth.volts, berth.port_w),
        (5.0, 10.0),
        "{from} to {inlet}"
    );
}

#[test]
fn no_higher_voltage_without_the_wire() {
    no_higher_voltage("usb-a", "usb-c");
    no_higher_voltage("usb-a", "usb-micro-b");
    no_higher_voltage("usb-c", "usb-micro-b");
    no_higher_voltage("usb-c", "usb-mini-b");
}

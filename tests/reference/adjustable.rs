//! How far the adjustable supplies reach at which power, where a charger keeps to what the
//! power rules require of it.

use serde_json::{Value, json};

use crate::common::{
    berth_of, charger, held, held_by_label, ideal_cable, near, setup, thirsty, unserved,
};

/// A port held at `watts`, and the highest voltage to which its range then goes.
#[track_caller]
fn top(port: &Value, accepts: &str, watts: f64, volts: f64) {
    let berth = berth_of(&setup(
        &held(port, watts),
        &ideal_cable(),
        &thirsty(accepts),
    ));
    near("volts", berth.volts, volts, 1e-6);
    near("amps", berth.amps, f64::min(5.0, watts / volts), 1e-6);
}

/// A port held at `watts` whose range has fallen away.
#[track_caller]
fn gone(port: &Value, accepts: &str, watts: f64) {
    unserved(&setup(
        &held(port, watts),
        &ideal_cable(),
        &thirsty(accepts),
    ));
}

/// USB PD R3.0 V1.1, table 10-8: the programmable ranges end at 5.9, 11, 16 and 21 V
/// for sources to 15, to 27, to 45 and above 45 W. Read, in a chip maker's
/// design rule and in a library's notes that list them.
#[test]
fn programmable_ranges_by_power() {
    let port = json!({"name": "C1", "offers": "PPS 3.3-21V 5A"});
    for (watts, volts) in [
        (7.5, 5.9),
        (15.0, 5.9),
        (15.01, 11.0),
        (18.0, 11.0),
        (27.0, 11.0),
        (27.01, 16.0),
        (45.0, 16.0),
        (45.01, 21.0),
        (60.0, 21.0),
        (100.0, 21.0),
    ] {
        top(&port, "PPS 3.3-21V 5A", watts, volts);
    }
}

/// The same table's ranges as labels print them, most without the mark: a port that may use
/// all of its power goes to the printed end. Read, as above. A device prints the table's
/// ranges from 3.3 V, or from 5 V as later revisions have them (memory).
#[test]
fn programmable_ranges_as_printed() {
    for (offers, volts) in [
        ("3.3-5.9V 3A", 5.9),
        ("3.3-11V 3A", 11.0),
        ("3.3-16V 3A", 16.0),
        ("3.3-21V 3A", 21.0),
    ] {
        let port = json!({"name": "C1", "offers": offers});
        let from_5 = format!("5-{volts}V 5A");
        for accepts in ["3.3-21V 5A", "5-21V 5A", "PPS 3.3-21V 5A", &from_5] {
            let berth = berth_of(&setup(&charger(&port), &ideal_cable(), &thirsty(accepts)));
            near("volts", berth.volts, volts, 1e-6);
            near("amps", berth.amps, 3.0, 1e-6);
        }
        // No range of the table, so an input that takes any fixed voltage within it.
        unserved(&setup(
            &charger(&port),
            &ideal_cable(),
            &thirsty("5-20V 5A"),
        ));
    }
}

/// The same table says how far a source must reach, not where it must stop (read, in the
/// chip maker's rule: "at least"): a port that keeps its range reaches the printed end at any
/// power, with less current.
#[test]
fn a_range_may_be_kept() {
    let port = json!({"name": "C1", "offers": "PPS 3.3-21V 5A"});
    let device = thirsty("PPS 3.3-21V 5A");
    for watts in [7.5, 15.0, 27.0, 45.0] {
        let silent = held_by_label(&port, watts);
        let mut kept = silent.clone();
        kept["voltages"] = json!("kept");
        for charger in [silent, kept] {
            let berth = berth_of(&setup(&charger, &ideal_cable(), &device));
            near("volts", berth.volts, 21.0, 1e-6);
            near("amps", berth.amps, watts / 21.0, 1e-6);
        }
    }
}

/// USB PD R3.1, 10.2.3: the extended adjustable range goes from 15 to 28 V at 100 to
/// 140 W, to 36 V at up to 180 W, to 48 V above. Read, in the articles named in
/// `power_rules`.
#[test]
fn extended_adjustable_range_by_power() {
    let port = json!({"name": "C1", "offers": "AVS 15-48V 5A", "max_w": 240});
    let accepts = "AVS 15-48V 5A";
    gone(&port, accepts, 60.0);
    gone(&port, accepts, 100.0);
    for (watts, volts) in [
        (100.01, 28.0),
        (140.0, 28.0),
        (140.01, 36.0),
        (180.0, 36.0),
        (180.01, 48.0),
        (240.0, 48.0),
    ] {
        top(&port, accepts, watts, volts);
    }
}

/// USB PD R3.2: in the standard range the adjustable supply has a band from 9 to
/// 15 V and one from 15 to 20 V: read, in the constants of a kernel's driver. That
/// it belongs to sources above 27 W, and its second band to those above 45 W: memory.
#[test]
fn standard_adjustable_range_by_power() {
    let port = json!({"name": "C1", "offers": "AVS 9-20V 5A", "max_w": 100});
    let accepts = "AVS 9-20V 5A";
    gone(&port, accepts, 15.0);
    gone(&port, accepts, 27.0);
    for (watts, volts) in [
        (27.01, 15.0),
        (45.0, 15.0),
        (45.01, 20.0),
        (60.0, 20.0),
        (100.0, 20.0),
    ] {
        top(&port, accepts, watts, volts);
    }
}

/// A port of `pdp_w` whose adjustable range ends at `range_top_v`, and a device that
/// asks for no more than `volts`: the amps of the extended adjustable supply.
#[track_caller]
fn extended_amps(pdp_w: f64, range_top_v: f64, volts: f64, amps: f64) {
    let port = json!({"name": "C1", "offers": format!("AVS 15-{range_top_v}V 5A"), "max_w": pdp_w});
    let device = thirsty(&format!("AVS 9-{volts}V 5A"));
    let berth = berth_of(&setup(&charger(&port), &ideal_cable(), &device));
    near("volts", berth.volts, volts, 1e-6);
    near("amps", berth.amps, amps, 1e-6);
    near("watts at the port", berth.port_w, volts * amps, 1e-5);
}

/// USB PD R3.1: 5 A up to the voltage at which they reach the port's power, constant
/// power above. For 144 W that point is 28.8 V and the end of the range 36 V (4 A):
/// read, in the test house's article. The other rows: arithmetic from the rule.
#[test]
fn extended_adjustable_current() {
    // Beyond 21 V no programmable range reaches, so the mark may be left out.
    let unmarked = json!({"name": "C1", "offers": "15-28V 5A"});
    let device = thirsty("AVS 15-28V 5A");
    let berth = berth_of(&setup(&charger(&unmarked), &ideal_cable(), &device));
    near("volts", berth.volts, 28.0, 1e-6);
    extended_amps(144.0, 36.0, 28.8, 5.0);
    extended_amps(144.0, 36.0, 36.0, 4.0);
    extended_amps(144.0, 36.0, 15.0, 5.0);
    extended_amps(144.0, 36.0, 30.0, 4.8);
    extended_amps(140.0, 28.0, 15.0, 5.0);
    extended_amps(140.0, 28.0, 20.0, 5.0);
    extended_amps(140.0, 28.0, 28.0, 5.0);
    extended_amps(180.0, 36.0, 36.0, 5.0);
    extended_amps(240.0, 48.0, 40.0, 5.0);
    extended_amps(240.0, 48.0, 48.0, 5.0);
}

//! Spellings that differ from label to label, and what people type for what is printed.

use super::{bad, fixed, good, lines, plain, pps, watts_alone};
use crate::limits::ACCEPT_V;
use crate::usb::LabelEntry;
use crate::usb::label::{Held, parse};

#[test]
fn signs_between_volts_and_amps() {
    for text in [
        "5V---3A",
        "5V--3A",
        "5V–––3A",
        "5V ——— 3A",
        "5V=-=3A",
        "5V×3A",
        "5Vx3A",
        "5V X 3A",
        "5 v x 3 a",
        "5V*3A",
        "5V @ 3A",
        "5V@3A",
        "5V:3A",
        "5 VDC, 3 A",
        "5V,3A",
        "5V DC, 3A",
        "5.0V⎓3.0A",
        "DC 5V 3A",
        "DC5V/3A",
        "5V 3A DC",
        "Output 5V/3A",
    ] {
        good(text, &[fixed(5.0, 3.0)]);
    }
    good("USB PD 3.1: 28V/5A", &[fixed(28.0, 5.0)]);
    good("USB PD 3.1 28V/5A", &[fixed(28.0, 5.0)]);
    good("9 VDC, 2,22 A", &[fixed(9.0, 2.22)]);
    good("5V, 2000mA", &[fixed(5.0, 2.0)]);
}

#[test]
fn separators() {
    let two = [fixed(5.0, 3.0), fixed(9.0, 2.22)];
    for text in [
        "5V=3A 9V=2.22A",
        "5V⎓3A | 9V⎓2.22A",
        "5V⎓3A|9V⎓2.22A",
        "5V⎓3A 9V⎓2.22A",
        "5V3A9V2.22A",
        "5V 3A 9 V 2.22A",
        "5V,3A;9V,2.22A",
        "5V, 3A, 9V, 2.22A",
        "5V,3A 9V,2.22A",
        "5V⎓3A • 9V⎓2.22A",
        "5V---3A 9V---2.22A",
        "5V×3A / 9V×2.22A",
    ] {
        good(text, &two);
    }
    good("5V 3A 9-20V 2A", &[fixed(5.0, 3.0), plain(9.0, 20.0, 2.0)]);
    bad(
        "5V 3A «2» - 20V 2A",
        &[
            "either the number of a port or a voltage: write it as in Output 1: 5V 3A, or with its unit",
        ],
    );
}

#[test]
fn marks_behind() {
    good("3.3-11V⎓3A (PPS)", &[pps(3.3, 11.0, 3.0)]);
    good("3.3V-11V 3A PPS", &[pps(3.3, 11.0, 3.0)]);
    good("3.3-11V⎓3A [pps].", &[pps(3.3, 11.0, 3.0)]);
    good("3.3-11V⎓3A PPS 30W", &[pps(3.3, 11.0, 3.0).at_most(30.0)]);
    good(
        "5V⎓3A, 3.3-11V⎓3A (PPS), 3.3-16V⎓2A (PPS), 20V⎓2A",
        &[
            fixed(5.0, 3.0),
            pps(3.3, 11.0, 3.0),
            pps(3.3, 16.0, 2.0),
            fixed(20.0, 2.0),
        ],
    );
    good(
        "3.3-11V 3A (PPS) 5V 3A",
        &[pps(3.3, 11.0, 3.0), fixed(5.0, 3.0)],
    );
    good(
        "5V 3A PPS 3.3-11V 3A",
        &[fixed(5.0, 3.0), pps(3.3, 11.0, 3.0)],
    );
    good(
        "5V 3A (PPS) 3.3-11V 3A",
        &[fixed(5.0, 3.0), pps(3.3, 11.0, 3.0)],
    );
    good(
        "PPS 3.3-11V 3A PPS 3.3-16V 2A",
        &[pps(3.3, 11.0, 3.0), pps(3.3, 16.0, 2.0)],
    );
    good("28V⎓5A (EPR)", &[fixed(28.0, 5.0)]);
    good("EPR 28V 5A", &[fixed(28.0, 5.0)]);
    good(
        "20V 5A (SPR), 28V 5A (EPR)",
        &[fixed(20.0, 5.0), fixed(28.0, 5.0)],
    );
}

#[test]
fn printed_watts() {
    for text in [
        "5V 3A (15W Max)",
        "5V/3A/15W",
        "5V⎓3A=15W",
        "5V×3A=15W",
        "5V 3A 15 Watts",
    ] {
        good(text, &[fixed(5.0, 3.0).at_most(15.0)]);
    }
}

#[test]
fn watts_alone_are_answered_with_their_field() {
    bad("«100W»", &[&watts_alone(100)]);
    bad("PD «100W»", &[&watts_alone(100)]);
    bad("«65W» Max", &[&watts_alone(65)]);
    bad("USB-C PD «20W»", &[&watts_alone(20)]);
    bad("USB-C: «30 W»", &[&watts_alone(30)]);
    bad(
        "«2000W»",
        &["watts with no voltage and current: write all three, as in 20V 3.25A 65W"],
    );
}

#[test]
fn currents_of_usb() {
    let watts = |watts: u32| {
        format!(
            "no plug or cable of USB has more than 5 A: if {watts} W is meant, write it as \"pd_w\": {watts}"
        )
    };
    good("20V 5A", &[fixed(20.0, 5.0)]);
    bad("5V «18A»", &[&watts(18)]);
    bad("«65A»", &[&watts(65)]);
    bad("20V/«100A»", &[&watts(100)]);
    let look = "no plug or cable of USB has more than 5 A: look at the label again";
    bad("5V «5.1A»", &[look]);
    bad("11V «6.5A», 5V 3A", &[look]);
    bad("5V «6000mA»", &[look]);
    let barrel = Held {
        volts: &ACCEPT_V,
        usb: false,
        pd_w: true,
    };
    let read = |text: &str| parse(&lines(&[text]), barrel);
    assert_eq!(
        read("12V 18A"),
        Ok::<Vec<LabelEntry>, _>(vec![fixed(12.0, 18.0)])
    );
    let faults = read("12V 21A").expect_err("too much");
    assert_eq!(
        faults[0].message,
        "above 20 A, the most that is read: milliamps are written mA"
    );
}

#[test]
fn currents_before_voltages() {
    let first = "the voltage stands before its current: write it as in 5V 3A";
    for text in [
        "«3A»@5V",
        "«3A» @ 5V",
        "«3A» 5V",
        "«3A»⎓5V",
        "«2000mA»/5V",
        "Output: «3A» × 5V",
    ] {
        bad(text, &[first]);
    }
}

#[test]
fn another_port_is_another_text() {
    let other = |port: &str, before: &str| {
        format!("`{port}` is another port than `{before}`: write one text for each port")
    };
    bad(
        "USB-C1: 5V 3A, «USB-A»: 5V 2.4A",
        &[&other("USB-A", "USB-C1")],
    );
    bad("C1: 5V 3A; «C2»: 9V 2A", &[&other("C2", "C1")]);
    bad("C1 5V 3A «A1» 5V 2A", &[&other("A1", "C1")]);
    bad(
        "Output 1: 5V 3A\n«Output 2»: 5V 1A",
        &[&other("Output 2", "Output 1")],
    );
    bad(
        "Type-C: 5V 3A / «Type-A»: 5V 1A, «USB 3»: 5V 1A",
        &[&other("Type-A", "Type-C"), &other("USB 3", "Type-A")],
    );
    // Alike, or the same one again.
    good(
        "USB-C1/USB-C2: 5V 3A, 9V 2A",
        &[fixed(5.0, 3.0), fixed(9.0, 2.0)],
    );
    good(
        "USB-C: 5V 3A, Type-C: 9V 2A",
        &[fixed(5.0, 3.0), fixed(9.0, 2.0)],
    );
}

//! Labels that are read, each with what is understood.

use super::{good, lines};
use crate::usb::Connector;
use crate::usb::label::whole::whole;

#[test]
fn a_label_in_one_text() {
    good(
        "Output: USB-C1: 5V⎓3A, 9V⎓3A, 15V⎓3A, 20V⎓3.25A (65W Max); USB-C2: 5V⎓3A; \
         C1+C2: 45W+20W; Total 65W",
        "C1: 5V 3A, 9V 3A, 15V 3A, 20V 3.25A 65W; C2: 5V 3A; C1+C2: 45W+20W; Total 65W",
    );
    good(
        "Input: 100-240V~ 50/60Hz 1.8A | USB-C1 65W | USB-A 12W | C1 + A: 45W+12W | Total: 65W Max",
        "C1 65W; A: 5V 2.4A; C1+A: 45W+12W; Total 65W",
    );
    good(
        "INPUT: 100-240V~, 50-60Hz, 1.5A\nOUTPUT:\nType-C1: 5V/3A, 9V/3A,\n20V/5A\nPPS: 3.3-11V/5A\n\
         Type-A: 5V/2.4A\nC1+A: 65W + 12W\nMAX OUTPUT 77W",
        "C1: 5V 3A, 9V 3A, 20V 5A, PPS 3.3-11V 5A; A: 5V 2.4A; C1+A: 65W+12W; Total 77W",
    );
    good(
        "Input 100-240V~ 50/60Hz 1.8A Output USB-C 5V 3A 9V 2.22A USB-A 5V 2.4A Total 20W",
        "C: 5V 3A, 9V 2.22A; A: 5V 2.4A; Total 20W",
    );
}

#[test]
fn names_of_ports() {
    for text in [
        "C1 65W",
        "USB-C1 65W",
        "USB-C 1 65W",
        "USB C1: 65W",
        "USBC1 65W",
        "Type-C1 65W",
        "Type C 1: 65W",
        "USB Type-C1: 65W",
        "usb-c1: 65 w",
        "Port C1: 65W",
        "C-1: 65W",
        "C1 (USB-C): 65W",
        "C1 port 65W",
        "Output C1: 65W",
        "C1 - 65W",
        "C1-65W",
        "C1 = 65W",
        "C1---65W",
        "C1 (65W)",
        "C1: (65W Max)",
        "C1: max. 65W",
        "C1 PD 65W",
        "C1 PD 3.1: 65W",
        "C1: PD3.0 65W Max",
        "C1 (PD 65W)",
        "C1 up to 65W",
        "C1 65 Watts",
        "C1 (stage left): 65W",
        "• C1: 65W",
        "C1:\n65W",
    ] {
        good(text, "C1 65W");
    }
    for text in [
        "C1, 65 W; C2, 30 W",
        "C1 65W C2 30W",
        "C1 65W and C2 30W",
        "C1 65W & C2 30W",
        "USB-C1 65W USB-C2 30W",
        "USB-C1 (65W), USB-C2 (30W)",
        "C1=65W C2=30W",
        "C1 65W PD. C2 30W PD.",
    ] {
        good(text, "C1 65W; C2 30W");
    }
    good("C1, 5V 3A, C2, 9V 2A", "C1: 5V 3A; C2: 9V 2A");
    good(
        "USB-C 65W USB-A 12W TOTAL 77W",
        "C 65W; A: 5V 2.4A; Total 77W",
    );
    good("USB-C 65W", "C 65W");
    good("USB-A 12W", "A: 5V 2.4A");
    good("A1 12W, A2 10 W", "A1: 5V 2.4A; A2: 5V 2A");
    good("A: 5W; C: 20W", "A: 5V 1A; C 20W");
    good("Micro-USB: 5V 1A", "Micro-B: 5V 1A");
    good("USB mini-B 5W", "Mini-B: 5V 1A");
}

#[test]
fn several_ports_alike() {
    let alike = "C1 65W; C2 65W";
    for text in [
        "C1 C2 65 W",
        "C1/C2: 65W",
        "USB-C1/C2: 65W",
        "C1, C2: 65W",
        "C1 & C2 65W each",
        "C1 and C2: 65 W each",
        "C1 or C2: 65W",
        "C1-C2 65W",
        "C1–C2: 65W",
        "C1~C2: 65W",
        "C1 to C2: 65W",
        "C1-2: 65W",
        "2x USB-C 65W",
        "2 × USB-C: 65W",
        "2 x Type-C 65W",
        "USB-C x2 65W",
        "USB-C (x2): 65W",
        "USB-C (2x): 65W",
        "USB-C1, USB-C2 65W Max each",
    ] {
        good(text, alike);
    }
    good("C3-C5 30 W", "C3 30W; C4 30W; C5 30W");
    good(
        "C1/C2: 5V⎓3A, 9V⎓3A; A1/A2: 5V⎓2.4A",
        "C1: 5V 3A, 9V 3A; C2: 5V 3A, 9V 3A; A1: 5V 2.4A; A2: 5V 2.4A",
    );
    good(
        "2x USB-C 30W, 1x USB-A 12W, C1+C2+A: 15W+15W+12W",
        "C1 30W; C2 30W; A: 5V 2.4A; C1+C2+A: 15W+15W+12W",
    );
    good("C1 45W; 2x USB-C 20W", "C1 45W; C2 20W; C3 20W");
}

#[test]
fn watts_and_voltages_of_one_port() {
    good("C1 (100W): 5V3A 20V5A", "C1 (100W): 5V 3A, 20V 5A");
    good("C1: 5V3A, 20V5A, 100W Max", "C1 (100W): 5V 3A, 20V 5A");
    good("C1 100W 5V 3A / 20V 5A", "C1 (100W): 5V 3A, 20V 5A");
    good("C1: 5V 3A; 20V 5A; C1 100W", "C1 (100W): 5V 3A, 20V 5A");
    good(
        "C1 100W; A 12W; C1: 5V 3A | 20V 5A",
        "C1 (100W): 5V 3A, 20V 5A; A: 5V 2.4A",
    );
    good("A1 (18W): 5V3A 9V2A", "A1 (18W): 5V 3A, 9V 2A");
    good("A1 18W (5V 3A, 9V 2A 18W)", "A1 (18W): 5V 3A, 9V 2A 18W");
    good(
        "C1: 65W (5V 3A, PPS 3.3-11V 3A (33W)); A (5V 1A)",
        "C1 (65W): 5V 3A, PPS 3.3-11V 3A 33W; A: 5V 1A",
    );
    good(
        "USB-C:\n5V⎓3A\n3.3-11V⎓3A (PPS)\n28V⎓5A (EPR)",
        "C: 5V 3A, PPS 3.3-11V 3A, 28V 5A",
    );
    good("C1: DC 5V 3A, C2: 9 VDC, 2 A", "C1: 5V 3A; C2: 9V 2A");
    good(
        "C: (PPS) 3.3-11V 3A; A 5V---2.4A",
        "C: PPS 3.3-11V 3A; A: 5V 2.4A",
    );
}

#[test]
fn ports_in_use_together() {
    let ports = "C1 65W; C2 30W; A1 12W; ";
    let read = "C1 65W; C2 30W; A1: 5V 2.4A; ";
    for line in [
        "C1+C2: 45W+20W",
        "C1+C2 45W/20W",
        "C1+C2: 45W + 20W (65W Max)",
        "C1 + C2: 45 W + 20 W",
        "C1+C2 45+20W",
        "C1+C2: 45W Max + 20W Max",
        "C1+C2: 45W+20W=65W",
        "C1+C2: 65W (45W+20W)",
        "C1+C2: 65W Max (45W + 20W)",
        "C1+C2 (45W+20W)",
        "C1+C2: 45W, 20W",
        "C1/C2: 45W+20W",
        "C1 & C2: 45W + 20W",
        "USB-C1 + USB-C2: PD 45W + 20W",
        "C1+C2 = 45W+20W",
    ] {
        good(&format!("{ports}{line}"), &format!("{read}C1+C2: 45W+20W"));
    }
    for (line, expected) in [
        ("C1+C2+A1: 30W+15W+12W", "C1+C2+A1: 30W+15W+12W"),
        ("C1+C2: 30W each", "C1+C2: 30W+30W"),
        ("C1+C2: 65W Max", "C1+C2: 65W Max"),
        ("C1+C2 65W", "C1+C2: 65W Max"),
        ("C1+C2 (65W total)", "C1+C2: 65W Max"),
        ("C2/A1 20W shared", "C2+A1: 20W Max"),
        ("A1 & C2: 20W total", "C2+A1: 20W Max"),
        ("C1/C2+A1: 20W+12W", "C1+A1: 20W+12W; C2+A1: 20W+12W"),
        (
            "A1+C1: 12W+45W; C1+A1: 45W+12W",
            "A1+C1: 12W+45W; C1+A1: 45W+12W",
        ),
    ] {
        good(&format!("{ports}{line}"), &format!("{read}{expected}"));
    }
    // A line before its ports.
    good(
        "C1+C2: 20W+10W\nC1 30W\nC2 30W",
        "C1 30W; C2 30W; C1+C2: 20W+10W",
    );
    // Marked by blanks alone.
    good(
        "C1 65W C2 30W C1+C2 45W+20W",
        "C1 65W; C2 30W; C1+C2: 45W+20W",
    );
    good(
        "C1 45 W | C2 20 W | C1+C2 30 W + 15 W",
        "C1 45W; C2 20W; C1+C2: 30W+15W",
    );
}

#[test]
fn totals() {
    for total in [
        "Total 65W",
        "Total: 65W Max",
        "Total: 65W (Max)",
        "Total Output: 65W (Max)",
        "65W total",
        "65 W",
        "Max. output 65W",
        "Max 65W",
        "Output (max): 65 W",
        "Output: 65W",
        "65W Max Output",
        "Combined: 65W",
        "Max Total Output Power: 65W",
        "Total power 65 watts",
        "Total = 65W",
        "All ports: 65W",
        "Output: 65W; Total 65W",
    ] {
        good(
            &format!("C1 45W; C2 20W; {total}"),
            "C1 45W; C2 20W; Total 65W",
        );
        good(
            &format!("{total}; C1 45W; C2 20W"),
            "C1 45W; C2 20W; Total 65W",
        );
        good(
            &format!("C1 45W\nC2 20W\n{total}\n"),
            "C1 45W; C2 20W; Total 65W",
        );
    }
    good("C1 45W, 65W total", "C1 45W; Total 65W");
    good("C1 45W Total 65W", "C1 45W; Total 65W");
    good("C1 5V 3A 9V 3A Total 27W", "C1: 5V 3A, 9V 3A; Total 27W");
    good(
        "160 W; C1 C2 65 W; C3-C5 30 W; A1 A2 12 W",
        "C1 65W; C2 65W; C3 30W; C4 30W; C5 30W; A1: 5V 2.4A; A2: 5V 2.4A; Total 160W",
    );
}

#[test]
fn the_mains_side_is_passed_over() {
    for input in [
        "Input: 100-240V~ 50/60Hz 1.8A",
        "Input: 100-240V~, 50/60Hz, 1.8A Max",
        "AC 100-240V 1.8A",
        "100-240V~ 50/60Hz",
        "100–240 VAC; 50/60 Hz; 1.8 A",
        "Input:\n100-240V~\n50/60Hz\n1.8A",
        "INPUT 12-24V 10A",
        "230V~",
    ] {
        good(&format!("{input}\nC1 65W"), "C1 65W");
        good(&format!("C1 65W\n{input}"), "C1 65W");
        good(&format!("{input}; Output: C1 5V 3A"), "C1: 5V 3A");
    }
}

#[test]
fn names_are_found_where_they_stand() {
    let text = ["Input: 100-240V~", "USB-C1/C2: 5V 3A", "", "2x USB-A 12W"];
    let label = whole(&lines(&text)).expect("it can be read");
    let found: Vec<_> = label
        .ports
        .iter()
        .map(|port| {
            let place = &text[port.line][port.span.clone()];
            (port.name.as_str(), place, &port.connector)
        })
        .collect();
    let (c, a) = (&Connector::UsbC, &Connector::UsbA);
    assert_eq!(
        found,
        [
            ("C1", "USB-C1", c),
            ("C2", "C2", c),
            ("A1", "2x USB-A", a),
            ("A2", "2x USB-A", a)
        ]
    );
}

//! What holds for any text, sound or not, and for the longest ones.

use proptest::prelude::*;

use super::{lines, understood};
use crate::usb::label::whole::whole;

/// A reader that looked ahead to the end from every piece would not come back.
#[test]
fn the_longest_texts_are_read() {
    for pattern in [
        "C1 ",
        "C1+",
        "C1/",
        "C1 1W;",
        "C1: 5V3A;",
        "C1-C256 1W;",
        "256x USB-C 1W;",
        "total ",
        "output ",
        "output 1W ",
        "max ",
        "(",
        "C1 (",
        "C1 ((",
        "C1: (1W+",
        "1W ",
        "1W+",
        "5V 3A ",
        "100V~ ",
        "Input ",
        "1A ",
        "A ",
        "A1A",
        "C1+C2: 1W+1W;",
        "C1/C2+C3/C4+C5/C6: 1W+1W+1W;",
        "C1+C2 1W;",
        "C1 1W C2 1W ",
        "é",
        "PPS ",
        "C1 PPS ",
        "2x ",
        "C1\n",
        "C1,",
        "C1&",
        "C1 5V 3A, 9V 2A\n",
        "pd 3.0 ",
        "C1 (5V ",
        "C1 pd 3.0 ",
    ] {
        let most = 100_000;
        for before in ["", "C1 1W;C2 1W;C3 1W;C4 1W;C5 1W;C6 1W;"] {
            let text = before.to_owned() + &pattern.repeat((most - before.len()) / pattern.len());
            drop(whole(&[text]));
        }
    }
    let text = "C1 1W ".repeat(20_000);
    assert_eq!(
        whole(&[text]).expect_err("too long")[0].message,
        "a text of more than 100000 bytes, the longest that is read"
    );
}

#[test]
fn a_charger_has_no_more_ports_than_a_setup() {
    let faults = whole(&lines(&["200x USB-C 1W; 57x USB-A 1W"])).expect_err("too many");
    assert_eq!(faults.len(), 1);
    assert_eq!(faults[0].message, "257 ports; at most 256 are accepted");
    let label = whole(&lines(&["200x USB-C 1W; 56x USB-A 1W"])).expect("just so many");
    assert_eq!(label.ports.len(), 256);
}

fn select(pieces: &'static [&'static str]) -> impl Strategy<Value = String> {
    proptest::sample::select(pieces).prop_map(str::to_owned)
}

/// Whole parts as labels have them, with a piece astray here and there.
fn scraps() -> impl Strategy<Value = String> {
    let port = select(&[
        "C1 65W",
        "USB-C2: 30W",
        "A1 12W",
        "USB-A: 5V⎓2.4A",
        "C1/C2 45W",
        "2x USB-C 20W",
        "C3-C5 30 W",
        "C1 (100W): 5V3A 20V5A",
        "C2: 5V 3A, 9V 3A, PPS 3.3-11V 3A",
    ]);
    let line = select(&[
        "C1+C2: 45W+20W",
        "C1+C2 65W Max",
        "C1 + A: 45W + 12W",
        "C1/C2+A1 30W/12W",
        "C1+C2 30W each",
        "C3+C4 20W shared",
    ]);
    let other = select(&[
        "Total 65W",
        "Output:",
        "160 W",
        "Input: 100-240V~ 50/60Hz 1.8A",
        "Max. output 65W",
    ]);
    let astray = select(&[
        "C1", "A", "5", "65W", "5V", "3A", "V", "W", "A1", "C", "USB", "Type", "-", "+", "/", "&",
        "x", "2x", "each", "total", "max", "(", ")", ":", "=", "~", "Hz", "PPS", "or", "and", "to",
        "€", "é", "🎻", "\u{0}", "0", "1e9", "Micro", "Port", "Output", "1",
    ]);
    let piece = prop_oneof![4 => port, 3 => line, 2 => other, 1 => astray];
    let end = select(&["; ", "|", "\n", ", ", " ", ""]);
    proptest::collection::vec((piece, end), 0..8).prop_map(|pieces| {
        pieces
            .into_iter()
            .map(|(piece, end)| piece + &end)
            .collect()
    })
}

/// Every fault lies within its line, on whole characters; what is read reads back.
fn reads_soundly(text: &[String]) -> Result<(), TestCaseError> {
    match understood(text) {
        Ok(label) => {
            prop_assert!(!label.ports.is_empty());
            let said = label.to_string();
            prop_assert_eq!(
                understood(std::slice::from_ref(&said)),
                Ok(label),
                "{}",
                said
            );
        }
        Err(faults) => {
            prop_assert!(!faults.is_empty());
            for fault in &faults {
                let line = text.get(fault.line).map_or("", String::as_str);
                prop_assert!(line.get(fault.span.clone()).is_some(), "{:?}", fault);
                prop_assert!(!fault.message.contains('\n'), "{:?}", fault);
            }
            prop_assert!(faults.is_sorted_by_key(|fault| (fault.line, fault.span.start)));
        }
    }
    Ok(())
}

proptest! {
    #[test]
    fn any_text_is_read_or_refused(text in proptest::collection::vec(any::<String>(), 0..4)) {
        reads_soundly(&text)?;
    }

    #[test]
    fn scraps_of_labels_are_read_or_refused(
        text in proptest::collection::vec(scraps(), 1..3),
    ) {
        reads_soundly(&text)?;
    }
}

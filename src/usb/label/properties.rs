//! What holds for any text, sound or not, and for the longest ones.

use proptest::prelude::*;
use proptest::strategy::ValueTree;
use proptest::test_runner::TestRunner;

use super::corpus::{canonical, fixed, read};
use super::{LabelFault, value};
use crate::usb::{LabelEntry, LabelVolts, Mark};

#[test]
fn limits_are_named() {
    let many = |count: usize| vec!["5V 3A".to_owned(); count];
    assert_eq!(read(&many(1024)).map(|entries| entries.len()), Ok(1024));
    let fault = LabelFault {
        line: 1024,
        span: 0..2,
        message: "more than 1024 entries in one text, the most that is read".to_owned(),
    };
    assert_eq!(read(&many(2000)), Err(vec![fault]));

    let padded = |length: usize| "5V 3A".to_owned() + &" ".repeat(length - 5);
    assert_eq!(read(&[padded(100_000)]), Ok(vec![fixed(5.0, 3.0)]));
    let fault = LabelFault {
        line: 1,
        span: 0..99_995,
        message: "a text of more than 100000 bytes, the longest that is read".to_owned(),
    };
    assert_eq!(
        read(&["5V 3A".to_owned(), padded(99_995)]),
        Err(vec![fault])
    );
}

/// A reader that looked ahead to the end from every piece would not come back.
#[test]
fn the_longest_texts_are_read() {
    for pattern in [
        "5V/", "5", "a ", "PPS ", "5V 3A/", "1-", "(", "~", "100V~,5/", "-5V", "é,", "5,", "C1 ",
        "C1:5V3A ", "---", "@", "+", "(PPS)",
    ] {
        let text = pattern.repeat(100_000 / pattern.len());
        assert!(read(&[text]).is_err(), "{pattern:?}");
    }
}

/// Numbers as labels have them, and odder ones.
fn quantity(most: f64) -> impl Strategy<Value = f64> {
    prop_oneof![
        (1..=1000_u32).prop_map(move |share| f64::from(share) * most / 1000.0),
        f64::MIN_POSITIVE..=most,
    ]
}

fn entry() -> impl Strategy<Value = LabelEntry> {
    let marks = prop_oneof![Just(Mark::None), Just(Mark::Pps), Just(Mark::Avs)];
    let volts = prop_oneof![
        quantity(89.0).prop_map(LabelVolts::Single),
        (quantity(89.0), quantity(89.0), marks)
            .prop_filter("a range has two ends", |(one, other, _)| one != other)
            .prop_map(|(one, other, mark)| LabelVolts::Range {
                low_v: one.min(other),
                high_v: one.max(other),
                mark,
            }),
    ];
    (volts, quantity(5.0), proptest::option::of(1..=100_u32)).prop_map(|(volts, amps, share)| {
        let most_w = value::bounds(volts).1 * amps;
        LabelEntry {
            volts,
            amps,
            watts: share.map_or(f64::INFINITY, |share| most_w * f64::from(share) / 100.0),
        }
    })
}

/// A mark holds until a fixed entry: an unmarked range right after a marked one is
/// nothing that a label can say.
fn as_a_label_says(mut entries: Vec<LabelEntry>) -> Vec<LabelEntry> {
    let mut held = Mark::None;
    for entry in &mut entries {
        match &mut entry.volts {
            LabelVolts::Single(_) => held = Mark::None,
            LabelVolts::Range { mark, .. } if *mark == Mark::None => *mark = held,
            LabelVolts::Range { mark, .. } => held = *mark,
        }
    }
    entries
}

/// Whole entries as labels have them, with a piece astray here and there.
fn scraps() -> impl Strategy<Value = String> {
    let whole = (
        select(&["", "", "", "PPS ", "AVS: ", "Output 1:", "USB-C1 ", "DC"]),
        select(&[
            "5V", "9 V", "20V", "5V/9V", "3.3-11V", "9V–24V", "15-28V", "2,5V",
        ]),
        select(&[
            " ", "⎓", "=", "/", "-", "", " DC ", "---", "×", "x", ", ", " @ ",
        ]),
        select(&["3A", "2,22 A", "500mA", ".5A", "5A", "20A"]),
        select(&[
            "",
            "",
            "",
            " 2W",
            " (max. 1W)",
            "[2 W]max",
            " max",
            " (PPS)",
            " PPS",
            " EPR",
        ]),
        select(&[
            ", ", ",", ";", " or ", "\n", "\r\n", "/", " / ", "", " ", " | ",
        ]),
    )
        .prop_map(|(before, volts, sign, amps, after, end)| {
            [before, volts, sign, amps, after, end].concat()
        });
    let astray = select(&[
        "5", "3.3", "0", "100", "V", "A", "mA", "W", "5V", "3A", "PPS", "AVS", "or", "max", "AC",
        "VAC", "Output", "C", "/", ",", ";", "-", "–", "~", "⎓", "=", ":", ".", "(", ")", "]", " ",
        "\n", "+", "€", "é", "\u{301}", "🎻", "\u{0}",
    ]);
    let piece = prop_oneof![4 => whole, 1 => astray.prop_map(str::to_owned)];
    proptest::collection::vec(piece, 0..8).prop_map(|pieces| pieces.concat())
}

fn select(pieces: &'static [&'static str]) -> impl Strategy<Value = &'static str> {
    proptest::sample::select(pieces)
}

/// Every fault lies within its line, on whole characters; entries hold what the
/// document promises of them and read back as printed.
fn reads_soundly(lines: &[String]) -> Result<(), TestCaseError> {
    match read(lines) {
        Ok(entries) => {
            prop_assert!(!entries.is_empty());
            for entry in &entries {
                let (low_v, high_v) = value::bounds(entry.volts);
                prop_assert!(
                    low_v > 0.0 && low_v <= high_v && high_v <= 89.0,
                    "{}",
                    entry
                );
                prop_assert!(entry.amps > 0.0 && entry.amps <= 5.0, "{}", entry);
                prop_assert!(entry.watts > 0.0, "{}", entry);
            }
            prop_assert_eq!(read(&[canonical(&entries)]), Ok(entries));
        }
        Err(faults) => {
            prop_assert!(!faults.is_empty());
            for fault in &faults {
                let part = lines
                    .get(fault.line)
                    .map_or(Some(""), |line| line.get(fault.span.clone()));
                prop_assert!(part.is_some(), "{:?}", fault);
                prop_assert!(!fault.message.contains('\n'), "{:?}", fault);
            }
            prop_assert!(faults.is_sorted_by_key(|fault| (fault.line, fault.span.start)));
        }
    }
    Ok(())
}

/// The scraps are worth drawing: they reach sound labels of all kinds, and faults.
#[test]
fn scraps_reach_sound_labels_and_faults() {
    let mut runner = TestRunner::deterministic();
    let (mut fixed, mut ranges, mut marked, mut several_faults) = (0, 0, 0, 0);
    for _ in 0..2000 {
        let tree = scraps()
            .new_tree(&mut runner)
            .expect("scraps are always drawn");
        match read(&[tree.current()]) {
            Ok(entries) => {
                for entry in entries {
                    match entry.volts {
                        LabelVolts::Single(_) => fixed += 1,
                        LabelVolts::Range {
                            mark: Mark::None, ..
                        } => ranges += 1,
                        LabelVolts::Range { .. } => marked += 1,
                    }
                }
            }
            Err(faults) => several_faults += usize::from(faults.len() > 1),
        }
    }
    let least = [fixed, ranges, marked, several_faults];
    assert!(least.iter().all(|&count| count > 100), "{least:?}");
}

proptest! {
    #[test]
    fn any_text_is_read_or_refused(lines in proptest::collection::vec(any::<String>(), 0..4)) {
        reads_soundly(&lines)?;
    }

    #[test]
    fn scraps_of_labels_are_read_or_refused(
        lines in proptest::collection::vec(scraps(), 1..3),
    ) {
        reads_soundly(&lines)?;
    }

    #[test]
    fn entries_read_back_as_printed(
        entries in proptest::collection::vec(entry(), 1..8).prop_map(as_a_label_says),
    ) {
        prop_assert_eq!(read(&[canonical(&entries)]), Ok(entries));
    }
}

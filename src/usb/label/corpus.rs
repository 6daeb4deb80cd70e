//! Invented label lines as they are found on things and typed by people, good and bad,
//! each with what must come of it.

use super::{Held, LabelFault, parse};
use crate::limits::{ACCEPT_V, OFFER_V};
use crate::usb::{LabelEntry, LabelVolts, Mark};

mod spellings;

pub(super) const fn fixed(volts: f64, amps: f64) -> LabelEntry {
    LabelEntry {
        volts: LabelVolts::Single(volts),
        amps,
        watts: f64::INFINITY,
    }
}

const fn range(mark: Mark, low_v: f64, high_v: f64, amps: f64) -> LabelEntry {
    LabelEntry {
        volts: LabelVolts::Range {
            low_v,
            high_v,
            mark,
        },
        amps,
        watts: f64::INFINITY,
    }
}

pub(super) const fn plain(low_v: f64, high_v: f64, amps: f64) -> LabelEntry {
    range(Mark::None, low_v, high_v, amps)
}

pub(super) const fn pps(low_v: f64, high_v: f64, amps: f64) -> LabelEntry {
    range(Mark::Pps, low_v, high_v, amps)
}

pub(super) const fn avs(low_v: f64, high_v: f64, amps: f64) -> LabelEntry {
    range(Mark::Avs, low_v, high_v, amps)
}

impl LabelEntry {
    pub(super) const fn at_most(mut self, watts: f64) -> Self {
        self.watts = watts;
        self
    }
}

fn lines(text: &[&str]) -> Vec<String> {
    text.iter().map(|&line| line.to_owned()).collect()
}

/// Read as what a device accepts, which may have the higher voltages.
pub(super) fn read(lines: &[String]) -> Result<Vec<LabelEntry>, Vec<LabelFault>> {
    let held = Held {
        volts: &ACCEPT_V,
        usb: true,
        pd_w: true,
    };
    parse(lines, held)
}

pub(super) fn canonical(entries: &[LabelEntry]) -> String {
    let printed: Vec<String> = entries.iter().map(ToString::to_string).collect();
    printed.join(", ")
}

/// The label reads as these entries, and so do they as they are printed.
#[track_caller]
fn good(text: &str, expected: &[LabelEntry]) {
    good_lines(&[text], expected);
}

#[track_caller]
fn good_lines(text: &[&str], expected: &[LabelEntry]) {
    assert_eq!(read(&lines(text)).as_deref(), Ok(expected), "{text:?}");
    let printed = canonical(expected);
    assert_eq!(
        read(&lines(&[&printed])).as_deref(),
        Ok(expected),
        "{printed}"
    );
}

/// The label has these faults, in this order, at the parts between `«` and `»`.
#[track_caller]
fn bad(text: &str, expected: &[&str]) {
    bad_lines(&[text], expected);
}

#[track_caller]
fn bad_lines(text: &[&str], expected: &[&str]) {
    let mut places = Vec::new();
    let mut plain = Vec::new();
    for (line, text) in text.iter().enumerate() {
        let mut bare = String::new();
        let mut start = 0;
        for c in text.chars() {
            match c {
                '«' => start = bare.len(),
                '»' => places.push((line, start..bare.len())),
                _ => bare.push(c),
            }
        }
        plain.push(bare);
    }
    assert_eq!(places.len(), expected.len(), "the case itself: {text:?}");
    let expected: Vec<LabelFault> = places
        .into_iter()
        .zip(expected)
        .map(|((line, span), &message)| LabelFault {
            line,
            span,
            message: message.to_owned(),
        })
        .collect();
    assert_eq!(read(&plain), Err(expected), "{text:?}");
}

#[test]
fn single_voltages() {
    good("5V 3A", &[fixed(5.0, 3.0)]);
    good("5V⎓3A", &[fixed(5.0, 3.0)]);
    good("5V=3A", &[fixed(5.0, 3.0)]);
    good("5V===3A", &[fixed(5.0, 3.0)]);
    good("5V3A", &[fixed(5.0, 3.0)]);
    good("5V/3A", &[fixed(5.0, 3.0)]);
    good("5V-3A", &[fixed(5.0, 3.0)]);
    good("5V – 3A", &[fixed(5.0, 3.0)]);
    good("  5 v  ⎓  3 a  ", &[fixed(5.0, 3.0)]);
    good("5\u{a0}V\u{2009}⎓\u{2009}3\u{a0}A", &[fixed(5.0, 3.0)]);
    good("9 V / 2,22 A", &[fixed(9.0, 2.22)]);
    good("9.0V⎓2.22A", &[fixed(9.0, 2.22)]);
    good("5V⎓.5A", &[fixed(5.0, 0.5)]);
    good("5V 2000mA", &[fixed(5.0, 2.0)]);
    good("5.2V / 2400 MA", &[fixed(5.2, 2.4)]);
    good("12VDC 1.5A", &[fixed(12.0, 1.5)]);
    good("12 V DC ⎓ 1,5 A", &[fixed(12.0, 1.5)]);
}

#[test]
fn several_entries() {
    good(
        "5V 3A, 9V 3A, 15V 3A, 20V 2.25A",
        &[
            fixed(5.0, 3.0),
            fixed(9.0, 3.0),
            fixed(15.0, 3.0),
            fixed(20.0, 2.25),
        ],
    );
    good("5V⎓3A,9V⎓2A", &[fixed(5.0, 3.0), fixed(9.0, 2.0)]);
    good("5V⎓3A; 9V⎓2A;", &[fixed(5.0, 3.0), fixed(9.0, 2.0)]);
    good(
        "5V⎓3A or 9V⎓2A OR 12V⎓1.5A",
        &[fixed(5.0, 3.0), fixed(9.0, 2.0), fixed(12.0, 1.5)],
    );
    good("5V/3A/9V/2A", &[fixed(5.0, 3.0), fixed(9.0, 2.0)]);
    good(
        "5V⎓3A/9V⎓3A / 15V⎓3A",
        &[fixed(5.0, 3.0), fixed(9.0, 3.0), fixed(15.0, 3.0)],
    );
    good(
        "5V-3A/9V-2A/12V-1.5A",
        &[fixed(5.0, 3.0), fixed(9.0, 2.0), fixed(12.0, 1.5)],
    );
    good(
        "5V⎓3A\n9V⎓2A\r\n12V⎓1,5A\n",
        &[fixed(5.0, 3.0), fixed(9.0, 2.0), fixed(12.0, 1.5)],
    );
    good("5V 2,4A,9V 2,22A", &[fixed(5.0, 2.4), fixed(9.0, 2.22)]);
    good(
        "5V/9V/12V 2A",
        &[fixed(5.0, 2.0), fixed(9.0, 2.0), fixed(12.0, 2.0)],
    );
    good(
        "5 V / 9 V ⎓ 3 A, 20V⎓5A",
        &[fixed(5.0, 3.0), fixed(9.0, 3.0), fixed(20.0, 5.0)],
    );
    good("5V/9V/2000mA", &[fixed(5.0, 2.0), fixed(9.0, 2.0)]);
    good("5V 3A, 5V 3A", &[fixed(5.0, 3.0), fixed(5.0, 3.0)]);
    good(
        "48V⎓5A, 28V⎓5A, 36V⎓5A",
        &[fixed(48.0, 5.0), fixed(28.0, 5.0), fixed(36.0, 5.0)],
    );
}

#[test]
fn ranges_and_marks() {
    good("3.3–21V⎓5A", &[plain(3.3, 21.0, 5.0)]);
    good("3.3V-21V⎓3A", &[plain(3.3, 21.0, 3.0)]);
    good("3,3 V – 11 V / 2 A", &[plain(3.3, 11.0, 2.0)]);
    good("9-20V 3A", &[plain(9.0, 20.0, 3.0)]);
    good("PPS 3.3-11V⎓5A", &[pps(3.3, 11.0, 5.0)]);
    good("PPS: 3.3-11V⎓5A", &[pps(3.3, 11.0, 5.0)]);
    good("pps:3.3V-16V⎓3A", &[pps(3.3, 16.0, 3.0)]);
    good("PPS3.3-11V 2A", &[pps(3.3, 11.0, 2.0)]);
    good("AVS 15-28V⎓5A", &[avs(15.0, 28.0, 5.0)]);
    good(
        "SPR AVS: 9-15V 3A / 15-20V 2.25A",
        &[avs(9.0, 15.0, 3.0), avs(15.0, 20.0, 2.25)],
    );
    good(
        "5V⎓3A, PPS: 3.3-11V⎓3A, 3.3-16V⎓2A",
        &[fixed(5.0, 3.0), pps(3.3, 11.0, 3.0), pps(3.3, 16.0, 2.0)],
    );
    good(
        "PPS 3.3-11V 3A / 3.3-16V 2A, 20V 3A, 9-24V 2A",
        &[
            pps(3.3, 11.0, 3.0),
            pps(3.3, 16.0, 2.0),
            fixed(20.0, 3.0),
            plain(9.0, 24.0, 2.0),
        ],
    );
    good(
        "PPS 3.3-21V 5A; AVS 15-36V 5A, 9-15V 3A",
        &[
            pps(3.3, 21.0, 5.0),
            avs(15.0, 36.0, 5.0),
            avs(9.0, 15.0, 3.0),
        ],
    );
    good_lines(
        &[
            "USB-C1: 5V⎓3A",
            "PPS:",
            "3.3-11V⎓3A",
            "3.3-16V⎓2A",
            "",
            "20V⎓2A",
            "9-20V 2A",
        ],
        &[
            fixed(5.0, 3.0),
            pps(3.3, 11.0, 3.0),
            pps(3.3, 16.0, 2.0),
            fixed(20.0, 2.0),
            plain(9.0, 20.0, 2.0),
        ],
    );
}

#[test]
fn watts() {
    good("20V⎓3.25A (65W)", &[fixed(20.0, 3.25).at_most(65.0)]);
    good("20V⎓3.25A 65W", &[fixed(20.0, 3.25).at_most(65.0)]);
    good("20 V ⎓ 3,25 A [ 65 W ]", &[fixed(20.0, 3.25).at_most(65.0)]);
    good(
        "PPS 3.3-11V⎓5A 45W max",
        &[pps(3.3, 11.0, 5.0).at_most(45.0)],
    );
    good(
        "PPS 3.3-11V⎓5A (45W MAX.), 5V 3A",
        &[pps(3.3, 11.0, 5.0).at_most(45.0), fixed(5.0, 3.0)],
    );
    good("5V⎓2.4A (max. 12W)", &[fixed(5.0, 2.4).at_most(12.0)]);
    good("5V⎓2.4A max 12 W", &[fixed(5.0, 2.4).at_most(12.0)]);
    good("5V⎓2.4A 12W (max)", &[fixed(5.0, 2.4).at_most(12.0)]);
    good("5V⎓2.4A Max.", &[fixed(5.0, 2.4)]);
    // What limits 9 V leaves 5 V as it is.
    good(
        "5V/9V 2A 15W",
        &[fixed(5.0, 2.0), fixed(9.0, 2.0).at_most(15.0)],
    );
    good(
        "5V/9V 2A 10W",
        &[fixed(5.0, 2.0).at_most(10.0), fixed(9.0, 2.0).at_most(10.0)],
    );
    good(
        "5V⎓3A 15W/9V⎓2A 18W",
        &[fixed(5.0, 3.0).at_most(15.0), fixed(9.0, 2.0).at_most(18.0)],
    );
    // Rounded up as printed: 19.98 W, and 3 % above 10 W exactly.
    good("9V⎓2.22A (20W)", &[fixed(9.0, 2.22).at_most(20.0)]);
    good("5V 2A 10.3W", &[fixed(5.0, 2.0).at_most(10.3)]);
}

#[test]
fn leading_words() {
    good("Output: 5V⎓3A", &[fixed(5.0, 3.0)]);
    good("OUTPUT 5V⎓3A", &[fixed(5.0, 3.0)]);
    good("Input DC 12V 3A", &[fixed(12.0, 3.0)]);
    good("Input: DC5V⎓2A.", &[fixed(5.0, 2.0)]);
    good("USB-C1 5V⎓3A", &[fixed(5.0, 3.0)]);
    good("C1-5V 3A", &[fixed(5.0, 3.0)]);
    good("Input 4-20V 3A", &[plain(4.0, 20.0, 3.0)]);
    good("Input 5 - 20V 3A", &[plain(5.0, 20.0, 3.0)]);
    good("PPS 3 - 21V 3A", &[pps(3.0, 21.0, 3.0)]);
    good("C1/C2: 5V⎓3A", &[fixed(5.0, 3.0)]);
    good("USB-C1, USB-C2: 20V⎓3A", &[fixed(20.0, 3.0)]);
    good(
        "Output 1: 5V 3A\nOutput 1: 9V 1A",
        &[fixed(5.0, 3.0), fixed(9.0, 1.0)],
    );
    good(
        "PD3.0: 9V⎓2A / QC 3.0: 12V⎓1.5A",
        &[fixed(9.0, 2.0), fixed(12.0, 1.5)],
    );
    good(
        "• 5V 3A\n- 9V 2A\n2) 12V 1A",
        &[fixed(5.0, 3.0), fixed(9.0, 2.0), fixed(12.0, 1.0)],
    );
    good("Sortie : 5V⎓3A", &[fixed(5.0, 3.0)]);
    good("出力：5V⎓3A／9V⎓2A", &[fixed(5.0, 3.0), fixed(9.0, 2.0)]);
    good_lines(
        &["Output", "USB-C (stage left):", "5V 3A"],
        &[fixed(5.0, 3.0)],
    );
}

const NO_CURRENT: &str = "a voltage with no current: write both, as in 5V 3A";
const NO_VOLTAGE: &str = "a current with no voltage: write both, as in 5V 3A";
const NOTHING: &str = "no voltage with a current here: write one, as in 5V 3A";
const MAINS: &str = "that is the mains side: write the direct-current side, as in 5V 3A";
const LATE_MARK: &str =
    "a mark stands before its range, with a comma before it, as in 5V 3A, PPS 3.3-11V 3A";
const NOT_A_VOLTAGE: &str = "not a voltage: write it with its unit, as in 5V";
const NOT_A_CURRENT: &str = "not a current: write it with its unit, as in 3A or 3000mA";
const ONLY_WORDS: &str = "these words have no voltage with a current after them";
const REVERSED: &str = "a range goes from the lower to the higher voltage";
const TOO_MANY_WATTS: &str = "more than 3 % above what the voltage and the current give";
const CURRENT_FIRST: &str = "the voltage stands before its current: write it as in 5V 3A";

fn watts_alone(watts: u32) -> String {
    format!(
        "watts with no voltage and current: write them as \"pd_w\": {watts}, or write all three, as in 20V 3.25A 65W"
    )
}

#[test]
fn halves_of_entries() {
    bad("«5V»,9V 2A", &[NO_CURRENT]);
    bad("9V 2A, «5V»", &[NO_CURRENT]);
    bad("«5V/9V», 12V 2A", &[NO_CURRENT]);
    bad("«5V»; «3A»", &[NO_CURRENT, NO_VOLTAGE]);
    bad("«5V» 15W", &[NO_CURRENT]);
    bad("«5V» 9V 2A", &[NO_CURRENT]);
    bad("Output: «5V»⎓", &[NO_CURRENT]);
    bad("PPS «3.3-11V»", &[NO_CURRENT]);
    bad("«3A» 5V", &[CURRENT_FIRST]);
    bad("Output «2000mA»", &[NO_VOLTAGE]);
    bad("5V «3»", &[NOT_A_CURRENT]);
    bad("5V⎓«3Q», 9V 2A", &[NOT_A_CURRENT]);
    bad("«5» 3A", &[NOT_A_VOLTAGE]);
    bad("«5»/9/12V 2A", &[NOT_A_VOLTAGE]);
    bad("«500mV» 3A", &[NOT_A_VOLTAGE]);
    bad("Output: 5V 3A, «65W» max", &[&watts_alone(65)]);
    bad_lines(&["«5V»", "«3A»"], &[NO_CURRENT, NO_VOLTAGE]);
    let port_or_volts = "either the number of a port or a voltage: write it as in Output 1: 5V 3A, or with its unit";
    bad("Output «1» - 5V 3A", &[port_or_volts]);
    bad("Output «2»-5V 3A", &[port_or_volts]);
    bad("USB-A «4» – 5V 2.4A, «9V»", &[port_or_volts, NO_CURRENT]);
}

#[test]
fn misplaced_marks() {
    bad(
        "«PPS 9V» 2A",
        &["PPS marks a range, as in PPS 3.3-11V 3A, but 9V is a single voltage"],
    );
    bad(
        "5V 3A, «avs: 20V»/28V 5A",
        &["avs marks a range, as in avs 9-20V 3A, but 20V is a single voltage"],
    );
    bad(
        "5V 3A, «PPS»",
        &["no range follows this mark: write one, as in PPS 3.3-11V 3A"],
    );
    bad(
        "«PPS»/AVS 9-20V 3A",
        &["no range follows this mark: write one, as in PPS 3.3-11V 3A"],
    );
    bad(
        "«AVS», 9-20V 3A",
        &["no range follows this mark: write one, as in AVS 9-20V 3A"],
    );
    bad("3.3-11V «PPS» 3A", &[LATE_MARK]);
    bad("5V 3A «PPS»", &[LATE_MARK]);
    bad("AVS 9-20V 3A («PPS»)", &[LATE_MARK]);
    bad(
        "3.3-11V 3A «PPS» 3.3-16V 2A",
        &[
            "this mark may be of the range before it or of the one behind it: put a comma on the side where it ends",
        ],
    );
    bad(
        "3.3-11V 3A PPS, «15-28V» 5A",
        &[
            "a range without a mark behind one that has its mark behind it: write its own mark, as in 3.3-11V 3A PPS, or put it first",
        ],
    );
}

#[test]
fn mains() {
    bad("«100-240V~»", &[MAINS]);
    bad("Input: «100-240V~» 50/60Hz, 1.5A", &[MAINS]);
    bad("INPUT AC «100V–240V» 50-60 Hz 0.8A\nOutput 5V⎓3A", &[MAINS]);
    bad("AC«100-240V», 47-63Hz; OUTPUT: 5V 3A", &[MAINS]);
    bad("«230V»", &[MAINS]);
    bad("«12V~» 2A", &[MAINS]);
    bad("«24 VAC» 1A", &[MAINS]);
    bad_lines(&["«100-240V~» 1A", "5V⎓3A, «9V»"], &[MAINS, NO_CURRENT]);
    bad(
        "«100-240V~» 1A, 5V⎓«0A»",
        &[MAINS, "a current must be above 0"],
    );
    bad(
        "«3.3V~11V» 3A",
        &["a range is written with a hyphen, as in 3.3-11V; ~ stands for alternating current"],
    );
}

#[test]
fn values_out_of_range() {
    bad("«0V» 3A", &["a voltage must be above 0"]);
    bad("«-5»V 3A", &["a voltage must be above 0"]);
    bad("Output «-5»V 3A", &["a voltage must be above 0"]);
    let above_89 =
        |volts| format!("an accepted voltage must be above 0 and at most 89 V, not {volts} V");
    good(
        "89V 1A, 12-60V 2A",
        &[fixed(89.0, 1.0), plain(12.0, 60.0, 2.0)],
    );
    bad("«89.5V» 3A", &[&above_89("89.5")]);
    bad("5V 3A, «15-89.9V» 5A", &[&above_89("89.9")]);
    bad("5V «0A»", &["a current must be above 0"]);
    bad(
        "5V 3A, 9V «3000A»",
        &["no plug or cable of USB has more than 5 A: milliamps are written mA"],
    );
    bad(
        "5V «2,000mA»",
        &[
            "a comma is a decimal comma, which makes this less than an amp: write it without the comma, as in 2000mA",
        ],
    );
    bad("«11-3.3V» 3A", &[REVERSED]);
    bad("PPS «11-11V» 3A", &[REVERSED]);
    bad("20V⎓3.25A («70W»)", &[TOO_MANY_WATTS]);
    bad("5V 2A «10.31W»", &[TOO_MANY_WATTS]);
    bad("PPS 3.3-11V 3A «45W»", &[TOO_MANY_WATTS]);
    bad("5V 2A «0W»", &["a power must be above 0"]);
    bad(
        "«0V» «0A» «1W» / 9V «0 mA», 12V 1A «13W»",
        &[
            "a voltage must be above 0",
            "a current must be above 0",
            TOO_MANY_WATTS,
            "a current must be above 0",
            TOO_MANY_WATTS,
        ],
    );
}

#[test]
fn offers_are_held_to_what_a_cable_carries() {
    let held = Held {
        volts: &OFFER_V,
        usb: true,
        pd_w: true,
    };
    let offers = |text: &str| parse(&lines(&[text]), held);
    assert_eq!(offers("50V 1A"), Ok(vec![fixed(50.0, 1.0)]));
    for (text, span, volts) in [("5V 3A, 54V 2A", 7..10, "54"), ("15-56V 5A", 0..6, "56")] {
        let fault = LabelFault {
            line: 0,
            span,
            message: format!("an offered voltage must be above 0 and at most 50 V, not {volts} V"),
        };
        assert_eq!(offers(text), Err(vec![fault]));
    }
}

#[test]
fn what_is_no_label() {
    bad("«»", &[NOTHING]);
    bad("«  »", &[NOTHING]);
    bad("«Output»:", &[NOTHING]);
    bad("« ,; »", &[NOTHING]);
    bad("5V 3A\n«Made in the wings»", &[ONLY_WORDS]);
    bad("5V 3A, «lots», 9V 2A", &[ONLY_WORDS]);
    bad(
        "5V «lots»",
        &["`lots` stands where the current should be, as in 5V 3A"],
    );
    bad(
        "5V 3A «and» 9V 2A",
        &["`and` is not understood after an entry: separate entries by commas"],
    );
    bad(
        "5V 3A «€», «€» 9V 2A",
        &[
            "`€` is not understood after an entry: separate entries by commas",
            "`€` is not understood: an entry is a voltage and a current, as in 5V 3A",
        ],
    );
    bad(
        "5V «1.2.3» A",
        &["not a number: it has more than one decimal point or comma"],
    );
    bad(
        "«5,9,15»V 3A",
        &["not a number: it has more than one decimal point or comma"],
    );
    bad(
        "20V 3.25A «(»65W",
        &["this bracket is not closed behind the watts"],
    );
    bad(
        "«3.3-5.9V/3.3-11V» 3A",
        &["a range needs a current of its own, as in 3.3-5.9V 3A / 3.3-11V 3A"],
    );
}

#[test]
fn no_lines_at_all() {
    let fault = LabelFault {
        line: 0,
        span: 0..0,
        message: NOTHING.to_owned(),
    };
    assert_eq!(read(&[]), Err(vec![fault]));
}

//! What the numbers of a label may be, and the sentence for each thing that is wrong.

use super::{Held, MAX_BYTES, MAX_ENTRIES};
use crate::limits::{PD_W, Quantity};
use crate::usb::LabelVolts;

/// Voltages from here on are taken for the mains, whose lowest nominal voltage is
/// 100 V, less a tenth (common practice).
pub(super) const MAINS_V: f64 = 90.0;

/// The largest current of an entry where the plug is none of USB's: above any that a small
/// plug carries, and far below milliamps written without their `m`.
pub(super) const MAX_A: f64 = 20.0;

/// The most that any plug or cable of USB carries (USB Type-C R2.1, 4.9; from memory).
pub(crate) const USB_MAX_A: f64 = 5.0;

/// Amps from here on are milliamps whose `m` was forgotten: no charger has so many watts.
const MILLIAMPS_FROM: f64 = 500.0;

/// Whole amps from here on, above what USB has, look like watts: the least that is printed
/// on chargers for USB-A is 5 V at 2 A (common practice).
const WATTS_FROM: f64 = 10.0;

/// By how much printed watts may exceed volts × amps: labels round.
const WATTS_SLACK: f64 = 1.03;

pub(super) const MAINS: &str = "that is the mains side: write the direct-current side, as in 5V 3A";
pub(super) const TILDE_RANGE: &str =
    "a range is written with a hyphen, as in 3.3-11V; ~ stands for alternating current";
pub(super) const NOTHING: &str = "no voltage with a current here: write one, as in 5V 3A";
pub(super) const ONLY_WORDS: &str = "these words have no voltage with a current after them";
pub(super) const NO_CURRENT: &str = "a voltage with no current: write both, as in 5V 3A";
pub(super) const NO_VOLTAGE: &str = "a current with no voltage: write both, as in 5V 3A";
pub(super) const CURRENT_FIRST: &str =
    "the voltage stands before its current: write it as in 5V 3A";
pub(super) const NOT_A_VOLTAGE: &str = "not a voltage: write it with its unit, as in 5V";
pub(super) const PORT_OR_VOLTS: &str =
    "either the number of a port or a voltage: write it as in Output 1: 5V 3A, or with its unit";
pub(super) const NOT_A_CURRENT: &str = "not a current: write it with its unit, as in 3A or 3000mA";
pub(super) const MALFORMED: &str = "not a number: it has more than one decimal point or comma";
pub(super) const REVERSED: &str = "a range goes from the lower to the higher voltage";
pub(super) const SEVERAL_RANGES: &str =
    "a range needs a current of its own, as in 3.3-5.9V 3A / 3.3-11V 3A";
pub(super) const LATE_MARK: &str =
    "a mark stands before its range, with a comma before it, as in 5V 3A, PPS 3.3-11V 3A";
pub(super) const EITHER_MARK: &str = "this mark may be of the range before it or of the one \
     behind it: put a comma on the side where it ends";
pub(super) const UNMARKED: &str = "a range without a mark behind one that has its mark behind it: \
     write its own mark, as in 3.3-11V 3A PPS, or put it first";
pub(super) const OPEN_BRACKET: &str = "this bracket is not closed behind the watts";
pub(super) const THOUSANDS: &str = "a comma is a decimal comma, which makes this less than an amp: \
     write it without the comma, as in 2000mA";

/// The part of a label for a message: cut where it is long, on one line.
pub(super) fn quoted(part: &str) -> String {
    const LONGEST: usize = 24;
    let mut shown: String = part
        .chars()
        .take(LONGEST)
        .map(|c| {
            if c.is_control() {
                char::REPLACEMENT_CHARACTER
            } else {
                c
            }
        })
        .collect();
    if part.chars().nth(LONGEST).is_some() {
        shown.push('…');
    }
    shown
}

pub(super) fn not_understood(part: &str) -> String {
    format!("`{part}` is not understood: an entry is a voltage and a current, as in 5V 3A")
}

pub(super) fn not_between(part: &str) -> String {
    format!("`{part}` stands where the current should be, as in 5V 3A")
}

pub(super) fn not_after(part: &str) -> String {
    format!("`{part}` is not understood after an entry: separate entries by commas")
}

pub(super) fn not_positive(quantity: &str) -> String {
    format!("a {quantity} must be above 0")
}

pub(super) fn empty_mark(mark: &str) -> String {
    format!(
        "no range follows this mark: write one, as in {mark} {}",
        range_for(mark)
    )
}

pub(super) fn marked_single(mark: &str, volts: &str) -> String {
    format!(
        "{mark} marks a range, as in {mark} {}, but {} is a single voltage",
        range_for(mark),
        quoted(volts)
    )
}

fn range_for(mark: &str) -> &'static str {
    if mark.eq_ignore_ascii_case("avs") {
        "9-20V 3A"
    } else {
        "3.3-11V 3A"
    }
}

pub(super) fn too_many() -> String {
    format!("more than {MAX_ENTRIES} entries in one text, the most that is read")
}

pub(super) fn too_long() -> String {
    format!("a text of more than {MAX_BYTES} bytes, the longest that is read")
}

/// The lowest and the highest voltage.
pub(super) fn bounds(volts: LabelVolts) -> (f64, f64) {
    match volts {
        LabelVolts::Single(volts) => (volts, volts),
        LabelVolts::Range { low_v, high_v, .. } => (low_v, high_v),
    }
}

/// What is wrong with a voltage, if anything. One that is not finite is out of every
/// range.
pub(super) fn check_volts(volts: f64, range: &Quantity) -> Option<String> {
    if volts <= 0.0 {
        return Some(not_positive("voltage"));
    }
    (!range.holds(volts)).then(|| range.refusal(volts))
}

pub(super) fn check_amps(amps: f64, held: Held) -> Option<String> {
    match amps {
        a if a <= 0.0 => Some(not_positive("current")),
        a if a <= USB_MAX_A => None,
        a if held.usb => Some(above_usb(a, held)),
        a if a <= MAX_A => None,
        _ => Some(format!(
            "above {MAX_A} A, the most that is read: milliamps are written mA"
        )),
    }
}

/// A current that nothing of USB carries, with what was probably meant.
fn above_usb(amps: f64, held: Held) -> String {
    let most = format!("no plug or cable of USB has more than {USB_MAX_A} A");
    if looks_like_watts(amps) {
        let written = watts_written(amps, held);
        format!("{most}: if {amps} W is meant, write it as {written}")
    } else if amps >= MILLIAMPS_FROM {
        format!("{most}: milliamps are written mA")
    } else {
        format!("{most}: look at the label again")
    }
}

pub(super) fn looks_like_watts(amps: f64) -> bool {
    amps.fract() == 0.0 && amps >= WATTS_FROM && PD_W.holds(amps)
}

/// How watts without a voltage and a current are written.
fn watts_written(watts: f64, held: Held) -> String {
    if held.pd_w {
        format!("\"pd_w\": {watts}")
    } else {
        format!("{watts}W")
    }
}

/// Watts that no voltage and current stand before.
pub(super) fn watts_alone(watts: f64, held: Held) -> String {
    let all = "write all three, as in 20V 3.25A 65W";
    if PD_W.holds(watts) && held.pd_w {
        let written = watts_written(watts, held);
        format!("watts with no voltage and current: write them as {written}, or {all}")
    } else {
        format!("watts with no voltage and current: {all}")
    }
}

pub(super) fn second_port(port: &str, before: &str) -> String {
    format!(
        "`{}` is another port than `{}`: write one text for each port",
        quoted(port),
        quoted(before)
    )
}

/// What is wrong with the watts of an entry that has at most `most_w` by its volts and
/// amps.
pub(super) fn check_watts(watts: f64, most_w: f64) -> Option<String> {
    // A last digit lost in the product must not decide at exactly 3 %.
    const ROUNDING: f64 = 1.0 + 1e-9;
    if watts <= 0.0 {
        return Some(not_positive("power"));
    }
    let fits = watts <= most_w * WATTS_SLACK * ROUNDING;
    (!fits).then(|| "more than 3 % above what the voltage and the current give".to_owned())
}

/// Whether a number of milliamps looks like thousands with a comma: `2,000`.
pub(super) fn reads_as_thousands(number: &str) -> bool {
    number
        .split_once(',')
        .is_some_and(|(_, decimals)| decimals.len() == 3)
}

//! Whole millionths for comparisons, and quantities as people read them.
//!
//! Plans are compared in whole 1e-6 h, 1e-6 W and 1e-6 Wh, each value rounded half
//! up before it is summed, so that two programs agree to the last digit.

pub(crate) mod quantity;

/// `value` in whole millionths, half up.
///
/// Values are checked against stated ranges far inside `i64` before they get here;
/// what lies outside saturates.
#[expect(
    clippy::cast_possible_truncation,
    reason = "the cast saturates, and ranges are checked on input"
)]
pub(crate) fn millionths(value: f64) -> i64 {
    // The cast cuts towards 0; to round down costs a call where the machine has no
    // instruction for it.
    let scaled = value * 1e6 + 0.5;
    let cut = scaled as i64;
    cut.saturating_sub(i64::from(as_float(cut) > scaled))
}

/// `value` rounded to 1e-6, as documents print it.
pub(crate) fn rounded(value: f64) -> f64 {
    from_millionths(millionths(value))
}

/// Whole millionths as the quantity they stand for.
pub(crate) fn from_millionths(value: i64) -> f64 {
    as_float(value) / 1e6
}

/// A whole number as a floating one; exact for every checked quantity.
#[expect(
    clippy::cast_precision_loss,
    reason = "below 2^53 for every checked quantity"
)]
pub(crate) fn as_float(value: i64) -> f64 {
    value as f64
}

/// Watts as people read them: `65 W`, `7.5 W`, `12.34 W`.
pub(crate) fn watts_text(watts: f64) -> String {
    let rounded = (watts * 100.0).round() / 100.0;
    format!("{rounded} W")
}

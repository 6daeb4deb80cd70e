//! Whole millionths, in which every comparison of the model is made (section 5).

/// Half up, as the model says.
#[expect(
    clippy::cast_possible_truncation,
    reason = "small setups: far below 2^63 millionths"
)]
pub(crate) fn micro(value: f64) -> i64 {
    (value * 1e6 + 0.5).floor() as i64
}

/// Whole microwatts in watts.
#[expect(
    clippy::cast_precision_loss,
    reason = "a setup's watts are far below 2^53 millionths"
)]
pub(crate) fn watts(micro: i64) -> f64 {
    micro as f64 / 1e6
}

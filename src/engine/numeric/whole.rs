//! From a floating-point number to a count.

/// The whole part of a number, held between 0 and `most`; 0 for what is not a number.
#[allow(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "neither negative nor beyond `most`"
)]
pub(crate) fn whole_part(value: f64, most: usize) -> usize {
    value.clamp(0.0, most as f64) as usize
}

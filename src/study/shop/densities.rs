//! Logarithms of the densities of readings: of a sound size, and of one beyond its limits.
//!
//! Beyond a limit the trouble is half-normal; with the normal error of a gauge the reading is skew-normal,
//! `2 φ(x; σ² + u²) Φ(x σ / (u √(σ² + u²)))` (A. Azzalini, Scand. J. Statist. 12 (1985) 171–178, from memory).

use crate::fit::statistics::normal_below;
use crate::study::shop::readings::Known;

/// Logarithm of the normal density of `x` with variance `variance`.
pub(super) fn normal(x: f64, variance: f64) -> f64 {
    -0.5 * (x * x / variance + (2.0 * std::f64::consts::PI * variance).ln())
}

/// Logarithm of the density of a reading that is `x` beyond a limit, by a half-normal trouble of size `size`
/// and the normal error of the gauge.
pub(super) fn beyond(x: f64, size: f64, error: f64) -> f64 {
    let variance = size * size + error * error;
    let weight = normal_below(x * size / (error * variance.sqrt()));
    (2.0 * weight).ln() + normal(x, variance)
}

/// Logarithm of the mean of two densities.
pub(super) fn either(a: f64, b: f64) -> f64 {
    let most = a.max(b);
    if most == f64::NEG_INFINITY {
        return most;
    }
    most + (0.5 * ((a - most).exp() + (b - most).exp())).ln()
}

/// Density of a size that was read, of a sound hole.
pub(super) fn sound(known: &Known) -> f64 {
    let spread = known.size.spread();
    normal(known.value - known.size.middle(), spread * spread + known.error * known.error)
}

/// Density of a reading above its largest limit, by a trouble of size `size`.
pub(super) fn above(known: &Known, size: f64) -> f64 {
    beyond(known.value - known.size.limits[1], size, known.error)
}

/// Density of a reading below its smallest limit, by a trouble of size `size`.
pub(super) fn below(known: &Known, size: f64) -> f64 {
    beyond(known.size.limits[0] - known.value, size, known.error)
}

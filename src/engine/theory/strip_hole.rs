//! A hole in the middle of a strip of finite width under tension.
//!
//! Takes as given: elastic, isotropic, small strains, a strip long against its width, the hole in
//! its middle and free of load. Valid while nothing yields.
//!
//! Every factor is on the *gross* stress, force over the full section, and
//! `ratio = 2a/width` lies between 0 and 1.
//!
//! Trap: handbooks also print factors on the net section, smaller by `1 − ratio`.

use crate::theory::range::{OutOfRange, within};

/// Largest `2a/width` either formula is used for; the comparison table ends at 0.6.
const LARGEST_RATIO: f64 = 0.9;

/// Peak hoop over gross stress, `[2 + (1−λ)³]/(1−λ)`.
///
/// Source: R. B. Heywood's approximation, as handbooks give it (from memory); within
/// 3 % of [`STRIP_HOLE`] up to λ = 0.6, always below it.
///
/// # Errors
/// [`OutOfRange`] when `ratio` is negative or above 0.9.
pub fn heywood_factor(ratio: f64) -> Result<f64, OutOfRange> {
    let left = 1.0 - within("diameter over width", ratio, 0.0, LARGEST_RATIO)?;
    Ok((2.0 + left.powi(3)) / left)
}

/// Peak hoop over gross stress, `(2 + 0.284x − 0.6x² + 1.32x³)/x` with `x = 1 − λ`.
///
/// Source: handbook chart for a central hole in a strip, polynomial as transcribed in
/// two public repositories; within 1.2 % of [`STRIP_HOLE`] up to λ = 0.6.
///
/// # Errors
/// [`OutOfRange`] when `ratio` is negative or above 0.9.
pub fn chart_factor(ratio: f64) -> Result<f64, OutOfRange> {
    let left = 1.0 - within("diameter over width", ratio, 0.0, LARGEST_RATIO)?;
    Ok((2.0 + left * (0.284 + left * (-0.6 + 1.32 * left))) / left)
}

/// Stresses over gross stress in one strip.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct StripHole {
    /// Diameter over width.
    pub ratio: f64,
    /// Hoop at the edge of the hole across the load.
    pub across: f64,
    /// Hoop at the edge of the hole on the axis of the load.
    pub on_axis: f64,
    /// Stress along the straight edge opposite the hole, where it was evaluated.
    pub straight_edge: Option<f64>,
    /// `[across, on axis]` of R. C. J. Howland, Phil. Trans. A 229 (1930), as transcribed
    /// in a public code's documentation. Low by 0.2 to 0.7 %: a program that
    /// converges must not be tuned to it.
    pub table_of_1930: Option<[f64; 2]>,
}

/// Central hole in a strip, computed by a spectral solution without finite elements,
/// strip 3 to 5 widths long, converged to about 1e-5 (1e-3 on the last row's axis).
#[expect(clippy::approx_constant, reason = "3.14 is what the table of 1930 prints")]
pub const STRIP_HOLE: [StripHole; 6] = [
    row(0.1, 3.0361, -1.0307, Some(0.985_54), Some([3.03, -1.03])),
    row(0.2, 3.1526, -1.1189, Some(0.943_22), Some([3.14, -1.11])),
    row(0.3, 3.3744, -1.2541, Some(0.877_19), Some([3.36, -1.26])),
    row(0.4, 3.7472, -1.4233, Some(0.795_73), Some([3.74, -1.44])),
    row(0.5, 4.3476, -1.6151, Some(0.708_95), Some([4.32, -1.58])),
    row(0.6, 5.3183, -1.822, None, None),
];

const fn row(
    ratio: f64,
    across: f64,
    on_axis: f64,
    straight_edge: Option<f64>,
    table_of_1930: Option<[f64; 2]>,
) -> StripHole {
    StripHole { ratio, across, on_axis, straight_edge, table_of_1930 }
}

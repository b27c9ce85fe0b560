//! Error of a closed form that is used outside its limits.

use std::error::Error;
use std::fmt;

use crate::material::elasticity::Elasticity;

/// An argument outside the limits of a closed form.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct OutOfRange {
    /// The quantity, in the words of the trade.
    pub quantity: &'static str,
    /// Value asked for.
    pub value: f64,
    /// Lowest value the closed form holds for.
    pub low: f64,
    /// Highest value the closed form holds for.
    pub high: f64,
}

impl fmt::Display for OutOfRange {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} {} lies outside {} to {}", self.quantity, self.value, self.low, self.high)
    }
}

impl Error for OutOfRange {}

/// How far beyond an end a value may lie by rounding, relative to that end.
///
/// A point on a circle comes from `hypot` of two coordinates, good to a few units
/// in the last place; a mesh read from text may keep ten digits.
const ROUNDING: f64 = 1e-9;

/// `value`, moved by rounding at most, if it lies in `[low, high]`; not-a-number never does.
pub(crate) fn within(
    quantity: &'static str,
    value: f64,
    low: f64,
    high: f64,
) -> Result<f64, OutOfRange> {
    // An infinite or overflowing allowance says nothing: the end itself decides there.
    let or_end = |moved: f64, end: f64| if moved.is_finite() { moved } else { end };
    let low_holds = value >= or_end(low - ROUNDING * low.abs(), low);
    let high_holds = value <= or_end(high + ROUNDING * high.abs(), high);
    if low_holds && high_holds {
        Ok(value.clamp(low, high))
    } else {
        Err(OutOfRange { quantity, value, low, high })
    }
}

/// `value` if it is finite and above zero.
pub(crate) fn positive(quantity: &'static str, value: f64) -> Result<f64, OutOfRange> {
    within(quantity, value, f64::MIN_POSITIVE, f64::MAX)
}

/// Checks a wall from `inner` to `outer`; `outer` may be infinite.
pub(crate) fn wall(inner: f64, outer: f64) -> Result<(), OutOfRange> {
    positive("inner radius", inner)?;
    if outer > inner {
        Ok(())
    } else {
        Err(OutOfRange { quantity: "outer radius", value: outer, low: inner, high: f64::INFINITY })
    }
}

/// Checks that elastic constants belong to a stable solid; ν = 0.5 is let in.
pub(crate) fn elastic_constants(elasticity: &Elasticity) -> Result<(), OutOfRange> {
    positive("Young's modulus", elasticity.youngs_modulus)?;
    within("Poisson's ratio", elasticity.poissons_ratio, -1.0 + f64::EPSILON, 0.5)?;
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn rounding_is_forgiven_and_more_is_not() {
        assert_eq!(within("radius", 1.0 - 1e-12, 1.0, f64::INFINITY), Ok(1.0));
        let refused = within("radius", 0.99, 1.0, 2.0);
        assert_eq!(
            refused.map_err(|e| e.to_string()),
            Err("radius 0.99 lies outside 1 to 2".to_owned())
        );
        assert!(within("radius", f64::NAN, 1.0, 2.0).is_err());
        assert!(positive("radius", f64::INFINITY).is_err());
        assert!(positive("radius", 0.0).is_err());
    }

    #[test]
    fn a_wall_needs_a_thickness() {
        assert!(wall(1.0, f64::INFINITY).is_ok());
        assert!(wall(1.0, 1.0).is_err());
        assert!(wall(0.0, 1.0).is_err());
        assert!(wall(1.0, f64::NAN).is_err());
    }
}

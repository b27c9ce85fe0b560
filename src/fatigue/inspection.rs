//! When to look: the life from a detectable crack to the end, over a factor.
//!
//! Size and factor are the caller's and stand in the result, to be printed beside it. The
//! usual factor is 2 or 3 (common practice, no source).
//!
//! Floor 6, `fatigue`.

use std::fmt;

use serde::Serialize;

use crate::fatigue::life::Life;

/// An inspection plan.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Inspection {
    /// Smallest crack that an inspection finds, mm.
    pub detectable: f64,
    /// Factor the life is divided by.
    pub factor: f64,
    /// Cycles at which the crack has that size.
    pub detectable_at: f64,
    /// Cycles from there to the end; infinite when the crack arrests.
    pub left: f64,
    /// Cycles to the first inspection: the whole life over the factor.
    pub first: f64,
    /// Cycles between inspections: those left over the factor.
    pub interval: f64,
}

/// Why there is no plan.
#[derive(Clone, Copy, Debug, PartialEq)]
#[non_exhaustive]
pub enum InspectionError {
    /// The crack never has the detectable size between its first and last length, mm.
    NeverSeen {
        /// The size.
        detectable: f64,
        /// Initial crack.
        from: f64,
        /// Crack at the end.
        to: f64,
    },
    /// A factor below 1 or not finite.
    BadFactor {
        /// The factor.
        factor: f64,
    },
}

impl fmt::Display for InspectionError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::NeverSeen { detectable, from, to } => write!(
                f,
                "a crack that grows from {from} mm to {to} mm is never {detectable} mm long"
            ),
            Self::BadFactor { factor } => write!(f, "inspection factor {factor} is below 1"),
        }
    }
}

impl std::error::Error for InspectionError {}

/// The plan for a crack found from `detectable` mm on.
///
/// # Errors
/// [`InspectionError`].
pub fn inspection(
    life: &Life,
    detectable: f64,
    factor: f64,
) -> Result<Inspection, InspectionError> {
    if !(factor.is_finite() && factor >= 1.0) {
        return Err(InspectionError::BadFactor { factor });
    }
    let length = |at: Option<&crate::fatigue::life::CurvePoint>| at.map_or(f64::NAN, |p| p.length);
    let detectable_at = life.cycles_at(detectable).ok_or(InspectionError::NeverSeen {
        detectable,
        from: length(life.curve.first()),
        to: length(life.curve.last()),
    })?;
    let left = life.cycles_borne() - detectable_at;
    Ok(Inspection {
        detectable,
        factor,
        detectable_at,
        left,
        first: life.cycles_borne() / factor,
        interval: left / factor,
    })
}

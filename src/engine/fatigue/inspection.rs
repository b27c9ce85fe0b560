//! When to look: the life from a detectable crack to the end, over a factor.
//!
//! A crack that has the detectable size from the start counts from the start. A part with cracks at
//! several places is inspected for the most demanding of them ([`part_inspection`]): the earliest
//! first inspection and the shortest interval, which may be those of two places.
//!
//! Size and factor are the caller's and stand in the result, to be printed beside it. The
//! usual factor is 2 or 3 (common practice, no source).

use std::fmt;

use serde::Serialize;

use crate::fatigue::crack_life::Life;

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
    let length =
        |at: Option<&crate::fatigue::crack_life::CurvePoint>| at.map_or(f64::NAN, |p| p.length);
    let from = length(life.curve.first());
    let seen = if detectable <= from { Some(0.0) } else { life.cycles_at(detectable) };
    let detectable_at =
        seen.ok_or(InspectionError::NeverSeen { detectable, from, to: length(life.curve.last()) })?;
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

/// The inspection plan of a part: the most demanding of its places, by their order.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PartInspection {
    /// Place with the earliest first inspection, and its plan.
    pub first: (usize, Inspection),
    /// Place with the shortest interval, and its plan.
    pub interval: (usize, Inspection),
}

/// Why a part has no plan: the place and its reason.
pub type NoPartInspection = (usize, InspectionError);

/// The plan of a part with cracks at all places of `plans`. A place whose crack arrests before it is
/// detectable asks for nothing; one that *ends* before it is leaves no plan.
///
/// # Errors
/// The first place without a plan; with no place that asks for one, the first of all.
pub fn part_inspection(
    plans: &[(f64, Result<Inspection, InspectionError>)],
) -> Result<PartInspection, NoPartInspection> {
    let mut found: Option<PartInspection> = None;
    for (place, (life, plan)) in plans.iter().enumerate() {
        match plan {
            Ok(plan) => {
                let own = (place, *plan);
                let part = found.get_or_insert(PartInspection { first: own, interval: own });
                if plan.first < part.first.1.first {
                    part.first = own;
                }
                if plan.interval < part.interval.1.interval {
                    part.interval = own;
                }
            }
            Err(error) if life.is_finite() => return Err((place, *error)),
            Err(_) => {}
        }
    }
    found.ok_or_else(|| {
        let none = InspectionError::BadFactor { factor: f64::NAN };
        (0, plans.first().and_then(|(_, plan)| plan.err()).unwrap_or(none))
    })
}

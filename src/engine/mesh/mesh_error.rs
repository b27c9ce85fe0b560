//! Errors between plate and mesh.

use std::fmt;

use crate::geometry::fit::GeometryError;

/// A mesh that cannot be built, or is not good enough to be used.
#[derive(Clone, Debug, PartialEq)]
#[non_exhaustive]
pub enum MeshError {
    /// The plate itself is impossible.
    Geometry(GeometryError),
    /// The fineness is not a positive number within reason.
    Fineness(f64),
    /// An angle of a plan is not a number, or the gap is no arc.
    BadAngle {
        /// Name of the hole.
        hole: String,
    },
    /// The planned cut is not outside the starting hole.
    CutInsideHole {
        /// Name of the hole.
        hole: String,
        /// Radius of the cut, mm.
        cut: f64,
        /// Starting radius, mm.
        radius: f64,
    },
    /// No metal is left for elements beyond the hole or its planned cut.
    NoRoom {
        /// Name of the hole.
        hole: String,
        /// Metal between cut and next free edge, mm.
        ligament: f64,
        /// Least metal that the rings need, mm.
        least: f64,
    },
    /// The plate does not mirror about the line asked for.
    NotSymmetric {
        /// `x` for a vertical line, `y` for a horizontal one.
        axis: char,
        /// Where the line is, mm.
        line: f64,
        /// Why not.
        reason: String,
    },
    /// The plate would take more triangles than a mesh is made of.
    TooLarge {
        /// Most that are made.
        most: usize,
    },
    /// The triangles between the rings could not be made.
    Fill {
        /// Where, mm.
        at: [f64; 2],
        /// The cause.
        reason: String,
    },
    /// An element is inverted or too distorted.
    BadElement {
        /// Its middle, mm.
        at: [f64; 2],
        /// Its smallest scaled Jacobian.
        scaled_jacobian: f64,
        /// The least that is accepted.
        least: f64,
    },
}

impl fmt::Display for MeshError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Geometry(error) => error.fmt(f),
            Self::Fineness(value) => {
                write!(f, "mesh fineness must be between 0.1 and 100, not {value}")
            }
            Self::BadAngle { hole } => {
                write!(
                    f,
                    "the key angles and the gap of hole `{hole}` must be finite, the gap an arc"
                )
            }
            Self::CutInsideHole { hole, cut, radius } => write!(
                f,
                "the planned cut of hole `{hole}`, radius {cut:.4} mm, lies inside its starting \
                 radius {radius:.4} mm"
            ),
            Self::NoRoom { hole, ligament, least } => write!(
                f,
                "hole `{hole}` as cut leaves {ligament:.4} mm of metal to the next free edge, \
                 elements need {least:.4} mm"
            ),
            Self::NotSymmetric { axis, line, reason } => {
                write!(f, "the plate does not mirror about {axis} = {line:.4} mm: {reason}")
            }
            Self::TooLarge { most } => {
                write!(
                    f,
                    "a mesh of this plate has more than {most} triangles, the most that are made"
                )
            }
            Self::Fill { at: [x, y], reason } => {
                write!(f, "no triangles near ({x:.4}, {y:.4}) mm: {reason}")
            }
            Self::BadElement { at: [x, y], scaled_jacobian, least } => write!(
                f,
                "element at ({x:.4}, {y:.4}) mm is too distorted: scaled Jacobian \
                 {scaled_jacobian:.3}, least {least:.3}"
            ),
        }
    }
}

impl std::error::Error for MeshError {
    fn source(&self) -> Option<&(dyn std::error::Error + 'static)> {
        match self {
            Self::Geometry(error) => Some(error),
            _ => None,
        }
    }
}

impl From<GeometryError> for MeshError {
    fn from(error: GeometryError) -> Self {
        Self::Geometry(error)
    }
}

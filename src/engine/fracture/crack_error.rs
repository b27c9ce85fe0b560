//! Why a crack cannot be opened, or did not answer.

use std::fmt;

use crate::solver::increment_error::IncrementError;
use crate::solver::system_error::SystemError;

/// Reasons why a crack cannot be opened.
#[derive(Clone, Debug, PartialEq)]
#[non_exhaustive]
pub enum CrackError {
    /// The hole does not lie on a horizontal mirror line of the model.
    NoMirrorLine,
    /// The model has no metal beside the hole on that side.
    NoMetal {
        /// Direction asked for, degrees.
        angle_deg: f64,
    },
    /// Fewer element sides than needed lie between hole and tip, or between tip and next edge.
    TooFewSides {
        /// Length asked for, mm.
        length: f64,
        /// Element sides behind the tip, and ahead of it.
        sides: [usize; 2],
    },
    /// The equations cannot be set up.
    System(SystemError),
    /// The plate did not come to rest.
    Increment(IncrementError),
    /// Parts of the faces kept opening and closing.
    FacesKeepChanging,
}

impl fmt::Display for CrackError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::NoMirrorLine => {
                write!(f, "the hole does not lie on a horizontal mirror line of the model")
            }
            Self::NoMetal { angle_deg } => {
                write!(f, "the model has no metal beside the hole at {angle_deg}°")
            }
            Self::TooFewSides { length, sides: [behind, ahead] } => write!(
                f,
                "a crack of {length:.4} mm has {behind} element sides behind its tip and {ahead} ahead"
            ),
            Self::System(error) => error.fmt(f),
            Self::Increment(error) => error.fmt(f),
            Self::FacesKeepChanging => {
                write!(f, "parts of the crack faces kept opening and closing")
            }
        }
    }
}

impl std::error::Error for CrackError {}

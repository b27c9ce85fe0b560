//! Why the equations of a mesh cannot be set up.

use crate::solver::tables::FoldedElement;

/// A system that cannot be set up.
#[derive(Clone, Debug, PartialEq)]
#[non_exhaustive]
pub enum SystemError {
    /// An element is folded.
    Folded(FoldedElement),
    /// The factor is too large for this machine.
    TooLarge {
        /// Unknowns of the system.
        unknowns: usize,
    },
}

impl std::fmt::Display for SystemError {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Self::Folded(folded) => folded.fmt(f),
            Self::TooLarge { unknowns } => {
                write!(f, "a system of {unknowns} unknowns does not fit this machine's memory")
            }
        }
    }
}

impl std::error::Error for SystemError {}

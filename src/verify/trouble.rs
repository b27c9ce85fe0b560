//! Why a case of the book could not be computed.

use std::error::Error;
use std::fmt;

use crate::case::Complaint;
use crate::process::sequence::StageFailure;
use crate::process::stage_error::StageError;
use crate::solver::increment_error::IncrementError;
use crate::solver::system_error::SystemError;
use crate::solver::tables::FoldedElement;
use crate::theory::range::OutOfRange;

/// A case that gave no numbers.
#[derive(Debug)]
#[non_exhaustive]
pub enum Trouble {
    /// The user interrupted.
    Interrupted,
    /// The input or the settings lack something, or hold something of another kind.
    Input {
        /// What.
        missing: String,
    },
    /// A part of the program refused.
    Refused(Box<dyn Error + Send + Sync>),
}

impl Trouble {
    /// Something that the files of the case should say.
    #[must_use]
    pub fn missing(what: impl Into<String>) -> Self {
        Self::Input { missing: what.into() }
    }

    /// A part of the program that refused.
    pub fn refused(error: impl Error + Send + Sync + 'static) -> Self {
        Self::Refused(Box::new(error))
    }
}

impl fmt::Display for Trouble {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Interrupted => f.write_str("interrupted"),
            Self::Input { missing } => write!(f, "the files of the case have no {missing}"),
            Self::Refused(error) => error.fmt(f),
        }
    }
}

impl Error for Trouble {}

impl From<StageFailure> for Trouble {
    fn from(failure: StageFailure) -> Self {
        Self::Refused(Box::new(failure.error))
    }
}

macro_rules! from {
    ($($error:ty),*) => {
        $(impl From<$error> for Trouble {
            fn from(error: $error) -> Self {
                Self::Refused(Box::new(error))
            }
        })*
    };
}

from!(Complaint, StageError, IncrementError, SystemError, FoldedElement, OutOfRange);

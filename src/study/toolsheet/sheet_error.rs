//! Errors of a tool sheet.

use std::fmt;

use crate::case::complaint::Complaint;
use crate::process::stage_error::StageError;
use crate::solver::tables::FoldedElement;

/// Errors of a tool sheet.
#[derive(Debug)]
#[non_exhaustive]
pub enum SheetError {
    /// The tolerances and the wanted band do not go together.
    Complaint(Box<Complaint>),
    /// A set of sizes could not be worked.
    Stage {
        /// Which set.
        what: String,
        /// Label of the stage.
        stage: String,
        /// Why.
        error: Box<StageError>,
    },
    /// A state could not be read.
    Read(FoldedElement),
    /// It was interrupted.
    Stopped,
}

impl fmt::Display for SheetError {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Complaint(complaint) => complaint.fmt(out),
            Self::Stage { what, stage, error } => write!(out, "{what}, stage {stage}: {error}"),
            Self::Read(error) => error.fmt(out),
            Self::Stopped => out.write_str("interrupted"),
        }
    }
}

impl std::error::Error for SheetError {}

impl From<Complaint> for SheetError {
    fn from(complaint: Complaint) -> Self {
        Self::Complaint(Box::new(complaint))
    }
}

impl From<FoldedElement> for SheetError {
    fn from(error: FoldedElement) -> Self {
        Self::Read(error)
    }
}

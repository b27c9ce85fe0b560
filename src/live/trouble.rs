//! Why a question has no answer, in the words of the command line.

use std::fmt;

use serde_json::{Value, json};

use crate::case::Complaint;
use crate::process::stage_error::StageError;
use crate::solver::tables::FoldedElement;
use crate::study::effort::{Effort, LIMIT};

/// Why there is no answer.
#[derive(Debug)]
#[non_exhaustive]
pub enum Trouble {
    /// The case that the controls stand for is no case.
    Case(Box<Complaint>),
    /// A control that the case does not have, or a value that it cannot take.
    Control(String),
    /// The plate cannot be meshed or the equations not set up.
    SetUp(Box<StageError>),
    /// A stage cannot be finished.
    Stage {
        /// Label of the stage.
        stage: String,
        /// Why.
        error: Box<StageError>,
    },
    /// The run is beyond the limits of the program.
    Large(Effort),
    /// A state that cannot be read.
    Read(FoldedElement),
    /// A newer question came, or the program ends.
    Superseded,
    /// A part of the answer that there is not: a stage, a hole, a table.
    Nothing(String),
}

impl Trouble {
    /// The remedy.
    #[must_use]
    pub fn hint(&self) -> Option<String> {
        match self {
            Self::Case(complaint) => Some(complaint.hint().to_owned()),
            Self::SetUp(error) | Self::Stage { error, .. } => error.hint(),
            Self::Large(_) => {
                Some("lower `fineness`, `increments` or the number of cycles".to_owned())
            }
            _ => None,
        }
    }

    /// As the page reads it: `error`, `superseded`, and `hint`, `line`, `column`, `key` where there are any.
    #[must_use]
    pub fn json(&self) -> Value {
        let superseded = matches!(self, Self::Superseded);
        let mut object =
            json!({ "error": self.to_string(), "hint": self.hint(), "superseded": superseded });
        if let Self::Case(complaint) = self {
            if let Some((line, column)) = complaint.place {
                object["line"] = json!(line);
                object["column"] = json!(column);
            }
            object["key"] = json!(complaint.key);
        }
        object
    }
}

impl fmt::Display for Trouble {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Case(complaint) => complaint.fmt(f),
            Self::Control(what) | Self::Nothing(what) => f.write_str(what),
            Self::SetUp(error) => error.fmt(f),
            Self::Stage { stage, error } => write!(f, "stage {stage}: {error}"),
            Self::Large(expected) => {
                write!(
                    f,
                    "this run takes about {}; the limit is {}",
                    expected.words(),
                    LIMIT.words()
                )
            }
            Self::Read(error) => error.fmt(f),
            Self::Superseded => f.write_str("superseded by a newer question"),
        }
    }
}

impl std::error::Error for Trouble {}

impl From<Complaint> for Trouble {
    fn from(complaint: Complaint) -> Self {
        Self::Case(Box::new(complaint))
    }
}

impl From<FoldedElement> for Trouble {
    fn from(error: FoldedElement) -> Self {
        Self::Read(error)
    }
}

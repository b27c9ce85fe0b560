//! How one case of a study ended.

use serde::{Deserialize, Serialize};

/// Whether a case has numbers, and why not.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum PointStatus {
    /// All stages are done.
    Done,
    /// It could not be read or solved: the reason.
    Failed(String),
    /// It was not wanted: the condition that it met.
    Skipped(String),
}

impl PointStatus {
    /// The word in tables.
    #[must_use]
    pub fn name(&self) -> &'static str {
        match self {
            Self::Done => "done",
            Self::Failed(_) => "failed",
            Self::Skipped(_) => "skipped",
        }
    }

    /// The reason, empty for a case that is done.
    #[must_use]
    pub fn reason(&self) -> &str {
        match self {
            Self::Done => "",
            Self::Failed(reason) | Self::Skipped(reason) => reason,
        }
    }
}

/// One point of one path of one state, in the units of the case.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct PathRow {
    /// Label of the state.
    pub stage: String,
    /// Name of the hole.
    pub hole: String,
    /// Direction of the path, degrees.
    pub angle_deg: f64,
    /// Distance from the edge of the hole, hoop and radial stress, von Mises stress, equivalent plastic
    /// strain.
    pub numbers: [f64; 5],
}

/// One case of a study, finished.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Outcome {
    /// Its number, from 0.
    pub case: usize,
    /// How it ended.
    pub status: PointStatus,
    /// The numbers wanted, in the order of [`numbers`](crate::study::sweep::numbers), in the units of the
    /// case; `None` where there is none, such as the depth of no compression.
    pub numbers: Vec<Option<f64>>,
    /// Its paths, when they are wanted.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub paths: Vec<PathRow>,
    /// Stages that were solved for it.
    #[serde(skip)]
    pub solved: usize,
    /// Stages that it took from the case before it.
    #[serde(skip)]
    pub shared: usize,
}

//! Readings that are made on a drawn hole: stresses at a depth, the pull, the bore, the lips.

use crate::process::measured::Measured;
use crate::process::section::Face;

/// Stresses measured along a line from the bore at one depth.
#[derive(Clone, Debug, PartialEq)]
pub struct DepthMeasured {
    /// The points. Each has its `plus_minus`, and none a direction in a section that stands alone.
    pub measured: Measured,
    /// Share of the thickness from the entry face; `None` for the mean over the thickness.
    pub share: Option<f64>,
}

/// Kind of a single reading.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum ReadingKind {
    /// Force that pulls the mandrel, N: the largest of the draw, or that at a travel in mm.
    PullForce {
        /// Way of the mandrel since it first touched, mm; `None`: the largest force of all.
        travel: Option<f64>,
    },
    /// Diameter of the bore with the mandrel out, mm.
    BoreDiameter {
        /// Share of the depth of the bore from the entry face.
        share: f64,
    },
    /// How far the metal at the bore stands out beyond a face, mm.
    Upset {
        /// The face.
        face: Face,
    },
}

impl ReadingKind {
    /// Its key in a file.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            Self::PullForce { .. } => "pull_force",
            Self::BoreDiameter { .. } => "bore_diameter",
            Self::Upset { .. } => "upset",
        }
    }

    /// Whether it is a force in N; else a length in mm.
    #[must_use]
    pub fn is_force(self) -> bool {
        matches!(self, Self::PullForce { .. })
    }
}

/// A single reading of a drawn hole; forces in N, lengths in mm.
#[derive(Clone, Debug, PartialEq)]
pub struct DrawReading {
    /// Its name.
    pub label: String,
    /// Name of the hole.
    pub hole: String,
    /// Stage of the section that it belongs to: `1-draw-A`.
    pub read_at: String,
    /// Kind.
    pub kind: ReadingKind,
    /// The reading itself.
    pub value: f64,
    /// Standard error of that.
    pub plus_minus: f64,
}

/// All readings of the sections of a case.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct SectionReadings {
    /// Stresses at depths.
    pub stresses: Vec<DepthMeasured>,
    /// Single readings.
    pub single: Vec<DrawReading>,
    /// Whether the section stands alone: its file has no plane model beside it.
    pub alone: bool,
}

impl SectionReadings {
    /// Whether there is none.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.stresses.is_empty() && self.single.is_empty()
    }
}

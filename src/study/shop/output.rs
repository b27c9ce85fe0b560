//! Numbers of a hole, and the sizes that they follow from.

/// A number of a hole.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Output {
    /// Retained expansion before the ream, a fraction.
    Retained,
    /// Residual hoop stress at the edge, MPa.
    EdgeHoop,
    /// Where the compression ends, mm from the edge.
    Depth,
    /// Most compressive hoop stress, MPa.
    PeakCompression,
    /// Most tensile hoop stress, MPa.
    PeakTension,
}

/// All of them.
pub const OUTPUTS: [Output; 5] = [
    Output::Retained,
    Output::EdgeHoop,
    Output::Depth,
    Output::PeakCompression,
    Output::PeakTension,
];

impl Output {
    /// Name in files, which is that of the measure of a study.
    #[must_use]
    pub fn key(self) -> &'static str {
        match self {
            Self::Retained => "retained_expansion",
            Self::EdgeHoop => "edge_hoop",
            Self::Depth => "compression_depth",
            Self::PeakCompression => "peak_compression",
            Self::PeakTension => "peak_tension",
        }
    }

    /// In words.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Self::Retained => "retained expansion",
            Self::EdgeHoop => "edge hoop stress",
            Self::Depth => "depth of compression",
            Self::PeakCompression => "peak compression",
            Self::PeakTension => "peak tension",
        }
    }

    /// Whether it is a length, which grows with the hole.
    #[must_use]
    pub fn is_length(self) -> bool {
        self == Self::Depth
    }
}

/// Sizes of a hole and its tool, mm.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Sizes {
    /// Starting diameter.
    pub start: f64,
    /// Mandrel plus twice the sleeve.
    pub acting: f64,
    /// Diameter after the ream; `None` without one.
    pub reamed: Option<f64>,
}

impl Sizes {
    /// Applied expansion, a fraction.
    #[must_use]
    pub fn expansion(&self) -> f64 {
        self.acting / self.start - 1.0
    }

    /// The two variables of the surrogate.
    pub(super) fn variables(&self) -> [f64; 2] {
        [self.expansion(), self.reamed.map_or(1.0, |reamed| reamed / self.start)]
    }
}

/// Values of one solution, in the order of [`OUTPUTS`].
pub type Values = [Option<f64>; OUTPUTS.len()];

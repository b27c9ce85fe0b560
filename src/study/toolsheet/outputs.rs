//! The numbers that a tool sheet gives for a set of sizes.

/// A number that the draws give.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Output {
    /// Hoop stress at the edge after the ream, MPa.
    EdgeHoop,
    /// Most compressive hoop stress, MPa.
    PeakCompression,
    /// Where the compression ends, mm.
    Depth,
    /// Most tensile hoop stress, MPa.
    PeakTension,
    /// Retained expansion before the ream, fraction.
    Retained,
    /// Mean diameter before the ream, mm.
    ExpandedDiameter,
}

/// All of them.
pub const OUTPUTS: [Output; 6] = [
    Output::EdgeHoop,
    Output::PeakCompression,
    Output::Depth,
    Output::PeakTension,
    Output::Retained,
    Output::ExpandedDiameter,
];

impl Output {
    /// In words.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Self::EdgeHoop => "edge hoop stress",
            Self::PeakCompression => "peak compression",
            Self::Depth => "depth of compression",
            Self::PeakTension => "peak tension",
            Self::Retained => "retained expansion",
            Self::ExpandedDiameter => "expanded diameter",
        }
    }

    /// Name in files.
    #[must_use]
    pub fn key(self) -> &'static str {
        match self {
            Self::EdgeHoop => "edge_hoop",
            Self::PeakCompression => "peak_compression",
            Self::Depth => "compression_depth",
            Self::PeakTension => "peak_tension",
            Self::Retained => "retained_expansion",
            Self::ExpandedDiameter => "expanded_diameter",
        }
    }

    pub(super) fn is_length(self) -> bool {
        matches!(self, Self::Depth | Self::ExpandedDiameter)
    }
}

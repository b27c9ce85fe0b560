//! The answer of measurements: unknowns, bands, numbers, further points.

use crate::case::unknown::UnknownTable;
use crate::fit::certainty::Certainty;
use crate::result::gauge::GaugeReading;
use crate::result::measured::Agreement;
use crate::study::infer::drawn::DrawAgreement;
use crate::study::infer::line::Way;
use crate::study::infer::next::Further;
use crate::units::quantity::Quantity;

/// An unknown that was found.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FoundUnknown {
    /// Which, and what was known of it.
    pub table: UnknownTable,
    /// Its value; a stress in MPa.
    pub value: f64,
    /// Ends of the 90 % interval; `None` where the points do not tell.
    pub interval: Option<[f64; 2]>,
    /// Whether it ended at a limit.
    pub at_limit: bool,
}

/// A number with its standard error.
#[derive(Clone, Debug, PartialEq)]
pub struct Banded {
    /// Its name, for a path with hole and direction.
    pub name: String,
    /// A stress, a length or a force, hence its unit: MPa, mm, N.
    pub quantity: Quantity,
    /// Value.
    pub value: f64,
    /// Standard error.
    pub error: f64,
}

/// The hoop stress along a line with its standard error: `[distance mm, MPa, MPa]`.
#[derive(Clone, Debug, PartialEq)]
pub struct Band {
    /// Name of the hole.
    pub hole: String,
    /// Where the line runs.
    pub way: Way,
    /// Points.
    pub points: Vec<[f64; 3]>,
}

/// The answer of the measurements.
#[derive(Clone, Debug)]
pub struct Inferred {
    /// The unknowns.
    pub unknowns: Vec<FoundUnknown>,
    /// How well the variables are known.
    pub certainty: Certainty,
    /// Measured beside computed.
    pub agreements: Vec<Agreement>,
    /// Strain gauges beside their computed readings.
    pub gauges: Vec<GaugeReading>,
    /// Single readings of drawn holes beside the computed.
    pub singles: Vec<DrawAgreement>,
    /// Prediction band of every line.
    pub bands: Vec<Band>,
    /// Headline numbers with their errors.
    pub numbers: Vec<Banded>,
    /// Further measurements, the most useful first.
    pub further: Vec<Further>,
    /// The further measurement that would narrow the life most; when there is one.
    pub further_for_life: Option<Further>,
    /// Cycles to the end, and the 90 % interval; when the case has a `[life]` table.
    pub life: Option<[f64; 3]>,
    /// Points that could be compared.
    pub points: usize,
    /// Whether all of them lie beyond the plastic front.
    pub beyond_front: bool,
    /// Whether stated errors are too small for the deviations; `None` when some point has none.
    pub too_far: Option<bool>,
    /// Solutions that were needed.
    pub solutions: usize,
}

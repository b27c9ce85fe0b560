//! The numbers a run is asked for, one by one: what the convergence study follows.
//!
//! Residual states give the stresses and extents along every path, what the hole keeps and how
//! the edges bulge; states at full size or full load give pressures, the shift of the mandrel
//! and the stress at the edge. Where an extreme lies is left out: it sits on a point of the
//! path, and those move with the mesh.

use serde::{Deserialize, Serialize};

use crate::result::summary::{HoleSummary, PathSummary, StageSummary};

/// End of the label of a snapshot at full size or full load.
const FULL: &str = "-full";

/// Quantity that a headline number measures.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
#[non_exhaustive]
pub enum Measure {
    /// Hoop stress at the edge of the hole.
    EdgeHoop,
    /// Most compressive hoop stress next to the edge.
    PeakCompression,
    /// Where the compression that starts at the edge ends.
    CompressionDepth,
    /// Most tensile hoop stress of the path.
    PeakTension,
    /// Where the yielded metal that starts at the edge ends.
    PlasticExtent,
    /// Where the zone of reverse yielding ends.
    ReverseYieldExtent,
    /// Retained expansion.
    RetainedExpansion,
    /// Smallest diameter, deformed.
    SmallestDiameter,
    /// Largest diameter, deformed.
    LargestDiameter,
    /// Mean contact pressure.
    MeanPressure,
    /// Largest contact pressure.
    PeakPressure,
    /// How far the mandrel's centre has moved.
    MandrelShift,
    /// Bulge of an edge of the plate.
    Bulge,
}

/// Kind of number, hence its unit.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Dimension {
    /// MPa.
    Stress,
    /// mm.
    Length,
    /// None.
    Fraction,
}

impl Measure {
    /// Every measure, paths first.
    pub const ALL: [Self; 13] = [
        Self::EdgeHoop,
        Self::PeakCompression,
        Self::CompressionDepth,
        Self::PeakTension,
        Self::PlasticExtent,
        Self::ReverseYieldExtent,
        Self::RetainedExpansion,
        Self::SmallestDiameter,
        Self::LargestDiameter,
        Self::MeanPressure,
        Self::PeakPressure,
        Self::MandrelShift,
        Self::Bulge,
    ];

    /// Name in files, as in `summary.json`.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            Self::EdgeHoop => "edge_hoop",
            Self::PeakCompression => "peak_compression",
            Self::CompressionDepth => "compression_depth",
            Self::PeakTension => "peak_tension",
            Self::PlasticExtent => "plastic_extent",
            Self::ReverseYieldExtent => "reverse_yield_extent",
            Self::RetainedExpansion => "retained_expansion",
            Self::SmallestDiameter => "smallest_diameter",
            Self::LargestDiameter => "largest_diameter",
            Self::MeanPressure => "mean_pressure",
            Self::PeakPressure => "peak_pressure",
            Self::MandrelShift => "mandrel_shift",
            Self::Bulge => "bulge",
        }
    }

    /// The same for people.
    #[must_use]
    pub fn words(self) -> String {
        self.name().replace('_', " ")
    }

    /// Kind of number.
    #[must_use]
    pub fn dimension(self) -> Dimension {
        match self {
            Self::EdgeHoop
            | Self::PeakCompression
            | Self::PeakTension
            | Self::MeanPressure
            | Self::PeakPressure => Dimension::Stress,
            Self::RetainedExpansion => Dimension::Fraction,
            _ => Dimension::Length,
        }
    }
}

/// Where a headline number is read.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub enum Place {
    /// On the path of a hole at an angle, degrees counter-clockwise from +x.
    Path(String, f64),
    /// At a hole.
    Hole(String),
    /// At a named edge of the plate.
    Edge(String),
}

/// One number of one snapshot; mm, MPa.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Headline {
    /// Label of the snapshot.
    pub stage: String,
    /// Where.
    pub place: Place,
    /// What.
    pub measure: Measure,
    /// How much; `None` when there is none, such as the depth of no compression.
    pub value: Option<f64>,
}

/// The headline numbers of a run, in the order of its snapshots. The list is as long for every
/// mesh and every number of increments of one case.
#[must_use]
pub fn headlines(stages: &[StageSummary]) -> Vec<Headline> {
    let mut found = Vec::new();
    for stage in stages {
        let mut put = |place: &Place, measure, value| {
            found.push(Headline {
                stage: stage.stage.clone(),
                place: place.clone(),
                measure,
                value,
            });
        };
        let full = stage.stage.ends_with(FULL);
        for hole in &stage.holes {
            of_hole(hole, full, &mut put);
        }
        for path in &stage.paths {
            of_path(path, full, &mut put);
        }
        for edge in stage.edges.iter().filter(|_| !full) {
            put(&Place::Edge(edge.edge.clone()), Measure::Bulge, Some(edge.bulge));
        }
    }
    found
}

fn of_hole(hole: &HoleSummary, full: bool, put: &mut impl FnMut(&Place, Measure, Option<f64>)) {
    let place = Place::Hole(hole.hole.clone());
    if full {
        let pressed = hole.peak_pressure > 0.0;
        let shift = hole.mandrel_shift[0].hypot(hole.mandrel_shift[1]);
        put(&place, Measure::MeanPressure, pressed.then_some(hole.mean_pressure));
        put(&place, Measure::PeakPressure, pressed.then_some(hole.peak_pressure));
        put(&place, Measure::MandrelShift, pressed.then_some(shift));
    } else {
        put(&place, Measure::RetainedExpansion, hole.retained_expansion);
        put(&place, Measure::SmallestDiameter, Some(hole.smallest_diameter));
        put(&place, Measure::LargestDiameter, Some(hole.largest_diameter));
    }
}

fn of_path(path: &PathSummary, full: bool, put: &mut impl FnMut(&Place, Measure, Option<f64>)) {
    let place = Place::Path(path.hole.clone(), path.angle_deg);
    put(&place, Measure::EdgeHoop, Some(path.edge_hoop));
    if full {
        return;
    }
    let stress = |peak: Option<[f64; 2]>| peak.map(|[stress, _]| stress);
    put(&place, Measure::PeakCompression, stress(path.peak_compression));
    put(&place, Measure::CompressionDepth, path.compression_depth);
    put(&place, Measure::PeakTension, stress(path.peak_tension));
    put(&place, Measure::PlasticExtent, Some(path.plastic_extent));
    put(&place, Measure::ReverseYieldExtent, Some(path.reverse_yield_extent));
}

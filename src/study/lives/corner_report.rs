//! All that is known of the part-through cracks of a case.

use crate::fatigue::front::band::{Spread, Swing};
use crate::fatigue::front::equations::Site;
use crate::fatigue::front::field::SectionField;
use crate::fatigue::front::front_life::{Draw, FrontLife};
use crate::fatigue::front::growth::FrontGrower;
use crate::study::section_beside::Faces;

/// Part-through cracks of a case.
#[derive(Clone, Debug)]
pub struct CornerReport {
    /// One of each kind asked for at every place of a through crack.
    pub places: Vec<CornerPlace>,
    /// Number of the place where the expanded hole lives shortest.
    pub governing: usize,
    /// Share of the residual stress at the entry face.
    pub entry: f64,
    /// Whether the case gives that share.
    pub given: bool,
    /// Where the residual field over the depth comes from.
    pub depth: DepthSource,
    /// That field at the governing place; `None` when the plane field and a share stand for it.
    pub field: Option<SectionField>,
    /// K along the front of the flaw there: degrees from the face, load per MPa, residual, MPa√mm.
    pub front: Vec<[f64; 3]>,
    /// Drawn lives at the governing place.
    pub band: CornerBand,
    /// Shortest lives with the flaws of public military guidance.
    pub flaws: Vec<FlawLife>,
    /// Exponent of retardation; `None`: none.
    pub retardation: Option<f64>,
}

/// Source of the residual stress over the depth.
#[derive(Clone, Debug, PartialEq)]
pub enum DepthSource {
    /// The plane field, a share of it at the entry face.
    EntryShare,
    /// The plane field and its change with depth in a file of this name.
    File(String),
    /// The plane field times the ratio of a section to the plane model of the same ring.
    Sections(Vec<SectionUsed>),
}

/// A section that a residual field was made of.
#[derive(Clone, Debug, PartialEq)]
pub struct SectionUsed {
    /// Name of the hole.
    pub hole: String,
    /// Diameter of the ring, mm.
    pub outer_diameter: f64,
    /// Hoop stress at the bore of the ring.
    pub faces: Faces,
}

/// A part-through crack.
#[derive(Clone, Debug)]
pub struct CornerPlace {
    /// Name of the hole.
    pub hole: String,
    /// Direction, degrees.
    pub angle_deg: f64,
    /// Where the crack lies.
    pub site: Site,
    /// The crack and how much of the field is there.
    pub draw: Draw,
    /// Where the crack leaves the range of its stress intensities.
    pub outside: Option<String>,
    /// Lives by the published equations, plain and expanded, where the table of influence coefficients serves.
    pub by_equations: Option<[f64; 2]>,
    /// Crack that can be grown again.
    pub grower: FrontGrower,
    /// Without residual stress.
    pub plain: FrontLife,
    /// With it.
    pub expanded: FrontLife,
}

/// Lives of drawn cracks.
#[derive(Clone, Debug)]
pub struct CornerBand {
    /// How many.
    pub count: usize,
    /// Percentiles.
    pub percents: [f64; 5],
    /// Lives of the expanded hole at them, cycles.
    pub lives: [f64; 5],
    /// Life improvement factors at them.
    pub factors: [f64; 5],
    /// Between which ends they were drawn.
    pub spread: Spread,
    /// The life at the ends of each quantity.
    pub swings: Vec<Swing>,
}

/// Shortest lives from a flaw, cycles.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FlawLife {
    /// The flaw, mm.
    pub flaw: f64,
    /// Of the plain hole.
    pub plain: f64,
    /// Of the expanded hole.
    pub expanded: f64,
}

impl CornerReport {
    /// The place where the expanded hole lives shortest.
    #[must_use]
    pub fn worst(&self) -> &CornerPlace {
        &self.places[self.governing]
    }

    /// Shortest lives over all places, plain and expanded, cycles.
    #[must_use]
    pub fn lives(&self) -> [f64; 2] {
        let plain = self.places.iter().map(|at| at.plain.cycles_borne());
        [plain.fold(f64::INFINITY, f64::min), self.worst().expanded.cycles_borne()]
    }
}

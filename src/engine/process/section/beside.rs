//! The section of one hole of a plane case, and the plane model of the same ring.
//!
//! The section has the thickness and neither edge nor neighbour, the plane case has those and no
//! thickness. Both are joined by the ring: the same metal and stages on a round plate, solved in the
//! plane ([`ring_job`]), over which the section is a ratio.

use crate::geometry::hole::Hole;
use crate::geometry::plate::{Outline, Plate};
use crate::material::idealisation::Idealisation;
use crate::process::job::{Job, Numerics};
use crate::process::section::SectionJob;
use crate::process::stage::Stage;
use crate::solver::system::STRAIN_PARTS;

/// A section that stands beside a plane case.
#[derive(Clone, Debug, PartialEq)]
pub struct SectionBeside {
    /// Which hole of the plate.
    pub hole: usize,
    /// The ring with the mandrel drawn through it, and what is cut afterwards.
    pub section: SectionJob,
    /// Stages of the hole in the plane, on hole 0 of the ring.
    pub stages: Vec<Stage>,
    /// How finely the plane case is solved, and so its ring.
    pub numerics: Numerics,
}

/// Numerics of a section beside a case that is solved with `numerics`.
///
/// Strains are measured as in the case. Equal parts let the balance of a draw settle sooner.
#[must_use]
pub fn section_numerics(numerics: &Numerics) -> Numerics {
    Numerics { strain_parts: numerics.strain_parts.or(Some(STRAIN_PARTS)), ..numerics.clone() }
}

/// The plane model of the ring of a section.
#[must_use]
pub fn ring_job(beside: &SectionBeside, idealisation: Idealisation) -> Job {
    let SectionJob { hole, part, material, .. } = &beside.section;
    let hole = Hole::round(hole.clone(), [0.0; 2], part.starting_diameter);
    Job {
        plate: Plate {
            outline: Outline::Disc { diameter: part.outer_diameter },
            thickness: part.thickness,
            holes: vec![hole],
        },
        idealisation,
        material: material.clone(),
        stages: beside.stages.clone(),
        numerics: Numerics { use_symmetry: true, ..beside.numerics.clone() },
        supports: Vec::new(),
        regions: Vec::new(),
    }
}

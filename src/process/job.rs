//! Everything the simulation needs, and nothing about files: plate, metal, stages, numerics.

use serde::{Deserialize, Serialize};

use crate::element::kernel::Measure;
use crate::geometry::plate::Plate;
use crate::material::hardening::Material;
use crate::material::idealisation::Idealisation;
use crate::material::strains::Strains;
use crate::process::stage::Stage;
use crate::solver::supports::Support;
use crate::solver::system::PATH_TOLERANCE;
use crate::solver::tables::measure;

/// How finely the job is solved. The defaults are right for the common case.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Numerics {
    /// 1 is the default mesh; 2 halves every element size.
    pub fineness: f64,
    /// Increments that drive the tool to full size, at least; the release and loads follow suit.
    pub increments: usize,
    /// Equal parts in which the metal follows the strain of an increment, at least one; `None`: as
    /// many as `path_tolerance` asks for.
    pub strain_parts: Option<usize>,
    /// Error that the parts of an increment may leave in the stress of a point, over the yield
    /// stress; not read when the number of parts is given.
    pub path_tolerance: f64,
    /// How deformation is measured.
    #[serde(default)]
    pub strains: Strains,
    /// Whether halves and quarters are used where plate and stages allow.
    pub use_symmetry: bool,
}

impl Default for Numerics {
    fn default() -> Self {
        Self {
            fineness: 1.0,
            increments: 8,
            strain_parts: None,
            path_tolerance: PATH_TOLERANCE,
            strains: Strains::default(),
            use_symmetry: true,
        }
    }
}

/// A plate, its metal, and the work to be done on it.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Job {
    /// Outline, thickness, holes.
    pub plate: Plate,
    /// Assumption about the direction through the thickness.
    pub idealisation: Idealisation,
    /// The metal.
    pub material: Material,
    /// The work, in order.
    pub stages: Vec<Stage>,
    /// How finely it is solved.
    pub numerics: Numerics,
    /// Edges that are held throughout; the plate is free without any.
    #[serde(default)]
    pub supports: Vec<Support>,
}

impl Job {
    /// How an area of its mesh becomes a volume.
    #[must_use]
    pub fn measure(&self) -> Measure {
        measure(self.idealisation, self.plate.thickness)
    }
}

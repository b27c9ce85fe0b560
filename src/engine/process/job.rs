//! Everything the simulation needs, and nothing about files: plate, metal, stages, numerics.

use serde::{Deserialize, Serialize};

use crate::element::kernel::Measure;
use crate::geometry::plate::Plate;
use crate::material::hardening::Material;
use crate::material::hot::HotShares;
use crate::material::idealisation::Idealisation;
use crate::material::strains::Strains;
use crate::process::bush::Bush;
use crate::process::doubler::Doubler;
use crate::process::region::Region;
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
    /// Regions of another thickness or metal; where two cover a place, the later one counts.
    #[serde(default)]
    pub regions: Vec<Region>,
}

impl Job {
    /// How an area of its mesh becomes a volume.
    #[must_use]
    pub fn measure(&self) -> Measure {
        measure(self.idealisation, self.plate.thickness)
    }

    /// The doublers that stages join, in their order: the regions of the mesh after those of the plate.
    pub fn doublers(&self) -> impl Iterator<Item = &Doubler> {
        self.stages.iter().filter_map(|stage| match stage {
            Stage::Join { doubler } => Some(&**doubler),
            _ => None,
        })
    }

    /// The doubler that a region of the mesh is.
    fn doubler_of(&self, region: u8) -> Option<&Doubler> {
        let beyond = usize::from(region).checked_sub(self.regions.len() + 1)?;
        self.doublers().nth(beyond)
    }

    /// Metal of a region of the mesh, 0 for the plate.
    #[must_use]
    pub fn material_of(&self, region: u8) -> &Material {
        if let Some(doubler) = self.doubler_of(region) {
            return &doubler.material;
        }
        let Some(other) = usize::from(region).checked_sub(1) else { return &self.material };
        let own = match other.checked_sub(self.first_bush()) {
            None => self.regions.get(other).and_then(|region| region.material.as_ref()),
            Some(bush) => self.bushes().nth(bush).map(|bush| &bush.material),
        };
        own.unwrap_or(&self.material)
    }

    /// Bushes that stages put in, in their order. Their regions of the mesh follow those of the plate and of doublers.
    pub fn bushes(&self) -> impl Iterator<Item = &Bush> {
        self.stages.iter().filter_map(|stage| match stage {
            Stage::Bush(bush) => Some(&**bush),
            _ => None,
        })
    }

    /// Regions of the plate and doublers, whose numbers come before those of bushes.
    fn first_bush(&self) -> usize {
        self.regions.len() + self.doublers().count()
    }

    /// Region of the mesh that the bush with this number, from 0, is.
    #[must_use]
    pub fn region_of_bush(&self, number: usize) -> u8 {
        u8::try_from(self.first_bush() + number + 1).unwrap_or(u8::MAX)
    }

    /// Region at a place of the drawing, 0 for the plate: the last that covers it.
    #[must_use]
    pub fn region_at(&self, place: [f64; 2]) -> u8 {
        let last = self.regions.iter().rposition(|region| region.outline.surrounds(place));
        last.map_or(0, |last| u8::try_from(last + 1).unwrap_or(u8::MAX))
    }

    /// Thickness of a region of the mesh, mm.
    #[must_use]
    pub fn thickness_of(&self, region: u8) -> f64 {
        if let Some(doubler) = self.doubler_of(region) {
            return doubler.thickness;
        }
        let Some(other) = usize::from(region).checked_sub(1) else { return self.plate.thickness };
        let own = match other.checked_sub(self.first_bush()) {
            None => self.regions.get(other).and_then(|region| region.thickness),
            // As long as its hole.
            Some(bush) => self
                .bushes()
                .nth(bush)
                .map(|bush| self.thickness_of(self.region_of_hole(bush.hole))),
        };
        own.unwrap_or(self.plate.thickness)
    }

    /// Region that the edge of a hole is in, as drawn: the outline of no other crosses it.
    #[must_use]
    pub fn region_of_hole(&self, hole: usize) -> u8 {
        let hole = &self.plate.holes[hole];
        self.region_at([hole.centre[0] + hole.radius() * 1.001, hole.centre[1]])
    }

    /// Every metal of the part, that of the plate first.
    pub fn materials(&self) -> impl Iterator<Item = &Material> {
        let others = self.regions.iter().filter_map(|region| region.material.as_ref());
        let doublers = self.doublers().map(|doubler| &doubler.material);
        let bushes = self.bushes().map(|bush| &bush.material);
        std::iter::once(&self.material).chain(others).chain(doublers).chain(bushes)
    }

    /// Metals when the stages before `stage` (from 0) are done, as shares of those of the job: of the plate, then of
    /// every region; none while all are as in the job.
    #[must_use]
    pub fn hot_shares(&self, stage: usize) -> &[HotShares] {
        let last = self.stages.iter().take(stage).rev().find_map(|stage| match stage {
            Stage::Temperature { metals, .. } => Some(metals.as_slice()),
            _ => None,
        });
        last.unwrap_or_default()
    }

    /// The same job with every metal changed.
    #[must_use]
    pub fn with_metals(&self, change: impl Fn(&Material) -> Material) -> Self {
        let mut job = self.clone();
        job.material = change(&self.material);
        for region in &mut job.regions {
            region.material = region.material.as_ref().map(&change);
        }
        for stage in &mut job.stages {
            match stage {
                Stage::Join { doubler } => doubler.material = change(&doubler.material),
                Stage::Bush(bush) => bush.material = change(&bush.material),
                _ => {}
            }
        }
        job
    }
}

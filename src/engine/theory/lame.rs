//! The elastic ring: internal pressure, and a solid tool pressed into it.
//!
//! ```text
//!        b ──────►|          σr,θ = p a²/(b² − a²) · (1 ∓ b²/r²)
//!     a ──►|      |
//!   ( p → ( ) ←   )          an infinite outer radius is the sheet without end
//! ```
//!
//! Takes as given: elastic, isotropic, small strains, even pressure, no load on the outer edge.
//! Valid while nothing yields.
//!
//! ```
//! use hoopset_engine::theory::{field::RotationalField, lame::Ring};
//! use hoopset_engine::material::{elasticity::Elasticity, idealisation::Idealisation};
//!
//! let steel = Elasticity { youngs_modulus: 210_000.0, poissons_ratio: 0.3 };
//! let ring = Ring::new(10.0, 20.0, steel, Idealisation::PlaneStress)?.at_pressure(60.0)?;
//! // By hand: p (a² + b²)/(b² − a²) = 60 · 500/300.
//! assert!((ring.hoop(10.0)? - 100.0).abs() < 1e-9);
//! assert!((ring.radial(10.0)? + 60.0).abs() < 1e-9);
//! # Ok::<(), hoopset_engine::theory::range::OutOfRange>(())
//! ```
//!
//! Source: G. Lamé; any text on strength of materials (derived).
//!
//! Trap: the displacement of plane strain is not that of plane stress with the
//! same constants, though the stresses in the plane are. A wall free at its faces
//! under one uniform axial strain carries no axial stress (σr + σθ is the same
//! everywhere), so generalised plane strain is plane stress here.

use crate::material::elasticity::Elasticity;
use crate::material::idealisation::Idealisation;
use crate::tensor::Polar;
use crate::theory::field::{RotationalField, elastic_strength, elastic_wall};
use crate::theory::range::{OutOfRange, elastic_constants, positive, within};
use crate::theory::wall::Wall;

/// An elastic ring, unloaded.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Ring {
    wall: Wall,
    idealisation: Idealisation,
}

/// A ring under internal pressure.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PressurisedRing {
    ring: Ring,
    pressure: f64,
}

/// A solid round tool without plasticity.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SolidTool {
    /// Radius, mm.
    pub radius: f64,
    /// Elastic constants.
    pub elasticity: Elasticity,
}

impl Ring {
    /// A ring from `inner` to `outer` radius, mm; `outer` may be infinite.
    ///
    /// # Errors
    /// [`OutOfRange`] for radii without a wall between them or impossible elastic constants.
    pub fn new(
        inner: f64,
        outer: f64,
        elasticity: Elasticity,
        idealisation: Idealisation,
    ) -> Result<Self, OutOfRange> {
        Ok(Self { wall: Wall::new(inner, outer, elasticity)?, idealisation })
    }

    /// The ring under internal pressure, MPa; a negative one pulls.
    ///
    /// # Errors
    /// [`OutOfRange`] when the pressure is not finite.
    pub fn at_pressure(&self, pressure: f64) -> Result<PressurisedRing, OutOfRange> {
        let pressure = within("pressure", pressure, f64::MIN, f64::MAX)?;
        Ok(PressurisedRing { ring: *self, pressure })
    }

    /// The ring with a tool pressed in whose free radius is larger than that of the
    /// hole by `interference`, mm. Both stay elastic and no friction acts.
    ///
    /// # Errors
    /// [`OutOfRange`] for a negative interference, or a tool that is no solid.
    pub fn with_tool(
        &self,
        tool: &SolidTool,
        interference: f64,
    ) -> Result<PressurisedRing, OutOfRange> {
        let interference = within("interference", interference, 0.0, f64::MAX)?;
        let give = self.bore_displacement(1.0) + tool.shrinkage(1.0, self.idealisation)?;
        self.at_pressure(interference / give)
    }

    fn bore_displacement(&self, pressure: f64) -> f64 {
        PressurisedRing { ring: *self, pressure }.displacement_within(self.wall.inner())
    }
}

impl SolidTool {
    /// How much the radius falls under `pressure` in MPa on the whole
    /// circumference, mm: `(1−ν) p a/E` in plane stress, `(1+ν)(1−2ν) p a/E` in
    /// plane strain.
    ///
    /// # Errors
    /// [`OutOfRange`] for a radius or elastic constants that are no solid.
    pub fn shrinkage(&self, pressure: f64, idealisation: Idealisation) -> Result<f64, OutOfRange> {
        positive("tool radius", self.radius)?;
        elastic_constants(&self.elasticity)?;
        let nu = self.elasticity.poissons_ratio;
        let share = match idealisation {
            Idealisation::PlaneStrain => (1.0 + nu) * (1.0 - 2.0 * nu),
            Idealisation::PlaneStress
            | Idealisation::GeneralisedPlaneStrain
            | Idealisation::Axisymmetric => 1.0 - nu,
        };
        Ok(share * pressure * self.radius / self.elasticity.youngs_modulus)
    }
}

impl PressurisedRing {
    /// Internal pressure, MPa.
    #[must_use]
    pub fn pressure(&self) -> f64 {
        self.pressure
    }

    /// Radial displacement at radius `r`, both mm, outward positive.
    ///
    /// # Errors
    /// [`OutOfRange`] when `r` lies outside the wall.
    pub fn displacement(&self, r: f64) -> Result<f64, OutOfRange> {
        Ok(self.displacement_within(within(
            "radius",
            r,
            self.ring.wall.inner(),
            self.ring.wall.outer(),
        )?))
    }

    fn displacement_within(&self, r: f64) -> f64 {
        let Elasticity { youngs_modulus, poissons_ratio: nu } = self.ring.wall.elasticity();
        let strength = self.strength();
        let (uniform, varying) = (strength / self.ring.wall.outer().powi(2), strength / (r * r));
        let uniform_share = match self.ring.idealisation {
            Idealisation::PlaneStrain => (1.0 + nu) * (1.0 - 2.0 * nu),
            Idealisation::PlaneStress
            | Idealisation::GeneralisedPlaneStrain
            | Idealisation::Axisymmetric => 1.0 - nu,
        };
        r * (uniform_share * uniform + (1.0 + nu) * varying) / youngs_modulus
    }

    fn strength(&self) -> f64 {
        elastic_strength(self.pressure, self.ring.wall.inner(), self.ring.wall.outer())
    }
}

impl RotationalField for PressurisedRing {
    fn inner(&self) -> f64 {
        self.ring.wall.inner()
    }

    fn outer(&self) -> f64 {
        self.ring.wall.outer()
    }

    fn stress_within(&self, r: f64) -> Polar {
        let plane = elastic_wall(self.strength(), self.ring.wall.outer(), r);
        let axial = match self.ring.idealisation {
            Idealisation::PlaneStrain => {
                self.ring.wall.elasticity().poissons_ratio * (plane.radial + plane.hoop)
            }
            Idealisation::PlaneStress
            | Idealisation::GeneralisedPlaneStrain
            | Idealisation::Axisymmetric => 0.0,
        };
        Polar { axial, ..plane }
    }
}

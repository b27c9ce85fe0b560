//! A round hole in an infinite elastic plate pulled along any direction, or along two.
//!
//! ```text
//!   ρ = a/r, θ from the first direction, m = (S₁+S₂)/2, t = (S₁−S₂)/2
//!   σr = m(1 − ρ²) + t(1 − 4ρ² + 3ρ⁴) cos 2θ
//!   σθ = m(1 + ρ²) − t(1 + 3ρ⁴) cos 2θ
//!   τ  =           − t(1 + 2ρ² − 3ρ⁴) sin 2θ
//!   2G u_r =  m[(κ−1)r/2 + a²/r] + t[r + (κ+1)a²/r − a⁴/r³] cos 2θ
//!   2G u_θ =                     − t[r + (κ−1)a²/r + a⁴/r³] sin 2θ
//! ```
//!
//! with `κ = (3−ν)/(1+ν)` in plane stress and `3 − 4ν` in plane strain.
//!
//! Takes as given: elastic, isotropic, small strains, an infinite plate, a hole free of load. Valid
//! while nothing yields: up to a pull of a third of the yield stress.
//!
//! ```
//! use std::f64::consts::FRAC_PI_2;
//! use hoopset_engine::theory::plate_hole::PlateHole;
//!
//! let plate = PlateHole::uniaxial(3.0, 100.0, FRAC_PI_2)?; // pulled along y, MPa
//! // Three times the pull across it, minus the pull on its axis.
//! assert!((plate.polar([3.0, 0.0])?.hoop - 300.0).abs() < 1e-9);
//! assert!((plate.polar([0.0, 3.0])?.hoop + 100.0).abs() < 1e-9);
//! # Ok::<(), hoopset_engine::theory::range::OutOfRange>(())
//! ```
//!
//! Source: G. Kirsch, Z. VDI 42 (1898) (derived; hoop at the edge `σ(1 − 2 cos 2θ)`).
//!
//! Trap: on the edge a single pull gives 3S across the load *and −S on its axis*.
//! For a strip of finite width see [`crate::theory::strip_hole`].

use crate::material::elasticity::Elasticity;
use crate::material::idealisation::Idealisation;
use crate::tensor::{Polar, Stress};
use crate::theory::range::{OutOfRange, elastic_constants, positive, within};

/// A plate with a hole under remote stress.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PlateHole {
    radius: f64,
    mean: f64,
    half_difference: f64,
    direction: f64,
}

impl PlateHole {
    /// A hole of `radius` mm, centred on the origin, in a plate pulled by `stress` in
    /// MPa along `direction`, radians from +x.
    ///
    /// # Errors
    /// [`OutOfRange`] when the radius is not positive.
    pub fn uniaxial(radius: f64, stress: f64, direction: f64) -> Result<Self, OutOfRange> {
        Self::biaxial(radius, [stress, 0.0], direction)
    }

    /// The same plate under two remote stresses, the first along `direction`, the
    /// second across it, MPa.
    ///
    /// # Errors
    /// [`OutOfRange`] when the radius is not positive.
    pub fn biaxial(radius: f64, stress: [f64; 2], direction: f64) -> Result<Self, OutOfRange> {
        let radius = positive("radius", radius)?;
        let [along, across] = stress;
        Ok(Self {
            radius,
            mean: 0.5 * (along + across),
            half_difference: 0.5 * (along - across),
            direction,
        })
    }

    /// Stress at `(x, y)` in mm, polar about the hole, MPa, tension positive; the axial
    /// one is left at zero (in plane strain it is ν times the sum of the others).
    ///
    /// # Errors
    /// [`OutOfRange`] inside the hole.
    pub fn polar(&self, at: [f64; 2]) -> Result<Polar, OutOfRange> {
        let (r, angle) = self.place(at)?;
        let ratio = (self.radius / r).powi(2);
        let (sin, cos) = (2.0 * angle).sin_cos();
        let (m, t) = (self.mean, self.half_difference);
        Ok(Polar {
            radial: m * (1.0 - ratio) + t * (1.0 - 4.0 * ratio + 3.0 * ratio * ratio) * cos,
            hoop: m * (1.0 + ratio) - t * (1.0 + 3.0 * ratio * ratio) * cos,
            axial: 0.0,
            shear: -t * (1.0 + 2.0 * ratio - 3.0 * ratio * ratio) * sin,
        })
    }

    /// The same stress along x and y.
    ///
    /// # Errors
    /// [`OutOfRange`] inside the hole.
    pub fn stress(&self, at: [f64; 2]) -> Result<Stress, OutOfRange> {
        Ok(self.polar(at)?.cartesian(at[1].atan2(at[0])))
    }

    /// Displacement `[ux, uy]` at `(x, y)`, mm, with the centre of the hole at rest.
    ///
    /// In generalised plane strain the axial strain is that of the remote stress,
    /// `−ν(S₁+S₂)/E`, everywhere: the hole takes no share of an infinite plate.
    ///
    /// # Errors
    /// [`OutOfRange`] inside the hole or for impossible elastic constants.
    pub fn displacement(
        &self,
        at: [f64; 2],
        elasticity: &Elasticity,
        idealisation: Idealisation,
    ) -> Result<[f64; 2], OutOfRange> {
        elastic_constants(elasticity)?;
        let (r, angle) = self.place(at)?;
        let nu = elasticity.poissons_ratio;
        let kappa = match idealisation {
            Idealisation::PlaneStress => (3.0 - nu) / (1.0 + nu),
            Idealisation::PlaneStrain
            | Idealisation::GeneralisedPlaneStrain
            | Idealisation::Axisymmetric => 3.0 - 4.0 * nu,
        };
        let (near, nearer) = (self.radius.powi(2) / r, self.radius.powi(4) / r.powi(3));
        let (m, t) = (self.mean, self.half_difference);
        let (sin, cos) = (2.0 * angle).sin_cos();
        let double = 2.0 * elasticity.shear_modulus();
        let axial_strain = match idealisation {
            Idealisation::GeneralisedPlaneStrain | Idealisation::Axisymmetric => {
                -nu * 2.0 * m / elasticity.youngs_modulus
            }
            Idealisation::PlaneStress | Idealisation::PlaneStrain => 0.0,
        };
        let radial = m * (0.5 * (kappa - 1.0) * r + near)
            + t * (r + (kappa + 1.0) * near - nearer) * cos
            - double * nu * axial_strain * r;
        let around = -t * (r + (kappa - 1.0) * near + nearer) * sin;
        let (sin, cos) = at[1].atan2(at[0]).sin_cos();
        Ok([(radial * cos - around * sin) / double, (radial * sin + around * cos) / double])
    }

    /// Radius and angle from the first direction.
    fn place(&self, [x, y]: [f64; 2]) -> Result<(f64, f64), OutOfRange> {
        let r = within("radius", x.hypot(y), self.radius, f64::MAX)?;
        Ok((r, y.atan2(x) - self.direction))
    }
}

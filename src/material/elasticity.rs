//! Isotropic linear elasticity.
//!
//! Strains carry engineering shear: `(εxx, εyy, εzz, γxy)`.
//!
//! Floor 1, `material`.

use nalgebra::Matrix4;
use serde::{Deserialize, Serialize};

/// Elastic constants of an isotropic metal.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct Elasticity {
    /// Young's modulus, MPa.
    pub youngs_modulus: f64,
    /// Poisson's ratio, dimensionless.
    pub poissons_ratio: f64,
}

impl Elasticity {
    /// Shear modulus `G = E / 2(1+ν)`, MPa.
    #[must_use]
    pub fn shear_modulus(&self) -> f64 {
        self.youngs_modulus / (2.0 * (1.0 + self.poissons_ratio))
    }

    /// Bulk modulus `K = E / 3(1−2ν)`, MPa.
    #[must_use]
    pub fn bulk_modulus(&self) -> f64 {
        self.youngs_modulus / (3.0 * (1.0 - 2.0 * self.poissons_ratio))
    }

    /// Stiffness from `(εxx, εyy, εzz, γxy)` to `(σxx, σyy, σzz, σxy)`, MPa, shape `(4, 4)`.
    #[must_use]
    pub fn stiffness(&self) -> Matrix4<f64> {
        let shear = self.shear_modulus();
        let lame = self.bulk_modulus() - 2.0 / 3.0 * shear;
        let direct = lame + 2.0 * shear;
        Matrix4::new(
            direct, lame, lame, 0.0, //
            lame, direct, lame, 0.0, //
            lame, lame, direct, 0.0, //
            0.0, 0.0, 0.0, shear,
        )
    }

    /// Stiffness with `σzz = 0`, shape `(4, 4)`; row and column zz are zero.
    #[must_use]
    pub fn plane_stress_stiffness(&self) -> Matrix4<f64> {
        let nu = self.poissons_ratio;
        let direct = self.youngs_modulus / (1.0 - nu * nu);
        Matrix4::new(
            direct,
            nu * direct,
            0.0,
            0.0, //
            nu * direct,
            direct,
            0.0,
            0.0, //
            0.0,
            0.0,
            0.0,
            0.0, //
            0.0,
            0.0,
            0.0,
            self.shear_modulus(),
        )
    }
}

//! Isotropic linear elasticity.
//!
//! Strains carry engineering shear: `(εxx, εyy, εzz, γxy)`.

use nalgebra::{Matrix4, Vector4};
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
    pub(crate) fn bulk_modulus(&self) -> f64 {
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

    /// Total strain `(εxx, εyy, εzz, γxy)` of a stress `(σxx, σyy, σzz, σxy)` in MPa and a plastic
    /// strain, by Hooke's law in three dimensions.
    #[must_use]
    pub(crate) fn total_strain(&self, stress: Vector4<f64>, plastic: Vector4<f64>) -> Vector4<f64> {
        let (young, nu) = (self.youngs_modulus, self.poissons_ratio);
        let sum = stress[0] + stress[1] + stress[2];
        let direct = |k: usize| ((1.0 + nu) * stress[k] - nu * sum) / young;
        let shear = stress[3] / self.shear_modulus();
        plastic + Vector4::new(direct(0), direct(1), direct(2), shear)
    }
}

#[cfg(test)]
mod tests {
    use approx::assert_relative_eq;

    use super::*;

    #[test]
    fn strain_is_what_the_stiffness_turns_back_into_the_stress() {
        let elasticity = Elasticity { youngs_modulus: 72_000.0, poissons_ratio: 0.33 };
        let stress = Vector4::new(120.0, -40.0, 15.0, 33.0);
        let plastic = Vector4::new(1e-3, -4e-4, -6e-4, 2e-4);
        let strain = elasticity.total_strain(stress, plastic);
        let back = elasticity.stiffness() * (strain - plastic);
        assert_relative_eq!(back, stress, max_relative = 1e-12);
    }

    #[test]
    fn a_pull_strains_across_itself_by_the_ratio_of_poisson() {
        let elasticity = Elasticity { youngs_modulus: 72_000.0, poissons_ratio: 0.33 };
        let pull = Vector4::new(0.0, 72.0, 0.0, 0.0);
        let strain = elasticity.total_strain(pull, Vector4::zeros());
        assert_relative_eq!(strain[1], 1e-3, max_relative = 1e-12);
        assert_relative_eq!(strain[0], -0.33e-3, max_relative = 1e-12);
        assert_relative_eq!(strain[2], strain[0]);
    }
}

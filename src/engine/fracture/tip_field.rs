//! Stress and displacement round the tip of a crack that opens (mode I) with unit intensity.
//!
//! The crack lies on the negative X axis of a frame at its tip, so θ = π on its upper face:
//!
//! ```text
//! σXX, σYY = (2πr)^−½ cos ½θ (1 ∓ sin ½θ sin 3θ/2)     σXY = (2πr)^−½ cos ½θ sin ½θ cos 3θ/2
//! uX = (r/2π)^½ cos ½θ (κ − cos θ)/2μ                   uY = (r/2π)^½ sin ½θ (κ − cos θ)/2μ
//! ```
//!
//! κ = (3 − ν)/(1 + ν) in plane stress, 3 − 4ν in plane strain.
//!
//! Source: M. L. Williams, J. Appl. Mech. 24 (1957) 109–114 (from memory; `tests/fracture` holds
//! the gradients against differences and the strains against Hooke's law).

use std::f64::consts::TAU;

use crate::material::elasticity::Elasticity;
use crate::material::idealisation::Idealisation;

/// The elastic constants that the field needs.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct TipField {
    shear_modulus: f64,
    kappa: f64,
    /// `E'`: E in plane stress, E/(1 − ν²) otherwise, MPa.
    pub effective_modulus: f64,
    /// Compliances: of a direct strain to its own stress and to the other one, 1/MPa.
    compliance: [f64; 2],
}

/// The field at one place, for K = 1 MPa√mm.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct TipValues {
    /// Stress `[XX, YY, XY]`, MPa.
    pub stress: [f64; 3],
    /// Strain `[XX, YY, XY]`, tensor shear.
    pub strain: [f64; 3],
    /// Derivatives by X of the displacements `[X, Y]`.
    pub slope: [f64; 2],
}

impl TipField {
    /// The field in a metal. Uniform strain through the thickness counts as plane strain: what a
    /// crack adds to it is nothing near the tip.
    #[must_use]
    pub fn new(elasticity: Elasticity, idealisation: Idealisation) -> Self {
        let Elasticity { youngs_modulus: e, poissons_ratio: nu } = elasticity;
        let shear_modulus = 0.5 * e / (1.0 + nu);
        match idealisation {
            Idealisation::PlaneStress => Self {
                shear_modulus,
                kappa: (3.0 - nu) / (1.0 + nu),
                effective_modulus: e,
                compliance: [1.0 / e, -nu / e],
            },
            Idealisation::PlaneStrain
            | Idealisation::GeneralisedPlaneStrain
            | Idealisation::Axisymmetric => Self {
                shear_modulus,
                kappa: 3.0 - 4.0 * nu,
                effective_modulus: e / (1.0 - nu * nu),
                compliance: [(1.0 - nu * nu) / e, -nu * (1.0 + nu) / e],
            },
        }
    }

    /// The field at `[X, Y]` from the tip, mm; not at the tip itself.
    #[must_use]
    pub fn at(&self, [x, y]: [f64; 2]) -> TipValues {
        let (r, theta) = (x.hypot(y), y.atan2(x));
        let (sin, cos) = theta.sin_cos();
        let (half_sin, half_cos) = (0.5 * theta).sin_cos();
        let (three_sin, three_cos) = (1.5 * theta).sin_cos();
        let size = (TAU * r).sqrt().recip();
        let xx = size * half_cos * (1.0 - half_sin * three_sin);
        let yy = size * half_cos * (1.0 + half_sin * three_sin);
        let xy = size * half_cos * half_sin * three_cos;
        let [own, other] = self.compliance;
        // u = √r g(θ)·c, so ∂u/∂X = c (cos θ g/2 − sin θ g')/√r.
        let scale = (2.0 * self.shear_modulus).recip() * size;
        let shape = self.kappa - cos;
        let (gx, gy) = (half_cos * shape, half_sin * shape);
        let gx_slope = -0.5 * half_sin * shape + half_cos * sin;
        let gy_slope = 0.5 * half_cos * shape + half_sin * sin;
        TipValues {
            stress: [xx, yy, xy],
            strain: [own * xx + other * yy, other * xx + own * yy, xy / (2.0 * self.shear_modulus)],
            slope: [
                scale * (0.5 * cos * gx - sin * gx_slope),
                scale * (0.5 * cos * gy - sin * gy_slope),
            ],
        }
    }

    /// `−∂uY/∂X · √r` on the upper face, √mm/MPa·MPa: how steeply the faces part behind the tip.
    #[must_use]
    pub(crate) fn face_slope(&self) -> f64 {
        (self.kappa + 1.0) / (4.0 * self.shear_modulus * TAU.sqrt())
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;

    /// Displacement `[X, Y]` from the formulas of the head.
    fn displacement(field: &TipField, [x, y]: [f64; 2]) -> [f64; 2] {
        let (r, theta) = (x.hypot(y), y.atan2(x));
        let size = (r / TAU).sqrt() * (field.kappa - theta.cos()) / (2.0 * field.shear_modulus);
        [size * (0.5 * theta).cos(), size * (0.5 * theta).sin()]
    }

    #[test]
    fn strains_are_the_derivatives_of_the_displacements() {
        let elasticity = Elasticity { youngs_modulus: 72_000.0, poissons_ratio: 0.33 };
        for idealisation in [Idealisation::PlaneStress, Idealisation::PlaneStrain] {
            let field = TipField::new(elasticity, idealisation);
            for at in [[0.3, 0.4], [-0.5, 0.2], [0.1, 0.9]] {
                let step = 1e-5;
                let slope = |axis: usize, of: usize| {
                    let mut ends = [at, at];
                    ends[0][axis] += step;
                    ends[1][axis] -= step;
                    let [up, down] = ends.map(|end| displacement(&field, end)[of]);
                    (up - down) / (2.0 * step)
                };
                let values = field.at(at);
                assert_relative_eq!(values.slope[0], slope(0, 0), max_relative = 1e-7);
                assert_relative_eq!(values.slope[1], slope(0, 1), max_relative = 1e-7);
                assert_relative_eq!(values.strain[0], slope(0, 0), max_relative = 1e-7);
                assert_relative_eq!(values.strain[1], slope(1, 1), max_relative = 1e-7);
                let shear = 0.5 * (slope(0, 1) + slope(1, 0));
                assert_relative_eq!(values.strain[2], shear, max_relative = 1e-7);
            }
            // On the upper face the opening falls off towards the tip.
            let face = field.at([-0.25, 1e-12]);
            assert_relative_eq!(-face.slope[1] * 0.5, field.face_slope(), max_relative = 1e-9);
            assert!(face.stress[1].abs() < 1e-9, "the face is bare");
        }
    }
}

//! Modes of in-plane stress: sum, difference and shear, which diagonalise elastic law and yield condition.

use crate::material::lanes::{Four, all};
use nalgebra::{Matrix3, Matrix4, Vector3, Vector4};
use simba::simd::SimdComplexField;
use std::f64::consts::FRAC_1_SQRT_2;

/// Of four points: sum, difference and shear.
pub(crate) type Modes = Vector3<Four>;

pub(crate) const NO_MODES: Modes = Vector3::new(Four::ZERO, Four::ZERO, Four::ZERO);

/// Eigenvalues of the projector `P` for sum, difference and (engineering) shear.
pub(crate) const PROJECTOR: [f64; 3] = [1.0 / 3.0, 1.0, 2.0];

/// `(xx, yy, xy)` to `(sum, difference, shear)`.
pub(crate) fn to_modes(xx: Four, yy: Four, xy: Four) -> Modes {
    let h = all(FRAC_1_SQRT_2);
    Vector3::new(h * (xx + yy), h * (yy - xx), xy)
}

/// `(sum, difference, shear)` to `(xx, yy, xy)`.
pub(crate) fn from_modes(modes: &Modes) -> Modes {
    let h = all(FRAC_1_SQRT_2);
    Vector3::new(h * (modes[0] - modes[1]), h * (modes[0] + modes[1]), modes[2])
}

/// In-plane stand-in, in modes, of a deviatoric backstress.
pub(crate) fn back_modes(back: &Vector4<Four>) -> Modes {
    to_modes(back[0] - back[2], back[1] - back[2], back[3])
}

/// `ξᵀPη` in modes.
pub(crate) fn projected(xi: &Modes, eta: &Modes) -> Four {
    let [a, b, c] = [0, 1, 2].map(|i| all(PROJECTOR[i]) * xi[i] * eta[i]);
    a + b + c
}

/// Equivalent of a relative stress in modes.
pub(crate) fn equivalent(xi: &Modes) -> Four {
    (all(1.5) * projected(xi, xi)).simd_sqrt()
}

/// Deviator `(xx, yy, zz, xy)` of an in-plane stress in modes.
pub(crate) fn deviator(modes: &Modes) -> Vector4<Four> {
    let in_plane = from_modes(modes);
    let mean = (in_plane[0] + in_plane[1]) * all(1.0 / 3.0);
    Vector4::new(in_plane[0] - mean, in_plane[1] - mean, -mean, in_plane[2])
}

/// `T D Tᵀ` with the modes' transformation `T`, spread over `(xx, yy, zz, xy)`.
pub(crate) fn tangent_from_modes(modes: &Matrix3<f64>) -> Matrix4<f64> {
    let h = FRAC_1_SQRT_2;
    let turn = Matrix3::new(h, -h, 0.0, h, h, 0.0, 0.0, 0.0, 1.0);
    let plane = turn * modes * turn.transpose();
    let mut tangent = Matrix4::zeros();
    for (row, to_row) in [0, 1, 3].into_iter().enumerate() {
        for (column, to_column) in [0, 1, 3].into_iter().enumerate() {
            tangent[(to_row, to_column)] = plane[(row, column)];
        }
    }
    tangent
}

//! Logarithmic strain of a deformation, and stress and tangent that belong to it.
//!
//! The third direction is principal in every two-dimensional idealisation, so only the plane has a
//! tensor to take the logarithm of. With `C = FᵀF` of the plane split into
//!
//! ```text
//! m = (C₁₁ + C₂₂)/2    d = (C₁₁ − C₂₂)/2    c = C₁₂    q = d² + c²    Δ = det C = m² − q
//! ```
//!
//! the logarithmic strain `E = ½ ln C` has
//!
//! ```text
//! (E₁₁ + E₂₂)/2 = ¼ ln Δ    (E₁₁ − E₂₂)/2 = ½ G d    E₁₂ = ½ G c    G = artanh(√q/m)/√q
//! ```
//!
//! G and its derivatives are smooth in `m` and `q`, so equal stretches (`q = 0`) are a point like
//! any other: there are no principal directions to lose. From the stress `T` that does work on `E`
//! per drawn volume follow the nominal stress `P = T : ∂E/∂F`, the Cauchy stress `P Fᵀ/J` and the
//! nominal tangent `∂P/∂F`, all exact.
//!
//! With `E` for the strain, the return maps serve as they are: plastic strain is subtracted from
//! it, and its trace is the logarithm of the change in volume. For metals, whose elastic strains are
//! small, this is the same as the multiplicative split to the order of the elastic strain; it is
//! frame-indifferent, and needs no rate.
//!
//! Source: C. Miehe, N. Apel and M. Lambrecht, Comput. Methods Appl. Mech. Engng 191 (2002)
//! 5383–5425, for plasticity in logarithmic strain (from memory); the formulas in m, d, c are
//! derived here and held against differences.

use nalgebra::{Matrix3, Matrix4, SMatrix, Vector3, Vector4};
use simba::simd::{SimdBool, SimdPartialOrd, SimdValue};

use crate::material::lanes::{Four, LANES, all, apart, has, of_each};

/// Displacement gradient `(∂u/∂X, ∂u/∂Y, ∂v/∂X, ∂v/∂Y)`, then the stretch of the third direction
/// less one.
pub type Gradient = [f64; 5];

/// Nominal stress, force per drawn area, in the order of [`Gradient`]: of every force component
/// (x, x, y, y, third) on the faces whose drawn normals are (X, Y, X, Y, third), MPa.
pub type Nominal = [f64; 5];

/// Derivative of [`Nominal`] by [`Gradient`], MPa.
pub type Moduli = SMatrix<f64, 5, 5>;

/// Up to this square `artanh(x)/x` is summed as a series: principal strains apart by up to 0.2.
const SERIES: f64 = 0.04;

/// Terms of the series: the first left out is below a rounding.
const TERMS: usize = 13;

/// `artanh(√y)/√y` and its derivative, for `0 ≤ y < 1`.
fn hyperbolic(y: Four) -> (Four, Four) {
    let (mut sum, mut slope) = (Four::ZERO, Four::ZERO);
    for k in (0..TERMS).rev() {
        // Horner's scheme, of the series and of its derivative together.
        slope = slope * y + sum;
        sum = sum * y + all(1.0 / (2 * k + 1) as f64);
    }
    let far = y.simd_gt(all(SERIES));
    if far.bitmask() != 0 {
        for k in (0..LANES).filter(|&k| has(far, k)) {
            let [value, first, _] = hyperbolic_of(y.extract(k));
            sum.replace(k, value);
            slope.replace(k, first);
        }
    }
    (sum, slope)
}

/// `artanh(√y)/√y` with its first two derivatives.
fn hyperbolic_of(y: f64) -> [f64; 3] {
    if y <= SERIES {
        let (mut sum, mut first, mut second) = (0.0, 0.0, 0.0);
        for k in (0..TERMS + 2).rev() {
            second = second * y + 2.0 * first;
            first = first * y + sum;
            sum = sum * y + 1.0 / (2 * k + 1) as f64;
        }
        return [sum, first, second];
    }
    let x = y.sqrt();
    let value = x.atanh() / x;
    let rest = 1.0 - y;
    let first = (1.0 / rest - value) / (2.0 * y);
    [value, first, (1.0 / (rest * rest) - 3.0 * first) / (2.0 * y)]
}

/// `½ ln(1 + x)` of every point.
fn half_log(x: Four) -> Four {
    let z = x / (all(2.0) + x);
    z * hyperbolic(z * z).0
}

/// Deformation of up to four points.
#[derive(Clone, Copy, Debug)]
pub struct Deformation {
    /// Deformation gradient `(xX, xY, yX, yY)`.
    f: [Four; 4],
    /// Stretch of the third direction.
    third: Four,
    d: Four,
    c: Four,
    m: Four,
    /// `det C` of the plane, and the change of its area.
    delta: Four,
    area: Four,
    /// G and its derivative by q.
    g: Four,
    k: Four,
}

impl Deformation {
    /// Deformation of points with these gradients, and their logarithmic strains
    /// `(E₁₁, E₂₂, E₃₃, 2E₁₂)`; `axial` is a uniform logarithmic strain in the third direction,
    /// besides that of the gradients.
    #[must_use]
    pub fn of<const P: usize>(gradients: &[Gradient; P], axial: f64) -> (Self, [Vector4<f64>; P]) {
        let [xx, xy, yx, yy, third] = [0, 1, 2, 3, 4].map(|i| of_each(P, |k| gradients[k][i]));
        let (half, one) = (all(0.5), Four::ONE);
        let trace = xx + yy;
        // C − 1, written so that small gradients keep their digits.
        let (left, right) = (xx * xx + yx * yx, xy * xy + yy * yy);
        let m = one + trace + half * (left + right);
        let d = xx - yy + half * (left - right);
        let c = xy + yx + xx * xy + yx * yy;
        let grown = trace + xx * yy - xy * yx;
        let area = one + grown;
        let over = one / m;
        let (g, slope) = hyperbolic((d * d + c * c) * over * over);
        let g = g * over;
        let mean = half_log(grown);
        let of_third = half_log(third);
        let deformation = Self {
            f: [one + xx, xy, yx, one + yy],
            third: one + third,
            d,
            c,
            m,
            delta: area * area,
            area,
            g,
            k: slope * over * over * over,
        };
        let apart_by = half * g * d;
        let strains = apart(&Vector4::new(
            mean + apart_by,
            mean - apart_by,
            of_third + of_third + all(axial),
            g * c,
        ));
        (deformation, std::array::from_fn(|k| strains[k]))
    }

    /// Derivative of the work by `(m, d, c)` under the stress `T`.
    fn drive(&self, stress: &Vector4<Four>) -> [Four; 3] {
        let half = all(0.5);
        let mean = half * (stress[0] + stress[1]);
        let difference = half * (stress[0] - stress[1]);
        let shear = stress[3];
        let (over, turned) = (Four::ONE / self.delta, difference * self.d + shear * self.c);
        let bent = all(2.0) * self.k * turned - mean * over;
        [
            (mean * self.m - turned) * over,
            self.g * difference + bent * self.d,
            self.g * shear + bent * self.c,
        ]
    }

    /// Nominal stresses of the points whose stresses `(T₁₁, T₂₂, T₃₃, T₁₂)` do work on the
    /// logarithmic strain, MPa per drawn volume.
    #[must_use]
    pub fn nominal<const P: usize>(&self, stresses: &[Vector4<f64>]) -> [Nominal; P] {
        let stress = crate::material::lanes::vectors(P, |k| stresses[k]);
        let [pm, pd, pc] = self.drive(&stress);
        let [xx, xy, yx, yy] = self.f;
        let (first, second) = (pm + pd, pm - pd);
        let parts = [
            first * xx + pc * xy,
            second * xy + pc * xx,
            first * yx + pc * yy,
            second * yy + pc * yx,
            stress[2] / self.third,
        ]
        .map(<[f64; LANES]>::from);
        std::array::from_fn(|k| parts.map(|part| part[k]))
    }

    /// Cauchy stresses `(xx, yy, zz, xy)` of the points, MPa; `third` are their logarithmic strains
    /// in the third direction.
    #[must_use]
    pub fn cauchy<const P: usize>(
        &self,
        stresses: &[Vector4<f64>],
        third: [f64; P],
    ) -> [Vector4<f64>; P] {
        let nominal = self.nominal::<P>(stresses);
        let [xx, xy, yx, yy, area] =
            [self.f[0], self.f[1], self.f[2], self.f[3], self.area].map(<[f64; LANES]>::from);
        std::array::from_fn(|k| {
            let volume = area[k] * third[k].exp();
            let p = nominal[k];
            Vector4::new(
                p[0] * xx[k] + p[1] * xy[k],
                p[2] * yx[k] + p[3] * yy[k],
                stresses[k][2],
                0.5 * (p[0] * yx[k] + p[1] * yy[k] + p[2] * xx[k] + p[3] * xy[k]),
            ) / volume
        })
    }

    /// Derivative of the nominal stress by the gradient at one of the points, and its derivative by
    /// a uniform logarithmic strain in the third direction (the first four) with that of T₃₃ (the
    /// last); `stress` as in [`Self::nominal`], `tangent` is `∂T/∂E` with engineering shear, of
    /// which the symmetric half is taken.
    #[must_use]
    pub fn moduli(
        &self,
        point: usize,
        stress: &Vector4<f64>,
        tangent: &Matrix4<f64>,
    ) -> (Moduli, [f64; 5]) {
        let [m, d, c, delta, g, k, third] =
            [self.m, self.d, self.c, self.delta, self.g, self.k, self.third]
                .map(|part| part.extract(point));
        let f = self.f.map(|part| part.extract(point));
        let y = (d * d + c * c) / (m * m);
        let l = hyperbolic_of(y)[2] / m.powi(5);
        let over = 1.0 / delta;
        // First derivatives of the mean, the half difference and the shear of E by (m, d, c).
        let first = Matrix3::new(
            0.5 * m * over,
            -0.5 * d * over,
            -0.5 * c * over,
            -0.5 * d * over,
            0.5 * g + k * d * d,
            k * d * c,
            -0.5 * c * over,
            k * d * c,
            0.5 * g + k * c * c,
        );
        // Their second derivatives times the stresses that do work on them.
        let (mean, difference, shear) =
            (stress[0] + stress[1], stress[0] - stress[1], 2.0 * stress[3]);
        let squared = over * over;
        let turned = difference * d + shear * c;
        let of_area = Vector3::new(2.0 * m, -2.0 * d, -2.0 * c);
        let mut second = Matrix3::from_diagonal(&Vector3::new(1.0, -1.0, -1.0))
            * (0.5 * over * mean)
            - of_area * of_area.transpose() * (0.25 * squared * mean);
        second[(0, 0)] += turned * m * squared;
        let along = |part: f64, of: f64| -0.5 * over * part - of * turned * squared;
        let (by_d, by_c) = (along(difference, d), along(shear, c));
        let (dd, cc) = (
            k * (turned + 2.0 * difference * d) + 2.0 * l * d * d * turned,
            k * (turned + 2.0 * shear * c) + 2.0 * l * c * c * turned,
        );
        let dc = k * (difference * c + shear * d) + 2.0 * l * d * c * turned;
        second += Matrix3::new(0.0, by_d, by_c, by_d, dd, dc, by_c, dc, cc);
        let sym = |i: usize, j: usize| 0.5 * (tangent[(i, j)] + tangent[(j, i)]);
        let metal = in_plane(sym);
        let whole = first * metal * first + second;
        // (m, d, c) by the gradient.
        let rows = SMatrix::<f64, 3, 4>::new(
            f[0], f[1], f[2], f[3], //
            f[0], -f[1], f[2], -f[3], //
            f[1], f[0], f[3], f[2],
        );
        let drive = first * Vector3::new(mean, difference, shear);
        let mut plane = rows.transpose() * whole * rows;
        for i in 0..4 {
            let sign = if i % 2 == 0 { 1.0 } else { -1.0 };
            plane[(i, i)] += drive[0] + sign * drive[1];
        }
        for (i, j) in [(0, 1), (2, 3)] {
            plane[(i, j)] += drive[2];
            plane[(j, i)] += drive[2];
        }
        let (z0, z1, z2, z3) = (sym(0, 2), sym(1, 2), sym(2, 2), sym(2, 3));
        let across = rows.transpose() * (first * Vector3::new(z0 + z1, z0 - z1, 2.0 * z3));
        let mut moduli = Moduli::zeros();
        moduli.fixed_view_mut::<4, 4>(0, 0).copy_from(&plane);
        for i in 0..4 {
            moduli[(i, 4)] = across[i] / third;
            moduli[(4, i)] = across[i] / third;
        }
        moduli[(4, 4)] = (z2 - stress[2]) / (third * third);
        (moduli, [across[0], across[1], across[2], across[3], z2])
    }
}

/// Tangent of a metal by mean, half difference and shear, from its symmetric half.
fn in_plane(sym: impl Fn(usize, usize) -> f64) -> Matrix3<f64> {
    let (t00, t01, t11) = (sym(0, 0), sym(0, 1), sym(1, 1));
    let (t03, t13, t33) = (sym(0, 3), sym(1, 3), sym(3, 3));
    Matrix3::new(
        t00 + 2.0 * t01 + t11,
        t00 - t11,
        2.0 * (t03 + t13),
        t00 - t11,
        t00 - 2.0 * t01 + t11,
        2.0 * (t03 - t13),
        2.0 * (t03 + t13),
        2.0 * (t03 - t13),
        4.0 * t33,
    )
}

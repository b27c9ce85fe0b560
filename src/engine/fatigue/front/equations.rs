//! Published stress-intensity equations of part-elliptical cracks under remote tension.
//!
//! ```text
//!   K = S √(πa/Q) · F(a/c, a/t, c/r, c/b, φ)
//!   Q = 1 + 1.464 (a/c)^1.65  (a/c ≤ 1),   1 + 1.464 (c/a)^1.65  (a/c > 1)
//! ```
//!
//! `a` lies in the thickness direction and `c` along the face, `r` is the radius of the hole, `t` the
//! thickness, `b` half the width. For cracks in the middle of a bore `a` and `t` are *half* the length
//! in the bore and half the thickness. The equations fit finite elements for `0.2 ≤ a/c ≤ 2`, `a/t < 1`,
//! `0.5 ≤ r/t ≤ 2`, `(r + c)/b < 0.5`, to within 5 % by their authors (limits from memory); held against
//! later solutions they are 1 to 10 % low for corner cracks at holes.
//!
//! Source: J. C. Newman, I. S. Raju, NASA TM-83200 (1981) and TM-85793 (1984), also in S. N. Atluri (ed.),
//! Computational Methods in the Mechanics of Fracture (1986), ch. 9: equations from memory, confirmed
//! term by term against a lecture transcription. One crack from two: R. C. Shah, ASTM STP 590 (1976), from
//! memory.

use std::f64::consts::{FRAC_PI_2, PI};

use serde::{Deserialize, Serialize};

use crate::fatigue::crack::CrackSides;

/// Where a part-elliptical crack lies.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Site {
    /// A quarter ellipse at the corner of a hole, one or two on opposite sides.
    HoleCorner(CrackSides),
    /// A half ellipse in the middle of the bore; `a` and `t` are halves.
    Bore(CrackSides),
    /// A half ellipse in the face of a plate without a hole.
    Face,
    /// A quarter ellipse at the corner of the plate edge; `b` is the full width.
    EdgeCorner,
}

/// The plate about the crack, mm.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Surroundings {
    /// Radius of the hole.
    pub radius: f64,
    /// Thickness; half of it for cracks in the middle of a bore.
    pub thickness: f64,
    /// Half the width, the whole width for a crack at the plate edge; infinite for a wide plate.
    pub width: f64,
}

/// Largest and least `a/c` that the equations were fitted for.
pub(crate) const ASPECTS: [f64; 2] = [0.2, 2.0];
/// Largest and least `r/t` likewise.
pub const RADII: [f64; 2] = [0.5, 2.0];

/// `Q` of an aspect `a/c`, the square of the complete elliptic integral of the second kind.
#[must_use]
pub fn shape_factor(aspect: f64) -> f64 {
    1.0 + 1.464 * aspect.min(aspect.recip()).powf(1.65)
}

/// `F` at the parametric angle `degrees` of a crack `a` by `c`, mm.
#[must_use]
pub fn boundary_factor(site: Site, [a, c]: [f64; 2], plate: &Surroundings, degrees: f64) -> f64 {
    let size = Size { x: a / c, depth: a / plate.thickness, phi: degrees.to_radians() };
    match site {
        Site::Face => {
            let fw = secant(FRAC_PI_2 * c / plate.width * size.depth.sqrt()).sqrt();
            size.polynomial(size.face_terms()) * size.face_rise() * size.ellipse() * fw
        }
        Site::HoleCorner(sides) => {
            let lambda = (1.0 + c / plate.radius * (0.85 * size.phi).cos()).recip();
            let two = size.polynomial(size.face_terms())
                * size.face_rise()
                * hole_stress(lambda, 0.13)
                * size.corner_fit()
                * size.ellipse();
            two * one_of_two(sides, [a, c], plate) * hole_width(sides, size.depth, c, plate)
        }
        Site::Bore(sides) => {
            let lambda = (1.0 + c / plate.radius * (0.9 * size.phi).cos()).recip();
            let two = size.polynomial(size.bore_terms())
                * size.bore_fit()
                * hole_stress(lambda, 0.08)
                * size.ellipse();
            two * one_of_two(sides, [a, c], plate) * hole_width(sides, size.depth, c, plate)
        }
        Site::EdgeCorner => {
            let l = c / plate.width * size.depth.sqrt();
            let fw = 1.0 + l * (-0.2 + l * (9.4 + l * (-19.4 + l * 27.1)));
            size.polynomial(size.edge_terms())
                * size.edge_rise(c / plate.thickness)
                * size.ellipse()
                * fw
        }
    }
}

/// Stress intensity of unit remote tension, MPa√mm per MPa, of a crack `a` by `c`, mm.
#[must_use]
pub fn unit_intensity(site: Site, [a, c]: [f64; 2], plate: &Surroundings, degrees: f64) -> f64 {
    (PI * a / shape_factor(a / c)).sqrt() * boundary_factor(site, [a, c], plate, degrees)
}

/// `H` by which bending changes `F` of corner cracks at a hole; the outer-fibre stress of the bending
/// is the stress then.
///
/// Source: as the module, read in a transcription alone; one digit of `H₁` for `a/c ≤ 1` is in doubt (the
/// branches differ by 0.06 in one term at `a/c = 1`).
#[must_use]
pub fn bending_factor([a, c]: [f64; 2], thickness: f64, degrees: f64) -> f64 {
    let (depth, sine) = (a / thickness, degrees.to_radians().sin());
    let cubic = |g: [f64; 3]| 1.0 + depth * (g[0] + depth * (g[1] + depth * g[2]));
    let (first, second, power) = if a <= c {
        let x = a / c;
        (
            [
                -0.43 - 0.74 * x - 0.84 * x * x,
                1.25 - 1.19 * x + 4.39 * x * x,
                -1.94 + 4.22 * x - 5.51 * x * x,
            ],
            [
                -1.5 - 0.04 * x - 1.73 * x * x,
                1.71 - 3.17 * x + 6.84 * x * x,
                -1.28 + 2.71 * x - 5.22 * x * x,
            ],
            0.1 + 1.3 * depth + 1.1 * x - 0.7 * x * depth,
        )
    } else {
        let y = c / a;
        (
            [-2.07 + 0.06 * y, 4.35 + 0.16 * y, -2.93 - 0.3 * y],
            [-3.64 + 0.37 * y, 5.87 - 0.49 * y, -4.32 + 0.53 * y],
            0.2 + y + 0.6 * depth,
        )
    };
    let (h1, h2) = (cubic(first), cubic(second));
    h1 + (h2 - h1) * sine.powf(power)
}

/// Aspect, relative depth and angle of a crack.
struct Size {
    x: f64,
    depth: f64,
    phi: f64,
}

impl Size {
    fn is_shallow(&self) -> bool {
        self.x <= 1.0
    }

    /// `c/a`.
    fn y(&self) -> f64 {
        self.x.recip()
    }

    fn polynomial(&self, [m1, m2, m3]: [f64; 3]) -> f64 {
        let square = self.depth * self.depth;
        m1 + square * (m2 + square * m3)
    }

    /// Place of the front in the ellipse, `f_φ`.
    fn ellipse(&self) -> f64 {
        let (sine, cosine) = self.phi.sin_cos();
        if self.is_shallow() {
            (self.x * self.x * cosine * cosine + sine * sine).powf(0.25)
        } else {
            (cosine * cosine + self.y() * self.y() * sine * sine).powf(0.25)
        }
    }

    fn face_terms(&self) -> [f64; 3] {
        let (x, y) = (self.x, self.y());
        if self.is_shallow() {
            [
                1.13 - 0.09 * x,
                -0.54 + 0.89 / (0.2 + x),
                0.5 - 1.0 / (0.65 + x) + 14.0 * (1.0 - x).powi(24),
            ]
        } else {
            [y.sqrt() * (1.0 + 0.04 * y), 0.2 * y.powi(4), -0.11 * y.powi(4)]
        }
    }

    fn face_rise(&self) -> f64 {
        let square = self.depth * self.depth;
        let rise = if self.is_shallow() { 0.35 * square } else { 0.35 * self.y() * square };
        1.0 + (0.1 + rise) * (1.0 - self.phi.sin()).powi(2)
    }

    /// `g₃ g₄` of corner cracks at a hole.
    fn corner_fit(&self) -> f64 {
        let x = self.x;
        let bore = 1.0 + 0.1 * (1.0 - self.phi.cos()).powi(2);
        let depth = 0.85 + 0.15 * self.depth.powf(0.25);
        if self.is_shallow() {
            let last = 1.0 - 0.7 * (1.0 - self.depth) * (x - 0.2) * (1.0 - x);
            (1.0 + 0.04 * x) * bore * depth * last
        } else {
            (1.13 - 0.09 * self.y()) * bore * depth
        }
    }

    fn bore_terms(&self) -> [f64; 3] {
        let power = self.x.powf(1.5);
        let first = if self.is_shallow() { 1.0 } else { self.y().sqrt() };
        [first, 0.05 / (0.11 + power), 0.29 / (0.23 + power)]
    }

    /// `g₁ g₃` of cracks in the middle of a bore.
    fn bore_fit(&self) -> f64 {
        let d = self.depth;
        let cosine = self.phi.cos();
        let first = 1.0 - d.powi(4) * (2.6 - 2.0 * d).sqrt() / (1.0 + 4.0 * self.x) * cosine;
        let third = 1.0 + 0.1 * (1.0 - cosine).powi(2) * (1.0 - d).powi(10);
        first * third
    }

    fn edge_terms(&self) -> [f64; 3] {
        let (x, y) = (self.x, self.y());
        if self.is_shallow() {
            [1.08 - 0.03 * x, -0.44 + 1.06 / (0.3 + x), -0.5 + 0.25 * x + 14.8 * (1.0 - x).powi(15)]
        } else {
            [y.sqrt() * (1.08 - 0.03 * y), 0.375 * y * y, -0.25 * y * y]
        }
    }

    /// `g₁ g₂` of a corner crack at the plate edge; `face` is `c/t`.
    fn edge_rise(&self, face: f64) -> f64 {
        let d = if self.is_shallow() { self.depth } else { face };
        let (sine, cosine) = self.phi.sin_cos();
        (1.0 + (0.08 + 0.4 * d * d) * (1.0 - sine).powi(3))
            * (1.0 + (0.08 + 0.15 * d * d) * (1.0 - cosine).powi(3))
    }
}

/// `g₂`: the stress of the hole along the front.
fn hole_stress(l: f64, below: f64) -> f64 {
    (1.0 + l * (0.358 + l * (1.425 + l * (-1.578 + l * 2.156)))) / (1.0 + below * l * l)
}

/// Factor from two cracks to one.
fn one_of_two(sides: CrackSides, [a, c]: [f64; 2], plate: &Surroundings) -> f64 {
    match sides {
        CrackSides::Two => 1.0,
        CrackSides::One => {
            let share = a * c / (plate.thickness * plate.radius);
            ((4.0 / PI + 0.5 * share) / (4.0 / PI + share)).sqrt()
        }
    }
}

/// `f_w` of cracks at a hole.
fn hole_width(sides: CrackSides, depth: f64, c: f64, plate: &Surroundings) -> f64 {
    let (r, b) = (plate.radius, plate.width);
    if b.is_infinite() {
        return 1.0;
    }
    let n = if sides == CrackSides::Two { 2.0 } else { 1.0 };
    let cracked = PI * (2.0 * r + n * c) / (4.0 * (b - c) + 2.0 * n * c) * depth.sqrt();
    (secant(FRAC_PI_2 * r / b) * secant(cracked)).sqrt()
}

fn secant(x: f64) -> f64 {
    x.cos().recip()
}

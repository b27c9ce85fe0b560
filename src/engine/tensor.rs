//! Plane stress states with their out-of-plane component, and the numbers read from them.
//!
//! Four components from the first line, `(xx, yy, zz, xy)`: a stress vector of
//! three has cost other programs the axial stress of a pressurised ring. Tension
//! is positive. Stresses in MPa.
//!
//! Floor 0.

use nalgebra::Vector4;
use serde::{Deserialize, Serialize};

/// Cauchy stress `(xx, yy, zz, xy)` in MPa, tension positive.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct Stress {
    /// Normal stress along x, MPa.
    pub xx: f64,
    /// Normal stress along y, MPa.
    pub yy: f64,
    /// Normal stress through the thickness, MPa.
    pub zz: f64,
    /// Shear stress in the plane, MPa.
    pub xy: f64,
}

/// Stress in polar components about a centre that the caller names, MPa.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct Polar {
    /// Along the radius, MPa.
    pub radial: f64,
    /// Along the circumference, MPa.
    pub hoop: f64,
    /// Through the thickness, MPa.
    pub axial: f64,
    /// Between radius and circumference, MPa; positive when it turns +r towards +θ.
    pub shear: f64,
}

impl From<Vector4<f64>> for Stress {
    fn from(v: Vector4<f64>) -> Self {
        Self { xx: v[0], yy: v[1], zz: v[2], xy: v[3] }
    }
}

impl From<Stress> for Vector4<f64> {
    fn from(s: Stress) -> Self {
        Self::new(s.xx, s.yy, s.zz, s.xy)
    }
}

impl From<Vector4<f64>> for Polar {
    fn from(v: Vector4<f64>) -> Self {
        Self { radial: v[0], hoop: v[1], axial: v[2], shear: v[3] }
    }
}

impl From<Polar> for Vector4<f64> {
    fn from(p: Polar) -> Self {
        Self::new(p.radial, p.hoop, p.axial, p.shear)
    }
}

impl Stress {
    /// Polar components at a point that lies at `angle` (radians, counter-clockwise
    /// from +x) from the centre.
    #[must_use]
    pub fn polar(self, angle: f64) -> Polar {
        let (sin, cos) = angle.sin_cos();
        let (xx, yy, xy) = (self.xx, self.yy, self.xy);
        Polar {
            radial: cos * cos * xx + sin * sin * yy + 2.0 * sin * cos * xy,
            hoop: sin * sin * xx + cos * cos * yy - 2.0 * sin * cos * xy,
            axial: self.zz,
            shear: (cos * cos - sin * sin) * xy + sin * cos * (yy - xx),
        }
    }

    /// Equivalent stress of von Mises, MPa.
    #[must_use]
    pub fn von_mises(self) -> f64 {
        let (a, b, c) = (self.xx - self.yy, self.yy - self.zz, self.zz - self.xx);
        (0.5 * (a * a + b * b + c * c) + 3.0 * self.xy * self.xy).sqrt()
    }
}

impl Polar {
    /// The same stress in Cartesian components; `angle` as in [`Stress::polar`].
    #[must_use]
    pub fn cartesian(self, angle: f64) -> Stress {
        // Turning back by −angle is the same rotation, radial playing xx and hoop yy.
        let turned =
            Stress { xx: self.radial, yy: self.hoop, zz: self.axial, xy: self.shear }.polar(-angle);
        Stress { xx: turned.radial, yy: turned.hoop, zz: turned.axial, xy: turned.shear }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;

    const SAMPLE: Stress = Stress { xx: 120.0, yy: -40.0, zz: 15.0, xy: 33.0 };

    #[test]
    fn polar_and_back_is_the_identity() {
        let back = SAMPLE.polar(0.7).cartesian(0.7);
        assert_relative_eq!(back.xx, SAMPLE.xx, max_relative = 1e-14);
        assert_relative_eq!(back.yy, SAMPLE.yy, max_relative = 1e-14);
        assert_relative_eq!(back.xy, SAMPLE.xy, max_relative = 1e-14);
    }

    #[test]
    fn von_mises_does_not_change_under_rotation() {
        let turned = SAMPLE.polar(1.1);
        let turned =
            Stress { xx: turned.radial, yy: turned.hoop, zz: turned.axial, xy: turned.shear };
        assert_relative_eq!(turned.von_mises(), SAMPLE.von_mises(), max_relative = 1e-14);
    }

    #[test]
    fn on_the_x_axis_hoop_is_along_y() {
        let polar = SAMPLE.polar(0.0);
        assert_relative_eq!(polar.hoop, SAMPLE.yy);
        assert_relative_eq!(polar.radial, SAMPLE.xx);
        assert_relative_eq!(polar.shear, SAMPLE.xy);
    }

    #[test]
    fn uniaxial_stress_is_its_own_equivalent() {
        let pull = Stress { yy: 250.0, ..Stress::default() };
        assert_relative_eq!(pull.von_mises(), 250.0, max_relative = 1e-15);
    }
}

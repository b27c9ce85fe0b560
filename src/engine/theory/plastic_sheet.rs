//! Plane stress, perfectly plastic, von Mises: a sheet with a pressurised hole.
//!
//! ```text
//!   σr = (2σy/√3) cos(ω + π/6)      σθ = (2σy/√3) cos(ω − π/6)
//!   r² = A g(ω),  g = e^(−√3ω)/sin ω                            a ≤ r ≤ c
//!   front: pressure σy(1 − k)/√(3 + k²) with k = c²/b²          c ≤ r ≤ b elastic
//! ```
//!
//! The parameter `ω` writes the yield ellipse; it grows from the front (π/2 in an
//! infinite sheet) to the bore and ends at 5π/6, where the pressure is `2σy/√3` and
//! no sheet can carry more. An outer radius of infinity is the sheet without end.
//!
//! Takes as given: plane stress, no hardening, small strains, even pressure applied for the first
//! time, no load on the outer edge. Valid up to [`PlasticSheet::largest_pressure`]. What stays:
//! [`crate::theory::residual_sheet`].
//!
//! ```
//! use hoopset_engine::material::elasticity::Elasticity;
//! use hoopset_engine::theory::{field::RotationalField, plastic_sheet::PlasticSheet};
//!
//! let metal = Elasticity { youngs_modulus: 72_000.0, poissons_ratio: 0.33 };
//! let sheet = PlasticSheet::new(3.0, f64::INFINITY, 350.0, metal)?;
//! // Yields at σy/√3, carries 2σy/√3; at p = σy the front stands at 1.46452 a (computed).
//! assert!((sheet.first_yield_pressure() - 350.0 / 3f64.sqrt()).abs() < 1e-9);
//! assert!((sheet.largest_pressure() - 700.0 / 3f64.sqrt()).abs() < 1e-9);
//! let loaded = sheet.at_pressure(350.0)?;
//! assert!((loaded.front().unwrap_or(0.0) / 3.0 - 1.464_52).abs() < 1e-5);
//! // There the hoop stress at the bore is zero; elastic release takes p from it.
//! assert!(loaded.hoop(3.0)?.abs() < 1e-6);
//! assert!((loaded.released(1.0)?.hoop(3.0)? + 350.0).abs() < 1e-6);
//! # Ok::<(), hoopset_engine::theory::range::OutOfRange>(())
//! ```
//!
//! Source: A. Nádai, Plasticity (1931), Theory of Flow and Fracture of Solids (1950);
//! R. Hill, The Mathematical Theory of Plasticity (1950) (derived).
//!
//! Traps: the sheet thickens at the bore and small-strain theory leaves that out. The
//! stresses need no flow rule, the displacement does: see [`crate::theory::sheet_flow`].

use std::f64::consts::{FRAC_PI_3, FRAC_PI_6};

use crate::material::elasticity::Elasticity;
use crate::numeric::root::bracketed_newton;
use crate::tensor::Polar;
use crate::theory::field::{RotationalField, elastic_strength, elastic_wall};
use crate::theory::range::{OutOfRange, positive, within};
use crate::theory::wall::Wall;

/// `√3`.
const ROOT_3: f64 = 1.732_050_807_568_877_2;
/// Largest `ω`, at the largest pressure a sheet can carry.
pub(crate) const LAST_ANGLE: f64 = 5.0 * FRAC_PI_6;
/// `ω` at a front that has reached a free outer edge, where the stress is uniaxial.
const EDGE_ANGLE: f64 = FRAC_PI_3;
/// Rounding of `ln g` and `ln r`, both of order one.
const LOG_ROUNDING: f64 = 4e-15;

/// A perfectly plastic sheet with a round hole, unloaded.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PlasticSheet {
    wall: Wall,
    yield_stress: f64,
}

/// The sheet under its first pressure in the hole.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LoadedSheet {
    sheet: PlasticSheet,
    pressure: f64,
    front: Option<f64>,
}

/// `ln g(ω) = −√3 ω − ln sin ω`; falls up to [`LAST_ANGLE`].
pub(crate) fn log_shape(angle: f64) -> f64 {
    -ROOT_3 * angle - angle.sin().ln()
}

/// Slope of [`log_shape`], `−√3 − cot ω`.
pub(crate) fn log_shape_slope(angle: f64) -> f64 {
    -ROOT_3 - angle.tan().recip()
}

/// Angle at which the radial stress is `−ratio · σy`.
fn angle_for_pressure(ratio: f64) -> f64 {
    (-0.5 * ROOT_3 * ratio).clamp(-1.0, 1.0).acos() - FRAC_PI_6
}

/// Angle between `from` and [`LAST_ANGLE`] at which `ln g` is `value`, if there is one.
pub(crate) fn angle_for_shape(value: f64, from: f64) -> Option<f64> {
    bracketed_newton(from, LAST_ANGLE, LOG_ROUNDING, |angle| {
        (log_shape(angle) - value, log_shape_slope(angle))
    })
}

impl PlasticSheet {
    /// A sheet between two radii in mm, the outer free of load or infinite;
    /// `yield_stress` in simple tension, MPa.
    ///
    /// # Errors
    /// [`OutOfRange`] for radii, yield stress or elastic constants that make no sheet.
    pub fn new(
        inner: f64,
        outer: f64,
        yield_stress: f64,
        elasticity: Elasticity,
    ) -> Result<Self, OutOfRange> {
        let wall = Wall::new(inner, outer, elasticity)?;
        positive("yield stress", yield_stress)?;
        Ok(Self { wall, yield_stress })
    }

    /// Radii and elastic constants.
    #[must_use]
    pub fn wall(&self) -> &Wall {
        &self.wall
    }

    /// Yield stress in simple tension, MPa.
    #[must_use]
    pub fn yield_stress(&self) -> f64 {
        self.yield_stress
    }

    /// Pressure at which the edge of the hole yields, MPa; `σy/√3` in an infinite sheet.
    #[must_use]
    pub fn first_yield_pressure(&self) -> f64 {
        self.pressure_at_front(self.wall.inner())
    }

    /// Radial pressure at a front at radius `front`, MPa.
    pub(crate) fn pressure_at_front(&self, front: f64) -> f64 {
        let share = (front / self.wall.outer()).powi(2);
        self.yield_stress * (1.0 - share) / (3.0 + share * share).sqrt()
    }

    /// `ω` at a front at radius `front`, and its slope against `ln front`.
    pub(crate) fn front_angle(&self, front: f64) -> (f64, f64) {
        let share = (front / self.wall.outer()).powi(2);
        let angle = angle_for_pressure(self.pressure_at_front(front) / self.yield_stress);
        let pressure_slope = -(3.0 + share) / (3.0 + share * share).powf(1.5);
        let slope = 0.5 * ROOT_3 / (angle + FRAC_PI_6).sin() * pressure_slope * 2.0 * share;
        (angle, slope)
    }

    /// `ln g` at radius `r` inside a front, and its slope against `ln front`.
    pub(crate) fn shape_at(&self, r: f64, front: f64) -> (f64, f64) {
        let (angle, slope) = self.front_angle(front);
        (log_shape(angle) + 2.0 * (r / front).ln(), log_shape_slope(angle) * slope - 2.0)
    }

    /// Front radius at which the bore angle is `angle`, mm.
    fn front_for_angle(&self, angle: f64) -> Option<f64> {
        // No sheet carries a front beyond 1.7513 a (the infinite one) unless its edge is nearer
        // to collapse, which happens below b/a = 2.9614: three radii hold both.
        let high = self.wall.outer().min(3.0 * self.wall.inner());
        bracketed_newton(self.wall.inner(), high, LOG_ROUNDING, |front| {
            let (shape, slope) = self.shape_at(self.wall.inner(), front);
            (shape - log_shape(angle), slope / front)
        })
    }

    /// Largest pressure the sheet can carry, MPa: `2σy/√3`, or less when the plastic zone
    /// reaches the outer edge first (b/a below 2.9614).
    #[must_use]
    pub fn largest_pressure(&self) -> f64 {
        let shape = log_shape(EDGE_ANGLE) + 2.0 * (self.wall.inner() / self.wall.outer()).ln();
        // `None`: the bore reaches its last angle before the front reaches the edge.
        let angle = angle_for_shape(shape, EDGE_ANGLE).unwrap_or(LAST_ANGLE);
        -self.yield_stress * 2.0 / ROOT_3 * (angle + FRAC_PI_6).cos()
    }

    /// Largest radius the front reaches, mm, at [`largest_pressure`](Self::largest_pressure).
    #[must_use]
    pub fn largest_front(&self) -> f64 {
        self.front_for_angle(LAST_ANGLE).unwrap_or(self.wall.outer())
    }

    /// Pressure that brings the front to radius `front` in mm, MPa.
    ///
    /// # Errors
    /// [`OutOfRange`] when `front` is inside the hole or beyond
    /// [`largest_front`](Self::largest_front).
    pub fn pressure_for_front(&self, front: f64) -> Result<f64, OutOfRange> {
        let front = within("front", front, self.wall.inner(), self.largest_front())?;
        let (shape, _) = self.shape_at(self.wall.inner(), front);
        let angle = angle_for_shape(shape, self.front_angle(front).0).unwrap_or(LAST_ANGLE);
        Ok(-self.yield_stress * 2.0 / ROOT_3 * (angle + FRAC_PI_6).cos())
    }

    /// Radius the front reaches under `pressure` in MPa, mm; none while all is elastic.
    ///
    /// # Errors
    /// [`OutOfRange`] when the pressure is negative or above
    /// [`largest_pressure`](Self::largest_pressure).
    pub fn front_for_pressure(&self, pressure: f64) -> Result<Option<f64>, OutOfRange> {
        Ok(self.at_pressure(pressure)?.front)
    }

    /// The sheet under `pressure` in the hole, MPa, applied for the first time.
    ///
    /// # Errors
    /// As [`front_for_pressure`](Self::front_for_pressure).
    pub fn at_pressure(&self, pressure: f64) -> Result<LoadedSheet, OutOfRange> {
        let pressure = within("pressure", pressure, 0.0, self.largest_pressure())?;
        let front = if pressure <= self.first_yield_pressure() {
            None
        } else {
            let angle = angle_for_pressure(pressure / self.yield_stress);
            Some(self.front_for_angle(angle).unwrap_or_else(|| self.largest_front()))
        };
        Ok(LoadedSheet { sheet: *self, pressure, front })
    }

    /// The sheet with its front at radius `front`, mm.
    ///
    /// # Errors
    /// As [`pressure_for_front`](Self::pressure_for_front).
    pub fn at_front(&self, front: f64) -> Result<LoadedSheet, OutOfRange> {
        let pressure = self.pressure_for_front(front)?;
        Ok(LoadedSheet { sheet: *self, pressure, front: Some(front) })
    }

    /// Pressure from which taking it away elastically makes the bore yield the other way,
    /// MPa, where the reverse yield stress is `reverse_strength · σy`, 0 to 1. None when
    /// the sheet cannot carry that much. Equals `σy` in an infinite sheet at strength 1.
    #[must_use]
    pub fn reverse_yield_pressure(&self, reverse_strength: f64) -> Option<f64> {
        let share = (self.wall.inner() / self.wall.outer()).powi(2);
        // −p/2 + √(σy² − ¾p²) − p(1 + share)/(1 − share) = −f σy, solved for p.
        let (m, f) = (0.5 + (1.0 + share) / (1.0 - share), reverse_strength);
        let denominator = m * m + 0.75;
        let root = (m * m * f * f + denominator * (1.0 - f * f)).sqrt();
        let pressure = self.yield_stress * (m * f + root) / denominator;
        (pressure <= self.largest_pressure()).then_some(pressure)
    }
}

impl LoadedSheet {
    /// The sheet that is loaded.
    #[must_use]
    pub fn sheet(&self) -> &PlasticSheet {
        &self.sheet
    }

    /// Pressure in the hole, MPa.
    #[must_use]
    pub fn pressure(&self) -> f64 {
        self.pressure
    }

    /// Radius `c` of the front, mm; none while all is elastic.
    #[must_use]
    pub fn front(&self) -> Option<f64> {
        self.front
    }

    /// Strength `K` of the elastic wall, MPa·mm².
    pub(crate) fn strength(&self) -> f64 {
        match self.front {
            Some(front) => {
                let share = (front / self.sheet.wall.outer()).powi(2);
                self.sheet.yield_stress * front * front / (3.0 + share * share).sqrt()
            }
            None => {
                elastic_strength(self.pressure, self.sheet.wall.inner(), self.sheet.wall.outer())
            }
        }
    }

    fn plastic_stress(&self, r: f64, front: f64) -> Polar {
        let (start, _) = self.sheet.front_angle(front);
        let (shape, _) = self.sheet.shape_at(r, front);
        // `None` only at the bore under the largest pressure, by rounding.
        let angle = angle_for_shape(shape, start).unwrap_or(LAST_ANGLE);
        let size = self.sheet.yield_stress * 2.0 / ROOT_3;
        Polar {
            radial: size * (angle + FRAC_PI_6).cos(),
            hoop: size * (angle - FRAC_PI_6).cos(),
            axial: 0.0,
            shear: 0.0,
        }
    }
}

impl RotationalField for LoadedSheet {
    fn inner(&self) -> f64 {
        self.sheet.wall.inner()
    }

    fn outer(&self) -> f64 {
        self.sheet.wall.outer()
    }

    fn stress_within(&self, r: f64) -> Polar {
        match self.front {
            Some(front) if r < front => self.plastic_stress(r, front),
            _ => elastic_wall(self.strength(), self.sheet.wall.outer(), r),
        }
    }
}

//! Plane strain, perfectly plastic: a thick cylinder under internal pressure.
//!
//! ```text
//!   a ≤ r ≤ c   plastic   σr = Y[−½ − ln(c/r) + c²/2b²],   σθ = σr + Y
//!   c ≤ r ≤ b   elastic   σr,θ = (Y c²/2b²)(1 ∓ b²/r²)
//!   p/Y = ln(c/a) + ½(1 − c²/b²)                         limit p = Y ln(b/a)
//!   u = (1+ν)(1−2ν) r σr/E + (1−ν²) Y c²/(E r)           in the whole wall
//! ```
//!
//! `Y` is the difference of hoop and radial stress at yield. The yield condition is
//! Tresca's, with the axial stress between the other two; then no plastic strain
//! lies along the axis, the axial stress is `ν(σr + σθ)`, and volume changes
//! elastically, which is where the one formula for the displacement comes from.
//!
//! Takes as given: plane strain, no hardening, small strains, even pressure applied for the first
//! time, no load on the outer edge. Valid up to [`PlasticCylinder::limit_pressure`], and up to
//! [`PlasticCylinder::axial_limit_pressure`]. What stays after the pressure is gone:
//! [`crate::theory::residual_cylinder`].
//!
//! ```
//! use hoopset_engine::material::elasticity::Elasticity;
//! use hoopset_engine::theory::{field::RotationalField, plastic_cylinder::PlasticCylinder};
//!
//! let steel = Elasticity { youngs_modulus: 210_000.0, poissons_ratio: 0.3 };
//! let cylinder = PlasticCylinder::new(10.0, 20.0, 300.0, steel)?; // Y = 300 MPa, b/a = 2
//! // First yield at (Y/2)(1 − 1/4), collapse at Y ln 2.
//! assert!((cylinder.first_yield_pressure() - 112.5).abs() < 1e-9);
//! assert!((cylinder.limit_pressure() - 207.944).abs() < 1e-3);
//! // Half the wall yielded: 300 [ln 1.5 + (1 − 0.5625)/2].
//! let loaded = cylinder.at_pressure(cylinder.pressure_for_front(15.0)?)?;
//! assert!((loaded.pressure() - 187.265).abs() < 1e-3);
//! // Left at the bore: (Y − p) − p (b² + a²)/(b² − a²); it would yield in reverse beyond 225 MPa.
//! let residual = loaded.released(1.0)?;
//! assert!(residual.reverse_front().is_none());
//! assert!((residual.hoop(10.0)? + 199.373).abs() < 1e-3);
//! # Ok::<(), hoopset_engine::theory::range::OutOfRange>(())
//! ```
//!
//! Source: R. Hill, The Mathematical Theory of Plasticity (1950), ch. V (derived).
//!
//! Traps: for a material of von Mises `Y = 2σy/√3`, see
//! [`PlasticCylinder::mises`], and the agreement is exact only as ν → ½ (a few per
//! cent near the front at ν = 0.3). At the limit pressure the front has no
//! definite speed: there `c` loses half its digits.

use crate::material::elasticity::Elasticity;
use crate::numeric::root::bracketed_newton;
use crate::tensor::Polar;
use crate::theory::field::{RotationalField, elastic_strength, elastic_wall};
use crate::theory::range::{OutOfRange, positive, within};
use crate::theory::wall::Wall;

/// Smallest `|p/Y|` that the search for the front still tells apart.
const PRESSURE_ROUNDING: f64 = 1e-15;

/// A thick cylinder of a perfectly plastic metal, unloaded.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PlasticCylinder {
    wall: Wall,
    yield_difference: f64,
}

/// The cylinder under its first internal pressure.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LoadedCylinder {
    cylinder: PlasticCylinder,
    pressure: f64,
    front: Option<f64>,
}

impl PlasticCylinder {
    /// A cylinder between two radii in mm (the outer may be infinite) that yields
    /// when hoop less radial stress reaches `yield_difference` (`Y`, MPa).
    ///
    /// # Errors
    /// [`OutOfRange`] for radii, yield stress or elastic constants that make no cylinder.
    pub fn new(
        inner: f64,
        outer: f64,
        yield_difference: f64,
        elasticity: Elasticity,
    ) -> Result<Self, OutOfRange> {
        let wall = Wall::new(inner, outer, elasticity)?;
        positive("yield stress", yield_difference)?;
        Ok(Self { wall, yield_difference })
    }

    /// The cylinder that stands for a von Mises material of uniaxial yield stress
    /// `yield_stress`, MPa: `Y = 2σy/√3`.
    ///
    /// # Errors
    /// As [`PlasticCylinder::new`].
    pub fn mises(
        inner: f64,
        outer: f64,
        yield_stress: f64,
        elasticity: Elasticity,
    ) -> Result<Self, OutOfRange> {
        Self::new(inner, outer, 2.0 * yield_stress / 3.0_f64.sqrt(), elasticity)
    }

    /// Radii and elastic constants.
    #[must_use]
    pub fn wall(&self) -> &Wall {
        &self.wall
    }

    /// Difference of hoop and radial stress at yield, `Y`, MPa.
    #[must_use]
    pub fn yield_difference(&self) -> f64 {
        self.yield_difference
    }

    /// Pressure at which the bore yields, MPa: `(Y/2)(1 − a²/b²)`.
    #[must_use]
    pub fn first_yield_pressure(&self) -> f64 {
        self.reverse_yield_pressure(0.0)
    }

    /// Pressure at which the whole wall flows, MPa: `Y ln(b/a)`; infinite without an outer edge.
    #[must_use]
    pub fn limit_pressure(&self) -> f64 {
        self.yield_difference * (self.wall.outer() / self.wall.inner()).ln()
    }

    /// Pressure from which taking it away makes the bore yield the other way, MPa:
    /// `(1+f)(Y/2)(1 − a²/b²)` where the reverse strength is `f Y`. It may lie above
    /// the limit pressure: then the cylinder never yields in reverse.
    #[must_use]
    pub fn reverse_yield_pressure(&self, reverse_strength: f64) -> f64 {
        let thickness = 1.0 - (self.wall.inner() / self.wall.outer()).powi(2);
        0.5 * (1.0 + reverse_strength) * self.yield_difference * thickness
    }

    /// Highest pressure at which the axial stress still lies between the other two at
    /// the bore, MPa: `Y(1−ν)/(1−2ν)` (derived). Above it Tresca's solution is not this one.
    #[must_use]
    pub fn axial_limit_pressure(&self) -> f64 {
        let nu = self.wall.elasticity().poissons_ratio;
        self.yield_difference * (1.0 - nu) / (1.0 - 2.0 * nu)
    }

    /// Pressure that brings the front to radius `front` in mm, MPa.
    ///
    /// # Errors
    /// [`OutOfRange`] when `front` lies outside the wall.
    pub fn pressure_for_front(&self, front: f64) -> Result<f64, OutOfRange> {
        let front = within("front", front, self.wall.inner(), self.wall.outer())?;
        let share = (front / self.wall.outer()).powi(2);
        Ok(self.yield_difference * ((front / self.wall.inner()).ln() + 0.5 * (1.0 - share)))
    }

    /// The cylinder under internal pressure, MPa, applied for the first time.
    ///
    /// # Errors
    /// [`OutOfRange`] when the pressure is negative or above
    /// [`limit_pressure`](Self::limit_pressure).
    pub fn at_pressure(&self, pressure: f64) -> Result<LoadedCylinder, OutOfRange> {
        let pressure = within("pressure", pressure, 0.0, self.limit_pressure())?;
        let front = if pressure <= self.first_yield_pressure() {
            None
        } else {
            let front = radius_of_front(
                pressure / self.yield_difference,
                self.wall.inner(),
                self.wall.outer(),
            );
            Some(front.ok_or(OutOfRange {
                quantity: "pressure",
                value: pressure,
                low: 0.0,
                high: self.limit_pressure(),
            })?)
        };
        Ok(LoadedCylinder { cylinder: *self, pressure, front })
    }
}

/// Radius `c` that solves `ratio = ln(c/a) + ½(1 − c²/b²)`, mm. The same equation, with
/// another yield stress, holds for the reverse front.
pub(crate) fn radius_of_front(ratio: f64, inner: f64, outer: f64) -> Option<f64> {
    // At c = a·e^ratio the right-hand side is already too large, unless that leaves the wall.
    let high = outer.min(inner * ratio.exp());
    let share = |c: f64| (c / outer).powi(2);
    bracketed_newton(inner, high, PRESSURE_ROUNDING, |c| {
        ((c / inner).ln() + 0.5 * (1.0 - share(c)) - ratio, (1.0 - share(c)) / c)
    })
}

impl LoadedCylinder {
    /// The cylinder that is loaded.
    #[must_use]
    pub fn cylinder(&self) -> &PlasticCylinder {
        &self.cylinder
    }

    /// Internal pressure, MPa.
    #[must_use]
    pub fn pressure(&self) -> f64 {
        self.pressure
    }

    /// Radius `c` of the front between plastic and elastic wall, mm; none while all is elastic.
    #[must_use]
    pub fn front(&self) -> Option<f64> {
        self.front
    }

    /// Radial displacement at radius `r`, both mm, outward positive.
    ///
    /// # Errors
    /// [`OutOfRange`] when `r` lies outside the wall.
    pub fn displacement(&self, r: f64) -> Result<f64, OutOfRange> {
        Ok(wall_displacement(self.cylinder.wall.elasticity(), r, self.radial(r)?, self.strength()))
    }

    fn strength(&self) -> f64 {
        let PlasticCylinder { wall, yield_difference } = self.cylinder;
        match self.front {
            Some(front) => 0.5 * yield_difference * front * front,
            None => elastic_strength(self.pressure, wall.inner(), wall.outer()),
        }
    }
}

/// Displacement at `r` from the radial stress there and the strength `K` of the elastic
/// wall (`K = Y c²/2` once a front `c` exists): `(1+ν)(1−2ν) r σr/E + 2(1−ν²) K/(E r)`.
pub(crate) fn wall_displacement(elasticity: Elasticity, r: f64, radial: f64, strength: f64) -> f64 {
    let Elasticity { youngs_modulus, poissons_ratio: nu } = elasticity;
    (1.0 + nu) * ((1.0 - 2.0 * nu) * r * radial + 2.0 * (1.0 - nu) * strength / r) / youngs_modulus
}

impl RotationalField for LoadedCylinder {
    fn inner(&self) -> f64 {
        self.cylinder.wall.inner()
    }

    fn outer(&self) -> f64 {
        self.cylinder.wall.outer()
    }

    fn stress_within(&self, r: f64) -> Polar {
        let PlasticCylinder { wall, yield_difference } = self.cylinder;
        let (outer, elasticity) = (wall.outer(), wall.elasticity());
        let plane = match self.front {
            Some(front) if r < front => {
                let share = 0.5 * (front / outer).powi(2);
                let radial = yield_difference * (share - 0.5 - (front / r).ln());
                Polar { radial, hoop: radial + yield_difference, ..Polar::default() }
            }
            _ => elastic_wall(self.strength(), outer, r),
        };
        Polar { axial: elasticity.poissons_ratio * (plane.radial + plane.hoop), ..plane }
    }
}

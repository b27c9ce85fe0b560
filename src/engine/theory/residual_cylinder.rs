//! Residual stresses in a thick cylinder after pressure, with or without reverse yielding.
//!
//! ```text
//!   a ≤ r ≤ d   reversed   σr = −fY ln(r/a),   σθ = −fY(1 + ln(r/a))
//!   r ≥ d       loaded state − ((1+f)Y d²/2)(1/b² ∓ 1/r²)
//!   p/((1+f)Y) = ln(d/a) + ½(1 − d²/b²)
//! ```
//!
//! Taking the pressure away is loading the other way with `(1+f)Y` in place of `Y`,
//! where `f Y` is the yield difference against reversed flow: `f = 1` is perfect
//! plasticity, `f < 1` stands for the Bauschinger effect.
//!
//! Takes as given what [`crate::theory::plastic_cylinder`] does, and a release of the whole pressure.
//!
//! Source: R. Hill, The Mathematical Theory of Plasticity (1950), ch. V (derived);
//! the factor `f` as in the literature on self-hooped gun barrels (idea from memory).
//!
//! Trap: no common hardening law gives one `f` for the whole wall, so `f < 1` checks
//! this module, not a simulation. For every `f` above zero the reverse front lies
//! inside the first one, because both solve the same equation.

use crate::tensor::Polar;
use crate::theory::field::{RotationalField, elastic_strength, elastic_wall};
use crate::theory::plastic_cylinder::{LoadedCylinder, radius_of_front, wall_displacement};
use crate::theory::range::{OutOfRange, within};

/// A thick cylinder after its internal pressure was taken away.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ResidualCylinder {
    loaded: LoadedCylinder,
    reverse_strength: f64,
    reverse_front: Option<f64>,
}

impl LoadedCylinder {
    /// The cylinder after the whole pressure was taken away; `reverse_strength` is
    /// `f`, the yield stress against reversed flow as a share of the first one.
    ///
    /// # Errors
    /// [`OutOfRange`] when `f` is not above 0 and at most 1.
    pub fn released(&self, reverse_strength: f64) -> Result<ResidualCylinder, OutOfRange> {
        let f = within("reverse strength", reverse_strength, f64::MIN_POSITIVE, 1.0)?;
        let cylinder = self.cylinder();
        let reverse_front = if self.pressure() > cylinder.reverse_yield_pressure(f) {
            let ratio = self.pressure() / ((1.0 + f) * cylinder.yield_difference());
            // `None` when the ratio is that of first yield but for rounding.
            radius_of_front(ratio, cylinder.wall().inner(), cylinder.wall().outer())
        } else {
            None
        };
        Ok(ResidualCylinder { loaded: *self, reverse_strength: f, reverse_front })
    }
}

impl ResidualCylinder {
    /// Radius `d` to which the wall yielded in reverse, mm; none when it all unloaded elastically.
    #[must_use]
    pub fn reverse_front(&self) -> Option<f64> {
        self.reverse_front
    }

    /// Radial displacement left at radius `r`, both mm, outward positive.
    ///
    /// # Errors
    /// [`OutOfRange`] when `r` lies outside the wall.
    pub fn displacement(&self, r: f64) -> Result<f64, OutOfRange> {
        let change = self.radial(r)? - self.loaded.radial(r)?;
        let elasticity = self.loaded.cylinder().wall().elasticity();
        Ok(self.loaded.displacement(r)?
            + wall_displacement(elasticity, r, change, -self.change_strength()))
    }

    /// Strength of the elastic field that unloading takes away outside the reverse front.
    fn change_strength(&self) -> f64 {
        let cylinder = self.loaded.cylinder();
        match self.reverse_front {
            Some(d) => 0.5 * (1.0 + self.reverse_strength) * cylinder.yield_difference() * d * d,
            None => elastic_strength(
                self.loaded.pressure(),
                cylinder.wall().inner(),
                cylinder.wall().outer(),
            ),
        }
    }
}

impl RotationalField for ResidualCylinder {
    fn inner(&self) -> f64 {
        self.loaded.inner()
    }

    fn outer(&self) -> f64 {
        self.loaded.outer()
    }

    fn stress_within(&self, r: f64) -> Polar {
        let cylinder = self.loaded.cylinder();
        let plane = match self.reverse_front {
            Some(d) if r < d => {
                let reversed = self.reverse_strength * cylinder.yield_difference();
                let radial = -reversed * (r / cylinder.wall().inner()).ln();
                Polar { radial, hoop: radial - reversed, ..Polar::default() }
            }
            _ => {
                let loaded = self.loaded.stress_within(r);
                let change = elastic_wall(self.change_strength(), cylinder.wall().outer(), r);
                Polar {
                    radial: loaded.radial - change.radial,
                    hoop: loaded.hoop - change.hoop,
                    ..Polar::default()
                }
            }
        };
        let nu = cylinder.wall().elasticity().poissons_ratio;
        Polar { axial: nu * (plane.radial + plane.hoop), ..plane }
    }
}

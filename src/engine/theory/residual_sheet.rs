//! Residual stresses in a perfectly plastic sheet after pressure, with elastic unloading.
//!
//! Takes as given what [`crate::theory::plastic_sheet`] does, and an elastic release.
//!
//! Loaded state less the elastic field of the same pressure. It holds up to
//! [`PlasticSheet::reverse_yield_pressure`](crate::theory::plastic_sheet::PlasticSheet::reverse_yield_pressure):
//! in an infinite sheet up to `p = σy`, where the hole is barely 1 % larger. Practical
//! expansions lie beyond it.
//!
//! Derived.

use crate::tensor::Polar;
use crate::theory::field::{RotationalField, elastic_strength, elastic_wall};
use crate::theory::plastic_sheet::LoadedSheet;
use crate::theory::range::{OutOfRange, within};

/// A sheet after the pressure in its hole was taken away.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ResidualSheet {
    loaded: LoadedSheet,
    strength: f64,
}

impl LoadedSheet {
    /// The sheet after the whole pressure was taken away; its reverse yield stress is
    /// `reverse_strength · σy`, 0 to 1.
    ///
    /// # Errors
    /// [`OutOfRange`] when the strength is out of its range, or the pressure so high that
    /// the bore yields in reverse.
    pub fn released(&self, reverse_strength: f64) -> Result<ResidualSheet, OutOfRange> {
        let f = within("reverse strength", reverse_strength, 0.0, 1.0)?;
        let sheet = self.sheet();
        let limit = sheet.reverse_yield_pressure(f).unwrap_or(sheet.largest_pressure());
        within("pressure", self.pressure(), 0.0, limit)?;
        let strength =
            elastic_strength(self.pressure(), sheet.wall().inner(), sheet.wall().outer());
        Ok(ResidualSheet { loaded: *self, strength })
    }
}

impl ResidualSheet {
    /// Radial displacement left at radius `r`, both mm, outward positive.
    ///
    /// # Errors
    /// [`OutOfRange`] when `r` lies outside the sheet.
    pub fn displacement(&self, r: f64) -> Result<f64, OutOfRange> {
        let loaded = self.loaded.displacement(r)?;
        let elasticity = self.loaded.sheet().wall().elasticity();
        let (uniform, varying) = (self.strength / self.outer().powi(2), self.strength / (r * r));
        let nu = elasticity.poissons_ratio;
        let back = r * ((1.0 - nu) * uniform + (1.0 + nu) * varying) / elasticity.youngs_modulus;
        Ok(loaded - back)
    }
}

impl RotationalField for ResidualSheet {
    fn inner(&self) -> f64 {
        self.loaded.inner()
    }

    fn outer(&self) -> f64 {
        self.loaded.outer()
    }

    fn stress_within(&self, r: f64) -> Polar {
        let loaded = self.loaded.stress_within(r);
        let change = elastic_wall(self.strength, self.outer(), r);
        Polar {
            radial: loaded.radial - change.radial,
            hoop: loaded.hoop - change.hoop,
            ..Polar::default()
        }
    }
}

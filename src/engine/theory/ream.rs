//! Cutting a stressed hole larger, as long as the rest stays elastic.
//!
//! The cutter takes away the ring inside radius `a₁` and with it the radial stress
//! `σr(a₁)` it gave to the rest, which answers with the elastic field of a pressure
//! of that size: without an outer edge the new hoop stress at the edge is
//! `σθ(a₁) + σr(a₁)`.
//!
//! Derived; no plastic flow while cutting, and the radial stress falls to zero evenly.
//!
//! Trap: in plane strain the axial stress changes too, by ν times the change of the
//! sum; it is followed only when the caller says so.

use crate::tensor::Polar;
use crate::theory::field::{RotationalField, elastic_strength, elastic_wall};
use crate::theory::range::{OutOfRange, within};

/// A field in which the hole was cut to a larger radius.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Reamed<F> {
    before: F,
    radius: f64,
    strength: f64,
    axial_share: f64,
}

impl<F: RotationalField> Reamed<F> {
    /// The field `before` after the hole was cut to `radius`, mm. `axial_share` is 0
    /// in plane stress and Poisson's ratio in plane strain.
    ///
    /// # Errors
    /// [`OutOfRange`] when `radius` does not lie inside the wall.
    pub fn new(before: F, radius: f64, axial_share: f64) -> Result<Self, OutOfRange> {
        let radius = within("ream radius", radius, before.inner(), before.outer())?;
        let released = before.radial(radius)?;
        let strength = elastic_strength(released, radius, before.outer());
        // Cutting the whole wall away leaves nothing to carry stress.
        within("ream radius", strength.abs(), 0.0, f64::MAX)?;
        Ok(Self { before, radius, strength, axial_share })
    }
}

impl<F: RotationalField> RotationalField for Reamed<F> {
    fn inner(&self) -> f64 {
        self.radius
    }

    fn outer(&self) -> f64 {
        self.before.outer()
    }

    fn stress_within(&self, r: f64) -> Polar {
        let before = self.before.stress_within(r);
        let change = elastic_wall(self.strength, self.outer(), r);
        Polar {
            radial: before.radial + change.radial,
            hoop: before.hoop + change.hoop,
            axial: before.axial + self.axial_share * (change.radial + change.hoop),
            shear: before.shear,
        }
    }
}

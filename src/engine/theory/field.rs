//! A stress field that is the same in every direction from the centre of a hole.

use crate::numeric::profile::Profile;
use crate::tensor::Polar;
use crate::theory::range::{OutOfRange, positive, within};

/// Stresses of a wall around a hole that depend on the radius alone.
pub trait RotationalField {
    /// Radius of the hole, mm.
    fn inner(&self) -> f64;

    /// Outer radius of the wall, mm; infinite for a sheet without end.
    fn outer(&self) -> f64;

    /// Stress at radius `r` in mm, which the caller has kept between the two radii.
    /// [`RotationalField::stress`] checks first.
    fn stress_within(&self, r: f64) -> Polar;

    /// Stress at radius `r` in mm; MPa, tension positive.
    ///
    /// # Errors
    /// [`OutOfRange`] when `r` lies outside the wall.
    fn stress(&self, r: f64) -> Result<Polar, OutOfRange> {
        Ok(self.stress_within(within("radius", r, self.inner(), self.outer())?))
    }

    /// Hoop stress at radius `r` in mm; MPa, tension positive.
    ///
    /// # Errors
    /// [`OutOfRange`] when `r` lies outside the wall.
    fn hoop(&self, r: f64) -> Result<f64, OutOfRange> {
        Ok(self.stress(r)?.hoop)
    }

    /// Radial stress at radius `r` in mm; MPa, tension positive.
    ///
    /// # Errors
    /// [`OutOfRange`] when `r` lies outside the wall.
    fn radial(&self, r: f64) -> Result<f64, OutOfRange> {
        Ok(self.stress(r)?.radial)
    }

    /// Hoop stress against distance from the hole edge, down to `depth` in mm, in
    /// `pieces` straight pieces of equal length (one at least).
    ///
    /// # Errors
    /// [`OutOfRange`] when `depth` is not positive or leaves the wall.
    fn hoop_profile(&self, depth: f64, pieces: u32) -> Result<Profile, OutOfRange> {
        positive("depth", depth)?;
        let pieces = pieces.max(1);
        let distances: Vec<f64> =
            (0..=pieces).map(|k| depth * f64::from(k) / f64::from(pieces)).collect();
        let hoop = distances
            .iter()
            .map(|distance| self.hoop(self.inner() + distance))
            .collect::<Result<_, _>>()?;
        Ok(Profile::new(distances, hoop))
    }
}

/// The field `σr,θ = K (1/b² ∓ 1/r²)` that every elastic wall free at its outer
/// radius `b` carries; `strength` is `K` in MPa·mm². No stress through the thickness.
pub(crate) fn elastic_wall(strength: f64, outer: f64, r: f64) -> Polar {
    let (uniform, varying) = (strength / (outer * outer), strength / (r * r));
    Polar { radial: uniform - varying, hoop: uniform + varying, axial: 0.0, shear: 0.0 }
}

/// Strength `K = p a² / (1 − a²/b²)` of the elastic wall under internal pressure `p`.
pub(crate) fn elastic_strength(pressure: f64, inner: f64, outer: f64) -> f64 {
    pressure * inner * inner / (1.0 - (inner / outer).powi(2))
}

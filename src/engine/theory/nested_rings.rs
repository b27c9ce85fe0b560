//! Elastic rings one in another: stepped discs, press fits, shrink fits.
//!
//! ```text
//!     ring 1      ring 2         At a radius that two rings share, the radial force per length of
//!   |████████|▒▒▒▒▒▒▒▒▒▒▒|       arc t·σr is the same on either side, and the outer ring stands
//!   a        b           c       farther out than the inner one by the interference.
//! ```
//!
//! Each ring has its own elastic constants, thickness and free thermal strain. In a ring under line
//! forces, `u = A r + B/r` (Lamé); the forces at the shared radii follow from as many equations.
//!
//! Takes as given: elastic, isotropic, small strains, plane stress, one middle plane, rings that touch all
//! round without friction. Valid while nothing yields and no force at a fit is tensile.
//!
//! Source: G. Lamé; the fit of two rings of one metal, `p = E δ (b² − a²)(c² − b²) / (2 b³ (c² − a²))`, is
//! in S. Timoshenko, Strength of Materials II (from memory); the rest derived.
//!
//! Trap: pressures on the two sides of a step differ, forces do not.

use crate::material::elasticity::Elasticity;
use crate::theory::range::{OutOfRange, elastic_constants, positive, wall, within};

/// One ring. Lengths in mm.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct NestedRing {
    /// Outer radius; only that of the last may be infinite.
    pub outer: f64,
    /// Thickness.
    pub thickness: f64,
    /// Elastic constants.
    pub elasticity: Elasticity,
    /// Strain that the free ring would have, by heat for instance.
    pub free_strain: f64,
    /// How much larger its free outer radius is than the free inner radius of the next ring, before any
    /// free strain; not read of the last.
    pub interference: f64,
}

/// Rings from the inside out, under internal pressure.
#[derive(Clone, Debug, PartialEq)]
pub struct NestedRings {
    inner: f64,
    rings: Vec<NestedRing>,
    /// Radial line forces at the inner edge, at the shared radii, and at the outer edge, N/mm,
    /// positive in compression.
    forces: Vec<f64>,
}

impl NestedRings {
    /// Rings that begin at radius `inner` (mm), with `pressure` (MPa) there and nothing outside.
    ///
    /// # Errors
    /// [`OutOfRange`] for radii that do not rise or constants that are no solid.
    pub fn new(inner: f64, rings: &[NestedRing], pressure: f64) -> Result<Self, OutOfRange> {
        let pressure = within("pressure", pressure, f64::MIN, f64::MAX)?;
        let mut radius = inner;
        for ring in rings {
            wall(radius, ring.outer)?;
            positive("thickness", ring.thickness)?;
            elastic_constants(&ring.elasticity)?;
            radius = ring.outer;
        }
        let first = rings.first().map_or(0.0, |ring| ring.thickness * pressure);
        let mut forces = vec![0.0; rings.len() + 1];
        forces[0] = first;
        let mut found = Self { inner, rings: rings.to_vec(), forces };
        found.fit();
        Ok(found)
    }

    /// Solves for the forces at the shared radii: three neighbours in every equation.
    fn fit(&mut self) {
        let count = self.rings.len().saturating_sub(1);
        let (mut below, mut on, mut above, mut right) =
            (vec![0.0; count], vec![0.0; count], vec![0.0; count], vec![0.0; count]);
        for k in 0..count {
            let (a, b) = (&self.rings[k], &self.rings[k + 1]);
            let radius = a.outer;
            // Displacements of the inner ring at its outside, of the outer one at its inside.
            let by = |ring: usize, forces: [f64; 2]| self.displacement_by(ring, forces, radius);
            below[k] = -by(k, [1.0, 0.0]);
            on[k] = by(k + 1, [1.0, 0.0]) - by(k, [0.0, 1.0]);
            above[k] = by(k + 1, [0.0, 1.0]);
            right[k] = a.interference + (a.free_strain - b.free_strain) * radius;
        }
        if count > 0 {
            right[0] -= below[0] * self.forces[0];
        }
        for k in 1..count {
            let share = below[k] / on[k - 1];
            on[k] -= share * above[k - 1];
            right[k] -= share * right[k - 1];
        }
        for k in (0..count).rev() {
            let next = if k + 1 < count { above[k] * self.forces[k + 2] } else { 0.0 };
            self.forces[k + 1] = (right[k] - next) / on[k];
        }
    }

    fn radii(&self, ring: usize) -> [f64; 2] {
        let inner = if ring == 0 { self.inner } else { self.rings[ring - 1].outer };
        [inner, self.rings[ring].outer]
    }

    /// Constants of `σr,θ = A ∓ B/r²` of a ring under line forces inside and outside.
    fn constants(&self, ring: usize, [inside, outside]: [f64; 2]) -> [f64; 2] {
        let [a, b] = self.radii(ring);
        let thickness = self.rings[ring].thickness;
        let (p, q) = (inside / thickness, outside / thickness);
        if b.is_infinite() {
            return [0.0, p * a * a];
        }
        let wide = b * b - a * a;
        [(p * a * a - q * b * b) / wide, (p - q) * a * a * b * b / wide]
    }

    fn displacement_by(&self, ring: usize, forces: [f64; 2], radius: f64) -> f64 {
        let Elasticity { youngs_modulus, poissons_ratio } = self.rings[ring].elasticity;
        let [a, b] = self.constants(ring, forces);
        ((1.0 - poissons_ratio) * a * radius + (1.0 + poissons_ratio) * b / radius) / youngs_modulus
    }

    /// Pressure that ring `ring` (from 0) feels at its outside, MPa.
    #[must_use]
    pub fn pressure_outside(&self, ring: usize) -> f64 {
        self.forces[ring + 1] / self.rings[ring].thickness
    }

    /// `[radial, hoop]` stress in ring `ring` (from 0), MPa.
    ///
    /// # Errors
    /// [`OutOfRange`] for a radius outside the ring.
    pub fn stress(&self, ring: usize, radius: f64) -> Result<[f64; 2], OutOfRange> {
        let [inner, outer] = self.radii(ring);
        let radius = within("radius", radius, inner, outer)?;
        let [a, b] = self.constants(ring, [self.forces[ring], self.forces[ring + 1]]);
        let fall = b / (radius * radius);
        Ok([a - fall, a + fall])
    }

    /// Radial displacement of a place of ring `ring` (from 0), mm, from where it is free and cold.
    ///
    /// # Errors
    /// [`OutOfRange`] for a radius outside the ring.
    pub fn displacement(&self, ring: usize, radius: f64) -> Result<f64, OutOfRange> {
        let [inner, outer] = self.radii(ring);
        let radius = within("radius", radius, inner, outer)?;
        let forces = [self.forces[ring], self.forces[ring + 1]];
        Ok(self.displacement_by(ring, forces, radius) + self.rings[ring].free_strain * radius)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::material::idealisation::Idealisation;
    use crate::theory::field::RotationalField;
    use crate::theory::lame::Ring;
    use approx::assert_relative_eq;

    const STEEL: Elasticity = Elasticity { youngs_modulus: 210_000.0, poissons_ratio: 0.3 };
    const ALUMINIUM: Elasticity = Elasticity { youngs_modulus: 72_000.0, poissons_ratio: 0.33 };

    fn ring(outer: f64, elasticity: Elasticity) -> NestedRing {
        NestedRing { outer, thickness: 4.0, elasticity, free_strain: 0.0, interference: 0.0 }
    }

    #[test]
    fn rings_that_differ_in_nothing_are_one() {
        let three = [14.0, 20.0, 30.0].map(|outer| ring(outer, STEEL));
        let rings = NestedRings::new(10.0, &three, 60.0).expect("rings");
        let one = Ring::new(10.0, 30.0, STEEL, Idealisation::PlaneStress).expect("a ring");
        let one = one.at_pressure(60.0).expect("a pressure");
        for (index, radius) in [(0, 10.0), (0, 14.0), (1, 14.0), (1, 17.0), (2, 30.0)] {
            let [radial, hoop] = rings.stress(index, radius).expect("within");
            assert_relative_eq!(hoop, one.hoop(radius).expect("within"), max_relative = 1e-12);
            assert_relative_eq!(radial, one.radial(radius).expect("within"), epsilon = 1e-9);
        }
        let moved = rings.displacement(2, 30.0).expect("within");
        assert_relative_eq!(moved, one.displacement(30.0).expect("within"), max_relative = 1e-12);
    }

    #[test]
    fn a_press_fit_of_one_metal_has_the_pressure_of_the_books() {
        let (a, b, c, delta) = (10.0_f64, 20.0_f64, 40.0_f64, 0.02);
        let two = [NestedRing { interference: delta, ..ring(b, STEEL) }, ring(c, STEEL)];
        let rings = NestedRings::new(a, &two, 0.0).expect("rings");
        let book = 210_000.0 * delta * (b * b - a * a) * (c * c - b * b)
            / (2.0 * b.powi(3) * (c * c - a * a));
        assert_relative_eq!(rings.pressure_outside(0), book, max_relative = 1e-12);
    }

    #[test]
    fn heat_alone_does_what_an_interference_does_and_a_free_part_grows_without_stress() {
        let hot = [NestedRing { free_strain: 1e-3, ..ring(20.0, STEEL) }, ring(40.0, ALUMINIUM)];
        let fit = [NestedRing { interference: 0.02, ..ring(20.0, STEEL) }, ring(40.0, ALUMINIUM)];
        let [hot, fit] = [hot, fit].map(|two| NestedRings::new(10.0, &two, 0.0).expect("rings"));
        assert_relative_eq!(hot.pressure_outside(0), fit.pressure_outside(0), max_relative = 1e-12);
        let even = [ring(20.0, STEEL), ring(40.0, STEEL)]
            .map(|one| NestedRing { free_strain: 2e-3, ..one });
        let even = NestedRings::new(10.0, &even, 0.0).expect("rings");
        assert_relative_eq!(even.pressure_outside(0), 0.0, epsilon = 1e-9);
        assert_relative_eq!(
            even.displacement(1, 40.0).expect("within"),
            0.08,
            max_relative = 1e-12
        );
    }

    #[test]
    fn a_step_carries_the_force_and_not_the_pressure() {
        let two = [NestedRing { thickness: 8.0, ..ring(20.0, STEEL) }, ring(40.0, STEEL)];
        let rings = NestedRings::new(10.0, &two, 50.0).expect("rings");
        let [inside, _] = rings.stress(0, 20.0).expect("within");
        let [outside, _] = rings.stress(1, 20.0).expect("within");
        assert_relative_eq!(8.0 * inside, 4.0 * outside, max_relative = 1e-12);
        let [u, v] = [0, 1].map(|ring| rings.displacement(ring, 20.0).expect("within"));
        assert_relative_eq!(u, v, max_relative = 1e-12);
    }
}

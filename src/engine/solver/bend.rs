//! Strains of the increment before, which the path of the next one begins with; see
//! [`material::bend`](crate::material::bend).

use std::f64::consts::FRAC_1_SQRT_2;

use nalgebra::Vector4;

use crate::material::elasticity::Elasticity;
use crate::solver::state::State;

/// Strains of the integration points in the last increment of a phase.
#[derive(Clone, Debug, Default)]
pub(crate) struct Bend {
    /// Strains by unit of the share, `(εxx, εyy, εzz, γxy)`; empty before the first increment.
    rates: Vec<Vector4<f64>>,
    /// Those of the increment at hand.
    now: Vec<Vector4<f64>>,
    /// The strains that they would add in the increment at hand.
    pub(crate) before: Vec<Vector4<f64>>,
}

impl Bend {
    /// A phase begins: nothing is known.
    pub(crate) fn clear(&mut self) {
        self.rates.clear();
        self.before.clear();
    }

    /// An increment of `size` begins.
    pub(crate) fn begin(&mut self, size: f64) {
        self.before.clear();
        self.before.extend(self.rates.iter().map(|rate| rate * size));
    }

    /// An increment of `size` led from `old` to `new`: elastic strains from the stresses, and the plastic ones. (In plane
    /// stress the strain through the thickness is what the stresses make it.) The answer is the largest turn in metal that
    /// yields: how far its strain came from where the increment before would have led it.
    pub(crate) fn turn(
        &mut self,
        (old, new): (&State, &State),
        elasticities: impl Iterator<Item = Elasticity>,
        size: f64,
    ) -> f64 {
        let known = self.rates.len() == old.points.len();
        let mut turn = 0.0_f64;
        self.now.clear();
        let points = old.points.iter().zip(&new.points);
        let stresses = old.conjugate.iter().zip(&new.conjugate);
        for (((from, to), (begin, end)), elasticity) in points.zip(stresses).zip(elasticities) {
            let change = end - begin;
            let (young, nu) = (elasticity.youngs_modulus, elasticity.poissons_ratio);
            let trace = nu * (change[0] + change[1] + change[2]);
            let direct = |part: f64| ((1.0 + nu) * part - trace) / young;
            let shear = 2.0 * (1.0 + nu) / young * change[3];
            let elastic =
                Vector4::new(direct(change[0]), direct(change[1]), direct(change[2]), shear);
            let now = (elastic + to.plastic_strain - from.plastic_strain) / size;
            if known && to.equivalent > from.equivalent {
                let apart = size * (now - self.rates[self.now.len()]);
                let shear = FRAC_1_SQRT_2 * apart[3];
                turn = turn.max(Vector4::new(apart[0], apart[1], apart[2], shear).norm());
            }
            self.now.push(now);
        }
        turn
    }

    /// The increment at hand is taken.
    pub(crate) fn accept(&mut self) {
        std::mem::swap(&mut self.rates, &mut self.now);
    }
}

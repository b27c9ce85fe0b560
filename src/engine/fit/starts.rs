//! Where the search for the constants of a metal begins, and the limits it keeps.
//!
//! The smallest sum of squares of a law with several terms is not the only one, so the search begins at
//! several places: some of the hardening isotropic and most kinematic, or the other way round; rates
//! that are slow, middling and fast for the strain of the tests.

use crate::fit::record::Record;
use crate::material::constant::Constant;
use crate::material::hardening::{Isotropic, Material};

/// Elastic points lie below this share of the largest stress.
const ELASTIC: f64 = 0.35;

/// Shares of the offset stress that the yield surface is taken to have.
const YIELDS: [f64; 3] = [0.5, 0.75, 0.95];

/// Factors of the rates.
const RATES: [f64; 3] = [0.3, 1.0, 3.0];

/// Shares of the hardening that are taken to be kinematic.
const KINEMATIC: [f64; 2] = [0.3, 0.7];

/// The tests in a few numbers.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Look {
    /// Slope of the first part, MPa.
    pub modulus: f64,
    /// Stress at 0.2 % plastic strain of the first pull, MPa.
    pub offset_stress: f64,
    /// Largest stress, MPa.
    pub largest: f64,
    /// Largest plastic strain, about.
    pub plastic: f64,
}

impl Look {
    /// Looks at `records`; `modulus` is Young's modulus in MPa, when it is known.
    #[must_use]
    pub fn at(records: &[Record], modulus: Option<f64>) -> Self {
        let largest = records.iter().map(Record::largest_stress).fold(0.0, f64::max);
        let modulus = modulus.unwrap_or_else(|| slope(records, ELASTIC * largest));
        let plastic = records
            .iter()
            .flat_map(|record| record.strains.iter().zip(&record.stresses))
            .map(|(strain, stress)| (strain - stress / modulus).abs())
            .fold(1e-4, f64::max);
        let offset = |record: &Record| {
            let first = record.first_pull();
            let points = record.strains[..first].iter().zip(&record.stresses[..first]);
            let mut beyond = points.filter(|(e, s)| (**e - **s / modulus).abs() >= 0.002);
            beyond.next().map(|(_, stress)| stress.abs())
        };
        let offset_stress = records.iter().find_map(offset).unwrap_or(0.8 * largest);
        Self { modulus, offset_stress, largest, plastic }
    }

    /// Limits that a constant keeps unless the user gives others.
    #[must_use]
    pub fn limits(&self, constant: Constant) -> [f64; 2] {
        match constant {
            Constant::YoungsModulus => [0.5 * self.modulus, 2.0 * self.modulus],
            Constant::YieldStress | Constant::PointStress(_) => {
                [0.02 * self.largest, 1.5 * self.largest]
            }
            Constant::Slope => [1e-5 * self.modulus, 0.5 * self.modulus],
            Constant::Saturation(_) => [1e-4 * self.largest, 3.0 * self.largest],
            Constant::Rate(_) | Constant::Recall(_) => [0.02 / self.plastic, 3e3 / self.plastic],
            Constant::Exponent => [1.5, 200.0],
            Constant::Modulus(_) => [1e-5 * self.modulus, 10.0 * self.modulus],
        }
    }

    /// The metals that the search begins with; `like` has the law and the number of its terms.
    #[must_use]
    pub fn starts(&self, like: &Material) -> Vec<Material> {
        let of_rates = |yields: f64, kinematic: f64| {
            RATES.map(|rates| self.start(like, (yields, kinematic, rates)))
        };
        let of_shares = |yields: f64| KINEMATIC.map(|kinematic| of_rates(yields, kinematic));
        YIELDS.map(of_shares).into_iter().flatten().flatten().collect()
    }

    fn start(&self, like: &Material, (yields, kinematic, rates): (f64, f64, f64)) -> Material {
        let mut metal = like.clone();
        metal.elasticity.youngs_modulus = self.modulus;
        metal.yield_stress = yields * self.offset_stress;
        let rise = (self.largest - metal.yield_stress).max(0.02 * self.largest);
        let share = if like.kinematic.is_empty() { 0.0 } else { kinematic };
        let isotropic = (1.0 - share) * rise;
        match &mut metal.isotropic {
            Isotropic::None => {}
            Isotropic::Linear { slope } => *slope = isotropic / self.plastic,
            Isotropic::Voce { terms, slope } => {
                let count = terms.len() as f64;
                let mut rate = 3.0 * rates / self.plastic;
                for term in terms {
                    (term.saturation, term.rate) = (isotropic / count, rate);
                    rate *= 8.0;
                }
                if *slope != 0.0 {
                    *slope = 0.2 * isotropic / self.plastic;
                }
            }
            Isotropic::RambergOsgood { exponent } => {
                *exponent = 10.0 * rates;
                metal.yield_stress = self.offset_stress * (1.0 - 0.5 * share);
            }
            Isotropic::Table { points, .. } => {
                let last = points.last().map_or(1.0, |point| point[0]).max(f64::MIN_POSITIVE);
                for point in points {
                    point[1] = metal.yield_stress + isotropic * (point[0] / last).powf(0.4);
                }
            }
        }
        let count = metal.kinematic.len() as f64;
        let mut recall = 30.0 * rates / self.plastic;
        for term in &mut metal.kinematic {
            (term.modulus, term.recall) = (share * rise / count * recall, recall);
            recall /= 8.0;
        }
        metal
    }
}

/// Slope through the origin of the points of all first pulls below a stress.
fn slope(records: &[Record], below: f64) -> f64 {
    let mut sums = [0.0, f64::MIN_POSITIVE];
    for record in records {
        let first = record.first_pull();
        for (strain, stress) in record.strains[..first].iter().zip(&record.stresses[..first]) {
            if stress.abs() < below {
                sums[0] += strain * stress;
                sums[1] += strain * strain;
            }
        }
    }
    if sums[0] > 0.0 { sums[0] / sums[1] } else { 1e5 }
}

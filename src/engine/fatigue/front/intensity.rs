//! Stress intensity at the two tips of a growing part-elliptical crack, kept on a grid of sizes.
//!
//! The parts of K come from the influence coefficients of corner cracks or from the published equations
//! ([`IntensitySource`], [`crate::fatigue::front::parts`]); between the sizes of the grid they are interpolated over
//! a smooth reference. K is read at 5° from the face for the tip on the face and at 80° for the tip in the bore
//! ([`ANGLES`]): at 0° and 90° the singularity is not that of a crack, and lives by those angles differ by a third.
//!
//! A through crack (`ThroughTable`) follows when `a` reaches the thickness.

use rayon::prelude::*;

use crate::fatigue::front::parts::{
    FrontCrack, IntensitySource, PARTS, PartsReader, Reference, TipParts,
};
use crate::fatigue::weight_function::WeightError;

/// Parametric angles at which growth reads K, degrees: on the face, in the bore.
pub const ANGLES: [f64; 2] = [5.0, 80.0];

/// Sizes on the grid along the bore, and along the face, where the residual field makes K bend.
const SIZES: [usize; 2] = [36, 44];
/// The depth at which the places of the grid run away, over the largest.
const REACH: f64 = 1.05;

/// Parts of K at both tips for all sizes of a crack.
#[derive(Clone, Debug, PartialEq)]
pub struct FrontTable {
    thickness: f64,
    /// First and last `a` and `c`, mm.
    ends: [[f64; 2]; 2],
    source: IntensitySource,
    reference: Reference,
    /// Parts of K over the reference intensity, by tip and part; `a` outside.
    values: Vec<[[f64; PARTS]; 2]>,
}

impl FrontTable {
    /// Parts for cracks from `least` mm up to the thickness, and to the longest through crack.
    ///
    /// # Errors
    /// [`WeightError`] when the stresses are not finite or the least crack is no crack.
    pub fn new(
        crack: &FrontCrack,
        least: f64,
        wanted: IntensitySource,
    ) -> Result<Self, WeightError> {
        let longest = crack.geometry.longest();
        crack.geometry.valid_length(least)?;
        if crack.load.values().is_empty() {
            return Err(WeightError::EmptyProfile);
        }
        let finite = crack.load.values().iter().all(|value| value.is_finite());
        if !(finite && crack.residual.is_finite()) {
            return Err(WeightError::NotFinite);
        }
        let ends = [[least, crack.deepest()], [least, longest]].map(|[low, high]| {
            let high: f64 = high.max(1.001 * low);
            [low, high]
        });
        let reader = PartsReader::new(crack, &ANGLES, wanted);
        let size = |side: usize, k: usize| {
            let [low, high] = ends[side].map(|end| place(side, ends[side][1], end));
            size_at(side, ends[side][1], low + (high - low) * k as f64 / (SIZES[side] - 1) as f64)
        };
        let of_length = |j: usize| -> Vec<[[f64; PARTS]; 2]> {
            let column = reader.column(size(1, j));
            let tips = |i: usize| {
                let tips = reader.shares(&column, size(0, i));
                [tips[0], tips[1]]
            };
            (0..SIZES[0]).map(tips).collect()
        };
        let columns: Vec<_> = (0..SIZES[1]).into_par_iter().map(of_length).collect();
        let values = (0..SIZES[0]).flat_map(|i| columns.iter().map(move |column| column[i]));
        let values = values.collect();
        let (source, reference) = (reader.source(), reader.reference());
        Ok(Self { thickness: crack.thickness, ends, source, reference, values })
    }

    /// Where its stress intensities come from.
    #[must_use]
    pub fn source(&self) -> IntensitySource {
        self.source
    }

    /// Thickness of the plate, mm.
    #[must_use]
    pub fn thickness(&self) -> f64 {
        self.thickness
    }

    /// Longest crack along the face, mm, and deepest along the bore.
    #[must_use]
    pub fn longest(&self) -> [f64; 2] {
        [self.ends[1][1], self.ends[0][1]]
    }

    /// Parts at the tip on the face and at the tip in the bore, by cubics in the places of the sizes.
    #[must_use]
    pub fn at(&self, [a, c]: [f64; 2]) -> [TipParts; 2] {
        let (i, u) = cell(0, self.ends[0], a);
        let (j, v) = cell(1, self.ends[1], c);
        let (wu, wv) = (cubic(i, SIZES[0], u), cubic(j, SIZES[1], v));
        let mut sum = [[0.0; PARTS]; 2];
        for (p, wu) in wu.into_iter().enumerate() {
            let row = held(i, SIZES[0], p) * SIZES[1];
            for (q, wv) in wv.into_iter().enumerate() {
                let value = &self.values[row + held(j, SIZES[1], q)];
                for tip in 0..2 {
                    for part in 0..PARTS {
                        sum[tip][part] += wu * wv * value[tip][part];
                    }
                }
            }
        }
        [0, 1].map(|tip| {
            let unit = self.reference.at([a, c], ANGLES[tip]);
            TipParts::new(sum[tip].map(|share| unit * share))
        })
    }
}

/// Variable in which the sizes of a side of the grid are evenly spaced: the logarithm of the length, and for the depth that
/// of `a/(1.05 a_max − a)`, stretched towards the far face as the coefficients are.
fn place(side: usize, largest: f64, size: f64) -> f64 {
    if side == 0 { (size / (REACH * largest - size)).ln() } else { size.ln() }
}

/// Size at a place; the inverse of [`place`].
fn size_at(side: usize, largest: f64, place: f64) -> f64 {
    let whole = place.exp();
    if side == 0 { REACH * largest * whole / (1.0 + whole) } else { whole }
}

/// Cell of a size on a side of the grid, and the place in it from 0 to 1.
fn cell(side: usize, [least, most]: [f64; 2], size: f64) -> (usize, f64) {
    let count = SIZES[side];
    let [low, high, at] = [least, most, size.min(most)].map(|size| place(side, most, size));
    let place = (at - low) / (high - low) * (count - 1) as f64;
    let place = place.clamp(0.0, (count - 1) as f64);
    #[allow(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "positive and bounded on the line above"
    )]
    let below = (place as usize).min(count - 2);
    (below, place - below as f64)
}

/// Number of the `k`-th of the four sizes about a cell, held within the grid.
fn held(cell: usize, count: usize, k: usize) -> usize {
    (cell + k).saturating_sub(1).min(count - 1)
}

/// Weights of the four neighbours of a cell at `u` between its ends, continuous in value and slope; beyond
/// the grid the values go on in a straight line. Source: E. Catmull, R. Rom (1974), from memory.
fn cubic(cell: usize, count: usize, u: f64) -> [f64; 4] {
    let (square, cube) = (u * u, u * u * u);
    let mut weights = [
        0.5 * (-u + 2.0 * square - cube),
        0.5 * (2.0 - 5.0 * square + 3.0 * cube),
        0.5 * (u + 4.0 * square - 3.0 * cube),
        0.5 * (-square + cube),
    ];
    if cell == 0 {
        let [beyond, ..] = weights;
        weights = [0.0, weights[1] + 2.0 * beyond, weights[2] - beyond, weights[3]];
    }
    if cell == count - 2 {
        let [.., beyond] = weights;
        weights = [weights[0], weights[1] - beyond, weights[2] + 2.0 * beyond, 0.0];
    }
    weights
}

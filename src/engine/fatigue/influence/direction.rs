//! One direction of the places of a stress field: where it is sampled, and the piecewise quadratic nearest to the samples.
//!
//! The field is replaced by its best fit in the mean square, not by its values at the places. What the
//! fit leaves out is orthogonal to every piecewise quadratic, so that the error of K is that of the fit times that of a fit
//! to the weight function. Fields with kinks inside an element, such as a residual field at reverse yielding, lose by this a
//! third to nine tenths of the error (`verification/corner-cracks/README.md`).

use nalgebra::DMatrix;

use crate::numeric::gauss::LINE_3;

/// Samples of a direction and their fit.
#[derive(Clone, Debug)]
pub(super) struct Direction {
    /// Where the field is sampled, from 0 to 1: three Gauss points in every element.
    pub samples: Vec<f64>,
    /// `(places, samples)`: the values at the places of the best fit.
    fit: DMatrix<f64>,
}

impl Direction {
    /// For `places` that are ends and middles of elements, rising from 0 to 1.
    pub(super) fn new(places: &[f64]) -> Self {
        let elements = (places.len() - 1) / 2;
        let count = elements * LINE_3.len();
        let mut samples = Vec::with_capacity(count);
        let mut weighted = DMatrix::zeros(places.len(), count);
        let mut shapes = DMatrix::zeros(places.len(), count);
        for element in 0..elements {
            let (low, high) = (places[2 * element], places[2 * element + 2]);
            for (at, weight) in LINE_3 {
                let column = samples.len();
                let s = 0.5 * (1.0 + at);
                samples.push(low + (high - low) * s);
                let own = [(1.0 - s) * (1.0 - 2.0 * s), 4.0 * s * (1.0 - s), s * (2.0 * s - 1.0)];
                for (k, shape) in own.into_iter().enumerate() {
                    shapes[(2 * element + k, column)] = shape;
                    weighted[(2 * element + k, column)] = 0.5 * (high - low) * weight * shape;
                }
            }
        }
        // Three points integrate the products of quadratics exactly.
        let mass = &weighted * shapes.transpose();
        let fit = mass.lu().solve(&weighted).expect("shape functions are independent");
        Self { samples, fit }
    }

    /// Values at the places of two directions, this one first, of the best fit to `stress` at the samples.
    pub(super) fn fitted(&self, other: &Self, stress: &[f64]) -> Vec<f64> {
        let samples = DMatrix::from_row_slice(self.samples.len(), other.samples.len(), stress);
        let values = &self.fit * samples * other.fit.transpose();
        values.transpose().as_slice().to_vec()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Property of the fit: a piecewise quadratic is its own best fit, and what is left of any other field is
    /// orthogonal to all of them (with the rule of three points).
    #[test]
    fn a_piecewise_quadratic_is_its_own_fit() {
        let (x, z) = ([0.0, 0.02, 0.04, 0.52, 1.0], [0.0, 0.25, 0.5, 0.75, 1.0]);
        let (across, along) = (Direction::new(&x), Direction::new(&z));
        // A kink where elements meet.
        let field = |x: f64, z: f64| (1.0 + x - 3.0 * x * x) * (z - 0.5).abs() + z * z;
        let pairs = across.samples.iter().flat_map(|x| along.samples.iter().map(move |z| (x, z)));
        let stress: Vec<f64> = pairs.map(|(x, z)| field(*x, *z)).collect();
        let found = across.fitted(&along, &stress);
        let places = x.iter().flat_map(|x| z.iter().map(move |z| (x, z)));
        for (found, (x, z)) in found.iter().zip(places) {
            assert!((found - field(*x, *z)).abs() < 1e-12, "{x} {z}: {found}");
        }
    }
}

//! Polynomials of two variables through full solutions, on which a thousand made measurements are fitted in a second.

use std::f64::consts::PI;

use rayon::prelude::*;

use hoopset::fit::least_squares::{Deviations, Model};

/// Numbers of a solution by polynomials through Chebyshev points of the variables of a search.
pub(crate) struct Surrogate {
    nodes: [Vec<f64>; 2],
    /// Numbers of each node, the second variable fastest.
    values: Vec<Vec<f64>>,
}

impl Surrogate {
    /// About a middle, so far to either side, through so many solutions along each variable.
    pub(crate) fn new(
        (middle, half): ([f64; 2], [f64; 2]),
        counts: [usize; 2],
        full: impl Fn([f64; 2]) -> Vec<f64> + Sync,
    ) -> Self {
        let nodes = [0, 1].map(|k| -> Vec<f64> {
            let turn = |j: usize| PI * (j as f64 + 0.5) / counts[k] as f64;
            (0..counts[k]).map(|j| middle[k] + half[k] * turn(j).cos()).collect()
        });
        let all: Vec<[f64; 2]> =
            nodes[0].iter().flat_map(|a| nodes[1].iter().map(|b| [*a, *b])).collect();
        let values = all.par_iter().with_max_len(1).map(|at| full(*at)).collect();
        Self { nodes, values }
    }

    /// By Lagrange's polynomials.
    pub(crate) fn at(&self, x: &[f64]) -> Vec<f64> {
        let weights = [0, 1].map(|k| -> Vec<f64> {
            let nodes = &self.nodes[k];
            let one = |j: usize| {
                let others = nodes.iter().enumerate().filter(move |(i, _)| *i != j);
                others.map(|(_, node)| (x[k] - node) / (nodes[j] - node)).product()
            };
            (0..nodes.len()).map(one).collect()
        });
        let both = weights[0].iter().flat_map(|a| weights[1].iter().map(move |b| a * b));
        let mut sum = vec![0.0; self.values[0].len()];
        for (weight, own) in both.zip(&self.values) {
            sum.iter_mut().zip(own).for_each(|(sum, value)| *sum += weight * value);
        }
        sum
    }

    /// Derivatives by each variable.
    pub(crate) fn slopes(&self, x: &[f64]) -> [Vec<f64>; 2] {
        [0, 1].map(|k| {
            let [below, above] = [-1e-4, 1e-4].map(|by| {
                let mut moved = x.to_vec();
                moved[k] += by;
                self.at(&moved)
            });
            above.iter().zip(below).map(|(above, below)| (above - below) / 2e-4).collect()
        })
    }
}

/// Scattered data, each `[value, standard error]`, of the first numbers of a surrogate.
pub(crate) struct Fit<'a> {
    pub(crate) made: &'a Surrogate,
    pub(crate) data: Vec<[f64; 2]>,
}

impl Model for Fit<'_> {
    fn points(&self) -> usize {
        self.data.len()
    }

    fn deviations(&self, x: &[f64]) -> Option<Deviations> {
        let off = self.made.at(x).into_iter().zip(&self.data);
        let values = off.map(|(computed, [read, error])| (computed - read) / error).collect();
        let columns = self.made.slopes(x).map(|slopes| {
            slopes.iter().zip(&self.data).map(|(slope, [_, error])| slope / error).collect()
        });
        Some(Deviations { values, columns: columns.to_vec() })
    }
}

//! One direction of a table: a cubic spline through its nodes, as shares of the values there.
//!
//! The spline is of the kind whose third derivative also agrees at the last inner nodes ("not a
//! knot"), in a variable in which the tabulated values change evenly. Three nodes give their parabola,
//! two their line, one its value.

use nalgebra::{DMatrix, DVector};

/// Variable in which the spline is cubic.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Scale {
    /// Logarithm of the quantity, for ratios of lengths.
    Logarithm,
    /// `−ln(1.05 − d)` for the depth over the thickness: stretched towards the far face.
    ToFarFace,
}

impl Scale {
    fn place(self, value: f64) -> f64 {
        match self {
            Self::Logarithm => value.ln(),
            Self::ToFarFace => -(1.05 - value).ln(),
        }
    }
}

/// Nodes of one direction.
#[derive(Clone, Debug)]
pub(super) struct Axis {
    nodes: Vec<f64>,
    scale: Scale,
    places: Vec<f64>,
    /// Second derivatives at the nodes for unit values, one column for each node.
    curvature: DMatrix<f64>,
}

impl Axis {
    /// An axis with rising nodes, at least one.
    pub(super) fn new(nodes: Vec<f64>, scale: Scale) -> Self {
        let places: Vec<f64> = nodes.iter().map(|node| scale.place(*node)).collect();
        let n = places.len();
        let step = |k: usize| places[k + 1] - places[k];
        let (mut left, mut right) = (DMatrix::zeros(n, n), DMatrix::zeros(n, n));
        for k in 1..n.max(2) - 1 {
            let (before, after) = (step(k - 1), step(k));
            left[(k, k - 1)] = before / 6.0;
            left[(k, k)] = (before + after) / 3.0;
            left[(k, k + 1)] = after / 6.0;
            right[(k, k - 1)] = 1.0 / before;
            right[(k, k)] = -1.0 / before - 1.0 / after;
            right[(k, k + 1)] = 1.0 / after;
        }
        match n {
            // No bend: a value or a line.
            1 | 2 => left.fill_with_identity(),
            // One parabola: the second derivative is the same at all nodes.
            3 => {
                (left[(0, 0)], left[(0, 1)], left[(2, 1)], left[(2, 2)]) = (1.0, -1.0, -1.0, 1.0);
            }
            _ => {
                for (row, k) in [(0, 0), (n - 1, n - 3)] {
                    left[(row, k)] = -1.0 / step(k);
                    left[(row, k + 1)] = 1.0 / step(k) + 1.0 / step(k + 1);
                    left[(row, k + 2)] = -1.0 / step(k + 1);
                }
            }
        }
        let curvature = left.lu().solve(&right).expect("nodes are distinct, so the spline exists");
        Self { nodes, scale, places, curvature }
    }

    /// Lowest and highest node.
    pub(super) fn range(&self) -> [f64; 2] {
        [self.nodes[0], self.nodes[self.nodes.len() - 1]]
    }

    /// Number of nodes.
    pub(super) fn len(&self) -> usize {
        self.nodes.len()
    }

    /// Shares of the values at the nodes in the value at `value`, held at the ends of the range.
    pub(super) fn shares(&self, value: f64) -> Vec<f64> {
        let [low, high] = self.range();
        if self.nodes.len() == 1 {
            return vec![1.0];
        }
        let at = self.scale.place(value.clamp(low, high));
        let last = self.nodes.len() - 2;
        let k = self.places.partition_point(|place| *place <= at).saturating_sub(1).min(last);
        let step = self.places[k + 1] - self.places[k];
        let (near, far) = ((self.places[k + 1] - at) / step, (at - self.places[k]) / step);
        let bend = |s: f64| (s.powi(3) - s) * step * step / 6.0;
        let mut shares: DVector<f64> = self.curvature.row(k).transpose() * bend(near)
            + self.curvature.row(k + 1).transpose() * bend(far);
        shares[k] += near;
        shares[k + 1] += far;
        shares.iter().copied().collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Property of the spline: any cubic of the scaled variable is reproduced, from four nodes on.
    #[test]
    fn a_cubic_is_interpolated_exactly() {
        for nodes in [vec![0.2, 0.5, 1.2, 3.0], vec![0.2, 0.45, 1.0, 2.0, 4.0]] {
            let axis = Axis::new(nodes.clone(), Scale::Logarithm);
            let cubic = |v: f64| 1.0 + 2.0 * v.ln() - v.ln().powi(2) + 0.3 * v.ln().powi(3);
            for value in [0.2, 0.21, 0.4, 0.9, 1.0, 2.5, 3.0] {
                let shares = axis.shares(value);
                let found: f64 = shares.iter().zip(&nodes).map(|(s, n)| s * cubic(*n)).sum();
                assert!((found - cubic(value)).abs() < 1e-12, "{value}: {found}");
            }
        }
    }

    #[test]
    fn beyond_the_nodes_the_end_value_holds() {
        let axis = Axis::new(vec![0.02, 0.2, 0.45, 0.68, 0.85, 0.95], Scale::ToFarFace);
        let shares = axis.shares(0.99);
        assert!((shares[5] - 1.0).abs() < 1e-12 && shares[0].abs() < 1e-12, "{shares:?}");
    }
}

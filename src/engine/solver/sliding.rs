//! Two edges of a section that slide along each other: the bore on the outside of a sleeve.
//!
//! Every inner node follows the nodes of the outer edge that lie against its part of the inner edge,
//! with weights that add up to one. With the shape functions `N` of the inner edge, those `M` of the
//! outer one, and functions `ψ` dual to `N`, `∫ ψᵢ Nⱼ dA = δᵢⱼ ∫ Nᵢ dA`,
//!
//! ```text
//! wᵢₗ = ∫ ψᵢ Mₗ dA / ∫ Nᵢ dA          gᵢ = n·(xᵢ − Σₗ wᵢₗ xₗ)
//! ```
//!
//! The force that an inner node needs goes to the outer nodes with the same weights, so that no force
//! and no moment is lost, and a uniform pressure passes from one edge to the other as a uniform
//! pressure wherever their nodes lie. Edges whose nodes face each other have weights of one.
//!
//! The weights are those of the edges as they stand, and are found anew after every increment: slip is
//! small within one, and has no limit over many. Edges run along the axis, towards rising depth.
//!
//! Source: B. I. Wohlmuth, SIAM J. Numer. Anal. 38 (2000) 989–1012, for dual functions (from memory);
//! for quadratic sides they are derived here.

use std::f64::consts::TAU;

use nalgebra::{Matrix3, SMatrix};
use serde::{Deserialize, Serialize};

use crate::element::edge::{derivatives, values};
use crate::mesh::topology::NodeId;
use crate::numeric::gauss::LINE_3;

/// Part of a side, in its coordinate, that is none: rounding where nodes of both edges face each other.
const NO_PART: f64 = 1e-9;

/// Weight that counts as none.
const NO_WEIGHT: f64 = 1e-12;

/// The outer edge of a sliding contact, and which of its nodes every inner node follows now.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Sliding {
    /// Sides of the outer edge `[start, mid, end]`, towards rising depth.
    pub outer: Vec<[NodeId; 3]>,
    /// Nodes that every inner node follows, and their weights.
    pub weights: Vec<Vec<(NodeId, f64)>>,
    /// Pull by gap where the edges have parted, MPa/mm: a slit tube springs back against the bore.
    pub spring: f64,
}

/// Where the edges stand to each other.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Footing {
    /// As in [`Sliding::weights`].
    pub(crate) weights: Vec<Vec<(NodeId, f64)>>,
    /// Unit normal of the outer edge at every inner node, away from the sleeve.
    pub(crate) normals: Vec<[f64; 2]>,
    /// First and last side of the outer edge that every inner node has to do with.
    pub(crate) sides: Vec<[usize; 2]>,
}

/// An inner node that the outer edge does not reach, or a side that is folded, by the place of a node of it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct OffEdge(pub(crate) usize);

impl Sliding {
    /// Finds how inner nodes at `inner` (radius and depth, mm; `sides` of them by place) stand on the
    /// outer edge, whose nodes are where `place` says.
    pub(crate) fn footing(
        &self,
        inner: &[[f64; 2]],
        sides: impl Iterator<Item = [usize; 3]>,
        place: impl Fn(NodeId) -> [f64; 2],
    ) -> Result<Footing, OffEdge> {
        let outer: Vec<[[f64; 2]; 3]> = self.outer.iter().map(|side| side.map(&place)).collect();
        let mut sums: Vec<Vec<(NodeId, f64)>> = vec![Vec::new(); inner.len()];
        let mut areas = vec![0.0; inner.len()];
        let mut reach = vec![[usize::MAX, 0]; inner.len()];
        for places in sides {
            let nodes = places.map(|place| inner[place]);
            let off = OffEdge(places[1]);
            if !rises(&nodes) {
                return Err(off);
            }
            let [first, last] = [nodes[0][1], nodes[2][1]].map(|depth| side_at(&outer, depth));
            let (first, last) = (first.ok_or(off)?, last.ok_or(off)?);
            let mut own = Matrix3::zeros();
            let mut shares = [0.0; 3];
            let mut across: Vec<SMatrix<f64, 3, 3>> = vec![Matrix3::zeros(); last - first + 1];
            for (k, across) in across.iter_mut().enumerate() {
                let other = &outer[first + k];
                if !rises(other) {
                    return Err(off);
                }
                let from = if k == 0 { -1.0 } else { coordinate(&nodes, other[0][1]) };
                let to = if first + k == last { 1.0 } else { coordinate(&nodes, other[2][1]) };
                if to - from < NO_PART {
                    continue;
                }
                for (x, weight) in LINE_3 {
                    let xi = 0.5 * (from + to) + 0.5 * (to - from) * x;
                    let n = values(xi);
                    let at = blend(&nodes, &n);
                    let slope = blend(&nodes, &derivatives(xi));
                    let m = values(coordinate(other, at[1]));
                    let area = TAU * at[0] * slope[0].hypot(slope[1]) * weight * 0.5 * (to - from);
                    for i in 0..3 {
                        shares[i] += area * n[i];
                        for j in 0..3 {
                            own[(i, j)] += area * n[i] * n[j];
                            across[(i, j)] += area * n[i] * m[j];
                        }
                    }
                }
            }
            let dual = own.try_inverse().ok_or(off)?;
            let dual = Matrix3::from_diagonal(&shares.into()) * dual;
            for (k, across) in across.iter().enumerate() {
                let of_dual = dual * across;
                for (i, &place) in places.iter().enumerate() {
                    for (j, &node) in self.outer[first + k].iter().enumerate() {
                        add(&mut sums[place], node, of_dual[(i, j)]);
                    }
                }
            }
            for (place, share) in places.into_iter().zip(shares) {
                areas[place] += share;
                reach[place] = [reach[place][0].min(first), reach[place][1].max(last)];
            }
        }
        for (sums, area) in sums.iter_mut().zip(&areas) {
            for (_, weight) in sums.iter_mut() {
                *weight /= area;
            }
            sums.retain(|(_, weight)| weight.abs() > NO_WEIGHT);
        }
        let normals = normals(&outer, inner).ok_or(OffEdge(0))?;
        Ok(Footing { weights: sums, normals, sides: reach })
    }
}

fn add(sums: &mut Vec<(NodeId, f64)>, node: NodeId, weight: f64) {
    match sums.iter_mut().find(|(known, _)| *known == node) {
        Some((_, sum)) => *sum += weight,
        None => sums.push((node, weight)),
    }
}

/// Whether the depth rises all along a side.
fn rises(nodes: &[[f64; 2]; 3]) -> bool {
    let [first, second] = [-1.0, 1.0].map(|xi| blend(nodes, &derivatives(xi))[1]);
    first > 0.0 && second > 0.0
}

/// The side that reaches a depth.
fn side_at(sides: &[[[f64; 2]; 3]], depth: f64) -> Option<usize> {
    let (first, last) = (sides.first()?[0][1], sides.last()?[2][1]);
    let found = sides.iter().position(|side| depth <= side[2][1]);
    found.filter(|_| (first..=last).contains(&depth))
}

/// Coordinate of a depth on a side whose depth rises.
fn coordinate(nodes: &[[f64; 2]; 3], depth: f64) -> f64 {
    let [start, middle, end] = nodes.map(|at| at[1]);
    let slope = 0.5 * (end - start);
    let bend = 0.5 * (start + end) - middle;
    let off = depth - middle;
    // The root that stays finite where the side is straight.
    2.0 * off / (slope + (slope * slope + 4.0 * bend * off).max(0.0).sqrt())
}

fn blend(nodes: &[[f64; 2]; 3], shares: &[f64; 3]) -> [f64; 2] {
    [0, 1].map(|axis| nodes.iter().zip(shares).map(|(at, share)| at[axis] * share).sum())
}

/// Unit normals of the outer edge at the depths of `inner`: those of its nodes, means over the sides
/// that meet there, blended in between.
fn normals(outer: &[[[f64; 2]; 3]], inner: &[[f64; 2]]) -> Option<Vec<[f64; 2]>> {
    let unit = |[r, z]: [f64; 2]| {
        let length = r.hypot(z);
        [r / length, z / length]
    };
    let of_side = |side: &[[f64; 2]; 3]| {
        [-1.0, 0.0, 1.0].map(|xi| {
            let [r, z] = unit(blend(side, &derivatives(xi)));
            [z, -r]
        })
    };
    let mut all: Vec<[[f64; 2]; 3]> = outer.iter().map(of_side).collect();
    for k in 1..all.len() {
        let (a, b) = (all[k - 1][2], all[k][0]);
        let mean = unit([a[0] + b[0], a[1] + b[1]]);
        all[k - 1][2] = mean;
        all[k][0] = mean;
    }
    let at = |point: &[f64; 2]| {
        let side = side_at(outer, point[1])?;
        let xi = coordinate(&outer[side], point[1]);
        Some(unit(blend(&all[side], &values(xi))))
    };
    inner.iter().map(at).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;

    const INNER: [f64; 7] = [0.0, 0.5, 1.0, 1.3, 1.6, 2.3, 3.0];

    fn edge(radius: f64, corners: &[f64]) -> (Sliding, Vec<[f64; 2]>) {
        let mut places = vec![[radius, corners[0]]];
        for pair in corners.windows(2) {
            places.push([radius, 0.5 * (pair[0] + pair[1])]);
            places.push([radius, pair[1]]);
        }
        let outer = (0..corners.len() - 1).map(|k| [2 * k, 2 * k + 1, 2 * k + 2]).collect();
        (Sliding { outer, weights: Vec::new(), spring: 0.0 }, places)
    }

    fn inner() -> Vec<[f64; 2]> {
        INNER.map(|depth| [2.0, depth]).to_vec()
    }

    fn sides() -> impl Iterator<Item = [usize; 3]> {
        (0..3).map(|k| [2 * k, 2 * k + 1, 2 * k + 2])
    }

    /// A parabola along the outer edge is seen by the inner nodes as it is.
    #[test]
    fn a_parabola_is_followed_without_error() {
        let (sliding, places) = edge(2.0, &[-1.0, 0.4, 0.9, 2.1, 4.0]);
        let footing = sliding.footing(&inner(), sides(), |node| places[node]).expect("covered");
        let parabola = |z: f64| 1.0 - 0.7 * z + 0.3 * z * z;
        for (weights, depth) in footing.weights.iter().zip(INNER) {
            let seen: f64 = weights.iter().map(|&(l, w)| w * parabola(places[l][1])).sum();
            assert_relative_eq!(seen, parabola(depth), epsilon = 1e-12);
            assert_relative_eq!(weights.iter().map(|(_, w)| w).sum::<f64>(), 1.0, epsilon = 1e-13);
        }
        assert!(footing.normals.iter().all(|n| (n[0] - 1.0).abs() < 1e-14 && n[1].abs() < 1e-14));
    }

    /// Nodal forces of a uniform pressure on the inner edge arrive as those of a uniform pressure on the
    /// part of the outer edge that is covered: a whole side between two covered ones gets 1 : 4 : 1.
    #[test]
    fn a_uniform_pressure_arrives_uniform() {
        let (sliding, places) = edge(2.0, &[-1.0, 0.4, 0.9, 2.1, 4.0]);
        let footing = sliding.footing(&inner(), sides(), |node| places[node]).expect("covered");
        let mut arrived = vec![0.0; places.len()];
        for side in sides() {
            let nodes = side.map(|place| inner()[place]);
            let forces = crate::element::edge::ring_areas(&nodes);
            for (place, force) in side.into_iter().zip(forces) {
                footing.weights[place].iter().for_each(|&(l, w)| arrived[l] += w * force);
            }
        }
        assert_relative_eq!(arrived.iter().sum::<f64>(), TAU * 2.0 * 3.0, max_relative = 1e-12);
        // Middles of the sides 0.4 to 0.9 and 0.9 to 2.1, and the node between them.
        assert_relative_eq!(arrived[3], TAU * 2.0 * 0.5 * 4.0 / 6.0, max_relative = 1e-12);
        assert_relative_eq!(arrived[5], TAU * 2.0 * 1.2 * 4.0 / 6.0, max_relative = 1e-12);
        assert_relative_eq!(arrived[4], TAU * 2.0 * 1.7 / 6.0, max_relative = 1e-12);
    }

    #[test]
    fn nodes_that_face_each_other_are_pairs() {
        let (sliding, places) = edge(1.9, &[-0.5, 0.0, 1.0, 1.6, 3.0, 3.5]);
        let footing = sliding.footing(&inner(), sides(), |node| places[node]).expect("covered");
        for (k, weights) in footing.weights.iter().enumerate() {
            assert_eq!(weights.len(), 1, "{weights:?}");
            assert_eq!(weights[0].0, k + 2);
            assert_relative_eq!(weights[0].1, 1.0, epsilon = 1e-12);
        }
    }

    #[test]
    fn an_edge_that_is_too_short_is_told() {
        let (sliding, places) = edge(2.0, &[0.1, 1.0, 4.0]);
        let footing = sliding.footing(&inner(), sides(), |node| places[node]);
        assert_eq!(footing, Err(OffEdge(1)));
    }
}

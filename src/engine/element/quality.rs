//! How good the shape of an element is, curved sides included.
//!
//! The *scaled Jacobian* is the determinant of the map from the reference element over
//! the lengths of the two tangents that span it: the sine of the angle between them,
//! scaled for triangles so that the equilateral one has 1. It is 0 for a folded corner
//! and negative for an inverted one. It is taken at corners and integration points, and
//! the smallest counts. Source: P. M. Knupp, Int. J. Numer. Meth. Engng 48 (2000)
//! 1165–1185 (from memory), here at more points than the corners because sides curve.

use crate::element::shape::{QUAD8_NODES, TRI6_NODES, quad8_gradients, tri6_gradients};
use crate::numeric::gauss::{SQUARE_2X2, TRIANGLE_3};

/// Shape measures of one element.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ElementQuality {
    /// Smallest scaled Jacobian, 1 at best, not above 0 when inverted.
    pub scaled_jacobian: f64,
    /// Long over short extent, 1 at best.
    pub aspect_ratio: f64,
}

/// Columns `∂x/∂ξ` and `∂x/∂η` of the map of an element, mm.
#[must_use]
pub fn tangents<const N: usize>(nodes: &[[f64; 2]; N], gradients: &[[f64; 2]; N]) -> [[f64; 2]; 2] {
    let mut columns = [[0.0; 2]; 2];
    for (node, gradient) in nodes.iter().zip(gradients) {
        for (column, slope) in columns.iter_mut().zip(gradient) {
            column[0] += slope * node[0];
            column[1] += slope * node[1];
        }
    }
    columns
}

/// Determinant of two tangents, mm².
#[must_use]
pub fn determinant([a, b]: [[f64; 2]; 2]) -> f64 {
    a[0] * b[1] - a[1] * b[0]
}

/// Shape measures of an 8-node quadrilateral with nodes in mesh order, mm.
///
/// Its aspect ratio compares the two lines that join opposite mid-side nodes.
#[must_use]
pub(crate) fn quad8(nodes: &[[f64; 2]; 8]) -> ElementQuality {
    let points = QUAD8_NODES[..4].iter().copied().chain(SQUARE_2X2.iter().map(|&(at, _)| at));
    let scaled_jacobian = points
        .map(|at| {
            let [a, b] = tangents(nodes, &quad8_gradients(at));
            over(determinant([a, b]), length(a) * length(b))
        })
        .fold(f64::INFINITY, f64::min);
    let (across, along) = (distance(nodes[5], nodes[7]), distance(nodes[4], nodes[6]));
    ElementQuality { scaled_jacobian, aspect_ratio: across.max(along) / across.min(along) }
}

/// Shape measures of a 6-node triangle with nodes in mesh order, mm.
///
/// Its aspect ratio is the longest side over `2√3` radii of the circle inscribed in the
/// corners, which is 1 for the equilateral triangle.
#[must_use]
pub(crate) fn tri6(nodes: &[[f64; 2]; 6]) -> ElementQuality {
    let points = TRI6_NODES[..3].iter().copied().chain(TRIANGLE_3.iter().map(|&(at, _)| at));
    let scaled_jacobian = points
        .map(|at| {
            let [a, b] = tangents(nodes, &tri6_gradients(at));
            let third = length([b[0] - a[0], b[1] - a[1]]);
            let (a_length, b_length) = (length(a), length(b));
            // The two longest of the three tangents, so that every corner counts alike.
            let longest = (a_length * b_length).max(b_length * third).max(third * a_length);
            over(determinant([a, b]), longest) * 2.0 / 3.0_f64.sqrt()
        })
        .fold(f64::INFINITY, f64::min);
    let [a, b, c] = [nodes[0], nodes[1], nodes[2]];
    let sides = [distance(a, b), distance(b, c), distance(c, a)];
    let perimeter: f64 = sides.iter().sum();
    let longest = sides.into_iter().fold(0.0, f64::max);
    let doubled_area = determinant([[b[0] - a[0], b[1] - a[1]], [c[0] - a[0], c[1] - a[1]]]);
    let aspect_ratio = longest * perimeter / (2.0 * 3.0_f64.sqrt() * doubled_area.abs());
    ElementQuality { scaled_jacobian, aspect_ratio }
}

/// A collapsed side has no direction: that counts as a folded corner.
fn over(determinant: f64, lengths: f64) -> f64 {
    if lengths > 0.0 { determinant / lengths } else { 0.0 }
}

fn length([x, y]: [f64; 2]) -> f64 {
    x.hypot(y)
}

fn distance(a: [f64; 2], b: [f64; 2]) -> f64 {
    length([b[0] - a[0], b[1] - a[1]])
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;

    fn quadrilateral(corners: [[f64; 2]; 4]) -> [[f64; 2]; 8] {
        std::array::from_fn(|k| if k < 4 { corners[k] } else { middle(&corners, k - 4) })
    }

    fn triangle(corners: [[f64; 2]; 3]) -> [[f64; 2]; 6] {
        std::array::from_fn(|k| if k < 3 { corners[k] } else { middle(&corners, k - 3) })
    }

    fn middle(corners: &[[f64; 2]], side: usize) -> [f64; 2] {
        let (a, b) = (corners[side], corners[(side + 1) % corners.len()]);
        [0.5 * (a[0] + b[0]), 0.5 * (a[1] + b[1])]
    }

    #[test]
    fn squares_and_equilateral_triangles_are_perfect() {
        let square = quad8(&quadrilateral([[1.0, 1.0], [3.0, 1.0], [3.0, 3.0], [1.0, 3.0]]));
        assert_relative_eq!(square.scaled_jacobian, 1.0, max_relative = 1e-14);
        assert_relative_eq!(square.aspect_ratio, 1.0, max_relative = 1e-14);
        let even = tri6(&triangle([[0.0, 0.0], [2.0, 0.0], [1.0, 3.0_f64.sqrt()]]));
        assert_relative_eq!(even.scaled_jacobian, 1.0, max_relative = 1e-14);
        assert_relative_eq!(even.aspect_ratio, 1.0, max_relative = 1e-14);
    }

    #[test]
    fn slanted_and_slender_shapes_are_measured() {
        // A parallelogram of 30°: the sine of its angle is ½. A 4 × 1 rectangle: ratio 4.
        let (cosine, sine) = (3.0_f64.sqrt(), 1.0);
        let slanted = quadrilateral([[0.0, 0.0], [2.0, 0.0], [2.0 + cosine, sine], [cosine, sine]]);
        assert_relative_eq!(quad8(&slanted).scaled_jacobian, 0.5, max_relative = 1e-14);
        let long = quad8(&quadrilateral([[0.0, 0.0], [4.0, 0.0], [4.0, 1.0], [0.0, 1.0]]));
        assert_relative_eq!(long.aspect_ratio, 4.0, max_relative = 1e-14);
        // Right isosceles: determinant 1 over its two longest sides, 1 and √2, scaled.
        let right = tri6(&triangle([[0.0, 0.0], [1.0, 0.0], [0.0, 1.0]]));
        let expected = 2.0 / 3.0_f64.sqrt() / 2.0_f64.sqrt();
        assert_relative_eq!(right.scaled_jacobian, expected, max_relative = 1e-14);
    }

    #[test]
    fn a_folded_element_and_a_mid_side_node_gone_astray_are_seen() {
        let bow_tie = quadrilateral([[0.0, 0.0], [1.0, 1.0], [1.0, 0.0], [0.0, 1.0]]);
        assert!(quad8(&bow_tie).scaled_jacobian <= 0.0);
        let mut astray = triangle([[0.0, 0.0], [1.0, 0.0], [0.0, 1.0]]);
        // Beyond the quarter point the map of a quadratic side turns back on itself.
        astray[3] = [0.2, 0.0];
        assert!(tri6(&astray).scaled_jacobian < 0.0);
    }
}

//! Shape functions of the two elements of the mesh and their local gradients.
//!
//! Node order is that of the mesh: corners counter-clockwise, then the mid-side nodes.
//!
//! ```text
//!   quadrilateral, (ξ, η) ∈ [−1, 1]²      triangle, ξ, η ≥ 0, ξ + η ≤ 1
//!   3 ── 6 ── 2                           2
//!   7         5   η up, ξ to the right    5   4
//!   0 ── 4 ── 1                           0 ─ 3 ─ 1
//! ```
//!
//! Source: the serendipity quadrilateral and the quadratic triangle of any text on
//! finite elements, e.g. O. C. Zienkiewicz and R. L. Taylor, The Finite Element Method
//! (from memory; the tests hold every function to 1 at its node and 0 at the others).

/// Local positions `(ξ, η)` of the quadrilateral's nodes.
pub(crate) const QUAD8_NODES: [[f64; 2]; 8] = [
    [-1.0, -1.0],
    [1.0, -1.0],
    [1.0, 1.0],
    [-1.0, 1.0],
    [0.0, -1.0],
    [1.0, 0.0],
    [0.0, 1.0],
    [-1.0, 0.0],
];

/// Local positions `(ξ, η)` of the triangle's nodes.
pub(crate) const TRI6_NODES: [[f64; 2]; 6] =
    [[0.0, 0.0], [1.0, 0.0], [0.0, 1.0], [0.5, 0.0], [0.5, 0.5], [0.0, 0.5]];

/// Shape functions of the 8-node quadrilateral at `(ξ, η)`, one a node.
#[must_use]
pub fn quad8_values([x, y]: [f64; 2]) -> [f64; 8] {
    let (left, right, below, above) = (1.0 - x, 1.0 + x, 1.0 - y, 1.0 + y);
    [
        0.25 * left * below * (-x - y - 1.0),
        0.25 * right * below * (x - y - 1.0),
        0.25 * right * above * (x + y - 1.0),
        0.25 * left * above * (-x + y - 1.0),
        0.5 * left * right * below,
        0.5 * right * below * above,
        0.5 * left * right * above,
        0.5 * left * below * above,
    ]
}

/// Local gradients `[∂N/∂ξ, ∂N/∂η]` of the 8-node quadrilateral, one a node.
#[must_use]
pub fn quad8_gradients([x, y]: [f64; 2]) -> [[f64; 2]; 8] {
    let (left, right, below, above) = (1.0 - x, 1.0 + x, 1.0 - y, 1.0 + y);
    [
        [0.25 * below * (2.0 * x + y), 0.25 * left * (x + 2.0 * y)],
        [0.25 * below * (2.0 * x - y), 0.25 * right * (2.0 * y - x)],
        [0.25 * above * (2.0 * x + y), 0.25 * right * (x + 2.0 * y)],
        [0.25 * above * (2.0 * x - y), 0.25 * left * (2.0 * y - x)],
        [-x * below, -0.5 * left * right],
        [0.5 * below * above, -y * right],
        [-x * above, 0.5 * left * right],
        [-0.5 * below * above, -y * left],
    ]
}

/// Shape functions of the 6-node triangle at `(ξ, η)`, one a node.
#[must_use]
pub fn tri6_values([x, y]: [f64; 2]) -> [f64; 6] {
    let z = 1.0 - x - y;
    [
        z * (2.0 * z - 1.0),
        x * (2.0 * x - 1.0),
        y * (2.0 * y - 1.0),
        4.0 * z * x,
        4.0 * x * y,
        4.0 * y * z,
    ]
}

/// Local gradients `[∂N/∂ξ, ∂N/∂η]` of the 6-node triangle, one a node.
#[must_use]
pub fn tri6_gradients([x, y]: [f64; 2]) -> [[f64; 2]; 6] {
    let z = 1.0 - x - y;
    [
        [1.0 - 4.0 * z, 1.0 - 4.0 * z],
        [4.0 * x - 1.0, 0.0],
        [0.0, 4.0 * y - 1.0],
        [4.0 * (z - x), -4.0 * x],
        [4.0 * y, 4.0 * x],
        [-4.0 * y, 4.0 * (z - y)],
    ]
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_abs_diff_eq;

    /// Points inside, on and outside the elements; polynomials know no border.
    const POINTS: [[f64; 2]; 5] = [[0.3, 0.2], [-0.7, 0.9], [1.0, -0.4], [0.0, 0.0], [0.25, 0.6]];
    /// Central differences of a quadratic are exact but for rounding, of a cubic to `STEP²`.
    const STEP: f64 = 1e-5;

    fn hold<const N: usize>(
        nodes: [[f64; 2]; N],
        values: fn([f64; 2]) -> [f64; N],
        gradients: fn([f64; 2]) -> [[f64; 2]; N],
    ) {
        for (a, &node) in nodes.iter().enumerate() {
            for (b, value) in values(node).into_iter().enumerate() {
                assert_abs_diff_eq!(value, f64::from(u8::from(a == b)), epsilon = 1e-15);
            }
        }
        for point in POINTS {
            assert_abs_diff_eq!(values(point).iter().sum::<f64>(), 1.0, epsilon = 1e-14);
            for axis in 0..2 {
                // Position itself is reproduced, so straight elements stay straight.
                let place: f64 = values(point).iter().zip(nodes).map(|(n, at)| n * at[axis]).sum();
                assert_abs_diff_eq!(place, point[axis], epsilon = 1e-14);
                let (mut lower, mut upper) = (point, point);
                lower[axis] -= STEP;
                upper[axis] += STEP;
                let (lower, upper) = (values(lower), values(upper));
                for (a, gradient) in gradients(point).into_iter().enumerate() {
                    let slope = (upper[a] - lower[a]) / (2.0 * STEP);
                    assert_abs_diff_eq!(gradient[axis], slope, epsilon = 1e-9);
                }
            }
        }
    }

    #[test]
    fn quadrilateral_functions_are_one_at_their_node_and_have_their_gradients() {
        hold(QUAD8_NODES, quad8_values, quad8_gradients);
    }

    #[test]
    fn triangle_functions_are_one_at_their_node_and_have_their_gradients() {
        hold(TRI6_NODES, tri6_values, tri6_gradients);
    }
}

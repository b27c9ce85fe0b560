//! A side of an element: three nodes, a parabola between them.
//!
//! Local coordinate ξ from −1 (start) over 0 (middle) to 1 (end). Seen along the side the
//! material lies on the left, so the outward normal points right: `(dy, −dx)`.

use std::f64::consts::TAU;

use crate::numeric::gauss::LINE_3;

/// Values of the three shape functions (start, middle, end) at ξ.
#[must_use]
pub fn values(xi: f64) -> [f64; 3] {
    [0.5 * xi * (xi - 1.0), 1.0 - xi * xi, 0.5 * xi * (xi + 1.0)]
}

/// Their derivatives by ξ.
#[must_use]
pub(crate) fn derivatives(xi: f64) -> [f64; 3] {
    [xi - 0.5, -2.0 * xi, xi + 0.5]
}

/// Tangent vector `dx/dξ` at ξ, mm. `nodes` start, middle, end.
fn tangent(nodes: &[[f64; 2]; 3], xi: f64) -> [f64; 2] {
    let mut sum = [0.0; 2];
    for (node, slope) in nodes.iter().zip(derivatives(xi)) {
        sum[0] += node[0] * slope;
        sum[1] += node[1] * slope;
    }
    sum
}

/// Length that each node stands for, `∫ N_a ds`, mm.
#[must_use]
pub fn lengths(nodes: &[[f64; 2]; 3]) -> [f64; 3] {
    weighted_lengths(nodes, |_| 1.0)
}

/// Area of the whole ring that each node of a section stands for, `∫ N_a 2πr ds`, mm²; x is the
/// radius.
#[must_use]
pub fn ring_areas(nodes: &[[f64; 2]; 3]) -> [f64; 3] {
    weighted_lengths(nodes, |xi| circumference(nodes, xi))
}

fn weighted_lengths(nodes: &[[f64; 2]; 3], measure: impl Fn(f64) -> f64) -> [f64; 3] {
    let mut lengths = [0.0; 3];
    for (xi, weight) in LINE_3 {
        let [tx, ty] = tangent(nodes, xi);
        for (length, value) in lengths.iter_mut().zip(values(xi)) {
            *length += weight * measure(xi) * value * tx.hypot(ty);
        }
    }
    lengths
}

/// Circumference of the ring at ξ, mm.
fn circumference(nodes: &[[f64; 2]; 3], xi: f64) -> f64 {
    let radius: f64 = nodes.iter().zip(values(xi)).map(|(node, value)| node[0] * value).sum();
    TAU * radius
}

/// Nodal forces per unit thickness and unit outward normal traction, `∫ N_a n ds`, mm.
#[must_use]
pub fn normal_forces(nodes: &[[f64; 2]; 3]) -> [[f64; 2]; 3] {
    weighted_normal_forces(nodes, |_| 1.0)
}

/// Nodal forces of the whole ring per unit outward normal traction, `∫ N_a n 2πr ds`, mm²; x is the
/// radius.
#[must_use]
pub fn ring_normal_forces(nodes: &[[f64; 2]; 3]) -> [[f64; 2]; 3] {
    weighted_normal_forces(nodes, |xi| circumference(nodes, xi))
}

fn weighted_normal_forces(nodes: &[[f64; 2]; 3], measure: impl Fn(f64) -> f64) -> [[f64; 2]; 3] {
    let mut forces = [[0.0; 2]; 3];
    for (xi, weight) in LINE_3 {
        let [tx, ty] = tangent(nodes, xi).map(|part| part * measure(xi));
        for (force, value) in forces.iter_mut().zip(values(xi)) {
            force[0] += weight * value * ty;
            force[1] -= weight * value * tx;
        }
    }
    forces
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;

    #[test]
    fn a_straight_side_shares_its_length_one_four_one() {
        let shares = lengths(&[[0.0, 0.0], [1.5, 0.0], [3.0, 0.0]]);
        assert_relative_eq!(shares[0], 0.5, epsilon = 1e-14);
        assert_relative_eq!(shares[1], 2.0, epsilon = 1e-14);
        assert_relative_eq!(shares[2], 0.5, epsilon = 1e-14);
    }

    #[test]
    fn a_side_of_a_section_stands_for_the_area_of_a_cone() {
        let areas = ring_areas(&[[1.0, 0.0], [2.0, 0.5], [3.0, 1.0]]);
        let cone = std::f64::consts::PI * (1.0 + 3.0) * 5.0_f64.sqrt();
        assert_relative_eq!(areas.iter().sum::<f64>(), cone, max_relative = 1e-14);
    }

    #[test]
    fn the_material_on_the_left_makes_the_normal_point_right() {
        let forces = normal_forces(&[[0.0, 0.0], [1.0, 0.0], [2.0, 0.0]]);
        assert!(forces.iter().all(|f| f[0].abs() < 1e-15 && f[1] < 0.0));
    }

    #[test]
    fn a_closed_curve_has_no_net_normal_force() {
        // A circle of four parabolas: the integral of the normal round any closed curve vanishes.
        let at = |angle: f64| [angle.cos(), angle.sin()];
        let mut net = [0.0; 2];
        for k in 0..4 {
            let start = f64::from(k) * std::f64::consts::FRAC_PI_2;
            let step = std::f64::consts::FRAC_PI_4;
            for force in normal_forces(&[at(start), at(start + step), at(start + 2.0 * step)]) {
                net[0] += force[0];
                net[1] += force[1];
            }
        }
        assert_relative_eq!(net[0], 0.0, epsilon = 1e-14);
        assert_relative_eq!(net[1], 0.0, epsilon = 1e-14);
    }
}

//! Areas of meshes, and of the circles that quadratic sides draw.

use hoopset::element::quality::{determinant, tangents};
use hoopset::element::shape::{quad8_gradients, tri6_gradients};
use hoopset::mesh::topology::{Mesh, NodeId};
use hoopset::numeric::gauss::{LINE_3, TRIANGLE_3};

/// Area by quadrature that is exact for the curved elements: the determinant is of degree 3
/// in each direction of the quadrilateral, of degree 2 in the triangle.
pub(crate) fn area(mesh: &Mesh) -> f64 {
    let mut sum = 0.0;
    for quad in &mesh.quads {
        let nodes = quad.map(|node| mesh.nodes[node]);
        for (x, wx) in LINE_3 {
            for (y, wy) in LINE_3 {
                sum += wx * wy * determinant(tangents(&nodes, &quad8_gradients([x, y])));
            }
        }
    }
    for triangle in &mesh.triangles {
        let nodes = triangle.map(|node| mesh.nodes[node]);
        for (at, weight) in TRIANGLE_3 {
            sum += weight * determinant(tangents(&nodes, &tri6_gradients(at)));
        }
    }
    sum
}

/// Area inside a circle drawn by quadratic sides with their three nodes on it: triangles to
/// the chords plus parabolic segments of two thirds of chord times height (Archimedes,
/// Quadrature of the Parabola).
pub(crate) fn drawn_circle(
    mesh: &Mesh,
    radius: f64,
    sides: impl Iterator<Item = [NodeId; 3]>,
) -> f64 {
    sides
        .map(|[start, _, end]| {
            let (a, b) = (mesh.nodes[start], mesh.nodes[end]);
            let half_angle = (0.5 * (b[0] - a[0]).hypot(b[1] - a[1]) / radius).asin();
            let (sine, cosine) = half_angle.sin_cos();
            radius * radius * (sine * cosine + 4.0 / 3.0 * sine * (1.0 - cosine))
        })
        .sum()
}

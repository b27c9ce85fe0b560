//! Quality of a mesh; one below the limits is rejected.

use serde::{Deserialize, Serialize};

use crate::element::quality::{self, ElementQuality};
use crate::mesh::mesh_error::MeshError;
use crate::mesh::topology::Mesh;

/// Least scaled Jacobian of a mesh that is used. Triangles of 20° have about 0.4; below half
/// of that the error of an element is that of its shape (common practice, no source).
pub const LEAST_SCALED_JACOBIAN: f64 = 0.2;

/// Shape of the elements of a mesh.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct Quality {
    /// Smallest scaled Jacobian of all elements, curved sides included; 1 at best.
    pub smallest_scaled_jacobian: f64,
    /// Middle of that element, mm.
    pub smallest_scaled_jacobian_at: [f64; 2],
    /// Largest aspect ratio of all elements; 1 at best. The thin first layers of the rings
    /// have it by design.
    pub largest_aspect_ratio: f64,
    /// Middle of that element, mm.
    pub largest_aspect_ratio_at: [f64; 2],
    /// Largest aspect ratio of the triangles.
    pub largest_triangle_aspect_ratio: f64,
    /// Mean scaled Jacobian of all elements.
    pub mean_scaled_jacobian: f64,
}

/// Measures every element.
#[must_use]
pub fn measure(mesh: &Mesh) -> Quality {
    let mut quality = Quality {
        smallest_scaled_jacobian: f64::INFINITY,
        smallest_scaled_jacobian_at: [f64::NAN; 2],
        largest_aspect_ratio: 0.0,
        largest_aspect_ratio_at: [f64::NAN; 2],
        largest_triangle_aspect_ratio: 0.0,
        mean_scaled_jacobian: 0.0,
    };
    let mut sum = 0.0;
    let mut take = |element: ElementQuality, at: [f64; 2]| {
        // A position that is not a number makes a Jacobian that is none; it counts as folded.
        let jacobian = element.scaled_jacobian;
        let jacobian = if jacobian.is_finite() { jacobian } else { f64::NEG_INFINITY };
        sum += jacobian;
        if jacobian < quality.smallest_scaled_jacobian {
            quality.smallest_scaled_jacobian = jacobian;
            quality.smallest_scaled_jacobian_at = at;
        }
        if element.aspect_ratio > quality.largest_aspect_ratio {
            quality.largest_aspect_ratio = element.aspect_ratio;
            quality.largest_aspect_ratio_at = at;
        }
    };
    for quad in &mesh.quads {
        let nodes = quad.map(|node| mesh.nodes[node]);
        take(quality::quad8(&nodes), middle(&nodes[..4]));
    }
    let mut slender = 0.0_f64;
    for triangle in &mesh.triangles {
        let nodes = triangle.map(|node| mesh.nodes[node]);
        let element = quality::tri6(&nodes);
        slender = slender.max(element.aspect_ratio);
        take(element, middle(&nodes[..3]));
    }
    quality.largest_triangle_aspect_ratio = slender;
    // A mesh has far fewer elements than a double has whole numbers.
    #[allow(clippy::cast_precision_loss)]
    let count = mesh.element_count() as f64;
    quality.mean_scaled_jacobian = sum / count;
    quality
}

/// Measures a mesh and rejects it when an element is inverted or badly distorted.
///
/// # Errors
///
/// [`MeshError::BadElement`] with the worst element when its scaled Jacobian is below
/// [`LEAST_SCALED_JACOBIAN`].
pub fn accept(mesh: &Mesh) -> Result<Quality, MeshError> {
    let quality = measure(mesh);
    if quality.smallest_scaled_jacobian < LEAST_SCALED_JACOBIAN {
        return Err(MeshError::BadElement {
            at: quality.smallest_scaled_jacobian_at,
            scaled_jacobian: quality.smallest_scaled_jacobian,
            least: LEAST_SCALED_JACOBIAN,
        });
    }
    Ok(quality)
}

fn middle(corners: &[[f64; 2]]) -> [f64; 2] {
    let mut sum = [0.0; 2];
    let mut count = 0.0;
    for corner in corners {
        sum[0] += corner[0];
        sum[1] += corner[1];
        count += 1.0;
    }
    sum.map(|x| x / count)
}

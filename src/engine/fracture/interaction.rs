//! Stress intensity by an interaction integral over a domain round the tip.
//!
//! ```text
//! I = ∫ (σij u*i,1 + σ*ij ui,1 − σij ε*ij δ1j) q,j dA − ∫ ti u*i,1 q ds (faces)      K = E' I / 2K*
//! ```
//!
//! where `*` is the field of [`tip_field`](crate::fracture::tip_field) with K* = 1, `q` falls from
//! 1 near the tip to 0 at the outer radius, and `t` is the traction on the crack faces. The model is
//! the half above the crack, so its integral counts twice. It is linear in the field: a closing crack
//! whose faces may overlap comes out with its sign.
//!
//! Source: J. F. Yau, S. S. Wang, H. T. Corten, J. Appl. Mech. 47 (1980) 335–341; domain form after
//! F. Z. Li, C. F. Shih, A. Needleman, Eng. Fract. Mech. 21 (1985) 405–421 (both from memory; the
//! signs follow from the divergence theorem, and `tests/fracture.rs` holds the result against
//! computed intensities).

use nalgebra::Vector4;

use crate::element::kernel::PointGeometry;
use crate::element::point_field::{QUAD_POINTS, TRIANGLE_POINTS};
use crate::fracture::line::Way;
use crate::fracture::tip_field::TipField;
use crate::mesh::topology::{Mesh, NodeId};
use crate::solver::tables::Tables;

/// Radius within which `q` is 1, over the outer one: the elements at the tip, whose field is the
/// poorest, stay outside.
const CORE: f64 = 0.35;
/// Steps of the integral along the faces.
const FACE_STEPS: u32 = 400;

/// A tip, and the largest domain round it that touches neither hole nor edge.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Domain {
    /// Position of the tip `[x, y]`, mm.
    pub tip: [f64; 2],
    /// Which way the crack runs.
    pub way: Way,
    /// Outer radius, mm.
    pub radius: f64,
}

/// An elastic field: displacements of the nodes (mm), stresses of the points (MPa).
#[derive(Clone, Copy, Debug)]
pub struct Field<'a> {
    /// The mesh.
    pub mesh: &'a Mesh,
    /// Its points.
    pub tables: &'a Tables,
    /// Thickness, mm.
    pub thickness: f64,
    /// Displacement of every node.
    pub displacement: &'a [[f64; 2]],
    /// Stress of every point.
    pub stress: &'a [Vector4<f64>],
}

impl Domain {
    fn local(&self, [x, y]: [f64; 2]) -> [f64; 2] {
        [self.way.sign() * (x - self.tip[0]), y - self.tip[1]]
    }

    /// The weight `q` at a distance from the tip.
    fn weight(&self, distance: f64) -> f64 {
        ((self.radius - distance) / ((1.0 - CORE) * self.radius)).clamp(0.0, 1.0)
    }

    /// Stress intensity, MPa√mm. `face(d)` is the stress that the faces are pulled apart with at
    /// `d` mm behind the tip, MPa; `pushes` are forces `[y]` in N per node of the upper face that
    /// press the faces together (positive: away from the other face).
    #[must_use]
    pub fn intensity(
        &self,
        field: &Field,
        tip: &TipField,
        face: impl Fn(f64) -> f64,
        pushes: &[(NodeId, f64)],
    ) -> f64 {
        let split = QUAD_POINTS * field.mesh.quads.len();
        let mut sum = 0.0;
        for (k, (nodes, points)) in field.mesh.quads.iter().zip(&field.tables.quads).enumerate() {
            sum += self.element(field, tip, nodes, points, QUAD_POINTS * k);
        }
        for (k, (nodes, points)) in
            field.mesh.triangles.iter().zip(&field.tables.triangles).enumerate()
        {
            sum += self.element(field, tip, nodes, points, split + TRIANGLE_POINTS * k);
        }
        // With r = s² the root at the tip goes; the traction of the upper half is +face along y.
        let end = self.radius.sqrt();
        let step = end / f64::from(FACE_STEPS);
        let mut pulled = 0.0;
        for k in 0..FACE_STEPS {
            let s = step * (f64::from(k) + 0.5);
            pulled += 2.0 * step * face(s * s) * self.weight(s * s);
        }
        sum += pulled * tip.face_slope();
        for &(node, force) in pushes {
            let behind = -self.local(field.mesh.nodes[node])[0];
            if behind > 0.0 {
                let slope = tip.face_slope() / behind.sqrt();
                sum += force / field.thickness * slope * self.weight(behind);
            }
        }
        tip.effective_modulus * sum
    }

    fn element<const N: usize, const P: usize>(
        &self,
        field: &Field,
        tip: &TipField,
        nodes: &[NodeId; N],
        points: &[PointGeometry<N>; P],
        first: usize,
    ) -> f64 {
        let weights = nodes.map(|node| {
            let [x, y] = self.local(field.mesh.nodes[node]);
            self.weight(x.hypot(y))
        });
        // Where q does not change there is nothing to add.
        if weights.iter().all(|weight| (weight - weights[0]).abs() < 1e-14) {
            return 0.0;
        }
        let sign = self.way.sign();
        let mut sum = 0.0;
        for (k, point) in points.iter().enumerate() {
            let (mut gradient, mut slope) = ([0.0; 2], [0.0; 2]);
            for ((node, weight), [gx, gy]) in nodes.iter().zip(weights).zip(point.gradients) {
                gradient[0] += sign * gx * weight;
                gradient[1] += gy * weight;
                let [ux, uy] = field.displacement[*node];
                slope[0] += gx * ux;
                slope[1] += sign * gx * uy;
            }
            let stress = field.stress[first + k];
            let (xx, yy, xy) = (stress[0], stress[1], sign * stress[3]);
            let aux = tip.at(self.local(field.tables.positions[first + k]));
            let [axx, ayy, axy] = aux.stress;
            let energy = xx * aux.strain[0] + yy * aux.strain[1] + 2.0 * xy * aux.strain[2];
            let along = xx * aux.slope[0] + xy * aux.slope[1] + axx * slope[0] + axy * slope[1];
            let across = xy * aux.slope[0] + yy * aux.slope[1] + axy * slope[0] + ayy * slope[1];
            sum += point.volume / field.thickness
                * ((along - energy) * gradient[0] + across * gradient[1]);
        }
        sum
    }
}

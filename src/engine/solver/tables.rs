//! Element data at every integration point, computed once for a mesh.
//!
//! Points are numbered through: four a quadrilateral, then three a triangle.

use crate::element::kernel::{Measure, PointGeometry};
use crate::element::point_field::{QUAD_POINTS, TRIANGLE_POINTS};
use crate::element::shape::{quad8_gradients, quad8_values, tri6_gradients, tri6_values};
use crate::material::idealisation::Idealisation;
use crate::mesh::topology::{Mesh, NodeId};
use crate::numeric::gauss::{SQUARE_2X2, TRIANGLE_3};

/// How an area of the mesh becomes a volume, in a plate of `thickness` mm or in a section.
#[must_use]
pub fn measure(idealisation: Idealisation, thickness: f64) -> Measure {
    match idealisation {
        Idealisation::Axisymmetric => Measure::Section,
        Idealisation::PlaneStress
        | Idealisation::PlaneStrain
        | Idealisation::GeneralisedPlaneStrain => Measure::Plate { thickness },
    }
}

/// An element that is folded at an integration point, or lies beyond the axis of a section.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FoldedElement {
    /// Its integration point, mm.
    pub position: [f64; 2],
    /// Determinant of the Jacobian there.
    pub determinant: f64,
}

impl std::fmt::Display for FoldedElement {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        let [x, y] = self.position;
        write!(f, "an element is folded at ({x:.4}, {y:.4}) mm: Jacobian {:.3e}", self.determinant)
    }
}

impl std::error::Error for FoldedElement {}

/// Geometry of all integration points of a mesh.
#[derive(Clone, Debug)]
pub struct Tables {
    /// Points of every quadrilateral.
    pub quads: Vec<[PointGeometry<8>; QUAD_POINTS]>,
    /// Points of every triangle.
    pub triangles: Vec<[PointGeometry<6>; TRIANGLE_POINTS]>,
    /// Reference position of every point, in the numbering of the points, mm.
    pub positions: Vec<[f64; 2]>,
}

impl Tables {
    /// Computes the tables of `mesh`, drawn of a plate or of a section as `measure` says; regions of
    /// the mesh have their own thickness.
    ///
    /// # Errors
    ///
    /// [`FoldedElement`] with the first folded place, or the first beyond the axis of a section.
    pub fn new(mesh: &Mesh, measure: Measure) -> Result<Self, FoldedElement> {
        let mut positions = Vec::with_capacity(point_count(mesh));
        let mut quads = Vec::with_capacity(mesh.quads.len());
        let relative = |element: usize| mesh.regions.thickness_of(mesh.region_of(element));
        for (index, element) in mesh.quads.iter().enumerate() {
            let nodes = positions_of(mesh, element);
            quads.push(points(
                &nodes,
                SQUARE_2X2,
                quad8_values,
                quad8_gradients,
                (measure, relative(index)),
                &mut positions,
            )?);
        }
        let mut triangles = Vec::with_capacity(mesh.triangles.len());
        for (index, element) in mesh.triangles.iter().enumerate() {
            let nodes = positions_of(mesh, element);
            triangles.push(points(
                &nodes,
                TRIANGLE_3,
                tri6_values,
                tri6_gradients,
                (measure, relative(mesh.quads.len() + index)),
                &mut positions,
            )?);
        }
        Ok(Self { quads, triangles, positions })
    }

    /// Number of integration points.
    #[must_use]
    pub(crate) fn point_count(&self) -> usize {
        self.positions.len()
    }

    /// Volume that each point stands for, mm³, in the numbering of the points.
    pub fn volumes(&self) -> impl Iterator<Item = f64> + '_ {
        let quads = self.quads.iter().flatten().map(|point| point.volume);
        quads.chain(self.triangles.iter().flatten().map(|point| point.volume))
    }
}

/// Number of integration points of `mesh`.
#[must_use]
pub(crate) fn point_count(mesh: &Mesh) -> usize {
    QUAD_POINTS * mesh.quads.len() + TRIANGLE_POINTS * mesh.triangles.len()
}

/// Positions of the nodes of one element, mm.
#[must_use]
pub fn positions_of<const N: usize>(mesh: &Mesh, element: &[NodeId; N]) -> [[f64; 2]; N] {
    element.map(|node| mesh.nodes[node])
}

fn points<const N: usize, const P: usize>(
    nodes: &[[f64; 2]; N],
    rule: [([f64; 2], f64); P],
    values: fn([f64; 2]) -> [f64; N],
    gradients: fn([f64; 2]) -> [[f64; 2]; N],
    (measure, relative_thickness): (Measure, f64),
    positions: &mut Vec<[f64; 2]>,
) -> Result<[PointGeometry<N>; P], FoldedElement> {
    let nothing = PointGeometry { gradients: [[0.0; 2]; N], hoop: [0.0; N], volume: 0.0 };
    let mut result = [nothing; P];
    for (slot, (xi, weight)) in result.iter_mut().zip(rule) {
        let mut position = [0.0; 2];
        let values = values(xi);
        for (node, value) in nodes.iter().zip(values) {
            position[0] += value * node[0];
            position[1] += value * node[1];
        }
        positions.push(position);
        *slot = PointGeometry::new(nodes, &values, &gradients(xi), weight, measure)
            .map_err(|folded| FoldedElement { position, determinant: folded.determinant })?;
        slot.volume *= relative_thickness;
    }
    Ok(result)
}

//! Carrying a state over to a mesh whose nodes have moved a little.
//!
//! Displacements are evaluated at the new places with the old shape functions. Plastic
//! strain and backstress are evaluated inside the old element with the field through its
//! integration points (bilinear through four, linear through three); stresses follow from
//! them, so they are never interpolated. What this costs is measured by the ream.

use crate::element::point_field::{QUAD_POINTS, TRIANGLE_POINTS, quad_shares, triangle_shares};
use crate::material::state::PointState;
use crate::mesh::locate::{ElementRef, Located, Locator};
use crate::mesh::topology::Mesh;
use crate::process::stage_error::StageError;
use crate::solver::state::State;

/// Reads a state at any place of its mesh.
pub struct Reader<'a> {
    mesh: &'a Mesh,
    state: &'a State,
    locator: Locator<'a>,
}

impl<'a> Reader<'a> {
    /// A reader of `state` on `mesh`.
    #[must_use]
    pub fn new(mesh: &'a Mesh, state: &'a State) -> Self {
        Self { mesh, state, locator: Locator::new(mesh) }
    }

    fn locate(&self, position: [f64; 2]) -> Result<Located, StageError> {
        self.locator.find(position).ok_or(StageError::Transfer { position })
    }

    /// Displacement at `position`, mm.
    ///
    /// # Errors
    ///
    /// [`StageError::Transfer`] when there is no metal.
    pub fn displacement(&self, position: [f64; 2]) -> Result<[f64; 2], StageError> {
        Ok(self.locate(position)?.blend(self.mesh, &self.state.displacement))
    }

    /// History at `position`, and the value there of `extra`, a number kept at every point.
    ///
    /// # Errors
    ///
    /// [`StageError::Transfer`] when there is no metal.
    pub fn history(
        &self,
        position: [f64; 2],
        extra: &[f64],
    ) -> Result<(PointState, Option<f64>), StageError> {
        let (first, shares) = point_shares(self.mesh, &self.locate(position)?);
        let mut sum = PointState::default();
        let mut number = 0.0;
        for (offset, (share, point)) in shares.iter().zip(&self.state.points[first..]).enumerate() {
            sum.plastic_strain += *share * point.plastic_strain;
            sum.equivalent += share * point.equivalent;
            let backs = self.state.backstress_of(first + offset);
            for (back, part) in sum.backstress.iter_mut().zip(backs) {
                *back += *share * part;
            }
            number += extra.get(first + offset).map_or(0.0, |value| share * value);
        }
        // Beyond the points a line can undershoot; less than nothing cannot have flowed.
        sum.equivalent = sum.equivalent.max(0.0);
        Ok((sum, (!extra.is_empty()).then_some(number.max(0.0))))
    }
}

/// Number of the first integration point of an element, and the shares of its points in the
/// field through them at a place; shares of a triangle end in a zero.
#[must_use]
fn point_shares(mesh: &Mesh, located: &Located) -> (usize, [f64; QUAD_POINTS]) {
    match located.element {
        ElementRef::Quad(index) => (QUAD_POINTS * index, quad_shares(located.local)),
        ElementRef::Triangle(index) => {
            let [a, b, c] = triangle_shares(located.local);
            (QUAD_POINTS * mesh.quads.len() + TRIANGLE_POINTS * index, [a, b, c, 0.0])
        }
    }
}

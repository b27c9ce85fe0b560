//! Carrying a state over to a mesh whose nodes have moved a little.
//!
//! Displacements are evaluated at the new places with the old shape functions. Plastic
//! strain and backstress are evaluated inside the old element with the field through its
//! integration points (bilinear through four, linear through three); stresses follow from
//! them, so they are never interpolated. What this costs is measured by the ream. Beyond the points that field can
//! exceed what the metal can have: the plastic strain then stays at zero, a backstress at its saturation.

use crate::element::point_field::{QUAD_POINTS, TRIANGLE_POINTS, quad_shares, triangle_shares};
use crate::material::backstress::Backstress;
use crate::material::state::PointState;
use crate::mesh::locate::{ElementRef, Located, Locator};
use crate::mesh::topology::Mesh;
use crate::process::stage_error::StageError;
use crate::solver::state::State;
use crate::solver::system::System;

/// Reads a state at any place of its mesh.
pub struct Reader<'a> {
    system: &'a System,
    state: &'a State,
    locator: Locator<'a>,
}

impl<'a> Reader<'a> {
    /// A reader of `state` on the mesh of `system`.
    #[must_use]
    pub fn new(system: &'a System, state: &'a State) -> Self {
        Self { system, state, locator: Locator::new(&system.mesh) }
    }

    /// The same of one region alone.
    #[must_use]
    pub fn of_region(system: &'a System, state: &'a State, region: u8) -> Self {
        let mesh = &system.mesh;
        let locator = Locator::among(mesh, |element| mesh.region_of(element) == region);
        Self { system, state, locator }
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
        Ok(self.locate(position)?.blend(&self.system.mesh, &self.state.displacement))
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
        let located = self.locate(position)?;
        let (first, shares) = point_shares(&self.system.mesh, &located);
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
        // Nor has a point more backstress than its term can have: the return map would find no increment.
        for (back, term) in sum.backstress.iter_mut().zip(self.terms(located.element)) {
            *back *= term.share_within_saturation(back);
        }
        Ok((sum, (!extra.is_empty()).then_some(number.max(0.0))))
    }

    /// The integration point that is nearest to `position` in the coordinates of its element.
    ///
    /// # Errors
    ///
    /// [`StageError::Transfer`] when there is no metal.
    pub fn nearest(&self, position: [f64; 2]) -> Result<usize, StageError> {
        let (first, shares) = point_shares(&self.system.mesh, &self.locate(position)?);
        let most = shares.iter().enumerate().max_by(|a, b| a.1.total_cmp(b.1));
        Ok(first + most.map_or(0, |(offset, _)| offset))
    }

    /// The value at `position` of numbers kept at every integration point.
    ///
    /// # Errors
    ///
    /// [`StageError::Transfer`] when there is no metal.
    pub fn blend<const N: usize>(
        &self,
        position: [f64; 2],
        kept: &[[f64; N]],
    ) -> Result<[f64; N], StageError> {
        let (first, shares) = point_shares(&self.system.mesh, &self.locate(position)?);
        let mut sum = [0.0; N];
        for (share, values) in shares.iter().zip(&kept[first..]) {
            sum.iter_mut().zip(values).for_each(|(sum, value)| *sum += share * value);
        }
        Ok(sum)
    }

    /// Backstress terms of the metal of an element.
    fn terms(&self, element: ElementRef) -> &[Backstress] {
        let regions = &self.system.regions;
        let region = match element {
            ElementRef::Quad(index) => regions.quads.get(index),
            ElementRef::Triangle(index) => regions.triangles.get(index),
        };
        &self.system.region(region.copied().unwrap_or(0)).0.kinematic
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

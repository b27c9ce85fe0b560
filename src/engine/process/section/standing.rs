//! The section as it stands before a cut, and its state on the grid of what is left.

use nalgebra::Vector4;

use crate::element::kernel::Measure;
use crate::mesh::section_grid::SectionGrid;
use crate::mesh::topology::Mesh;
use crate::process::section::gradients::{displacement_of, gradients};
use crate::process::stage_error::StageError;
use crate::process::transfer::Reader;
use crate::solver::state::{Rate, State};
use crate::solver::system::System;
use crate::solver::system_error::SystemError;
use crate::solver::tables::Tables;

/// A section after a cut, not yet in balance.
#[derive(Debug)]
pub(super) struct SectionCut {
    /// Rows and columns of what is left.
    pub(super) grid: SectionGrid,
    /// Its mesh.
    pub(super) mesh: Mesh,
    /// Displacements and histories on it.
    pub(super) state: State,
}

/// Where the metal is now, by where it was drawn.
pub(super) struct Standing<'a> {
    system: &'a System,
    state: &'a State,
    reader: Reader<'a>,
    /// Radius of the rim, mm.
    pub(super) rim: f64,
}

impl<'a> Standing<'a> {
    pub(super) fn new(system: &'a System, state: &'a State, rim: f64) -> Self {
        Self { system, state, reader: Reader::new(system, state), rim }
    }

    /// Where the metal drawn at `place` is, mm.
    pub(super) fn displaced(&self, place: [f64; 2]) -> Result<[f64; 2], StageError> {
        let moved = self.reader.displacement(place)?;
        Ok([place[0] + moved[0], place[1] + moved[1]])
    }

    /// The state on the grid of what is left; stresses are for the system to find.
    ///
    /// # Errors
    ///
    /// [`StageError`] when the grid is folded or leaves the metal.
    pub(super) fn carry(&self, grid: SectionGrid) -> Result<SectionCut, StageError> {
        let mesh = grid.mesh();
        let tables = Tables::new(&mesh, Measure::Section)
            .map_err(|folded| StageError::System(SystemError::Folded(folded)))?;
        let state = self.state;
        let System { mesh: old, tables: points, .. } = self.system;
        let had = gradients(old, points, &state.displacement);
        let wanted = tables.positions.iter().map(|&at| self.reader.blend(at, &had));
        let wanted = wanted.collect::<Result<Vec<_>, _>>()?;
        // The last node lies on the rim, which no cut moves.
        let held = mesh.nodes.len() - 1;
        let along = self.reader.displacement(mesh.nodes[held])?[1];
        let displacement = displacement_of(&mesh, &tables, &wanted, (held, along))?;
        let places = state.backstress.len() / state.points.len();
        let mut points = Vec::with_capacity(tables.point_count());
        let mut backstress = Vec::with_capacity(places * tables.point_count());
        for &position in &tables.positions {
            let (history, _) = self.reader.history(position, &[])?;
            points.push(history.flow());
            backstress.extend_from_slice(&history.backstress[..places]);
        }
        let state = State {
            displacement,
            stress: vec![Vector4::zeros(); points.len()],
            conjugate: vec![Vector4::zeros(); points.len()],
            points,
            backstress,
            external: vec![[0.0; 2]; mesh.nodes.len()],
            rate: Rate::default(),
            ..state.clone()
        };
        Ok(SectionCut { grid, mesh, state })
    }
}

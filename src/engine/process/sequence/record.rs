//! The row of the history that one increment leaves.

use crate::process::history::{HistoryRecord, Phase};
use crate::solver::increment::Increment;
use crate::solver::state::State;
use crate::solver::system::System;

/// The record of an increment of `phase` on a hole, given with its nominal radius (mm), after
/// `before` others.
#[allow(clippy::too_many_arguments)]
pub(super) fn record(
    label: &str,
    phase: Phase,
    system: &System,
    state: &State,
    increment: &Increment,
    (hole, nominal_radius): (usize, f64),
    before: usize,
) -> HistoryRecord {
    let copies = system.mesh.symmetry.copies() as f64;
    let tool = system.tools.iter().zip(&state.tools).find(|(contact, _)| contact.hole == hole);
    HistoryRecord {
        stage: label.to_owned(),
        phase,
        increment: before + 1,
        share: increment.share,
        expansion: tool.map_or(0.0, |(_, tool)| tool.radius / nominal_radius - 1.0),
        mean_pressure: tool.map_or(0.0, |(contact, tool)| contact.mean_pressure(tool)),
        peak_pressure: tool
            .map_or(0.0, |(contact, tool)| tool.pressures(contact).fold(0.0, f64::max)),
        closed_nodes: tool.map_or(0, |(_, tool)| tool.closed_count()),
        mandrel_shift: tool.map_or([0.0; 2], |(_, tool)| tool.centre),
        load_factor: 0.0,
        iterations: increment.iterations.residuals.len(),
        contact_changes: increment.iterations.contact_changes,
        halvings: increment.halvings,
        residual: increment.iterations.residuals.last().copied().unwrap_or(0.0),
        residuals: increment.iterations.residuals.clone(),
        external_work: copies * state.energy.external,
        elastic_energy: copies * state.energy.elastic,
        plastic_work: copies * state.energy.plastic,
        largest_plastic_strain: state.largest_plastic_strain(),
    }
}
